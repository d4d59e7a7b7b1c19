//! Why something never happens.

use super::state::{Exploration, Level};
use crate::cutaway::events::{condition_words, event_words};
use crate::cutaway::model::{
    ChamberId, Condition, Direction, Element, Engine, Event, PartId, PositionId, PushKind,
};
use crate::text::listed;

/// Why an event happens in no run, as a phrase: "the bolt gets no further than staged".
pub(crate) fn why_never(engine: &Engine, found: &Exploration, event: Event) -> String {
    let holds_somewhere = |condition: &Condition| {
        found.states.iter().any(|state| state.holds(engine, std::slice::from_ref(condition)))
    };
    match event {
        Event::Opens(way) | Event::Closes(way) => {
            let name = engine.ways[way].name.spoken();
            let missing = engine.ways[way].when.iter().find(|c| !holds_somewhere(c));
            match missing {
                Some(condition) => format!(
                    "the {name} is open only while {}, and that is never so{}",
                    condition_words(engine, *condition),
                    reach_of(engine, found, condition)
                ),
                None if engine.ways[way].when.is_empty() && !engine.ways[way].barrel => {
                    format!("the {name} is always open")
                }
                None if !found.states.iter().any(|state| state.is_open(engine, way)) => {
                    let all = engine.ways[way].when.iter();
                    let all: Vec<String> = all.map(|c| condition_words(engine, *c)).collect();
                    format!("{} never holds together", listed(&all, "and"))
                }
                None => format!("what opens and shuts the {name} does not change so"),
            }
        }
        Event::Reaches(part, _) | Event::Leaves(part, _) => reach(engine, found, part),
        Event::Shifts(valve) => {
            let missing = engine.valves[valve].shifts.iter().find(|c| !holds_somewhere(c));
            match missing {
                Some(condition) => format!(
                    "it shifts only while {}, and that is never so",
                    condition_words(engine, *condition)
                ),
                None => "something tells it the contrary whenever it should shift".to_owned(),
            }
        }
        Event::Fills(chamber) | Event::Drops(chamber) | Event::Empties(chamber) => {
            let words: Vec<String> = levels(found, chamber);
            format!("{} is always {}", Element::Chamber(chamber).the(engine), words.join(" or "))
        }
        Event::BallLeaves => "no pressure comes behind it while it sits in the barrel".to_owned(),
        _ => format!("nothing brings about \u{201c}{}\u{201d}", event_words(engine, event)),
    }
}

fn levels(found: &Exploration, chamber: ChamberId) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for state in &found.states {
        let word = state.levels[chamber].word().to_owned();
        if !words.contains(&word) {
            words.push(word);
        }
    }
    words
}

fn reach_of(engine: &Engine, found: &Exploration, condition: &Condition) -> String {
    match condition {
        Condition::At(part, _) | Condition::From(part, _) | Condition::Before(part, _) => {
            format!(": {}", reach(engine, found, *part))
        }
        _ => String::new(),
    }
}

/// What keeps a part where it rests: which way nothing ever pushes it.
fn held(engine: &Engine, found: &Exploration, part: PartId) -> String {
    let item = &engine.parts[part];
    let is_pushed = |direction: Direction| {
        let pushes = item.pushes.iter().filter(|push| push.direction == direction);
        let mut acting = pushes.filter(|push| {
            found.states.iter().any(|state| {
                let has_air = match push.kind {
                    PushKind::Face(room) => state.levels[room] != Level::Empty,
                    PushKind::Spring | PushKind::Contact(_) => true,
                };
                has_air && state.holds(engine, &push.when)
            })
        });
        acting.next().is_some()
    };
    let away = if item.rest == PositionId::REAR { Direction::Forward } else { Direction::Back };
    match is_pushed(away) {
        false => format!(": nothing ever pushes it {}", away.word()),
        true => format!(": what pushes it {} is never the stronger", away.word()),
    }
}

/// Between which positions a part moves.
fn reach(engine: &Engine, found: &Exploration, part: PartId) -> String {
    let item = &engine.parts[part];
    let reached = found.states.iter().map(|state| state.positions[part]);
    let (low, high) =
        reached.fold((item.rest, item.rest), |(low, high), at| (low.min(at), high.max(at)));
    let name = item.name.spoken();
    let position = |at: PositionId| item.positions[at].spoken();
    if low == high {
        return format!("the {name} never leaves {}{}", position(low), held(engine, found, part));
    }
    format!("the {name} moves only between {} and {}", position(low), position(high))
}
