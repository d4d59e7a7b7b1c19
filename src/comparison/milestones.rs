//! What every engine of this trade does in a shot, whatever part brings it about: the rows of a
//! comparison that stand beside each other for all engines.

use super::Side;
use super::matching::Matching;
use super::run_order::RunsInOrder;
use super::words::Two;
use crate::cutaway::Engine;
use crate::cutaway::events::event_words;
use crate::cutaway::model::{
    ChamberId, Condition, Element, Event, List, OPEN_AIR, PartId, Role, Width,
};
use crate::logic::{Exploration, State};
use std::collections::BTreeMap;

/// What is reached in a shot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Milestone {
    /// A trigger is pulled.
    Trigger,
    /// The first valve shifts, or a latch lets go.
    ValveAnswers,
    /// No way leads from behind the ball to the open air any more, the barrel aside.
    BreechShut,
    /// Air of the store, or of a supply where there is none, gets behind the ball.
    StoreOpens,
    /// The ball leaves.
    BallLeaves,
    /// No more air of the store gets there.
    StoreShut,
    /// The part that the next ball waits for is back.
    PartHome,
    /// The next ball is in.
    NextBall,
    /// The store is full again.
    StoreFull,
}

impl Milestone {
    /// As readers are told it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Milestone::Trigger => "trigger",
            Milestone::ValveAnswers => "valve answers",
            Milestone::BreechShut => "breech shut",
            Milestone::StoreOpens => "store opens to the ball",
            Milestone::BallLeaves => "ball leaves",
            Milestone::StoreShut => "store shut",
            Milestone::PartHome => "main part home",
            Milestone::NextBall => "next ball in",
            Milestone::StoreFull => "store full",
        }
    }

    /// What it is that happens, as a sentence without full stop.
    pub(super) fn clause(self) -> &'static str {
        match self {
            Milestone::Trigger => "the trigger is pulled",
            Milestone::ValveAnswers => "a valve answers",
            Milestone::BreechShut => "the breech is shut",
            Milestone::StoreOpens => "the store opens to the ball",
            Milestone::BallLeaves => "the ball leaves",
            Milestone::StoreShut => "the store is shut",
            Milestone::PartHome => "the main part comes home",
            Milestone::NextBall => "the next ball comes in",
            Milestone::StoreFull => "the store is full",
        }
    }

    /// How much an event says of it among those of one step; the least is told.
    fn rank(self, event: Event) -> u8 {
        match (self, event) {
            (Milestone::BreechShut, Event::Reaches(..))
            | (Milestone::StoreOpens, Event::Opens(_))
            | (Milestone::StoreShut, Event::Closes(_)) => 0,
            (Milestone::BreechShut, Event::Closes(_))
            | (Milestone::StoreOpens | Milestone::StoreShut, Event::Reaches(..)) => 1,
            (_, Event::Shifts(_) | Event::Returns(_)) => 2,
            (_, Event::BallLeaves | Event::BallFed) => 4,
            _ => 3,
        }
    }
}

/// A milestone in the run that is told of an engine.
#[derive(Debug, Clone)]
pub(crate) struct ReachedMilestone {
    pub(crate) milestone: Milestone,
    /// The step of the told run that reaches it, from 1.
    pub(crate) moment: usize,
    /// The event that tells it, in the writer's words where there are some.
    pub(crate) words: String,
}

/// How an engine reaches each milestone, in the order of the run that is told of it.
#[must_use]
pub(crate) fn milestones_of(side: Side<'_>) -> Vec<ReachedMilestone> {
    let Side { engine, run } = side;
    // Nothing is asked of another engine.
    let matching = Matching::default();
    let two = Two::new([engine; 2], &matching);
    let line = RunsInOrder::of(&two, 0, run).line();
    let reached = milestones(&two, 0, run, &line, &|_| None, &BTreeMap::new());
    let told = |((place, event), milestone): ((usize, Event), Milestone)| {
        // The writer's words are for the first time.
        let is_first = !line[..place].iter().any(|step| run.steps[*step].events.contains(&event));
        let saying = engine.sayings.iter().find(|saying| is_first && saying.event == event);
        let words = saying.map_or_else(|| event_words(engine, event), |it| it.words.spoken());
        ReachedMilestone { milestone, moment: place + 1, words }
    };
    reached.into_iter().map(told).collect()
}

/// The milestones of a run: its steps by their place in the run, and the event of each that tells
/// it. No event tells two. `other` are those of the other engine, whose same events are preferred.
pub(super) fn milestones(
    two: &Two<'_>,
    side: usize,
    run: &Exploration,
    line: &[usize],
    there: &dyn Fn(Event) -> Option<Event>,
    other: &BTreeMap<(usize, Event), Milestone>,
) -> BTreeMap<(usize, Event), Milestone> {
    let engine = two.engines[side];
    let mut found = BTreeMap::new();
    for (milestone, place) in places(two, side, run, line) {
        let exact = match milestone {
            Milestone::PartHome => {
                main_part(two, side).map(|part| Event::Reaches(part, engine.parts[part].rest))
            }
            Milestone::BallLeaves => Some(Event::BallLeaves),
            Milestone::NextBall => Some(Event::BallFed),
            _ => None,
        };
        let of_other = other.iter().find(|(_, it)| **it == milestone).map(|((_, event), _)| *event);
        let events = run.steps[line[place]].events.iter().copied();
        let free = events.filter(|event| !found.contains_key(&(place, *event)));
        let fits = |event: &Event| match milestone {
            Milestone::Trigger => matches!(event, Event::Pulled(_)),
            Milestone::ValveAnswers => matches!(event, Event::Shifts(_) | Event::Unlatches(_)),
            Milestone::StoreFull => matches!(event, Event::Fills(_)),
            _ => exact.is_none_or(|exact| exact == *event),
        };
        let told = free.filter(fits).min_by_key(|event| {
            let is_same = of_other.is_some() && there(*event) == of_other;
            let is_said = engine.sayings.iter().any(|saying| saying.event == *event);
            let key = super::run_order::event_key(two, side, *event);
            (!is_same, milestone.rank(*event), !is_said, key)
        });
        if let Some(event) = told {
            found.insert((place, event), milestone);
        }
    }
    found
}

/// At which step of the run each milestone is reached.
fn places(
    two: &Two<'_>,
    side: usize,
    run: &Exploration,
    line: &[usize],
) -> Vec<(Milestone, usize)> {
    let engine = two.engines[side];
    let has =
        |at: usize, wanted: &dyn Fn(&Event) -> bool| run.steps[line[at]].events.iter().any(wanted);
    let after = |at: usize| &run.states[run.steps[line[at]].to];
    let first =
        |from: usize, is_it: &dyn Fn(usize) -> bool| (from..line.len()).find(|at| is_it(*at));
    let trigger = first(0, &|at| has(at, &|event| matches!(event, Event::Pulled(_))));
    let start = trigger.unwrap_or(0);
    let mut found = vec![(Milestone::Trigger, trigger)];
    let answers = |event: &Event| matches!(event, Event::Shifts(_) | Event::Unlatches(_));
    found.push((Milestone::ValveAnswers, first(start, &|at| has(at, &answers))));
    let before = |at: usize| &run.states[run.steps[line[at]].from];
    if let Some(breech) = behind_ball(engine) {
        let vents = |state: &State| reaches(engine, state, breech, &|at| at == OPEN_AIR);
        let feeds = |state: &State| feeds(engine, state, breech);
        let shut = first(start, &|at| vents(before(at)) && !vents(after(at)));
        found.push((Milestone::BreechShut, shut));
        let opens = first(start, &|at| !feeds(before(at)) && feeds(after(at)));
        found.push((Milestone::StoreOpens, opens));
        let shuts = opens.and_then(|opens| first(opens + 1, &|at| !feeds(after(at))));
        found.push((Milestone::StoreShut, shuts));
    }
    let leaves = first(start, &|at| has(at, &|event| *event == Event::BallLeaves));
    found.push((Milestone::BallLeaves, leaves));
    let fed = first(leaves.unwrap_or(start), &|at| has(at, &|event| *event == Event::BallFed));
    found.push((Milestone::NextBall, fed));
    if let Some(part) = main_part(two, side) {
        let home = Event::Reaches(part, engine.parts[part].rest);
        let home = (start..line.len()).rev().find(|at| has(*at, &|event| *event == home));
        found.push((Milestone::PartHome, home));
    }
    let fills = |event: &Event| match event {
        Event::Fills(chamber) => engine.chambers[*chamber].role == Role::Store,
        _ => false,
    };
    let full = (start..line.len()).rev().find(|at| has(*at, &fills));
    found.push((Milestone::StoreFull, full));
    let mut reached: Vec<(Milestone, usize)> =
        found.into_iter().filter_map(|(milestone, at)| Some((milestone, at?))).collect();
    reached.sort_unstable();
    reached
}

/// The room behind the ball.
fn behind_ball(engine: &Engine) -> Option<ChamberId> {
    let breech = || engine.chambers.ids().find(|at| engine.chambers[*at].role == Role::Breech);
    engine.ball.as_ref().map(|ball| ball.chamber).or_else(breech)
}

/// The part that the next ball waits for, or else that stands in most conditions of the ways behind
/// the ball.
fn main_part(two: &Two<'_>, side: usize) -> Option<PartId> {
    let engine = two.engines[side];
    let ball = engine.ball.as_ref();
    let breech = behind_ball(engine)?;
    let fed = ball.into_iter().flat_map(|ball| &ball.fed);
    let behind = engine.ways.iter().filter(|way| way.from == breech || way.to == breech);
    let mut asked: List<PartId, u32> = engine.parts.map(|_, _| 0);
    let conditions = fed
        .map(|it| (100, it))
        .chain(behind.flat_map(|way| way.when.iter().map(|condition| (1, condition))));
    for (weight, condition) in conditions {
        if let Condition::At(part, _) | Condition::From(part, _) | Condition::Before(part, _) =
            condition
        {
            asked[*part] += weight;
        }
    }
    let order = |part: PartId| {
        let thing = Element::Part(part);
        two.order[side].get(&thing).copied().unwrap_or(0)
    };
    let parts = engine.parts.ids().filter(|part| 0 < asked[*part]);
    parts.max_by_key(|part| (asked[*part], engine.parts[*part].positions.len(), order(*part)))
}

/// Whether air of a store gets into a room; of a supply, where there is no store.
fn feeds(engine: &Engine, state: &State, room: ChamberId) -> bool {
    let has_store = engine.chambers.iter().any(|chamber| chamber.role == Role::Store);
    let wanted = if has_store { Role::Store } else { Role::Supply };
    reaches(engine, state, room, &|at| engine.chambers[at].role == wanted)
}

/// Whether wide open ways lead from a room to a wanted one, not through the barrel, supplies or
/// the open air.
fn reaches(
    engine: &Engine,
    state: &State,
    room: ChamberId,
    is_wanted: &dyn Fn(ChamberId) -> bool,
) -> bool {
    let mut seen: Vec<ChamberId> = vec![room];
    let mut at = 0;
    let ways = engine
        .ways
        .entries()
        .filter(|(id, way)| !way.barrel && way.width == Width::Wide && state.is_open(engine, *id));
    let mut joints: Vec<(ChamberId, ChamberId)> = ways.map(|(_, way)| (way.from, way.to)).collect();
    for (id, valve) in engine.valves.entries() {
        joints.extend(if state.shifted[id] { &valve.shifted } else { &valve.rest });
    }
    while let Some(here) = seen.get(at).copied() {
        at += 1;
        for (one, other) in &joints {
            let next = match here {
                here if here == *one => *other,
                here if here == *other => *one,
                _ => continue,
            };
            if is_wanted(next) {
                return true;
            }
            if engine.chambers[next].is_finite() && !seen.contains(&next) {
                seen.push(next);
            }
        }
    }
    false
}
