//! What the sizes of a cutaway come to, as results that formulas name.
//!
//! A result is named as the engine stands at rest; behind `.PART.POSITION` it is that with the part
//! there (`cut.store.volume.spool.front`).

use super::super::measured::Readings;
use super::blanks;
use super::build::{BuiltEngine, BuiltRing};
use super::openings::{OpenChambers, OpenJoint};
use super::poses::BuiltPose;
use super::sizes::SolidInput;
use crate::cutaway::Engine;
use crate::cutaway::model::{ChamberId, Direction, OPEN_AIR, PartId, PositionId, PushKind, WayId};
use crate::formula::{InputId, Value, standard_uncertainty};
use crate::geometry::{Dual, PoseCell, RingSide, Scalar};
use crate::quantity::{Dimension, Kind, Quantity, Real, Reference};
use std::collections::BTreeMap;

/// A result, or what it waits for.
pub(crate) type SolidResult = Result<Value, String>;

/// A pose with its geometry.
#[derive(Debug)]
pub(super) struct LookedAtPose {
    pub(super) pose: BuiltPose,
    pub(super) cell: PoseCell<Dual>,
}

/// All poses of an engine; what its rings seal against is known from then on.
pub(super) fn looked_at(built: &mut BuiltEngine, engine: &Engine) -> Vec<LookedAtPose> {
    let poses = built.poses(engine).into_iter();
    let looked = poses.map(|pose| {
        let cell = built.cut.cell_at(&pose.positions);
        LookedAtPose { pose, cell }
    });
    let looked: Vec<LookedAtPose> = looked.collect();
    for (at, ring) in built.rings.iter_mut().enumerate() {
        ring.facing = looked.iter().find_map(|looked| looked.cell.sealed_at(at)).cloned();
    }
    looked
}

/// Gathers results by their names.
struct ResultWriter<'a> {
    engine: &'a Engine,
    built: &'a BuiltEngine,
    results: BTreeMap<String, SolidResult>,
}

/// Every result, by its name behind `cut.`.
pub(super) fn results(
    built: &BuiltEngine,
    poses: &[LookedAtPose],
    engine: &Engine,
) -> BTreeMap<String, SolidResult> {
    let mut writer = ResultWriter { engine, built, results: BTreeMap::new() };
    for looked in poses {
        writer.pose(looked);
    }
    for (at, ring) in built.rings.iter().enumerate() {
        writer.ring((at, ring));
    }
    for part in &built.parts {
        writer.travel(*part);
    }
    writer.way_holes();
    writer.results
}

impl ResultWriter<'_> {
    fn pose(&mut self, LookedAtPose { pose, cell }: &LookedAtPose) {
        let behind = pose.at.map_or_else(String::new, |at| suffix(self.engine, at));
        let figures = cell.evaluate(&pose.positions);
        let room = |at: usize| self.built.rooms.get(at).copied().unwrap_or(OPEN_AIR);
        let name = |chamber: ChamberId| self.engine.chambers[chamber].name.id.clone();
        let mut found = Vec::new();
        let astray = blanks::astray(self.built, cell);
        for (at, volume) in figures.volumes.iter().enumerate() {
            // What a stand-in joins to another room, or opens, has no volume of its own.
            let volume = if astray.contains(&at) { Dual::constant(0.0) } else { volume.clone() };
            found.push((format!("{}.volume", name(room(at))), volume, Dimension::VOLUME));
        }
        for (number, part) in self.built.parts.iter().enumerate() {
            let own = &self.engine.parts[*part];
            let areas = &figures.areas[number + 1];
            for (at, area) in areas.iter().enumerate() {
                let path = format!("{}.area.{}", own.name.id, name(room(at)));
                found.push((path, area.clone(), Dimension::AREA));
            }
            for (at, area) in areas.iter().enumerate() {
                let faces: Vec<_> = own
                    .pushes
                    .iter()
                    .filter(|push| push.kind == PushKind::Face(room(at)))
                    .collect();
                // What two faces in one room share is not known.
                let [face] = faces.as_slice() else { continue };
                let along = match face.direction {
                    Direction::Forward => area.clone(),
                    Direction::Back => -area.clone(),
                };
                let path = format!("{}.{}.area", own.name.id, face.name.id);
                found.push((path, along, Dimension::AREA));
            }
        }
        found.extend(self.openings(pose, cell).map(|(path, area)| (path, area, Dimension::AREA)));
        for (path, value, dimension) in found {
            let path = format!("{path}{behind}");
            match self.built.blanks.first() {
                // That a room has nothing there hangs on every size.
                Some(blank) if value.slopes().is_empty() && value.value() <= 0.0 => {
                    self.results.insert(path, Err(format!("needs {blank}")));
                }
                _ => self.add(path, &value, dimension, Kind::Plain),
            }
        }
    }

    /// How wide each two chambers stand open to each other, under both orders, and how much of the
    /// holes of each way is open to what it joins.
    fn openings(
        &self,
        pose: &BuiltPose,
        cell: &PoseCell<Dual>,
    ) -> impl Iterator<Item = (String, Dual)> {
        let name = |chamber: ChamberId| &self.engine.chambers[chamber].name.id;
        let path = |one, other| format!("{}.opening.{}", name(one), name(other));
        let drawn: Vec<ChamberId> = self.built.rooms.iter().copied().chain([OPEN_AIR]).collect();
        let mut found: BTreeMap<String, Dual> = BTreeMap::new();
        for one in &drawn {
            let others = drawn.iter().filter(|other| *other != one);
            found.extend(others.map(|other| (path(*one, *other), Dual::constant(0.0))));
        }
        let open = OpenChambers::of((self.built, self.engine), cell, &pose.positions);
        for (OpenJoint { chambers: (one, other), .. }, area) in open.joints {
            for path in [path(one, other), path(other, one)] {
                let is_wider = found.get(&path).is_none_or(|it| it.value() <= area.value());
                if is_wider {
                    found.insert(path, area.clone());
                }
            }
        }
        let ways = open.ways.into_iter();
        found.extend(
            ways.map(|(way, area)| (format!("{}.opening", self.engine.ways[way].name.id), area)),
        );
        found.into_iter()
    }

    /// The area of the holes of each way that has any: those in one tube lie beside each other, and
    /// of the two ends in two tubes the narrower counts.
    fn way_holes(&mut self) {
        let mut ends: BTreeMap<(WayId, usize), Dual> = BTreeMap::new();
        for (port, hole) in self.built.ports.iter().zip(&self.built.cut.assembly().ports) {
            let quarter = std::f64::consts::FRAC_PI_4 * f64::from(hole.count);
            let own = Dual::constant(quarter) * hole.diameter.clone() * hole.diameter.clone();
            let end = (port.way, self.built.tube_at(hole.at.value()));
            let known = ends.entry(end).or_insert(Dual::constant(0.0));
            *known = known.clone() + own;
        }
        let mut areas: BTreeMap<WayId, Dual> = BTreeMap::new();
        for ((way, _), area) in ends {
            let is_least = areas.get(&way).is_none_or(|known| area.value() < known.value());
            if is_least {
                areas.insert(way, area);
            }
        }
        for (way, area) in areas {
            let path = format!("{}.area", self.engine.ways[way].name.id);
            self.add(path, &area, Dimension::AREA, Kind::Plain);
        }
    }

    fn ring(&mut self, (at, ring): (usize, &BuiltRing)) {
        let name = &self.engine.seals[ring.seal].name.id;
        let floor = ring.floor.clone() + ring.floor.clone();
        let Some((section, inside)) = &ring.sizes else {
            let needs = format!("needs the size of `{name}`");
            for what in ["squeeze", "stretch"] {
                self.results.insert(format!("{name}.{what}"), Err(needs.clone()));
            }
            return;
        };
        let one = || Dual::constant(1.0);
        let side = self.built.cut.assembly().rings[at].side;
        match &ring.facing {
            Some(facing) => {
                let gap = match side {
                    RingSide::Outside => facing.clone() - ring.floor.clone(),
                    RingSide::Inside => ring.floor.clone() - facing.clone(),
                };
                let squeeze = one() - gap / section.clone();
                let path = format!("{name}.squeeze");
                self.add(path, &squeeze, Dimension::NONE, Kind::Ratio);
            }
            None => {
                let needs = "needs a position in which the ring is in its bore".to_owned();
                self.results.insert(format!("{name}.squeeze"), Err(needs));
            }
        }
        // A ring on a part is drawn over its groove; one in a bore is pressed into it.
        let stretch = match side {
            RingSide::Outside => floor / inside.clone() - one(),
            RingSide::Inside => {
                let outside = inside.clone() + section.clone() + section.clone();
                floor / outside - one()
            }
        };
        self.add(format!("{name}.stretch"), &stretch, Dimension::NONE, Kind::Ratio);
    }

    /// From the rearmost to the foremost position.
    fn travel(&mut self, part: PartId) {
        let own = &self.engine.parts[part];
        let path = format!("{}.travel", own.name.id);
        let Some(last) = own.positions.len().checked_sub(1) else { return };
        let end = |at: PositionId| self.built.places.get(&(part, at)).cloned();
        match (end(PositionId::REAR), end(PositionId::at(last))) {
            (Some(rear), Some(front)) => {
                self.add(path, &(front - rear), Dimension::LENGTH, Kind::Plain);
            }
            (rear, _) => {
                let at = if rear.is_none() { PositionId::REAR } else { PositionId::at(last) };
                let needs = format!("needs the place of `{}`", own.positions[at].id);
                self.results.insert(path, Err(needs));
            }
        }
    }

    fn add(&mut self, path: String, value: &Dual, dimension: Dimension, kind: Kind) {
        let result = figure(&self.built.inputs, value, (dimension, kind, None));
        self.results.insert(path, result);
    }
}

/// A number of the geometry as a figure that rests on its inputs; what it waits for where one of
/// those is not known.
pub(super) fn figure(
    inputs: &[SolidInput],
    value: &Dual,
    (dimension, kind, reference): (Dimension, Kind, Option<Reference>),
) -> SolidResult {
    let mut sensitivities: Vec<(InputId, f64)> = Vec::new();
    for (number, slope) in value.slopes().iter().filter(|(_, slope)| *slope != 0.0) {
        let input = usize::try_from(*number).ok().and_then(|at| inputs.get(at));
        match input {
            Some(SolidInput::Known(id)) => sensitivities.push((*id, *slope)),
            Some(SolidInput::Unknown(what)) => return Err(format!("needs {what}")),
            None => {}
        }
    }
    sensitivities.sort_by_key(|(id, _)| *id);
    // What cancels leaves rounding behind it.
    let is_nought = value.value().abs() < nought(dimension);
    let si = Real::near(if is_nought { 0.0 } else { value.value() });
    let quantity = Quantity { si, dimension, kind, reference };
    Ok(Value { sensitivities, ..Value::certain(quantity) })
}

/// Whether a result is above a limit, whatever is uncertain in it (k = 2).
pub(super) fn is_above(readings: Readings<'_>, result: &SolidResult, limit: f64) -> bool {
    let Readings { ledger, sheet } = readings;
    result.as_ref().is_ok_and(|value| {
        let expanded = 2.0 * standard_uncertainty(value, &ledger.scope(sheet));
        limit < value.quantity.si.to_f64() - expanded
    })
}

/// What is less than this, in SI units, is what adding up and taking away leaves of nothing: some
/// thousand times the last digit of sizes of 0.1 m, and a millionth of what anyone measures.
fn nought(dimension: Dimension) -> f64 {
    match dimension {
        Dimension::LENGTH => 1e-13,
        Dimension::AREA => 1e-14,
        Dimension::VOLUME => 1e-16,
        Dimension::FORCE => 1e-9,
        _ => 0.0,
    }
}

/// `.PART.POSITION`.
pub(super) fn suffix(engine: &Engine, (part, position): (PartId, PositionId)) -> String {
    let part = &engine.parts[part];
    format!(".{}.{}", part.name.id, part.positions[position].id)
}
