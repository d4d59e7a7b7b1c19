//! What happens when the air is turned on: from an engine that holds none to what it comes to rest
//! at.

use super::explore::explore_untouched;
use super::next::Scene;
use super::state::{Ending, Exploration, Pressure, State};
use crate::cutaway::model::{Engine, Event};

/// Steps after which springs are taken not to come to rest.
const MOST_STEPS: usize = 200;

/// All that can happen while an engine fills, nobody touching it; its first state is the one just
/// before the air comes in: rooms empty, parts where springs have them, or else where they rest.
#[must_use]
pub(crate) fn filling(engine: &Engine, most: usize) -> Exploration {
    explore_untouched(engine, &airless(engine), most)
}

fn airless(engine: &Engine) -> State {
    let scene = Scene::untouched(engine);
    let mut state = State::declared(engine);
    let shut = |room: &_| engine.chambers[*room].starts_as.is_none();
    for room in engine.chambers.ids().filter(shut) {
        state.come_to(room, Pressure::NONE);
    }
    for _ in 0..MOST_STEPS {
        match scene.without_air(&state) {
            Some(next) => state = next,
            None => break,
        }
    }
    for room in engine.chambers.ids().filter(|room| engine.chambers[*room].is_supply()) {
        state.come_to(room, Pressure::of_supply(engine, room));
    }
    state
}

impl Exploration {
    /// Where every run comes to the same quiet end and no ball leaves on the way: that end.
    pub(crate) fn one_quiet_end(&self, engine: &Engine) -> Option<&State> {
        let is_quiet = |(_, ending): &(usize, Ending)| {
            matches!(ending, Ending::AtRest | Ending::Stuck(_) | Ending::Vents(_))
        };
        let leaves = self.steps.iter().any(|step| step.events.contains(&Event::BallLeaves));
        let end = |(at, _): &(usize, Ending)| &self.states[*at];
        let first = self.endings.first().map(end)?;
        let is_one =
            self.endings.iter().all(|it| is_quiet(it) && first.looks_like(engine, end(it)));
        (is_one && !leaves && !self.is_cut_short).then_some(first)
    }

    /// Whether it stops somewhere because something is not decided, or was not followed to its end.
    pub(crate) fn is_open(&self) -> bool {
        let is_undecided = |(_, it): &(usize, Ending)| matches!(it, Ending::Undecided(_));
        self.is_cut_short || self.endings.iter().any(is_undecided)
    }
}
