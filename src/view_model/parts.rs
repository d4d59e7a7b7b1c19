//! Parts, rings and springs of an engine with sizes, and what keeps each part from coming out.

use super::forces::{SizedFigure, plain};
use crate::cutaway::model::{Element, Engine, PushKind};
use crate::folio::Folio;
use crate::folio::solids::{WayOut, result_named, ways_out};
use crate::sheet::print::worked_out;
use crate::text::listed;
use serde::Serialize;

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
    let parts = ways_out(folio, &engine.name.id).into_iter().map(|(part, ways)| {
        let name = &engine.parts[part].name;
        let out = [("to the rear", &ways[0]), ("to the front", &ways[1])];
        PartSizes {
            name: name.spoken(),
            length: named(format!("{}.length", name.id)),
            widest: named(format!("{}.widest", name.id)),
            volume: named(format!("{}.volume", name.id)),
            out: out.map(|(toward, way)| way_words(engine, toward, way)).to_vec(),
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
