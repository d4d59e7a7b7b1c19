//! Tables of trade sizes: sealing rings and drills.
//!
//! A number that stands in no table is refused with its neighbours, never guessed. This layer knows
//! exact numbers and texts, not readings or pages.

mod dashes;
mod drills;
mod rings;

pub(crate) use dashes::{find_dashes, find_spoken_dashes};
pub use drills::{Drill, drill};
pub use rings::{
    Confidence, Ring, RingComparison, compare_rings, inches_to_metres, ring, ring_by_number, rings,
};

/// Why a name stands for no tabulated size.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TableFault {
    /// One line, lower case.
    pub message: String,
    /// What to write.
    pub help: Option<String>,
}

/// A ring number that does not exist or cannot be read.
pub(crate) type RingFault = TableFault;
/// A drill that does not exist or cannot be read.
pub(crate) type DrillFault = TableFault;
