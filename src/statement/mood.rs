//! Which sentences claim something: not questions, orders, wishes, conditions, opinions, titles.

use super::clause::ClauseSentence;

/// Verbs that put off what a clause says: it is not said to be so.
const MODALS: [&str; 14] = [
    "would", "could", "might", "may", "should", "shall", "ought", "must", "wouldn't", "couldn't",
    "perhap", "perhaps", "maybe", "if",
];

/// Words that begin an order or a supposition when they stand first.
const ORDERS: [&str; 38] = [
    "suppose", "imagine", "assume", "say", "let", "take", "check", "see", "note", "measure",
    "make", "put", "turn", "keep", "never", "do", "don't", "use", "try", "look", "think",
    "consider", "compare", "read", "unscrew", "remove", "open", "close", "fit", "hold", "pull",
    "push", "press", "should", "had", "were", "wait", "ask",
];

/// Words by which a sentence speaks of a mind and not of an engine.
const MINDS: [&str; 18] = [
    "think",
    "thought",
    "believe",
    "feel",
    "guess",
    "suspect",
    "prefer",
    "wish",
    "hope",
    "opinion",
    "seem",
    "doubt",
    "deserve",
    "worth",
    "used",
    "formerly",
    "supposedly",
    "allegedly",
];

/// Turns of phrase that hold words of degree or order and say nothing of sizes.
const IDIOMS: [&str; 16] = [
    "second to none",
    "half the battle",
    "more or less",
    "sooner or later",
    "more often than not",
    "better late than",
    "first and foremost",
    "as soon as possible",
    "as well as",
    "as far as",
    "as long as you",
    "before you",
    "after you",
    "before we",
    "after we",
    "other things being equal",
];

/// Whether a sentence claims that something is so.
pub(super) fn is_claim(sentence: &ClauseSentence<'_>) -> bool {
    let text = &sentence.text[sentence.span.start..sentence.span.end];
    let is_question = text.trim_end().ends_with('?');
    // "You'd need", "it'll take".
    let is_clipped = |stem: &str| ["'d", "'ll"].iter().any(|end| stem.ends_with(end));
    let is_mood = |stem: &str| MODALS.contains(&stem) || MINDS.contains(&stem) || is_clipped(stem);
    let speaks = sentence.words.iter().any(|word| is_mood(&word.stem));
    let orders = ORDERS.contains(&sentence.stem(0)) && !is_order_word_used_as_noun(sentence);
    let lower = text.to_lowercase();
    !is_question && !speaks && !orders && !IDIOMS.iter().any(|idiom| lower.contains(idiom))
}

/// "Open faces push …": a word that could give an order stands before a noun and a verb.
fn is_order_word_used_as_noun(sentence: &ClauseSentence<'_>) -> bool {
    matches!(sentence.stem(0), "open" | "press")
        && !matches!(sentence.stem(1), "the" | "it" | "a" | "an" | "your")
}
