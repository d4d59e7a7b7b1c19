//! What a statement is held against: readings by their statements, derived figures by their value
//! and what the rounding of their inputs makes of it.
//!
//! The ± of an input plays no part in either. It says how far the engine may be from the reading;
//! a text that restates a reading, or a result worked out from it, has no such freedom. A text that
//! restates the ± as well is held against that too.

use crate::formula::{self, FaultKind, Formula, FormulaFault, Outcome, Scope, Shift};
use crate::quantity::exact::{Rational, difference, product, ratio, sum};
use crate::quantity::judge::{against, dual, verdict};
use crate::quantity::{Computed, Conventions, Figure, Judgement, Number, Quantity, Real, Verdict};
use crate::sheet::{Ledger, Stated};
use num_traits::Signed;

/// A reading's statement as something to agree with: its value, within the rounding of its own
/// digits.
#[must_use]
pub fn of_statement(stated: &Stated) -> Computed {
    // The next figure of as many digits begins where this one ends; that end belongs to neither,
    // or 0.91 would be taken for 0.90.
    let almost = ratio(999_999_999, 1_000_000_000);
    of_quantity(&stated.quantity, &product(&stated.rounding, &almost))
}

fn of_quantity(quantity: &Quantity, half_width: &Rational) -> Computed {
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
            Held::Statement(stated) => match restated(stated, figure) {
                Some(own) => beside(text, stated, own, figure, conventions),
                None => against(text, figure, &of_statement(stated), conventions),
            },
        }
    }

    fn verdict(&self, figure: &Figure, conventions: &Conventions) -> Verdict {
        match self {
            Held::Value(computed) => verdict(figure, computed, conventions),
            Held::Statement(stated) => match restated(stated, figure) {
                Some(own) => beside("", stated, own, figure, conventions).verdict,
                None => verdict(figure, &of_statement(stated), conventions),
            },
        }
    }
}

/// The figure of a statement that another with its ± restates, of the same unit where there is
/// one. The ± is then no freedom: value beside value and ± beside ±, as in a conversion.
fn restated<'a>(stated: &'a Stated, figure: &Figure) -> Option<&'a Figure> {
    figure.tolerance.as_ref()?;
    let mut own = stated.figures.iter().filter(|own| own.tolerance.is_some());
    let same = own.clone().find(|own| own.unit.code == figure.unit.code);
    // What a bare pressure counts from was settled where the reading stands.
    same.or_else(|| own.next()).filter(|own| own.reference == figure.reference)
}

/// Judges a figure that restates value and ± of a statement.
fn beside(
    text: &str,
    stated: &Stated,
    own: &Figure,
    figure: &Figure,
    conventions: &Conventions,
) -> Judgement {
    let plain = Figure { tolerance: None, ..figure.clone() };
    let value = against(text, &plain, &of_statement(stated), conventions);
    if Verdict::Lenient < value.verdict {
        return value;
    }
    let mut both = dual(text, own, figure, conventions);
    if both.verdict == Verdict::Lenient && differs(own, figure) {
        both.verdict = Verdict::Disagree;
        both.reason = "a ± is restated as it is, not rounded".to_owned();
    }
    if both.verdict == Verdict::Disagree {
        both.likely = Some("the ± is not that of the reading".to_owned());
        both.proposal.clone_from(&both.works_out);
    }
    if both.verdict < value.verdict { value } else { both }
}

/// Whether two ± in one unit differ by more than the rounding of both; what only touches differs,
/// or ± 5 psi would be taken for ± 4 psi.
fn differs(own: &Figure, figure: &Figure) -> bool {
    let unit =
        |figure: &Figure| figure.tolerance.as_ref().and_then(|own| own.unit).or(Some(figure.unit));
    let same = unit(own).map(|unit| &unit.code) == unit(figure).map(|unit| &unit.code);
    let sides = |figure: &Figure| {
        let tolerance = figure.tolerance.clone()?;
        let lower = tolerance.below.unwrap_or_else(|| tolerance.half_width.clone());
        Some([tolerance.half_width, lower])
    };
    let (Some(own), Some(other)) = (sides(own), sides(figure)) else { return false };
    let apart = |(a, b): (Number, Number)| {
        let between = difference(&a.value(), &b.value());
        let rounding = sum(&a.resolution(), &b.resolution());
        rounding <= sum(&between, &between).abs()
    };
    same && own.into_iter().zip(other).any(apart)
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
#[must_use]
pub fn judge_entry(
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
#[must_use]
pub fn verdict_on(
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
pub enum Worth {
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
pub fn of_formula(
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
pub fn truth(
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
