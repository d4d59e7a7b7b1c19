//! The sizes of cutaways as figures: bodies built from them, what they come to, and what of it
//! cannot be.

mod build;
mod judge;
mod results;
mod sizes;

pub(super) use judge::judge;
pub(super) use sizes::SizeInputs;

use super::measured::Readings;
use crate::cutaway::Engine;
use crate::formula::{Lookup, Value};
use crate::sheet::Ledger;
use crate::sheet::ledger::EntryId;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// What the sizes of one engine come to, worked out when it is first asked for.
#[derive(Debug, Default)]
pub(super) struct SolidFigures {
    worked_out: OnceLock<BTreeMap<String, Result<Value, String>>>,
}

impl SolidFigures {
    /// A result by its name behind `cut.`; `None` where the engine has none of that name.
    pub(super) fn answer(
        &self,
        path: &str,
        (engine, number, known): (&Engine, usize, &SizeInputs),
        readings: Readings<'_>,
    ) -> Option<Lookup> {
        engine.drawn.body.as_ref()?;
        if self.worked_out.get().is_none() {
            // Not within the lock: a size may rest on figures that ask for other results.
            let (built, slips) = build::build(engine, readings, (number, known));
            if !slips.is_empty() {
                return Some(Lookup::Poisoned);
            }
            let results = built.map(|built| {
                let poses = results::looked_at(&built, engine);
                results::results(&built, &poses, engine)
            });
            let _ = self.worked_out.set(results.unwrap_or_default());
        }
        Some(match self.worked_out.get()?.get(path)? {
            Ok(value) => Lookup::Linear(value.clone()),
            Err(needs) => Lookup::Undecided(needs.clone()),
        })
    }

    /// Names of the results that were worked out.
    pub(super) fn names(&self) -> impl Iterator<Item = &String> {
        self.worked_out.get().into_iter().flat_map(BTreeMap::keys)
    }
}

/// The entries that the sizes of an engine name.
pub(super) fn rests_on(engine: &Engine, ledger: &Ledger, sheet: usize) -> Vec<EntryId> {
    let mut entries = Vec::new();
    for (_, size) in sizes::sizes(engine) {
        let formula = match &size.kind {
            crate::cutaway::solids::SizeKind::Stated(formula)
            | crate::cutaway::solids::SizeKind::Estimated(formula) => formula,
            crate::cutaway::solids::SizeKind::Unknown => continue,
        };
        entries.extend(ledger.named_in(formula, sheet));
    }
    entries
}
