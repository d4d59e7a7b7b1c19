//! What a picture shows, in sentences, for whoever does not see it.
//!
//! The sentences come from the model and the state, not from where things happen to lie.

use super::view::DrawingView;
use crate::cutaway::condition_words;
use crate::cutaway::model::{
    Chamber, ChamberId, Condition, Direction, Element, Engine, Hold, OPEN_AIR, Part, PartId,
    PushKind, Returns, Role, Valve, ValveKind, Way, Width,
};
use crate::cutaway::spoken::{conditions, joins};
use crate::text::{capitalised, listed};

/// Title and description of a circuit.
#[must_use]
pub(super) fn circuit(engine: &Engine, view: &DrawingView) -> (String, Vec<String>) {
    let mut sentences = Vec::new();
    sentences.extend(engine.chambers.iter().filter_map(|chamber| supply(engine, chamber)));
    sentences.extend(engine.ways.iter().map(|way| way_words(engine, way)));
    sentences.extend(engine.valves.iter().map(|valve| valve_words(engine, valve)));
    sentences.extend(engine.parts.ids().flat_map(|part| part_words(engine, view, part)));
    sentences.extend(links(engine));
    sentences.extend(state(engine, view));
    sentences.extend(marks(engine, view));
    (title(engine, view, "circuit"), finished(&sentences))
}

/// Title and description of a section.
pub(crate) fn section(
    engine: &Engine,
    view: &DrawingView,
    is_to_scale: bool,
) -> (String, Vec<String>) {
    let kind = if is_to_scale { "section, to scale" } else { "section, not to scale" };
    let mut sentences = vec![format!("{kind}, rear at the left")];
    for axis in &engine.axes {
        let places = axis.places.iter().map(|place| {
            let things: Vec<String> = place.iter().map(|it| thing(engine, *it)).collect();
            // The inner one is named last: "store around tube".
            let outward: Vec<String> = things.into_iter().rev().collect();
            outward.join(" around ")
        });
        let places: Vec<String> = places.collect();
        sentences.push(format!("on axis {}: {}", axis.name.spoken(), places.join(", ")));
    }
    sentences.extend(engine.parts.ids().flat_map(|part| part_words(engine, view, part)));
    for seal in &engine.seals {
        let [a, b] = [seal.between.0, seal.between.1].map(|at| chamber(engine, at));
        let place = match seal.on {
            Some(part) => format!("on {}", engine.parts[part].name.spoken()),
            None => "in the body".to_string(),
        };
        sentences.push(format!("seal {} {place} keeps {a} and {b} apart", seal.name.spoken()));
    }
    sentences.extend(state(engine, view));
    (title(engine, view, "section"), finished(&sentences))
}

fn title(engine: &Engine, view: &DrawingView, what: &str) -> String {
    let name = capitalised(&engine.name.spoken());
    let revision =
        engine.revision.as_ref().map_or_else(String::new, |name| format!(", revision {name}"));
    let shows = if view.state.is_some() { "in one state of a shot" } else { "at rest" };
    format!("{name}{revision}: {what}, {shows}")
}

fn finished(sentences: &[String]) -> Vec<String> {
    sentences.iter().map(|words| format!("{}.", capitalised(words))).collect()
}

fn chamber(engine: &Engine, chamber: ChamberId) -> String {
    match chamber {
        OPEN_AIR => "the open air".to_string(),
        other => engine.chambers[other].name.spoken(),
    }
}

fn thing(engine: &Engine, thing: Element) -> String {
    match thing {
        Element::Chamber(at) => chamber(engine, at),
        Element::Way(_) => "barrel".to_string(),
        other => other.spoken(engine),
    }
}

fn supply(engine: &Engine, it: &Chamber) -> Option<String> {
    if it.role != Role::Supply {
        return None;
    }
    let name = it.name.spoken();
    Some(match it.regulated_from {
        Some(from) => format!("supply {name} is regulated down from {}", chamber(engine, from)),
        None => format!("supply {name}"),
    })
}

fn way_words(engine: &Engine, way: &Way) -> String {
    let [from, to] = [way.from, way.to].map(|at| chamber(engine, at));
    let name = way.name.spoken();
    if way.barrel {
        return format!("{name} leads from {from} to {to}, open when no ball sits in it");
    }
    let width = match way.width {
        Width::Wide => "",
        Width::Narrow => " narrow",
        Width::Bleed => " bleeding",
    };
    let check = if way.one_way { ", one way" } else { "" };
    let when = match way.when.as_slice() {
        [] => String::new(),
        when => format!(", open while {}", conditions(engine, when)),
    };
    let leads = if way.to == OPEN_AIR { "opens to" } else { "feeds" };
    format!("{from} {leads} {to} through the{width} way {name}{check}{when}")
}

fn valve_words(engine: &Engine, valve: &Valve) -> String {
    let pairs = |pairs| joins(pairs, |at| chamber(engine, at));
    let kind = valve.kind_words();
    let name = valve.name.spoken();
    let (rest, shifted) = (pairs(&valve.rest), pairs(&valve.shifted));
    if !matches!(valve.kind, ValveKind::Boxes(_)) {
        return format!("{kind} {name} joins {rest} or {shifted}");
    }
    let pulled = |it: &Condition| match it {
        Condition::Pulled(at) => Element::Trigger(*at).spoken(engine),
        other => condition_words(engine, *other),
    };
    let shifts: Vec<String> = valve.shifts.iter().map(pulled).collect();
    let how = if valve.on_edge { "on" } else { "while" };
    let shifts = match shifts.is_empty() {
        true => "shifted".to_string(),
        false => format!("shifted {how} {}", shifts.join(" and ")),
    };
    let back = match &valve.returns {
        Returns::Spring => ", returned by a spring".to_string(),
        Returns::After(time) => format!(", returned after {}", time.spoken()),
        Returns::While(when) => format!(", returned while {}", conditions(engine, when)),
    };
    format!("{kind} {name} at rest joins {rest}; {shifts}, it joins {shifted}{back}")
}

/// What pushes a part, which is always so, and where it stands.
fn part_words(engine: &Engine, view: &DrawingView, at: PartId) -> Vec<String> {
    let part = &engine.parts[at];
    let mut pushes = Vec::new();
    for direction in [Direction::Forward, Direction::Back] {
        let these = part.pushes.iter().filter(|push| push.direction == direction);
        let words: Vec<String> = these
            .map(|push| {
                let when = match push.when.as_slice() {
                    [] => String::new(),
                    when => format!(" (while {})", conditions(engine, when)),
                };
                let name = push.name.spoken();
                match push.kind {
                    PushKind::Face(at) => {
                        format!("{} on its face {name}{when}", chamber(engine, at))
                    }
                    PushKind::Spring if name.contains("spring") => format!("{name}{when}"),
                    PushKind::Spring => format!("spring {name}{when}"),
                    PushKind::Hand => format!("hand{when}"),
                    PushKind::Contact(by) => {
                        let what = if push.is_blow { "a blow of" } else { "contact with" };
                        format!("{what} {}{when}", engine.parts[by].name.spoken())
                    }
                }
            })
            .collect();
        if !words.is_empty() {
            pushes.push(format!("pushed {} by {}", direction.word(), listed(&words, "and")));
        }
    }
    let name = part.name.spoken();
    let place = part.positions[view.position(engine, at)].spoken();
    let latch = latch(engine, view, part, at);
    let pushes = (!pushes.is_empty()).then(|| format!("{name} is {}", pushes.join("; ")));
    pushes.into_iter().chain([format!("{name} stands at {place}{latch}")]).collect()
}

fn latch(engine: &Engine, view: &DrawingView, part: &Part, at: PartId) -> String {
    let Some(latch) = &part.latch else { return String::new() };
    let name = latch.name.spoken();
    if view.is_latched(engine, at) {
        let when = match &latch.hold {
            Hold::Until(trigger) => format!("until {}", Element::Trigger(*trigger).spoken(engine)),
            Hold::While(when) => format!("while {}", conditions(engine, when)),
        };
        format!("; {name} holds it {when}")
    } else {
        format!("; {name} has let it go")
    }
}

fn links(engine: &Engine) -> impl Iterator<Item = String> {
    engine.links.iter().map(|(a, b)| {
        let [a, b] = [*a, *b].map(|part| engine.parts[part].name.spoken());
        format!("{a} and {b} move as one")
    })
}

/// What is so in the state that is shown.
fn state(engine: &Engine, view: &DrawingView) -> Vec<String> {
    if view.state.is_none() {
        return Vec::new();
    }
    let mut sentences = Vec::new();
    let levels = engine.chambers.ids().skip(1).filter_map(|at| {
        let level = view.level(at)?.word();
        Some(format!("{} {level}", chamber(engine, at)))
    });
    let levels: Vec<String> = levels.collect();
    if !levels.is_empty() {
        sentences.push(format!("pressures: {}", levels.join(", ")));
    }
    let open = engine.ways.iter().filter(|way| !way.when.is_empty() || way.barrel);
    let open: Vec<String> =
        open.filter(|way| view.is_open(engine, way)).map(|way| way.name.spoken()).collect();
    if !open.is_empty() {
        sentences.push(format!("open: {}", listed(&open, "and")));
    }
    let shifted = engine.valves.ids().filter(|valve| view.is_shifted(*valve));
    let shifted: Vec<String> = shifted.map(|valve| engine.valves[valve].name.spoken()).collect();
    if !shifted.is_empty() {
        sentences.push(format!("shifted: {}", listed(&shifted, "and")));
    }
    let pulled = engine.triggers.ids().filter(|at| view.is_pulled(*at));
    let pulled: Vec<String> = pulled.map(|at| Element::Trigger(at).spoken(engine)).collect();
    if !pulled.is_empty() {
        sentences.push(format!("pulled: {}", listed(&pulled, "and")));
    }
    if let Some(ball) = &engine.ball {
        let place = if view.has_ball(engine) { "sits in the barrel" } else { "is gone" };
        sentences.push(format!("{} {place}", ball.name.spoken()));
    }
    sentences
}

fn marks(engine: &Engine, view: &DrawingView) -> Vec<String> {
    let words = view
        .marks
        .iter()
        .map(|(thing, mark)| format!("{} is marked: {}", thing.spoken(engine), mark.words()));
    words.collect()
}
