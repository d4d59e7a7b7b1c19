//! What the proof found out about one stated figure.

use crate::quantity::{Figure, Judgement, Verdict};
use crate::text::Span;

/// How far a figure was checked, or why it was not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Status {
    /// Recomputed by a formula, and it agrees.
    Computed,
    /// Agrees with a reading that rests on two statements, or with its own conversion.
    SecondStatement,
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
    /// Disagrees, or cannot be compared.
    Disagrees,
}

/// One figure of a page, with its conversions.
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
}

/// A passage's figures.
#[derive(Debug, Default)]
pub(crate) struct PassageProof {
    /// Figures in reading order.
    pub(crate) figures: Vec<JudgedFigure>,
}

/// Counts of a page's figures by how they were checked.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Coverage {
    /// By computation.
    pub computed: usize,
    /// By a second statement.
    pub second_statement: usize,
    /// Only by their own reading.
    pub own_reading: usize,
    /// Asides, suppositions, changes, denials, and what is set apart.
    pub aside: usize,
    /// Tied to nothing.
    pub untied: usize,
    /// With a slip that stops.
    pub(crate) disagrees: usize,
}

impl Coverage {
    /// Counts one figure. Printed figures are no statements.
    pub(crate) fn count(&mut self, status: Status) {
        match status {
            Status::Computed => self.computed += 1,
            Status::SecondStatement => self.second_statement += 1,
            Status::OwnReading | Status::Lenient => self.own_reading += 1,
            Status::Printed => {}
            Status::Aside
            | Status::Supposition
            | Status::Change
            | Status::Denied
            | Status::SetApart => self.aside += 1,
            Status::Untied => self.untied += 1,
            Status::Disagrees => self.disagrees += 1,
        }
    }

    /// All figures.
    pub(crate) fn total(&self) -> usize {
        self.computed
            + self.second_statement
            + self.own_reading
            + self.aside
            + self.untied
            + self.disagrees
    }

    /// Adds another page's counts.
    pub(crate) fn add(&mut self, other: &Coverage) {
        self.computed += other.computed;
        self.second_statement += other.second_statement;
        self.own_reading += other.own_reading;
        self.aside += other.aside;
        self.untied += other.untied;
        self.disagrees += other.disagrees;
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
