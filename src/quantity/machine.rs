//! Numbers as machines read them: a plain decimal point, a plain minus, all digits or as many as
//! mean something.

use super::exact::{Rational, Real};
use num_bigint::BigInt;
use num_integer::Integer;
use num_traits::{One, Signed, Zero};

/// A value for data of which people draw diagrams: 12 significant digits; none where it is not
/// finite.
pub(crate) fn rounded(value: &Real) -> Option<f64> {
    let value = value.to_f64();
    // Adding nought takes the sign off a negative one.
    format!("{value:.11e}").parse().ok().filter(|value: &f64| value.is_finite()).map(|v| v + 0.0)
}

/// Most decimals that an exact number is told with.
const MOST_DIGITS: u32 = 200;

/// A number as JSON and data tell it: all digits where it is exact and ends; 20 significant digits
/// where it is exact and does not; 17 where it is binary.
pub(crate) fn digits(number: &Real) -> String {
    match number {
        Real::Exact(value) => exact_digits(value),
        Real::Near { value, .. } => {
            let scientific = format!("{value:.16e}");
            let (mantissa, exponent) = scientific.split_once('e').unwrap_or((&scientific, "0"));
            let negative = mantissa.starts_with('-');
            let figures: String = mantissa.chars().filter(char::is_ascii_digit).collect();
            placed(negative, &figures, exponent.parse().unwrap_or(0))
        }
    }
}

fn exact_digits(value: &Rational) -> String {
    if value.is_zero() {
        return "0".to_owned();
    }
    let magnitude = value.abs();
    let decimals = ending(magnitude.denom());
    let figures = match decimals {
        Some(decimals) => (&magnitude * power_of_ten(decimals)).to_integer().to_string(),
        None => return rounded_digits(value, 20),
    };
    let length = i64::try_from(figures.len()).unwrap_or(0);
    let exponent = length - 1 - i64::from(decimals.unwrap_or(0));
    placed(value.is_negative(), &figures, exponent)
}

fn power_of_ten(power: u32) -> Rational {
    Rational::from(BigInt::from(10).pow(power))
}

/// Decimals after which a fraction over this denominator ends.
fn ending(denominator: &BigInt) -> Option<u32> {
    let mut rest = denominator.clone();
    let mut count = |prime: u32| {
        let prime = BigInt::from(prime);
        let mut times = 0;
        while times <= MOST_DIGITS && (&rest % &prime).is_zero() {
            rest /= &prime;
            times += 1;
        }
        times
    };
    let decimals = count(2).max(count(5));
    (rest.is_one() && decimals <= MOST_DIGITS).then_some(decimals)
}

/// A fraction rounded to so many significant digits, ties to even.
fn rounded_digits(value: &Rational, significant: u32) -> String {
    let magnitude = value.abs();
    let bits = |n: &BigInt| i64::try_from(n.bits()).unwrap_or(i64::MAX);
    // log₁₀ 2 = 0.30103: at most one off either way, which the loop below puts right.
    let mut exponent = (bits(magnitude.numer()) - bits(magnitude.denom())) * 30_103 / 100_000;
    let wanted = i64::from(significant);
    loop {
        let shift = wanted - 1 - exponent;
        let power = power_of_ten(u32::try_from(shift.abs()).unwrap_or(0));
        let scaled = if shift < 0 { &magnitude / power } else { &magnitude * power };
        let (whole, rest) = scaled.numer().div_rem(scaled.denom());
        let twice = rest * 2;
        let up = *scaled.denom() < twice || (twice == *scaled.denom() && whole.is_odd());
        let figures = (if up { whole + 1 } else { whole }).to_string();
        let length = i64::try_from(figures.len()).unwrap_or(0);
        if length == wanted {
            return placed(value.is_negative(), &figures, exponent);
        }
        exponent += if length < wanted { -1 } else { 1 };
    }
}

/// Figures with the decimal point where the exponent of the first one says.
fn placed(negative: bool, figures: &str, exponent: i64) -> String {
    let figures = figures.trim_end_matches('0');
    if figures.is_empty() {
        return "0".to_owned();
    }
    let sign = if negative { "-" } else { "" };
    let length = i64::try_from(figures.len()).unwrap_or(0);
    let zeros = |count: i64| "0".repeat(usize::try_from(count).unwrap_or(0));
    if (-7..0).contains(&exponent) {
        return format!("{sign}0.{}{figures}", zeros(-exponent - 1));
    }
    if (0..21).contains(&exponent) {
        if length <= exponent + 1 {
            return format!("{sign}{figures}{}", zeros(exponent + 1 - length));
        }
        let (whole, part) = figures.split_at(usize::try_from(exponent + 1).unwrap_or(1));
        return format!("{sign}{whole}.{part}");
    }
    let (first, rest) = figures.split_at(1);
    let point = if rest.is_empty() { "" } else { "." };
    format!("{sign}{first}{point}{rest}e{exponent}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::exact::parse_decimal;

    fn exact(numerator: i64, denominator: i64) -> String {
        digits(&Real::Exact(Rational::new(numerator.into(), denominator.into())))
    }

    #[test]
    fn data_have_twelve_digits() {
        assert_eq!(rounded(&Real::near(0.1 + 0.2)), Some(0.3));
        assert_eq!(rounded(&Real::near(-2.0 / 3e5)), Some(-6.66666666667e-6));
        assert_eq!(rounded(&Real::near(123_456_789_012.34)), Some(123_456_789_012.0));
        assert!(rounded(&Real::near(-0.0)).is_some_and(f64::is_sign_positive));
        assert_eq!(rounded(&Real::near(f64::INFINITY)), None);
    }

    #[test]
    fn exact_numbers_that_end_are_told_in_full() {
        assert_eq!(exact(1, 8), "0.125");
        assert_eq!(exact(-254, 10), "-25.4");
        assert_eq!(exact(12_400, 1), "12400");
        let long = "0.123456789012345678901234567891";
        assert_eq!(digits(&Real::Exact(parse_decimal(long).expect("decimal"))), long);
        assert_eq!(digits(&Real::Exact(parse_decimal("1e-30").expect("decimal"))), "1e-30");
        assert_eq!(digits(&Real::Exact(parse_decimal("1.25e30").expect("decimal"))), "1.25e30");
    }

    #[test]
    fn fractions_that_do_not_end_are_rounded_to_twenty_digits() {
        assert_eq!(exact(2, 3), "0.66666666666666666667");
        assert_eq!(exact(1_000, 3), "333.33333333333333333");
        assert_eq!(exact(-1, 3_000_000), "-0.00000033333333333333333333");
    }

    #[test]
    fn binary_numbers_are_told_to_seventeen_digits() {
        assert_eq!(digits(&Real::near(0.1)), "0.10000000000000001");
        assert_eq!(digits(&Real::near(1.5)), "1.5");
        assert_eq!(digits(&Real::near(-2.5e-9)), "-2.5000000000000001e-9");
    }
}
