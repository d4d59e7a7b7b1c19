//! Bounds and hedges: "at least", "up to", "about", "nearly", before a figure or behind it.
//!
//! Closed lists of phrases next to the figure. Nothing here looks at other figures; what the
//! members of a dual statement lend each other is settled in `pairs.rs`.

use super::statements::ReadStatement;
use super::words::{
    WordPhrases, clause_before, holds_phrase, in_sorted, next_word, one_of, phrase_after,
    skip_blanks_back, word_at, word_before,
};
use crate::quantity::{Bound, Hedge};
use std::sync::LazyLock;

/// What a phrase beside a figure means.
#[derive(Clone, Copy)]
enum WordMark {
    Bound(Bound),
    Hedge(Hedge),
}

const fn bound(bound: Bound) -> WordMark {
    WordMark::Bound(bound)
}

const ABOUT: WordMark = WordMark::Hedge(Hedge::About);
const NEARLY: WordMark = WordMark::Hedge(Hedge::Nearly);
const JUST_OVER: WordMark = WordMark::Hedge(Hedge::JustOver);
const OVER: WordMark = bound(Bound::Over);
const UNDER: WordMark = bound(Bound::Under);
const AT_LEAST: WordMark = bound(Bound::AtLeast);
const AT_MOST: WordMark = bound(Bound::AtMost);

/// WordPhrases before a figure; a longer one stands before its own ending.
const BEFORE: &[(&str, WordMark)] = &[
    ("not much more than", JUST_OVER),
    ("a little more than", JUST_OVER),
    ("a bit more than", JUST_OVER),
    ("slightly more than", JUST_OVER),
    ("only just over", JUST_OVER),
    ("just more than", JUST_OVER),
    ("a little over", JUST_OVER),
    ("a little above", JUST_OVER),
    ("slightly over", JUST_OVER),
    ("slightly above", JUST_OVER),
    ("a bit over", JUST_OVER),
    ("a shade over", JUST_OVER),
    ("just over", JUST_OVER),
    ("just above", JUST_OVER),
    ("a little less than", NEARLY),
    ("slightly less than", NEARLY),
    ("just less than", NEARLY),
    ("a little under", NEARLY),
    ("a little below", NEARLY),
    ("slightly under", NEARLY),
    ("slightly below", NEARLY),
    ("a shade under", NEARLY),
    ("a bit under", NEARLY),
    ("just under", NEARLY),
    ("just below", NEARLY),
    ("just short of", NEARLY),
    ("not quite", NEARLY),
    ("nearly", NEARLY),
    ("almost", NEARLY),
    ("in no case more than", AT_MOST),
    ("in no case over", AT_MOST),
    ("nowhere more than", AT_MOST),
    ("no more than", AT_MOST),
    ("not more than", AT_MOST),
    ("never more than", AT_MOST),
    ("no greater than", AT_MOST),
    ("not over", AT_MOST),
    ("never over", AT_MOST),
    ("never above", AT_MOST),
    ("not above", AT_MOST),
    ("not exceed", AT_MOST),
    ("not exceeding", AT_MOST),
    ("never exceeds", AT_MOST),
    ("no less than", AT_LEAST),
    ("not less than", AT_LEAST),
    ("never less than", AT_LEAST),
    ("no fewer than", AT_LEAST),
    ("not below", AT_LEAST),
    ("never below", AT_LEAST),
    ("not under", AT_LEAST),
    ("well over", OVER),
    ("well above", OVER),
    ("better than", OVER),
    ("more than", OVER),
    ("greater than", OVER),
    ("larger than", OVER),
    ("longer than", OVER),
    ("higher than", OVER),
    ("in excess of", OVER),
    ("upwards of", OVER),
    ("exceeds", OVER),
    ("exceeding", OVER),
    ("exceed", OVER),
    ("beyond", OVER),
    ("above", OVER),
    ("over", OVER),
    ("well under", UNDER),
    ("well below", UNDER),
    ("less than", UNDER),
    ("fewer than", UNDER),
    ("smaller than", UNDER),
    ("shorter than", UNDER),
    ("lower than", UNDER),
    ("below", UNDER),
    ("under", UNDER),
    ("at least", AT_LEAST),
    ("a minimum of", AT_LEAST),
    ("minimum of", AT_LEAST),
    ("as little as", AT_LEAST),
    ("at most", AT_MOST),
    ("at the most", AT_MOST),
    ("a maximum of", AT_MOST),
    ("maximum of", AT_MOST),
    ("as much as", AT_MOST),
    ("as many as", AT_MOST),
    ("maximum", AT_MOST),
    ("max.", AT_MOST),
    ("max", AT_MOST),
    ("minimum", AT_LEAST),
    ("min.", AT_LEAST),
    ("up to", AT_MOST),
    ("in the region of", ABOUT),
    ("in the order of", ABOUT),
    ("of the order of", ABOUT),
    ("on the order of", ABOUT),
    ("somewhere around", ABOUT),
    ("something like", ABOUT),
    ("about", ABOUT),
    ("roughly", ABOUT),
    ("around", ABOUT),
    ("approximately", ABOUT),
    ("approx.", ABOUT),
    ("approx", ABOUT),
    ("circa", ABOUT),
    ("ca.", ABOUT),
    ("c.", ABOUT),
    ("close to", ABOUT),
    ("close on", NEARLY),
    ("nigh on", NEARLY),
    ("nominally", ABOUT),
    ("some", ABOUT),
    (">=", AT_LEAST),
    ("<=", AT_MOST),
    ("≥", AT_LEAST),
    ("≤", AT_MOST),
    ("⩾", AT_LEAST),
    ("⩽", AT_MOST),
    (">", OVER),
    ("<", UNDER),
    ("~", ABOUT),
    ("≈", ABOUT),
    ("∼", ABOUT),
    ("≃", ABOUT),
];

/// WordPhrases after a figure.
const AFTER: &[(&str, WordMark)] = &[
    ("or more", AT_LEAST),
    ("or above", AT_LEAST),
    ("or higher", AT_LEAST),
    ("or over", AT_LEAST),
    ("and above", AT_LEAST),
    ("and over", AT_LEAST),
    ("and up", AT_LEAST),
    ("at least", AT_LEAST),
    ("minimum", AT_LEAST),
    ("min.", AT_LEAST),
    ("or less", AT_MOST),
    ("or below", AT_MOST),
    ("or lower", AT_MOST),
    ("or under", AT_MOST),
    ("at most", AT_MOST),
    ("maximum", AT_MOST),
    ("max.", AT_MOST),
    ("max", AT_MOST),
    ("or so", ABOUT),
    ("or thereabouts", ABOUT),
    ("give or take", ABOUT),
];

static BEFORE_A_FIGURE: LazyLock<WordPhrases<WordMark>> =
    LazyLock::new(|| WordPhrases::before(BEFORE));
static BEHIND_A_FIGURE: LazyLock<WordPhrases<WordMark>> =
    LazyLock::new(|| WordPhrases::behind(AFTER));

/// Reads the marks before and behind a statement into its figure. `from` is the end of the figure
/// before it.
pub(super) fn marks(text: &str, statement: &mut ReadStatement, from: usize) {
    for _ in 0..3 {
        let found = BEFORE_A_FIGURE.find_before(text, statement.lead);
        let Some((start, mark)) = found.filter(|(start, _)| from <= *start) else { break };
        if word_at(text, start).eq_ignore_ascii_case("over") && is_across(text, start, statement) {
            break;
        }
        statement.lead = start;
        apply(statement, mark);
    }
    trailing(text, statement, statement.tail);
}

/// Reads a mark that stands at `at`, behind the statement or the bracket it is in.
pub(super) fn trailing(text: &str, statement: &mut ReadStatement, at: usize) {
    if let Some((end, mark)) = BEHIND_A_FIGURE.find_behind(text, at) {
        statement.tail = statement.tail.max(end);
        apply(statement, mark);
    }
}

/// Words before an "over" that means the whole length or time of something.
#[rustfmt::skip]
const ACROSS: &[&str] = &[
    "act", "acting", "acts", "averaged", "building", "builds", "constant", "counted", "decays",
    "distributed", "drops", "evenly", "falls", "fell", "grows", "leaked", "leaks", "linear",
    "linearly", "lost", "measured", "pushes", "rises", "rising", "rose", "spread", "steadily",
    "steady", "taken", "uniform", "works",
];

/// What a part goes through: "over 3 mm **of travel**".
const MOVED: &[&str] =
    &["travel", "stroke", "movement", "motion", "lift", "barrel", "its", "the", "this", "that"];

/// Whether "over" means across or per: "over 3 mm of travel", "averaged over 40 ms", "120 over 80",
/// "0.02 mm over 100 mm", "loses 2 bar over 3 hours".
fn is_across(text: &str, start: usize, statement: &ReadStatement) -> bool {
    let moved = phrase_after(text, statement.figure.span.end, "of")
        .is_some_and(|of| one_of(next_word(text, of).0, MOVED));
    let (word, word_start) = word_before(text, start);
    // "Mass times its speed, over 2 ms" divides.
    let divides = word.is_empty() && holds_phrase(clause_before(text, 0, start, 60), "times");
    if moved || divides || in_sorted(word, ACROSS) {
        return true;
    }
    let number_end =
        if word.is_empty() { word_start } else { skip_blanks_back(text.as_bytes(), word_start) };
    text[..number_end].ends_with(|c: char| c.is_ascii_digit())
}

fn apply(statement: &mut ReadStatement, mark: WordMark) {
    let figure = &mut statement.figure;
    match mark {
        WordMark::Bound(bound) => figure.bound = figure.bound.or(Some(bound)),
        WordMark::Hedge(hedge) => figure.hedge = figure.hedge.or(Some(hedge)),
    }
}
