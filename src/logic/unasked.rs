//! What a shot shows that nobody asked about: a ball that stays, air that blows through or is shut
//! in, what changes nothing, a shot that starts by itself.

use super::air::is_shut_in;
use super::state::{Ending, Exploration, Level, Step};
use super::through::{escape, escape_by};
use super::{why, why_never};
use crate::cutaway::event_words;
use crate::cutaway::model::{
    ChamberId, Condition, Direction, Element, Engine, Event, PartId, PushKind, Role, Width,
};
use std::collections::BTreeSet;

/// Why the ball leaves in no run; `None` where it does in some, or where runs are not decided.
pub(crate) fn ball_stays(engine: &Engine, found: &Exploration) -> Option<String> {
    engine.ball.as_ref()?;
    let is_open = found.endings.iter().any(|(_, end)| matches!(end, Ending::Undecided(_)));
    let leaves = found.steps.iter().any(|step| step.events.contains(&Event::BallLeaves));
    (!leaves && !is_open && !found.is_cut_short)
        .then(|| why_never(engine, found, Event::BallLeaves))
}

/// Where air flows from a supply to the open air: for as long as a trigger is held, all being quiet
/// then but for the air, or from some event of the shot on. What vents when all is over is told as
/// that.
pub(crate) fn blows_through(engine: &Engine, found: &Exploration) -> Option<String> {
    if found.endings.iter().any(|(_, end)| matches!(end, Ending::Vents(_))) {
        return None;
    }
    let told = |(supply, path): (ChamberId, Vec<Element>)| why::escape(engine, supply, &path);
    let while_held = found.steps.iter().find_map(|step| {
        let Some(Event::Released(trigger)) = step.events.first() else { return None };
        let path = escape(engine, &found.states[step.from])?;
        let trigger = Element::Trigger(*trigger).the(engine);
        Some(format!("while {trigger} is held, {}", told(path)))
    });
    while_held.or_else(|| {
        let blows = |at: usize| escape_by(engine, &found.states[at], Width::Wide);
        let mut opening = found.steps.iter().filter(|step| blows(step.from).is_none());
        opening.find_map(|step| {
            // Only what goes on while nothing moves is heard: a part on its way is soon there.
            let at = settled(found, step.to);
            let path = blows(step.to).and(blows(at)).filter(|_| !is_moving(found, at))?;
            let since = event_words(engine, *step.events.first()?);
            Some(format!("from \u{201c}{since}\u{201d} on {}, for part of the shot", told(path)))
        })
    })
}

fn is_moving(found: &Exploration, at: usize) -> bool {
    let mut next = found.steps.iter().filter(|step| step.from == at);
    next.any(|step| step.events.iter().any(|event| matches!(event, Event::Leaves(..))))
}

/// The state in which the air has come to rest after this one.
fn settled(found: &Exploration, mut at: usize) -> usize {
    let is_of_the_air = |step: &&Step| step.events.iter().all(|event| is_of_air(*event));
    for _ in 0..found.states.len() {
        match found.steps.iter().find(|step| step.from == at) {
            Some(step) if is_of_the_air(&step) => at = step.to,
            _ => break,
        }
    }
    at
}

/// Parts that move in no run, with what holds each.
pub(crate) fn stays(engine: &Engine, found: &Exploration) -> Vec<(PartId, String)> {
    let is_open = found.endings.iter().any(|(_, end)| matches!(end, Ending::Undecided(_)));
    if is_open || found.is_cut_short {
        return Vec::new();
    }
    let stays = |at: &PartId| {
        found.states.iter().all(|state| state.positions[*at] == engine.parts[*at].rest)
    };
    let why = |at: PartId| why_never(engine, found, Event::Leaves(at, engine.parts[at].rest));
    engine.parts.ids().filter(stays).map(|at| (at, why(at))).collect()
}

fn is_of_air(event: Event) -> bool {
    matches!(
        event,
        Event::Fills(_)
            | Event::Drops(_)
            | Event::Empties(_)
            | Event::Rises(..)
            | Event::Falls(..)
            | Event::Opens(_)
            | Event::Closes(_)
    )
}

/// What happens before anybody touches a trigger, told by the thing that matters most: the ball, or
/// the first part that moves.
pub(crate) fn starts_by_itself(engine: &Engine, found: &Exploration) -> Option<String> {
    let untouched = found.steps.iter().filter(|step| found.states[step.to].handled == 0);
    let events: Vec<Event> = untouched.flat_map(|step| step.events.iter().copied()).collect();
    let moves = |event: &&Event| matches!(event, Event::Leaves(..));
    let ball = events.iter().find(|event| **event == Event::BallLeaves);
    let told = ball.or_else(|| events.iter().find(moves))?;
    Some(event_words(engine, *told))
}

/// Parts that move against air that is shut in before them under pressure, with the room.
pub(crate) fn traps_air(engine: &Engine, found: &Exploration) -> Vec<(PartId, ChamberId)> {
    let mut trapped = BTreeSet::new();
    for step in &found.steps {
        let (before, after) = (&found.states[step.from], &found.states[step.to]);
        for (part, item) in engine.parts.entries() {
            let against = match before.positions[part].cmp(&after.positions[part]) {
                std::cmp::Ordering::Less => Direction::Back,
                std::cmp::Ordering::Greater => Direction::Forward,
                std::cmp::Ordering::Equal => continue,
            };
            for push in item.pushes.iter().filter(|push| push.direction == against) {
                let PushKind::Face(room) = push.kind else { continue };
                let is_shut = [before, after].iter().all(|state| {
                    is_shut_in(engine, state, room) && state.levels[room] != Level::Empty
                });
                if is_shut && engine.chambers[room].is_finite() {
                    trapped.insert((part, room));
                }
            }
        }
    }
    trapped.into_iter().collect()
}

/// Rooms that steer or drive something and, once filled, never lose their pressure again.
pub(crate) fn keeps_pressure(engine: &Engine, found: &Exploration) -> Vec<ChamberId> {
    let is_meant = |role: Role| matches!(role, Role::Pilot | Role::Drive | Role::Breech);
    let rooms = engine.chambers.entries().filter(|(_, chamber)| is_meant(chamber.role));
    let rises = |at: ChamberId| {
        let mut steps = found.steps.iter();
        steps.any(|step| step.events.contains(&Event::Fills(at)))
    };
    let falls = |at: ChamberId| {
        let mut events = found.steps.iter().flat_map(|step| &step.events);
        let is_fall = |event: &Event| match *event {
            Event::Drops(room) | Event::Empties(room) | Event::Falls(room, _) => room == at,
            _ => false,
        };
        events.any(is_fall)
    };
    let holds_at_last = |at: ChamberId| {
        found.endings.iter().all(|(end, _)| found.states[*end].levels[at] != Level::Empty)
    };
    let kept = rooms.filter(|(at, _)| rises(*at) && !falls(*at) && holds_at_last(*at));
    kept.map(|(at, _)| at).collect()
}

/// Triggers and parts of which nothing in the cutaway speaks.
pub(crate) fn idle(engine: &Engine) -> Vec<Element> {
    let conditions: Vec<Condition> = engine.conditions().collect();
    let latches = || engine.parts.iter().filter_map(|part| part.latch.as_ref());
    let hangs_on_trigger = |at| {
        conditions.iter().any(|it| *it == Condition::Pulled(at) || *it == Condition::Released(at))
            || latches().any(|it| it.is_released_by(at))
    };
    let hangs_on_part = |wanted: PartId| {
        let names = |condition: &Condition| match *condition {
            Condition::At(part, _) | Condition::From(part, _) | Condition::Before(part, _) => {
                part == wanted
            }
            _ => false,
        };
        let mut pushes = engine.parts.iter().flat_map(|part| &part.pushes);
        conditions.iter().any(names)
            || engine.links.iter().any(|(a, b)| *a == wanted || *b == wanted)
            || pushes.any(|push| push.kind == PushKind::Contact(wanted))
    };
    let triggers = engine.triggers.ids().filter(|at| !hangs_on_trigger(*at));
    let parts = engine.parts.ids().filter(|at| !hangs_on_part(*at));
    triggers.map(Element::Trigger).chain(parts.map(Element::Part)).collect()
}
