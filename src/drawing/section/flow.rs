//! Arrows where air moves in a state: through open ways and valves, from more pressure to less.

use super::ports::PortOf;
use super::scaled::{PosedScene, SectionScene};
use crate::cutaway::model::ChamberId;
use crate::drawing::shape::{NARROW, Sketch};

/// Length of an arrow, of its head, and half the width of that.
const LONG: f64 = 16.0;
const HEAD: f64 = 7.0;
const HALF: f64 = 2.6;

/// Draws them all.
pub(super) fn arrows(scene: &SectionScene, pose: &PosedScene, sketch: &mut Sketch) {
    let view = pose.view;
    let flows = |from: ChamberId, to: ChamberId, one_way: bool| {
        let (Some(a), Some(b)) = (view.level(from), view.level(to)) else { return None };
        match a.rank().cmp(&b.rank()) {
            std::cmp::Ordering::Greater => Some(true),
            std::cmp::Ordering::Less if !one_way => Some(false),
            _ => None,
        }
    };
    for port in &scene.ports.ports {
        let state = port.of.state(scene.engine, view, port.room);
        let Some(other) = state.leads_to.filter(|_| state.is_open) else { continue };
        let is_one_way = match port.of {
            PortOf::Way(way) => scene.engine.ways[way].one_way,
            PortOf::Valve(_) => false,
        };
        let flow = match port.of {
            PortOf::Way(way) if scene.engine.ways[way].from != port.room => {
                flows(other, port.room, is_one_way).map(|goes| !goes)
            }
            _ => flows(port.room, other, is_one_way),
        };
        let Some(goes_out) = flow else { continue };
        let middle = f64::midpoint(port.wall.0, port.wall.1);
        arrow(sketch, (port.x, middle), if goes_out { (0.0, -1.0) } else { (0.0, 1.0) });
    }
    for way in scene.engine.ways.iter().filter(|way| view.is_open(scene.engine, way)) {
        let Some(goes) = flows(way.from, way.to, way.one_way) else { continue };
        let is_port = scene.ports.ports.iter().any(|port| {
            matches!(port.of, PortOf::Way(at) if scene.engine.ways[at].name.id == way.name.id)
        });
        let Some((border, is_behind)) = pose.map.border((way.from, way.to)).filter(|_| !is_port)
        else {
            continue;
        };
        let forward = if goes == is_behind { 1.0 } else { -1.0 };
        let rooms = (way.from, way.to);
        let Some((x, y)) = pose.map.beside(&border, rooms, LONG) else { continue };
        for side in [1.0, -1.0] {
            arrow(sketch, (x, side * y), (forward, 0.0));
        }
    }
}

/// An arrow around a place, this way.
fn arrow(sketch: &mut Sketch, middle: (f64, f64), (u, v): (f64, f64)) {
    let on = |along: f64, aside: f64| {
        (middle.0 + along * u - aside * v, middle.1 + along * v + aside * u)
    };
    sketch.line(NARROW, &[on(-LONG / 2.0, 0.0), on(LONG / 2.0 - HEAD, 0.0)]);
    sketch.area(&[on(LONG / 2.0, 0.0), on(LONG / 2.0 - HEAD, HALF), on(LONG / 2.0 - HEAD, -HALF)]);
}
