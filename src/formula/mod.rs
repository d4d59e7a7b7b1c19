//! Formulas: arithmetic with units, kinds and references, trade functions, and what the
//! uncertainties of the inputs make of the result.
//!
//! [`parse()`] turns text into a [`Formula`]; [`evaluate()`] works it out against a [`Scope`],
//! which is where names come from. A [`Value`] carries its derivatives by every input, keyed by
//! input, so that an input used twice is one input: `a - a` has no uncertainty. [`worst_case`]
//! gives the range within the limits of the inputs, [`standard_uncertainty`] the first-order
//! uncertainty of the GUM.
//!
//! This layer knows neither pages nor readings nor engines: whatever has a name arrives through the
//! scope, already worked out.

mod account;
mod arithmetic;
mod compare;
pub mod convert;
mod datum;
mod evaluate;
pub(crate) mod functions;
mod literal;
mod parse;
mod scan;
pub(crate) mod show;
#[cfg(test)]
mod tests;
mod tree;
mod uncertainty;

pub(crate) use account::{account, account_in_words};
pub use evaluate::{evaluate, evaluate_at};
pub use parse::{parse, parse_with};
pub(crate) use tree::Formula;
pub(crate) use uncertainty::standard_uncertainty_of_sum;
pub use uncertainty::{WithLiterals, standard_uncertainty, worst_case};

use crate::quantity::{Quantity, Real};
use crate::text::Span;

/// One uncertain input of a calculation. The order is that of the parts of a sum of contributions.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum InputId {
    /// What the scope gives a value to, such as a reading; the scope numbers them.
    Named(u32),
    /// A tabulated size of the ring with this dash number.
    Ring(u16, RingSize),
    /// A number written with a ± inside a formula: its byte there.
    Literal(u32),
    /// A number written with a ± in a drawing; the scope numbers them.
    Drawn(u32),
    /// How much heat the walls exchange with the air: none at the low end, all it takes to keep
    /// the air at its temperature at the high end. All rooms of a formula share it.
    WallHeat,
}

/// A tabulated size of a ring that has a tolerance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RingSize {
    /// Inside diameter.
    Inside,
    /// Section.
    Section,
}

impl InputId {
    /// The identity of the uncertain literal at this byte of a formula.
    pub(crate) fn literal(at: usize) -> InputId {
        InputId::Literal(u32::try_from(at).unwrap_or(u32::MAX))
    }
}

/// How uncertain an input is, in SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    /// Standard uncertainty u: a/√3 for limits ± a, U/k for an expanded uncertainty U.
    pub(crate) standard_uncertainty: f64,
    /// Half-width of the interval that the worst case allows, ≥ 0.
    pub limit: f64,
}

impl Input {
    /// Bare ± : limits within which the value lies, all places alike (GUM 4.3.7: u = a/√3).
    #[must_use]
    pub fn limits(half_width: f64) -> Input {
        let half_width = half_width.abs();
        Input { standard_uncertainty: half_width / libm::sqrt(3.0), limit: half_width }
    }

    /// Limits that differ above and below the nominal value. The standard uncertainty is that of
    /// the whole width, all places alike (GUM 4.3.8: u² = (b₊ + b₋)²/12); the worst case takes
    /// the wider side both ways, which allows too much rather than too little.
    pub(crate) fn deviations(above: f64, below: f64) -> Input {
        let (above, below) = (above.abs(), below.abs());
        Input { standard_uncertainty: (above + below) / libm::sqrt(12.0), limit: above.max(below) }
    }

    /// An expanded uncertainty with its coverage factor `k` > 0 (GUM 6.2.1: u = U/k).
    pub(crate) fn expanded(half_width: f64, k: f64) -> Input {
        let half_width = half_width.abs();
        Input { standard_uncertainty: half_width / k, limit: half_width }
    }
}

/// Which end of its limits an input is moved to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ShiftSide {
    /// Nominal value less the limit.
    Low,
    /// Nominal value plus the limit.
    High,
}

/// Inputs moved to an end of their limits; the others stay nominal. Empty: all nominal.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Shift {
    moved: Vec<(InputId, ShiftSide)>,
}

impl Shift {
    /// Every input at its nominal value.
    pub(crate) fn nominal() -> Shift {
        Shift::default()
    }

    /// The same shift with one input moved.
    pub(crate) fn with(mut self, input: InputId, side: ShiftSide) -> Shift {
        match self.moved.binary_search_by_key(&input, |(id, _)| *id) {
            Ok(at) => self.moved[at].1 = side,
            Err(at) => self.moved.insert(at, (input, side)),
        }
        self
    }

    /// Where an input stands; `None` for its nominal value.
    #[must_use]
    pub fn side(&self, input: InputId) -> Option<ShiftSide> {
        let at = self.moved.binary_search_by_key(&input, |(id, _)| *id).ok()?;
        Some(self.moved[at].1)
    }

    /// Distance from the nominal value that an input with this limit is moved by.
    pub(crate) fn offset(&self, input: InputId, limit: f64) -> f64 {
        match self.side(input) {
            None => 0.0,
            Some(ShiftSide::Low) => -limit,
            Some(ShiftSide::High) => limit,
        }
    }

    /// Whether nothing is moved.
    pub(crate) fn is_nominal(&self) -> bool {
        self.moved.is_empty()
    }
}

/// A quantity with its derivatives by the uncertain inputs it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct Value {
    /// The quantity.
    pub quantity: Quantity,
    /// ∂(SI value)/∂(SI value of the input), sorted by input, each input once.
    pub sensitivities: Vec<(InputId, f64)>,
    /// What the pressures in it count from.
    pub(crate) datum: datum::Datum,
}

impl Value {
    /// A value that rests on no uncertain input.
    pub(crate) fn certain(quantity: Quantity) -> Value {
        Value { datum: datum::Datum::of(&quantity), quantity, sensitivities: Vec::new() }
    }

    /// The same number of a pressure, counted from something else.
    pub(crate) fn counting_from(self, reference: Option<crate::quantity::Reference>) -> Value {
        let quantity = Quantity { reference, ..self.quantity };
        Value { sensitivities: self.sensitivities, ..Value::certain(quantity) }
    }

    /// The value as its sensitivities have it where inputs are shifted.
    pub(crate) fn moved(mut self, scope: &dyn Scope, shift: &Shift) -> Value {
        let parts = self.sensitivities.iter();
        let offset: f64 = parts
            .map(|(id, slope)| slope * shift.offset(*id, uncertainty::input(scope, *id).limit))
            .sum();
        if offset != 0.0 {
            self.quantity.si = self.quantity.si.add(&Real::near(offset));
        }
        self
    }

    /// A value that is itself an uncertain input.
    pub(crate) fn input(quantity: Quantity, id: InputId) -> Value {
        Value { sensitivities: vec![(id, 1.0)], ..Value::certain(quantity) }
    }
}

/// What a scope knows about a name.
#[derive(Debug, Clone, PartialEq)]
pub enum Lookup {
    /// Its value, at the shift asked for.
    Value(Value),
    /// Its value at the nominal inputs, from what took too long to work out to be asked once more
    /// for every shift: the sensitivities tell what a shift makes of it.
    Linear(Value),
    /// No such name.
    Unknown,
    /// The name exists and is itself at fault, which has been told elsewhere.
    Poisoned,
    /// The name exists and has no value yet: what it needs.
    Undecided(String),
}

/// Where names come from. The name `pi` and the names of the functions are taken.
pub trait Scope {
    /// The value of a dotted name (`["hazel", "metering_bore"]`) with its inputs shifted.
    fn lookup(&self, path: &[&str], at: &Shift) -> Lookup;
    /// How uncertain an input is.
    fn input(&self, id: InputId) -> Input;
    /// Correlation coefficient of two different inputs, −1 to 1.
    fn correlation(&self, a: InputId, b: InputId) -> f64;
    /// Every name, dotted, for "did you mean".
    fn names(&self) -> Vec<String>;
}

/// A scope without names.
#[derive(Debug, Clone, Copy, Default)]
pub struct NoNames;

impl Scope for NoNames {
    fn lookup(&self, _: &[&str], _: &Shift) -> Lookup {
        Lookup::Unknown
    }
    fn input(&self, _: InputId) -> Input {
        Input::limits(0.0)
    }
    fn correlation(&self, _: InputId, _: InputId) -> f64 {
        0.0
    }
    fn names(&self) -> Vec<String> {
        Vec::new()
    }
}

/// How a formula is written, as the page or command line declares.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Syntax {
    /// Whether `2,5` is two and a half; arguments are then parted by a comma with a blank or by a
    /// semicolon.
    pub decimal_comma: bool,
    /// Whether numbers may carry a ± of their own (`0.90 mm ± 0.02 mm (k=2)`). For calculations
    /// that stand alone; on pages a ± belongs to a reading.
    pub uncertain_literals: bool,
}

/// What sort of fault a formula has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum FaultKind {
    /// The text is no formula.
    Text,
    /// A name or function that does not exist.
    Name,
    /// Dimensions, kinds or references that do not fit.
    Unlike,
    /// A number outside the range in which a function or operation has a result.
    Range,
    /// It rests on a name whose own fault has been told elsewhere: keep silent.
    Poisoned,
    /// It rests on a name that has no value yet.
    Undecided,
}

/// Why a formula has no result, and where in its text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FormulaFault {
    pub(crate) kind: FaultKind,
    /// Bytes of the formula's text.
    pub span: Span,
    /// One line, lower case, no full stop.
    pub(crate) message: String,
    /// What to write or do.
    pub(crate) help: Option<String>,
}

impl FormulaFault {
    /// A fault without advice.
    pub(crate) fn new(kind: FaultKind, span: Span, message: impl Into<String>) -> FormulaFault {
        FormulaFault { kind, span, message: message.into(), help: None }
    }

    /// Adds what to write or do.
    pub(crate) fn helping(mut self, help: impl Into<String>) -> FormulaFault {
        self.help = Some(help.into());
        self
    }
}

/// Whether a comparison would still come out the same within the worst case of its inputs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Margin {
    /// It would.
    Certain,
    /// Somewhere within the limits of the inputs it would not.
    WithinUncertainty,
}

/// Outcome of a comparison.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Truth {
    /// It holds at the nominal inputs.
    True(Margin),
    /// It does not hold at the nominal inputs.
    False(Margin),
    /// It cannot be told; what it needs.
    Undecided(String),
}

/// What a formula works out as.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    /// A value.
    Value(Value),
    /// The truth of a comparison.
    Truth(Truth),
}
