//! Arithmetic beyond the operators, and the conversions between pressures.

use super::sort::Sort;
use super::{CallArguments, Function, FunctionBody, needs};
use crate::formula::arithmetic::{self, Operand, combine, exact_root, powered, upright};
use crate::formula::compare::comparable;
use crate::formula::show::describe;
use crate::formula::tree::Operator;
use crate::formula::{FaultKind, FormulaFault, Value};
use crate::quantity::{Kind, Quantity, Real, Reference};

const SOURCE: &str = "arithmetic";
const AMBIENT: &str = "definition; the ambient pressure is the page's, 101.325 kPa unless declared";

const fn plain(
    name: &'static str,
    parameters: &'static [super::Parameter],
    doc: &'static str,
    range: &'static str,
    body: fn(&CallArguments<'_>) -> Result<Value, FormulaFault>,
) -> Function {
    Function {
        name,
        parameters,
        takes_more: false,
        result: Sort::Any,
        unit: "",
        doc,
        range,
        source: SOURCE,
        body: FunctionBody::Whole(body),
    }
}

const ONE: &[super::Parameter] = &[needs("x", Sort::Any)];
const TWO: &[super::Parameter] = &[needs("a", Sort::Any), needs("b", Sort::Any)];

/// The functions of this group.
pub(super) const FUNCTIONS: &[Function] = &[
    plain("ratio", TWO, "First over second, both of one kind.", "second not nought", ratio),
    plain("sqrt", ONE, "Square root, of the unit too.", "not below nought", root),
    plain("abs", ONE, "The value without its sign.", "any", absolute_value),
    Function {
        takes_more: true,
        ..plain("min", TWO, "The smaller of two or more values of one kind.", "any", |arguments| {
            extreme(arguments, false)
        })
    },
    Function {
        takes_more: true,
        ..plain("max", TWO, "The larger of two or more values of one kind.", "any", |arguments| {
            extreme(arguments, true)
        })
    },
    number("sin", &[needs("angle", Sort::Angle)], "Sine.", "any angle", |x| Ok(libm::sin(x))),
    number("cos", &[needs("angle", Sort::Angle)], "Cosine.", "any angle", |x| Ok(libm::cos(x))),
    number("tan", &[needs("angle", Sort::Angle)], "Tangent.", "not at 90°", |x| Ok(libm::tan(x))),
    number("ln", &[needs("x", Sort::Number)], "Natural logarithm.", "above nought", |x| {
        if x <= 0.0 {
            return Err("only numbers above nought have a logarithm".to_owned());
        }
        Ok(libm::log(x))
    }),
    number("exp", &[needs("x", Sort::Number)], "e to the power x.", "to about 700", |x| {
        Ok(libm::exp(x))
    }),
    Function {
        result: Sort::Number,
        unit: "1",
        ..plain("pi", &[], "π; may be written without parentheses.", "a constant", |_| {
            Ok(crate::formula::evaluate::pi())
        })
    },
    Function {
        source: AMBIENT,
        result: Sort::Pressure,
        ..plain(
            "absolute",
            &[needs("p", Sort::Any)],
            "A gauge pressure or vacuum counted from nought.",
            "not for pressure differences",
            |arguments| pressure(arguments, Reference::Absolute),
        )
    },
    Function {
        source: AMBIENT,
        result: Sort::Pressure,
        ..plain(
            "gauge",
            &[needs("p", Sort::Any)],
            "An absolute pressure or vacuum counted from the ambient pressure.",
            "not for pressure differences",
            |arguments| pressure(arguments, Reference::Gauge),
        )
    },
    Function {
        source: AMBIENT,
        ..plain(
            "above_ambient",
            &[needs("p", Sort::Any)],
            "How far a pressure is above the ambient, as a difference: what pushes on a wall with \
             the ambient behind it.",
            "not for pressure differences; negative below the ambient",
            |arguments| pressure(arguments, Reference::Difference),
        )
    },
    Function {
        result: Sort::Temperature,
        unit: "K",
        ..plain(
            "kelvin",
            &[needs("temperature", Sort::Temperature)],
            "A temperature as kelvins above absolute zero, so that it can be multiplied.",
            "any",
            |arguments| {
                let mut value = arguments.values[0].clone();
                value.quantity.kind = Kind::Plain;
                Ok(value)
            },
        )
    },
];

/// A smooth function of one number that gives a number.
const fn number(
    name: &'static str,
    parameters: &'static [super::Parameter],
    doc: &'static str,
    range: &'static str,
    body: fn(f64) -> Result<f64, String>,
) -> Function {
    Function {
        name,
        parameters,
        takes_more: false,
        result: Sort::Number,
        unit: "1",
        doc,
        range,
        source: SOURCE,
        body: FunctionBody::OfOne(body),
    }
}

fn operand<'a>(arguments: &'a CallArguments<'_>, at: usize) -> Operand<'a> {
    Operand { value: &arguments.values[at], node: &arguments.nodes[at] }
}

fn ratio(arguments: &CallArguments<'_>) -> Result<Value, FormulaFault> {
    let (a, b) = (operand(arguments, 0), operand(arguments, 1));
    if a.value.quantity.dimension != b.value.quantity.dimension {
        comparable((a.value, a.node), (b.value, b.node), a.node)
            .map_err(|fault| FormulaFault { span: arguments.span, ..fault })?;
    }
    arithmetic::apply(Operator::Divide, a, b, arguments.span)
}

fn root(arguments: &CallArguments<'_>) -> Result<Value, FormulaFault> {
    let value = &arguments.values[0];
    let quantity = &value.quantity;
    let fault = |kind, message: String| FormulaFault::new(kind, arguments.span, message);
    let said = || describe(value, &arguments.nodes[0]);
    let dimension = quantity.dimension.root(2).ok_or_else(|| {
        fault(FaultKind::Unlike, format!("the square root of {} has no unit", said()))
    })?;
    if quantity.si.to_f64() < 0.0 {
        return Err(fault(FaultKind::Range, format!("{} has no square root", said())));
    }
    let y = libm::sqrt(quantity.si.to_f64());
    if y == 0.0 && !value.sensitivities.is_empty() {
        let message = "the square root of nought has no uncertainty to first order";
        return Err(fault(FaultKind::Range, message.to_owned()));
    }
    let slope = if y == 0.0 { 0.0 } else { 0.5 / y };
    let si = exact_root(&quantity.si).unwrap_or_else(|| quantity.si.map(libm::sqrt, slope));
    let datum = value.datum.power(0.5, slope);
    let quantity = Quantity { si, dimension, kind: Kind::Plain, reference: None };
    let sensitivities = combine(&[(slope, &value.sensitivities)]);
    Ok(Value { quantity: powered(quantity, datum), sensitivities, datum })
}

fn absolute_value(arguments: &CallArguments<'_>) -> Result<Value, FormulaFault> {
    let value = &arguments.values[0];
    if 0.0 <= value.quantity.si.to_f64() {
        return Ok(value.clone());
    }
    arithmetic::negation(operand(arguments, 0), arguments.span)
}

fn extreme(arguments: &CallArguments<'_>, largest: bool) -> Result<Value, FormulaFault> {
    let (mut best, mut best_node) = (&arguments.values[0], &arguments.nodes[0]);
    for (value, node) in arguments.values.iter().zip(arguments.nodes).skip(1) {
        comparable((best, best_node), (value, node), node)
            .map_err(|fault| FormulaFault { span: arguments.span, ..fault })?;
        let size = |value: &Value| upright(value).quantity.si.to_f64();
        if (size(best) < size(value)) == largest && size(best) != size(value) {
            (best, best_node) = (value, node);
        }
    }
    Ok(best.clone())
}

/// A pressure counted from another nought.
fn pressure(arguments: &CallArguments<'_>, wanted: Reference) -> Result<Value, FormulaFault> {
    let absolute =
        super::call::absolute(&arguments.values[0], &arguments.nodes[0], arguments.context)?;
    if wanted == Reference::Absolute {
        return Ok(absolute);
    }
    let mut gauge = absolute;
    let ambient = Real::Exact(arguments.context.conventions.ambient.clone());
    gauge.quantity.si = gauge.quantity.si.sub(&ambient);
    Ok(gauge.counting_from(Some(wanted)))
}
