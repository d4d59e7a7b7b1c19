//! Dimensions: exponents of length, mass, time, temperature, electric current and luminous
//! intensity.

use std::fmt;

/// Product of powers of the base dimensions that launch engines and their instruments need.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Dimension {
    /// Exponent of length (m).
    pub length: i8,
    /// Exponent of mass (kg).
    pub mass: i8,
    /// Exponent of time (s).
    pub time: i8,
    /// Exponent of temperature (K).
    pub temperature: i8,
    /// Exponent of electric current (A).
    pub current: i8,
    /// Exponent of luminous intensity (cd).
    pub light: i8,
}

/// Shorthand: exponents of length, mass, time, temperature.
const fn d(length: i8, mass: i8, time: i8, temperature: i8) -> Dimension {
    Dimension { length, mass, time, temperature, current: 0, light: 0 }
}

/// Shorthand: the same with an exponent of electric current.
const fn electric(length: i8, mass: i8, time: i8, current: i8) -> Dimension {
    Dimension { current, ..d(length, mass, time, 0) }
}

impl Dimension {
    /// No dimension: ratios, counts, angles.
    pub(crate) const NONE: Dimension = d(0, 0, 0, 0);
    /// Length.
    pub(crate) const LENGTH: Dimension = d(1, 0, 0, 0);
    /// Area.
    pub(crate) const AREA: Dimension = d(2, 0, 0, 0);
    /// Volume.
    pub(crate) const VOLUME: Dimension = d(3, 0, 0, 0);
    /// Mass.
    pub(crate) const MASS: Dimension = d(0, 1, 0, 0);
    /// Time.
    pub(crate) const TIME: Dimension = d(0, 0, 1, 0);
    /// Temperature.
    pub(crate) const TEMPERATURE: Dimension = d(0, 0, 0, 1);
    /// Speed.
    pub(crate) const VELOCITY: Dimension = d(1, 0, -1, 0);
    /// Acceleration.
    pub(crate) const ACCELERATION: Dimension = d(1, 0, -2, 0);
    /// Force.
    pub(crate) const FORCE: Dimension = d(1, 1, -2, 0);
    /// Pressure.
    pub(crate) const PRESSURE: Dimension = d(-1, 1, -2, 0);
    /// Energy, and torque.
    pub(crate) const ENERGY: Dimension = d(2, 1, -2, 0);
    /// Power.
    pub(crate) const POWER: Dimension = d(2, 1, -3, 0);
    /// Spring rate.
    pub(crate) const SPRING_RATE: Dimension = d(0, 1, -2, 0);
    /// Rate: frequency, cycle rate, angular rate.
    pub(crate) const RATE: Dimension = d(0, 0, -1, 0);
    /// Mass flow.
    pub(crate) const MASS_FLOW: Dimension = d(0, 1, -1, 0);
    /// Volume flow.
    pub(crate) const VOLUME_FLOW: Dimension = d(3, 0, -1, 0);
    /// Sonic conductance (ISO 6358).
    pub(crate) const CONDUCTANCE: Dimension = d(4, -1, 1, 0);
    /// Density.
    pub(crate) const DENSITY: Dimension = d(-3, 1, 0, 0);
    /// Energy per area: the dimension of a spring rate, from which its kind tells it.
    pub(crate) const ENERGY_PER_AREA: Dimension = Dimension::SPRING_RATE;
    /// Pressure lost or gained in a time.
    const PRESSURE_RATE: Dimension = d(-1, 1, -3, 0);
    /// Electric current.
    const CURRENT: Dimension = electric(0, 0, 0, 1);
    /// Electric charge.
    const CHARGE: Dimension = electric(0, 0, 1, 1);
    /// Voltage.
    const VOLTAGE: Dimension = electric(2, 1, -3, -1);
    /// Electric resistance.
    const RESISTANCE: Dimension = electric(2, 1, -3, -2);
    /// Luminous flux; the steradian counts as a number.
    const LUMINOUS_FLUX: Dimension = Dimension { light: 1, ..Dimension::NONE };

    /// Every dimension that has a name in the trade.
    pub(crate) const NAMED: &[(&'static str, Dimension)] = &[
        ("number", Dimension::NONE),
        ("length", Dimension::LENGTH),
        ("area", Dimension::AREA),
        ("volume", Dimension::VOLUME),
        ("mass", Dimension::MASS),
        ("time", Dimension::TIME),
        ("temperature", Dimension::TEMPERATURE),
        ("velocity", Dimension::VELOCITY),
        ("acceleration", Dimension::ACCELERATION),
        ("force", Dimension::FORCE),
        ("pressure", Dimension::PRESSURE),
        ("energy", Dimension::ENERGY),
        ("power", Dimension::POWER),
        ("spring rate", Dimension::SPRING_RATE),
        ("rate", Dimension::RATE),
        ("mass flow", Dimension::MASS_FLOW),
        ("volume flow", Dimension::VOLUME_FLOW),
        ("flow per pressure", Dimension::CONDUCTANCE),
        ("density", Dimension::DENSITY),
        ("pressure rate", Dimension::PRESSURE_RATE),
        ("current", Dimension::CURRENT),
        ("charge", Dimension::CHARGE),
        ("voltage", Dimension::VOLTAGE),
        ("resistance", Dimension::RESISTANCE),
        ("luminous flux", Dimension::LUMINOUS_FLUX),
    ];

    /// The exponents, each beside the symbol of its SI base unit, in the order of print.
    #[must_use]
    pub fn exponents(self) -> [(&'static str, i8); 6] {
        [
            ("kg", self.mass),
            ("m", self.length),
            ("s", self.time),
            ("K", self.temperature),
            ("A", self.current),
            ("cd", self.light),
        ]
    }

    fn of_exponents([mass, length, time, temperature, current, light]: [i8; 6]) -> Dimension {
        Dimension { length, mass, time, temperature, current, light }
    }

    fn each(self, change: impl Fn(i8) -> i8) -> Dimension {
        Dimension::of_exponents(self.exponents().map(|(_, exponent)| change(exponent)))
    }

    /// The dimension of a product.
    pub(crate) fn times(self, other: Dimension) -> Dimension {
        let (one, other) = (self.exponents(), other.exponents());
        let sum = std::array::from_fn(|at| one[at].1.saturating_add(other[at].1));
        Dimension::of_exponents(sum)
    }

    /// The dimension of a quotient.
    pub(crate) fn over(self, other: Dimension) -> Dimension {
        self.times(other.power(-1))
    }

    /// The dimension of an integer power.
    pub(crate) fn power(self, exponent: i32) -> Dimension {
        self.each(|e| {
            let product = i32::from(e).saturating_mul(exponent);
            i8::try_from(product.clamp(-127, 127)).unwrap_or(0)
        })
    }

    /// The dimension of a root; `None` where it does not come out even.
    pub(crate) fn root(self, degree: i8) -> Option<Dimension> {
        let is_even = |exponent: i8| degree != 0 && exponent % degree == 0;
        let even = self.exponents().iter().all(|(_, exponent)| is_even(*exponent));
        even.then(|| self.each(|exponent| exponent / degree))
    }

    /// Name used in messages: "pressure", or base units where there is none.
    pub(crate) fn name(self) -> String {
        let named = Dimension::NAMED.iter().find(|(_, dimension)| *dimension == self);
        named.map_or_else(|| self.base_units(), |(name, _)| (*name).to_owned())
    }

    /// The dimension in SI base units: `kg·m⁻¹·s⁻²`; `1` for none.
    pub(crate) fn base_units(self) -> String {
        let written: Vec<String> = self
            .exponents()
            .iter()
            .filter(|(_, exponent)| *exponent != 0)
            .map(|(symbol, exponent)| match exponent {
                1 => (*symbol).to_owned(),
                _ => format!("{symbol}{}", superscript(*exponent)),
            })
            .collect();
        if written.is_empty() { "1".to_owned() } else { written.join("·") }
    }
}

fn superscript(exponent: i8) -> String {
    let digits = ['⁰', '¹', '²', '³', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹'];
    exponent
        .to_string()
        .chars()
        .map(|c| c.to_digit(10).map_or('⁻', |digit| digits[digit as usize]))
        .collect()
}

impl fmt::Display for Dimension {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.name())
    }
}
