//! "wider than", "as long as", "the heaviest of the three".

use super::clause::{BE, ClauseSentence, HAVE, Phrase};
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
            let degree = by_verb(sentence, at, degree);
            let compared = than(sentence, at, degree);
            let is_compared = !compared.is_empty();
            found.extend(compared);
            if !is_compared {
                found.extend(of_two(sentence, at, degree).or_else(|| bare(sentence, at, degree)));
            }
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

/// "Weighs more" is heavier, "lasts less" shorter.
fn by_verb(sentence: &ClauseSentence<'_>, at: usize, degree: &'static Degree) -> &'static Degree {
    let is_more = match sentence.stem(at) {
        "more" => true,
        "less" => false,
        _ => return degree,
    };
    let near = |words: &[&str]| (1..4).any(|back| words.contains(&sentence.before(at, back)));
    let word = if near(&["weigh", "weighed"]) {
        if is_more { "heavier" } else { "lighter" }
    } else if near(&["last", "lasted"]) {
        if is_more { "longer" } else { "shorter" }
    } else {
        return degree;
    };
    comparative(word).unwrap_or(degree)
}

/// Words of what is compared between a word of degree and "than", at the most: "more push to open
/// the old one than".
const MOST_OF_A_NOUN: usize = 8;

/// "NP is wider than NP", "NP has a wider NOUN than NP"; the other side with what "that" tells more
/// of it, and without.
fn than(sentence: &ClauseSentence<'_>, at: usize, degree: &'static Degree) -> Vec<Statement> {
    let than = (at + 1..at + MOST_OF_A_NOUN).find(|at| sentence.stem(*at) == "than");
    let Some(than) = than.filter(|_| !is_amount(sentence, at)) else { return Vec::new() };
    let short = sentence.phrase_end(than + 1);
    let last = sentence.words.len();
    let long = (than + 2..last).find(|at| sentence.is_parted(*at)).unwrap_or(last);
    let ends = [long, short];
    let kept = if long == short || sentence.stem(short) != "that" { &ends[1..] } else { &ends[..] };
    kept.iter().filter_map(|end| compared(sentence, (at, than, *end), degree)).collect()
}

/// Whether what is compared is an amount, or says by how much.
fn is_amount(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    let Some(than) = (at + 1..at + MOST_OF_A_NOUN).find(|at| sentence.stem(*at) == "than") else {
        return false;
    };
    let begins_factor = |end| factor_before(sentence, end).is_some_and(|(first, _)| first == at);
    let is_number = |at: usize| {
        let is_digit = sentence.stem(at).starts_with(|c: char| c.is_ascii_digit());
        is_digit || sentence.figure_at(at).is_some()
    };
    let article = usize::from(sentence.stem(than + 1) == "a");
    // "More than a third of", "less than 25 g", "2 mm longer than", "three times larger than".
    (than + 2..than + 7).any(begins_factor)
        || is_number(than + 1)
        || is_number(than + 1 + article)
        || measured_before(sentence, at)
        || factor_before(sentence, at).is_some()
}

fn compared(
    sentence: &ClauseSentence<'_>,
    (at, than, end): (usize, usize, usize),
    degree: &'static Degree,
) -> Option<Statement> {
    if (at + 1..=than).any(|at| sentence.is_parted(at)) {
        return None;
    }
    let (verb, is_denied) = verb_before(sentence, at);
    let start = sentence.phrase_start(verb);
    let denies = |at: &usize| {
        matches!(sentence.stem(*at), "not" | "never" | "doesn't" | "don't" | "didn't" | "cannot")
    };
    let is_denied = is_denied != ((start..verb).filter(denies).count() == 1);
    let mut left = subject(sentence, verb)?;
    let mut right = sentence.phrase(than + 1, end)?;
    if let Some(noun) = sentence.phrase(at + 1, than) {
        // "a larger store than Rowan": the noun belongs to both sides.
        let names_more = |phrase: &Phrase| phrase.words.len() < 2;
        right = if names_more(&right) { right.joined(&noun) } else { right };
        left = left.joined(&noun);
    }
    let sense = if is_denied { Than::More.denied() } else { Than::More };
    let span = sentence.stretch(sentence.phrase_start(verb), end);
    let relation = StatedRelation::Compare { left, right, degree, than: sense };
    Some(Statement::new(span, relation))
}

/// "Broom's plunger is lighter", "the latch is weaker on Broom": than the other one of a pair.
fn bare(sentence: &ClauseSentence<'_>, at: usize, degree: &'static Degree) -> Option<Statement> {
    let last = sentence.words.len();
    let compares = (at + 1..last).any(|at| matches!(sentence.stem(at), "than" | "as"));
    let mut verb = at.checked_sub(1)?;
    while 0 < verb && SHADES.contains(&sentence.stem(verb)) {
        verb -= 1;
    }
    let is_said = BE.contains(&sentence.stem(verb)) || HAVE.contains(&sentence.stem(verb));
    let is_cut = degree.is_general() && matches!(sentence.stem(at), "more" | "less");
    let names_engine = (0..last).any(|at| matches!(sentence.stem(at), "on" | "in" | "of"))
        || sentence.words.iter().any(|word| word.possessive);
    if compares || !is_said || is_cut || !names_engine || measured_before(sentence, at) {
        return None;
    }
    extreme_of(sentence, at, degree, true)
}

/// Whether a figure stands before a word of degree: "2 mm longer".
fn measured_before(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    (1..=3).any(|back| at.checked_sub(back).is_some_and(|at| sentence.figure_at(at).is_some()))
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
    Some(Statement::new(span, relation))
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
    (!is_denied).then_some(Statement::new(span, relation))
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
    (!is_denied).then_some(Statement::new(span, relation))
}

/// "Of the two stores, the B's is the larger", "the heavier of the two is the A's": more than the
/// other one.
fn of_two(sentence: &ClauseSentence<'_>, at: usize, degree: &'static Degree) -> Option<Statement> {
    let last = sentence.words.len();
    let compares = (at + 1..last).any(|at| sentence.stem(at) == "than");
    let is_marked = sentence.before(at, 1) == "the";
    if !is_marked || compares || measured_before(sentence, at) {
        return None;
    }
    extreme_of(sentence, at, degree, true)
}

/// "NP is the heaviest of the three", "the longest barrel of all is Oak's", "smallest of the lot:
/// Ash": whose it is and of what, the words of the clause tell.
fn extreme(sentence: &ClauseSentence<'_>, at: usize, degree: &'static Degree) -> Option<Statement> {
    let is_bound = matches!(sentence.before(at, 1), "at" | "not" | "no")
        || sentence.before(at, 1) == "the" && sentence.before(at, 2) == "at";
    if is_bound || sentence.stem(at + 1) == "of" && sentence.stem(at + 2) == "its" {
        return None;
    }
    extreme_of(sentence, at, degree, false)
}

fn extreme_of(
    sentence: &ClauseSentence<'_>,
    at: usize,
    degree: &'static Degree,
    is_of_pair: bool,
) -> Option<Statement> {
    let last = sentence.words.len();
    let denials = (0..last).filter(|at| {
        matches!(sentence.stem(*at), "not" | "no" | "never" | "isn't" | "neither" | "nor")
    });
    // "Neither is the stiffer": they are alike.
    let is_denied = match denials.count() {
        0 => false,
        1 => true,
        _ => return None,
    };
    let mut what = sentence.phrase(0, last)?;
    let word = sentence.words.get(at)?.span;
    what.words.retain(|known| known.span != word);
    let span = sentence.stretch(0, last);
    let relation = StatedRelation::Extreme { what, degree, is_of_pair, is_denied };
    Some(Statement::new(span, relation))
}
