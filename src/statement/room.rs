//! "SEAL keeps A from B", "X pushes the PART back", "the HOLE leads from A to B".

use super::clause::{BE, Phrase, Sentence};
use super::{Relation, Statement};

/// Verbs of a seal, with the word that stands between the two rooms.
const PARTS: [(&str, &[&str]); 8] = [
    ("keep", &["from", "apart"]),
    ("hold", &["from"]),
    ("separate", &["from"]),
    ("part", &["from"]),
    ("seal", &["from", "against"]),
    ("divide", &["from"]),
    ("isolate", &["from"]),
    ("shut", &["from"]),
];

/// Verbs of force.
const PUSHES: [&str; 11] = [
    "push", "pushe", "pushes", "press", "presse", "presses", "drive", "force", "move", "carrie",
    "throw",
];

/// The same, suffered.
const PUSHED: [&str; 6] = ["pushed", "pressed", "driven", "forced", "carried", "moved"];

/// Verbs of air on its way.
const LEADS: [&str; 6] = ["lead", "run", "connect", "join", "feed", "go"];

pub(super) fn read(sentence: &Sentence<'_>, found: &mut Vec<Statement>) {
    for at in 0..sentence.words.len() {
        let stem = sentence.stem(at);
        if let Some((_, links)) = PARTS.iter().find(|(verb, _)| *verb == stem) {
            found.extend(parts(sentence, at, links));
        }
        if PUSHES.contains(&stem) {
            found.extend(pushes(sentence, at));
        }
        if PUSHED.contains(&stem) && BE.contains(&sentence.before(at, 1)) {
            found.extend(pushed(sentence, at));
        }
        if stem == "between" {
            found.extend(between(sentence, at));
        }
        if LEADS.contains(&stem) {
            found.extend(joins(sentence, at));
        }
    }
}

/// "the land seal keeps the store (air) from the switch room", "separates A from B",
/// "keeps A and B apart", "keeps A apart from B".
fn parts(sentence: &Sentence<'_>, at: usize, links: &[&str]) -> Option<Statement> {
    let (start, seal) = sentence.subject(at)?;
    let end = clause_end(sentence, at + 1);
    let link = (at + 2..end).find(|at| links.contains(&sentence.stem(*at)));
    let (one, other) = match link {
        Some(link) if sentence.stem(link) == "apart" && sentence.stem(link + 1) != "from" => {
            let and = (at + 2..link).find(|at| sentence.stem(*at) == "and")?;
            (sentence.phrase(at + 1, and)?, sentence.phrase(and + 1, link)?)
        }
        Some(link) => {
            let behind = if sentence.stem(link) == "apart" { link + 2 } else { link + 1 };
            (sentence.phrase(at + 1, link)?, sentence.phrase(behind, end)?)
        }
        None => {
            let and = (at + 2..end).find(|at| sentence.stem(*at) == "and")?;
            if !matches!(sentence.stem(at), "separate" | "part" | "divide") {
                return None;
            }
            (sentence.phrase(at + 1, and)?, sentence.phrase(and + 1, end)?)
        }
    };
    let is_denied = seal.has("not") || seal.has("no") || seal.has("doesn't");
    let span = sentence.stretch(start, end);
    Some(Statement { span, relation: Relation::Parts { seal, one, other, is_denied } })
}

/// End of what a verb governs: "and" joins rooms here.
fn clause_end(sentence: &Sentence<'_>, from: usize) -> usize {
    const TURNS: [&str; 9] =
        ["but", "while", "because", "so", "which", "when", "where", "until", "a"];
    let last = sentence.words.len();
    let turns = |at: usize| TURNS[..8].contains(&sentence.stem(at)) || sentence.is_parted(at);
    (from + 1..last).find(|at| turns(*at)).unwrap_or(last)
}

/// "Between A and B there is only SEAL".
fn between(sentence: &Sentence<'_>, at: usize) -> Option<Statement> {
    let last = sentence.words.len();
    let there =
        (at + 3..last).find(|at| matches!(sentence.stem(*at), "there" | "stand" | "sit"))?;
    let and = (at + 2..there).find(|at| sentence.stem(*at) == "and")?;
    let is_only = (there + 1..last).any(|at| matches!(sentence.stem(at), "only" | "but"));
    if !is_only {
        return None;
    }
    let from = (there + 1..last).find(|at| {
        !matches!(sentence.stem(*at), "is" | "only" | "but" | "nothing" | "the" | "a")
    })?;
    let end = sentence.phrase_end(from);
    let seal = sentence.phrase(from, end)?;
    let (one, other) = (sentence.phrase(at + 1, and)?, sentence.phrase(and + 1, there)?);
    let span = sentence.stretch(at, end);
    Some(Statement { span, relation: Relation::Parts { seal, one, other, is_denied: false } })
}

/// Whether a word tells a direction, and which.
fn direction(sentence: &Sentence<'_>, at: usize) -> Option<bool> {
    match sentence.stem(at) {
        "forward" | "forwards" | "frontward" => Some(true),
        "back" | "backward" | "backwards" | "rearward" | "rearwards" | "home" => Some(false),
        "rear" if sentence.before(at, 2) == "to" => Some(false),
        "front" if sentence.before(at, 2) == "to" => Some(true),
        _ => None,
    }
}

fn denies(phrase: &Phrase) -> bool {
    ["not", "no", "nothing", "never", "neither"].iter().any(|word| phrase.has(word))
}

/// "X pushes the PART back".
fn pushes(sentence: &Sentence<'_>, at: usize) -> Option<Statement> {
    let (start, what) = sentence.subject(at)?;
    let end = sentence.phrase_end(at + 1);
    let (place, is_forward) = (at + 2..end).find_map(|at| Some((at, direction(sentence, at)?)))?;
    let part = sentence.phrase(at + 1, place)?;
    let span = sentence.stretch(start, end);
    let relation = Relation::Pushes { what, part, is_forward };
    matches!(&relation, Relation::Pushes { what, .. } if !denies(what))
        .then_some(Statement { span, relation })
}

/// "The PART is pressed rearward by X".
fn pushed(sentence: &Sentence<'_>, at: usize) -> Option<Statement> {
    let (start, part) = sentence.subject(at - 1)?;
    let last = sentence.words.len();
    let by = (at + 1..last).find(|at| sentence.stem(*at) == "by")?;
    let is_forward = (at + 1..by).find_map(|at| direction(sentence, at))?;
    let end = sentence.phrase_end(by + 1);
    let what = sentence.phrase(by + 1, end)?;
    if denies(&part) || denies(&what) {
        return None;
    }
    let span = sentence.stretch(start, end);
    Some(Statement { span, relation: Relation::Pushes { what, part, is_forward } })
}

/// "the metering hole leads from the line to the store".
fn joins(sentence: &Sentence<'_>, at: usize) -> Option<Statement> {
    if sentence.stem(at + 1) != "from" {
        return None;
    }
    let (start, way) = sentence.subject(at)?;
    let end = sentence.phrase_end(at + 2);
    let to = (at + 3..end).find(|at| matches!(sentence.stem(*at), "to" | "into"))?;
    let (from, into) = (sentence.phrase(at + 2, to)?, sentence.phrase(to + 1, end)?);
    let span = sentence.stretch(start, end);
    Some(Statement { span, relation: Relation::Joins { way, from, to: into } })
}
