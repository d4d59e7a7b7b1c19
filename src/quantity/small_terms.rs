//! Sums, products and quotients of rationals whose terms fit 64 bits, as those of nearly every
//! figure do, without big numbers on the way. What does not fit is left to the library.

use super::exact::Rational;
use num_traits::{ToPrimitive, Zero};

/// Numerator and denominator, in lowest terms; the denominator is above zero.
type SmallTerms = (i64, i64);

fn small(value: &Rational) -> Option<SmallTerms> {
    Some((value.numer().to_i64()?, value.denom().to_i64()?))
}

/// The greatest common divisor; of nothing and a number, the number.
fn divisor(a: u64, b: u64) -> u64 {
    let (mut a, mut b) = (a, b);
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

/// A denominator, which is above zero.
fn count(below: i64) -> u64 {
    below.unsigned_abs()
}

fn of_terms(above: i128, below: i128) -> Rational {
    Rational::new_raw(above.into(), below.into())
}

/// `a + b`.
pub(crate) fn sum(a: &Rational, b: &Rational) -> Rational {
    let terms = small(a).zip(small(b)).and_then(|(a, b)| sum_of(a, b));
    terms.map_or_else(|| a + b, |(above, below)| of_terms(above, below))
}

/// Knuth, The Art of Computer Programming 2, 4.5.1: what the numerators' sum shares with both
/// denominators, it shares with their greatest common divisor.
fn sum_of((a, b): SmallTerms, (c, d): SmallTerms) -> Option<(i128, i128)> {
    let shared = divisor(count(b), count(d));
    let wide = i128::from;
    let (b, d) = (wide(b) / i128::from(shared), wide(d));
    let above = wide(a) * (d / i128::from(shared)) + wide(c) * b;
    let rest = u64::try_from(above.unsigned_abs() % u128::from(shared)).ok()?;
    let common = i128::from(divisor(shared, rest));
    Some((above / common, b * (d / common)))
}

/// `a × b`.
pub(crate) fn product(a: &Rational, b: &Rational) -> Rational {
    let terms = small(a).zip(small(b)).map(|(a, b)| product_of(a, b));
    terms.map_or_else(|| a * b, |(above, below)| of_terms(above, below))
}

/// What each numerator shares with the other denominator is all that there is to strike out.
fn product_of((a, b): SmallTerms, (c, d): SmallTerms) -> (i128, i128) {
    let first = i128::from(divisor(a.unsigned_abs(), count(d)));
    let second = i128::from(divisor(c.unsigned_abs(), count(b)));
    let wide = i128::from;
    ((wide(a) / first) * (wide(c) / second), (wide(b) / second) * (wide(d) / first))
}

/// `a / b`; `b` must not be zero.
pub(crate) fn quotient(a: &Rational, b: &Rational) -> Rational {
    let turned = |(c, d): SmallTerms| {
        let above = if c < 0 { d.checked_neg()? } else { d };
        (!c.is_zero()).then_some((above, c.checked_abs()?))
    };
    let terms = small(a).zip(small(b).and_then(turned)).map(|(a, b)| product_of(a, b));
    terms.map_or_else(|| a / b, |(above, below)| of_terms(above, below))
}

#[cfg(test)]
mod tests {
    use super::*;
    use num_bigint::BigInt;
    use proptest::prelude::*;

    fn rational() -> impl Strategy<Value = Rational> {
        let edge = prop_oneof![Just(i64::MIN), Just(i64::MAX), -20..20_i64, any::<i64>()];
        let below = prop_oneof![Just(i64::MAX), 1..20_i64, 1..i64::MAX];
        (edge, below, 0..3_u32).prop_map(|(above, below, power)| {
            // Some beyond 64 bits.
            Rational::new(above.into(), below.into()).pow(i32::try_from(power).unwrap_or(1))
        })
    }

    /// Equal fractions may be written in other terms.
    fn terms(value: Rational) -> (BigInt, BigInt) {
        value.into()
    }

    proptest! {
        #[test]
        fn they_are_those_of_the_library(a in rational(), b in rational()) {
            prop_assert_eq!(terms(sum(&a, &b)), terms(&a + &b));
            prop_assert_eq!(terms(product(&a, &b)), terms(&a * &b));
            if !b.is_zero() {
                prop_assert_eq!(terms(quotient(&a, &b)), terms(&a / &b));
            }
        }
    }
}
