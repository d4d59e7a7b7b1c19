//! What a figure is of, where its sentence says so and not its unit: a pressure that counts from
//! nothing, a force or a pressure told in pounds.

use super::digits::{same_digits, telling_digits};
use super::evidence::Around;
use super::sentence::BOUND;
use super::supposed::IN_SIGHT;
use super::weights::{AHEAD, SAME_DIGITS, fits};
use crate::proof::checks::bound::as_force;
use crate::proof::prose::{Group, PageContext};
use crate::proof::reference_value::verdict_on;
use crate::quantity::{Dimension, Figure, Reference, Unit, Verdict};

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

/// "It lets go at four pounds", "I run it at 110 pounds": a mass that is a force or a pressure,
/// where words and value speak for that and not for any mass.
pub(super) fn told_in_pounds(
    mut group: Group,
    around: &Around<'_>,
    context: &PageContext<'_>,
) -> Group {
    let [mass] = group.members.as_slice() else { return group };
    let as_mass = odds(mass, around, context) + AHEAD;
    let others = [as_force(mass), as_pressure(mass, context)];
    let others = others.into_iter().flatten().map(|it| (odds(&it, around, context), it));
    let Some((odds, other)) = others.max_by(|a, b| a.0.total_cmp(&b.0)) else { return group };
    if BOUND <= odds && as_mass < odds {
        group.members[0] = other;
    }
    group
}

/// "110 pounds" for 110 psi, on a page that has pressures in psi.
fn as_pressure(mass: &Figure, context: &PageContext<'_>) -> Option<Figure> {
    let psi = |unit: &&'static Unit| unit.code == "[psi]";
    let unit = context.lexicon().units(Dimension::PRESSURE).into_iter().find(psi)?;
    (mass.unit.code == "[lb_av]").then(|| Figure { unit, ..mass.clone() })
}

/// What speaks for the likeliest entry that a figure may state: words, and its value or its digits.
fn odds(figure: &Figure, around: &Around<'_>, context: &PageContext<'_>) -> f64 {
    let ledger = &context.folio.ledger;
    let weighed = context.lexicon().weigh(figure, around).into_iter().map(|(entry, words)| {
        let is_it = verdict_on(figure, ledger, entry, context.conventions) == Some(Verdict::Agree);
        let is_like = || same_digits(figure, entry, context);
        words
            + match is_it {
                true => fits(telling_digits(figure)),
                false if is_like() => SAME_DIGITS,
                false => 0.0,
            }
    });
    weighed.fold(0.0, f64::max)
}
