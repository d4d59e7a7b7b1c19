//! From one engine to another whose cutaway is based on it: each change alone, one after the other,
//! and what it changes of the structure and of the shot.

use super::routing::{Routed, Routing};
use crate::comparison::{Side, compare};
use crate::cutaway::{self, Engine};
use crate::logic::{Exploration, explore};
use crate::slip::Severity;
use crate::text::Source;
use serde::Serialize;
use std::borrow::Cow;
use std::sync::Arc;

/// More changes than anybody reads, and more bases than lead from one engine to another.
const MOST_CHANGES: usize = 40;
const MOST_BASES: usize = 16;

/// Statements that say more of what stands there already. They come with the first change with
/// which they can be read.
const COMMENTARY: [&str; 7] =
    ["fact", "order", "event", "axis", "without event", "without fact", "without order"];

/// One change of a cutaway.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct ChangeStep {
    /// The engine whose cutaway states it, by its name.
    pub(crate) engine: String,
    /// As it is written: several statements where fewer make no engine whose shot comes to rest.
    pub(crate) statements: String,
    /// What differs from the engine before it, as a sentence without full stop.
    pub(crate) structure: String,
    /// How many events come in the same order.
    pub(crate) order: String,
    /// What differs in the shot, as sentences.
    pub(crate) says: Vec<String>,
}

/// An engine on the way, and what can happen in one shot of it.
struct Waypoint<'a> {
    engine: Cow<'a, Engine>,
    run: Cow<'a, Exploration>,
}

/// The changes that make the engine `to` of the engine `from`; none where its cutaway is not based
/// on the other's, or the shot of one on the way is not known.
pub(crate) fn one_by_one(routing: &Routing, from: &str, to: &str) -> Vec<ChangeStep> {
    let mut chain: Vec<&Routed> = Vec::new();
    let mut at = to;
    while at != from {
        let Some(routed) = routing.of(at) else { return Vec::new() };
        let Some(base) = &routed.engine.based_on else { return Vec::new() };
        chain.push(routed);
        at = base;
        if MOST_BASES < chain.len() {
            return Vec::new();
        }
    }
    let Some(mut before) = routing.of(from).and_then(known) else { return Vec::new() };
    let mut steps = Vec::new();
    for routed in chain.into_iter().rev() {
        let Some(end) = known(routed) else { return Vec::new() };
        before = changed(routing, routed, (before, end), &mut steps);
    }
    if MOST_CHANGES < steps.len() { Vec::new() } else { steps }
}

fn known(routed: &Routed) -> Option<Waypoint<'_>> {
    let run = &routed.shot.as_ref()?.found;
    Some(Waypoint { engine: Cow::Borrowed(&routed.engine), run: Cow::Borrowed(run) })
}

/// Tells the changes of one cutaway; gives where they lead.
fn changed<'a>(
    routing: &Routing,
    routed: &Routed,
    (mut before, end): (Waypoint<'a>, Waypoint<'a>),
    steps: &mut Vec<ChangeStep>,
) -> Waypoint<'a> {
    let all = cutaway::statement_texts(&routed.source.text);
    let Some((head, own)) = all.split_first() else { return end };
    let of_engine = own.iter().filter(|it| !is_any(it, &["revision", "variant"]));
    let (more, changes): (Vec<&str>, Vec<&str>) = of_engine.partition(|it| is_any(it, &COMMENTARY));
    let mut pending: Vec<&str> = Vec::new();
    for (at, change) in changes.iter().enumerate().take(changes.len().saturating_sub(1)) {
        pending.push(change);
        let written = [&[*head], &changes[..=at]].concat();
        let after = sound(routing, &routed.source.name, &written, &more);
        let Some(after) = after.filter(|after| end.run.ending() == after.run.ending()) else {
            continue;
        };
        steps.push(step(&routed.engine, &before, &after, &pending));
        pending.clear();
        before = after;
    }
    match changes.last() {
        Some(last) => pending.push(last),
        None => pending = more,
    }
    steps.push(step(&routed.engine, &before, &end, &pending));
    end
}

fn is_any(statement: &str, words: &[&str]) -> bool {
    words.iter().any(|word| statement.starts_with(word))
}

/// The engine of these statements, with what more of `commentary` can be read; `None` where it has
/// faults or does not rest.
fn sound<'a>(
    routing: &Routing,
    name: &str,
    written: &[&str],
    commentary: &[&str],
) -> Option<Waypoint<'a>> {
    let others = |engine: &str| routing.of(engine).map(|routed| Arc::clone(&routed.source));
    let mut left = commentary.to_vec();
    // What a comment names may be missing, and another comment may rest on it.
    for _ in 0..3 {
        let text = [written, &left].concat().join("\n");
        let source = Source::new(name, text);
        let (engine, slips) = cutaway::read(&source, &others);
        let stops = slips.iter().filter(|slip| slip.severity == Severity::Stop);
        let places: Vec<usize> = stops.map(|slip| slip.spot.span.start).collect();
        if places.is_empty() {
            let run = explore(&engine);
            let rests = run.unrest.is_empty();
            return rests.then_some(Waypoint { engine: Cow::Owned(engine), run: Cow::Owned(run) });
        }
        let mut start = written.iter().map(|it| it.len() + 1).sum::<usize>();
        if places.iter().any(|place| *place < start) {
            return None;
        }
        left.retain(|comment| {
            let range = start..start + comment.len() + 1;
            start = range.end;
            !places.iter().any(|place| range.contains(place))
        });
    }
    None
}

fn step(own: &Engine, before: &Waypoint<'_>, after: &Waypoint<'_>, written: &[&str]) -> ChangeStep {
    let side = |of: &Waypoint<'_>, name: &str| {
        let mut engine = of.engine.clone().into_owned();
        engine.name.id = name.to_owned();
        engine
    };
    let engines = [side(before, "old"), side(after, "new")];
    let likeness = compare(
        Side { engine: &engines[0], run: &before.run },
        Side { engine: &engines[1], run: &after.run },
    );
    ChangeStep {
        engine: own.name.id.clone(),
        statements: written.join("\n"),
        structure: likeness.verdict(),
        order: likeness.sequence.verdict(),
        says: likeness.sequence.says,
    }
}

#[cfg(test)]
mod tests {
    use super::super::routing::read;
    use super::*;

    fn demo() -> Routing {
        let source = |name: &str| {
            let file = format!("diagrams/{name}.cut");
            let text = std::fs::read_to_string(&file).unwrap_or_default();
            Source::new(file, text)
        };
        read(&["hazel", "rowan", "rowan_deep", "ash", "sorrel", "yew"].map(source)).0
    }

    #[test]
    fn each_change_is_told_once_and_by_itself_where_it_can_be() {
        // The statements of the cutaways, in their order.
        let told = |steps: &[ChangeStep]| -> Vec<String> {
            let lines = steps.iter().flat_map(|step| step.statements.lines());
            let heads = lines.filter(|line| !line.starts_with(' '));
            heads.map(|line| line.split("  ").next().unwrap_or(line).to_owned()).collect()
        };
        let routing = demo();
        let steps = one_by_one(&routing, "rowan", "rowan_deep");
        let wanted = ["without body", "moving switch", "without seal stem_seal", "seal seat"];
        assert_eq!(told(&steps), wanted);
        // Another shape of the switch is nothing that the air could notice.
        let of_switch = |step: &&ChangeStep| step.statements.contains("moving switch");
        let shape = steps.iter().find(of_switch).unwrap();
        assert!(shape.structure.contains("1 difference in structure"), "{shape:?}");
        assert!(shape.says.is_empty(), "{shape:?}");
        let steps = one_by_one(&routing, "rowan", "ash");
        let wanted = [
            "chamber pilot_line",
            "valve pilot",
            "quick exhaust diaphragm",
            "body",
            "moving bolt",
            "without way bleed_hole",
            "without seal collar_seal",
            "way stage",
            "way outlet",
            "seal shaft_seal",
            "seal sail_seal",
            "seal drag_seal",
            "seal neck_seal",
        ];
        assert_eq!(told(&steps), wanted);
        // A shaft that no longer catches the store leaves it open until the switch has gone back.
        let of_bolt = |step: &&ChangeStep| step.statements.contains("moving bolt");
        let late = |it: &String| it.contains("“pellet is out” comes before “mouth closes” in New");
        assert!(
            steps.iter().find(of_bolt).is_some_and(|step| step.says.iter().any(late)),
            "{steps:#?}"
        );
        // A ring of another size is no change of structure.
        let ring = steps.last().map(|step| (step.structure.as_str(), step.says.len()));
        assert_eq!(ring, Some(("same structure, but a size or a fact differs", 0)));
    }

    #[test]
    fn what_makes_no_engine_alone_is_told_with_what_it_needs() {
        let steps = one_by_one(&demo(), "rowan", "sorrel");
        // Without its metering hole Rowan would never fill again; Sorrel's pilot feeds the store.
        let told = steps.iter().find(|step| step.statements.contains("without way metering"));
        assert!(told.is_some_and(|step| step.statements.contains("valve pilot")), "{steps:#?}");
    }

    #[test]
    fn engines_that_are_not_based_on_each_other_have_no_changes() {
        let routing = demo();
        for (from, to) in [("ash", "rowan"), ("hazel", "rowan"), ("rowan", "rowan"), ("yew", "ash")]
        {
            assert!(one_by_one(&routing, from, to).is_empty(), "{from} to {to}");
        }
    }
}
