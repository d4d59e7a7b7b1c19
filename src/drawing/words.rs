//! Words that pictures and their descriptions share.

use crate::cutaway::condition_words;
use crate::cutaway::model::{Condition, Engine, PartId, PositionId};

/// A condition as a label says it, in the words of the language where prose would need more:
/// `bolt before caught`.
pub(crate) fn condition(engine: &Engine, condition: Condition) -> String {
    let part = |part: PartId, word: &str, at: PositionId| {
        let part = &engine.parts[part];
        format!("{} {word} {}", part.name.spoken(), part.positions[at].spoken())
    };
    match condition {
        Condition::From(p, at) => part(p, "from", at),
        Condition::Before(p, at) => part(p, "before", at),
        Condition::Resting(valve) => format!("{} resting", engine.valves[valve].name.spoken()),
        other => condition_words(engine, other),
    }
}

/// Conditions as one clause: `switch at back and bolt before caught`.
pub(crate) fn conditions(engine: &Engine, when: &[Condition]) -> String {
    let terms: Vec<String> = when.iter().map(|one| condition(engine, *one)).collect();
    terms.join(" and ")
}
