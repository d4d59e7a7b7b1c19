//! Numbers for judging: exact rationals where the operations allow it, and otherwise a binary
//! number with a bound on its error.

use super::small_terms::{product, quotient, sum};
use num_bigint::BigInt;
use num_rational::BigRational;
use num_traits::float::FloatCore;
use num_traits::{One, Signed, ToPrimitive, Zero};

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

/// `value × 10^places`, rounded to an integer; ties away from zero.
pub(crate) fn scaled(value: &Rational, places: i32) -> BigInt {
    // One division: lowest terms on the way would be sought for nothing.
    let power = BigInt::from(10).pow(places.unsigned_abs());
    let (above, below) = match places < 0 {
        true => (value.numer().clone(), value.denom() * power),
        false => (value.numer() * power, value.denom().clone()),
    };
    let twice = (above.magnitude() << 1) + below.magnitude();
    BigInt::from_biguint(above.sign(), twice / (below.magnitude() << 1))
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
    if !value.is_finite() {
        return None;
    }
    let (mantissa, exponent, sign) = value.integer_decode();
    if mantissa == 0 {
        return Some(Rational::zero());
    }
    // An odd number and a power of two are in lowest terms.
    let twos = mantissa.trailing_zeros();
    let odd = BigInt::from(mantissa >> twos) * sign;
    let exponent = i32::from(exponent) + twos.cast_signed();
    let power = exponent.unsigned_abs();
    Some(match exponent < 0 {
        true => Rational::new_raw(odd, BigInt::one() << power),
        false => Rational::from(odd << power),
    })
}

/// Nearest binary number; huge values saturate to infinity.
#[must_use]
pub fn to_f64(value: &Rational) -> f64 {
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
            return (!b.is_zero()).then(|| Real::Exact(quotient(a, b)));
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
    use proptest::prelude::*;

    #[test]
    fn decimals_are_in_lowest_terms() {
        assert_eq!(decimal(250, -2), Rational::new(5.into(), 2.into()));
        assert_eq!(decimal(0, -3), Rational::zero());
        assert_eq!(decimal(-12, 1), Rational::from(BigInt::from(-120)));
        assert_eq!(decimal(1, -50) * decimal(1, 50), Rational::one());
        assert_eq!(decimal(i64::MAX, 30) / decimal(i64::MAX, 0), decimal(1, 30));
    }

    proptest! {
        #[test]
        fn rounding_is_that_of_the_library(above: i64, below in 1..i64::MAX, places in -20..20) {
            let value = Rational::new(above.into(), below.into());
            let rounded = (&value * decimal(1, places)).round().to_integer();
            prop_assert_eq!(scaled(&value, places), rounded);
        }

        #[test]
        fn a_binary_number_is_that_of_the_library(value in any::<f64>()) {
            prop_assert_eq!(from_f64(value), Rational::from_float(value));
        }
    }

    #[test]
    fn halves_are_rounded_away_from_zero() {
        let rounded = |above: i64| scaled(&Rational::new(above.into(), 2.into()), 0);
        assert_eq!([1, -1, 3, -3, 0].map(rounded), [1, -1, 2, -2, 0].map(BigInt::from));
    }
}
