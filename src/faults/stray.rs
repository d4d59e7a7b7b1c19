//! Where air goes astray that does not get out, and what merely comes at another time.

use super::Ran;
use super::counterpart::{chamber_there, event_there};
use crate::cutaway::Engine;
use crate::cutaway::events::{event_words, fact_line};
use crate::cutaway::model::{
    Chamber, ChamberId, Element, Event, Fact, OPEN_AIR, Relation, Role, Term, Way, WayId,
};
use crate::logic::{Ending, Exploration, State, precedence};
use crate::text::listed;

/// Where air goes inside of an engine with something wrong, as a phrase: through a way that the
/// sound one lacks, or nowhere, where it stays in a room that is empty there.
pub(super) fn astray((engine, found): Ran<'_>, (sound, of_sound): Ran<'_>) -> Option<String> {
    let is_new = |way: &Way| sound.ways.iter().all(|it| it.name.id != way.name.id);
    let ways = engine.ways.entries().filter(|(_, way)| is_new(way));
    let mut flows = ways.filter_map(|(at, _)| flow((engine, found), (sound, of_sound), at));
    flows.next().or_else(|| stays((engine, found), (sound, of_sound)))
}

fn flow((engine, found): Ran<'_>, (sound, of_sound): Ran<'_>, at: WayId) -> Option<String> {
    let way = &engine.ways[at];
    let (one, other) = (way.from, way.to);
    let mut open = found.states.iter().filter(|state| state.is_open(engine, at));
    let height = |state: &State, room: ChamberId| state.pressure(room).rank();
    // What has come to one pressure before anything moves shows by what it is in the sound engine.
    let rises = |room: ChamberId| {
        let there = chamber_there(engine, sound, room)?;
        let (here, there) = (found.states.first()?, height(of_sound.states.first()?, there));
        Some(room != OPEN_AIR && there < height(here, room))
    };
    let higher = open.find_map(|state| match height(state, one).cmp(&height(state, other)) {
        std::cmp::Ordering::Greater => Some((one, other)),
        std::cmp::Ordering::Less if !way.one_way => Some((other, one)),
        _ => None,
    });
    let (from, to) = higher.or_else(|| {
        let ends = [(one, other), (other, one)].into_iter();
        ends.clone().find(|(_, to)| rises(*to) == Some(true))
    })?;
    let the = |room: ChamberId| Element::Chamber(room).the(engine);
    let passage = Element::Way(at).the(engine);
    Some(format!("air goes from {} through {passage} to {}", the(from), the(to)))
}

/// Rooms that hold air when all is over, and none in the sound engine.
fn stays((engine, found): Ran<'_>, (sound, of_sound): Ran<'_>) -> Option<String> {
    let quiet = |found: &Exploration| -> Vec<usize> {
        let ended = |ending: &Ending| matches!(ending, Ending::AtRest | Ending::Stuck(_));
        found.endings.iter().filter(|(_, end)| ended(end)).map(|(at, _)| *at).collect()
    };
    let (ends, of_sound_ends) = (quiet(found), quiet(of_sound));
    let holds = |found: &Exploration, ends: &[usize], room: ChamberId| {
        !ends.is_empty() && ends.iter().all(|at| found.states[*at].pressure(room).rank().1 != 0)
    };
    let rooms = engine.chambers.entries().skip(1).filter(|(at, room)| {
        room.is_finite()
            && holds(found, &ends, *at)
            && chamber_there(engine, sound, *at)
                .is_some_and(|there| !holds(of_sound, &of_sound_ends, there))
    });
    let rooms: Vec<String> = rooms.map(|(at, _)| Element::Chamber(at).the(engine)).collect();
    (!rooms.is_empty()).then(|| format!("air stays in {}", listed(&rooms, "and")))
}

/// What comes otherwise than in the sound engine, where nothing else is to be noticed: "“pilot
/// returns” comes after “trigger released”, not before".
#[must_use]
pub fn otherwise(
    ran: (&Engine, &Exploration),
    of_sound: (&Engine, &Exploration),
) -> Option<String> {
    let told = [another_time(ran, of_sound), other_pressure(ran, of_sound)];
    let told: Vec<String> = told.into_iter().flatten().collect();
    (!told.is_empty()).then(|| listed(&told, "and"))
}

/// What a store does that it never does in the sound engine.
fn other_pressure((engine, found): Ran<'_>, (sound, of_sound): Ran<'_>) -> Option<String> {
    if found.is_open() || of_sound.is_open() {
        return None;
    }
    let stores = engine.chambers.entries().filter(|(_, room)| room.role == Role::Store);
    let events = stores.flat_map(|(at, _)| [Event::Empties(at), Event::Fills(at)]);
    let mut new = events.filter(|event| {
        let there = event_there(engine, sound, *event);
        found.happens(*event) && there.is_some_and(|it| !of_sound.happens(it))
    });
    new.next().map(|event| {
        let comes = if precedence(found, event, event).neither { "may come" } else { "comes" };
        let words = event_words(engine, event);
        format!("\u{201c}{words}\u{201d} {comes}, which it never does in the sound engine")
    })
}

fn another_time((engine, found): Ran<'_>, (sound, of_sound): Ran<'_>) -> Option<String> {
    let matters = |event: &Event| {
        matches!(
            event,
            Event::Pulled(_)
                | Event::Released(_)
                | Event::Shifts(_)
                | Event::Returns(_)
                | Event::Leaves(..)
                | Event::BallLeaves
                | Event::BallFed
        )
    };
    let mut line = of_sound.line_events();
    line.retain(matters);
    let own = found.line_events();
    let place = |event: Event| own.iter().position(|it| *it == event);
    for (at, event) in line.iter().enumerate() {
        let Some(here) = event_there(sound, engine, *event) else { continue };
        for mark in &line[at + 1..] {
            let Some(mark_here) = event_there(sound, engine, *mark) else { continue };
            let is_turned = place(mark_here) < place(here);
            if is_turned
                && precedence(of_sound, *event, *mark).always()
                && precedence(found, mark_here, here).always()
            {
                let (event, mark) = (event_words(engine, here), event_words(engine, mark_here));
                return Some(format!(
                    "\u{201c}{event}\u{201d} comes after \u{201c}{mark}\u{201d}, not before"
                ));
            }
        }
    }
    None
}

/// What is to be stated where a supply gives less than in the sound engine and nothing comes of it:
/// a fact that says no pressure counts at whatever the supply holds.
#[must_use]
pub fn unsaid_of_less(engine: &Engine, sound: &Engine) -> Option<String> {
    let height = |engine: &Engine, room: &Chamber| {
        room.holds.map_or(u8::MAX, |mark| engine.landmarks[mark].height)
    };
    let supplies = engine.chambers.entries().filter(|(_, room)| room.is_supply());
    let (_, there) = supplies
        .filter_map(|(at, room)| {
            let there = &sound.chambers[chamber_there(engine, sound, at)?];
            (height(engine, room) < height(sound, there)).then_some((at, there))
        })
        .next()?;
    let is_push = |term: &Term| matches!(term, Term::Own(Element::Push(..)));
    let says_none = |fact: &&Fact| matches!(fact.relation, Relation::Larger | Relation::MuchLarger);
    let fact = engine.facts.iter().filter(says_none).find(|fact| fact.left.iter().all(is_push))?;
    let counts = "what is said to be larger counts at whatever the supply holds";
    let mark = there.holds.and_then(|mark| {
        let name = &sound.landmarks[mark].name.id;
        engine.landmarks.entries().find(|(_, it)| it.name.id == *name).map(|(at, _)| at)
    });
    Some(match mark {
        Some(mark) => {
            let below = Relation::LargerBelow(mark);
            let line = fact_line(engine, &fact.right, below, &fact.left, "\u{2026}");
            format!("{counts}; state what wins below that, as `{line}`, where it does")
        }
        None => format!(
            "{counts}; give the full pressure a landmark too (`{} \u{2026} holds LANDMARK` in the \
             sound engine), and state what wins below it, as `fact a larger than b below LANDMARK`",
            there.name.id
        ),
    })
}
