//! What the uncertainties of the inputs make of a result: the worst case within their limits, and
//! the first-order standard uncertainty of the GUM with correlations kept.

use super::arithmetic::combine;
use super::evaluate::{Context, complete};
use super::tree::Formula;
use super::{
    FaultKind, FormulaFault, Input, InputId, Lookup, RingSize, Scope, Shift, ShiftSide, Value,
};
use crate::quantity::exact::to_f64;
use crate::quantity::{Computed, Conventions, Real};
use crate::tables::{inches_to_metres, ring_by_number};

/// A scope that also knows the ± written inside a formula.
pub struct WithLiterals<'a> {
    pub(crate) formula: &'a Formula,
    /// Where all other names and inputs come from.
    pub(crate) scope: &'a dyn Scope,
}

impl Scope for WithLiterals<'_> {
    fn lookup(&self, path: &[&str], at: &Shift) -> Lookup {
        self.scope.lookup(path, at)
    }
    fn input(&self, id: InputId) -> Input {
        let InputId::Literal(_) = id else { return self.scope.input(id) };
        let own = self.formula.literal_inputs().into_iter().find(|(known, _)| *known == id);
        own.map_or_else(|| self.scope.input(id), |(_, input)| input)
    }
    fn correlation(&self, a: InputId, b: InputId) -> f64 {
        self.scope.correlation(a, b)
    }
    fn names(&self) -> Vec<String> {
        self.scope.names()
    }
}

/// Uncertainty of an input: a tabulated tolerance, the two ends of a model, or what the scope says.
pub(super) fn input(scope: &dyn Scope, id: InputId) -> Input {
    let (dash, size) = match id {
        InputId::Ring(dash, size) => (dash, size),
        InputId::WallHeat => return Input::limits(1.0),
        InputId::Named(_) | InputId::Literal(_) | InputId::Drawn(_) => return scope.input(id),
    };
    let tolerance = ring_by_number(dash).and_then(|ring| match size {
        RingSize::Inside => ring.inside_tolerance.as_ref(),
        RingSize::Section => ring.section_tolerance.as_ref(),
    });
    Input::limits(tolerance.map_or(0.0, |inches| to_f64(&inches_to_metres(inches))))
}

fn correlation(scope: &dyn Scope, a: InputId, b: InputId) -> f64 {
    match (a, b) {
        (InputId::Named(_), InputId::Named(_)) => scope.correlation(a, b).clamp(-1.0, 1.0),
        _ => 0.0,
    }
}

/// First-order standard uncertainty in SI with correlations kept (GUM 5.2.2, equation 13).
#[must_use]
pub fn standard_uncertainty(value: &Value, scope: &dyn Scope) -> f64 {
    let parts: Vec<(InputId, f64)> = value
        .sensitivities
        .iter()
        .map(|(id, slope)| (*id, slope * input(scope, *id).standard_uncertainty))
        .filter(|(_, part)| *part != 0.0)
        .collect();
    let mut variance = 0.0;
    for (at, (a, part)) in parts.iter().enumerate() {
        variance += part * part;
        for (b, other) in &parts[at + 1..] {
            variance += 2.0 * part * other * correlation(scope, *a, *b);
        }
    }
    // Rounding may leave a full cancellation a little below nought.
    libm::sqrt(variance.max(0.0))
}

/// Standard uncertainty, in SI, of the sum of values times factors: of a difference, or to first
/// order of a ratio. What they share counts once.
pub(crate) fn standard_uncertainty_of_sum(parts: &[(f64, &Value)], scope: &dyn Scope) -> f64 {
    let Some((_, first)) = parts.first() else { return 0.0 };
    let parts: Vec<(f64, &[(InputId, f64)])> =
        parts.iter().map(|(factor, value)| (*factor, value.sensitivities.as_slice())).collect();
    let sum = Value { sensitivities: combine(&parts), ..Value::certain(first.quantity.clone()) };
    standard_uncertainty(&sum, scope)
}

/// The range of a formula within the limits of its inputs: the corners that the sign of the
/// gradient names, widened where a sign changes on the way.
///
/// # Errors
/// As [`super::evaluate()`]; also for comparisons, which have no range.
pub fn worst_case(
    formula: &Formula,
    scope: &dyn Scope,
    conventions: &Conventions,
) -> Result<Computed, FormulaFault> {
    if formula.is_comparison() {
        return Err(FormulaFault::new(
            FaultKind::Text,
            formula.root.span,
            "a comparison has no range of values",
        ));
    }
    let scope = WithLiterals { formula, scope };
    let found = range(
        &|shift: &Shift| complete(&formula.root, Context { scope: &scope, conventions, shift }),
        &scope,
    )?;
    Ok(Computed { nominal: found.nominal.quantity, low: found.low, high: found.high })
}

/// A value with its worst-case ends.
pub(super) struct Range {
    pub(super) nominal: Value,
    pub(super) low: Real,
    pub(super) high: Real,
}

pub(super) fn range(
    value_at: &dyn Fn(&Shift) -> Result<Value, FormulaFault>,
    scope: &dyn Scope,
) -> Result<Range, FormulaFault> {
    let nominal = value_at(&Shift::nominal())?;
    let moving: Vec<(InputId, f64, f64)> = nominal
        .sensitivities
        .iter()
        .map(|(id, slope)| (*id, *slope, input(scope, *id).limit))
        .filter(|(_, _, limit)| 0.0 < *limit)
        .collect();
    let si = nominal.quantity.si.clone();
    let mut found = Range { nominal, low: si.clone(), high: si };
    if moving.is_empty() {
        return Ok(found);
    }
    for up in [true, false] {
        match corner(value_at, &moving, up) {
            Ok(Corner { reach, margin }) => {
                for real in reach {
                    let outward = Real::near(if up { margin } else { -margin });
                    let real = if margin == 0.0 { real } else { real.add(&outward) };
                    extend(&mut found, real);
                }
            }
            // Outside the range of a function: the linear estimate stands in.
            Err(_) => {
                let span: f64 = moving.iter().map(|(_, slope, limit)| slope.abs() * limit).sum();
                let outward = Real::near(if up { span } else { -span });
                let end = found.nominal.quantity.si.add(&outward);
                extend(&mut found, end);
            }
        }
    }
    Ok(found)
}

fn extend(found: &mut Range, real: Real) {
    if real.to_f64() < found.low.to_f64() {
        found.low = real;
    } else if found.high.to_f64() < real.to_f64() {
        found.high = real;
    }
}

/// Values found around a corner, and how far beyond them an extremum inside may reach.
struct Corner {
    reach: Vec<Real>,
    margin: f64,
}

fn corner(
    value_at: &dyn Fn(&Shift) -> Result<Value, FormulaFault>,
    moving: &[(InputId, f64, f64)],
    up: bool,
) -> Result<Corner, FormulaFault> {
    let side = |slope: f64| if (0.0 < slope) == up { ShiftSide::High } else { ShiftSide::Low };
    let mut shift = Shift::nominal();
    for (id, slope, _) in moving.iter().filter(|(_, slope, _)| *slope != 0.0) {
        shift = shift.with(*id, side(*slope));
    }
    let end = value_at(&shift)?;
    let slope_at_end = |id: InputId| {
        let at = end.sensitivities.binary_search_by_key(&id, |(known, _)| *known).ok();
        at.map_or(0.0, |at| end.sensitivities[at].1)
    };
    let mut found = Corner { reach: vec![end.quantity.si.clone()], margin: 0.0 };
    for (id, slope, limit) in moving {
        let there = slope_at_end(*id);
        if *slope == 0.0 {
            // Flat at the nominal value: either side may be the extreme one.
            for side in [ShiftSide::Low, ShiftSide::High] {
                found.reach.push(value_at(&shift.clone().with(*id, side))?.quantity.si);
            }
        } else if there * slope < 0.0 {
            found.margin += there.abs() * limit;
        }
    }
    Ok(found)
}
