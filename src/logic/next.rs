//! What can happen next in a state, most urgent first: valves answer, air settles, parts and ball
//! move, and then what is slow.

use super::air::{Flow, Flows, flows};
use super::at_once::rank;
use super::explore::Clocks;
use super::forces::{Balance, Rules};
use super::state::{Level, Need, Pressure, State};
use super::through::{escape, feed};
use super::why;
use crate::cutaway::model::{
    ChamberId, Direction, Engine, Event, HandAct, Hold, Latch, MOST_ORDERS, Pace, PartId, PushKind,
    Returns, ValveId, Width,
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
    /// Only what an order of the writer holds back: what that would be. A hand may come first where
    /// none of it is prompt: no valve answers and no wide air flows.
    HeldBack { held: Vec<Event>, is_prompt: bool },
    /// Not decided.
    Undecided(Need),
}

/// Which orders were taken for granted on the way.
#[derive(Debug, Default, Clone, Copy)]
pub(super) struct Granted {
    /// What moves freely went before air in narrow ways and slow parts.
    pub(super) narrow: bool,
    /// A bleed waited for something else.
    pub(super) bleed: bool,
    /// A light part went before air in a wide way.
    pub(super) light: bool,
    /// A store had time to run empty while something else moved.
    pub(super) store: bool,
}

/// What parts and the ball do.
#[derive(Debug, Default)]
struct Motion {
    /// What is quicker than air through a wide way.
    light: Vec<Move>,
    free: Vec<Move>,
    /// What is as slow as air through a narrow way.
    slow: Vec<Move>,
    undecided: Option<Need>,
    /// The same of a light part, which would move before air does.
    light_undecided: Option<Need>,
}

impl Motion {
    /// The steps of parts, quickest first.
    fn of_parts(self) -> impl Iterator<Item = Move> {
        let all = self.light.into_iter().chain(self.free).chain(self.slow);
        all.filter(|step| step.part.is_some())
    }
}

/// An engine with what was worked out of it once.
#[derive(Debug)]
pub(super) struct Scene<'a> {
    pub(super) engine: &'a Engine,
    pub(super) rules: Rules,
    pub(super) clocks: Clocks,
    /// What the hand does.
    acts: Vec<HandAct>,
}

impl<'a> Scene<'a> {
    pub(super) fn new(engine: &'a Engine, clocks: Clocks) -> Scene<'a> {
        Scene { engine, rules: Rules::new(engine), clocks, acts: engine.hand_acts() }
    }

    /// The same while no hand does anything.
    pub(super) fn untouched(engine: &'a Engine) -> Scene<'a> {
        Scene { acts: Vec::new(), ..Scene::new(engine, Clocks::Wait) }
    }

    /// What comes next in a state. What an order of the writer puts later lets slower things go
    /// first: where it speaks against the classes of time, it is right and they are wrong.
    pub(super) fn next(&self, state: &State, granted: &mut Granted) -> NextStep {
        let mut held = Vec::new();
        let flows = flows(self.engine, state, &self.rules.stages);
        let each = |flows: &[Flow]| -> Vec<Move> {
            let all = flows.iter().flat_map(Flow::alternatives);
            all.map(|flow| self.flow(state, std::slice::from_ref(&flow))).collect()
        };
        let air = flows.quick.iter().flat_map(|pieces| match pieces.as_slice() {
            [flow] => each(std::slice::from_ref(flow)),
            flows => vec![self.flow(state, flows)],
        });
        let air: Vec<Move> = air.collect();
        let Motion { light, free, slow, undecided, light_undecided } = self.moving(state, &flows);
        granted.light |= !light.is_empty() && !air.is_empty();
        for moves in [self.valves(state).into_iter().collect(), light] {
            let allowed = self.allowed(state, moves, &mut held);
            if !allowed.is_empty() {
                return NextStep::Moves(allowed);
            }
        }
        if let Some(need) = light_undecided {
            return NextStep::Undecided(need);
        }
        let allowed = self.allowed(state, air, &mut held);
        if !allowed.is_empty() {
            return NextStep::Moves(allowed);
        }
        let is_prompt = !held.is_empty();
        let running_out = each(&flows.running_out);
        // A hand that does not wait comes beside all that moves.
        let is_due = self.acts.get(state.handled).is_some_and(|act| !act.waits);
        let hand: Vec<Move> = self.handle(state).filter(|_| is_due).into_iter().collect();
        let clocks = self.clocks(state);
        let narrow = [slow, each(&flows.narrow)].concat();
        let (waits, leaks) = (!narrow.is_empty(), !flows.bleed.is_empty());
        let waiting = [running_out.clone(), narrow, clocks.clone()].concat();
        granted.bleed |= leaks && !waiting.is_empty();
        let moves = waits || !free.is_empty() || !clocks.is_empty();
        granted.store |= moves && !running_out.is_empty();
        let with_hand = |moves: Vec<Move>| match moves.is_empty() {
            true => moves,
            false => [moves, hand.clone()].concat(),
        };
        if !free.is_empty() {
            granted.narrow |= waits;
            let clocks = if self.clocks == Clocks::Race { clocks } else { Vec::new() };
            let moves = with_hand([free, running_out, clocks].concat());
            let allowed = self.allowed(state, moves, &mut held);
            if !allowed.is_empty() {
                return NextStep::Moves(allowed);
            }
        }
        if let Some(need) = undecided {
            return NextStep::Undecided(need);
        }
        for moves in [with_hand(waiting), with_hand(each(&flows.bleed))] {
            let allowed = self.allowed(state, moves, &mut held);
            if !allowed.is_empty() {
                return NextStep::Moves(allowed);
            }
        }
        if let Some((room, inlet, outlet)) = flows.undecided {
            return NextStep::Undecided(why::leak_need(self.engine, room, inlet, outlet));
        }
        if held.is_empty() { NextStep::Quiet } else { NextStep::HeldBack { held, is_prompt } }
    }

    /// The next state while parts are held at rest: valves answer, air settles. `None` when it has.
    pub(super) fn settle(&self, state: &State) -> Option<State> {
        if let Some(step) = self.valves(state) {
            return Some(step.state);
        }
        let Flows { quick, narrow, bleed, .. } = flows(self.engine, state, &self.rules.stages);
        let due = [quick.concat(), narrow, bleed].into_iter().find(|due| !due.is_empty())?;
        Some(self.flow(state, &due).state)
    }

    /// The next state of an engine that holds no air: valves answer, springs push. `None` when all
    /// is still, or where it is not decided what goes.
    pub(super) fn without_air(&self, state: &State) -> Option<State> {
        let moves = || {
            let motion = self.moving(state, &Flows::default());
            let is_decided = motion.undecided.is_none() && motion.light_undecided.is_none();
            motion.of_parts().next().filter(|_| is_decided)
        };
        Some(self.valves(state).or_else(moves)?.state)
    }

    /// Why parts would not stay in a settled state.
    pub(super) fn unrest(&self, state: &State) -> Vec<String> {
        let parts = self.moving(state, &Flows::default()).of_parts();
        parts.map(|step| step.why).chain(self.escape(state)).collect()
    }

    /// Pulls or releases the next trigger; `None` when all have been handled.
    pub(super) fn handle(&self, state: &State) -> Option<Move> {
        let act = *self.acts.get(state.handled)?;
        let HandAct { trigger, pulls, .. } = act;
        let mut after = state.clone();
        after.handled += 1;
        after.pulled[trigger] = pulls;
        let mut events =
            vec![if pulls { Event::Pulled(trigger) } else { Event::Released(trigger) }];
        for (at, part) in self.engine.parts.entries() {
            let released = part.latch.as_ref().is_some_and(|latch| latch.is_released_by(trigger));
            if pulls && released && after.latched[at] {
                after.latched[at] = false;
                events.push(Event::Unlatches(at));
            }
        }
        let why = why::handled(self.engine, act);
        Some(self.finish(state, after, events, why, None))
    }

    /// All valves that answer, together.
    fn valves(&self, state: &State) -> Option<Move> {
        let mut after = state.clone();
        let (mut events, mut reasons) = (Vec::new(), Vec::new());
        for (at, valve) in self.engine.valves.entries() {
            let shifts = state.holds(self.engine, &valve.shifts);
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
                Returns::While(conditions) => state.holds(self.engine, conditions) && !answers,
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
            Returns::While(conditions) => state.holds(self.engine, conditions),
            Returns::Spring | Returns::After(_) => false,
        }
    }

    /// Valves whose clock may run out.
    fn clocks(&self, state: &State) -> Vec<Move> {
        let valves = self.engine.valves.entries();
        let due = valves.filter(|(at, valve)| {
            let is_timed = matches!(valve.returns, Returns::After(_));
            let waits = valve.on_edge || !state.holds(self.engine, &valve.shifts);
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
        for (chamber, pressure) in flows.iter().flat_map(|flow| flow.to.iter().copied()) {
            events.extend(self.pressure_events(state, chamber, pressure));
            after.come_to(chamber, pressure);
        }
        let reasons: Vec<String> =
            flows.iter().map(|flow| why::flows(self.engine, state, flow)).collect();
        self.finish(state, after, events, reasons.join("; "), None)
    }

    /// Steps of parts and of the ball, and what is not decided of them.
    fn moving(&self, state: &State, flows: &Flows) -> Motion {
        let mut motion = Motion::default();
        for group in self.engine.parts.ids() {
            if self.rules.linked[group] != group || self.is_latched(state, group) {
                continue;
            }
            let pace = self.pace(group);
            let balance = self.rules.balance(self.engine, state, group);
            let is_unsettled = self.is_unsettled(state, flows, group, &balance);
            match balance {
                Balance::Still => {}
                Balance::Goes { to, .. } if self.is_blocked(state, group, to) => {}
                Balance::Undecided { .. }
                    if [Direction::Forward, Direction::Back]
                        .iter()
                        .all(|to| self.is_blocked(state, group, *to)) => {}
                _ if is_unsettled => {}
                Balance::Goes { to, by, against, facts } => {
                    let why = || why::goes(self.engine, state, group, to, &by, &against, &facts);
                    let steps = match pace {
                        Pace::Light => &mut motion.light,
                        Pace::Free => &mut motion.free,
                        Pace::Slow => &mut motion.slow,
                    };
                    steps.extend(self.step(state, group, to, why));
                }
                Balance::Undecided { forward, back } => {
                    let need = self.rules.need(self.engine, state, group, &forward, &back);
                    match pace {
                        Pace::Light => motion.light_undecided = Some(need),
                        Pace::Free | Pace::Slow => motion.undecided = Some(need),
                    }
                }
            }
        }
        let leaves = if self.is_tight() { &mut motion.slow } else { &mut motion.free };
        leaves.extend(self.ball_leaves(state));
        motion.slow.extend(self.ball_fed(state));
        motion
    }

    /// How fast parts that move as one do: as the slowest among them.
    fn pace(&self, group: PartId) -> Pace {
        self.members(group).map(|part| self.engine.parts[part].pace).max().unwrap_or_default()
    }

    /// Whether pressures oppose each other and one of them is still changing through a narrow way
    /// or, before a light part, through a wide one: which of them wins is judged when they have
    /// come to rest. What is about to fill an empty room opposes already where it is going to win.
    fn is_unsettled(&self, state: &State, flows: &Flows, group: PartId, balance: &Balance) -> bool {
        let is_light = self.pace(group) == Pace::Light;
        let changing =
            |room: ChamberId| flows.is_changing(state, room) || is_light && flows.is_settling(room);
        let faces = |to: Direction| -> Vec<ChamberId> {
            let pushes = self.rules.pushing(self.engine, state, group, to);
            let faces = pushes.filter_map(|(_, push)| match push.kind {
                PushKind::Face(room) => Some(room),
                PushKind::Spring | PushKind::Hand | PushKind::Contact(_) => None,
            });
            faces.collect()
        };
        let is_empty = |room: &ChamberId| state.levels[*room] == Level::Empty;
        let sides = [Direction::Forward, Direction::Back].map(faces);
        // What seeps in counts as at rest beside all that is faster, but not beside its like.
        let seeps_all = sides.iter().flatten().filter(|room| !is_empty(room)).all(|room| {
            feed(self.engine, state, *room).is_some_and(|(width, _)| width == Width::Bleed)
        });
        let changing = |room: ChamberId| changing(room) || seeps_all && flows.is_seeping(room);
        let both = |has: &dyn Fn(&ChamberId) -> bool| sides.iter().all(|side| side.iter().any(has));
        let (oppose, will_oppose) =
            (both(&|room| !is_empty(room)), both(&|room| !is_empty(room) || changing(*room)));
        let (to_come, there): (Vec<ChamberId>, Vec<ChamberId>) =
            sides.into_iter().flatten().filter(|room| changing(*room)).partition(is_empty);
        if oppose && !there.is_empty() {
            return true;
        }
        if !will_oppose || to_come.is_empty() {
            return false;
        }
        let mut after = state.clone();
        flows.bring(&to_come, &mut after);
        self.rules.balance(self.engine, &after, group).direction() != balance.direction()
    }

    fn members(&self, group: PartId) -> impl Iterator<Item = PartId> + '_ {
        let parts = self.engine.parts.ids();
        parts.filter(move |part| self.rules.linked[*part] == group)
    }

    fn is_latched(&self, state: &State, group: PartId) -> bool {
        self.members(group).any(|part| state.latched[part])
    }

    /// Whether something stands in the way of a group of parts.
    fn is_blocked(&self, state: &State, group: PartId, to: Direction) -> bool {
        let mut blocks = self.members(group).flat_map(|part| &self.engine.parts[part].blocks);
        blocks.any(|block| block.direction == to && state.holds(self.engine, &block.when))
    }

    fn step(
        &self,
        state: &State,
        group: PartId,
        to: Direction,
        why: impl Fn() -> String,
    ) -> Option<Move> {
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
            let is_until = |latch: &Latch| matches!(latch.hold, Hold::Until(_));
            if item.latch.as_ref().is_some_and(|latch| latch.at == there && is_until(latch)) {
                after.latched[part] = true;
                events.push(Event::Latches(part));
            }
        }
        Some(self.finish(state, after, events, why(), Some(group)))
    }

    fn ball_leaves(&self, state: &State) -> Option<Move> {
        let ball = self.engine.ball.as_ref()?;
        let is_pushed = state.ball && Level::Empty < state.levels[ball.chamber];
        is_pushed.then(|| {
            let after = State { ball: false, ..state.clone() };
            let why = why::ball_leaves(self.engine, ball);
            self.finish(state, after, vec![Event::BallLeaves], why, None)
        })
    }

    /// Whether the ball gets through a narrow barrel only slowly.
    fn is_tight(&self) -> bool {
        self.engine.ways.iter().any(|way| way.barrel && way.width != Width::Wide)
    }

    fn ball_fed(&self, state: &State) -> Option<Move> {
        let ball = self.engine.ball.as_ref()?;
        let is_fed = !state.ball && !ball.fed.is_empty() && state.holds(self.engine, &ball.fed);
        (is_fed && state.levels[ball.chamber] == Level::Empty).then(|| {
            let after = State { ball: true, ..state.clone() };
            let why = why::ball_fed(self.engine, ball);
            self.finish(state, after, vec![Event::BallFed], why, None)
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
            let still = valve.on_edge && after.holds(self.engine, &valve.shifts);
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
        self.hold(&mut after, &mut events);
        self.spend_blows(&mut after);
        events.sort_by_key(|event| rank(*event));
        if 0 < after.handled {
            for (at, order) in self.engine.orders.iter().enumerate().take(MOST_ORDERS) {
                if events.contains(&order.first) {
                    after.happened |= 1 << at;
                }
            }
        }
        Move { state: after, events, why, part }
    }

    /// Latches that hold while something is so take hold and let go.
    fn hold(&self, after: &mut State, events: &mut Vec<Event>) {
        for (at, part) in self.engine.parts.entries() {
            let Some(latch) = &part.latch else { continue };
            let Hold::While(when) = &latch.hold else { continue };
            let holds = after.positions[at] == latch.at && after.holds(self.engine, when);
            if std::mem::replace(&mut after.latched[at], holds) != holds {
                events.push(if holds { Event::Latches(at) } else { Event::Unlatches(at) });
            }
        }
    }

    /// A blow is spent where the part does not give way to it, or not any further.
    fn spend_blows(&self, after: &mut State) {
        for (part, item) in self.engine.parts.entries() {
            for (at, push) in item.pushes.entries().filter(|(_, push)| push.is_blow) {
                let blow = (part, at);
                if !after.holds(self.engine, &push.when) {
                    after.spent.remove(&blow);
                } else if !self.gives_way(after, part, push.direction) {
                    after.spent.insert(blow);
                }
            }
        }
    }

    /// Whether a part goes this way next, or may.
    fn gives_way(&self, state: &State, part: PartId, to: Direction) -> bool {
        let group = self.rules.linked[part];
        let here = state.positions[part];
        let there = match to {
            Direction::Forward => Some(here.in_front()),
            Direction::Back => here.behind(),
        };
        let has_room = there.is_some_and(|at| self.engine.parts[part].positions.get(at).is_some());
        let is_pushed = || match self.rules.balance(self.engine, state, group) {
            Balance::Goes { to: goes, .. } => goes == to,
            Balance::Undecided { .. } => true,
            Balance::Still => false,
        };
        has_room
            && !self.is_latched(state, group)
            && !self.is_blocked(state, group, to)
            && is_pushed()
    }

    /// Whether a step is what an order of the writer has these events wait for.
    pub(super) fn is_awaited(&self, step: &Move, held: &[Event]) -> bool {
        let mut orders = self.engine.orders.iter();
        orders.any(|order| held.contains(&order.then) && step.events.contains(&order.first))
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

impl Scene<'_> {
    /// What is told of a chamber that comes to another pressure: the landmarks on its way of which
    /// something hangs, and its level, if that is another.
    fn pressure_events(&self, state: &State, chamber: ChamberId, to: Pressure) -> Vec<Event> {
        let was = state.pressure(chamber);
        let marks = self.engine.landmarks.entries().filter(|(_, mark)| {
            let between = was.reached.min(to.reached) < mark.height
                && mark.height <= was.reached.max(to.reached);
            between && self.rules.stages[chamber].landmarks.contains(&mark.height)
        });
        let rises = was.rank() < to.rank();
        let mut passed: Vec<(u8, Event)> = marks
            .map(|(at, mark)| match rises {
                true => (mark.height, Event::Rises(chamber, at)),
                false => (mark.height, Event::Falls(chamber, at)),
            })
            .collect();
        passed.sort_by_key(
            |(height, _)| if rises { i16::from(*height) } else { -i16::from(*height) },
        );
        let mut events: Vec<Event> = passed.into_iter().map(|(_, event)| event).collect();
        let is_between = to.level == Level::Spent && !events.is_empty();
        match to.level {
            Level::Empty => events.push(Event::Empties(chamber)),
            _ if is_between => {}
            _ if rises => events.push(Event::Fills(chamber)),
            _ => events.push(Event::Drops(chamber)),
        }
        events
    }
}
