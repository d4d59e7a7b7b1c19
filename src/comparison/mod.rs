//! Same or different: two engines compared by structure and by the order of events.
//!
//! Models are compared, not words: chambers by what they are for and what they are joined to, parts
//! by what pushes them, events by what happens. "Same structure" is computed here; "copied"
//! never is.

mod alignment_search;
mod certain;
pub mod claims;
pub mod compare;
mod evidence;
mod facts;
mod fixed_rows;
mod folding;
mod isomorphism;
mod lane_words;
pub(crate) mod matching;
mod milestones;
mod moving_rows;
mod needs;
mod run_order;
pub(crate) mod sequence;
pub(crate) mod several;
mod tables;
pub(crate) mod thing;
mod words;

pub use compare::{Anatomy, Likeness, Row, RowStanding, Sentence, compare};
pub use matching::{Matching, Pair, Sure, matched};
pub use milestones::Milestone;
pub(crate) use milestones::{ReachedMilestone, milestones_of};
pub use sequence::{Lane, LanePlace, Sequence, Told};
pub use several::{Several, compare_all};

use crate::cutaway::Engine;
use crate::logic::Exploration;

/// An engine, and what the logic found of it.
#[derive(Debug, Clone, Copy)]
pub struct Side<'a> {
    /// The engine.
    pub engine: &'a Engine,
    /// What can happen in one shot.
    pub run: &'a Exploration,
}
