//! Sizes of which no lathe makes a part, and springs that pull where they should push: what the
//! drawing shows by itself, whatever is uncertain in it.

use super::super::measured::Readings;
use super::super::routing::Routed;
use super::build::BuiltEngine;
use super::judge::spot;
use super::results::{figure, is_above, suffix};
use super::{NamedResults, blanks};
use crate::cutaway::Engine;
use crate::cutaway::model::{PartId, PushKind};
use crate::cutaway::sized::UNKNOWN_OUTSIDE;
use crate::cutaway::solids::{DrawnSolid, StepKind, StepSide};
use crate::formula::standard_uncertainty;
use crate::geometry::{Dual, FIXED, Frustum, RingSide, Scalar};
use crate::quantity::{Dimension, Kind};
use crate::slip::Slip;
use crate::text::Span;

/// How much wider than its bore a ball may be said to be: soft ones are pressed into barrels that
/// are some per cent narrower. Common practice, no source.
const PRESSED: f64 = 1.1;

/// One engine, as far as it is judged here.
pub(super) struct Nonsense<'a> {
    pub(super) routed: &'a Routed,
    pub(super) built: &'a BuiltEngine,
    pub(super) forces: &'a NamedResults,
    pub(super) readings: Readings<'a>,
}

impl Nonsense<'_> {
    pub(super) fn judge(&self) -> Vec<Slip> {
        let engine = self.engine();
        let mut slips = Vec::new();
        let body = engine.drawn.body.iter().map(|solid| (FIXED, solid));
        let parts = self.built.parts.iter().enumerate();
        let parts = parts.filter_map(|(at, part)| Some((at + 1, engine.drawn.parts.get(part)?)));
        for (body, solid) in body.chain(parts) {
            slips.extend(self.grooves((body, solid)));
            slips.extend(self.holes((body, solid)));
        }
        for part in &self.built.parts {
            slips.extend(self.springs(*part));
        }
        slips.extend(self.ball());
        slips
    }

    fn engine(&self) -> &Engine {
        &self.routed.engine
    }

    fn slip(&self, span: Span, message: String, help: &str) -> Slip {
        let spot = spot(self.routed, span);
        Slip::stop("drawing-impossible", spot, message).help(help.to_owned())
    }

    fn pieces(&self, body: usize) -> &[Frustum<Dual>] {
        &self.built.cut.assembly().bodies[body].pieces
    }

    fn name(&self, body: usize) -> String {
        match body.checked_sub(1).and_then(|at| self.built.parts.get(at)) {
            Some(part) => format!("`{}`", self.engine().parts[*part].name.id),
            None => "the body".to_owned(),
        }
    }

    fn is_longer(&self, one: &Dual, other: &Dual) -> bool {
        let over = one.clone() - other.clone();
        let told = (Dimension::LENGTH, Kind::Plain, None);
        is_above(self.readings, &figure(&self.built.inputs, &over, told), 0.0)
    }

    /// Grooves that go through to the bore, or to the outside.
    fn grooves(&self, (body, solid): (usize, &DrawnSolid)) -> Vec<Slip> {
        let rings = self.built.rings.iter().zip(&self.built.cut.assembly().rings);
        let cut = rings.filter(|(_, ring)| ring.body == body).filter_map(|(groove, ring)| {
            let piece = self.pieces(body).iter().find(|it| is_at(it, &ring.at))?;
            let floor = &groove.floor;
            let (wall, what) = match ring.side {
                RingSide::Outside => (piece.inner.as_ref().map(|it| &it.0)?, "bore"),
                RingSide::Inside => (&piece.outer.0, "outside"),
            };
            let is_through = match ring.side {
                RingSide::Outside => self.is_longer(wall, floor),
                RingSide::Inside => is_known(wall) && self.is_longer(floor, wall),
            };
            if !is_through {
                return None;
            }
            let steps = solid.steps.iter().find_map(|step| match &step.kind {
                StepKind::Groove { floor, seal } if *seal == Some(groove.seal) => Some(floor),
                _ => None,
            });
            let message = format!(
                "the groove of `{}` is turned right through to the {what}: its floor is at {}, the \
                 {what} at {}, and {} is in two pieces",
                self.engine().seals[groove.seal].name.id,
                diameter(floor),
                diameter(wall),
                self.name(body),
            );
            let help = format!("put the floor of the groove or the {what} right");
            Some(self.slip(steps?.span, message, &help))
        });
        cut.collect()
    }

    /// Holes across that are as wide as what they are drilled through.
    fn holes(&self, (body, solid): (usize, &DrawnSolid)) -> Vec<Slip> {
        let across = solid.holes.iter().filter(|hole| hole.way.is_none());
        let built = self.built.cut.assembly().holes.iter().filter(|hole| hole.body == body);
        let too_wide = across.zip(built).filter_map(|(drawn, hole)| {
            let piece = self.pieces(body).iter().find(|it| is_at(it, &hole.at))?;
            let outside = &piece.outer.0;
            let radius = hole.diameter.clone() / Dual::constant(2.0);
            if !is_known(outside) || !self.is_longer(&radius, outside) {
                return None;
            }
            let message = format!(
                "this hole of {} is wider than {} is where it is drilled, {}",
                diameter(&radius),
                self.name(body),
                diameter(outside),
            );
            let help = "put its diameter, or its distance from the rear end, right";
            Some(self.slip(drawn.diameter.span, message, help))
        });
        too_wide.collect()
    }

    /// Springs that by their preload and rate push the other way somewhere, each once.
    fn springs(&self, part: PartId) -> Vec<Slip> {
        let own = &self.engine().parts[part];
        let springs = own.pushes.iter().filter(|push| push.kind == PushKind::Spring);
        let turned = springs.filter_map(|push| {
            let path = format!("{}.{}.force", own.name.id, push.name.id);
            own.positions.ids().find_map(|position| {
                let force = self
                    .forces
                    .get(&format!("{path}{}", suffix(self.engine(), (part, position))))?;
                let value = force.as_ref().ok()?;
                let Readings { ledger, sheet } = self.readings;
                let expanded = 2.0 * standard_uncertainty(value, &ledger.scope(sheet));
                let force = value.quantity.si.to_f64();
                if 0.0 <= force + expanded {
                    return None;
                }
                let message = format!(
                    "the {} would push the other way with {:.1} N with `{}` at `{}`: there it is \
                     longer than it is when free",
                    push.spring(),
                    -force,
                    own.name.id,
                    own.positions[position].id,
                );
                let help = "put its rate, its preload or the sizes that it is reckoned from right";
                Some(self.slip(push.name.span, message, help))
            })
        });
        turned.collect()
    }

    /// A ball that does not go into the bore in which it is said to lie.
    fn ball(&self) -> Option<Slip> {
        let engine = self.engine();
        let ball = engine.ball.as_ref()?;
        let place = engine.drawn.rooms.get(&ball.chamber)?;
        if place.part.is_some() || place.side != StepSide::Within {
            return None;
        }
        let bore = &self.pieces(FIXED).get(place.step)?.inner.as_ref()?.0;
        if blanks::blank_in(&self.built.inputs, bore).is_some() {
            return None;
        }
        let names = [format!("{}_diameter", ball.name.id), "ball_diameter".to_owned()];
        let value = |name: &String| Some((name.clone(), self.readings.value(name)?));
        let (name, value) = names.iter().find_map(value)?;
        let wide = value.quantity.si.to_f64();
        let is_length = value.quantity.dimension == Dimension::LENGTH;
        if !is_length || wide <= 2.0 * PRESSED * bore.value() {
            return None;
        }
        let message = format!(
            "`{name}` is {:.2} mm: such a ball does not go into a bore of {}",
            wide * 1e3,
            diameter(bore),
        );
        let help = "put the figure of the page, or the bore, right";
        Some(self.slip(ball.name.span, message, help))
    }
}

/// Whether a place lies along a piece.
fn is_at(piece: &Frustum<Dual>, at: &Dual) -> bool {
    piece.from.value() <= at.value() && at.value() <= piece.to.value()
}

/// Whether an outside is stated.
fn is_known(outside: &Dual) -> bool {
    outside.value() < UNKNOWN_OUTSIDE / 2.0
}

/// A radius as the diameter that one measures.
fn diameter(radius: &Dual) -> String {
    format!("{:.2} mm", radius.value() * 2e3)
}
