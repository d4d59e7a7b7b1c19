//! The sizes of an engine as plain numbers, for its section: each tube of the body by itself.

use super::build::{BuiltEngine, tube_of};
use super::sizes::SolidInput;
use crate::cutaway::Engine;
use crate::cutaway::model::{Axis, Element, PartId};
use crate::cutaway::sized::{SizedEngine, SizedRing};
use crate::cutaway::solids::{DrawnSolid, StepKind};
use crate::geometry::{Assembly, CrossHole, FIXED, Gate, RoomSpot, Scalar, SealRing, Solid};
use std::ops::Range;

/// The tubes of an engine, in the order of their axes.
pub(super) fn tubes(engine: &Engine, built: &BuiltEngine) -> Vec<SizedEngine> {
    let mut whole = plain(engine, built);
    if built.tubes.is_empty() {
        whole.has_barrel = is_with_barrel(engine, &whole);
        return vec![whole];
    }
    let count = whole.assembly.bodies[FIXED].pieces.len();
    let firsts = std::iter::once((0, 0.0)).chain(built.tubes.iter().map(|it| (it.first, it.shift)));
    let firsts: Vec<(usize, f64)> = firsts.collect();
    let mut found = Vec::new();
    for (number, (first, shift)) in firsts.iter().enumerate() {
        let next = firsts.get(number + 1);
        let end = next.map_or(f64::INFINITY, |(_, shift)| *shift);
        let own = number.checked_sub(1).and_then(|at| built.tubes.get(at));
        let is_here = |part: PartId| {
            tube_of(engine, &built.tubes, part).map(|it| &it.name) == own.map(|it| &it.name)
        };
        let tube = OneTube {
            steps: *first..next.map_or(count, |(first, _)| *first),
            along: *shift..end,
            bodies: whole.parts.iter().map(|part| is_here(*part)).collect(),
        };
        let mut sized = tube.of(&whole);
        let lies = |axis: &&Axis| {
            let mut things = axis.places.iter().flatten();
            match own {
                Some(own) => axis.name.id == own.name,
                None => things.any(|it| matches!(it, Element::Part(part) if is_here(*part))),
            }
        };
        let mut axes = engine.axes.iter().enumerate();
        let axis = axes.find(|(_, axis)| lies(axis));
        sized.axis = axis.map(|(_, axis)| axis.name.spoken());
        sized.has_barrel = is_with_barrel(engine, &sized);
        found.push((axis.map_or(0, |(at, _)| at), sized));
    }
    found.sort_by_key(|(at, _)| *at);
    found.into_iter().map(|(_, sized)| sized).collect()
}

/// Whether the barrel is a bore of this tube: where its room lies there, or where that lies nowhere
/// and the barrel is not said to lie on an axis where nothing is that has sizes.
fn is_with_barrel(engine: &Engine, sized: &SizedEngine) -> bool {
    let Some((id, barrel)) = engine.ways.entries().find(|(_, way)| way.barrel) else {
        return false;
    };
    let things = |axis: &Axis| -> Vec<Element> { axis.places.iter().flatten().copied().collect() };
    let own = engine.axes.iter().map(things).find(|all| all.contains(&Element::Way(id)));
    let is_sized = |it: &Element| match it {
        Element::Part(part) => sized.parts.contains(part),
        Element::Chamber(room) => sized.rooms.contains(room),
        _ => false,
    };
    match sized.rooms.contains(&barrel.from) {
        true => true,
        false if engine.drawn.rooms.contains_key(&barrel.from) => false,
        false => own.is_none_or(|all| all.iter().any(is_sized)),
    }
}

/// What belongs to one tube.
struct OneTube {
    /// Its steps among those of the body.
    steps: Range<usize>,
    /// From where to where it is put, m.
    along: Range<f64>,
    /// By moving body whether it moves in it.
    bodies: Vec<bool>,
}

impl OneTube {
    /// The pieces of its bodies that are made by themselves.
    fn made(&self, whole: &SizedEngine) -> Vec<Vec<Range<usize>>> {
        let (start, end) = (self.steps.start, self.steps.end);
        let own = |piece: &Range<usize>| {
            let own = piece.start.max(start)..piece.end.min(end);
            (own.start < own.end).then(|| own.start - start..own.end - start)
        };
        let made = whole.made.iter().enumerate().filter_map(|(body, pieces)| match body {
            FIXED => Some(pieces.iter().filter_map(own).collect()),
            body => self.bodies[body - 1].then(|| pieces.clone()),
        });
        made.collect()
    }

    /// Its part of an engine, where it really is.
    fn of(&self, whole: &SizedEngine) -> SizedEngine {
        let all = &whole.assembly;
        let shift = self.along.start;
        let number = |body: usize| match body {
            FIXED => FIXED,
            body => self.bodies[..body].iter().filter(|is_here| **is_here).count(),
        };
        // Where a thing that a body carries is, if that is here.
        let placed = |body: usize, at: f64| match body {
            FIXED => self.along.contains(&at).then_some(at - shift),
            body => self.bodies[body - 1].then_some(at),
        };
        let moved = |at: &f64| at - shift;
        let mut fixed = all.bodies[FIXED].pieces[self.steps.clone()].to_vec();
        for piece in &mut fixed {
            (piece.from, piece.to) = (moved(&piece.from), moved(&piece.to));
        }
        let mut bodies = vec![Solid { pieces: fixed, travel: (0.0, 0.0) }];
        let own = all.bodies.iter().skip(1).zip(&self.bodies).filter(|(_, is_here)| **is_here);
        bodies.extend(own.map(|(body, _)| Solid {
            pieces: body.pieces.clone(),
            travel: (moved(&body.travel.0), moved(&body.travel.1)),
        }));
        let rings = all.rings.iter().zip(&whole.rings).filter_map(|(ring, own)| {
            let at = placed(ring.body, ring.at)?;
            let by = at - ring.at;
            let groove = (own.groove.0 + by, own.groove.1 + by);
            let ring = SealRing { body: number(ring.body), at, ..ring.clone() };
            Some((ring, SizedRing { groove, ..own.clone() }))
        });
        let (rings, sized): (Vec<_>, Vec<_>) = rings.unzip();
        let gates = all.gates.iter().filter_map(|gate| {
            let at = placed(gate.body, gate.at)?;
            Some(Gate { body: number(gate.body), at, ..gate.clone() })
        });
        let drilled = |hole: &CrossHole<f64>| {
            let at = placed(hole.body, hole.at)?;
            Some(CrossHole { body: number(hole.body), at, ..hole.clone() })
        };
        let is_here = |at: &f64| self.along.contains(at);
        let ports = whole.ports.iter().zip(&all.ports).filter(|(_, hole)| is_here(&hole.at));
        let rooms = whole.rooms.iter().zip(&all.rooms).filter_map(|(chamber, spot)| {
            let at = placed(spot.body, spot.at)?;
            Some((*chamber, RoomSpot { body: number(spot.body), at, ..spot.clone() }))
        });
        let (chambers, rooms): (Vec<_>, Vec<_>) = rooms.unzip();
        let parts = whole.parts.iter().zip(&self.bodies).filter(|(_, is_here)| **is_here);
        let parts: Vec<PartId> = parts.map(|(part, _)| *part).collect();
        let places = whole.places.iter().filter(|((part, _), _)| parts.contains(part));
        SizedEngine {
            made: self.made(whole),
            assembly: Assembly {
                bodies,
                rings,
                gates: gates.collect(),
                holes: all.holes.iter().filter_map(drilled).collect(),
                ports: all.ports.iter().filter_map(drilled).collect(),
                rooms,
            },
            places: places.map(|(key, at)| (*key, moved(at))).collect(),
            parts,
            rooms: chambers,
            rings: sized,
            ports: ports.map(|(way, _)| *way).collect(),
            ..whole.clone()
        }
    }
}

fn plain(engine: &Engine, built: &BuiltEngine) -> SizedEngine {
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
    let mut guessed: Vec<String> = Vec::new();
    for input in &built.inputs {
        if let SolidInput::Unknown(what) = input
            && !guessed.contains(what)
        {
            guessed.push(what.clone());
        }
    }
    let moving = built.parts.iter().map(|part| engine.drawn.parts.get(part));
    let solids = std::iter::once(engine.drawn.body.as_ref()).chain(moving);
    SizedEngine {
        made: solids.map(|solid| solid.map(DrawnSolid::made).unwrap_or_default()).collect(),
        rings: rings.collect(),
        ports: built.ports.iter().map(|port| port.way).collect(),
        parts: built.parts.clone(),
        rooms: built.rooms.clone(),
        places: built.places.iter().map(|(key, at)| (*key, at.value())).collect(),
        guessed,
        axis: None,
        has_barrel: true,
        assembly,
    }
}
