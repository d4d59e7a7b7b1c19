//! What the logic finds: states, the steps between them, and how they end.

use crate::cutaway::model::Event;

/// The pressure of a chamber, as far as it can be told without dimensions. Ordered: a higher one
/// holds more, except that two full chambers may hang on different supplies.
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
    Full(usize),
}

/// Everything that is so at one moment.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct State {
    /// Position of each part.
    pub positions: Vec<usize>,
    /// Level of each chamber.
    pub levels: Vec<Level>,
    /// Whether each valve has shifted.
    pub shifted: Vec<bool>,
    /// Whether each trigger is pulled.
    pub pulled: Vec<bool>,
    /// Whether each part is held by its latch.
    pub latched: Vec<bool>,
    /// Whether a ball sits in the barrel.
    pub ball: bool,
    /// Memory of what has answered its trigger already: valves that shift once, then latches.
    pub(super) spent_edges: Vec<bool>,
    /// Which events that an order speaks of have happened.
    pub(super) happened: u64,
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
    /// Why, as a sentence without full stop: "with the switch room vented only the store acts on
    /// the switch: it moves back".
    pub why: String,
}

/// A fact or a measurement that would decide what the logic cannot.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Need {
    /// What is not decided: "whether the bolt moves back".
    pub what: String,
    /// What would decide it, as lines to write in the cutaway, best first.
    pub facts: Vec<String>,
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
    /// States met; the first is the rest state.
    pub states: Vec<State>,
    /// Steps between them.
    pub steps: Vec<Step>,
    /// States in which something ends, with how, in the order in which they were met.
    pub endings: Vec<(usize, Ending)>,
    /// Steps of one run from rest to an ending, as indices: the one that is told.
    pub line: Vec<usize>,
    /// What the telling takes for granted: "the dwell of the pilot outlasts the motion".
    pub assumptions: Vec<String>,
    /// Whether the search was given up because there are too many states.
    pub is_cut_short: bool,
}

impl Exploration {
    /// How the told run ends.
    #[must_use]
    pub fn ending(&self) -> Option<&Ending> {
        let last = self.line.last().map_or(0, |step| self.steps[*step].to);
        self.endings.iter().find(|(state, _)| *state == last).map(|(_, ending)| ending)
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
}
