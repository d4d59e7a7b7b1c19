//! What a pressure counts from, where the clause says so and not the figure.

use crate::proof::prose::Group;
use crate::quantity::{Dimension, Reference};

/// "In absolute terms the charge is 15 bar": a clause says what its pressures count from.
pub(super) fn counted_from(text: &str, mut group: Group) -> Group {
    let before = &text[..group.span.start];
    let clause = before.rfind([',', ';', ':', '.', '(']).map_or(before, |at| &before[at + 1..]);
    let is_said = |word: &str| clause.split_whitespace().any(|it| it.eq_ignore_ascii_case(word));
    if is_said("absolute") && !is_said("gauge") {
        for figure in &mut group.members {
            if figure.unit.dimension == Dimension::PRESSURE && figure.reference.is_none() {
                figure.reference = Some(Reference::Absolute);
            }
        }
    }
    group
}
