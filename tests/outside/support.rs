//! Formulas worked out and compared; a bench of named inputs with correlations.

use gaugebook::formula::convert::{Target, convert};
use gaugebook::formula::{
    Input, InputId, Lookup, NoNames, Outcome, Scope, Shift, ShiftSide, Syntax, Value, evaluate,
    parse_with, standard_uncertainty,
};
use gaugebook::quantity::{Conventions, Real};
use std::collections::BTreeMap;

const SYNTAX: Syntax = Syntax { decimal_comma: false, uncertain_literals: true };

/// A formula worked out against a scope, under an ambient pressure in pascals.
pub(crate) fn value_in(text: &str, scope: &dyn Scope, ambient: i64) -> Value {
    let formula = parse_with(text, SYNTAX).unwrap_or_else(|faults| panic!("{text}: {faults:?}"));
    match evaluate(&formula, scope, &under(ambient)) {
        Ok(Outcome::Value(value)) => value,
        other => panic!("{text}: {other:?}"),
    }
}

fn under(ambient: i64) -> Conventions {
    Conventions {
        ambient: num_rational::BigRational::from_integer(ambient.into()),
        ..Conventions::default()
    }
}

/// A formula without names as a number of a unit, ambient 101.325 kPa.
pub(crate) fn number(text: &str, unit: &str) -> f64 {
    number_under(text, unit, 101_325)
}

/// A formula without names as a number of a unit.
pub(crate) fn number_under(text: &str, unit: &str, ambient: i64) -> f64 {
    told(&value_in(text, &NoNames, ambient), unit)
}

/// A value as a number of a unit.
pub(crate) fn told(value: &Value, unit: &str) -> f64 {
    let target = Target::parse(unit).expect(unit);
    let converted = convert(&value.quantity, &target, &Conventions::default());
    converted.unwrap_or_else(|why| panic!("{why}")).number.to_f64()
}

/// Fails unless `found` lies within a relative tolerance of `expected`.
#[track_caller]
pub(crate) fn close(found: f64, expected: f64, tolerance: f64) {
    let off = (found / expected - 1.0).abs();
    assert!(off <= tolerance, "found {found}, expected {expected}, off by {off:e}");
}

/// Fails unless a formula comes out as so many of a unit.
#[track_caller]
pub(crate) fn comes_out(text: &str, unit: &str, expected: f64, tolerance: f64) {
    let found = number(text, unit);
    let off = (found / expected - 1.0).abs();
    assert!(off <= tolerance, "{text} = {found} {unit}, expected {expected}, off by {off:e}");
}

/// Named inputs with ± and correlations.
#[derive(Default)]
pub(crate) struct Bench {
    inputs: Vec<(String, Value, Input)>,
    correlations: BTreeMap<(usize, usize), f64>,
}

impl Bench {
    /// Adds an input as it would be written: `3.000 g ± 0.010 g (k=1)`.
    pub(crate) fn with(mut self, name: &str, figure: &str) -> Bench {
        let formula = parse_with(figure, SYNTAX).unwrap_or_else(|faults| panic!("{faults:?}"));
        let input =
            formula.literal_inputs().first().map_or(Input::limits(0.0), |(_, input)| *input);
        let mut value = value_in(figure, &NoNames, 101_325);
        value.sensitivities =
            vec![(InputId::Named(u32::try_from(self.inputs.len()).unwrap()), 1.0)];
        self.inputs.push((name.to_owned(), value, input));
        self
    }

    /// Declares a correlation coefficient.
    pub(crate) fn correlated(mut self, a: &str, b: &str, coefficient: f64) -> Bench {
        let id = |name: &str| self.inputs.iter().position(|(known, ..)| known == name).unwrap();
        let (a, b) = (id(a), id(b));
        self.correlations.insert((a.min(b), a.max(b)), coefficient);
        self
    }

    /// A formula of the inputs.
    pub(crate) fn value(&self, text: &str) -> Value {
        value_in(text, self, 101_325)
    }

    /// Its standard uncertainty in SI.
    pub(crate) fn uncertainty(&self, text: &str) -> f64 {
        standard_uncertainty(&self.value(text), self)
    }
}

impl Scope for Bench {
    fn lookup(&self, path: &[&str], at: &Shift) -> Lookup {
        let name = path.join(".");
        let Some((_, value, input)) = self.inputs.iter().find(|(known, ..)| *known == name) else {
            return Lookup::Unknown;
        };
        let mut value = value.clone();
        let offset = match at.side(value.sensitivities[0].0) {
            None => return Lookup::Value(value),
            Some(ShiftSide::Low) => -input.limit,
            Some(ShiftSide::High) => input.limit,
        };
        value.quantity.si = value.quantity.si.add(&Real::near(offset));
        Lookup::Value(value)
    }
    fn input(&self, id: InputId) -> Input {
        self.inputs[place(id)].2
    }
    fn correlation(&self, a: InputId, b: InputId) -> f64 {
        let (a, b) = (place(a), place(b));
        let key = (a.min(b), a.max(b));
        self.correlations.get(&key).copied().unwrap_or(0.0)
    }
    fn names(&self) -> Vec<String> {
        self.inputs.iter().map(|(name, ..)| name.clone()).collect()
    }
}

fn place(id: InputId) -> usize {
    match id {
        InputId::Named(number) => number as usize,
        InputId::Ring(..) | InputId::Literal(_) | InputId::Drawn(_) | InputId::WallHeat => {
            panic!("no input of this bench: {id:?}")
        }
    }
}
