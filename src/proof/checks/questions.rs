//! Claims about the routing: questions that the event logic and the likeness of models answer.

use super::claim::ClaimFinding;
use super::fault_questions;
use crate::comparison::Side;
use crate::comparison::claims::{Answer as Alike, QUESTIONS as ALIKE};
use crate::cutaway::Engine;
use crate::cutaway::events::{event_words, parse_event};
use crate::cutaway::model::{Event, Order};
use crate::folio::routing::Routed;
use crate::folio::{Folio, PageEntry};
use crate::logic::{Exploration, Precedence, explore, hangs_on, precedence, why_never};
use crate::page::front::ClaimDecl;
use crate::slip::Slip;
use crate::text::{Source, Span, Spot, listed, nearest};
use std::borrow::Cow;
use std::sync::Arc;

/// A question with what it asks for, as readers of the reference see it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Question {
    pub(crate) name: &'static str,
    /// How it is written.
    pub(crate) form: &'static str,
    pub(crate) meaning: &'static str,
}

/// Questions about one engine; those about two are [`crate::comparison::claims::QUESTIONS`].
pub(crate) const QUESTIONS: [Question; 3] = [
    Question {
        name: "happens",
        form: "happens(mouth opens)",
        meaning: "the event happens in every run of one shot",
    },
    Question {
        name: "happens_before",
        form: "happens_before(bolt home, pilot returns)",
        meaning: "in every run both events happen, the first before the second; an engine may be \
                  named first: happens_before(ash, …, …)",
    },
    Question {
        name: "ends_at_rest",
        form: "ends_at_rest(rowan)",
        meaning: "every run of one shot ends in the rest state",
    },
];

/// A claim that asks a question about the routing: name, arguments with their places.
struct Asked<'a> {
    name: &'static str,
    form: String,
    arguments: Vec<(&'a str, Span)>,
    denied: bool,
}

/// Whether a claim's formula is a question about the routing.
pub(crate) fn is_question(formula: &str) -> bool {
    name_of(formula).is_some_and(|(name, _)| find(name).is_some())
}

/// A question by its name, with how it is written.
fn find(name: &str) -> Option<(&'static str, String)> {
    let all = || QUESTIONS.iter().chain(&fault_questions::QUESTIONS);
    let one = all().find(|question| question.name == name);
    let one = one.map(|question| (question.name, question.form.to_owned()));
    one.or_else(|| {
        let (name, ..) = ALIKE.iter().find(|(known, ..)| *known == name)?;
        Some((*name, format!("{name}(rowan, ash)")))
    })
}

/// The word before the bracket, and whether `not` stands before it.
fn name_of(formula: &str) -> Option<(&str, bool)> {
    let head = formula.split_once('(')?.0.trim();
    match head.strip_prefix("not ") {
        Some(rest) => Some((rest.trim(), true)),
        None => Some((head, false)),
    }
}

fn asked(formula: &str) -> Option<Asked<'_>> {
    let (name, denied) = name_of(formula)?;
    let (name, form) = find(name)?;
    let open = formula.find('(')? + 1;
    let close = formula.rfind(')').unwrap_or(formula.len()).max(open);
    let mut arguments = Vec::new();
    let mut at = open;
    for piece in formula[open..close].split(',') {
        let lead = piece.len() - piece.trim_start().len();
        let word = piece.trim();
        arguments.push((word, Span::new(at + lead, at + lead + word.len())));
        at += piece.len() + 1;
    }
    Some(Asked { name, form, arguments, denied })
}

/// What came of a question: the answer where there is one, and what was found.
pub(super) struct QuestionAnswer {
    pub(super) holds: Option<bool>,
    pub(super) reason: String,
}

/// A fault in how a question was put.
struct Misput {
    span: Span,
    message: String,
    proposal: Option<String>,
}

/// Judges a claim that asks about the routing.
pub(super) fn judge(
    folio: &Folio,
    page: &PageEntry,
    source: &Arc<Source>,
    claim: &ClaimDecl,
    slips: &mut Vec<Slip>,
) -> ClaimFinding {
    let formula = claim.holds.text.as_str();
    let answered = match asked(formula) {
        Some(asked) => {
            let denied = asked.denied;
            answer(folio, page, &asked).map(|answer| QuestionAnswer {
                holds: answer.holds.map(|holds| holds != denied),
                reason: answer.reason,
            })
        }
        None => {
            Ok(QuestionAnswer { holds: None, reason: "the question cannot be read".to_owned() })
        }
    };
    match answered {
        Err(fault) => {
            let spot = Spot::new(source, claim.holds.part(fault.span));
            let slip = Slip::stop("question-misput", spot, fault.message.clone());
            slips.push(match fault.proposal {
                Some(proposal) => slip.write(proposal),
                None => slip,
            });
            ClaimFinding::new(None, false, fault.message)
        }
        Ok(QuestionAnswer { holds, reason }) => {
            let spot = Spot::new(source, claim.holds.inside());
            match holds {
                Some(true) => {}
                Some(false) => {
                    let message =
                        format!("the claim \u{201c}{}\u{201d} does not hold", claim.say.text);
                    let slip = Slip::stop("claim-false", spot, message);
                    slips.push(slip.noting(reason.clone()));
                }
                None => {
                    let message = format!("the claim cannot be decided here: {reason}");
                    slips.push(Slip::mark("claim-undecided", spot, message));
                }
            }
            ClaimFinding::new(holds, holds.is_some(), reason)
        }
    }
}

fn answer(folio: &Folio, page: &PageEntry, asked: &Asked<'_>) -> Result<QuestionAnswer, Misput> {
    match asked.name {
        "happens" => happens(folio, page, asked),
        "happens_before" => happens_before(folio, page, asked),
        "ends_at_rest" => ends_at_rest(folio, page, asked),
        name if fault_questions::QUESTIONS.iter().any(|question| question.name == name) => {
            let routed = asked_engine(folio, page, asked)?;
            let answer = routed.and_then(|it| fault_questions::answer(name, &folio.routing, it));
            Ok(answer.unwrap_or_else(has_faults))
        }
        _ => alike(folio, asked),
    }
}

/// The engine that events are about: named first, or the page's own; and the other arguments.
fn subject<'a>(
    folio: &'a Folio,
    page: &PageEntry,
    asked: &'a Asked<'_>,
    wanted: usize,
) -> Result<(Cow<'a, Routed>, Vec<Event>), Misput> {
    let count = asked.arguments.len();
    let whole = asked.arguments.first().map_or(Span::new(0, 0), |(_, first)| {
        let last = asked.arguments.last().map_or(*first, |(_, last)| *last);
        Span::new(first.start, last.end)
    });
    let (routed, events) = if count == wanted + 1 {
        (engine(folio, asked.arguments[0])?, &asked.arguments[1..])
    } else if count == wanted {
        let own = page.front.engine.as_ref().and_then(|own| folio.routing.of(&own.text));
        let Some(own) = own else {
            let message = "this page has no cutaway; name the engine first".to_owned();
            return Err(Misput { span: whole, message, proposal: None });
        };
        (own, &asked.arguments[..])
    } else {
        let message = format!("{} is written `{}`", asked.name, asked.form);
        return Err(Misput { span: whole, message, proposal: None });
    };
    let mut read = Vec::new();
    for (words, span) in events {
        match parse_event(&routed.engine, words) {
            Ok(event) => read.push(event),
            Err(fault) => {
                return Err(Misput {
                    span: *span,
                    message: fault.message,
                    proposal: fault.proposal,
                });
            }
        }
    }
    Ok((routed.telling(&read), read))
}

fn engine<'a>(folio: &'a Folio, (name, span): (&str, Span)) -> Result<&'a Routed, Misput> {
    folio.routing.of(name).ok_or_else(|| {
        let known = folio.routing.engines.keys().map(String::as_str);
        Misput {
            span,
            message: format!("no cutaway describes an engine `{name}`"),
            proposal: nearest(name, known).map(str::to_owned),
        }
    })
}

fn has_faults() -> QuestionAnswer {
    QuestionAnswer { holds: None, reason: "a cutaway it needs has a fault of its own".to_owned() }
}

fn happens(folio: &Folio, page: &PageEntry, asked: &Asked<'_>) -> Result<QuestionAnswer, Misput> {
    let (routed, events) = subject(folio, page, asked, 1)?;
    let (Some(shot), [event]) = (&routed.shot, events.as_slice()) else { return Ok(has_faults()) };
    // Against itself: only what is lacking counts.
    let found = precedence(&shot.found, *event, *event);
    let words = event_words(&routed.engine, *event);
    let some = shot.found.steps.iter().any(|step| step.events.contains(event));
    Ok(match (some, found.neither, found.is_open) {
        (true, false, false) => QuestionAnswer {
            holds: Some(true),
            reason: format!("\u{201c}{words}\u{201d} happens in every run")
                + &by_orders(&routed, |run| !precedence(run, *event, *event).neither),
        },
        (false, _, false) => QuestionAnswer {
            holds: Some(false),
            reason: format!(
                "\u{201c}{words}\u{201d} never happens: {}",
                why_never(&routed.engine, &shot.found, *event)
            ),
        },
        _ => QuestionAnswer {
            holds: None,
            reason: format!("\u{201c}{words}\u{201d} happens in some runs and not in others"),
        },
    })
}

fn happens_before(
    folio: &Folio,
    page: &PageEntry,
    asked: &Asked<'_>,
) -> Result<QuestionAnswer, Misput> {
    let (routed, events) = subject(folio, page, asked, 2)?;
    let (Some(shot), [first, then]) = (&routed.shot, events.as_slice()) else {
        return Ok(has_faults());
    };
    let words = |event: &Event| format!("\u{201c}{}\u{201d}", event_words(&routed.engine, *event));
    let (a, b) = (words(first), words(then));
    let found = precedence(&shot.found, *first, *then);
    let racing = shot.racing.as_ref().map(|racing| precedence(racing, *first, *then));
    let is_stated = taken_orders(&routed)
        .find(|order| order.first == *first && order.then == *then)
        .map(|order| order.known.how.clone());
    let rests_on_clock = racing.is_some_and(|racing| racing.then_before);
    Ok(if found.always() && rests_on_clock && is_stated.is_none() {
        QuestionAnswer {
            holds: None,
            reason: format!(
                "{a} comes before {b} as long as the dwell outlasts what moves freely; `order` in the \
                 cutaway would settle it"
            ),
        }
    } else if found.always() {
        let by = match is_stated {
            Some(how) => format!(", as the cutaway states ({how})"),
            None => by_orders(&routed, |run| precedence(run, *first, *then).always()),
        };
        QuestionAnswer {
            holds: Some(true),
            reason: format!("{a} comes before {b} in every run{by}"),
        }
    } else {
        let never = |event: &Event| {
            format!(
                "{} never happens: {}",
                words(event),
                why_never(&routed.engine, &shot.found, *event)
            )
        };
        let mut answer = against(found, (&a, &b), || never(first), || never(then));
        if found.first_before && found.then_before && !found.is_open {
            let what = hangs_on(&routed.engine, *first, *then);
            answer
                .reason
                .push_str(&format!("; it hangs on {what}, and an `order` would settle it"));
        }
        answer
    })
}

/// The orders of a cutaway that say something of its shot.
fn taken_orders(routed: &Routed) -> impl Iterator<Item = &Order> {
    let is_void = |order: &&Order| {
        routed.shot.as_ref().is_some_and(|shot| shot.found.void_orders.contains(order))
    };
    routed.engine.orders.iter().filter(move |order| !is_void(order))
}

/// The orders of the cutaway without which something would not hold, for the end of a sentence;
/// nothing where it holds without any.
fn by_orders(routed: &Routed, holds: impl Fn(&Exploration) -> bool) -> String {
    let engine = &routed.engine;
    let holds_with = |orders: Vec<Order>| holds(&explore(&Engine { orders, ..engine.clone() }));
    if taken_orders(routed).next().is_none() || holds_with(Vec::new()) {
        return String::new();
    }
    let without = |left_out: &Order| {
        let kept = taken_orders(routed).filter(|order| *order != left_out);
        holds_with(kept.cloned().collect())
    };
    let needed = taken_orders(routed).filter(|order| !without(order));
    let words = |order: &Order| {
        let [first, then] = [order.first, order.then].map(|event| event_words(engine, event));
        format!("\u{201c}{first} before {then}\u{201d}")
    };
    let needed: Vec<String> = needed.map(words).collect();
    match needed.is_empty() {
        true => ", as the orders stated in the cutaway have it".to_owned(),
        false => format!(", as long as {} holds, which the cutaway states", listed(&needed, "and")),
    }
}

/// What is told where an order is not certain. `no_first` and `no_then` say why an event never
/// happens.
fn against(
    found: Precedence,
    (a, b): (&str, &str),
    no_first: impl Fn() -> String,
    no_then: impl Fn() -> String,
) -> QuestionAnswer {
    let Precedence { first_before, then_before, at_once, only_first, only_then, neither, is_open } =
        found;
    let (holds, reason) = match (first_before, then_before, only_first, only_then) {
        _ if is_open => {
            (None, format!("a run stops, undecided, before both {a} and {b} have happened"))
        }
        (false, false, ..) if at_once => (Some(false), format!("{a} comes at once with {b}")),
        _ if at_once => (None, format!("{a} and {b} come at once in some runs and not in others")),
        (true, true, ..) => (None, format!("{a} comes before {b} in some runs and not in others")),
        (false, false, false, _) => (Some(false), no_first()),
        (false, false, true, false) => (Some(false), no_then()),
        (false, false, true, true) => {
            (Some(false), format!("only one of {a} and {b} happens in a run, never both"))
        }
        (is_first, ..) if only_first || only_then || neither => {
            let (before, after) = if is_first { (a, b) } else { (b, a) };
            let lacking = match (only_first, only_then) {
                (true, false) if !neither => format!("{b} does not happen in others"),
                (false, true) if !neither => format!("{a} does not happen in others"),
                _ => "others lack one of them or both".to_owned(),
            };
            let reason = format!("{before} comes before {after} in runs that have both; {lacking}");
            (if is_first { None } else { Some(false) }, reason)
        }
        // Every run has both; that the first comes first in all of them is told elsewhere.
        _ => (Some(false), format!("{b} comes before {a} in every run")),
    };
    QuestionAnswer { holds, reason }
}

/// The engine that is named, or the page's own where none is.
fn asked_engine<'a>(
    folio: &'a Folio,
    page: &PageEntry,
    asked: &Asked<'_>,
) -> Result<Option<&'a Routed>, Misput> {
    let own = page.front.engine.as_ref().and_then(|own| folio.routing.of(&own.text));
    match asked.arguments.as_slice() {
        [] | [("", _)] => Ok(own),
        [argument, ..] => engine(folio, *argument).map(Some),
    }
}

fn ends_at_rest(
    folio: &Folio,
    page: &PageEntry,
    asked: &Asked<'_>,
) -> Result<QuestionAnswer, Misput> {
    let routed = asked_engine(folio, page, asked)?;
    let Some(routed) = routed else { return Ok(has_faults()) };
    let Some(shot) = &routed.shot else { return Ok(has_faults()) };
    let mut troubles = shot.found.endings.iter().filter_map(|(_, ending)| {
        crate::folio::routing::trouble(&routed.engine, &shot.found, ending)
    });
    Ok(match troubles.next() {
        None if shot.found.always_ends_at_rest() => {
            let by = by_orders(routed, Exploration::always_ends_at_rest);
            QuestionAnswer { holds: Some(true), reason: format!("every run ends at rest{by}") }
        }
        None => QuestionAnswer { holds: None, reason: "not every run was followed".to_owned() },
        Some(("shot-undecided", why)) => QuestionAnswer { holds: None, reason: why },
        Some((_, why)) => QuestionAnswer { holds: Some(false), reason: why },
    })
}

/// Two engines beside each other.
fn alike(folio: &Folio, asked: &Asked<'_>) -> Result<QuestionAnswer, Misput> {
    let [a, b] = asked.arguments.as_slice() else {
        let span = asked.arguments.first().map_or(Span::new(0, 0), |(_, span)| *span);
        let message = format!("{} is written `{}`", asked.name, asked.form);
        return Err(Misput { span, message, proposal: None });
    };
    let (first, second) = (engine(folio, *a)?, engine(folio, *b)?);
    let (Some(one), Some(other)) = (&first.shot, &second.shot) else { return Ok(has_faults()) };
    let Some((_, compare, _)) = ALIKE.iter().find(|(name, ..)| *name == asked.name) else {
        return Ok(has_faults());
    };
    let found = compare(
        Side { engine: &first.engine, run: &one.found },
        Side { engine: &second.engine, run: &other.found },
    );
    let holds = match found.answer {
        Alike::True => Some(true),
        Alike::False => Some(false),
        Alike::Undecided => None,
    };
    Ok(QuestionAnswer { holds, reason: found.reason })
}
