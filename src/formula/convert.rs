//! A worked-out quantity in a unit that somebody asks for.

use crate::quantity::judge;
use crate::quantity::units::{ReferencedUnit, parse_unit};
use crate::quantity::{Conventions, Dimension, Kind, Quantity, Real, Reference};

/// A unit that a result is asked for in.
#[derive(Debug, Clone)]
pub struct Target {
    /// Unit and pressure reference.
    pub(crate) unit: ReferencedUnit,
    /// Whether a temperature is asked for as a step (`°C difference`).
    pub(crate) difference: bool,
}

impl Target {
    /// Reads `bar`, `bar absolute`, `psig`, `[psi]`, `°C difference`, `kg.m-3`.
    #[must_use]
    pub fn parse(text: &str) -> Option<Target> {
        if let Some(unit) = parse_unit(text) {
            return Some(Target { unit, difference: false });
        }
        let unit = parse_unit(text.trim().strip_suffix("difference")?)?;
        let is_scale = unit.unit.dimension == Dimension::TEMPERATURE;
        is_scale.then_some(Target { unit, difference: true })
    }
}

impl From<ReferencedUnit> for Target {
    fn from(unit: ReferencedUnit) -> Target {
        Target { unit, difference: false }
    }
}

/// A quantity as a number of a unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Converted {
    /// The number.
    pub number: Real,
    /// Kind, after the unit has settled what the quantity left open.
    pub(crate) kind: Kind,
    /// Reference of a pressure.
    pub(crate) reference: Option<Reference>,
}

/// Tells a quantity in a unit. A pressure keeps its reference unless the target names another.
///
/// # Errors
/// A line that says why not, when dimension, kind or reference do not fit.
pub fn convert(
    quantity: &Quantity,
    target: &Target,
    conventions: &Conventions,
) -> Result<Converted, String> {
    let unit = &target.unit.unit;
    if quantity.kind == Kind::TemperaturePoint && target.difference {
        return Err("a temperature point is not a temperature difference".to_owned());
    }
    let mut asked = quantity.clone();
    if target.difference {
        asked.kind = Kind::TemperatureDifference;
    }
    let reference = target.unit.reference.or(quantity.reference);
    let number = judge::convert(&asked, unit, reference, conventions)?;
    let kind = match asked.kind {
        Kind::Plain | Kind::StandardAir(_) => unit.kind,
        kind => kind,
    };
    let reference = reference.or(conventions.bare_pressure).filter(|_| unit.is_pressure());
    Ok(Converted { number, kind, reference })
}
