//! What a figure is of, where its sentence says so and not its unit: a pressure that counts from
//! nothing, a force told in pounds.

use super::evidence::Around;
use super::sentence::BOUND;
use super::supposed::IN_SIGHT;
use super::weights::AHEAD;
use crate::proof::checks::bound::as_force;
use crate::proof::prose::{Group, PageContext};
use crate::proof::reference_value::verdict_on;
use crate::quantity::{Dimension, Figure, Reference, Verdict};

/// Marks that end a clause.
const ENDS: [char; 7] = [',', ';', ':', '.', '(', '!', '?'];

/// Words of a clause among which is said what its pressures count from.
const IN_CLAUSE: usize = 12;

/// "In absolute terms the charge is 15 bar", "Absolute, the charge is at 15 bar": a clause says
/// what its pressures count from.
pub(in crate::proof) fn counted_from(text: &str, mut group: Group) -> Group {
    let is_open = |figure: &Figure| {
        figure.unit.dimension == Dimension::PRESSURE && figure.reference.is_none()
    };
    if !group.members.iter().any(is_open) {
        return group;
    }
    // A clause may be as long as a page.
    let from = text.floor_char_boundary(group.span.start.saturating_sub(IN_SIGHT));
    let before = &text[from..group.span.start];
    let start = before.rfind(ENDS).map_or(0, |at| at + 1);
    let clause = &before[start..];
    let outer = before[..start].strip_suffix(',').unwrap_or_default();
    let opening = outer.rfind(ENDS).map_or(outer, |at| &outer[at + 1..]);
    let opening = if opening.split_whitespace().count() <= 3 { opening } else { "" };
    let is_said = |word: &str| {
        let words = opening.split_whitespace().chain(clause.split_whitespace());
        words.into_iter().any(|it| it.eq_ignore_ascii_case(word))
    };
    let behind = &text[group.span.end..];
    let behind = behind.find(ENDS).map_or(behind, |at| &behind[..at]);
    let is_from_nothing = [opening, clause, behind].into_iter().any(counts_from_vacuum);
    if (is_said("absolute") || is_from_nothing) && !is_said("gauge") {
        for figure in group.members.iter_mut().filter(|figure| is_open(figure)) {
            figure.reference = Some(Reference::Absolute);
        }
    }
    group
}

/// "Counted from vacuum", "above a vacuum": among the words next to a pressure.
fn counts_from_vacuum(words: &str) -> bool {
    let words: Vec<&str> = words.split_whitespace().take(IN_CLAUSE).collect();
    let is_vacuum = |at: usize| words.get(at).is_some_and(|it| it.eq_ignore_ascii_case("vacuum"));
    words.iter().enumerate().any(|(at, word)| {
        let counts = ["from", "above", "over"].iter().any(|it| word.eq_ignore_ascii_case(it));
        let is_article = words.get(at + 1).is_some_and(|it| matches!(*it, "a" | "full"));
        counts && is_vacuum(at + 1 + usize::from(is_article))
    })
}

/// "It lets go at four pounds": a mass that is a force, where the words say so and the value is
/// that force's.
pub(super) fn weighed_as_force(
    mut group: Group,
    around: &Around<'_>,
    context: &PageContext<'_>,
) -> Group {
    let [mass] = group.members.as_slice() else { return group };
    let Some(force) = as_force(mass) else { return group };
    let lexicon = context.lexicon();
    let as_mass = lexicon.weigh(mass, around).first().map_or(0.0, |(_, words)| *words);
    let Some((entry, words)) = lexicon.weigh(&force, around).first().copied() else {
        return group;
    };
    let verdict = verdict_on(&force, &context.folio.ledger, entry, context.conventions);
    if verdict == Some(Verdict::Agree) && BOUND <= words && AHEAD <= words - as_mass {
        group.members[0] = force;
    }
    group
}
