//! Quantities as readers see them: as written, in metric and in US customary units, with no more
//! digits than the figure carries.

use super::entry::{Entry, Origin};
use super::ledger::Ledger;
use super::statement::Stated;
use crate::formula::{Scope, Value, standard_uncertainty};
use crate::quantity::exact::{from_f64, rounded_digits, to_f64};
use crate::quantity::units::{parse_unit, table};
use crate::quantity::{Dimension, Kind, Quantity, Real, Reference, Unit};
use serde::Serialize;

/// A quantity in the systems that a reader may choose from, ready for people and machines.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub(crate) struct Shown {
    /// As the writer typed it.
    pub(crate) written: String,
    /// In metric units.
    pub(crate) si: String,
    /// In US customary units.
    pub(crate) us: String,
    /// Value in coherent SI units; none where there is no single value.
    pub(crate) value: Option<f64>,
    /// Kind of quantity in words; may be empty.
    pub(crate) kind: String,
}

/// A system of units.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum System {
    /// Metric: SI with the bar, the litre and the minute.
    Metric,
    /// US customary.
    Us,
}

/// The system a unit belongs to; `None` for those that both share (seconds, per cent, joules).
pub(crate) fn system_of(unit: &Unit) -> Option<System> {
    let shared = unit.dimension == Dimension::NONE
        || unit.dimension == Dimension::TIME
        || unit.dimension == Dimension::RATE;
    if shared {
        return None;
    }
    Some(if unit.code.contains('[') { System::Us } else { System::Metric })
}

/// The unit of a system that suits a value of this size; `origin` where the system has none for it.
pub(crate) fn unit_in(system: System, quantity: &Quantity, origin: Option<&Unit>) -> &'static Unit {
    let size = quantity.si.to_f64().abs();
    let code = match system {
        System::Metric => metric_code(quantity, size, origin),
        System::Us => {
            us_code(quantity, size, origin).unwrap_or_else(|| metric_code(quantity, size, origin))
        }
    };
    #[allow(clippy::expect_used)] // a test looks every one of these codes up
    let unit = table().by_code(code).expect(code);
    let own = || table().by_code(&origin?.code);
    if unit.dimension == quantity.dimension { unit } else { own().unwrap_or(unit) }
}

fn metric_code(quantity: &Quantity, size: f64, origin: Option<&Unit>) -> &'static str {
    let d = quantity.dimension;
    match quantity.kind {
        Kind::StandardAir(_) if d == Dimension::VOLUME => {
            return if size < 1e-4 { "cm3{ANR}" } else { "L{ANR}" };
        }
        Kind::StandardAir(_) if d == Dimension::VOLUME_FLOW => return "L/min{ANR}",
        Kind::Torque => return "N.m",
        Kind::TemperaturePoint => return "Cel",
        Kind::AngularRate => return "rad/s",
        Kind::CycleRate => return "{shot}/s",
        Kind::Angle => return "deg",
        Kind::EnergyPerArea => return pick(size, &[(1e3, "J/m2")], "kJ/m2"),
        Kind::Mark(_) | Kind::FlowCoefficient => {
            return table().first_of(quantity.kind).map_or("1", |unit| unit.code.as_ref());
        }
        _ => {}
    }
    let per_area = origin.is_some_and(is_energy_per_area);
    match d {
        _ if d == Dimension::LENGTH => pick(size, &[(1e-5, "um"), (1.0, "mm"), (1e4, "m")], "km"),
        _ if d == Dimension::AREA => pick(size, &[(0.01, "mm2"), (0.1, "cm2")], "m2"),
        _ if d == Dimension::VOLUME => {
            pick(size, &[(1e-7, "mm3"), (1e-3, "cm3"), (1.0, "L")], "m3")
        }
        _ if d == Dimension::MASS => pick(size, &[(1e-4, "mg"), (1.0, "g")], "kg"),
        _ if d == Dimension::TIME => pick(size, &[(1e-4, "us"), (1.0, "ms"), (600.0, "s")], "min"),
        _ if d == Dimension::VELOCITY => "m/s",
        _ if d == Dimension::ACCELERATION => "m/s2",
        _ if d == Dimension::FORCE => pick(size, &[(0.1, "mN"), (1e4, "N")], "kN"),
        _ if d == Dimension::PRESSURE => {
            pick(size, &[(1e3, "Pa"), (1e4, "mbar"), (1e8, "bar"), (1e9, "MPa")], "GPa")
        }
        _ if d == Dimension::ENERGY => pick(size, &[(0.1, "mJ"), (1e4, "J")], "kJ"),
        _ if d == Dimension::POWER => pick(size, &[(1e4, "W")], "kW"),
        _ if d == Dimension::SPRING_RATE && per_area => pick(size, &[(1e3, "J/m2")], "kJ/m2"),
        _ if d == Dimension::SPRING_RATE => pick(size, &[(10.0, "N/m")], "N/mm"),
        _ if d == Dimension::RATE => "/s",
        _ if d == Dimension::MASS_FLOW => pick(size, &[(1.0, "g/s")], "kg/s"),
        _ if d == Dimension::VOLUME_FLOW => pick(size, &[(1.0, "L/min")], "m3/s"),
        _ if d == Dimension::CONDUCTANCE => "dm3/(s.bar)",
        _ if d == Dimension::DENSITY => "kg/m3",
        _ if d == Dimension::TEMPERATURE => "K",
        _ if quantity.kind == Kind::Ratio && origin.is_some_and(|unit| unit.code == "%") => "%",
        _ => "1",
    }
}

fn us_code(quantity: &Quantity, size: f64, origin: Option<&Unit>) -> Option<&'static str> {
    if origin.is_some_and(is_energy_per_area) {
        return None;
    }
    let d = quantity.dimension;
    match quantity.kind {
        Kind::Torque => {
            return Some(if size < 10.0 { "[in_i].[lbf_av]" } else { "[lbf_av].[ft_i]" });
        }
        Kind::TemperaturePoint => return Some("[degF]"),
        Kind::StandardAir(_) => return None,
        _ => {}
    }
    Some(match d {
        _ if d == Dimension::LENGTH => pick(size, &[(0.9, "[in_i]"), (1e3, "[ft_i]")], "[mi_i]"),
        _ if d == Dimension::AREA => pick(size, &[(0.1, "[sin_i]")], "[sft_i]"),
        _ if d == Dimension::VOLUME => pick(size, &[(0.01, "[cin_i]")], "[cft_i]"),
        _ if d == Dimension::MASS => pick(size, &[(0.01, "[gr]"), (0.45, "[oz_av]")], "[lb_av]"),
        _ if d == Dimension::VELOCITY => "[ft_i]/s",
        _ if d == Dimension::ACCELERATION => "[ft_i]/s2",
        _ if d == Dimension::FORCE => "[lbf_av]",
        _ if d == Dimension::PRESSURE => pick(size, &[(1e8, "[psi]")], "M[psi]"),
        _ if d == Dimension::ENERGY => "[ft_i].[lbf_av]",
        _ if d == Dimension::POWER => pick(size, &[(100.0, "W")], "[HP]"),
        _ if d == Dimension::SPRING_RATE => "[lbf_av]/[in_i]",
        _ if d == Dimension::MASS_FLOW => "[lb_av]/min",
        _ if d == Dimension::VOLUME_FLOW => "[cft_i]/min",
        _ if d == Dimension::DENSITY => "[lb_av]/[cft_i]",
        _ => return None,
    })
}

/// Whether a unit is one of energy per area, which has the dimension of a spring rate. US customary
/// units have none that anybody uses.
pub(crate) fn is_energy_per_area(unit: &Unit) -> bool {
    unit.kind == Kind::EnergyPerArea
}

fn pick(size: f64, steps: &[(f64, &'static str)], above: &'static str) -> &'static str {
    steps.iter().find(|(limit, _)| size < *limit).map_or(above, |(_, code)| *code)
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

/// Number and unit, rounded so that the last digit is about as fine as `resolution` (SI).
pub(crate) fn in_unit(quantity: &Quantity, unit: &Unit, resolution: f64) -> String {
    let is_point = quantity.kind == Kind::TemperaturePoint;
    let offset = if is_point { to_f64(&unit.offset) } else { 0.0 };
    let number = (quantity.si.to_f64() - offset) / unit.factor.to_f64();
    with_symbol(&digits(&Real::near(number), places(resolution, unit)), unit)
}

/// Half-width of a ± in a unit, without sign: as fine as `resolution` (SI) where that tells it to a
/// quarter, finer where it does not.
pub(crate) fn half_width_in(half_width: f64, unit: &Unit, resolution: f64) -> String {
    let number = unit.span_from_si(&Real::near(half_width));
    let places = places_to_a_quarter(number.to_f64(), places(resolution, unit));
    with_symbol(&digits(&number, places), unit)
}

/// The fewest decimal places, of `fewest` and a few more, at which a number is within a quarter of
/// itself told with one place more.
fn places_to_a_quarter(number: f64, fewest: i32) -> i32 {
    const MORE: i32 = 4;
    let rounded = |places: i32| {
        let power = power_of_ten(places);
        libm::round(number * power) / power
    };
    let is_told = |places: &i32| {
        let (coarse, fine) = (rounded(*places), rounded(places + 1));
        0.0 < coarse && (coarse - fine).abs() <= 0.25 * fine
    };
    (fewest..fewest + MORE).find(is_told).unwrap_or(fewest)
}

/// A power of ten; those that are binary numbers are looked up, as all rounding begins with one.
fn power_of_ten(exponent: i32) -> f64 {
    #[rustfmt::skip]
    const EXACT: [f64; 23] = [
        1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
        1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
    ];
    let known = usize::try_from(exponent).ok().and_then(|exponent| EXACT.get(exponent));
    known.copied().unwrap_or_else(|| libm::pow(10.0, f64::from(exponent)))
}

pub(super) fn with_symbol(number: &str, unit: &Unit) -> String {
    match unit.symbol.as_ref() {
        "" => number.to_owned(),
        symbol @ ("°" | "″") => format!("{number}{symbol}"),
        symbol => format!("{number}\u{a0}{}", symbol.replace(' ', "\u{a0}")),
    }
}

/// Decimal places in `unit` whose step is nearest, by ratio, to a resolution in SI.
pub(super) fn places(resolution: f64, unit: &Unit) -> i32 {
    let step = (resolution / unit.factor.to_f64()).abs();
    if !(step.is_finite() && 0.0 < step) {
        return 3;
    }
    let exponent = libm::floor(libm::log10(step) + 0.5);
    (-exponent as i32).clamp(-12, 15)
}

/// A number with so many decimal places (negative: rounded to tens, hundreds, …), a real minus
/// sign, and narrow blanks in numbers of five digits or more.
pub(crate) fn digits(number: &Real, places: i32) -> String {
    if let Some(scaled) = quickly_rounded(number, places) {
        let zeros = "0".repeat(usize::try_from(-places).unwrap_or(0));
        let zeros = if scaled == 0 { "" } else { &zeros };
        return decimals(&format!("{}{zeros}", scaled.unsigned_abs()), scaled < 0, places);
    }
    let (is_negative, scaled) = match number {
        Real::Exact(exact) => rounded_digits(exact, places),
        Real::Near { value, .. } => match from_f64(*value) {
            Some(exact) => rounded_digits(&exact, places),
            None => return "∞".to_owned(),
        },
    };
    decimals(&scaled, is_negative, places)
}

/// The point and the blanks in an integer of so many decimal places.
fn decimals(scaled: &str, is_negative: bool, places: i32) -> String {
    let places = usize::try_from(places.max(0)).unwrap_or(0);
    let padded = format!("{scaled:0>width$}", width = places + 1);
    let (whole, fraction) = padded.split_at(padded.len() - places);
    let mut text = group(whole);
    if !fraction.is_empty() {
        text.push('.');
        text.push_str(fraction);
    }
    let is_zero = scaled.bytes().all(|b| b == b'0');
    if is_negative && !is_zero { format!("\u{2212}{text}") } else { text }
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

fn group(whole: &str) -> String {
    if whole.len() < 5 {
        return whole.to_owned();
    }
    let mut grouped = String::with_capacity(whole.len() + 6);
    for (index, digit) in whole.chars().enumerate() {
        if 0 < index && (whole.len() - index).is_multiple_of(3) {
            grouped.push('\u{202f}');
        }
        grouped.push(digit);
    }
    grouped
}

/// An SI value for machines: 12 significant digits; none where it is not finite.
pub(crate) fn machine_number(si: &Real) -> Option<f64> {
    const DIGITS: i32 = 12;
    let value = si.to_f64();
    if value == 0.0 || !value.is_finite() {
        return value.is_finite().then_some(0.0);
    }
    let places = DIGITS - 1 - libm::floor(libm::log10(value.abs())) as i32;
    // Powers of ten up to 10²² are binary numbers; beyond, two steps lose least.
    let (near, far) = (places.clamp(-22, 22), places - places.clamp(-22, 22));
    let scaled = |value: f64, places: i32| match places < 0 {
        true => value / power_of_ten(-places),
        false => value * power_of_ten(places),
    };
    let rounded = libm::round(scaled(scaled(value, far), near));
    Some(scaled(scaled(rounded, -near), -far))
}

/// A plain decimal of an SI value, 12 significant digits, for machines.
pub(crate) fn machine_value(si: &Real) -> String {
    let value = si.to_f64();
    if value == 0.0 {
        return "0".to_owned();
    }
    if !value.is_finite() {
        return value.to_string();
    }
    // Most values need no rounding, and to print those is several times quicker.
    let shortest = format!("{value:e}");
    let mantissa = shortest.bytes().take_while(|byte| *byte != b'e');
    let is_short = mantissa.filter(u8::is_ascii_digit).count() <= 12;
    let text = if is_short { shortest } else { format!("{value:.11e}") };
    let (mantissa, exponent) = text.split_once('e').unwrap_or((&text, "0"));
    let mantissa = mantissa.trim_end_matches('0').trim_end_matches('.');
    match exponent.parse::<i32>() {
        Ok(exponent) if (-6..=11).contains(&exponent) => without_exponent(mantissa, exponent),
        _ => format!("{mantissa}e{exponent}"),
    }
}

/// `mantissa`, of one digit before the point, times a power of ten as a plain decimal.
fn without_exponent(mantissa: &str, exponent: i32) -> String {
    let digits = mantissa.trim_start_matches('-').replace('.', "");
    let mut text = String::with_capacity(24);
    if mantissa.starts_with('-') {
        text.push('-');
    }
    let zeros = |count: u32| std::iter::repeat_n('0', count as usize);
    match usize::try_from(exponent + 1).ok().filter(|whole| 0 < *whole) {
        None => {
            text.push_str("0.");
            text.extend(zeros(exponent.unsigned_abs() - 1));
            text.push_str(&digits);
        }
        Some(whole) if whole < digits.len() => {
            text.push_str(&digits[..whole]);
            text.push('.');
            text.push_str(&digits[whole..]);
        }
        Some(whole) => {
            text.push_str(&digits);
            text.extend(zeros((whole - digits.len()) as u32));
        }
    }
    text
}

/// How a value is printed: its unit and the SI step of its last digit.
#[derive(Debug, Clone)]
pub(crate) struct Style {
    pub(crate) unit: Unit,
    /// Step of the last digit, SI, > 0.
    pub(crate) resolution: f64,
}

/// An entry's value with its ± and how it is printed; `None` where it has no value.
pub(crate) fn valued(ledger: &Ledger, sheet: usize, entry: usize) -> Option<(Value, f64, Style)> {
    let value = ledger.nominal(sheet, entry)?;
    let item = &ledger.sheets[sheet].entries[entry];
    let scope = ledger.scope(sheet);
    let (half_width, style) = match &item.origin {
        Origin::Reading(reading) => {
            let lent = reading.statements.first().or_else(|| lender(ledger, item));
            let stated = lent?;
            (stated.told_half_width(), style_of(stated))
        }
        Origin::Derived(derived) => {
            // Expanded uncertainty with k = 2, about 95 % (GUM 6.2.1).
            let expanded = 2.0 * standard_uncertainty(&value, &scope);
            let asked = derived.decl.unit.as_ref().and_then(|unit| parse_unit(&unit.text));
            let unit = asked.map(|found| found.unit);
            let told = if rests_on_told(ledger, &value) { expanded } else { 0.0 };
            (told, derived_style(&value.quantity, unit, expanded))
        }
    };
    Some((value, half_width, style))
}

/// Whether any input of a value has a ± of its own and not only digits that end somewhere.
fn rests_on_told(ledger: &Ledger, value: &Value) -> bool {
    value.sensitivities.iter().filter(|(_, slope)| *slope != 0.0).any(|(id, _)| {
        let Some((sheet, entry)) = ledger.owner(*id) else { return true };
        let entry = &ledger.sheets[sheet].entries[entry];
        let own = entry.reading().and_then(|reading| reading.statements.first());
        own.or_else(|| lender(ledger, entry)).is_none_or(|stated| 0.0 < stated.told_half_width())
    })
}

fn lender<'a>(ledger: &'a Ledger, entry: &Entry) -> Option<&'a Stated> {
    let engine = &entry.reading()?.decl.like.as_ref()?.text;
    let sheet = &ledger.sheets[ledger.engine(engine)?];
    sheet.entry(&entry.name.text)?.reading()?.statements.first()
}

/// Unit and step of a statement's own digits.
pub(crate) fn style_of(stated: &Stated) -> Style {
    let rounding = 2.0 * to_f64(&stated.rounding);
    let resolution = if 0.0 < rounding { rounding } else { sensible_step(&stated.quantity.si, 4) };
    Style { unit: stated.unit.clone(), resolution }
}

/// Unit and step of a computed value: no digit finer than the ± allows, four where there is none.
pub(crate) fn derived_style(quantity: &Quantity, unit: Option<Unit>, expanded: f64) -> Style {
    let unit = unit.unwrap_or_else(|| unit_in(System::Metric, quantity, None).clone());
    let finest = sensible_step(&quantity.si, 4);
    let resolution = if 0.0 < expanded && expanded.is_finite() {
        let step = libm::pow(
            10.0,
            libm::floor(libm::log10(unit.span_from_si(&Real::near(expanded)).to_f64().abs())),
        );
        unit.span_to_si(&Real::near(step)).to_f64().abs().max(finest)
    } else {
        finest
    };
    Style { unit, resolution }
}

/// Step that leaves so many significant digits.
fn sensible_step(si: &Real, digits: i32) -> f64 {
    let size = si.to_f64().abs();
    if !(0.0 < size && size.is_finite()) {
        return 1e-3;
    }
    libm::pow(10.0, libm::floor(libm::log10(size)) - f64::from(digits - 1))
}

/// The unit of a system in which a value of this style is told anew; `None` where it stays as is.
pub(super) fn unit_anew(
    system: System,
    quantity: &Quantity,
    style: &Style,
) -> Option<&'static Unit> {
    let own = system_of(&style.unit)?;
    if own == system || matches!(quantity.kind, Kind::Count | Kind::Ratio) {
        return None;
    }
    let unit = unit_in(system, quantity, Some(&style.unit));
    (system_of(unit) != Some(own)).then_some(unit)
}

/// A quantity in all systems; `written` where the writer's own text is known.
pub(crate) fn shown(quantity: &Quantity, style: &Style, written: Option<String>) -> Shown {
    let own = written.unwrap_or_else(|| in_unit(quantity, &style.unit, style.resolution));
    let in_system = |system: System| match unit_anew(system, quantity, style) {
        Some(unit) => in_unit(quantity, unit, style.resolution),
        None => own.clone(),
    };
    Shown {
        si: in_system(System::Metric),
        us: in_system(System::Us),
        written: own,
        value: machine_number(&quantity.si),
        kind: kind_words(quantity),
    }
}

/// A ± in all systems.
pub(crate) fn shown_half_width(quantity: &Quantity, style: &Style, half_width: f64) -> Shown {
    let own = half_width_in(half_width, &style.unit, style.resolution);
    let in_system = |system: System| match unit_anew(system, quantity, style) {
        Some(unit) => half_width_in(half_width, unit, style.resolution),
        None => own.clone(),
    };
    Shown {
        si: in_system(System::Metric),
        us: in_system(System::Us),
        written: own,
        value: machine_number(&Real::near(half_width)),
        kind: String::new(),
    }
}

/// Largest contribution to the ± of a derived value: the input's name and its share, 0 to 1.
pub(crate) fn largest_share(ledger: &Ledger, sheet: usize, value: &Value) -> Option<(String, f64)> {
    let scope = ledger.scope(sheet);
    let parts: Vec<(crate::formula::InputId, f64)> = value
        .sensitivities
        .iter()
        .map(|(id, slope)| (*id, slope * scope.input(*id).standard_uncertainty))
        .map(|(id, part)| (id, part * part))
        .collect();
    let total: f64 = parts.iter().map(|(_, part)| part).sum();
    let (id, part) = parts.into_iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
    if total.is_nan() || total <= 0.0 {
        return None;
    }
    let (index, entry) = ledger.owner(id)?;
    let other = &ledger.sheets[index];
    let words = other.entries[entry].words();
    let owner = match other.engine.as_ref().filter(|_| index != sheet) {
        Some(engine) => format!("{engine}'s {words}"),
        None => words,
    };
    Some((owner, part / total))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::exact::decimal;

    fn pressure(bar: i64) -> Quantity {
        Quantity {
            si: Real::Exact(decimal(bar, 5)),
            dimension: Dimension::PRESSURE,
            kind: Kind::Plain,
            reference: Some(Reference::Gauge),
        }
    }

    #[test]
    fn conversions_carry_no_more_digits_than_their_source() {
        // NIST SP 811 B.7.2: match the relative rounding error. 128 bar ± 0.5 is 1856.5 psi ± 7.
        let psi = table().by_code("[psi]").expect("psi");
        assert_eq!(in_unit(&pressure(128), psi, 1e5), "1860\u{a0}psi");
        let bar = table().by_code("bar").expect("bar");
        assert_eq!(in_unit(&pressure(128), bar, 1e5), "128\u{a0}bar");
    }

    #[test]
    fn a_half_width_is_told_to_a_quarter() {
        // Rounded to hundredths, 0.6 µm would be nought and to thousandths two thirds too large.
        let mm = table().by_code("mm").expect("mm");
        for (half_width, told) in
            [(2e-5, "0.02"), (4.4e-5, "0.04"), (1.5e-5, "0.015"), (6e-7, "0.0006")]
        {
            assert_eq!(half_width_in(half_width, mm, 1e-5), format!("{told}\u{a0}mm"));
        }
    }

    #[test]
    fn energy_per_area_is_no_spring_rate() {
        let unit = table().by_code("kJ/m2").expect("kJ/m2").clone();
        let quantity = Quantity {
            si: Real::Exact(decimal(12, 3)),
            dimension: unit.dimension,
            kind: Kind::Plain,
            reference: None,
        };
        let style = Style { unit, resolution: 1e3 };
        assert_eq!(shown(&quantity, &style, None).us, "12\u{a0}kJ/m²");
        assert_eq!(shown_half_width(&quantity, &style, 2e3).us, "2\u{a0}kJ/m²");
    }

    #[test]
    fn every_code_in_use_is_in_the_table() {
        for (name, dimension) in Dimension::NAMED {
            for exponent in -9..12 {
                for kind in [Kind::Plain, Kind::Torque, Kind::TemperaturePoint, Kind::CycleRate] {
                    let quantity = Quantity {
                        si: Real::Exact(decimal(3, exponent)),
                        dimension: *dimension,
                        kind,
                        reference: None,
                    };
                    for system in [System::Metric, System::Us] {
                        assert!(!unit_in(system, &quantity, None).code.is_empty(), "{name}");
                    }
                }
            }
        }
    }

    #[test]
    fn powers_of_ten_are_what_the_library_says() {
        for exponent in -30..30 {
            assert_eq!(power_of_ten(exponent), libm::pow(10.0, f64::from(exponent)), "{exponent}");
        }
    }

    #[test]
    fn machines_read_twelve_digits() {
        for value in [
            0.1 + 0.2,
            1.0,
            -12.5,
            101_325.0,
            1.0 / 3.0,
            -2.0 / 3e5,
            123_456_789_012.34,
            1e-6,
            9.9999999999999e-7,
            1e11,
            8.0e11,
        ] {
            let told = machine_value(&Real::near(value));
            // What the library says of the number that these digits name.
            let number: f64 = format!("{value:.11e}").parse().unwrap();
            assert_eq!(told, number.to_string());
            assert_eq!(machine_number(&Real::near(value)), Some(number));
        }
        assert_eq!(machine_value(&Real::near(2.5e-7)), "2.5e-7");
        assert_eq!(machine_value(&Real::near(1.25e12)), "1.25e12");
        assert_eq!(machine_value(&Real::near(-0.0)), "0");
    }

    #[test]
    fn long_numbers_are_grouped_and_minus_is_a_minus() {
        assert_eq!(digits(&Real::Exact(decimal(-1234567, -2)), 1), "\u{2212}12\u{202f}345.7");
        assert_eq!(digits(&Real::Exact(decimal(-4, -2)), 0), "0");
        assert_eq!(digits(&Real::Exact(decimal(1856, 0)), -1), "1860");
    }
}
