//! What pushes each part in the moments of the told shot: pressures on areas, springs, what is left
//! over, and the pressure at which the part lets go.
//!
//! Pressures are those of the levels that the event logic tells: that of a supply is a reading,
//! that of the open air is nought, and between them only bounds are known. Friction is not in it.

use super::super::measured::Readings;
use super::build::BuiltEngine;
use super::results::{SolidResult, figure, suffix};
use super::sizes::SizeReader;
use crate::cutaway::Engine;
use crate::cutaway::model::{
    ChamberId, Direction, Element, Event, Name, OPEN_AIR, PartId, PositionId, PushId, PushKind,
};
use crate::formula::standard_uncertainty;
use crate::geometry::{Dual, PoseFigures, Scalar};
use crate::logic::{Exploration, Level, State};
use crate::quantity::{Dimension, Kind, Reference};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

/// The reading that tells the pressure of the regulated line where the cutaway names none.
pub(in crate::folio) const REGULATED: &str = "operating_pressure";

/// What pushes on less than this, in m², pushes on nothing: a strip of 0.03 µm on 1 mm.
const NO_AREA: f64 = 1e-10;

/// A moment of the told shot.
#[derive(Debug, Clone)]
pub(super) struct ShotMoment {
    state: State,
    /// What has just happened.
    events: Vec<Event>,
}

/// The moments of the told shot, from rest on.
pub(super) fn moments(found: &Exploration) -> Vec<ShotMoment> {
    let events = found.line.iter().map(|step| found.steps[*step].events.clone());
    let events = std::iter::once(Vec::new()).chain(events);
    let states = found.line_states().into_iter().cloned();
    states.zip(events).map(|(state, events)| ShotMoment { state, events }).collect()
}

/// What pushes a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Pushing {
    /// The pressure of a room.
    Room(ChamberId),
    /// A spring.
    Spring(PushId),
    /// Another part that leans on it or strikes it.
    Contact(PushId),
}

/// One push at one moment.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PushRow {
    pub(crate) by: Pushing,
    /// Of a room: its level, and the reading that tells its pressure.
    pub(crate) level: Option<(Level, Option<String>)>,
    /// Of a room: the area on which it pushes to the front.
    pub(crate) area: Option<SolidResult>,
    /// The force to the front.
    pub(crate) force: SolidResult,
}

/// The pressure of a room at which a part begins to move.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct LettingGo {
    pub(crate) room: ChamberId,
    /// Whether the pressure rises to it; else it falls.
    pub(crate) rises: bool,
    /// Above the open air.
    pub(crate) pressure: SolidResult,
}

/// What pushes a part as long as nothing about it changes.
#[derive(Debug, Clone)]
pub(crate) struct PartMoment {
    /// Numbers of the first and the last moment.
    pub(crate) moments: (usize, usize),
    pub(crate) position: PositionId,
    pub(crate) rows: Vec<PushRow>,
    /// All together, to the front.
    pub(crate) net: SolidResult,
    /// Where some pressures lie anywhere between two known ones: the least and the most of it, N.
    pub(crate) between: Option<(f64, f64)>,
    /// Which way it is pushed, whatever is uncertain in that (k = 2); `None` where that decides.
    pub(crate) pushes: Option<Direction>,
    /// Which way it moves then; `None` where it stays.
    pub(crate) moves: Option<Direction>,
    /// Whether a latch holds it.
    pub(crate) is_latched: bool,
    pub(crate) lets_go: Vec<LettingGo>,
}

/// What pushes one part through the shot.
#[derive(Debug, Clone)]
pub(crate) struct PartForces {
    pub(crate) part: PartId,
    pub(crate) moments: Vec<PartMoment>,
}

/// What a shot does to the parts that have sizes.
pub(super) struct ForceFinder<'a> {
    pub(super) engine: &'a Engine,
    pub(super) built: &'a BuiltEngine,
    pub(super) reader: SizeReader<'a>,
    pub(super) moments: &'a [ShotMoment],
    pressures: BTreeMap<(ChamberId, Level), Dual>,
}

/// One push, as numbers.
struct WeighedPush {
    row: PushRow,
    force: Dual,
    area: Option<Dual>,
}

impl<'a> ForceFinder<'a> {
    pub(super) fn new(
        engine: &'a Engine,
        built: &'a BuiltEngine,
        mut reader: SizeReader<'a>,
        moments: &'a [ShotMoment],
    ) -> ForceFinder<'a> {
        reader.inputs.clone_from(&built.inputs);
        ForceFinder { engine, built, reader, moments, pressures: BTreeMap::new() }
    }

    /// What pushes each part, moment by moment.
    pub(super) fn parts(&mut self) -> Vec<PartForces> {
        let posed = self.posed();
        let parts = self.built.parts.clone().into_iter().enumerate();
        let forces = parts.map(|(number, part)| {
            let mut found: Vec<PartMoment> = Vec::new();
            // The levels when it came to where it stands.
            let mut arrived = 0;
            for (at, figures) in posed.iter().enumerate() {
                let moment = &self.moments[at];
                let is_new = |event: &Event| matches!(event, Event::Reaches(it, _) if *it == part);
                if moment.events.iter().any(is_new) {
                    arrived = at;
                }
                let Some(figures) = figures else { continue };
                let own = &figures.areas[number + 1];
                let told = self.part_moment((part, at, arrived), own);
                match found.last_mut() {
                    Some(last) if is_as_before(last, &told) => {
                        *last = PartMoment { moments: (last.moments.0, at), ..told };
                    }
                    _ => found.push(told),
                }
            }
            PartForces { part, moments: found }
        });
        forces.collect()
    }

    /// The geometry of each moment, worked out once for moments in which the parts stand alike;
    /// `None` where it is not known where a part stands.
    fn posed(&self) -> Vec<Option<Rc<PoseFigures<Dual>>>> {
        let mut known = BTreeMap::new();
        let moments = self.moments.iter().map(|moment| {
            let stands = self.built.parts.iter().map(|part| moment.state.positions[*part]);
            let stands: Vec<PositionId> = stands.collect();
            let figures = known.entry(stands).or_insert_with_key(|stands| self.figures(stands));
            figures.clone()
        });
        moments.collect()
    }

    fn figures(&self, stands: &[PositionId]) -> Option<Rc<PoseFigures<Dual>>> {
        let places = self.built.parts.iter().zip(stands);
        let places = places.map(|(part, at)| self.built.places.get(&(*part, *at)).cloned());
        let positions = std::iter::once(Some(Dual::constant(0.0))).chain(places);
        let positions: Vec<Dual> = positions.collect::<Option<_>>()?;
        Some(Rc::new(self.built.cut.cell_at(&positions).evaluate(&positions)))
    }

    fn part_moment(
        &mut self,
        (part, at, arrived): (PartId, usize, usize),
        areas: &[Dual],
    ) -> PartMoment {
        let state = &self.moments[at].state;
        let mut pushes = self.rooms(part, state, areas);
        pushes.extend(self.others(part, state));
        let net = pushes.iter().fold(Dual::constant(0.0), |sum, push| sum + push.force.clone());
        let after = self.moments.get(at + 1).map(|next| next.state.positions[part]);
        let position = state.positions[part];
        let moves = after.filter(|after| *after != position).map(|after| match position < after {
            true => Direction::Forward,
            false => Direction::Back,
        });
        let before = &self.moments[arrived].state;
        let lets_go = match moves {
            Some(_) => self.lets_go((before, state), &pushes, &net),
            None => Vec::new(),
        };
        let net = self.told(&net, Dimension::FORCE, None);
        let between = if net.is_err() { self.between(state, &pushes) } else { None };
        PartMoment {
            pushes: self.certain_direction(&net, between),
            moments: (at, at),
            position,
            rows: pushes.into_iter().map(|push| push.row).collect(),
            net,
            between,
            moves,
            is_latched: state.latched[part],
            lets_go,
        }
    }

    fn told(&self, value: &Dual, of: Dimension, reference: Option<Reference>) -> SolidResult {
        figure(&self.reader.inputs, value, (of, Kind::Plain, reference))
    }

    /// Rooms that push on a part.
    fn rooms(&mut self, part: PartId, state: &State, areas: &[Dual]) -> Vec<WeighedPush> {
        let mut found = Vec::new();
        for (room, area) in self.built.rooms.iter().zip(areas) {
            if area.value().abs() < NO_AREA {
                continue;
            }
            let level = state.levels[*room];
            let force = self.pressure(*room, level) * area.clone();
            found.push(self.room((*room, level), area, &force));
        }
        // What the cutaway says to push there, though it is not drawn.
        for push in self.engine.parts[part].pushes.iter() {
            let PushKind::Face(room) = push.kind else { continue };
            let level = state.levels[room];
            let is_drawn = room == OPEN_AIR || self.built.rooms.contains(&room);
            if is_drawn || level == Level::Empty || !state.holds(self.engine, &push.when) {
                continue;
            }
            let name = &self.engine.chambers[room].name.id;
            let area = self.reader.unknown(format!("where `{name}` lies"), 0.0);
            found.push(self.room((room, level), &area, &area));
        }
        found
    }

    fn room(&self, (room, level): (ChamberId, Level), area: &Dual, force: &Dual) -> WeighedPush {
        let row = PushRow {
            by: Pushing::Room(room),
            level: Some((level, self.reading(level))),
            area: Some(self.told(area, Dimension::AREA, None)),
            force: self.told(force, Dimension::FORCE, None),
        };
        WeighedPush { row, force: force.clone(), area: Some(area.clone()) }
    }

    /// Springs, and parts that lean on it.
    fn others(&mut self, part: PartId, state: &State) -> Vec<WeighedPush> {
        let mut found = Vec::new();
        for (at, push) in self.engine.parts[part].pushes.entries() {
            let is_spent = push.is_blow && state.has_spent(part, at);
            if is_spent || !state.holds(self.engine, &push.when) {
                continue;
            }
            let (by, force) = match push.kind {
                PushKind::Face(_) => continue,
                PushKind::Spring => {
                    (Pushing::Spring(at), self.spring((part, at), state.positions[part]))
                }
                PushKind::Contact(_) | PushKind::Hand => {
                    let stated = self.stated(Element::Push(part, at), Dimension::FORCE);
                    let unknown = || format!("the force of `{}`", push.name.id);
                    let force = match stated {
                        Some(force) => force,
                        None => self.reader.unknown(unknown(), 0.0),
                    };
                    (Pushing::Contact(at), signed(force, push.direction))
                }
            };
            let told = self.told(&force, Dimension::FORCE, None);
            let row = PushRow { by, level: None, area: None, force: told };
            found.push(WeighedPush { row, force, area: None });
        }
        found
    }

    /// What a spring pushes with to the front, with its part at a position.
    fn spring(&mut self, (part, at): (PartId, PushId), position: PositionId) -> Dual {
        let own = &self.engine.parts[part];
        let push = &own.pushes[at];
        let thing = Element::Push(part, at);
        let last = PositionId::at(own.positions.len().saturating_sub(1));
        let longest = match push.direction {
            Direction::Back => PositionId::REAR,
            Direction::Forward => last,
        };
        let preload = self.engine.preloads.get(&thing).and_then(|name| self.value_of(name));
        let preload = preload.filter(|(_, is)| *is == Dimension::FORCE).map(|(value, _)| value);
        let preload = match preload.or_else(|| self.stated(thing, Dimension::FORCE)) {
            Some(preload) => preload,
            None => self.reader.unknown(format!("the preload of `{}`", push.name.id), 0.0),
        };
        if position == longest {
            return signed(preload, push.direction);
        }
        let places = &self.built.places;
        let ends = places.get(&(part, position)).zip(places.get(&(part, longest)));
        let shorter = match (ends, push.direction) {
            (None, _) => {
                let name = &own.positions[longest].id;
                self.reader.unknown(format!("the place of `{name}`"), 0.0)
            }
            (Some((here, there)), Direction::Back) => here.clone() - there.clone(),
            (Some((here, there)), Direction::Forward) => there.clone() - here.clone(),
        };
        let rate = match self.stated(thing, Dimension::SPRING_RATE) {
            Some(rate) => rate,
            None => self.reader.unknown(format!("the rate of `{}`", push.name.id), 1.0),
        };
        signed(preload + rate * shorter, push.direction)
    }

    /// What a reading states of something, where it is of this dimension.
    fn stated(&mut self, thing: Element, wanted: Dimension) -> Option<Dual> {
        let name = self.engine.readings.get(&thing)?;
        self.value_of(name).filter(|(_, is)| *is == wanted).map(|(value, _)| value)
    }

    fn value_of(&mut self, name: &Name) -> Option<(Dual, Dimension)> {
        let value = self.reader.readings.value(&name.id)?;
        let dimension = value.quantity.dimension;
        Some((self.reader.dual(value), dimension))
    }

    /// The reading that tells a level.
    fn reading(&self, level: Level) -> Option<String> {
        let Level::Full(supply) = level else { return None };
        supply_reading(self.engine, self.reader.readings, supply)
    }

    /// The pressure of a room above the open air, Pa.
    fn pressure(&mut self, room: ChamberId, level: Level) -> Dual {
        if level == Level::Empty {
            return Dual::constant(0.0);
        }
        if let Some(known) = self.pressures.get(&(room, level)) {
            return known.clone();
        }
        let found = self.reading(level).and_then(|name| self.reader.readings.value(&name));
        let pressure = match found {
            Some(value) => self.reader.dual(value),
            None => {
                let name = &self.engine.chambers[room].name.id;
                self.reader.unknown(format!("the pressure of `{name}`"), 0.0)
            }
        };
        self.pressures.insert((room, level), pressure.clone());
        pressure
    }

    /// The least and the most of a sum of which some pressures are not known.
    fn between(&self, state: &State, pushes: &[WeighedPush]) -> Option<(f64, f64)> {
        let most = self.highest()?;
        let (mut low, mut high) = (0.0, 0.0);
        for push in pushes {
            match (&push.row.force, &push.row.area, push.row.by) {
                (Ok(_), ..) => {
                    low += push.force.value();
                    high += push.force.value();
                }
                (Err(_), Some(Ok(_)), Pushing::Room(room))
                    if !matches!(state.levels[room], Level::Full(_)) =>
                {
                    let all = most * push.area.as_ref()?.value();
                    low += all.min(0.0);
                    high += all.max(0.0);
                }
                _ => return None,
            }
        }
        Some((low, high))
    }

    fn certain_direction(
        &self,
        net: &SolidResult,
        between: Option<(f64, f64)>,
    ) -> Option<Direction> {
        let (low, high) = match net {
            Ok(net) => {
                let Readings { ledger, sheet } = self.reader.readings;
                let expanded = 2.0 * standard_uncertainty(net, &ledger.scope(sheet));
                let force = net.quantity.si.to_f64();
                (force - expanded, force + expanded)
            }
            Err(_) => between?,
        };
        match (0.0 < low, high < 0.0) {
            (true, _) => Some(Direction::Forward),
            (_, true) => Some(Direction::Back),
            _ => None,
        }
    }

    /// The highest pressure that any room can have; `None` where one of the supplies that rooms
    /// hang on has none that is known.
    fn highest(&self) -> Option<f64> {
        let readings = self.reader.readings;
        let names = supply_pressures(self.engine, readings)?.into_iter();
        let values = names.map(|name| Some(readings.value(&name)?.quantity.si.to_f64()));
        values.collect::<Option<Vec<f64>>>()?.into_iter().reduce(f64::max)
    }

    /// The pressures at which it begins to move: of each room whose level has changed since it
    /// came there, with all else as it is.
    fn lets_go(
        &self,
        (before, state): (&State, &State),
        pushes: &[WeighedPush],
        net: &Dual,
    ) -> Vec<LettingGo> {
        let rooms = pushes.iter().filter_map(|push| match (push.row.by, &push.area) {
            (Pushing::Room(room), Some(area)) => Some((room, area, push)),
            _ => None,
        });
        let changed = rooms.filter(|(room, ..)| before.levels[*room] != state.levels[*room]);
        let found = changed.map(|(room, area, push)| {
            let others = push.force.clone() - net.clone();
            let reference = Some(Reference::Gauge);
            LettingGo {
                room,
                rises: before.levels[room].rank() < state.levels[room].rank(),
                pressure: self.told(&(others / area.clone()), Dimension::PRESSURE, reference),
            }
        });
        found.filter(|it| self.is_reached(&it.pressure)).collect()
    }

    /// Whether a room can come to a pressure, by what is uncertain in it (k = 2): none of an engine
    /// falls below the open air, or rises above its supplies. By others a part never lets go.
    fn is_reached(&self, pressure: &SolidResult) -> bool {
        let Ok(value) = pressure else { return true };
        let Readings { ledger, sheet } = self.reader.readings;
        let expanded = 2.0 * standard_uncertainty(value, &ledger.scope(sheet));
        let pressure = value.quantity.si.to_f64();
        let most = self.highest().unwrap_or(f64::INFINITY);
        0.0 <= pressure + expanded && pressure - expanded <= most
    }

    /// Every force as a result that formulas name.
    pub(super) fn results(&mut self, parts: &[PartForces]) -> BTreeMap<String, SolidResult> {
        let mut results = BTreeMap::new();
        for forces in parts {
            self.name(forces, &mut results);
        }
        for part in self.built.parts.clone() {
            let own = &self.engine.parts[part];
            for (at, push) in own.pushes.entries().filter(|(_, it)| it.kind == PushKind::Spring) {
                let path = format!("{}.{}.force", own.name.id, push.name.id);
                for position in own.positions.ids() {
                    let force = self.spring((part, at), position);
                    let force = self.told(&signed(force, push.direction), Dimension::FORCE, None);
                    if position == own.rest {
                        results.insert(path.clone(), force.clone());
                    }
                    results
                        .insert(format!("{path}{}", suffix(self.engine, (part, position))), force);
                }
            }
        }
        results
    }

    /// What is left over at rest, when the part leaves a position, and when it reaches one: each
    /// for the first time.
    fn name(&self, forces: &PartForces, results: &mut BTreeMap<String, SolidResult>) {
        let own = &self.engine.parts[forces.part];
        let position = |at: PositionId| &own.positions[at].id;
        let net = format!("{}.net_force", own.name.id);
        let mut add = |path: String, value: &SolidResult| {
            results.entry(path).or_insert_with(|| value.clone());
        };
        let mut stood = None;
        for moment in &forces.moments {
            if moment.moments.0 == 0 {
                add(net.clone(), &moment.net);
            }
            let here = position(moment.position);
            if stood.is_some_and(|stood| stood != moment.position) {
                add(format!("{net}.reaches.{here}"), &moment.net);
            }
            if moment.moves.is_some() {
                add(format!("{net}.leaves.{here}"), &moment.net);
            }
            for room in &moment.lets_go {
                let name = &self.engine.chambers[room.room].name.id;
                add(format!("{}.lets_go.{here}.{name}", own.name.id), &room.pressure);
            }
            stood = Some(moment.position);
        }
    }
}

/// Whether nothing about a part has changed.
fn is_as_before(last: &PartMoment, now: &PartMoment) -> bool {
    last.moves.is_none()
        && last.position == now.position
        && last.is_latched == now.is_latched
        && last.rows == now.rows
}

fn signed(force: Dual, direction: Direction) -> Dual {
    match direction {
        Direction::Forward => force,
        Direction::Back => -force,
    }
}

/// The figures that state the pressures of the supplies that rooms hang on; `None` where one has
/// none.
pub(in crate::folio) fn supply_pressures(
    engine: &Engine,
    readings: Readings<'_>,
) -> Option<BTreeSet<String>> {
    let ways = engine.ways.iter().flat_map(|way| [way.from, way.to]);
    let valves = engine.valves.iter().flat_map(|valve| valve.rest.iter().chain(&valve.shifted));
    let ends = ways.chain(valves.flat_map(|(from, to)| [*from, *to]));
    let from = engine.chambers.iter().filter_map(|chamber| chamber.starts_as);
    let supplies = ends.chain(from).filter(|at| engine.chambers[*at].is_supply());
    supplies.map(|supply| supply_reading(engine, readings, supply)).collect()
}

/// The figure that states the pressure of a supply above the open air: what it is drawn at, or the
/// operating pressure of the page for what a regulator feeds, or for the only supply.
fn supply_reading(engine: &Engine, readings: Readings<'_>, supply: ChamberId) -> Option<String> {
    let drawn = engine.readings.get(&Element::Chamber(supply)).map(|name| name.id.as_str());
    let is_regulated = engine.chambers[supply].regulated_from.is_some();
    let is_only = engine.chambers.iter().filter(|chamber| chamber.is_supply()).count() == 1;
    let name = drawn.or((is_regulated || is_only).then_some(REGULATED))?;
    let quantity = readings.value(name)?.quantity;
    // One that does not say what it counts from is meant as the gauge shows it.
    let counts_from = quantity.reference.unwrap_or(Reference::Gauge);
    let is_gauge = !matches!(counts_from, Reference::Absolute | Reference::Vacuum);
    (is_gauge && quantity.dimension == Dimension::PRESSURE).then(|| name.to_owned())
}

/// The figures that forces rest on beside the sizes.
pub(super) fn named_by_forces(engine: &Engine) -> Vec<&str> {
    let things = engine.readings.iter().filter(|(thing, _)| match thing {
        Element::Chamber(at) => engine.chambers[*at].is_supply(),
        Element::Push(..) => true,
        _ => false,
    });
    let things = things.map(|(_, name)| name).chain(engine.preloads.values());
    things.map(|name| name.id.as_str()).chain([REGULATED]).collect()
}
