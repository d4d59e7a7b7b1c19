//! "weighs less than 25 g", "stays within 10 ms", "at least 60 m/s is what the A delivers".

use super::clause::{BE, ClauseSentence};
use super::{StatedRelation, Statement, Than};

/// Words of a bound that stand right before its figure.
const BOUNDS: [(&[&str], Than); 20] = [
    (&["at", "least"], Than::NotLess),
    (&["at", "most"], Than::NotMore),
    (&["no", "more", "than"], Than::NotMore),
    (&["no", "less", "than"], Than::NotLess),
    (&["not", "more", "than"], Than::NotMore),
    (&["not", "less", "than"], Than::NotLess),
    (&["more", "than"], Than::More),
    (&["less", "than"], Than::Less),
    (&["fewer", "than"], Than::Less),
    (&["heavier", "than"], Than::More),
    (&["lighter", "than"], Than::Less),
    (&["longer", "than"], Than::More),
    (&["shorter", "than"], Than::Less),
    (&["as", "much", "as"], Than::NotLess),
    (&["exceed"], Than::More),
    (&["exceeds"], Than::More),
    (&["within"], Than::NotMore),
    (&["below"], Than::Less),
    (&["above"], Than::More),
    (&["under"], Than::Less),
];

/// Words of a bound behind its figure.
const AFTER: [(&[&str], Than); 6] = [
    (&["at", "the", "least"], Than::NotLess),
    (&["at", "least"], Than::NotLess),
    (&["or", "more"], Than::NotLess),
    (&["at", "the", "most"], Than::NotMore),
    (&["at", "most"], Than::NotMore),
    (&["or", "less"], Than::NotMore),
];

/// Verbs by which a bound is claimed, in the form in which words are compared.
const VERBS: [&str; 34] = [
    "stay", "remain", "keep", "weigh", "run", "go", "come", "get", "last", "take", "deliver",
    "reach", "reache", "hold", "measure", "leave", "do", "doe", "does", "ha", "has", "have", "had",
    "need", "use", "spend", "cost", "travel", "move", "throw", "give", "rise", "fall", "drop",
];

/// Words of a figure at the most: "8", "5", "m", "s".
const MOST_OF_A_FIGURE: usize = 5;

pub(super) fn read(sentence: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
    let mut at = 0;
    while at < sentence.words.len() {
        let is_figure = sentence.stem(at).bytes().next().is_some_and(|byte| byte.is_ascii_digit());
        if is_figure {
            found.extend(bound(sentence, at));
            while at + 1 < sentence.words.len() && sentence.touches(at + 1) {
                at += 1;
            }
        }
        at += 1;
    }
}

fn bound(sentence: &ClauseSentence<'_>, number: usize) -> Option<Statement> {
    let stands = |words: &[&str], from: usize| {
        words.iter().enumerate().all(|(index, word)| sentence.stem(from + index) == *word)
    };
    let close = sentence.phrase_end(number + 1);
    let before = BOUNDS.iter().find_map(|(words, than)| {
        let first = number.checked_sub(words.len())?;
        stands(words, first).then_some((first, *than))
    });
    if let Some((first, than)) = before {
        let turn = |at: &usize| {
            matches!(sentence.stem(*at), "in" | "of" | "for" | "with" | "to" | "from" | "on" | "at")
                || BE.contains(&sentence.stem(*at))
        };
        let end = (number + 1..close).find(turn).unwrap_or(close);
        let figure = sentence.stretch(number, end);
        if BE.contains(&sentence.stem(end)) && sentence.stem(end + 1) == "what" {
            // "At least 60 m/s is what the A delivers".
            let what = sentence.phrase(end + 2, close)?;
            let span = sentence.stretch(first, close);
            return Some(Statement {
                span,
                relation: StatedRelation::Bound { what, than, figure },
            });
        }
        return stated(sentence, first, end, figure, than);
    }
    let last = (number + 1..(number + MOST_OF_A_FIGURE).min(close))
        .find_map(|at| Some((at, AFTER.iter().find(|(words, _)| stands(words, at))?.1)));
    let (end, than) = last?;
    stated(sentence, number, end, sentence.stretch(number, end), than)
}

/// The subject stands before the bound, or before the figure.
fn stated(
    sentence: &ClauseSentence<'_>,
    first: usize,
    end: usize,
    figure: crate::text::Span,
    than: Than,
) -> Option<Statement> {
    let verb = sentence.before(first, 1);
    if !BE.contains(&verb) && !VERBS.contains(&verb) {
        // "A dwell below 15 ms starts …" says of what size, and claims something else.
        return None;
    }
    let (start, what) = sentence.subject(first)?;
    let denies = |word: &&str| what.has(word);
    let count = ["no", "not", "neither", "never", "nothing", "don't", "doesn't", "isn't"]
        .iter()
        .filter(|word| denies(word))
        .count();
    let than = match count {
        0 => than,
        1 => than.denied(),
        _ => return None,
    };
    let span = sentence.stretch(start, end);
    Some(Statement { span, relation: StatedRelation::Bound { what, than, figure } })
}
