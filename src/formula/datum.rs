//! What pressures count from, kept through products, quotients, sums and powers.
//!
//! An absolute pressure is a quantity like any other: it has multiples and ratios. A gauge pressure
//! is a point on a scale whose nought is the ambient pressure; it has differences and means, and
//! it pushes on walls, but it has no multiples: `2 * 9 bar gauge` would be something else if the
//! same pressure were written as absolute. So every value carries how the pressures in it count
//! ([`Datum`]). What becomes a pressure again gets its reference back, and what would depend on
//! how its pressures were written is refused by [`told`], once the formula is complete.
//!
//! `shift` does most of the work. It is the derivative of a value by a common shift of all the
//! pressures in it: one for a pressure, nought for a difference of two, one for a mean. Being a
//! derivative it does not depend on order or brackets.

use super::show::describe;
use super::tree::{Node, NodeKind};
use super::{FaultKind, FormulaFault, Value};
use crate::quantity::{Dimension, GasState, Kind, Quantity, Reference};
use crate::text::Span;

/// Degrees are counted in sixtieths, so that every root to the sixth is whole.
const ONE: i32 = 60;
/// Relative size below which a shift is rounding.
const NOUGHT: f64 = 1e-9;

/// How often gauge pressures stand in a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
enum Gauge {
    /// None does.
    #[default]
    Absent,
    /// In every term at most one, as a factor.
    Factor,
    /// One, as a divisor of the whole.
    Divisor,
    /// More than one, or under a power.
    Entangled,
}

/// How the pressures in a value count.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Datum {
    gauge: Gauge,
    /// Net power of absolute pressures, in sixtieths.
    absolute: i32,
    /// Net power of pressures without a reference, in sixtieths.
    undeclared: i32,
    /// Derivative by a common shift of all gauge and absolute pressures, in SI.
    shift: f64,
    /// State of air told as a volume, and its net power.
    air: Option<(GasState, i32)>,
}

impl Datum {
    /// That of a quantity which is no product.
    pub(crate) fn of(quantity: &Quantity) -> Datum {
        let air = match quantity.kind {
            Kind::StandardAir(state) => Some((state, ONE)),
            _ => None,
        };
        let none = Datum { air, ..Datum::default() };
        if quantity.dimension != Dimension::PRESSURE {
            return none;
        }
        match quantity.reference {
            Some(Reference::Absolute) => Datum { absolute: ONE, shift: 1.0, ..none },
            Some(Reference::Gauge) => Datum { gauge: Gauge::Factor, shift: 1.0, ..none },
            Some(Reference::Vacuum) => Datum { gauge: Gauge::Factor, shift: -1.0, ..none },
            Some(Reference::Difference) => none,
            None => Datum { undeclared: ONE, ..none },
        }
    }

    /// That of a product of values with these SI numbers.
    pub(super) fn times(self, x: f64, other: Datum, y: f64) -> Datum {
        Datum {
            gauge: match (self.gauge, other.gauge) {
                (gauge, Gauge::Absent) | (Gauge::Absent, gauge) => gauge,
                _ => Gauge::Entangled,
            },
            absolute: self.absolute.saturating_add(other.absolute),
            undeclared: self.undeclared.saturating_add(other.undeclared),
            shift: self.shift * y + x * other.shift,
            air: joined(self.air, other.air),
        }
    }

    /// That of the reciprocal of a value with this SI number.
    pub(super) fn reciprocal(self, x: f64) -> Datum {
        Datum {
            gauge: match self.gauge {
                Gauge::Factor => Gauge::Divisor,
                Gauge::Absent => Gauge::Absent,
                Gauge::Divisor | Gauge::Entangled => Gauge::Entangled,
            },
            shift: -self.shift / (x * x),
            ..self.scaled(-1.0)
        }
    }

    /// That of a power, given its derivative by the base.
    pub(super) fn power(self, exponent: f64, slope: f64) -> Datum {
        let gauge = if self.gauge == Gauge::Absent { Gauge::Absent } else { Gauge::Entangled };
        Datum { gauge, shift: self.shift * slope, ..self.scaled(exponent) }
    }

    /// Powers times a number; what comes out between sixtieths is no power that anything has.
    fn scaled(self, by: f64) -> Datum {
        let scale = |degree: i32| {
            let product = f64::from(degree) * by;
            if product.abs() < 1e6 { libm::round(product) as i32 } else { i32::MAX }
        };
        Datum {
            absolute: scale(self.absolute),
            undeclared: scale(self.undeclared),
            air: self.air.map(|(state, degree)| (state, scale(degree))),
            ..self
        }
    }

    /// That of a sum or difference, or why there is none.
    pub(super) fn plus(self, other: Datum, sign: f64) -> Result<Datum, &'static str> {
        let shift = self.shift + sign * other.shift;
        if !self.rests_on_pressures() || !other.rests_on_pressures() {
            let one = if self.rests_on_pressures() { self } else { other };
            return Ok(Datum { shift, ..one });
        }
        if (self.gauge != Gauge::Absent && other.absolute != 0)
            || (self.absolute != 0 && other.gauge != Gauge::Absent)
        {
            return Err("convert one of them with absolute(…) or gauge(…)");
        }
        let gauge = match (self.gauge, other.gauge) {
            (Gauge::Absent, gauge) | (gauge, Gauge::Absent) => gauge,
            (a, b) if a == b => a,
            _ => Gauge::Entangled,
        };
        // An undeclared pressure goes with whatever stands beside it.
        let is_declared = |datum: Datum| datum.undeclared == 0;
        let sum = Datum {
            gauge,
            absolute: if self.absolute == 0 { other.absolute } else { self.absolute },
            undeclared: if is_declared(self) || is_declared(other) { 0 } else { self.undeclared },
            shift,
            air: self.air,
        };
        // What does not move with its pressures is a difference, however it was come by.
        let is_linear = matches!(gauge, Gauge::Absent | Gauge::Factor)
            && (sum.absolute == 0 || sum.absolute == ONE);
        let is_still = shift.abs() <= NOUGHT * (self.shift.abs() + other.shift.abs());
        if is_linear && is_still && sum.undeclared == 0 {
            return Ok(Datum { air: self.air, ..Datum::default() });
        }
        Ok(sum)
    }

    pub(super) fn negated(self) -> Datum {
        Datum { shift: -self.shift, ..self }
    }

    fn rests_on_pressures(self) -> bool {
        self.gauge != Gauge::Absent || self.absolute != 0 || self.undeclared != 0
    }

    /// What a pressure with this datum counts from; `None` for one without a reference, and for
    /// what [`told`] refuses.
    pub(super) fn reference(self) -> Option<Reference> {
        let is_one = (self.shift - 1.0).abs() <= NOUGHT;
        match (self.gauge, self.absolute, self.undeclared) {
            (Gauge::Absent, 0, 0) => Some(Reference::Difference),
            (Gauge::Absent, ONE, 0) if 0.0 < self.shift => Some(Reference::Absolute),
            (Gauge::Factor, 0, 0) if is_one => Some(Reference::Gauge),
            _ => None,
        }
    }

    /// The state of the air that a volume or flow with this datum tells.
    pub(super) fn air(self) -> Option<GasState> {
        self.air.filter(|(_, degree)| *degree == ONE).map(|(state, _)| state)
    }

    /// A function has made something else of the pressures.
    pub(super) fn forgotten(self) -> Datum {
        Datum { air: self.air, ..Datum::default() }
    }
}

fn joined(a: Option<(GasState, i32)>, b: Option<(GasState, i32)>) -> Option<(GasState, i32)> {
    match (a, b) {
        (Some((state, m)), Some((other, n))) if state == other => {
            Some((state, m.saturating_add(n))).filter(|(_, degree)| *degree != 0)
        }
        (Some(_), Some(_)) => None,
        (one, other) => one.or(other),
    }
}

/// Dimensions of what pushes: a gauge pressure on an area, that over a mass, and the area that
/// holds a force.
fn is_pushed(dimension: Dimension) -> bool {
    [Dimension::FORCE, Dimension::ACCELERATION, Dimension::AREA].contains(&dimension)
}

/// Refuses a complete value whose number would depend on how its pressures were written.
///
/// A force of a gauge pressure is the force against the ambient; the same product with an absolute
/// pressure leaves the ambient on the other side out and is refused.
pub(super) fn told(value: &Value, node: &Node) -> Result<(), FormulaFault> {
    let (datum, dimension) = (value.datum, value.quantity.dimension);
    let is_pressure = dimension == Dimension::PRESSURE;
    let still = datum.shift == 0.0;
    let fits = match (datum.gauge, datum.absolute) {
        (Gauge::Absent, 0) => true,
        (Gauge::Absent, _) if is_pressure => {
            datum.undeclared != 0 || value.quantity.reference.is_some()
        }
        (Gauge::Absent, _) => still || !is_pushed(dimension),
        (Gauge::Factor, 0) if is_pressure => value.quantity.reference.is_some(),
        (Gauge::Factor, 0) => {
            still || [Dimension::FORCE, Dimension::ACCELERATION].contains(&dimension)
        }
        (Gauge::Divisor, 0) => dimension == Dimension::AREA,
        _ => false,
    };
    if fits { Ok(()) } else { Err(refused(value, node)) }
}

/// Gives a value a name of its own: a force is a force, whatever it was worked out from.
pub(super) fn name(value: &mut Value) {
    let is_force = value.datum.gauge != Gauge::Absent && value.datum.absolute == 0;
    if is_force && is_pushed(value.quantity.dimension) {
        value.datum = value.datum.forgotten();
    }
}

/// Whether a value holds a gauge pressure that its own dimension does not settle.
pub(super) fn is_gauge_product(value: &Value) -> bool {
    value.datum.gauge != Gauge::Absent
}

const WAYS_OUT: &str = "write absolute(…) around each pressure for what air does (volumes, masses, \
                        ratios), above_ambient(…) for what pushes on a wall; the air around is \
                        absolute(0 bar gauge)";

fn refused(value: &Value, node: &Node) -> FormulaFault {
    let fault = |message: String| FormulaFault::new(FaultKind::Unlike, node.span, message);
    let said = describe(value, node);
    let dimension = value.quantity.dimension;
    if value.datum.gauge == Gauge::Absent {
        return if is_pushed(dimension) {
            fault(format!("{said} leaves out the ambient pressure on the other side"))
                .helping("write gauge(…) or above_ambient(…) around the pressure; against a vacuum (p - 0 bar absolute)")
        } else {
            fault(format!("{said} is no pressure: what it counts from is lost"))
                .helping("write it as one absolute pressure times plain ratios")
        };
    }
    if matches!(node.kind, NodeKind::Binary(super::tree::Operator::Add, ..))
        && dimension == Dimension::PRESSURE
    {
        return fault(format!("cannot add two gauge pressures: {said}"))
            .helping("write `… difference` for a step");
    }
    fault(format!(
        "{said} rests on multiples of a gauge pressure, and would be another if that were absolute"
    ))
    .helping(WAYS_OUT)
}

/// Refuses a ratio of values that count from the ambient.
pub(super) fn refuse_ratio(message: String, span: Span) -> FormulaFault {
    FormulaFault::new(FaultKind::Unlike, span, message).helping(WAYS_OUT)
}
