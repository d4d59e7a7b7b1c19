//! Numbers for judging: exact rationals where the operations allow it, and otherwise a binary
//! number with a bound on its error.

use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::{One, Signed, ToPrimitive, Zero};
use std::cmp::Ordering;

/// An exact rational number.
pub type Rational = BigRational;

/// `mantissa × 10^exponent`, exactly.
pub(crate) fn decimal(mantissa: impl Into<BigInt>, exponent: i32) -> Rational {
    let mantissa = mantissa.into();
    let power = 10_i128.checked_pow(exponent.unsigned_abs());
    if let (Some(small), Some(power)) = (mantissa.to_i64().map(i128::from), power) {
        let product = if exponent < 0 { Some(small) } else { small.checked_mul(power) };
        if let Some(numerator) = product {
            return ratio(numerator, if exponent < 0 { power } else { 1 });
        }
    }
    let power = BigInt::from(10).pow(exponent.unsigned_abs());
    if exponent < 0 { Rational::new(mantissa, power) } else { Rational::from(mantissa * power) }
}

// What is worked out from the numbers that pages hold fits machine words before it is reduced.
// Judging spends most of its time on it, and big integers take ten times as long.

/// Sum.
pub(crate) fn sum(a: &Rational, b: &Rational) -> Rational {
    let quick = |((an, ad), (bn, bd)): ((i128, i128), (i128, i128))| {
        Some(ratio((an * bd).checked_add(bn * ad)?, ad * bd))
    };
    small(a).zip(small(b)).and_then(quick).unwrap_or_else(|| a + b)
}

/// Difference.
pub(crate) fn difference(a: &Rational, b: &Rational) -> Rational {
    let quick = |((an, ad), (bn, bd)): ((i128, i128), (i128, i128))| {
        Some(ratio((an * bd).checked_sub(bn * ad)?, ad * bd))
    };
    small(a).zip(small(b)).and_then(quick).unwrap_or_else(|| a - b)
}

/// Product.
pub(crate) fn product(a: &Rational, b: &Rational) -> Rational {
    match (small(a), small(b)) {
        (Some((an, ad)), Some((bn, bd))) => ratio(an * bn, ad * bd),
        _ => a * b,
    }
}

/// Quotient; `None` for a divisor of zero.
pub(crate) fn quotient(a: &Rational, b: &Rational) -> Option<Rational> {
    if b.is_zero() {
        return None;
    }
    Some(match (small(a), small(b)) {
        (Some((an, ad)), Some((bn, bd))) => ratio(an * bd * bn.signum(), ad * bn.abs()),
        _ => a / b,
    })
}

/// Which of two numbers is the larger.
pub(crate) fn compare(a: &Rational, b: &Rational) -> Ordering {
    match (small(a), small(b)) {
        (Some((an, ad)), Some((bn, bd))) => (an * bd).cmp(&(bn * ad)),
        _ => a.cmp(b),
    }
}

/// `value × 10^places`, rounded to an integer; ties away from zero.
pub(crate) fn scaled(value: &Rational, places: i32) -> BigInt {
    let quick = |(numerator, denominator): (i128, i128)| {
        let power = 10_i128.checked_pow(places.unsigned_abs())?;
        let (up, down) = if places < 0 { (1, power) } else { (power, 1) };
        let (numerator, denominator) = (numerator.checked_mul(up)?, denominator.checked_mul(down)?);
        let twice = numerator.abs().checked_mul(2)?.checked_add(denominator)?;
        Some(BigInt::from(numerator.signum() * (twice / denominator.checked_mul(2)?)))
    };
    let exact = || (value * decimal(1, places)).round().to_integer();
    small(value).and_then(quick).unwrap_or_else(exact)
}

/// Whether `value` rounded to so many decimals (negative: to tens, hundreds, …) is below zero, and
/// its digits with the point left out.
pub(crate) fn rounded_digits(value: &Rational, places: i32) -> (bool, String) {
    let rounded = scaled(value, places);
    let mut digits = rounded.magnitude().to_string();
    if places < 0 && !rounded.is_zero() {
        digits.extend(std::iter::repeat_n('0', places.unsigned_abs() as usize));
    }
    (rounded.is_negative(), digits)
}

/// Numerator and denominator, if both fit 64 bits: products of two such numbers fit 128.
fn small(value: &Rational) -> Option<(i128, i128)> {
    Some((value.numer().to_i64()?.into(), value.denom().to_i64()?.into()))
}

/// A fraction in lowest terms; the denominator must be above zero.
pub(crate) fn ratio(numerator: i128, denominator: i128) -> Rational {
    let (mut a, mut b) = (numerator.unsigned_abs(), denominator.unsigned_abs());
    while b != 0 {
        // Division of 64 bits is much faster.
        (a, b) = match (u64::try_from(a), u64::try_from(b)) {
            (Ok(a), Ok(b)) => (b.into(), (a % b).into()),
            _ => (b, a % b),
        };
    }
    // The divisor divides a positive `i128`, so it is one.
    let divisor = i128::try_from(a).unwrap_or(1);
    Rational::new_raw((numerator / divisor).into(), (denominator / divisor).into())
}

/// The exact value of a binary number; `None` for infinities and NaN.
pub(crate) fn from_f64(value: f64) -> Option<Rational> {
    Rational::from_float(value)
}

/// Nearest binary number; huge values saturate to infinity.
#[must_use]
pub fn to_f64(value: &Rational) -> f64 {
    // Integers up to 2⁵³ are binary numbers, and the quotient of two of these is the nearest one.
    const LARGEST: i128 = 1 << 53;
    if let Some((numerator, denominator)) = small(value)
        && numerator.abs() <= LARGEST
        && denominator <= LARGEST
    {
        return numerator as f64 / denominator as f64;
    }
    value.to_f64().unwrap_or(f64::NAN)
}

/// Reads plain decimal text (`-0.0254`, `4.4482216152605`, `1e-3`) exactly. No grouping, no unit.
#[must_use]
pub fn parse_decimal(text: &str) -> Option<Rational> {
    let (body, exponent) = match text.split_once(['e', 'E']) {
        Some((body, exponent)) => (body, exponent.parse::<i32>().ok().filter(|e| e.abs() <= 400)?),
        None => (text, 0),
    };
    let (whole, fraction) = body.split_once('.').unwrap_or((body, ""));
    let digits = format!("{whole}{fraction}");
    if fraction.len() > 400 || digits.len() > 800 {
        return None;
    }
    let mantissa: BigInt = digits.parse().ok()?;
    Some(decimal(mantissa, exponent - i32::try_from(fraction.len()).ok()?))
}

/// A real number known exactly, or to within a bound.
#[derive(Debug, Clone, PartialEq)]
pub enum Real {
    /// Exact.
    Exact(Rational),
    /// Within `error` of `value`.
    Near {
        /// The binary approximation.
        value: f64,
        /// Bound on its distance from the true value, ≥ 0.
        error: f64,
    },
}

/// Relative rounding of a chain of a few binary operations.
const ULPS: f64 = 4.0 * f64::EPSILON;

impl Real {
    /// A binary result of well-conditioned library functions: a few units in the last place off.
    #[must_use]
    pub fn near(value: f64) -> Real {
        Real::Near { value, error: value.abs() * ULPS }
    }

    /// π.
    pub(crate) fn pi() -> Real {
        Real::near(std::f64::consts::PI)
    }

    /// Zero.
    pub(crate) fn zero() -> Real {
        Real::Exact(Rational::zero())
    }

    /// Nearest binary number.
    #[must_use]
    pub fn to_f64(&self) -> f64 {
        match self {
            Real::Exact(value) => to_f64(value),
            Real::Near { value, .. } => *value,
        }
    }

    /// The exact value, if it is known.
    #[must_use]
    pub fn exact(&self) -> Option<&Rational> {
        match self {
            Real::Exact(value) => Some(value),
            Real::Near { .. } => None,
        }
    }

    /// An exact interval that holds the true value; `None` if it is not finite.
    pub(crate) fn bounds(&self) -> Option<(Rational, Rational)> {
        match self {
            Real::Exact(value) => Some((value.clone(), value.clone())),
            Real::Near { value, error } => {
                let (value, error) = (from_f64(*value)?, from_f64(*error)?);
                Some((&value - &error, value + error))
            }
        }
    }

    /// Whether the value is finite.
    pub(crate) fn is_finite(&self) -> bool {
        match self {
            Real::Exact(_) => true,
            Real::Near { value, error } => value.is_finite() && error.is_finite(),
        }
    }

    fn parts(&self) -> (f64, f64) {
        match self {
            Real::Exact(value) => {
                let value = to_f64(value);
                (value, value.abs() * f64::EPSILON)
            }
            Real::Near { value, error } => (*value, *error),
        }
    }

    /// Sum.
    #[must_use]
    pub fn add(&self, other: &Real) -> Real {
        if let (Real::Exact(a), Real::Exact(b)) = (self, other) {
            return Real::Exact(sum(a, b));
        }
        let ((a, da), (b, db)) = (self.parts(), other.parts());
        let value = a + b;
        Real::Near { value, error: da + db + value.abs() * f64::EPSILON }
    }

    /// Negation.
    pub(crate) fn neg(&self) -> Real {
        match self {
            Real::Exact(value) => Real::Exact(-value),
            Real::Near { value, error } => Real::Near { value: -value, error: *error },
        }
    }

    /// Difference.
    pub(crate) fn sub(&self, other: &Real) -> Real {
        self.add(&other.neg())
    }

    /// Product.
    pub(crate) fn mul(&self, other: &Real) -> Real {
        if let (Real::Exact(a), Real::Exact(b)) = (self, other) {
            return Real::Exact(product(a, b));
        }
        let ((a, da), (b, db)) = (self.parts(), other.parts());
        let value = a * b;
        let error = a.abs() * db + b.abs() * da + da * db + value.abs() * f64::EPSILON;
        Real::Near { value, error }
    }

    /// Quotient; `None` when the divisor is, or may be, zero.
    pub(crate) fn div(&self, other: &Real) -> Option<Real> {
        if let (Real::Exact(a), Real::Exact(b)) = (self, other) {
            return quotient(a, b).map(Real::Exact);
        }
        let ((a, da), (b, db)) = (self.parts(), other.parts());
        if b.abs() <= db {
            return None;
        }
        let value = a / b;
        let error = (da + value.abs() * db) / (b.abs() - db) + value.abs() * f64::EPSILON;
        Some(Real::Near { value, error })
    }

    /// Integer power with |exponent| ≤ 64; `None` for 0 to a negative power.
    pub(crate) fn powi(&self, exponent: i32) -> Option<Real> {
        let magnitude = exponent.unsigned_abs();
        if magnitude > 64 {
            return None;
        }
        let mut product = Real::Exact(Rational::one());
        for _ in 0..magnitude {
            product = product.mul(self);
        }
        if exponent < 0 { Real::Exact(Rational::one()).div(&product) } else { Some(product) }
    }

    /// Applies a smooth function given with its derivative at the value.
    pub(crate) fn map(&self, function: impl Fn(f64) -> f64, slope: f64) -> Real {
        let (value, error) = self.parts();
        let result = function(value);
        Real::Near { value: result, error: slope.abs() * error * 2.0 + result.abs() * ULPS }
    }
}

impl From<Rational> for Real {
    fn from(value: Rational) -> Real {
        Real::Exact(value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the general way gives, beside the quick one, over sizes around the limits of both.
    #[test]
    fn the_quick_way_gives_what_the_general_one_does() {
        let parts = [0, 1, -1, 3, -10, 254, 1_000_000_007, i64::MAX, i64::MIN, i64::MAX - 1];
        let numbers: Vec<Rational> = parts
            .iter()
            .flat_map(|n| [1, 7, 10_000, i64::MAX].map(|d| Rational::new((*n).into(), d.into())))
            .chain([Rational::from(BigInt::from(10).pow(40))])
            .collect();
        for a in &numbers {
            for b in &numbers {
                assert_eq!(sum(a, b), a + b);
                assert_eq!(difference(a, b), a - b);
                assert_eq!(product(a, b), a * b);
                assert_eq!(quotient(a, b), (!b.is_zero()).then(|| a / b));
                assert_eq!(compare(a, b), a.cmp(b));
            }
            assert_eq!(to_f64(a), a.to_f64().unwrap_or(f64::NAN), "{a}");
            for places in [-40, -19, -2, -1, 0, 1, 3, 18, 19, 40] {
                let rounded = (a * decimal(1, places)).round().to_integer();
                assert_eq!(scaled(a, places), rounded, "{a}, {places}");
            }
        }
    }

    #[test]
    fn decimals_are_in_lowest_terms() {
        assert_eq!(decimal(250, -2), Rational::new(5.into(), 2.into()));
        assert_eq!(decimal(0, -3), Rational::zero());
        assert_eq!(decimal(-12, 1), Rational::from(BigInt::from(-120)));
        assert_eq!(decimal(1, -50) * decimal(1, 50), Rational::one());
        assert_eq!(decimal(i64::MAX, 30) / decimal(i64::MAX, 0), decimal(1, 30));
    }
}
