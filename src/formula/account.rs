//! What the sides of a comparison worked out as, in words, for claims and their readers.

use super::evaluate::{Context, value};
use super::show::{describe, describe_in_words};
use super::tree::{Formula, Node, NodeKind};
use super::{Scope, Shift, Value, WithLiterals, standard_uncertainty};
use crate::quantity::Conventions;

/// "`retained_share` = 0.61 (ratio); 50 % (ratio)": every side of every comparison, as far as it
/// can be worked out, literals left out.
pub(crate) fn account(formula: &Formula, scope: &dyn Scope, conventions: &Conventions) -> String {
    let scope = WithLiterals { formula, scope };
    let told = |(value, side): &(Value, &Node)| describe(value, side);
    let compared = comparisons(formula, &scope, conventions);
    compared.iter().flatten().map(told).collect::<Vec<_>>().join("; ")
}

/// "retained share = 0.61; 50 %": the same for readers, with two figures of each ±; with more where
/// the two sides would read the same.
pub(crate) fn account_in_words(
    formula: &Formula,
    scope: &dyn Scope,
    conventions: &Conventions,
) -> String {
    let scope = WithLiterals { formula, scope };
    let told = |sides: Vec<(Value, &Node)>| {
        let of_spread = |(value, side): &(Value, &Node)| {
            describe_in_words(value, side, 2.0 * standard_uncertainty(value, &scope))
        };
        let words: Vec<String> = sides.iter().map(of_spread).collect();
        let amount = |words: &str| words.rsplit(" = ").next().map(str::to_owned);
        match words.as_slice() {
            [one, other] if amount(one) == amount(other) => {
                sides.iter().map(|(value, side)| describe_in_words(value, side, 0.0)).collect()
            }
            _ => words,
        }
    };
    let compared = comparisons(formula, &scope, conventions);
    compared.into_iter().flat_map(told).collect::<Vec<_>>().join("; ")
}

/// What the sides of each comparison come to.
fn comparisons<'a>(
    formula: &'a Formula,
    scope: &dyn Scope,
    conventions: &Conventions,
) -> Vec<Vec<(Value, &'a Node)>> {
    let nominal = Shift::nominal();
    let mut found = Vec::new();
    gather(&formula.root, Context { scope, conventions, shift: &nominal }, &mut found);
    found
}

fn gather<'a>(node: &'a Node, context: Context<'_>, found: &mut Vec<Vec<(Value, &'a Node)>>) {
    match &node.kind {
        NodeKind::Compare(_, a, b) => {
            let open =
                [&**a, &**b].into_iter().filter(|it| !matches!(it.kind, NodeKind::Literal(_)));
            found.push(open.filter_map(|it| Some((value(it, context).ok()?, it))).collect());
        }
        NodeKind::Not(inner) => gather(inner, context, found),
        NodeKind::And(a, b) | NodeKind::Or(a, b) => {
            gather(a, context, found);
            gather(b, context, found);
        }
        _ => {}
    }
}
