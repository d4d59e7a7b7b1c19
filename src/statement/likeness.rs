//! "wider than", "as long as", "the heaviest of the three".

use super::clause::{BE, ClauseSentence, HAVE, Phrase, is_glue};
use super::degree::{Degree, comparative, plain, superlative};
use super::ratio::factor_before;
use super::{StatedRelation, Statement, Than};

/// Words that strengthen or soften a comparison and leave it true or false.
const SHADES: [&str; 15] = [
    "much",
    "far",
    "little",
    "bit",
    "slightly",
    "somewhat",
    "a",
    "even",
    "still",
    "rather",
    "lot",
    "deal",
    "good",
    "considerably",
    "any",
];

pub(super) fn read(sentence: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
    for at in 0..sentence.words.len() {
        let stem = sentence.stem(at);
        if let Some(degree) = comparative(stem) {
            found.extend(than(sentence, at, degree).or_else(|| of_two(sentence, at, degree)));
        }
        if let Some(degree) = outdoing(stem) {
            found.extend(outdoes(sentence, at, degree));
        }
        if stem == "same" && sentence.stem(at + 1) == "as" {
            found.extend(the_same_as(sentence, at));
        }
        if let Some(degree) = superlative(stem) {
            found.extend(extreme(sentence, at, degree));
        }
        if stem == "as" {
            found.extend(same(sentence, at));
        }
    }
}

/// Where the verb before a word of degree stands, shades and denials passed over: place of the
/// verb, or of the word after the subject, and whether it is denied.
fn verb_before(sentence: &ClauseSentence<'_>, at: usize) -> (usize, bool) {
    let mut here = at;
    let mut is_denied = false;
    while 0 < here {
        match sentence.stem(here - 1) {
            "no" | "not" | "never" => is_denied = !is_denied,
            shade if SHADES.contains(&shade) => {}
            "isn't" | "aren't" | "wasn't" => {
                is_denied = !is_denied;
                here -= 1;
                break;
            }
            verb if BE.contains(&verb) || HAVE.contains(&verb) => {
                here -= 1;
                break;
            }
            _ => break,
        }
        here -= 1;
    }
    (here, is_denied)
}

/// The subject of a comparison: the words of the clause before `end`.
fn subject(sentence: &ClauseSentence<'_>, end: usize) -> Option<Phrase> {
    sentence.subject(end).map(|(_, phrase)| phrase)
}

/// "NP is wider than NP", "NP has a wider NOUN than NP".
fn than(sentence: &ClauseSentence<'_>, at: usize, degree: &'static Degree) -> Option<Statement> {
    let than = (at + 1..at + 5).find(|at| sentence.stem(*at) == "than")?;
    if (at + 1..=than).any(|at| sentence.is_parted(at)) {
        return None;
    }
    let begins_factor = |end| factor_before(sentence, end).is_some_and(|(first, _)| first == at);
    if (than + 2..than + 7).any(begins_factor) {
        // "more than a third of".
        return None;
    }
    let is_number =
        |at: usize| sentence.stem(at).bytes().next().is_some_and(|b| b.is_ascii_digit());
    let article = usize::from(sentence.stem(than + 1) == "a");
    if is_number(than + 1 + article) {
        // "Less than 25 g" sets a bound.
        return None;
    }
    if measured_before(sentence, at) || factor_before(sentence, at).is_some() {
        // "2 mm longer than" and "three times larger than" say by how much.
        return None;
    }
    let (verb, is_denied) = verb_before(sentence, at);
    let mut left = subject(sentence, verb)?;
    let end = sentence.phrase_end(than + 1);
    let mut right = sentence.phrase(than + 1, end)?;
    if let Some(noun) = sentence.phrase(at + 1, than) {
        // "a larger store than Rowan": the noun belongs to both sides.
        let names_more = |phrase: &Phrase| phrase.words.len() < 2;
        right = if names_more(&right) { right.joined(&noun) } else { right };
        left = left.joined(&noun);
    }
    let sense = if is_denied { Than::More.denied() } else { Than::More };
    let span = sentence.stretch(sentence.phrase_start(verb), end);
    Some(Statement { span, relation: StatedRelation::Compare { left, right, degree, than: sense } })
}

/// Whether a figure stands before a word of degree: "2 mm longer".
fn measured_before(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    let near = (1..=3).map(|back| sentence.before(at, back));
    near.into_iter().any(|stem| stem.bytes().any(|byte| byte.is_ascii_digit()))
}

/// "NP is as long as NP", "NP is not as wide as NP".
fn same(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let degree = plain(sentence.stem(at + 1))?;
    let second = (at + 2..at + 7).find(|at| sentence.stem(*at) == "as")?;
    let reads_on = (at + 1..=second).any(|at| sentence.is_parted(at));
    let is_cut = matches!(sentence.stem(second + 1), "it" | "you" | "we" | "" | "possible");
    if reads_on || is_cut || factor_before(sentence, at).is_some() {
        return None;
    }
    let just = ["just", "exactly", "every", "quite", "equally", "bit"];
    let mut verb_at = at;
    while 0 < verb_at && just.contains(&sentence.before(verb_at, 1)) {
        verb_at -= 1;
    }
    let (verb, is_denied) = verb_before(sentence, verb_at);
    let is_verb =
        BE.contains(&sentence.stem(verb)) || HAVE.contains(&sentence.stem(verb)) || verb < verb_at;
    if !is_verb {
        return None;
    }
    let mut left = subject(sentence, verb)?;
    let end = sentence.phrase_end(second + 1);
    let mut right = sentence.phrase(second + 1, end)?;
    if let Some(noun) = sentence.phrase(at + 2, second) {
        right = if right.words.len() < 2 { right.joined(&noun) } else { right };
        left = left.joined(&noun);
    }
    let span = sentence.stretch(sentence.phrase_start(verb), end);
    let relation = if is_denied {
        StatedRelation::Compare { left, right, degree, than: Than::Less }
    } else {
        StatedRelation::Same { left, right, degree, is_denied }
    };
    Some(Statement { span, relation })
}

/// Verbs that compare by themselves.
fn outdoing(stem: &str) -> Option<&'static Degree> {
    match stem {
        "outweigh" => comparative("heavier"),
        "outlast" => comparative("longer"),
        "exceed" | "surpass" | "surpasse" => comparative("greater"),
        _ => None,
    }
}

/// "The hammer outweighs the spool".
fn outdoes(sentence: &ClauseSentence<'_>, at: usize, degree: &'static Degree) -> Option<Statement> {
    let (start, left) = sentence.subject(at)?;
    let end = sentence.phrase_end(at + 1);
    let right = sentence.phrase(at + 1, end)?;
    let denies = ["not", "no", "never", "neither", "doesn't", "don't"];
    let is_denied = denies.iter().any(|word| left.has(word) || right.has(word));
    let span = sentence.stretch(start, end);
    let relation = StatedRelation::Compare { left, right, degree, than: Than::More };
    (!is_denied).then_some(Statement { span, relation })
}

/// "NP is the same as NP", "NP weighs the same as NP".
fn the_same_as(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let verb = at.checked_sub(2).filter(|_| sentence.before(at, 1) == "the")?;
    let degree = match sentence.stem(verb) {
        "weigh" => plain("heavy"),
        stem if BE.contains(&stem) || stem == "measure" => plain("large"),
        _ => None,
    }?;
    let (start, left) = sentence.subject(verb)?;
    let end = sentence.phrase_end(at + 2);
    let right = sentence.phrase(at + 2, end)?;
    let denies = ["not", "no", "never", "neither"];
    let is_denied = denies.iter().any(|word| left.has(word) || right.has(word));
    let span = sentence.stretch(start, end);
    let relation = StatedRelation::Same { left, right, degree, is_denied: false };
    (!is_denied).then_some(Statement { span, relation })
}

/// "Of the two stores, the B's is the larger", "NP is the heavier of the two".
fn of_two(sentence: &ClauseSentence<'_>, at: usize, degree: &'static Degree) -> Option<Statement> {
    let verb = at.checked_sub(2).filter(|_| sentence.before(at, 1) == "the")?;
    let last = sentence.words.len();
    if !BE.contains(&sentence.stem(verb)) || (at + 1..last).any(|at| sentence.stem(at) == "than") {
        return None;
    }
    let (start, mut what) = sentence.subject(verb)?;
    let fronts = sentence.stem(0) == "of" && matches!(sentence.stem(2), "two" | "pair");
    let comma = (3..verb).find(|at| sentence.is_parted(*at));
    let trails = matches!(sentence.stem(at + 1), "of") && sentence.stem(at + 3) == "two";
    if let Some(noun) = comma.filter(|_| fronts).and_then(|comma| sentence.phrase(3, comma)) {
        what = what.joined(&noun);
    }
    let denies = ["not", "no", "never", "neither"];
    let is_denied = denies.iter().any(|word| what.has(word));
    let span = sentence.stretch(start, at + 1);
    let relation = StatedRelation::Extreme { what, degree, is_of_pair: true };
    ((fronts || trails) && !is_denied).then_some(Statement { span, relation })
}

/// "NP is the heaviest of the three", "the longest barrel of all is Oak's".
fn extreme(sentence: &ClauseSentence<'_>, at: usize, degree: &'static Degree) -> Option<Statement> {
    let is_marked = matches!(sentence.before(at, 1), "the" | "is" | "are");
    if let Some(found) = extreme_on(sentence, at, degree) {
        return Some(found);
    }
    let among =
        ["three", "four", "five", "six", "all", "any", "shelf", "family", "lot", "here", "engine"];
    let end = sentence.phrase_end(at + 1);
    let fronts = sentence.stem(0) == "of" && (1..4).any(|at| among.contains(&sentence.stem(at)));
    let trails = (at + 1..end).find(|at| {
        matches!(sentence.stem(*at), "of" | "on" | "in")
            && (*at + 1..*at + 4).any(|next| among.contains(&sentence.stem(next)))
    });
    let of = trails.or_else(|| fronts.then_some(end))?;
    if !is_marked {
        return None;
    }
    let (verb, is_denied) =
        verb_before(sentence, at.saturating_sub(usize::from(sentence.before(at, 1) == "the")));
    if is_denied || !(BE.contains(&sentence.stem(verb)) || HAVE.contains(&sentence.stem(verb))) {
        return None;
    }
    let mut what = subject(sentence, verb)?;
    if let Some(noun) = sentence.phrase(at + 1, of)
        && !noun.words.iter().all(|word| is_glue(&word.stem))
    {
        what = what.joined(&noun);
    }
    let span = sentence.stretch(sentence.phrase_start(verb), end);
    Some(Statement { span, relation: StatedRelation::Extreme { what, degree, is_of_pair: false } })
}

/// "Refill is quickest on the Trug": whose it is stands behind.
fn extreme_on(
    sentence: &ClauseSentence<'_>,
    at: usize,
    degree: &'static Degree,
) -> Option<Statement> {
    let verb = at.checked_sub(1).filter(|verb| BE.contains(&sentence.stem(*verb)))?;
    let is_place = matches!(sentence.stem(at + 1), "on" | "in" | "with" | "for");
    let end = sentence.phrase_end(at + 2);
    let whose = sentence.phrase(at + 2, end).filter(|_| is_place)?;
    let (start, what) = sentence.subject(verb)?;
    let span = sentence.stretch(start, end);
    let what = what.joined(&whose);
    Some(Statement { span, relation: StatedRelation::Extreme { what, degree, is_of_pair: false } })
}
