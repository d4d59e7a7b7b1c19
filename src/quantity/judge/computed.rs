//! A stated figure beside a computed value. (R4 to R8)
//!
//! The figure allows an interval: that of its rounding, of its ±, of its bound, hedge or range.
//! The nominal result in it agrees; if only the worst case of the inputs reaches it, that is
//! lenient.

use super::print;
use super::scale::{Bridge, ScaleSide, bridge};
use super::written::{Inside, Written, WrittenLimits, ends, half_width};
use crate::quantity::small_terms::sum;
use crate::quantity::{
    Amount, Bound, Computed, Conventions, Figure, Hedge, Judgement, Quantity, Rational, Real,
    Verdict,
};
use num_traits::{Signed, Zero};

/// What a figure allows a computed value to be.
pub(super) struct Allowance {
    /// Agrees.
    strict: WrittenLimits,
    /// Lenient.
    loose: WrittenLimits,
    /// Whether the end of `strict` does not belong to it ("over", "under").
    excluded: Option<Rational>,
    /// What the figure stands for, in words: "stands for", "allows up to".
    words: &'static str,
    /// Whether the ends of a range were written in the wrong order.
    reversed: bool,
}

/// How a figure and a computed value stand to each other.
struct Weighed {
    bridge: Bridge,
    allowance: Allowance,
    /// The computed value in the figure's own unit.
    nominal: Real,
    verdict: Verdict,
    how: &'static str,
}

/// Judges a figure against a computed value; does not look for the likely slip.
pub(super) fn judge(stated: &Figure, computed: &Computed, conv: &Conventions) -> Judgement {
    match weighed(stated, computed, conv) {
        Err(reason) => super::plain(Verdict::Incomparable, reason),
        Ok(weighed) => {
            let reason = explain(stated, &weighed);
            let works_out = works_out(stated, &computed.nominal, &weighed.nominal, &weighed.bridge);
            Judgement { works_out, ..super::plain(weighed.verdict, reason) }
        }
    }
}

/// The verdict of [`judge`]; to say why costs several times as much.
pub(super) fn verdict(stated: &Figure, computed: &Computed, conv: &Conventions) -> Verdict {
    weighed(stated, computed, conv).map_or(Verdict::Incomparable, |weighed| weighed.verdict)
}

/// The error says why the two cannot be compared.
fn weighed(stated: &Figure, computed: &Computed, conv: &Conventions) -> Result<Weighed, String> {
    let bridge = between(stated, &computed.nominal, conv)?;
    let allowance = allowance(stated)?;
    let nominal = bridge.across(&computed.nominal.si);
    if nominal.bounds().is_none() {
        return Err("the computed value is not a finite number".to_owned());
    }
    let (verdict, how) = weigh(&allowance, &nominal, computed, &bridge);
    match bridge.borrowed {
        Some(open) if verdict == Verdict::Disagree => Err(open.to_owned()),
        _ => Ok(Weighed { bridge, allowance, nominal, verdict, how }),
    }
}

/// Whether a value is what a figure would be written for: it rounds to the number itself, in spite
/// of a hedge or ±, and keeps the bound.
pub(super) fn is_written_for(stated: &Figure, nominal: &Real) -> bool {
    let bare = Figure { hedge: None, bound: None, tolerance: None, ..stated.clone() };
    let keeps = |stated: &Figure| {
        allowance(stated).is_ok_and(|allowance| {
            let at_end = allowance.excluded.as_ref().is_some_and(|e| nominal.exact() == Some(e));
            allowance.strict.place(nominal) == Inside::Yes && !at_end
        })
    };
    // Beside a ± no zero is a place holder.
    let (number, second) = ends(&stated.amount, stated.unit);
    let is_fine = stated.tolerance.is_none()
        || second.is_some()
        || number.strict().place(nominal) == Inside::Yes;
    is_fine && keeps(&bare) && (stated.bound.is_none() || keeps(stated))
}

/// Whether a nominal value in the figure's own unit lies strictly in what the figure allows.
pub(super) fn allows(stated: &Figure, nominal: &Real) -> bool {
    allowance(stated).is_ok_and(|allowance| allowance.strict.place(nominal) == Inside::Yes)
}

/// The bridge from the computed value to the figure's unit.
pub(super) fn between(
    stated: &Figure,
    nominal: &Quantity,
    conv: &Conventions,
) -> Result<Bridge, String> {
    bridge(&ScaleSide::of_quantity(nominal), &ScaleSide::of_figure(stated), conv, false)
}

fn weigh(
    allowance: &Allowance,
    nominal: &Real,
    computed: &Computed,
    bridge: &Bridge,
) -> (Verdict, &'static str) {
    let excluded = allowance.excluded.as_ref();
    let at_end = excluded.is_some_and(|end| nominal.exact() == Some(end));
    match allowance.strict.place(nominal) {
        Inside::Yes if at_end => return (Verdict::Lenient, ", exactly the bound itself"),
        Inside::Yes if allowance.reversed => {
            return (Verdict::Lenient, ", but the range runs from the larger end to the smaller");
        }
        Inside::Yes => return (Verdict::Agree, ""),
        Inside::Open => return (Verdict::Lenient, ", too close to its end to tell"),
        Inside::No => {}
    }
    if allowance.loose.place(nominal) != Inside::No {
        return (Verdict::Lenient, ", met only after rounding");
    }
    let (low, high) = (bridge.across(&computed.low), bridge.across(&computed.high));
    if low.bounds().is_none() || high.bounds().is_none() {
        return (Verdict::Lenient, ", but the inputs leave it without limit");
    }
    if allowance.loose.meets(&low, &high) {
        return (Verdict::Lenient, ", met only within the uncertainty of the inputs");
    }
    (Verdict::Disagree, "")
}

fn allowance(figure: &Figure) -> Result<Allowance, String> {
    let (first, second) = ends(&figure.amount, figure.unit);
    let reversed = second.as_ref().is_some_and(|second| second.value < first.value);
    let (low, high) = match second {
        None => (first.clone(), first),
        Some(second) if reversed => (second, first),
        Some(second) => (first, second),
    };
    let plain = Allowance {
        strict: WrittenLimits::new(sum(&low.value, &-&low.half), sum(&high.value, &high.half)),
        loose: WrittenLimits::new(sum(&low.value, &-&low.loose), sum(&high.value, &high.loose)),
        excluded: None,
        words: "stands for",
        reversed,
    };
    if let Some(bound) = figure.bound {
        return Ok(bounded(bound, &low, &high, plain));
    }
    if let Some(tolerance) = half_width(figure)? {
        // E29 rounding method: the result is rounded to the last place of the ± first.
        let (down, up) = (tolerance.down(), &tolerance.size);
        let finest = || up.half.clone().min(down.half.clone());
        let rounding = if tolerance.relative { low.half.clone() } else { finest() };
        let strict = WrittenLimits::new(&low.value - &down.value, &high.value + &up.value)
            .widened(&rounding);
        return Ok(Allowance { loose: strict.clone(), strict, words: "allows", ..plain });
    }
    if let Some(hedge) = figure.hedge {
        return Ok(hedged(hedge, &low, &high, plain));
    }
    // Trailing zeros of an integer may be place holders: that agrees too. Half a part of a
    // fraction is only lenient.
    let is_decimal = !low.is_fraction() && !high.is_fraction();
    let strict = if is_decimal { plain.loose.clone() } else { plain.strict.clone() };
    Ok(Allowance { strict, ..plain })
}

/// Bounds by the absolute method (R6); met only after rounding is lenient.
fn bounded(bound: Bound, low: &Written, high: &Written, plain: Allowance) -> Allowance {
    let (upper, words) = match bound {
        Bound::AtMost => (true, "allows at most"),
        Bound::Under => (true, "allows less than"),
        Bound::AtLeast => (false, "allows at least"),
        Bound::Over => (false, "allows more than"),
    };
    let end = if upper { &high.value } else { &low.value };
    let excluded = matches!(bound, Bound::Over | Bound::Under).then(|| end.clone());
    let open = |limits: WrittenLimits| match upper {
        true => WrittenLimits { low: None, ..limits },
        false => WrittenLimits { high: None, ..limits },
    };
    let strict = open(WrittenLimits::around(end, &Rational::zero()));
    // A limit is no rounded figure: 190 minutes are not "under three hours", though they round to
    // three. Only what is lost in the last digits of a fine one is let pass; the hundredth is ours.
    let written = if upper { high } else { low };
    let hundredth = end.abs() * Rational::new(1.into(), 100.into());
    let loose = open(WrittenLimits::around(end, &written.half.clone().min(hundredth)));
    Allowance { strict, loose, excluded, words, reversed: plain.reversed }
}

/// Hedges (R7): either side, or the side that the word names.
fn hedged(hedge: Hedge, low: &Written, high: &Written, plain: Allowance) -> Allowance {
    let (below, above) = (low.hedge_width(), high.hedge_width());
    let wide = WrittenLimits::new(&low.value - &below, &high.value + &above);
    // "Nearly −5" is nearer to nought than −5.
    let is_smaller = match hedge {
        Hedge::About => {
            return Allowance { loose: wide.clone(), strict: wide, words: "allows", ..plain };
        }
        Hedge::Nearly => !low.value.is_negative(),
        Hedge::JustOver => low.value.is_negative(),
    };
    let (strict, loose) = match is_smaller {
        true => (
            WrittenLimits { low: wide.low.clone(), high: Some(high.value.clone()) },
            WrittenLimits { low: wide.low, high: plain.loose.high.clone() },
        ),
        false => (
            WrittenLimits { low: Some(low.value.clone()), high: wide.high.clone() },
            WrittenLimits { low: plain.loose.low.clone(), high: wide.high },
        ),
    };
    Allowance { strict, loose, words: "allows", ..plain }
}

fn explain(stated: &Figure, weighed: &Weighed) -> String {
    let Weighed { bridge, allowance, nominal, how, .. } = weighed;
    let (first, second) = ends(&stated.amount, stated.unit);
    let places = second.as_ref().map_or(first.places(), |s| s.places().max(first.places()));
    let written = match &second {
        None => first.text(),
        Some(second) => format!("{}–{}", first.text(), second.text()),
    };
    let reference = stated.reference.or(match bridge.from_reference == bridge.to_reference {
        true => None,
        false => bridge.to_reference,
    });
    let shown = super::show(nominal, places + 1, &allowance.strict);
    let shown = print::with_unit(&shown, stated.unit, reference);
    let hedge = match stated.hedge {
        None => "",
        Some(Hedge::About) => "about ",
        Some(Hedge::Nearly) => "nearly ",
        Some(Hedge::JustOver) => "just over ",
    };
    let plus_minus = match (&stated.tolerance, stated.bound) {
        (Some(tolerance), None) => print::plus_minus(tolerance),
        _ => String::new(),
    };
    let note = bridge.note.as_ref().map(|n| format!(" ({n})")).unwrap_or_default();
    let span = super::print_limits(&allowance.strict, places + 1);
    let words = allowance.words;
    format!("it works out as {shown}{note}; {hedge}{written}{plus_minus} {words} {span}{how}")
}

fn works_out(
    stated: &Figure,
    computed: &Quantity,
    nominal: &Real,
    bridge: &Bridge,
) -> Option<String> {
    let (first, second) = ends(&stated.amount, stated.unit);
    let places = second.as_ref().map_or(first.places(), |s| s.places().max(first.places()));
    let value = print::middle(nominal)?;
    let apart: Vec<&Rational> =
        if matches!(stated.amount, Amount::Point(_)) { vec![&first.value] } else { Vec::new() };
    let shown = print::number_apart(&value, places, &apart);
    let mark = stated.reference.or(computed.reference.and(bridge.to_reference));
    Some(print::with_unit(&shown, stated.unit, mark))
}
