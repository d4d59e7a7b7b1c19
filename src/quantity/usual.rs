//! The unit in which a result is told: columns of `units.txt`, one for each system of units.

use super::dimension::Dimension;
use super::exact::{Rational, Real};
use super::kind::Kind;
use super::units::table;
use super::{Quantity, Unit};
use num_traits::{One, Zero};
use std::borrow::Cow;

/// A system of units.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum System {
    /// Metric: SI with the bar, the litre and the minute.
    Metric,
    /// US customary.
    Us,
}

/// In which system a unit is the usual one, and below which size in SI.
#[derive(Debug)]
pub(super) struct UsualIn {
    system: System,
    below: f64,
    unit: &'static Unit,
}

impl UsualIn {
    /// Reads the column of a unit: `si <1e-3, us`.
    pub(super) fn read(column: &str, unit: &'static Unit) -> Option<Vec<UsualIn>> {
        let words = column.split(',').map(str::trim).filter(|words| !words.is_empty());
        words
            .map(|words| {
                let (word, below) = match words.split_once(" <") {
                    Some((word, below)) => (word, below.parse().ok()?),
                    None => (words, f64::INFINITY),
                };
                let system = match word {
                    "si" => System::Metric,
                    "us" => System::Us,
                    _ => return None,
                };
                Some(UsualIn { system, below, unit })
            })
            .collect()
    }
}

/// The system a unit belongs to; `None` for those that both share (seconds, per cent).
pub(crate) fn system_of(unit: &Unit) -> Option<System> {
    let shared = [Dimension::NONE, Dimension::TIME, Dimension::RATE].contains(&unit.dimension);
    let system = if unit.code.contains('[') { System::Us } else { System::Metric };
    (!shared).then_some(system)
}

/// The unit of a system that suits a quantity of this size. Where the system has none, the metric
/// one; where nobody has a usual one, `origin`, in which it was stated; else SI base units.
pub(crate) fn unit_in<'a>(
    system: System,
    quantity: &Quantity,
    origin: Option<&'a Unit>,
) -> Cow<'a, Unit> {
    let kind = match (quantity.kind, origin) {
        (Kind::Plain, Some(origin)) if !origin.kind_yields => origin.kind,
        (kind, _) => kind,
    };
    let size = quantity.si.to_f64().abs();
    let usual = |system| usual(system, quantity.dimension, kind, size);
    let own = || origin.filter(|unit| unit.dimension == quantity.dimension);
    let told = usual(system).or_else(|| usual(System::Metric)).or_else(own);
    let told = told.or_else(|| usual(System::Us)).map(Cow::Borrowed);
    told.unwrap_or_else(|| Cow::Owned(base_unit(quantity.dimension)))
}

fn usual(system: System, dimension: Dimension, kind: Kind, size: f64) -> Option<&'static Unit> {
    let alike = || table().usual().iter().filter(|usual| usual.unit.dimension == dimension);
    // A volume of air at a reference state is never just a volume, nor the other way about.
    let like_others = || {
        let mut others = alike().filter(|_| !matches!(kind, Kind::StandardAir(_)));
        others.find(|usual| !matches!(usual.unit.kind, Kind::StandardAir(_)))
    };
    let own = alike().find(|usual| usual.unit.kind == kind);
    let kind = own.or_else(like_others)?.unit.kind;
    let fitting =
        |usual: &&UsualIn| usual.unit.kind == kind && usual.system == system && size < usual.below;
    let least = alike().filter(fitting).min_by(|a, b| a.below.total_cmp(&b.below));
    least.map(|usual| usual.unit)
}

/// The product of SI base units, `kg·m⁻¹·s⁻³`.
fn base_unit(dimension: Dimension) -> Unit {
    let factors = dimension.exponents().into_iter().filter(|(_, exponent)| *exponent != 0);
    let factors = factors.map(|(symbol, exponent)| match exponent {
        1 => symbol.to_owned(),
        _ => format!("{symbol}{exponent}"),
    });
    Unit {
        code: Cow::Owned(factors.collect::<Vec<String>>().join(".")),
        symbol: Cow::Owned(dimension.base_units()),
        factor: Real::Exact(Rational::one()),
        offset: Rational::zero(),
        dimension,
        kind: Kind::Plain,
        kind_yields: true,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::GasState;
    use crate::quantity::exact::decimal;

    fn code(system: System, dimension: Dimension, kind: Kind, exponent: i32) -> String {
        let si = Real::Exact(decimal(3, exponent));
        unit_in(system, &Quantity { si, dimension, kind, reference: None }, None).code.to_string()
    }

    #[test]
    fn every_named_dimension_has_a_usual_unit_at_every_size() {
        for (name, dimension) in Dimension::NAMED {
            for exponent in -9..12 {
                let told = usual(
                    System::Metric,
                    *dimension,
                    Kind::Plain,
                    libm::exp10(f64::from(exponent)),
                );
                assert!(told.is_some_and(|unit| unit.dimension == *dimension), "{name}");
            }
        }
    }

    #[test]
    fn sizes_kinds_and_systems_choose() {
        let length = |system, exponent| code(system, Dimension::LENGTH, Kind::Plain, exponent);
        assert_eq!(length(System::Metric, -6), "um");
        assert_eq!(length(System::Metric, -3), "mm");
        assert_eq!(length(System::Us, 1), "[ft_i]");
        assert_eq!(code(System::Us, Dimension::ENERGY, Kind::Torque, 0), "[in_i].[lbf_av]");
        assert_eq!(code(System::Metric, Dimension::ENERGY, Kind::PressureVolume, 0), "bar.L");
        assert_eq!(code(System::Us, Dimension::SPRING_RATE, Kind::EnergyPerArea, 5), "kJ/m2");
        assert_eq!(code(System::Metric, Dimension::NONE, Kind::Count, 1), "1");
        assert_eq!(
            code(System::Metric, Dimension::TEMPERATURE, Kind::TemperatureDifference, 0),
            "K"
        );
        let density_of_light = Dimension { light: 1, ..Dimension::DENSITY };
        assert_eq!(code(System::Us, density_of_light, Kind::Plain, 0), "kg.m-3.cd");
    }

    #[test]
    fn air_keeps_the_state_that_it_is_told_at() {
        let volume = |state| code(System::Metric, Dimension::VOLUME, Kind::StandardAir(state), -3);
        assert_eq!(volume(GasState::Anr), "L{ANR}");
        assert_eq!(volume(GasState::Normal), "L{normal}");
        assert_eq!(volume(GasState::Undeclared), "[cft_i]{standard}");
    }
}
