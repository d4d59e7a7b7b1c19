//! Working a formula out.

use super::arithmetic::{self, Operand};
use super::compare;
use super::datum;
use super::functions;
use super::tree::{Formula, Literal, Node, NodeKind, Operator};
use super::{FaultKind, FormulaFault, Lookup, Outcome, Scope, Shift, Value, WithLiterals};
use crate::quantity::units::match_unit;
use crate::quantity::{Conventions, Dimension, Kind, Quantity, Real};
use crate::text::{Span, nearest};

/// What a node is worked out against.
#[derive(Clone, Copy)]
pub(super) struct Context<'a> {
    pub(super) scope: &'a dyn Scope,
    pub(super) conventions: &'a Conventions,
    pub(super) shift: &'a Shift,
}

/// Works a formula out at the nominal inputs.
///
/// # Errors
/// The first fault of names, units, kinds, references or ranges, with its place.
pub fn evaluate(
    formula: &Formula,
    scope: &dyn Scope,
    conventions: &Conventions,
) -> Result<Outcome, FormulaFault> {
    evaluate_at(formula, scope, conventions, &Shift::nominal())
}

/// Works a formula out with some inputs moved to an end of their limits. A scope whose names are
/// formulas themselves answers its look-ups with it.
///
/// # Errors
/// As [`evaluate`].
pub fn evaluate_at(
    formula: &Formula,
    scope: &dyn Scope,
    conventions: &Conventions,
    shift: &Shift,
) -> Result<Outcome, FormulaFault> {
    let scope = WithLiterals { formula, scope };
    let context = Context { scope: &scope, conventions, shift };
    if formula.is_comparison() {
        compare::truth(&formula.root, context).map(Outcome::Truth)
    } else {
        complete(&formula.root, context).map(Outcome::Value)
    }
}

/// The value of a whole formula or argument, whose pressures must be told by now.
pub(super) fn complete(node: &Node, context: Context<'_>) -> Result<Value, FormulaFault> {
    let value = value(node, context)?;
    datum::told(&value, node)?;
    possible(&value, node, context)?;
    Ok(value)
}

/// Refuses what no thermometer or gauge can show.
fn possible(value: &Value, node: &Node, context: Context<'_>) -> Result<(), FormulaFault> {
    let ambient = crate::quantity::exact::to_f64(&context.conventions.ambient);
    let below = value.quantity.lies_below(ambient);
    let Some(nought) = below else { return Ok(()) };
    let message = format!("{} lies below {nought}", super::show::describe(value, node));
    Err(FormulaFault::new(FaultKind::Range, node.span, message)
        .helping("look at its sign and at what it counts from"))
}

/// The value of a node that is no comparison. It asks itself and, for names, formulas that may
/// rest on a long chain of others: what is not on that way stands in functions of its own, to keep
/// the stack short.
pub(super) fn value(node: &Node, context: Context<'_>) -> Result<Value, FormulaFault> {
    match &node.kind {
        NodeKind::Literal(literal) => Ok(literal_value(literal, context)),
        NodeKind::Name(path) => named(path, node.span, context),
        NodeKind::Negate(inner) => negated(inner, node.span, context),
        NodeKind::Binary(operator, a, b) => {
            let left = value(a, context)?;
            with_second(*operator, (&left, a), b, node.span, context)
        }
        NodeKind::Call(name, at, arguments) => {
            functions::call(name, *at, arguments, node.span, context)
        }
        NodeKind::Text(_)
        | NodeKind::Compare(..)
        | NodeKind::Not(_)
        | NodeKind::And(..)
        | NodeKind::Or(..) => Err(no_number(node)),
    }
}

fn negated(inner: &Node, span: Span, context: Context<'_>) -> Result<Value, FormulaFault> {
    let value = value(inner, context)?;
    arithmetic::negation(Operand { value: &value, node: inner }, span)
}

fn with_second(
    operator: Operator,
    (left, a): (&Value, &Node),
    b: &Node,
    span: Span,
    context: Context<'_>,
) -> Result<Value, FormulaFault> {
    let right = value(b, context)?;
    let (left, right) = (Operand { value: left, node: a }, Operand { value: &right, node: b });
    arithmetic::apply(operator, left, right, span)
}

fn no_number(node: &Node) -> FormulaFault {
    if !matches!(node.kind, NodeKind::Text(_)) {
        let message = "a comparison stands where a number should stand";
        return FormulaFault::new(FaultKind::Text, node.span, message);
    }
    let message = "a quoted word stands where a number should stand";
    FormulaFault::new(FaultKind::Text, node.span, message)
        .helping("quoted words are arguments of ring_inside, ring_section, drill and the like")
}

fn literal_value(literal: &Literal, context: Context<'_>) -> Value {
    let mut quantity = literal.quantity.clone();
    if quantity.dimension == Dimension::PRESSURE && quantity.reference.is_none() {
        quantity.reference = context.conventions.bare_pressure;
    }
    let Some((id, input)) = literal.uncertainty else { return Value::certain(quantity) };
    let offset = context.shift.offset(id, input.limit);
    if offset != 0.0 {
        quantity.si = quantity.si.add(&Real::near(offset));
    }
    Value::input(quantity, id)
}

/// π.
pub(super) fn pi() -> Value {
    Value::certain(Quantity {
        si: Real::pi(),
        dimension: Dimension::NONE,
        kind: Kind::Ratio,
        reference: None,
    })
}

fn named(path: &[String], span: Span, context: Context<'_>) -> Result<Value, FormulaFault> {
    if path == ["pi"] || path == ["π"] {
        return Ok(pi());
    }
    let parts: Vec<&str> = path.iter().map(String::as_str).collect();
    let found = context.scope.lookup(&parts, context.shift);
    looked_up(found, path, span, context)
}

fn looked_up(
    found: Lookup,
    path: &[String],
    span: Span,
    context: Context<'_>,
) -> Result<Value, FormulaFault> {
    let name = path.join(".");
    let mut value = match found {
        Lookup::Value(value) => value,
        Lookup::Linear(value) => value.moved(context.scope, context.shift),
        Lookup::Unknown => return Err(unknown(&name, span, context.scope)),
        Lookup::Poisoned => {
            let message = format!("`{name}` has a fault of its own");
            return Err(FormulaFault::new(FaultKind::Poisoned, span, message));
        }
        Lookup::Undecided(needs) => {
            let message = format!("`{name}` is not known yet: {needs}");
            return Err(FormulaFault::new(FaultKind::Undecided, span, message));
        }
    };
    datum::name(&mut value);
    arithmetic::settled(value, span)
}

fn unknown(name: &str, span: Span, scope: &dyn Scope) -> FormulaFault {
    let fault = FormulaFault::new(FaultKind::Name, span, format!("there is no figure `{name}`"));
    if functions::find(name).is_some() {
        return FormulaFault::new(FaultKind::Name, span, format!("`{name}` is a function"))
            .helping(format!("write its arguments behind it: {}", functions::usage(name)));
    }
    let is_unit = match_unit(name).is_some_and(|(_, _, length)| length == name.len());
    if is_unit {
        let message = format!("the unit `{name}` stands without a number");
        return FormulaFault::new(FaultKind::Name, span, message).helping(format!(
            "write a unit without blanks, as in `2 N/mm`, or give it a number: `1 {name}`"
        ));
    }
    let names = scope.names();
    match nearest(name, names.iter().map(String::as_str)) {
        Some(close) => fault.helping(format!("did you mean `{close}`?")),
        None => fault,
    }
}
