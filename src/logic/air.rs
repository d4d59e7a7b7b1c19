//! Where the air goes: chambers joined by open ways become one, and come to one pressure.

use super::air_paths::{CameBy, Paths};
use super::state::{Level, Pressure, State};
use crate::cutaway::model::{
    ChamberId, Element, Engine, List, OPEN_AIR, Relation, Role, Term, Valve, ValveId, ValveKind,
    Width,
};
use std::collections::BTreeSet;

/// An open connection in a state.
#[derive(Debug, Clone, Copy)]
pub(super) struct Joint {
    /// The way or the valve.
    pub(super) passage: Element,
    pub(super) from: ChamberId,
    pub(super) to: ChamberId,
    pub(super) width: Width,
    pub(super) one_way: bool,
}

/// Everything that is open in a state, whichever way air would go. What relieves into the open air
/// is no way out, since it only stops a pressure from rising.
pub(super) fn joints(engine: &Engine, state: &State) -> Vec<Joint> {
    let vents = |joint: &Joint| match joint.passage {
        Element::Way(at) => engine.ways[at].relieves_at.is_some() && joint.to == OPEN_AIR,
        _ => false,
    };
    let mut joints = open_joints(engine, state);
    joints.retain(|joint| !vents(joint));
    joints
}

pub(super) fn open_joints(engine: &Engine, state: &State) -> Vec<Joint> {
    let ways = engine.ways.entries().filter(|(at, _)| state.is_open(engine, *at));
    let ways = ways.map(|(at, way)| Joint {
        passage: Element::Way(at),
        from: way.from,
        to: way.to,
        width: way.width,
        one_way: way.one_way || way.relieves_at.is_some(),
    });
    let valves = engine.valves.entries().flat_map(|(at, valve)| {
        let joins = if state.shifted[at] { &valve.shifted } else { &valve.rest };
        // At rest a quick exhaust lets air through to its consumer only, and so does a shuttle
        // whose other inlet would go on in its place before the consumer had lost anything.
        let kept_up = kept_up(state, at, valve);
        let one_way = valve.is_one_way(state.shifted[at]) || kept_up.is_some();
        joins.iter().enumerate().map(move |(joint, &(one, other))| {
            let is_turned = kept_up == Some(one);
            Joint {
                passage: Element::Valve(at),
                from: if is_turned { other } else { one },
                to: if is_turned { one } else { other },
                width: valve.width(state.shifted[at], joint),
                one_way,
            }
        })
    });
    ways.chain(valves).collect()
}

/// The consumer of a shuttle whose shut inlet holds at least as much.
fn kept_up(state: &State, at: ValveId, valve: &Valve) -> Option<ChamberId> {
    let ends = |joints: &[(ChamberId, ChamberId)]| joints.first().map(|(a, b)| [*a, *b]);
    let (rest, shifted) = (ends(&valve.rest)?, ends(&valve.shifted)?);
    let shut = if state.shifted[at] { rest } else { shifted };
    let consumer = rest.into_iter().find(|room| shifted.contains(room))?;
    let inlet = shut.into_iter().find(|room| *room != consumer)?;
    let holds = state.pressure(consumer).rank() <= state.pressure(inlet).rank()
        && state.levels[inlet] != Level::Empty;
    (valve.kind == ValveKind::Shuttle && holds).then_some(consumer)
}

impl Joint {
    /// The chamber at the other end from this one.
    fn other_end(&self, here: ChamberId) -> Option<ChamberId> {
        match (self.from == here, self.to == here) {
            (true, false) => Some(self.to),
            (false, true) => Some(self.from),
            _ => None,
        }
    }

    /// Whether air can pass it as the pressures stand: a check valve lets it go one way only.
    fn passes(&self, state: &State) -> bool {
        !self.one_way || state.pressure(self.to).rank() < state.pressure(self.from).rank()
    }
}

/// Chambers joined by open wide ways.
#[derive(Debug)]
pub(super) struct Groups {
    /// The group of each chamber: the first among its members.
    pub(super) of: List<ChamberId, ChamberId>,
}

impl Groups {
    /// Groups in a state. The open air joins nothing to nothing: two rooms that both end in the
    /// open air are still two.
    pub(super) fn new(engine: &Engine, state: &State, joints: &[Joint]) -> Groups {
        let mut groups = Groups { of: engine.chambers.ids().collect() };
        for joint in joints {
            let ends_outside = joint.from == OPEN_AIR || joint.to == OPEN_AIR;
            if joint.width == Width::Wide && !ends_outside && joint.passes(state) {
                groups.join(joint.from, joint.to);
            }
        }
        groups.join_behind_checks(engine, state, joints);
        groups
    }

    /// Joins what empties or fills past a check valve to the room beyond it. At equal pressure a
    /// check valve parts the two, but where that room stands open to the air it has no pressure of
    /// its own: air goes on passing until both are empty. And what slowly rises takes it along.
    fn join_behind_checks(&mut self, engine: &Engine, state: &State, joints: &[Joint]) {
        let checks = || joints.iter().filter(|it| it.one_way && it.width == Width::Wide);
        let passes = |groups: &Groups, joint: &&Joint| {
            let (from, to) = (joint.from, joint.to);
            let is_inside = from != OPEN_AIR && to != OPEN_AIR && groups.of[from] != groups.of[to];
            let is_equal = || state.pressure(from).rank() == state.pressure(to).rank();
            let holds_air = state.levels[from] != Level::Empty;
            is_inside
                && engine.chambers[from].is_finite()
                && is_equal()
                && (holds_air && groups.only_drains(engine, joints, to)
                    || groups.only_fills(engine, state, joints, from) && !groups.is_fed(engine, to))
        };
        // Each joins two groups, so it ends.
        while let Some(joint) = checks().find(|joint| passes(self, joint)) {
            self.join(joint.from, joint.to);
        }
    }

    /// Whether air comes to the group of a chamber by narrow ways or bleeds, and leaves it by none.
    fn only_fills(
        &self,
        engine: &Engine,
        state: &State,
        joints: &[Joint],
        chamber: ChamberId,
    ) -> bool {
        let group = self.of[chamber];
        let own = state.pressure(chamber).rank();
        let is_with = |at: ChamberId| at != OPEN_AIR && self.of[at] == group;
        let mut brings = false;
        for joint in joints {
            let (there, may_enter, may_leave) = match (is_with(joint.from), is_with(joint.to)) {
                (true, false) => (joint.to, !joint.one_way, true),
                (false, true) => (joint.from, true, !joint.one_way),
                _ => continue,
            };
            let other = state.pressure(there).rank();
            if may_leave && (other < own || there == OPEN_AIR) {
                return false;
            }
            brings |= may_enter && own < other && joint.width != Width::Wide;
        }
        brings && !self.is_fed(engine, chamber)
    }

    /// Whether a chamber hangs on a supply by wide ways, and so holds its pressure.
    fn is_fed(&self, engine: &Engine, chamber: ChamberId) -> bool {
        self.members(self.of[chamber]).any(|at| engine.chambers[at].is_supply())
    }

    /// Whether the group of a chamber stands wide open to the open air and hangs on no supply.
    fn only_drains(&self, engine: &Engine, joints: &[Joint], chamber: ChamberId) -> bool {
        let group = self.of[chamber];
        let is_with = |at: ChamberId| at != OPEN_AIR && self.of[at] == group;
        let drains = joints.iter().filter(|joint| joint.width == Width::Wide).any(|joint| {
            let inward = joint.from == OPEN_AIR && is_with(joint.to) && !joint.one_way;
            joint.to == OPEN_AIR && is_with(joint.from) || inward
        });
        drains && !self.is_fed(engine, chamber)
    }

    /// The room at the other end of a passage by which air may leave a group.
    fn beyond(&self, joint: &Joint, group: ChamberId) -> Option<ChamberId> {
        let is_with = |at: ChamberId| at != OPEN_AIR && self.of[at] == group;
        match (is_with(joint.from), is_with(joint.to)) {
            (true, false) => Some(joint.to),
            (false, true) if !joint.one_way => Some(joint.from),
            _ => None,
        }
    }

    fn join(&mut self, a: ChamberId, b: ChamberId) {
        let (keep, give) = (self.of[a].min(self.of[b]), self.of[a].max(self.of[b]));
        for of in self.of.iter_mut() {
            if *of == give {
                *of = keep;
            }
        }
    }

    fn members(&self, group: ChamberId) -> impl Iterator<Item = ChamberId> + '_ {
        self.of.entries().filter(move |(_, of)| **of == group).map(|(at, _)| at)
    }
}

/// A change of pressure that is about to happen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Flow {
    /// Chambers that change, with the pressure they come to.
    pub(super) to: Vec<(ChamberId, Pressure)>,
    /// The least that they may come to where no more is known: how many landmarks are reached.
    pub(super) least: u8,
    /// What the air goes through.
    pub(super) through: Vec<Element>,
    /// The chamber that it comes from or goes to.
    pub(super) other: ChamberId,
}

impl Flow {
    /// What changes slowly stands at every pressure on its way of which something hangs: at a
    /// landmark, and, falling, at what is spent.
    fn pause(&mut self, engine: &Engine, state: &State, stages: &List<ChamberId, Stages>) {
        let Some((first, target)) = self.to.first().copied() else { return };
        let here = state.pressure(first);
        let marks = self.to.iter().flat_map(|(at, _)| stages[*at].landmarks.iter().copied());
        let next = if here.reached < target.reached {
            let next = marks.filter(|mark| here.reached < *mark && *mark <= target.reached).min();
            // A supply that is said to hold a landmark stands at it: there, all is in.
            let is_last = |mark: &u8| *mark == target.reached && target.stands_at_it(engine);
            next.filter(|mark| !is_last(mark))
        } else {
            let passed = marks.filter(|mark| *mark <= here.reached && target.reached < *mark);
            passed.max().map(|mark| mark - 1)
        };
        let falls_past = |(at, to): &(ChamberId, Pressure)| {
            to.level == Level::Empty && Level::Spent < state.levels[*at]
        };
        let is_spent_first =
            self.to.iter().all(falls_past) && self.to.iter().any(|(at, _)| stages[*at].when_spent);
        let paused = match next {
            _ if is_spent_first => here.reached,
            Some(reached) => reached,
            None => return,
        };
        self.least = self.least.max(paused);
        for (_, to) in &mut self.to {
            *to = Pressure { level: Level::Spent, reached: paused };
        }
    }

    /// The same with every pressure that it may come to.
    pub(super) fn alternatives(&self) -> impl Iterator<Item = Flow> + '_ {
        let most = self.to.first().map_or(0, |(_, to)| to.reached);
        (self.least.min(most)..=most).rev().map(|reached| {
            let to = self.to.iter().map(|(at, to)| (*at, Pressure { reached, ..*to }));
            Flow { to: to.collect(), ..self.clone() }
        })
    }
}

/// Pressures of one chamber of which something hangs.
#[derive(Debug, Clone, Default)]
pub(super) struct Stages {
    /// Heights of landmarks.
    pub(super) landmarks: BTreeSet<u8>,
    /// Whether something without pressure is said to win once it is spent.
    pub(super) when_spent: bool,
}

/// What the air does next.
#[derive(Debug, Default)]
pub(super) struct Flows {
    /// Through wide ways, at once; what joined rooms give and take in one piece.
    pub(super) quick: Vec<Vec<Flow>>,
    /// Stores that run empty through wide ways: from now on, beside all else.
    pub(super) running_out: Vec<Flow>,
    /// Through narrow ways: when what moves freely has come to rest.
    pub(super) narrow: Vec<Flow>,
    /// Through bleeds: when all else is over.
    pub(super) bleed: Vec<Flow>,
    /// Two narrow ways that pull a room both ways, with nothing to decide: the ways in and out.
    pub(super) undecided: Option<(ChamberId, Element, Element)>,
}

impl Flows {
    /// Whether the pressure of a room is about to change through a wide way.
    pub(super) fn is_settling(&self, room: ChamberId) -> bool {
        self.quick.iter().flatten().flat_map(|flow| &flow.to).any(|(at, _)| *at == room)
    }

    /// Whether the pressure of a room is on its way through a bleed.
    pub(super) fn is_seeping(&self, room: ChamberId) -> bool {
        self.bleed.iter().flat_map(|flow| &flow.to).any(|(at, _)| *at == room)
    }

    /// Brings rooms to the pressure that they are about to come to.
    pub(super) fn bring(&self, rooms: &[ChamberId], state: &mut State) {
        let flows = self.quick.iter().flatten().chain(&self.narrow).chain(&self.bleed);
        for (room, pressure) in flows.flat_map(|flow| &flow.to) {
            if rooms.contains(room) {
                state.come_to(*room, *pressure);
            }
        }
    }

    /// Whether the pressure of a room is on its way through a narrow way. What was drawn on is
    /// nearly full: for what it pushes it has arrived.
    pub(super) fn is_changing(&self, state: &State, room: ChamberId) -> bool {
        let here = state.pressure(room);
        let arrives = |to: Pressure| {
            here.reached == to.reached
                && here.level.rank().min(to.level.rank()) == Level::Drawn.rank()
        };
        let mut changes = self.narrow.iter().flat_map(|flow| &flow.to);
        changes.any(|(at, to)| *at == room && !arrives(*to))
    }
}

/// What the air does next in a state.
pub(super) fn flows(engine: &Engine, state: &State, stages: &List<ChamberId, Stages>) -> Flows {
    let joints = joints(engine, state);
    let groups = Groups::new(engine, state, &joints);
    let mut flows = Flows::default();
    for group in groups.of.ids().skip(1).filter(|at| groups.of[*at] == *at) {
        let room = AirRoom::new(engine, state, &joints, &groups, group);
        let mut found = Flows::default();
        let quick = room.quick();
        if quick.is_empty() {
            room.slow(&mut found);
            let slow = found.running_out.iter_mut().chain(&mut found.narrow);
            slow.chain(&mut found.bleed).for_each(|flow| flow.pause(engine, state, stages));
        }
        flows.quick.extend(quick);
        if room.runs_empty_first() {
            flows.quick.extend(found.running_out.into_iter().map(|flow| vec![flow]));
        } else {
            flows.running_out.extend(found.running_out);
        }
        flows.narrow.extend(found.narrow);
        flows.bleed.extend(found.bleed);
        flows.undecided = flows.undecided.or(found.undecided);
    }
    flows
}

/// A way or a valve with the chamber at its other end.
type WayEnd = (Element, ChamberId);

/// One group of chambers with all that leads in and out.
struct AirRoom<'a> {
    engine: &'a Engine,
    state: &'a State,
    joints: &'a [Joint],
    groups: &'a Groups,
    group: ChamberId,
    members: Vec<ChamberId>,
    supply: Option<ChamberId>,
    vents: Vec<Element>,
    /// The landmark that the pressure is not let past, by its height, and what relieves it.
    relief: Option<(u8, Element)>,
}

impl<'a> AirRoom<'a> {
    fn new(
        engine: &'a Engine,
        state: &'a State,
        joints: &'a [Joint],
        groups: &'a Groups,
        group: ChamberId,
    ) -> AirRoom<'a> {
        let members: Vec<ChamberId> = groups.members(group).collect();
        let supplies = members.iter().copied().filter(|at| engine.chambers[*at].is_supply());
        // Of two supplies in one room the one that the other is regulated from is the higher.
        let supply = supplies.reduce(|kept, next| {
            if engine.chambers[kept].regulated_from == Some(next) { next } else { kept }
        });
        let relieving = engine.ways.entries().filter_map(|(at, way)| {
            let height = engine.landmarks[way.relieves_at?].height;
            let is_here = way.to == OPEN_AIR && members.contains(&way.from);
            (is_here && state.holds(engine, &way.when)).then_some((height, Element::Way(at)))
        });
        let relief = relieving.min();
        let vents = Vec::new();
        let mut room =
            AirRoom { engine, state, joints, groups, group, members, supply, vents, relief };
        let vents = joints.iter().filter(|at| at.width == Width::Wide && room.is_vent(at));
        room.vents = vents.map(|joint| joint.passage).collect();
        room
    }

    fn finite(&self) -> impl Iterator<Item = ChamberId> + '_ {
        self.members.iter().copied().filter(|at| self.engine.chambers[*at].is_finite())
    }

    fn has_store(&self) -> bool {
        self.finite().any(|at| self.engine.chambers[at].role == Role::Store)
    }

    /// Whether all stores here are empty before parts move, by what the cutaway says of them.
    fn runs_empty_first(&self) -> bool {
        let chambers = self.finite().map(|at| &self.engine.chambers[at]);
        let mut stores = chambers.filter(|room| room.role == Role::Store);
        stores.all(|store| store.is_quick)
    }

    fn highest(&self) -> Pressure {
        let pressures = self.finite().map(|at| self.state.pressure(at));
        pressures.max_by_key(|it| (it.rank(), it.level)).unwrap_or(Pressure::NONE)
    }

    /// All finite chambers come to a pressure; nothing, if they are there already.
    fn come_to(&self, pressure: Pressure, through: Vec<Element>, other: ChamberId) -> Option<Flow> {
        self.come(&self.finite().collect::<Vec<_>>(), pressure, through, other)
    }

    fn come(
        &self,
        chambers: &[ChamberId],
        pressure: Pressure,
        through: Vec<Element>,
        other: ChamberId,
    ) -> Option<Flow> {
        let pressure = self.relieved(pressure);
        let changing = chambers.iter().filter(|at| self.state.pressure(**at) != pressure);
        let to: Vec<(ChamberId, Pressure)> = changing.map(|at| (*at, pressure)).collect();
        let least = pressure.reached;
        (!to.is_empty()).then_some(Flow { to, least, through, other })
    }

    /// A pressure, or that of the landmark past which it is not let.
    fn relieved(&self, pressure: Pressure) -> Pressure {
        match self.relief {
            Some((height, _)) if height <= pressure.reached => {
                Pressure { level: Level::Spent, reached: height }
            }
            _ => pressure,
        }
    }

    /// The passages inside the group from the chambers that stay at a level, or from the one that
    /// gives, to those of `chambers` that come to it: the shortest way to each.
    fn inside(&self, chambers: &[ChamberId], to: Pressure, giver: ChamberId) -> Vec<Element> {
        self.came_by(&self.paths(), to, giver).passed(chambers)
    }

    /// How air comes to each chamber from those that stay at a level, or from the one that gives.
    fn came_by(&self, paths: &Paths, to: Pressure, giver: ChamberId) -> CameBy {
        let stays = |at: &ChamberId| *at == giver || self.state.pressure(*at) == to;
        paths.from(self.members.iter().copied().filter(stays).collect())
    }

    /// Ways between the chambers of the group.
    fn paths(&self) -> Paths {
        Paths::among(self.joints, |at| self.groups.of[at] == self.group)
    }

    fn quick(&self) -> Vec<Vec<Flow>> {
        let flow = match (self.supply, self.vents.is_empty()) {
            (Some(supply), false) => return self.between(supply),
            (Some(supply), true) => {
                let fills = self.fill(&self.finite().collect::<Vec<_>>(), supply);
                return fills.into_iter().map(|flow| vec![flow]).collect();
            }
            (None, false) if self.has_store() && Level::Spent <= self.highest().level => {
                // What has just been joined to a store that is on its way out fills from it.
                let spends = self.spend(&self.finite().collect::<Vec<_>>(), self.giver());
                return Some(spends).filter(|flows| !flows.is_empty()).into_iter().collect();
            }
            (None, false) => self.come_to(Pressure::NONE, self.vents.clone(), OPEN_AIR),
            (None, true) => self.share().or_else(|| self.relieve()),
        };
        flow.into_iter().map(|flow| vec![flow]).collect()
    }

    /// What holds more than a relief lets past loses it.
    fn relieve(&self) -> Option<Flow> {
        let (_, way) = self.relief?;
        let highest = self.highest();
        let is_over = self.relieved(highest).rank() < highest.rank();
        is_over.then(|| self.come_to(highest, vec![way], OPEN_AIR)).flatten()
    }

    /// Between a supply and the open air: what air flows through on its way out is spent, what
    /// only hangs on the supply is full.
    fn between(&self, supply: ChamberId) -> Vec<Vec<Flow>> {
        let is_vent = |at: &&Joint| at.width == Width::Wide && self.is_vent(at);
        let outlets: Vec<ChamberId> = self
            .joints
            .iter()
            .filter(is_vent)
            .map(|joint| if joint.to == OPEN_AIR { joint.from } else { joint.to })
            .filter(|at| self.engine.chambers[*at].is_finite())
            .collect();
        let through = self.paths().spread(self.engine, outlets);
        let full: Vec<ChamberId> = self.finite().filter(|at| !through.contains(at)).collect();
        let mut flows: Vec<Vec<Flow>> =
            self.fill(&full, supply).into_iter().map(|flow| vec![flow]).collect();
        flows.extend(Some(self.spend(&through, supply)).filter(|flows| !flows.is_empty()));
        flows
    }

    /// Chambers fill from a supply. It joins nothing to nothing, as the open air does not: what
    /// hangs on it by ways of its own fills by itself.
    fn fill(&self, chambers: &[ChamberId], supply: ChamberId) -> Vec<Flow> {
        let full = Pressure::of_supply(self.engine, supply);
        let paths = self.paths();
        let came_by = self.came_by(&paths, full, supply);
        let asked: BTreeSet<ChamberId> = chambers.iter().copied().collect();
        let mut taken = BTreeSet::new();
        let mut flows = Vec::new();
        for first in chambers {
            if taken.contains(first) {
                continue;
            }
            let mut own = paths.spread(self.engine, vec![*first]);
            taken.extend(own.iter().copied());
            own.retain(|at| asked.contains(at));
            own.sort_unstable();
            flows.extend(self.come(&own, full, came_by.passed(&own), supply));
        }
        flows
    }

    /// Chambers through which air passes on its way out: what holds more loses it to the open air,
    /// what holds less fills from what gives.
    fn spend(&self, through: &[ChamberId], giver: ChamberId) -> Vec<Flow> {
        let reached = through.iter().map(|at| self.state.reached[*at]).max().unwrap_or(0);
        let spent = Pressure { level: Level::Spent, reached };
        let (low, high): (Vec<ChamberId>, Vec<ChamberId>) =
            through.iter().partition(|at| self.state.pressure(**at).rank() < spent.rank());
        let fills = self.come(&low, spent, self.inside(&low, spent, giver), giver);
        let spends = self.come(&high, spent, self.vents.clone(), OPEN_AIR);
        fills.into_iter().chain(spends).collect()
    }

    /// The chamber that holds the most.
    fn giver(&self) -> ChamberId {
        let highest = self.highest();
        self.finite().find(|at| self.state.pressure(*at) == highest).unwrap_or(self.group)
    }

    fn is_vent(&self, joint: &Joint) -> bool {
        let is_member = |chamber: ChamberId| self.groups.of[chamber] == self.group;
        let outward = joint.to == OPEN_AIR && is_member(joint.from);
        let inward = joint.from == OPEN_AIR && is_member(joint.to) && !joint.one_way;
        outward || inward
    }

    /// Whether a chamber stands wide open to the open air.
    fn drains(&self, chamber: ChamberId) -> bool {
        let is_with =
            |at: ChamberId| at != OPEN_AIR && self.groups.of[at] == self.groups.of[chamber];
        chamber == OPEN_AIR
            || self.joints.iter().any(|joint| {
                joint.width == Width::Wide
                    && (joint.to == OPEN_AIR && is_with(joint.from)
                        || joint.from == OPEN_AIR && is_with(joint.to) && !joint.one_way)
            })
    }

    /// A closed room: pressures become equal. A store gives as if it lost nothing; what others come
    /// to lies between the least and the most that there was.
    fn share(&self) -> Option<Flow> {
        let highest = self.highest();
        if self.finite().all(|at| self.state.pressure(at) == highest) {
            return None;
        }
        let is_giver = |at: &ChamberId| self.state.pressure(*at) == highest;
        let giver = self.giver();
        let gives_a_store =
            self.finite().any(|at| is_giver(&at) && self.engine.chambers[at].role == Role::Store);
        let is_drawn = gives_a_store && Level::Drawn <= highest.level;
        let level = if is_drawn { Level::Drawn } else { Level::Spent };
        let shared = Pressure { level, ..highest };
        let mut flow = self.come_to(shared, self.inside(&self.members, shared, giver), giver)?;
        if !gives_a_store {
            let least = self.finite().map(|at| self.state.reached[at]).min().unwrap_or(0);
            flow.least = least.min(flow.least);
        }
        Some(flow)
    }

    /// What narrow ways do, and a store that goes on emptying.
    fn slow(&self, flows: &mut Flows) {
        if !self.vents.is_empty() {
            if self.supply.is_none() && self.has_store() {
                let vents = self.vents.clone();
                flows.running_out.extend(self.come_to(Pressure::NONE, vents, OPEN_AIR));
            }
            return;
        }
        if self.supply.is_some() {
            return;
        }
        let (inward, outward) = self.thin(Width::Narrow);
        if !inward.is_empty() || !outward.is_empty() {
            // What a bleed does beside a narrow way does not count.
            flows.undecided = self.even_out(&inward, &outward, &mut flows.narrow);
            return;
        }
        let (inward, outward) = self.thin(Width::Bleed);
        flows.undecided = self.even_out(&inward, &outward, &mut flows.bleed);
    }

    /// What ways of one width do; nothing, where no fact decides between a way in and a way out.
    fn even_out(
        &self,
        inward: &[WayEnd],
        outward: &[WayEnd],
        flows: &mut Vec<Flow>,
    ) -> Option<(ChamberId, Element, Element)> {
        match (inward.first(), outward.first()) {
            (Some((way, from)), None) => {
                let there = self.state.pressure(*from);
                flows.extend(self.come_to(there, vec![*way], *from));
            }
            (None, Some((way, to))) => {
                let empties = self.drains(*to);
                if empties || !self.has_store() {
                    let shared = Pressure { level: Level::Spent, ..self.state.pressure(*to) };
                    let there = if empties { Pressure::NONE } else { shared };
                    flows.extend(self.come_to(there, vec![*way], *to));
                }
            }
            // What goes on into rooms that nothing leaves fills them too: how far this one is ahead
            // of them by then is open, and each goes on by itself.
            (Some((way, from)), Some(_)) if self.ends_inside(outward) => {
                let there = self.state.pressure(*from);
                flows.extend(self.come_to(there, vec![*way], *from));
            }
            (Some((inlet, from)), Some((outlet, _))) => {
                let there = self.state.pressure(*from);
                let (there, least) = match self.wins(*inlet, *outlet) {
                    Some(Level::Drawn) => (there, there.reached),
                    Some(Level::Empty) => (Pressure::NONE, 0),
                    Some(level) => (Pressure { level, ..there }, 0),
                    None => return Some((self.group, *inlet, *outlet)),
                };
                let flow = self.come_to(there, vec![*inlet], *from);
                flows.extend(flow.map(|flow| Flow { least: least.min(flow.least), ..flow }));
            }
            (None, None) => {}
        }
        None
    }

    /// Open ways of one width: those that bring air or hold it up, and those that take it.
    fn thin(&self, width: Width) -> (Vec<WayEnd>, Vec<WayEnd>) {
        let own = self.highest();
        let (mut inward, mut outward) = (Vec::new(), Vec::new());
        for joint in self.joints.iter().filter(|joint| joint.width == width) {
            let way = joint.passage;
            let (is_from, is_to) =
                (self.groups.of[joint.from] == self.group, self.groups.of[joint.to] == self.group);
            let (other, may_leave, may_enter) = match (is_from, is_to) {
                (true, false) => (joint.to, true, !joint.one_way),
                (false, true) => (joint.from, !joint.one_way, true),
                _ => continue,
            };
            let (own, level) = (own.rank(), self.state.pressure(other).rank());
            if may_enter && (own < level || own == level && self.groups.is_fed(self.engine, other))
            {
                inward.push((way, other));
            } else if may_leave && level < own {
                outward.push((way, other));
            } else if may_leave && self.drains(other) {
                // An empty room with a leak stays empty unless something fills it.
                outward.push((way, other));
            }
        }
        // What gives the most and what takes the most go first, in whatever order they are written.
        let rank = |end: &WayEnd| self.state.pressure(end.1).rank();
        inward.sort_by_key(|end| std::cmp::Reverse(rank(end)));
        outward.sort_by_key(rank);
        // A leak alone changes nothing in an empty room.
        if inward.is_empty() && own.level == Level::Empty {
            outward.clear();
        }
        (inward, outward)
    }

    /// Whether what leaves through these ends in rooms that have no way out but bleeds, and hang on
    /// no supply.
    fn ends_inside(&self, outward: &[WayEnd]) -> bool {
        let groups = self.groups;
        let mut open: Vec<ChamberId> = outward.iter().map(|(_, room)| *room).collect();
        let mut seen = BTreeSet::from([self.group]);
        while let Some(room) = open.pop() {
            if room == OPEN_AIR || groups.is_fed(self.engine, room) {
                return false;
            }
            if seen.insert(groups.of[room]) {
                let leaving = self.joints.iter().filter(|joint| joint.width != Width::Bleed);
                open.extend(leaving.filter_map(|joint| groups.beyond(joint, groups.of[room])));
            }
        }
        true
    }

    /// The level a room comes to between a narrow way in and a narrow way out; `Drawn` stands for
    /// that of the inlet.
    fn wins(&self, inlet: Element, outlet: Element) -> Option<Level> {
        let is = |terms: &[Term], way: Element| matches!(terms, [Term::Own(at)] if *at == way);
        self.engine.facts.iter().find_map(|fact| {
            let in_first = is(&fact.left, inlet) && is(&fact.right, outlet);
            let out_first = is(&fact.left, outlet) && is(&fact.right, inlet);
            match fact.relation {
                Relation::MuchLarger if in_first => Some(Level::Drawn),
                Relation::MuchLarger if out_first => Some(Level::Empty),
                _ if in_first || out_first => Some(Level::Spent),
                _ => None,
            }
        })
    }
}

/// Whether something other than the open air leads into a room, and what leads from it straight to
/// the open air.
pub(super) fn inlets_and_vents(
    engine: &Engine,
    state: &State,
    room: ChamberId,
) -> (bool, Vec<Element>) {
    let joints = open_joints(engine, state);
    let ends = joints.iter().filter_map(|joint| Some((joint, joint.other_end(room)?)));
    let (vents, inlets): (Vec<_>, Vec<_>) = ends.partition(|(_, other)| *other == OPEN_AIR);
    (!inlets.is_empty(), vents.into_iter().map(|(joint, _)| joint.passage).collect())
}

/// Whether air can neither leave a room nor enter it, by ways of any width.
pub(super) fn is_shut_in(engine: &Engine, state: &State, room: ChamberId) -> bool {
    let joints = open_joints(engine, state);
    !joints.iter().any(|joint| joint.from == room || joint.to == room)
}
