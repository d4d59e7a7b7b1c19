//! A comparison page: engines are columns, readings are rows, every cell says what it rests on.

use super::{ClaimRow, Frame, Link, Shown, Standing, Structure};
use crate::site::figure::Mark;
use serde::Serialize;

/// One engine of a comparison.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Column {
    /// Name in words.
    pub title: String,
    /// Address of its page.
    pub address: String,
    /// Family in words; may be empty.
    pub family: String,
    /// Number of specimens measured.
    pub specimens: usize,
    /// True for the engine that the others are compared with.
    pub reference: bool,
}

/// Why a cell has no value.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Missing {
    /// "not known", "not measured" or "does not apply".
    pub what: String,
    /// Why, in the writer's words; may be empty.
    pub why: String,
}

/// One engine's value in one row. Either `shown` or `missing` is there.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Cell {
    /// The value.
    pub shown: Option<Shown>,
    /// Why there is none.
    pub missing: Option<Missing>,
    /// Its ±, if any.
    pub plus_minus: Option<Shown>,
    /// Short name of its source; "computed" for derived figures.
    pub source: String,
    /// Where its origin is told; `None` when there is nowhere.
    pub origin: Option<String>,
    /// How far it has been checked.
    pub mark: Mark,
    /// Name of the engine the value is borrowed from; empty when it is its own. A borrowed value
    /// never counts as equal.
    pub borrowed_from: String,
    /// How it stands to the reference column: "same" (by construction), "not told apart", "apart"
    /// or "incomparable"; empty in that column, for a borrowed value, and where unknown.
    pub relation: String,
    /// Why the two cannot be compared; may be empty.
    pub why: String,
    /// Difference from the reference column, signed; `None` in that column and where unknown.
    pub difference: Option<Difference>,
    /// Ratio to the reference column ("1.44 ×"); `None` likewise.
    pub ratio: Option<Difference>,
}

/// A difference or a ratio with its ±.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Difference {
    /// The difference.
    pub shown: Shown,
    /// Its ±, if any.
    pub plus_minus: Option<Shown>,
}

/// One row of a comparison.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct ComparisonRow {
    /// Anchor, without `#` (`row-metering_bore`).
    pub anchor: String,
    /// What is compared, in words.
    pub label: String,
    /// True for a setting (pressure, dwell) as opposed to a property.
    pub setting: bool,
    /// One cell per column, in the order of the columns.
    pub cells: Vec<Cell>,
    /// "all the same" or "not told apart" where no engine is known to differ; empty otherwise.
    pub agrees: String,
    /// SI unit of the machine-readable values; empty for plain numbers.
    pub si_unit: String,
}

/// Rows that belong together.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct RowGroup {
    /// What they have in common.
    pub label: String,
    /// The rows.
    pub rows: Vec<ComparisonRow>,
}

/// Several engines side by side.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct ComparisonPage {
    /// What surrounds it.
    pub frame: Frame,
    /// The engines.
    pub columns: Vec<Column>,
    /// The rows, grouped.
    pub groups: Vec<RowGroup>,
    /// Same or different by structure; `None` where it is not known.
    pub structure: Option<Structure>,
    /// Claims.
    pub claims: Vec<ClaimRow>,
    /// Under which conditions the figures hold, printed above the table.
    pub conditions: String,
    /// The running text, finished HTML.
    pub body_html: String,
    /// How the page stands.
    pub standing: Standing,
    /// Machine-readable files of this comparison.
    pub downloads: Vec<Link>,
}
