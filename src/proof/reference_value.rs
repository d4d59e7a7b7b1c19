//! What a statement is held against: readings by their statements, derived figures by their value
//! and what the rounding of their inputs makes of it.
//!
//! The ± of an input plays no part in either. It says how far the engine may be from the reading;
//! a text that restates a reading, or a result worked out from it, has no such freedom.
//! For one that restates the ± as well see `restated.rs`.

use super::restated::restated;
use crate::formula::{self, FaultKind, Formula, FormulaFault, Outcome, Scope, Shift};
use crate::quantity::exact::{Rational, ratio};
use crate::quantity::judge::{against, verdict};
use crate::quantity::small_terms::product;
use crate::quantity::{Computed, Conventions, Figure, Judgement, Quantity, Real, Verdict};
use crate::sheet::{Ledger, Stated};

/// A reading's statement as something to agree with: its value, within the rounding of its own
/// digits.
pub(crate) fn of_statement(stated: &Stated) -> Computed {
    // The next figure of as many digits begins where this one ends; that end belongs to neither,
    // or 0.91 would be taken for 0.90.
    let almost = ratio(999_999_999, 1_000_000_000);
    of_quantity(&stated.quantity, &product(&stated.rounding, &almost))
}

/// A quantity within so much of itself, in SI.
pub(super) fn of_quantity(quantity: &Quantity, half_width: &Rational) -> Computed {
    let half = Real::Exact(half_width.clone());
    Computed {
        nominal: quantity.clone(),
        low: quantity.si.sub(&half),
        high: quantity.si.add(&half),
    }
}

/// What a figure is held against.
enum Held<'a> {
    /// A statement of a reading.
    Statement(&'a Stated),
    /// A worked-out value.
    Value(Computed),
}

impl Held<'_> {
    fn judge(&self, text: &str, figure: &Figure, conventions: &Conventions) -> Judgement {
        match self {
            Held::Value(computed) => against(text, figure, computed, conventions),
            Held::Statement(stated) => restated(text, stated, figure, conventions)
                .unwrap_or_else(|| against(text, figure, &of_statement(stated), conventions)),
        }
    }

    fn verdict(&self, figure: &Figure, conventions: &Conventions) -> Verdict {
        match self {
            Held::Value(computed) => verdict(figure, computed, conventions),
            Held::Statement(stated) => restated("", stated, figure, conventions).map_or_else(
                || verdict(figure, &of_statement(stated), conventions),
                |judgement| judgement.verdict,
            ),
        }
    }
}

/// What an entry is worth: each statement of a reading, or the value of a formula. `None` where
/// the entry has no value.
fn of_entry(ledger: &Ledger, (sheet, entry): (usize, usize)) -> Option<Vec<Held<'_>>> {
    let item = &ledger.sheets[sheet].entries[entry];
    if let Some(reading) = item.reading() {
        if !reading.statements.is_empty() {
            return Some(reading.statements.iter().map(Held::Statement).collect());
        }
        let lent = ledger.nominal(sheet, entry)?;
        let exact = of_quantity(&lent.quantity, &Rational::from_integer(0.into()));
        return Some(vec![Held::Value(exact)]);
    }
    let formula = item.derived()?.formula.as_ref()?;
    let scope = ledger.scope(sheet);
    let conventions = &ledger.sheets[sheet].conventions;
    Some(vec![Held::Value(within_rounding(formula, ledger, &scope, conventions).ok()?)])
}

/// Judges a figure against an entry. A reading with several statements agrees with the one that it
/// fits best. `None` where the entry has no value.
pub(crate) fn judge_entry(
    text: &str,
    figure: &Figure,
    ledger: &Ledger,
    entry: (usize, usize),
    conventions: &Conventions,
) -> Option<Judgement> {
    let worth = of_entry(ledger, entry)?;
    let judgements = worth.iter().map(|held| held.judge(text, figure, conventions));
    judgements.min_by_key(|judgement| judgement.verdict)
}

/// The verdict of [`judge_entry`] without its words.
pub(crate) fn verdict_on(
    figure: &Figure,
    ledger: &Ledger,
    entry: (usize, usize),
    conventions: &Conventions,
) -> Option<Verdict> {
    let worth = of_entry(ledger, entry)?;
    worth.iter().map(|held| held.verdict(figure, conventions)).min()
}

/// A formula's value, and how far the rounding of the inputs' digits may take it, to first order.
fn within_rounding(
    formula: &Formula,
    ledger: &Ledger,
    scope: &dyn Scope,
    conventions: &Conventions,
) -> Result<Computed, FormulaFault> {
    let value = match formula::evaluate(formula, scope, conventions)? {
        Outcome::Value(value) => value,
        Outcome::Truth(_) => {
            let all = crate::text::Span::new(0, 0);
            let message = "a comparison is true or false, and no figure";
            return Err(FormulaFault::new(FaultKind::Text, all, message));
        }
    };
    let inputs = value.sensitivities.iter();
    let reach: f64 = inputs.map(|(id, slope)| slope.abs() * ledger.rounding(*id)).sum();
    let reach = Real::near(if reach.is_finite() { reach } else { 0.0 });
    Ok(Computed {
        low: value.quantity.si.sub(&reach),
        high: value.quantity.si.add(&reach),
        nominal: value.quantity,
    })
}

/// What a formula in a page works out as.
pub(crate) enum Worth {
    /// The value of one named entry, stated as such.
    Entry(usize, usize),
    /// A value with its worst case.
    Value(Box<Computed>),
    /// Something it needs has a fault that was told elsewhere.
    Silent,
    /// It cannot be worked out yet.
    Undecided(String),
}

/// Works a formula out in the scope of a page.
///
/// # Errors
/// The fault, with its place in the formula.
pub(crate) fn of_formula(
    formula: &Formula,
    ledger: &Ledger,
    sheet: usize,
    conventions: &Conventions,
) -> Result<Worth, FormulaFault> {
    if let [(path, _)] = formula.names().as_slice()
        && formula.is_name()
    {
        let path: Vec<&str> = path.iter().map(String::as_str).collect();
        if let Some((sheet, entry, [])) = ledger.resolve(sheet, &path) {
            return Ok(match ledger.value(sheet, entry, &Shift::nominal()) {
                formula::Lookup::Undecided(needs) => Worth::Undecided(needs),
                formula::Lookup::Value(_) => Worth::Entry(sheet, entry),
                _ => Worth::Silent,
            });
        }
    }
    let scope = ledger.scope(sheet);
    match within_rounding(formula, ledger, &scope, conventions) {
        Ok(computed) => Ok(Worth::Value(Box::new(computed))),
        Err(fault) if fault.kind == FaultKind::Poisoned => Ok(Worth::Silent),
        Err(fault) if fault.kind == FaultKind::Undecided => Ok(Worth::Undecided(fault.message)),
        Err(fault) => Err(fault),
    }
}

/// Truth of a comparison in the scope of a page.
///
/// # Errors
/// The fault, with its place in the formula.
pub(crate) fn truth(
    formula: &Formula,
    scope: &dyn Scope,
    conventions: &Conventions,
) -> Result<Option<formula::Truth>, FormulaFault> {
    match formula::evaluate(formula, scope, conventions) {
        Ok(Outcome::Truth(truth)) => Ok(Some(truth)),
        Ok(Outcome::Value(_)) => Err(FormulaFault::new(
            FaultKind::Text,
            crate::text::Span::new(0, 0),
            "this is a value, not a comparison",
        )
        .helping("compare it: `… > 4 bar`")),
        Err(fault) if fault.kind == FaultKind::Poisoned => Ok(None),
        Err(fault) if fault.kind == FaultKind::Undecided => {
            Ok(Some(formula::Truth::Undecided(fault.message)))
        }
        Err(fault) => Err(fault),
    }
}

/// The ± that a reading states.
pub(super) struct StatedTolerance {
    pub(super) unit: &'static crate::quantity::Unit,
    pub(super) upper: crate::quantity::Number,
    /// Where it differs from the upper one.
    pub(super) lower: Option<crate::quantity::Number>,
    /// As typed where the reading is declared.
    pub(super) written: String,
}

/// The ± that a reading states first; `None` where it states none.
pub(super) fn stated_tolerance(
    ledger: &Ledger,
    (sheet, entry): (usize, usize),
) -> Option<StatedTolerance> {
    let reading = ledger.sheets[sheet].entries[entry].reading()?;
    let mut figures = reading.statements.iter().flat_map(|stated| &stated.figures);
    figures.find_map(|figure| {
        let tolerance = figure.tolerance.as_ref()?;
        let upper = tolerance.half_width.clone();
        let decimals = usize::try_from(-upper.exponent).unwrap_or(0);
        let written = format!("{:.decimals$}", crate::quantity::exact::to_f64(&upper.value()));
        let unit = tolerance.unit.unwrap_or(figure.unit);
        Some(StatedTolerance { unit, upper, lower: tolerance.below.clone(), written })
    })
}
