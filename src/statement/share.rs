//! "keeps two thirds of its air", "more than a third of its air goes with each shot".

use super::clause::ClauseSentence;
use super::lexicon::{Role, Roles};
use super::ratio::{Factor, factor_before};
use super::{StatedRelation, Statement};

/// Whether a sentence with words of these roles may hold any of this.
pub(super) fn wakes(says: Roles) -> bool {
    const GOES: Roles = Roles::of(&[Role::Kept, Role::Spent]);
    says.meets(GOES) && says.meets(Roles::of(&[Role::Factor, Role::OfAir]))
}

pub(super) fn read(sentence: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
    found.extend((1..=sentence.words.len()).find_map(|end| share(sentence, end)));
}

/// A share whose words end at a place, where the clause around it speaks of the air.
fn share(sentence: &ClauseSentence<'_>, end: usize) -> Option<Statement> {
    let (first, factor) = factor_before(sentence, end).or_else(|| all(sentence, end))?;
    let last = sentence.words.len();
    let start = (1..=first).rev().find(|at| sentence.is_parted(*at)).unwrap_or(0);
    // "… is left as the dart flies off": when that is.
    let is_cut = |at: &usize| {
        let tells_when = matches!(sentence.stem(*at), "as" | "when" | "once" | "after" | "while");
        sentence.is_parted(*at) || tells_when && !matches!(sentence.stem(at + 1), "much" | "well")
    };
    let close = (end..last).find(is_cut).unwrap_or(last);
    let is_air = |at: usize| {
        // "The air spring" is no air.
        let is_named = matches!(sentence.stem(at + 1), "spring" | "line" | "bottle" | "hose");
        matches!(sentence.stem(at), "air" | "charge") && !is_named
    };
    // "Half of what it held" is air too.
    let is_what = sentence.stem(end) == "of" && sentence.stem(end + 1) == "what";
    // "Half as much air as the other one" is no share of any air.
    let is_compared = (end..close).any(|at| matches!(sentence.stem(at), "as" | "than"));
    // "A third of its air", "of its air it keeps a third".
    let near = end..close.min(end + 5);
    let is_led = sentence.stem(start) == "of" && (start + 1..start + 4).any(is_air);
    if is_compared || !is_what && !is_led && !near.into_iter().any(is_air) {
        return None;
    }
    // "Half of the air leaves": what leaves is gone, what it leaves behind is not.
    let goes = |at: usize| sentence.stem(at) == "leave" && end <= at;
    let is_kept = |at: usize| sentence.is(at, Role::Kept) && !goes(at);
    let is_spent = |at: usize| sentence.is(at, Role::Spent) || goes(at);
    let denies = (start..close).any(|at| sentence.is(at, Role::Denial));
    // "Leaves … behind" and "goes": what is said of the air is one of the two.
    let is_kept = match ((start..close).any(is_kept), (start..close).any(is_spent)) {
        (true, false) => true,
        (false, true) => false,
        _ => return None,
    };
    let who = sentence.phrase(start, close).filter(|_| !denies)?;
    let span = sentence.stretch(start, close);
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
