//! Chambers that nothing joins, and chambers that are always joined.

use super::{CheckContext, is_always_wide, places};
use crate::cutaway::model::{ChamberId, Condition, OPEN_AIR, PartId, PositionId, Role, Way};
use crate::slip::Slip;
use crate::text::Span;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

pub(super) fn check(context: &CheckContext) -> Vec<Slip> {
    let mut slips = unjoined(context);
    slips.extend(always_joined(context));
    slips.extend(starts_as_no_supply(context));
    slips
}

/// Rooms that start with the pressure of what has none of its own.
fn starts_as_no_supply(context: &CheckContext) -> Vec<Slip> {
    let chambers = &context.engine.chambers;
    let starts = chambers.iter().filter_map(|room| Some((room, room.starts_as?)));
    let wrong = starts.filter(|(_, from)| !chambers[*from].is_supply());
    let slips = wrong.map(|(room, from)| {
        let from = context.chamber(from);
        let message = format!("`{}` starts as `{from}`, which is no supply", room.name.id);
        Slip::stop("other-kind-wanted", context.spot(room.name.span), message)
            .help("name the supply or the regulated line from which it was filled")
    });
    slips.collect()
}

fn unjoined(context: &CheckContext) -> Vec<Slip> {
    let engine = context.engine;
    let ways = engine.ways.iter().flat_map(|way| [way.from, way.to]);
    let valves = engine.valves.iter().flat_map(|valve| valve.rest.iter().chain(&valve.shifted));
    let valves = valves.flat_map(|(a, b)| [*a, *b]);
    let regulated = engine.chambers.iter().filter_map(|chamber| chamber.regulated_from);
    let joined: BTreeSet<ChamberId> =
        ways.chain(valves).chain(regulated).chain([OPEN_AIR]).collect();
    // A room that starts full may be shut for good: an air spring.
    let alone = engine
        .chambers
        .entries()
        .filter(|(at, chamber)| !joined.contains(at) && chamber.starts_as.is_none());
    let slips = alone.map(|(_, chamber)| {
        let id = &chamber.name.id;
        let message = format!("no way and no valve joins `{id}` to anything");
        Slip::mark("chamber-unjoined", context.spot(chamber.name.span), message)
            .help(format!("add the way by which air gets there, as `way fill  from line to {id}`"))
    });
    slips.collect()
}

/// A pair of chambers, the smaller first.
type ChamberPair = (ChamberId, ChamberId);

/// Chambers that are one in every state. A supply is meant to feed for ever, so it is left out.
fn always_joined(context: &CheckContext) -> Vec<Slip> {
    let engine = context.engine;
    let is_supply =
        |at: ChamberId| engine.chambers.get(at).is_some_and(|chamber| chamber.role == Role::Supply);
    let mut pairs: BTreeMap<ChamberPair, Span> = BTreeMap::new();
    let wide = engine.ways.iter().filter(|way| is_always_wide(way));
    for way in wide {
        pairs.entry(pair(way.from, way.to)).or_insert(way.name.span);
    }
    for valve in &engine.valves {
        let shifted: BTreeSet<ChamberPair> =
            valve.shifted.iter().map(|(a, b)| pair(*a, *b)).collect();
        let both = valve.rest.iter().map(|(a, b)| pair(*a, *b));
        for joined in both.filter(|joined| shifted.contains(joined)) {
            pairs.entry(joined).or_insert(valve.name.span);
        }
    }
    for (joined, span) in open_at_every_position(context) {
        pairs.entry(joined).or_insert(span);
    }
    // Rooms that each have sizes are kept apart by them: a gallery joins two tubes.
    let rooms = &context.engine.drawn.rooms;
    let is_drawn = |a: &ChamberId, b: &ChamberId| rooms.contains_key(a) && rooms.contains_key(b);
    let rooms =
        pairs.into_iter().filter(|((a, b), _)| !is_supply(*a) && !is_supply(*b) && !is_drawn(a, b));
    rooms.map(|((a, b), span)| one_chamber(context, (a, b), span)).collect()
}

/// Pairs whose ways, each open at some positions of one part, are open at all of them together.
fn open_at_every_position(context: &CheckContext) -> Vec<(ChamberPair, Span)> {
    let engine = context.engine;
    let mut open: BTreeMap<(ChamberPair, PartId), (BTreeSet<PositionId>, Span)> = BTreeMap::new();
    for way in &engine.ways {
        let Some((part, positions)) = open_at(context, way) else { continue };
        let key = (pair(way.from, way.to), part);
        let entry = open.entry(key).or_insert_with(|| (BTreeSet::new(), way.name.span));
        let all = engine.parts.get(part).into_iter().flat_map(|part| part.positions.ids());
        entry.0.extend(all.filter(|at| positions.contains(at)));
        entry.1 = entry.1.max(way.name.span);
    }
    let all = |part: PartId| engine.parts.get(part).map_or(0, |part| part.positions.len());
    let whole = open.into_iter().filter(|((_, part), (at, _))| at.len() == all(*part));
    whole.map(|((pair, _), (_, span))| (pair, span)).collect()
}

/// The only part on which a wide way depends, and where it is open.
fn open_at(context: &CheckContext, way: &Way) -> Option<(PartId, Range<PositionId>)> {
    let [condition]: [Condition; 1] = way.when.as_slice().try_into().ok()?;
    let is_wide = is_always_wide(&Way { when: Vec::new(), ..way.clone() });
    places(context.engine, condition).filter(|_| is_wide)
}

fn one_chamber(context: &CheckContext, (a, b): ChamberPair, span: Span) -> Slip {
    let message = if a == OPEN_AIR {
        format!(
            "`{}` stands open to the air in every state and never holds pressure",
            context.chamber(b)
        )
    } else {
        format!("`{}` and `{}` are joined in every state", context.chamber(a), context.chamber(b))
    };
    Slip::note("chambers-always-joined", context.spot(span), message).help(
        "if the joining closes at times, say `while` what it is open; if not, one chamber does",
    )
}

fn pair(a: ChamberId, b: ChamberId) -> ChamberPair {
    (a.min(b), a.max(b))
}
