//! Statements: what a sentence says of things is worked out from their figures, their cutaways and
//! the runs of their shots.
//!
//! Each statement becomes a question that a claim could ask. What names nothing known is left out;
//! what is known and does not decide is open, and counted as such.

mod amounts;
mod figures;
mod fittings;
mod routing;

use crate::folio::Folio;
use crate::folio::words::{sentences, words};
use crate::proof::passage::Passage;
use crate::proof::prose::PageContext;
use crate::slip::Slip;
use crate::statement::{Phrase, StatedRelation, Statement, first_readings, read};
use crate::text::{Span, SpanSet, Spot};

/// How a statement came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum StatementStanding {
    /// It holds.
    Holds,
    /// It does not.
    Fails,
    /// What is known does not decide it.
    Open,
}

impl StatementStanding {
    fn of(holds: bool) -> StatementStanding {
        if holds { StatementStanding::Holds } else { StatementStanding::Fails }
    }

    fn denied(self) -> StatementStanding {
        match self {
            StatementStanding::Holds => StatementStanding::Fails,
            StatementStanding::Fails => StatementStanding::Holds,
            StatementStanding::Open => StatementStanding::Open,
        }
    }

    /// The word used in JSON.
    pub(crate) fn word(self) -> &'static str {
        match self {
            StatementStanding::Holds => "holds",
            StatementStanding::Fails => "does not hold",
            StatementStanding::Open => "open",
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
    pub(crate) standing: StatementStanding,
    /// The numbers or the run behind it, in words.
    pub(crate) reason: String,
    /// The question that it became, as a claim would write it.
    pub(crate) question: String,
}

/// What came of a question.
struct StatementAnswer {
    standing: StatementStanding,
    reason: String,
    question: String,
}

impl StatementAnswer {
    /// The answer to several questions at once; `None` where there are none.
    fn all(answers: Vec<StatementAnswer>) -> Option<StatementAnswer> {
        let stand = |standing| answers.iter().any(|answer| answer.standing == standing);
        let standing = match (stand(StatementStanding::Fails), stand(StatementStanding::Open)) {
            (true, _) => StatementStanding::Fails,
            (false, true) => StatementStanding::Open,
            (false, false) => StatementStanding::Holds,
        };
        let told =
            |part: fn(&StatementAnswer) -> &str| answers.iter().map(part).collect::<Vec<_>>();
        let reason = told(|answer| &answer.reason).join("; ");
        let question = told(|answer| &answer.question).join(" and ");
        (!answers.is_empty()).then_some(StatementAnswer { standing, reason, question })
    }
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
    let found = read(passage.text);
    if found.is_empty() {
        return Vec::new();
    }
    let sentences = sentences(passage.text);
    let (folio, own, text) = (context.folio, context.own, passage.text);
    let names = StatementNames { folio, own, text, sentences: &sentences };
    let bound: SpanSet = passage.bounds.iter().map(|bound| bound.text).collect();
    let answered: Vec<(Statement, StatementAnswer)> = found
        .into_iter()
        .filter(|statement| !bound.overlaps(statement.span))
        .filter_map(|statement| {
            let own = names.fronted(statement.span).or(names.own);
            let answer = StatementNames { own, ..names }.answer(&statement.relation)?;
            Some((statement, answer))
        })
        .collect();
    let mut judged = Vec::new();
    for (statement, answer) in first_readings(answered, |(statement, _)| statement) {
        let StatementAnswer { standing, reason, question } = answer;
        let span = statement.span;
        if standing == StatementStanding::Fails {
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
fn settled(relation: &StatedRelation) -> Vec<Span> {
    match relation {
        StatedRelation::Apart { by, .. } => vec![*by],
        StatedRelation::Change { from, to, .. } => vec![*from, *to],
        StatedRelation::Grew { by, .. } => vec![*by],
        _ => Vec::new(),
    }
}

/// What words name, seen from a page.
#[derive(Clone, Copy)]
struct StatementNames<'a> {
    folio: &'a Folio,
    /// Sheet of the engine whose figures need no engine's name.
    own: Option<usize>,
    text: &'a str,
    /// Those of the text, in order.
    sentences: &'a [Span],
}

impl StatementNames<'_> {
    /// "On the A, the spool is …": the engine that opens the sentence of a statement.
    fn fronted(&self, span: Span) -> Option<usize> {
        let at = self.sentences.partition_point(|one| one.end <= span.start);
        let sentence = self.sentences.get(at).filter(|one| one.overlaps(span))?;
        let ahead = Span::new(sentence.start, span.start.max(sentence.start));
        let words = words(self.text, ahead);
        let opens = matches!(words.first()?.stem.as_str(), "on" | "in" | "for" | "with" | "of");
        let engines = self.engines(&Phrase { span: ahead, words }, None);
        match engines.as_slice() {
            [one] if opens => Some(*one),
            _ => None,
        }
    }

    fn answer(&self, relation: &StatedRelation) -> Option<StatementAnswer> {
        match relation {
            StatedRelation::Compare { left, right, degree, than } => {
                let than = if left.has("neither") { than.denied() } else { *than };
                self.asked_of((left, right), Some(degree), |one, other| {
                    self.compared(one, other, degree, than)
                })
            }
            StatedRelation::Same { left, right, degree, is_denied } if !left.has("neither") => self
                .asked_of((left, right), Some(degree), |one, other| {
                    self.same(one, other, *is_denied)
                }),
            StatedRelation::Ratio { left, right, degree, factor } if !left.has("neither") => self
                .asked_of((left, right), *degree, |one, other| {
                    self.ratio(one, other, *degree, factor)
                }),
            StatedRelation::Apart { left, right, degree, by } if !left.has("neither") => self
                .asked_of((left, right), Some(degree), |one, other| {
                    self.apart(one, other, degree, *by)
                }),
            StatedRelation::Same { .. }
            | StatedRelation::Ratio { .. }
            | StatedRelation::Apart { .. } => None,
            StatedRelation::Change { what, from, to } => self.changed(what, *from, *to),
            StatedRelation::Grew { what, by, is_more } => self.grew(what, *by, *is_more),
            StatedRelation::Bound { what, than, figure } => self.bound(what, *than, *figure),
            StatedRelation::Share { who, factor, is_kept } => self.share(who, factor, *is_kept),
            StatedRelation::Count { who, noun, count } => self.count(who, noun, *count),
            StatedRelation::Alike { who, noun } => self.alike(who, noun),
            StatedRelation::Extreme { what, degree, is_of_pair } => {
                self.extreme(what, degree, *is_of_pair)
            }
            StatedRelation::Before { first, then } => self.before(first, then),
            StatedRelation::Sequence { steps } => self.sequence(steps),
            StatedRelation::Parts { seal, one, other, is_denied } => {
                self.parts(seal, one, other, *is_denied)
            }
            StatedRelation::Pushes { what, part, is_forward } => {
                self.pushes(what, part, *is_forward)
            }
            StatedRelation::Joins { way, from, to } => self.joins(way.as_ref(), from, to),
            StatedRelation::During { state, what, is_open } => self.during(state, what, *is_open),
            StatedRelation::Ring { seal, was, size } => self.ring(seal, was.as_deref(), size),
        }
    }
}
