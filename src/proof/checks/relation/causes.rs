//! What brings what about in a shot: "the emptying of the tail sets the spool going".

use super::events::{Moment, ToldEvents};
use super::routing::in_order;
use super::{StatementAnswer, StatementNames, StatementStanding};
use crate::cutaway::event_words;
use crate::cutaway::model::{
    ChamberId, Condition, Direction, Engine, Event, Hold, Part, PositionId, PushKind, ValveId,
};
use crate::statement::{Phrase, Role};

impl StatementNames<'_> {
    /// One event brings another about: never where it comes behind it; surely where it is what the
    /// cutaway makes the other hang on.
    pub(super) fn sets_off(&self, cause: &Phrase, effect: &Phrase) -> Option<StatementAnswer> {
        let (routed, name) = self.routed(&[cause, effect])?;
        let told = ToldEvents::of(self, routed);
        let then = told.moment(effect)?;
        let said = told.moment(cause);
        // A thing named alone may bring it about by whatever it does.
        let first = said.or_else(|| told.bare(cause))?;
        let order = in_order(routed, &name, first, then)?;
        // "It stays back because …" tells of no event.
        let stays = |phrase: &Phrase| {
            let holds = ["held", "hold", "keep", "kept", "cannot", "can't"];
            phrase.is(Role::Stays) || holds.iter().any(|word| phrase.has(word))
        };
        let is_plain = [cause, effect].iter().all(|it| told.is_plain(it) && !stays(it));
        let engine = &routed.engine;
        let is_told = brings_about(engine, first, then);
        let (a, b) = (event_words(engine, first.latest), event_words(engine, then.earliest));
        let (standing, reason) = match order.standing {
            StatementStanding::Holds if is_told => {
                (StatementStanding::Holds, format!("{b} hangs on it; {}", order.reason))
            }
            // What comes first need not be what the other hangs on, unless a line says so.
            StatementStanding::Fails
                if said.is_some() && is_plain && brings_about(engine, then, first) =>
            {
                (StatementStanding::Fails, order.reason)
            }
            _ => {
                let reason = format!("that {a} brings it about that {b} is told by no line");
                (StatementStanding::Open, reason)
            }
        };
        Some(StatementAnswer { standing, reason, question: format!("sets_off({name}, {a}, {b})") })
    }
}

/// Whether an event is what another one directly hangs on.
fn brings_about(engine: &Engine, cause: Moment, effect: Moment) -> bool {
    let causes = [cause.earliest, cause.latest];
    let effects = [effect.earliest, effect.latest];
    causes.iter().any(|cause| effects.iter().any(|effect| hangs_on(engine, *effect, *cause)))
}

fn hangs_on(engine: &Engine, effect: Event, cause: Event) -> bool {
    match effect {
        Event::Shifts(valve) => {
            let shifts = engine.valves.get(valve).map(|valve| valve.shifts.as_slice());
            shifts.is_some_and(|shifts| any_meets(shifts, cause))
        }
        Event::Opens(way) | Event::Closes(way) => {
            let when = engine.ways.get(way).map(|way| way.when.as_slice());
            when.is_some_and(|when| any_meets(when, cause))
        }
        Event::Leaves(_, _) if cause == effect => false,
        Event::Leaves(at, _) if cause == Event::Unlatches(at) => true,
        Event::Leaves(part, at) => {
            let part = engine.parts.get(part);
            part.is_some_and(|part| is_let_go(part, cause) || is_pushed(part, at, cause))
        }
        Event::Reaches(part, at) => {
            let part = engine.parts.get(part);
            part.is_some_and(|part| is_pushed(part, far_end(part, at), cause))
        }
        Event::Unlatches(part) => engine.parts.get(part).is_some_and(|it| is_let_go(it, cause)),
        Event::Fills(room) | Event::Drops(room) | Event::Empties(room) => {
            is_joined(engine, room, cause)
        }
        Event::BallLeaves => {
            let room = engine.ball.as_ref().map(|ball| ball.chamber);
            room.is_some_and(|room| is_joined(engine, room, cause) || cause == Event::Fills(room))
        }
        _ => false,
    }
}

/// Whether one of these conditions comes to hold, or ceases to, with an event.
fn any_meets(conditions: &[Condition], event: Event) -> bool {
    conditions.iter().any(|condition| match (*condition, event) {
        (
            Condition::At(part, _) | Condition::From(part, _) | Condition::Before(part, _),
            Event::Leaves(one, _) | Event::Reaches(one, _),
        ) => part == one,
        (
            Condition::Shifted(valve) | Condition::Resting(valve),
            Event::Shifts(one) | Event::Returns(one),
        ) => valve == one,
        (
            Condition::Pulled(trigger) | Condition::Released(trigger),
            Event::Pulled(one) | Event::Released(one),
        ) => trigger == one,
        _ => false,
    })
}

/// Whether an event takes away what holds a part.
fn is_let_go(part: &Part, cause: Event) -> bool {
    part.latch.as_ref().is_some_and(|latch| match &latch.hold {
        Hold::Until(trigger) => cause == Event::Pulled(*trigger),
        Hold::While(conditions) => any_meets(conditions, cause),
    })
}

/// The end of a part's travel that it comes from where it reaches a position.
fn far_end(part: &Part, at: PositionId) -> PositionId {
    let (first, last) = (part.positions.ids().next(), part.positions.ids().next_back());
    let end = if first == Some(at) { last } else { first };
    end.unwrap_or(at)
}

/// Whether an event adds to what pushes a part away from a position, or takes from what pushes it
/// there.
fn is_pushed(part: &Part, from: PositionId, cause: Event) -> bool {
    let onward = match (part.positions.ids().next(), part.positions.ids().next_back()) {
        (Some(first), _) if first == from => Direction::Forward,
        (_, Some(last)) if last == from => Direction::Back,
        _ => return false,
    };
    part.pushes.iter().any(|push| {
        let helps = push.direction == onward;
        match (push.kind, cause) {
            (PushKind::Face(room), Event::Fills(at)) => room == at && helps,
            (PushKind::Face(room), Event::Drops(at) | Event::Empties(at)) => room == at && !helps,
            (PushKind::Contact(by), Event::Leaves(one, _) | Event::Reaches(one, _)) => {
                by == one && helps
            }
            _ => helps && any_meets(&push.when, cause),
        }
    })
}

/// Whether an event opens or shuts a way of a room.
fn is_joined(engine: &Engine, room: ChamberId, cause: Event) -> bool {
    let of_valve = |valve: ValveId| {
        let valve = engine.valves.get(valve);
        valve.is_some_and(|valve| {
            valve.rest.iter().chain(&valve.shifted).any(|(a, b)| room == *a || room == *b)
        })
    };
    match cause {
        Event::Opens(way) | Event::Closes(way) => {
            engine.ways.get(way).is_some_and(|way| room == way.from || room == way.to)
        }
        Event::Shifts(valve) | Event::Returns(valve) => of_valve(valve),
        _ => false,
    }
}
