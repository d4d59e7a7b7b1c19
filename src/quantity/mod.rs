//! Quantities: units, numbers as written, figures, and what agrees with what.
//!
//! A [`Figure`] is what a writer stated, with the digits, bounds and hedges of the statement. A
//! [`Quantity`] is a value in SI with its dimension, kind and reference. Judging sets the one
//! against the other. This layer knows texts and spans, not pages, readings or formulas.

pub(crate) mod dimension;
pub mod exact;
pub mod judge;
pub(crate) mod kind;
pub(crate) mod machine;
pub mod number;
pub(crate) mod print;
pub mod reader;
pub(crate) mod small_terms;
pub mod units;
pub(crate) mod usual;

pub(crate) use dimension::Dimension;
pub use exact::{Rational, Real};
pub use kind::{AgreedScale, GasState, Kind, Reference};
pub use number::Number;
pub use units::Unit;

use crate::text::Span;
use num_traits::Signed;

/// What the folio or command line declares once: how to read what the writer leaves open.
#[derive(Debug, Clone, PartialEq)]
pub struct Conventions {
    /// What a pressure without a mark counts from; `None` where nothing is declared.
    pub bare_pressure: Option<Reference>,
    /// Ambient pressure, Pa absolute.
    pub ambient: Rational,
    /// Whether `2,5` is two and a half.
    pub decimal_comma: bool,
    /// The state meant by SCFM and "standard" litres; `None` where nothing is declared.
    pub standard_air: Option<GasState>,
    /// What "mil" means where it is not a thousandth of an inch.
    pub mil: Option<&'static Unit>,
}

impl Default for Conventions {
    /// Nothing declared; ambient 101.325 kPa (standard atmosphere, ISO 2533).
    fn default() -> Conventions {
        Conventions {
            bare_pressure: None,
            ambient: Rational::from(num_bigint::BigInt::from(101_325)),
            decimal_comma: false,
            standard_air: None,
            mil: None,
        }
    }
}

/// A value with its dimension, kind and reference.
#[derive(Debug, Clone, PartialEq)]
pub struct Quantity {
    /// Value in SI. A gauge pressure is stored as written (above ambient), not shifted. A vacuum
    /// is stored as the positive number of pascals below ambient. A temperature point is in K.
    pub si: Real,
    /// Its dimension.
    pub dimension: Dimension,
    pub(crate) kind: Kind,
    /// What a pressure counts from; `None` for other dimensions and where it is not declared.
    pub reference: Option<Reference>,
}

impl Quantity {
    /// What it lies below, where no thermometer or gauge could show it; `ambient` in Pa.
    pub(crate) fn lies_below(&self, ambient: f64) -> Option<&'static str> {
        let si = self.si.to_f64();
        match self.reference {
            Some(Reference::Absolute) => (si < 0.0).then_some("vacuum"),
            Some(Reference::Gauge) => (si < -ambient).then_some("vacuum"),
            Some(Reference::Vacuum) => (ambient < si).then_some("vacuum"),
            _ if self.kind == Kind::TemperaturePoint => (si < 0.0).then_some("absolute zero"),
            _ => None,
        }
    }
}

/// The values that a statement allows when it is not a plain number.
#[derive(Debug, Clone, PartialEq)]
pub enum Amount {
    /// One number.
    Point(Number),
    /// From one number to another, both as written.
    Range(Number, Number),
}

/// A stated ±, in the figure's own unit or another.
#[derive(Debug, Clone, PartialEq)]
pub struct Tolerance {
    /// Half-width as written, never negative; of limits that differ (`+0.1/−0.05`) the upper one.
    pub half_width: Number,
    /// The lower one of limits that differ, never negative.
    pub below: Option<Number>,
    /// Its unit where one of its own was written (`12 mm ± 0.001 in`, `8 bar ± 2 %`).
    pub unit: Option<&'static Unit>,
    /// Coverage factor where one was written (`± 0.02 mm (k=2)`): an expanded uncertainty.
    /// Without it the ± are limits.
    pub coverage: Option<Number>,
}

/// Which side a bound leaves open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bound {
    /// "at least", "≥", "no less than".
    AtLeast,
    /// "over", "more than", ">".
    Over,
    /// "at most", "up to", "≤", "no more than".
    AtMost,
    /// "under", "less than", "<".
    Under,
}

/// How firmly a figure is stated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hedge {
    /// "about", "roughly", "~": either side.
    About,
    /// "nearly", "almost", "just under": the true value is a little below.
    Nearly,
    /// "just over", "a little more than": the true value is a little above.
    JustOver,
}

/// How a figure sets two things against each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FigureComparison {
    /// One is so many times the other: "2.4 times", "twice", `7:4`, "half as wide".
    Times,
    /// The other is so many times the one: "smaller by a factor of 29".
    TimesLess,
    /// A part of a whole: "a third of the stroke", "79 % of the line".
    Part,
    /// More by so much: "4 m/s faster", "17 % more", "exceeds it by 71 N".
    More,
    /// Less by so much: "2 mm shorter", "12 % less".
    Less,
    /// They differ by so much, and which is the larger is not said: "8 % better", "5 mm apart".
    Apart,
}

/// A figure as it stands in a text.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Number and unit, without hedge and bound words; in bytes of the text it was read from.
    pub span: Span,
    /// The value as written.
    pub amount: Amount,
    /// Stated ±.
    pub tolerance: Option<Tolerance>,
    /// Bound.
    pub bound: Option<Bound>,
    /// Hedge.
    pub hedge: Option<Hedge>,
    /// Unit; the table's unit `1` for ratios and counts.
    pub unit: &'static Unit,
    /// Kind, after the words around it have settled what the unit leaves open.
    pub kind: Kind,
    /// Whether the kind is still only the usual one for the unit.
    pub kind_yields: bool,
    /// What a pressure counts from, where a mark or a word says so. Conventions are applied when
    /// judging, not here.
    pub reference: Option<Reference>,
    /// Figures that state one value in several units share a number.
    pub pair: Option<u32>,
    /// What it compares, where the words beside it say so.
    pub comparison: Option<FigureComparison>,
    /// For a count: the noun that is counted, as written.
    pub noun: Option<Span>,
}

impl Figure {
    /// What one of its ± comes to in its own unit: `± 2 %` is a share of the value, of a range of
    /// its larger end. `None` without ±, and where its unit does not fit.
    pub(crate) fn tolerance_scale(&self) -> Option<Real> {
        let unit = self.tolerance.as_ref()?.unit.unwrap_or(self.unit);
        if unit.dimension == self.unit.dimension {
            return unit.factor.div(&self.unit.factor);
        }
        let value = match &self.amount {
            Amount::Point(number) => number.value().abs(),
            Amount::Range(low, high) => low.value().abs().max(high.value().abs()),
        };
        (unit.dimension == Dimension::NONE).then(|| unit.factor.mul(&value.into()))
    }

    /// How far its ± lets the value lie above and below, in numbers of its own unit.
    pub(crate) fn sides(&self) -> Option<[Real; 2]> {
        let tolerance = self.tolerance.as_ref()?;
        let scale = self.tolerance_scale()?;
        let below = tolerance.below.as_ref().unwrap_or(&tolerance.half_width);
        Some([&tolerance.half_width, below].map(|side| scale.mul(&side.value().into())))
    }

    /// Whether its number lies below one.
    pub(crate) fn amount_is_below_one(&self) -> bool {
        let one = Number::integer(1).value();
        match &self.amount {
            Amount::Point(number) => number.value() < one,
            Amount::Range(low, high) => low.value() < one && high.value() < one,
        }
    }
}

/// Outcome of judging one statement.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// The statement stands.
    Agree,
    /// It stands if its rounding, or that of its inputs, is given the benefit of the doubt.
    Lenient,
    /// It does not stand.
    Disagree,
    /// There is nothing to compare: dimension, kind, reference or unit do not fit.
    Incomparable,
}

impl Verdict {
    /// The word used in JSON and on pages.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Agree => "agree",
            Verdict::Lenient => "lenient",
            Verdict::Disagree => "disagree",
            Verdict::Incomparable => "incomparable",
        }
    }
}

/// A verdict with its reason.
#[derive(Debug, Clone, PartialEq)]
pub struct Judgement {
    /// The verdict.
    pub verdict: Verdict,
    /// One line, lower case: which rule decided and with which numbers.
    pub reason: String,
    /// What it works out as, in the unit of the statement ("8.83 bar gauge").
    pub works_out: Option<String>,
    /// The likely slip in words ("digits swapped") when a single edit explains a disagreement.
    pub likely: Option<String>,
    /// The figure as it should be written, when exactly one single edit fits.
    pub proposal: Option<String>,
}

impl Judgement {
    /// That a statement stands, where nobody asks why.
    pub(crate) fn agreed() -> Judgement {
        Judgement {
            verdict: Verdict::Agree,
            reason: String::new(),
            works_out: None,
            likely: None,
            proposal: None,
        }
    }
}

/// A value worked out by a formula, with the range that the uncertainties of its inputs allow.
#[derive(Debug, Clone, PartialEq)]
pub struct Computed {
    /// Value at the nominal inputs.
    pub nominal: Quantity,
    /// Least SI value within the worst case of the inputs' limits.
    pub low: Real,
    /// Greatest SI value within the worst case of the inputs' limits.
    pub high: Real,
}
