//! The words of all pages, numbered, and how often each stands on a page.
//!
//! Pages are taken apart on many threads. Each has a [`WordReading`] that keeps what it knows of a
//! word beside the word, so that a word on a page costs one look, and the common list is asked once
//! a word and thread. Numbers depend on which thread came first and never reach the index.

use super::{Field, STOP, SearchDocument, tokens};
use ahash::AHashMap;
use std::collections::HashMap;
use std::sync::{Mutex, MutexGuard, PoisonError};

/// A word that stands so often on a page ranks that page higher.
const OFTEN: u32 = 4;

/// Words and their numbers.
#[derive(Debug, Default)]
pub(super) struct SearchVocabulary {
    numbers: Mutex<HashMap<String, u32>>,
    /// Readings that no thread is using.
    idle: Mutex<Vec<WordReading>>,
}

/// What one thread knows of the words.
#[derive(Debug)]
struct WordReading {
    known: AHashMap<String, KnownWord>,
    /// Number of the page that is being read among those of this reading, from 1.
    page: u32,
    /// Words of the page.
    met: Vec<Met>,
}

/// What is known of a word.
#[derive(Debug, Clone, Copy)]
struct KnownWord {
    /// `None` for one that is too common to find anything by.
    number: Option<u32>,
    /// The page it was met on last, and its place among the words of that page.
    page: u32,
    place: u32,
}

/// How a word stands on the page.
#[derive(Debug, Clone, Copy)]
struct Met {
    number: Option<u32>,
    count: u32,
    best: Field,
}

impl SearchVocabulary {
    /// The words of a page that it can be found by, each with the best place it stands in.
    pub(super) fn words_of(&self, document: &SearchDocument) -> Vec<(u32, Field)> {
        let mut reading = open(&self.idle).pop().unwrap_or_else(WordReading::new);
        let words = reading.words_of(document, self);
        open(&self.idle).push(reading);
        words
    }

    fn number(&self, word: &str) -> u32 {
        let mut numbers = open(&self.numbers);
        let next = u32::try_from(numbers.len()).unwrap_or(u32::MAX);
        *numbers.entry(word.to_owned()).or_insert(next)
    }

    /// All words with their numbers, in no order.
    pub(super) fn into_words(self) -> impl Iterator<Item = (String, u32)> {
        self.numbers.into_inner().unwrap_or_else(PoisonError::into_inner).into_iter()
    }
}

fn open<T>(shared: &Mutex<T>) -> MutexGuard<'_, T> {
    // Whatever panicked elsewhere, what is kept here is whole between two calls.
    shared.lock().unwrap_or_else(PoisonError::into_inner)
}

impl WordReading {
    fn new() -> WordReading {
        let stop = KnownWord { number: None, page: 0, place: 0 };
        let known = STOP.split_whitespace().map(|word| (word.to_owned(), stop)).collect();
        WordReading { known, page: 0, met: Vec::new() }
    }

    fn words_of(&mut self, document: &SearchDocument, all: &SearchVocabulary) -> Vec<(u32, Field)> {
        self.page += 1;
        self.met.clear();
        self.note(&document.title, Field::Title, all);
        for (_, heading) in &document.headings {
            self.note(heading, Field::Heading, all);
        }
        self.note(&document.text, Field::Body, all);
        let findable = self.met.iter().filter_map(|met| {
            let often = if OFTEN <= met.count { Field::OftenInBody } else { Field::Body };
            Some((met.number?, met.best.max(often)))
        });
        findable.collect()
    }

    /// Notes the words of a text.
    fn note(&mut self, text: &str, field: Field, all: &SearchVocabulary) {
        let text = tokens::folded(text);
        tokens::each_token(&text, |word| {
            let word = &text[word];
            match self.known.get_mut(word) {
                Some(known) => meet(known, self.page, field, &mut self.met),
                None => {
                    let mut known = KnownWord { number: Some(all.number(word)), page: 0, place: 0 };
                    meet(&mut known, self.page, field, &mut self.met);
                    self.known.insert(word.to_owned(), known);
                }
            }
        });
    }
}

fn meet(known: &mut KnownWord, page: u32, field: Field, met: &mut Vec<Met>) {
    if known.page == page {
        let met = &mut met[known.place as usize];
        met.count += 1;
        met.best = met.best.max(field);
        return;
    }
    *known = KnownWord { page, place: met.len() as u32, ..*known };
    met.push(Met { number: known.number, count: 1, best: field });
}
