//! The forms in which a sentence may be read: whole, without what stands in brackets or between
//! commas, and clause by clause.

use super::clause::{ClauseSentence, ClauseWord};
use super::lexicon::Role;
use super::sayings::FILLERS;
use std::borrow::Cow;

/// The sentence without words that only open or soften it.
pub(super) fn without_fillers<'s, 'a>(
    sentence: &'s ClauseSentence<'a>,
) -> Cow<'s, ClauseSentence<'a>> {
    let last = sentence.words.len();
    let mut kept = vec![true; last];
    for at in 0..last {
        let length = FILLERS.at(sentence, at).or_else(|| source_trusted(sentence, at));
        kept[at..(at + length.unwrap_or(0)).min(last)].fill(false);
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

/// "If the log is right,": how many words.
fn source_trusted(sentence: &ClauseSentence<'_>, at: usize) -> Option<usize> {
    if sentence.stem(at) != "if" {
        return None;
    }
    let last = sentence.words.len();
    let end = (at + 2..last.min(at + 10)).find(|at| sentence.is_parted(*at)).unwrap_or(last);
    sentence.is_before(end, 1, Role::Trusted).then_some(end - at)
}

/// The readings of a sentence beside the plainest, which is the whole of it.
pub(super) fn others<'a>(sentence: &ClauseSentence<'a>) -> Vec<ClauseSentence<'a>> {
    let mut found = Vec::new();
    found.extend(without_asides(sentence));
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

/// Without what stands in brackets, and between commas behind a word that adds something.
fn without_asides<'a>(sentence: &ClauseSentence<'a>) -> Option<ClauseSentence<'a>> {
    let last = sentence.words.len();
    let mut kept = vec![true; last];
    let mut at = 1;
    while at < last {
        let is_aside = sentence.is_parted(at) && sentence.is(at, Role::Aside);
        let end = (at + 1..last).find(|end| sentence.is_parted(*end));
        let ends_so = end.is_some_and(|end| {
            matches!(sentence.stem(end - 1), "included" | "excluded") && end < at + 5
        });
        let is_aside = is_aside || sentence.is_parted(at) && ends_so;
        match end.filter(|_| is_aside) {
            Some(end) => {
                kept[at..end].fill(false);
                at = end;
            }
            None if is_aside && matches!(sentence.stem(at), "which" | "who" | "though") => {
                kept[at..].fill(false);
                break;
            }
            None => at += 1,
        }
    }
    sentence.keeping(&kept)
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
