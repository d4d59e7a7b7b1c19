//! Numbers as they were written, for reasons and proposals: as a writer would type them.

use crate::quantity::exact::{decimal, scaled};
use crate::quantity::print;
pub(super) use crate::quantity::print::{NBSP, typed as number, with_unit};
use crate::quantity::{Number, Rational, Real, Tolerance};
use num_traits::{Signed, Zero};

/// Largest power of ten that is still worked with; larger ones are cut to it. No figure needs it,
/// and it keeps the work bounded when a number was built by hand.
const MAX_EXPONENT: i32 = 100;

/// More zeros than the longest integer that is kept exactly can end with.
const MAX_ZEROS: u32 = 39;

/// The same number with its exponent and its count of zeros cut to what can be worked with.
pub(super) fn tame(number: &Number) -> Number {
    Number {
        exponent: number.exponent.clamp(-MAX_EXPONENT, MAX_EXPONENT),
        integer_zeros: number.integer_zeros.min(MAX_ZEROS),
        ..number.clone()
    }
}

/// `value` rounded to a multiple of `10^-places`; ties away from zero.
pub(super) fn rounded(value: &Rational, places: i32) -> Rational {
    decimal(scaled(value, places), -places)
}

/// At least so many decimals; more where `value`, which is not nought, would be told as nought: as
/// many as show it, or else its first three figures.
pub(super) fn telling(value: &Rational, places: i32) -> i32 {
    if value.is_zero() || !rounded(value, places).is_zero() {
        return places;
    }
    let first = (places..).find(|places| !scaled(value, *places).is_zero()).unwrap_or(places);
    let shows = |places: &i32| rounded(value, *places) == *value;
    (first..first + 2).find(shows).unwrap_or(first + 2)
}

/// `value` with at least `places` decimals, and with as many more (at most six) as it takes to
/// tell it from nought and from each of `others` that it differs from.
pub(super) fn number_apart(value: &Rational, places: i32, others: &[&Rational]) -> String {
    let places = telling(value, places);
    let apart = |places: i32| {
        others.iter().all(|other| *other == value || rounded(value, places) != **other)
    };
    let places = (places..places + 6).find(|places| apart(*places)).unwrap_or(places + 6);
    number(value, places)
}

/// A number as it was written, with its digits; no grouping.
pub(super) fn as_written(written: &Number) -> String {
    let written = tame(written);
    let Some((numerator, denominator)) = written.fraction else {
        return number(&written.value(), -written.exponent);
    };
    let minus = if written.negative { "\u{2212}" } else { "" };
    match written.mantissa.unsigned_abs() {
        0 => format!("{minus}{numerator}/{denominator}"),
        whole => format!("{minus}{whole} {numerator}/{denominator}"),
    }
}

/// A ± as it was written, with a blank before it: ` ± 0.2`, ` +0.1/−0.05`.
pub(super) fn plus_minus(tolerance: &Tolerance) -> String {
    let below = tolerance.below.as_ref().map(as_written);
    print::plus_minus(&as_written(&tolerance.half_width), below.as_deref())
}

/// Decimals that show a number as finely as it was written: those of its last digit; for a
/// fraction one more than its denominator needs.
pub(super) fn places(written: &Number) -> i32 {
    match written.fraction {
        None => -tame(written).exponent,
        Some((_, denominator)) => {
            let digits = denominator.max(1).to_string().len();
            i32::try_from(digits).unwrap_or(1) + 1
        }
    }
}

/// A value that stands for a real number in print: itself, or the middle of its bounds; nought
/// where these do not tell it from that.
pub(super) fn middle(value: &Real) -> Option<Rational> {
    let (low, high) = value.bounds()?;
    Some(match low == high {
        true => low,
        false if low.is_negative() != high.is_negative() => Rational::zero(),
        false => (low + high) / Rational::from_integer(2.into()),
    })
}

/// Decimals at which a positive `step` shows with two digits: 0.28 → 2, 14 → 0.
pub(super) fn places_for(step: &Rational) -> i32 {
    if step.is_zero() {
        return 0;
    }
    let mut places = -3;
    while places < 12 && (step.abs() * decimal(1, places)) < decimal(1, 1) {
        places += 1;
    }
    places
}
