//! "Have the same bore", "the stroke is unchanged", "both are alike in", "the barrels match".

use super::clause::ClauseSentence;
use super::degree::plain;
use super::{StatedRelation, Statement};

/// Words that say that things are alike.
const ALIKE: [&str; 18] = [
    "share",
    "shared",
    "same",
    "equal",
    "equals",
    "identical",
    "alike",
    "match",
    "matche",
    "matches",
    "common",
    "unchanged",
    "unaltered",
    "equally",
    "exactly",
    "untouched",
    "agree",
    "tie",
];
/// Words that say that something became another one: denied, they say that it is alike.
const CHANGED: [&str; 12] = [
    "changed",
    "change",
    "altered",
    "alter",
    "differ",
    "different",
    "differs",
    "difference",
    "touched",
    "modified",
    "vary",
    "varie",
];

const DENIALS: [&str; 12] = [
    "not", "no", "never", "neither", "nor", "none", "nothing", "don't", "doesn't", "isn't",
    "aren't", "didn't",
];

pub(super) fn read(sentence: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
    let last = sentence.words.len();
    let says = |words: &[&str]| (0..last).any(|at| words.contains(&sentence.stem(at)));
    let is_alike = (0..last).any(|at| {
        ALIKE.contains(&sentence.stem(at))
            && sentence.stem(at) != "exactly"
            // "At the same time" and "all the same" say nothing of sizes.
            && !(sentence.stem(at) == "share" && sentence.stem(at + 1) == "of")
            && !matches!(sentence.stem(at + 1), "time" | "way" | "thing" | "moment" | "drawer")
    });
    let is_changed = says(&CHANGED);
    // "Neither … nor" denies once.
    let denials = (0..last).filter(|at| DENIALS.contains(&sentence.stem(*at)));
    let denials = denials.filter(|at| sentence.stem(*at) != "nor").count();
    let compares = says(&["than", "from", "by", "because"]);
    if is_alike == is_changed || 1 < denials || compares {
        return;
    }
    let is_denied = is_changed != (denials == 1);
    if is_changed && denials == 0 {
        // "The nose was changed": in what, it does not say.
        return;
    }
    let Some(mut said) = sentence.phrase(0, last) else { return };
    said.words.retain(|word| {
        let stem = word.stem.as_str();
        !ALIKE.contains(&stem) && !CHANGED.contains(&stem)
    });
    let degrees = (0..last).filter(|at| matches!(sentence.stem(*at), "equally" | "just"));
    let weighs = says(&["weigh", "weighed"]).then(|| plain("heavy")).flatten();
    let degree = degrees.into_iter().find_map(|at| plain(sentence.stem(at + 1))).or(weighs);
    let relation = StatedRelation::Alike { said, degree, is_denied };
    found.push(Statement::new(sentence.stretch(0, last), relation));
}
