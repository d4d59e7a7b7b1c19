//! "A before B", "B only after A", "once A, B", "not B until A".

use super::clause::{ClauseSentence, Phrase};
use super::lexicon::{Role, Roles};
use super::{StatedRelation, Statement};

/// Whether a sentence with words of these roles may hold any of this.
pub(super) fn wakes(says: Roles) -> bool {
    const ORDERS: Roles = Roles::of(&[Role::Order, Role::Next, Role::Ordinal, Role::Listed]);
    says.meets(ORDERS) || says.has(Role::When) && (says.has(Role::Done) || says.has(Role::Stays))
}

pub(super) fn read(sentence: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
    let [fine, coarse] = [true, false].map(|is_fine| sequence(sentence, is_fine));
    let coarse = coarse.filter(|coarse| fine.as_ref() != Some(coarse));
    found.extend(fine.into_iter().chain(coarse));
    let sets = |at: &usize| sentence.is(*at, Role::Order) || sentence.is(*at, Role::When);
    let places = (0..sentence.words.len()).filter(sets);
    for at in places {
        let order = match sentence.stem(at) {
            "before" => before(sentence, at),
            "follow" | "precede" | "followed" | "preceded" => follows(sentence, at),
            "soon" if sentence.before(at, 1) == "as" && sentence.stem(at + 1) == "as" => {
                as_soon_as(sentence, at)
            }
            "after" => after(sentence, at),
            // "Ahead of", "earlier than": as "before".
            "sooner" if sentence.before(at, 1) == "no" && at == 1 => no_sooner(sentence, 0),
            "ahead" | "earlier" | "sooner" | "later" => beside(sentence, at),
            "until" | "till" => until(sentence, at),
            // "Once for each pull": how often.
            "once" if matches!(sentence.stem(at + 1), "for" | "per" | "each" | "every") => None,
            "once" => once(sentence, at),
            "time" => by_the_time(sentence, at),
            "when" if sentence.before(at, 1) == "only" => after(sentence, at),
            "when" => when_done(sentence, at),
            _ => None,
        };
        let Some((first, then)) = order else { continue };
        let goes_on = |phrase: &&Phrase| phrase.has("then") || phrase.has("next");
        if [&first, &then].iter().any(|phrase| goes_on(phrase) || phrase.is(Role::Order)) {
            // A sequence of more than two steps, or two orders in one.
            continue;
        }
        let span = sentence.stretch(0, sentence.words.len());
        found.push(Statement::new(span, StatedRelation::Before { first, then }));
    }
}

/// The clause before a word, and that behind it; where the word opens the sentence, the clause up
/// to the comma and that behind it.
pub(super) fn around(sentence: &ClauseSentence<'_>, at: usize) -> Option<(Phrase, Phrase)> {
    let opens = (0..at).all(|at| {
        matches!(
            sentence.stem(at),
            "only" | "and" | "but" | "even" | "it" | "is" | "just" | "shortly" | "not"
        )
    });
    let last = sentence.words.len();
    if opens {
        let comma = (at + 2..last).find(|at| sentence.is_parted(*at));
        // "Only when the gate has opened does the dart stir": no comma, but a verb turned round.
        let turned = (at + 2..last).find(|at| {
            matches!(sentence.stem(*at), "does" | "doe" | "do" | "did" | "can" | "will")
        });
        // "It is only after the gate has opened that the dart stirs".
        let is_cleft = 0 < at && matches!(sentence.stem(0), "it" | "it's");
        let that = (at + 2..last).find(|at| is_cleft && sentence.stem(*at) == "that");
        let parts = that.or(comma).or(turned)?;
        let from = parts + usize::from(that.is_some());
        return Some((sentence.told(from, last)?, sentence.told(at + 1, parts)?));
    }
    let start = clause_start(sentence, at);
    let end = clause_end(sentence, at + 1);
    Some((sentence.told(start, at)?, sentence.told(at + 1, end)?))
}

/// Start of the clause before a word; "and" joins here, commas part.
fn clause_start(sentence: &ClauseSentence<'_>, at: usize) -> usize {
    (1..at).rev().find(|at| sentence.is_parted(*at)).unwrap_or(0)
}

fn clause_end(sentence: &ClauseSentence<'_>, from: usize) -> usize {
    let last = sentence.words.len();
    (from + 1..last).find(|at| sentence.is_parted(*at)).unwrap_or(last)
}

fn is_denied(phrase: &Phrase) -> bool {
    phrase.is(Role::Denial)
}

/// "Before the other pilot does": what stands for the verb of the clause before.
fn with_verb(sentence: &ClauseSentence<'_>, at: usize) -> Option<(Phrase, Phrase)> {
    let last = clause_end(sentence, at + 1);
    let stands_in = matches!(sentence.stem(last.checked_sub(1)?), "does" | "doe" | "do" | "did");
    let start = clause_start(sentence, at);
    let is_verb = |at: &usize| {
        let span = sentence.words[*at].span();
        let typed = &sentence.text[span.start..span.end];
        let is_formed = typed.ends_with('s') || typed.ends_with("ed");
        is_formed && !sentence.words[*at].is_possessive() && !sentence.is_capital(*at)
    };
    let verb = (start + 1..at).rev().find(is_verb).filter(|_| stands_in)?;
    let other = sentence.told(at + 1, last - 1)?.joined(&sentence.told(verb, at)?);
    Some((sentence.told(start, at)?, other))
}

/// "A before B": first A. "Not A before B" says that A waits for B.
fn before(sentence: &ClauseSentence<'_>, at: usize) -> Option<(Phrase, Phrase)> {
    let (main, other) = with_verb(sentence, at).or_else(|| around(sentence, at))?;
    match (is_denied(&main), is_denied(&other)) {
        (false, false) => Some((main, other)),
        (true, false) => Some((other, main)),
        _ => None,
    }
}

/// "A ahead of B", "A earlier than B", "A later than B".
fn beside(sentence: &ClauseSentence<'_>, at: usize) -> Option<(Phrase, Phrase)> {
    if !matches!(sentence.stem(at + 1), "of" | "than") {
        return None;
    }
    let is_no = sentence.before(at, 1) == "no";
    let main = sentence.told(clause_start(sentence, at), at - usize::from(is_no))?;
    let other = sentence.told(at + 2, clause_end(sentence, at + 2))?;
    let is_late = sentence.stem(at) == "later";
    match (is_denied(&main) != is_no, is_late) {
        // "Cannot drop in earlier than": not before.
        (true, false) | (false, true) => Some((other, main)),
        (false, false) => Some((main, other)),
        (true, true) => None,
    }
}

/// "No sooner has A than B": first A.
fn no_sooner(sentence: &ClauseSentence<'_>, at: usize) -> Option<(Phrase, Phrase)> {
    let last = sentence.words.len();
    let than = (at + 3..last).find(|at| sentence.stem(*at) == "than")?;
    Some((sentence.told(at + 2, than)?, sentence.told(than + 1, clause_end(sentence, than + 1))?))
}

/// "A after B": first B.
fn after(sentence: &ClauseSentence<'_>, at: usize) -> Option<(Phrase, Phrase)> {
    let (main, other) = around(sentence, at)?;
    (!is_denied(&main) && !is_denied(&other)).then_some((other, main))
}

/// "Not A until B": first B. "A until B" says how long, and no order of beginnings.
fn until(sentence: &ClauseSentence<'_>, at: usize) -> Option<(Phrase, Phrase)> {
    let (main, other) = around(sentence, at)?;
    // "Waits until", "stays shut until": what ends then has not happened before.
    let is_kept = main.is(Role::Stays);
    // "Not until B does A".
    let is_turned = at == 1 && sentence.stem(0) == "not";
    (is_turned || is_denied(&main) != is_kept && !is_denied(&other)).then_some((other, main))
}

/// "A follows B", "B precedes A", "A is followed by B".
fn follows(sentence: &ClauseSentence<'_>, at: usize) -> Option<(Phrase, Phrase)> {
    let is_passive = sentence.is_before(at, 1, Role::Be);
    let from = at + 1 + usize::from(is_passive);
    if is_passive && sentence.stem(at + 1) != "by" {
        return None;
    }
    let (_, subject) = sentence.subject(at)?;
    let object = sentence.told(from, clause_end(sentence, from))?;
    let is_first = matches!(sentence.stem(at), "precede" | "followed");
    let asserted = !is_denied(&subject) && !is_denied(&object);
    asserted.then_some(if is_first { (subject, object) } else { (object, subject) })
}

/// "A as soon as B", "As soon as B, A": first B.
fn as_soon_as(sentence: &ClauseSentence<'_>, at: usize) -> Option<(Phrase, Phrase)> {
    let last = sentence.words.len();
    let (main, other) = if at == 1 {
        let comma = (at + 3..last).find(|at| sentence.is_parted(*at))?;
        (sentence.told(comma, last)?, sentence.told(at + 2, comma)?)
    } else {
        let start = clause_start(sentence, at);
        let end = clause_end(sentence, at + 2);
        (sentence.told(start, at - 1)?, sentence.told(at + 2, end)?)
    };
    (!is_denied(&main) && !is_denied(&other)).then_some((other, main))
}

/// "Once B, A": first B.
fn once(sentence: &ClauseSentence<'_>, at: usize) -> Option<(Phrase, Phrase)> {
    let (main, other) = around(sentence, at)?;
    (!is_denied(&main) && !is_denied(&other)).then_some((other, main))
}

/// "A by the time B": first A.
fn by_the_time(sentence: &ClauseSentence<'_>, at: usize) -> Option<(Phrase, Phrase)> {
    if sentence.before(at, 1) != "the" || sentence.before(at, 2) != "by" {
        return None;
    }
    let last = sentence.words.len();
    let by = at - 2;
    if by == 0 {
        let comma = (at + 2..last).find(|at| sentence.is_parted(*at));
        // "By the time the disc lifts the slide is home".
        let comma = comma.or_else(|| {
            let is_article = |at: usize| matches!(sentence.stem(at), "the" | "its");
            (at + 3..last).find(|at| is_article(*at) && !sentence.is(at - 1, Role::Glue))
        })?;
        return Some((sentence.told(comma, last)?, sentence.told(at + 1, comma)?));
    }
    let (main, other) = (
        sentence.told(clause_start(sentence, by), by)?,
        sentence.told(at + 1, clause_end(sentence, at + 1))?,
    );
    (!is_denied(&main) && !is_denied(&other)).then_some((main, other))
}

/// "A has already … when B": first A. Without "already" or the perfect it says nothing of order.
fn when_done(sentence: &ClauseSentence<'_>, at: usize) -> Option<(Phrase, Phrase)> {
    let start = clause_start(sentence, at);
    if (start..at).any(|at| sentence.stem(at) == "still") {
        // "Is still shut when": it opens behind that.
        let (main, other) =
            (sentence.told(start, at)?, sentence.told(at + 1, clause_end(sentence, at + 1))?);
        return (!is_denied(&main) && !is_denied(&other)).then_some((other, main));
    }
    if at == 0 {
        // "When the pellet leaves, the spool has already stopped".
        let last = sentence.words.len();
        let comma = (2..last).find(|at| sentence.is_parted(*at))?;
        let is_long = |at: usize| {
            sentence.stem(at) == "long" && matches!(sentence.stem(at + 1), "gone" | "since" | "ago")
        };
        let is_done = (comma..last).any(|at| sentence.stem(at) == "already" || is_long(at));
        let (main, other) = (sentence.told(comma, last)?, sentence.told(1, comma)?);
        return (is_done && !is_denied(&main) && !is_denied(&other)).then_some((main, other));
    }
    let is_done = (start..at).any(|at| {
        matches!(sentence.stem(at), "already") || matches!(sentence.stem(at), "ha" | "has" | "have")
    });
    if !is_done {
        return None;
    }
    let main = sentence.told(start, at)?;
    let other = sentence.told(at + 1, clause_end(sentence, at + 1))?;
    (!is_denied(&main) && !is_denied(&other)).then_some((main, other))
}

/// "First A, then B, and only then C"; "A first, B second, C third"; "once A, B, next C". Finely,
/// each comma begins a step.
fn sequence(sentence: &ClauseSentence<'_>, is_fine: bool) -> Option<Statement> {
    let tail = tail(sentence);
    let last = tail.unwrap_or(sentence.words.len());
    let begins = |at: usize| {
        let is_next =
            sentence.is(at, Role::Next) && (sentence.is_parted(at) || joined(sentence, at));
        let numbers = sentence.is_parted(at)
            && (at..(at + 8).min(last))
                .take_while(|here| *here == at || !sentence.is_parted(*here))
                .any(|at| sentence.is(at, Role::Ordinal) && sentence.stem(at) != "first");
        is_next || numbers || begins_later(sentence, at)
    };
    // "And only then": these words belong to the step.
    let leads = |at: &usize| matches!(sentence.before(*at, 1), "and" | "only" | "but");
    let start = |at: usize| (1..=at).rev().find(|at| !leads(at)).unwrap_or(at);
    let mut cuts: Vec<usize> = (1..last).filter(|at| begins(*at)).map(start).collect();
    let head = heading(sentence);
    let is_told = !cuts.is_empty() || head.is_some() || tail.is_some();
    let mut is_listed = false;
    let commas: Vec<usize> = (1..last).filter(|at| sentence.is_parted(*at)).collect();
    let is_list = 1 < commas.len() && (is_fine || cuts.is_empty());
    if is_list {
        // "The feed vents, the flap turns, the dome empties": told in the order of the clauses.
        cuts.extend(listed(commas, sentence, last));
        cuts.extend(opening(sentence));
        is_listed = true;
    } else if is_fine {
        return None;
    } else if let Some(cut) = opening(sentence) {
        cuts.insert(0, cut);
    } else if cuts.is_empty() {
        return None;
    }
    let mut from = 0;
    let mut last = last;
    if let Some((head, is_before)) = head {
        // "In order: A, B, C", "A, B, C: so runs the shot".
        cuts.retain(|cut| *cut != head);
        match is_before {
            true => from = head,
            false => last = head,
        }
    }
    cuts.retain(|cut| from < *cut && *cut < last);
    cuts.push(last);
    cuts.sort_unstable();
    cuts.dedup();
    let mut steps = Vec::new();
    for cut in cuts {
        let step = sentence.told(from, cut)?;
        // An apposition is no step.
        let names = step
            .words
            .iter()
            .filter(|word| !matches!(word.stem.as_str(), "the" | "a" | "an" | "and" | "its"));
        let names = names.count();
        // "As soon as A, and before B, C" is no list.
        let opens = from == 0 && matches!(sentence.stem(0), "once" | "when" | "after");
        let is_ordered = is_listed && step.is(Role::Order) && !opens;
        let is_bare = names < 2 && !step.has("last") && !is_told;
        if is_denied(&step) || is_ordered || is_bare {
            return None;
        }
        steps.push(step);
        from = cut;
    }
    let span = sentence.stretch(0, sentence.words.len());
    (1 < steps.len()).then_some(Statement::new(span, StatedRelation::Sequence { steps, is_told }))
}

/// Where what stands before a colon or a semicolon, or behind it, only says that an order is told;
/// and whether it is what stands before.
fn heading(sentence: &ClauseSentence<'_>) -> Option<(usize, bool)> {
    let last = sentence.words.len();
    let speaks = |from: usize, to: usize| {
        let says =
            |at: usize| matches!(sentence.stem(at), "order" | "run" | "sequence" | "turn" | "shot");
        let is_list = (from + 1..to).filter(|at| sentence.is_parted(*at)).count() > 1;
        // "So runs the shot", "that is how it goes", "there you have it".
        let points = |at: usize| {
            matches!(sentence.stem(at), "so" | "thus" | "that" | "this" | "thi" | "there" | "such")
        };
        let points_on = |at: usize| {
            matches!(sentence.stem(at), "this" | "thi" | "follow" | "thus") && at + 1 == to
        };
        !is_list && ((from..to).any(says) || points(from) || (from..to).any(points_on))
    };
    (1..last).filter(|at| sentence.gap(*at).contains([':', ';'])).find_map(|at| {
        match (speaks(0, at), speaks(at, last)) {
            (true, _) => Some((at, true)),
            (false, true) => Some((at, false)),
            _ => None,
        }
    })
}

/// Where a list ends whose last words only say that it is an order: "…, in that order", "…, one
/// after the other", "A, B, C is the order".
fn tail(sentence: &ClauseSentence<'_>) -> Option<usize> {
    let last = sentence.words.len();
    let commas = (1..last).filter(|at| sentence.is_parted(*at)).count();
    let ends = |at: &usize| {
        let next = |by: usize| sentence.stem(at + by);
        match sentence.stem(*at) {
            "in" => next(1) == "turn" || next(2) == "order",
            "one" => matches!(next(1), "after" | "by"),
            "is" | "are" | "was" | "wa" => {
                next(1) == "the"
                    && matches!(next(2), "order" | "sequence")
                    && !sentence.is_parted(*at)
            }
            _ => false,
        }
    };
    (2..last).find(ends).filter(|_| 1 < commas)
}

/// Where the clauses of a list begin: at its commas and at the "and" before its last.
fn listed(mut commas: Vec<usize>, sentence: &ClauseSentence<'_>, end: usize) -> Vec<usize> {
    if let Some(from) = commas.last().copied()
        && let Some(and) = (from + 1..end).find(|at| sentence.stem(*at) == "and")
    {
        commas.push(and);
    }
    commas
}

/// "A first and B only afterwards": where B starts.
fn begins_later(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    let is_late = |at: usize| sentence.is(at, Role::Next) || sentence.stem(at) == "later";
    let last = sentence.words.len();
    // "A, and B afterwards".
    let ends_late = || sentence.is_parted(at) && sentence.stem(last - 1) == "afterward";
    sentence.stem(at) == "and"
        && ((0..at).any(|at| sentence.stem(at) == "first") || ends_late())
        && (at + 2..last).any(is_late)
}

/// "… and then", "… and only then".
fn joined(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    let back = usize::from(sentence.before(at, 1) == "only");
    sentence.before(at, 1 + back) == "and"
}

/// "Once the lever is let go the sump empties": where the second clause starts.
fn opening(sentence: &ClauseSentence<'_>) -> Option<usize> {
    if !matches!(sentence.stem(0), "once" | "when" | "after") {
        return None;
    }
    let verb = (1..sentence.words.len().min(8)).find(|at| sentence.is(*at, Role::Be))?;
    let cut = verb + 2;
    (cut < sentence.words.len()).then_some(cut)
}

/// "… By then B": B first. "… Then B", "… Only then B": B behind what the sentence before says.
pub(super) fn across(before: &Phrase, sentence: &ClauseSentence<'_>) -> Option<Statement> {
    let last = sentence.words.len();
    let (from, is_first) = then_words(sentence)?;
    let this = sentence.told(from, last)?;
    if is_denied(&this) || is_denied(before) {
        return None;
    }
    let before = before.clone();
    let (first, then) = if is_first { (this, before) } else { (before, this) };
    let span = sentence.stretch(0, last);
    Some(Statement::new(span, StatedRelation::Before { first, then }))
}

/// Whether a sentence says when something is beside what the sentence before says.
pub(super) fn follows_on(sentence: &ClauseSentence<'_>) -> bool {
    then_words(sentence).is_some()
}

/// How many words at the start say when, and whether they say that it comes first.
fn then_words(sentence: &ClauseSentence<'_>) -> Option<(usize, bool)> {
    match (sentence.stem(0), sentence.stem(1)) {
        ("by", "then") => Some((2, true)),
        ("only" | "after", "then" | "that") => Some((2, false)),
        ("then" | "next" | "thereupon", _) => Some((1, false)),
        _ => None,
    }
}
