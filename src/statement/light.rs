//! Words that hold a sentence together and name nothing.

use ahash::AHashSet;
use std::sync::LazyLock;

static LIGHT: LazyLock<AHashSet<&str>> = LazyLock::new(|| {
    let lines = include_str!("light.txt").lines().filter(|line| !line.starts_with('#'));
    lines.flat_map(str::split_whitespace).collect()
});

/// Whether a word, in the form in which words are compared, says nothing of what is meant.
pub(crate) fn is_light(stem: &str) -> bool {
    LIGHT.contains(stem)
}

/// Words that stand as the verb of a clause, whatever else they may be.
const VERBS: [&str; 30] = [
    "is", "are", "wa", "was", "were", "isn't", "aren't", "wasn't", "ha", "has", "have", "had",
    "does", "doe", "do", "did", "doesn't", "don't", "didn't", "can", "will", "weigh", "hold",
    "keep", "went", "grew", "stay", "remain", "push", "lead",
];

/// Whether a word is surely the verb of its clause.
pub(super) fn is_verb(stem: &str) -> bool {
    VERBS.contains(&stem)
}
