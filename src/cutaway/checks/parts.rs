//! Parts that nothing moves, and parts that move one way only.

use super::CheckContext;
use crate::cutaway::model::{Direction, Part, PartId};
use crate::slip::Slip;
use std::collections::BTreeSet;

pub(super) fn check(context: &CheckContext) -> Vec<Slip> {
    let parts = context.engine.parts.entries();
    parts.filter_map(|(at, part)| one(context, at, part)).collect()
}

fn one(context: &CheckContext, at: PartId, part: &Part) -> Option<Slip> {
    // What moves as one is told once.
    if context.together.get(at) != Some(&at) {
        return None;
    }
    let together = context.moving_with(at);
    let pushes = together.iter().filter_map(|at| context.engine.parts.get(*at));
    let pushes: Vec<_> = pushes.flat_map(|part| &part.pushes).collect();
    let directions: BTreeSet<Direction> = pushes.iter().map(|push| push.direction).collect();
    let id = &part.name.id;
    let spot = context.spot(part.name.span);
    let mut directions = directions.into_iter();
    match (directions.next(), directions.next()) {
        (None, _) => {
            let slip = Slip::mark("part-unpushed", spot, format!("nothing pushes `{id}`"));
            Some(slip.help(
                "add its faces and springs below it, as `face rear  in room  pushes forward`",
            ))
        }
        (Some(direction), None) => {
            let back = direction.opposite().word();
            let message = format!(
                "everything that pushes `{id}` pushes {}; nothing brings it back",
                direction.word()
            );
            let slip = Slip::note("part-without-return", spot, message);
            Some(slip.help(format!("add what pushes it {back}, as `spring keeper  pushes {back}`")))
        }
        _ => None,
    }
}
