//! Values in words, for messages and for results that name no unit.

use super::Value;
use super::tree::{Node, NodeKind};
use crate::quantity::units::{ReferencedUnit, table};
use crate::quantity::{Dimension, GasState, Kind, Quantity, Rational, Real, Reference, Unit};
use num_traits::{One, Zero};
use std::borrow::Cow;

/// `8 bar gauge (pressure)`; named ones with their name, literals in their own unit.
pub(super) fn describe(value: &Value, node: &Node) -> String {
    let quantity = &value.quantity;
    let amount = amount(quantity, node);
    // The amount already says what a pressure counts from.
    let is_told = quantity.kind == Kind::Plain
        && quantity.reference.is_some_and(|reference| reference != Reference::Difference);
    let sort = if is_told { quantity.dimension.name() } else { sort(quantity) };
    match &node.kind {
        NodeKind::Name(path) => format!("`{}` = {amount} ({sort})", path.join(".")),
        _ => format!("{amount} ({sort})"),
    }
}

/// `retained share = 0.61`: the same for readers, without the kind.
pub(super) fn describe_in_words(value: &Value, node: &Node) -> String {
    let amount = amount(&value.quantity, node);
    match &node.kind {
        NodeKind::Name(path) => format!("{} = {amount}", path.join(" ").replace('_', " ")),
        _ => amount,
    }
}

fn amount(quantity: &Quantity, node: &Node) -> String {
    let own_unit = match &node.kind {
        NodeKind::Literal(literal) => literal.unit.clone(),
        _ => None,
    };
    in_unit(quantity, &own_unit.unwrap_or_else(|| usual_unit(quantity)))
}

/// What a quantity is, in words: its kind, else its dimension.
pub(super) fn sort(quantity: &Quantity) -> String {
    match (quantity.kind.word(), quantity.reference) {
        (Some("standard air"), _) => match quantity.kind {
            Kind::StandardAir(GasState::Anr) => format!("{}, air at ANR", quantity.dimension),
            Kind::StandardAir(GasState::Normal) => {
                format!("{}, air at the normal state", quantity.dimension)
            }
            _ => format!("{}, air at an undeclared state", quantity.dimension),
        },
        (Some(word), _) => word.to_owned(),
        (None, Some(Reference::Difference)) => "pressure difference".to_owned(),
        (None, Some(reference)) => format!("{} pressure", reference.word()),
        (None, None) => quantity.dimension.name(),
    }
}

fn in_unit(quantity: &Quantity, unit: &ReferencedUnit) -> String {
    let difference = quantity.kind == Kind::TemperatureDifference;
    let number = if difference {
        unit.unit.span_from_si(&quantity.si)
    } else {
        unit.unit.from_si(&quantity.si)
    };
    let reference = quantity
        .reference
        .filter(|reference| *reference != Reference::Difference)
        .map_or(String::new(), |reference| format!(" {}", reference.word()));
    let symbol = if unit.unit.symbol == "1" { "" } else { unit.unit.symbol.as_ref() };
    let gap = if symbol.is_empty() || symbol == "°" { "" } else { " " };
    format!("{}{gap}{symbol}{reference}", self::number(number.to_f64(), 6))
}

/// A number with so many significant digits, without trailing zeros: `0.9`, `12400`, `1.2e-9`.
pub(crate) fn number(value: f64, digits: usize) -> String {
    if value == 0.0 || !value.is_finite() {
        return if value == 0.0 { "0".to_owned() } else { value.to_string() };
    }
    let scientific = format!("{value:.*e}", digits.max(1) - 1);
    let (mantissa, exponent) = scientific.split_once('e').unwrap_or((&scientific, "0"));
    let power: i32 = exponent.parse().unwrap_or(0);
    let trim = |text: &str| {
        if text.contains('.') {
            text.trim_end_matches('0').trim_end_matches('.').to_owned()
        } else {
            text.to_owned()
        }
    };
    if (-5..=15).contains(&power) {
        let decimals = i32::try_from(digits).unwrap_or(6) - 1 - power;
        let rounded = scientific.parse::<f64>().unwrap_or(value);
        return trim(&format!("{rounded:.*}", usize::try_from(decimals.max(0)).unwrap_or(0)));
    }
    format!("{}e{power}", trim(mantissa))
}

/// The unit that the trade uses for such a quantity: mm, mm², cm³, bar, N, J, g/s and so on; SI
/// base units where it has none.
pub(crate) fn usual_unit(quantity: &Quantity) -> ReferencedUnit {
    let reference = quantity.reference.filter(|_| quantity.dimension == Dimension::PRESSURE);
    let known = usual_code(quantity).and_then(|code| table().by_code(code));
    if let Some(unit) = known {
        return ReferencedUnit { unit: unit.clone(), reference };
    }
    let unit = Unit {
        code: Cow::Owned(base_code(quantity.dimension)),
        symbol: Cow::Owned(quantity.dimension.base_units()),
        factor: Real::Exact(Rational::one()),
        offset: Rational::zero(),
        dimension: quantity.dimension,
        kind: Kind::Plain,
        kind_yields: true,
    };
    ReferencedUnit { unit, reference: None }
}

fn usual_code(quantity: &Quantity) -> Option<&'static str> {
    let d = quantity.dimension;
    Some(match quantity.kind {
        Kind::Torque => "N.m",
        Kind::Angle => "deg",
        Kind::AngularRate => "rad/s",
        Kind::CycleRate => "Hz",
        Kind::TemperaturePoint => "Cel",
        Kind::Mark(_) | Kind::FlowCoefficient | Kind::EnergyPerArea => {
            table().first_of(quantity.kind)?.code.as_ref()
        }
        Kind::StandardAir(GasState::Anr) if d == Dimension::VOLUME => "L{ANR}",
        Kind::StandardAir(GasState::Anr) if d == Dimension::VOLUME_FLOW => "L/min{ANR}",
        Kind::StandardAir(GasState::Normal) if d == Dimension::VOLUME => "L{normal}",
        Kind::StandardAir(GasState::Normal) if d == Dimension::VOLUME_FLOW => "L/min{normal}",
        Kind::StandardAir(GasState::Undeclared) if d == Dimension::VOLUME => "[cft_i]{standard}",
        Kind::StandardAir(GasState::Undeclared) if d == Dimension::VOLUME_FLOW => {
            "[cft_i]/min{standard}"
        }
        _ => {
            let codes: [(Dimension, &str); 19] = [
                (Dimension::NONE, "1"),
                (Dimension::LENGTH, "mm"),
                (Dimension::AREA, "mm2"),
                (Dimension::VOLUME, "cm3"),
                (Dimension::MASS, "g"),
                (Dimension::TIME, "ms"),
                (Dimension::TEMPERATURE, "K"),
                (Dimension::VELOCITY, "m/s"),
                (Dimension::ACCELERATION, "m/s2"),
                (Dimension::FORCE, "N"),
                (Dimension::PRESSURE, "bar"),
                (Dimension::ENERGY, "J"),
                (Dimension::POWER, "W"),
                (Dimension::SPRING_RATE, "N/mm"),
                (Dimension::RATE, "/s"),
                (Dimension::MASS_FLOW, "g/s"),
                (Dimension::VOLUME_FLOW, "L/min"),
                (Dimension::CONDUCTANCE, "dm3/(s.bar)"),
                (Dimension::DENSITY, "kg/m3"),
            ];
            codes.iter().find(|(dimension, _)| *dimension == d)?.1
        }
    })
}

/// SI base units as a UCUM product, `kg.m-1.s-2`.
fn base_code(d: Dimension) -> String {
    let factors: Vec<String> = d
        .exponents()
        .iter()
        .filter(|(_, exponent)| *exponent != 0)
        .map(|(symbol, exponent)| match exponent {
            1 => (*symbol).to_owned(),
            _ => format!("{symbol}{exponent}"),
        })
        .collect();
    factors.join(".")
}
