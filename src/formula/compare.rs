//! Comparisons: true, false or undecided, and whether the limits of the inputs could turn them.

use super::arithmetic::{combine, kind_help, kinds_compare, upright};
use super::evaluate::{Context, complete};
use super::show::describe;
use super::tree::{Comparison, Node, NodeKind};
use super::uncertainty::range;
use super::{FaultKind, FormulaFault, Margin, Shift, Truth, Value};
use crate::quantity::{Kind, Quantity, Real, Reference};
use std::cmp::Ordering;

/// The truth of a comparison node.
pub(super) fn truth(node: &Node, context: Context<'_>) -> Result<Truth, FormulaFault> {
    match &node.kind {
        NodeKind::Compare(comparison, a, b) => compared(*comparison, a, b, node, context),
        NodeKind::Not(inner) => Ok(turned(truth(inner, context)?)),
        NodeKind::And(a, b) => Ok(both(truth(a, context)?, truth(b, context)?)),
        NodeKind::Or(a, b) => {
            Ok(turned(both(turned(truth(a, context)?), turned(truth(b, context)?))))
        }
        _ => Err(FormulaFault::new(
            FaultKind::Text,
            node.span,
            "a number stands where a comparison should stand",
        )),
    }
}

fn turned(truth: Truth) -> Truth {
    match truth {
        Truth::True(margin) => Truth::False(margin),
        Truth::False(margin) => Truth::True(margin),
        undecided => undecided,
    }
}

fn both(a: Truth, b: Truth) -> Truth {
    match (a, b) {
        // One certain "no" is enough.
        (Truth::False(a), Truth::False(b)) => Truth::False(a.min(b)),
        (Truth::False(margin), _) | (_, Truth::False(margin)) => Truth::False(margin),
        (Truth::Undecided(reason), _) | (_, Truth::Undecided(reason)) => Truth::Undecided(reason),
        (Truth::True(a), Truth::True(b)) => Truth::True(a.max(b)),
    }
}

fn compared(
    comparison: Comparison,
    a: &Node,
    b: &Node,
    node: &Node,
    context: Context<'_>,
) -> Result<Truth, FormulaFault> {
    let difference = |shift: &Shift| {
        let at = Context { shift, ..context };
        let (left, right) = (complete(a, at)?, complete(b, at)?);
        comparable((&left, a), (&right, b), node)?;
        Ok(less(&left, &right))
    };
    let found = match range(&difference, context.scope) {
        Err(fault) if fault.kind == FaultKind::Undecided => {
            return Ok(Truth::Undecided(fault.message));
        }
        other => other?,
    };
    let Some(nominal) = ordering(&found.nominal.quantity.si) else {
        return Ok(match comparison {
            // Closer than binary arithmetic can tell is equal.
            Comparison::Equal => Truth::True(Margin::WithinUncertainty),
            _ => Truth::Undecided("the two sides are too close to be told apart".to_owned()),
        });
    };
    let holds = |ordering| match comparison {
        Comparison::Less => ordering == Ordering::Less,
        Comparison::AtMost => ordering != Ordering::Greater,
        Comparison::Greater => ordering == Ordering::Greater,
        Comparison::AtLeast => ordering != Ordering::Less,
        Comparison::Equal => ordering == Ordering::Equal,
    };
    let ends = [ordering(&found.low), ordering(&found.high)];
    // An equality is turned as soon as nought lies between the ends.
    let straddles = ends[0] != ends[1] && comparison == Comparison::Equal;
    let turns = ends.iter().any(|end| end.is_none_or(|end| holds(end) != holds(nominal)));
    let margin = if turns || straddles { Margin::WithinUncertainty } else { Margin::Certain };
    Ok(if holds(nominal) { Truth::True(margin) } else { Truth::False(margin) })
}

/// Where a difference stands to nought; `None` where its own error bound leaves that open.
fn ordering(difference: &Real) -> Option<Ordering> {
    match difference {
        Real::Exact(value) => Some(value.cmp(&num_traits::Zero::zero())),
        Real::Near { value, error } if value.abs() <= *error => None,
        Real::Near { value, .. } => value.partial_cmp(&0.0),
    }
}

fn less(a: &Value, b: &Value) -> Value {
    let (a, b) = (upright(a), upright(b));
    let quantity = Quantity {
        si: a.quantity.si.sub(&b.quantity.si),
        dimension: a.quantity.dimension,
        kind: Kind::Plain,
        reference: None,
    };
    let sensitivities = combine(&[(1.0, &a.sensitivities), (-1.0, &b.sensitivities)]);
    Value { sensitivities, ..Value::certain(quantity) }
}

/// Refuses to compare what only shares a dimension, or not even that.
pub(super) fn comparable(
    (a, a_node): (&Value, &Node),
    (b, b_node): (&Value, &Node),
    node: &Node,
) -> Result<(), FormulaFault> {
    let (left, right) = (&a.quantity, &b.quantity);
    let help = if left.dimension != right.dimension {
        "both need the same unit of measure"
    } else if !kinds_compare(left.kind, right.kind) {
        kind_help(left.kind, right.kind)
    } else if !references_compare(left.reference, right.reference) {
        "convert one of them with absolute(…) or gauge(…)"
    } else {
        return Ok(());
    };
    let (left, right) = (describe(a, a_node), describe(b, b_node));
    let message = format!("cannot compare {left} with {right}");
    Err(FormulaFault::new(FaultKind::Unlike, node.span, message).helping(help))
}

fn references_compare(a: Option<Reference>, b: Option<Reference>) -> bool {
    use Reference::{Absolute, Difference, Gauge, Vacuum};
    match (a, b) {
        (None, _) | (_, None) => true,
        // A gauge pressure is what acts across a wall, so it compares with a difference.
        (Some(Gauge | Difference | Vacuum), Some(Gauge | Difference | Vacuum)) => true,
        (Some(Absolute), Some(Absolute)) => true,
        _ => false,
    }
}
