//! Statements: what a sentence says of things is worked out from their figures, their cutaways and
//! the runs of their shots.
//!
//! Each statement becomes a question that a claim could ask. What names nothing known is left out;
//! what is known and does not decide is open, and counted as such.

mod air;
mod amounts;
mod asserted;
mod carried;
mod causes;
mod dates;
mod events;
mod figures;
mod fittings;
mod names;
mod places;
mod revisions;
mod rooms;
mod routing;

use crate::body::blocks::{Binding, BoundText};
use crate::folio::Folio;
use crate::folio::words::words;
use crate::proof::passage::Passage;
use crate::proof::prose::PageContext;
use crate::slip::Slip;
use crate::statement::{Phrase, Role, SaidBeside, StatedRelation, Statement, first_readings, read};
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
    /// Nothing that is known speaks of it.
    Unknown,
    /// It is about things that are known, in words that no question is made of.
    Unasked,
}

impl StatementStanding {
    fn of(holds: bool) -> StatementStanding {
        if holds { StatementStanding::Holds } else { StatementStanding::Fails }
    }

    fn denied(self) -> StatementStanding {
        match self {
            StatementStanding::Holds => StatementStanding::Fails,
            StatementStanding::Fails => StatementStanding::Holds,
            open => open,
        }
    }

    fn is_known(self) -> bool {
        !matches!(self, StatementStanding::Unknown | StatementStanding::Unasked)
    }

    pub(crate) fn holds(self) -> bool {
        self == StatementStanding::Holds
    }

    /// The word used in JSON.
    pub(crate) fn word(self) -> &'static str {
        match self {
            StatementStanding::Holds => "holds",
            StatementStanding::Fails => "does not hold",
            StatementStanding::Open | StatementStanding::Unknown => "open",
            StatementStanding::Unasked => "not judged",
        }
    }
}

/// A statement of a sentence, judged.
#[derive(Debug, Clone)]
pub(crate) struct JudgedStatement {
    /// In the writer's file.
    pub(crate) spot: Spot,
    /// In the passage.
    pub(crate) place: Span,
    /// Figures of the passage that it accounts for.
    pub(crate) settled: Vec<Span>,
    pub(crate) standing: StatementStanding,
    /// The numbers or the run behind it, in words.
    pub(crate) reason: String,
    /// The question that it became, as a claim would write it.
    pub(crate) question: String,
}

impl JudgedStatement {
    /// Whether something that is known speaks of it.
    pub(crate) fn is_known(&self) -> bool {
        self.standing.is_known()
    }
}

/// What came of a question.
struct StatementAnswer {
    standing: StatementStanding,
    reason: String,
    question: String,
}

impl StatementAnswer {
    /// `None` where it refutes what is not told plainly.
    fn unless_refuted_by(self, is_plain: impl FnOnce() -> bool) -> Option<StatementAnswer> {
        (self.standing != StatementStanding::Fails || is_plain()).then_some(self)
    }

    /// The answer to several questions at once; `None` where there are none.
    fn all(answers: Vec<StatementAnswer>) -> Option<StatementAnswer> {
        let stand = |standing| answers.iter().any(|answer| answer.standing == standing);
        let order = [StatementStanding::Fails, StatementStanding::Unknown, StatementStanding::Open];
        let first = order.into_iter().find(|standing| stand(*standing));
        let standing = first.unwrap_or(StatementStanding::Holds);
        let told =
            |part: fn(&StatementAnswer) -> &str| answers.iter().map(part).collect::<Vec<_>>();
        let reason = told(|answer| &answer.reason).join("; ");
        let question = told(|answer| &answer.question).join(" and ");
        (!answers.is_empty()).then_some(StatementAnswer { standing, reason, question })
    }
}

/// A statement that what is known refutes.
pub(in crate::proof) fn statement_false(spot: Spot, said: &str, reason: String) -> Slip {
    let message = format!("\u{201c}{said}\u{201d} does not hold");
    Slip::stop("statement-false", spot, message).works_out(reason)
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
    let nothing = SaidBeside::default();
    let names = StatementNames::of(passage.text, context, &nothing);
    // Most passages of pages about no engine name none.
    let found = if names.may_speak() { read(passage.text) } else { Vec::new() };
    if found.is_empty() {
        return Vec::new();
    }
    // A figure that is bound settles how much, and not which way.
    let is_apart = |bound: &&BoundText, it: Span| {
        !matches!(bound.binding, Binding::By(_)) || bound.text.contains(it)
    };
    let is_bound = |it: Span| {
        let mut bounds = passage.bounds.iter().filter(|bound| bound.text.overlaps(it));
        bounds.any(|bound| is_apart(&bound, it))
    };
    let mut answered: Vec<(Statement, StatementAnswer)> = found
        .into_iter()
        .filter(|statement| !is_bound(statement.span))
        .filter_map(|statement| {
            let sentence = statement.sentence;
            let before = statement.before.as_ref();
            let own = names.fronted(sentence, statement.span).or(names.own);
            let own = own.or_else(|| names.pointed_back(sentence, before?));
            let beside = &*statement.beside;
            let names = StatementNames { own, context: before, sentence, beside, ..names };
            let answer = names.answer(&statement.relation)?;
            let is_carried = names.carries(&statement.relation, statement.span, &answer);
            is_carried.then_some((statement, answer))
        })
        .collect();
    // What is known of comes before what is not, where words may say either.
    answered.sort_by_key(|(_, answer)| !answer.standing.is_known());
    let mut told = first_readings(answered, |(statement, _)| statement);
    // A sentence that is judged in one of its clauses needs no further count.
    let is_form =
        |statement: &Statement| matches!(statement.relation, StatedRelation::Asserted { .. });
    let judged_in: SpanSet =
        told.iter().filter(|(it, _)| !is_form(it)).map(|(it, _)| it.sentence).collect();
    // One whose figures are bound is held to their formulas.
    let bounds: SpanSet = passage.bounds.iter().map(|bound| bound.text).collect();
    told.retain(|(it, _)| {
        !is_form(it) || !judged_in.overlaps(it.sentence) && !bounds.overlaps(it.sentence)
    });
    let read: SpanSet = told.iter().filter(|(it, _)| !is_form(it)).map(|(it, _)| it.span).collect();
    let mut judged = Vec::new();
    for (statement, answer) in told {
        let StatementAnswer { standing, reason, question } =
            names.settled_by(&statement, answer, &read);
        let span = statement.span;
        if standing == StatementStanding::Fails {
            let said = &passage.text[span.start..span.end];
            let slip = statement_false(passage.spot(span), said, reason.clone());
            slips.push(slip.noting(format!("asked as {question}")));
        }
        let spot = passage.spot(span);
        let settled = settled(&statement.relation, standing);
        judged.push(JudgedStatement { spot, place: span, settled, standing, reason, question });
    }
    judged
}

/// "Neither", "no other": what is said holds of none of them.
fn is_none(phrase: &Phrase) -> bool {
    phrase.is(Role::None)
}

/// The figures that a statement accounts for, so that nobody else ties them.
fn settled(relation: &StatedRelation, standing: StatementStanding) -> Vec<Span> {
    match relation {
        StatedRelation::Ratio { factor, .. }
            if matches!(standing, StatementStanding::Holds | StatementStanding::Fails) =>
        {
            vec![factor.span]
        }
        StatedRelation::Apart { by, .. } | StatedRelation::Between { by, .. } => vec![*by],
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
    /// Sheets of the engines that the page sets side by side.
    compared: &'a [usize],
    text: &'a str,
    /// What the sentence before speaks of: for what is left out.
    context: Option<&'a Phrase>,
    /// The sentence that is judged.
    sentence: Span,
    /// What it says beside the relation that is asked about.
    beside: &'a SaidBeside,
}

impl<'a> StatementNames<'a> {
    fn of(text: &'a str, context: &'a PageContext<'_>, beside: &'a SaidBeside) -> Self {
        StatementNames {
            folio: context.folio,
            own: context.own,
            compared: context.compared(),
            text,
            context: None,
            sentence: Span::default(),
            beside,
        }
    }
}

impl StatementNames<'_> {
    /// "On the A, the spool is …": the engine that opens the sentence of a statement.
    fn fronted(&self, sentence: Span, span: Span) -> Option<usize> {
        let ahead = Span::new(sentence.start, span.start.max(sentence.start));
        if ahead.start == ahead.end {
            return None;
        }
        let words = words(self.text, ahead);
        let opens = matches!(words.first()?.stem.as_str(), "on" | "in" | "for" | "with" | "of");
        let engines = self.engines(&Phrase::new(ahead, words), None);
        match engines.as_slice() {
            [one] if opens => Some(*one),
            _ => None,
        }
    }

    /// "Its barrel is longer": the one engine of the sentence before, where engines are compared.
    fn pointed_back(&self, sentence: Span, before: &Phrase) -> Option<usize> {
        let said = self.text.get(sentence.start..sentence.end)?;
        let opens = ["Its ", "It "].iter().any(|opener| said.starts_with(opener));
        match self.engines(before, None).as_slice() {
            [one] if opens => Some(*one),
            _ => None,
        }
    }

    fn each(&self, parts: &[StatedRelation]) -> Option<StatementAnswer> {
        let answers = parts.iter().map(|part| self.answer(part));
        StatementAnswer::all(answers.collect::<Option<_>>()?)
    }

    fn answer(&self, relation: &StatedRelation) -> Option<StatementAnswer> {
        match relation {
            StatedRelation::Compare { left, right, degree, than } => {
                let than = if is_none(left) { than.denied() } else { *than };
                self.asked_of((left, right), Some(degree), |one, other| {
                    self.compared(one, other, degree, than)
                })
            }
            StatedRelation::Same { left, .. }
            | StatedRelation::Ratio { left, .. }
            | StatedRelation::Apart { left, .. }
            | StatedRelation::Between { left, .. }
                if is_none(left) =>
            {
                None
            }
            StatedRelation::Same { left, right, degree, is_denied } => {
                self.asked_of((left, right), Some(degree), |one, other| {
                    self.same(one, other, *is_denied)
                })
            }
            StatedRelation::Ratio { left, right, degree, factor } => {
                self.asked_of((left, right), *degree, |one, other| {
                    self.ratio(one, other, *degree, factor)
                })
            }
            StatedRelation::Apart { left, right, degree, by } => {
                let asked = self.asked_of((left, right), Some(degree), |one, other| {
                    self.apart(one, other, degree, *by)
                });
                asked.or_else(|| self.apart_of_whole((left, right), degree, *by))
            }
            StatedRelation::Between { left, right, by } => self.between(left, right, *by),
            StatedRelation::Dated { what, date, bound } => self.dated_on(what, date, *bound),
            StatedRelation::Change { what, from, to } => self.changed(what, *from, *to),
            StatedRelation::Grew { what, by, is_more } => self.grew(what, *by, *is_more),
            StatedRelation::Bound { what, than, figure } => self.bound(what, *than, *figure),
            StatedRelation::Share { who, factor, is_kept } => self.share(who, factor, *is_kept),
            StatedRelation::Count { said, noun, than, count, is_some } => {
                self.counted_of(said, noun, (*than, *count), *is_some)
            }
            StatedRelation::Alike { said, degree, is_denied, is_change } => {
                self.alike(said, *degree, (*is_denied, *is_change))
            }
            StatedRelation::Extreme { what, degree, is_of_pair, is_denied } => {
                self.extreme(what, degree, *is_of_pair, *is_denied)
            }
            StatedRelation::Before { first, then } => self.before(first, then),
            StatedRelation::SetsOff { cause, effect } => self.sets_off(cause, effect),
            StatedRelation::Amid { what, state } => self.amid(what, state),
            StatedRelation::Sequence { steps, is_told } => self.sequence(steps, *is_told),
            StatedRelation::Parts { said, is_denied } => self.parts(said, *is_denied),
            StatedRelation::Pushes { said, told } => self.pushes(said, *told),
            StatedRelation::Joins { said, verb, flow, is_passive } => {
                self.joins(said, *verb, *flow, *is_passive)
            }
            StatedRelation::Trips { said } => self.trips(said),
            StatedRelation::During { state, what, is_open } => self.during(state, what, *is_open),
            StatedRelation::Throughout { what, is_open } => self.throughout(what, *is_open),
            StatedRelation::Granted { left, degree } => self.granted(left, degree),
            StatedRelation::Became { what, degree } => self.became(what, degree),
            StatedRelation::Ring { seal, was, size } => self.ring(seal, was.as_deref(), size),
            StatedRelation::Each { parts } => self.each(parts),
            StatedRelation::Asserted { said, frames, is_past } => {
                self.asserted(said, frames, *is_past)
            }
        }
    }
}

#[cfg(test)]
mod tests;
