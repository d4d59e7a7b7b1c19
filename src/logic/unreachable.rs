//! Why something never happens.

use super::air::inlets_and_vents;
use super::state::{Exploration, Level, State};
use super::why;
use crate::cutaway::events::{condition_words, event_words};
use crate::cutaway::model::{
    ChamberId, Condition, Direction, Element, Engine, Event, NEVER, OPEN_AIR, Obstacle, PartId,
    PositionId, Push, PushKind, Way, WayId,
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
                Some(&NEVER) => format!("the {name} is clogged"),
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
                Some(&NEVER) => "it does not answer".to_owned(),
                Some(condition) => format!(
                    "it shifts only while {}, and that is never so",
                    condition_words(engine, *condition)
                ),
                None => "something tells it the contrary whenever it should shift".to_owned(),
            }
        }
        Event::Rises(chamber, _) if 0 < highest(found, chamber) => {
            let mut marks = engine.landmarks.iter();
            let mark = marks.find(|mark| mark.height == highest(found, chamber));
            let mark = mark.map_or_else(String::new, |mark| mark.name.spoken());
            format!("{} comes to no more than {mark}", Element::Chamber(chamber).the(engine))
        }
        Event::Fills(chamber)
        | Event::Drops(chamber)
        | Event::Empties(chamber)
        | Event::Rises(chamber, _)
        | Event::Falls(chamber, _) => {
            let room = Element::Chamber(chamber).the(engine);
            let levels = levels(found, chamber);
            let is_empty = found.states.iter().all(|it| it.levels[chamber] == Level::Empty);
            let lost = loses(engine, found, chamber).filter(|_| is_empty).unwrap_or_default();
            format!("{room} is always {}{lost}", levels.join(" or "))
        }
        Event::BallLeaves => {
            let way = ball_room(engine).and_then(|room| shut_way_into(engine, found, room));
            let why = match way {
                Some(way) => format!(": {}", why_never(engine, found, Event::Opens(way))),
                None => String::new(),
            };
            format!("no pressure comes behind it while it sits in the barrel{why}")
        }
        _ => format!("nothing brings about \u{201c}{}\u{201d}", event_words(engine, event)),
    }
}

/// The highest landmark that a room reaches, by its height; 0 for none.
fn highest(found: &Exploration, chamber: ChamberId) -> u8 {
    found.states.iter().map(|state| state.reached[chamber]).max().unwrap_or(0)
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

fn ball_room(engine: &Engine) -> Option<ChamberId> {
    engine.ball.as_ref().map(|ball| ball.chamber)
}

/// A way that could bring pressure into a room, and opens in no run.
fn shut_way_into(engine: &Engine, found: &Exploration, room: ChamberId) -> Option<WayId> {
    let leads_in = |way: &Way| {
        (way.to == room && way.from != OPEN_AIR)
            || (way.from == room && way.to != OPEN_AIR && !way.one_way)
    };
    let mut ways = engine.ways.entries().filter(|(_, way)| leads_in(way));
    let opens = |at: WayId| found.states.iter().any(|state| state.is_open(engine, at));
    ways.find(|(at, _)| !opens(*at)).map(|(at, _)| at)
}

/// What keeps a part where it rests: what never pushes it away, or never wins.
fn held(engine: &Engine, found: &Exploration, part: PartId) -> String {
    let item = &engine.parts[part];
    let away = away_from_rest(item.rest);
    if let Some(block) = blocked(engine, found, part, away) {
        let why = why::blocked(engine, block);
        return format!(": {why}{}", behind(engine, found, part, &block.when));
    }
    if let Some(latch) = &item.latch {
        let mut rests = found.states.iter().filter(|it| it.positions[part] == item.rest);
        if rests.all(|state| state.latched[part]) {
            return format!(": the {} never lets it go", latch.name.spoken());
        }
    }
    match outpushed(engine, found, part, away) {
        why if why.is_empty() => why,
        why => format!(": {why}"),
    }
}

fn away_from_rest(rest: PositionId) -> Direction {
    if rest == PositionId::REAR { Direction::Forward } else { Direction::Back }
}

/// What keeps the part that stands in the way where it is, if it never moves.
fn behind(engine: &Engine, found: &Exploration, part: PartId, when: &[Condition]) -> String {
    let other = when.iter().find_map(|condition| match *condition {
        Condition::At(other, _) if other != part => Some(other),
        _ => None,
    });
    let Some(other) = other else { return String::new() };
    let item = &engine.parts[other];
    let away = away_from_rest(item.rest);
    let stays = found.states.iter().all(|state| state.positions[other] == item.rest);
    let is_free = blocked(engine, found, other, away).is_none();
    let why = if stays && is_free { outpushed(engine, found, other, away) } else { String::new() };
    match why.is_empty() {
        true => String::new(),
        false => format!("; of the {} {why}", item.name.spoken()),
    }
}

/// What never pushes a part away from where it rests, or never wins; empty where neither is so.
fn outpushed(engine: &Engine, found: &Exploration, part: PartId, away: Direction) -> String {
    let item = &engine.parts[part];
    let has_air = |push: &Push, state: &State| match push.kind {
        PushKind::Face(room) => state.levels[room] != Level::Empty,
        PushKind::Spring | PushKind::Hand | PushKind::Contact(_) => true,
    };
    let acts = |push: &Push| {
        let mut states = found.states.iter();
        states.any(|state| has_air(push, state) && state.holds(engine, &push.when))
    };
    let names = |direction: Direction| {
        let pushes = item.pushes.entries().filter(|(_, push)| push.direction == direction);
        let acting = pushes.filter(|(_, push)| acts(push)).map(|(at, _)| (part, at));
        why::pushers_on_faces(engine, acting)
    };
    let (pushing, against) = (names(away), names(away.opposite()));
    if !pushing.is_empty() && against.is_empty() {
        return String::new();
    }
    if !pushing.is_empty() {
        let verb = if pushing.len() == 1 { "pushes" } else { "push" };
        let (pushing, against) = (listed(&pushing, "and"), listed(&against, "and"));
        let least = least(engine, found, part, away).unwrap_or_default();
        return format!("{pushing} never {verb} it {} harder than {against}{least}", away.word());
    }
    let rooms = item.pushes.iter().filter_map(|push| match push.kind {
        PushKind::Face(room) if push.direction == away => Some(room),
        _ => None,
    });
    let empty: Vec<String> = rooms.clone().map(|at| Element::Chamber(at).the(engine)).collect();
    let lost = rooms.filter_map(|room| loses(engine, found, room)).next().unwrap_or_default();
    match empty.is_empty() {
        true => format!("nothing ever pushes it {}", away.word()),
        false => format!(
            "nothing ever pushes it {}, since no pressure comes up in {}{lost}",
            away.word(),
            listed(&empty, "or")
        ),
    }
}

/// The landmark past which no room that pushes a part comes, because its supply holds no more.
fn least(engine: &Engine, found: &Exploration, part: PartId, to: Direction) -> Option<String> {
    let item = &engine.parts[part];
    let mut rooms = item.pushes.iter().filter_map(|push| match push.kind {
        PushKind::Face(room) if push.direction == to => Some(room),
        _ => None,
    });
    rooms.find_map(|room| {
        let highest = found.states.iter().max_by_key(|state| state.pressure(room).rank())?;
        let Level::Full(supply) = highest.levels[room] else { return None };
        let mark = engine.chambers[supply].holds?;
        let name = |at: ChamberId| Element::Chamber(at).the(engine);
        let mark = engine.landmarks[mark].name.spoken();
        Some(format!("; {} comes to no more than {mark}, which {} holds", name(room), name(supply)))
    })
}

/// What stands in the way of a part wherever it is pushed that way.
fn blocked<'a>(
    engine: &'a Engine,
    found: &Exploration,
    part: PartId,
    to: Direction,
) -> Option<&'a Obstacle> {
    let mut blocks = engine.parts[part].blocks.iter().filter(|block| block.direction == to);
    blocks.find(|block| {
        let mut rests =
            found.states.iter().filter(|it| it.positions[part] == engine.parts[part].rest);
        rests.all(|state| state.holds(engine, &block.when))
    })
}

/// What a room loses its air through while some comes in: "; what comes in goes out through the
/// leak".
fn loses(engine: &Engine, found: &Exploration, room: ChamberId) -> Option<String> {
    found.states.iter().find_map(|state| {
        let (inlets, vents) = inlets_and_vents(engine, state, room);
        (inlets && !vents.is_empty()).then(|| {
            let vents: Vec<String> = vents.iter().map(|at| at.the(engine)).collect();
            format!("; what comes in goes out through {}", listed(&vents, "and"))
        })
    })
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
