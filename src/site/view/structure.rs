//! Same or different: engines side by side by structure and by the order of events.

use serde::Serialize;

/// What engines have in common and what not, the first being the one that others are compared with.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Structure {
    /// One sentence or two for each engine but the first.
    pub verdicts: Vec<String>,
    /// What is only in one, or comes at another place, as sentences.
    pub says: Vec<String>,
    /// Engines without a cutaway, of which nothing can be said here.
    pub lacking: Vec<String>,
    /// The engines, in words.
    pub titles: Vec<String>,
    /// What differs, grouped by anatomy.
    pub groups: Vec<StructureGroup>,
    /// What is the same in all, grouped by anatomy.
    pub same: Vec<StructureGroup>,
    /// How many things are the same in all.
    pub same_count: usize,
    /// What happens, event by event.
    pub lanes: Vec<LaneRow>,
    /// The circuits, with what differs marked.
    pub circuits: Vec<CircuitPicture>,
}

/// Rows that belong together.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct StructureGroup {
    /// Chambers, ways, moving parts, ….
    pub label: String,
    /// The rows.
    pub rows: Vec<StructureRow>,
}

/// One thing in all engines.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct StructureRow {
    /// A cell for each engine.
    pub cells: Vec<StructureCell>,
    /// Whether it is the same in all.
    pub same: bool,
}

/// One thing in one engine.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct StructureCell {
    /// What the engine calls it; empty where it has none.
    pub name: String,
    /// "same", "differs", "only here" or "none"; empty for the first engine.
    pub standing: String,
    /// What is said of it, as sentences without full stop.
    pub says: Vec<String>,
}

/// One event in all engines.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct LaneRow {
    /// A cell for each engine; empty words where it does not happen there.
    pub cells: Vec<LaneCell>,
    /// Whether it comes at the same place in all.
    pub same: bool,
}

/// One event in one engine.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct LaneCell {
    /// The event in words; empty where it does not happen here.
    pub words: String,
    /// "only here", "elsewhere", "not compared"; empty where it is the same.
    pub tag: String,
}

/// The circuit of one engine.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct CircuitPicture {
    /// The engine in words.
    pub title: String,
    /// Finished SVG.
    pub svg: String,
}
