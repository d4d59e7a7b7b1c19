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

    /// Figures named among `words` on a page. `own` is the page's sheet, whose figures need no
    /// engine's name; `outer` are engines named in what frames the passage (the row and column of
    /// a cell).
    #[must_use]
    pub fn cues_in(&self, words: &[Word], own: Option<usize>, ledger: &Ledger) -> Vec<Cue> {
        let mut engines = self.engines_in(words);
        if let Some(own) = own {
            // "ours 1.40 mm", "here the bore is …": back to the engine of the page.
            for (index, word) in words.iter().enumerate() {
                if matches!(word.stem.as_str(), "our" | "ours" | "here") {
                    engines.push((index, index + 1, own));
                }
            }
            engines.sort_unstable();
        }
        let mut cues: Vec<Cue> = Vec::new();
        let mut at = 0;
        while at < words.len() {
            let length = self.longest(words, at);
            let Some(length) = length else {
                at += 1;
                continue;
            };
            let sheet = governing(&engines, words, at, at + length, own);
            if let Some(sheet) = sheet
                && let Some(entry) = self.entry_in(words, at, length, sheet)
            {
                let span = Span::new(words[at].span.start, words[at + length - 1].span.end);
                let (first, last) = (at, at + length);
                cues.push(Cue { span, first, last, sheet, entry, is_echo: false });
            }
            at += length;
        }
        echo(&engines, words, ledger, &mut cues);
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

/// The engine that governs a name: "the store of the Ash" before "Rowan's store" before the last
/// engine named before the page's own. A possessive reaches three words far, and farther only where
/// "its" takes it up: "Ash's bore is 1.40 mm, the bore is 0.90 mm" names two engines on a page.
fn governing(
    engines: &[(usize, usize, usize)],
    words: &[Word],
    first: usize,
    last: usize,
    own: Option<usize>,
) -> Option<usize> {
    let behind = engines.iter().find(|(start, _, _)| {
        let between = words.get(last..*start).unwrap_or_default();
        last <= *start
            && (1..=2).contains(&between.len())
            && between
                .iter()
                .all(|word| matches!(word.stem.as_str(), "of" | "in" | "on" | "for" | "the"))
    });
    let before = engines.iter().rev().find(|(_, end, _)| {
        let takes_up = first
            .checked_sub(1)
            .is_some_and(|at| words[at].stem == "its" || words[at].stem == "it");
        let far = end + 3 < first && words[end - 1].possessive && own.is_some();
        *end <= first && (!far || takes_up)
    });
    behind.or(before).map(|(_, _, sheet)| *sheet).or(own)
}

/// "Rowan's bore is 0.90 mm, Ash's 1.40 mm": the second engine's name stands for its bore too.
fn echo(engines: &[(usize, usize, usize)], words: &[Word], ledger: &Ledger, cues: &mut Vec<Cue>) {
    let spoken: Vec<Cue> = cues.clone();
    for (start, end, sheet) in engines {
        let named = spoken.iter().any(|cue| {
            cue.sheet == *sheet && *end <= cue.first && cue.first <= end + 3
                || cue.sheet == *sheet && cue.last <= *start && *start <= cue.last + 2
        });
        let Some(last) = spoken.iter().rev().find(|cue| cue.last <= *start) else { continue };
        if named || last.sheet == *sheet {
            continue;
        }
        let name = &ledger.sheets[last.sheet].entries[last.entry].name.text;
        let entry = ledger.sheets[*sheet].entries.iter().position(|entry| entry.name.text == *name);
        if let Some(entry) = entry {
            let span = Span::new(words[*start].span.start, words[end - 1].span.end);
            cues.push(Cue { span, first: *start, last: *end, sheet: *sheet, entry, is_echo: true });
        }
    }
    cues.sort_by_key(|cue| cue.first);
}
