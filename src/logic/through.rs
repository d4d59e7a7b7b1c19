//! Ways that air finds through several rooms: from a supply to the open air, or to a room that it
//! is to fill.

use super::air::{Joint, open_joints};
use super::state::{Level, State};
use crate::cutaway::model::{ChamberId, Element, Engine, OPEN_AIR, Role, Width};
use std::collections::VecDeque;

/// The way from a supply to the open air, if one stands open: passages in order. A bleed is meant
/// to leak and does not count.
pub(crate) fn escape(engine: &Engine, state: &State) -> Option<(ChamberId, Vec<Element>)> {
    escape_by(engine, state, Width::Narrow)
}

/// The same by passages none of which is narrower than this.
pub(crate) fn escape_by(
    engine: &Engine,
    state: &State,
    narrowest: Width,
) -> Option<(ChamberId, Vec<Element>)> {
    let joints = joints_by(engine, state, narrowest);
    let mut supplies = engine.chambers.ids().skip(1).filter(|at| engine.chambers[*at].is_supply());
    supplies.find_map(|supply| Some((supply, passages(engine, &joints, supply, OPEN_AIR)?)))
}

/// The widest way by which air comes to a room from a supply or from a store that holds some, as
/// the state has it: how narrow it is at its narrowest, and its passages in order.
pub(crate) fn feed(
    engine: &Engine,
    state: &State,
    room: ChamberId,
) -> Option<(Width, Vec<Element>)> {
    let is_store = engine.chambers[room].role == Role::Store;
    let sources = engine.chambers.entries().skip(1).filter(|(at, chamber)| {
        let gives = chamber.role == Role::Store && state.levels[*at] != Level::Empty;
        *at != room && (chamber.is_supply() || gives && !is_store)
    });
    let sources: Vec<ChamberId> = sources.map(|(at, _)| at).collect();
    [Width::Wide, Width::Narrow, Width::Bleed].into_iter().find_map(|width| {
        let joints = joints_by(engine, state, width);
        let mut ways = sources.iter().map(|from| passages(engine, &joints, *from, room));
        Some((width, ways.find_map(|way| way)?))
    })
}

/// The way from a room to the open air that passes neither the barrel nor a supply.
pub(crate) fn leak(engine: &Engine, state: &State, room: ChamberId) -> Option<Vec<Element>> {
    let mut joints = joints_by(engine, state, Width::Narrow);
    joints.retain(|joint| !matches!(joint.passage, Element::Way(at) if engine.ways[at].barrel));
    passages(engine, &joints, room, OPEN_AIR)
}

fn joints_by(engine: &Engine, state: &State, narrowest: Width) -> Vec<Joint> {
    let mut joints = open_joints(engine, state);
    joints.retain(|joint| joint.width <= narrowest);
    joints
}

/// The passages of a shortest way between two rooms, through no other supply and not by way of the
/// open air.
fn passages(
    engine: &Engine,
    joints: &[Joint],
    from: ChamberId,
    to: ChamberId,
) -> Option<Vec<Element>> {
    let mut came_by = engine.chambers.map(|_, _| None::<(ChamberId, Element)>);
    let mut queue = VecDeque::from([from]);
    while let Some(here) = queue.pop_front() {
        for joint in joints {
            let next = match (joint.from == here, joint.to == here && !joint.one_way) {
                (true, _) => joint.to,
                (false, true) => joint.from,
                _ => continue,
            };
            if next != from && came_by[next].is_none() {
                came_by[next] = Some((here, joint.passage));
                let ends = next == OPEN_AIR || engine.chambers[next].is_supply();
                queue.extend((!ends).then_some(next));
            }
        }
    }
    let mut path = Vec::new();
    let mut here = to;
    while let Some((before, passage)) = came_by[here] {
        path.push(passage);
        here = before;
    }
    path.reverse();
    (!path.is_empty()).then_some(path)
}
