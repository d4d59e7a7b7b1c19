//! "has two pilot valves", "five rings are fitted in", "neither has a hammer", "six became eight".

use super::clause::{BE, ClauseSentence, HAVE, Phrase};
use super::ratio::cardinal;
use super::{StatedRelation, Statement};

/// Words of a counted thing's name at the most: "breech ports", "three-way pilot valves".
const MOST_OF_A_NAME: usize = 3;

/// Words that end the name of a counted thing.
const ENDS: [&str; 26] = [
    "in", "on", "into", "inside", "of", "at", "and", "or", "but", "are", "is", "go", "goes", "goe",
    "sit", "became", "become", "to", "for", "with", "where", "that", "which", "more", "than",
    "per",
];

/// Verbs by which a thing has others in it.
const HOLDS: [&str; 8] = ["use", "need", "get", "make", "manage", "count", "contain", "feature"];

pub(super) fn read(sentence: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
    for at in 0..sentence.words.len() {
        found.extend(counted(sentence, at));
    }
}

/// A number of things: how many, and where their name starts.
fn number(sentence: &ClauseSentence<'_>, at: usize) -> Option<(f64, usize)> {
    match (sentence.stem(at), sentence.stem(at + 1)) {
        ("no", _) => Some((0.0, at + 1)),
        ("a" | "one", "single") => Some((1.0, at + 2)),
        ("a" | "an", _) if is_none_of(sentence, at) => Some((0.0, at + 1)),
        (stem, "more" | "fewer" | "times" | "time") if cardinal(stem).is_some() => None,
        (stem, _) if stem.len() < 3 || stem.bytes().all(|byte| byte.is_ascii_alphabetic()) => {
            let is_part = sentence.touches(at) || sentence.touches(at + 1);
            cardinal(stem).filter(|_| !is_part).map(|count| (count, at + 1))
        }
        _ => None,
    }
}

/// "Neither Skep has a hammer".
fn is_none_of(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    HAVE.contains(&sentence.before(at, 1))
        && (0..at).any(|at| matches!(sentence.stem(at), "neither" | "none"))
}

fn counted(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let (count, from) = number(sentence, at)?;
    let last = (from..from + MOST_OF_A_NAME)
        .find(|at| ENDS.contains(&sentence.stem(*at)) || from < *at && sentence.is_parted(*at))
        .unwrap_or(from + MOST_OF_A_NAME)
        .min(sentence.words.len());
    let noun = sentence.phrase(from, last)?;
    if let Some(became) = became(sentence, at, last, &noun) {
        return Some(became);
    }
    let (start, who, end) = holder_before(sentence, at)
        .map(|(start, who)| (start, who, last))
        .or_else(|| holder_behind(sentence, at, last).map(|(who, end)| (at, who, end)))?;
    let span = sentence.stretch(start, end);
    Some(Statement { span, relation: StatedRelation::Count { who, noun, count } })
}

/// "The Trug has …", "each of the three gets by with …".
fn holder_before(sentence: &ClauseSentence<'_>, at: usize) -> Option<(usize, Phrase)> {
    let hedges = ["only", "just", "exactly", "with", "by", "out", "do", "all", "but"];
    let mut verb = at.checked_sub(1)?;
    while 0 < verb && hedges.contains(&sentence.stem(verb)) {
        verb -= 1;
    }
    let stem = sentence.stem(verb);
    let holds = HAVE.contains(&stem) || HOLDS.contains(&stem);
    let (start, who) = sentence.subject(verb).filter(|_| holds)?;
    let denies = ["not", "never", "don't", "doesn't"];
    (!denies.iter().any(|word| who.has(word))).then_some((start, who))
}

/// "Five rings are fitted in the Skep A", "there are five rings in the A".
fn holder_behind(sentence: &ClauseSentence<'_>, at: usize, last: usize) -> Option<(Phrase, usize)> {
    let opens = at == 0 || sentence.is_parted(at) || BE.contains(&sentence.before(at, 1));
    let there = (0..at).any(|at| sentence.stem(at) == "there");
    let place = (last..last + 6).find(|at| matches!(sentence.stem(*at), "in" | "into" | "inside"));
    let Some(place) = place else {
        // "There are two pilots": of the engine that the page is about.
        return (opens && there && sentence.words.len() <= last).then(|| (Phrase::default(), last));
    };
    let between = last..place;
    let says = |at: usize| {
        let stem = sentence.stem(at);
        BE.contains(&stem)
            || matches!(stem, "go" | "sit" | "fitted" | "used" | "bumper" | "included")
    };
    let end = sentence.phrase_end(place + 1);
    let who = match sentence.phrase(place + 1, end) {
        None if sentence.stem(place + 1) == "it" => Phrase::default(),
        who => who?,
    };
    (opens && (there || !between.is_empty() && between.clone().all(says))).then_some((who, end))
}

/// "Six breech ports became eight".
fn became(
    sentence: &ClauseSentence<'_>,
    at: usize,
    verb: usize,
    noun: &Phrase,
) -> Option<Statement> {
    if !matches!(sentence.stem(verb), "became" | "become") {
        return None;
    }
    cardinal(sentence.stem(verb + 1))?;
    let span = sentence.stretch(at, verb + 2);
    let (from, to) = (sentence.stretch(at, at + 1), sentence.stretch(verb + 1, verb + 2));
    Some(Statement { span, relation: StatedRelation::Change { what: noun.clone(), from, to } })
}
