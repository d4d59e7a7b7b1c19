//! Parts, rings and springs of an engine with sizes, and what keeps each part from coming out.

use super::forces::{SizedFigure, plain};
use crate::cutaway::model::{Element, Engine, PartId, PushKind};
use crate::cutaway::solids::DrawnSolid;
use crate::folio::Folio;
use crate::folio::solids::{BodyOpening, WayOut, body_openings, result_named, ways_out};
use crate::sheet::print::worked_out;
use crate::text::listed;
use serde::Serialize;
use std::ops::Range;

/// A part as a whole.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct PartSizes {
    pub(crate) name: String,
    pub(crate) length: SizedFigure,
    /// Greatest outside diameter.
    pub(crate) widest: SizedFigure,
    /// Of what it is made of.
    pub(crate) volume: SizedFigure,
    /// What it passes on its way out, to the rear and to the front, as sentences.
    pub(crate) out: Vec<String>,
}

/// A ring in its groove.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct RingSizes {
    pub(crate) name: String,
    /// Size as the cutaway names it; may be empty.
    pub(crate) size: String,
    /// Diameter of the floor of its groove.
    pub(crate) floor: SizedFigure,
    pub(crate) width: SizedFigure,
    pub(crate) squeeze: SizedFigure,
    pub(crate) stretch: SizedFigure,
    /// Share of its groove that it fills.
    pub(crate) fill: SizedFigure,
}

/// A spring.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct SpringForces {
    pub(crate) name: String,
    /// What it pushes with, with its part at each position: position, force.
    pub(crate) forces: Vec<(String, SizedFigure)>,
}

/// What an engine with sizes is made of.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct PartsView {
    pub(crate) parts: Vec<PartSizes>,
    pub(crate) rings: Vec<RingSizes>,
    pub(crate) springs: Vec<SpringForces>,
}

/// What an engine is made of; nothing where it has no sizes.
pub(super) fn parts_view(folio: &Folio, engine: &str) -> PartsView {
    let (Some(sheet), Some(routed)) = (folio.ledger.engine(engine), folio.routing.of(engine))
    else {
        return PartsView::default();
    };
    let engine = &routed.engine;
    let named = |path: String| named(folio, sheet, &path);
    let openings = body_openings(folio, &engine.name.id);
    let parts = ways_out(folio, &engine.name.id).into_iter().map(|(part, ways)| {
        let name = &engine.parts[part].name;
        let out = [("to the rear", &ways[0]), ("to the front", &ways[1])];
        PartSizes {
            name: name.spoken(),
            length: named(format!("{}.length", name.id)),
            widest: named(format!("{}.widest", name.id)),
            volume: named(format!("{}.volume", name.id)),
            out: match opened(engine, part, &openings) {
                opened if opened.is_empty() => {
                    out.map(|(toward, way)| way_words(engine, toward, way)).to_vec()
                }
                opened => opened,
            },
        }
    });
    let solids = engine.drawn.body.iter().chain(engine.drawn.parts.values());
    let seals = solids.flat_map(|solid| solid.steps.iter()).filter_map(|step| match step.kind {
        crate::cutaway::solids::StepKind::Groove { seal, .. } => seal,
        crate::cutaway::solids::StepKind::Plain { .. } => None,
    });
    let rings = seals.map(|seal| {
        let seal = &engine.seals[seal];
        let own = |what: &str| named(format!("{}.{what}", seal.name.id));
        RingSizes {
            name: seal.name.spoken(),
            size: seal.size.as_ref().map(|size| size.id.clone()).unwrap_or_default(),
            floor: own("floor"),
            width: own("width"),
            squeeze: own("squeeze"),
            stretch: own("stretch"),
            fill: own("fill"),
        }
    });
    let mut springs = Vec::new();
    for part in engine.drawn.parts.keys() {
        let own = &engine.parts[*part];
        for push in own.pushes.iter().filter(|push| push.kind == PushKind::Spring) {
            let path = format!("{}.{}.force.{}", own.name.id, push.name.id, own.name.id);
            let at = |position: &crate::cutaway::model::Name| {
                (position.spoken(), named(format!("{path}.{}", position.id)))
            };
            springs.push(SpringForces {
                name: format!("{} of the {}", push.name.spoken(), own.name.spoken()),
                forces: own.positions.iter().map(at).collect(),
            });
        }
    }
    PartsView { parts: parts.collect(), rings: rings.collect(), springs }
}

/// A result of the cutaway.
fn named(folio: &Folio, sheet: usize, path: &str) -> SizedFigure {
    match result_named(folio, sheet, path) {
        Ok(value) => SizedFigure {
            value: Some(worked_out(&folio.ledger, sheet, &value)),
            needs: String::new(),
        },
        Err(needs) => SizedFigure { value: None, needs: format!("not known: {}", plain(&needs)) },
    }
}

/// Where the body comes apart for a part, each of its pieces in a sentence.
fn opened(
    engine: &Engine,
    part: PartId,
    openings: &[(PartId, Range<usize>, Vec<BodyOpening>)],
) -> Vec<String> {
    let (body, own) = (engine.drawn.body.as_ref(), engine.drawn.parts.get(&part));
    let name = |solid: Option<&DrawnSolid>, step: usize| {
        plain(&solid.map(|solid| solid.step_name(step)).unwrap_or_default())
    };
    let count = body.map_or(0, |body| body.steps.len());
    // A step without a name is told by the next one that has one.
    let place = |opening: &BodyOpening| match (opening.behind, opening.before) {
        (Some(behind), Some(before)) => {
            let named = |step: &usize| body.is_some_and(|it| it.steps[*step].name.is_some());
            let behind = (0..=behind).rev().find(named).unwrap_or(behind);
            let before = (before..count).find(named).unwrap_or(before);
            format!("between {} and {}", name(body, behind), name(body, before))
        }
        (None, _) => "at the rear end".to_owned(),
        (_, None) => "at the front end".to_owned(),
    };
    let mine = openings.iter().filter(|(it, ..)| *it == part);
    let told = mine.map(|(_, steps, places)| {
        let is_whole = own.is_none_or(|own| own.steps.len() == steps.len());
        let piece = match is_whole {
            true => "it".to_owned(),
            false => format!("its piece with {}", piece_name(own, steps.clone())),
        };
        let places: Vec<String> = places.iter().map(place).collect();
        match places.is_empty() {
            true => format!("the body opens nowhere for {piece}"),
            false => format!("the body opens for {piece} {}", listed(&places, "or")),
        }
    });
    told.collect()
}

/// A piece of a part by its first step that has a name.
fn piece_name(own: Option<&DrawnSolid>, steps: Range<usize>) -> String {
    let named = steps.clone().find(|step| own.is_some_and(|own| own.steps[*step].name.is_some()));
    let step = named.unwrap_or(steps.start);
    plain(&own.map(|own| own.step_name(step)).unwrap_or_default())
}

fn way_words(engine: &Engine, toward: &str, way: &WayOut) -> String {
    let body = engine.drawn.body.as_ref();
    let step = |at: &usize| plain(&body.map(|body| body.step_name(*at)).unwrap_or_default());
    let steps: Vec<String> = way.steps.iter().map(step).collect();
    let parts: Vec<String> =
        way.parts.iter().map(|part| Element::Part(*part).the(engine)).collect();
    let after = match parts.as_slice() {
        [] => String::new(),
        parts => format!(", after {}", listed(parts, "and")),
    };
    match steps.as_slice() {
        [] => format!("{toward} it comes out freely{after}"),
        steps if way.is_end => {
            format!("{toward} it comes out with {} off{after}", listed(steps, "and"))
        }
        steps => format!("{toward} it cannot pass {} of the body", listed(steps, "and")),
    }
}
