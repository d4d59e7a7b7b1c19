//! The bodies of an engine at the scale of the picture: with their grooves, the barrel shortened,
//! the outside of the body where none is stated drawn at a usual wall.

use super::plane::{Trapezoid, pressed_round, without};
use super::voids::HoleMouth;
use crate::cutaway::sized::{SizedEngine, UNKNOWN_OUTSIDE};
use crate::geometry::{FIXED, Frustum, PoseCell, RingSide};
use std::ops::Range;

/// Length of a picture, and the largest half of its height.
const LONG: f64 = 640.0;
const HIGH: f64 = 110.0;
/// Thinnest wall of a body whose outside is not stated, m, and its share of the bore.
const WALL: f64 = 3e-3;
const WALL_SHARE: f64 = 0.35;
/// What is left of a barrel behind its break and in front of it, in bores.
const KEPT: f64 = 0.45;
const MUZZLE: f64 = 0.5;
/// Width of a break in the picture.
const BREAK: f64 = 5.0;

/// A body in the picture, by the pieces that are made by themselves.
#[derive(Debug, Clone, Default)]
pub(super) struct BodyFigure {
    pub(super) pieces: Vec<Vec<Trapezoid>>,
}

impl BodyFigure {
    /// Takes an upright rectangle out of it.
    pub(super) fn cut(&mut self, hole: &Trapezoid) {
        for piece in &mut self.pieces {
            *piece = without(piece, hole);
        }
    }
}

/// How lengths in metres become those of the picture. The rear end of the body is at 0, the axis
/// too.
#[derive(Debug, Clone)]
pub(super) struct ScaledBodies {
    /// Units of the picture for a metre.
    pub(super) scale: f64,
    /// Half the height of the body in the picture.
    pub(super) radius: f64,
    /// Where it ends.
    pub(super) front: f64,
    /// Whether its outside is drawn at a usual wall.
    pub(super) is_outside_guessed: bool,
    /// From where to where the barrel is left out in the picture.
    pub(super) gap: Option<(f64, f64)>,
    /// Radius of the barrel's bore in the picture, and where it begins.
    pub(super) barrel: Option<(f64, f64)>,
    /// What is solid of each body where it stands at nought.
    pub(super) bodies: Vec<BodyFigure>,
}

impl ScaledBodies {
    /// The largest scale at which an engine has room in a picture.
    pub(super) fn largest_scale(sized: &SizedEngine) -> f64 {
        let (_, end) = Self::kept(sized);
        (LONG / end.max(1e-6)).min(HIGH / Self::outside(sized).0.max(1e-6))
    }

    /// The radius of the body, m, and whether it is that of a usual wall.
    fn outside(sized: &SizedEngine) -> (f64, bool) {
        let fixed = &sized.assembly.bodies[FIXED].pieces;
        let known = fixed.iter().filter_map(known_outside).fold(0.0, f64::max);
        let bores = fixed.iter().filter_map(|piece| piece.inner);
        let widest = bores.map(|(a, b)| a.max(b)).fold(0.0, f64::max);
        let usual = known.max(widest + WALL.max(WALL_SHARE * widest));
        let is_guessed = fixed.iter().any(|piece| known_outside(piece).is_none());
        (if is_guessed { usual } else { known }, is_guessed)
    }

    pub(super) fn of(sized: &SizedEngine, scale: f64) -> ScaledBodies {
        let fixed = &sized.assembly.bodies[FIXED].pieces;
        let (radius, is_outside_guessed) = Self::outside(sized);
        let (kept, end) = Self::kept(sized);
        let mut scaled = ScaledBodies {
            scale,
            radius: radius * scale,
            front: end * scale,
            is_outside_guessed,
            gap: None,
            barrel: None,
            bodies: Vec::new(),
        };
        let is_shortened = kept.is_some();
        let last = foremost(fixed);
        let barrel = last.map(|at| &fixed[at]);
        let barrel = barrel.filter(|piece| sized.has_barrel && piece.inner.is_some());
        scaled.barrel = barrel.map(|it| (it.inner.map_or(0.0, |r| r.0) * scale, it.from * scale));
        let mut body = Vec::new();
        for (at, piece) in fixed.iter().enumerate() {
            let mut piece = piece.clone();
            if known_outside(&piece).is_none() {
                piece.outer = (radius, radius);
            }
            if Some(at) == last && is_shortened {
                piece.to = end;
            }
            body.push(scaled.halves(&grooved(sized, FIXED, &piece)));
        }
        let mut body = made(sized, FIXED, body);
        if let Some(kept) = kept {
            let gap = (kept * scale, kept * scale + BREAK);
            body.cut(&Trapezoid::upright(gap, (-2.0 * HIGH, 2.0 * HIGH)));
            scaled.gap = Some(gap);
        }
        scaled.bodies.push(body);
        for (number, solid) in sized.assembly.bodies.iter().enumerate().skip(1) {
            let steps = solid.pieces.iter();
            let steps = steps.map(|it| scaled.halves(&grooved(sized, number, it)));
            scaled.bodies.push(made(sized, number, steps.collect()));
        }
        scaled.drill(sized);
        scaled
    }

    /// Where a long barrel breaks off, and where the body ends in the picture, m.
    fn kept(sized: &SizedEngine) -> (Option<f64>, f64) {
        let bodies = &sized.assembly.bodies;
        let fixed = &bodies[FIXED].pieces;
        let Some(barrel) = foremost(fixed).map(|at| &fixed[at]) else { return (None, 0.0) };
        let reach = bodies
            .iter()
            .skip(1)
            .map(|solid| solid.travel.1 + solid.pieces.last().map_or(0.0, |piece| piece.to));
        let reach = reach.fold(barrel.from, f64::max);
        let Some((bore, _)) = barrel.inner.filter(|_| sized.has_barrel) else {
            return (None, barrel.to.max(reach));
        };
        let kept = reach + 2.0 * bore * (1.0 + KEPT);
        let end = kept + 2.0 * bore * MUZZLE;
        if end < barrel.to { (Some(kept), end) } else { (None, barrel.to.max(reach)) }
    }

    /// A piece above and below the axis.
    fn halves(&self, piece: &Frustum<f64>) -> Vec<Trapezoid> {
        let scaled = |pair: (f64, f64)| (pair.0 * self.scale, pair.1 * self.scale);
        let (left, right) = scaled((piece.from, piece.to));
        let outer = scaled(piece.outer);
        match piece.inner.map(scaled) {
            Some(inner) => {
                let below = Trapezoid { left, right, top: inner, bottom: outer };
                vec![below.mirrored(), below]
            }
            None => vec![Trapezoid { left, right, top: (-outer.0, -outer.1), bottom: outer }],
        }
    }

    /// Takes the holes across out of the walls above the axis.
    fn drill(&mut self, sized: &SizedEngine) {
        for hole in &sized.assembly.holes {
            let half = 0.5 * hole.diameter * self.scale;
            let middle = hole.at * self.scale;
            let Some(body) = self.bodies.get_mut(hole.body) else { continue };
            body.cut(&Trapezoid::upright(
                (middle - half, middle + half),
                (-4.0 * HIGH, -NEAR_AXIS),
            ));
        }
    }

    /// Each hole across in the picture: its middle, half its width, and the radii of what it goes
    /// through, inside and outside.
    fn drilled(&self, sized: &SizedEngine, positions: &[f64]) -> Vec<(f64, f64, (f64, f64))> {
        let holes = sized.assembly.holes.iter().filter_map(|hole| {
            let pieces = sized.assembly.bodies.get(hole.body)?.pieces.iter();
            let here = pieces.filter(|piece| piece.from <= hole.at && hole.at < piece.to);
            let outermost = here.max_by(|a, b| a.outer.0.total_cmp(&b.outer.0))?;
            let share = (hole.at - outermost.from) / (outermost.to - outermost.from);
            let at = |radii: (f64, f64)| (radii.0 + share * (radii.1 - radii.0)) * self.scale;
            let outer = match known_outside(outermost) {
                Some(_) => at(outermost.outer),
                None => self.radius,
            };
            let moved = positions.get(hole.body).copied().unwrap_or(0.0);
            let middle = (hole.at + moved) * self.scale;
            Some((
                middle,
                0.5 * hole.diameter * self.scale,
                (outermost.inner.map_or(0.0, at), outer),
            ))
        });
        holes.collect()
    }

    /// Where holes across open into the bores of their bodies.
    pub(super) fn mouths(&self, sized: &SizedEngine, positions: &[f64]) -> Vec<HoleMouth> {
        let drilled = self.drilled(sized, positions).into_iter();
        let mouths = drilled.map(|(middle, half, (inner, _))| HoleMouth {
            left: middle - half,
            right: middle + half,
            y: -inner.max(NEAR_AXIS),
        });
        mouths.collect()
    }

    /// The edges of holes across behind the plane of the section: where a cylinder meets the bore
    /// and the outside around it.
    pub(super) fn far_edges(&self, sized: &SizedEngine, positions: &[f64]) -> Vec<Vec<(f64, f64)>> {
        const PLACES: i32 = 8;
        let mut lines = Vec::new();
        for (middle, half, (inner, outer)) in self.drilled(sized, positions) {
            // Of a hole as wide as what it goes through nothing is seen behind it.
            let radii = [inner, outer].into_iter().filter(|it| half < 0.98 * it);
            lines.extend(radii.filter(|it| *it < self.radius - 0.01).map(|radius| {
                let places =
                    (-PLACES..=PLACES).map(|nth| half * f64::from(nth) / f64::from(PLACES));
                let height = |x: f64| -(radius * radius - half * half + x * x).max(0.0).sqrt();
                places.map(|x| (middle + x, height(x))).collect()
            }));
        }
        lines
    }

    /// What is solid of a body in a pose.
    pub(super) fn body(&self, number: usize, positions: &[f64]) -> Vec<Trapezoid> {
        let moved = positions.get(number).copied().unwrap_or(0.0) * self.scale;
        self.bodies[number].pieces.iter().flatten().map(|piece| piece.moved(moved)).collect()
    }

    /// The section of a ring in a pose below the axis, and its middle.
    pub(super) fn ring(
        &self,
        sized: &SizedEngine,
        number: usize,
        (cell, positions): (&PoseCell<f64>, &[f64]),
    ) -> (Vec<Trapezoid>, (f64, f64)) {
        let (ring, own) = (&sized.assembly.rings[number], &sized.rings[number]);
        let facing = cell.sealed_at(number).copied();
        let away = facing.map_or(own.section, |facing| (facing - own.floor).abs().min(own.section));
        let middle = match ring.side {
            RingSide::Outside => own.floor + away / 2.0,
            RingSide::Inside => own.floor - away / 2.0,
        };
        let position = positions.get(ring.body).copied().unwrap_or(0.0);
        let spot = ((ring.at + position) * self.scale, middle * self.scale);
        (pressed_round(spot, own.section * self.scale, away * self.scale), spot)
    }
}

/// The figures of steps, put together where they are made in one piece.
fn made(sized: &SizedEngine, body: usize, steps: Vec<Vec<Trapezoid>>) -> BodyFigure {
    let all = 0..steps.len();
    let said = sized.made.get(body).filter(|said| said.last().is_some_and(|it| it.end == all.end));
    let together = |range: &Range<usize>| steps[range.clone()].iter().flatten().copied().collect();
    let pieces =
        said.map_or_else(|| vec![together(&all)], |said| said.iter().map(together).collect());
    BodyFigure { pieces }
}

/// The outside radius of a piece of the body, where it is known.
fn known_outside(piece: &Frustum<f64>) -> Option<f64> {
    let outer = piece.outer.0.max(piece.outer.1);
    (outer < UNKNOWN_OUTSIDE).then_some(outer)
}

/// Which piece of the body ends farthest in front: behind the own ones stand those of its inserts.
fn foremost(pieces: &[Frustum<f64>]) -> Option<usize> {
    (0..pieces.len()).max_by(|a, b| pieces[*a].to.total_cmp(&pieces[*b].to))
}

/// How near to the axis a hole across reaches.
const NEAR_AXIS: f64 = 0.5;

/// A piece with the groove that it counts as full.
fn grooved(sized: &SizedEngine, body: usize, piece: &Frustum<f64>) -> Frustum<f64> {
    let mut piece = piece.clone();
    for (ring, own) in sized.assembly.rings.iter().zip(&sized.rings) {
        let is_here = ring.body == body && (own.groove.0 - piece.from).abs() < 1e-9;
        if is_here && (own.groove.1 - piece.to).abs() < 1e-9 {
            match ring.side {
                RingSide::Outside => piece.outer = (own.floor, own.floor),
                RingSide::Inside => piece.inner = Some((own.floor, own.floor)),
            }
        }
    }
    piece
}
