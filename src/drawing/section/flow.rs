//! Arrows where air moves in a state: through open ways and valves, from more pressure to less.

use super::ports::PortOf;
use super::scaled::{PosedScene, SectionScene};
use crate::cutaway::model::{ChamberId, Engine, Width};
use crate::drawing::shape::{NARROW, Sketch};
use crate::drawing::view::DrawingView;
use std::cmp::Ordering;
use std::collections::BTreeSet;

/// Length of an arrow, of its head, and half the width of that.
const LONG: f64 = 16.0;
const HEAD: f64 = 7.0;
const HALF: f64 = 2.6;

/// Draws them all.
pub(super) fn arrows(scene: &SectionScene, pose: &PosedScene, sketch: &mut Sketch) {
    let view = pose.view;
    let flows = |from, to, is_one_way| flows(view, (from, to), is_one_way);
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
        let up = if goes_out { (0.0, -1.0) } else { (0.0, 1.0) };
        arrow(sketch, (port.x, middle), up, HALF.min(0.7 * port.half));
    }
    for way in scene.engine.ways.iter().filter(|way| view.is_open(scene.engine, way)) {
        let Some(goes) = flows(way.from, way.to, way.one_way) else { continue };
        let is_port = scene.ports.ports.iter().any(|port| {
            matches!(port.of, PortOf::Way(at) if scene.engine.ways[at].name.id == way.name.id)
        });
        if is_port {
            continue;
        }
        let rooms = (way.from, way.to);
        if let Some((throat, is_in_hole)) = pose.map.throat(rooms) {
            let up = if goes == is_in_hole { (0.0, 1.0) } else { (0.0, -1.0) };
            let mouth = throat.mouth;
            let x = f64::midpoint(mouth.left, mouth.right);
            let clear = |y: &f64| {
                let ends = [-0.5, 0.0, 0.5].map(|share| (x, y + share * (LONG + 2.0)));
                ends.into_iter().all(|place| pose.map.is_free(place))
            };
            let places = [-0.5, -0.75, -0.25, 0.0, 0.25, 0.5].map(|share| mouth.y + share * LONG);
            if let Some(y) = places.into_iter().find(clear) {
                arrow(sketch, (x, y), up, HALF.min(0.35 * (mouth.right - mouth.left)));
                continue;
            }
        }
        let Some((border, is_behind)) = pose.map.border(rooms) else { continue };
        let forward = if goes == is_behind { 1.0 } else { -1.0 };
        let Some((x, y)) = pose.map.beside(&border, rooms, LONG) else { continue };
        arrow(sketch, (x, y), (forward, 0.0), HALF);
        let ends = [-0.5, 0.5].map(|share| pose.map.room_at((x + share * LONG, -y)));
        let is_same = ends.iter().flatten().filter(|it| [rooms.0, rooms.1].contains(it)).count();
        if is_same == 2 && y.abs() < scene.scaled.radius {
            arrow(sketch, (x, -y), (forward, 0.0), HALF);
        }
    }
}

/// Whether air flows from the first room to the second, or back; `None` where it rests.
fn flows(view: &DrawingView, (from, to): (ChamberId, ChamberId), is_one_way: bool) -> Option<bool> {
    match view.level(from)?.rank().cmp(&view.level(to)?.rank()) {
        Ordering::Greater => Some(true),
        Ordering::Less if !is_one_way => Some(false),
        _ => None,
    }
}

/// Whether a room is filling or emptying: all that are joined to it have more than it has, or all
/// have less. What only leaks does not count.
pub(super) fn trend(engine: &Engine, view: &DrawingView, room: ChamberId) -> Option<&'static str> {
    let ways = engine.ways.iter().filter(|way| way.width != Width::Bleed);
    let ways = ways.filter(|way| view.lets_pass(engine, way)).map(|way| (way.from, way.to));
    let valves = engine.valves.entries().flat_map(|(at, valve)| {
        let pairs = if view.is_shifted(at) { &valve.shifted } else { &valve.rest };
        pairs.iter().copied()
    });
    let ends = ways.chain(valves).filter_map(|(a, b)| match room {
        room if room == a => Some(b),
        room if room == b => Some(a),
        _ => None,
    });
    if engine.chambers[room].is_supply() {
        return None;
    }
    let own = view.level(room)?.rank();
    let orders: BTreeSet<Ordering> =
        ends.filter_map(|end| Some(view.level(end)?.rank().cmp(&own))).collect();
    match orders.into_iter().collect::<Vec<_>>().as_slice() {
        [Ordering::Greater] => Some("filling"),
        [Ordering::Less] => Some("emptying"),
        _ => None,
    }
}

/// An arrow around a place, this way, with a head so wide.
fn arrow(sketch: &mut Sketch, middle: (f64, f64), (u, v): (f64, f64), half: f64) {
    let on = |along: f64, aside: f64| {
        (middle.0 + along * u - aside * v, middle.1 + along * v + aside * u)
    };
    sketch.line(NARROW, &[on(-LONG / 2.0, 0.0), on(LONG / 2.0 - HEAD, 0.0)]);
    sketch.area(&[on(LONG / 2.0, 0.0), on(LONG / 2.0 - HEAD, half), on(LONG / 2.0 - HEAD, -half)]);
}
