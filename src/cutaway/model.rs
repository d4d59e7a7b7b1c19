//! The model that a cutaway stands for: chambers, ways, moving parts, valves, seals and facts,
//! every name resolved to a place in a list.
//!
//! Nothing here is optional by accident: what a writer left out has its default, what could not
//! be read is not in the model, and a model without slips can be explored, compared and drawn. It
//! knows no text beyond the spans that messages need.

pub(crate) use super::defects::NEVER;
pub use super::defects::{Defect, Wrong};
pub use super::element::Element;
pub use super::ids::{
    ChamberId, ChoiceId, Id, LandmarkId, List, PartId, PositionId, PushId, SealId, TriggerId,
    ValveId, WayId,
};
use super::solids::{DrawnSolid, RoomPlace};
use crate::text::Span;
use std::collections::BTreeMap;

/// The open air among [`Engine::chambers`]: it is always there.
pub const OPEN_AIR: ChamberId = ChamberId::OPEN_AIR;

/// A name, what prose may call it, and where it was given.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Name {
    /// The word of the cutaway, `snake_case`.
    pub id: String,
    /// Other words for it (`called "…"`), in the writer's order.
    pub called: Vec<String>,
    /// Where the word stands.
    pub span: Span,
}

impl Name {
    /// The name as prose says it: the first `called`, or the word with blanks for underscores.
    pub(crate) fn spoken(&self) -> String {
        self.called.first().cloned().unwrap_or_else(|| self.id.replace('_', " "))
    }
}

/// One engine as its cutaway describes it.
#[derive(Debug, Clone, Default)]
pub struct Engine {
    /// Name, unique among the cutaways of a folio.
    pub name: Name,
    /// The cutaway that this one changes.
    pub based_on: Option<String>,
    /// Name of the revision, where this is one of an engine's revisions.
    pub revision: Option<String>,
    /// What is different, where this is one of an engine's variants.
    pub variant: Option<String>,
    /// Triggers, in the order in which they are pulled; at least one.
    pub triggers: List<TriggerId, Name>,
    /// What the hand does, in order, where the writer says so.
    pub hand: Vec<HandAct>,
    /// Pressures between that of the open air and the highest, in the order of the text.
    pub landmarks: List<LandmarkId, Landmark>,
    /// Pressures of rooms that somebody asks about, whether or not anything hangs on them.
    pub watched: Vec<(ChamberId, LandmarkId)>,
    /// Chambers; the first is the open air.
    pub chambers: List<ChamberId, Chamber>,
    /// Ways between chambers, those through valves not among them.
    pub ways: List<WayId, Way>,
    /// Moving parts.
    pub parts: List<PartId, Part>,
    /// Valves that are drawn as symbols and not taken apart.
    pub valves: List<ValveId, Valve>,
    /// Parts that move as one.
    pub links: Vec<(PartId, PartId)>,
    /// Seals.
    pub seals: List<SealId, Seal>,
    /// The ball, if it has one.
    pub ball: Option<Ball>,
    /// What the conditions that are joined by `or` choose from.
    pub choices: List<ChoiceId, Vec<Vec<Condition>>>,
    /// What is wrong with pieces of it; the lists above have it already.
    pub defects: Vec<Defect>,
    /// Ordinal facts.
    pub facts: Vec<Fact>,
    /// Facts about the order of events.
    pub orders: Vec<Order>,
    /// The writer's words for events.
    pub sayings: Vec<Saying>,
    /// The readings that state a size of things: the pressure of a supply, the bore of a way, ….
    pub readings: BTreeMap<Element, Name>,
    /// The readings of what springs push with where they are longest.
    pub preloads: BTreeMap<Element, Name>,
    /// Sizes.
    pub drawn: Drawn,
    /// Axes along which the order of things is known.
    pub axes: Vec<Axis>,
    /// What the cutaway says of its revisions and variants; each can be had as an engine.
    pub revisions: Vec<Revision>,
}

/// One thing that the hand does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HandAct {
    /// What it pulls or lets go.
    pub(crate) trigger: TriggerId,
    /// Which of the two.
    pub(crate) pulls: bool,
    /// Whether it waits until all is quiet, and does not come at any moment.
    pub(crate) waits: bool,
}

/// What a cutaway says of sizes; nothing where it has none.
#[derive(Debug, Clone, Default)]
pub struct Drawn {
    /// What does not move.
    pub(crate) body: Option<DrawnSolid>,
    /// Moving parts.
    pub(crate) parts: BTreeMap<PartId, DrawnSolid>,
    /// Where chambers lie.
    pub(crate) rooms: BTreeMap<ChamberId, RoomPlace>,
}

impl Drawn {
    /// Whether there are holes across.
    pub(crate) fn has_holes(&self) -> bool {
        self.body.iter().chain(self.parts.values()).any(|solid| !solid.holes.is_empty())
    }
}

/// One of the forms in which an engine was made, or one with something wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Revision {
    pub(crate) name: Name,
    /// The date since when, as written.
    pub since: Option<String>,
    /// What is different, in the writer's words.
    pub(crate) what: Option<String>,
    /// Whether nobody made it so: something is wrong, or tried.
    pub(crate) is_variant: bool,
}

/// What a chamber is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    /// The open air: takes any amount, never rises.
    OpenAir,
    /// A supply: gives any amount, never falls.
    Supply,
    /// A store: large beside the rooms it feeds.
    Store,
    /// A room whose pressure steers a part.
    Pilot,
    /// A room whose pressure does the work.
    Drive,
    /// A room whose pressure brings a part back.
    Return,
    /// A room that reports what another does.
    Sense,
    /// The room behind the ball.
    Breech,
    /// None of these.
    Room,
}

impl Role {
    /// All roles that a chamber may be given, with their words.
    pub const ALL: [(&'static str, Role); 8] = [
        ("supply", Role::Supply),
        ("store", Role::Store),
        ("pilot", Role::Pilot),
        ("drive", Role::Drive),
        ("return", Role::Return),
        ("sense", Role::Sense),
        ("breech", Role::Breech),
        ("room", Role::Room),
    ];

    /// The word of the language; `open air` for the open air.
    pub(crate) fn word(self) -> &'static str {
        Role::ALL.iter().find(|(_, role)| *role == self).map_or("open air", |(word, _)| word)
    }
}

/// A pressure at which something happens.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Landmark {
    /// Name.
    pub name: Name,
    /// The one next below it, if any.
    pub above: Option<LandmarkId>,
    /// Its place among all from the lowest, from 1.
    pub height: u8,
}

/// A space that has one pressure.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chamber {
    /// Name.
    pub name: Name,
    /// Role.
    pub role: Role,
    /// For a supply: the chamber it is regulated down from.
    pub regulated_from: Option<ChamberId>,
    /// For a supply: the name of its regulator.
    pub regulator: Option<Name>,
    /// For a supply: the highest landmark that its pressure reaches; all, if none is said.
    pub holds: Option<LandmarkId>,
    /// For a room: the supply whose pressure it holds before anything happens; none is empty then.
    pub starts_as: Option<ChamberId>,
    /// For a store: whether it is empty, once open to the air, before a part has moved freely.
    pub is_quick: bool,
}

impl Chamber {
    /// Whether it gives any amount of air.
    pub(crate) fn is_supply(&self) -> bool {
        self.role == Role::Supply
    }

    /// Whether it takes part in what can change: neither supply nor open air.
    pub(crate) fn is_finite(&self) -> bool {
        !matches!(self.role, Role::Supply | Role::OpenAir)
    }
}

/// How easily air passes a way.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Width {
    /// Pressures become equal while parts are still moving.
    Wide,
    /// Pressures become equal only after everything else has come to rest.
    Narrow,
    /// As narrow, and meant to leak for ever.
    Bleed,
}

impl Width {
    /// "wide", "narrow", "a bleed".
    pub(crate) fn word(self) -> &'static str {
        match self {
            Width::Wide => "wide",
            Width::Narrow => "narrow",
            Width::Bleed => "a bleed",
        }
    }
}

/// A connection of two chambers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Way {
    /// Name.
    pub name: Name,
    /// Chamber it comes from.
    pub from: ChamberId,
    /// Chamber it leads to.
    pub to: ChamberId,
    /// How easily air passes.
    pub width: Width,
    /// Whether air passes only from `from` to `to` (a check valve).
    pub one_way: bool,
    /// Whether it is the barrel: open when no ball sits in it.
    pub barrel: bool,
    /// It is open while all of these hold; always, if there are none.
    pub when: Vec<Condition>,
    /// The pressure of `from` that it never lets past: it opens there, and carries nothing below.
    pub relieves_at: Option<LandmarkId>,
}

/// Something that is so or not so in a state.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Condition {
    /// A part stands at a position.
    At(PartId, PositionId),
    /// A part stands at a position or in front of it.
    From(PartId, PositionId),
    /// A part stands behind a position.
    Before(PartId, PositionId),
    /// A valve has shifted.
    Shifted(ValveId),
    /// A valve is at rest.
    Resting(ValveId),
    /// A trigger is pulled.
    Pulled(TriggerId),
    /// A trigger is not pulled.
    Released(TriggerId),
    /// A chamber holds more than the open air.
    Pressure(ChamberId),
    /// A chamber holds no more than the open air.
    NoPressure(ChamberId),
    /// The first chamber holds more than the second.
    Above(ChamberId, ChamberId),
    /// A chamber holds at least as much as a landmark.
    Reached(ChamberId, LandmarkId),
    /// A chamber holds less than a landmark.
    Below(ChamberId, LandmarkId),
    /// All conditions of one of several lists hold ([`Engine::choices`]).
    Either(ChoiceId),
}

/// Along the axis.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Direction {
    /// Towards the muzzle.
    Forward,
    /// Towards the rear cap.
    Back,
}

impl Direction {
    /// "forward" or "back".
    pub(crate) fn word(self) -> &'static str {
        match self {
            Direction::Forward => "forward",
            Direction::Back => "back",
        }
    }

    /// The other one.
    pub(crate) fn opposite(self) -> Direction {
        match self {
            Direction::Forward => Direction::Back,
            Direction::Back => Direction::Forward,
        }
    }
}

/// What a moving part looks like, where the writer says so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Shape {
    /// A plain piston.
    #[default]
    Piston,
    /// A spool.
    Spool,
    /// A bolt.
    Bolt,
    /// A poppet.
    Poppet,
    /// A diaphragm.
    Diaphragm,
    /// A hammer.
    Hammer,
    /// A sleeve.
    Sleeve,
}

impl Shape {
    /// All shapes with their words.
    pub const ALL: [(&'static str, Shape); 7] = [
        ("piston", Shape::Piston),
        ("spool", Shape::Spool),
        ("bolt", Shape::Bolt),
        ("poppet", Shape::Poppet),
        ("diaphragm", Shape::Diaphragm),
        ("hammer", Shape::Hammer),
        ("sleeve", Shape::Sleeve),
    ];
}

/// A part that moves along an axis between named positions.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// Name.
    pub name: Name,
    /// Shape.
    pub shape: Shape,
    /// Positions from rear to front; at least two.
    pub positions: List<PositionId, Name>,
    /// The position at rest.
    pub rest: PositionId,
    /// What pushes it.
    pub pushes: List<PushId, Push>,
    /// What holds it.
    pub latch: Option<Latch>,
    /// What keeps it from moving one way.
    pub blocks: Vec<Obstacle>,
    /// How fast it moves beside air.
    pub pace: Pace,
}

/// How fast a part moves beside air.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Pace {
    /// Before air settles through a wide way.
    Light,
    /// When air has settled through wide ways, before it does through narrow ones.
    #[default]
    Free,
    /// No faster than air comes through a narrow way.
    Slow,
}

impl Pace {
    /// How it is told: "slow".
    pub(crate) fn word(self) -> &'static str {
        match self {
            Pace::Light => "light",
            Pace::Free => "neither light nor slow",
            Pace::Slow => "slow",
        }
    }
}

/// Something that keeps a part from moving one way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Obstacle {
    /// Which way.
    pub direction: Direction,
    /// It does so while all of these hold; always, if there are none.
    pub when: Vec<Condition>,
}

impl Part {
    /// Whether a latch holds it where it rests.
    pub(crate) fn rests_latched(&self) -> bool {
        self.latch.as_ref().is_some_and(|latch| latch.at == self.rest)
    }
}

/// Something that pushes a part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Push {
    /// Name, unique within the part.
    pub name: Name,
    /// What it is.
    pub kind: PushKind,
    /// Which way it pushes.
    pub direction: Direction,
    /// It pushes while all of these hold; always, if there are none.
    pub when: Vec<Condition>,
    /// Whether it is a blow: spent as soon as the part does not give way to it any more, until
    /// its conditions have ceased and come about again.
    pub is_blow: bool,
}

impl Push {
    /// A spring in words, which may have "spring" in its name: "return spring".
    pub(crate) fn spring(&self) -> String {
        let name = self.name.spoken();
        if name.ends_with("spring") { name } else { format!("{name} spring") }
    }
}

/// What pushes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PushKind {
    /// The pressure of a chamber on a face.
    Face(ChamberId),
    /// A spring.
    Spring,
    /// A hand, which is stronger than all that pushes against it.
    Hand,
    /// Another part that strikes or leans on it.
    Contact(PartId),
}

/// A sear or a catch.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Latch {
    /// Name.
    pub name: Name,
    /// Position it holds.
    pub at: PositionId,
    /// When it holds.
    pub hold: Hold,
}

/// When a latch holds its part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Hold {
    /// Until a trigger is pulled; it takes hold again when the part comes back, though the trigger
    /// be held.
    Until(TriggerId),
    /// While all of these hold and the part stands there.
    While(Vec<Condition>),
}

impl Latch {
    /// What it holds while; nothing where it holds until a trigger is pulled.
    pub(crate) fn when(&self) -> &[Condition] {
        match &self.hold {
            Hold::Until(_) => &[],
            Hold::While(when) => when,
        }
    }

    /// Whether a trigger releases it.
    pub(crate) fn is_released_by(&self, trigger: TriggerId) -> bool {
        self.hold == Hold::Until(trigger)
    }
}

/// How a valve is made to shift.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Drive {
    /// By a coil.
    Solenoid,
    /// By a finger or by a part.
    Mechanical,
    /// By air.
    Air,
}

/// What kind of valve it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ValveKind {
    /// Ports and states, as `3/2`.
    Boxes(u8),
    /// A quick exhaust: inlet, consumer, exhaust.
    QuickExhaust,
    /// A shuttle: the higher of two inlets goes on.
    Shuttle,
    /// A two-pressure valve: goes on when both inlets have pressure.
    TwoPressure,
}

/// A valve with two states that is not taken apart.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Valve {
    /// Name.
    pub name: Name,
    /// Kind.
    pub kind: ValveKind,
    /// How it is moved.
    pub drive: Drive,
    /// Chambers it joins at rest.
    pub rest: Vec<(ChamberId, ChamberId)>,
    /// Chambers it joins when shifted.
    pub shifted: Vec<(ChamberId, ChamberId)>,
    /// Of its joints those that are not wide: whether when shifted, and the place in that list.
    pub widths: BTreeMap<(bool, usize), Width>,
    /// It shifts while all of these hold.
    pub shifts: Vec<Condition>,
    /// Whether it shifts once each time they begin to hold (`on`), not all the while (`while`).
    pub on_edge: bool,
    /// What brings it back.
    pub returns: Returns,
}

impl Valve {
    /// Whether it has a rest of its own; a quick exhaust or a shuttle lies where air pushed it.
    pub(crate) fn has_rest(&self) -> bool {
        matches!(self.kind, ValveKind::Boxes(_))
    }

    /// How easily air passes one of its joints.
    pub(crate) fn width(&self, shifted: bool, joint: usize) -> Width {
        self.widths.get(&(shifted, joint)).copied().unwrap_or(Width::Wide)
    }

    /// Whether air passes its joints, in this state, from the first chamber to the second only.
    pub(crate) fn is_one_way(&self, shifted: bool) -> bool {
        self.kind == ValveKind::QuickExhaust && !shifted
    }
}

/// What brings a valve back to rest.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Returns {
    /// A spring, as soon as nothing shifts it.
    Spring,
    /// A clock: after the named time.
    After(Name),
    /// These conditions, while nothing shifts it; until then it stays.
    While(Vec<Condition>),
}

/// A ring or a seat that keeps two chambers apart.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Seal {
    /// Name.
    pub name: Name,
    /// Part that carries it; `None` for one in the body.
    pub on: Option<PartId>,
    /// The chambers it separates.
    pub between: (ChamberId, ChamberId),
    /// Size of the ring, as written (`-012`).
    pub size: Option<Name>,
    /// For a lip seal, the one of the two whose air it holds; air of the other gets past it.
    pub lip: Option<ChamberId>,
    /// It seals while all of these hold; always, if there are none.
    pub when: Vec<Condition>,
}

/// What is thrown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ball {
    /// Name.
    pub name: Name,
    /// The chamber in front of which it sits.
    pub chamber: ChamberId,
    /// Whether one lies there at rest.
    pub lies_at_rest: bool,
    /// A new one drops in while all of these hold; never, if there are none.
    pub fed: Vec<Condition>,
}

/// How a fact is known.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Known {
    /// The word in brackets: seen, measured, reckoned, timed, ….
    pub(crate) how: String,
    pub(crate) span: Span,
}

/// How two sides of a fact stand to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Relation {
    /// Larger, stronger, wider.
    Larger,
    /// So much larger that it wins even with part of the pressure.
    MuchLarger,
    /// Larger as soon as the right side has only spent pressure. Of full pressure it says nothing,
    /// so it may stand beside the opposite fact.
    LargerOnceSpent,
    /// Larger while the pressures of the right side are below a landmark.
    LargerBelow(LandmarkId),
    /// Larger while the pressures of the left side have reached a landmark.
    LargerFrom(LandmarkId),
    /// The same.
    Equal,
}

impl Relation {
    /// Whether it holds only at some pressures: what follows from it is no more than that.
    pub(crate) fn is_of_a_time(self) -> bool {
        match self {
            Relation::LargerOnceSpent | Relation::LargerBelow(_) | Relation::LargerFrom(_) => true,
            Relation::Larger | Relation::MuchLarger | Relation::Equal => false,
        }
    }
}

/// One thing that a fact speaks of.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Term {
    /// A push, a chamber's volume or a supply's pressure, the opening of a way, or a part's mass or
    /// length, as the fact's words say.
    Own(Element),
    /// Something of another engine: its name, the path there.
    Foreign(String, String),
}

/// An ordinal fact: the left side is larger than the right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fact {
    /// The larger side; several are added up.
    pub left: Vec<Term>,
    /// How they stand.
    pub relation: Relation,
    /// The smaller side.
    pub right: Vec<Term>,
    /// The comparing word as written: larger, stiffer, narrower, ….
    pub word: String,
    /// How it is known.
    pub(crate) known: Known,
    pub(crate) span: Span,
}

/// Something that happens.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Event {
    /// A trigger is pulled.
    Pulled(TriggerId),
    /// A trigger is released.
    Released(TriggerId),
    /// A valve shifts.
    Shifts(ValveId),
    /// A valve returns to rest.
    Returns(ValveId),
    /// A latch lets its part go.
    Unlatches(PartId),
    /// A latch takes hold of its part.
    Latches(PartId),
    /// A part leaves a position.
    Leaves(PartId, PositionId),
    /// A part reaches a position.
    Reaches(PartId, PositionId),
    /// A way opens.
    Opens(WayId),
    /// A way closes.
    Closes(WayId),
    /// A chamber's pressure rises.
    Fills(ChamberId),
    /// A chamber's pressure falls, but not to that of the open air.
    Drops(ChamberId),
    /// A chamber's pressure falls to that of the open air.
    Empties(ChamberId),
    /// A chamber's pressure rises to a landmark.
    Rises(ChamberId, LandmarkId),
    /// A chamber's pressure falls below a landmark.
    Falls(ChamberId, LandmarkId),
    /// The ball leaves the barrel.
    BallLeaves,
    /// A new ball drops in.
    BallFed,
}

impl Event {
    /// The landmark that a room's pressure passes, if that is what happens.
    pub(crate) fn landmark(self) -> Option<(ChamberId, LandmarkId)> {
        match self {
            Event::Rises(room, mark) | Event::Falls(room, mark) => Some((room, mark)),
            _ => None,
        }
    }

    /// What it happens to; of a part the position.
    pub fn subject(self) -> Element {
        match self {
            Event::Pulled(at) | Event::Released(at) => Element::Trigger(at),
            Event::Shifts(at) | Event::Returns(at) => Element::Valve(at),
            Event::Unlatches(at) | Event::Latches(at) => Element::Latch(at),
            Event::Leaves(part, at) | Event::Reaches(part, at) => Element::Position(part, at),
            Event::Opens(at) | Event::Closes(at) => Element::Way(at),
            Event::Fills(at) | Event::Drops(at) | Event::Empties(at) => Element::Chamber(at),
            Event::Rises(at, mark) | Event::Falls(at, mark) => Element::Pressure(at, mark),
            Event::BallLeaves | Event::BallFed => Element::Ball,
        }
    }

    /// What happens, as in "store fills".
    pub(crate) fn verb(self) -> &'static str {
        match self {
            Event::Pulled(_) => "pulled",
            Event::Released(_) => "released",
            Event::Shifts(_) => "shifts",
            Event::Returns(_) => "returns",
            Event::Unlatches(_) => "lets go",
            Event::Latches(_) => "catches",
            Event::Leaves(..) | Event::BallLeaves => "leaves",
            Event::Reaches(..) => "reaches",
            Event::Opens(_) => "opens",
            Event::Closes(_) => "closes",
            Event::Fills(_) => "fills",
            Event::Drops(_) => "drops",
            Event::Empties(_) => "empties",
            Event::Rises(..) => "rises",
            Event::Falls(..) => "falls",
            Event::BallFed => "drops in",
        }
    }

    /// The same happening to something else; `None` if it is of another kind.
    pub fn of(self, subject: Element) -> Option<Event> {
        Some(match (self, subject) {
            (Event::Pulled(_), Element::Trigger(at)) => Event::Pulled(at),
            (Event::Released(_), Element::Trigger(at)) => Event::Released(at),
            (Event::Shifts(_), Element::Valve(at)) => Event::Shifts(at),
            (Event::Returns(_), Element::Valve(at)) => Event::Returns(at),
            (Event::Unlatches(_), Element::Latch(at)) => Event::Unlatches(at),
            (Event::Latches(_), Element::Latch(at)) => Event::Latches(at),
            (Event::Leaves(..), Element::Position(part, at)) => Event::Leaves(part, at),
            (Event::Reaches(..), Element::Position(part, at)) => Event::Reaches(part, at),
            (Event::Opens(_), Element::Way(at)) => Event::Opens(at),
            (Event::Closes(_), Element::Way(at)) => Event::Closes(at),
            (Event::Fills(_), Element::Chamber(at)) => Event::Fills(at),
            (Event::Drops(_), Element::Chamber(at)) => Event::Drops(at),
            (Event::Empties(_), Element::Chamber(at)) => Event::Empties(at),
            (Event::Rises(..), Element::Pressure(at, mark)) => Event::Rises(at, mark),
            (Event::Falls(..), Element::Pressure(at, mark)) => Event::Falls(at, mark),
            (Event::BallLeaves | Event::BallFed, Element::Ball) => self,
            _ => return None,
        })
    }
}

/// Most orders that an engine may have: whoever follows a shot keeps one bit for each.
pub const MOST_ORDERS: usize = 64;

/// A fact about order: the first event comes before the second.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Order {
    /// The earlier event.
    pub first: Event,
    /// The later event.
    pub then: Event,
    /// How it is known.
    pub(crate) known: Known,
    /// The cutaway that it was taken over from, by its name.
    pub(crate) taken_from: Option<String>,
    pub(crate) span: Span,
}

impl Order {
    /// How it is known, and from which engine: "timed, taken over from hazel".
    pub(crate) fn how(&self) -> String {
        match &self.taken_from {
            Some(engine) => format!("{}, taken over from {engine}", self.known.how),
            None => self.known.how.clone(),
        }
    }
}

/// The writer's words for an event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Saying {
    pub(crate) words: Name,
    /// The event.
    pub event: Event,
    /// The figure that states the time from the trigger to it.
    pub after: Option<Name>,
}

/// The order of things along an axis, from rear to front.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Axis {
    /// Name.
    pub name: Name,
    /// Chambers, parts and the barrel in order; those that share a place (one around the other)
    /// stand together, the inner first.
    pub places: Vec<Vec<Element>>,
}

impl Engine {
    /// What the hand does in one shot: each trigger is pulled in turn and then let go in turn, each
    /// time when all is quiet, where nothing else is said.
    pub(crate) fn hand_acts(&self) -> Vec<HandAct> {
        if !self.hand.is_empty() {
            return self.hand.clone();
        }
        let each = |pulls: bool| {
            let acts = self.triggers.ids();
            acts.map(move |trigger| HandAct { trigger, pulls, waits: true })
        };
        each(true).chain(each(false)).collect()
    }

    /// Every condition that stands somewhere, in no order that means anything.
    pub(crate) fn conditions(&self) -> impl Iterator<Item = Condition> + '_ {
        let valves = self.valves.iter().flat_map(|valve| {
            let back = match &valve.returns {
                Returns::While(when) => when.as_slice(),
                Returns::Spring | Returns::After(_) => &[],
            };
            valve.shifts.iter().chain(back)
        });
        let pushes = self.parts.iter().flat_map(|part| &part.pushes).flat_map(|push| &push.when);
        let ways = self.ways.iter().flat_map(|way| &way.when);
        let fed = self.ball.iter().flat_map(|ball| &ball.fed);
        let latches = self.parts.iter().filter_map(|part| part.latch.as_ref());
        let held = latches.flat_map(Latch::when);
        let blocks = self.parts.iter().flat_map(|part| &part.blocks).flat_map(|it| &it.when);
        let chosen = self.choices.iter().flatten().flatten();
        let all = valves.chain(pushes).chain(held).chain(blocks).chain(ways).chain(fed);
        all.chain(chosen).copied()
    }

    /// The position of a chamber by its word or what it is called.
    #[must_use]
    pub fn chamber(&self, words: &str) -> Option<ChamberId> {
        find(self.chambers.iter().map(|chamber| &chamber.name), words)
    }

    /// The same for ways.
    #[must_use]
    pub fn way(&self, words: &str) -> Option<WayId> {
        find(self.ways.iter().map(|way| &way.name), words)
    }

    /// The same for parts.
    #[must_use]
    pub fn part(&self, words: &str) -> Option<PartId> {
        find(self.parts.iter().map(|part| &part.name), words)
    }

    /// The same for valves.
    #[must_use]
    pub fn valve(&self, words: &str) -> Option<ValveId> {
        find(self.valves.iter().map(|valve| &valve.name), words)
    }
}

/// The place in a list of the thing that goes by these words, case and underscores aside.
pub(crate) fn find<'a, I: Id>(names: impl Iterator<Item = &'a Name>, words: &str) -> Option<I> {
    let plain = |text: &str| text.trim().replace('_', " ").to_lowercase();
    let wanted = plain(words);
    names.enumerate().find_map(|(at, name)| {
        let goes = plain(&name.id) == wanted || name.called.iter().any(|c| plain(c) == wanted);
        goes.then_some(I::at(at))
    })
}
