//! What the logic finds: states, the steps between them, and how they end.

use crate::cutaway::model::{
    ChamberId, Condition, Engine, Event, Hold, LandmarkId, List, Order, PartId, PositionId, PushId,
    Relation, Role, Term, TriggerId, ValveId, WayId,
};
use crate::text::Span;
use std::collections::BTreeSet;

/// The pressure of a chamber, as far as it can be told without dimensions. A later one holds more,
/// except that two full chambers may hang on different supplies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// That of the open air.
    Empty,
    /// Somewhere between the open air and a supply.
    Spent,
    /// A store, and the rooms joined to it, after it has fed them but before any of it got out:
    /// taken as nearly full, because a store is large beside the rooms it feeds.
    Drawn,
    /// That of the supply with this index among the chambers.
    Full(ChamberId),
}

impl Level {
    /// "empty", "spent", "drawn on", "full".
    pub(crate) fn word(self) -> &'static str {
        match self {
            Level::Empty => "empty",
            Level::Spent => "spent",
            Level::Drawn => "drawn on",
            Level::Full(_) => "full",
        }
    }

    /// How much it holds, supplies not told apart.
    pub(crate) fn rank(self) -> u8 {
        match self {
            Level::Empty => 0,
            Level::Spent => 1,
            Level::Drawn => 2,
            Level::Full(_) => 3,
        }
    }
}

/// How much a chamber holds: its level, and how many landmarks from the lowest it has reached.
/// The region between two landmarks decides, and the level only within it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Pressure {
    pub(super) level: Level,
    pub(super) reached: u8,
}

impl Pressure {
    pub(super) const NONE: Pressure = Pressure { level: Level::Empty, reached: 0 };

    /// That of a supply.
    pub(super) fn of_supply(engine: &Engine, supply: ChamberId) -> Pressure {
        let all = u8::try_from(engine.landmarks.len()).unwrap_or(u8::MAX);
        let holds = engine.chambers[supply].holds;
        let reached = holds.map_or(all, |mark| engine.landmarks[mark].height);
        Pressure { level: Level::Full(supply), reached }
    }

    /// Whether it is that of a supply which is said to hold a landmark, and no more.
    pub(super) fn stands_at_it(self, engine: &Engine) -> bool {
        match self.level {
            Level::Full(supply) => engine.chambers[supply].holds.is_some(),
            Level::Empty | Level::Spent | Level::Drawn => false,
        }
    }

    /// How much it is, supplies not told apart.
    pub(crate) fn rank(self) -> (u8, u8) {
        (self.reached, self.level.rank())
    }
}

/// Everything that is so at one moment.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct State {
    /// Position of each part.
    pub(crate) positions: List<PartId, PositionId>,
    /// Level of each chamber.
    pub(crate) levels: List<ChamberId, Level>,
    /// How many landmarks, from the lowest, the pressure of each chamber has reached.
    pub(super) reached: List<ChamberId, u8>,
    /// Whether each valve has shifted.
    pub(crate) shifted: List<ValveId, bool>,
    /// Whether each trigger is pulled.
    pub(crate) pulled: List<TriggerId, bool>,
    /// Whether each part is held by its latch.
    pub(crate) latched: List<PartId, bool>,
    /// Whether a ball sits in the barrel.
    pub(crate) ball: bool,
    /// How many times a trigger has been pulled or released.
    pub(crate) handled: usize,
    /// Whether each valve that shifts once has answered what makes it shift.
    pub(super) answered: List<ValveId, bool>,
    /// Blows that are spent.
    pub(super) spent: BTreeSet<(PartId, PushId)>,
    /// Which events that an order speaks of have happened, as bits.
    pub(super) happened: u64,
}

impl State {
    /// Parts, valves and latches at rest, all air at rest, triggers not pulled, a ball in place.
    pub(super) fn declared(engine: &Engine) -> State {
        let supply = |at: ChamberId| match engine.chambers[at].is_supply() {
            true => Some(at),
            false => engine.chambers[at].starts_as,
        };
        let full = |at: ChamberId| supply(at).map_or(Level::Empty, Level::Full);
        let reached = engine
            .chambers
            .map(|at, _| supply(at).map_or(0, |from| Pressure::of_supply(engine, from).reached));
        let mut state = State {
            reached,
            positions: engine.parts.map(|_, part| part.rest),
            levels: engine.chambers.map(|at, _| full(at)),
            shifted: engine.valves.map(|_, _| false),
            pulled: engine.triggers.map(|_, _| false),
            latched: engine.parts.map(|_, part| part.rests_latched()),
            ball: engine.ball.as_ref().is_some_and(|ball| ball.lies_at_rest),
            handled: 0,
            answered: engine.valves.map(|_, _| false),
            spent: BTreeSet::new(),
            happened: 0,
        };
        for (part, item) in engine.parts.entries() {
            if let Some(Hold::While(when)) = item.latch.as_ref().map(|latch| &latch.hold) {
                state.latched[part] = item.rests_latched() && state.holds(engine, when);
            }
            // What lies against another part at rest has struck it long ago.
            let blows = item.pushes.entries().filter(|(_, push)| push.is_blow);
            let lying = blows.filter(|(_, push)| state.holds(engine, &push.when));
            let lying: Vec<_> = lying.map(|(push, _)| (part, push)).collect();
            state.spent.extend(lying);
        }
        state
    }

    /// What may be supposed of an engine at rest before anything is worked out: all as declared,
    /// and stores filled. Enough to draw symbols.
    pub(crate) fn supposed(engine: &Engine) -> State {
        let mut state = State::declared(engine);
        for (chamber, level) in engine.chambers.iter().zip(state.levels.iter_mut()) {
            if chamber.role == Role::Store {
                *level = Level::Drawn;
            }
        }
        state
    }

    /// How much a chamber holds.
    pub(crate) fn pressure(&self, chamber: ChamberId) -> Pressure {
        Pressure { level: self.levels[chamber], reached: self.reached[chamber] }
    }

    pub(super) fn come_to(&mut self, chamber: ChamberId, pressure: Pressure) {
        self.levels[chamber] = pressure.level;
        self.reached[chamber] = pressure.reached;
    }

    /// Whether all of these conditions hold.
    pub(crate) fn holds(&self, engine: &Engine, conditions: &[Condition]) -> bool {
        let has_reached =
            |at: ChamberId, mark: LandmarkId| engine.landmarks[mark].height <= self.reached[at];
        conditions.iter().all(|condition| match *condition {
            Condition::At(part, position) => self.positions[part] == position,
            Condition::From(part, position) => position <= self.positions[part],
            Condition::Before(part, position) => self.positions[part] < position,
            Condition::Shifted(valve) => self.shifted[valve],
            Condition::Resting(valve) => !self.shifted[valve],
            Condition::Pulled(trigger) => self.pulled[trigger],
            Condition::Released(trigger) => !self.pulled[trigger],
            Condition::Pressure(chamber) => self.levels[chamber] != Level::Empty,
            Condition::NoPressure(chamber) => self.levels[chamber] == Level::Empty,
            Condition::Above(high, low) => self.pressure(low).rank() < self.pressure(high).rank(),
            Condition::Reached(at, mark) => has_reached(at, mark),
            Condition::Below(at, mark) => !has_reached(at, mark),
            Condition::Either(at) => {
                engine.choices[at].iter().any(|choice| self.holds(engine, choice))
            }
        })
    }

    /// Whether a way is open.
    pub(crate) fn is_open(&self, engine: &Engine, way: WayId) -> bool {
        let way = &engine.ways[way];
        let has_lifted = way
            .relieves_at
            .is_none_or(|mark| engine.landmarks[mark].height <= self.reached[way.from]);
        !(way.barrel && self.ball) && has_lifted && self.holds(engine, &way.when)
    }

    /// Whether a blow on a part is spent.
    pub(crate) fn has_spent(&self, part: PartId, push: PushId) -> bool {
        self.spent.contains(&(part, push))
    }

    /// The same before the hand does all that it does once more.
    pub(crate) fn once_more(&self) -> State {
        State { handled: 0, happened: 0, ..self.clone() }
    }

    /// Whether it differs from another only in what has happened so far.
    pub(crate) fn looks_like(&self, engine: &Engine, other: &State) -> bool {
        let valves = engine.valves.iter().zip(self.shifted.iter().zip(&other.shifted));
        let same_valves = valves.filter(|(valve, _)| valve.has_rest()).all(|(_, (a, b))| a == b);
        same_valves
            && self.positions == other.positions
            && self.levels == other.levels
            && self.reached == other.reached
            && self.latched == other.latched
            && self.ball == other.ball
    }
}

/// One thing that happens, with all that happens by it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// Index of the state before.
    pub from: usize,
    /// Index of the state after.
    pub to: usize,
    /// The events, cause first.
    pub events: Vec<Event>,
    /// Why, as a sentence without full stop: "with the switch room empty only the store pushes the
    /// switch: it moves back".
    pub why: String,
}

/// A fact or a measurement that would decide what the logic cannot.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Need {
    /// The name of the thing that it is about.
    pub(crate) about: Span,
    /// What is not decided: "whether the bolt moves forward or back".
    pub(crate) what: String,
    /// What would decide it, as lines to write in the cutaway.
    pub facts: Vec<String>,
    /// The same as facts to suppose: sides and how they stand; none where that cannot be done.
    pub(super) answers: Vec<(Vec<Term>, Relation, Vec<Term>)>,
}

/// How a run ends.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Ending {
    /// In the rest state, ready for the next shot.
    AtRest,
    /// Quiet, but not in the rest state: what is different, in words.
    Stuck(Vec<String>),
    /// It comes back to a state it was in while nobody touches the trigger: index of that state.
    Repeats(usize),
    /// Air flows from a supply to the open air and nothing stops it: the way it takes, in words.
    Vents(String),
    /// What happens next is not decided.
    Undecided(Need),
}

/// All that can happen in one shot.
#[derive(Debug, Clone, Default)]
pub struct Exploration {
    /// States met; the first is the declared rest state.
    pub states: Vec<State>,
    /// Steps between them.
    pub steps: Vec<Step>,
    /// States in which something ends, with how, in the order in which they were met.
    pub endings: Vec<(usize, Ending)>,
    /// Steps of one run from rest to an ending, as indices: the one that is told.
    pub line: Vec<usize>,
    /// Whether it begins when the air is turned on, and not at rest.
    pub(crate) fills: bool,
    /// Why the declared rest state does not hold, as sentences; empty where it does.
    pub unrest: Vec<String>,
    /// What the telling takes for granted: "the dwell of the pilot outlasts the motion".
    pub(crate) assumptions: Vec<String>,
    /// Orders of which the first event never happens, so that they were left out.
    pub void_orders: Vec<Order>,
    /// Whether a dwell is among what is taken for granted.
    pub(crate) rests_on_clocks: bool,
    /// Whether the search was given up because there are too many states.
    pub is_cut_short: bool,
}

impl Exploration {
    /// How the told run ends; `None` where the search was given up before it ended.
    #[must_use]
    pub fn ending(&self) -> Option<&Ending> {
        self.ending_of(&self.line)
    }

    /// How a run of these steps ends; `None` where it does not.
    pub(crate) fn ending_of(&self, line: &[usize]) -> Option<&Ending> {
        let last = line.last().map_or(0, |step| self.steps[*step].to);
        self.endings.iter().find(|(state, _)| *state == last).map(|(_, ending)| ending)
    }

    /// Whether something happens in some run.
    pub(crate) fn happens(&self, event: Event) -> bool {
        self.steps.iter().any(|step| step.events.contains(&event))
    }

    /// How often something happens in a run of these steps.
    pub(crate) fn times(&self, line: &[usize], event: Event) -> usize {
        line.iter().filter(|step| self.steps[**step].events.contains(&event)).count()
    }

    /// Leaves only these states, in their order; the first is one of them.
    pub(super) fn keep(&mut self, kept: &[bool]) {
        let mut places = vec![None; kept.len()];
        let staying = places.iter_mut().zip(kept).filter(|(_, kept)| **kept);
        for (count, (place, _)) in staying.enumerate() {
            *place = Some(count);
        }
        let mut at = 0..;
        self.states.retain(|_| at.next().is_some_and(|at: usize| kept[at]));
        let steps = std::mem::take(&mut self.steps).into_iter();
        let kept = steps.filter_map(|step| {
            Some(Step { from: places[step.from]?, to: places[step.to]?, ..step })
        });
        self.steps = kept.collect();
        let endings = std::mem::take(&mut self.endings).into_iter();
        self.endings = endings.filter_map(|(at, end)| Some((places[at]?, end))).collect();
    }

    /// The steps that lead out of each state, in the order in which they were found, which is the
    /// one that a teller prefers.
    pub(super) fn out(&self) -> Vec<Vec<usize>> {
        let mut out = vec![Vec::new(); self.states.len()];
        for (at, step) in self.steps.iter().enumerate() {
            out[step.from].push(at);
        }
        out
    }

    /// The states of the told run, the rest state first: one more than it has steps.
    #[must_use]
    pub fn line_states(&self) -> Vec<&State> {
        let first = self.states.first().into_iter();
        first.chain(self.line.iter().map(|step| &self.states[self.steps[*step].to])).collect()
    }

    /// The events of the told run, in order.
    #[must_use]
    pub fn line_events(&self) -> Vec<Event> {
        self.line.iter().flat_map(|step| self.steps[*step].events.iter().copied()).collect()
    }

    /// Whether every run ends at rest.
    #[must_use]
    pub fn always_ends_at_rest(&self) -> bool {
        let at_rest = |ending: &(usize, Ending)| ending.1 == Ending::AtRest;
        !self.is_cut_short && !self.endings.is_empty() && self.endings.iter().all(at_rest)
    }
}
