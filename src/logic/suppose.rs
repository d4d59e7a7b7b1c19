//! What no fact decides, followed with either answer: where both come to the same, none is asked.

use super::explore::{SearchPlan, explore_ordered};
use super::state::{Ending, Exploration, Need};
use crate::cutaway::model::{Engine, Event, Fact, Known};
use crate::text::Span;
use std::collections::BTreeSet;

/// Questions that are answered both ways, one within the other.
const MOST_QUESTIONS: usize = 3;

/// Explores one shot. Where it stops at a question whose answers all lead to the same events and
/// the same ends, the runs of all of them are the shot's; else it stops there and asks.
pub(super) fn explore_supposing(engine: &Engine, how: SearchPlan<'_>) -> Exploration {
    let explore = |engine: &Engine| explore_ordered(engine, how);
    supposing(engine, &explore, &|run| (ends(run), events(run)), MOST_QUESTIONS)
}

/// The same for what one wants to know of a shot: the runs of all answers are the shot's where that
/// is the same in each.
pub(crate) fn supposing_alike<K: PartialEq>(
    engine: &Engine,
    explore: &dyn Fn(&Engine) -> Exploration,
    comes_to: &dyn Fn(&Exploration) -> K,
) -> Exploration {
    supposing(engine, explore, comes_to, MOST_QUESTIONS)
}

fn supposing<K: PartialEq>(
    engine: &Engine,
    explore: &dyn Fn(&Engine) -> Exploration,
    comes_to: &dyn Fn(&Exploration) -> K,
    left: usize,
) -> Exploration {
    let found = explore(engine);
    let question = question(&found).filter(|need| 0 < left && 1 < need.answers.len());
    let Some(need) = question.filter(|_| !found.is_cut_short) else { return found };
    let answered = need.answers.iter().map(|(strong, relation, weak)| {
        let fact = Fact {
            left: strong.clone(),
            relation: *relation,
            right: weak.clone(),
            word: "larger".into(),
            known: Known { how: "supposed".into(), span: Span::default() },
            span: Span::default(),
        };
        let mut supposed = engine.clone();
        supposed.facts.push(fact);
        supposing(&supposed, explore, comes_to, left - 1)
    });
    let answered: Vec<Exploration> = answered.collect();
    let is_decided = |run: &Exploration| !run.is_cut_short && self::question(run).is_none();
    let is_same = answered.iter().all(is_decided)
        && answered.windows(2).all(|pair| comes_to(&pair[0]) == comes_to(&pair[1]));
    if !is_same {
        return found;
    }
    let told = format!("it makes no difference {}, so both are followed", need.what);
    let mut all = answered.into_iter();
    let mut merged = all.next().unwrap_or_default();
    all.for_each(|other| merged.join(other));
    merged.assumptions.push(told);
    merged
}

/// The first question at which a run stops.
fn question(found: &Exploration) -> Option<&Need> {
    found.endings.iter().find_map(|(_, ending)| match ending {
        Ending::Undecided(need) => Some(need),
        _ => None,
    })
}

/// How runs end, those that go round by that alone.
fn ends(found: &Exploration) -> BTreeSet<String> {
    let endings = found.endings.iter().map(|(_, ending)| match ending {
        Ending::Repeats(_) => "repeats".to_owned(),
        other => format!("{other:?}"),
    });
    endings.collect()
}

fn events(found: &Exploration) -> BTreeSet<Event> {
    found.steps.iter().flat_map(|step| step.events.iter().copied()).collect()
}

impl Exploration {
    /// Adds the runs of another exploration, which begin in the same state.
    fn join(&mut self, other: Exploration) {
        let by = self.states.len() - 1;
        let place = |at: usize| if at == 0 { 0 } else { at + by };
        self.states.extend(other.states.into_iter().skip(1));
        self.steps.extend(other.steps.into_iter().map(|step| super::state::Step {
            from: place(step.from),
            to: place(step.to),
            ..step
        }));
        self.endings.extend(other.endings.into_iter().map(|(at, ending)| {
            let ending = match ending {
                Ending::Repeats(head) => Ending::Repeats(place(head)),
                other => other,
            };
            (place(at), ending)
        }));
        for told in other.assumptions {
            if !self.assumptions.contains(&told) {
                self.assumptions.push(told);
            }
        }
        self.rests_on_clocks |= other.rests_on_clocks;
    }
}
