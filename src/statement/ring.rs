//! "the land ring is a -016", "a -016 seals the land", "from a -010 to a -009".

use super::clause::{ClauseSentence, Phrase};
use super::lexicon::{Role, Roles};
use super::{StatedRelation, Statement};

/// Whether a sentence with words of these roles may hold any of this.
pub(super) fn wakes(says: Roles) -> bool {
    says.has(Role::Digit)
}

pub(super) fn read(sentence: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
    // "Two sizes larger: -015 against -014": by how much is not asked.
    let is_of_sizes = (0..sentence.words.len()).any(|at| sentence.stem(at) == "size");
    if sentence.has(Role::Comparative) && is_of_sizes {
        return;
    }
    if let Some(both) = of_two_engines(sentence) {
        found.push(both);
        return;
    }
    for at in 0..sentence.words.len() {
        if is_size(sentence, at) {
            found.extend(change(sentence, at).or_else(|| size(sentence, at)));
        }
    }
    found.extend(told_of_whole(sentence));
}

/// "The land takes a -016 on the one but a -018 on the other": one seal of two engines.
fn of_two_engines(sentence: &ClauseSentence<'_>) -> Option<Statement> {
    let last = sentence.words.len();
    let sizes: Vec<usize> = (0..last).filter(|at| is_size(sentence, *at)).collect();
    let [one, two] = sizes.as_slice() else { return None };
    let from = ahead(sentence, *two);
    let joint = from.checked_sub(1)?;
    let places = |at: usize| matches!(sentence.stem(at), "in" | "on" | "for");
    let joins = sentence.is(joint, Role::Joint) || sentence.is_parted(from);
    let close = if sentence.is(joint, Role::Joint) { joint } else { from };
    if sentence.roles().meets(ELSEWHERE) || !joins || !places(one + 1) || !places(two + 1) {
        return None;
    }
    let seal = sentence.phrase(0, ahead(sentence, *one))?;
    let ring = |engine: Phrase, size: usize| StatedRelation::Ring {
        seal: seal.clone().joined(&engine),
        was: None,
        size: sentence.stem(size).to_owned(),
    };
    let engine = sentence.phrase(one + 2, close)?;
    let other = sentence.phrase(two + 2, last)?;
    let parts = vec![ring(engine, *one), ring(other, *two)];
    Some(Statement::new(sentence.stretch(0, last), StatedRelation::Each { parts }))
}

/// Words of sentences that tell more than what has which size.
const ELSEWHERE: Roles = Roles::of(&[Role::Denial, Role::Mood, Role::Comparative, Role::Bars]);

/// A sentence that tells one size, or two with what puts one in place of the other, and speaks of
/// nothing else: "round the crown sits a -017", "the -016 gave way to a -018".
fn told_of_whole(sentence: &ClauseSentence<'_>) -> Option<Statement> {
    let last = sentence.words.len();
    let sizes: Vec<usize> = (0..last).filter(|at| is_size(sentence, *at)).collect();
    let is_other = |at: usize| sentence.is(at, Role::Digit) && !sizes.contains(&at);
    let stem = |at: usize| sentence.stem(at);
    let is_beside =
        |at: usize| matches!(stem(at), "than" | "of" | "like" | "or") && sizes.contains(&(at + 2));
    let dates =
        |at: usize| matches!(stem(at), "until" | "till" | "before" | "after" | "formerly" | "once");
    if sentence.roles().meets(ELSEWHERE)
        || (0..last).any(|at| is_other(at) || is_beside(at) || dates(at))
    {
        return None;
    }
    let (was, size) = match sizes.as_slice() {
        [one] => (None, *one),
        [one, two] => {
            let (was, size) = in_place(sentence, *one, *two)?;
            (Some(stem(was).to_owned()), size)
        }
        _ => return None,
    };
    let seal = sentence.phrase(0, last)?;
    let seal = seal.without(|word| sizes.iter().any(|at| sentence.words[*at].span() == word.span));
    let relation = StatedRelation::Ring { seal, was, size: stem(size).to_owned() };
    Some(Statement::new(sentence.stretch(0, last), relation))
}

/// Which of two sizes was there before, and which is there now.
fn in_place(sentence: &ClauseSentence<'_>, one: usize, two: usize) -> Option<(usize, usize)> {
    let says = |words: &[&str]| (one + 1..two).any(|at| words.contains(&sentence.stem(at)));
    let is_behind = |at: usize, word: &str| sentence.before(ahead(sentence, at), 1) == word;
    let is_turned = says(&["replaced", "replace", "instead", "succeeded", "superseded"])
        || is_behind(two, "from")
        || is_behind(two, "for") && says(&["swapped", "in"]);
    let is_on = is_behind(two, "to")
        || is_behind(two, "by") && says(&["replaced"])
        || says(&["became", "become", "into", "then"]);
    match (is_turned && !is_behind(two, "by"), is_on) {
        (true, false) => Some((two, one)),
        (false, true) => Some((one, two)),
        _ => None,
    }
}

/// "-014": three digits behind a dash that belongs to them.
fn is_size(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    let word = &sentence.words[at];
    let stem = word.stem();
    let is_number = stem.len() == 3 && stem.bytes().all(|byte| byte.is_ascii_digit());
    let before = sentence.text[..word.span().start].strip_suffix(['-', '‑', '−']);
    is_number && before.is_some_and(|text| text.is_empty() || text.ends_with([' ', '(']))
}

fn is_article(stem: &str) -> bool {
    matches!(stem, "a" | "an" | "the")
}

/// The word before a size, its article passed over.
fn ahead(sentence: &ClauseSentence<'_>, at: usize) -> usize {
    at - usize::from(is_article(sentence.before(at, 1)))
}

/// "took the gate ring from a -009 to a -010".
fn change(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let from = ahead(sentence, at);
    let to = (at + 1..at + 4).find(|at| is_size_at(sentence, *at))?;
    if sentence.before(from, 1) != "from" || sentence.before(ahead(sentence, to), 1) != "to" {
        return None;
    }
    let start = sentence.phrase_start(from - 1);
    let seal = sentence.phrase(start, from - 1)?;
    let was = Some(sentence.stem(at).to_owned());
    let relation = StatedRelation::Ring { seal, was, size: sentence.stem(to).to_owned() };
    Some(Statement::new(sentence.stretch(start, to + 1), relation))
}

fn is_size_at(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    at < sentence.words.len() && is_size(sentence, at)
}

fn size(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let first = ahead(sentence, at);
    let is_change = |word: &str| matches!(word, "from" | "to");
    if sentence.is_before(first, 1, Role::Beside) || is_change(sentence.before(first, 1)) {
        return None;
    }
    let (start, end, from, to) = if sentence.is(at + 1, Role::Sits) {
        // "A -016 seals the land".
        let end = sentence.phrase_end(at + 2);
        (first, end, at + 2, end)
    } else {
        let (start, close) = subject(sentence, first)?;
        (start, at + 1, start, close)
    };
    let seal = sentence.phrase(from, to)?;
    // "The one and the other are both -015": of each, and not of the first.
    let is_of_two = (from..to).any(|at| sentence.stem(at) == "and");
    if seal.is(Role::Denial) || is_of_two {
        return None;
    }
    let relation = StatedRelation::Ring { seal, was: None, size: sentence.stem(at).to_owned() };
    Some(Statement::new(sentence.stretch(start, end), relation))
}

/// What has the size whose article stands at `first`: the subject of a verb before it, or what it
/// stands behind a comma in apposition to.
fn subject(sentence: &ClauseSentence<'_>, first: usize) -> Option<(usize, usize)> {
    let is_verb = |at: usize| {
        sentence.is(at, Role::Be)
            || sentence.is(at, Role::Have)
            || matches!(
                sentence.stem(at),
                "use" | "wear" | "measure" | "get" | "need" | "worn" | "given"
            )
    };
    if sentence.is_parted(first) {
        let from = sentence.phrase_start(first);
        let start = (1..first).rev().find(|at| sentence.is_parted(*at)).unwrap_or(0).max(from);
        // "The lip ring is of the stout kind: a -210": the subject ends at the verb.
        let close = (start + 1..first).find(|at| is_verb(*at)).unwrap_or(first);
        // "The neck ring, which Broom brought, is a -113" stands elsewhere; a list does not.
        return Some((start, close));
    }
    let verb = (first.saturating_sub(3)..first).rev().find(|at| is_verb(*at))?;
    let (start, _) = sentence.subject(verb)?;
    let close = match sentence.is_parted(verb) {
        true => (start + 1..verb).find(|at| sentence.is_parted(*at)).unwrap_or(verb),
        false => verb,
    };
    Some((start, close))
}
