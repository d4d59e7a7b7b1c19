//! Numbers and quantities as people read them: a true minus sign, narrow blanks in long numbers, a
//! no-break space before the unit, and no more digits than the figure carries.

use super::exact::{Rational, Real, from_f64, rounded_digits};
use super::usual::{System, system_of, unit_in};
use super::{Amount, Figure, Kind, Number, Quantity, Reference, Unit};
use std::borrow::Cow;

/// No-break space, between a number and its unit.
pub(crate) const NBSP: char = '\u{a0}';

/// How a value is printed: its unit and the SI step of its last digit.
#[derive(Debug, Clone)]
pub(crate) struct Style {
    pub(crate) unit: Unit,
    /// Step of the last digit, SI, > 0.
    pub(crate) resolution: f64,
}

impl Style {
    /// For a worked-out value, in the usual metric unit unless another is wanted: to two figures of
    /// its ± `expanded` (SI) where that is `told` beside it (GUM 7.2.6). Else no digit is finer
    /// than the first of the ±, and four figures are enough.
    pub(crate) fn computed(
        quantity: &Quantity,
        unit: Option<Unit>,
        expanded: f64,
        told: bool,
    ) -> Style {
        let unit = unit.unwrap_or_else(|| unit_in(System::Metric, quantity, None).into_owned());
        let spread = unit.span_from_si(&Real::near(expanded)).to_f64().abs();
        // Of what is told to more figures than nine, the last are noise of the arithmetic.
        let (of_spread, of_value) = if told { (2, 9) } else { (1, 4) };
        let finest = step_of(quantity.si.to_f64(), of_value);
        let resolution = if 0.0 < spread && spread.is_finite() {
            let step = unit.span_to_si(&Real::near(step_of(spread, of_spread))).to_f64().abs();
            step.max(finest)
        } else {
            step_of(quantity.si.to_f64(), 4)
        };
        Style { unit, resolution }
    }

    /// For a statement whose digits end with a step of `rounding` (SI); of four figures where they
    /// do not tell.
    pub(crate) fn stated(si: &Real, unit: &Unit, rounding: f64) -> Style {
        let resolution = if 0.0 < rounding { rounding } else { step_of(si.to_f64(), 4) };
        Style { unit: unit.clone(), resolution }
    }

    /// The units in which a quantity of this style is told: its own, the metric and the US
    /// customary one, which are its own where that stays.
    pub(crate) fn units(&self, quantity: &Quantity) -> [Cow<'_, Unit>; 3] {
        let own = system_of(&self.unit);
        let stays = own.is_none() || matches!(quantity.kind, Kind::Count | Kind::Ratio);
        let anew = |system| {
            let anew = Some(unit_in(system, quantity, Some(&self.unit)))
                .filter(|unit| !stays && own != Some(system) && system_of(unit) != own);
            anew.unwrap_or(Cow::Borrowed(&self.unit))
        };
        [Cow::Borrowed(&self.unit), anew(System::Metric), anew(System::Us)]
    }
}

/// Step of the last of so many significant digits.
fn step_of(size: f64, digits: i32) -> f64 {
    let size = size.abs();
    if !(0.0 < size && size.is_finite()) {
        return 1e-3;
    }
    libm::exp10(libm::floor(libm::log10(size)) - f64::from(digits - 1))
}

/// Number and unit, rounded so that the last digit is about as fine as `resolution` (SI); what is
/// no smaller than that is not rounded to nought.
pub(crate) fn in_unit(quantity: &Quantity, unit: &Unit, resolution: f64) -> String {
    let number = Real::near(unit.number_of(quantity).to_f64());
    let places = places(resolution, unit);
    let told = digits(&number, places);
    let is_told =
        says_something(&told) || number.to_f64().abs() < (resolution / unit.factor.to_f64()).abs();
    let told = if is_told { told } else { digits(&number, places + 1) };
    with_unit(&told, unit, None)
}

/// Half-width of a ± in a unit, without sign: as fine as `resolution` (SI) where that tells it to a
/// quarter, finer where it does not.
pub(crate) fn half_width_in(half_width: f64, unit: &Unit, resolution: f64) -> String {
    let number = unit.span_from_si(&Real::near(half_width));
    with_unit(&half_width_to(&number, places(resolution, unit)), unit, None)
}

/// Half-width of a ± with so many decimal places, or with more where these do not tell it.
pub(crate) fn half_width_to(number: &Real, places: i32) -> String {
    let told = digits(number, places_to_a_quarter(number.to_f64(), places));
    if says_something(&told) { told } else { significant(number.to_f64(), 2) }
}

/// Whether a printed number is not nought.
fn says_something(told: &str) -> bool {
    told.contains(|digit| matches!(digit, '1'..='9'))
}

/// The fewest decimal places, of `fewest` and a few more, at which a number is within a quarter of
/// itself told with one place more.
fn places_to_a_quarter(number: f64, fewest: i32) -> i32 {
    const MORE: i32 = 4;
    let rounded = |places: i32| {
        let power = libm::exp10(f64::from(places));
        libm::round(number * power) / power
    };
    let is_told = |places: &i32| {
        let (coarse, fine) = (rounded(*places), rounded(places + 1));
        0.0 < coarse && (coarse - fine).abs() <= 0.25 * fine
    };
    (fewest..fewest + MORE).find(is_told).unwrap_or(fewest)
}

/// Decimal places in `unit` whose step is nearest, by ratio, to a resolution in SI.
pub(crate) fn places(resolution: f64, unit: &Unit) -> i32 {
    let step = (resolution / unit.factor.to_f64()).abs();
    if !(step.is_finite() && 0.0 < step) {
        return 3;
    }
    let exponent = libm::floor(libm::log10(step) + 0.5);
    -exponent as i32
}

/// A printed number with its unit and, where one is given, its reference.
pub(crate) fn with_unit(number: &str, unit: &Unit, reference: Option<Reference>) -> String {
    let mark = reference.map(|r| format!("{NBSP}{}", r.word())).unwrap_or_default();
    match unit.symbol.as_ref() {
        "" => format!("{number}{mark}"),
        symbol @ ("°" | "″") => format!("{number}{symbol}{mark}"),
        symbol => format!("{number}{NBSP}{}{mark}", symbol.replace(' ', "\u{a0}")),
    }
}

/// A ± in a text, from its two sides as printed; the lower one where the two differ.
pub(crate) fn plus_minus(upper: &str, below: Option<&str>) -> String {
    match below {
        None => format!("{NBSP}±{NBSP}{upper}"),
        Some(below) => format!(" +{upper}/\u{2212}{below}"),
    }
}

/// A quantity with six figures at most, none finer than the second of its half-width (SI; 0 for
/// none), in `unit` or the usual one, and what it counts from: `8 bar gauge`, `0.61`.
pub(crate) fn to_six_figures(quantity: &Quantity, unit: Option<&Unit>, half_width: f64) -> String {
    const MOST: i32 = 6;
    let usual = || unit_in(System::Metric, quantity, None);
    let unit = unit.map_or_else(usual, Cow::Borrowed);
    let number = unit.number_of(quantity).to_f64();
    let spread = unit.span_from_si(&Real::near(half_width)).to_f64().abs();
    let power = |size: f64| libm::floor(libm::log10(size)) as i32;
    let is_told = number != 0.0 && 0.0 < spread && spread.is_finite();
    let figures = if is_told { power(number.abs()) - power(spread) + 2 } else { MOST };
    let number = significant(number, figures.clamp(1, MOST).unsigned_abs() as usize);
    let reference = quantity.reference.filter(|reference| *reference != Reference::Difference);
    with_unit(&number, &unit, reference)
}

/// The words for a quantity's kind: "gauge pressure", "length".
pub(crate) fn kind_words(quantity: &Quantity) -> String {
    if let Some(word) = quantity.kind.word() {
        return word.to_owned();
    }
    match quantity.reference {
        Some(Reference::Difference) => "pressure difference".to_owned(),
        Some(reference) => format!("{} pressure", reference.word()),
        None => quantity.dimension.name(),
    }
}

/// A number with at most so many significant digits and without trailing zeros: `0.9`, `12 400`,
/// `1.2e-9`.
pub(crate) fn significant(value: f64, digits: usize) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 { "0".to_owned() } else { value.to_string() };
    }
    let scientific = format!("{value:.*e}", digits.max(1) - 1);
    let (mantissa, exponent) = scientific.split_once('e').unwrap_or((&scientific, "0"));
    let figures: String = mantissa.chars().filter(char::is_ascii_digit).collect();
    by_power(&figures, exponent.parse().unwrap_or(0), value < 0.0, true)
}

/// A number by its figures, the first of which has this power of ten, without trailing zeros.
fn by_power(figures: &str, power: i32, is_negative: bool, in_groups: bool) -> String {
    let figures = figures.trim_end_matches('0');
    let length = i32::try_from(figures.len()).unwrap_or(1);
    if (-5..=15).contains(&power) {
        let zeros = usize::try_from(power + 1 - length).unwrap_or(0);
        let figures = format!("{figures}{}", "0".repeat(zeros));
        return decimals(&figures, is_negative, (length - 1 - power).max(0), in_groups);
    }
    format!("{}e{power}", decimals(figures, is_negative, length - 1, in_groups))
}

/// A number with so many decimal places (negative: rounded to tens, hundreds, …), ties away from
/// zero, and narrow blanks in numbers of five digits or more.
pub(crate) fn digits(number: &Real, places: i32) -> String {
    if let Some(scaled) = quickly_rounded(number, places) {
        let zeros = "0".repeat(usize::try_from(-places).unwrap_or(0));
        let zeros = if scaled == 0 { "" } else { &zeros };
        return decimals(&format!("{}{zeros}", scaled.unsigned_abs()), scaled < 0, places, true);
    }
    match number {
        Real::Exact(exact) => rounded(exact, places, true),
        Real::Near { value, .. } => match from_f64(*value) {
            Some(exact) => rounded(&exact, places, true),
            None => "∞".to_owned(),
        },
    }
}

/// The same as it would be typed: without blanks.
pub(crate) fn typed(number: &Rational, places: i32) -> String {
    rounded(number, places, false)
}

/// A number with so many decimal places; where that is more than anybody reads, its first figures
/// and a power of ten.
fn rounded(number: &Rational, places: i32, in_groups: bool) -> String {
    const MOST: usize = 24;
    const FIGURES: i32 = 12;
    let power = |digits: &str, places: i32| {
        i32::try_from(digits.len()).unwrap_or(i32::MAX) - 1 - places.max(0)
    };
    let (is_negative, digits) = rounded_digits(number, places);
    if digits.len().max(usize::try_from(places).unwrap_or(0)) <= MOST {
        return decimals(&digits, is_negative, places, in_groups);
    }
    if digits.bytes().all(|digit| digit == b'0') {
        return "0".to_owned();
    }
    let places = places.min(FIGURES - 1 - power(&digits, places));
    let (_, figures) = rounded_digits(number, places);
    by_power(&figures, power(&figures, places), is_negative, in_groups)
}

/// The sign, the point and the blanks in an integer of so many decimal places.
fn decimals(scaled: &str, is_negative: bool, places: i32, in_groups: bool) -> String {
    let places = usize::try_from(places.max(0)).unwrap_or(0);
    let padded = format!("{scaled:0>width$}", width = places + 1);
    let (whole, fraction) = padded.split_at(padded.len() - places);
    let is_zero = scaled.bytes().all(|b| b == b'0');
    let mut text = String::with_capacity(padded.len() + 12);
    if is_negative && !is_zero {
        text.push('\u{2212}');
    }
    for (index, digit) in whole.chars().enumerate() {
        let left = whole.len() - index;
        if in_groups && 5 <= whole.len() && 0 < index && left.is_multiple_of(3) {
            text.push('\u{202f}');
        }
        text.push(digit);
    }
    if !fraction.is_empty() {
        text.push('.');
        text.push_str(fraction);
    }
    text
}

/// The number times 10^places, rounded to an integer, where binary numbers leave no doubt how: most
/// figures are short, and exact numbers take twenty times as long.
fn quickly_rounded(number: &Real, places: i32) -> Option<i64> {
    // Below 10⁹ a few roundings in the last binary place are far less than the distance from a tie
    // that is kept here.
    const LARGEST: f64 = 1e9;
    const NEAR_TIE: f64 = 1e-5;
    let power = 10_u64.checked_pow(places.unsigned_abs()).filter(|power| *power < 1 << 53)? as f64;
    let value = number.to_f64();
    let scaled = if places < 0 { value / power } else { value * power };
    let is_clear = (scaled.abs().fract() - 0.5).abs() > NEAR_TIE;
    (scaled.abs() < LARGEST && is_clear).then(|| libm::round(scaled) as i64)
}

/// A figure of a text in another system of units, with as many digits as it carries.
pub(crate) fn figure_in(system: System, figure: &Figure, quantity: &Quantity) -> String {
    let resolution = |number: &Number| figure.unit.span_to_si(&number.resolution().into()).to_f64();
    let unit = unit_in(system, quantity, Some(figure.unit));
    let print = |number: &Number, fineness: f64| {
        let si = match quantity.kind {
            Kind::TemperaturePoint => figure.unit.to_si(&number.value().into()),
            _ => figure.unit.span_to_si(&number.value().into()),
        };
        let quantity = Quantity { si, ..quantity.clone() };
        in_unit(&quantity, &unit, resolution(number) * fineness)
    };
    let mut text = match &figure.amount {
        Amount::Point(number) => print(number, 1.0),
        Amount::Range(low, high) => {
            // Ends that differ must not be rounded to the same number.
            let ends = |fineness: f64| (print(low, fineness), print(high, fineness));
            let found = [1.0, 0.1, 0.01].into_iter().map(ends).find(|(low, high)| low != high);
            let (low, high) = found.unwrap_or_else(|| ends(1.0));
            let low = low.split_once(NBSP).map_or(low.as_str(), |(number, _)| number);
            format!("{low} to {high}")
        }
    };
    if let Some(tolerance) = figure.tolerance.as_ref().filter(|tolerance| tolerance.unit.is_none())
    {
        let side = |number: &Number| {
            let half = figure.unit.span_to_si(&number.value().into()).to_f64();
            half_width_in(half, &unit, resolution(number))
        };
        let below = tolerance.below.as_ref().map(side);
        text.push_str(&plus_minus(&side(&tolerance.half_width), below.as_deref()));
    }
    if let Some(reference) = figure.reference {
        text.push(NBSP);
        text.push_str(reference.word());
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Dimension;
    use crate::quantity::exact::decimal;
    use crate::quantity::units::table;

    fn pressure(bar: i64) -> Quantity {
        Quantity {
            si: Real::Exact(decimal(bar, 5)),
            dimension: Dimension::PRESSURE,
            kind: Kind::Plain,
            reference: Some(Reference::Gauge),
        }
    }

    fn ratio() -> Quantity {
        let kind = Kind::Ratio;
        Quantity { si: Real::zero(), dimension: Dimension::NONE, kind, reference: None }
    }

    #[test]
    fn conversions_carry_no_more_digits_than_their_source() {
        // NIST SP 811 B.7.2: match the relative rounding error. 128 bar ± 0.5 is 1856.5 psi ± 7.
        let psi = table().by_code("[psi]").expect("psi");
        assert_eq!(in_unit(&pressure(128), psi, 1e5), "1860\u{a0}psi");
        let bar = table().by_code("bar").expect("bar");
        assert_eq!(in_unit(&pressure(128), bar, 1e5), "128\u{a0}bar");
        // 0.1 mm are 0.0039 in; the step nearest to 0.1 mm is a hundredth of an inch.
        let inch = table().by_code("[in_i]").expect("inches");
        let tenth = Quantity {
            si: Real::near(1e-4),
            dimension: Dimension::LENGTH,
            reference: None,
            ..pressure(0)
        };
        assert_eq!(in_unit(&tenth, inch, 1e-4), "0.004\u{a0}in");
    }

    #[test]
    fn a_value_is_told_no_finer_than_its_half_width() {
        // GUM 7.2.6: 10.057 62 Ω with u = 27 mΩ is rounded to 10.058 Ω.
        let resistance = Quantity { si: Real::Exact(decimal(1_005_762, -5)), ..ratio() };
        assert_eq!(to_six_figures(&resistance, None, 0.027), "10.058");
        assert_eq!(to_six_figures(&resistance, None, 0.0), "10.0576");
        assert_eq!(to_six_figures(&resistance, None, 300.0), "10");
    }

    #[test]
    fn a_half_width_is_told_to_a_quarter() {
        // Rounded to hundredths, 0.6 µm would be nought and to thousandths two thirds too large.
        let mm = table().by_code("mm").expect("mm");
        for (half_width, told) in [
            (2e-5, "0.02"),
            (4.4e-5, "0.04"),
            (1.5e-5, "0.015"),
            (6e-7, "0.0006"),
            (1e-30, "1e-27"),
        ] {
            assert_eq!(half_width_in(half_width, mm, 1e-5), format!("{told}\u{a0}mm"));
        }
    }

    #[test]
    fn a_worked_out_value_has_two_figures_of_its_uncertainty() {
        // GUM 7.2.6: R = 10.057 62 Ω with U = 27 mΩ is told as 10.058 Ω.
        let bar = table().by_code("bar").expect("bar");
        let told = |pascals: f64, expanded: f64| {
            let quantity = Quantity { si: Real::near(pascals), ..pressure(0) };
            let style = Style::computed(&quantity, Some(bar.clone()), expanded, true);
            let half_width = half_width_in(expanded, bar, style.resolution);
            format!("{} ± {half_width}", in_unit(&quantity, bar, style.resolution))
        };
        assert_eq!(told(1_005_762.0, 2_700.0), "10.058\u{a0}bar ± 0.027\u{a0}bar");
        assert_eq!(told(882_529.0, 120_000.0), "8.8\u{a0}bar ± 1.2\u{a0}bar");
        assert_eq!(told(12_345_678.0, 9_600_000.0), "123\u{a0}bar ± 96\u{a0}bar");
    }

    #[test]
    fn long_numbers_are_grouped_and_minus_is_a_minus() {
        assert_eq!(digits(&Real::Exact(decimal(-1234567, -2)), 1), "\u{2212}12\u{202f}345.7");
        assert_eq!(digits(&Real::Exact(decimal(-4, -2)), 0), "0");
        assert_eq!(digits(&Real::Exact(decimal(1856, 0)), -1), "1860");
        assert_eq!(typed(&decimal(-1234567, -2), 1), "\u{2212}12345.7");
        assert_eq!(typed(&decimal(125, 50), 0), "1.25e52");
        assert_eq!(digits(&Real::Exact(decimal(-1, 60)), -59), "\u{2212}1e60");
        assert_eq!(digits(&Real::Exact(decimal(126, -62)), 61), "1.3e-60");
        assert_eq!(digits(&Real::Exact(decimal(9_999_999_999_999_i64, 40)), 0), "1e53");
        assert_eq!(digits(&Real::Exact(decimal(1, 0)), 60), "1");
    }

    #[test]
    fn significant_digits_end_without_noughts() {
        for (value, told) in [
            (0.9, "0.9"),
            (-12_345.6, "\u{2212}12\u{202f}345.6"),
            (12_400.0, "12\u{202f}400"),
            (1e-3 / 3.0, "0.000333333"),
            (1.2e-9, "1.2e-9"),
            (-2e20, "\u{2212}2e20"),
            (999_999.96, "1\u{202f}000\u{202f}000"),
            (0.0, "0"),
        ] {
            assert_eq!(significant(value, 6), told);
        }
    }
}
