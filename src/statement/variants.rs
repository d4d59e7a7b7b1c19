//! The forms in which a sentence may be read: whole, without what stands in brackets or between
//! commas, and clause by clause.

use super::clause::{ClauseSentence, ClauseWord};
use super::lexicon::{Role, Roles};
use super::sayings::{ADJUNCTS, FILLERS};
use std::borrow::Cow;

/// The sentence without words that only open or soften it.
pub(super) fn without_fillers<'s, 'a>(
    sentence: &'s ClauseSentence<'a>,
) -> Cow<'s, ClauseSentence<'a>> {
    let last = sentence.words.len();
    let mut kept = vec![true; last];
    for at in 0..last {
        let length = FILLERS.at(sentence, at).or_else(|| match sentence.stem(at) {
            "if" => source_trusted(sentence, at),
            "as" => as_far_as_known(sentence, at),
            _ => None,
        });
        kept[at..(at + length.unwrap_or(0)).min(last)].fill(false);
        match sentence.stem(at) {
            // "Something like a third": no unknown thing.
            "like" if sentence.before(at, 1) == "something" => kept[at - 1] = false,
            // "Put the two side by side and you'll see …": what is seen.
            "see" | "find" | "notice" if is_told_you(sentence, at) => {
                let is_that = usize::from(sentence.stem(at + 1) == "that");
                kept[..(at + 1 + is_that).min(last)].fill(false);
            }
            // "From the store and not from the line".
            "and" if 1 < at && sentence.stem(at + 1) == "not" => {
                let end = (at + 1..last).find(|at| sentence.is_parted(*at)).unwrap_or(last);
                if is_contrast(sentence, (at + 1, end)) {
                    kept[at..end].fill(false);
                }
            }
            _ => {}
        }
    }
    for (from, to) in sentence.pieces() {
        if is_contrast(sentence, (from, to)) || is_hedged_tail(sentence, (from, to)) {
            kept[from..to].fill(false);
        }
    }
    let mut first = (0..last).find(|at| kept[*at]).unwrap_or(0);
    while sentence.is(first, Role::Opener) && sentence.stem(first + 1) != "long" && first + 3 < last
    {
        kept[first] = false;
        first += 1;
    }
    match sentence.keeping(&kept) {
        Some(mut clause) => {
            clause.span = sentence.span;
            Cow::Owned(clause)
        }
        None => Cow::Borrowed(sentence),
    }
}

fn is_told_you(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    let is_you = matches!(sentence.before(at, 1), "you'll" | "you’ll")
        || (sentence.before(at, 2), sentence.before(at, 1)) == ("you", "will");
    // "If the ring is out you'll see …" supposes something.
    let supposes = |at| matches!(sentence.stem(at), "if" | "unless" | "when" | "once" | "without");
    is_you && !(0..at).any(supposes)
}

/// "Pull the trigger and the pilot is first to wake": what comes of it.
pub(super) fn led_by_trigger<'a>(sentence: &ClauseSentence<'a>) -> Option<ClauseSentence<'a>> {
    let last = sentence.words.len();
    let is_pull = matches!(sentence.stem(0), "pull" | "press" | "squeeze" | "let" | "release");
    let and = (1..last.min(8)).find(|at| sentence.stem(*at) == "and" || sentence.is_parted(*at))?;
    let names = |at: usize| matches!(sentence.stem(at), "trigger" | "button" | "lever");
    let from = and + usize::from(sentence.stem(and) == "and");
    ((1..and).any(names) && is_pull && from < last).then(|| sentence.of_words(from..last))
}

/// "If the log is right,": how many words.
fn source_trusted(sentence: &ClauseSentence<'_>, at: usize) -> Option<usize> {
    let last = sentence.words.len();
    let end = (at + 2..last.min(at + 10)).find(|at| sentence.is_parted(*at)).unwrap_or(last);
    sentence.is_before(end, 1, Role::Trusted).then_some(end - at)
}

/// "As far as anyone has seen": how many words.
fn as_far_as_known(sentence: &ClauseSentence<'_>, at: usize) -> Option<usize> {
    if (sentence.stem(at + 1), sentence.stem(at + 2)) != ("far", "as") {
        return None;
    }
    let last = sentence.words.len().min(at + 9);
    let known = (at + 3..last).find(|at| sentence.is(*at, Role::Known))?;
    Some(known + 1 - at)
}

/// "The store, not the dome, feeds …": a piece that only sets something against what is said.
fn is_contrast(sentence: &ClauseSentence<'_>, (from, to): (usize, usize)) -> bool {
    let says = (from..to).any(|at| sentence.is(at, Role::Verb) || sentence.is(at, Role::Be));
    let is_short = to - from < 7;
    0 < from && is_short && !says && sentence.is(from, Role::Contrast)
}

/// "…, though I would not bet on it", "…, which may be why": what the writer thinks of it.
fn is_hedged_tail(sentence: &ClauseSentence<'_>, (from, to): (usize, usize)) -> bool {
    let opens = sentence.is(from, Role::Tail) || matches!(sentence.stem(from), "but" | "yet");
    let supposes = (from..to).any(|at| sentence.stem(at) == "if");
    0 < from && opens && !supposes && (from..to).any(|at| sentence.is(at, Role::Mood))
}

/// The readings of a sentence beside the plainest, which is the whole of it.
pub(super) fn others<'a>(sentence: &ClauseSentence<'a>) -> Vec<ClauseSentence<'a>> {
    let mut found = Vec::new();
    found.extend(without_asides(sentence));
    found.extend(cleft(sentence));
    found.extend(inverted(sentence));
    found.extend(counted_again(sentence));
    found.extend(without_relative(sentence));
    let mut subject: Option<Vec<ClauseWord<'a>>> = None;
    for piece in clauses(sentence) {
        let clause = match (&subject, standing_in(&piece)) {
            (Some(subject), Some(count)) => piece.with_subject(count, subject),
            _ => piece,
        };
        subject = subject_of(&clause).or(subject);
        found.extend(without_asides(&clause));
        found.push(clause);
    }
    found
}

/// "It is the Two that has the larger store", "the spring is what brings it back", "what brings it
/// back is the spring": without the frame.
fn cleft<'a>(sentence: &ClauseSentence<'a>) -> Option<ClauseSentence<'a>> {
    let last = sentence.words.len();
    let is = |at: usize| matches!(sentence.stem(at), "is" | "are");
    let from = match sentence.stem(0) {
        // "It isn't the Two that …" keeps its denial.
        "it" | "this" | "thi" if sentence.is(1, Role::Be) => {
            2 - usize::from(sentence.is(1, Role::Denial))
        }
        "it's" => 1,
        "what" => {
            // The last "is" behind the verb.
            let be = (3..last.saturating_sub(1)).rev().find(|at| is(*at))?;
            let is_denied = sentence.stem(be + 1) == "not";
            return (!is_denied).then(|| sentence.of_words((be + 1..last).chain(1..be)));
        }
        _ => {
            let what = (2..last.min(12)).find(|at| sentence.stem(*at) == "what")?;
            let is_frame = is(what - 1) && what + 1 < last;
            return is_frame.then(|| sentence.of_words((0..what - 1).chain(what + 1..last)));
        }
    };
    let that = (from + 1..last.min(from + 12))
        .find(|at| matches!(sentence.stem(*at), "that" | "which" | "who"))?;
    (that + 1 < last).then(|| sentence.of_words((from..that).chain(that + 1..last)))
}

/// "Heavier by far than Ash's ram is that of Rowan": in the plain order.
fn inverted<'a>(sentence: &ClauseSentence<'a>) -> Option<ClauseSentence<'a>> {
    sentence.comparative(0)?;
    let last = sentence.words.len();
    let than = (1..last.min(5)).find(|at| sentence.stem(*at) == "than")?;
    let be = (than + 2..last).find(|at| matches!(sentence.stem(*at), "is" | "are"))?;
    (be + 1 < last).then(|| sentence.of_words((be + 1..last).chain([be]).chain(0..be)))
}

/// "Driven forward by air and rearward by its spring": both clauses whole.
pub(super) fn gapped<'a>(sentence: &ClauseSentence<'a>) -> Option<[ClauseSentence<'a>; 2]> {
    let last = sentence.words.len();
    let opens = |at: &usize| {
        sentence.stem(*at) == "and" && sentence.is(at + 1, Role::Heading) && at + 2 < last
    };
    let and = (3..last).find(opens)?;
    let heading = (1..and).find(|at| sentence.is(*at, Role::Heading))?;
    let second = sentence.of_words((0..heading).chain(and + 1..last));
    Some([sentence.of_words(0..and), second])
}

/// "A room that is never let down brings the ram back": without what only tells more of the thing.
fn without_relative<'a>(sentence: &ClauseSentence<'a>) -> Option<ClauseSentence<'a>> {
    const DOUBTS: Roles = Roles::of(&[Role::Broken, Role::Bars, Role::Mood, Role::When]);
    const DOES: Roles = Roles::of(&[Role::Pushes, Role::Parts, Role::Feeds, Role::Empties]);
    let last = sentence.words.len();
    let opens = |at: &usize| {
        matches!(sentence.stem(*at), "that" | "which") && sentence.is(at + 1, Role::Be)
    };
    let from = (2..last.min(7)).find(opens).filter(|at| !sentence.is_parted(*at))?;
    let is_main = |at: &usize| {
        let word = &sentence.words[*at];
        let typed = &sentence.text[word.span().start..word.span().end];
        word.roles().meets(DOES) && typed.ends_with('s') && !word.is(Role::Be)
    };
    let verb = (from + 2..last.min(from + 8)).find(is_main)?;
    let doubts = |at: usize| sentence.words[at].roles().meets(DOUBTS);
    (!(from..verb).any(doubts)).then(|| sentence.of_words((0..from).chain(verb..last)))
}

/// "Three springs in the one and none in the other": both clauses whole.
fn counted_again<'a>(sentence: &ClauseSentence<'a>) -> Vec<ClauseSentence<'a>> {
    let last = sentence.words.len();
    let is_number = |at: usize| {
        let has = |role| sentence.is(at, role);
        has(Role::Cardinal) || has(Role::Digit) || matches!(sentence.stem(at), "no" | "none")
    };
    let places = |at: usize| matches!(sentence.stem(at), "in" | "on");
    let second = |at: &usize| {
        sentence.stem(*at) == "and" && is_number(at + 1) && places(at + 2) && at + 3 < last
    };
    // "Three rings in the older one, five in the newer".
    let parted = |at: &usize| sentence.is_parted(*at) && is_number(*at) && places(at + 1);
    let Some(and) = (4..last).find(second) else {
        let Some(from) = (4..last).find(parted) else { return Vec::new() };
        let number = (1..from).find(|at| is_number(*at)).or(is_number(0).then_some(0));
        let place = number.and_then(|number| (number + 2..from).find(|at| places(*at)));
        let (Some(number), Some(place)) = (number, place) else { return Vec::new() };
        let again = (0..number).chain([from]).chain(number + 1..place).chain(from + 1..last);
        return vec![sentence.of_words(0..from), sentence.of_words(again)];
    };
    let number = (1..and).find(|at| is_number(*at));
    let place = number.and_then(|number| (number + 2..and).find(|at| places(*at)));
    let (Some(number), Some(place)) = (number, place) else { return Vec::new() };
    let again = (0..number).chain([and + 1]).chain(number + 1..place).chain(and + 2..last);
    vec![sentence.of_words(0..and), sentence.of_words(again)]
}

/// Without what stands in brackets or between commas and tells something beside what is said.
fn without_asides<'a>(sentence: &ClauseSentence<'a>) -> Option<ClauseSentence<'a>> {
    let last = sentence.words.len();
    let mut kept = vec![true; last];
    for (from, to) in sentence.pieces() {
        let ends_so = || matches!(sentence.stem(to - 1), "included" | "excluded") && to < from + 5;
        let is_aside = match (0 < from, to < last) {
            (true, true) => sentence.is(from, Role::Aside) || ends_so(),
            (true, false) => sentence.is(from, Role::Tail) || is_likewise(sentence, (from, to)),
            (false, _) => false,
        };
        if is_aside || is_adjunct(sentence, (from, to)) {
            kept[from..to].fill(false);
        }
    }
    let count = kept.iter().filter(|kept| **kept).count();
    sentence.keeping(&kept).filter(|_| 2 < count)
}

/// "…, just as it was on the old one".
fn is_likewise(sentence: &ClauseSentence<'_>, (from, to): (usize, usize)) -> bool {
    let at = from + usize::from(matches!(sentence.stem(from), "just" | "exactly"));
    let stands_in = matches!(sentence.stem(at + 1), "it" | "they");
    sentence.stem(at) == "as" && stands_in && sentence.is(at + 2, Role::Be) && at + 2 < to
}

/// "Bored out from behind, …", "…, for all its weight, …": a piece without a verb of its own that
/// names no engine leaves what is said as it is. "With", "at" and "without" may open a condition.
fn is_adjunct(sentence: &ClauseSentence<'_>, (from, to): (usize, usize)) -> bool {
    const SAYING: Roles = Roles::of(&[
        Role::Verb,
        Role::Be,
        Role::Denial,
        Role::Mood,
        Role::Elder,
        Role::Heir,
        Role::Pair,
        Role::TellsOrder,
        Role::When,
    ]);
    let opens = sentence.words[from].is_participle() || ADJUNCTS.at(sentence, from).is_some();
    let says = |at: usize| sentence.words[at].roles().meets(SAYING) || sentence.is_capital(at);
    opens && to - from < sentence.words.len() && !(from..to).any(says)
}

/// The clauses of a sentence, where it has several: parted by strong marks, and by conjunctions
/// behind a comma.
fn clauses<'a>(sentence: &ClauseSentence<'a>) -> Vec<ClauseSentence<'a>> {
    let last = sentence.words.len();
    let mut cuts = vec![0];
    if matches!(sentence.stem(0), "since" | "because" | "although" | "though") {
        // "Since the land was turned down, the latch is lighter".
        cuts.extend((1..last).find(|at| sentence.is_parted(*at)));
    }
    for at in 1..last {
        let is_strong = sentence.gap(at).contains([';', ':', '—', '–']);
        let stem = sentence.stem(at);
        let joins = sentence.is(at, Role::Joint);
        let is_cause = matches!(stem, "because" | "since");
        // "… and it opens", "… and the rod is …": a clause of its own.
        let next = sentence.stem(at + 1);
        let opens = stem == "and" && matches!(next, "it" | "they") || stem == "but";
        if is_strong || joins && sentence.is_parted(at) || opens || is_cause {
            cuts.push(at);
        }
    }
    cuts.push(last);
    cuts.sort_unstable();
    cuts.dedup();
    let pairs = cuts.windows(2).filter_map(|pair| match pair {
        [from, to] if 2 < to - from => Some((*from, *to)),
        _ => None,
    });
    let piece = |(from, to): (usize, usize)| {
        let skips = sentence.is(from, Role::Joint) && sentence.stem(from) != "which";
        sentence.of_words(from + usize::from(skips && 0 < from)..to)
    };
    let pieces: Vec<ClauseSentence<'a>> = pairs.map(piece).collect();
    if pieces.len() < 2 { Vec::new() } else { pieces }
}

/// How many words of a clause stand in for the subject of the one before it.
fn standing_in(clause: &ClauseSentence<'_>) -> Option<usize> {
    match clause.stem(0) {
        "it" | "they" | "which" | "this" | "thi" => Some(1),
        // "… and holds twice as much": the subject is not said again.
        _ => clause.is(0, Role::Verb).then_some(0),
    }
}

/// The words before the first verb.
fn subject_of<'a>(clause: &ClauseSentence<'a>) -> Option<Vec<ClauseWord<'a>>> {
    let verb = (1..clause.words.len()).find(|at| clause.is(*at, Role::Verb))?;
    let start = (1..verb).rev().find(|at| clause.is_parted(*at)).unwrap_or(0);
    (verb - start < 7).then(|| clause.words[start..verb].to_vec())
}
