//! "5 mm longer than", "heavier by 2 g than", "went from 21 g to 18 g".

use super::clause::ClauseSentence;
use super::degree::Degree;
use super::lexicon::{Role, Roles};
use super::{StatedRelation, Statement};
use crate::text::Span;

/// Words between a figure's number and a word of degree at the most: "5 cubic centimetres larger".
const MOST_OF_A_FIGURE: usize = 4;

/// Whether a sentence with words of these roles may hold any of this.
pub(super) fn wakes(says: Roles) -> bool {
    const CHANGES: Roles = Roles::of(&[Role::Alters, Role::Grows, Role::Shrinks]);
    says.has(Role::Comparative) || says.has(Role::Extent) && says.meets(CHANGES)
}

pub(super) fn read(sentence: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
    for at in 0..sentence.words.len() {
        let stem = sentence.stem(at);
        if let Some(degree) = sentence.comparative(at) {
            found.extend(by_so_much(sentence, at, degree));
        }
        if stem == "from" {
            found.extend(change(sentence, at));
        }
        if stem == "by" {
            found.extend(grew(sentence, at));
        }
    }
}

/// "NP is 5 mm longer than NP", "NP is longer than NP by 5 mm".
fn by_so_much(
    sentence: &ClauseSentence<'_>,
    at: usize,
    degree: &'static Degree,
) -> Option<Statement> {
    let than = (at + 1..at + 4).find(|at| sentence.stem(*at) == "than")?;
    if (at + 1..=than).any(|at| sentence.is_parted(at)) {
        return None;
    }
    let mut end = sentence.phrase_end(than + 1);
    let before = (1..=MOST_OF_A_FIGURE).filter_map(|back| at.checked_sub(back));
    let number = before
        .take_while(|at| !sentence.is_parted(at + 1))
        .find(|at| sentence.is(*at, Role::Digit));
    let (verb_end, by) = match number {
        Some(last) => {
            // "1.5 mm": words part at the point.
            let joins = |at: &usize| sentence.is(*at, Role::Digit) && sentence.touches(at + 1);
            let first = (0..last).rev().take_while(joins).last().unwrap_or(last);
            (first, sentence.stretch(first, at))
        }
        None => {
            // "longer than NP by 5 mm": the phrase behind "than" ends at "by".
            let is_by = sentence.stem(end) == "by" && sentence.is(end + 1, Role::Digit);
            let close = sentence.phrase_end(end + 1);
            if !is_by {
                return None;
            }
            let by = sentence.stretch(end + 1, close);
            let right_end = end;
            end = close;
            return stated(sentence, (at, at), (than + 1, right_end), end, degree, by);
        }
    };
    stated(sentence, (verb_end, at), (than + 1, end), end, degree, by)
}

fn stated(
    sentence: &ClauseSentence<'_>,
    (verb_end, _): (usize, usize),
    right: (usize, usize),
    end: usize,
    degree: &'static Degree,
    by: Span,
) -> Option<Statement> {
    let hedged = ["about", "roughly", "some", "just", "only", "a", "full"];
    let mut verb_end = verb_end;
    while 0 < verb_end && hedged.contains(&sentence.before(verb_end, 1)) {
        verb_end -= 1;
    }
    let (start, left) = sentence.subject(verb_end)?;
    let right = sentence.phrase(right.0, right.1)?;
    let span = sentence.stretch(start, end);
    Some(Statement::new(span, StatedRelation::Apart { left, right, degree, by }))
}

/// "NP went from A to B": the two figures, each up to the next word that ends one.
fn change(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let verb = (0..at).rev().take(4).find(|at| sentence.is(*at, Role::Alters))?;
    let to = (at + 2..at + 7).find(|at| sentence.stem(*at) == "to")?;
    if !sentence.is(at + 1, Role::Digit) || !sentence.is(to + 1, Role::Digit) {
        return None;
    }
    let end = sentence.phrase_end(to + 1);
    let (start, what) = sentence.subject(verb)?;
    let span = sentence.stretch(start, end);
    let (from, into) = (sentence.stretch(at + 1, to), sentence.stretch(to + 1, end));
    Some(Statement::new(span, StatedRelation::Change { what, from, to: into }))
}

/// "NP grew by 2 mm".
fn grew(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let verb = at.checked_sub(1)?;
    let is_more = sentence.is(verb, Role::Grows);
    if !is_more && !sentence.is(verb, Role::Shrinks) {
        return None;
    }
    let hedges = ["about", "some", "just", "only", "roughly", "a", "full"];
    let mut from = at + 1;
    while hedges.contains(&sentence.stem(from)) {
        from += 1;
    }
    let (start, what) = sentence.subject(verb)?;
    let end = sentence.phrase_end(from + 1);
    let by = sentence.stretch(from, end);
    let span = sentence.stretch(start, end);
    let is_denied = what.is(Role::Denial);
    (!is_denied).then_some(Statement::new(span, StatedRelation::Grew { what, by, is_more }))
}
