//! Why something happens, as sentences.

use super::air::Flow;
use super::forces::PushOn;
use super::state::{Level, Need, Pressure, State};
use crate::cutaway::event_words;
use crate::cutaway::model::{
    Ball, ChamberId, Condition, Direction, Element, Engine, Event, HandAct, MOST_ORDERS, Obstacle,
    PartId, PushKind, Relation, Returns, Term, Valve, ValveId,
};
use crate::cutaway::spoken::{conditions, joins};
use crate::text::{listed, once_each};

pub(super) fn handled(engine: &Engine, act: HandAct) -> String {
    let HandAct { trigger, pulls, waits } = act;
    let name = engine.triggers[trigger].spoken();
    let by = if pulls { "pulled" } else { "released" };
    let waits = if waits { ", everything else being at rest" } else { "" };
    format!("the {name} is {by}{waits}")
}

pub(super) fn shifts(engine: &Engine, valve: ValveId) -> String {
    let item = &engine.valves[valve];
    let when = when(engine, &item.shifts);
    format!("{when}the {} shifts and {}", item.name.spoken(), joined(engine, &item.shifted))
}

pub(super) fn returns(engine: &Engine, valve: ValveId) -> String {
    let item = &engine.valves[valve];
    let by = match &item.returns {
        Returns::While(conditions) => when(engine, conditions),
        Returns::Spring | Returns::After(_) => "with nothing left to hold it, ".to_owned(),
    };
    format!("{by}the {} returns and {}", item.name.spoken(), joined(engine, &item.rest))
}

/// "with the bolt at home, "; nothing where there are no conditions.
fn when(engine: &Engine, when: &[Condition]) -> String {
    match when.is_empty() {
        true => String::new(),
        false => format!("with {}, ", conditions(engine, when)),
    }
}

fn joined(engine: &Engine, pairs: &[(ChamberId, ChamberId)]) -> String {
    if pairs.is_empty() {
        return "shuts".to_owned();
    }
    format!("joins {}", joins(pairs, |at| Element::Chamber(at).the(engine)))
}

pub(super) fn times_out(valve: &Valve) -> String {
    let clock = match &valve.returns {
        Returns::After(clock) => clock.spoken(),
        Returns::Spring | Returns::While(_) => "time".to_owned(),
    };
    format!("the {clock} is over: the {} returns", valve.name.spoken())
}

pub(super) fn flows(engine: &Engine, state: &State, flow: &Flow) -> String {
    let rises = |(at, to): &&(ChamberId, Pressure)| state.pressure(*at).rank() < to.rank();
    // Where some rooms fill from others, those that fill are what is told.
    let is_filling = flow.to.iter().any(|change| rises(&change));
    let told = flow.to.iter().filter(|change| !is_filling || rises(change));
    let rooms: Vec<String> = told.map(|(at, _)| Element::Chamber(*at).the(engine)).collect();
    let empties = flow.to.iter().all(|(_, to)| to.level == Level::Empty);
    let verb = match (is_filling, empties, rooms.len()) {
        (true, _, 1) => "fills",
        (true, ..) => "fill",
        (false, true, 1) => "empties",
        (false, true, _) => "empty",
        (false, false, 1) => "loses pressure",
        (false, false, _) => "lose pressure",
    };
    let through = once_each(flow.through.iter().map(|at| at.the(engine)));
    let by = match through.is_empty() {
        true => String::new(),
        false => format!(" through {}", listed(&through, "and")),
    };
    let word = if is_filling { "from" } else { "to" };
    format!(
        "{} {verb}{by} {word} {}",
        listed(&rooms, "and"),
        Element::Chamber(flow.other).the(engine)
    )
}

/// What pushes, as its chamber where it is a face: "the store", "the keeper spring".
fn pusher(engine: &Engine, (at, push): PushOn) -> String {
    let item = &engine.parts[at].pushes[push];
    match item.kind {
        PushKind::Face(room) => Element::Chamber(room).the(engine),
        PushKind::Spring => {
            let name = item.name.spoken();
            let noun = if name.contains("spring") { "" } else { " spring" };
            format!("the {name}{noun}")
        }
        PushKind::Hand => "the hand".to_owned(),
        PushKind::Contact(by) => Element::Part(by).the(engine),
    }
}

/// What pushes, each once, rooms with the face on which they do: "the drive room on the tail".
pub(super) fn pushers_on_faces(
    engine: &Engine,
    pushes: impl Iterator<Item = PushOn>,
) -> Vec<String> {
    once_each(pushes.map(|(part, push)| {
        let item = &engine.parts[part].pushes[push];
        let (pusher, face) = (pusher(engine, (part, push)), item.name.spoken());
        match item.kind {
            PushKind::Face(_) if !pusher.contains(&face) => format!("{pusher} on the {face}"),
            _ => pusher,
        }
    }))
}

/// What pushes, each once.
pub(super) fn pushers(engine: &Engine, pushes: impl Iterator<Item = PushOn>) -> Vec<String> {
    once_each(pushes.map(|push| pusher(engine, push)))
}

pub(super) fn goes(
    engine: &Engine,
    state: &State,
    group: PartId,
    to: Direction,
    by: &[PushOn],
    against: &[PushOn],
    facts: &[usize],
) -> String {
    let who = Element::Part(group).the(engine);
    let strong = pushers(engine, by.iter().copied());
    let push = if strong.len() == 1 { "pushes" } else { "push" };
    let strong = listed(&strong, "and");
    if against.is_empty() {
        // What would push the other way, were it not empty.
        let idle = engine.parts[group].pushes.iter().filter_map(|push| match push.kind {
            PushKind::Face(room)
                if push.direction == to.opposite() && state.levels[room] == Level::Empty =>
            {
                Some(Element::Chamber(room).the(engine))
            }
            _ => None,
        });
        let idle = once_each(idle);
        let mut with = match idle.is_empty() {
            true => String::new(),
            false => format!("with {} empty, ", listed(&idle, "and")),
        };
        let spent = state.spent.iter().filter(|(part, _)| *part == group);
        for (part, push) in spent {
            let name = engine.parts[*part].pushes[*push].name.spoken();
            with = format!("with the {name} spent, {with}");
        }
        return format!("{with}only {strong} {push} {who}: it moves {}", to.word());
    }
    let weak = listed(&pushers(engine, against.iter().copied()), "and");
    let known = once_each(facts.iter().map(|fact| engine.facts[*fact].known.how.clone()));
    let known =
        if known.is_empty() { String::new() } else { format!(" ({})", listed(&known, "and")) };
    let against = if strong == weak {
        format!("{strong} {push} {who} harder on the face towards the {}", end_of(to))
    } else {
        format!("{strong} {push} {who} harder than {weak}")
    };
    format!("{against}{known}: it moves {}", to.word())
}

/// The face that pushes forward looks to the rear.
fn end_of(to: Direction) -> &'static str {
    match to {
        Direction::Forward => "rear",
        Direction::Back => "front",
    }
}

pub(super) fn ball_leaves(engine: &Engine, ball: &Ball) -> String {
    format!("{} drives the {} out", Element::Chamber(ball.chamber).the(engine), ball.name.spoken())
}

pub(super) fn ball_fed(engine: &Engine, ball: &Ball) -> String {
    let room = Element::Chamber(ball.chamber).the(engine);
    format!("{room} is open and empty: the next {} drops in", ball.name.spoken())
}

pub(super) fn leak_need(engine: &Engine, room: ChamberId, inlet: Element, outlet: Element) -> Need {
    let path = |thing: Element| match thing {
        Element::Way(at) => Some(engine.ways[at].name.id.as_str()),
        _ => None,
    };
    let facts = path(inlet).zip(path(outlet)).map(|(inlet, outlet)| {
        let wider = |a: &str, b: &str| format!("fact {a} much wider than {b} (…)");
        vec![wider(inlet, outlet), wider(outlet, inlet)]
    });
    let answer = |wide: Element, relation: Relation, narrow: Element| {
        (vec![Term::Own(wide)], relation, vec![Term::Own(narrow)])
    };
    Need {
        about: engine.chambers[room].name.span,
        what: format!(
            "what stands in {} between {} and {}",
            Element::Chamber(room).the(engine),
            inlet.the(engine),
            outlet.the(engine)
        ),
        facts: facts.unwrap_or_default(),
        answers: vec![
            answer(inlet, Relation::MuchLarger, outlet),
            answer(outlet, Relation::MuchLarger, inlet),
            // Neither: something between.
            answer(inlet, Relation::Larger, outlet),
        ],
    }
}

pub(super) fn escape(engine: &Engine, supply: ChamberId, path: &[Element]) -> String {
    let through = once_each(path.iter().map(|at| at.the(engine)));
    format!(
        "{} stands open to the open air through {}",
        Element::Chamber(supply).the(engine),
        listed(&through, "and")
    )
}

/// What keeps a part from moving one way: "it is jammed".
pub(super) fn blocked(engine: &Engine, block: &Obstacle) -> String {
    match block.when.is_empty() {
        true => "it is jammed".to_owned(),
        false => format!(
            "it is kept from moving {} while {}",
            block.direction.word(),
            conditions(engine, &block.when)
        ),
    }
}

/// Which order of the cutaway holds an event back: one of which the first has not come.
pub(super) fn held_back(engine: &Engine, state: &State, event: Event) -> String {
    let words = |event: Event| event_words(engine, event);
    let mut orders = engine.orders.iter().enumerate().take(MOST_ORDERS);
    let order = orders.find(|(at, it)| it.then == event && state.happened & (1 << at) == 0);
    let order = order.map(|(_, order)| order);
    let first = order.map_or_else(String::new, |order| words(order.first));
    format!(
        "the order \u{201c}{first} before {}\u{201d} holds it back, and the first never happens",
        words(event)
    )
}

/// What differs between the rest state and the one a run ends in.
pub(super) fn differences(engine: &Engine, rest: &State, end: &State) -> Vec<String> {
    let mut told = Vec::new();
    for (at, item) in engine.parts.entries() {
        let (should, does) = (rest.positions[at], end.positions[at]);
        if should != does {
            told.push(format!(
                "{} stands at {}, not at {}",
                Element::Part(at).the(engine),
                item.positions[does].spoken(),
                item.positions[should].spoken()
            ));
        } else if rest.latched[at] && !end.latched[at] {
            told.push(format!("{} is not latched", Element::Part(at).the(engine)));
        }
    }
    for at in engine.chambers.ids().skip(1) {
        if rest.levels[at] != end.levels[at] {
            told.push(format!(
                "{} is {}, not {}",
                Element::Chamber(at).the(engine),
                end.levels[at].word(),
                rest.levels[at].word()
            ));
        }
    }
    for (at, valve) in engine.valves.entries() {
        if valve.has_rest() && rest.shifted[at] != end.shifted[at] {
            let is = if end.shifted[at] { "is still shifted" } else { "has not shifted back" };
            told.push(format!("the {} {is}", valve.name.spoken()));
        }
    }
    let has_lost = rest.ball && !end.ball;
    if let Some(ball) = engine.ball.as_ref().filter(|_| has_lost) {
        told.push(match ball.fed.is_empty() {
            true => format!("nothing says when the next {} drops in", ball.name.spoken()),
            false => format!("no new {} has dropped in", ball.name.spoken()),
        });
    }
    told
}
