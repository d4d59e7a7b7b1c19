//! What the routing of an engine gives to other tools: the cutaway itself, its circuit as a
//! picture, and one shot as data.

use super::Edition;
use super::shot::{FactRow, Pose, SealRow, ShotView};
use crate::drawing::DrawingView;
use serde::Serialize;

/// Address of an engine's cutaway.
pub(super) fn cutaway_address(engine: &str) -> String {
    format!("data/{engine}.cut")
}

/// Address of its circuit at rest.
pub(super) fn circuit_address(engine: &str) -> String {
    format!("pictures/{engine}-circuit.svg")
}

/// Address of the small picture of an engine whose shot is known.
pub(super) fn stamp_address(engine: &str) -> String {
    format!("pictures/{engine}-small.svg")
}

/// The files that the shot of an engine leads to, with their addresses; none where it has no
/// cutaway without faults.
pub(crate) fn routing_files(edition: &Edition, engine: &str) -> Vec<(String, Vec<u8>)> {
    let routed = edition.folio.routing.of(engine).filter(|routed| routed.shot.is_some());
    let (Some(routed), Some(circuit)) = (routed, edition.circuit(engine)) else {
        return Vec::new();
    };
    let drawing = circuit.drawing(&routed.engine, &DrawingView::default());
    vec![
        (cutaway_address(engine), routed.source.text.clone().into_bytes()),
        (circuit_address(engine), drawing.svg_file(&format!("{engine}-circuit")).into_bytes()),
    ]
}

/// One shot, for the engine's data file.
#[derive(Serialize)]
pub(super) struct RoutingJson<'a> {
    cutaway: String,
    ending: &'a str,
    ends_at_rest: bool,
    taken_for_granted: &'a [String],
    stated_orders: &'a [String],
    order_known: bool,
    in_some_runs_only: &'a [String],
    chambers: &'a [String],
    events: Vec<StepJson<'a>>,
    facts: &'a [FactRow],
    seals: &'a [SealRow],
}

/// A moment without its picture.
#[derive(Serialize)]
struct StepJson<'a> {
    number: usize,
    events: &'a [String],
    why: &'a [String],
    order: &'a str,
    pressures: Vec<&'a str>,
}

/// One shot of an engine, as its page shows it.
pub(super) fn routing_json<'a>(engine: &str, shot: &'a ShotView) -> RoutingJson<'a> {
    let step = |pose: &'a Pose| StepJson {
        number: pose.number,
        events: &pose.events,
        why: &pose.why,
        order: &pose.order,
        pressures: pose.levels.iter().map(|level| level.word.as_str()).collect(),
    };
    RoutingJson {
        cutaway: cutaway_address(engine),
        ending: &shot.ending,
        ends_at_rest: shot.ends_at_rest,
        taken_for_granted: &shot.granted,
        stated_orders: &shot.stated,
        order_known: shot.order_known,
        in_some_runs_only: &shot.in_some,
        chambers: &shot.chambers,
        events: shot.poses.iter().skip(1).map(step).collect(),
        facts: &shot.facts,
        seals: &shot.seals,
    }
}
