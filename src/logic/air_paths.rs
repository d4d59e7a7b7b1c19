//! Ways that air takes between the chambers of one group, through what is wide open.

use super::air::Joint;
use crate::cutaway::model::{ChamberId, Element, Engine, Width};
use std::collections::{BTreeMap, BTreeSet};

/// What each chamber is joined to by wide ways, and through what.
pub(super) struct Paths(BTreeMap<ChamberId, Vec<(ChamberId, Element)>>);

impl Paths {
    /// Those that lead to chambers of a group.
    pub(super) fn among(joints: &[Joint], is_inside: impl Fn(ChamberId) -> bool) -> Paths {
        let mut paths: BTreeMap<ChamberId, Vec<(ChamberId, Element)>> = BTreeMap::new();
        for joint in joints.iter().filter(|joint| joint.width == Width::Wide) {
            for (here, there) in [(joint.from, joint.to), (joint.to, joint.from)] {
                if here != there && is_inside(there) {
                    paths.entry(here).or_default().push((there, joint.passage));
                }
            }
        }
        Paths(paths)
    }

    /// The shortest way to each chamber from these.
    pub(super) fn from(&self, mut reached: Vec<ChamberId>) -> CameBy {
        let mut seen: BTreeSet<ChamberId> = reached.iter().copied().collect();
        let mut came_by = BTreeMap::new();
        let mut next = 0;
        while let Some(here) = reached.get(next).copied() {
            next += 1;
            for (there, passage) in self.0.get(&here).into_iter().flatten() {
                if seen.insert(*there) {
                    reached.push(*there);
                    came_by.insert(*there, (here, *passage));
                }
            }
        }
        CameBy(came_by)
    }

    /// These chambers and the finite ones that they are joined to, supplies left out.
    pub(super) fn spread(&self, engine: &Engine, mut chambers: Vec<ChamberId>) -> Vec<ChamberId> {
        let mut seen: BTreeSet<ChamberId> = chambers.iter().copied().collect();
        let mut next = 0;
        while let Some(here) = chambers.get(next).copied() {
            next += 1;
            for (there, _) in self.0.get(&here).into_iter().flatten() {
                if engine.chambers[*there].is_finite() && seen.insert(*there) {
                    chambers.push(*there);
                }
            }
        }
        chambers
    }
}

/// From where, and through what, air comes to each chamber.
pub(super) struct CameBy(BTreeMap<ChamberId, (ChamberId, Element)>);

impl CameBy {
    /// The passages on the way to these chambers.
    pub(super) fn passed(&self, chambers: &[ChamberId]) -> Vec<Element> {
        let mut passed = Vec::new();
        for chamber in chambers {
            let mut here = *chamber;
            while let Some((before, passage)) = self.0.get(&here) {
                passed.push(*passage);
                here = *before;
            }
        }
        passed
    }
}
