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
    /// A pressure times a volume, which is an energy only at constant pressure.
    PressureVolume,
    /// Force per length of travel.
    SpringRate,
    /// Energy per area, which has the dimension of a spring rate.
    EnergyPerArea,
    /// A mark on an agreed scale: it has neither sums nor multiples.
    Mark(AgreedScale),
    /// The flow of water through a valve at a unit of pressure drop (IEC 60534-1).
    FlowCoefficient,
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

/// Scales whose numbers can be set against each other and against nothing else.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum AgreedScale {
    /// A level in decibels, of what is not said.
    Decibel,
    /// A sound level, frequency weighting A (IEC 61672-1).
    SoundA,
    /// Durometer hardness, type A (ISO 868).
    ShoreA,
    /// Durometer hardness, type D (ISO 868).
    ShoreD,
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
            Kind::PressureVolume => "pressure times volume",
            Kind::SpringRate => "spring rate",
            Kind::EnergyPerArea => "energy per area",
            Kind::Mark(AgreedScale::Decibel) => "level in decibels",
            Kind::Mark(AgreedScale::SoundA) => "A-weighted sound level",
            Kind::Mark(AgreedScale::ShoreA) => "hardness Shore A",
            Kind::Mark(AgreedScale::ShoreD) => "hardness Shore D",
            Kind::FlowCoefficient => "flow coefficient",
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
