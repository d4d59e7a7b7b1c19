//! The sizes of an engine as plain numbers, for its section.

use super::build::BuiltEngine;
use super::sizes::SolidInput;
use crate::cutaway::Engine;
use crate::cutaway::sized::{SizedEngine, SizedRing};
use crate::cutaway::solids::StepKind;
use crate::geometry::{FIXED, Scalar};

pub(super) fn plain(engine: &Engine, built: &BuiltEngine) -> SizedEngine {
    let assembly = built.cut.assembly().plain();
    let rings = built.rings.iter().zip(&assembly.rings).map(|(ring, sized)| {
        let solid = match sized.body {
            FIXED => engine.drawn.body.as_ref(),
            body => engine.drawn.parts.get(&built.parts[body - 1]),
        };
        let is_own = |kind: &StepKind| {
            matches!(kind, StepKind::Groove { seal: Some(seal), .. } if *seal == ring.seal)
        };
        let step = solid.and_then(|it| it.steps.iter().position(|step| is_own(&step.kind)));
        let piece = step.and_then(|at| assembly.bodies[sized.body].pieces.get(at));
        let around = (sized.at - sized.half_section, sized.at + sized.half_section);
        SizedRing {
            seal: ring.seal,
            floor: ring.floor.value(),
            section: 2.0 * sized.half_section,
            groove: piece.map_or(around, |piece| (piece.from, piece.to)),
        }
    });
    let guessed = built.inputs.iter().filter_map(|input| match input {
        SolidInput::Unknown(what) => Some(what.clone()),
        SolidInput::Known(_) => None,
    });
    SizedEngine {
        rings: rings.collect(),
        parts: built.parts.clone(),
        rooms: built.rooms.clone(),
        places: built.places.iter().map(|(key, at)| (*key, at.value())).collect(),
        guessed: guessed.collect(),
        assembly,
    }
}
