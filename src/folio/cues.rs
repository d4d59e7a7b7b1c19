//! Which words name which figure.
//!
//! Words choose the reading, the value only confirms: with 25 lengths in scope a one-digit typo
//! lands on another length in 8 % of cases, so a value alone ties nothing.

use super::words::{TextWord, words};
use crate::sheet::{Ledger, Sheet};
use crate::text::Span;
use ahash::{AHashMap, AHashSet};
use std::collections::BTreeMap;

/// A figure's name found in a passage.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Cue {
    /// The words, in the passage.
    pub(crate) span: Span,
    /// Index of the first word.
    pub(crate) first: usize,
    /// One past the index of the last word.
    pub(crate) last: usize,
    pub(crate) sheet: usize,
    /// Entry in the sheet.
    pub(crate) entry: usize,
    /// Whether the words name only the engine, and the figure is the one named before.
    pub(crate) is_echo: bool,
    /// Whether the engine is only set against another ("than Ash's"): then the figure stands next
    /// to the words or is another one's.
    pub(crate) is_contrast: bool,
}

/// What phrases of one or several words stand for. The time to find one hardly depends on how many
/// there are: the names of a whole family of engines may begin with one word.
#[derive(Debug)]
struct Phrases<T> {
    /// Lengths in words of the phrases that begin with a word, longest first.
    lengths: AHashMap<String, Vec<usize>>,
    /// By the words with a blank between them.
    meanings: AHashMap<String, T>,
}

impl<T> Default for Phrases<T> {
    fn default() -> Phrases<T> {
        Phrases { lengths: AHashMap::new(), meanings: AHashMap::new() }
    }
}

impl<T> Phrases<T> {
    /// What `text` stands for, `new` if it is a new phrase; `None` where it holds no word.
    fn meaning(&mut self, text: &str, new: impl FnOnce() -> T) -> Option<&mut T> {
        let words = words(text, Span::new(0, text.len()));
        let lengths = self.lengths.entry(words.first()?.stem.clone()).or_default();
        if let Err(place) = lengths.binary_search_by(|length| words.len().cmp(length)) {
            lengths.insert(place, words.len());
        }
        Some(self.meanings.entry(joined(&words)).or_insert_with(new))
    }

    /// Phrases that begin at a word, longest first: length in words, and what they stand for.
    fn at<'s>(&'s self, words: &'s [TextWord], at: usize) -> impl Iterator<Item = (usize, &'s T)> {
        let lengths = self.lengths.get(&words[at].stem).map(Vec::as_slice).unwrap_or_default();
        lengths.iter().filter_map(move |length| {
            let phrase = joined(words.get(at..at + length)?);
            Some((*length, self.meanings.get(&phrase)?))
        })
    }
}

fn joined(words: &[TextWord]) -> String {
    words.iter().map(|word| word.stem.as_str()).collect::<Vec<_>>().join(" ")
}

/// The cue words of the whole folio.
#[derive(Debug, Default)]
pub(crate) struct CueIndex {
    /// Entries by sheet.
    figures: Phrases<BTreeMap<usize, usize>>,
    /// Sheets.
    engines: Phrases<usize>,
    /// Sheets of the engines whose names of several words begin with a word, in small letters.
    families: AHashMap<String, Vec<usize>>,
    /// Sheets of those whose names of several words end in a word, in small letters.
    last_names: AHashMap<String, Vec<usize>>,
    /// The names of each sheet's figures.
    names: Vec<SheetNames>,
    /// Sheets by the words of their figures' names.
    sheets: AHashMap<String, Vec<usize>>,
    /// The words of all these names that may stand for something by themselves or begin to.
    known: AHashSet<String>,
}

/// The names of a sheet's figures, word by word.
#[derive(Debug, Default)]
struct SheetNames {
    /// Of each entry its names, each as the words in the form in which they are compared.
    entries: Vec<Vec<Vec<String>>>,
    /// Entries by the words of their names.
    by_word: AHashMap<String, Vec<usize>>,
}

impl SheetNames {
    fn of(sheet: &Sheet) -> SheetNames {
        let mut names = SheetNames::default();
        for (at, entry) in sheet.entries.iter().enumerate() {
            let stems = |cue: &String| {
                let words = words(cue, Span::new(0, cue.len()));
                words.into_iter().map(|word| word.stem).collect::<Vec<_>>()
            };
            let known: Vec<Vec<String>> = entry.cues.iter().map(stems).collect();
            for word in known.iter().flatten() {
                let entries = names.by_word.entry(word.clone()).or_default();
                if entries.last() != Some(&at) {
                    entries.push(at);
                }
            }
            names.entries.push(known);
        }
        names
    }
}

impl CueIndex {
    /// Collects the cues of every sheet. Where two figures of a sheet or two engines share a name,
    /// the first has it.
    pub(crate) fn new(ledger: &Ledger) -> CueIndex {
        let mut index = CueIndex::default();
        for (sheet_index, sheet) in ledger.sheets.iter().enumerate() {
            let names = SheetNames::of(sheet);
            #[allow(clippy::iter_over_hash_type)] // each word has a list of its own
            for word in names.by_word.keys() {
                index.sheets.entry(word.clone()).or_default().push(sheet_index);
            }
            index.names.push(names);
            for (entry_index, entry) in sheet.entries.iter().enumerate() {
                for cue in &entry.cues {
                    if let Some(entries) = index.figures.meaning(cue, BTreeMap::new) {
                        entries.entry(sheet_index).or_insert(entry_index);
                    }
                }
            }
            if let Some(engine) = &sheet.engine {
                index.engines.meaning(&engine.replace('_', " "), || sheet_index);
                for name in &sheet.called {
                    index.engines.meaning(name, || sheet_index);
                }
                if let (Some((first, _)), Some((_, last))) =
                    (engine.split_once('_'), engine.rsplit_once('_'))
                {
                    index.families.entry(first.to_lowercase()).or_default().push(sheet_index);
                    index.last_names.entry(last.to_lowercase()).or_default().push(sheet_index);
                }
            }
        }
        let engines = index.engines.lengths.keys().chain(index.families.keys());
        let names = engines.chain(index.last_names.keys()).chain(index.sheets.keys());
        index.known = names.cloned().collect();
        index
    }

    /// Whether a word, in the form in which words are compared, is of a figure's name or may name
    /// an engine.
    pub(crate) fn knows(&self, stem: &str) -> bool {
        self.known.contains(stem)
    }

    /// Sheets of the engines of a family, by the word that their names begin with.
    pub(crate) fn family(&self, stem: &str) -> &[usize] {
        self.families.get(stem).map_or(&[], Vec::as_slice)
    }

    /// "The B": the engine whose name of several words ends in this one, if it is one.
    pub(crate) fn of_last_name(&self, stem: &str) -> Option<usize> {
        match self.last_names.get(stem).map(Vec::as_slice) {
            Some([sheet]) => Some(*sheet),
            _ => None,
        }
    }

    /// The names of a figure, each as the words in the form in which they are compared.
    pub(crate) fn names(&self, sheet: usize, entry: usize) -> &[Vec<String>] {
        let known = self.names.get(sheet).and_then(|names| names.entries.get(entry));
        known.map(Vec::as_slice).unwrap_or_default()
    }

    /// The sheets that have a word in a figure's name, in their order.
    pub(crate) fn sheets_knowing(&self, word: &str) -> &[usize] {
        self.sheets.get(word).map_or(&[], Vec::as_slice)
    }

    /// The figures of a sheet that have one of these words in a name, in their order.
    pub(crate) fn sharing(&self, sheet: usize, words: &[&str]) -> Vec<usize> {
        let known = self.names.get(sheet).into_iter().flat_map(|names| {
            words.iter().filter_map(|word| names.by_word.get(*word)).flatten().copied()
        });
        let mut found: Vec<usize> = known.collect();
        found.sort_unstable();
        found.dedup();
        found
    }

    /// Engines named among `words`: index of the first word, one past the last, sheet.
    pub(crate) fn engines_in(&self, words: &[TextWord]) -> Vec<(usize, usize, usize)> {
        let mut found = Vec::new();
        let mut at = 0;
        while at < words.len() {
            match self.engines.at(words, at).next() {
                Some((length, sheet)) => {
                    found.push((at, at + length, *sheet));
                    at += length;
                }
                None => at += 1,
            }
        }
        found
    }

    /// Figures named among `words` of `text` on a page. `own` is the sheet whose figures need no
    /// engine's name.
    /// `engines` are those that the words speak of, as [`CueIndex::engines_in`] gives them.
    pub(crate) fn cues_in(
        &self,
        text: &str,
        words: &[TextWord],
        mut engines: Vec<(usize, usize, usize)>,
        own: Option<usize>,
        ledger: &Ledger,
    ) -> Vec<Cue> {
        if let Some(own) = own {
            engines.extend(own_words(words).map(|(first, last)| (first, last, own)));
            engines.sort_unstable();
        }
        let line = Naming { text, words, engines, own };
        let mut cues: Vec<Cue> = Vec::new();
        let mut open: Vec<(usize, usize)> = Vec::new();
        let mut at = 0;
        while at < words.len() {
            let Some((length, _)) = self.figures.at(words, at).next() else {
                at += 1;
                continue;
            };
            match line.governing(at, at + length) {
                Some(sheet) => {
                    if let Some(entry) = self.entry_in(words, at, sheet) {
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
                if let Some(entry) = self.entry_in(words, first, *sheet) {
                    cues.push(line.cue(*start, *end, (*sheet, entry), true));
                }
            }
        }
        line.echo(ledger, &mut cues);
        cues
    }

    /// The entry of a sheet named by the longest phrase that the sheet knows.
    fn entry_in(&self, words: &[TextWord], at: usize, sheet: usize) -> Option<usize> {
        self.figures.at(words, at).find_map(|(_, entries)| entries.get(&sheet).copied())
    }
}

/// "This one", "ours": the engine of the page.
fn own_words(words: &[TextWord]) -> impl Iterator<Item = (usize, usize)> + '_ {
    let stem = |at: usize| words.get(at).map_or("", |word: &TextWord| word.stem.as_str());
    (0..words.len()).filter_map(move |at| match (stem(at), stem(at + 1)) {
        ("thi", "one" | "engine") | ("this", "one" | "engine") => Some((at, at + 2)),
        ("our" | "ours", _) => Some((at, at + 1)),
        _ => None,
    })
}

/// Words that set an engine against the one a sentence is about.
const CONTRASTS: [&str; 8] =
    ["unlike", "against", "than", "like", "versu", "versus", "vs", "beside"];
/// "Compared with", "in contrast to", "as opposed to".
const CONTRASTS_OF_TWO: [&str; 5] = ["compared", "contrast", "opposed", "relative", "similar"];
/// Words behind which a genitive without its noun is what something is measured by: "short of
/// Hazel's", "below Hazel's".
const MEASURED_BY: [&str; 10] =
    ["of", "below", "above", "under", "over", "beyond", "behind", "as", "from", "to"];
/// Words of these behind which an engine itself is: "well below the Hazel, at 6 bar".
const OUT_OF: [&str; 5] = ["below", "above", "beyond", "behind", "short"];

/// Whether the engine named by `words[first..last]` is only what another is set against: "than
/// Hazel", "compared with the Hazel", "a little short of Hazel's, at".
pub(crate) fn is_standard(text: &str, words: &[TextWord], first: usize, last: usize) -> bool {
    let article = |at: usize| matches!(words[at].stem.as_str(), "the" | "a");
    let skipped = first.checked_sub(1).filter(|at| article(*at)).unwrap_or(first);
    let before = |back: usize| skipped.checked_sub(back).map_or("", |at| words[at].stem.as_str());
    CONTRASTS.contains(&before(1))
        || matches!(before(1), "with" | "to") && CONTRASTS_OF_TWO.contains(&before(2))
        || MEASURED_BY.contains(&before(1)) && stands_alone(text, words, last)
        || OUT_OF.contains(&before(1))
        || before(1) == "of" && OUT_OF.contains(&before(2))
}

/// Whether a genitive has no noun: "Hazel's, at 57 N".
fn stands_alone(text: &str, words: &[TextWord], last: usize) -> bool {
    let Some(word) = words.get(last - 1).filter(|word| word.possessive) else { return false };
    let next = words.get(last);
    let gap = next.map_or("", |next| &text[word.span.end..next.span.start]);
    let goes_on =
        |next: &TextWord| matches!(next.stem.as_str(), "at" | "by" | "with" | "and" | "but");
    !gap.trim().is_empty() || next.is_none_or(goes_on)
}

/// Words that open a clause of its own.
const TURNS: [&str; 7] = ["but", "while", "wherea", "whereas", "yet", "although", "though"];
/// Words that may stand before an engine at the start of a sentence.
const OPENERS: [&str; 6] = ["in", "on", "with", "for", "at", "the"];

/// A line whose words name engines.
struct Naming<'a> {
    text: &'a str,
    words: &'a [TextWord],
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
        let is_contrast = is_echo && is_standard(self.text, self.words, first, last);
        Cue { span, first, last, sheet, entry, is_echo, is_contrast }
    }

    /// The engine that governs a name: "the store of the Ash" before "Rowan's store" before the
    /// last engine named, or the page's own.
    fn governing(&self, first: usize, last: usize) -> Option<usize> {
        let behind = self.engines.iter().find(|(start, _, _)| {
            let between = self.words.get(last..*start).unwrap_or_default();
            let joins =
                |word: &TextWord| matches!(word.stem.as_str(), "of" | "in" | "on" | "for" | "the");
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
        if is_standard(self.text, self.words, *start, *end) {
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
