//! What the proof found out about one stated figure.

use super::checks::relation::{JudgedStatement, StatementStanding};
use crate::quantity::{Figure, Judgement, Verdict};
use crate::sheet::{Entry, Sheet, Stated};
use crate::slip::Slip;
use crate::text::Span;
use serde::Serialize;

/// How far a figure was checked, or why it was not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Status {
    /// Recomputed by a formula, and it agrees.
    Computed,
    /// Agrees with a reading that two statements bear out which do not rest on each other: from two
    /// sources, or taken in two ways.
    SecondStatement,
    /// One statement in two units, and the conversion agrees.
    ConversionAgrees,
    /// Agrees with a reading that is stated once.
    OwnReading,
    /// Printed by the page.
    Printed,
    /// Not ours to check.
    Aside,
    /// A supposition.
    Supposition,
    /// A change.
    Change,
    /// Denied, and indeed not so.
    Denied,
    /// In opinion, hearsay, history or an open question.
    SetApart,
    /// Agrees leniently.
    Lenient,
    /// Tied to nothing.
    Untied,
    /// Let pass by a waiver, whatever is wrong with it.
    Waived,
    /// Disagrees, or cannot be compared.
    Disagrees,
}

impl Status {
    /// The status in words.
    pub(crate) fn words(self) -> &'static str {
        match self {
            Status::Computed => "tied, and recomputed by a formula",
            Status::SecondStatement => "tied, and borne out by a second statement",
            Status::ConversionAgrees => "tied, and its conversion agrees",
            Status::OwnReading => "tied to its reading",
            Status::Printed => "printed by the page",
            Status::Aside => "an aside",
            Status::Supposition => "a supposition",
            Status::Change => "a change",
            Status::Denied => "denied",
            Status::SetApart => "set apart from fact",
            Status::Lenient => "tied, and agrees loosely",
            Status::Untied => "tied to nothing",
            Status::Waived => "let pass by a waiver",
            Status::Disagrees => "tied, and disagrees",
        }
    }
}

/// How far a named figure is borne out, for tables and texts alike: nothing else decides it.
#[must_use]
pub(crate) fn support(sheet: &Sheet, entry: &Entry) -> Status {
    let Some(reading) = entry.reading() else { return Status::Computed };
    let of = |stated: &Stated| {
        let from = stated.from.as_ref().map(|from| from.text.clone());
        // Taking a size again is no other way of taking it.
        let way = if stated.repeats.is_empty() { stated.form.clone() } else { String::new() };
        (from.or_else(|| sheet.readings_from.clone()), way)
    };
    let Some((first, others)) = reading.statements.split_first() else { return Status::OwnReading };
    if others.iter().any(|other| of(other) != of(first)) {
        Status::SecondStatement
    } else if reading.statements.iter().any(|stated| 1 < stated.figures.len()) {
        Status::ConversionAgrees
    } else {
        Status::OwnReading
    }
}

/// One figure of a page, with its conversions, what was found out about it and what became of that.
#[derive(Debug, Clone)]
pub struct JudgedFigure {
    /// In the passage: the figure and its conversions, or the whole bound text.
    pub span: Span,
    /// The first member.
    pub figure: Figure,
    /// All members in order, the first included.
    pub members: Vec<Figure>,
    /// Where each member stands in the writer's file.
    pub(crate) places: Vec<Span>,
    /// How far it was checked.
    pub status: Status,
    /// Sheet and entry it is tied to.
    pub tied: Option<(usize, usize)>,
    /// Formula it is bound to, if it is more than a name.
    pub formula: Option<String>,
    /// The writer's reason for an aside, a supposition or a change; else empty.
    pub(crate) reason: String,
    /// What is wrong with it, as far as no waiver lets it pass.
    pub(crate) slips: Vec<Slip>,
    /// Index of the page's waiver that lets it pass.
    pub(crate) waiver: Option<usize>,
    /// What it may be, the likeliest first.
    pub proposals: Vec<Proposal>,
    /// What was weighed, a line each; only where that was asked for.
    pub why: Vec<String>,
}

/// What a figure may be, as a binding would say it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Proposal {
    /// Name or formula.
    pub formula: String,
    /// Whether nothing else comes near, so that it may be accepted unseen.
    pub is_certain: bool,
}

impl JudgedFigure {
    /// What is wrong with it.
    pub(crate) fn slips(&self) -> impl Iterator<Item = &Slip> {
        self.slips.iter()
    }

    /// Where each member stands in the writer's file.
    #[must_use]
    pub fn places(&self) -> &[Span] {
        &self.places
    }

    /// Takes the figure for one that is borne out by what stands beside it.
    pub(crate) fn settle(&mut self) {
        self.status = Status::Computed;
        self.slips.clear();
    }
}

/// A passage's figures.
#[derive(Debug, Default)]
pub(crate) struct PassageProof {
    /// Figures in reading order.
    pub(crate) figures: Vec<JudgedFigure>,
    /// Slips that belong to no figure.
    pub(crate) slips: Vec<Slip>,
}

impl PassageProof {
    /// Takes what a check found: the figure with its slips, or slips of no figure.
    pub(crate) fn take(&mut self, found: Option<JudgedFigure>, slips: Vec<Slip>) {
        match found {
            Some(figure) => self.figures.push(JudgedFigure { slips, ..figure }),
            None => self.slips.extend(slips),
        }
    }
}

/// Counts of a page's figures by how they were checked.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Coverage {
    /// By computation.
    pub computed: usize,
    /// By a second statement that does not rest on the first.
    pub second_statement: usize,
    /// By a conversion only: one statement in two units.
    pub conversion_agrees: usize,
    /// Only by their own reading.
    pub own_reading: usize,
    /// Asides, suppositions, changes, denials, and what is set apart.
    pub aside: usize,
    /// Tied to nothing.
    pub untied: usize,
    /// Let pass by a waiver.
    pub waived: usize,
    /// With a slip that stops.
    pub disagrees: usize,
    /// Sentences that say something of two things, and hold.
    pub statements_held: usize,
    /// The same, where what is known does not decide.
    pub statements_open: usize,
    /// Sentences that say something of known things in words that no question was made of.
    pub statements_unasked: usize,
}

impl Coverage {
    /// Counts one figure. Printed figures are no statements.
    pub(crate) fn count(&mut self, status: Status) {
        match status {
            Status::Computed => self.computed += 1,
            Status::SecondStatement => self.second_statement += 1,
            Status::ConversionAgrees => self.conversion_agrees += 1,
            Status::OwnReading | Status::Lenient => self.own_reading += 1,
            Status::Printed => {}
            Status::Aside
            | Status::Supposition
            | Status::Change
            | Status::Denied
            | Status::SetApart => self.aside += 1,
            Status::Untied => self.untied += 1,
            Status::Waived => self.waived += 1,
            Status::Disagrees => self.disagrees += 1,
        }
    }

    /// Counts the statements of a passage.
    pub(crate) fn count_statements(&mut self, judged: &[JudgedStatement]) {
        let of = |standing| judged.iter().filter(|judged| judged.standing == standing).count();
        self.statements_held += of(StatementStanding::Holds);
        self.statements_open += of(StatementStanding::Open) + of(StatementStanding::Unknown);
        self.statements_unasked += of(StatementStanding::Unasked);
    }

    /// All figures.
    pub(crate) fn total(&self) -> usize {
        self.computed
            + self.second_statement
            + self.conversion_agrees
            + self.own_reading
            + self.aside
            + self.untied
            + self.waived
            + self.disagrees
    }

    /// Figures and statements that were held against something.
    pub(crate) fn judged(&self) -> usize {
        self.total() - self.aside - self.untied - self.waived + self.statements_held
    }

    /// Adds another page's counts.
    pub fn add(&mut self, other: &Coverage) {
        self.computed += other.computed;
        self.second_statement += other.second_statement;
        self.conversion_agrees += other.conversion_agrees;
        self.own_reading += other.own_reading;
        self.aside += other.aside;
        self.untied += other.untied;
        self.waived += other.waived;
        self.disagrees += other.disagrees;
        self.statements_held += other.statements_held;
        self.statements_open += other.statements_open;
        self.statements_unasked += other.statements_unasked;
    }
}

/// The worse of two judgements; the first of equals.
pub(crate) fn worse(a: Judgement, b: Judgement) -> Judgement {
    if a.verdict < b.verdict { b } else { a }
}

/// Whether a verdict lets the figure stand.
pub(crate) fn stands(judgement: &Judgement) -> bool {
    matches!(judgement.verdict, Verdict::Agree | Verdict::Lenient)
}
