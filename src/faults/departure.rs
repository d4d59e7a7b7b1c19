//! Where an engine with something wrong leaves the course of the sound one: the first event that
//! does not come any more, what stands in its way, and what does not come after it.

use super::Ran;
use super::counterpart::event_there;
use crate::cutaway::Engine;
use crate::cutaway::events::event_words;
use crate::cutaway::model::{Direction, Element, Event, NEVER, PositionId};
use crate::logic::{Exploration, kept, why_never};
use crate::text::listed;

/// Events that are named as not coming either.
const MOST_FOLLOWING: usize = 5;

/// The first event of the sound run that comes in no run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Departure {
    event: Event,
    /// What is in the way: of that event and, where it is of a room, of the first part that does
    /// not move then. Sentences without full stop.
    why: Vec<String>,
    /// "so “bolt reaches front” does not come either"; may be empty.
    so: String,
}

impl Departure {
    /// Behind what is noticed, without what that says already.
    pub(super) fn behind(&self, run: &str) -> String {
        let mut told = vec![run.to_owned()];
        for why in &self.why {
            let cause = why.split_once(": ").map_or(why.as_str(), |(_, cause)| cause);
            if !told.iter().any(|it| it.contains(cause)) {
                told.push(why.clone());
            }
        }
        if 1 < told.len() && !self.so.is_empty() {
            told.push(self.so.clone());
        }
        told.join("; ")
    }

    /// Why the ball stays, of which it is told already that it does.
    pub(super) fn of_the_ball(&self) -> String {
        let own = match (self.event, self.why.first()) {
            (Event::BallLeaves, Some(why)) => why.split_once(": ").map(|(_, cause)| cause),
            _ => None,
        };
        let why = own.map_or_else(|| self.why.join("; "), str::to_owned);
        if self.so.is_empty() { why } else { format!("{why}; {}", self.so) }
    }
}

/// Where the runs leave the course of the sound engine; `None` where all that comes there comes
/// here too, or where runs are not decided.
pub(super) fn departure((engine, found): Ran<'_>, (sound, of_sound): Ran<'_>) -> Option<Departure> {
    if found.is_open() {
        return None;
    }
    let steps = of_sound.line.iter().map(|step| &of_sound.steps[*step]);
    let events = steps.flat_map(|step| step.events.iter().map(move |event| (*event, &step.why)));
    let told = events.filter(|(event, _)| is_told(sound, *event));
    let there = told.filter_map(|(event, why)| Some((event_there(sound, engine, event)?, why)));
    let lacking: Vec<(Event, &String)> = there.filter(|(event, _)| lacks(found, *event)).collect();
    let (event, why) = *lacking.first()?;
    let here = in_the_way((engine, found), event);
    // A room that does not come to its pressure is told with the part that it does not move.
    let moves = |(event, _): &&(Event, &String)| matches!(event, Event::Leaves(..));
    let part = lacking.iter().find(moves).filter(|_| is_of_a_room(event)).map(|(part, _)| *part);
    let mut told = vec![match is_of_a_room(event) {
        true => format!("{}: in the sound engine {why}, here {here}", never(engine, event)),
        false => stays(engine, event, &here),
    }];
    told.extend(part.map(|part| {
        let why = in_the_way((engine, found), part);
        let new: Vec<&str> = why.split("; ").filter(|it| !here.contains(it)).collect();
        stays(engine, part, &new.join("; "))
    }));
    let others = lacking.iter().map(|(event, _)| *event).filter(|it| Some(*it) != part);
    let so = what_follows(engine, others.filter(|it| it.subject() != event.subject()));
    Some(Departure { event, why: told, so })
}

/// "“bolt leaves rear” never comes: nothing pushes it", or as `why` says it by itself.
fn stays(engine: &Engine, event: Event, why: &str) -> String {
    match event {
        Event::Leaves(..)
            if [" never leaves ", " never comes to "].iter().any(|it| why.contains(it)) =>
        {
            why.to_owned()
        }
        _ => format!("{}: {why}", never(engine, event)),
    }
}

/// Whether an event comes in no run. A room that loses all its pressure has fallen below any.
fn lacks(found: &Exploration, event: Event) -> bool {
    match event {
        Event::Falls(room, _) if found.happens(Event::Empties(room)) => false,
        event => !found.happens(event),
    }
}

/// "“bolt leaves rear” never comes".
fn never(engine: &Engine, event: Event) -> String {
    format!("\u{201c}{}\u{201d} never comes", event_words(engine, event))
}

/// Why an event comes in no run.
fn in_the_way((engine, found): Ran<'_>, event: Event) -> String {
    if is_clogged(engine, event) {
        return format!("{} is clogged", event.subject().the(engine));
    }
    let held = latched((engine, found), event)
        .or_else(|| held_back((engine, found), event))
        .or_else(|| left_there((engine, found), event));
    held.unwrap_or_else(|| why_never(engine, found, event))
}

/// Whether an event is one that something else hangs on, as a reader follows a shot.
fn is_told(sound: &Engine, event: Event) -> bool {
    match event {
        Event::Opens(way) => !sound.ways[way].barrel,
        Event::Leaves(..) | Event::Shifts(_) | Event::BallLeaves => true,
        event => is_of_a_room(event),
    }
}

fn is_of_a_room(event: Event) -> bool {
    matches!(event, Event::Fills(_) | Event::Empties(_) | Event::Rises(..) | Event::Falls(..))
}

/// What else does not come then, as far as the ball: of each thing the first event.
fn what_follows(engine: &Engine, lacking: impl Iterator<Item = Event>) -> String {
    let whole = |event: &Event| event.subject().owner().unwrap_or(event.subject());
    let mut things: Vec<Element> = Vec::new();
    let mut told: Vec<String> = Vec::new();
    for event in lacking.take_while(|event| *event != Event::BallLeaves) {
        if told.len() < MOST_FOLLOWING && !things.contains(&whole(&event)) {
            things.push(whole(&event));
            told.push(format!("\u{201c}{}\u{201d}", event_words(engine, event)));
        }
    }
    let verb = if told.len() == 1 { "does" } else { "do" };
    match told.is_empty() {
        true => String::new(),
        false => format!("so {} {verb} not come either", listed(&told, "and")),
    }
}

/// The latch that holds a part where it should leave, when all is over.
fn latched((engine, found): Ran<'_>, event: Event) -> Option<String> {
    let Event::Leaves(part, at) = event else { return None };
    let item = &engine.parts[part];
    let latch = item.latch.as_ref()?.name.spoken();
    let mut ends = found.endings.iter().map(|(end, _)| &found.states[*end]);
    let is_held = ends.all(|end| end.positions[part] == at && end.latched[part]);
    let (name, at) = (item.name.spoken(), item.positions[at].spoken());
    is_held.then(|| format!("the {name} never leaves {at}: the {latch} never lets it go"))
}

/// What holds a part back that should leave an end of its travel: pushes against pushes.
fn held_back((engine, found): Ran<'_>, event: Event) -> Option<String> {
    let Event::Leaves(part, at) = event else { return None };
    let to = if at == PositionId::REAR { Direction::Forward } else { Direction::Back };
    let there = found.states.iter().filter(|it| 0 < it.handled && it.positions[part] == at);
    let mut held = there.map(|state| kept(engine, state, part, to));
    held.find(|why| why.contains(", against "))
}

/// What keeps a part where it stands when all is over: there, or so that it never comes there.
fn left_there((engine, found): Ran<'_>, event: Event) -> Option<String> {
    let Event::Leaves(part, at) = event else { return None };
    let item = &engine.parts[part];
    let towards = |to: PositionId, from: PositionId| match to < from {
        true => Direction::Back,
        false => Direction::Forward,
    };
    let ends = || found.endings.iter().map(|(end, _)| &found.states[*end]);
    if found.states.iter().all(|state| state.positions[part] != at) {
        let end = ends().next()?;
        let why = kept(engine, end, part, towards(at, end.positions[part]));
        let why = if why.is_empty() { why } else { format!(": {why}") };
        let (name, at) = (item.name.spoken(), item.positions[at].spoken());
        return Some(format!("the {name} never comes to {at}{why}"));
    }
    let end = ends().find(|end| at != item.rest && end.positions[part] == at)?;
    Some(kept(engine, end, part, towards(item.rest, at))).filter(|why| !why.is_empty())
}

/// Whether it is the opening of a way that a fault keeps shut.
fn is_clogged(engine: &Engine, event: Event) -> bool {
    match event {
        Event::Opens(way) => engine.ways[way].when.contains(&NEVER),
        _ => false,
    }
}
