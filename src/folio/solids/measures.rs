//! Which sizes of a drawing are worth measuring next: those that results wait for, then those that
//! carry most of the ± of some result.

use super::super::measured::Readings;
use super::sizes::{SizeInputs, sizes};
use super::{DrawnEngine, NamedResults};
use crate::cutaway::model::Role;
use crate::cutaway::solids::SizeKind;
use crate::formula::{InputId, Scope, standard_uncertainty};
use crate::text::Span;
use std::collections::BTreeMap;

/// How well a size is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum SizeStanding {
    /// Not at all.
    Unknown,
    /// Estimated.
    Estimated,
    /// Measured.
    Stated,
}

/// A size, and what it is worth to know it better.
#[derive(Debug, Clone)]
pub(crate) struct SizeToMeasure {
    /// Its number among the sizes of the cutaway, from 1.
    pub(crate) number: usize,
    /// "the length of `cap` of the body".
    pub(crate) what: String,
    pub(crate) standing: SizeStanding,
    /// As it is written now, and where.
    pub(crate) text: String,
    pub(crate) span: Span,
    /// How many results wait for it.
    pub(crate) waiting: usize,
    /// The result of whose ± it carries most, and the share of that, 0 to 1.
    pub(crate) carries: Option<(String, f64)>,
}

/// Last words of results that are one size once more.
const NO_MORE: [&str; 4] = ["floor", "length", "widest", "width"];

/// Names of results with at most so many parts are weighed: those at rest, and not the same once
/// more in each position.
const MOST_WORDS: usize = 3;

/// All sizes that are written as numbers, the most useful first.
pub(super) fn measures(
    drawn: &DrawnEngine,
    results: &[&NamedResults],
    readings: Readings<'_>,
) -> Vec<SizeToMeasure> {
    let known = sizes(&drawn.engine);
    let weighed = weighed(drawn.number, results, readings);
    let mut found: Vec<SizeToMeasure> = Vec::new();
    for (at, (what, size)) in known.into_iter().enumerate() {
        let (standing, formula) = match &size.kind {
            SizeKind::Unknown => (SizeStanding::Unknown, None),
            SizeKind::Estimated(formula) => (SizeStanding::Estimated, Some(formula)),
            SizeKind::Stated(formula) => (SizeStanding::Stated, Some(formula)),
        };
        // What names figures is measured at those.
        if formula.is_some_and(|formula| !formula.names().is_empty()) {
            continue;
        }
        let needs = format!("needs {what}");
        let is_waiting =
            |result: &&super::SolidResult| result.as_ref().is_err_and(|it| *it == needs);
        let waiting = results.iter().flat_map(|it| it.values()).filter(is_waiting).count();
        found.push(SizeToMeasure {
            number: at + 1,
            what,
            standing,
            text: size.text.clone(),
            span: size.span,
            waiting,
            carries: weighed.get(&at).cloned(),
        });
    }
    let store = store_sizes(drawn);
    found.sort_by(|a, b| {
        let share = |it: &SizeToMeasure| it.carries.as_ref().map_or(0.0, |(_, share)| *share);
        let stated = |it: &SizeToMeasure| it.standing == SizeStanding::Stated;
        let is_idle = |it: &SizeToMeasure| it.waiting == 0 && it.carries.is_none();
        let is_first =
            |it: &SizeToMeasure| it.standing != SizeStanding::Stated && store.contains(&it.what);
        (is_first(b).cmp(&is_first(a)))
            .then(is_idle(a).cmp(&is_idle(b)))
            .then(b.waiting.cmp(&a.waiting))
            .then(stated(a).cmp(&stated(b)))
            .then(share(b).total_cmp(&share(a)))
            .then(a.number.cmp(&b.number))
    });
    found
}

/// What the bore and the length of the steps are called in which stores lie: most hangs on these.
fn store_sizes(drawn: &DrawnEngine) -> Vec<String> {
    let engine = &drawn.engine;
    let rooms = engine.drawn.rooms.iter();
    let stores = rooms.filter(|(at, _)| engine.chambers[**at].role == Role::Store);
    let steps = stores.filter_map(|(_, place)| match place.part {
        None => Some(engine.drawn.body.as_ref()?.step_name(place.step)),
        Some(_) => None,
    });
    let both =
        |step: String| ["bore", "length"].map(|of| format!("the {of} of {step} of the body"));
    steps.flat_map(both).collect()
}

/// By size the result of whose ± it carries most, and the share.
fn weighed(
    engine: usize,
    results: &[&NamedResults],
    readings: Readings<'_>,
) -> BTreeMap<usize, (String, f64)> {
    let scope = readings.ledger.scope(readings.sheet);
    let mut most: BTreeMap<usize, (String, f64)> = BTreeMap::new();
    for (name, result) in results.iter().flat_map(|it| it.iter()) {
        let Ok(value) = result else { continue };
        let whole = standard_uncertainty(value, &scope);
        let is_size = name.split('.').next_back().is_some_and(|last| NO_MORE.contains(&last));
        if is_size || MOST_WORDS < name.split('.').count() || whole <= 0.0 {
            continue;
        }
        let mut shares: BTreeMap<usize, f64> = BTreeMap::new();
        for (id, slope) in &value.sensitivities {
            let InputId::Drawn(key) = id else { continue };
            let Some(size) = SizeInputs::size_of(*key, engine) else { continue };
            let part = slope * scope.input(*id).standard_uncertainty / whole;
            *shares.entry(size).or_default() += part * part;
        }
        for (size, share) in shares {
            let is_more = most.get(&size).is_none_or(|(_, known)| *known < share);
            if is_more {
                most.insert(size, (name.clone(), share));
            }
        }
    }
    most
}
