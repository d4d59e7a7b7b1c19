//! Whether two statements can be compared, and the way from the numbers of one unit to those of
//! the other.
//!
//! Every unit, kind and reference becomes a [`Scale`]: an exact straight line from the number to a
//! common ground (SI; pressures above ambient; standard air as litres ANR). Two scales make a
//! [`Bridge`]. What cannot be bridged is incomparable (R10), with the reason in words.

use crate::quantity::exact::{parse_decimal, to_f64};
use crate::quantity::{
    Conventions, Dimension, Figure, GasState, Kind, Quantity, Rational, Real, Reference, Unit,
};
use num_traits::{One, Zero};
use std::fmt;

/// One side of a comparison, before it is settled what it leaves open.
#[derive(Debug, Clone)]
pub(super) struct ScaleSide<'a> {
    /// Unit; `None` for a plain SI value.
    pub(crate) unit: Option<&'a Unit>,
    pub(crate) dimension: Dimension,
    pub(crate) kind: Kind,
    /// Whether the kind gives way to the other side's.
    pub(crate) yields: bool,
    /// Pressure reference, where a mark says so.
    pub(crate) reference: Option<Reference>,
}

impl<'a> ScaleSide<'a> {
    pub(super) fn of_figure(figure: &Figure) -> ScaleSide<'static> {
        ScaleSide {
            unit: Some(figure.unit),
            dimension: figure.unit.dimension,
            kind: figure.kind,
            yields: figure.kind_yields,
            reference: figure.reference,
        }
    }

    pub(super) fn of_quantity(quantity: &Quantity) -> ScaleSide<'static> {
        ScaleSide {
            unit: None,
            dimension: quantity.dimension,
            kind: quantity.kind,
            yields: false,
            reference: quantity.reference,
        }
    }

    fn of_unit(unit: &'a Unit, reference: Option<Reference>) -> ScaleSide<'a> {
        ScaleSide {
            unit: Some(unit),
            dimension: unit.dimension,
            kind: unit.kind,
            yields: unit.kind_yields,
            reference,
        }
    }
}

/// `common ground = ±(factor × number) + offset`.
#[derive(Debug, Clone)]
struct Scale {
    factor: Real,
    offset: Rational,
    flips: bool,
}

impl Scale {
    fn new(
        side: &ScaleSide,
        kind: Kind,
        reference: Option<Reference>,
        ambient: &Rational,
    ) -> Scale {
        let mut factor = side.unit.map_or_else(one, |unit| unit.factor.clone());
        let mut offset = match side.unit {
            Some(unit) if kind != Kind::TemperatureDifference => unit.offset.clone(),
            _ => Rational::zero(),
        };
        if let Kind::StandardAir(GasState::Normal) = kind {
            factor = factor.mul(&normal_in_anr().into());
        }
        if reference == Some(Reference::Absolute) {
            offset -= ambient;
        }
        Scale { factor, offset, flips: reference == Some(Reference::Vacuum) }
    }

    fn up(&self, number: &Real) -> Real {
        let scaled = self.span_up(number);
        let scaled = if self.flips { scaled.neg() } else { scaled };
        if self.offset.is_zero() { scaled } else { scaled.add(&self.offset.clone().into()) }
    }

    fn down(&self, ground: &Real) -> Real {
        let shifted = match self.offset.is_zero() {
            true => ground.clone(),
            false => ground.sub(&self.offset.clone().into()),
        };
        self.span_down(&if self.flips { shifted.neg() } else { shifted })
    }

    fn line(&self) -> (f64, f64) {
        let factor = self.factor.to_f64();
        (if self.flips { -factor } else { factor }, to_f64(&self.offset))
    }

    fn span_up(&self, number: &Real) -> Real {
        number.mul(&self.factor)
    }

    fn span_down(&self, ground: &Real) -> Real {
        // Factors in the table are never zero.
        ground.div(&self.factor).unwrap_or_else(Real::zero)
    }
}

fn one() -> Real {
    Real::Exact(Rational::one())
}

/// Litres at 100 kPa and 20 °C that one normal litre (101.325 kPa, 0 °C) takes up, dry, by pV/T:
/// 1.08744.
fn normal_in_anr() -> Rational {
    let kelvin = |text: &str| parse_decimal(text).unwrap_or_else(Rational::one);
    let pressures = Rational::new(101_325.into(), 100_000.into());
    pressures * kelvin("293.15") / kelvin("273.15")
}

/// The exact way from numbers of one side to numbers of the other.
#[derive(Debug, Clone)]
pub(super) struct Bridge {
    from: Scale,
    to: Scale,
    /// Kind that both sides were settled to have.
    pub(crate) kind: Kind,
    /// Reference that the left side was settled to have.
    pub(crate) from_reference: Option<Reference>,
    /// Reference that the right side was settled to have.
    pub(crate) to_reference: Option<Reference>,
    /// Whether a reference or state was only borrowed from the other side: what it is, in words.
    pub(crate) borrowed: Option<&'static str>,
    /// What the reason should say about the conversion.
    pub(crate) note: Option<Note>,
}

/// What a conversion rests on beside the factors of the units; put into words only when told.
#[derive(Debug, Clone)]
pub(super) enum Note {
    /// Two states of standard air.
    States,
    /// Two references of pressure; the ambient pressure, Pa.
    Ambient(Rational),
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Note::States => f.write_str("by pV/T, dry: 1 Nl is 1.08744 l at 100 kPa, 20 °C"),
            Note::Ambient(ambient) => {
                let kilo =
                    super::print::number(&(ambient / Rational::from_integer(1000.into())), 3);
                write!(f, "with an ambient of {kilo} kPa")
            }
        }
    }
}

impl Bridge {
    /// The number on the right that a number on the left is.
    pub(super) fn across(&self, number: &Real) -> Real {
        self.to.down(&self.from.up(number))
    }

    /// The way across as a binary straight line: slope and intercept.
    pub(super) fn line(&self) -> (f64, f64) {
        let ((slope, offset), (to_slope, to_offset)) = (self.from.line(), self.to.line());
        (slope / to_slope, (offset - to_offset) / to_slope)
    }

    /// The number on the left that a number on the right is.
    pub(super) fn back(&self, number: &Real) -> Real {
        self.from.down(&self.to.up(number))
    }

    /// The size on the right that a size (difference, ±) on the left is.
    pub(super) fn span_across(&self, size: &Real) -> Real {
        self.to.span_down(&self.from.span_up(size))
    }

    /// Whether more on the left is less on the right (vacuum beside another reference).
    pub(super) fn reverses(&self) -> bool {
        self.from.flips != self.to.flips
    }
}

/// Settles both sides and builds the bridge. The error says why they cannot be compared.
///
/// `mutual` is set inside a dual statement: both members state one value, so that one may lend
/// the other its reference or state of air without a word.
pub(super) fn bridge(
    from: &ScaleSide,
    to: &ScaleSide,
    conv: &Conventions,
    mutual: bool,
) -> Result<Bridge, String> {
    if from.dimension != to.dimension {
        return Err(other_dimension(from, to));
    }
    let (from_kind, to_kind, air_borrowed) = kinds(from, to, conv, mutual)?;
    let (from_reference, to_reference, borrowed) = if from.dimension == Dimension::PRESSURE {
        references(from.reference, to.reference, conv)?
    } else {
        (None, None, false)
    };
    let from = Scale::new(from, from_kind, from_reference, &conv.ambient);
    let to = Scale::new(to, to_kind, to_reference, &conv.ambient);
    let borrowed = match (mutual, borrowed, air_borrowed) {
        (false, true, _) => Some("pressure reference not declared"),
        (false, _, true) => Some("standard flow state not declared"),
        _ => None,
    };
    let states = from_kind != to_kind && matches!(from_kind, Kind::StandardAir(_));
    let shifts = from_reference != to_reference;
    let note = if states {
        Some(Note::States)
    } else if shifts {
        Some(Note::Ambient(conv.ambient.clone()))
    } else {
        None
    };
    Ok(Bridge { from, to, kind: to_kind, from_reference, to_reference, borrowed, note })
}

fn other_dimension(from: &ScaleSide, to: &ScaleSide) -> String {
    let bare = |side: &ScaleSide| side.dimension == Dimension::NONE && side.kind != Kind::Angle;
    match (bare(from), bare(to)) {
        (_, true) => format!("unit missing: {} is expected", article(&from.dimension.name())),
        (true, _) => format!(
            "{} stands beside a plain number: is a unit missing?",
            article(&to.dimension.name())
        ),
        _ => {
            let (to, from) = (to.dimension.name(), from.dimension.name());
            format!("{} is not {}", article(&to), article(&from))
        }
    }
}

pub(super) fn article(noun: &str) -> String {
    match noun.chars().next() {
        Some('a' | 'e' | 'i' | 'o' | 'u') => format!("an {noun}"),
        _ => format!("a {noun}"),
    }
}

/// Kinds of both sides once they have given way to each other, and whether a state of air was
/// borrowed.
fn kinds(
    from: &ScaleSide,
    to: &ScaleSide,
    conv: &Conventions,
    mutual: bool,
) -> Result<(Kind, Kind, bool), String> {
    let (a, b) = (declared_state(from.kind, conv), declared_state(to.kind, conv));
    if matches!(a, Kind::StandardAir(_)) || matches!(b, Kind::StandardAir(_)) {
        return air(a, b, mutual);
    }
    let common = match (a, b) {
        _ if a == b => Some(a),
        (Kind::Mark(_) | Kind::FlowCoefficient, _) | (_, Kind::Mark(_) | Kind::FlowCoefficient) => {
            None
        }
        (Kind::Plain, _) => Some(b),
        (_, Kind::Plain) => Some(a),
        (Kind::Ratio | Kind::Count, Kind::Ratio | Kind::Count) => Some(b),
        _ if to.yields => Some(a),
        _ if from.yields => Some(b),
        _ => None,
    };
    let word = |kind: Kind| article(kind.word().unwrap_or("number"));
    common.map(|kind| (kind, kind, false)).ok_or_else(|| format!("{} is not {}", word(b), word(a)))
}

fn declared_state(kind: Kind, conv: &Conventions) -> Kind {
    match (kind, conv.standard_air) {
        (Kind::StandardAir(GasState::Undeclared), Some(state)) => Kind::StandardAir(state),
        _ => kind,
    }
}

fn air(a: Kind, b: Kind, mutual: bool) -> Result<(Kind, Kind, bool), String> {
    let open = Kind::StandardAir(GasState::Undeclared);
    let not_declared = || "standard flow state not declared".to_owned();
    match (a, b) {
        _ if a == b => Ok((a, b, false)),
        _ if a == open || b == open => Err(not_declared()),
        (Kind::StandardAir(_), Kind::StandardAir(_)) => Ok((a, b, false)),
        (Kind::StandardAir(_), _) => Ok((a, a, true)),
        (_, Kind::StandardAir(_)) if mutual => Ok((b, b, true)),
        _ => Err("air told at a reference state is not a plain volume".to_owned()),
    }
}

/// References of both sides, and whether one was borrowed from the other.
#[allow(clippy::type_complexity)]
fn references(
    from: Option<Reference>,
    to: Option<Reference>,
    conv: &Conventions,
) -> Result<(Option<Reference>, Option<Reference>, bool), String> {
    // A convention tells gauge from absolute; a bare pressure beside a difference or a vacuum is
    // another of the same.
    let relative =
        |partner| matches!(partner, Some(Reference::Difference) | Some(Reference::Vacuum));
    let settle = |own: Option<Reference>, partner: Option<Reference>| {
        own.or(if relative(partner) { partner } else { conv.bare_pressure })
    };
    match (settle(from, to), settle(to, from)) {
        (Some(a), Some(b)) if (a == Reference::Difference) != (b == Reference::Difference) => {
            let name = |r: Reference| match r {
                Reference::Difference => "a pressure difference".to_owned(),
                Reference::Vacuum => "a vacuum".to_owned(),
                _ => format!("{} pressure", article(r.word())),
            };
            Err(format!("{} is not {}", name(b), name(a)))
        }
        (Some(a), None) => Ok((Some(a), Some(a), true)),
        (None, Some(b)) => Ok((Some(b), Some(b), true)),
        (a, b) => Ok((a, b, false)),
    }
}

/// Kind of a figure, with the state of air that the conventions declare.
pub(super) fn kind_of(figure: &Figure, conv: &Conventions) -> Kind {
    declared_state(figure.kind, conv)
}

/// The number of `unit` that a quantity is. See [`super::convert`].
pub(super) fn convert(
    quantity: &Quantity,
    unit: &Unit,
    reference: Option<Reference>,
    conv: &Conventions,
) -> Result<Real, String> {
    let sides = (ScaleSide::of_quantity(quantity), ScaleSide::of_unit(unit, reference));
    let bridge = bridge(&sides.0, &sides.1, conv, false)?;
    match bridge.borrowed {
        // A target that leaves it open takes what the quantity has; not the other way round.
        Some(open) if quantity.reference.is_none() && reference.is_some() => Err(open.to_owned()),
        _ => Ok(bridge.across(&quantity.si)),
    }
}
