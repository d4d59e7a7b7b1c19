//! What a clause asserts where none of the forms that the other files know fits it: of which sort
//! it is, as what its words may do tells. Whoever knows the names says what it is about.

use super::clause::ClauseSentence;
use super::lexicon::{Role, Roles};
use super::{StatedRelation, Statement};

/// Of which sort an assertion is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum AssertionFrame {
    /// "Because the spring is weak".
    Cause,
    /// "Before", "next", "once".
    Order,
    /// "Went up by one bar".
    Change,
    /// "Never climbs past 3 bar".
    Bound,
    /// "Three springs".
    Count,
    /// "Wider", "twice", "the same".
    Degree,
    /// What pushes, parts, feeds or trips what.
    Doing,
    /// "Open", "shut".
    Standing,
}

/// The words that tell each sort.
const TOLD_BY: [(AssertionFrame, Roles); 8] = [
    (AssertionFrame::Cause, Roles::of(&[Role::Cause])),
    (
        AssertionFrame::Order,
        Roles::of(&[Role::Order, Role::Next, Role::Ordinal, Role::When, Role::Listed]),
    ),
    (AssertionFrame::Change, Roles::of(&[Role::Alters, Role::Grows, Role::Shrinks, Role::Changed])),
    (AssertionFrame::Bound, Roles::of(&[Role::Bounds])),
    (AssertionFrame::Count, Roles::of(&[Role::Cardinal, Role::None, Role::Counts])),
    (AssertionFrame::Degree, DEGREES),
    (AssertionFrame::Doing, DOINGS.and(Role::Takes)),
    (AssertionFrame::Standing, Roles::of(&[Role::Open, Role::Shut])),
];

const DEGREES: Roles = Roles::of(&[
    Role::Comparative,
    Role::Superlative,
    Role::Factor,
    Role::Alike,
    Role::Outdoing,
    Role::Differs,
    Role::As,
]);

const DOINGS: Roles = Roles::of(&[
    Role::Parts,
    Role::Between,
    Role::Pushes,
    Role::Feeds,
    Role::Draws,
    Role::Empties,
    Role::Passes,
    Role::Reaches,
    Role::Connects,
    Role::Leads,
]);

/// Whether a sentence with words of these roles may assert anything.
pub(super) fn wakes(says: Roles) -> bool {
    TOLD_BY.iter().any(|(_, words)| says.meets(*words))
}

pub(super) fn read(sentence: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
    let says = sentence.roles();
    let last = sentence.words.len();
    let is_amount = || (0..last).any(|at| sentence.figure_at(at).is_some());
    let stands = |frame: &AssertionFrame| match frame {
        AssertionFrame::Order => tells_order(sentence),
        AssertionFrame::Change => says.has(Role::Extent) && is_amount() || says.has(Role::Changed),
        AssertionFrame::Bound => is_amount() && (0..last).any(|at| is_bounded(sentence, at)),
        AssertionFrame::Degree => !seems(sentence) && (0..last).any(|at| compares(sentence, at)),
        // "The body has two rings": what has something takes nothing.
        AssertionFrame::Doing => says.meets(DOINGS) || says.has(Role::OfAir),
        _ => true,
    };
    let told = TOLD_BY.iter().filter(|(_, words)| says.meets(*words));
    let frames: Vec<AssertionFrame> = told.map(|(frame, _)| *frame).filter(stands).collect();
    if frames.is_empty() || !asserts(sentence) {
        return;
    }
    let Some(said) = sentence.told(0, last) else { return };
    let relation = StatedRelation::Asserted { said, frames, is_past: is_past(sentence) };
    found.push(Statement::new(sentence.stretch(0, last), relation));
}

/// Whether a sentence tells what comes before what: by a word that says so, by two that number, or
/// by a list of short clauses.
fn tells_order(sentence: &ClauseSentence<'_>) -> bool {
    let last = sentence.words.len();
    let joins = |at: usize| match sentence.stem(at) {
        // "At once", "more than once".
        "once" => !matches!(sentence.before(at, 1), "at" | "than" | "all"),
        "time" => sentence.before(at, 2) == "by" || sentence.stem(at + 1) == "that",
        "order" => sentence.before(at, 1) == "that" || sentence.before(at, 1) == "in",
        "then" => sentence.is_parted(at) || matches!(sentence.before(at, 1), "and" | "only"),
        "as" => sentence.stem(at + 1) == "soon",
        "when" => sentence.has(Role::Done) || sentence.has(Role::Denial),
        _ => sentence.is(at, Role::Order) || sentence.is(at, Role::Next),
    };
    let mut numbers: Vec<&str> = (0..last)
        .filter(|at| sentence.is(*at, Role::Ordinal) || sentence.stem(*at) == "next")
        .filter(|at| sentence.is_parted(at + 1) || at + 1 == last || *at == 0)
        .map(|at| sentence.stem(at))
        .collect();
    numbers.sort_unstable();
    numbers.dedup();
    let is_listed = || {
        let pieces = sentence.pieces();
        2 < pieces.len() && pieces.iter().all(|(from, to)| to - from < 8)
    };
    (0..last).any(joins) || 1 < numbers.len() || sentence.has(Role::Listed) && is_listed()
}

/// Whether a word of a bound stands beside a figure.
fn is_bounded(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    let near = (at + 1..at + 4).chain(at.saturating_sub(3)..at);
    let is_figure = |at: usize| sentence.figure_at(at).is_some();
    let places = matches!(sentence.stem(at), "in" | "inside" | "out" | "up" | "down" | "of" | "or");
    sentence.is(at, Role::Bounds) && !places && near.into_iter().any(is_figure)
}

/// Whether a word of degree says how one thing stands to another: "the narrower bore" only says
/// which is meant, "no longer" that something is over.
fn compares(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    let Some(word) = sentence.words.get(at) else { return false };
    if word.is(Role::Comparative) {
        let than = (at + 1..at + 8).any(|at| sentence.stem(at) == "than");
        let is_over = sentence.stem(at) == "longer" && sentence.before(at, 1) == "no";
        let mut before = (0..at).rev().skip_while(|at| {
            sentence.is(*at, Role::Shade) || matches!(sentence.stem(*at), "the" | "a")
        });
        let is_said = before.next().is_some_and(|at| {
            sentence.is(at, Role::Be) || sentence.is(at, Role::Have) || sentence.is(at, Role::Verb)
        });
        return than || is_said && !is_over;
    }
    match sentence.stem(at) {
        // "As long as the line is up" tells when.
        "as" => {
            let tells_when =
                sentence.stem(at + 1) == "long" && !sentence.is_before(at, 1, Role::Be);
            sentence.plain(at + 1).is_some() && !tells_when
        }
        "between" => false,
        _ => word.roles().meets(DEGREES) && sentence.before(at, 1) != "at",
    }
}

/// Whether a sentence says that something is so, of a thing that is there: it has a verb, orders
/// nothing, speaks of nobody's habit or taste, and of no thing that only might be.
fn asserts(sentence: &ClauseSentence<'_>) -> bool {
    const PERSONS: [&str; 16] = [
        "i",
        "me",
        "my",
        "you",
        "your",
        "we",
        "us",
        "our",
        "people",
        "anybody",
        "anyone",
        "everybody",
        "somebody",
        "someone",
        "nobody",
        "whoever",
    ];
    let last = sentence.words.len();
    let has_verb = (1..last).any(|at| is_finite(sentence, at));
    let is_of_persons = (0..last).any(|at| PERSONS.contains(&sentence.stem(at)));
    // "The larger the jet, the sooner …", "more and more".
    let compares = |at: usize| sentence.stem(at) == "the" && sentence.is(at + 1, Role::Comparative);
    let is_correlated = compares(0) && (1..last).filter(|at| compares(*at)).count() == 1;
    let is_put_off = |at| {
        let is_of_use = sentence.stem(at) == "no" && sentence.stem(at + 1) == "use";
        is_of_use || matches!(sentence.stem(at), "whether" | "want" | "wanted" | "enough")
    };
    let is_sound = !sentence.has(Role::Broken) && !(0..last).any(is_put_off);
    has_verb && is_sound && !is_of_persons && !is_correlated && !is_order(sentence)
}

/// "Looks heavier", "making it heavier", "is heavier when it is wet": no thing is said to be so.
fn seems(sentence: &ClauseSentence<'_>) -> bool {
    const COMPARES: Roles = Roles::of(&[Role::Comparative, Role::Superlative, Role::As]);
    let last = sentence.words.len();
    let seems = |at: usize| (at.saturating_sub(4)..at).any(|at| sentence.is(at, Role::Seems));
    let is_gerund = sentence.stem(0).ends_with("ing") && sentence.words[0].is_participle();
    let is_in_case = sentence.has(Role::When) && !sentence.has(Role::Superlative);
    let compares = |at: &usize| sentence.words[*at].roles().meets(COMPARES);
    is_gerund || is_in_case || (0..last).filter(compares).any(seems)
}

/// Whether a word is, by its role or by its form, the verb of a clause.
fn is_finite(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    let Some(word) = sentence.words.get(at) else { return false };
    let typed = &sentence.text[word.span().start..word.span().end];
    let is_third = 3 < typed.len() && typed.ends_with('s') && !typed.ends_with("ss");
    // "Hole diameters, smaller to larger": a noun in the plural.
    let is_cut_off = sentence.is_parted(at + 1) && !sentence.is_before(at, 1, Role::Light);
    let is_formed = is_third && !is_cut_off || typed.ends_with("ed");
    word.is(Role::Be)
        || word.is(Role::Verb)
        || word.is(Role::Have)
        || is_formed && !word.is_possessive()
}

/// "Replace the ring": a word that is no preposition before what opens a noun phrase.
fn is_order(sentence: &ClauseSentence<'_>) -> bool {
    const OPENS: [&str; 14] = [
        "the", "a", "an", "it", "its", "this", "thi", "that", "these", "those", "both", "each",
        "all", "every",
    ];
    const PREPOSITIONS: [&str; 12] = [
        "during",
        "behind",
        "inside",
        "outside",
        "above",
        "below",
        "beyond",
        "beneath",
        "despite",
        "past",
        "underneath",
        "among",
    ];
    let Some(word) = sentence.words.first() else { return true };
    const HOLDS: Roles = Roles::of(&[Role::Light, Role::Glue, Role::Turn, Role::Order, Role::All]);
    let is_preposition = word.roles().meets(HOLDS) || PREPOSITIONS.contains(&word.stem());
    let is_adverb = word.is_participle() || word.stem().ends_with("ly");
    OPENS.contains(&sentence.stem(1)) && !is_preposition && !is_adverb
}

/// Whether all that a sentence says was so once.
fn is_past(sentence: &ClauseSentence<'_>) -> bool {
    let was = |at: usize| matches!(sentence.stem(at), "was" | "wa" | "were" | "had");
    let is = |at: usize| {
        let word = &sentence.words[at];
        let typed = &sentence.text[word.span().start..word.span().end];
        matches!(sentence.stem(at), "is" | "are" | "ha" | "has" | "have" | "now")
            || word.is(Role::Verb) && !was(at) && typed.ends_with('s')
    };
    let all = || 0..sentence.words.len();
    all().any(was) && !all().any(is)
}
