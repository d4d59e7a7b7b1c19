//! What a dimension alone does not tell: the kind of a quantity, and what a pressure counts from.

/// Quantities of one dimension that must not be mixed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Kind {
    /// Nothing beyond the dimension.
    #[default]
    Plain,
    /// A ratio or percentage.
    Ratio,
    /// A count of something the model counts.
    Count,
    /// A plane angle.
    Angle,
    /// A torque: N·m, never a joule.
    Torque,
    /// An energy.
    Energy,
    /// Cycles, shots or turns per time.
    CycleRate,
    /// Radians per time.
    AngularRate,
    /// A temperature on a scale with an agreed zero.
    TemperaturePoint,
    /// A difference of temperatures.
    TemperatureDifference,
    /// An amount of air told as its volume at a reference state.
    StandardAir(GasState),
}

/// The state at which an amount of air is told as a volume.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum GasState {
    /// ISO 8778 standard reference atmosphere: 100 kPa, 20 °C, 65 % relative humidity.
    Anr,
    /// DIN 1343 normal state: 101.325 kPa, 0 °C, dry.
    Normal,
    /// "Standard" without saying which.
    Undeclared,
}

impl Kind {
    /// The word used in JSON and messages; `None` for [`Kind::Plain`].
    #[must_use]
    pub fn word(self) -> Option<&'static str> {
        Some(match self {
            Kind::Plain => return None,
            Kind::Ratio => "ratio",
            Kind::Count => "count",
            Kind::Angle => "angle",
            Kind::Torque => "torque",
            Kind::Energy => "energy",
            Kind::CycleRate => "cycle rate",
            Kind::AngularRate => "angular rate",
            Kind::TemperaturePoint => "temperature point",
            Kind::TemperatureDifference => "temperature difference",
            Kind::StandardAir(_) => "standard air",
        })
    }
}

/// What a pressure counts from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Reference {
    /// Above ambient.
    Gauge,
    /// Above vacuum.
    Absolute,
    /// Between two places; no zero.
    Difference,
    /// Below ambient, counted downwards.
    Vacuum,
}

impl Reference {
    /// The word used in JSON, formulas and messages.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Reference::Gauge => "gauge",
            Reference::Absolute => "absolute",
            Reference::Difference => "difference",
            Reference::Vacuum => "vacuum",
        }
    }

    /// Reads one of the four words.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Reference> {
        [Reference::Gauge, Reference::Absolute, Reference::Difference, Reference::Vacuum]
            .into_iter()
            .find(|reference| reference.word() == word)
    }
}
