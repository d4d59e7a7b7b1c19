//! How wide rooms stand open to each other while a part goes from its rear end to its front end,
//! the others standing at rest; and where along the way they open and close.

use super::build::BuiltEngine;
use super::openings::{OpenChambers, OpenJoint};
use super::results::{SolidResult, figure};
use crate::cutaway::Engine;
use crate::cutaway::model::{ChamberId, PartId, PositionId};
use crate::geometry::{CutAssembly, Dual, PoseFinding, Scalar};
use crate::quantity::{Dimension, Kind};
use std::collections::{BTreeMap, BTreeSet};

/// Even steps of a stroke at which it is looked at.
const STEPS: u32 = 40;

/// Less than this, in m², is shut.
const SHUT: f64 = 1e-12;

/// Halvings to find where something opens: a stroke of 100 mm to less than 0.1 µm.
const HALVINGS: usize = 20;

/// How far beyond the place where something opens its slope is taken, m.
const BEYOND: f64 = 2e-6;

/// How far beyond the ends of a stroke it is looked at: in steps of this, m, so many of them.
const BEYOND_STEP: f64 = 5e-4;
const BEYOND_STEPS: usize = 6;

/// What the place waits for at which something opens all at once.
const ALL_AT_ONCE: &str = "needs an opening by degrees, and these open all at once";

/// Stands for the position of the part among the inputs.
const POSITION: u32 = u32::MAX;

/// The stroke of one part.
#[derive(Debug, Clone)]
pub(crate) struct PartStroke {
    pub(crate) part: PartId,
    /// From its rear end to its front end, m.
    pub(crate) length: f64,
    /// Its positions, each with how far in front of the rear end it lies, m.
    pub(crate) positions: Vec<(PositionId, f64)>,
    pub(crate) openings: Vec<StrokeOpening>,
    /// What would open or close only beyond its ends.
    pub(super) beyond: Vec<StrokeOpening>,
}

/// How wide two rooms stand open to each other along a stroke.
#[derive(Debug, Clone)]
pub(crate) struct StrokeOpening {
    pub(crate) joint: OpenJoint,
    /// How far the part is in front of its rear end, m, and the area there, m²; in order.
    pub(crate) points: Vec<(f64, f64)>,
    pub(crate) turns: Vec<StrokeTurn>,
}

/// Where along a stroke two rooms open or close.
#[derive(Debug, Clone)]
pub(crate) struct StrokeTurn {
    /// How far in front of the rear end, m.
    pub(crate) at: f64,
    /// Whether they are open in front of it; else behind.
    pub(crate) opens_forward: bool,
    /// How far the part moves from rest until then; `None` where it opens all at once, so that no
    /// slope tells what it rests on.
    pub(crate) from_rest: Option<SolidResult>,
    /// The same as a place of the part.
    pub(super) place: Option<Dual>,
}

/// The strokes of all parts whose ends are known; none where a size that shapes the drawing is not.
pub(super) fn strokes(built: &BuiltEngine, engine: &Engine) -> Vec<PartStroke> {
    if !built.blanks.is_empty() {
        return Vec::new();
    }
    let rest = built.poses(engine).into_iter().next().map(|pose| pose.positions);
    let Some(rest) = rest else { return Vec::new() };
    let looker = StrokeLooker {
        built,
        engine,
        plain: CutAssembly::new(built.cut.assembly().plain()),
        rest: rest.iter().map(Scalar::value).collect(),
        dual_rest: rest,
    };
    let parts = built.parts.iter().enumerate();
    parts.filter_map(|(number, part)| looker.stroke((number + 1, *part))).collect()
}

struct StrokeLooker<'a> {
    built: &'a BuiltEngine,
    engine: &'a Engine,
    plain: CutAssembly<f64>,
    rest: Vec<f64>,
    dual_rest: Vec<Dual>,
}

/// By what joins two chambers the area between them.
type OpenAreas = BTreeMap<OpenJoint, f64>;

impl StrokeLooker<'_> {
    fn stroke(&self, (body, part): (usize, PartId)) -> Option<PartStroke> {
        let own = &self.engine.parts[part];
        let place = |at: PositionId| self.built.places.get(&(part, at)).map(Scalar::value);
        let rear = place(PositionId::REAR)?;
        let front = place(PositionId::at(own.positions.len().checked_sub(1)?))?;
        let length = front - rear;
        if length <= 0.0 {
            return None;
        }
        let positions: Vec<(PositionId, f64)> =
            own.positions.ids().filter_map(|at| Some((at, place(at)? - rear))).collect();
        let is_within = |at: f64| (0.0..=length).contains(&at);
        let even = (0..=STEPS).map(|at| length * f64::from(at) / f64::from(STEPS));
        let mut travels: Vec<f64> = even.chain(positions.iter().map(|(_, at)| *at)).collect();
        travels.extend(self.at_holes(body).map(|at| at - rear).filter(|at| is_within(*at)));
        travels.extend(self.beyond((body, rear), [0.0, length]));
        travels.sort_by(f64::total_cmp);
        travels.dedup();
        let looked: Vec<(f64, OpenAreas)> =
            travels.into_iter().map(|at| (at, self.areas(body, rear + at))).collect();
        let joints: BTreeSet<OpenJoint> =
            looked.iter().flat_map(|(_, areas)| areas.keys().copied()).collect();
        let (mut openings, mut beyond) = (Vec::new(), Vec::new());
        for joint in joints {
            let area = |areas: &OpenAreas| areas.get(&joint).copied().unwrap_or(0.0);
            let points: Vec<(f64, f64)> = looked.iter().map(|(at, it)| (*at, area(it))).collect();
            let turns = points.windows(2).filter_map(|two| self.turn((body, rear), joint, two));
            let turns: Vec<StrokeTurn> = turns.collect();
            let mut all: Vec<(f64, f64)> =
                points.into_iter().filter(|(at, _)| is_within(*at)).collect();
            let Some((_, first)) = all.first().copied() else { continue };
            let changes = all.iter().any(|(_, area)| SHUT < (area - first).abs());
            all.extend(turns.iter().filter(|it| is_within(it.at)).map(|turn| (turn.at, 0.0)));
            all.sort_by(|a, b| a.0.total_cmp(&b.0));
            let is_inside = |turn: &StrokeTurn| is_within(turn.at);
            if changes {
                let turns = turns.into_iter().filter(is_inside).collect();
                openings.push(StrokeOpening { joint, points: all, turns });
            } else if !turns.is_empty() {
                beyond.push(StrokeOpening { joint, points: all, turns });
            }
        }
        Some(PartStroke { part, length, positions, openings, beyond })
    }

    /// Places beyond the ends of a stroke, as far as the part could go there.
    fn beyond(&self, (body, rear): (usize, f64), ends: [f64; 2]) -> Vec<f64> {
        let mut found = Vec::new();
        for (end, step) in ends.into_iter().zip([-BEYOND_STEP, BEYOND_STEP]) {
            let mut at = end;
            for _ in 0..BEYOND_STEPS {
                at += step;
                let mut positions = self.rest.clone();
                positions[body] = rear + at;
                let cell = self.plain.cell_at(&positions);
                let collides = |it: &PoseFinding| matches!(it, PoseFinding::Collision(_));
                if cell.findings.iter().any(collides) {
                    break;
                }
                found.push(at);
            }
        }
        found
    }

    /// Where a body stands when a ring, or another edge, comes to the rim or the middle of a hole
    /// that it passes.
    fn at_holes(&self, body: usize) -> impl Iterator<Item = f64> {
        let assembly = self.plain.assembly();
        let edges = assembly.bodies.iter().enumerate().flat_map(|(of, it)| {
            it.pieces.iter().flat_map(move |piece| [(of, piece.from), (of, piece.to)])
        });
        let rings = assembly.rings.iter().map(|ring| (ring.body, ring.at));
        let edges: Vec<(usize, f64)> = edges.chain(rings).collect();
        let holes = assembly.holes.iter().chain(&assembly.ports);
        holes.flat_map(move |hole| {
            let passed = edges.clone().into_iter().filter(move |(of, _)| *of != hole.body);
            let (rear, front) = hole.ends();
            passed.flat_map(move |(of, edge)| {
                [rear, hole.at, front].into_iter().filter_map(move |at| match body {
                    _ if body == hole.body => Some(edge + self.rest[of] - at),
                    _ if body == of => Some(at + self.rest[hole.body] - edge),
                    _ => None,
                })
            })
        })
    }

    fn areas(&self, body: usize, at: f64) -> OpenAreas {
        let mut positions = self.rest.clone();
        positions[body] = at;
        let cell = self.plain.cell_at(&positions);
        OpenChambers::of((self.built, self.engine), &cell, &positions).joints
    }

    /// Where between two places the rooms open or close.
    fn turn(
        &self,
        (body, rear): (usize, f64),
        joint: OpenJoint,
        two: &[(f64, f64)],
    ) -> Option<StrokeTurn> {
        let ((behind, one), (before, other)) = (*two.first()?, *two.get(1)?);
        if (SHUT < one) == (SHUT < other) {
            return None;
        }
        let opens_forward = SHUT < other;
        let (mut shut, mut open) = if opens_forward { (behind, before) } else { (before, behind) };
        for _ in 0..HALVINGS {
            let middle = 0.5 * (shut + open);
            let area = self.areas(body, rear + middle).get(&joint).copied().unwrap_or(0.0);
            if SHUT < area {
                open = middle;
            } else {
                shut = middle;
            }
        }
        let toward = if opens_forward { BEYOND } else { -BEYOND };
        let place = self.place((body, rear + shut), rear + open + toward, joint);
        let from_rest = place.as_ref().map(|place| {
            let way = place.clone() - self.dual_rest[body].clone();
            let way = match way.value() {
                // What opens as soon as it moves does so whatever the sizes are.
                way if way.abs() < BEYOND => Dual::constant(0.0),
                value if value < 0.0 => -way,
                _ => way,
            };
            figure(&self.built.inputs, &way, (Dimension::LENGTH, Kind::Plain, None))
        });
        Some(StrokeTurn { at: shut, opens_forward, from_rest, place })
    }

    /// A place where rooms open, with the slopes that the opening area just
    /// beyond has: where it stays nought, dq/dx = −(∂A/∂x)/(∂A/∂q).
    fn place(&self, (body, at): (usize, f64), beyond: f64, joint: OpenJoint) -> Option<Dual> {
        let mut positions = self.dual_rest.clone();
        positions[body] = Dual::input(beyond, POSITION);
        let cell = self.built.cut.cell_at(&positions);
        let mut open = OpenChambers::of((self.built, self.engine), &cell, &positions);
        let area = open.joints.remove(&joint)?;
        let by_place = area.slope(POSITION);
        // A jump: 1 mm² in 1 µm is more than any round edge opens.
        let is_gradual = f64::EPSILON < by_place.abs() && area.value() < 1e-6;
        if !is_gradual {
            return None;
        }
        let slopes = area.slopes().iter().filter(|(input, _)| *input != POSITION);
        let slopes = slopes.map(|(input, slope)| (*input, -slope / by_place)).collect();
        Some(Dual::with_slopes(at, slopes))
    }
}

/// Where rooms open or close as a part moves away from rest, as results that formulas name: each
/// under both orders of the two rooms, the place nearest to rest.
pub(super) fn results(
    strokes: &[PartStroke],
    engine: &Engine,
    results: &mut BTreeMap<String, SolidResult>,
) {
    for stroke in strokes {
        let own = &engine.parts[stroke.part];
        let rest = stroke.positions.iter().find(|(at, _)| *at == own.rest);
        let Some((_, rest)) = rest else { continue };
        for opening in &stroke.openings {
            let mut turns: Vec<&StrokeTurn> = opening.turns.iter().collect();
            turns.sort_by(|a, b| (a.at - rest).abs().total_cmp(&(b.at - rest).abs()));
            for turn in turns {
                let opens = turn.opens_forward == (*rest <= turn.at);
                let word = if opens { "opens" } else { "closes" };
                let way = turn.from_rest.clone().unwrap_or_else(|| Err(ALL_AT_ONCE.to_owned()));
                let (a, b) = opening.joint.chambers;
                let name = |at: ChamberId| &engine.chambers[at].name.id;
                for (one, other) in [(a, b), (b, a)] {
                    let path = format!("{}.{word}.{}.{}", own.name.id, name(one), name(other));
                    results.entry(path).or_insert_with(|| way.clone());
                }
            }
        }
    }
}
