//! What the cutaways answer when a formula names one of their results (`cut.seals.count`).
//!
//! A cutaway without sizes can tell how many of a kind it names, and the readings at which its
//! things are drawn. Anything else about something it does name waits for sizes.

use super::measured::{Quality, Readings, drawn_at};
use super::routing::Routing;
use super::solids::{self, DrawnEngine, SizeInputs};
use crate::cutaway::Engine;
use crate::formula::{Input, Lookup, Shift, Value};
use crate::sheet::Ledger;
use crate::sheet::ledger::{EntryId, Model, ModelResult, Models, counted};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// The results of every cutaway, by engine.
#[derive(Debug)]
pub(super) struct CutawayResults {
    engines: BTreeMap<String, Results>,
    /// The numbers that stand in drawings.
    inputs: SizeInputs,
}

/// What one cutaway can tell.
#[derive(Debug, Default)]
struct Results {
    /// By name behind `cut.`.
    answers: BTreeMap<String, ModelAnswer>,
    /// Names of everything in it.
    things: BTreeSet<String>,
    /// The engine, where it is drawn with sizes.
    drawn: Option<DrawnEngine>,
}

#[derive(Debug)]
enum ModelAnswer {
    /// So many.
    Count(usize),
    /// What the reading of this name says, where that is what it states.
    Reading(Quality, String),
}

impl CutawayResults {
    pub(super) fn of(routing: &Routing) -> CutawayResults {
        let engines = routing.engines.iter().enumerate();
        let engines = engines.map(|(number, (name, routed))| {
            let drawn = DrawnEngine::of(number, routed);
            (name.clone(), Results { drawn, ..Results::of(&routed.engine) })
        });
        CutawayResults { engines: engines.collect(), inputs: SizeInputs::of(routing) }
    }

    /// An engine that is drawn with sizes, and the numbers of all drawings.
    pub(super) fn drawn_engine(&self, name: &str) -> Option<(&DrawnEngine, &SizeInputs)> {
        Some((self.engines.get(name)?.drawn.as_ref()?, &self.inputs))
    }

    /// What the sizes of the drawing say.
    fn drawn(&self, result: &ModelResult, ledger: &Ledger) -> Option<Lookup> {
        let name = ledger.sheets.get(result.sheet)?.engine.as_deref()?;
        let (drawn, known) = self.drawn_engine(name)?;
        let readings = Readings { ledger, sheet: result.sheet };
        drawn.answer(&result.path.join("."), (readings, known))
    }

    fn answer_to(&self, result: &ModelResult, ledger: &Ledger) -> Option<&ModelAnswer> {
        let engine = ledger.sheets.get(result.sheet)?.engine.as_deref()?;
        self.engines.get(engine)?.answers.get(&result.path.join("."))
    }
}

impl Results {
    fn of(engine: &Engine) -> Results {
        let mut results = Results::default();
        let lists = [
            // The open air is everybody's.
            ("chambers", engine.chambers.len().saturating_sub(1)),
            ("ways", engine.ways.iter().filter(|way| !way.barrel).count()),
            ("parts", engine.parts.len()),
            ("valves", engine.valves.len()),
            ("seals", engine.seals.len()),
        ];
        for (list, count) in lists {
            results.answers.insert(format!("{list}.count"), ModelAnswer::Count(count));
        }
        for drawn in drawn_at(engine) {
            for quality in drawn.qualities {
                let name = format!("{}.{}", drawn.thing, quality.word());
                let answer = ModelAnswer::Reading(*quality, drawn.reading.id.clone());
                results.answers.insert(name, answer);
            }
        }
        let chambers = engine.chambers.iter().map(|chamber| &chamber.name);
        let names = chambers
            .chain(engine.ways.iter().map(|way| &way.name))
            .chain(engine.parts.iter().map(|part| &part.name))
            .chain(engine.valves.iter().map(|valve| &valve.name))
            .chain(engine.seals.iter().map(|seal| &seal.name));
        results.things = names.map(|name| name.id.clone()).collect();
        results
    }
}

impl Models for Arc<CutawayResults> {
    fn answer(&self, result: &ModelResult, ledger: &Ledger, at: &Shift) -> Lookup {
        let drawn = (result.model == Model::Cut).then(|| self.drawn(result, ledger)).flatten();
        if let Some(drawn) = drawn {
            return drawn;
        }
        if let Some(answer) = self.answer_to(result, ledger).filter(|_| result.model == Model::Cut)
        {
            return match answer {
                ModelAnswer::Count(count) => Lookup::Value(Value::certain(counted(*count))),
                ModelAnswer::Reading(quality, name) => {
                    let Some((sheet, entry, _)) = ledger.resolve(result.sheet, &[name.as_str()])
                    else {
                        // That there is none is told at the cutaway.
                        return Lookup::Poisoned;
                    };
                    let states = ledger.nominal(sheet, entry).map(|value| value.quantity.dimension);
                    if states.is_some_and(|states| states != quality.dimension()) {
                        return Lookup::Undecided(format!("`{name}` does not state it"));
                    }
                    ledger.value(sheet, entry, at)
                }
            };
        }
        let engine = ledger.sheets.get(result.sheet).and_then(|sheet| sheet.engine.as_deref());
        let Some(engine) = engine else { return Lookup::Unknown };
        if result.model == Model::Cycle {
            return Lookup::Undecided("needs a simulated cycle".to_owned());
        }
        let Some(results) = self.engines.get(engine) else {
            return Lookup::Undecided(format!("needs a cutaway, `diagrams/{engine}.cut`"));
        };
        match result.path.first() {
            Some(thing) if results.things.contains(thing) && 1 < result.path.len() => {
                let drawn = results.drawn.as_ref();
                let missing = drawn.map(|drawn| drawn.missing(&result.path));
                Lookup::Undecided(missing.unwrap_or("needs a dimensioned cutaway".to_owned()))
            }
            _ => Lookup::Unknown,
        }
    }

    fn rests_on(&self, result: &ModelResult, ledger: &Ledger) -> Vec<EntryId> {
        let engine = ledger.sheets.get(result.sheet).and_then(|sheet| sheet.engine.as_deref());
        let drawn = engine.and_then(|engine| self.engines.get(engine)?.drawn.as_ref());
        if result.model != Model::Cut {
            return Vec::new();
        }
        let readings = Readings { ledger, sheet: result.sheet };
        let drawn = drawn.map(|drawn| solids::rests_on(drawn, &result.path.join("."), readings));
        match self.answer_to(result, ledger) {
            Some(ModelAnswer::Count(_)) => Vec::new(),
            Some(ModelAnswer::Reading(_, name)) => {
                drawn.into_iter().flatten().chain(readings.entry(name)).collect()
            }
            None => drawn.unwrap_or_default(),
        }
    }

    fn input(&self, number: u32) -> Input {
        self.inputs.input(number)
    }

    fn names(&self, engine: &str) -> Vec<String> {
        let results = self.engines.get(engine).into_iter();
        let names = results.flat_map(|results| {
            results.answers.keys().chain(results.drawn.iter().flat_map(DrawnEngine::names))
        });
        names.map(|name| format!("{}.{name}", Model::Cut.word())).collect()
    }
}
