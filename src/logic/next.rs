//! What can happen next in a state, most urgent first: valves answer, air settles, parts and ball
//! move, and then what is slow.

use super::air::{Flow, Flows, escape, flows};
use super::explore::Clocks;
use super::forces::{Balance, Rules};
use super::state::{Level, Need, State};
use super::why;
use crate::cutaway::model::{
    ChamberId, Direction, Engine, Event, MOST_ORDERS, PartId, Returns, TriggerId, ValveId,
};

/// Something that may happen: the state after it, what happens by it, and why.
#[derive(Debug, Clone)]
pub(super) struct Move {
    pub(super) state: State,
    pub(super) events: Vec<Event>,
    pub(super) why: String,
    /// The group of parts that moves, if it is parts that do.
    pub(super) part: Option<PartId>,
}

/// What comes next.
#[derive(Debug, Clone)]
pub(super) enum NextStep {
    /// Any one of these; at least one.
    Moves(Vec<Move>),
    /// Nothing, until somebody touches a trigger.
    Quiet,
    /// Only what an order of the writer holds back: what that would be.
    HeldBack(Vec<Event>),
    /// Not decided.
    Undecided(Need),
}

/// An engine with what was worked out of it once.
#[derive(Debug)]
pub(super) struct Scene<'a> {
    pub(super) engine: &'a Engine,
    pub(super) rules: Rules,
    pub(super) clocks: Clocks,
}

impl<'a> Scene<'a> {
    pub(super) fn new(engine: &'a Engine, clocks: Clocks) -> Scene<'a> {
        Scene { engine, rules: Rules::new(engine), clocks }
    }

    /// What comes next in a state.
    pub(super) fn next(&self, state: &State) -> NextStep {
        let mut held = Vec::new();
        let valves: Vec<Move> = self.valves(state).into_iter().collect();
        let Flows { quick, slow, undecided } = flows(self.engine, state);
        let air: Vec<Move> =
            (!quick.is_empty()).then(|| self.flow(state, &quick)).into_iter().collect();
        let mut urgent = vec![valves, air];
        let (mut moving, fault) = self.moving(state);
        if self.clocks == Clocks::Race {
            moving.extend(self.clocks(state));
        }
        urgent.push(moving);
        for moves in urgent {
            let allowed = self.allowed(state, moves, &mut held);
            if !allowed.is_empty() {
                return NextStep::Moves(allowed);
            }
        }
        if let Some(need) = fault {
            return NextStep::Undecided(need);
        }
        let mut waiting: Vec<Move> =
            slow.iter().map(|flow| self.flow(state, std::slice::from_ref(flow))).collect();
        waiting.extend(self.clocks(state));
        let allowed = self.allowed(state, waiting, &mut held);
        if !allowed.is_empty() {
            return NextStep::Moves(allowed);
        }
        if let Some((room, inlet, outlet)) = undecided {
            return NextStep::Undecided(why::leak_need(self.engine, room, inlet, outlet));
        }
        if held.is_empty() { NextStep::Quiet } else { NextStep::HeldBack(held) }
    }

    /// The next state while parts are held at rest: valves answer, air settles. `None` when it has.
    pub(super) fn settle(&self, state: &State) -> Option<State> {
        if let Some(step) = self.valves(state) {
            return Some(step.state);
        }
        let Flows { quick, slow, .. } = flows(self.engine, state);
        let due = if quick.is_empty() { slow } else { quick };
        (!due.is_empty()).then(|| self.flow(state, &due).state)
    }

    /// Why parts would not stay in a settled state.
    pub(super) fn unrest(&self, state: &State) -> Vec<String> {
        let (moves, _) = self.moving(state);
        let parts = moves.into_iter().filter(|step| step.part.is_some());
        parts.map(|step| step.why).chain(self.escape(state)).collect()
    }

    /// Pulls or releases the next trigger; `None` when all have been handled.
    pub(super) fn handle(&self, state: &State) -> Option<Move> {
        let count = self.engine.triggers.len();
        let trigger = TriggerId::at(state.handled % count.max(1));
        let pulls = state.handled < count;
        if 2 * count <= state.handled {
            return None;
        }
        let mut after = state.clone();
        after.handled += 1;
        after.pulled[trigger] = pulls;
        let mut events =
            vec![if pulls { Event::Pulled(trigger) } else { Event::Released(trigger) }];
        for (at, part) in self.engine.parts.entries() {
            let released = part.latch.as_ref().is_some_and(|latch| latch.trigger == trigger);
            if pulls && released && after.latched[at] {
                after.latched[at] = false;
                events.push(Event::Unlatches(at));
            }
        }
        let why = why::handled(self.engine, trigger, pulls);
        Some(self.finish(state, after, events, why, None))
    }

    /// All valves that answer, together.
    fn valves(&self, state: &State) -> Option<Move> {
        let mut after = state.clone();
        let (mut events, mut reasons) = (Vec::new(), Vec::new());
        for (at, valve) in self.engine.valves.entries() {
            let shifts = state.holds(&valve.shifts);
            let answers = shifts && !(valve.on_edge && state.answered[at]);
            if answers && !state.shifted[at] && !self.is_contradicted(state, at) {
                after.shifted[at] = true;
                after.answered[at] = true;
                events.push(Event::Shifts(at));
                reasons.push(why::shifts(self.engine, at));
            }
            let returns = match &valve.returns {
                Returns::Spring => !shifts,
                Returns::After(_) => false,
                Returns::While(conditions) => state.holds(conditions) && !answers,
            };
            if returns && state.shifted[at] {
                after.shifted[at] = false;
                events.push(Event::Returns(at));
                reasons.push(why::returns(self.engine, at));
            }
        }
        (!events.is_empty())
            .then(|| self.finish(state, after, events, reasons.join(", and "), None))
    }

    /// Whether a memory valve is told to do both: then it stays.
    fn is_contradicted(&self, state: &State, valve: ValveId) -> bool {
        match &self.engine.valves[valve].returns {
            Returns::While(conditions) => state.holds(conditions),
            Returns::Spring | Returns::After(_) => false,
        }
    }

    /// Valves whose clock may run out.
    fn clocks(&self, state: &State) -> Vec<Move> {
        let valves = self.engine.valves.entries();
        let due = valves.filter(|(at, valve)| {
            let is_timed = matches!(valve.returns, Returns::After(_));
            let waits = valve.on_edge || !state.holds(&valve.shifts);
            is_timed && waits && state.shifted[*at]
        });
        due.map(|(at, valve)| {
            let mut after = state.clone();
            after.shifted[at] = false;
            let why = why::times_out(valve);
            self.finish(state, after, vec![Event::Returns(at)], why, None)
        })
        .collect()
    }

    fn flow(&self, state: &State, flows: &[Flow]) -> Move {
        let mut after = state.clone();
        let mut events = Vec::new();
        for (chamber, level) in flows.iter().flat_map(|flow| flow.to.iter().copied()) {
            events.push(level_event(chamber, state.levels[chamber], level));
            after.levels[chamber] = level;
        }
        let reasons: Vec<String> =
            flows.iter().map(|flow| why::flows(self.engine, state, flow)).collect();
        self.finish(state, after, events, reasons.join("; "), None)
    }

    /// Steps of parts and of the ball, and what is not decided of them.
    fn moving(&self, state: &State) -> (Vec<Move>, Option<Need>) {
        let mut moves = Vec::new();
        let mut undecided = None;
        for group in self.engine.parts.ids() {
            if self.rules.linked[group] != group {
                continue;
            }
            match self.rules.balance(self.engine, state, group) {
                Balance::Still => {}
                Balance::Goes { to, by, against, facts } => {
                    let why = || why::goes(self.engine, state, group, to, &by, &against, &facts);
                    moves.extend(self.step(state, group, to, why));
                }
                Balance::Undecided { forward, back } => {
                    if !self.is_latched(state, group) {
                        undecided =
                            Some(self.rules.need(self.engine, state, group, &forward, &back));
                    }
                }
            }
        }
        moves.extend(self.ball(state));
        (moves, undecided)
    }

    fn members(&self, group: PartId) -> impl Iterator<Item = PartId> + '_ {
        let parts = self.engine.parts.ids();
        parts.filter(move |part| self.rules.linked[*part] == group)
    }

    fn is_latched(&self, state: &State, group: PartId) -> bool {
        self.members(group).any(|part| state.latched[part])
    }

    fn step(
        &self,
        state: &State,
        group: PartId,
        to: Direction,
        why: impl Fn() -> String,
    ) -> Option<Move> {
        if self.is_latched(state, group) {
            return None;
        }
        let here = state.positions[group];
        let there = match to {
            Direction::Forward => here.in_front(),
            Direction::Back => here.behind()?,
        };
        let mut after = state.clone();
        let mut events = Vec::new();
        for part in self.members(group) {
            let item = &self.engine.parts[part];
            item.positions.get(there)?;
            after.positions[part] = there;
            events.extend([Event::Leaves(part, here), Event::Reaches(part, there)]);
            if item.latch.as_ref().is_some_and(|latch| latch.at == there) {
                after.latched[part] = true;
                events.push(Event::Latches(part));
            }
        }
        Some(self.finish(state, after, events, why(), Some(group)))
    }

    fn ball(&self, state: &State) -> Option<Move> {
        let ball = self.engine.ball.as_ref()?;
        let mut after = state.clone();
        after.ball = !state.ball;
        if state.ball {
            let pushed = Level::Empty < state.levels[ball.chamber];
            let why = || why::ball_leaves(self.engine, ball);
            return pushed.then(|| self.finish(state, after, vec![Event::BallLeaves], why(), None));
        }
        let fed = !ball.fed.is_empty() && state.holds(&ball.fed);
        let empty = state.levels[ball.chamber] == Level::Empty;
        (fed && empty).then(|| {
            self.finish(state, after, vec![Event::BallFed], why::ball_fed(self.engine, ball), None)
        })
    }

    /// Adds what happens to ways, and keeps the memory of a state in order.
    fn finish(
        &self,
        before: &State,
        mut after: State,
        mut events: Vec<Event>,
        why: String,
        part: Option<PartId>,
    ) -> Move {
        for (at, valve) in self.engine.valves.entries() {
            let still = valve.on_edge && after.holds(&valve.shifts);
            after.answered[at] = after.answered[at] && still;
        }
        for way in self.engine.ways.ids() {
            let (was, is) = (before.is_open(self.engine, way), after.is_open(self.engine, way));
            match (was, is) {
                (false, true) => events.push(Event::Opens(way)),
                (true, false) => events.push(Event::Closes(way)),
                _ => {}
            }
        }
        if 0 < after.handled {
            for (at, order) in self.engine.orders.iter().enumerate().take(MOST_ORDERS) {
                if events.contains(&order.first) {
                    after.happened |= 1 << at;
                }
            }
        }
        Move { state: after, events, why, part }
    }

    /// Moves that no order of the writer holds back.
    fn allowed(&self, state: &State, moves: Vec<Move>, held: &mut Vec<Event>) -> Vec<Move> {
        if state.handled == 0 {
            return moves;
        }
        let is_held = |step: &Move| {
            let orders = self.engine.orders.iter().enumerate().take(MOST_ORDERS);
            let mut early = orders.filter(|(at, order)| {
                step.events.contains(&order.then)
                    && state.happened & (1 << at) == 0
                    && step.state.happened & (1 << at) == 0
            });
            early.next().map(|(_, order)| order.then)
        };
        let mut allowed = Vec::new();
        for step in moves {
            match is_held(&step) {
                Some(event) => held.push(event),
                None => allowed.push(step),
            }
        }
        allowed
    }

    /// The way from a supply to the open air, in words, if one stands open.
    pub(super) fn escape(&self, state: &State) -> Option<String> {
        let (supply, path) = escape(self.engine, state)?;
        Some(why::escape(self.engine, supply, &path))
    }
}

fn level_event(chamber: ChamberId, was: Level, is: Level) -> Event {
    match (was.rank() < is.rank(), is) {
        (true, _) => Event::Fills(chamber),
        (false, Level::Empty) => Event::Empties(chamber),
        (false, _) => Event::Drops(chamber),
    }
}
