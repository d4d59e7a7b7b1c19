//! "wider than", "as long as", "the heaviest of the three".

use super::clause::{ClauseSentence, ClauseWord, Phrase};
use super::degree::{Degree, comparative, plain};
use super::lexicon::{Role, Roles};
use super::ratio::factor_before;
use super::{StatedRelation, Statement, Than};
use crate::quantity::Dimension;

/// Whether a sentence with words of these roles may hold any of this.
pub(super) fn wakes(says: Roles) -> bool {
    const COMPARING: Roles =
        Roles::of(&[Role::Comparative, Role::Superlative, Role::Outdoing, Role::Alike]);
    says.meets(COMPARING) || says.has(Role::As) && says.has(Role::Plain)
}

pub(super) fn read(sentence: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
    for at in 0..sentence.words.len() {
        let stem = sentence.stem(at);
        found.extend(granted(sentence, at));
        let degree = match sentence.periphrastic(at) {
            Some(degree) => Some(degree),
            None => sentence.comparative(at).filter(|_| sentence.periphrastic(at + 1).is_none()),
        };
        if let Some(degree) = degree {
            let told = match stem {
                "more" | "less" => by_verb(sentence, at, stem == "more"),
                _ => None,
            };
            let degree = told.unwrap_or(degree);
            let compared = than(sentence, at, degree);
            let is_compared = !compared.is_empty();
            found.extend(compared);
            if !is_compared {
                found.extend(of_two(sentence, at, degree).or_else(|| bare(sentence, at, degree)));
            }
        }
        if let Some(degree) = outdoing(sentence, at) {
            found.extend(outdoes(sentence, at, degree));
        }
        if stem == "same" && sentence.stem(at + 1) == "as" {
            found.extend(the_same_as(sentence, at));
        }
        if let Some(degree) = sentence.superlative(at) {
            found.extend(extreme(sentence, at, degree));
        }
        if stem == "as" {
            found.extend(same(sentence, at));
        }
    }
}

/// "Thanks to a wider jet", "gave the Two more travel, so …".
fn granted(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let degree = sentence.comparative(at).filter(|_| sentence.stem(at) != "less")?;
    let article = usize::from(matches!(sentence.before(at, 1), "a" | "an" | "it" | "its" | "the"));
    let leads = match (sentence.before(at, article + 2), sentence.before(at, article + 1)) {
        ("thank" | "owing" | "due", "to") | ("because", "of") => true,
        _ => matches!(sentence.stem(0), "they" | "we") && sentence.stem(1) == "gave",
    };
    let last = sentence.words.len();
    let end = (at + 1..last).find(|at| sentence.is_parted(*at)).unwrap_or(last);
    let is_compared = (at..last).any(|at| sentence.stem(at) == "than");
    let verb = (1..at).find(|at| sentence.stem(*at) == "gave");
    let left = match verb {
        Some(verb) => sentence.phrase(verb + 1, at)?.joined(&sentence.phrase(at + 1, end)?),
        None => sentence.phrase(at + 1, end)?,
    };
    let is_plain = leads && !is_compared && !sentence.has(Role::Denial);
    let span = sentence.stretch(verb.unwrap_or(at), end);
    is_plain.then(|| Statement::new(span, StatedRelation::Granted { left, degree }))
}

/// Where the verb before a word of degree stands, shades and denials passed over: place of the
/// verb, or of the word after the subject, and whether it is denied.
fn verb_before(sentence: &ClauseSentence<'_>, at: usize) -> (usize, bool) {
    let mut here = at;
    let mut is_denied = false;
    while 0 < here {
        match sentence.stem(here - 1) {
            "no" | "not" | "never" => is_denied = !is_denied,
            _ if sentence.is(here - 1, Role::Shade) => {}
            "isn't" | "aren't" | "wasn't" => {
                is_denied = !is_denied;
                here -= 1;
                break;
            }
            _ if is_or_has(sentence, here - 1) => {
                here -= 1;
                break;
            }
            _ => break,
        }
        here -= 1;
    }
    (here, is_denied)
}

/// "Less air is used by the Two than by the old one": what is compared comes first.
fn fronted(
    sentence: &ClauseSentence<'_>,
    (than, end): (usize, usize),
    degree: &'static Degree,
) -> Option<Statement> {
    let left = sentence.phrase(1, than)?;
    let right = sentence.phrase(than + 1, end)?;
    let is_verb = |at: usize| sentence.is(at, Role::Be) || sentence.is(at, Role::Verb);
    let is_plain = !sentence.has(Role::Denial) && !left.is(Role::Comparative);
    let relation = StatedRelation::Compare { left, right, degree, than: Than::More };
    let is_told = is_plain && (2..end).any(is_verb);
    is_told.then(|| Statement::new(sentence.stretch(0, end), relation))
}

/// "Opens wider": how far it goes in what it does, and not how wide it is.
fn is_of_doing(sentence: &ClauseSentence<'_>, at: usize, degree: &Degree) -> bool {
    let Some(word) = at.checked_sub(1).and_then(|verb| sentence.words.get(verb)) else {
        return false;
    };
    let typed = &sentence.text[word.span().start..word.span().end];
    let is_verb = typed.ends_with('s') && !word.is_possessive() && !word.is(Role::Amounts);
    let is_size = degree.sense(Dimension::LENGTH).is_some() && !degree.is_general();
    is_verb && is_size && matches!(sentence.stem(at + 1), "than" | "on" | "in" | "at")
}

fn is_or_has(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    sentence.is(at, Role::Be) || sentence.is(at, Role::Have)
}

/// The subject of a comparison: the words of the clause before `end`.
fn subject(sentence: &ClauseSentence<'_>, end: usize) -> Option<Phrase> {
    sentence.subject(end).map(|(_, phrase)| phrase)
}

/// "Weighs more" is heavier, "lasts less" shorter: what a verb near before a word of amount says.
pub(super) fn by_verb(
    sentence: &ClauseSentence<'_>,
    at: usize,
    is_more: bool,
) -> Option<&'static Degree> {
    let near = |words: &[&str]| (1..4).any(|back| words.contains(&sentence.before(at, back)));
    let [more, less] = match () {
        () if near(&["weigh", "weighed"]) => ["heavier", "lighter"],
        () if near(&["last", "lasted"]) => ["longer", "shorter"],
        () => return None,
    };
    comparative(if is_more { more } else { less })
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
    let is_number = |at: usize| sentence.is(at, Role::Digit) || sentence.figure_at(at).is_some();
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
    if at == 0 {
        return fronted(sentence, (than, end), degree);
    }
    let (verb, is_denied) = verb_before(sentence, at);
    let start = sentence.phrase_start(verb);
    if verb == at && is_of_doing(sentence, at, degree) {
        return None;
    }
    let seems = (verb.saturating_sub(2)..at).any(|at| sentence.is(at, Role::Seems));
    let is_of_part = matches!(sentence.stem(start), "half" | "some" | "several" | "few" | "most");
    // "Wider than the other by a full millimetre": by how much is not asked.
    if seems
        || sentence.stem(end) == "by" && sentence.stem(end + 1) != "which"
        || is_of_part
        || sentence.is_conditional(end)
        || sentence.has_verb_within((than + 1, end))
    {
        return None;
    }
    // "No other" and "neither … nor" deny of whom it is said, not what.
    let denies = |at: &usize| {
        let of_whom = sentence.is(*at, Role::None) || sentence.stem(*at) == "nor";
        sentence.is(*at, Role::Denial) && !of_whom
    };
    let is_denied = is_denied != ((start..verb).filter(denies).count() == 1);
    // "There is no smaller store than the Two's": none of them is.
    let is_of_none = sentence.before(at, 1) == "no" && sentence.before(verb, 1) == "there";
    let mut left = match sentence.before(verb, 1) {
        _ if is_of_none => sentence.told(at - 1, at)?,
        // "Has more slots and fewer rings than".
        "and" | "but" => {
            let first = (1..verb).find(|at| is_or_has(sentence, *at))?;
            subject(sentence, first)?
        }
        _ => subject(sentence, verb)?,
    };
    let mut right = sentence.phrase(than + 1, end)?;
    let places = ["in", "on", "under", "at", "for", "with"];
    let is_placed = places.contains(&sentence.stem(at + 1));
    if is_placed && sentence.stem(than + 1) != sentence.stem(at + 1) {
        // "Stiffer under the thumb than": in what respect no figure says.
        return None;
    }
    let and = (at + 1..than).find(|at| matches!(sentence.stem(*at), "and" | "but"));
    let noun = sentence.phrase(at + 1, and.unwrap_or(than));
    if let (true, Some(place)) = (is_placed, &noun) {
        // "Longer in the one than in the other".
        left = left.joined(place);
    } else if let Some(noun) = noun {
        // "a larger store than Rowan": the noun belongs to both sides.
        let names_more = |phrase: &Phrase| phrase.words.len() < 2;
        right = if names_more(&right) { right.joined(&noun) } else { right };
        left = left.joined(&noun);
    }
    let sense = if sentence.before(at, 1) == "less" { Than::Less } else { Than::More };
    let sense = if is_denied && !is_of_none { sense.denied() } else { sense };
    let span = sentence.stretch(sentence.phrase_start(verb), end);
    let relation = StatedRelation::Compare { left, right, degree, than: sense };
    Some(Statement::new(span, relation))
}

/// "Broom's plunger is lighter", "the latch is weaker on Broom": than the other one of a pair.
fn bare(sentence: &ClauseSentence<'_>, at: usize, degree: &'static Degree) -> Option<Statement> {
    let last = sentence.words.len();
    let compares = (at + 1..last).any(|at| matches!(sentence.stem(at), "than" | "as"));
    let mut verb = at.checked_sub(1)?;
    while 0 < verb && sentence.is(verb, Role::Shade) {
        verb -= 1;
    }
    // "The older one refills more slowly".
    let is_adverb = sentence.periphrastic(at).is_some()
        || matches!(sentence.stem(at), "faster" | "slower" | "sooner" | "later" | "further");
    let typed = &sentence.text[sentence.words[verb].span().start..sentence.words[verb].span().end];
    let is_verb = typed.ends_with('s') && !sentence.words[verb].is_possessive();
    let is_said = is_or_has(sentence, verb) || is_adverb && is_verb && at + 1 == last;
    let is_cut = degree.is_general() && matches!(sentence.stem(at), "more" | "less");
    let names_engine = sentence.has(Role::Elder)
        || sentence.has(Role::Heir)
        || (0..last).any(|at| matches!(sentence.stem(at), "on" | "in" | "of"))
        || sentence.words.iter().any(ClauseWord::is_possessive);
    if let Some(beside) = set_beside(sentence, at, degree) {
        return Some(beside);
    }
    if compares || !is_said || is_cut || !names_engine || measured_before(sentence, at) {
        return None;
    }
    extreme_of(sentence, at, degree, true)
}

/// "Compared with the old one, the Two has a wider jet".
fn set_beside(
    sentence: &ClauseSentence<'_>,
    at: usize,
    degree: &'static Degree,
) -> Option<Statement> {
    let from = match (sentence.stem(0), sentence.stem(1)) {
        ("compared", "with" | "to") | ("next", "to") => 2,
        ("beside", _) => 1,
        _ => return None,
    };
    let comma = (from + 1..at).find(|at| sentence.is_parted(*at))?;
    let last = sentence.words.len();
    let right = sentence.phrase(from, comma)?;
    let word = sentence.words.get(at)?.span();
    let left = sentence.phrase(comma, last)?.without(|known| known.span == word);
    let is_plain = !left.is(Role::Denial) && !(at + 1..last).any(|at| sentence.is_parted(at));
    let relation = StatedRelation::Compare { left, right, degree, than: Than::More };
    is_plain.then(|| Statement::new(sentence.stretch(0, last), relation))
}

/// Whether a figure stands before a word of degree: "2 mm longer".
fn measured_before(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    (1..=3).any(|back| at.checked_sub(back).is_some_and(|at| sentence.figure_at(at).is_some()))
}

/// "NP is as long as NP", "NP is not as wide as NP".
fn same(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let degree = sentence.plain(at + 1)?;
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
    if !is_or_has(sentence, verb) && verb_at <= verb {
        return None;
    }
    let mut left = subject(sentence, verb)?;
    let end = sentence.phrase_end(second + 1);
    if sentence.is_conditional(end) || sentence.has_verb_within((second + 1, end)) {
        return None;
    }
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
fn outdoing(sentence: &ClauseSentence<'_>, at: usize) -> Option<&'static Degree> {
    match sentence.stem(at) {
        "outweigh" => comparative("heavier"),
        "outlast" => comparative("longer"),
        // "Outruns", "outgrew": out with a verb.
        word if word.len() > 5 && word.starts_with("out") && !is_outer(word) => {
            comparative("greater")
        }
        _ if sentence.is(at, Role::Outdoing) => comparative("greater"),
        _ => None,
    }
}

/// Words that begin so and compare nothing.
fn is_outer(word: &str) -> bool {
    const OUTER: [&str; 5] = ["outer", "outlet", "outline", "output", "outcome"];
    word.starts_with("outs") || word.starts_with("outw") || OUTER.contains(&word)
}

/// "The hammer outweighs the spool".
fn outdoes(sentence: &ClauseSentence<'_>, at: usize, degree: &'static Degree) -> Option<Statement> {
    let (start, left) = sentence.subject(at)?;
    let end = sentence.phrase_end(at + 1);
    let right = sentence.phrase(at + 1, end)?;
    let is_denied = left.is(Role::Denial) || right.is(Role::Denial);
    if sentence.stem(end) == "by" {
        let close = sentence.phrase_end(end + 1);
        let by = sentence.stretch(end + 1, close);
        let is_amount = !is_denied && sentence.is(end + 1, Role::Digit);
        let relation = StatedRelation::Apart { left, right, degree, by };
        return is_amount.then(|| Statement::new(sentence.stretch(start, close), relation));
    }
    let span = sentence.stretch(start, end);
    let relation = StatedRelation::Compare { left, right, degree, than: Than::More };
    (!is_denied).then_some(Statement::new(span, relation))
}

/// "NP is the same as NP", "NP weighs the same as NP".
fn the_same_as(sentence: &ClauseSentence<'_>, at: usize) -> Option<Statement> {
    let verb = at.checked_sub(2).filter(|_| sentence.before(at, 1) == "the")?;
    let degree = match sentence.stem(verb) {
        "weigh" => plain("heavy"),
        stem if sentence.is(verb, Role::Be) || stem == "measure" => plain("large"),
        _ => None,
    }?;
    let (start, left) = sentence.subject(verb)?;
    let end = sentence.phrase_end(at + 2);
    let right = sentence.phrase(at + 2, end)?;
    let is_denied = left.is(Role::Denial) || right.is(Role::Denial);
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
    let denials = (0..last).filter(|at| sentence.is(*at, Role::Denial));
    // "Neither is the stiffer": they are alike.
    let is_denied = match denials.count() {
        0 => false,
        1 => true,
        _ => return None,
    };
    let word = sentence.words.get(at)?.span();
    let what = sentence.phrase(0, last)?.without(|known| known.span == word);
    let span = sentence.stretch(0, last);
    let relation = StatedRelation::Extreme { what, degree, is_of_pair, is_denied };
    Some(Statement::new(span, relation))
}
