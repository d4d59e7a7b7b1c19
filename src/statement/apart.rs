//! "5 mm longer than", "heavier by 2 g than", "went from 21 g to 18 g".

use super::clause::{ClauseSentence, Phrase};
use super::degree::Degree;
use super::lexicon::{Role, Roles, is_light};
use super::{StatedRelation, Statement};
use crate::folio::words::TextWord;
use crate::text::Span;

/// Words between a figure's number and a word of degree at the most: "5 cubic centimetres larger".
const MOST_OF_A_FIGURE: usize = 4;

/// Whether a sentence with words of these roles may hold any of this.
pub(super) fn wakes(says: Roles) -> bool {
    const CHANGES: Roles = Roles::of(&[Role::Alters, Role::Grows, Role::Shrinks]);
    const GAINS: Roles = Roles::of(&[Role::Gains, Role::Sheds]);
    says.has(Role::Comparative)
        || says.meets(GAINS)
        || says.has(Role::Extent) && says.meets(CHANGES)
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
        if sentence.is(at, Role::Gains) || sentence.is(at, Role::Sheds) {
            found.extend(gained(sentence, at));
        }
    }
}

/// "NP is 5 mm longer than NP", "NP is longer than NP by 5 mm".
fn by_so_much(
    sentence: &ClauseSentence<'_>,
    at: usize,
    degree: &'static Degree,
) -> Option<Statement> {
    let Some(than) = (at + 1..at + 4).find(|at| sentence.stem(*at) == "than") else {
        return than_the_other(sentence, at, degree);
    };
    if (at + 1..=than).any(|at| sentence.is_parted(at)) {
        return None;
    }
    let mut end = sentence.phrase_end(than + 1);
    let (verb_end, by) = match number_before(sentence, at) {
        Some(first) => (first, sentence.stretch(first, at)),
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

/// Where the number before a word of degree begins.
fn number_before(sentence: &ClauseSentence<'_>, at: usize) -> Option<usize> {
    let before = (1..=MOST_OF_A_FIGURE).filter_map(|back| at.checked_sub(back));
    let last = before
        .take_while(|at| !sentence.is_parted(at + 1))
        .find(|at| sentence.is(*at, Role::Digit))?;
    // "1.5 mm": words part at the point.
    let joins = |at: &usize| sentence.is(*at, Role::Digit) && sentence.touches(at + 1);
    Some((0..last).rev().take_while(joins).last().unwrap_or(last))
}

/// "Its ram is 3 g lighter", at the end of a clause: than the other one of a pair.
fn than_the_other(
    sentence: &ClauseSentence<'_>,
    at: usize,
    degree: &'static Degree,
) -> Option<Statement> {
    let first = number_before(sentence, at)?;
    let last = sentence.words.len();
    let ends = at + 1 == last || sentence.is_parted(at + 1);
    let is_owned = sentence.stem(0) == "its" || sentence.words.iter().any(|w| w.is_possessive());
    let is_said = sentence.is_before(first, 1, Role::Be);
    let (start, left) = sentence.subject(first.checked_sub(1)?)?;
    let span = sentence.stretch(first, at);
    let word = TextWord { span, stem: "other".to_owned(), possessive: false };
    let right = Phrase::new(span, vec![word]);
    let is_plain = ends && is_owned && is_said && !left.is(Role::Denial);
    let relation = StatedRelation::Apart { left, right, degree, by: span };
    is_plain.then(|| Statement::new(sentence.stretch(start, at + 1), relation))
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
    (!sentence.is_conditional(end))
        .then(|| Statement::new(span, StatedRelation::Apart { left, right, degree, by }))
}

/// "NP went from A to B": the two figures, each up to the next word that ends one.
fn change(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let verb = (0..at).rev().take(4).find(|at| sentence.is(*at, Role::Alters))?;
    let to = (at + 2..at + 7).find(|at| sentence.stem(*at) == "to")?;
    let is_number = |at: usize| sentence.is(at, Role::Digit) || sentence.is(at, Role::Cardinal);
    if !is_number(at + 1) || !is_number(to + 1) {
        return None;
    }
    let end = sentence.phrase_end(to + 1);
    let (start, subject) = sentence.subject(verb)?;
    // "Took the jet from 1.0 mm to …": what changes stands behind the verb.
    let object = sentence.phrase(verb + 1, at);
    let object = object.filter(|object| object.words.iter().any(|word| !is_light(&word.stem)));
    let what = object.unwrap_or(subject);
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

/// "NP gained 15 cm³".
fn gained(sentence: &ClauseSentence<'_>, verb: usize) -> Option<Statement> {
    let (start, what) = sentence.subject(verb)?;
    let is_number = sentence.is(verb + 1, Role::Digit) && !what.is(Role::Denial);
    let figure = sentence.figure_at(verb + 1).filter(|_| is_number)?;
    let span = Span::new(sentence.stretch(start, verb).start, figure.end);
    let is_more = sentence.is(verb, Role::Gains);
    Some(Statement::new(span, StatedRelation::Grew { what, by: figure, is_more }))
}
