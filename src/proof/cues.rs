//! Which words name which figure.
//!
//! Words choose the reading, the value only confirms: with 25 lengths in scope a one-digit typo
//! lands on another length in 8 % of cases, so a value alone ties nothing.

use super::words::{Word, words};
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

/// What phrases of one or several words stand for. The time to find one hardly depends on how many
/// there are: a folio of thousands of engines has thousands of operating pressures.
#[derive(Debug)]
struct Phrases<T> {
    /// Lengths in words of the phrases that begin with a word, longest first.
    lengths: BTreeMap<String, Vec<usize>>,
    /// By the words with a blank between them.
    meanings: BTreeMap<String, T>,
}

impl<T> Default for Phrases<T> {
    fn default() -> Phrases<T> {
        Phrases { lengths: BTreeMap::new(), meanings: BTreeMap::new() }
    }
}

impl<T: Default> Phrases<T> {
    /// What `text` stands for, so far nothing if it is new; `None` where it holds no word.
    fn meaning(&mut self, text: &str) -> Option<&mut T> {
        let stems: Vec<String> =
            words(text, Span::new(0, text.len())).into_iter().map(|word| word.stem).collect();
        let lengths = self.lengths.entry(stems.first()?.clone()).or_default();
        if !lengths.contains(&stems.len()) {
            lengths.push(stems.len());
            lengths.sort_unstable_by(|a, b| b.cmp(a));
        }
        Some(self.meanings.entry(stems.join(" ")).or_default())
    }
}

impl<T> Phrases<T> {
    /// Phrases that begin at a word, longest first: length in words, and what they stand for.
    fn at<'s>(&'s self, words: &'s [Word], at: usize) -> impl Iterator<Item = (usize, &'s T)> {
        let lengths = self.lengths.get(&words[at].stem).map(Vec::as_slice).unwrap_or_default();
        lengths.iter().filter_map(move |length| {
            let words = words.get(at..at + length)?;
            let stems: Vec<&str> = words.iter().map(|word| word.stem.as_str()).collect();
            Some((*length, self.meanings.get(&stems.join(" "))?))
        })
    }
}

/// The cue words of the whole folio.
#[derive(Debug, Default)]
pub struct CueIndex {
    /// Entries by sheet.
    figures: Phrases<BTreeMap<usize, usize>>,
    /// Sheets.
    engines: Phrases<Option<usize>>,
}

impl CueIndex {
    /// Collects the cues of every sheet. Where two figures of a sheet share a name, the first has
    /// it.
    #[must_use]
    pub fn new(ledger: &Ledger) -> CueIndex {
        let mut index = CueIndex::default();
        for (sheet_index, sheet) in ledger.sheets.iter().enumerate() {
            for (entry_index, entry) in sheet.entries.iter().enumerate() {
                for cue in &entry.cues {
                    if let Some(entries) = index.figures.meaning(cue) {
                        entries.entry(sheet_index).or_insert(entry_index);
                    }
                }
            }
            if let Some(engine) = &sheet.engine
                && let Some(sheet) = index.engines.meaning(&engine.replace('_', " "))
            {
                sheet.get_or_insert(sheet_index);
            }
        }
        index
    }

    /// Engines named among `words`: index of the first word, one past the last, sheet.
    #[must_use]
    pub fn engines_in(&self, words: &[Word]) -> Vec<(usize, usize, usize)> {
        let mut found = Vec::new();
        let mut at = 0;
        while at < words.len() {
            match self.engines.at(words, at).find_map(|(length, sheet)| Some((length, (*sheet)?))) {
                Some((length, sheet)) => {
                    found.push((at, at + length, sheet));
                    at += length;
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
        let engines = self.engines_in(words);
        let mut cues: Vec<Cue> = Vec::new();
        let mut at = 0;
        while at < words.len() {
            let Some((length, _)) = self.figures.at(words, at).next() else {
                at += 1;
                continue;
            };
            let sheet = governing(&engines, words, at, at + length).or(own);
            if let Some(sheet) = sheet
                && let Some(entry) = self.entry_in(words, at, sheet)
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

    /// The entry of a sheet named by the longest phrase that the sheet knows.
    fn entry_in(&self, words: &[Word], at: usize, sheet: usize) -> Option<usize> {
        self.figures.at(words, at).find_map(|(_, entries)| entries.get(&sheet).copied())
    }
}

/// The engine that governs a name: "the store of the Ash" before "Rowan's store" before the last
/// engine named.
fn governing(
    engines: &[(usize, usize, usize)],
    words: &[Word],
    first: usize,
    last: usize,
) -> Option<usize> {
    let behind = engines.iter().find(|(start, _, _)| {
        let between = words.get(last..*start).unwrap_or_default();
        last <= *start
            && (1..=2).contains(&between.len())
            && between.iter().all(|word| matches!(word.stem.as_str(), "of" | "in" | "on" | "for" | "the"))
    });
    let before = engines.iter().rev().find(|(_, end, _)| *end <= first);
    behind.or(before).map(|(_, _, sheet)| *sheet)
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
