//! The search: every state that a shot can come to, and the run that is told.

use super::next::{Granted, Move, NextStep, Scene};
use super::state::{Ending, Exploration, State, Step};
use super::suppose::explore_supposing;
use super::why;
use crate::cutaway::model::{Engine, Event, Order, Pace, Returns, Role, Width};
use crate::text::listed;
use std::collections::BTreeMap;

/// States after which the search is given up.
const MOST_STATES: usize = 20_000;

/// Whether a clock waits for the parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Clocks {
    /// A dwell outlasts what moves freely, unless an order says otherwise.
    Wait,
    /// A dwell may end at any moment: shows what rests on its length.
    Race,
}

/// Explores one shot from the declared rest state: whatever moves by itself, each trigger pulled in
/// turn and then released in turn, everything coming to rest between.
#[must_use]
pub fn explore(engine: &Engine) -> Exploration {
    explore_with(engine, Clocks::Wait)
}

/// Explores one shot, with clocks that wait or race.
#[must_use]
pub fn explore_with(engine: &Engine, clocks: Clocks) -> Exploration {
    explore_within(engine, clocks, MOST_STATES)
}

/// The same, given up after fewer states.
#[must_use]
pub fn explore_within(engine: &Engine, clocks: Clocks, most: usize) -> Exploration {
    explore_supposing(engine, SearchPlan { clocks, most, from: None })
}

/// The same from a state that is not the declared rest state.
pub(crate) fn explore_from(
    engine: &Engine,
    from: &State,
    clocks: Clocks,
    most: usize,
) -> Exploration {
    explore_supposing(engine, SearchPlan { clocks, most, from: Some(from) })
}

/// Explores a shot once more, from where it began.
pub(crate) fn explore_again(engine: &Engine, found: &Exploration, clocks: Clocks) -> Exploration {
    let from = found.states.first();
    let again = explore_supposing(engine, SearchPlan { clocks, most: MOST_STATES, from });
    Exploration { fills: found.fills, ..again }
}

/// How a shot is looked through.
#[derive(Debug, Clone, Copy)]
pub(super) struct SearchPlan<'a> {
    clocks: Clocks,
    /// States after which it is given up.
    pub(super) most: usize,
    /// Where it begins; `None` for the declared rest state with its air settled.
    from: Option<&'a State>,
}

/// Explores one shot; orders of what never happens are left out.
pub(super) fn explore_ordered(engine: &Engine, how: SearchPlan<'_>) -> Exploration {
    let (found, is_ruled_out) = explore_once(&Scene::new(engine, how.clocks), how);
    if !is_ruled_out {
        return found;
    }
    // An order of what never happens says nothing of how this engine runs.
    let happens = |found: &Exploration, event: Event| {
        let mut shot = found.steps.iter().filter(|step| 0 < found.states[step.to].handled);
        shot.any(|step| step.events.contains(&event))
    };
    let is_void = |order: &&Order| !happens(&found, order.first);
    let void: Vec<Order> = engine.orders.iter().filter(is_void).cloned().collect();
    if void.is_empty() {
        return found;
    }
    let kept = engine.orders.iter().filter(|order| !is_void(order));
    let without = Engine { orders: kept.cloned().collect(), ..engine.clone() };
    let mut freed = explore_ordered(&without, how);
    // What happens once the order is gone is not void: the order contradicts what brings it about.
    if void.iter().any(|order| happens(&freed, order.first)) {
        return found;
    }
    freed.void_orders.extend(void);
    freed
}

/// What happens from a state on until somebody touches a trigger.
pub(super) fn explore_untouched(engine: &Engine, from: &State, most: usize) -> Exploration {
    let how = SearchPlan { clocks: Clocks::Wait, most, from: Some(from) };
    explore_once(&Scene::untouched(engine), how).0
}

/// One search, and whether the orders rule out every run.
fn explore_once(scene: &Scene<'_>, how: SearchPlan<'_>) -> (Exploration, bool) {
    let mut search = StateSearch::new(scene, how);
    search.run();
    let is_ruled_out = search.prune();
    (search.tell(), is_ruled_out)
}

struct StateSearch<'a> {
    scene: &'a Scene<'a>,
    found: Exploration,
    index: BTreeMap<State, usize>,
    /// Quiet states before the first trigger.
    rests: Vec<State>,
    /// States after which it is given up.
    most: usize,
    /// States that no run comes to, with what an order says should have come later.
    impossible: Vec<(usize, Vec<Event>)>,
    granted: Granted,
}

impl<'a> StateSearch<'a> {
    fn new(scene: &'a Scene<'a>, how: SearchPlan<'_>) -> StateSearch<'a> {
        let (state, unrest) = match how.from {
            Some(state) => (state.clone(), Vec::new()),
            None => settled(scene),
        };
        StateSearch {
            scene,
            index: BTreeMap::from([(state.clone(), 0)]),
            found: Exploration { states: vec![state], unrest, ..Exploration::default() },
            rests: Vec::new(),
            most: how.most.min(MOST_STATES),
            impossible: Vec::new(),
            granted: Granted::default(),
        }
    }

    fn run(&mut self) {
        // Depth first: the first quiet state met is the one that the told run rests in.
        let mut open = vec![(0, None)];
        let mut seen = vec![false];
        while let Some((at, last_part)) = open.pop() {
            if std::mem::replace(&mut seen[at], true) {
                continue;
            }
            if self.most <= self.found.states.len() {
                self.found.is_cut_short = true;
                return;
            }
            let state = self.found.states[at].clone();
            let mut moves = match self.scene.next(&state, &mut self.granted) {
                NextStep::Moves(moves) => moves,
                NextStep::Quiet => self.quiet(at, &state, None),
                NextStep::HeldBack { held, is_prompt } => {
                    self.quiet(at, &state, Some((&held, is_prompt)))
                }
                NextStep::Undecided(need) => {
                    self.found.endings.push((at, Ending::Undecided(need)));
                    continue;
                }
            };
            // A part that moves goes on first: that is how one tells it.
            moves.sort_by_key(|step| step.part.is_none() || step.part != last_part);
            let mut next = Vec::new();
            for step in moves {
                let part = step.part;
                next.push((self.add(at, step), part));
            }
            seen.resize(self.found.states.len(), false);
            open.extend(next.into_iter().rev());
        }
        self.judge_quiet_ends();
    }

    /// What is quiet in the end is at rest, unless it differs from every way in which it rested.
    fn judge_quiet_ends(&mut self) {
        let engine = self.scene.engine;
        for (at, ending) in &mut self.found.endings {
            let end = &self.found.states[*at];
            let is_rest = |rest: &State| rest.looks_like(engine, end);
            if *ending == Ending::AtRest && !self.rests.iter().any(is_rest) {
                let rest = self.rests.first().unwrap_or(&self.found.states[0]);
                *ending = Ending::Stuck(why::differences(engine, rest, end));
            }
        }
    }

    fn add(&mut self, from: usize, step: Move) -> usize {
        let to = match self.index.get(&step.state) {
            Some(known) => *known,
            None => {
                let new = self.found.states.len();
                self.index.insert(step.state.clone(), new);
                self.found.states.push(step.state);
                new
            }
        };
        self.found.steps.push(Step { from, to, events: step.events, why: step.why });
        to
    }

    /// Nothing moves by itself: the next trigger, or an ending.
    fn quiet(&mut self, at: usize, state: &State, held: Option<(&[Event], bool)>) -> Vec<Move> {
        if state.handled == 0 {
            self.rests.push(state.clone());
        }
        let hand = self.scene.handle(state);
        if let Some((held, is_prompt)) = held {
            // No hand is faster than a valve or wide air, unless an order says so.
            let may = |step: &Move| !is_prompt || self.scene.is_awaited(step, held);
            let awaited = hand.filter(may);
            if awaited.is_none() {
                self.impossible.push((at, held.to_vec()));
            }
            return awaited.into_iter().collect();
        }
        if let Some(step) = hand {
            return vec![step];
        }
        let ending = self.scene.escape(state).map_or(Ending::AtRest, Ending::Vents);
        self.found.endings.push((at, ending));
        Vec::new()
    }

    /// Leaves out what no run comes to as the orders are. Where they rule out every run, what they
    /// hold back is what the shot sticks at, and it is so.
    fn prune(&mut self) -> bool {
        if self.impossible.is_empty() {
            return false;
        }
        let alive = self.alive();
        if alive[0] {
            self.found.keep(&alive);
            return false;
        }
        let (engine, rest) = (self.scene.engine, &self.found.states[0]);
        for (at, held) in &self.impossible {
            let end = &self.found.states[*at];
            let mut told = why::differences(engine, rest, end);
            told.extend(held.iter().map(|event| why::held_back(engine, end, *event)));
            self.found.endings.push((*at, Ending::Stuck(told)));
        }
        true
    }

    /// Whether some run goes on from each state: to an ending, or round for ever.
    fn alive(&self) -> Vec<bool> {
        let out = self.found.out();
        let mut left: Vec<usize> = out.iter().map(Vec::len).collect();
        let mut into = vec![Vec::new(); out.len()];
        for step in &self.found.steps {
            into[step.to].push(step.from);
        }
        let mut alive = vec![true; out.len()];
        let mut dead: Vec<usize> = self.impossible.iter().map(|(at, _)| *at).collect();
        while let Some(at) = dead.pop() {
            if !std::mem::replace(&mut alive[at], false) {
                continue;
            }
            for from in &into[at] {
                left[*from] -= 1;
                if left[*from] == 0 {
                    dead.push(*from);
                }
            }
        }
        alive
    }

    /// Finds loops, and the run that is told.
    fn tell(mut self) -> Exploration {
        let out = self.found.out();
        let mut walk = Walk {
            steps: &self.found.steps,
            out: &out,
            ends: self.found.endings.iter().map(|(at, _)| *at).collect(),
            colour: vec![Colour::White; self.found.states.len()],
            loops: Vec::new(),
        };
        walk.find_loops();
        let loops = std::mem::take(&mut walk.loops);
        let at_rest: Vec<usize> = self.ending_states(|ending| *ending == Ending::AtRest);
        let line = walk.line(&at_rest).unwrap_or_else(|| walk.first_line());
        for (_, head) in &loops {
            self.found.endings.push((*head, Ending::Repeats(*head)));
        }
        self.found.line = line;
        let clocks = clocks_granted(self.scene.engine, &self.found);
        self.found.rests_on_clocks = !clocks.is_empty();
        self.found.assumptions = clocks;
        self.found.assumptions.extend(classes_granted(self.scene.engine, self.granted));
        self.found
    }

    fn ending_states(&self, wanted: impl Fn(&Ending) -> bool) -> Vec<usize> {
        let endings = self.found.endings.iter();
        endings.filter(|(_, ending)| wanted(ending)).map(|(at, _)| *at).collect()
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Colour {
    White,
    Grey,
    Black,
}

/// A walk over the states that were found.
struct Walk<'a> {
    steps: &'a [Step],
    out: &'a [Vec<usize>],
    ends: Vec<usize>,
    colour: Vec<Colour>,
    /// Steps that close a loop, with the state they come back to.
    loops: Vec<(usize, usize)>,
}

impl Walk<'_> {
    /// Triggers are handled a limited number of times, so that a loop is one that nobody stops.
    fn find_loops(&mut self) {
        let mut stack: Vec<(usize, usize)> = vec![(0, 0)];
        self.colour[0] = Colour::Grey;
        while let Some((at, next)) = stack.pop() {
            let Some(step) = self.out[at].get(next) else {
                self.colour[at] = Colour::Black;
                continue;
            };
            stack.push((at, next + 1));
            let to = self.steps[*step].to;
            match self.colour[to] {
                Colour::White => {
                    self.colour[to] = Colour::Grey;
                    stack.push((to, 0));
                }
                Colour::Grey => self.loops.push((*step, to)),
                Colour::Black => {}
            }
        }
    }

    /// The first run, in the teller's order, that ends in one of these states.
    fn line(&self, ends: &[usize]) -> Option<Vec<usize>> {
        let mut seen = vec![false; self.out.len()];
        let mut stack: Vec<(usize, usize)> = vec![(0, 0)];
        let mut line = Vec::new();
        seen[0] = true;
        while let Some((at, next)) = stack.pop() {
            if ends.contains(&at) {
                return Some(line);
            }
            let Some(step) = self.out[at].get(next) else {
                line.pop();
                continue;
            };
            stack.push((at, next + 1));
            let to = self.steps[*step].to;
            if !seen[to] {
                seen[to] = true;
                line.push(*step);
                stack.push((to, 0));
            }
        }
        None
    }

    /// The first run, to its ending or once round its loop.
    fn first_line(&self) -> Vec<usize> {
        let mut seen = vec![false; self.out.len()];
        let mut line = Vec::new();
        let mut at = 0;
        while !std::mem::replace(&mut seen[at], true) && !self.ends.contains(&at) {
            let Some(step) = self.out[at].first() else { break };
            line.push(*step);
            at = self.steps[*step].to;
        }
        line
    }
}

/// The declared rest state with its air and its valves settled, and why parts would not stay there.
fn settled(scene: &Scene<'_>) -> (State, Vec<String>) {
    const MOST: usize = 200;
    let mut state = State::declared(scene.engine);
    for _ in 0..MOST {
        match scene.settle(&state) {
            Some(next) => state = next,
            None => break,
        }
    }
    let unrest = scene.unrest(&state);
    (state, unrest)
}

/// The orders between classes of time on which the shot rests.
fn classes_granted(engine: &Engine, granted: Granted) -> Vec<String> {
    let named = |width: Width| {
        let ways = engine.ways.iter().filter(|way| way.width == width);
        ways.map(|way| format!("the {}", way.name.spoken())).collect::<Vec<_>>()
    };
    let paced = |pace: Pace| {
        let parts = engine.parts.iter().filter(move |part| part.pace == pace);
        parts.map(|part| format!("the {}", part.name.spoken()))
    };
    let mut late = named(Width::Narrow);
    late.extend(paced(Pace::Slow));
    let mut told = Vec::new();
    if granted.light {
        let light = listed(&paced(Pace::Light).collect::<Vec<_>>(), "and");
        told.push(format!("what is light ({light}) moves before air settles through wide ways"));
    }
    if granted.narrow {
        let late = match late.is_empty() {
            true => String::new(),
            false => format!(" ({})", listed(&late, "and")),
        };
        told.push(format!("what moves freely is faster than what is narrow or slow{late}"));
    }
    if granted.store {
        let stores = engine.chambers.iter().filter(|room| room.role == Role::Store);
        let stores: Vec<String> =
            stores.map(|room| format!("the {}", room.name.spoken())).collect();
        let (is, runs) = if stores.len() == 1 { ("is", "runs") } else { ("are", "run") };
        let stores = listed(&stores, "and");
        told.push(format!(
            "{stores} {is} large, by role, and {runs} empty beside what moves: either may be first"
        ));
    }
    if granted.bleed {
        let bleeds = listed(&named(Width::Bleed), "and");
        told.push(format!("air through a bleed ({bleeds}) comes after all else, dwells too"));
    }
    told
}

fn clocks_granted(engine: &Engine, found: &Exploration) -> Vec<String> {
    let happens = |event: Event| found.steps.iter().any(|step| step.events.contains(&event));
    let valves = engine.valves.entries();
    valves
        .filter_map(|(at, valve)| {
            let Returns::After(clock) = &valve.returns else { return None };
            happens(Event::Returns(at)).then(|| {
                format!(
                    "the {} of the {} outlasts what moves freely",
                    clock.spoken(),
                    valve.name.spoken()
                )
            })
        })
        .collect()
}
