//! One shot of an engine, as its cutaway and the event logic give it.

use super::{Link, Verdict};
use serde::Serialize;

/// The routing of an engine and what happens in one shot.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Shot {
    /// The circuit at rest, finished SVG.
    pub(crate) circuit: String,
    /// What happens, in order; the first is the state at rest.
    pub(crate) poses: Vec<Pose>,
    /// How it ends, as a sentence.
    pub(crate) ending: String,
    /// Whether it ends at rest.
    pub(crate) ends_well: bool,
    /// Whether it is decided to its end.
    pub(crate) decided: bool,
    /// What the telling takes for granted, as sentences.
    pub(crate) granted: Vec<String>,
    /// How it may end where the order of events is not certain, as sentences.
    pub(crate) otherwise: Vec<String>,
    /// The chambers whose pressures are told, in words.
    pub(crate) chambers: Vec<String>,
    /// Seals and what they keep apart.
    pub(crate) seals: Vec<SealRow>,
    pub(crate) facts: Vec<FactRow>,
    /// The cutaway and pictures as files.
    pub(crate) downloads: Vec<Link>,
}

/// One moment of a shot.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Pose {
    /// Number, from 0 for the state at rest.
    pub(crate) number: usize,
    /// Anchor, without `#`.
    pub(crate) anchor: String,
    /// What has just happened, in words.
    pub(crate) events: Vec<String>,
    /// Why; may be empty.
    pub(crate) why: String,
    /// The pressure in each chamber, as a word, and whether it has just changed.
    pub(crate) levels: Vec<LevelCell>,
    /// The picture of this moment, finished SVG.
    pub(crate) picture: String,
}

/// The pressure of a chamber in words.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct LevelCell {
    /// full, drawn on, spent, empty.
    pub(crate) word: String,
    /// Whether it has just changed.
    pub(crate) changed: bool,
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
    pub(crate) name: String,
    /// The part that carries it, in words.
    pub(crate) on: String,
    /// What it keeps apart: "the store from the transfer tube".
    pub(crate) between: String,
    /// Ring size; may be empty.
    pub(crate) size: String,
    /// When it seals; empty where always.
    pub(crate) when: String,
    /// Where the air goes when it leaks, as a sentence.
    pub(crate) leak: String,
}

/// One ordinal fact.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct FactRow {
    /// The fact in words.
    pub(crate) say: String,
    /// How it is known.
    pub(crate) known: String,
}
