//! What a passage has been about before a sentence: words, engines and figures, fading as it goes
//! on.
//!
//! Each word keeps the number of the sentence that said it last, so that going on costs nothing and
//! looking back is one look, however long the passage.

use super::mentions::{mentions, spoken_of};
use super::weights::{FADES, HEADING, SENTENCE_BEFORE, TAKEN_UP};
use crate::folio::meaning::plain;
use crate::folio::words::{TextWord, sentences, words};
use crate::proof::prose::PageContext;
use crate::text::Span;
use ahash::AHashMap;

/// Bytes of the passage before that are looked at.
const IN_SIGHT: usize = 600;
/// As many figures are remembered.
const MOST: usize = 32;
/// Sentences after which a figure is no longer what one talks of.
const FORGOTTEN: u32 = 6;

/// A figure that was stated: a name or a formula.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum StatedFigure {
    Entry((usize, usize)),
    Formula(String),
}

/// What was said before a sentence and above it.
#[derive(Debug, Default)]
pub(in crate::proof) struct Background {
    /// Number of the sentence at hand.
    at: u32,
    said: AHashMap<String, u32>,
    heading: AHashMap<String, ()>,
    /// The one engine that was named last.
    pub(in crate::proof) engine: Option<usize>,
    /// The two that were named last, in their order.
    pub(super) named_in_order: Option<(usize, usize)>,
    figures: Vec<(u32, StatedFigure)>,
}

/// The engines that words speak of, on a page about several.
fn engines(
    text: &str,
    words: &[TextWord],
    background: &Background,
    context: &PageContext<'_>,
) -> Vec<Option<usize>> {
    match context.compared() {
        [] => Vec::new(),
        _ => spoken_of(&mentions(text, words, background, context)),
    }
}

impl Background {
    /// What stands above a passage: its heading, and the passage before it.
    pub(in crate::proof) fn new(
        heading: &str,
        lead: &str,
        context: &PageContext<'_>,
    ) -> Background {
        let mut background = Background { at: 1, ..Background::default() };
        let heading_text = heading;
        let heading = words(heading, Span::new(0, heading.len()));
        background.speaks_of(&engines(heading_text, &heading, &background, context));
        for word in heading {
            background.heading.insert(plain(&word.stem).to_owned(), ());
        }
        // What stands far above says nothing any more.
        let from = lead.ceil_char_boundary(lead.len().saturating_sub(IN_SIGHT));
        let lead = &lead[from..];
        for sentence in sentences(lead) {
            let words = words(lead, sentence);
            let engines = engines(lead, &words, &background, context);
            background.hear(&words, &engines);
        }
        // A new passage is two steps away.
        background.at += if lead.is_empty() { 0 } else { 2 };
        background
    }

    /// Goes on to the next sentence.
    /// `engines` are those that it speaks of.
    pub(in crate::proof) fn hear(&mut self, sentence: &[TextWord], engines: &[Option<usize>]) {
        for word in sentence {
            self.said.insert(plain(&word.stem).to_owned(), self.at);
        }
        self.speaks_of(engines);
        self.at += 1;
    }

    fn speaks_of(&mut self, engines: &[Option<usize>]) {
        match engines {
            [] => {}
            [engine] => self.engine = *engine,
            _ => self.engine = None,
        }
        for engine in engines.iter().flatten() {
            self.named_in_order = match self.named_in_order {
                Some((_, last)) if last == *engine => self.named_in_order,
                Some((_, last)) => Some((last, *engine)),
                None => Some((*engine, *engine)),
            };
        }
    }

    /// Remembers a figure of the sentence at hand.
    pub(super) fn state(&mut self, figure: StatedFigure) {
        self.figures.retain(|(_, known)| *known != figure);
        if self.figures.len() == MOST {
            self.figures.remove(0);
        }
        self.figures.push((self.at, figure));
    }

    /// The figures stated lately, the last first, and how many sentences ago.
    pub(super) fn figures(&self) -> impl Iterator<Item = (u32, &StatedFigure)> {
        let known = self.figures.iter().rev().map(|(at, figure)| (self.at - at, figure));
        known.take_while(|(ago, _)| *ago < FORGOTTEN)
    }

    /// The entry that the last figure of the sentence before states.
    pub(super) fn stated_last(&self) -> Option<(usize, usize)> {
        match self.figures().next()? {
            (ago, StatedFigure::Entry(named)) if ago <= 1 => Some(*named),
            _ => None,
        }
    }

    /// Share of its worth that a word has left. `takes_up` says whether the sentence begins with a
    /// pronoun.
    pub(super) fn share(&self, word: &str, takes_up: bool) -> Option<f64> {
        let heading = self.heading.get(word).map(|()| HEADING);
        let said = self.said.get(word).map(|at| {
            let back = i32::try_from((self.at - at).clamp(1, 40)).unwrap_or(40);
            // A pronoun takes up the sentence before, and nothing further back.
            let share = if takes_up && back == 1 { TAKEN_UP } else { SENTENCE_BEFORE };
            share * FADES.powi(back - 1)
        });
        let best = said.into_iter().chain(heading).fold(0.0, f64::max);
        (FAINTEST < best).then_some(best)
    }

    /// Whether a word was said in the sentence before or in the heading.
    pub(super) fn holds(&self, word: &str) -> bool {
        let before = self.said.get(word).is_some_and(|at| at + 1 == self.at);
        before || self.heading.contains_key(word)
    }
}

/// Share below which a word says nothing.
const FAINTEST: f64 = 0.04;
