//! One word for anything in an engine.

use super::model::{
    ChamberId, ChoiceId, Engine, LandmarkId, Name, PartId, PositionId, PushId, SealId, TriggerId,
    ValveId, WayId,
};

/// Something in an engine, by its place in the engine's lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Element {
    /// A trigger.
    Trigger(TriggerId),
    /// A chamber: its volume, or a supply's pressure.
    Chamber(ChamberId),
    /// A landmark of pressure, as a chamber comes to it.
    Pressure(ChamberId, LandmarkId),
    /// The regulator that feeds a chamber.
    Regulator(ChamberId),
    /// A moving part.
    Part(PartId),
    /// A valve.
    Valve(ValveId),
    /// A position of a part.
    Position(PartId, PositionId),
    /// What pushes a part.
    Push(PartId, PushId),
    /// The latch of a part.
    Latch(PartId),
    /// Two chambers that a valve joins: whether when shifted, and the place in that list.
    Joint(ValveId, bool, usize),
    /// A way, the barrel among them.
    Way(WayId),
    /// A seal.
    Seal(SealId),
    /// The ball.
    Ball,
    /// One of the lists of conditions that `or` joins.
    Choice(ChoiceId, usize),
}

impl Element {
    /// The part or valve of which it is a piece.
    pub(crate) fn owner(self) -> Option<Element> {
        match self {
            Element::Position(part, _) | Element::Push(part, _) | Element::Latch(part) => {
                Some(Element::Part(part))
            }
            Element::Joint(valve, ..) => Some(Element::Valve(valve)),
            Element::Pressure(chamber, _) => Some(Element::Chamber(chamber)),
            _ => None,
        }
    }

    /// Its name; the open ends of a valve have none.
    pub(crate) fn name(self, engine: &Engine) -> Option<&Name> {
        match self {
            Element::Trigger(at) => engine.triggers.get(at),
            Element::Chamber(at) => engine.chambers.get(at).map(|chamber| &chamber.name),
            Element::Pressure(_, mark) => engine.landmarks.get(mark).map(|it| &it.name),
            Element::Regulator(at) => engine.chambers.get(at)?.regulator.as_ref(),
            Element::Part(at) => engine.parts.get(at).map(|part| &part.name),
            Element::Valve(at) => engine.valves.get(at).map(|valve| &valve.name),
            Element::Position(part, at) => engine.parts.get(part)?.positions.get(at),
            Element::Push(part, at) => {
                engine.parts.get(part)?.pushes.get(at).map(|push| &push.name)
            }
            Element::Latch(part) => engine.parts.get(part)?.latch.as_ref().map(|latch| &latch.name),
            Element::Joint(..) | Element::Choice(..) => None,
            Element::Way(at) => engine.ways.get(at).map(|way| &way.name),
            Element::Seal(at) => engine.seals.get(at).map(|seal| &seal.name),
            Element::Ball => engine.ball.as_ref().map(|ball| &ball.name),
        }
    }

    /// What it goes by in prose; nothing where it has no name.
    pub(crate) fn spoken(self, engine: &Engine) -> String {
        self.name(engine).map_or_else(String::new, Name::spoken)
    }

    /// The same with its article: "the store", "the open air".
    pub(crate) fn the(self, engine: &Engine) -> String {
        format!("the {}", self.spoken(engine))
    }

    /// What it is: "chamber", "way".
    pub(crate) fn noun(self) -> &'static str {
        match self {
            Element::Trigger(_) => "trigger",
            Element::Chamber(_) => "chamber",
            Element::Pressure(..) => "landmark",
            Element::Regulator(_) => "regulator",
            Element::Part(_) => "moving part",
            Element::Valve(_) => "valve",
            Element::Position(..) => "position",
            Element::Push(..) => "push",
            Element::Latch(_) => "latch",
            Element::Joint(..) => "joint",
            Element::Way(_) => "way",
            Element::Seal(_) => "seal",
            Element::Ball => "ball",
            Element::Choice(..) => "condition",
        }
    }
}
