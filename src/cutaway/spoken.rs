//! Pieces of sentences on an engine that reasons, descriptions and comparisons share.

use super::events::condition_words;
use super::model::{ChamberId, Condition, Drive, Engine, Shape, Valve, ValveKind};
use crate::text::listed;

/// "switch at back and bolt behind caught".
pub(crate) fn conditions(engine: &Engine, when: &[Condition]) -> String {
    let words: Vec<String> = when.iter().map(|one| condition_words(engine, *one)).collect();
    listed(&words, "and")
}

/// "the line to the store and the store to the tube", by what a chamber is called; "nothing" for
/// none.
pub(crate) fn joins(
    joins: &[(ChamberId, ChamberId)],
    chamber: impl Fn(ChamberId) -> String,
) -> String {
    let pairs =
        joins.iter().map(|(one, other)| format!("{} to {}", chamber(*one), chamber(*other)));
    match pairs.collect::<Vec<_>>().as_slice() {
        [] => "nothing".to_owned(),
        pairs => listed(pairs, "and"),
    }
}

impl Valve {
    /// What it is, without article: "3/2 solenoid valve", "shuttle".
    pub(crate) fn kind_words(&self) -> String {
        let drive = match self.drive {
            Drive::Solenoid => "solenoid",
            Drive::Mechanical => "mechanical",
            Drive::Air => "air",
        };
        match self.kind {
            ValveKind::Boxes(ports) => format!("{ports}/2 {drive} valve"),
            ValveKind::QuickExhaust => "quick exhaust".to_owned(),
            ValveKind::Shuttle => "shuttle".to_owned(),
            ValveKind::TwoPressure => "two-pressure valve".to_owned(),
        }
    }
}

impl Shape {
    /// Its word.
    pub(crate) fn word(self) -> &'static str {
        Shape::ALL.iter().find(|(_, other)| *other == self).map_or("part", |(word, _)| word)
    }
}
