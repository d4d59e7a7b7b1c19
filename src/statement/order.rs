//! "A before B", "B only after A", "once A, B", "not B until A".

use super::clause::{Phrase, Sentence};
use super::{Relation, Statement};

pub(super) fn read(sentence: &Sentence<'_>, found: &mut Vec<Statement>) {
    for at in 0..sentence.words.len() {
        let order = match sentence.stem(at) {
            "before" => before(sentence, at),
            "after" => after(sentence, at),
            "until" => until(sentence, at),
            "once" => once(sentence, at),
            "time" => by_the_time(sentence, at),
            "when" => when_done(sentence, at),
            _ => None,
        };
        let Some((first, then)) = order else { continue };
        let span = sentence.stretch(0, sentence.words.len());
        found.push(Statement { span, relation: Relation::Before { first, then } });
    }
}

/// The clause before a word, and that behind it; where the word opens the sentence, the clause up
/// to the comma and that behind it.
fn around(sentence: &Sentence<'_>, at: usize) -> Option<(Phrase, Phrase)> {
    let opens = (0..at).all(|at| {
        matches!(
            sentence.stem(at),
            "only" | "and" | "but" | "even" | "it" | "is" | "just" | "shortly"
        )
    });
    let last = sentence.words.len();
    if opens {
        let comma = (at + 2..last).find(|at| sentence.is_parted(*at));
        // "Only after the nose has cleared does the pod move": no comma, but a verb turned round.
        let turned =
            (at + 2..last).find(|at| matches!(sentence.stem(*at), "does" | "doe" | "do" | "did"));
        let parts = comma.or(turned)?;
        return Some((sentence.phrase(parts, last)?, sentence.phrase(at + 1, parts)?));
    }
    let start = clause_start(sentence, at);
    let end = clause_end(sentence, at + 1);
    Some((sentence.phrase(start, at)?, sentence.phrase(at + 1, end)?))
}

/// Start of the clause before a word; "and" joins here, commas part.
fn clause_start(sentence: &Sentence<'_>, at: usize) -> usize {
    (1..at).rev().find(|at| sentence.is_parted(*at)).unwrap_or(0)
}

fn clause_end(sentence: &Sentence<'_>, from: usize) -> usize {
    let last = sentence.words.len();
    (from + 1..last).find(|at| sentence.is_parted(*at)).unwrap_or(last)
}

fn is_denied(phrase: &Phrase) -> bool {
    ["not", "never", "doesn't", "don't", "no", "nor"].iter().any(|word| phrase.has(word))
}

/// "A before B": first A. "Not A before B" says that A waits for B.
fn before(sentence: &Sentence<'_>, at: usize) -> Option<(Phrase, Phrase)> {
    let (main, other) = around(sentence, at)?;
    match (is_denied(&main), is_denied(&other)) {
        (false, false) => Some((main, other)),
        (true, false) => Some((other, main)),
        _ => None,
    }
}

/// "A after B": first B.
fn after(sentence: &Sentence<'_>, at: usize) -> Option<(Phrase, Phrase)> {
    let (main, other) = around(sentence, at)?;
    (!is_denied(&main) && !is_denied(&other)).then_some((other, main))
}

/// "Not A until B": first B. "A until B" says how long, and no order of beginnings.
fn until(sentence: &Sentence<'_>, at: usize) -> Option<(Phrase, Phrase)> {
    let (main, other) = around(sentence, at)?;
    (is_denied(&main) && !is_denied(&other)).then_some((other, main))
}

/// "Once B, A": first B.
fn once(sentence: &Sentence<'_>, at: usize) -> Option<(Phrase, Phrase)> {
    let (main, other) = around(sentence, at)?;
    (!is_denied(&main) && !is_denied(&other)).then_some((other, main))
}

/// "A by the time B": first A.
fn by_the_time(sentence: &Sentence<'_>, at: usize) -> Option<(Phrase, Phrase)> {
    if sentence.before(at, 1) != "the" || sentence.before(at, 2) != "by" {
        return None;
    }
    let last = sentence.words.len();
    let by = at - 2;
    if by == 0 {
        let comma = (at + 2..last).find(|at| sentence.is_parted(*at))?;
        return Some((sentence.phrase(comma, last)?, sentence.phrase(at + 1, comma)?));
    }
    let (main, other) = (
        sentence.phrase(clause_start(sentence, by), by)?,
        sentence.phrase(at + 1, clause_end(sentence, at + 1))?,
    );
    (!is_denied(&main) && !is_denied(&other)).then_some((main, other))
}

/// "A has already … when B": first A. Without "already" or the perfect it says nothing of order.
fn when_done(sentence: &Sentence<'_>, at: usize) -> Option<(Phrase, Phrase)> {
    let start = clause_start(sentence, at);
    let is_done = (start..at).any(|at| {
        matches!(sentence.stem(at), "already") || matches!(sentence.stem(at), "ha" | "has" | "have")
    });
    if !is_done || at == 0 {
        return None;
    }
    let main = sentence.phrase(start, at)?;
    let other = sentence.phrase(at + 1, clause_end(sentence, at + 1))?;
    (!is_denied(&main) && !is_denied(&other)).then_some((main, other))
}
