//! One shot of an engine, as its cutaway and the event logic give it.

use super::{Link, Verdict};
use serde::Serialize;

/// The routing of an engine and what happens in one shot.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Shot {
    /// The circuit at rest, finished SVG.
    pub circuit: String,
    /// What happens, in order; the first is the state at rest.
    pub poses: Vec<Pose>,
    /// How it ends, as a sentence.
    pub ending: String,
    /// Whether it ends at rest.
    pub ends_well: bool,
    /// Whether it is decided to its end.
    pub decided: bool,
    /// What the telling takes for granted, as sentences.
    pub granted: Vec<String>,
    /// How it may end where the order of events is not certain, as sentences.
    pub otherwise: Vec<String>,
    /// The chambers whose pressures are told, in words.
    pub chambers: Vec<String>,
    /// Seals and what they keep apart.
    pub seals: Vec<SealRow>,
    /// Ordinal facts.
    pub facts: Vec<FactRow>,
    /// The cutaway and pictures as files.
    pub downloads: Vec<Link>,
}

/// One moment of a shot.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Pose {
    /// Number, from 0 for the state at rest.
    pub number: usize,
    /// Anchor, without `#`.
    pub anchor: String,
    /// What has just happened, in words.
    pub events: Vec<String>,
    /// Why; may be empty.
    pub why: String,
    /// The pressure in each chamber, as a word, and whether it has just changed.
    pub levels: Vec<LevelCell>,
    /// The picture of this moment, finished SVG.
    pub picture: String,
}

/// The pressure of a chamber in words.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct LevelCell {
    /// full, drawn on, spent, empty.
    pub word: String,
    /// Whether it has just changed.
    pub changed: bool,
}

/// One event of the writer's sequence.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct SequenceRow {
    /// The writer's words.
    pub say: String,
    /// What the model calls it; empty where nothing was to be checked.
    pub event: String,
    /// How it was judged; `None` where there is no cutaway.
    pub verdict: Option<Verdict>,
    /// What was found, as a short phrase; may be empty.
    pub found: String,
}

/// One seal.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct SealRow {
    /// Name in words.
    pub name: String,
    /// The part that carries it, in words.
    pub on: String,
    /// What it keeps apart: "the store from the transfer tube".
    pub between: String,
    /// Ring size; may be empty.
    pub size: String,
    /// When it seals; empty where always.
    pub when: String,
    /// Where the air goes when it leaks, as a sentence.
    pub leak: String,
}

/// One ordinal fact.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct FactRow {
    /// The fact in words.
    pub say: String,
    /// How it is known.
    pub known: String,
}
