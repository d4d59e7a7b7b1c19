//! How a page stands: what was checked, from which sources, and what was let pass.

use super::Link;
use crate::site::figure::Mark;
use serde::Serialize;

/// How a judgement came out, in the words readers see.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// It agrees.
    Agree,
    /// It agrees only loosely.
    Lenient,
    /// It does not agree.
    Disagree,
    /// The two cannot be compared.
    Incomparable,
    /// There is nothing to judge it against.
    #[default]
    Open,
}

/// Counts of the figures of a page (or of the whole site) by how they were checked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct Coverage {
    /// Checked by computation.
    pub computed: usize,
    /// Checked against a second statement that does not rest on the first.
    pub second_statement: usize,
    /// One statement in two units that agree.
    pub conversion_agrees: usize,
    /// Resting on their own reading only.
    pub own_reading: usize,
    /// Asides, suppositions, changes and what stands in opinion or hearsay.
    pub aside: usize,
    /// Tied to no reading.
    pub untied: usize,
    /// Let pass by a waiver.
    pub waived: usize,
    /// Disagreeing; in drafts only.
    pub disagrees: usize,
    /// All of them.
    pub total: usize,
}

/// One source of a page.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct SourceRow {
    /// Anchor, without `#` (`source-bench`).
    pub anchor: String,
    /// Short name as the writer calls it.
    pub name: String,
    /// Kind in words ("measured", "maker says", "reported").
    pub kind: String,
    /// Everything else that is known: instrument, title, revision, who, when.
    pub details: String,
    /// How many figures of the page rest on it.
    pub figures: usize,
}

/// A correction that readers can see.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct CorrectionRow {
    /// Date, ISO 8601.
    pub on: String,
    /// What was corrected, in words.
    pub figure: String,
    /// Anchor of its row, without `#`; empty if it has none.
    pub anchor: String,
    /// What used to be stated.
    pub was: String,
    /// What is stated now.
    pub now: String,
    /// Why.
    pub because: String,
    /// From which source; may be empty.
    pub source: String,
}

/// A slip that the writer lets pass.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct WaiverRow {
    /// Anchor, without `#` (`waiver-1`).
    pub anchor: String,
    /// The fault, with its page in the catalogue.
    pub fault: Link,
    /// The figure or words it is about.
    pub at: String,
    /// Why it is let pass.
    pub because: String,
    /// Date, ISO 8601; may be empty.
    pub on: String,
}

/// A figure that is not the folio's to check.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct AsideRow {
    /// Anchor, without `#` (`aside-1`).
    pub anchor: String,
    /// The figure as written.
    pub text: String,
    /// Why it is not checked.
    pub because: String,
}

/// A figure that is published with a visible mark.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct MarkRow {
    /// Anchor, without `#` (`mark-1`).
    pub anchor: String,
    /// Which mark.
    pub mark: Mark,
    /// Its sign, as it stands after the figure.
    pub sign: String,
    /// The fault, with its page in the catalogue.
    pub fault: Link,
    /// The figure as written.
    pub text: String,
    /// What is the matter, in a sentence.
    pub message: String,
}

/// How a page stands. Lists may be empty; a theme leaves out what is empty.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Standing {
    /// Counts by how figures were checked.
    pub coverage: Coverage,
    /// Sources.
    pub sources: Vec<SourceRow>,
    /// Corrections, newest first.
    pub corrections: Vec<CorrectionRow>,
    /// Figures published with a visible mark.
    pub marks: Vec<MarkRow>,
    /// Asides.
    pub asides: Vec<AsideRow>,
    /// Waivers.
    pub waivers: Vec<WaiverRow>,
}
