//! Which orders seen on the sound engine say nothing of one with something wrong: those of which
//! what brings one of the two events about is otherwise.

use super::Ran;
use super::changes::{Acts, Change, ThingKey, is_boundless, key};
use super::counterpart::{chamber_there, event_there};
use crate::cutaway::Engine;
use crate::cutaway::model::{
    ChamberId, Condition, Direction, Element, Event, Order, PositionId, PushKind,
};
use crate::logic::{Exploration, State, precedence};
use std::collections::BTreeSet;

/// An engine with something wrong, what is otherwise in it, and the sound one.
pub(super) struct Doubt<'a> {
    pub(super) ran: Ran<'a>,
    pub(super) sound: Ran<'a>,
    pub(super) changes: &'a [Change],
}

impl Doubt<'_> {
    /// Whether an order that was seen on the sound engine says nothing here: what leads to one of
    /// its events is otherwise. What the engine states itself is kept.
    pub(super) fn is_cast_on(&self, order: &Order) -> bool {
        let (_, found) = self.ran;
        is_inherited(self.sound.0, order)
            && (!(found.happens(order.first) && found.happens(order.then))
                || self.is_turned(order.first, false)
                || self.is_turned(order.then, true))
    }

    /// What is left of an order on which doubt is cast, because of its first event: the last event
    /// that comes before that in every run of the sound engine, and is brought about as there.
    pub(super) fn left_of(&self, order: &Order) -> Option<Order> {
        let ((engine, found), (sound, of_sound)) = (self.ran, self.sound);
        let first = event_there(engine, sound, order.first)?;
        if self.is_turned(order.then, true) {
            return None;
        }
        let line = of_sound.line_events();
        let at = line.iter().position(|event| *event == first)?;
        let is_before = |event: &&Event| precedence(of_sound, **event, first).always();
        let earlier = line[..at].iter().rev().filter(|it| brings_on(**it)).filter(is_before);
        let mut earlier = earlier.filter_map(|event| event_there(sound, engine, *event));
        let first = earlier.find(|it| found.happens(*it) && !self.is_turned(*it, false))?;
        Some(Order { first, ..order.clone() })
    }

    /// Whether what leads to an event is otherwise before it comes. One that comes `then` must not
    /// come earlier either.
    fn is_turned(&self, event: Event, then: bool) -> bool {
        let (ran, of_sound @ (sound, found)) = (self.ran, self.sound);
        let there = event_there(ran.0, sound, event).unwrap_or(event);
        let line = found.line_events();
        let last = line.iter().position(|other| *other == there).unwrap_or(line.len());
        let moved = line.iter().take(last + 1).map(|event| whole(event.subject())).collect();
        let leading = leading_to(sound, there, &moved);
        let matters = |change: &Change| match &change.acts {
            Acts::Always => true,
            // A way that carries nothing by then has no part in it.
            Acts::Through(names) => names.iter().any(|name| {
                carries(ran, event, name)
                    || carries(of_sound, there, name)
                    || rests_otherwise(ran, of_sound, name)
            }),
            Acts::Answering(valve) => !answers_alike((ran, event), (of_sound, there), valve),
            Acts::Joining(valve, states) => {
                passes(ran, event, (valve, states)) || passes(of_sound, there, (valve, states))
            }
            Acts::Unsprung(part, spring) => {
                then || goes_with(ran, event, (part, *spring))
                    || goes_with(of_sound, there, (part, *spring))
            }
        };
        let leads = |change: &&Change| change.touches.iter().any(|thing| leading.contains(thing));
        self.changes.iter().filter(leads).any(matters)
    }
}

/// Whether an event is one that others hang on.
fn brings_on(event: Event) -> bool {
    !matches!(event, Event::Pulled(_) | Event::Released(_))
}

/// Whether a valve has answered in the same way in both engines by the time that an event comes: it
/// shifts before that in every run or in none, and has not come back.
fn answers_alike(
    (ran, event): (Ran<'_>, Event),
    (of_sound, there): (Ran<'_>, Event),
    valve: &str,
) -> bool {
    let answers = |(engine, found): Ran<'_>, event: Event| {
        let at = engine.valves.ids().find(|at| engine.valves[*at].name.id == valve)?;
        let shifts = precedence(found, Event::Shifts(at), event);
        let returns = precedence(found, Event::Returns(at), event);
        let is_back = returns.first_before || returns.at_once;
        let is_certain = !(shifts.first_before && shifts.then_before || shifts.at_once);
        (!is_back && is_certain).then_some(shifts.first_before)
    };
    let here = answers(ran, event);
    here.is_some() && here == answers(of_sound, there)
}

/// The states of the told run before an event comes.
fn until(found: &Exploration, event: Event) -> Vec<&State> {
    let mut line = found.line.iter();
    let last = line.position(|step| found.steps[*step].events.contains(&event));
    let last = last.unwrap_or(found.line.len());
    found.line_states().into_iter().take(last + 1).collect()
}

/// Whether a part moves one way, or stands further that way from the beginning than where it
/// rests, before an event comes or with it.
fn goes_with((engine, found): Ran<'_>, event: Event, (name, to): (&str, Direction)) -> bool {
    let Some(part) = engine.parts.ids().find(|at| engine.parts[*at].name.id == name) else {
        return true;
    };
    // What brings the event about may be that very move.
    let states = found.line_states().into_iter().take(until(found, event).len() + 1);
    let places = states.map(|state| state.positions[part]);
    let places: Vec<PositionId> = std::iter::once(engine.parts[part].rest).chain(places).collect();
    places.windows(2).any(|pair| match to {
        Direction::Forward => pair[0] < pair[1],
        Direction::Back => pair[1] < pair[0],
    })
}

/// Whether air goes through a valve in some of its states before an event comes, in the
/// run that is told.
fn passes((engine, found): Ran<'_>, event: Event, (name, states): (&str, &[bool])) -> bool {
    let Some((at, valve)) = engine.valves.entries().find(|(_, it)| it.name.id == name) else {
        return true;
    };
    until(found, event).into_iter().filter(|state| states.contains(&state.shifted[at])).any(
        |state| {
            let joints = if state.shifted[at] { &valve.shifted } else { &valve.rest };
            joints.iter().any(|(a, b)| state.pressure(*a).rank() != state.pressure(*b).rank())
        },
    )
}

/// Whether air goes through a way before an event comes, in the run that is told.
fn carries((engine, found): Ran<'_>, event: Event, name: &str) -> bool {
    let Some(at) = engine.ways.ids().find(|at| engine.ways[*at].name.id == name) else {
        return false;
    };
    let way = &engine.ways[at];
    until(found, event).into_iter().any(|state| {
        let (from, to) = (state.pressure(way.from).rank(), state.pressure(way.to).rank());
        state.is_open(engine, at) && (to < from || !way.one_way && from < to)
    })
}

/// Whether a room at an end of a way holds another pressure at rest than in the sound engine.
fn rests_otherwise((engine, found): Ran<'_>, (sound, of_sound): Ran<'_>, name: &str) -> bool {
    let Some(way) = engine.ways.iter().find(|way| way.name.id == name) else { return false };
    let (Some(rest), Some(of_sound)) = (found.states.first(), of_sound.states.first()) else {
        return false;
    };
    [way.from, way.to].into_iter().any(|room| {
        chamber_there(engine, sound, room)
            .is_some_and(|there| rest.pressure(room).rank() != of_sound.pressure(there).rank())
    })
}

/// Whether an order was taken over from the sound engine.
pub(super) fn is_inherited(sound: &Engine, order: &Order) -> bool {
    sound.orders.iter().any(|it| it.span == order.span)
}

/// A thing, or what it is a piece of.
fn whole(thing: Element) -> Element {
    match thing {
        Element::Position(..) | Element::Pressure(..) | Element::Latch(_) => {
            thing.owner().unwrap_or(thing)
        }
        other => other,
    }
}

/// The things that lead to an event: what it happens to, what acts on that, what opens the ways of
/// the rooms among it, and so on, as far as something has `moved` by then. What never moves is
/// always part of it.
fn leading_to(engine: &Engine, event: Event, moved: &BTreeSet<Element>) -> BTreeSet<ThingKey> {
    let mut things: Vec<Element> = vec![whole(event.subject())];
    let mut next = 0;
    while let Some(thing) = things.get(next).copied() {
        next += 1;
        for other in acting_on(engine, thing) {
            let is_fixed = match other {
                Element::Way(at) => engine.ways[at].when.is_empty(),
                Element::Part(_) | Element::Valve(_) | Element::Trigger(_) => false,
                other => !is_boundless(engine, other),
            };
            if (is_fixed || moved.contains(&other)) && !things.contains(&other) {
                things.push(other);
            }
        }
    }
    things.into_iter().map(|thing| key(engine, thing)).collect()
}

/// What acts on a thing.
fn acting_on(engine: &Engine, thing: Element) -> Vec<Element> {
    match thing {
        Element::Chamber(room) => {
            let leads = |(one, other): &(ChamberId, ChamberId)| *one == room || *other == room;
            let ways = engine.ways.entries().filter(|(_, way)| leads(&(way.from, way.to)));
            let valves = engine
                .valves
                .entries()
                .filter(|(_, valve)| valve.rest.iter().chain(&valve.shifted).any(leads));
            let ways = ways.map(|(at, _)| Element::Way(at));
            ways.chain(valves.map(|(at, _)| Element::Valve(at))).collect()
        }
        Element::Way(at) => {
            let way = &engine.ways[at];
            let ends = [way.from, way.to].map(Element::Chamber);
            ends.into_iter().chain(asked(engine, &way.when)).collect()
        }
        Element::Valve(at) => asked(engine, &engine.valves[at].shifts),
        Element::Ball => {
            let room = engine.ball.as_ref().map(|ball| Element::Chamber(ball.chamber));
            room.into_iter().collect()
        }
        Element::Part(part) => {
            let pushes = engine.parts[part].pushes.entries();
            let acting = pushes.flat_map(|(at, push)| {
                let by = match push.kind {
                    PushKind::Face(room) => Some(Element::Chamber(room)),
                    PushKind::Contact(other) => Some(Element::Part(other)),
                    PushKind::Spring | PushKind::Hand => None,
                };
                by.into_iter().chain([Element::Push(part, at)])
            });
            acting.chain([Element::Latch(part)]).collect()
        }
        _ => Vec::new(),
    }
}

/// What conditions speak of.
fn asked(engine: &Engine, when: &[Condition]) -> Vec<Element> {
    let of = |condition: &Condition| match *condition {
        Condition::At(part, _) | Condition::From(part, _) | Condition::Before(part, _) => {
            vec![Element::Part(part)]
        }
        Condition::Shifted(valve) | Condition::Resting(valve) => vec![Element::Valve(valve)],
        Condition::Pulled(trigger) | Condition::Released(trigger) => {
            vec![Element::Trigger(trigger)]
        }
        Condition::Pressure(room) | Condition::NoPressure(room) => vec![Element::Chamber(room)],
        Condition::Above(one, other) => vec![Element::Chamber(one), Element::Chamber(other)],
        Condition::Reached(room, _) | Condition::Below(room, _) => vec![Element::Chamber(room)],
        Condition::Either(at) => {
            engine.choices[at].iter().flat_map(|choice| asked(engine, choice)).collect()
        }
    };
    when.iter().flat_map(of).collect()
}
