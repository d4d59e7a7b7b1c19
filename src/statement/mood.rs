//! Which sentences claim something: not questions, orders, wishes, conditions, opinions, titles.

use super::clause::ClauseSentence;
use super::lexicon::Role;
use super::sayings::IDIOMS;

/// Whether a sentence claims that something is so.
pub(super) fn is_claim(sentence: &ClauseSentence<'_>) -> bool {
    let text = &sentence.text[sentence.span.start..sentence.span.end];
    let is_question = text.trim_end().ends_with('?');
    let orders = sentence.is(0, Role::Command) && !is_order_word_used_as_noun(sentence);
    let places = 0..sentence.words.len();
    // "Used to be 0.6 mm" alone tells of what is no more; with what it is now it is a change.
    let was = |at: usize| match sentence.stem(at) {
        "used" => sentence.stem(at + 1) == "to",
        stem => stem == "formerly",
    };
    let is_now = |at: usize| matches!(sentence.stem(at), "now" | "today" | "became");
    let is_idiom = |at: usize| IDIOMS.at(sentence, at).is_some();
    let is_no_more = || places.clone().any(was) && !places.clone().any(is_now);
    let is_put_off = is_question || orders || sentence.has(Role::Mood) || is_no_more();
    !is_put_off && !places.clone().any(is_idiom)
}

/// "Open faces push …": a word that could give an order stands before a noun and a verb.
fn is_order_word_used_as_noun(sentence: &ClauseSentence<'_>) -> bool {
    matches!(sentence.stem(0), "open" | "press")
        && !matches!(sentence.stem(1), "the" | "it" | "a" | "an" | "your")
}
