//! What the routing of an engine gives to other tools: the cutaway itself, its circuit as a
//! picture, and one shot as data.

use super::Edition;
use super::shot::{ending_words, facts, seal_row};
use crate::cutaway::event_words;
use crate::drawing::{Drawing, View};
use crate::logic::Ending;
use serde::Serialize;

/// Address of an engine's cutaway.
pub(super) fn cutaway_address(engine: &str) -> String {
    format!("data/{engine}.cut")
}

/// Address of its circuit at rest.
pub(super) fn circuit_address(engine: &str) -> String {
    format!("pictures/{engine}-circuit.svg")
}

/// The files that the shot of an engine leads to, with their addresses; none where it has no
/// cutaway without faults.
pub(crate) fn routing_files(edition: &Edition, engine: &str) -> Vec<(String, Vec<u8>)> {
    let routed = edition.folio.routing.of(engine).filter(|routed| routed.shot.is_some());
    let (Some(routed), Some(circuit)) = (routed, edition.circuit(engine)) else {
        return Vec::new();
    };
    let drawing = circuit.drawing(&routed.engine, &View::default());
    vec![
        (cutaway_address(engine), routed.source.text.clone().into_bytes()),
        (circuit_address(engine), file_of(&drawing, &format!("{engine}-circuit"))),
    ]
}

/// A picture as a file of its own: black on white, whatever is around it.
fn file_of(drawing: &Drawing, prefix: &str) -> Vec<u8> {
    let inline = drawing.svg(prefix);
    let root = "<svg color=\"#000\" style=\"background:#fff\" ";
    let mut file = inline.replacen("<svg ", root, 1);
    file.push('\n');
    file.into_bytes()
}

/// One shot, for the engine's data file.
#[derive(Serialize)]
pub(super) struct RoutingJson {
    cutaway: String,
    ending: String,
    ends_at_rest: bool,
    taken_for_granted: Vec<String>,
    events: Vec<StepJson>,
    facts: Vec<FactJson>,
    seals: Vec<SealJson>,
}

#[derive(Serialize)]
struct StepJson {
    events: Vec<String>,
    why: String,
}

#[derive(Serialize)]
struct FactJson {
    fact: String,
    known: String,
}

#[derive(Serialize)]
struct SealJson {
    name: String,
    on: String,
    keeps_apart: String,
    size: String,
    #[serde(rename = "while")]
    when: String,
    leak: String,
}

/// One shot of an engine; `None` where it has no cutaway without faults.
pub(super) fn routing_json(edition: &Edition, engine: &str) -> Option<RoutingJson> {
    let routed = edition.folio.routing.of(engine)?;
    let found = &routed.shot.as_ref()?.found;
    let model = &routed.engine;
    let steps = found.line.iter().map(|step| &found.steps[*step]);
    let seals = model.seals.iter().map(|seal| seal_row(model, found, seal));
    Some(RoutingJson {
        cutaway: cutaway_address(engine),
        ending: ending_words(model, found),
        ends_at_rest: found.ending() == Some(&Ending::AtRest),
        taken_for_granted: found.assumptions.clone(),
        events: steps
            .map(|step| StepJson {
                events: step.events.iter().map(|event| event_words(model, *event)).collect(),
                why: step.why.clone(),
            })
            .collect(),
        facts: facts(model)
            .into_iter()
            .map(|fact| FactJson { fact: fact.say, known: fact.known })
            .collect(),
        seals: seals
            .map(|seal| SealJson {
                name: seal.name,
                on: seal.on,
                keeps_apart: seal.between,
                size: seal.size,
                when: seal.when,
                leak: seal.leak,
            })
            .collect(),
    })
}
