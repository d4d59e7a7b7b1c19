//! The cutaway language: one engine's section as a small text, and the model that it stands for.
//!
//! ```text
//! cutaway rowan
//! supply line
//! chamber store  role store
//! way metering   from line to store  narrow
//! ```
//!
//! Reading never fails: a text gives a model of what could be read, and slips with exact places
//! for the rest. This layer knows texts and slips; it computes, moves and draws nothing.

mod align;
mod checks;
mod cursor;
mod defects;
mod element;
pub(crate) mod events;
mod gather;
mod grammar;
mod ids;
mod lines;
mod loops;
pub mod model;
mod names;
mod read;
pub mod sized;
pub(crate) mod solids;
pub(crate) mod spoken;
mod words;

pub use align::aligned;
pub use events::{
    EventFault, condition_words, event_words, fact_line, parse_event, side_words, spoken_fact,
    term_path,
};
pub(crate) use lines::statement_texts;
pub use model::Engine;
pub use words::{WordDoc, words};

/// Words that say how a fact is known: what stands in its brackets.
pub use read::HOW;

use crate::slip::{Slip, arrange};
use crate::text::{Source, Walkthrough};
use std::sync::{Arc, LazyLock};

/// A first cutaway, written step by step.
pub static WALK: LazyLock<Walkthrough> =
    LazyLock::new(|| Walkthrough::read(include_str!("walk.txt")));

/// The cutaway that the walk writes, whole.
#[must_use]
pub fn walked() -> String {
    WALK.lines().collect::<Vec<_>>().join("\n")
}

/// The text of another cutaway by the name of its engine.
pub(crate) type Others<'a> = &'a dyn Fn(&str) -> Option<Arc<Source>>;

/// Reads a cutaway. `others` gives the cutaways that it may be based on or compare with.
///
/// The slips tell of everything in this text, its revisions included. What was taken over from
/// another cutaway has its spans at the words `based on …` that brought it here, so that every
/// span lies in this text.
#[must_use]
pub fn read(source: &Arc<Source>, others: Others) -> (Engine, Vec<Slip>) {
    let mut reading = read::reading(source, others);
    arrange(&mut reading.slips);
    (reading.engine, reading.slips)
}

/// The engine of each revision and variant that a cutaway describes, named `rowan.A`, in the order
/// of the text. [`read()`] tells the slips of all of them.
#[must_use]
pub fn revisions(source: &Arc<Source>, others: Others) -> Vec<Engine> {
    read::reading(source, others).revisions
}
