//! Statements: what a sentence says of things is worked out from their figures, their cutaways and
//! the runs of their shots.
//!
//! Each statement becomes a question that a claim could ask. What names nothing known is left out;
//! what is known and does not decide is open, and counted as such.

mod figures;
mod routing;

use crate::folio::Folio;
use crate::proof::passage::Passage;
use crate::proof::prose::PageContext;
use crate::slip::Slip;
use crate::statement::{Relation, read};
use crate::text::{Span, Spot};

/// How a statement came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Standing {
    /// It holds.
    Holds,
    /// It does not.
    Fails,
    /// What is known does not decide it.
    Open,
}

impl Standing {
    fn of(holds: bool) -> Standing {
        if holds { Standing::Holds } else { Standing::Fails }
    }

    fn denied(self) -> Standing {
        match self {
            Standing::Holds => Standing::Fails,
            Standing::Fails => Standing::Holds,
            Standing::Open => Standing::Open,
        }
    }

    /// The word used in JSON.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Standing::Holds => "holds",
            Standing::Fails => "does not hold",
            Standing::Open => "open",
        }
    }
}

/// A statement of a sentence, judged.
#[derive(Debug, Clone)]
pub(crate) struct JudgedStatement {
    /// In the writer's file.
    pub(crate) spot: Spot,
    /// Figures of the passage that it accounts for.
    pub(crate) settled: Vec<Span>,
    pub(crate) standing: Standing,
    /// The numbers or the run behind it, in words.
    pub(crate) reason: String,
    /// The question that it became, as a claim would write it.
    pub(crate) question: String,
}

/// What came of a question.
struct Answer {
    standing: Standing,
    reason: String,
    question: String,
}

/// Judges the statements of a passage; those that name nothing known are left out.
pub(crate) fn judge(
    passage: &Passage<'_>,
    context: &PageContext<'_>,
    slips: &mut Vec<Slip>,
) -> Vec<JudgedStatement> {
    if passage.setting.is_some() {
        return Vec::new();
    }
    let names = Names { folio: context.folio, own: context.own, text: passage.text };
    let mut judged = Vec::new();
    for statement in read(passage.text) {
        let is_bound = passage.bounds.iter().any(|bound| bound.text.overlaps(statement.span));
        if is_bound {
            continue;
        }
        let Some(answer) = names.answer(&statement.relation) else { continue };
        let Answer { standing, reason, question } = answer;
        let span = statement.span;
        if standing == Standing::Fails {
            let said = &passage.text[span.start..span.end];
            let message = format!("\u{201c}{said}\u{201d} does not hold");
            let slip = Slip::stop("statement-false", passage.spot(span), message);
            slips.push(slip.works_out(reason.clone()).noting(format!("asked as {question}")));
        }
        let spot = passage.spot(span);
        let settled = settled(&statement.relation);
        judged.push(JudgedStatement { spot, settled, standing, reason, question });
    }
    judged
}

/// The figures that a statement accounts for, so that nobody else ties them.
fn settled(relation: &Relation) -> Vec<Span> {
    match relation {
        Relation::Apart { by, .. } => vec![*by],
        Relation::Change { from, to, .. } => vec![*from, *to],
        _ => Vec::new(),
    }
}

/// What words name, seen from a page.
struct Names<'a> {
    folio: &'a Folio,
    /// Sheet of the engine whose figures need no engine's name.
    own: Option<usize>,
    text: &'a str,
}

impl Names<'_> {
    fn answer(&self, relation: &Relation) -> Option<Answer> {
        match relation {
            Relation::Compare { left, right, degree, than } => {
                let (one, other) = self.pair(left, right, Some(degree))?;
                self.compared(one, other, degree, *than)
            }
            Relation::Same { left, right, degree, is_denied } => {
                let (one, other) = self.pair(left, right, Some(degree))?;
                self.same(one, other, *is_denied)
            }
            Relation::Ratio { left, right, degree, factor } => {
                let (one, other) = self.pair(left, right, *degree)?;
                self.ratio(one, other, *degree, factor)
            }
            Relation::Apart { left, right, degree, by } => {
                let (one, other) = self.pair(left, right, Some(degree))?;
                self.apart(one, other, degree, *by)
            }
            Relation::Change { what, from, to } => self.changed(what, *from, *to),
            Relation::Alike { who, noun } => self.alike(who, noun),
            Relation::Extreme { what, degree, is_most } => self.extreme(what, degree, *is_most),
            Relation::Before { first, then } => self.before(first, then),
            Relation::Parts { seal, one, other, is_denied } => {
                self.parts(seal, one, other, *is_denied)
            }
            Relation::Pushes { what, part, is_forward } => self.pushes(what, part, *is_forward),
            Relation::Joins { way, from, to } => self.joins(way, from, to),
        }
    }
}
