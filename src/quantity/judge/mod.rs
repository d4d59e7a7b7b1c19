//! The judge: what agrees with what, and the likely slip where something does not.
//!
//! [`dual`] sets the members of `A (B)` against each other, [`against`] sets a figure against a
//! computed value. Both compare exact numbers: a written figure stands for its rounding interval,
//! and a value whose error bound straddles an end is given the benefit of the doubt. The rules are
//! named R1 to R10 in the comments; `written` holds R1 and R7, `pair` R2 and R3, `computed` R4 to
//! R8, `likely` R9 and `scale` R10. The judge knows nothing of pages, readings or formulas.

mod computed;
mod likely;
mod pair;
mod print;
mod scale;
mod written;

pub(crate) use likely::TAKEN_OFF;

use super::{Amount, Computed, Conventions, Figure, Judgement, Kind, Quantity, Verdict};
use super::{Rational, Real, Reference, Unit};
use num_traits::Zero;
use written::WrittenLimits;

/// Judges a dual statement `A (B)`: whether the later figure is the conversion of the first.
///
/// Ranges are judged end by end and ± apart from the nominal value; the worst verdict wins. Bounds
/// must be rounded inward. A hedge in front of the pair does not widen the conversion. A bare
/// pressure counts from what the conventions declare, and where they do not from what its partner
/// does. `text` is the text that the spans of both figures point into.
#[must_use]
pub fn dual(text: &str, first: &Figure, later: &Figure, conv: &Conventions) -> Judgement {
    let judged = pair::judge(first, later, conv);
    match judged.verdict {
        Verdict::Disagree => likely::in_pair(text, first, later, conv).put_into(judged),
        _ => judged,
    }
}

/// Judges a stated figure against a computed value.
///
/// Agrees when the nominal value lies in what the figure stands for or allows; lenient when only
/// the worst case of the inputs does. A bare pressure where nothing is declared takes the
/// reference of the computed value if it then agrees, and is incomparable otherwise.
#[must_use]
pub fn against(text: &str, stated: &Figure, computed: &Computed, conv: &Conventions) -> Judgement {
    let judged = computed::judge(stated, computed, conv);
    match judged.verdict {
        Verdict::Disagree => likely::alone(text, stated, computed, conv).put_into(judged),
        _ => judged,
    }
}

/// The verdict of [`against`] without its words, for those who compare many and tell of few.
pub(crate) fn verdict(stated: &Figure, computed: &Computed, conv: &Conventions) -> Verdict {
    computed::verdict(stated, computed, conv)
}

/// The quantity that a figure states: its nominal value, the middle of a range. A bare pressure
/// takes the declared reference; "standard" air the declared state.
#[must_use]
pub fn quantity_of(figure: &Figure, conv: &Conventions) -> Quantity {
    let nominal = match &figure.amount {
        Amount::Point(number) => print::tame(number).value(),
        Amount::Range(first, second) => {
            let ends = print::tame(first).value() + print::tame(second).value();
            ends / Rational::from_integer(2.into())
        }
    };
    let pressure = figure.unit.is_pressure();
    Quantity {
        si: to_si(figure, &nominal),
        dimension: figure.unit.dimension,
        kind: scale::kind_of(figure, conv),
        reference: figure.reference.or(conv.bare_pressure).filter(|_| pressure),
    }
}

fn to_si(figure: &Figure, number: &Rational) -> Real {
    let number = Real::Exact(number.clone());
    match figure.kind {
        Kind::TemperatureDifference => figure.unit.span_to_si(&number),
        _ => figure.unit.to_si(&number),
    }
}

/// The SI interval that a figure stands for, in the sense of [`Quantity::si`]: its ± where one is
/// stated, the width of its hedge, and otherwise its rounding interval; ends of a range included.
/// Bounds are not open intervals here: they give the interval of the number itself.
#[must_use]
pub fn interval_of(figure: &Figure) -> (Rational, Rational) {
    let (first, second) = written::ends(&figure.amount, figure.unit);
    let second = second.unwrap_or_else(|| first.clone());
    let (low, high) = if second.value < first.value { (second, first) } else { (first, second) };
    let tolerance = written::half_width(figure).ok().flatten();
    let reach = |end: &written::Written| match figure.hedge {
        Some(_) => end.hedge_width(),
        None => end.half.clone(),
    };
    let ends = match &tolerance {
        Some(tolerance) => {
            [&low.value - &tolerance.down().value, &high.value + &tolerance.size.value]
        }
        None => [&low.value - reach(&low), &high.value + reach(&high)],
    };
    let [low, high] = ends.map(|end| to_si(figure, &end).bounds());
    // Only a factor that is not finite has no bounds, and the table holds none.
    let zero = || (Rational::zero(), Rational::zero());
    let (low, high) = (low.unwrap_or_else(zero), high.unwrap_or_else(zero));
    (low.0.min(high.0), low.1.max(high.1))
}

/// The number of `unit` that a quantity is, for a pressure counted from `reference`. Without one,
/// it counts from what the conventions declare, or else from what the quantity does.
///
/// # Errors
/// One plain line that says why the two cannot be compared: dimension, kind, reference of a
/// pressure or state of standard air.
pub fn convert(
    quantity: &Quantity,
    unit: &Unit,
    reference: Option<Reference>,
    conv: &Conventions,
) -> Result<Real, String> {
    scale::convert(quantity, unit, reference, conv)
}

/// A quantity told like another: counted from what that counts from, at its state of standard air.
#[derive(Debug, Clone)]
pub(crate) struct Likened {
    /// Its SI value.
    pub(crate) si: Real,
    /// By how much that value grows where the quantity's own grows by one.
    pub(crate) slope: f64,
}

/// `other` told like `quantity`, so that the two can be subtracted.
///
/// # Errors
/// One plain line that says why they cannot be compared, as for [`convert`].
pub(crate) fn likened(
    other: &Quantity,
    quantity: &Quantity,
    conv: &Conventions,
) -> Result<Likened, String> {
    let (from, to) =
        (scale::ScaleSide::of_quantity(other), scale::ScaleSide::of_quantity(quantity));
    let bridge = scale::bridge(&from, &to, conv, false)?;
    Ok(Likened { si: bridge.across(&other.si), slope: bridge.line().0 })
}

/// A judgement without further help.
fn plain(verdict: Verdict, reason: String) -> Judgement {
    Judgement { verdict, reason, works_out: None, likely: None, proposal: None }
}

/// A value with as many decimals as tell it from the ends of an interval.
fn show(value: &Real, places: i32, limits: &WrittenLimits) -> String {
    let ends: Vec<&Rational> = limits.low.iter().chain(&limits.high).collect();
    match print::middle(value) {
        Some(value) => print::number_apart(&value, places, &ends),
        None => format!("{:e}", value.to_f64()),
    }
}

/// An interval in words: "8.825 to 8.835", or its only end.
fn print_limits(limits: &WrittenLimits, places: i32) -> String {
    match (&limits.low, &limits.high) {
        (Some(low), Some(high)) if low == high => exactly(low, places),
        (Some(low), Some(high)) => format!("{} to {}", exactly(low, places), exactly(high, places)),
        (Some(end), None) | (None, Some(end)) => exactly(end, places),
        (None, None) => "anything".to_owned(),
    }
}

/// An end with as few decimals as show it exactly, from three fewer to one more than asked for.
fn exactly(end: &Rational, places: i32) -> String {
    let fits = |places: &i32| print::rounded(end, *places) == *end;
    let places = (places - 3..places + 2).find(fits).unwrap_or(places + 1).max(0);
    print::number(end, places)
}
