//! How hard an engine with something wrong fires, and how fast it is ready again, beside the sound
//! one: told only where the same of two runs differs in one thing that decides it.

use super::Ran;
use super::counterpart::chamber_there;
use super::symptom::{Noticed, Symptom};
use crate::cutaway::Engine;
use crate::cutaway::model::{ChamberId, Element, Event, Role, Width};
use crate::logic::{Exploration, Level, State, feed, leak};
use crate::text::listed;
use std::cmp::Ordering;
use std::collections::BTreeSet;

/// Whether it fires weaker or harder: by the pressure that drives the ball, by air that gets away
/// beside the ball, by how wide the way to the ball is.
pub(super) fn strength((engine, found): Ran<'_>, sound: Ran<'_>) -> Option<Noticed> {
    let (sound, of_sound_run) = sound;
    let room = driven(engine)?;
    let there = chamber_there(engine, sound, room)?;
    let (here, of_sound) = (drives(engine, found, room), drives(sound, of_sound_run, there));
    let the = |room: ChamberId| Element::Chamber(room).the(engine);
    let names = |engine: &Engine| -> Vec<String> {
        engine.landmarks.iter().map(|mark| mark.name.id.clone()).collect()
    };
    let counts_landmarks = names(engine) == names(sound);
    let most = |states: &[&State], room: ChamberId| {
        let heights = states.iter().map(|state| state.pressure(room).rank());
        // What a store is drawn on is taken as nearly full.
        let level = |level: u8| level.min(Level::Drawn.rank());
        let counted = |reached: u8| if counts_landmarks { reached } else { 0 };
        heights.map(|(reached, rank)| (counted(reached), level(rank))).max()
    };
    let (own, other) = (most(&here, room)?, most(&of_sound, there)?);
    let told = |symptom: Symptom, run: String| {
        let place = String::new();
        Some(Noticed { symptom, place, always: true, run, air: None })
    };
    if own != other {
        let (symptom, words) = match own < other {
            true => (Symptom::Weaker, "less"),
            false => (Symptom::Harder, "more"),
        };
        let behind = if engine.ball.is_some() { " behind the ball" } else { "" };
        let holds = format!("{words} pressure comes into {}{behind}", the(room));
        let why = marks(engine, (own.0, other.0)).unwrap_or_default();
        let is_dead = own.1 == 0;
        let run = format!("{holds} than in the sound engine{why}");
        return if is_dead { None } else { told(symptom, run) };
    }
    engine.ball.as_ref()?;
    let beside = |engine: &Engine, states: &[&State], room: ChamberId| -> BTreeSet<String> {
        let leaks = states.iter().filter_map(|state| leak(engine, state, room));
        leaks.map(|path| through(engine, &path)).collect()
    };
    let old = beside(sound, &of_sound, there);
    if let Some(path) = beside(engine, &here, room).into_iter().find(|path| !old.contains(path)) {
        let run = format!("while {} drives the ball, air gets out of it through {path}", the(room));
        let weaker = Noticed {
            air: Some(format!("air goes through {path} to the open air")),
            ..told(Symptom::Weaker, run)?
        };
        return Some(weaker);
    }
    let own = widest(engine, filled(found, room).into_iter(), room)?;
    let other = widest(sound, filled(of_sound_run, there).into_iter(), there)?;
    let way = format!("air comes to {} through {}", the(room), through(engine, &own.1));
    let run = format!("{way}, at its narrowest {}, not {}", own.0.word(), other.0.word());
    match own.0.cmp(&other.0) {
        Ordering::Equal => None,
        Ordering::Greater => told(Symptom::Weaker, run),
        Ordering::Less => told(Symptom::Harder, run),
    }
}

/// A store that fills by a narrower way than in the sound engine.
pub(super) fn slower_to_refill(
    (engine, found): Ran<'_>,
    (sound, of_sound): Ran<'_>,
) -> Option<Noticed> {
    let mut stores = engine.chambers.entries().filter(|(_, room)| room.role == Role::Store);
    stores.find_map(|(store, chamber)| {
        let there = chamber_there(engine, sound, store)?;
        let own = widest(engine, found.states.iter(), store)?;
        let other = widest(sound, of_sound.states.iter(), there)?;
        let name = format!("the {}", chamber.name.spoken());
        let way = through(engine, &own.1);
        (other.0 < own.0).then(|| Noticed {
            symptom: Symptom::SlowToRefill,
            run: format!(
                "{name} fills through {way}, at its narrowest {}, not {}",
                own.0.word(),
                other.0.word()
            ),
            place: name,
            always: true,
            air: None,
        })
    })
}

/// The room that drives the ball; without a ball the store.
fn driven(engine: &Engine) -> Option<ChamberId> {
    let store = || engine.chambers.entries().find(|(_, room)| room.role == Role::Store);
    engine.ball.as_ref().map(|ball| ball.chamber).or_else(|| store().map(|(at, _)| at))
}

/// The states in which the ball is driven, or all, where there is none.
fn drives<'a>(engine: &Engine, found: &'a Exploration, room: ChamberId) -> Vec<&'a State> {
    if engine.ball.is_none() {
        return found.states.iter().collect();
    }
    let fires = found.steps.iter().filter(|step| step.events.contains(&Event::BallLeaves));
    let before = fires.map(|step| &found.states[step.from]);
    before.filter(|state| state.levels[room] != Level::Empty).collect()
}

/// The states in which the air is about to come in that then drives the ball out. What gives it may
/// be as good as empty by then, or may have filled up since.
fn filled(found: &Exploration, room: ChamberId) -> Vec<&State> {
    let is_empty = |at: usize| found.states[at].levels[room] == Level::Empty;
    let fires = found.steps.iter().filter(|step| step.events.contains(&Event::BallLeaves));
    let mut open: Vec<usize> = fires.map(|step| step.from).collect();
    let (mut seen, mut filled) = (BTreeSet::new(), Vec::new());
    while let Some(at) = open.pop() {
        if is_empty(at) {
            filled.push(&found.states[at]);
        } else if seen.insert(at) {
            open.extend(found.steps.iter().filter(|step| step.to == at).map(|step| step.from));
        }
    }
    filled
}

/// The landmark that is not reached any more, or that is reached now.
fn marks(engine: &Engine, (own, other): (u8, u8)) -> Option<String> {
    let (low, high) = (own.min(other), own.max(other));
    let is_missing = |height: u8| low < height && height <= high;
    let marks = engine.landmarks.iter().filter(|mark| is_missing(mark.height));
    let names: Vec<String> = marks.map(|mark| mark.name.spoken().to_string()).collect();
    let verb = if own < other { "does not reach" } else { "reaches" };
    (!names.is_empty()).then(|| format!(": it {verb} {}", listed(&names, "and")))
}

/// The widest way by which air comes to a room in any of these states.
fn widest<'a>(
    engine: &Engine,
    states: impl Iterator<Item = &'a State>,
    room: ChamberId,
) -> Option<(Width, Vec<Element>)> {
    states.filter_map(|state| feed(engine, state, room)).min_by_key(|(width, _)| *width)
}

fn through(engine: &Engine, path: &[Element]) -> String {
    let names: Vec<String> = path.iter().map(|passage| passage.the(engine)).collect();
    listed(&names, "and")
}
