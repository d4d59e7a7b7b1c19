//! Faults of structure that show without moving anything.
//!
//! They are looked for only in a cutaway that could be read as a whole: what a missing line leaves
//! behind looks like one of them.

mod joined;
mod parts;
mod seals;

use super::loops::ChamberGroups;
use super::model::{ChamberId, Condition, Engine, List, OPEN_AIR, PartId, PositionId, Way, Width};
use crate::slip::Slip;
use crate::text::{Source, Span, Spot};
use std::collections::BTreeSet;
use std::ops::Range;
use std::sync::Arc;

/// No statement has more conditions than these for a reason.
const MOST_TERMS: usize = 50;

/// Looks for all of them.
pub(super) fn all(source: &Arc<Source>, engine: &Engine) -> Vec<Slip> {
    let context = CheckContext { source, engine, together: moving_together(engine) };
    let mut slips = seals::check(&context);
    slips.extend(joined::check(&context));
    slips.extend(parts::check(&context));
    slips
}

/// What a check looks at.
struct CheckContext<'a> {
    source: &'a Arc<Source>,
    engine: &'a Engine,
    /// For each part the first of those that move as one with it.
    together: List<PartId, PartId>,
}

impl CheckContext<'_> {
    fn spot(&self, span: Span) -> Spot {
        Spot::new(self.source, span)
    }

    /// A part and all that move as one with it.
    fn moving_with(&self, part: PartId) -> BTreeSet<PartId> {
        let with = self.together.get(part);
        let parts = self.together.entries().filter(|(_, first)| Some(*first) == with);
        parts.map(|(at, _)| at).collect()
    }

    fn chamber(&self, at: ChamberId) -> &str {
        self.engine.chambers.get(at).map_or("", |chamber| chamber.name.id.as_str())
    }
}

/// Whether a way makes one chamber of two, whatever happens.
fn is_always_wide(way: &Way) -> bool {
    let is_plain = !way.one_way && !way.barrel && way.relieves_at.is_none();
    way.when.is_empty() && way.width == Width::Wide && is_plain
}

/// What makes conditions exclude each other, in words; `None` if they can hold together.
pub(super) fn exclusion(
    engine: &Engine,
    together: &List<PartId, PartId>,
    conditions: &[Condition],
) -> Option<String> {
    let words = |condition| super::events::condition_words(engine, condition);
    for (at, condition) in conditions.iter().enumerate().take(MOST_TERMS) {
        if let Some(why) = never(*condition) {
            return Some(format!("`{}` never holds: {why}", words(*condition)));
        }
        let before = conditions[..at].iter();
        let opposite = before.copied().find(|other| exclude(engine, together, *other, *condition));
        if let Some(other) = opposite {
            return Some(format!(
                "`{}` and `{}` exclude each other",
                words(other),
                words(*condition)
            ));
        }
    }
    None
}

fn never(condition: Condition) -> Option<&'static str> {
    match condition {
        Condition::Pressure(OPEN_AIR) | Condition::Above(OPEN_AIR, _) => {
            Some("the open air has no pressure of its own")
        }
        _ => None,
    }
}

fn exclude(engine: &Engine, together: &List<PartId, PartId>, a: Condition, b: Condition) -> bool {
    if let (Some((part_a, first)), Some((part_b, second))) = (places(engine, a), places(engine, b))
    {
        let are_one = together.get(part_a) == together.get(part_b);
        return are_one && (first.end <= second.start || second.end <= first.start);
    }
    match (a, b) {
        (Condition::Shifted(a), Condition::Resting(b))
        | (Condition::Resting(a), Condition::Shifted(b)) => a == b,
        (Condition::Pulled(a), Condition::Released(b))
        | (Condition::Released(a), Condition::Pulled(b)) => a == b,
        (Condition::Reached(a, high), Condition::Below(b, low))
        | (Condition::Below(b, low), Condition::Reached(a, high)) => {
            a == b && engine.landmarks[low].height <= engine.landmarks[high].height
        }
        (Condition::Pressure(a) | Condition::Above(a, _), Condition::NoPressure(b))
        | (Condition::NoPressure(a), Condition::Pressure(b) | Condition::Above(b, _)) => a == b,
        (Condition::Above(high, low), Condition::Above(other, lower)) => {
            (high, low) == (lower, other)
        }
        _ => false,
    }
}

/// The part that a condition speaks of, and the positions at which it holds.
fn places(engine: &Engine, condition: Condition) -> Option<(PartId, Range<PositionId>)> {
    match condition {
        Condition::At(part, at) => Some((part, at..at.in_front())),
        Condition::From(part, at) => {
            Some((part, at..PositionId::at(engine.parts.get(part)?.positions.len())))
        }
        Condition::Before(part, at) => Some((part, PositionId::REAR..at)),
        _ => None,
    }
}

/// For each part the first of those that move as one with it.
pub(crate) fn moving_together(engine: &Engine) -> List<PartId, PartId> {
    let mut groups = ChamberGroups::new(engine.parts.len());
    for (a, b) in &engine.links {
        groups.join(a.place(), b.place());
    }
    engine.parts.ids().map(|part| PartId::at(groups.of(part.place()))).collect()
}
