//! A coarse sieve in binary numbers in front of the exact judge: most edits miss by far, and a page
//! that is judged with thousands of mutations has no time for exact numbers on each of them.
//!
//! It may let through what does not fit, but must never hold back what does.

use crate::quantity::{Amount, Figure, Number};

/// Binary value and twice the loose resolution, which no rule of agreement reaches beyond;
/// nothing for fractions, whose reading is not a matter of digits.
fn coarse(number: &Number) -> Option<(f64, f64)> {
    if number.fraction.is_some() || 300 < number.exponent.unsigned_abs() {
        return None;
    }
    let unit = libm::pow(10.0, f64::from(number.exponent));
    let holders = number.integer_zeros.min(number.significant.saturating_sub(2)).min(300);
    let reach = 2.0 * unit * libm::pow(10.0, f64::from(holders));
    #[allow(clippy::cast_precision_loss)] // coarse is all it needs to be
    let value = number.mantissa as f64 * unit;
    Some((value, reach))
}

fn is_near(worked: f64, number: &Number) -> bool {
    let Some((value, reach)) = coarse(number) else { return true };
    let slack = 1e-6 * (worked.abs() + value.abs());
    let distance = (worked - value).abs();
    // Not a number: not for the sieve to say.
    distance.is_nan() || distance <= reach + slack
}

/// Whether the later figure may be the conversion of the first over a straight line.
pub(super) fn may_pair(line: (f64, f64), first: &Figure, later: &Figure) -> bool {
    let across = |number: &Number| coarse(number).map(|(value, _)| value * line.0 + line.1);
    let near = |a: &Number, b: &Number| across(a).is_none_or(|worked| is_near(worked, b));
    match (&first.amount, &later.amount) {
        (Amount::Point(a), Amount::Point(b)) => near(a, b),
        (Amount::Range(a, c), Amount::Range(b, d)) => line.0 < 0.0 || (near(a, b) && near(c, d)),
        _ => true,
    }
}

/// Whether the number of a figure may round to a value in its own unit.
pub(super) fn is_near_any(stated: &Figure, nominal: f64) -> bool {
    match &stated.amount {
        Amount::Point(number) => is_near(nominal, number),
        Amount::Range(..) => true,
    }
}

/// Whether a figure may allow a value in its own unit.
pub(super) fn may_be(stated: &Figure, nominal: f64) -> bool {
    let plain = stated.bound.is_none() && stated.hedge.is_none() && stated.tolerance.is_none();
    match &stated.amount {
        Amount::Point(number) if plain => is_near(nominal, number),
        _ => true,
    }
}
