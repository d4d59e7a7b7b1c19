//! From one engine to another, change by change: what each does to the shot, and which figures
//! differ once all of an engine are made.

use super::Edition;
use super::comparison::{ComparisonCell, cell};
use crate::folio::one_by_one::{ChangeStep, one_by_one};
use crate::sheet::side_by_side::{self, SideRelation};
use crate::text::proper_name;
use serde::Serialize;

/// The way from one engine to another.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct ChangeRoute {
    /// Without `#`.
    pub(crate) anchor: String,
    pub(crate) from: String,
    pub(crate) to: String,
    /// Engine by engine on the way.
    pub(crate) stages: Vec<ChangeStage>,
}

/// What one engine changes of the one before it.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct ChangeStage {
    /// Without `#`.
    pub(crate) anchor: String,
    pub(crate) name: String,
    /// The engine that it changes.
    pub(crate) of: String,
    /// Address of its page; empty where it has none.
    pub(crate) address: String,
    pub(crate) steps: Vec<ChangeStep>,
    /// Figures that both state and that differ.
    pub(crate) figures: Vec<ChangedFigure>,
}

/// A figure that differs.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct ChangedFigure {
    pub(crate) label: String,
    pub(crate) was: ComparisonCell,
    pub(crate) now: ComparisonCell,
}

/// The ways that lead from any of these engines to another of them, each pair at most once.
pub(super) fn routes(edition: &Edition, sheets: &[usize]) -> Vec<ChangeRoute> {
    let engines =
        sheets.iter().filter_map(|sheet| edition.folio.ledger.sheets[*sheet].engine.as_deref());
    let engines: Vec<&str> = engines.collect();
    let pairs = engines.iter().flat_map(|from| engines.iter().map(|to| (*from, *to)));
    pairs.filter_map(|(from, to)| route(edition, from, to)).collect()
}

fn route(edition: &Edition, from: &str, to: &str) -> Option<ChangeRoute> {
    let steps = one_by_one(&edition.folio.routing, from, to);
    let mut before = from;
    let stages = steps.chunk_by(|one, next| one.engine == next.engine).filter_map(|steps| {
        let engine = steps.first()?.engine.as_str();
        let stage = stage(edition, (from, to), (before, engine), steps);
        before = engine;
        Some(stage)
    });
    let stages: Vec<ChangeStage> = stages.collect();
    (!stages.is_empty()).then(|| ChangeRoute {
        anchor: anchor(from, to),
        from: proper_name(from),
        to: proper_name(to),
        stages,
    })
}

fn anchor(from: &str, to: &str) -> String {
    format!("_from-{from}-to-{to}")
}

fn stage(
    edition: &Edition,
    (from, to): (&str, &str),
    (before, engine): (&str, &str),
    steps: &[ChangeStep],
) -> ChangeStage {
    let ledger = &edition.folio.ledger;
    let sheet = ledger.engine(engine);
    ChangeStage {
        anchor: format!("{}-at-{engine}", anchor(from, to)),
        name: proper_name(engine),
        of: proper_name(before),
        address: sheet.map(|sheet| ledger.sheets[sheet].address.clone()).unwrap_or_default(),
        steps: steps.to_vec(),
        figures: ledger
            .engine(before)
            .zip(sheet)
            .map(|(old, new)| figures(edition, old, new))
            .unwrap_or_default(),
    }
}

fn figures(edition: &Edition, old: usize, new: usize) -> Vec<ChangedFigure> {
    let ledger = &edition.folio.ledger;
    let entries = ledger.sheets[new].entries.iter().enumerate();
    let changed = entries.filter_map(|(at, entry)| {
        let name = &entry.name.text;
        let base = ledger.sheets[old].entries.iter().position(|it| it.name.text == *name)?;
        let columns = [Some((old, base)), Some((new, at))];
        let [was, now] =
            <[_; 2]>::try_from(side_by_side::row(ledger, &columns, &edition.folio.conventions))
                .ok()?;
        let (was, now) = (cell(edition, old, base, was), cell(edition, new, at, now));
        let differs = now.value.as_ref()?.relation == Some(SideRelation::Apart);
        differs.then(|| ChangedFigure { label: name.replace('_', " "), was, now })
    });
    changed.collect()
}
