//! "the land ring is a -016", "a -016 seals the land", "from a -010 to a -009".

use super::clause::ClauseSentence;
use super::lexicon::{Role, Roles};
use super::{StatedRelation, Statement};

/// Whether a sentence with words of these roles may hold any of this.
pub(super) fn wakes(says: Roles) -> bool {
    says.has(Role::Digit)
}

pub(super) fn read(sentence: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
    for at in 0..sentence.words.len() {
        if is_size(sentence, at) {
            found.extend(change(sentence, at).or_else(|| size(sentence, at)));
        }
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
    if seal.is(Role::Denial) {
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
