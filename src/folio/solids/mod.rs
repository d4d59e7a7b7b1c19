//! The sizes of cutaways as figures: bodies built from them, what they come to, and what of it
//! cannot be.

mod build;
mod closure;
mod forces;
mod judge;
mod measures;
mod parts;
mod pictured;
mod results;
mod sizes;
mod strokes;

pub(super) use forces::REGULATED;
pub(crate) use forces::{LettingGo, PartForces, PartMoment, PushRow, Pushing};
pub(super) use judge::judge;
pub(crate) use measures::{SizeStanding, SizeToMeasure};
pub(crate) use parts::WayOut;
pub(super) use pictured::sized;
pub(crate) use results::SolidResult;
pub(super) use sizes::SizeInputs;
pub(crate) use strokes::{PartStroke, StrokeOpening};

use super::Folio;
use super::measured::Readings;
use super::routing::Routed;
use crate::cutaway::Engine;
use crate::cutaway::model::PartId;
use crate::formula::{Lookup, Scope, Shift};
use crate::sheet::ledger::EntryId;
use build::BuiltEngine;
use forces::{ForceFinder, ShotMoment};
use sizes::SizeReader;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// An engine that is drawn with sizes.
#[derive(Debug)]
pub(super) struct DrawnEngine {
    engine: Engine,
    /// Its number among the cutaways.
    number: usize,
    /// The moments of its shot.
    moments: Vec<ShotMoment>,
}

impl DrawnEngine {
    /// `None` where a cutaway has no sizes.
    pub(super) fn of(number: usize, routed: &Routed) -> Option<DrawnEngine> {
        routed.engine.drawn.body.as_ref()?;
        let moments = routed.shot.as_ref().map(|shot| forces::moments(&shot.found));
        let moments = moments.unwrap_or_default();
        Some(DrawnEngine { engine: routed.engine.clone(), number, moments })
    }

    fn build(
        &self,
        readings: Readings<'_>,
        known: &SizeInputs,
    ) -> (Option<BuiltEngine>, Vec<build::SizeSlip>) {
        build::build(&self.engine, readings, (self.number, known))
    }

    /// Every result that rests on sizes alone.
    fn geometry(&self, built: &mut BuiltEngine) -> NamedResults {
        let poses = results::looked_at(built, &self.engine);
        let mut found = results::results(built, &poses, &self.engine);
        let strokes = strokes::strokes(built, &self.engine);
        strokes::results(&strokes, &self.engine, &mut found);
        parts::results(built, &self.engine, &mut found);
        found
    }

    fn finder<'a>(
        &'a self,
        built: &'a BuiltEngine,
        readings: Readings<'a>,
        known: &'a SizeInputs,
    ) -> ForceFinder<'a> {
        let reader = SizeReader { readings, engine_number: self.number, known, inputs: Vec::new() };
        ForceFinder::new(&self.engine, built, reader, &self.moments)
    }
}

/// Results by their names behind `cut.`.
type NamedResults = BTreeMap<String, SolidResult>;

/// What the sizes of one engine come to, worked out when it is first asked for.
#[derive(Debug, Default)]
pub(super) struct SolidFigures {
    geometry: OnceLock<NamedResults>,
    /// These rest on pressures, and a pressure may rest on the geometry.
    forces: OnceLock<NamedResults>,
}

impl SolidFigures {
    /// A result by its name behind `cut.`; `None` where the engine has none of that name.
    pub(super) fn answer(
        &self,
        path: &str,
        (drawn, known): (&DrawnEngine, &SizeInputs),
        readings: Readings<'_>,
    ) -> Option<Lookup> {
        let of_forces = is_force(path);
        let slot = if of_forces { &self.forces } else { &self.geometry };
        if slot.get().is_none() {
            // Not within the lock: a size may rest on figures that ask for other results.
            let (built, slips) = drawn.build(readings, known);
            if !slips.is_empty() {
                return Some(Lookup::Poisoned);
            }
            let results = built.map(|mut built| match of_forces {
                true => drawn.finder(&built, readings, known).results(),
                false => drawn.geometry(&mut built),
            });
            let _ = slot.set(results.unwrap_or_default());
        }
        Some(match slot.get()?.get(path)? {
            Ok(value) => Lookup::Linear(value.clone()),
            Err(needs) => Lookup::Undecided(needs.clone()),
        })
    }

    /// Names of the results that were worked out.
    pub(super) fn names(&self) -> impl Iterator<Item = &String> {
        let found = [&self.geometry, &self.forces].into_iter().filter_map(OnceLock::get);
        found.flat_map(BTreeMap::keys)
    }
}

/// Whether a result is a force, or a pressure at which forces are even.
fn is_force(path: &str) -> bool {
    path.split('.').any(|word| ["net_force", "lets_go", "force"].contains(&word))
}

/// Asks of an engine that is drawn with sizes, once it is built; `None` where it has none.
fn built<T>(
    folio: &Folio,
    engine: &str,
    ask: impl FnOnce(&DrawnEngine, BuiltEngine, (Readings<'_>, &SizeInputs)) -> T,
) -> Option<T> {
    let number = folio.routing.engines.keys().position(|name| name == engine)?;
    let drawn = DrawnEngine::of(number, folio.routing.of(engine)?)?;
    let readings = Readings::of(&folio.ledger, engine)?;
    let known = SizeInputs::of(&folio.routing);
    let built = drawn.build(readings, &known).0?;
    Some(ask(&drawn, built, (readings, &known)))
}

/// What pushes the parts of an engine through its shot; nothing where it has no sizes.
pub(crate) fn forces(folio: &Folio, engine: &str) -> Vec<PartForces> {
    let found = built(folio, engine, |drawn, built, (readings, known)| {
        drawn.finder(&built, readings, known).parts()
    });
    found.unwrap_or_default()
}

/// What opens and closes along the strokes of its parts; nothing where it has no sizes.
pub(crate) fn strokes(folio: &Folio, engine: &str) -> Vec<PartStroke> {
    let found = built(folio, engine, |drawn, built, _| strokes::strokes(&built, &drawn.engine));
    found.unwrap_or_default()
}

/// The sizes of an engine that are written as numbers, the most useful to measure first.
pub(crate) fn measures(folio: &Folio, engine: &str) -> Vec<SizeToMeasure> {
    let found = built(folio, engine, |drawn, mut built, (readings, known)| {
        let forces = drawn.finder(&built, readings, known).results();
        let geometry = drawn.geometry(&mut built);
        measures::measures(drawn, &[&geometry, &forces], readings)
    });
    found.unwrap_or_default()
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
    let found = built(folio, engine, |drawn, built, _| parts::ways_out(&built, &drawn.engine));
    found.unwrap_or_default()
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
