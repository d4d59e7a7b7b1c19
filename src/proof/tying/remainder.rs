//! Parts of a named time: "8 ms of the pause are left", "8 ms before the pause is over".
//!
//! What is left of a time, or has gone of it, is not that time, and neither is what lies between
//! its end and something else.

use super::sentence::{NamedWords, Weighing};
use crate::folio::meaning::plain;
use crate::folio::words::{TextWord, is_difference};
use crate::quantity::Dimension;
use crate::statement::{Role, is_light, may};
use crate::text::Span;

/// Words of what a part is of, or of whose end is counted from.
const NOUNS: usize = 3;
/// Words behind a figure among which its verb stands.
const NEAR: usize = 5;
/// Words that say of a part that it is still to come, or is gone.
const LEFT: [&str; 12] = [
    "left",
    "remain",
    "remaining",
    "still",
    "gone",
    "go",
    "run",
    "pass",
    "passed",
    "elapsed",
    "elapse",
    "spent",
];
/// Words for the end of a time.
const ENDS: [&str; 6] = ["over", "end", "ended", "up", "done", "out"];

impl Weighing<'_> {
    /// Whether a figure lies between two others, of which it is neither.
    pub(super) fn is_difference(&self, row: usize) -> bool {
        is_difference(self.line.text, self.spans[row]) || self.parted(row).is_some()
    }

    /// The words of the time that a figure is only a part of.
    pub(super) fn parted(&self, row: usize) -> Option<&[TextWord]> {
        let is_time = self.groups[row].members[0].unit.dimension == Dimension::TIME;
        let whole = is_time.then(|| parted_time(self.line.text, &self.line.words, self.spans[row]));
        // "80 ms after the shot" counts from no time that is stated.
        whole.flatten().filter(|whole| {
            let entries = || self.weighed(row, &self.around(row)).into_iter();
            entries().any(|(named, _)| self.is_whole(named, whole))
        })
    }

    /// Whether a name has one of the words.
    pub(super) fn is_whole(&self, named: NamedWords, whole: &[TextWord]) -> bool {
        let lexicon = self.context.lexicon();
        whole.iter().any(|word| lexicon.names(named, plain(&word.stem)))
    }
}

/// The words of the time that a figure is only a part of, or is counted from the end of; `None`
/// where it is said to be neither.
fn parted_time<'w>(text: &str, words: &'w [TextWord], figure: Span) -> Option<&'w [TextWord]> {
    let next = words.partition_point(|word| word.span.start < figure.end);
    let behind = &words[next..];
    let stem = |at: usize| behind.get(at).map_or("", |word| word.stem.as_str());
    let is_beside = |word: &TextWord| text[figure.end..word.span.start].trim().is_empty();
    let first = behind.first().filter(|word| is_beside(word))?;
    match first.stem.as_str() {
        // "8 ms of pause" may be all of it; "of the pause" is a part.
        "of" if is_definite(stem(1)) => Some(nouns(&behind[2..])),
        "before" | "after" if is_definite(stem(1)) => {
            let nouns = nouns(&behind[2..]);
            let last = behind.get(1 + nouns.len())?;
            let ends = behind.get(2 + nouns.len());
            let is_last = ends.is_none_or(|end| {
                text[last.span.end..end.span.start].contains(['.', ',', ';', ':', ')'])
            });
            // "After the pause is over", "after the pause has ended", "after the pause."
            let says = |at: usize| ENDS.contains(&stem(at));
            let at = 2 + nouns.len();
            (is_last || says(at) || says(at + 1) || says(at + 2)).then_some(nouns)
        }
        _ if is_left(text, behind) => of_which(&words[..next]),
        _ => None,
    }
}

/// "… are left", "… have gone", in the clause that begins right behind a figure.
fn is_left(text: &str, behind: &[TextWord]) -> bool {
    let clause = behind.windows(2).take(NEAR).take_while(|pair| {
        !text[pair[0].span.end..pair[1].span.start].contains([',', ';', ':', '.'])
    });
    let verb = behind.first().is_some_and(|word| {
        may(&word.stem, Role::Be) || may(&word.stem, Role::Have) || LEFT.contains(&&*word.stem)
    });
    let says = |word: &TextWord| LEFT.contains(&word.stem.as_str());
    verb && (behind.first().is_some_and(says) || clause.into_iter().any(|pair| says(&pair[1])))
}

/// "Of the pause, 8 ms …": what a part is of, said before it.
fn of_which(before: &[TextWord]) -> Option<&[TextWord]> {
    let at = before.windows(2).rposition(|pair| pair[0].stem == "of" && is_definite(&pair[1].stem));
    at.map(|at| nouns(&before[at + 2..]))
}

fn is_definite(stem: &str) -> bool {
    matches!(stem, "the" | "it" | "its" | "their" | "this" | "that" | "thi" | "our")
}

/// The words up to the next verb or the like.
fn nouns(words: &[TextWord]) -> &[TextWord] {
    let ends = |word: &TextWord| {
        is_light(&word.stem)
            || may(&word.stem, Role::Be)
            || may(&word.stem, Role::Have)
            || ENDS.contains(&&*word.stem)
            || LEFT.contains(&&*word.stem)
    };
    let end = words.iter().take(NOUNS).position(ends);
    &words[..end.unwrap_or(NOUNS.min(words.len()))]
}
