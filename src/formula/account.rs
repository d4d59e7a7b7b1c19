//! What the sides of a comparison worked out as, in words, for claims and their readers.

use super::evaluate::{Context, value};
use super::show::{describe, describe_in_words};
use super::tree::{Formula, Node, NodeKind};
use super::{Scope, Shift, Value, WithLiterals};
use crate::quantity::Conventions;

/// "`retained_share` = 0.61 (ratio); 50 % (ratio)": every side of every comparison, as far as it
/// can be worked out, literals left out.
pub(crate) fn account(formula: &Formula, scope: &dyn Scope, conventions: &Conventions) -> String {
    told(formula, scope, conventions, describe)
}

/// "retained share = 0.61; 50 %": the same for readers.
pub(crate) fn account_in_words(
    formula: &Formula,
    scope: &dyn Scope,
    conventions: &Conventions,
) -> String {
    told(formula, scope, conventions, describe_in_words)
}

fn told(
    formula: &Formula,
    scope: &dyn Scope,
    conventions: &Conventions,
    words: fn(&Value, &Node) -> String,
) -> String {
    let scope = WithLiterals { formula, scope };
    let nominal = Shift::nominal();
    let context = Context { scope: &scope, conventions, shift: &nominal };
    let mut found = Vec::new();
    sides(&formula.root, context, &mut |value, side| found.push(words(value, side)));
    found.join("; ")
}

fn sides(node: &Node, context: Context<'_>, found: &mut dyn FnMut(&Value, &Node)) {
    match &node.kind {
        NodeKind::Compare(_, a, b) => {
            for side in [a, b] {
                if matches!(side.kind, NodeKind::Literal(_)) {
                    continue;
                }
                if let Ok(value) = value(side, context) {
                    found(&value, side);
                }
            }
        }
        NodeKind::Not(inner) => sides(inner, context, found),
        NodeKind::And(a, b) | NodeKind::Or(a, b) => {
            sides(a, context, found);
            sides(b, context, found);
        }
        _ => {}
    }
}
