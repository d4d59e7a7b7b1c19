//! What a picture shows of an engine: its rest, or one state of a shot, and marks of difference.

use super::shape::{Pattern, Pen, Weight};
use crate::cutaway::model::{
    ChamberId, Condition, Element, Engine, OPEN_AIR, PartId, PositionId, Role, TriggerId, ValveId,
    Way,
};
use crate::logic::{Level, State};
use std::collections::BTreeMap;

/// How a thing differs from what stands for it in another engine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mark {
    /// The other engine has nothing like it.
    OnlyHere,
    /// The other engine has it, but otherwise.
    Differs,
}

impl Mark {
    /// The letter in the frame: `O` for only here, `D` for differs.
    pub(crate) fn letter(self) -> &'static str {
        match self {
            Mark::OnlyHere => "O",
            Mark::Differs => "D",
        }
    }

    /// What the letter stands for.
    pub(crate) fn words(self) -> &'static str {
        match self {
            Mark::OnlyHere => "only here",
            Mark::Differs => "differs",
        }
    }
}

/// What to show.
#[derive(Debug, Clone, Default)]
pub struct DrawingView<'a> {
    /// The state; without one the symbols are drawn at rest, and no chamber has a level.
    pub(crate) state: Option<&'a State>,
    /// Things to mark.
    pub marks: BTreeMap<Element, Mark>,
}

impl<'a> DrawingView<'a> {
    /// A state without marks.
    #[must_use]
    pub fn of(state: &'a State) -> DrawingView<'a> {
        DrawingView { state: Some(state), marks: BTreeMap::new() }
    }

    /// Where a part stands.
    pub(crate) fn position(&self, engine: &Engine, part: PartId) -> PositionId {
        let shown = self.state.and_then(|state| state.positions.get(part)).copied();
        shown.unwrap_or(engine.parts[part].rest)
    }

    /// Where a part stands, 0 at its rear end and 1 at its front end.
    pub(crate) fn travel(&self, engine: &Engine, part: PartId) -> f64 {
        let last = engine.parts[part].positions.len().saturating_sub(1).max(1);
        self.position(engine, part).place().min(last) as f64 / last as f64
    }

    /// Whether a valve has shifted.
    #[must_use]
    pub fn is_shifted(&self, valve: ValveId) -> bool {
        self.state.and_then(|state| state.shifted.get(valve)).copied().unwrap_or(false)
    }

    /// Whether a part's latch holds it.
    pub(crate) fn is_latched(&self, engine: &Engine, part: PartId) -> bool {
        let shown = self.state.and_then(|state| state.latched.get(part)).copied();
        shown.unwrap_or_else(|| engine.parts[part].rests_latched())
    }

    /// Whether the ball sits in the barrel.
    pub(crate) fn has_ball(&self, engine: &Engine) -> bool {
        engine.ball.is_some() && self.state.is_none_or(|state| state.ball)
    }

    /// Whether a trigger is pulled.
    pub(crate) fn is_pulled(&self, trigger: TriggerId) -> bool {
        self.state.and_then(|state| state.pulled.get(trigger)).copied().unwrap_or(false)
    }

    /// The level of a chamber, where a state is shown.
    pub(crate) fn level(&self, chamber: ChamberId) -> Option<Level> {
        self.state.and_then(|state| state.levels.get(chamber)).copied()
    }

    /// Whether a way is open.
    #[must_use]
    pub fn is_open(&self, engine: &Engine, way: &Way) -> bool {
        let is_shut = way.barrel && self.has_ball(engine);
        !is_shut && self.holds(engine, &way.when)
    }

    /// Whether air can pass a way: it is open, and is not a check valve with more behind it than
    /// before it.
    #[must_use]
    pub fn lets_pass(&self, engine: &Engine, way: &Way) -> bool {
        let levels = (self.level(way.from), self.level(way.to));
        let is_held = matches!(levels, (Some(from), Some(to)) if from.rank() < to.rank());
        self.is_open(engine, way) && !(way.one_way && is_held)
    }

    /// Whether conditions hold; without a state, those of [`State::supposed`].
    fn holds(&self, engine: &Engine, conditions: &[Condition]) -> bool {
        match self.state {
            Some(state) => state.holds(engine, conditions),
            None => State::supposed(engine).holds(engine, conditions),
        }
    }

    /// The line that a chamber is drawn with: dashed where it only steers, as in ISO 1219-1, and
    /// as wide as its level says.
    pub(crate) fn pen(&self, engine: &Engine, chamber: ChamberId) -> Pen {
        let level = if chamber == OPEN_AIR { None } else { self.level(chamber) };
        let pattern = match engine.chambers[chamber].role {
            Role::Pilot | Role::Sense => Pattern::Dashed,
            _ => Pattern::Continuous,
        };
        Pen { weight: level.map_or(Weight::Wide, level_weight), pattern }
    }
}

/// The line of a chamber at a level: wide while it holds pressure that can do work for long.
pub(crate) fn level_weight(level: Level) -> Weight {
    match level {
        Level::Full(_) | Level::Drawn => Weight::Wide,
        Level::Spent | Level::Empty => Weight::Narrow,
    }
}

/// How far the mark of a level is filled.
pub(crate) fn level_share(level: Level) -> f64 {
    match level {
        Level::Full(_) => 1.0,
        Level::Drawn => 0.75,
        Level::Spent => 0.25,
        Level::Empty => 0.0,
    }
}

/// The levels from high to low, for a legend.
pub(crate) const LEVELS: [Level; 4] =
    [Level::Full(OPEN_AIR), Level::Drawn, Level::Spent, Level::Empty];
