//! Seals that cannot do what they are said to do.

use super::{CheckContext, is_always_wide, places};
use crate::cutaway::loops::ChamberGroups;
use crate::cutaway::model::{ChamberId, OPEN_AIR, PartId, PushKind, Seal};
use crate::cutaway::read::all_of_these;
use crate::slip::Slip;
use std::collections::BTreeSet;

pub(super) fn check(context: &CheckContext) -> Vec<Slip> {
    let mut groups = ChamberGroups::new(context.engine.chambers.len());
    for way in context.engine.ways.iter().filter(|way| is_always_wide(way)) {
        groups.join(way.from.place(), way.to.place());
    }
    let mut slips = Vec::new();
    for seal in &context.engine.seals {
        if let Some(slip) = wrong_side(context, seal) {
            slips.push(slip);
        } else if groups.of(seal.between.0.place()) == groups.of(seal.between.1.place()) {
            slips.push(bypassed(context, seal));
        }
    }
    slips
}

/// A seal on a part lies between chambers that the part touches.
fn wrong_side(context: &CheckContext, seal: &Seal) -> Option<Slip> {
    let part = seal.on?;
    let touched = touched(context, part);
    let (a, b) = seal.between;
    let untouched = [a, b].into_iter().find(|chamber| !touched.contains(chamber))?;
    let part = &context.engine.parts.get(part)?.name;
    let chamber = context.chamber(untouched);
    let message = format!(
        "`{}` sits on `{}`, which does not touch `{chamber}`: it cannot keep `{}` from `{}`",
        seal.name.id,
        part.id,
        context.chamber(a),
        context.chamber(b)
    );
    let named = touched.iter().filter(|chamber| **chamber != OPEN_AIR);
    let named: Vec<&str> = named.map(|at| context.chamber(*at)).collect();
    let note = match named.as_slice() {
        [] => format!("`{}` touches no chamber at all", part.id),
        names => format!("`{}` touches {}", part.id, all_of_these(names)),
    };
    let help = format!(
        "say which it is: another chamber here, a face of `{}` in `{chamber}`, or a way that it opens",
        part.id
    );
    let slip = Slip::stop("seal-on-the-wrong-side", context.spot(seal.name.span), message);
    Some(slip.label(context.spot(part.span), "the part").noting(note).help(help))
}

/// Chambers in which a part, or one that moves with it, has a face, and those at the ends of ways
/// that it opens. The open air touches everything.
fn touched(context: &CheckContext, part: PartId) -> BTreeSet<ChamberId> {
    let engine = context.engine;
    let together = context.moving_with(part);
    let parts = together.iter().filter_map(|at| engine.parts.get(*at));
    let faces = parts.flat_map(|part| &part.pushes).filter_map(|push| match push.kind {
        PushKind::Face(chamber) => Some(chamber),
        PushKind::Spring | PushKind::Hand | PushKind::Contact(_) => None,
    });
    let ways = engine.ways.iter().filter(|way| {
        let mut places = way.when.iter().filter_map(|condition| places(engine, *condition));
        places.any(|(part, _)| together.contains(&part))
    });
    let ends = ways.flat_map(|way| [way.from, way.to]);
    faces.chain(ends).chain([OPEN_AIR]).collect()
}

fn bypassed(context: &CheckContext, seal: &Seal) -> Slip {
    let (a, b) = seal.between;
    let ways = context.engine.ways.iter();
    let way = ways
        .filter(|way| is_always_wide(way))
        .find(|way| (way.from, way.to) == (a, b) || (way.from, way.to) == (b, a));
    let message = format!(
        "`{}` keeps `{}` from `{}`, and a wide way between them is always open",
        seal.name.id,
        context.chamber(a),
        context.chamber(b)
    );
    let slip = Slip::mark("seal-bypassed", context.spot(seal.name.span), message);
    match way {
        Some(way) => slip
            .label(context.spot(way.name.span), format!("`{}` joins them", way.name.id))
            .help(format!("say while what `{}` is open", way.name.id)),
        None => slip.noting("the way round leads through other chambers"),
    }
}
