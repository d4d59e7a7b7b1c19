//! The same thing in an engine and in a variant of it: by name, since a variant may lack some.

use crate::cutaway::Engine;
use crate::cutaway::model::{ChamberId, Element, Event, PartId};

/// What a thing of one engine is in the other.
pub(super) fn counterpart(from: &Engine, to: &Engine, thing: Element) -> Option<Element> {
    let name = thing.name(from).map(|name| name.id.as_str());
    let is_it = |other: &Element| other.name(to).map(|name| name.id.as_str()) == name;
    let part_in = |part: PartId| match counterpart(from, to, Element::Part(part)) {
        Some(Element::Part(part)) => Some(part),
        _ => None,
    };
    match thing {
        Element::Trigger(_) => to.triggers.ids().map(Element::Trigger).find(is_it),
        Element::Chamber(_) => to.chambers.ids().map(Element::Chamber).find(is_it),
        Element::Pressure(chamber, _) => {
            let there = chamber_there(from, to, chamber)?;
            to.landmarks.ids().map(|mark| Element::Pressure(there, mark)).find(is_it)
        }
        Element::Regulator(_) => to.chambers.ids().map(Element::Regulator).find(is_it),
        Element::Part(_) => to.parts.ids().map(Element::Part).find(is_it),
        Element::Valve(_) => to.valves.ids().map(Element::Valve).find(is_it),
        Element::Way(_) => to.ways.ids().map(Element::Way).find(is_it),
        Element::Seal(_) => to.seals.ids().map(Element::Seal).find(is_it),
        Element::Position(part, _) => {
            let part = part_in(part)?;
            to.parts[part].positions.ids().map(|at| Element::Position(part, at)).find(is_it)
        }
        Element::Push(part, _) => {
            let part = part_in(part)?;
            to.parts[part].pushes.ids().map(|at| Element::Push(part, at)).find(is_it)
        }
        Element::Latch(part) => Some(Element::Latch(part_in(part)?)).filter(is_it),
        Element::Ball => to.ball.as_ref().map(|_| Element::Ball),
        Element::Joint(..) | Element::Choice(..) => None,
    }
}

/// The same event of the other engine.
pub(super) fn event_there(from: &Engine, to: &Engine, event: Event) -> Option<Event> {
    event.of(counterpart(from, to, event.subject())?)
}

/// The chamber of the other engine that has the same name.
pub(super) fn chamber_there(from: &Engine, to: &Engine, chamber: ChamberId) -> Option<ChamberId> {
    match counterpart(from, to, Element::Chamber(chamber))? {
        Element::Chamber(there) => Some(there),
        _ => None,
    }
}
