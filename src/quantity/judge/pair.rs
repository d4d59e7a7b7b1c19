//! Dual statements, `A (B)`: is B the conversion of A? (R2, R3, R5, R6, R8)
//!
//! A is the original and B its conversion. What decides is where the exact conversion of A falls,
//! not whether two intervals overlap: overlap alone would pass 120 psi beside 8.4 bar. A hedge in
//! front of the pair says nothing about the conversion and is not looked at.

use super::print;
use super::scale::{Bridge, ScaleSide, bridge};
use super::written::{HalfWidth, Inside, Written, WrittenLimits, ends, half_width};
use crate::quantity::exact::decimal;
use crate::quantity::{
    Amount, Bound, Conventions, Figure, Judgement, Kind, Rational, Real, Verdict,
};
use num_traits::{Signed, Zero};

/// What decided about one number beside another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Rule {
    /// The exact conversion rounds to what is written.
    Nominal,
    /// It does when trailing zeros of the written integer are place holders.
    Loose,
    /// A fraction beside a decimal: the fraction is the trade size, and the decimal its value.
    TradeSize,
    /// A limit rounded to the safe side by less than one unit of the last digit.
    Inward,
    /// A limit rounded to nearest, but to the unsafe side.
    Outward,
    /// Only the other way round.
    Reverse,
    /// Only the rounding of both together makes them meet.
    Overlap,
    /// A single value that lies in the range beside it.
    WithinRange,
    /// The error of the conversion factor leaves it open.
    Undecided,
    /// None of these.
    Apart,
}

impl Rule {
    fn verdict(self) -> Verdict {
        match self {
            Rule::Nominal | Rule::Loose | Rule::TradeSize | Rule::Inward => Verdict::Agree,
            Rule::Apart => Verdict::Disagree,
            _ => Verdict::Lenient,
        }
    }
}

/// How finely the conversion is stated, where that misleads (R3).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Lint {
    OverPrecise,
    OverCoarse,
}

/// ScaleSide that a limit closes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Limit {
    Upper,
    Lower,
}

/// One number beside another.
struct Contest {
    what: &'static str,
    a: Written,
    b: Written,
    /// Whether they are sizes (±), which convert without offset.
    size: bool,
    limit: Option<Limit>,
}

struct WeighedPair {
    rule: Rule,
    lint: Option<Lint>,
}

impl WeighedPair {
    fn verdict(&self) -> Verdict {
        match (self.rule.verdict(), self.lint) {
            (Verdict::Agree, Some(_)) => Verdict::Lenient,
            (verdict, _) => verdict,
        }
    }
}

/// Judges a dual statement; does not look for the likely slip.
pub(super) fn judge(first: &Figure, later: &Figure, conv: &Conventions) -> Judgement {
    let judged = as_stated(first, later, conv);
    if judged.verdict != Verdict::Disagree || !is_temperature_kind_open(first, later) {
        return judged;
    }
    // "a rise of 20 K (36 °F)": a kelvin does not tell a point from a difference.
    let as_difference = |figure: &Figure| Figure {
        kind: Kind::TemperatureDifference,
        kind_yields: false,
        ..figure.clone()
    };
    let other = as_stated(&as_difference(first), &as_difference(later), conv);
    if other.verdict <= Verdict::Lenient { other } else { judged }
}

fn is_temperature_kind_open(first: &Figure, later: &Figure) -> bool {
    let open = |a: &Figure, b: &Figure| {
        a.kind == Kind::Plain && b.kind == Kind::TemperaturePoint && b.kind_yields
    };
    open(first, later) || open(later, first)
}

/// Whether the later figure is strictly the conversion of the first: what a proposal has to reach.
pub(super) fn agrees_over(bridge: &Bridge, first: &Figure, later: &Figure) -> bool {
    let Ok(contests) = contests(first, later, bridge) else { return false };
    contests.iter().all(|c| weigh(c, bridge).rule.verdict() == Verdict::Agree)
}

/// The bridge between the members.
pub(super) fn between(
    first: &Figure,
    later: &Figure,
    conv: &Conventions,
) -> Result<Bridge, String> {
    bridge(&ScaleSide::of_figure(first), &ScaleSide::of_figure(later), conv, true)
}

fn as_stated(first: &Figure, later: &Figure, conv: &Conventions) -> Judgement {
    let incomparable = |reason| super::plain(Verdict::Incomparable, reason);
    let bridge = match between(first, later, conv) {
        Ok(bridge) => bridge,
        Err(reason) => return incomparable(reason),
    };
    let contests = match contests(first, later, &bridge) {
        Ok(contests) => contests,
        Err(reason) => return incomparable(reason),
    };
    let mut worst: Option<(Verdict, String)> = None;
    let mut keep = |verdict: Verdict, reason: &dyn Fn() -> String| {
        if worst.as_ref().is_none_or(|(known, _)| *known < verdict) {
            worst = Some((verdict, reason()));
        }
    };
    for contest in &contests {
        let weighed = weigh(contest, &bridge);
        keep(weighed.verdict(), &|| {
            let reason = explain(contest, &weighed, first, later, &bridge);
            format!("{}{reason}", contest.what)
        });
    }
    if let Some(reason) = misplaced(first, later, &bridge) {
        keep(reason.0, &|| reason.1.to_owned());
    }
    let (verdict, reason) =
        worst.unwrap_or((Verdict::Incomparable, "there is nothing to compare".to_owned()));
    let works_out = works_out(first, later, &bridge);
    Judgement { works_out, ..super::plain(verdict, reason) }
}

/// What is wrong with the order of ends or the side of bounds.
fn misplaced(first: &Figure, later: &Figure, bridge: &Bridge) -> Option<(Verdict, &'static str)> {
    let (a, b) = (first.bound.map(limit_of), later.bound.map(limit_of));
    if let (Some(a), Some(b)) = (a, b)
        && (a == b) == bridge.reverses()
    {
        return Some((Verdict::Disagree, "the two bounds leave opposite sides open"));
    }
    let reversed = |figure: &Figure| match &figure.amount {
        Amount::Range(low, high) => print::tame(high).value() < print::tame(low).value(),
        Amount::Point(_) => false,
    };
    let any = reversed(first) || reversed(later);
    any.then_some((Verdict::Lenient, "the range runs from the larger end to the smaller"))
}

fn limit_of(bound: Bound) -> Limit {
    match bound {
        Bound::AtLeast | Bound::Over => Limit::Lower,
        Bound::AtMost | Bound::Under => Limit::Upper,
    }
}

/// The side on which the later member is a limit.
pub(super) fn limit(first: &Figure, later: &Figure, bridge: &Bridge) -> Option<Limit> {
    match (later.bound, first.bound) {
        (Some(bound), _) => Some(limit_of(bound)),
        (None, Some(bound)) => Some(match (limit_of(bound), bridge.reverses()) {
            (Limit::Upper, false) | (Limit::Lower, true) => Limit::Upper,
            _ => Limit::Lower,
        }),
        _ => None,
    }
}

fn contests(first: &Figure, later: &Figure, bridge: &Bridge) -> Result<Vec<Contest>, String> {
    let limit = limit(first, later, bridge);
    let value = |what, a, b| Contest { what, a, b, size: false, limit };
    let (a, b) = (ends(&first.amount, first.unit), ends(&later.amount, later.unit));
    let mut found = match (a, b) {
        ((a, None), (b, None)) => vec![value("", a, b)],
        ((low, Some(high)), (b_low, Some(b_high))) => {
            let (b_low, b_high) = if bridge.reverses() { (b_high, b_low) } else { (b_low, b_high) };
            vec![value("low end: ", low, b_low), value("high end: ", high, b_high)]
        }
        ((low, Some(high)), (b, None)) => {
            // The range as one wide number.
            vec![value("the range beside it: ", spread(low, high), b)]
        }
        ((a, None), (low, Some(high))) => {
            vec![value("the range beside it: ", a, spread(low, high))]
        }
    };
    if let (Some(a), Some(b)) = (half_width(first)?, half_width(later)?) {
        if a.below.is_some() || b.below.is_some() {
            let [a, b] = [&a, &b].map(|sides| HalfWidth {
                size: sides.down().clone(),
                below: None,
                relative: sides.relative,
            });
            found.push(tolerances(a, b, first, later));
        }
        found.push(tolerances(a, b, first, later));
    }
    Ok(found)
}

/// ± beside ±; shares of the value are compared as shares when both are.
fn tolerances(a: HalfWidth, b: HalfWidth, first: &Figure, later: &Figure) -> Contest {
    let share = |size: Written, figure: &Figure| {
        let (one, other) = ends(&figure.amount, figure.unit);
        let whole = other.map_or(one.value.abs(), |o| one.value.abs().max(o.value.abs()));
        let Written { number, value, half, loose } = size;
        if whole.is_zero() {
            return Written { number, value, half, loose };
        }
        let percent = Rational::from_integer(100.into()) / whole;
        Written { number, value: value * &percent, half: half * &percent, loose: loose * percent }
    };
    let both = a.relative && b.relative;
    let (a, b) = match both {
        true => (share(a.size, first), share(b.size, later)),
        false => (a.size, b.size),
    };
    let what = if both { "± as a share: " } else { "±: " };
    Contest { what, a, b, size: true, limit: None }
}

/// A range as one number whose loose reading is the whole range.
fn spread(low: Written, high: Written) -> Written {
    let two = Rational::from_integer(2.into());
    let half = (&high.value - &low.value).abs() / &two + &low.half;
    let value = (low.value + high.value) / two;
    Written { number: low.number, value, half: Rational::zero(), loose: half }
}

fn weigh(contest: &Contest, bridge: &Bridge) -> WeighedPair {
    let rule = rule(contest, bridge);
    let lint = match rule {
        Rule::Nominal | Rule::Loose | Rule::Inward if !contest.size => lint(contest, bridge),
        _ => None,
    };
    WeighedPair { rule, lint }
}

fn across(contest: &Contest, bridge: &Bridge, number: &Rational) -> Real {
    let number = Real::Exact(number.clone());
    match contest.what {
        "± as a share: " => number,
        _ if contest.size => bridge.span_across(&number),
        _ => bridge.across(&number),
    }
}

fn rule(contest: &Contest, bridge: &Bridge) -> Rule {
    let Contest { a, b, .. } = contest;
    let worked = across(contest, bridge, &a.value);
    if contest.what.starts_with("the range") {
        let ends = a.widest();
        let map = |end: Option<Rational>| {
            end.map_or_else(Real::zero, |end| across(contest, bridge, &end))
        };
        let met = b.widest().meets(&map(ends.low), &map(ends.high));
        return if met { Rule::WithinRange } else { Rule::Apart };
    }
    let back = || match contest.size {
        true => None,
        false => Some(bridge.back(&Real::Exact(b.value.clone()))),
    };
    let is_trade_size = b.is_fraction()
        && !a.is_fraction()
        && back().is_some_and(|back| a.strict().place(&back) == Inside::Yes);
    if is_trade_size {
        return Rule::TradeSize;
    }
    let (strict, loose) = (b.strict().place(&worked), b.widest().place(&worked));
    if let Some(limit) = contest.limit
        && let Some(rule) = limit_rule(limit, b, &worked, loose)
    {
        return rule;
    }
    match (strict, loose) {
        (Inside::Yes, _) => return Rule::Nominal,
        (_, Inside::Yes) => return Rule::Loose,
        (Inside::Open, _) | (_, Inside::Open) => return Rule::Undecided,
        _ => {}
    }
    // A size has no offset, so that the way back is a comparison of ratios.
    let reverse = match back() {
        Some(back) => a.strict().place(&back) != Inside::No && !a.is_fraction(),
        None => size_reverse(contest, bridge),
    };
    if reverse {
        return Rule::Reverse;
    }
    // A fraction given first is exact.
    let wide = if a.is_fraction() {
        WrittenLimits::around(&a.value, &Rational::zero())
    } else {
        a.widest()
    };
    let map =
        |end: Option<Rational>| end.map_or_else(Real::zero, |end| across(contest, bridge, &end));
    match b.widest().meets(&map(wide.low), &map(wide.high)) {
        true => Rule::Overlap,
        false => Rule::Apart,
    }
}

fn size_reverse(contest: &Contest, bridge: &Bridge) -> bool {
    let Contest { a, b, .. } = contest;
    let low = across(contest, bridge, &(&a.value - &a.half));
    let high = across(contest, bridge, &(&a.value + &a.half));
    WrittenLimits::around(&b.value, &Rational::zero()).meets(&low, &high)
}

/// A maximum must be rounded down, a minimum up. (R6; ASME A112.18.1/CSA B125.1 annex A, as read
/// second-hand: converted limits must not break the original ones.)
fn limit_rule(limit: Limit, b: &Written, worked: &Real, loose: Inside) -> Option<Rule> {
    let value = print::middle(worked)?;
    let inward = match limit {
        Limit::Upper => value - &b.value,
        Limit::Lower => &b.value - value,
    };
    let step = &b.loose * Rational::from_integer(2.into());
    if inward.is_zero() {
        Some(Rule::Nominal)
    } else if inward.is_positive() {
        (inward <= step).then_some(Rule::Inward)
    } else {
        (loose == Inside::Yes).then_some(Rule::Outward)
    }
}

/// Relative rounding error of the conversion against that of the original (R3; NIST SP 811 B.7.2).
fn lint(contest: &Contest, bridge: &Bridge) -> Option<Lint> {
    let Contest { a, b, .. } = contest;
    // Shares of a value make no sense on a scale with an agreed zero.
    if bridge.kind == Kind::TemperaturePoint || a.value.is_zero() || b.value.is_zero() {
        return None;
    }
    let share = |half: &Rational, of: &Written| half / of.value.abs();
    let times = |n: i64, error: Rational| error * Rational::from_integer(n.into());
    let per_mille = |n: i64| Rational::new(n.into(), 1000.into());
    // A fraction given first is exact; trailing zeros of an integer count as it suits the writer.
    let [fine_a, coarse_a] = match a.is_fraction() {
        true => [Rational::zero(), Rational::zero()],
        false => [share(&a.half, a), share(&a.loose, a)],
    };
    let fine_b = share(if b.is_fraction() { &b.loose } else { &b.half }, b);
    if times(3, coarse_a) < fine_b && per_mille(50) < fine_b {
        Some(Lint::OverCoarse)
    } else if times(20, share(&b.loose, b)) < fine_a
        && per_mille(5) <= fine_a
        && !is_exact_and_short(contest, bridge)
    {
        Some(Lint::OverPrecise)
    } else {
        None
    }
}

/// `1 in (25.4 mm)`, `1.5 in (38.1 mm)`: exact to the last of at most three digits. Nobody is
/// misled by these, and they are everywhere; the rule is ours.
fn is_exact_and_short(contest: &Contest, bridge: &Bridge) -> bool {
    let worked = across(contest, bridge, &contest.a.value);
    contest.b.number.significant <= 3 && worked.exact() == Some(&contest.b.value)
}

fn explain(
    contest: &Contest,
    weighed: &WeighedPair,
    first: &Figure,
    later: &Figure,
    bridge: &Bridge,
) -> String {
    let marked = bridge.from_reference != bridge.to_reference;
    let mark = |reference| if marked { reference } else { None };
    let share = contest.what == "± as a share: ";
    let left = |text: &str| match share {
        true => format!("{text}{}%", print::NBSP),
        false => print::with_unit(text, first.unit, mark(bridge.from_reference)),
    };
    let right = |text: &str| match share {
        true => format!("{text}{}%", print::NBSP),
        false => print::with_unit(text, later.unit, mark(bridge.to_reference)),
    };
    let Contest { a, b, .. } = contest;
    let worked = across(contest, bridge, &a.value);
    let loosely = matches!(weighed.rule, Rule::Loose | Rule::Overlap | Rule::WithinRange);
    let stands = if loosely { b.widest() } else { b.strict() };
    let span = super::print_limits(&stands, b.places() + 1);
    let shown = super::show(&worked, b.places() + 1, &stands);
    let fact = format!("{} is {}", left(&a.text()), right(&shown));
    let note = bridge.note.as_ref().map(|n| format!(" ({n})")).unwrap_or_default();
    let why = match weighed.rule {
        Rule::Nominal | Rule::Apart => format!("{} stands for {span}", b.text()),
        Rule::Loose => format!("{} with zeros as place holders stands for {span}", b.text()),
        Rule::TradeSize => {
            let back = print::middle(&bridge.back(&b.value.clone().into())).unwrap_or_default();
            let back = super::exactly(&back, a.places() + 1);
            format!("{} is {}, which rounds to {}", right(&b.text()), left(&back), a.text())
        }
        Rule::Inward => format!("{} is the limit rounded to the safe side", b.text()),
        Rule::Outward => format!("{} is the limit rounded beyond it", b.text()),
        Rule::Reverse => {
            let reach = super::print_limits(&a.strict(), a.places() + 1);
            let exact = format!("{} lies within {}", right(&b.text()), left(&reach));
            format!("{exact} only the other way round; the second looks like the original")
        }
        Rule::Overlap => {
            format!("the two meet only within the rounding of both; {} stands for {span}", b.text())
        }
        Rule::WithinRange => "a single value beside a range that holds it".to_owned(),
        Rule::Undecided => format!("too close to the ends of {span} to tell"),
    };
    let lint = match weighed.lint {
        Some(Lint::OverPrecise) => ", but states far more digits than the first figure has",
        Some(Lint::OverCoarse) => ", but is far coarser than the first figure",
        None => "",
    };
    format!("{fact}{note}; {why}{lint}")
}

/// The first figure in the unit and style of the later one; with more digits where it would look
/// the same although it is not.
fn works_out(first: &Figure, later: &Figure, bridge: &Bridge) -> Option<String> {
    let limit = limit(first, later, bridge);
    let plain = restated(first, later, bridge, &|value, beside| {
        let value = print::middle(value)?;
        let places = print::telling(&value, beside.places());
        Some(print::number(
            &limit.map_or(value.clone(), |side| inward(&value, places, side)),
            places,
        ))
    })?;
    let as_written = restated(later, later, &same(later)?, &|_, beside| Some(beside.text()))?;
    if plain.0 != as_written.0 {
        return Some(plain.1);
    }
    let apart = restated(first, later, bridge, &|value, beside| {
        let value = print::middle(value)?;
        Some(print::number_apart(&value, beside.places(), &[&beside.value]))
    })?;
    Some(apart.1)
}

/// A converted limit rounded to the safe side. (R6)
pub(super) fn inward(value: &Rational, places: i32, side: Limit) -> Rational {
    let near = print::rounded(value, places);
    let step = decimal(1, -places);
    match side {
        Limit::Upper if *value < near => near - step,
        Limit::Lower if near < *value => near + step,
        _ => near,
    }
}

/// The bridge from a figure to itself.
fn same(figure: &Figure) -> Option<Bridge> {
    between(figure, figure, &Conventions::default()).ok()
}

/// The numbers of the first figure, each printed beside its counterpart; alone and with unit.
fn restated(
    first: &Figure,
    later: &Figure,
    bridge: &Bridge,
    shown: &dyn Fn(&Real, &Written) -> Option<String>,
) -> Option<(String, String)> {
    let (a, b) = (ends(&first.amount, first.unit), ends(&later.amount, later.unit));
    let across = |a: &Written| bridge.across(&Real::Exact(a.value.clone()));
    let mut numbers = shown(&across(&a.0), &b.0)?;
    if let Some(high) = &a.1 {
        let high = shown(&across(high), b.1.as_ref().unwrap_or(&b.0))?;
        numbers = format!("{numbers}–{high}");
    }
    let mark = later.reference.or(first.reference.and(bridge.to_reference));
    let mut text = print::with_unit(&numbers, later.unit, mark);
    if let (Some(a), Some(b)) = (half_width(first).ok()?, half_width(later).ok()?)
        && !b.relative
    {
        let side =
            |a: &Written, b: &Written| shown(&bridge.span_across(&Real::Exact(a.value.clone())), b);
        let size = side(&a.size, &b.size)?;
        let size = if a.below.is_some() || b.below.is_some() {
            format!(" +{size}/\u{2212}{}", side(a.down(), b.down())?)
        } else {
            format!(" ± {size}")
        };
        text = print::with_unit(&format!("{text}{size}"), later.unit, None);
        numbers.push_str(&size);
    }
    Some((numbers, text))
}
