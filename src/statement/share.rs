//! "keeps two thirds of its air", "more than a third of its air goes with each shot".

use super::clause::ClauseSentence;
use super::lexicon::{Role, Roles};
use super::ratio::{Factor, factor_before};
use super::{StatedRelation, Statement};

/// Whether a sentence with words of these roles may hold any of this.
pub(super) fn wakes(says: Roles) -> bool {
    says.has(Role::OfAir) && (says.has(Role::Kept) || says.has(Role::Spent))
}

pub(super) fn read(sentence: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
    for at in 0..sentence.words.len() {
        if matches!(sentence.stem(at), "air" | "charge") {
            found.extend(share(sentence, at));
        }
    }
}

fn share(sentence: &ClauseSentence<'_>, air: usize) -> Option<Statement> {
    let (end, (first, factor)) = (air.saturating_sub(5)..=air).rev().find_map(|end| {
        Some((end, factor_before(sentence, end).or_else(|| all(sentence, end))?))
    })?;
    // "Half as much air as the other one" is no share of any air.
    let is_compared = (end..air).any(|at| matches!(sentence.stem(at), "as" | "than" | "what"));
    // "The air spring" is no air.
    let is_named = matches!(sentence.stem(air + 1), "spring" | "line" | "bottle" | "hose");
    if is_compared || is_named || (first + 1..=air).any(|at| sentence.is_parted(at)) {
        return None;
    }
    let start = (1..=first).rev().find(|at| sentence.is_parted(*at)).unwrap_or(0);
    let last = sentence.words.len();
    // "… is left as the dart flies off": when that is.
    let is_cut = |at: &usize| {
        let tells_when = matches!(sentence.stem(*at), "as" | "when" | "once" | "after" | "while");
        sentence.is_parted(*at) || tells_when && !matches!(sentence.stem(at + 1), "much" | "well")
    };
    let end = (air + 1..last).find(is_cut).unwrap_or(last);
    let has = |role| (start..end).any(|at| sentence.is(at, role));
    let is_denied = has(Role::Denial);
    // "Leaves … behind" and "goes": what is said of the air is one of the two.
    let is_kept = match (has(Role::Kept), has(Role::Spent)) {
        (true, false) => true,
        (false, true) => false,
        _ => return None,
    };
    let who = sentence.phrase(start, end).filter(|_| !is_denied)?;
    let span = sentence.stretch(start, end);
    Some(Statement::new(span, StatedRelation::Share { who, factor, is_kept }))
}

/// "All the air", "nearly all of it".
fn all(sentence: &ClauseSentence<'_>, end: usize) -> Option<(usize, Factor)> {
    let at = end.checked_sub(1).filter(|at| sentence.stem(*at) == "all")?;
    let is_hedged = matches!(sentence.before(at, 1), "nearly" | "almost" | "practically");
    let first = at - usize::from(is_hedged);
    let low = if is_hedged { 0.85 } else { 0.98 };
    Some((first, Factor { span: sentence.stretch(first, end), low, high: 1.0 }))
}
