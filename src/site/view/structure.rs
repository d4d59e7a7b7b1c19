//! Same or different: engines side by side by structure and by the order of events.

use serde::Serialize;

/// What engines have in common and what not, the first being the one that others are compared with.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Structure {
    /// One sentence or two for each engine but the first.
    pub(crate) verdicts: Vec<String>,
    /// What is only in one, or comes at another place, as sentences.
    pub(crate) says: Vec<String>,
    /// Engines without a cutaway, of which nothing can be said here.
    pub(crate) lacking: Vec<String>,
    /// The engines, in words.
    pub(crate) titles: Vec<String>,
    /// What differs, grouped by anatomy.
    pub(crate) groups: Vec<StructureGroup>,
    /// What is the same in all, grouped by anatomy.
    pub(crate) same: Vec<StructureGroup>,
    /// How many things are the same in all.
    pub(crate) same_count: usize,
    /// What happens, event by event.
    pub(crate) lanes: Vec<LaneRow>,
    /// The circuits, with what differs marked.
    pub(crate) circuits: Vec<CircuitPicture>,
}

/// Rows that belong together.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub(crate) struct StructureGroup {
    /// Chambers, ways, moving parts, ….
    pub(crate) label: String,
    pub(crate) rows: Vec<StructureRow>,
}

/// One thing in all engines.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub(crate) struct StructureRow {
    /// A cell for each engine.
    pub(crate) cells: Vec<StructureCell>,
    /// Whether it is the same in all.
    pub(crate) same: bool,
}

/// One thing in one engine.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub(crate) struct StructureCell {
    /// What the engine calls it; empty where it has none.
    pub(crate) name: String,
    /// "same", "differs", "only here" or "none"; empty for the first engine.
    pub(crate) standing: String,
    /// What is said of it, as sentences without full stop.
    pub(crate) says: Vec<String>,
}

/// One event in all engines.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub(crate) struct LaneRow {
    /// A cell for each engine; empty words where it does not happen there.
    pub(crate) cells: Vec<LaneCell>,
    /// Whether it comes at the same place in all.
    pub(crate) same: bool,
}

/// One event in one engine.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub(crate) struct LaneCell {
    /// The event in words; empty where it does not happen here.
    pub(crate) words: String,
    /// "only here", "elsewhere", "not compared"; empty where it is the same.
    pub(crate) tag: String,
}

/// The circuit of one engine.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub(crate) struct CircuitPicture {
    /// The engine in words.
    pub(crate) title: String,
    pub(crate) svg: String,
}
