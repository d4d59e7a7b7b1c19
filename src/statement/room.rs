//! "SEAL keeps A from B", "X pushes the PART back", "the HOLE leads from A to B".

use super::clause::{BE, ClauseSentence, Phrase};
use super::{StatedRelation, Statement};

/// Verbs of a seal, with the word that stands between the two rooms.
const PARTS: [(&str, &[&str]); 10] = [
    ("keep", &["from", "apart", "out"]),
    ("stop", &["from"]),
    ("close", &["from"]),
    ("hold", &["from"]),
    ("separate", &["from"]),
    ("part", &["from"]),
    ("seal", &["from", "against"]),
    ("divide", &["from"]),
    ("isolate", &["from"]),
    ("shut", &["from"]),
];

/// Verbs of force.
const PUSHES: [&str; 18] = [
    "push", "pushe", "pushes", "press", "presse", "presses", "drive", "force", "move", "carrie",
    "throw", "help", "bring", "send", "return", "shove", "draw", "pull",
];

/// The same, suffered.
const PUSHED: [&str; 11] = [
    "pushed", "pressed", "driven", "forced", "carried", "moved", "brought", "sent", "returned",
    "drawn", "pulled",
];

/// Verbs of air on its way.
const LEADS: [&str; 6] = ["lead", "run", "connect", "join", "feed", "go"];

pub(super) fn read(sentence: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
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
            found.extend(between(sentence, at).or_else(|| stands_between(sentence, at)));
        }
        if matches!(stem, "kept" | "sealed" | "separated" | "parted" | "divided" | "cut") {
            found.extend(kept_by(sentence, at));
        }
        if matches!(stem, "take" | "draw" | "get") {
            found.extend(takes(sentence, at));
        }
        if LEADS.contains(&stem) {
            found.extend(joins(sentence, at));
        }
        found.extend(match stem {
            "reache" | "reach" | "enter" => reaches(sentence, at),
            "send" | "let" | "pass" | "passe" | "admit" => lets(sentence, at),
            "feed" | "supplie" => feeds(sentence, at),
            "fed" | "filled" | "supplied" => fed(sentence, at),
            _ => None,
        });
    }
}

/// "the land seal keeps the store (air) from the switch room", "separates A from B",
/// "keeps A and B apart", "keeps A apart from B".
fn parts(sentence: &ClauseSentence<'_>, at: usize, links: &[&str]) -> Option<Statement> {
    let (start, mut seal) = sentence.subject(at)?;
    let mut end = clause_end(sentence, at + 1);
    let mut close = end;
    if seal.words.len() == 1 && seal.has("what") {
        // "What keeps A from B is SEAL".
        let (be, behind, named) = answer_of(sentence, at + 1)?;
        (end, close, seal) = (be, behind, named);
    }
    let link = (at + 2..end).find(|at| links.contains(&sentence.stem(*at)));
    let (one, other) = match link {
        Some(link) if sentence.stem(link) == "apart" && sentence.stem(link + 1) != "from" => {
            let and = (at + 2..link).find(|at| sentence.stem(*at) == "and")?;
            (sentence.phrase(at + 1, and)?, sentence.phrase(and + 1, link)?)
        }
        Some(link) => {
            let behind =
                if matches!(sentence.stem(link), "apart" | "out") { link + 2 } else { link + 1 };
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
    let span = sentence.stretch(start, close.max(end));
    Some(Statement { span, relation: StatedRelation::Parts { seal, one, other, is_denied } })
}

/// End of what a verb governs: "and" joins rooms here.
fn clause_end(sentence: &ClauseSentence<'_>, from: usize) -> usize {
    const TURNS: [&str; 9] =
        ["but", "while", "because", "so", "which", "when", "where", "until", "a"];
    let last = sentence.words.len();
    let turns = |at: usize| TURNS[..8].contains(&sentence.stem(at)) || sentence.is_parted(at);
    (from + 1..last).find(|at| turns(*at)).unwrap_or(last)
}

/// "Between A and B there is only SEAL".
fn between(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
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
    Some(Statement { span, relation: StatedRelation::Parts { seal, one, other, is_denied: false } })
}

/// "SEAL sits between A and B".
fn stands_between(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let verb = at.checked_sub(1)?;
    let stem = sentence.stem(verb);
    if !BE.contains(&stem) && !matches!(stem, "sit" | "stand" | "lie" | "seal" | "stood" | "sat") {
        return None;
    }
    let (start, seal) = sentence.subject(verb)?;
    let end = clause_end(sentence, at + 1);
    let and = (at + 2..end).find(|at| sentence.stem(*at) == "and")?;
    let (one, other) = (sentence.phrase(at + 1, and)?, sentence.phrase(and + 1, end)?);
    let is_denied = denies(&seal);
    let span = sentence.stretch(start, end);
    Some(Statement { span, relation: StatedRelation::Parts { seal, one, other, is_denied } })
}

/// "A is kept from B by SEAL", "A and B are kept apart by SEAL".
fn kept_by(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    if !BE.contains(&sentence.before(at, 1)) {
        return None;
    }
    let end = clause_end(sentence, at + 1);
    let by = (at + 1..end).find(|at| sentence.stem(*at) == "by")?;
    let seal = sentence.phrase(by + 1, end)?;
    let start = sentence.phrase_start(at - 1);
    let from = (at + 1..by).find(|at| sentence.stem(*at) == "from");
    let (one, other) = match from {
        Some(from) => (sentence.phrase(start, at - 1)?, sentence.phrase(from + 1, by)?),
        None => {
            let and = (start + 1..at - 1).find(|at| sentence.stem(*at) == "and")?;
            (sentence.phrase(start, and)?, sentence.phrase(and + 1, at - 1)?)
        }
    };
    if denies(&one) || denies(&other) || denies(&seal) {
        return None;
    }
    let span = sentence.stretch(start, end);
    Some(Statement { span, relation: StatedRelation::Parts { seal, one, other, is_denied: false } })
}

/// What "what" stands for in "what pushes the spool back is NP": the words behind the verb.
fn answer_of(sentence: &ClauseSentence<'_>, from: usize) -> Option<(usize, usize, Phrase)> {
    let last = sentence.words.len();
    let be = (from..last).find(|at| BE.contains(&sentence.stem(*at)))?;
    let end = sentence.phrase_end(be + 1);
    Some((be, end, sentence.phrase(be + 1, end)?))
}

/// "B takes its air from A", "B draws on A".
fn takes(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let end = reach_of(sentence, at + 1);
    let from = match (sentence.stem(at), sentence.stem(at + 1)) {
        ("draw", "on" | "from") => at + 1,
        _ => {
            let from = (at + 2..end).find(|at| sentence.stem(*at) == "from")?;
            (at + 1..from).any(|at| sentence.stem(at) == "air").then_some(from)?
        }
    };
    let (start, to) = sentence.subject(at)?;
    let room = sentence.phrase(from + 1, end)?;
    joining(sentence, (start, end), None, room, to)
}

/// Whether a word tells a direction, and which.
fn direction(sentence: &ClauseSentence<'_>, at: usize) -> Option<bool> {
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
fn pushes(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let (start, mut what) = sentence.subject(at)?;
    let mut end = sentence.phrase_end(at + 1);
    let (place, is_forward) = (at + 2..end).find_map(|at| Some((at, direction(sentence, at)?)))?;
    // "Pushes it back": what the sentence before speaks of.
    let part = match sentence.phrase(at + 1, place) {
        Some(part) => part,
        None if sentence.stem(at + 1) == "it" => sentence.before.cloned()?,
        None => return None,
    };
    if what.words.len() == 1 && what.has("what") {
        (_, end, what) = answer_of(sentence, place + 1)?;
    }
    let span = sentence.stretch(start, end);
    let relation = StatedRelation::Pushes { what, part, is_forward };
    matches!(&relation, StatedRelation::Pushes { what, .. } if !denies(what))
        .then_some(Statement { span, relation })
}

/// "The PART is pressed rearward by X".
fn pushed(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
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
    Some(Statement { span, relation: StatedRelation::Pushes { what, part, is_forward } })
}

/// "the metering hole leads from the line to the store".
fn joins(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    if matches!(sentence.stem(at), "connect" | "join") && sentence.stem(at + 1) != "from" {
        return connects(sentence, at);
    }
    if sentence.stem(at + 1) != "from" {
        return None;
    }
    let (start, way) = sentence.subject(at)?;
    let end = sentence.phrase_end(at + 2);
    let to = (at + 3..end).find(|at| matches!(sentence.stem(*at), "to" | "into"))?;
    let (from, into) = (sentence.phrase(at + 2, to)?, sentence.phrase(to + 1, end)?);
    let span = sentence.stretch(start, end);
    Some(Statement { span, relation: StatedRelation::Joins { way: Some(way), from, to: into } })
}

/// "the inlet connects the line with the spring room".
fn connects(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let (start, way) = sentence.subject(at)?;
    let end = reach_of(sentence, at + 1);
    let link = (at + 2..end).find(|at| matches!(sentence.stem(*at), "to" | "with" | "and"))?;
    let (from, to) = (sentence.phrase(at + 1, link)?, sentence.phrase(link + 1, end)?);
    joining(sentence, (start, end), Some(way), from, to)
}

/// Where the way is named: "through Z", "by way of Z".
fn through(sentence: &ClauseSentence<'_>, from: usize, end: usize) -> Option<(usize, Phrase)> {
    let at = (from..end).find(|at| {
        matches!(sentence.stem(*at), "through" | "via")
            || sentence.stem(*at) == "way" && sentence.stem(*at + 1) == "of"
    })?;
    let is_way_of = sentence.stem(at) == "way";
    let way = sentence.phrase(at + 1, end)?;
    Some((at - usize::from(is_way_of), way))
}

/// Where the clause that a verb governs ends; commas and "by" of "by way of" do not end it.
fn reach_of(sentence: &ClauseSentence<'_>, from: usize) -> usize {
    let last = sentence.words.len();
    (from + 1..last).find(|at| sentence.is_parted(*at)).unwrap_or(last)
}

fn joining(
    sentence: &ClauseSentence<'_>,
    (start, end): (usize, usize),
    way: Option<Phrase>,
    from: Phrase,
    to: Phrase,
) -> Option<Statement> {
    let is_denied = denies(&from) || denies(&to) || way.as_ref().is_some_and(denies);
    let span = sentence.stretch(start, end);
    (!is_denied).then_some(Statement { span, relation: StatedRelation::Joins { way, from, to } })
}

/// "Air from A reaches B through Z".
fn reaches(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let (start, from) = sentence.subject(at)?;
    let end = reach_of(sentence, at + 1);
    let (close, way) = through(sentence, at + 1, end)?;
    let to = sentence.phrase(at + 1, close)?;
    from.has("air").then_some(())?;
    joining(sentence, (start, end), Some(way), from, to)
}

/// "Z sends air of A into B", "Z lets A in behind B".
fn lets(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let last = sentence.words.len();
    // "The pilot, when it comes on, sends": what stands between commas is passed over.
    let start = (0..at).find(|at| sentence.is_parted(at + 1)).filter(|_| sentence.is_parted(at));
    let (start, way) = match start {
        Some(end) => (0, sentence.phrase(0, end + 1)?),
        None => sentence.subject(at)?,
    };
    let end = (at + 2..last).find(|at| sentence.is_parted(*at)).unwrap_or(last);
    let to = (at + 2..end).find(|at| matches!(sentence.stem(*at), "in" | "into" | "to"))?;
    let (from, into) = (sentence.phrase(at + 1, to)?, sentence.phrase(to + 1, end)?);
    from.has("air").then_some(())?;
    joining(sentence, (start, end), Some(way), from, into)
}

/// "Z feeds B from A".
fn feeds(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let (start, way) = sentence.subject(at)?;
    let end = reach_of(sentence, at + 1);
    let from = (at + 2..end).find(|at| matches!(sentence.stem(*at), "from" | "off"))?;
    let (to, room) = (sentence.phrase(at + 1, from)?, sentence.phrase(from + 1, end)?);
    joining(sentence, (start, end), Some(way), room, to)
}

/// "B is fed from A through Z".
fn fed(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    if !BE.contains(&sentence.before(at, 1)) {
        return None;
    }
    let (start, to) = sentence.subject(at - 1)?;
    let end = reach_of(sentence, at + 1);
    let from = (at + 1..end).find(|at| matches!(sentence.stem(*at), "from" | "off"))?;
    let named = through(sentence, from + 1, end);
    let close = named.as_ref().map_or(end, |(close, _)| *close);
    let room = sentence.phrase(from + 1, close)?;
    joining(sentence, (start, end), named.map(|(_, way)| way), room, to)
}
