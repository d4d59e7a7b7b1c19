//! Which sentences claim something: not questions, orders, wishes, conditions, opinions, titles.

use super::clause::ClauseSentence;
use super::lexicon::Role;
use super::sayings::IDIOMS;

/// Whether a sentence claims that something is so.
pub(super) fn is_claim(sentence: &ClauseSentence<'_>) -> bool {
    let text = &sentence.text[sentence.span.start..sentence.span.end];
    let is_question = text.trim_end().ends_with('?');
    let orders = sentence.is(0, Role::Command) && !is_order_word_used_as_noun(sentence);
    let is_idiom = |at| IDIOMS.at(sentence, at).is_some();
    // "Used to be 0.6 mm" alone tells of what is no more; with what it is now it is a change.
    let stem = |at: usize| sentence.stem(at);
    let was = (0..sentence.words.len())
        .any(|at| stem(at) == "used" && stem(at + 1) == "to" || stem(at) == "formerly");
    let is_now =
        || (0..sentence.words.len()).any(|at| matches!(stem(at), "now" | "today" | "became"));
    let is_put_off = is_question || orders || sentence.has(Role::Mood) || was && !is_now();
    !is_put_off && !(0..sentence.words.len()).any(is_idiom)
}

/// "Open faces push …": a word that could give an order stands before a noun and a verb.
fn is_order_word_used_as_noun(sentence: &ClauseSentence<'_>) -> bool {
    matches!(sentence.stem(0), "open" | "press")
        && !matches!(sentence.stem(1), "the" | "it" | "a" | "an" | "your")
}
