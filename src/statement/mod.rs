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
mod clause;
mod degree;
mod likeness;
mod mood;
mod order;
mod ratio;
mod room;

pub(crate) use clause::Phrase;
pub(crate) use degree::{Degree, Sense};
pub(crate) use ratio::Factor;

use crate::folio::words::{Word, sentences, words};
use crate::text::Span;
use clause::Sentence;

/// What a sentence says, as far as it is a relation.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Statement {
    /// The clause that says it.
    pub(crate) span: Span,
    pub(crate) relation: Relation,
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
pub(crate) enum Relation {
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
    /// "the heaviest": more, or less, than every other.
    Extreme { what: Phrase, degree: &'static Degree, is_most: bool },
    /// "A before B": in every run, the first before the second.
    Before { first: Phrase, then: Phrase },
    /// "the land seal keeps the store from the switch room".
    Parts { seal: Phrase, one: Phrase, other: Phrase, is_denied: bool },
    /// "the spring pushes the bolt back".
    Pushes { what: Phrase, part: Phrase, is_forward: bool },
    /// "the metering hole leads from the line to the store".
    Joins { way: Phrase, from: Phrase, to: Phrase },
}

/// Finds the statements of a passage of plain text.
pub(crate) fn read(text: &str) -> Vec<Statement> {
    let mut found = Vec::new();
    for span in sentences(text) {
        let words: Vec<Word> = words(text, span);
        let sentence = Sentence { text, span, words: &words };
        if !mood::is_claim(&sentence) {
            continue;
        }
        let before = found.len();
        apart::read(&sentence, &mut found);
        likeness::read(&sentence, &mut found);
        ratio::read(&sentence, &mut found);
        room::read(&sentence, &mut found);
        order::read(&sentence, &mut found);
        // One clause is read one way only: the first reader that knows its form has it.
        let mut kept: Vec<Statement> = Vec::new();
        for statement in found.drain(before..) {
            if !kept.iter().any(|known| known.span.overlaps(statement.span)) {
                kept.push(statement);
            }
        }
        kept.sort_by_key(|statement| statement.span);
        found.extend(kept);
    }
    found
}

#[cfg(test)]
mod tests;
