//! Words that pictures and their descriptions share.

use crate::cutaway::model::{Condition, Engine, Part};

/// A condition as a label says it: `switch at back`.
#[must_use]
pub fn condition(engine: &Engine, condition: Condition) -> String {
    let part = |part: usize| engine.parts[part].name.spoken();
    let position = |part: usize, at: usize| position(&engine.parts[part], at);
    let chamber = |chamber: usize| engine.chambers[chamber].name.spoken();
    let valve = |valve: usize| engine.valves[valve].name.spoken();
    match condition {
        Condition::At(p, at) => format!("{} at {}", part(p), position(p, at)),
        Condition::From(p, at) => format!("{} from {}", part(p), position(p, at)),
        Condition::Before(p, at) => format!("{} before {}", part(p), position(p, at)),
        Condition::Shifted(v) => format!("{} shifted", valve(v)),
        Condition::Resting(v) => format!("{} resting", valve(v)),
        Condition::Pulled(t) => format!("{} pulled", trigger(engine, t)),
        Condition::Pressure(c) => format!("pressure in {}", chamber(c)),
        Condition::NoPressure(c) => format!("no pressure in {}", chamber(c)),
        Condition::Above(more, less) => format!("{} above {}", chamber(more), chamber(less)),
    }
}

/// Conditions as one clause: `switch at back and bolt before caught`.
#[must_use]
pub fn conditions(engine: &Engine, when: &[Condition]) -> String {
    let terms: Vec<String> = when.iter().map(|one| condition(engine, *one)).collect();
    terms.join(" and ")
}

/// The name of a position.
#[must_use]
pub fn position(part: &Part, at: usize) -> String {
    part.positions.get(at).map_or_else(|| format!("position {at}"), |name| name.spoken())
}

/// The name of a trigger.
#[must_use]
pub fn trigger(engine: &Engine, trigger: usize) -> String {
    engine.triggers.get(trigger).map_or_else(|| "trigger".to_string(), |name| name.spoken())
}

/// `a, b and c`.
#[must_use]
pub fn listed(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// The text with its first letter in upper case.
#[must_use]
pub fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}
