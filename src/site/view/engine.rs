//! An engine page: running text, data sheet, and how both stand.

use super::{Frame, Link, SequenceRow, Shot, Shown, Standing, Verdict};
use crate::site::figure::Mark;
use serde::Serialize;

/// A figure worth seeing first.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct KeyFigure {
    /// Name in words ("operating pressure").
    pub label: String,
    /// The value.
    pub shown: Shown,
    /// Its ±, if it has one.
    pub plus_minus: Option<Shown>,
    /// Anchor of its row on the engine's page, without `#`.
    pub anchor: String,
    /// How far it has been checked.
    pub mark: Mark,
}

/// One of several statements of the same reading.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Statement {
    /// The value it states.
    pub shown: Shown,
    /// Its ±, if any.
    pub plus_minus: Option<Shown>,
    /// Short name of its source.
    pub source: String,
    /// Anchor of the source's row, without `#`; empty if the source is not stated.
    pub source_anchor: String,
    /// How it compares with the first statement.
    pub verdict: Verdict,
    /// Why, in words; may be empty.
    pub reason: String,
}

/// One reading in the data sheet.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct ReadingRow {
    /// Anchor, without `#` (`reading-operating_pressure`).
    pub anchor: String,
    /// Name in formulas (`operating_pressure`).
    pub id: String,
    /// Name in words.
    pub label: String,
    /// Other words that mean it.
    pub cues: Vec<String>,
    /// The value; `None` when it was not measured.
    pub shown: Option<Shown>,
    /// Its ±, if any.
    pub plus_minus: Option<Shown>,
    /// How the reading was taken where that is more than one number ("3 readings", "goes 1.0 mm,
    /// stops 1.1 mm", "by photo"); may be empty.
    pub form: String,
    /// Why there is no value; empty when there is one.
    pub not_measured: String,
    /// Name of the engine it is borrowed from; empty when it is this engine's own.
    pub borrowed_from: String,
    /// Short name of the source ("card") or "not yet stated".
    pub source: String,
    /// Anchor of the source's row, without `#`; empty if the source is not stated.
    pub source_anchor: String,
    /// Kind of the source in words ("measured").
    pub source_kind: String,
    /// How far it has been checked.
    pub mark: Mark,
    /// How it was checked, in words ("claim 2; three places in the text").
    pub how_checked: String,
    /// How sure it is, in words; may be empty.
    pub how_sure: String,
    /// Further statements of it, judged against the first.
    pub also: Vec<Statement>,
    /// True for a setting (pressure, dwell) as opposed to a property.
    pub setting: bool,
    /// Revision of the engine it belongs to; may be empty.
    pub revision: String,
    /// The writer's note; may be empty.
    pub note: String,
}

/// Readings that belong together ("Pressures", "Bores").
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct ReadingGroup {
    /// What they have in common.
    pub label: String,
    /// The readings.
    pub rows: Vec<ReadingRow>,
}

/// One derived figure.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct DerivedRow {
    /// Anchor, without `#` (`derived-metering_area`).
    pub anchor: String,
    /// Name in formulas.
    pub id: String,
    /// Name in words.
    pub label: String,
    /// Other words that mean it.
    pub cues: Vec<String>,
    /// The result.
    pub shown: Shown,
    /// Its ±, propagated.
    pub plus_minus: Option<Shown>,
    /// The formula as the writer typed it.
    pub formula: String,
    /// What went in: title is "metering bore 0.90 mm", address leads to its row (site-relative).
    pub inputs: Vec<Link>,
    /// Largest share of the ± ("metering bore gives 91 % of it"); may be empty.
    pub how_sure: String,
    /// The writer's note; may be empty.
    pub note: String,
}

/// A claim of the writer and how it was judged.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct ClaimRow {
    /// Anchor, without `#` (`claim-1`).
    pub anchor: String,
    /// What the writer says.
    pub say: String,
    /// The formula it rests on.
    pub holds: String,
    /// How it was judged.
    pub verdict: Verdict,
    /// What was worked out ("retained share works out as 61 % ± 2 %").
    pub reason: String,
}

/// Something the writer does not know yet.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct QuestionRow {
    /// The question.
    pub ask: String,
    /// What would settle it; may be empty.
    pub settles: String,
}

/// A version of the engine.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct RevisionRow {
    /// Its name.
    pub name: String,
    /// Since when; may be empty.
    pub on: String,
    /// What changed.
    pub changed: String,
}

/// The page of one engine.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct EnginePage {
    /// What surrounds it.
    pub frame: Frame,
    /// Name in formulas.
    pub engine: String,
    /// Family in words.
    pub family: String,
    /// The engine it comes from, if the writer says so.
    pub descends_from: Option<Link>,
    /// Engines that come from it.
    pub descendants: Vec<Link>,
    /// Comparison pages it stands on.
    pub compared_on: Vec<Link>,
    /// Number of specimens measured.
    pub specimens: usize,
    /// The figures worth seeing first, six at most.
    pub key_figures: Vec<KeyFigure>,
    /// The running text, finished HTML.
    pub body_html: String,
    /// The data sheet's readings.
    pub readings: Vec<ReadingGroup>,
    /// Derived figures.
    pub derived: Vec<DerivedRow>,
    /// Claims.
    pub claims: Vec<ClaimRow>,
    /// The writer's order of events.
    pub sequence: Vec<SequenceRow>,
    /// One shot, where the engine has a cutaway.
    pub shot: Option<Shot>,
    /// Open questions.
    pub questions: Vec<QuestionRow>,
    /// Versions of the engine.
    pub revisions: Vec<RevisionRow>,
    /// How the page stands.
    pub standing: Standing,
    /// Machine-readable files of this engine ("Data sheet (CSV)").
    pub downloads: Vec<Link>,
}
