//! What the sizes of cutaways cannot be, beside whether they close: bodies within each other, rings
//! that do not reach, rooms that nothing parts, and figures of the page that disagree with them.

use super::super::measured::{Quality, Readings, drawn_at};
use super::super::models::CutawayResults;
use super::super::routing::{Routed, Routing};
use super::PosedEngine;
use super::build::BuiltEngine;
use super::closure::Closing;
use super::nonsense::Nonsense;
use super::openings::{OpenChambers, OpenJoint};
use super::results::LookedAtPose;
use super::{assembling, blanks, crossings};
use crate::cutaway::Engine;
use crate::cutaway::model::{ChamberId, Condition, Element, OPEN_AIR, PartId, PositionId, Returns};
use crate::cutaway::sized::UNKNOWN_OUTSIDE;
use crate::formula::{self, Margin, Outcome, Truth};
use crate::geometry::{FIXED, PoseFinding, Scalar};
use crate::sheet::Ledger;
use crate::slip::Slip;
use crate::text::{Span, Spot};
use std::collections::BTreeSet;

/// Judges the sizes of every cutaway whose engine has a page.
pub(in crate::folio) fn judge(
    routing: &Routing,
    cutaways: &CutawayResults,
    ledger: &Ledger,
) -> Vec<Slip> {
    let mut slips = Vec::new();
    for (name, routed) in &routing.engines {
        let Some(readings) = Readings::of(ledger, name) else { continue };
        let Some((drawn, known)) = cutaways.drawn_engine(name) else { continue };
        let (posed, faults) = drawn.posed((readings, known));
        for fault in faults {
            let slip = Slip::stop(fault.code, spot(routed, fault.span), fault.message.clone());
            slips.push(match &fault.help {
                Some(help) => slip.help(help.clone()),
                None => slip,
            });
        }
        let Some(posed) = posed else { continue };
        let PosedEngine { built, poses, strokes, .. } = posed;
        slips.extend(impossible(routed, built, poses));
        slips.extend(astray_holes(routed, built, poses));
        slips.extend(crossings::crossings(routed, built));
        slips.extend(assembling::slips(routed, (built, poses), readings));
        slips.extend(blanks::slip(routed, built));
        slips.extend(otherwise_stated(routed, readings));
        let named = drawn.forces(posed, (readings, known));
        slips.extend(Nonsense { routed, built, forces: named, readings }.judge());
        let forces = drawn.pushed(posed, (readings, known));
        slips.extend(Closing { routed, built, poses, strokes, forces, readings }.judge());
    }
    slips
}

/// A place of the cutaway. What another cutaway brings stands in another file.
pub(super) fn spot(routed: &Routed, span: Span) -> Spot {
    let is_within = span.end <= routed.source.text.len();
    Spot::new(&routed.source, if is_within { span } else { routed.engine.name.span })
}

/// Poses that cannot be, each trouble once.
fn impossible(routed: &Routed, built: &BuiltEngine, poses: &[LookedAtPose]) -> Vec<Slip> {
    let engine = &routed.engine;
    let mut slips = Vec::new();
    let mut told = BTreeSet::new();
    for looked in poses {
        let stands = stands(engine, looked);
        let troubles = troubles(engine, built, looked);
        for (key, element, message, help) in troubles {
            if told.insert(key) {
                let span = element.name(engine).map_or(engine.name.span, |name| name.span);
                let slip = Slip::stop(
                    "drawing-impossible",
                    spot(routed, span),
                    format!("{message}, {stands}"),
                );
                slips.push(slip.help(help));
            }
        }
    }
    slips
}

/// Holes of ways that open into none of the rooms which their way joins, wherever the parts stand.
fn astray_holes(routed: &Routed, built: &BuiltEngine, poses: &[LookedAtPose]) -> Vec<Slip> {
    if !built.blanks.is_empty() {
        return Vec::new();
    }
    let engine = &routed.engine;
    let mut slips = Vec::new();
    for (number, port) in built.ports.iter().enumerate() {
        let way = &engine.ways[port.way];
        let wanted = [way.from, way.to].into_iter().filter(|end| built.rooms.contains(end));
        let wanted: Vec<ChamberId> = wanted.collect();
        let found: Vec<_> = poses.iter().flat_map(|it| opens_into(built, number, it)).collect();
        if wanted.is_empty() || found.iter().any(|room| wanted.contains(room)) {
            continue;
        }
        let name = |at: ChamberId| format!("`{}`", engine.chambers[at].name.id);
        let wanted = crate::text::listed(&wanted.into_iter().map(name).collect::<Vec<_>>(), "or");
        let into = match found.into_iter().next() {
            Some(room) => format!("opens into {}, not into {wanted}", name(room)),
            None => format!("does not open into {wanted}"),
        };
        let message = format!("by the sizes the hole of `{}` {into}", way.name.id);
        let slip = Slip::stop("drawing-impossible", spot(routed, port.span), message);
        slips.push(slip.help("put its distance from the rear end right, or name the other way"));
    }
    slips
}

/// The rooms that a port opens into in a pose.
fn opens_into(built: &BuiltEngine, port: usize, looked: &LookedAtPose) -> Vec<ChamberId> {
    let openings = looked.cell.port_openings(&looked.pose.positions).into_iter();
    let own = openings.filter(|it| it.port == port && 0.0 < it.area.value());
    own.map(|it| built.rooms.get(it.room).copied().unwrap_or(OPEN_AIR)).collect()
}

/// How the parts stand in a pose, in words.
pub(super) fn stands(engine: &Engine, looked: &LookedAtPose) -> String {
    looked.pose.at.map_or_else(
        || "at rest".to_owned(),
        |(part, position)| {
            let part = &engine.parts[part];
            format!("with `{}` at `{}`", part.name.id, part.positions[position].id)
        },
    )
}

/// A trouble: what it is about, the thing to blame, what it is, what to do.
type Trouble = (String, Element, String, &'static str);

fn troubles(engine: &Engine, built: &BuiltEngine, looked: &LookedAtPose) -> Vec<Trouble> {
    let name = |body: usize| match body {
        FIXED => "the body".to_owned(),
        body => format!("`{}`", engine.parts[built.parts[body - 1]].name.id),
    };
    let room = |at: usize| built.rooms.get(at).copied().unwrap_or(OPEN_AIR);
    let word = |at: usize| format!("`{}`", engine.chambers[room(at)].name.id);
    let mut found: Vec<Trouble> = Vec::new();
    // What overlaps leaves no void to speak of.
    let is_collision = |it: &&PoseFinding| matches!(it, PoseFinding::Collision(_));
    let collision = looked.cell.findings.iter().find(is_collision);
    let all = looked.cell.findings.iter();
    let is_whole = collision.is_none() && built.blanks.is_empty();
    for finding in collision.into_iter().chain(all.filter(|_| is_whole)) {
        match finding {
            PoseFinding::Collision(collision) => {
                let (a, b) = collision.bodies;
                if !blanks::is_measured(built, &looked.pose.positions, (a, b)) {
                    continue;
                }
                let part = built.parts[a.max(b).max(1) - 1];
                let mut message = format!(
                    "{} and {} are in each other {:.2} mm in front of the rear end, over {:.2} mm of \
                     length",
                    name(a),
                    name(b),
                    built.rear_distance(collision.from) * 1e3,
                    (collision.to - collision.from) * 1e3,
                );
                // The outside of a body where none is stated lies beyond any size.
                if collision.depth < UNKNOWN_OUTSIDE / 2.0 {
                    message.push_str(&format!(" and {:.2} mm of radius", collision.depth * 1e3));
                }
                let key = format!("collision {a} {b}");
                let help = "put the size or the place right that lets them overlap";
                found.push((key, Element::Part(part), message, help));
            }
            PoseFinding::Merged { rooms: (a, b), at } => {
                let message = format!(
                    "nothing keeps {} and {} apart {:.2} mm in front of the rear end",
                    word(*a),
                    word(*b),
                    built.rear_distance(*at) * 1e3
                );
                let help = "give the seal between them a groove, or put its bore right";
                found.push((format!("rooms {a} {b}"), Element::Chamber(room(*b)), message, help));
            }
            PoseFinding::Outside { room: at } => {
                let message = format!("{} lies in the open air", word(*at));
                let help = "close the body there, or name another step";
                found.push((format!("outside {at}"), Element::Chamber(room(*at)), message, help));
            }
            PoseFinding::Idle { ring } => {
                let seal = built.rings[*ring].seal;
                if holds(&engine.seals[seal].when, looked.pose.at) == Some(true) {
                    let own = &engine.seals[seal].name.id;
                    let message = format!("the ring `{own}` does not reach what it seals against");
                    let help = "put the floor of its groove, its size or the bore right, or say \
                                `while` it seals";
                    found.push((format!("ring {ring}"), Element::Seal(seal), message, help));
                }
            }
            PoseFinding::Trapped { .. } | PoseFinding::Unclaimed { .. } => {}
        }
    }
    if is_whole {
        found.extend(unsaid_openings(engine, built, looked));
    }
    found
}

/// Rooms that stand open to each other where no way of the cutaway says so.
fn unsaid_openings(engine: &Engine, built: &BuiltEngine, looked: &LookedAtPose) -> Vec<Trouble> {
    let open = OpenChambers::of((built, engine), &looked.cell, &looked.pose.positions);
    let mut found = Vec::new();
    for (OpenJoint { chambers: (a, b), through }, area) in open.joints {
        if area.value() <= 0.0 {
            continue;
        }
        let joins = |from, to| (from, to) == (a, b) || (from, to) == (b, a);
        let own = through.filter(|at| joins(engine.ways[*at].from, engine.ways[*at].to));
        let by_way = engine.ways.entries().any(|(at, way)| {
            let is_it = own.is_none_or(|own| own == at) && joins(way.from, way.to);
            is_it && (way.barrel || holds(&way.when, looked.pose.at) != Some(false))
        });
        let joints = |valve: &crate::cutaway::model::Valve| {
            let own = valve.rest.iter().chain(&valve.shifted);
            own.copied().any(|(from, to)| joins(from, to))
                && !matches!(valve.returns, Returns::While(_) if valve.shifts.is_empty())
        };
        if by_way || (own.is_none() && engine.valves.iter().any(joints)) {
            continue;
        }
        let (one, other) = (&engine.chambers[a].name.id, &engine.chambers[b].name.id);
        let message = match own {
            Some(way) => format!(
                "by the sizes the hole of `{}` is open to `{one}` or `{other}` ({:.1} mm\u{b2}), and its \
                 way says that it is shut",
                engine.ways[way].name.id,
                area.value() * 1e6
            ),
            None => format!(
                "by the sizes `{one}` and `{other}` stand open to each other ({:.1} mm\u{b2}), and no \
                 way says so",
                area.value() * 1e6
            ),
        };
        let help = "add the way, or put the size right that opens it";
        found.push((format!("open {one} {other}"), Element::Chamber(a), message, help));
    }
    found
}

/// Whether conditions hold with a part at a position; `None` where they speak of something else.
pub(super) fn holds(conditions: &[Condition], at: Option<(PartId, PositionId)>) -> Option<bool> {
    let mut known = Some(true);
    for condition in conditions {
        let (part, is_so): (PartId, Box<dyn Fn(PositionId) -> bool>) = match *condition {
            Condition::At(part, position) => (part, Box::new(move |it| it == position)),
            Condition::From(part, position) => (part, Box::new(move |it| position <= it)),
            Condition::Before(part, position) => (part, Box::new(move |it| it < position)),
            _ => {
                known = None;
                continue;
            }
        };
        match at {
            Some((own, position)) if own == part => {
                if !is_so(position) {
                    return Some(false);
                }
            }
            _ => known = None,
        }
    }
    known
}

/// Figures of the page that state what the sizes come to otherwise.
fn otherwise_stated(routed: &Routed, readings: Readings<'_>) -> Vec<Slip> {
    let scope = readings.ledger.scope(readings.sheet);
    let conventions = &readings.ledger.sheets[readings.sheet].conventions;
    let mut slips = Vec::new();
    for drawn in drawn_at(&routed.engine) {
        let Some(quality) =
            drawn.qualities.iter().find(|it| matches!(it, Quality::Volume | Quality::Area))
        else {
            continue;
        };
        let stated = &drawn.reading.id;
        let text = format!("cut.{}.{} = {stated}", drawn.thing, quality.word());
        let Ok(formula) = formula::parse(&text) else { continue };
        let outcome = formula::evaluate(&formula, &scope, conventions);
        if !matches!(outcome, Ok(Outcome::Truth(Truth::False(Margin::Certain)))) {
            continue;
        }
        let message =
            format!("by the sizes the {} of `{}` is another one", quality.word(), drawn.thing);
        let slip = Slip::stop("drawing-disagrees", spot(routed, drawn.reading.span), message);
        let slip = slip.works_out(formula::account(&formula, &scope, conventions));
        slips.push(slip.help("put the reading, or the sizes that it rests on, right"));
    }
    slips
}
