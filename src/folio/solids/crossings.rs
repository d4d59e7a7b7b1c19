//! Rings that slide over holes: the edge of a hole that is wide for a ring cuts it, and while the
//! ring stands there it seals nothing.

use super::super::routing::Routed;
use super::build::BuiltEngine;
use super::judge::spot;
use crate::cutaway::model::Element;
use crate::cutaway::sized::UNKNOWN_OUTSIDE;
use crate::geometry::{CrossHole, FIXED, Frustum, RingSide, SealRing, TOUCH};
use crate::slip::Slip;

/// A ring passes holes up to this share of its section; wider ones need a ring that does not touch
/// there. Common practice, no source.
const NARROW: f64 = 0.75;

/// Each ring that slides over a hole, with the widest such hole.
pub(super) fn crossings(routed: &Routed, built: &BuiltEngine) -> Vec<Slip> {
    if !built.blanks.is_empty() {
        return Vec::new();
    }
    let assembly = built.cut.assembly().plain();
    let engine = &routed.engine;
    let mut slips = Vec::new();
    for (ring, own) in assembly.rings.iter().zip(&built.rings) {
        let holes = assembly.holes.iter().chain(&assembly.ports);
        let crossed = holes.filter(|hole| {
            let is_wide = 2.0 * ring.half_section * NARROW < hole.diameter;
            is_wide && hole.body != ring.body && is_crossed(&assembly.bodies, ring, hole)
        });
        let Some(hole) = crossed.max_by(|a, b| a.diameter.total_cmp(&b.diameter)) else { continue };
        let carrier = match hole.body {
            FIXED => "the body".to_owned(),
            body => format!("`{}`", engine.parts[built.parts[body - 1]].name.id),
        };
        let message = format!(
            "the ring `{}` slides over the hole of {:.2} mm in {carrier}, {:.2} mm in front of its rear \
             end",
            engine.seals[own.seal].name.id,
            hole.diameter * 1e3,
            built.rear_distance(hole.at) * 1e3,
        );
        let name = Element::Seal(own.seal).name(engine).unwrap_or(&engine.name);
        let slip = Slip::mark("ring-crosses-hole", spot(routed, name.span), message);
        slips.push(slip.help(
            "put the ring or the hole elsewhere, widen the bore there until the ring is clear of it, \
             or drill several narrow holes",
        ));
    }
    slips
}

/// Whether a ring's line comes between the rims of a hole, and touches the wall there.
fn is_crossed(
    bodies: &[crate::geometry::Solid<f64>],
    ring: &SealRing<f64>,
    hole: &CrossHole<f64>,
) -> bool {
    let (own, other) = (&bodies[ring.body].travel, &bodies[hole.body].travel);
    let (low, high) = (ring.at + own.0 - other.1, ring.at + own.1 - other.0);
    let (rear, front) = hole.ends();
    if high <= rear + TOUCH || front - TOUCH <= low {
        return false;
    }
    match ring.side {
        RingSide::Outside => {
            let carrier = ring.free - 2.0 * ring.half_section;
            carrier < hole.bore && hole.bore <= ring.free + TOUCH
        }
        RingSide::Inside => {
            let is_here = |it: &&Frustum<f64>| it.from <= hole.at && hole.at < it.to;
            let outside = bodies[hole.body].pieces.iter().filter(is_here).map(|it| it.outer.0);
            let carrier = ring.free + 2.0 * ring.half_section;
            let touches = |radius: f64| ring.free - TOUCH <= radius && radius < carrier;
            outside.filter(|radius| *radius < UNKNOWN_OUTSIDE).any(touches)
        }
    }
}
