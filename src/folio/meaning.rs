//! The form in which words are compared by what they mean: verbs and adjectives of a quantity stand
//! for its noun, words of coming, going and looking at for one of them.

use super::words::words;
use crate::text::Span;
use ahash::{AHashMap, AHashSet};
use std::sync::LazyLock;

/// Words that say nothing about which figure is meant.
const EMPTY: [&str; 40] = [
    "a", "an", "the", "of", "in", "on", "at", "to", "by", "for", "with", "from", "and", "or", "is",
    "are", "was", "it", "its", "per", "as", "that", "this", "which", "be", "has", "have", "over",
    "after", "when", "without", "before", "between", "one", "each", "every", "number", "up", "out",
    "no",
];

/// Verbs, adjectives and other nouns for what a quantity is called.
const NOUNS: [(&str, &str); 54] = [
    ("weigh", "mass"),
    ("weight", "mass"),
    ("heavy", "mass"),
    ("long", "length"),
    ("wide", "width"),
    ("high", "height"),
    ("tall", "height"),
    ("up", "height"),
    ("deep", "depth"),
    ("thick", "thickness"),
    ("across", "diameter"),
    ("velocity", "speed"),
    ("fast", "speed"),
    ("hold", "volume"),
    ("capacity", "volume"),
    ("displacement", "volume"),
    ("stroke", "travel"),
    ("loud", "noise"),
    ("sound", "noise"),
    ("tension", "force"),
    ("load", "force"),
    ("inlet", "supply"),
    ("leave", "exit"),
    ("left", "residual"),
    ("remain", "residual"),
    ("leftover", "residual"),
    ("lose", "loss"),
    ("lost", "loss"),
    ("screwed", "screw"),
    ("cost", "price"),
    ("empty", "dry"),
    ("unladen", "dry"),
    ("light", "mass"),
    ("lighter", "mass"),
    ("lightest", "mass"),
    ("heavier", "mass"),
    ("heaviest", "mass"),
    ("longer", "length"),
    ("shorter", "length"),
    ("wider", "width"),
    ("narrower", "width"),
    ("taller", "height"),
    ("higher", "height"),
    ("deeper", "depth"),
    ("thicker", "thickness"),
    ("thinner", "thickness"),
    ("quick", "speed"),
    ("faster", "speed"),
    ("slower", "speed"),
    ("louder", "noise"),
    ("quieter", "noise"),
    ("stiffer", "rate"),
    ("stronger", "force"),
    ("weaker", "force"),
];

/// Words of one meaning where things come, go and are looked at.
const EVENTS: [(&str, &str); 28] = [
    ("came", "arrive"),
    ("come", "arrive"),
    ("arrival", "arrive"),
    ("arrived", "arrive"),
    ("receiv", "arrive"),
    ("reach", "arrive"),
    ("deliver", "arrive"),
    ("bought", "buy"),
    ("purchas", "buy"),
    ("got", "buy"),
    ("teardown", "strip"),
    ("stripp", "strip"),
    ("dismantl", "strip"),
    ("apart", "strip"),
    ("open", "strip"),
    ("fetch", "collect"),
    ("return", "leave"),
    ("went", "leave"),
    ("left", "leave"),
    ("sent", "leave"),
    ("prov", "proof"),
    ("trial", "test"),
    ("fir", "shot"),
    ("rebuilt", "rebuild"),
    ("drew", "draw"),
    ("drawn", "draw"),
    ("fire", "shot"),
    ("shoot", "shot"),
];

/// A table of words, for one look-up a word.
type MeantWords = LazyLock<AHashMap<&'static str, &'static str>>;

static NOUN_OF: MeantWords = LazyLock::new(|| NOUNS.into_iter().collect());
static EVENT_OF: MeantWords = LazyLock::new(|| EVENTS.into_iter().collect());

/// The form in which a word of a name and a word of a text are compared.
pub(crate) fn plain(stem: &str) -> &str {
    let cut = |end: &str, least: usize| stem.strip_suffix(end).filter(|base| least <= base.len());
    let base = cut("ing", 4).or_else(|| cut("ed", 4)).unwrap_or(stem);
    NOUN_OF.get(base).or_else(|| NOUN_OF.get(stem)).copied().unwrap_or(base)
}

/// Words of a name that say something.
pub(crate) fn content_words(name: &str) -> Vec<String> {
    let all = words(name, Span::new(0, name.len()));
    let telling = all.iter().filter(|word| !EMPTY.contains(&word.stem.as_str()));
    telling.map(|word| plain(&word.stem).to_owned()).collect()
}

/// The words of a text that tell events, each in the one form for its meaning.
pub(crate) fn event_words(text: &str) -> AHashSet<String> {
    content_words(text).iter().map(|word| event(word).to_owned()).collect()
}

fn event(word: &str) -> &str {
    let form = || EVENT_OF.get(word.strip_suffix('d')?);
    EVENT_OF.get(word).or_else(form).copied().unwrap_or(word)
}
