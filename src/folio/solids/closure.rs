//! Whether the sizes of a drawing close: with what the page states of whole parts, with each other
//! at the rings, with the ways that the cutaway says to be open, and with what moves in the shot.

use super::super::measured::Readings;
use super::super::routing::Routed;
use super::build::BuiltEngine;
use super::forces::PartForces;
use super::judge::{holds, spot};
use super::openings::OpenJoint;
use super::results::{LookedAtPose, SolidResult, figure, is_above};
use super::strokes::PartStroke;
use crate::cutaway::Engine;
use crate::cutaway::model::{ChamberId, Direction, Element, OPEN_AIR, Way};
use crate::formula::{self, Margin, Outcome, Truth};
use crate::geometry::{PoseFinding, Scalar};
use crate::quantity::{Dimension, Kind};
use crate::slip::Slip;

/// Densities of what parts are made of lie between these: polymers from polypropylene on (0.90
/// g/cm³) to copper (8.96 g/cm³), handbook values from memory.
const DENSITIES: (&str, &str) = ("0.9 g/cm³", "8.96 g/cm³");

/// Void that is smaller than this, in m³, is not worth a word: a tenth of a drop.
const NO_VOID: f64 = 5e-9;

/// Stretch of a ring on its groove that is common practice up to 5 %, and for narrow rings up to
/// this; beyond the next it is another ring (seal makers' design guides; the last from memory).
const STRETCHED: f64 = 0.08;
const OTHER_RING: f64 = 0.2;

/// What one engine comes to, as far as it is judged here.
pub(super) struct Closing<'a> {
    pub(super) routed: &'a Routed,
    pub(super) built: &'a BuiltEngine,
    pub(super) poses: &'a [LookedAtPose],
    pub(super) strokes: &'a [PartStroke],
    pub(super) forces: &'a [PartForces],
    pub(super) readings: Readings<'a>,
}

impl Closing<'_> {
    pub(super) fn judge(&self) -> Vec<Slip> {
        let mut slips = self.wholes();
        slips.extend(self.rings());
        // Stand-ins shape no void, open no way and are pushed by nothing.
        if self.built.blanks.is_empty() {
            slips.extend(self.voids());
            slips.extend(self.shut_ways());
            slips.extend(self.motions());
        }
        slips
    }

    fn engine(&self) -> &Engine {
        &self.routed.engine
    }

    fn slip(&self, element: Element, (code, is_mark): (&'static str, bool), text: String) -> Slip {
        let name = element.name(self.engine()).unwrap_or(&self.engine().name);
        let spot = spot(self.routed, name.span);
        if is_mark { Slip::mark(code, spot, text) } else { Slip::stop(code, spot, text) }
    }

    /// Lengths, travels and masses that the page states of whole parts.
    fn wholes(&self) -> Vec<Slip> {
        let mut slips = Vec::new();
        for part in &self.built.parts {
            let name = &self.engine().parts[*part].name.id;
            let whole = [
                ("length", "length", "its steps add up to another length than"),
                ("travel", "travel", "from stop to stop it goes another way than"),
                ("stroke", "travel", "from stop to stop it goes another way than"),
            ];
            for (word, result, says) in whole {
                let reading = format!("{name}_{word}");
                let text = format!("cut.{name}.{result} = {reading}");
                let message = format!("`{name}`: by its sizes {says} `{reading}`");
                slips.extend(self.stated(*part, &reading, Dimension::LENGTH, (&text, message)));
            }
            let reading = format!("{name}_mass");
            let (low, high) = DENSITIES;
            for text in [
                format!("{reading} / cut.{name}.volume >= {low}"),
                format!("{reading} / cut.{name}.volume <= {high}"),
            ] {
                let message = format!(
                    "`{name}`: by its sizes and `{reading}` it is of nothing that parts are made of"
                );
                slips.extend(self.stated(*part, &reading, Dimension::MASS, (&text, message)));
            }
        }
        slips
    }

    /// A statement about a figure of the page that is certainly false.
    fn stated(
        &self,
        part: crate::cutaway::model::PartId,
        reading: &str,
        dimension: Dimension,
        (text, message): (&str, String),
    ) -> Option<Slip> {
        let value = self.readings.value(reading)?;
        if value.quantity.dimension != dimension {
            return None;
        }
        let Readings { ledger, sheet } = self.readings;
        let (scope, conventions) = (ledger.scope(sheet), &ledger.sheets[sheet].conventions);
        let formula = formula::parse(text).ok()?;
        let outcome = formula::evaluate(&formula, &scope, conventions);
        if !matches!(outcome, Ok(Outcome::Truth(Truth::False(Margin::Certain)))) {
            return None;
        }
        let slip = self.slip(Element::Part(part), ("drawing-disagrees", false), message);
        let slip = slip.works_out(formula::account(&formula, &scope, conventions));
        Some(slip.help("put the reading, or the sizes that it is set against, right"))
    }

    /// Whether a result is above a limit, whatever is uncertain in it.
    fn is_above(&self, result: &SolidResult, limit: f64) -> bool {
        is_above(self.readings, result, limit)
    }

    /// Rings that their grooves have no room for.
    fn rings(&self) -> Vec<Slip> {
        let mut slips = Vec::new();
        for (at, ring) in self.built.rings.iter().enumerate() {
            let name = &self.engine().seals[ring.seal].name.id;
            let Some((section, _)) = &ring.sizes else { continue };
            let told =
                |value| figure(&self.built.inputs, &value, (Dimension::LENGTH, Kind::Plain, None));
            let over = told(section.clone() - ring.width.clone());
            let fill = super::parts::fill(self.built, (at, ring));
            let fill = fill
                .map(|it| figure(&self.built.inputs, &it, (Dimension::NONE, Kind::Ratio, None)));
            let stretch = super::parts::stretch(self.built, (at, ring));
            let stretch = stretch
                .map(|it| figure(&self.built.inputs, &it, (Dimension::NONE, Kind::Ratio, None)));
            let is_beyond =
                |limit: f64| stretch.as_ref().is_some_and(|it| self.is_above(it, limit));
            let share = |it: &Option<SolidResult>| {
                let value = it.as_ref().and_then(|it| it.as_ref().ok());
                value.map_or(0.0, |it| it.quantity.si.to_f64() * 100.0)
            };
            if is_beyond(STRETCHED) && !is_beyond(OTHER_RING) {
                let message = format!(
                    "the ring `{name}` is stretched by {:.0} % over its groove",
                    share(&stretch)
                );
                let slip = self.slip(Element::Seal(ring.seal), ("ring-stretched", true), message);
                slips.push(slip.help("take the next larger ring, or a deeper groove"));
            }
            let message = if is_beyond(OTHER_RING) {
                format!(
                    "the ring `{name}` would be stretched by {:.0} %: it is another size",
                    share(&stretch)
                )
            } else if self.is_above(&over, 0.0) {
                format!("the ring `{name}` is thicker than its groove is wide")
            } else if fill.as_ref().is_some_and(|fill| self.is_above(fill, 1.0)) {
                format!("the ring `{name}` fills {:.0} % of the room in its groove", share(&fill))
            } else {
                continue;
            };
            let slip = self.slip(Element::Seal(ring.seal), ("drawing-impossible", false), message);
            slips.push(slip.help("put the groove's width or floor, the bore or the ring right"));
        }
        slips
    }

    /// Void that no chamber names, each pair of rooms once.
    fn voids(&self) -> Vec<Slip> {
        let mut told: Vec<String> = Vec::new();
        let mut slips = Vec::new();
        for looked in self.poses {
            let is_collision = |it: &PoseFinding| matches!(it, PoseFinding::Collision(_));
            if looked.cell.findings.iter().any(is_collision) {
                continue;
            }
            for finding in &looked.cell.findings {
                let (key, message) = match finding {
                    PoseFinding::Trapped { from, to, volume } if NO_VOID < *volume => (
                        "trapped".to_owned(),
                        format!(
                            "from {:.1} mm to {:.1} mm in front of the rear end {:.2} cm³ of air have \
                             no way out and no chamber",
                            from * 1e3,
                            to * 1e3,
                            volume * 1e6
                        ),
                    ),
                    PoseFinding::Unclaimed { rooms } if !self.is_barrel(rooms) => {
                        let names: Vec<String> =
                            rooms.iter().map(|room| format!("`{}`", self.room(*room))).collect();
                        let names = crate::text::listed(&names, "and");
                        (names.clone(), format!("a space that is open to {names} is no chamber"))
                    }
                    _ => continue,
                };
                if told.contains(&key) {
                    continue;
                }
                told.push(key);
                let spot = spot(self.routed, self.engine().name.span);
                let message = format!("{message}, {}", super::judge::stands(self.engine(), looked));
                let slip = Slip::mark("void-without-chamber", spot, message);
                slips.push(slip.help(
                    "say with `behind`, `around` or `in` which chamber it is, or put the size right \
                     that makes it",
                ));
            }
        }
        slips
    }

    /// Whether what is open to these rooms is the barrel, which the ball parts and no chamber.
    fn is_barrel(&self, rooms: &[usize]) -> bool {
        let ends = rooms.iter().map(|at| self.built.rooms.get(*at).copied().unwrap_or(OPEN_AIR));
        let ends: Vec<ChamberId> = ends.collect();
        let mut barrels = self.engine().ways.iter().filter(|way| way.barrel);
        ends.len() == 2 && barrels.any(|way| ends.contains(&way.from) && ends.contains(&way.to))
    }

    fn room(&self, at: usize) -> &str {
        let room = self.built.rooms.get(at).copied().unwrap_or(OPEN_AIR);
        &self.engine().chambers[room].name.id
    }

    /// Ways that the cutaway says to be open at a position at which the drawing has them shut.
    /// Only ways that the drawing opens along the stroke, or a little beyond, are in it at all.
    fn shut_ways(&self) -> Vec<Slip> {
        let mut slips = Vec::new();
        for stroke in self.strokes {
            for opening in stroke.openings.iter().chain(&stroke.beyond) {
                let Some(way) = self.only_way(opening.joint) else { continue };
                for (position, at) in &stroke.positions {
                    let here = opening.points.iter().find(|(travel, _)| travel == at);
                    let is_open = here.is_none_or(|(_, area)| 0.0 < *area);
                    let pose = Some((stroke.part, *position));
                    if is_open || holds(&way.when, pose) != Some(true) {
                        continue;
                    }
                    let turns = opening.turns.iter();
                    let nearest =
                        turns.min_by(|a, b| (a.at - at).abs().total_cmp(&(b.at - at).abs()));
                    let place = self.built.places.get(&(stroke.part, *position));
                    let Some((turn, place)) = nearest.zip(place) else { continue };
                    let Some(turn_at) = &turn.place else { continue };
                    let short = turn_at.clone() - place.clone();
                    let short = if short.value() < 0.0 { -short } else { short };
                    let told = (Dimension::LENGTH, Kind::Plain, None);
                    if !self.is_above(&figure(&self.built.inputs, &short, told), 0.0) {
                        continue;
                    }
                    let part = &self.engine().parts[stroke.part];
                    let message = format!(
                        "by the sizes `{}` is still shut with `{}` at `{}`: it opens {:.2} mm further on",
                        way.name.id,
                        part.name.id,
                        part.positions[*position].id,
                        short.value() * 1e3
                    );
                    let at = self.engine().ways.entries().find(|(_, it)| it.name == way.name);
                    let Some((at, _)) = at else { continue };
                    let slip = self.slip(Element::Way(at), ("drawing-impossible", false), message);
                    slips.push(slip.help(
                        "put the place of that position right, or the sizes that open the way",
                    ));
                }
            }
        }
        slips
    }

    /// The way between two rooms, where nothing else joins them.
    fn only_way(&self, joint: OpenJoint) -> Option<&Way> {
        let rooms = joint.chambers;
        let joins = |from, to| (from, to) == rooms || (to, from) == rooms;
        let engine = self.engine();
        if let Some(way) = joint.through {
            return Some(&engine.ways[way]).filter(|way| joins(way.from, way.to));
        }
        let mut valves =
            engine.valves.iter().flat_map(|valve| valve.rest.iter().chain(&valve.shifted));
        if valves.any(|(from, to)| joins(*from, *to)) {
            return None;
        }
        let mut ways = engine.ways.iter().filter(|way| joins(way.from, way.to));
        let first = ways.next().filter(|way| !way.barrel)?;
        ways.next().is_none().then_some(first)
    }

    /// Parts that leave where they stood although what pushes them is the other way.
    fn motions(&self) -> Vec<Slip> {
        let mut slips = Vec::new();
        for forces in self.forces {
            let part = &self.engine().parts[forces.part];
            let last = part.positions.len().saturating_sub(1);
            let mut told = false;
            for moment in &forces.moments {
                // From an end it starts; between them its own mass may carry it on.
                let is_end = [0, last].contains(&moment.position.place());
                let (Some(moves), Some(pushed)) = (moment.moves, moment.pushes) else { continue };
                if told || !is_end || moves == pushed {
                    continue;
                }
                told = true;
                let toward = match pushed {
                    Direction::Forward => "to the front",
                    Direction::Back => "to the rear",
                };
                let message = format!(
                    "by pressures and areas `{}` is pushed {toward} at `{}`, and in the shot it moves {}",
                    part.name.id,
                    part.positions[moment.position].id,
                    moves.word()
                );
                let slip =
                    self.slip(Element::Part(forces.part), ("force-against-motion", true), message);
                slips.push(slip.help(
                    "see the forces with `gaugebook shot`, and put sizes, springs, pressures or facts right",
                ));
            }
        }
        slips
    }
}
