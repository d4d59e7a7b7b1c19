//! The trade functions: what they take, what comes out, where they hold and where they come from.
//!
//! Every function is a row of data ([`all`]), so that the published reference cannot drift from
//! what is worked out. Closed forms are written as formulas of this very language: they stay exact
//! where the arithmetic is, and their derivatives come for free. The rest are plain functions of SI
//! numbers, differentiated numerically.

mod air;
mod call;
mod flow;
mod gas;
mod plain;
mod quadrature;
mod rings;
mod shapes;
mod shot;
mod sort;
mod springs;
mod vessel;

pub(super) use call::call;
pub(crate) use gas::Surroundings;
pub(crate) use sort::Sort;

use super::evaluate::Context;
use super::tree::Node;
use super::{FormulaFault, Value};
use crate::text::Span;

/// One parameter of a function.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Parameter {
    /// Name, as the documentation shows it.
    pub(crate) name: &'static str,
    /// What it must be.
    pub(crate) sort: Sort,
    /// SI value where it is left out; `None` where it must be given.
    pub(crate) default: Option<f64>,
}

/// A formula in SI numbers, or why its result is beyond it.
pub(super) type ClosedForm = fn(&[f64], &Surroundings) -> Result<f64, String>;

/// How a function works its result out.
#[derive(Clone, Copy)]
pub(super) enum FunctionBody {
    /// A formula of the parameters (pressures absolute, temperatures in kelvin) and of `ambient`
    /// and `standard_pressure`.
    Formula(&'static str),
    /// The same, where arguments (in SI) may be such that it does not hold: why.
    Within(fn(&[f64]) -> Result<(), &'static str>, &'static str),
    /// A smooth function of SI numbers; the message of a range fault.
    Smooth(ClosedForm),
    /// Two smooth functions that bound the truth: without heat from the walls, and with all that
    /// keeps the air at its temperature. The value lies in the middle; the ends are its ±.
    TwoEnded([ClosedForm; 2]),
    /// A smooth function of one number.
    OfOne(fn(f64) -> Result<f64, String>),
    /// On whole values, with their kinds and references.
    Whole(fn(&CallArguments<'_>) -> Result<Value, FormulaFault>),
}

/// The arguments of a call of a [`FunctionBody::Whole`] function.
pub(super) struct CallArguments<'a> {
    pub(super) nodes: &'a [Node],
    pub(super) values: Vec<Value>,
    pub(super) span: Span,
    pub(super) context: Context<'a>,
}

/// A trade function.
#[derive(Clone, Copy)]
pub(crate) struct Function {
    pub(crate) name: &'static str,
    /// Parameters in order; those with a default come last.
    pub(crate) parameters: &'static [Parameter],
    /// Whether the last parameter may be given again and again.
    pub(crate) takes_more: bool,
    pub(crate) result: Sort,
    /// UCUM code of the unit its result is usually told in; empty where it follows the arguments.
    pub(crate) unit: &'static str,
    /// One sentence: what it works out.
    pub(crate) doc: &'static str,
    pub(crate) range: &'static str,
    /// Where it comes from.
    pub(crate) source: &'static str,
    pub(super) body: FunctionBody,
}

impl std::fmt::Debug for Function {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}", self.usage())
    }
}

impl Function {
    /// `vent_time(volume, area, from, to, [cd], [temperature])`
    pub(crate) fn usage(&self) -> String {
        let mut parameters: Vec<String> = self
            .parameters
            .iter()
            .map(|parameter| match parameter.default {
                Some(_) => format!("[{}]", parameter.name),
                None => parameter.name.to_owned(),
            })
            .collect();
        if self.takes_more {
            parameters.push("…".to_owned());
        }
        format!("{}({})", self.name, parameters.join(", "))
    }

    /// The closed form, where the function is one, in the formula language.
    pub(crate) fn closed_form(&self) -> Option<&'static str> {
        match self.body {
            FunctionBody::Formula(text) | FunctionBody::Within(_, text) => Some(text),
            _ => None,
        }
    }
}

/// Every function, in the order of the reference.
pub(crate) fn all() -> impl Iterator<Item = &'static Function> {
    let groups: [&[Function]; 8] = [
        plain::FUNCTIONS,
        shapes::FUNCTIONS,
        flow::FUNCTIONS,
        vessel::FUNCTIONS,
        shot::FUNCTIONS,
        springs::FUNCTIONS,
        air::FUNCTIONS,
        rings::FUNCTIONS,
    ];
    groups.into_iter().flatten()
}

/// The function of this name.
pub(crate) fn find(name: &str) -> Option<&'static Function> {
    all().find(|function| function.name == name)
}

/// How the function of this name is called; empty for an unknown one.
pub(crate) fn usage(name: &str) -> String {
    find(name).map_or_else(String::new, Function::usage)
}

/// A parameter that must be given.
const fn needs(name: &'static str, sort: Sort) -> Parameter {
    Parameter { name, sort, default: None }
}

/// A parameter that may be left out.
const fn may(name: &'static str, sort: Sort, default: f64) -> Parameter {
    Parameter { name, sort, default: Some(default) }
}

/// Discharge coefficient: 1, the ideal nozzle, unless given.
const CD: Parameter = may("cd", Sort::Discharge, 1.0);
/// Temperature upstream: 20 °C unless given.
const TEMPERATURE: Parameter = may("temperature", Sort::Temperature, gas::STANDARD_TEMPERATURE);
