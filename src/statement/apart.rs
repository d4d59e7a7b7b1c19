//! "5 mm longer than", "heavier by 2 g than", "went from 21 g to 18 g".

use super::clause::{ClauseSentence, ClauseWord};
use super::degree::Degree;
use super::lexicon::{Role, Roles, is_light};
use super::ratio::other_one;
use super::{StatedRelation, Statement};
use crate::text::Span;

/// Words between a figure's number and a word of degree at the most: "5 cubic centimetres larger".
const MOST_OF_A_FIGURE: usize = 4;

/// Whether a sentence with words of these roles may hold any of this.
pub(super) fn wakes(says: Roles) -> bool {
    const CHANGES: Roles = Roles::of(&[Role::Alters, Role::Grows, Role::Shrinks]);
    const GAINS: Roles = Roles::of(&[Role::Gains, Role::Sheds]);
    says.has(Role::Comparative)
        || says.meets(GAINS)
        || says.meets(Roles::IN_FIGURES) && says.meets(Roles::of(&[Role::Be, Role::Comes]))
        || says.meets(Roles::IN_FIGURES) && says.meets(Roles::of(&[Role::Past, Role::Differs]))
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
        if DIFFERING.contains(&stem) {
            found.extend(difference(sentence, at));
        }
        if stem == "by" {
            found.extend(grew(sentence, at));
        }
        if sentence.is(at, Role::Gains) || sentence.is(at, Role::Sheds) {
            found.extend(gained(sentence, at));
        }
    }
    found.extend(became(sentence));
    found.extend(saved(sentence).or_else(|| taken_off(sentence)));
}

/// "Two grams of the ram's weight were saved": by how much it fell.
fn saved(sentence: &ClauseSentence<'_>) -> Option<Statement> {
    let last = sentence.words.len();
    let first = (0..last.min(3)).find(|at| sentence.figure_at(*at).is_some())?;
    let by = sentence.figure_at(first)?;
    let of = (first + 1..last).find(|at| sentence.figure_at(*at) != Some(by))?;
    let verb = (of + 2..last.min(of + 8)).find(|at| {
        let is_done = sentence.is(*at, Role::Gains)
            || sentence.is(*at, Role::Sheds)
            || matches!(sentence.stem(*at), "saved" | "added" | "trimmed" | "shaved" | "cut");
        is_done && sentence.is_before(*at, 1, Role::Be)
    })?;
    let is_more = sentence.is(verb, Role::Gains) || sentence.stem(verb) == "added";
    let what = sentence.phrase(of + 1, verb - 1)?;
    let is_plain = sentence.stem(of) == "of" && !sentence.has(Role::Denial);
    let span = sentence.stretch(first, verb + 1);
    is_plain.then(|| Statement::new(span, StatedRelation::Grew { what, by, is_more }))
}

/// "Three grams came off the ram", "were added to it".
fn taken_off(sentence: &ClauseSentence<'_>) -> Option<Statement> {
    let last = sentence.words.len();
    let by = sentence.figure_at(0)?;
    let from = (1..last).find(|at| sentence.figure_at(*at) != Some(by))?;
    let added = |at: usize| sentence.before(at, 1) == "added" && sentence.stem(at) == "to";
    let ends = |at: &usize| sentence.stem(*at) == "off" || added(*at);
    let off = (from + 1..last.min(from + 5)).find(ends)?;
    let is_verb = |at: usize| sentence.is(at, Role::Light) || sentence.is_participle(at);
    let end = sentence.phrase_end(off + 1);
    let what = sentence.phrase(off + 1, end)?;
    let is_plain = (from..off).all(is_verb) && !sentence.has(Role::Denial);
    let relation = StatedRelation::Grew { what, by, is_more: added(off) };
    is_plain.then(|| Statement::new(sentence.stretch(0, end), relation))
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

/// Where the figure that stands before a word of degree begins.
fn number_before(sentence: &ClauseSentence<'_>, at: usize) -> Option<usize> {
    let is_near = |place: &usize| !sentence.is_parted(place + 1);
    let mut before = (1..=MOST_OF_A_FIGURE).filter_map(|back| at.checked_sub(back));
    let last = before
        .by_ref()
        .take_while(is_near)
        .find(|at| sentence.figure_at(*at).is_some() || sentence.is(*at, Role::Digit))?;
    let figure = sentence.figure_at(last);
    // "1.5 mm": words part at the point.
    let joins = |at: &usize| match figure {
        Some(figure) => sentence.figure_at(*at) == Some(figure),
        None => sentence.is(*at, Role::Digit) && sentence.touches(at + 1),
    };
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
    let right = other_one(span);
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

/// Whether a word is the verb of a change: "opened", "drilled out".
fn alters(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    let is_phrasal = matches!(sentence.stem(at + 1), "out" | "up" | "down" | "back" | "over");
    sentence.is(at, Role::Alters)
        || is_phrasal && sentence.words.get(at).is_some_and(ClauseWord::is_participle)
}

/// "NP was A and is B now", "to B from A": two figures, each behind a word that says when.
fn became(sentence: &ClauseSentence<'_>) -> Option<Statement> {
    if !sentence.roles().has(Role::Past) && !sentence.has(Role::Extent) {
        return None;
    }
    let last = sentence.words.len();
    let mut figures: Vec<(usize, Span)> = Vec::new();
    for at in 0..last {
        let known = sentence.figure_at(at);
        figures.extend(known.filter(|f| figures.iter().all(|(_, one)| one != f)).map(|f| (at, f)));
    }
    let [(one, first), (two, second)] = figures.as_slice() else { return None };
    // Whether a word between two places says that what follows is no more, or is now.
    let told = |from: usize, to: usize| {
        (from..to).rev().find_map(|at| match sentence.stem(at) {
            _ if sentence.is(at, Role::Past) => Some(true),
            "to" if sentence.before(at, 1) == "used" => Some(true),
            "was" | "wa" | "were" | "been" | "from" | "once" => Some(true),
            "is" | "are" | "now" | "today" | "became" | "become" | "to" => Some(false),
            _ => None,
        })
    };
    let (was, is) = match (told(0, *one)?, told(*one, *two)?) {
        (true, false) => (*first, *second),
        (false, true) => (*second, *first),
        _ => return None,
    };
    let is_past = sentence.has(Role::Past)
        || (0..last).any(|at| matches!(sentence.stem(at), "now" | "today" | "until" | "from"));
    let compares = (0..last).any(|at| matches!(sentence.stem(at), "than" | "as" | "between"));
    let what = sentence.phrase(0, last)?;
    let is_denied = what.is(Role::Denial);
    let what = what.without(|word| sentence.is_figure(word.span));
    let relation = StatedRelation::Change { what, from: was, to: is };
    let is_change = is_past && !compares && !is_denied;
    is_change.then(|| Statement::new(sentence.stretch(0, last), relation))
}

/// Words of a difference that leans neither way.
const DIFFERING: [&str; 5] = ["between", "apart", "difference", "differ", "separate"];

/// "There are 8 mm between A and B", "A and B are 5 g apart", "differ by 5 g".
fn difference(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let last = sentence.words.len();
    let mut figures = (0..last).filter_map(|at| sentence.figure_at(at));
    let by = figures.next()?;
    let and = match sentence.stem(at) {
        "between" => (at + 1..last).find(|at| sentence.stem(*at) == "and")?,
        _ => (0..last).find(|at| sentence.stem(*at) == "and")?,
    };
    let is_beside =
        |at: usize| sentence.is_figure(sentence.words[at].span()) || sentence.is_parted(at);
    let (from, to) = match sentence.stem(at) {
        "between" => (at + 1, (and + 1..last).find(|at| is_beside(*at)).unwrap_or(last)),
        _ => {
            let start = (1..and).rev().find(|at| sentence.is_parted(*at)).unwrap_or(0);
            (start, (and + 1..last).find(|at| sentence.is(*at, Role::Verb)).unwrap_or(last))
        }
    };
    // "Between 3 mm and 5 mm" is a range.
    let is_range = (from..to).any(&is_beside) || figures.any(|other| other != by);
    let (left, right) = (sentence.phrase(from, and)?, sentence.phrase(and + 1, to)?);
    let is_denied = (0..last).any(|at| sentence.is(at, Role::Denial));
    let relation = StatedRelation::Between { left, right, by };
    (!is_range && !is_denied).then(|| Statement::new(sentence.stretch(0, last), relation))
}

/// "NP went from A to B", "from the old one's A to just B": the two figures, each up to the next
/// word that ends one.
fn change(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let verb = (0..at).rev().take(4).find(|at| alters(sentence, *at))?;
    let to = (at + 2..at + 9).find(|at| sentence.stem(*at) == "to")?;
    let is_number = |at: &usize| sentence.is(*at, Role::Digit) || sentence.is(*at, Role::Cardinal);
    let was = (at + 1..to.min(at + 5)).find(is_number)?;
    let is_owned = was == at + 1 || sentence.words[was - 1].is_possessive();
    let is_hedged = matches!(sentence.stem(to + 1), "about" | "just" | "only" | "roughly");
    let becomes = to + 1 + usize::from(is_hedged);
    if !is_owned || !is_number(&becomes) {
        return None;
    }
    let end = sentence.phrase_end(becomes);
    let (start, subject) = sentence.subject(verb)?;
    // "Took the jet from 1.0 mm to …": what changes stands behind the verb.
    let object = sentence.phrase(verb + 1, at);
    let object = object.filter(|object| object.words.iter().any(|word| !is_light(&word.stem)));
    let what = object.unwrap_or(subject);
    let span = sentence.stretch(start, end);
    let (from, into) = (sentence.stretch(was, to), sentence.stretch(becomes, end));
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
    let by = sentence.figure_at(from).unwrap_or_else(|| sentence.stretch(from, end));
    let span = sentence.stretch(start, end);
    let is_denied = what.is(Role::Denial);
    (!is_denied).then_some(Statement::new(span, StatedRelation::Grew { what, by, is_more }))
}

/// "NP gained 15 cm³".
fn gained(sentence: &ClauseSentence<'_>, verb: usize) -> Option<Statement> {
    let (start, what) = sentence.subject(verb)?;
    let counts = sentence.is(verb + 1, Role::Digit) || sentence.is(verb + 1, Role::Cardinal);
    let is_number = counts && !what.is(Role::Denial);
    let figure = sentence.figure_at(verb + 1).filter(|_| is_number)?;
    let span = Span::new(sentence.stretch(start, verb).start, figure.end);
    let is_more = sentence.is(verb, Role::Gains);
    Some(Statement::new(span, StatedRelation::Grew { what, by: figure, is_more }))
}
