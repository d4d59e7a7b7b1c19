//! Turns of phrase: several words that say something else than one by one.

use super::clause::ClauseSentence;
use super::lexicon::Role;
use ahash::AHashMap;
use std::sync::LazyLock;

/// Turns of phrase by their first word.
pub(super) struct Sayings(AHashMap<&'static str, Vec<Vec<&'static str>>>);

/// They say how sure a writer is, or only open a sentence.
pub(super) static FILLERS: LazyLock<Sayings> = LazyLock::new(|| Sayings::of("filler"));
/// They open what is said beside a claim and leaves it as it is.
pub(super) static ADJUNCTS: LazyLock<Sayings> = LazyLock::new(|| Sayings::of("adjunct"));
/// They hold words of degree or order and say nothing of sizes.
pub(super) static IDIOMS: LazyLock<Sayings> = LazyLock::new(|| Sayings::of("idiom"));

/// The turns of phrase of `sayings.txt` behind their kinds.
pub(super) fn listed_sayings() -> impl Iterator<Item = (&'static str, &'static str)> {
    include_str!("sayings.txt").lines().filter_map(|line| line.split_once(": "))
}

impl Sayings {
    fn of(kind: &str) -> Sayings {
        let mut sayings = Sayings(AHashMap::new());
        for (_, saying) in listed_sayings().filter(|(known, _)| *known == kind) {
            let words: Vec<&str> = saying.split(' ').collect();
            sayings.0.entry(words[0]).or_default().push(words);
        }
        sayings
    }

    /// How many words of a sentence, from a place on, are a turn of phrase.
    pub(super) fn at(&self, sentence: &ClauseSentence<'_>, at: usize) -> Option<usize> {
        let known = sentence.is(at, Role::Saying).then(|| self.0.get(sentence.stem(at)))??;
        let stands = |saying: &&Vec<&str>| {
            saying.iter().enumerate().all(|(step, word)| sentence.stem(at + step) == *word)
        };
        known.iter().find(stands).map(Vec::len)
    }
}
