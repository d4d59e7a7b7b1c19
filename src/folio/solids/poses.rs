//! The poses in which an engine with sizes is looked at, and where its parts stop.

use super::blanks::blank_in;
use super::build::{APART, BuiltEngine};
use super::judge::holds;
use crate::cutaway::Engine;
use crate::cutaway::model::{Direction, PartId, PositionId, PushKind};
use crate::geometry::{CutAssembly, Dual, Scalar, TOUCH, Toward};

/// Parts at their positions.
#[derive(Debug)]
pub(super) struct BuiltPose {
    /// The part that stands elsewhere than at rest, or is said to stand at rest.
    pub(super) at: Option<(PartId, PositionId)>,
    pub(super) positions: Vec<Dual>,
}

impl BuiltEngine {
    /// Where a part stands at its ends where it is not said: as far as it goes.
    pub(super) fn find_stops(&mut self, engine: &Engine) {
        for (number, part) in self.parts.clone().into_iter().enumerate() {
            let Some(last) = engine.parts[part].positions.len().checked_sub(1) else { continue };
            let ends = [
                (PositionId::REAR, PositionId::at(last), Toward::Front),
                (PositionId::at(last), PositionId::REAR, Toward::Rear),
            ];
            for (from, to, toward) in ends {
                if self.places.contains_key(&(part, to)) {
                    continue;
                }
                let mut positions = self.standing();
                let Some(start) = self.places.get(&(part, from)).cloned() else { continue };
                positions[number + 1] = start.clone();
                let stop = self.cut.stop(number + 1, toward, &positions);
                let Some(stop) = stop.filter(|it| it.way.value() < APART) else { continue };
                let at = match toward {
                    Toward::Front => start.clone() + stop.way,
                    Toward::Rear => start.clone() - stop.way,
                };
                // From elsewhere it may come to another stop.
                let at = match blank_in(&self.inputs, &start) {
                    Some(_) => at + start.clone() - Dual::constant(start.value()),
                    None => at,
                };
                let mut assembly = self.cut.assembly().clone();
                let travel = &mut assembly.bodies[number + 1].travel;
                match toward {
                    Toward::Front => travel.1 = at.clone(),
                    Toward::Rear => travel.0 = at.clone(),
                }
                self.cut = CutAssembly::new(assembly);
                self.places.insert((part, to), at);
            }
        }
    }

    /// Every part where it is known to stand first.
    fn standing(&self) -> Vec<Dual> {
        let parts = self.parts.iter().map(|part| {
            let mut known = self.places.iter().filter(|((it, _), _)| it == part);
            known.next().map_or_else(|| Dual::constant(0.0), |(_, at)| at.clone())
        });
        std::iter::once(Dual::constant(0.0)).chain(parts).collect()
    }

    /// The engine at rest, then each part at each of its known positions; nothing where it is not
    /// known how a part stands at rest.
    pub(super) fn poses(&self, engine: &Engine) -> Vec<BuiltPose> {
        let mut rest = vec![Dual::constant(0.0)];
        for part in &self.parts {
            match self.places.get(&(*part, engine.parts[*part].rest)) {
                Some(at) => rest.push(at.clone()),
                None => return Vec::new(),
            }
        }
        let mut poses = vec![BuiltPose { at: None, positions: rest.clone() }];
        for (number, part) in self.parts.iter().enumerate() {
            for position in engine.parts[*part].positions.ids() {
                let Some(at) = self.places.get(&(*part, position)) else { continue };
                let mut positions = rest.clone();
                positions[number + 1] = at.clone();
                self.bring_along(engine, (*part, position), &mut positions);
                poses.push(BuiltPose { at: Some((*part, position)), positions });
            }
        }
        poses
    }

    /// Moves what a part takes along to a position: what is linked to it, and what these strike.
    fn bring_along(&self, engine: &Engine, first: (PartId, PositionId), positions: &mut [Dual]) {
        let mut moved = vec![first];
        let mut next = 0;
        while let Some(by) = moved.get(next).copied() {
            next += 1;
            for (number, other) in self.parts.iter().enumerate() {
                let is_moved = moved.iter().any(|(part, _)| part == other);
                let Some(to) = taken_to(engine, by, *other).filter(|_| !is_moved) else { continue };
                moved.push((*other, to));
                if let Some(at) = self.places.get(&(*other, to)) {
                    positions[number + 1] = at.clone();
                }
            }
        }
    }

    /// The number of the tube that a place lies in; nought is the first.
    pub(super) fn tube_at(&self, at: f64) -> usize {
        self.tubes.iter().filter(|tube| tube.shift < at).count()
    }

    /// How far in front of the rear end of its tube a place lies, m.
    pub(super) fn rear_distance(&self, at: f64) -> f64 {
        let rears = self.tubes.iter().map(|tube| tube.rear.value());
        at - rears.filter(|rear| *rear <= at + TOUCH).fold(0.0, f64::max)
    }
}

/// Where a part at a position takes another one: `None` if it leaves it alone.
fn taken_to(
    engine: &Engine,
    (part, position): (PartId, PositionId),
    other: PartId,
) -> Option<PositionId> {
    if engine.links.iter().any(|link| [(part, other), (other, part)].contains(link)) {
        return Some(position);
    }
    let own = &engine.parts[other];
    let struck = own.pushes.iter().find(|push| {
        push.kind == PushKind::Contact(part)
            && !push.when.is_empty()
            && holds(&push.when, Some((part, position))) == Some(true)
    })?;
    Some(match struck.direction {
        Direction::Forward => PositionId::at(own.positions.len().checked_sub(1)?),
        Direction::Back => PositionId::REAR,
    })
}
