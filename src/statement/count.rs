//! "Has three trips", "bolts: a dozen to each side", "neither has a sear", "over two hundred
//! throws were counted", "four became five".

use super::clause::{ClauseSentence, Phrase};
use super::lexicon::{Role, Roles, lexeme};
use super::{StatedRelation, Statement, Than};

/// Whether a sentence with words of these roles may hold any of this.
pub(super) fn wakes(says: Roles) -> bool {
    says.meets(Roles::of(&[Role::Cardinal, Role::Digit, Role::Counts, Role::Denial, Role::Bars]))
}

pub(super) fn read(sentence: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
    let last = sentence.words.len();
    if sentence.tells_order {
        return;
    }
    // What "than" sets beside is compared, not counted.
    if (0..last).any(|at| matches!(sentence.stem(at), "as" | "when" | "while" | "before")) {
        return;
    }
    for at in 0..last {
        if let Some(became) = became(sentence, at) {
            found.push(became);
            return;
        }
        found.extend(counted(sentence, at).or_else(|| counted_likewise(sentence, at)));
    }
}

/// "Where the old one has four springs, the new one has six": what is counted is not said again.
fn counted_likewise(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let count = sentence.cardinal(at).filter(|_| sentence.figure_at(at).is_none())?;
    let last = sentence.words.len();
    let start = (1..at).rev().find(|at| sentence.is_parted(*at))?;
    let is_bare = at + 1 == last || sentence.is_parted(at + 1);
    let counts = |at: &usize| sentence.cardinal(*at).is_some() || sentence.stem(*at) == "no";
    let first = (0..start).rev().find(counts)?;
    // Up to what goes on behind the noun.
    let end = (first + 2..start).find(|at| sentence.is(*at, Role::Glue)).unwrap_or(start);
    let noun = sentence.phrase(first + 1, end)?;
    let who = sentence.phrase(start, at)?;
    let is_plain = is_bare && !sentence.has(Role::Denial) && !is_about(sentence, at);
    let said = who.joined(&noun);
    let relation = StatedRelation::Count { said, noun, than: None, count, is_some: false };
    is_plain.then(|| Statement::new(sentence.stretch(start, at + 1), relation))
}

/// A number of things: how many, and where their name starts.
fn number(sentence: &ClauseSentence<'_>, at: usize) -> Option<(f64, usize)> {
    let ahead = sentence.text.get(..sentence.words.get(at)?.span().start)?;
    // "-110" is a size.
    let is_size = ahead.ends_with(['-', '‑', '−']);
    let is_part = is_size || sentence.touches(at) || sentence.touches(at + 1);
    let is_dozen = matches!(
        (sentence.stem(at), sentence.stem(at + 1), sentence.stem(at + 2)),
        ("half", "a", "dozen") | ("a", "dozen", _)
    );
    let is_denied = sentence.before(at, 1) == "without" && !does_without(sentence, at);
    if sentence.figure_at(at).is_some() && !is_dozen || is_part || is_denied {
        return None;
    }
    match (sentence.stem(at), sentence.stem(at + 1), sentence.stem(at + 2)) {
        // "Does without any spring".
        ("any" | "a" | "an", next, _) if does_without(sentence, at) => {
            Some((0.0, at + 1 + usize::from(next == "single")))
        }
        ("half", "a", "dozen") => Some((6.0, at + 3)),
        ("a", "dozen", _) => Some((12.0, at + 2)),
        ("a" | "one", "hundred", _) => Some((100.0, at + 2)),
        ("a" | "one", "single", _) => Some((1.0, at + 2)),
        // "No spring moves it" counts none.
        ("no" | "none", ..) => is_had(sentence, at).then_some((0.0, at + 1)),
        ("a" | "an", ..) if denials(sentence) == 1 => Some((0.0, at + 1)),
        // "There isn't one spring", "not one spring".
        ("one", ..) if denies_one(sentence, at) => Some((0.0, at + 1)),
        _ => sentence.cardinal(at).map(|count| (count, at + 1)),
    }
}

fn denies_one(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    let is_there = sentence.before(at, 2) == "there" || sentence.stem(0) == "there";
    denials(sentence) == 1 && sentence.is_before(at, 1, Role::Denial) && is_there
}

/// "Does without any", "manages without a".
fn does_without(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    let verb = sentence.before(at, 2);
    sentence.before(at, 1) == "without"
        && matches!(verb, "doe" | "does" | "do" | "manage" | "manages")
}

/// "Has no", "there are no", "with no".
fn is_had(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    const HAD: Roles = Roles::of(&[Role::Be, Role::Have]);
    let before = at.checked_sub(1).and_then(|before| sentence.words.get(before));
    let is_verb = before.is_some_and(|word| word.roles().meets(HAD));
    is_verb || matches!(sentence.before(at, 1), "with" | "contain" | "need" | "use" | "there")
}

/// "Almost ten", "some ten", "short of ten": more or less as many.
fn is_about(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    let exact = ["only", "exactly", "precisely", "evenly", "fully", "merely", "simply"];
    match sentence.before(at, 1) {
        "about" | "some" | "almost" | "around" | "circa" | "to" | "another" => true,
        "of" => matches!(sentence.before(at, 2), "short" | "shy"),
        word => word.ends_with("ly") && !exact.contains(&word),
    }
}

fn denials(sentence: &ClauseSentence<'_>) -> usize {
    // "No longer has a spring" denies, "has no spring" counts.
    let counts = |at: &usize| {
        matches!(sentence.stem(*at), "no" | "none" | "nothing") && sentence.stem(at + 1) != "longer"
    };
    let denials = (0..sentence.words.len()).filter(|at| sentence.is(*at, Role::Denial));
    denials.filter(|at| !counts(at)).count()
}

/// Where what is said of a number ends: "six slots where the old one had four", "both have two
/// pilots, the old one none".
fn end_of_count(sentence: &ClauseSentence<'_>, at: usize, from: usize) -> usize {
    let all = sentence.words.len();
    let beside =
        (at + 1..all).find(|at| matches!(sentence.stem(*at), "where" | "wherea" | "against"));
    let numbers = |at: usize| sentence.cardinal(at).is_some() || sentence.stem(at) == "none";
    let is_other = |at: &usize| {
        let counts_on = sentence.stem(*at) == "and" && numbers(*at + 1);
        counts_on || sentence.is_parted(*at) && (*at + 1..all).any(numbers)
    };
    beside.or_else(|| (from..all).find(is_other)).unwrap_or(all)
}

/// "More than", "at least" before a number.
fn bound_before(sentence: &ClauseSentence<'_>, at: usize) -> Option<Than> {
    match (sentence.before(at, 2), sentence.before(at, 1)) {
        ("more", "than") | (_, "over") => Some(Than::More),
        ("less" | "fewer", "than") | (_, "under") => Some(Than::Less),
        ("at", "least") => Some(Than::NotLess),
        ("at", "most") => Some(Than::NotMore),
        _ => None,
    }
}

/// "Two springs is all it has".
fn is_all_there_is(sentence: &ClauseSentence<'_>, (from, to): (usize, usize)) -> bool {
    (from..to).any(|at| sentence.stem(at) == "all" && sentence.is_before(at, 1, Role::Be))
}

fn counted(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let (count, from) = number(sentence, at)?;
    let last = end_of_count(sentence, at, from);
    // "The ram's two rings are soft" takes their number for granted.
    let is_owned = 0 < at && sentence.words[at - 1].is_possessive();
    let is_which =
        0 < at && (sentence.is_before(at, 1, Role::Which) || is_owned) && !sentence.is_parted(at);
    if is_about(sentence, at)
        || is_which
        || sentence.is(from, Role::OfPart) && !sentence.is_parted(from)
    {
        return None;
    }
    let bound = bound_before(sentence, at);
    // "Three springs push it": there may be more.
    let does = |at: usize| {
        let is_verb = sentence.is(at, Role::Pushes) || sentence.is(at, Role::Parts);
        is_verb && !sentence.is(at, Role::Be) && !sentence.is_participle(at)
    };
    let is_subject = (0..at).all(|at| sentence.is(at, Role::Glue) || sentence.is_parted(at + 1));
    let is_all = is_all_there_is(sentence, (from, last));
    // "Two rings are soft": of all that there are.
    let tells = |at: usize| {
        let is_there = matches!(sentence.stem(at + 1), "in" | "on" | "there" | "enough");
        sentence.is(at, Role::Be) && !is_there && !sentence.is_participle(at + 1)
    };
    let all = sentence.words.len();
    let goes_on = (from + 1..all).any(|at| does(at) || at < last && tells(at));
    let is_some = bound.is_none() && is_subject && 0.0 < count && goes_on && !is_all;
    let bound = if is_some { Some(Than::NotLess) } else { bound };
    let first = match (bound.filter(|_| !is_some), sentence.before(at, 1)) {
        (None, _) => at,
        (Some(_), "over" | "under") => at - 1,
        (Some(_), _) => at - 2,
    };
    let is_compared = (from..last)
        .take_while(|at| !sentence.is_parted(*at))
        .any(|at| sentence.stem(at) == "than");
    let denies = denials(sentence);
    let is_none = count == 0.0 && sentence.stem(at) != "no" && !does_without(sentence, at);
    if is_compared || denies != usize::from(is_none) {
        return None;
    }
    // "Nine caps and two lids": each number counts what stands behind it.
    let is_next =
        sentence.before(at, 1) == "and" && (0..at).any(|at| number(sentence, at).is_some());
    let ahead = sentence.phrase(0, first).filter(|_| !is_next);
    let said = match (ahead, sentence.phrase(from, last)) {
        (Some(before), Some(behind)) => before.joined(&behind),
        (before, behind) => before.or(behind)?,
    };
    let noun = sentence.phrase(from, (from + 3).min(last)).unwrap_or_default();
    // "Two springs, the other one": the thing itself is not said again.
    let is_second = (0..at).any(|at| sentence.cardinal(at).is_some());
    let is_headed = !is_second && (1..=at).any(|at| sentence.is_parted(at));
    let is_name = |stem: &str| {
        let roles = lexeme(stem).roles;
        !roles.has(Role::Light) && !roles.has(Role::Digit)
    };
    if !is_headed && noun.words.first().is_none_or(|word| !is_name(&word.stem)) {
        return None;
    }
    let relation = StatedRelation::Count { said, noun, than: bound, count, is_some };
    Some(Statement::new(sentence.stretch(0, last), relation))
}

/// "Six breech ports became eight".
fn became(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    sentence.cardinal(at)?;
    let last = sentence.words.len();
    let verb = (at + 2..last.min(at + 6)).find(|at| {
        matches!(sentence.stem(*at), "became" | "become" | "grew" | "turned" | "made" | "replaced")
    })?;
    // "Seven rings have replaced five": what was stands behind.
    let is_turned = sentence.stem(verb) == "replaced";
    let to = (verb + 1..last.min(verb + 4)).find(|at| sentence.cardinal(*at).is_some())?;
    let what: Phrase = sentence.phrase(at + 1, verb)?;
    let span = sentence.stretch(at, to + 1);
    let (one, other) = (sentence.stretch(at, at + 1), sentence.stretch(to, to + 1));
    let (from, to) = if is_turned { (other, one) } else { (one, other) };
    let relation = StatedRelation::Change { what, from, to };
    Some(Statement::new(span, relation))
}
