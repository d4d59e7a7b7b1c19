//! "Weighs under 30 g", "keeps within 12 ms", "at least 50 m/s is what Gorse gives".

use super::clause::{ClauseSentence, Phrase};
use super::degree::Sense;
use super::lexicon::{Role, Roles};
use super::{StatedRelation, Statement, Than};

/// Words of a bound that stand right before its figure.
#[rustfmt::skip]
const BOUNDS: [(&[&str], Than); 34] = [
    (&["reach"], Than::NotLess),
    (&["reache"], Than::NotLess),
    (&["at", "least"], Than::NotLess),
    (&["at", "the", "least"], Than::NotLess),
    (&["at", "most"], Than::NotMore),
    (&["at", "the", "most"], Than::NotMore),
    (&["not", "quite"], Than::Less),
    (&["short", "of"], Than::Less),
    (&["shy", "of"], Than::Less),
    (&["as", "much", "as"], Than::NotLess),
    (&["as", "little", "as"], Than::NotMore),
    (&["as", "many", "as"], Than::NotLess),
    (&["better", "than"], Than::More),
    (&["upwards", "of"], Than::More),
    (&["upward", "of"], Than::More),
    (&["in", "excess", "of"], Than::More),
    (&["exceed"], Than::More),
    (&["exceeds"], Than::More),
    (&["exceeded"], Than::More),
    (&["exceeding"], Than::More),
    (&["top"], Than::More),
    (&["beat"], Than::More),
    (&["pass"], Than::More),
    (&["passe"], Than::More),
    (&["within"], Than::NotMore),
    (&["inside"], Than::NotMore),
    (&["up", "to"], Than::NotMore),
    (&["below"], Than::Less),
    (&["beneath"], Than::Less),
    (&["above"], Than::More),
    (&["over"], Than::More),
    (&["beyond"], Than::More),
    (&["under"], Than::Less),
    (&["underneath"], Than::Less),
];

/// Words of a bound behind its figure.
#[rustfmt::skip]
const AFTER: [(&[&str], Than); 8] = [
    (&["at", "the", "least"], Than::NotLess),
    (&["at", "least"], Than::NotLess),
    (&["or", "more"], Than::NotLess),
    (&["or", "better"], Than::NotLess),
    (&["at", "the", "most"], Than::NotMore),
    (&["at", "most"], Than::NotMore),
    (&["or", "less"], Than::NotMore),
    (&["or", "under"], Than::NotMore),
];

/// Words that may stand between a bound and its figure.
const BETWEEN: [&str; 5] = ["just", "a", "some", "the", "about"];

/// Whether a sentence with words of these roles may hold any of this.
pub(super) fn wakes(says: Roles) -> bool {
    says.has(Role::Bounds) && says.meets(Roles::IN_FIGURES)
}

pub(super) fn read(sentence: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
    let mut at = 0;
    while at < sentence.words.len() {
        let Some(figure) = sentence.figure_at(at) else {
            at += 1;
            continue;
        };
        let first = at;
        while sentence.figure_at(at) == Some(figure) {
            at += 1;
        }
        found.extend(bound(sentence, (first, at)));
    }
}

fn bound(sentence: &ClauseSentence<'_>, (first, end): (usize, usize)) -> Option<Statement> {
    let stands = |words: &[&str], from: usize| {
        words.iter().enumerate().all(|(index, word)| sentence.stem(from + index) == *word)
    };
    let mut close = first;
    while 0 < close && BETWEEN.contains(&sentence.before(close, 1)) {
        close -= 1;
    }
    let listed = BOUNDS.iter().find_map(|(words, than)| {
        let from = close.checked_sub(words.len())?;
        stands(words, from).then_some((from, *than))
    });
    let behind = AFTER.iter().find_map(|(words, than)| {
        (stands(words, end) && !sentence.is_parted(end)).then_some((
            first,
            *than,
            end + words.len(),
        ))
    });
    let (from, mut than, to) = match listed.or_else(|| than_before(sentence, close)) {
        Some((from, than)) => (from, than, end),
        None => behind?,
    };
    // "Good to within 4 psi", "held within": how far it may be off, not how much it is.
    let tells_error = sentence.stem(from) == "within"
        && matches!(
            sentence.before(from, 1),
            "to" | "held" | "hold" | "good" | "known" | "accurate"
        );
    if tells_error {
        return None;
    }
    let what = beside(sentence, (from, to))?;
    let denials = (0..sentence.words.len())
        .filter(|at| !(from..to).contains(at) && sentence.is(*at, Role::Denial));
    than = match denials.count() {
        0 => than,
        1 => than.denied(),
        _ => return None,
    };
    // What is set beside a figure by "when" or "after" claims something else.
    let claims = (0..sentence.words.len()).any(|at| {
        matches!(sentence.stem(at), "when" | "after" | "before" | "until" | "once" | "if")
    });
    let figure = sentence.figure_at(first)?;
    let span = sentence.stretch(0, sentence.words.len());
    let relation = StatedRelation::Bound { what, than, figure };
    (!claims).then_some(Statement::new(span, relation))
}

/// "Longer than", "no more than", right before a place.
fn than_before(sentence: &ClauseSentence<'_>, close: usize) -> Option<(usize, Than)> {
    let at = close.checked_sub(2).filter(|_| sentence.before(close, 1) == "than")?;
    let degree = sentence.comparative(at)?;
    let (_, sense) = degree.senses.first()?;
    let than = match sense {
        Sense::Up => Than::More,
        Sense::Down => Than::Less,
    };
    let is_denied = sentence.is_before(at, 1, Role::Denial);
    Some(if is_denied { (at - 1, than.denied()) } else { (at, than) })
}

/// The words of a clause beside a bound.
fn beside(sentence: &ClauseSentence<'_>, (from, to): (usize, usize)) -> Option<Phrase> {
    let before = sentence.phrase(0, from);
    let behind = sentence.phrase(to, sentence.words.len());
    match (before, behind) {
        (Some(before), Some(behind)) => Some(before.joined(&behind)),
        (before, behind) => before.or(behind),
    }
}
