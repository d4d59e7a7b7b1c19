//! Words that pictures and their descriptions share.

use crate::cutaway::condition_words;
use crate::cutaway::model::{Condition, Engine, Part, PartId, PositionId, TriggerId};

/// A condition as a label says it, in the words of the language where prose would need more:
/// `bolt before caught`.
pub(crate) fn condition(engine: &Engine, condition: Condition) -> String {
    let part = |part: PartId, word: &str, at: PositionId| {
        let part = &engine.parts[part];
        format!("{} {word} {}", part.name.spoken(), position(part, at))
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

/// The name of a position.
pub(crate) fn position(part: &Part, at: PositionId) -> String {
    part.positions.get(at).map_or_else(|| format!("position {}", at.place()), |name| name.spoken())
}

/// The name of a trigger.
pub(crate) fn trigger(engine: &Engine, trigger: TriggerId) -> String {
    engine.triggers.get(trigger).map_or_else(|| "trigger".to_string(), |name| name.spoken())
}
