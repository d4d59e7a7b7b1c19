//! The sizes of cutaways as figures: bodies built from them, what they come to, and what of it
//! cannot be.

mod assembling;
mod blanks;
mod build;
mod closure;
mod crossings;
mod forces;
mod judge;
mod measures;
mod nonsense;
mod openings;
mod parts;
mod pictured;
mod poses;
mod results;
mod sizes;
mod strokes;

pub(crate) use assembling::BodyOpening;
pub(crate) use forces::{LettingGo, PartForces, PartMoment, PushRow, Pushing};
pub(super) use forces::{REGULATED, supply_pressures};
pub(super) use judge::judge;
pub(crate) use measures::{SizeStanding, SizeToMeasure};
pub(crate) use openings::OpenJoint;
pub(crate) use parts::WayOut;
pub(crate) use results::SolidResult;
pub(super) use sizes::SizeInputs;
pub(crate) use strokes::{PartStroke, StrokeOpening};

use super::Folio;
use super::measured::Readings;
use super::routing::Routed;
use crate::cutaway::Engine;
use crate::cutaway::model::PartId;
use crate::cutaway::sized::SizedEngine;
use crate::formula::{Lookup, Scope, Shift};
use crate::sheet::ledger::EntryId;
use assembling::Assembling;
use build::{BuiltEngine, SizeSlip};
use forces::{ForceFinder, ShotMoment};
use results::LookedAtPose;
use sizes::SizeReader;
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::OnceLock;

/// An engine that is drawn with sizes, and what they come to, worked out when first asked for.
#[derive(Debug)]
pub(super) struct DrawnEngine {
    engine: Engine,
    /// Its number among the cutaways.
    number: usize,
    /// The moments of its shot.
    moments: Vec<ShotMoment>,
    posed: OnceLock<(Option<PosedEngine>, Vec<SizeSlip>)>,
    geometry: OnceLock<NamedResults>,
    /// These rest on pressures, and a pressure may rest on the geometry.
    forces: OnceLock<NamedResults>,
}

/// An engine as its sizes build it, in its poses and along its strokes.
#[derive(Debug)]
struct PosedEngine {
    built: BuiltEngine,
    poses: Vec<LookedAtPose>,
    strokes: Vec<PartStroke>,
    /// What pushes its parts; it rests on pressures.
    forces: OnceLock<Vec<PartForces>>,
}

/// What sizes are read from: the readings of the engine's page, and the numbers of all drawings.
type SizeSources<'a> = (Readings<'a>, &'a SizeInputs);

impl DrawnEngine {
    /// `None` where a cutaway has no sizes.
    pub(super) fn of(number: usize, routed: &Routed) -> Option<DrawnEngine> {
        routed.engine.drawn.body.as_ref()?;
        let moments = routed.shot.as_ref().map(|shot| forces::moments(&shot.found));
        Some(DrawnEngine {
            engine: routed.engine.clone(),
            number,
            moments: moments.unwrap_or_default(),
            posed: OnceLock::new(),
            geometry: OnceLock::new(),
            forces: OnceLock::new(),
        })
    }

    /// The engine as it is built; the slips tell of sizes that are none, and then nothing is.
    fn posed(&self, (readings, known): SizeSources<'_>) -> (Option<&PosedEngine>, &[SizeSlip]) {
        let (posed, slips) = worked_out(&self.posed, || {
            let (built, slips) = build::build(&self.engine, readings, (self.number, known));
            let posed = built.map(|mut built| {
                let poses = results::looked_at(&mut built, &self.engine);
                let strokes = strokes::strokes(&built, &self.engine);
                PosedEngine { built, poses, strokes, forces: OnceLock::new() }
            });
            (posed, slips)
        });
        (posed.as_ref(), slips)
    }

    /// Every result that rests on sizes alone.
    fn geometry(&self, posed: &PosedEngine) -> &NamedResults {
        worked_out(&self.geometry, || {
            let PosedEngine { built, poses, strokes, .. } = posed;
            let mut found = results::results(built, poses, &self.engine);
            strokes::results(strokes, &self.engine, &mut found);
            parts::results(built, &self.engine, &mut found);
            found
        })
    }

    /// What pushes each part through the shot.
    fn pushed<'a>(&self, posed: &'a PosedEngine, sources: SizeSources<'_>) -> &'a [PartForces] {
        worked_out::<Vec<_>>(&posed.forces, || self.finder(posed, sources).parts())
    }

    /// Every result that rests on pressures too.
    fn forces(&self, posed: &PosedEngine, sources: SizeSources<'_>) -> &NamedResults {
        let pushed = self.pushed(posed, sources);
        worked_out(&self.forces, || self.finder(posed, sources).results(pushed))
    }

    fn finder<'a>(
        &'a self,
        posed: &'a PosedEngine,
        (readings, known): SizeSources<'a>,
    ) -> ForceFinder<'a> {
        let reader = SizeReader { readings, engine_number: self.number, known, inputs: Vec::new() };
        ForceFinder::new(&self.engine, &posed.built, reader, &self.moments)
    }

    /// A result by its name behind `cut.`; `None` where the engine has none of that name.
    pub(super) fn answer(&self, path: &str, sources: SizeSources<'_>) -> Option<Lookup> {
        let (posed, slips) = self.posed(sources);
        if !slips.is_empty() {
            return Some(Lookup::Poisoned);
        }
        let posed = posed?;
        let results = match is_force(path) {
            true => self.forces(posed, sources),
            false => self.geometry(posed),
        };
        Some(match results.get(path) {
            Some(Ok(value)) => Lookup::Linear(value.clone()),
            Some(Err(needs)) => Lookup::Undecided(needs.clone()),
            // Which borders a stroke passes hangs on every size.
            None if is_turn(path) => {
                Lookup::Undecided(format!("needs {}", posed.built.blanks.first()?))
            }
            None => return None,
        })
    }

    /// What a result waits for that the drawing does not show, though it has sizes.
    pub(super) fn missing(&self, path: &[String]) -> String {
        let engine = &self.engine;
        let Some((thing, result)) = path.split_first() else { return String::new() };
        let result = result.first().map_or("", String::as_str);
        let is_placed = engine.chamber(thing).is_none_or(|at| engine.drawn.rooms.contains_key(&at));
        let is_part = engine.part(thing);
        match result {
            "squeeze" | "stretch" => format!("needs a `groove` in the drawing `for {thing}`"),
            "area" | "opening" if engine.way(thing).is_some() => {
                format!("needs a `hole` in the drawing `for {thing}`")
            }
            "opens" | "closes" => {
                format!("needs a stroke of `{thing}` along which these two change so")
            }
            _ if !is_placed => {
                format!("needs to know by `behind`, `around` or `in` a step where `{thing}` lies")
            }
            _ if is_part.is_some_and(|part| !engine.drawn.parts.contains_key(&part)) => {
                format!("needs the steps of `{thing}`")
            }
            _ => "needs what the sizes of the drawing do not show".to_owned(),
        }
    }

    /// Names of the results that were worked out.
    pub(super) fn names(&self) -> impl Iterator<Item = &String> {
        let found = [&self.geometry, &self.forces].into_iter().filter_map(OnceLock::get);
        found.flat_map(BTreeMap::keys)
    }
}

/// What a cell holds, worked out first where it is empty. Not within its lock: a size may rest on
/// figures that ask for other results.
fn worked_out<T>(cell: &OnceLock<T>, work_out: impl FnOnce() -> T) -> &T {
    if let Some(known) = cell.get() {
        return known;
    }
    let found = work_out();
    cell.get_or_init(|| found)
}

/// Results by their names behind `cut.`.
type NamedResults = BTreeMap<String, SolidResult>;

/// Whether a result is a force, or a pressure at which forces are even.
fn is_force(path: &str) -> bool {
    path.split('.').any(|word| ["net_force", "lets_go", "force"].contains(&word))
}

/// Whether a result is a place along a stroke at which something opens or closes.
fn is_turn(path: &str) -> bool {
    path.split('.').any(|word| ["opens", "closes"].contains(&word))
}

/// An engine that is drawn with sizes, as it is built; `None` where it has none.
fn posed<'f>(
    folio: &'f Folio,
    engine: &str,
) -> Option<(&'f DrawnEngine, &'f PosedEngine, SizeSources<'f>)> {
    let (drawn, known) = folio.cutaways.drawn_engine(engine)?;
    let sources = (Readings::of(&folio.ledger, engine)?, known);
    Some((drawn, drawn.posed(sources).0?, sources))
}

/// What pushes the parts of an engine through its shot; nothing where it has no sizes.
pub(crate) fn forces<'f>(folio: &'f Folio, engine: &str) -> &'f [PartForces] {
    let found = posed(folio, engine);
    found.map_or(&[], |(drawn, posed, sources)| drawn.pushed(posed, sources))
}

/// What opens and closes along the strokes of its parts; nothing where it has no sizes.
pub(crate) fn strokes<'f>(folio: &'f Folio, engine: &str) -> &'f [PartStroke] {
    posed(folio, engine).map_or(&[], |(_, posed, _)| &posed.strokes)
}

/// The sizes of an engine that are written as numbers, the most useful to measure first.
pub(crate) fn measures(folio: &Folio, engine: &str) -> Vec<SizeToMeasure> {
    let Some((drawn, posed, sources)) = posed(folio, engine) else { return Vec::new() };
    let results = [drawn.geometry(posed), drawn.forces(posed, sources)];
    measures::measures(drawn, &results, sources.0)
}

/// The sizes of each tube of an engine for its section; `None` where it has none, or where they
/// cannot be.
pub(super) fn sized(folio: &Folio, engine: &str) -> Option<Vec<SizedEngine>> {
    let (drawn, known) = folio.cutaways.drawn_engine(engine)?;
    let (posed, slips) = drawn.posed((Readings::of(&folio.ledger, engine)?, known));
    let posed = posed.filter(|_| slips.is_empty())?;
    Some(pictured::tubes(&drawn.engine, &posed.built))
}

/// A result of an engine's cutaway by its name behind `cut.`, or what it waits for.
pub(crate) fn result_named(folio: &Folio, sheet: usize, path: &str) -> SolidResult {
    let scope = folio.ledger.scope(sheet);
    let path: Vec<&str> = std::iter::once("cut").chain(path.split('.')).collect();
    match scope.lookup(&path, &Shift::nominal()) {
        Lookup::Value(value) | Lookup::Linear(value) => Ok(value),
        Lookup::Undecided(needs) => Err(needs),
        Lookup::Unknown | Lookup::Poisoned => Err("needs sizes that can be".to_owned()),
    }
}

/// What keeps each part from coming out, to the rear and to the front.
pub(crate) fn ways_out(folio: &Folio, engine: &str) -> Vec<(PartId, [WayOut; 2])> {
    let found = posed(folio, engine);
    found.map_or_else(Vec::new, |(drawn, posed, _)| parts::ways_out(&posed.built, &drawn.engine))
}

/// Where the body opens for each piece of each part, by its steps; nothing where no joint is said.
pub(crate) fn body_openings(
    folio: &Folio,
    engine: &str,
) -> Vec<(PartId, Range<usize>, Vec<BodyOpening>)> {
    let found = posed(folio, engine);
    found.map_or_else(Vec::new, |(drawn, posed, (readings, _))| {
        Assembling { engine: &drawn.engine, built: &posed.built, readings }.body_openings()
    })
}

/// The entries that a result of an engine rests on: those that its sizes name, and for a force
/// those that state pressures and springs.
pub(super) fn rests_on(drawn: &DrawnEngine, path: &str, readings: Readings<'_>) -> Vec<EntryId> {
    let mut entries = Vec::new();
    for (_, size) in sizes::sizes(&drawn.engine) {
        let formula = match &size.kind {
            crate::cutaway::solids::SizeKind::Stated(formula)
            | crate::cutaway::solids::SizeKind::Estimated(formula) => formula,
            crate::cutaway::solids::SizeKind::Unknown => continue,
        };
        let ledger = readings.ledger;
        let other = size.borrowed_from.as_deref().and_then(|engine| ledger.engine(engine));
        for sheet in std::iter::once(readings.sheet).chain(other) {
            entries.extend(ledger.named_in(formula, sheet));
        }
    }
    if is_force(path) {
        let names = forces::named_by_forces(&drawn.engine).into_iter();
        entries.extend(names.filter_map(|name| readings.entry(name)));
    }
    entries
}
