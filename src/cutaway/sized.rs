//! The sizes of a cutaway as plain numbers, for pictures to scale: bodies, rings in their grooves,
//! and where the parts stand.

use super::model::{ChamberId, PartId, PositionId, SealId, WayId};
use crate::geometry::Assembly;
use std::collections::BTreeMap;
use std::ops::Range;

/// Outside radius of a step of the body of which none is stated, m: it bounds no room.
pub(crate) const UNKNOWN_OUTSIDE: f64 = 0.5;

/// A ring in its groove.
#[derive(Debug, Clone)]
pub(crate) struct SizedRing {
    pub(crate) seal: SealId,
    /// Radius of the floor of its groove, m.
    pub(crate) floor: f64,
    /// Width of its section, m.
    pub(crate) section: f64,
    /// From where to where its groove reaches, in m along the axis of what carries it.
    pub(crate) groove: (f64, f64),
}

/// An engine with all its sizes.
#[derive(Debug, Clone)]
pub struct SizedEngine {
    /// Bodies, rings and rooms; grooves count as full.
    pub(crate) assembly: Assembly<f64>,
    /// The part of each body behind the fixed one.
    pub(crate) parts: Vec<PartId>,
    /// The chamber of each room.
    pub(crate) rooms: Vec<ChamberId>,
    /// By body the steps of each piece that is made by itself; all of them where nothing is said.
    pub(crate) made: Vec<Vec<Range<usize>>>,
    /// In the order of the assembly.
    pub(crate) rings: Vec<SizedRing>,
    /// The way of each port of the assembly; made-up sizes have none.
    pub(crate) ports: Vec<WayId>,
    /// Where the parts stand at their positions, m.
    pub(crate) places: BTreeMap<(PartId, PositionId), f64>,
    /// What is not known and drawn at a usual size, in words.
    pub(crate) guessed: Vec<String>,
    /// The axis that it is, where there are several.
    pub(crate) axis: Option<String>,
    /// Whether its foremost bore is the barrel.
    pub(crate) has_barrel: bool,
}

impl SizedEngine {
    /// Whether a chamber lies in a room of the drawing.
    #[must_use]
    pub fn has_room(&self, chamber: ChamberId) -> bool {
        self.rooms.contains(&chamber)
    }
}
