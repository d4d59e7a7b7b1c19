//! Values in words, for messages.

use super::Value;
use super::tree::{Node, NodeKind};
use crate::quantity::print::{kind_words, to_six_figures};
use crate::quantity::{GasState, Kind, Quantity, Reference};

/// `8 bar gauge (pressure)`; named ones with their name, literals in their own unit.
pub(super) fn describe(value: &Value, node: &Node) -> String {
    let quantity = &value.quantity;
    let amount = amount(quantity, node, 0.0);
    // The amount already says what a pressure counts from.
    let is_told = quantity.kind == Kind::Plain
        && quantity.reference.is_some_and(|reference| reference != Reference::Difference);
    let sort = if is_told { quantity.dimension.name() } else { sort(quantity) };
    match &node.kind {
        NodeKind::Name(path) => format!("`{}` = {amount} ({sort})", path.join(".")),
        _ => format!("{amount} ({sort})"),
    }
}

/// `retained share = 0.61`: the same for readers, without the kind, to two figures of its
/// half-width (SI; 0 for none).
pub(super) fn describe_in_words(value: &Value, node: &Node, half_width: f64) -> String {
    let amount = amount(&value.quantity, node, half_width);
    match &node.kind {
        NodeKind::Name(path) => format!("{} = {amount}", path.join(" ").replace('_', " ")),
        _ => amount,
    }
}

fn amount(quantity: &Quantity, node: &Node, half_width: f64) -> String {
    let own_unit = match &node.kind {
        NodeKind::Literal(literal) => literal.unit.as_ref().map(|unit| &unit.unit),
        _ => None,
    };
    to_six_figures(quantity, own_unit, half_width)
}

/// What a quantity is, in words: its kind, else its dimension.
pub(super) fn sort(quantity: &Quantity) -> String {
    let state = match quantity.kind {
        Kind::StandardAir(GasState::Anr) => "ANR",
        Kind::StandardAir(GasState::Normal) => "the normal state",
        Kind::StandardAir(GasState::Undeclared) => "an undeclared state",
        _ => return kind_words(quantity),
    };
    format!("{}, air at {state}", quantity.dimension)
}
