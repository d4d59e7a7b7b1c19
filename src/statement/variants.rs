//! The forms in which a sentence may be read: whole, without what stands in brackets or between
//! commas, and clause by clause.

use super::clause::ClauseSentence;
use super::light::is_verb;
use crate::folio::words::TextWord;
use std::collections::HashMap;
use std::sync::LazyLock;

/// Words that say how sure a writer is, or only open a sentence: what it claims stays checkable.
const FILLERS: [&str; 44] = [
    "i think",
    "we think",
    "i believe",
    "we believe",
    "i find",
    "we find",
    "i should say",
    "as far as i know",
    "as far as we know",
    "as far as i can tell",
    "as far as we can tell",
    "in my opinion",
    "as it happen",
    "in fact",
    "in truth",
    "of course",
    "to be fair",
    "to be exact",
    "to be sure",
    "for what it's worth",
    "for the record",
    "at the end of the day",
    "all in all",
    "on the whole",
    "in the end",
    "after all",
    "mind you",
    "by the way",
    "in short",
    "that said",
    "if anything",
    "so to speak",
    "as you can see",
    "as we have seen",
    "more to the point",
    "like for like",
    "side by side",
    "let us be clear",
    "make no mistake",
    "remember that",
    "note that",
    "notice that",
    "mark that",
    "bear in mind that",
];

/// The words of fillers, by their first one.
static BY_FIRST_WORD: LazyLock<HashMap<&str, Vec<Vec<&str>>>> = LazyLock::new(|| {
    let mut fillers: HashMap<&str, Vec<Vec<&str>>> = HashMap::new();
    for words in FILLERS.iter().map(|filler| filler.split(' ').collect::<Vec<_>>()) {
        fillers.entry(words[0]).or_default().push(words);
    }
    fillers
});

/// Words that open a sentence and name nothing.
const OPENERS: [&str; 8] = ["and", "but", "so", "yet", "still", "well", "now", "oddly"];

/// Words by which "if …" only says how far a source is to be trusted.
const TRUSTED: [&str; 6] = ["right", "correct", "believed", "trusted", "true", "by"];

/// Words that begin what is told between commas and may be left out.
const ASIDES: [&str; 19] = [
    "when", "which", "who", "whose", "though", "although", "a", "an", "like", "unlike", "being",
    "as", "with", "at", "even", "reckoned", "of", "in", "itself",
];

/// The sentence without words that only open or soften it.
pub(super) fn without_fillers<'a>(sentence: &ClauseSentence<'a>) -> ClauseSentence<'a> {
    let last = sentence.words.len();
    let mut kept = vec![true; last];
    for at in 0..last {
        let fillers = BY_FIRST_WORD.get(sentence.stem(at)).into_iter().flatten();
        let stands = |filler: &&Vec<&str>| {
            (0..filler.len()).all(|step| sentence.stem(at + step) == filler[step])
        };
        let length = fillers.clone().find(stands).map(Vec::len);
        let length = length.or_else(|| source_trusted(sentence, at));
        kept[at..(at + length.unwrap_or(0)).min(last)].fill(false);
    }
    let mut first = (0..last).find(|at| kept[*at]).unwrap_or(0);
    while OPENERS.contains(&sentence.stem(first))
        && sentence.stem(first + 1) != "long"
        && first + 3 < last
    {
        kept[first] = false;
        first += 1;
    }
    let mut clause = sentence.of_words((0..last).filter(|at| kept[*at]));
    clause.span = sentence.span;
    clause
}

/// "If the log is right,": how many words.
fn source_trusted(sentence: &ClauseSentence<'_>, at: usize) -> Option<usize> {
    if sentence.stem(at) != "if" {
        return None;
    }
    let last = sentence.words.len();
    let end = (at + 2..last.min(at + 10)).find(|at| sentence.is_parted(*at)).unwrap_or(last);
    TRUSTED.contains(&sentence.before(end, 1)).then_some(end - at)
}

/// The readings of a sentence, the plainest first.
pub(super) fn variants<'a>(sentence: &ClauseSentence<'a>) -> Vec<ClauseSentence<'a>> {
    let mut found = vec![sentence.clone()];
    let plain = without_asides(sentence);
    if plain.words.len() < sentence.words.len() {
        found.push(plain);
    }
    let pieces = clauses(sentence);
    if 1 < pieces.len() {
        let mut subject: Option<Vec<TextWord>> = None;
        for piece in pieces {
            let clause = match (&subject, standing_in(&piece)) {
                (Some(subject), Some(count)) => piece.with_subject(count, subject),
                _ => piece,
            };
            subject = subject_of(&clause).or(subject);
            let plain = without_asides(&clause);
            if plain.words.len() < clause.words.len() {
                found.push(plain);
            }
            found.push(clause);
        }
    }
    found
}

/// Without what stands in brackets, and between commas behind a word that adds something.
fn without_asides<'a>(sentence: &ClauseSentence<'a>) -> ClauseSentence<'a> {
    let last = sentence.words.len();
    let mut kept = vec![true; last];
    let mut at = 1;
    while at < last {
        let is_aside = sentence.is_parted(at) && ASIDES.contains(&sentence.stem(at));
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
    sentence.of_words((0..last).filter(|at| kept[*at]))
}

/// The clauses of a sentence: parted by strong marks, and by conjunctions behind a comma.
fn clauses<'a>(sentence: &ClauseSentence<'a>) -> Vec<ClauseSentence<'a>> {
    const JOINTS: [&str; 15] = [
        "and", "but", "while", "wherea", "whereas", "yet", "so", "because", "since", "though",
        "although", "which", "neither", "not", "nor",
    ];
    let last = sentence.words.len();
    let mut cuts = vec![0];
    if matches!(sentence.stem(0), "since" | "because" | "although" | "though") {
        // "Since the land was turned down, the latch is lighter".
        cuts.extend((1..last).find(|at| sentence.is_parted(*at)));
    }
    for at in 1..last {
        let gap = match (sentence.words.get(at - 1), sentence.words.get(at)) {
            (Some(before), Some(word)) => sentence.text.get(before.span.end..word.span.start),
            _ => None,
        };
        let is_strong = gap.is_some_and(|gap| gap.contains([';', ':', '—', '–']));
        let stem = sentence.stem(at);
        let joins = JOINTS.contains(&stem);
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
        let skips = JOINTS.contains(&sentence.stem(from)) && sentence.stem(from) != "which";
        sentence.of_words(from + usize::from(skips && 0 < from)..to)
    };
    pairs.map(piece).collect()
}

/// How many words of a clause stand in for the subject of the one before it.
fn standing_in(clause: &ClauseSentence<'_>) -> Option<usize> {
    match clause.stem(0) {
        "it" | "they" | "which" | "this" | "thi" => Some(1),
        // "… and holds twice as much": the subject is not said again.
        stem if is_verb(stem) => Some(0),
        _ => None,
    }
}

/// The words before the first verb.
fn subject_of(clause: &ClauseSentence<'_>) -> Option<Vec<TextWord>> {
    let verb = (1..clause.words.len()).find(|at| is_verb(clause.stem(*at)))?;
    let start = (1..verb).rev().find(|at| clause.is_parted(*at)).unwrap_or(0);
    (verb - start < 7).then(|| clause.words[start..verb].to_vec())
}
