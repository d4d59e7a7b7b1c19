//! From the sizes of a cutaway to bodies in metres, and to the poses in which they are looked at.

use super::super::measured::Readings;
use super::blanks::{blank_in, blank_of};
use super::sizes::{SizeFault, SizeInputs, SizeReader, SolidInput, half};
use crate::cutaway::Engine;
use crate::cutaway::model::{Axis, ChamberId, Element, PartId, PositionId, SealId, WayId};
use crate::cutaway::sized::UNKNOWN_OUTSIDE;
use crate::cutaway::solids::{
    Diameter, DrawnInsert, DrawnSize, DrawnSolid, InsertPlace, PlaceKind, RoomPlace, StepKind,
    StepSide,
};
use crate::geometry::{
    Assembly, CrossHole, CutAssembly, Dual, FIXED, Frustum, Gate, RingSide, RoomSpot, Scalar,
    SealRing, Solid, TOUCH, Toward, way_to_contact,
};
use crate::text::Span;
use std::collections::BTreeMap;

/// How far apart along the axis tubes beside each other are put, m: nothing of one meets the other.
pub(super) const APART: f64 = 1.0;

/// Stands for sizes that are not known, m.
const SOME_LENGTH: f64 = 0.005;

/// A ring in its groove.
#[derive(Debug)]
pub(super) struct BuiltRing {
    pub(super) seal: SealId,
    /// Radius of the floor of its groove.
    pub(super) floor: Dual,
    /// Width of its groove.
    pub(super) width: Dual,
    /// Radius of what it seals against, where it is in a bore; found with the poses.
    pub(super) facing: Option<Dual>,
    /// Section and inside diameter of the ring; `None` where its size is not stated.
    pub(super) sizes: Option<(Dual, Dual)>,
}

/// Everything of an engine that has sizes.
#[derive(Debug)]
pub(super) struct BuiltEngine {
    pub(super) cut: CutAssembly<Dual>,
    /// The part of each body behind the fixed one.
    pub(super) parts: Vec<PartId>,
    /// The chamber of each room.
    pub(super) rooms: Vec<ChamberId>,
    pub(super) rings: Vec<BuiltRing>,
    /// Where the parts stand at their positions, as far as that is known.
    pub(super) places: BTreeMap<(PartId, PositionId), Dual>,
    pub(super) inputs: Vec<SolidInput>,
    /// What shapes the drawing and is not known, in words; stand-ins are drawn for it.
    pub(super) blanks: Vec<String>,
    /// What each port is.
    pub(super) ports: Vec<BuiltPort>,
    /// Tubes beside the first.
    pub(super) tubes: Vec<BuiltTube>,
}

/// What a port of the assembly is: a hole in the body that a way goes through, to where the sizes
/// show nothing.
#[derive(Debug)]
pub(super) struct BuiltPort {
    pub(super) way: WayId,
    /// Where its place is said.
    pub(super) span: Span,
}

/// A tube beside the first: put in front of it, as if all lay on one axis.
#[derive(Debug, Clone)]
pub(super) struct BuiltTube {
    /// The name of its axis.
    pub(super) name: String,
    /// Number of its first step among those of the body.
    pub(super) first: usize,
    /// How far in front of where it is it is put, m.
    pub(super) shift: f64,
    /// Where its rear end is put, m.
    pub(super) rear: Dual,
}

/// Steps times steps times chambers times positions of one drawing: what it takes to look at all
/// its poses. Some twenty times what a large engine needs.
const MOST_WORK: usize = 200_000;

/// Steps of one drawing.
const MOST_STEPS: usize = 200;

/// What is wrong with a size, and where it stands.
#[derive(Debug)]
pub(super) struct SizeSlip {
    pub(super) code: &'static str,
    pub(super) span: Span,
    pub(super) message: String,
    pub(super) help: Option<String>,
}

/// The steps of one body, in m along its own axis.
#[derive(Default)]
struct Chain {
    pieces: Vec<Frustum<Dual>>,
    /// Number of the first step of each insert, and how far its rear end is in front of the body's.
    inserts: Vec<(usize, Dual)>,
    tubes: Vec<BuiltTube>,
}

impl Chain {
    /// The pieces that are put together with one.
    fn neighbours(&self, step: usize) -> (Option<&Frustum<Dual>>, Option<&Frustum<Dual>>) {
        let starts = |at: usize| self.inserts.iter().any(|(first, _)| *first == at);
        let rear = step.checked_sub(1).filter(|_| !starts(step));
        let front = Some(step + 1).filter(|at| !starts(*at));
        (rear.and_then(|at| self.pieces.get(at)), front.and_then(|at| self.pieces.get(at)))
    }

    /// Radius of the bore of an insert, or of what carries the inserts, at a place; nought where
    /// it has none.
    fn bore_around(&self, insert: Option<usize>, at: &Dual) -> Dual {
        let start = |number: usize| self.inserts.get(number).map_or(self.pieces.len(), |it| it.0);
        let own = match insert {
            Some(insert) => start(insert)..start(insert + 1),
            None => 0..start(0),
        };
        let is_here =
            |it: &&Frustum<Dual>| it.from.value() <= at.value() && at.value() < it.to.value();
        let piece = self.pieces[own].iter().find(is_here);
        let bore = piece.and_then(|it| it.inner.clone());
        bore.map_or(Dual::constant(0.0), |(rear, front)| half(rear + front))
    }

    /// The narrowest bore right behind a place, or right in front of it.
    fn bore_beside(&self, at: &Dual, toward: Toward) -> Option<Dual> {
        let beside = match toward {
            Toward::Rear => at.value() - 2.0 * TOUCH,
            Toward::Front => at.value() + 2.0 * TOUCH,
        };
        let here = self
            .pieces
            .iter()
            .filter(|piece| piece.from.value() < beside && beside < piece.to.value());
        let bores = here.filter_map(|piece| {
            let radii = piece.inner.as_ref()?;
            Some(if toward == Toward::Rear { radii.1.clone() } else { radii.0.clone() })
        });
        bores.min_by(|a, b| a.value().total_cmp(&b.value()))
    }

    /// The border of two rooms where a part can sit on an end of a step: within the narrower of the
    /// bores that meet there. With it comes the radius of the wider one.
    fn seat(&self, step: usize, toward: Toward) -> Option<(Gate<Dual>, Dual)> {
        let own = self.pieces.get(step)?;
        let (behind, before) = self.neighbours(step);
        let (at, rear, front) = match toward {
            Toward::Rear => (own.to.clone(), Some(own), before),
            Toward::Front => (own.from.clone(), behind, Some(own)),
        };
        let rear = rear.and_then(|it| it.inner.as_ref()).map(|radii| radii.1.clone());
        let front = front.and_then(|it| it.inner.as_ref()).map(|radii| radii.0.clone());
        // At the end of an insert there is what it sits in.
        let rear = rear.or_else(|| self.bore_beside(&at, Toward::Rear));
        let front = front.or_else(|| self.bore_beside(&at, Toward::Front));
        let (within, wide) = match (rear?, front?) {
            (a, b) if b.value() < a.value() => (b, a),
            narrower => narrower,
        };
        Some((Gate { body: FIXED, at, within }, wide))
    }
}

struct SolidBuilder<'a> {
    engine: &'a Engine,
    reader: SizeReader<'a>,
    /// Number of the next size in the order of the text.
    next: usize,
    names: Vec<String>,
    rings: Vec<(SealRing<Dual>, BuiltRing)>,
    holes: Vec<CrossHole<Dual>>,
    ports: Vec<(CrossHole<Dual>, BuiltPort)>,
    gates: Vec<Gate<Dual>>,
    slips: Vec<SizeSlip>,
    blanks: Vec<String>,
    is_poisoned: bool,
}

/// Builds an engine; the slips tell of sizes that are none, and then nothing is built.
pub(super) fn build(
    engine: &Engine,
    readings: Readings<'_>,
    (engine_number, known): (usize, &SizeInputs),
) -> (Option<BuiltEngine>, Vec<SizeSlip>) {
    let Some(body) = &engine.drawn.body else { return (None, Vec::new()) };
    if let Some(slip) = too_large(engine) {
        return (None, vec![slip]);
    }
    let mut builder = SolidBuilder {
        engine,
        reader: SizeReader { readings, engine_number, known, inputs: Vec::new() },
        next: 0,
        names: super::sizes::sizes(engine).into_iter().map(|(what, _)| what).collect(),
        rings: Vec::new(),
        holes: Vec::new(),
        ports: Vec::new(),
        gates: Vec::new(),
        slips: Vec::new(),
        blanks: Vec::new(),
        is_poisoned: false,
    };
    let fixed = builder.chain(FIXED, body);
    let mut chains = Vec::new();
    let mut stated = BTreeMap::new();
    for (number, (part, solid)) in engine.drawn.parts.iter().enumerate() {
        let chain = builder.chain(number + 1, solid);
        builder.places(*part, solid, (&chain, &fixed), &mut stated);
        chains.push(chain);
    }
    let slips = std::mem::take(&mut builder.slips);
    if builder.is_poisoned || !slips.is_empty() {
        return (None, slips);
    }
    (Some(builder.assembled(fixed, chains, stated)), slips)
}

/// That a drawing would take too long to look at.
fn too_large(engine: &Engine) -> Option<SizeSlip> {
    let solids = engine.drawn.body.iter().chain(engine.drawn.parts.values());
    let steps: usize = solids.map(|solid| solid.steps.len() + solid.holes.len()).sum();
    let drawn = engine.drawn.parts.keys();
    let poses: usize = 1 + drawn.map(|part| engine.parts[*part].positions.len()).sum::<usize>();
    let work = [steps, steps, engine.drawn.rooms.len() + 1, poses];
    let work = work.into_iter().fold(1, usize::saturating_mul);
    if steps <= MOST_STEPS && work <= MOST_WORK {
        return None;
    }
    let message = format!(
        "{steps} steps with {} chambers in {poses} poses are too much to work out",
        engine.drawn.rooms.len()
    );
    let help = "draw fewer steps, or leave out positions".to_owned();
    let span = engine.name.span;
    Some(SizeSlip { code: "cutaway-too-large", span, message, help: Some(help) })
}

impl SolidBuilder<'_> {
    /// A size; what is wrong with it is kept, and it is then as one that is not known.
    fn size(&mut self, size: &DrawnSize, instead: f64) -> Dual {
        let what = self.names.get(self.next).cloned().unwrap_or_default();
        let known = self.reader.inputs.len();
        let found = self.reader.size((self.next, &what), size, instead);
        self.next += 1;
        let more = &self.reader.inputs[known..];
        if more.iter().any(|it| matches!(it, SolidInput::Unknown(_))) {
            self.blanks.push(what);
        }
        match found {
            Ok(size) => return size,
            Err(SizeFault::Poisoned) => self.is_poisoned = true,
            Err(SizeFault::Told(message, help)) => {
                self.slips.push(SizeSlip { code: "size-unusable", span: size.span, message, help });
            }
        }
        Dual::constant(instead)
    }

    fn radii(&mut self, diameter: &Diameter, instead: f64) -> (Dual, Dual) {
        let rear = half(self.size(&diameter.rear, 2.0 * instead));
        let front = diameter.front.as_ref().map(|front| half(self.size(front, 2.0 * instead)));
        (rear.clone(), front.unwrap_or(rear))
    }

    fn chain(&mut self, body: usize, solid: &DrawnSolid) -> Chain {
        let mut chain = Chain::default();
        let mut at = Dual::constant(0.0);
        let mut grooves = Vec::new();
        for (number, step) in solid.steps.iter().enumerate() {
            if let Some(insert) = solid.inserts.iter().find(|insert| insert.first == number) {
                at = self.rear_end(insert, number, &mut chain);
                chain.inserts.push((number, at.clone()));
            }
            let to = at.clone() + self.size(&step.length, SOME_LENGTH);
            let before = chain.neighbours(number).0.cloned();
            let last = |piece: &Frustum<Dual>| piece.outer.1.value();
            let near = before.as_ref().filter(|_| body != FIXED).map_or(SOME_LENGTH, last);
            let piece = match &step.kind {
                StepKind::Plain { outer, bore } => {
                    let outer = outer.as_ref().map(|it| self.radii(it, near));
                    let wide =
                        || (Dual::constant(UNKNOWN_OUTSIDE), Dual::constant(UNKNOWN_OUTSIDE));
                    let inner = bore.as_ref().map(|it| self.radii(it, SOME_LENGTH));
                    Frustum { from: at, to: to.clone(), inner, outer: outer.unwrap_or_else(wide) }
                }
                StepKind::Groove { floor, seal } => {
                    let floor = half(self.size(floor, 2.0 * near));
                    grooves.extend(seal.map(|seal| (seal, floor, number)));
                    // The groove counts as full: it goes on as the step behind it does.
                    let wide =
                        || (Dual::constant(UNKNOWN_OUTSIDE), Dual::constant(UNKNOWN_OUTSIDE));
                    let even = |(_, radius): (Dual, Dual)| (radius.clone(), radius);
                    let outer = before.as_ref().map(|it| even(it.outer.clone()));
                    let inner = before.and_then(|it| it.inner).map(even);
                    Frustum { from: at, to: to.clone(), inner, outer: outer.unwrap_or_else(wide) }
                }
            };
            chain.pieces.push(piece);
            at = to;
        }
        self.put_in(solid, &mut chain);
        for (seal, floor, number) in grooves {
            let piece = &chain.pieces[number];
            self.ring(body, seal, floor, (piece.from.clone(), piece.to.clone()));
        }
        for hole in &solid.holes {
            // How wide a hole is changes no shape around it.
            let shapes = self.blanks.len();
            let diameter = self.size(&hole.diameter, SOME_LENGTH);
            self.blanks.truncate(shapes);
            let at = self.size(&hole.at, SOME_LENGTH);
            let insert = hole.insert.and_then(|insert| chain.inserts.get(insert));
            let at = insert.map_or(at.clone(), |(_, start)| start.clone() + at);
            let bore = chain.bore_around(hole.insert, &at);
            let drilled = CrossHole { body, at, diameter, count: hole.count, bore };
            match hole.way {
                Some(way) => self.ports.push((drilled, BuiltPort { way, span: hole.at.span })),
                None => self.holes.push(drilled),
            }
        }
        chain
    }

    /// Where an insert begins; one that meets a step is put there when all are known.
    fn rear_end(&mut self, insert: &DrawnInsert, first: usize, chain: &mut Chain) -> Dual {
        match &insert.place {
            InsertPlace::With { .. } => Dual::constant(0.0),
            InsertPlace::At(size) => {
                let at = self.size(size, SOME_LENGTH);
                chain.tubes.last().map_or(at.clone(), |tube| tube.rear.clone() + at)
            }
            InsertPlace::Beside(size) => {
                let name = insert.name.id.clone();
                if !self.engine.axes.iter().any(|axis| axis.name.id == name) {
                    let message = format!("there is no axis `{name}`");
                    let help = Some(format!("say what lies in this tube: `axis {name}: PART, …`"));
                    let (code, span) = ("nothing-of-that-name", insert.name.span);
                    self.slips.push(SizeSlip { code, span, message, help });
                }
                let ends = chain.pieces.iter().map(|piece| piece.to.value());
                let shift = ends.fold(0.0, f64::max) + APART;
                let rear = Dual::constant(shift) + self.size(size, SOME_LENGTH);
                chain.tubes.push(BuiltTube { name, first, shift, rear: rear.clone() });
                rear
            }
        }
    }

    /// Moves the inserts that meet another step to where they do.
    fn put_in(&mut self, solid: &DrawnSolid, chain: &mut Chain) {
        for (number, insert) in solid.inserts.iter().enumerate() {
            let InsertPlace::With { own, against } = insert.place else { continue };
            let meeting = chain.pieces.get(own).zip(chain.pieces.get(against));
            let Some(way) = meeting.and_then(|it| self.contact(it, Toward::Front, insert.span))
            else {
                continue;
            };
            let end = solid.inserts.get(number + 1).map_or(solid.steps.len(), |next| next.first);
            for piece in chain.pieces.iter_mut().take(end).skip(insert.first) {
                piece.from = piece.from.clone() + way.clone();
                piece.to = piece.to.clone() + way.clone();
            }
            if let Some((_, start)) = chain.inserts.get_mut(number) {
                *start = way;
            }
        }
    }

    /// How far one piece goes until it meets the other. That they never do is told, but not of
    /// sizes that are not known: these then stand for where they meet, too.
    fn contact(
        &mut self,
        (one, other): (&Frustum<Dual>, &Frustum<Dual>),
        toward: Toward,
        span: Span,
    ) -> Option<Dual> {
        let way = way_to_contact(one, other, toward);
        if way.is_some() {
            return way;
        }
        let blank = blank_of(&self.reader.inputs, &[one, other]);
        if let Some(blank) = blank.map(str::to_owned) {
            let apart = match toward {
                Toward::Front => other.from.value() - one.to.value(),
                Toward::Rear => one.from.value() - other.to.value(),
            };
            return Some(self.reader.unknown(blank, apart));
        }
        let message = "these two steps pass each other and never meet".to_owned();
        let help = match toward {
            Toward::Rear => {
                "at the rearmost position the rear of the first meets the front of the second: name \
                 a step of the body behind it that is narrower there"
            }
            Toward::Front => {
                "the front of the first meets the rear of the second: name a step in front of it \
                 that is narrower there"
            }
        };
        let help = Some(help.to_owned());
        self.slips.push(SizeSlip { code: "size-unusable", span, message, help });
        None
    }

    fn ring(&mut self, body: usize, seal: SealId, floor: Dual, (from, to): (Dual, Dual)) {
        let name = self.engine.seals[seal].name.id.clone();
        let size = self.engine.seals[seal].size.as_ref().map(|size| size.id.clone());
        let sizes = size.and_then(|size| self.reader.section(&size));
        let section = match &sizes {
            Some((section, _)) => section.clone(),
            None => {
                let what = format!("the size of `{name}`");
                self.blanks.push(what.clone());
                self.reader.unknown(what, 0.4 * SOME_LENGTH)
            }
        };
        let (side, free) = match body {
            FIXED => (RingSide::Inside, floor.clone() - section.clone()),
            _ => (RingSide::Outside, floor.clone() + section.clone()),
        };
        let at = half(from.clone() + to.clone());
        let ring = SealRing { body, at, side, free, half_section: half(section) };
        self.rings.push((ring, BuiltRing { seal, floor, width: to - from, facing: None, sizes }));
    }

    /// Where a part is said to stand.
    fn places(
        &mut self,
        part: PartId,
        solid: &DrawnSolid,
        (own, body): (&Chain, &Chain),
        stated: &mut BTreeMap<(PartId, PositionId), Dual>,
    ) {
        let mut from = Vec::new();
        let rear = tube_of(self.engine, &body.tubes, part).map(|tube| tube.rear.clone());
        for place in &solid.places {
            let key = (part, place.position);
            match &place.kind {
                PlaceKind::At(size) => {
                    let at = self.size(size, SOME_LENGTH);
                    stated.insert(key, rear.iter().cloned().fold(at, |at, rear| rear + at));
                }
                PlaceKind::From(size, other) => {
                    let way = self.size(size, SOME_LENGTH);
                    from.push((key, (part, *other), way));
                }
                PlaceKind::With { own: step, against, sealing } => {
                    let sealing = sealing.as_ref().map(|size| {
                        let found = half(self.size(size, SOME_LENGTH));
                        (found, size.span)
                    });
                    let toward = match place.position {
                        PositionId::REAR => Toward::Rear,
                        _ => Toward::Front,
                    };
                    let pieces = own.pieces.get(*step).zip(body.pieces.get(*against));
                    let Some(way) = pieces.and_then(|it| self.contact(it, toward, place.span))
                    else {
                        continue;
                    };
                    if let (Some(seat), Some((piece, _))) = (body.seat(*against, toward), pieces) {
                        let face = match toward {
                            Toward::Rear => piece.outer.0.clone(),
                            Toward::Front => piece.outer.1.clone(),
                        };
                        let gate = self.sealing_seat(seat, face, sealing);
                        self.gates.push(gate);
                    }
                    let at = if toward == Toward::Rear { -way } else { way };
                    stated.insert(key, at);
                }
            }
        }
        // One may be from another that stands further down.
        for _ in 0..from.len() {
            for (key, other, way) in &from {
                if let Some(other) = stated.get(other).cloned() {
                    stated.insert(*key, other + way.clone());
                }
            }
        }
        self.in_order(part, solid, stated);
    }

    /// A seat with the radius at which a face of this radius seals on it: as it is said, else
    /// anywhere where both are flat, else at the edge of the bore.
    fn sealing_seat(
        &mut self,
        (mut gate, wide): (Gate<Dual>, Dual),
        face: Dual,
        sealing: Option<(Dual, Span)>,
    ) -> Gate<Dual> {
        let edge = if face.value() < wide.value() { face } else { wide };
        let (low, high) = (gate.within.value(), edge.value());
        match sealing {
            Some((radius, _))
                if low - TOUCH <= radius.value() && radius.value() <= high + TOUCH =>
            {
                gate.within = radius;
            }
            Some((_, span)) => {
                let message = format!(
                    "these faces meet between {:.2} mm and {:.2} mm of diameter, and seal nowhere else",
                    2e3 * low,
                    2e3 * high.max(low)
                );
                let help = Some("put the diameter, or the steps that meet there, right".to_owned());
                self.slips.push(SizeSlip { code: "size-unusable", span, message, help });
            }
            None if low + TOUCH < high => {
                let face = self.gates.len();
                gate.within = self.reader.between(face, (gate.within.clone(), edge));
            }
            None => {}
        }
        gate
    }

    /// Tells of the first position that stands behind one before it.
    fn in_order(
        &mut self,
        part: PartId,
        solid: &DrawnSolid,
        stated: &BTreeMap<(PartId, PositionId), Dual>,
    ) {
        let own = &self.engine.parts[part];
        let known = own.positions.ids().filter_map(|at| Some((at, stated.get(&(part, at))?)));
        let known = known.filter(|(_, place)| blank_in(&self.reader.inputs, place).is_none());
        let known: Vec<(PositionId, &Dual)> = known.collect();
        for pair in known.windows(2) {
            let [(rear, behind), (front, before)] = pair else { continue };
            let short = behind.value() - before.value();
            let Some(place) = solid.places.iter().find(|place| place.position == *front) else {
                continue;
            };
            if short <= TOUCH {
                continue;
            }
            let (rear, front) = (&own.positions[*rear].id, &own.positions[*front].id);
            let message = format!(
                "by the sizes `{front}` lies {:.2} mm behind `{rear}`: positions go from rear to \
                 front",
                short * 1e3
            );
            let help = "put the place right, or the steps that meet there".to_owned();
            let (code, span) = ("size-unusable", place.span);
            self.slips.push(SizeSlip { code, span, message, help: Some(help) });
            return;
        }
    }

    fn assembled(
        self,
        fixed: Chain,
        chains: Vec<Chain>,
        stated: BTreeMap<(PartId, PositionId), Dual>,
    ) -> BuiltEngine {
        let engine = self.engine;
        let parts: Vec<PartId> = engine.drawn.parts.keys().copied().collect();
        let nought = || Dual::constant(0.0);
        let mut bodies = vec![Solid { pieces: fixed.pieces.clone(), travel: (nought(), nought()) }];
        for (part, chain) in parts.iter().zip(&chains) {
            let known = || stated.iter().filter(|((it, _), _)| it == part).map(|(_, at)| at);
            let by = |a: &&Dual, b: &&Dual| a.value().total_cmp(&b.value());
            let low = known().min_by(by).cloned().unwrap_or_else(nought);
            let high = known().max_by(by).cloned().unwrap_or_else(nought);
            bodies.push(Solid { pieces: chain.pieces.clone(), travel: (low, high) });
        }
        let spots = engine.drawn.rooms.iter();
        let spots: Vec<(ChamberId, RoomSpot<Dual>)> = spots
            .filter_map(|(chamber, place)| {
                let body = match place.part {
                    None => FIXED,
                    Some(part) => parts.iter().position(|it| *it == part)? + 1,
                };
                Some((*chamber, spot(body, place, &bodies[body])?))
            })
            .collect();
        let (rings, built): (Vec<_>, Vec<_>) = self.rings.into_iter().unzip();
        let (drilled, ports): (Vec<_>, Vec<_>) = self.ports.into_iter().unzip();
        let mut built = BuiltEngine {
            cut: CutAssembly::new(Assembly {
                bodies,
                rings,
                gates: self.gates,
                holes: self.holes,
                ports: drilled,
                rooms: spots.iter().map(|(_, spot)| spot.clone()).collect(),
            }),
            parts,
            rooms: spots.into_iter().map(|(chamber, _)| chamber).collect(),
            rings: built,
            places: stated,
            inputs: self.reader.inputs,
            tubes: fixed.tubes,
            blanks: self.blanks,
            ports,
        };
        built.find_stops(engine);
        built
    }
}

/// The tube in which a part moves; `None` for the first.
pub(super) fn tube_of<'t>(
    engine: &Engine,
    tubes: &'t [BuiltTube],
    part: PartId,
) -> Option<&'t BuiltTube> {
    let holds = |axis: &&Axis| axis.places.iter().flatten().any(|it| *it == Element::Part(part));
    let axis = engine.axes.iter().find(holds)?;
    tubes.iter().find(|tube| tube.name == axis.name.id)
}

/// The spot that a chamber's place means.
fn spot(body: usize, place: &RoomPlace, solid: &Solid<Dual>) -> Option<RoomSpot<Dual>> {
    let step = solid.pieces.get(place.step)?;
    // Of a body with inserts the piece before may belong to another one.
    let meets = |a: &Dual, b: &Dual| (a.value() - b.value()).abs() <= TOUCH;
    let before = place.step.checked_sub(1).and_then(|at| solid.pieces.get(at));
    let before = before.filter(|piece| meets(&piece.to, &step.from));
    let after = solid.pieces.get(place.step + 1);
    let after = after.filter(|piece| meets(&piece.from, &step.to));
    // The middle of what a face shows beyond its neighbour.
    let face = |own: &Dual, next: Option<Dual>| match next {
        Some(next) => half(own.clone() + next),
        None => half(own.clone()),
    };
    let middle = |(rear, front): &(Dual, Dual)| half(rear.clone() + front.clone());
    let halfway = middle(&(step.from.clone(), step.to.clone()));
    let (at, toward, radius) = match place.side {
        StepSide::Around => (halfway, Toward::Front, middle(&step.outer)),
        StepSide::Within => (halfway, Toward::Front, middle(step.inner.as_ref()?)),
        StepSide::Behind => {
            let radius = face(&step.outer.0, before.map(|it| it.outer.1.clone()));
            (step.from.clone(), Toward::Rear, radius)
        }
        StepSide::InFront => {
            let radius = face(&step.outer.1, after.map(|it| it.outer.0.clone()));
            (step.to.clone(), Toward::Front, radius)
        }
    };
    Some(RoomSpot { body, at, toward, radius })
}
