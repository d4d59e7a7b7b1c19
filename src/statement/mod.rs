//! The statement reader: finds what a sentence says of things beside figures.
//!
//! ```text
//! "Ash's store is half as large again as Rowan's."
//!  ^^^^^^^^^^^    ^^^^^^^^^^^^^^^^^^^    ^^^^^^^^    one thing, a relation, another thing
//! ```
//!
//! A breakdown is mostly relation and order: "wider than", "three times the", "closes before",
//! "keeps A from B". Each relation has a file of its own that knows the forms in which English
//! writes it. The reader works sentence by sentence on words alone, in linear time. What it is
//! not sure of it leaves: a missed statement costs a check, an invented one costs trust.
//!
//! It knows no readings, no cutaways and no engines: it hands on phrases, and whoever knows the
//! folio says what they name (`proof/checks/relation`). It judges nothing.

mod apart;
mod bound;
mod clause;
mod count;
mod degree;
mod likeness;
mod mood;
mod order;
mod ratio;
mod ring;
mod room;
mod share;
mod state;

pub(crate) use clause::Phrase;
pub(crate) use degree::{Degree, Sense};
pub(crate) use ratio::Factor;

use crate::folio::words::{TextWord, sentences, words};
use crate::text::Span;
use clause::ClauseSentence;
use std::collections::BTreeMap;

/// What a sentence says, as far as it is a relation.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Statement {
    /// The clause that says it.
    pub(crate) span: Span,
    pub(crate) relation: StatedRelation,
}

/// How one quantity stands to another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Than {
    /// "wider than".
    More,
    /// "narrower than".
    Less,
    /// "no narrower than".
    NotLess,
    /// "no wider than", "not as wide as".
    NotMore,
}

impl Than {
    pub(crate) fn denied(self) -> Than {
        match self {
            Than::More => Than::NotMore,
            Than::Less => Than::NotLess,
            Than::NotLess => Than::Less,
            Than::NotMore => Than::More,
        }
    }
}

/// A relation between things.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum StatedRelation {
    /// "the bolt is heavier than the switch".
    Compare { left: Phrase, right: Phrase, degree: &'static Degree, than: Than },
    /// "as long as".
    Same { left: Phrase, right: Phrase, degree: &'static Degree, is_denied: bool },
    /// "twice as long as", "a third of the area of": `left` is `factor` times `right`.
    Ratio { left: Phrase, right: Phrase, degree: Option<&'static Degree>, factor: Factor },
    /// "5 mm longer than": `by` is the figure's place.
    Apart { left: Phrase, right: Phrase, degree: &'static Degree, by: Span },
    /// "went from 21 g to 18 g", from the engine it descends from.
    Change { what: Phrase, from: Span, to: Span },
    /// "have the same bore": a figure of several engines.
    Alike { who: Phrase, noun: Phrase },
    /// "the heaviest": more than every other; of a pair, more than the other one.
    Extreme { what: Phrase, degree: &'static Degree, is_of_pair: bool },
    /// "A before B": in every run, the first before the second.
    Before { first: Phrase, then: Phrase },
    /// "the land seal keeps the store from the switch room".
    Parts { seal: Phrase, one: Phrase, other: Phrase, is_denied: bool },
    /// "the spring pushes the bolt back".
    Pushes { what: Phrase, part: Phrase, is_forward: bool },
    /// "the metering hole leads from the line to the store"; without a way, any will do.
    Joins { way: Option<Phrase>, from: Phrase, to: Phrase },
    /// "first A, then B, and only then C".
    Sequence { steps: Vec<Phrase> },
    /// "while the spool is forward, the hole is shut".
    During { state: Phrase, what: Phrase, is_open: bool },
    /// "the tail ring is a -014", "went from a -012 to a -011"; sizes without their dash.
    Ring { seal: Phrase, was: Option<String>, size: String },
    /// "the Trug has two pilot valves".
    Count { who: Phrase, noun: Phrase, count: f64 },
    /// "weighs less than 25 g": `figure` is the figure's place.
    Bound { what: Phrase, than: Than, figure: Span },
    /// "grew by 2 mm", from the engine it descends from.
    Grew { what: Phrase, by: Span, is_more: bool },
    /// "keeps two thirds of its air", "spends nearly all of it".
    Share { who: Phrase, factor: Factor, is_kept: bool },
}

/// Words of a sentence beyond which it is not read: nobody says one thing in so many, and what
/// each reader looks back and ahead for would be sought again and again.
const LONGEST: usize = 200;

/// Finds the statements of a passage of plain text, in the order in which they stand. A clause that
/// can be read in several ways is given in all of them, the likeliest first: whoever knows what
/// words name takes the first that names something.
pub(crate) fn read(text: &str) -> Vec<Statement> {
    const READERS: [fn(&ClauseSentence<'_>, &mut Vec<Statement>); 10] = [
        apart::read,
        likeness::read,
        ratio::read,
        ring::read,
        bound::read,
        share::read,
        count::read,
        room::read,
        state::read,
        order::read,
    ];
    let mut found = Vec::new();
    let mut before: Option<Phrase> = None;
    for span in sentences(text) {
        let words: Vec<TextWord> = words(text, span);
        let sentence = ClauseSentence { text, span, words: &words, before: before.as_ref() };
        if words.len() <= LONGEST && mood::is_claim(&sentence) {
            for reader in READERS {
                reader(&sentence, &mut found);
            }
            found.extend(before.as_ref().and_then(|before| order::across(before, &sentence)));
            let says = sentence.phrase(0, words.len());
            before = says;
        } else {
            before = None;
        }
    }
    found
}

/// The first of those that overlap, in the order in which they stand. A ring's size is told beside
/// something else: "the lid ring, a -110, parts the dome from the throat".
pub(crate) fn first_readings<T>(found: Vec<T>, of: impl Fn(&T) -> &Statement) -> Vec<T> {
    let mut kept: Vec<T> = Vec::new();
    // Where the kept ones start and end: those of a sort do not overlap.
    let mut told: [BTreeMap<usize, usize>; 2] = Default::default();
    for statement in found {
        let Statement { span, relation } = of(&statement);
        let told = &mut told[usize::from(matches!(relation, StatedRelation::Ring { .. }))];
        let last = told.range(..span.end).next_back();
        if last.is_none_or(|(_, end)| *end <= span.start) {
            told.insert(span.start, span.end);
            kept.push(statement);
        }
    }
    kept.sort_by_key(|statement| of(statement).span);
    kept
}

#[cfg(test)]
mod tests;
