//! Every single fault that the cutaway of an engine lets one think of.

use crate::cutaway::Engine;
use crate::cutaway::model::{Defect, Element, PushKind, Returns, Shape, ValveKind, Width, Wrong};

/// Faults of one engine; what lies beyond is not looked at.
const MOST: usize = 60;

/// An engine with one thing wrong.
#[derive(Debug, Clone)]
pub struct SingleFault {
    /// The thing to look at, without article: "drag seal".
    pub look_at: String,
    /// What is wrong with it: "the drag seal leaks".
    pub what: String,
    pub(crate) engine: Engine,
}

/// The single faults of an engine: seals that leak, check valves that stay open, torn membranes,
/// broken springs, clogged narrow ways. Sixty at most.
#[must_use]
pub fn single_faults(engine: &Engine) -> Vec<SingleFault> {
    let fault = |defect: Defect| SingleFault {
        look_at: defect.look_at(engine),
        what: defect.words(engine),
        engine: engine.clone().with_defect(defect),
    };
    let defects = leaks(engine).into_iter().chain(springs(engine)).chain(narrow_ways(engine));
    defects.take(MOST).map(fault).collect()
}

/// Seals, check valves and membranes.
fn leaks(engine: &Engine) -> Vec<Defect> {
    let checks = engine.ways.entries().filter(|(_, way)| way.one_way);
    let exhausts = engine.valves.entries().filter(|(_, it)| it.kind == ValveKind::QuickExhaust);
    let has_face = |kind: PushKind| matches!(kind, PushKind::Face(_));
    let sheets = engine.parts.entries().filter(|(_, part)| {
        part.shape == Shape::Diaphragm && part.pushes.iter().any(|push| has_face(push.kind))
    });
    let seals = engine.seals.ids().map(Element::Seal);
    let things = seals
        .chain(checks.map(|(at, _)| Element::Way(at)))
        .chain(exhausts.map(|(at, _)| Element::Valve(at)))
        .chain(sheets.map(|(at, _)| Element::Part(at)));
    things.map(|thing| Defect { thing, wrong: Wrong::Leaking(Width::Wide) }).collect()
}

/// Springs of parts, and those that bring a valve back.
fn springs(engine: &Engine) -> Vec<Defect> {
    let pushes = engine.parts.entries().flat_map(|(part, item)| {
        let springs = item.pushes.entries().filter(|(_, push)| push.kind == PushKind::Spring);
        springs.map(move |(at, _)| Element::Push(part, at))
    });
    let valves = engine
        .valves
        .entries()
        .filter(|(_, valve)| valve.has_rest() && valve.returns == Returns::Spring);
    let things = pushes.chain(valves.map(|(at, _)| Element::Valve(at)));
    things.map(|thing| Defect { thing, wrong: Wrong::Broken }).collect()
}

fn narrow_ways(engine: &Engine) -> Vec<Defect> {
    let narrow = engine.ways.entries().filter(|(_, way)| way.width == Width::Narrow);
    narrow.map(|(at, _)| Defect { thing: Element::Way(at), wrong: Wrong::Clogged }).collect()
}
