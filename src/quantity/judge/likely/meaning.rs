//! The right arithmetic on the wrong footing: gauge for absolute, an offset on a difference, a
//! radius for a diameter.

use super::Likely;
use super::spelling::SpelledNumber;
use crate::quantity::exact::parse_decimal;
use crate::quantity::judge::{computed, pair, print};
use crate::quantity::{
    Amount, Computed, Conventions, Dimension, Figure, Kind, Number, Quantity, Rational, Real,
    Reference,
};
use num_traits::Zero;

fn found(words: &str, proposal: Option<String>) -> Option<Likely> {
    Some(Likely { words: Some(words.to_owned()), proposal })
}

/// The pairs of references to try instead of what was settled, with the slip they name.
fn mistaken(
    from: Option<Reference>,
    to: Option<Reference>,
) -> Vec<(Reference, Reference, &'static str)> {
    const TO_ABSOLUTE: &str = "absolute given as gauge";
    const TO_GAUGE: &str = "gauge given as absolute";
    use Reference::{Absolute, Gauge};
    match (from, to) {
        (None, None) => vec![(Gauge, Absolute, TO_ABSOLUTE), (Absolute, Gauge, TO_GAUGE)],
        (Some(from), Some(Gauge)) => vec![(from, Absolute, TO_ABSOLUTE)],
        (Some(from), Some(Absolute)) => vec![(from, Gauge, TO_GAUGE)],
        _ => Vec::new(),
    }
}

/// A dual statement on another footing.
pub(super) fn in_pair(
    (spelled_first, spelled): (&SpelledNumber, &SpelledNumber),
    first: &Figure,
    later: &Figure,
    conv: &Conventions,
) -> Option<Likely> {
    let bridge = pair::between(first, later, conv).ok()?;
    let proposal = || {
        let Amount::Point(number) = &first.amount else { return None };
        let worked = bridge.across(&Real::Exact(print::tame(number).value()));
        Some(match pair::limit(first, later, &bridge) {
            Some(side) => limited(spelled, &worked, side),
            None => reworked(spelled, &worked),
        })
    };
    if first.unit.is_pressure() {
        let mark =
            |figure: &Figure, reference| Figure { reference: Some(reference), ..figure.clone() };
        for (from, to, words) in mistaken(bridge.from_reference, bridge.to_reference) {
            if super::agrees(&mark(first, from), &mark(later, to), conv) {
                return found(words, proposal());
            }
        }
        for (to, from, words) in mistaken(bridge.to_reference, bridge.from_reference) {
            // The first figure is the coarser one as a rule: so it is the one to be rounded.
            if super::agrees(&mark(later, to), &mark(first, from), conv) {
                let right = the_other_way(spelled_first, first, later, conv)?;
                return found(&format!("first figure: {words}, {right}"), None);
            }
        }
    }
    if let Some((kind, words)) = other_kind(bridge.kind) {
        let with = |figure: &Figure| Figure { kind, kind_yields: false, ..figure.clone() };
        if super::agrees(&with(first), &with(later), conv) {
            return found(words, proposal());
        }
    }
    if first.unit.dimension == Dimension::LENGTH {
        for (doubled, words) in [(true, DIAMETER), (false, RADIUS)] {
            let Some(first) = scaled(first, doubled) else { continue };
            if super::agrees(&first, later, conv) {
                // Either member may be the wrong one.
                return found(words, None);
            }
        }
    }
    None
}

/// The first figure as the later one has it.
fn the_other_way(
    spelled: &SpelledNumber,
    first: &Figure,
    later: &Figure,
    conv: &Conventions,
) -> Option<String> {
    let bridge = pair::between(later, first, conv).ok()?;
    let Amount::Point(number) = &later.amount else { return None };
    Some(reworked(spelled, &bridge.across(&Real::Exact(print::tame(number).value()))))
}

const DIAMETER: &str = "diameter given for a radius";
const RADIUS: &str = "radius given for a diameter";

fn other_kind(kind: Kind) -> Option<(Kind, &'static str)> {
    match kind {
        Kind::TemperaturePoint => {
            Some((Kind::TemperatureDifference, "temperature converted without its offset"))
        }
        Kind::TemperatureDifference => {
            Some((Kind::TemperaturePoint, "offset applied to a difference"))
        }
        _ => None,
    }
}

/// A figure of twice or half the size; `None` for ranges.
fn scaled(figure: &Figure, doubled: bool) -> Option<Figure> {
    let Amount::Point(number) = &figure.amount else { return None };
    let mut number = print::tame(number);
    number.fraction = match number.fraction {
        Some((n, d)) if doubled => Some((n.checked_mul(2)?, d)),
        Some((n, d)) => Some((n, d.checked_mul(2)?)),
        None => None,
    };
    if doubled {
        number.mantissa = number.mantissa.checked_mul(2)?;
    } else {
        halve(&mut number)?;
    }
    Some(Figure { amount: Amount::Point(number), ..figure.clone() })
}

fn halve(number: &mut Number) -> Option<()> {
    // A mixed fraction has no decimals to take a half.
    if number.fraction.is_some() && number.mantissa != 0 {
        return None;
    }
    number.mantissa = number.mantissa.checked_mul(5)?;
    number.exponent -= 1;
    Some(())
}

/// A figure beside a computed value on another footing.
pub(super) fn alone(
    spelled: &SpelledNumber,
    stated: &Figure,
    computed: &Computed,
    conv: &Conventions,
) -> Option<Likely> {
    let nominal = &computed.nominal;
    let bridge = computed::between(stated, nominal, conv).ok()?;
    let proposal = || match stated.amount {
        Amount::Point(_) => Some(reworked(spelled, &bridge.across(&nominal.si))),
        Amount::Range(..) => None,
    };
    if stated.unit.is_pressure() {
        for (from, to, words) in mistaken(bridge.from_reference, bridge.to_reference) {
            let stated = Figure { reference: Some(to), ..stated.clone() };
            let nominal = Quantity { reference: Some(from), ..nominal.clone() };
            if super::matches(&stated, &nominal, conv) {
                return found(words, proposal());
            }
        }
    }
    if stated.unit.is_pressure() && taken_off(stated, nominal, conv) {
        return found(TAKEN_OFF, proposal());
    }
    if let Some((kind, words)) = other_kind(bridge.kind) {
        let stated = Figure { kind, kind_yields: false, ..stated.clone() };
        let zero = Real::Exact(parse_decimal("273.15")?);
        let si = match kind {
            Kind::TemperaturePoint => nominal.si.add(&zero),
            _ => nominal.si.sub(&zero),
        };
        let nominal = Quantity { si, kind, ..nominal.clone() };
        if super::matches(&stated, &nominal, conv) {
            return found(words, proposal());
        }
    }
    let (factor, larger, smaller) = match nominal.dimension {
        Dimension::LENGTH => (2, DIAMETER, RADIUS),
        d if SCALES_WITH_AREA.contains(&d) => {
            (4, "diameter taken for a radius", "radius taken for a diameter")
        }
        _ => return None,
    };
    let factor = Rational::from_integer(factor.into());
    for (factor, words) in [(factor.clone(), larger), (factor.recip(), smaller)] {
        let nominal = Quantity { si: nominal.si.mul(&factor.into()), ..nominal.clone() };
        if super::matches(stated, &nominal, conv) {
            return found(words, proposal());
        }
    }
    None
}

/// What is wrong with an absolute pressure that is as far below a gauge one as it lies above.
pub(crate) const TAKEN_OFF: &str = "ambient pressure taken off, not added";

/// Of a pressure that says that it counts from vacuum: the ambient pressure was taken off a gauge
/// pressure, not added.
fn taken_off(stated: &Figure, nominal: &Quantity, conv: &Conventions) -> bool {
    let twice = Real::Exact(&conv.ambient + &conv.ambient);
    let nominal = Quantity { si: nominal.si.sub(&twice), ..nominal.clone() };
    stated.reference == Some(Reference::Absolute) && super::matches(stated, &nominal, conv)
}

/// Results in which a diameter mistaken for a radius makes a factor of four.
const SCALES_WITH_AREA: [Dimension; 6] = [
    Dimension::AREA,
    Dimension::VOLUME,
    Dimension::FORCE,
    Dimension::MASS_FLOW,
    Dimension::VOLUME_FLOW,
    Dimension::CONDUCTANCE,
];

/// The same for a limit, rounded to the safe side.
fn limited(spelled: &SpelledNumber, worked: &Real, side: pair::Limit) -> String {
    worked_out(spelled, worked, &|value, places| pair::inward(value, places, side))
}

fn reworked(spelled: &SpelledNumber, worked: &Real) -> String {
    worked_out(spelled, worked, &|value, _| value.clone())
}

fn worked_out(
    spelled: &SpelledNumber,
    worked: &Real,
    rounded: &dyn Fn(&Rational, i32) -> Rational,
) -> String {
    let (Amount::Point(number) | Amount::Range(number, _)) = &spelled.figure.amount;
    let value = print::middle(worked).unwrap_or_else(Rational::zero);
    let places = print::telling(&value, print::places(number));
    spelled.with_number(&print::number(&rounded(&value, places), places))
}
