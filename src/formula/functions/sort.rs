//! What a parameter must be, and what a result is.

use crate::quantity::{Dimension, GasState, Kind, Quantity, Real, Reference};

/// A kind of quantity that functions take and give.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Sort {
    /// A plain number or ratio.
    Number,
    /// A discharge coefficient, above 0 and at most 1.2.
    Discharge,
    /// A plane angle, or a plain number of radians.
    Angle,
    /// Length.
    Length,
    /// Area.
    Area,
    /// Volume of a room.
    Volume,
    /// Mass.
    Mass,
    /// Time.
    Time,
    /// Velocity.
    Velocity,
    /// A pressure, converted to absolute with the ambient pressure.
    Pressure,
    /// An elastic modulus: a pressure that counts from nothing.
    Modulus,
    /// A temperature point, in kelvin.
    Temperature,
    /// Energy.
    Energy,
    /// Energy per area.
    EnergyPerArea,
    /// Spring rate.
    SpringRate,
    /// Mass flow.
    MassFlow,
    /// Sonic conductance, ISO 6358.
    Conductance,
    /// An amount of air told as a volume above nought at ANR.
    AirVolume,
    /// A flow of air told as a volume at ANR.
    AirFlow,
    /// Anything.
    Any,
    /// A quoted name.
    Word,
}

impl Sort {
    /// The words used in messages and in the reference.
    pub(crate) fn words(self) -> &'static str {
        match self {
            Sort::Number => "a plain number",
            Sort::Discharge => "a discharge coefficient (above 0, at most 1.2)",
            Sort::Angle => "an angle",
            Sort::Length => "a length",
            Sort::Area => "an area above nought",
            Sort::Volume => "a volume",
            Sort::Mass => "a mass above nought",
            Sort::Time => "a time",
            Sort::Velocity => "a speed",
            Sort::Pressure => "a pressure above vacuum",
            Sort::Modulus => "an elastic modulus (pressure)",
            Sort::Temperature => "a temperature above absolute zero",
            Sort::Energy => "an energy",
            Sort::EnergyPerArea => "an energy per area",
            Sort::SpringRate => "a spring rate",
            Sort::MassFlow => "a mass flow",
            Sort::Conductance => "a sonic conductance, as in 1.5 dm3/(s.bar)",
            Sort::AirVolume => "an amount of air in litres ANR",
            Sort::AirFlow => "a flow of air in litres ANR per time",
            Sort::Any => "any quantity",
            Sort::Word => "a name in quotation marks",
        }
    }

    /// Dimension; `None` for [`Sort::Any`] and [`Sort::Word`].
    pub(crate) fn dimension(self) -> Option<Dimension> {
        Some(match self {
            Sort::Number | Sort::Angle | Sort::Discharge => Dimension::NONE,
            Sort::Length => Dimension::LENGTH,
            Sort::Area => Dimension::AREA,
            Sort::Volume | Sort::AirVolume => Dimension::VOLUME,
            Sort::Mass => Dimension::MASS,
            Sort::Time => Dimension::TIME,
            Sort::Velocity => Dimension::VELOCITY,
            Sort::Pressure | Sort::Modulus => Dimension::PRESSURE,
            Sort::Temperature => Dimension::TEMPERATURE,
            Sort::Energy => Dimension::ENERGY,
            Sort::EnergyPerArea => Dimension::ENERGY_PER_AREA,
            Sort::SpringRate => Dimension::SPRING_RATE,
            Sort::MassFlow => Dimension::MASS_FLOW,
            Sort::Conductance => Dimension::CONDUCTANCE,
            Sort::AirFlow => Dimension::VOLUME_FLOW,
            Sort::Any | Sort::Word => return None,
        })
    }

    fn kind(self) -> Kind {
        match self {
            Sort::Number | Sort::Discharge => Kind::Ratio,
            Sort::Angle => Kind::Angle,
            Sort::Energy => Kind::Energy,
            Sort::EnergyPerArea => Kind::EnergyPerArea,
            Sort::SpringRate => Kind::SpringRate,
            Sort::Conductance | Sort::AirVolume | Sort::AirFlow => Kind::StandardAir(GasState::Anr),
            _ => Kind::Plain,
        }
    }

    /// Whether a quantity of the right dimension is also of the right kind.
    pub(super) fn accepts_kind(self, kind: Kind) -> bool {
        match self {
            Sort::Number | Sort::Discharge => {
                !matches!(kind, Kind::Angle | Kind::Mark(_) | Kind::FlowCoefficient)
            }
            Sort::Angle | Sort::Any => true,
            Sort::Temperature => kind != Kind::TemperatureDifference,
            Sort::Energy => kind != Kind::Torque,
            Sort::EnergyPerArea => kind != Kind::SpringRate,
            Sort::SpringRate => kind != Kind::EnergyPerArea,
            Sort::Conductance => {
                matches!(kind, Kind::Plain | Kind::StandardAir(GasState::Anr))
            }
            Sort::AirVolume | Sort::AirFlow => kind == Kind::StandardAir(GasState::Anr),
            Sort::Volume => !matches!(kind, Kind::StandardAir(_)),
            _ => true,
        }
    }

    /// Least SI value of an argument, and whether it is allowed itself.
    pub(super) fn least(self) -> Option<(f64, bool)> {
        match self {
            Sort::Pressure
            | Sort::Temperature
            | Sort::Volume
            | Sort::Mass
            | Sort::AirVolume
            | Sort::Area
            | Sort::Discharge => Some((0.0, false)),
            Sort::Length => Some((0.0, true)),
            _ => None,
        }
    }

    /// Greatest SI value of an argument.
    pub(super) fn most(self) -> Option<f64> {
        (self == Sort::Discharge).then_some(1.2)
    }

    /// The quantity that a result of this sort is.
    pub(super) fn quantity(self, si: Real) -> Quantity {
        Quantity {
            si,
            dimension: self.dimension().unwrap_or(Dimension::NONE),
            kind: self.kind(),
            reference: (self == Sort::Pressure).then_some(Reference::Absolute),
        }
    }
}
