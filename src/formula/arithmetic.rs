//! Sums, products, quotients and powers of values: what units, kinds and references allow, and the
//! derivatives by the inputs.

use super::datum::{self, Datum};
use super::show::describe;
use super::tree::{Node, NodeKind, Operator};
use super::{FaultKind, FormulaFault, InputId, Value};
use crate::quantity::{Dimension, Kind, Quantity, Real, Reference};
use crate::text::Span;
use num_traits::{Signed, ToPrimitive, Zero};

/// Longest exact numerator or denominator; beyond it the exact value would cost more than it tells.
const EXACT_BITS: u64 = 4_096;
/// Largest exponent of a base dimension.
const HIGHEST_POWER: i8 = 24;

/// One side of an operation, with its place for messages.
#[derive(Debug, Clone, Copy)]
pub(super) struct Operand<'a> {
    pub(super) value: &'a Value,
    pub(super) node: &'a Node,
}

impl Operand<'_> {
    fn quantity(&self) -> &Quantity {
        &self.value.quantity
    }
}

/// `Σ scaleᵢ · sensitivitiesᵢ`, each input once, sorted; zeros are kept out.
pub(super) fn combine(parts: &[(f64, &[(InputId, f64)])]) -> Vec<(InputId, f64)> {
    let mut all: Vec<(InputId, f64)> = parts
        .iter()
        .flat_map(|(scale, list)| list.iter().map(move |(id, slope)| (*id, scale * slope)))
        .collect();
    all.sort_by_key(|(id, _)| *id);
    let mut sums: Vec<(InputId, f64)> = Vec::with_capacity(all.len());
    for (id, slope) in all {
        match sums.last_mut() {
            Some((last, sum)) if *last == id => *sum += slope,
            _ => sums.push((id, slope)),
        }
    }
    sums
}

/// Checks that a result is a finite number and keeps its exact form short.
pub(super) fn settled(value: Value, span: Span) -> Result<Value, FormulaFault> {
    let mut value = value;
    if let Real::Exact(exact) = &value.quantity.si
        && EXACT_BITS < exact.numer().bits().max(exact.denom().bits())
    {
        value.quantity.si = Real::near(value.quantity.si.to_f64());
    }
    let d = value.quantity.dimension;
    let too_high = d.exponents().iter().any(|(_, exponent)| HIGHEST_POWER < exponent.abs());
    if too_high {
        return Err(FormulaFault::new(
            FaultKind::Unlike,
            span,
            format!("no figure has the unit {}", d.base_units()),
        ));
    }
    let finite = value.quantity.si.is_finite()
        && value.quantity.si.to_f64().is_finite()
        && value.sensitivities.iter().all(|(_, slope)| slope.is_finite());
    if !finite {
        return Err(FormulaFault::new(
            FaultKind::Range,
            span,
            "the result is too large to be told",
        ));
    }
    Ok(value)
}

/// Applies an operator.
pub(super) fn apply(
    operator: Operator,
    a: Operand<'_>,
    b: Operand<'_>,
    span: Span,
) -> Result<Value, FormulaFault> {
    let value = match operator {
        Operator::Add | Operator::Subtract => sum(a, b, operator == Operator::Subtract, span)?,
        Operator::Multiply => product(a, b, span)?,
        Operator::Divide => quotient(a, b, span)?,
        Operator::Power => power(a, b, span)?,
    };
    let is_nought = |quantity: &Quantity| quantity.si.to_f64() == 0.0;
    let stays_nought = match operator {
        Operator::Add | Operator::Subtract => true,
        Operator::Multiply => is_nought(a.quantity()) || is_nought(b.quantity()),
        Operator::Divide | Operator::Power => is_nought(a.quantity()),
    };
    // Below the smallest normal number digits get lost.
    if value.quantity.si.to_f64().abs() < f64::MIN_POSITIVE && !stays_nought {
        return Err(FormulaFault::new(
            FaultKind::Range,
            span,
            "the result is too small to be told from nought",
        ));
    }
    settled(value, span)
}

/// A vacuum counted upwards: a gauge pressure below nought.
pub(super) fn upright(value: &Value) -> Value {
    let mut upright = value.clone();
    if value.quantity.reference == Some(Reference::Vacuum) {
        upright.quantity.si = value.quantity.si.neg();
        upright.quantity.reference = Some(Reference::Gauge);
        upright.sensitivities = combine(&[(-1.0, &value.sensitivities)]);
        upright.datum = value.datum.negated();
    }
    upright
}

fn unlike(verb: &str, a: Operand<'_>, b: Operand<'_>, span: Span) -> FormulaFault {
    let (left, right) = (describe(a.value, a.node), describe(b.value, b.node));
    FormulaFault::new(FaultKind::Unlike, span, format!("cannot {verb} {left} and {right}"))
}

fn sum(a: Operand<'_>, b: Operand<'_>, subtract: bool, span: Span) -> Result<Value, FormulaFault> {
    let verb = if subtract { "take the difference of" } else { "add" };
    let (left, right) = (a.quantity(), b.quantity());
    if left.dimension != right.dimension {
        return Err(unlike(verb, a, b, span).helping("both need the same unit of measure"));
    }
    let kind = sum_kind(left.kind, right.kind, subtract)
        .ok_or_else(|| unlike(verb, a, b, span).helping(kind_help(left.kind, right.kind)))?;
    use Reference::{Absolute, Difference, Gauge};
    let steps_back = matches!(
        (left.reference, right.reference),
        (Some(Difference), Some(Gauge | Absolute | Reference::Vacuum))
    );
    if subtract && steps_back {
        let help = "a pressure cannot be taken from a pressure difference";
        return Err(unlike(verb, a, b, span).helping(help));
    }
    let (left, right) = (upright(a.value), upright(b.value));
    let sign = if subtract { -1.0 } else { 1.0 };
    let datum = left
        .datum
        .plus(right.datum, sign)
        .map_err(|help| unlike(verb, a, b, span).helping(help))?;
    let si = if subtract {
        left.quantity.si.sub(&right.quantity.si)
    } else {
        left.quantity.si.add(&right.quantity.si)
    };
    let dimension = left.quantity.dimension;
    let reference = reference_of(datum, dimension);
    let quantity = Quantity { si, dimension, kind, reference };
    let sensitivities = combine(&[(1.0, &left.sensitivities), (sign, &right.sensitivities)]);
    Ok(Value { quantity, sensitivities, datum })
}

/// What a pressure worked out counts from.
fn reference_of(datum: Datum, dimension: Dimension) -> Option<Reference> {
    if dimension == Dimension::PRESSURE { datum.reference() } else { None }
}

/// Kind of a sum or difference; `None` where it has no meaning.
fn sum_kind(a: Kind, b: Kind, subtract: bool) -> Option<Kind> {
    use Kind::{Count, Mark, Plain, Ratio, StandardAir, TemperatureDifference, TemperaturePoint};
    Some(match (a, b) {
        (Mark(_), _) | (_, Mark(_)) if a != b || !subtract => return None,
        (TemperaturePoint, TemperaturePoint) if subtract => TemperatureDifference,
        (TemperaturePoint, TemperaturePoint) => return None,
        (TemperaturePoint, TemperatureDifference | Plain) => TemperaturePoint,
        (TemperatureDifference | Plain, TemperaturePoint) if !subtract => TemperaturePoint,
        // A plain kelvin before the sign can only be a point.
        (Plain, TemperaturePoint) => TemperatureDifference,
        (Count, Ratio) | (Ratio, Count) => Ratio,
        (Plain, StandardAir(_)) | (StandardAir(_), Plain) => return None,
        (Plain, kind) | (kind, Plain) => kind,
        (a, b) if a == b => a,
        _ => return None,
    })
}

/// Whether two kinds can be set against each other.
pub(super) fn kinds_compare(a: Kind, b: Kind) -> bool {
    use Kind::{Count, FlowCoefficient, Mark, Plain, Ratio, StandardAir};
    match (a, b) {
        (Mark(_) | FlowCoefficient, _) | (_, Mark(_) | FlowCoefficient) => a == b,
        (Plain, StandardAir(_)) | (StandardAir(_), Plain) => false,
        (Count, Ratio) | (Ratio, Count) => true,
        (Plain, _) | (_, Plain) => true,
        (a, b) => a == b,
    }
}

pub(super) fn kind_help(a: Kind, b: Kind) -> &'static str {
    use Kind::{
        Angle, AngularRate, CycleRate, EnergyPerArea, FlowCoefficient, Mark, PressureVolume,
        SpringRate, StandardAir, TemperaturePoint, Torque,
    };
    match (a, b) {
        (Mark(_), _) | (_, Mark(_)) => "a mark on a scale compares with its like and has no sums",
        (FlowCoefficient, _) | (_, FlowCoefficient) => "a flow coefficient is no plain number",
        (SpringRate, EnergyPerArea) | (EnergyPerArea, SpringRate) => {
            "a spring rate is no energy per area, though both are newtons by metres"
        }
        (PressureVolume, _) | (_, PressureVolume) => {
            "pressure times volume is the energy only at constant pressure"
        }
        (CycleRate, AngularRate) | (AngularRate, CycleRate) => {
            "write `turns/min` or `turns/s` for a rate of turning"
        }
        (Torque, _) | (_, Torque) => "a torque is no energy, though both are newtons times metres",
        (StandardAir(_), StandardAir(_)) => "the two volumes are told at different states of air",
        (StandardAir(_), _) | (_, StandardAir(_)) => {
            "a volume of air at a reference state is an amount of air, no room"
        }
        (TemperaturePoint, TemperaturePoint) => {
            "two points on a scale have no sum; write `… °C difference` for a step"
        }
        (Angle, _) | (_, Angle) => "an angle is no plain number; write its unit",
        _ => "quantities of different kinds do not mix",
    }
}

/// A number that only scales: no angle, no dimension.
fn is_scale(quantity: &Quantity) -> bool {
    quantity.dimension == Dimension::NONE
        && !matches!(quantity.kind, Kind::Angle | Kind::FlowCoefficient | Kind::Mark(_))
}

fn scaled_point(point: Operand<'_>, span: Span) -> FormulaFault {
    let message =
        format!("{} is a point on a scale and has no multiples", describe(point.value, point.node));
    let fault = FormulaFault::new(FaultKind::Unlike, span, message);
    match point.quantity().kind {
        Kind::TemperaturePoint => {
            fault.helping("write kelvin(…) for the temperature above absolute zero")
        }
        _ => fault,
    }
}

/// Refuses products, quotients and powers of what has none: marks on a scale, and flow
/// coefficients but by a number.
fn multiplies(a: Operand<'_>, b: Operand<'_>, span: Span) -> Result<(), FormulaFault> {
    for (one, other) in [(a, b), (b, a)] {
        let kind = one.quantity().kind;
        if matches!(kind, Kind::Mark(_)) {
            return Err(scaled_point(one, span));
        }
        let stands_alone = kind == Kind::FlowCoefficient && !is_scale(other.quantity());
        if stands_alone && other.quantity().kind != kind {
            return Err(unlike("multiply", a, b, span)
                .helping("a flow coefficient has multiples and ratios only"));
        }
    }
    Ok(())
}

/// Kind of a quotient that shares its dimension with another quantity of the trade.
fn kind_of_quotient(a: &Quantity, b: &Quantity) -> Option<Kind> {
    match (a.dimension, b.dimension) {
        (Dimension::FORCE, Dimension::LENGTH) => Some(Kind::SpringRate),
        (Dimension::ENERGY, Dimension::AREA) if a.kind != Kind::Torque => Some(Kind::EnergyPerArea),
        _ => None,
    }
}

/// Kind of a product or quotient that is no mere scaling.
fn derived_kind(dimension: Dimension, datum: Datum) -> Kind {
    let tells_air =
        [Dimension::VOLUME, Dimension::VOLUME_FLOW, Dimension::CONDUCTANCE].contains(&dimension);
    match datum.air() {
        Some(state) if tells_air => Kind::StandardAir(state),
        _ if dimension == Dimension::NONE => Kind::Ratio,
        _ => Kind::Plain,
    }
}

/// Kind of a turn in a time, a rate of turning over a time, and back.
fn turned(a: &Quantity, b: &Quantity, dimension: Dimension) -> Option<Kind> {
    let is_plain = |quantity: &Quantity| quantity.kind == Kind::Plain;
    let turns = |kind: Kind| matches!(kind, Kind::Angle | Kind::AngularRate);
    let one_turns = (turns(a.kind) && is_plain(b)) || (is_plain(a) && turns(b.kind));
    match dimension {
        Dimension::NONE if one_turns => Some(Kind::Angle),
        Dimension::RATE if one_turns => Some(Kind::AngularRate),
        _ => None,
    }
}

fn product(a: Operand<'_>, b: Operand<'_>, span: Span) -> Result<Value, FormulaFault> {
    multiplies(a, b, span)?;
    let (left, right) = (upright(a.value), upright(b.value));
    let (x, y) = (left.quantity.si.to_f64(), right.quantity.si.to_f64());
    let datum = left.datum.times(x, right.datum, y);
    let (one, other) = (&left.quantity, &right.quantity);
    let dimension = one.dimension.times(other.dimension);
    let kind = match (is_scale(one), is_scale(other)) {
        (true, true) => Kind::Ratio,
        (true, false) | (false, true) => {
            let (point, kind) = if is_scale(one) { (b, other.kind) } else { (a, one.kind) };
            if kind == Kind::TemperaturePoint {
                return Err(scaled_point(point, span));
            }
            kind
        }
        (false, false) => {
            turned(one, other, dimension).unwrap_or_else(|| derived_kind(dimension, datum))
        }
    };
    let reference = reference_of(datum, dimension);
    let quantity = Quantity { si: one.si.mul(&other.si), dimension, kind, reference };
    let sensitivities = combine(&[(y, &left.sensitivities), (x, &right.sensitivities)]);
    Ok(Value { quantity, sensitivities, datum })
}

fn quotient(a: Operand<'_>, b: Operand<'_>, span: Span) -> Result<Value, FormulaFault> {
    multiplies(a, b, span)?;
    let (left, right) = (upright(a.value), upright(b.value));
    let (x, y) = (left.quantity.si.to_f64(), right.quantity.si.to_f64());
    let (one, other) = (&left.quantity, &right.quantity);
    let dimension = one.dimension.over(other.dimension);
    let si = one.si.div(&other.si).ok_or_else(|| divides(b))?;
    let datum = left.datum.times(x, right.datum.reciprocal(y), 1.0 / y);
    let kind = if is_scale(other) {
        match one.kind {
            Kind::TemperaturePoint => return Err(scaled_point(a, span)),
            kind => kind,
        }
    } else if one.dimension == other.dimension {
        ratio_fits(a, b, span)?;
        Kind::Ratio
    } else {
        turned(one, other, dimension)
            .or_else(|| kind_of_quotient(one, other))
            .unwrap_or_else(|| derived_kind(dimension, datum))
    };
    let reference = reference_of(datum, dimension);
    let sensitivities =
        combine(&[(1.0 / y, &left.sensitivities), (-x / (y * y), &right.sensitivities)]);
    let quantity = Quantity { si, dimension, kind, reference };
    Ok(Value { quantity, sensitivities, datum })
}

/// That a divisor is nought, or cannot be told from it.
fn divides(divisor: Operand<'_>) -> FormulaFault {
    let is_nought = divisor.quantity().si.exact().is_some_and(Zero::is_zero);
    let said = describe(divisor.value, divisor.node);
    let message = if is_nought {
        format!("{said} divides here, and nothing can be divided by nought")
    } else {
        format!("{said} divides here and cannot be told from nought")
    };
    FormulaFault::new(FaultKind::Range, divisor.node.span, message)
}

/// Refuses the ratio of quantities that only share a dimension, or that count from the ambient.
fn ratio_fits(a: Operand<'_>, b: Operand<'_>, span: Span) -> Result<(), FormulaFault> {
    let (left, right) = (a.quantity(), b.quantity());
    if !kinds_compare(left.kind, right.kind) {
        return Err(
            unlike("take the ratio of", a, b, span).helping(kind_help(left.kind, right.kind))
        );
    }
    if datum::is_gauge_product(a.value) || datum::is_gauge_product(b.value) {
        let (left, right) = (describe(a.value, a.node), describe(b.value, b.node));
        let message = format!("gauge pressures have no ratio: {left} over {right}");
        return Err(datum::refuse_ratio(message, span));
    }
    Ok(())
}

fn power(a: Operand<'_>, b: Operand<'_>, span: Span) -> Result<Value, FormulaFault> {
    let (base, exponent) = (a.quantity(), b.quantity());
    if matches!(base.kind, Kind::Mark(_) | Kind::FlowCoefficient) {
        return Err(scaled_point(a, span));
    }
    if !is_scale(exponent) {
        let message = format!("{} cannot be a power", describe(b.value, b.node));
        return Err(FormulaFault::new(FaultKind::Unlike, b.node.span, message)
            .helping("a power is a plain number"));
    }
    let is_fixed = b.value.sensitivities.is_empty();
    let whole =
        exponent.si.exact().filter(|e| e.is_integer()).and_then(|e| e.to_integer().to_i32());
    if let (Some(n), true) = (whole.filter(|n| n.abs() <= 64), is_fixed) {
        return integer_power(a, n, span);
    }
    let x = base.si.to_f64();
    if x <= 0.0 {
        let message = format!("{} has no broken power", describe(a.value, a.node));
        return Err(FormulaFault::new(FaultKind::Range, span, message)
            .helping("only numbers above nought have"));
    }
    let dimension = if base.dimension == Dimension::NONE {
        Dimension::NONE
    } else {
        root_dimension(base.dimension, exponent).ok_or_else(|| {
            let message = format!(
                "{} to the power {} has no unit",
                describe(a.value, a.node),
                crate::quantity::print::significant(exponent.si.to_f64(), 6)
            );
            FormulaFault::new(FaultKind::Unlike, span, message)
        })?
    };
    let e = exponent.si.to_f64();
    let y = libm::pow(x, e);
    let (slope_base, slope_exponent) = (e * y / x, y * libm::log(x));
    let error = |real: &Real| match real {
        Real::Exact(_) => real.to_f64().abs() * f64::EPSILON,
        Real::Near { error, .. } => *error,
    };
    let bound = slope_base.abs() * error(&base.si)
        + slope_exponent.abs() * error(&exponent.si)
        + y.abs() * 4.0 * f64::EPSILON;
    let quantity = Quantity {
        si: Real::Near { value: y, error: 2.0 * bound },
        dimension,
        kind: Kind::Plain,
        reference: None,
    };
    let sensitivities =
        combine(&[(slope_base, &a.value.sensitivities), (slope_exponent, &b.value.sensitivities)]);
    let datum = a.value.datum.power(e, slope_base);
    Ok(Value { quantity: powered(quantity, datum), sensitivities, datum })
}

/// Dimension of a power p/q with q ≤ 6.
fn root_dimension(dimension: Dimension, exponent: &Quantity) -> Option<Dimension> {
    let exponent = exponent.si.exact()?;
    let degree = exponent.denom().to_i8().filter(|degree| *degree <= 6)?;
    let power = exponent.numer().to_i32().filter(|power| power.abs() <= 64)?;
    dimension.power(power).root(degree)
}

fn integer_power(a: Operand<'_>, n: i32, span: Span) -> Result<Value, FormulaFault> {
    let base = a.quantity();
    if n == 1 {
        return Ok(a.value.clone());
    }
    let bits = base.si.exact().map_or(0, |e| e.numer().bits().max(e.denom().bits()));
    let start = if EXACT_BITS < bits.saturating_mul(u64::from(n.unsigned_abs())) {
        Real::near(base.si.to_f64())
    } else {
        base.si.clone()
    };
    let si = start.powi(n).ok_or_else(|| {
        let message = format!("{} has no negative power", describe(a.value, a.node));
        FormulaFault::new(FaultKind::Range, span, message)
    })?;
    let dimension = base.dimension.power(n);
    let x = base.si.to_f64();
    let slope = if n == 0 || a.value.sensitivities.is_empty() {
        0.0
    } else {
        f64::from(n) * libm::pow(x, f64::from(n - 1))
    };
    let datum = a.value.datum.power(f64::from(n), f64::from(n) * libm::pow(x, f64::from(n - 1)));
    let quantity = powered(Quantity { si, dimension, kind: Kind::Plain, reference: None }, datum);
    Ok(Value { quantity, sensitivities: combine(&[(slope, &a.value.sensitivities)]), datum })
}

/// The kind and reference of a power.
pub(super) fn powered(quantity: Quantity, datum: Datum) -> Quantity {
    let dimension = quantity.dimension;
    Quantity {
        kind: derived_kind(dimension, datum),
        reference: reference_of(datum, dimension),
        ..quantity
    }
}

/// `-x`. A point on a scale has no negative; a number below its nought has.
pub(super) fn negation(a: Operand<'_>, span: Span) -> Result<Value, FormulaFault> {
    if a.quantity().kind == Kind::TemperaturePoint {
        return Err(scaled_point(a, span));
    }
    let value = if is_literal(a.node) { a.value.clone() } else { upright(a.value) };
    let mut value = value;
    value.quantity.si = value.quantity.si.neg();
    value.sensitivities = combine(&[(-1.0, &a.value.sensitivities)]);
    if !is_literal(a.node) {
        value.datum = value.datum.negated();
        value.quantity.reference = reference_of(value.datum, value.quantity.dimension);
    }
    Ok(value)
}

fn is_literal(node: &Node) -> bool {
    matches!(node.kind, NodeKind::Literal(_))
}

/// The exact square root of an exact value, if it has one.
pub(super) fn exact_root(real: &Real) -> Option<Real> {
    let exact = real.exact().filter(|value| !value.is_negative())?;
    if exact.is_zero() {
        return Some(Real::zero());
    }
    let (numerator, denominator) = (exact.numer().sqrt(), exact.denom().sqrt());
    let is_square =
        &numerator * &numerator == *exact.numer() && &denominator * &denominator == *exact.denom();
    is_square.then(|| Real::Exact(crate::quantity::Rational::new(numerator, denominator)))
}
