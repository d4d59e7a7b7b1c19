//! Which words name which figure.
//!
//! Words choose the reading, the value only confirms: with 25 lengths in scope a one-digit typo
//! lands on another length in 8 % of cases, so a value alone ties nothing.

use super::words::{Word, stem, words};
use crate::sheet::Ledger;
use crate::text::Span;
use std::collections::BTreeMap;

/// A figure's name found in a passage.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cue {
    /// The words, in the passage.
    pub span: Span,
    /// Index of the first word.
    pub first: usize,
    /// One past the index of the last word.
    pub last: usize,
    /// Sheet.
    pub sheet: usize,
    /// Entry in the sheet.
    pub entry: usize,
    /// Whether the words name only the engine, and the figure is the one named before.
    pub is_echo: bool,
    /// Whether the engine is only set against another ("than Ash's"): then the figure stands next
    /// to the words or is another one's.
    pub is_contrast: bool,
}

/// Words that name a figure, and which one on each sheet that has it.
#[derive(Debug)]
struct Phrase {
    words: Vec<String>,
    entries: BTreeMap<usize, usize>,
}

/// The cue words of the whole folio.
#[derive(Debug, Default)]
pub struct CueIndex {
    phrases: BTreeMap<String, Vec<Phrase>>,
    engines: BTreeMap<String, Vec<(Vec<String>, usize)>>,
}

impl CueIndex {
    /// Collects the cues of every sheet.
    #[must_use]
    pub fn new(ledger: &Ledger) -> CueIndex {
        let mut index = CueIndex::default();
        let mut by_words: BTreeMap<Vec<String>, BTreeMap<usize, usize>> = BTreeMap::new();
        for (sheet_index, sheet) in ledger.sheets.iter().enumerate() {
            for (entry_index, entry) in sheet.entries.iter().enumerate() {
                for cue in &entry.cues {
                    let stems = stems(cue);
                    let entries = by_words.entry(stems).or_default();
                    entries.entry(sheet_index).or_insert(entry_index);
                }
            }
            if let Some(engine) = &sheet.engine {
                let stems = stems(&engine.replace('_', " "));
                if let Some(first) = stems.first().cloned() {
                    index.engines.entry(first).or_default().push((stems, sheet_index));
                }
            }
        }
        for (words, entries) in by_words {
            let Some(first) = words.first().cloned() else { continue };
            index.phrases.entry(first).or_default().push(Phrase { words, entries });
        }
        for phrases in index.phrases.values_mut() {
            phrases.sort_by_key(|phrase| std::cmp::Reverse(phrase.words.len()));
        }
        for names in index.engines.values_mut() {
            names.sort_by_key(|(words, _)| std::cmp::Reverse(words.len()));
        }
        index
    }

    /// Engines named among `words`: index of the first word, one past the last, sheet.
    #[must_use]
    pub fn engines_in(&self, words: &[Word]) -> Vec<(usize, usize, usize)> {
        let mut found = Vec::new();
        let mut at = 0;
        while at < words.len() {
            let names = self.engines.get(&words[at].stem);
            let hit =
                names.and_then(|names| names.iter().find(|(name, _)| starts(words, at, name)));
            match hit {
                Some((name, sheet)) => {
                    found.push((at, at + name.len(), *sheet));
                    at += name.len();
                }
                None => at += 1,
            }
        }
        found
    }

    /// Figures named among `words` of `text` on a page. `own` is the sheet whose figures need no
    /// engine's name.
    #[must_use]
    pub fn cues_in(
        &self,
        text: &str,
        words: &[Word],
        own: Option<usize>,
        ledger: &Ledger,
    ) -> Vec<Cue> {
        let mut engines = self.engines_in(words);
        if let Some(own) = own {
            engines.extend(own_words(words).map(|(first, last)| (first, last, own)));
            engines.sort_unstable();
        }
        let line = Naming { text, words, engines, own };
        let mut cues: Vec<Cue> = Vec::new();
        let mut open: Vec<(usize, usize)> = Vec::new();
        let mut at = 0;
        while at < words.len() {
            let Some(length) = self.longest(words, at) else {
                at += 1;
                continue;
            };
            match line.governing(at, at + length) {
                Some(sheet) => {
                    if let Some(entry) = self.entry_in(words, at, length, sheet) {
                        cues.push(line.cue(at, at + length, (sheet, entry), false));
                    }
                }
                None => open.push((at, length)),
            }
            at += length;
        }
        for (first, length) in open {
            // "The metering bore is 0.90 mm in Rowan and 1.40 mm in Ash."
            let behind = line.engines.iter().filter(|(start, _, _)| first + length <= *start);
            for (start, end, sheet) in behind {
                if let Some(entry) = self.entry_in(words, first, length, *sheet) {
                    cues.push(line.cue(*start, *end, (*sheet, entry), true));
                }
            }
        }
        line.echo(ledger, &mut cues);
        cues
    }

    fn longest(&self, words: &[Word], at: usize) -> Option<usize> {
        let phrases = self.phrases.get(&words[at].stem)?;
        phrases
            .iter()
            .find(|phrase| starts(words, at, &phrase.words))
            .map(|phrase| phrase.words.len())
    }

    fn entry_in(&self, words: &[Word], at: usize, length: usize, sheet: usize) -> Option<usize> {
        let phrases = self.phrases.get(&words[at].stem)?;
        let fitting = phrases.iter().filter(|phrase| phrase.words.len() <= length);
        fitting
            .filter(|phrase| starts(words, at, &phrase.words))
            .find_map(|phrase| phrase.entries.get(&sheet).copied())
    }
}

fn stems(text: &str) -> Vec<String> {
    words(text, Span::new(0, text.len())).into_iter().map(|word| word.stem).collect()
}

fn starts(words: &[Word], at: usize, phrase: &[String]) -> bool {
    let rest = &words[at..];
    phrase.len() <= rest.len()
        && phrase
            .iter()
            .zip(rest)
            .all(|(wanted, word)| *wanted == stem(&word.stem) || *wanted == word.stem)
}

/// "This one", "ours": the engine of the page.
fn own_words(words: &[Word]) -> impl Iterator<Item = (usize, usize)> + '_ {
    let stem = |at: usize| words.get(at).map_or("", |word: &Word| word.stem.as_str());
    (0..words.len()).filter_map(move |at| match (stem(at), stem(at + 1)) {
        ("thi", "one" | "engine") | ("this", "one" | "engine") => Some((at, at + 2)),
        ("our" | "ours", _) => Some((at, at + 1)),
        _ => None,
    })
}

/// Words that set an engine against the one a sentence is about.
const CONTRASTS: [&str; 7] = ["unlike", "against", "than", "like", "versu", "versus", "vs"];
/// "Compared with", "in contrast to", "as opposed to".
const CONTRASTS_OF_TWO: [&str; 5] = ["compared", "contrast", "opposed", "relative", "similar"];
/// Words that open a clause of its own.
const TURNS: [&str; 7] = ["but", "while", "wherea", "whereas", "yet", "although", "though"];
/// Words that may stand before an engine at the start of a sentence.
const OPENERS: [&str; 6] = ["in", "on", "with", "for", "at", "the"];

/// A line whose words name engines.
struct Naming<'a> {
    text: &'a str,
    words: &'a [Word],
    /// First word, one past the last, sheet; in reading order.
    engines: Vec<(usize, usize, usize)>,
    own: Option<usize>,
}

impl Naming<'_> {
    fn stem(&self, at: usize) -> &str {
        self.words.get(at).map_or("", |word| word.stem.as_str())
    }

    fn cue(&self, first: usize, last: usize, named: (usize, usize), is_echo: bool) -> Cue {
        let span = Span::new(self.words[first].span.start, self.words[last - 1].span.end);
        let (sheet, entry) = named;
        let is_contrast = is_echo && self.contrasted(first);
        Cue { span, first, last, sheet, entry, is_echo, is_contrast }
    }

    /// Whether the engine that begins at this word is only set against another.
    fn contrasted(&self, start: usize) -> bool {
        let before = |back: usize| start.checked_sub(back).map_or("", |before| self.stem(before));
        CONTRASTS.contains(&before(1))
            || matches!(before(1), "with" | "to") && CONTRASTS_OF_TWO.contains(&before(2))
    }

    /// The engine that governs a name: "the store of the Ash" before "Rowan's store" before the
    /// last engine named, or the page's own.
    fn governing(&self, first: usize, last: usize) -> Option<usize> {
        let behind = self.engines.iter().find(|(start, _, _)| {
            let between = self.words.get(last..*start).unwrap_or_default();
            let joins =
                |word: &Word| matches!(word.stem.as_str(), "of" | "in" | "on" | "for" | "the");
            last <= *start && (1..=2).contains(&between.len()) && between.iter().all(joins)
        });
        let reaches = |hit: &&(usize, usize, usize)| hit.1 <= first && self.reaches(hit, first);
        let before = || self.engines.iter().rev().find(reaches);
        behind.or_else(before).map(|(_, _, sheet)| *sheet).or(self.own)
    }

    /// "Hazel's wide bore", "Hazel's 0.80 mm bore": possession, with next to nothing between.
    fn owns(&self, start: usize, end: usize, at: usize) -> bool {
        let name = Span::new(self.words[start].span.start, self.words[end - 1].span.end);
        let is_possessive = self.text[name.start..name.end].ends_with(['\'', '’'])
            || ["'s", "’s"].iter().any(|mark| self.text[name.start..name.end].ends_with(mark));
        let gap = &self.text[name.end..self.words[at].span.start];
        is_possessive && at - end <= 4 && !gap.contains([',', ';', ':', '(', '—', '–'])
    }

    /// Whether an engine named before still governs the word at `at`.
    fn reaches(&self, (start, end, sheet): &(usize, usize, usize), at: usize) -> bool {
        if self.owns(*start, *end, at) {
            return true;
        }
        if self.contrasted(*start) {
            return false;
        }
        if self.own.is_none_or(|own| own == *sheet) {
            return true;
        }
        // On an engine's own page another engine lends its name to its own clause only.
        let gap = &self.text[self.words[end - 1].span.end..self.words[at].span.start];
        let turns = self.words[*end..at].iter().any(|word| TURNS.contains(&word.stem.as_str()));
        if turns || gap.contains([';', '—', '–']) {
            return false;
        }
        let opens = (0..*start).all(|word| OPENERS.contains(&self.stem(word)));
        opens || !gap.contains([',', '('])
    }

    /// "Rowan's bore is 0.90 mm, Ash's 1.40 mm": an engine's name without a figure's name stands
    /// for the figures just told of another engine, or for the one told next.
    fn echo(&self, ledger: &Ledger, cues: &mut Vec<Cue>) {
        let spoken: Vec<Cue> = cues.clone();
        for (start, end, sheet) in &self.engines {
            let own_name = |cue: &&Cue| {
                cue.sheet == *sheet && *end <= cue.first && cue.first <= end + 3
                    || cue.sheet == *sheet && cue.last <= *start && *start <= cue.last + 2
                    || cue.first == *start
            };
            if spoken.iter().any(|cue| own_name(&cue)) {
                continue;
            }
            let before = spoken.iter().rev().find(|cue| cue.last <= *start);
            let told: Vec<&Cue> = match before {
                // All figures of the engine named last, up to another engine's.
                Some(last) => {
                    let back = spoken.iter().rev().filter(|cue| cue.last <= *start);
                    back.take_while(|cue| cue.sheet == last.sheet).collect()
                }
                None => spoken.iter().find(|cue| *end <= cue.first).into_iter().collect(),
            };
            for cue in told.into_iter().rev().filter(|cue| cue.sheet != *sheet) {
                let name = &ledger.sheets[cue.sheet].entries[cue.entry].name.text;
                let mut entries = ledger.sheets[*sheet].entries.iter();
                if let Some(entry) = entries.position(|entry| entry.name.text == *name) {
                    cues.push(self.cue(*start, *end, (*sheet, entry), true));
                }
            }
        }
        cues.sort_by_key(|cue| cue.first);
    }
}
