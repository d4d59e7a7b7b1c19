//! What is otherwise in an engine with something wrong than in the sound one, thing by thing, and
//! which events hang on it.

use super::counterpart::{chamber_there, event_there};
use crate::cutaway::model::{
    ChamberId, Condition, Element, Engine, Event, HandAct, Hold, NEVER, OPEN_AIR, Obstacle, Order,
    PartId, PushKind, Returns, Term, Width,
};
use crate::cutaway::{condition_words, event_words, spoken_fact};
use crate::logic::{Exploration, precedence};
use crate::text::listed;
use std::collections::{BTreeMap, BTreeSet};

/// A thing by its kind and its name, so that it is the same in both engines.
type ThingKey = (&'static str, String);

/// One thing that is otherwise.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Change {
    /// What, as a sentence without full stop: "the pilot shifts while the trigger is pulled, not
    /// once when the trigger is pulled".
    pub(super) what: String,
    /// What it touches: the thing, what it is a piece of, the rooms at its ends.
    touches: BTreeSet<ThingKey>,
    acts: Acts,
}

/// From when on a change makes a difference.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Acts {
    /// From the start.
    Always,
    /// Once air goes through one of these ways.
    Through(Vec<String>),
    /// Once this valve answers at another time.
    Answering(String),
}

/// All that a sentence on one thing can be about.
struct Described {
    /// "the vent", "the return spring of the spool".
    name: String,
    /// What it does, for one that the other engine lacks: "lets air pass from … to …".
    does: String,
    /// Verb and the rest of a sentence, each of which may differ: "is open", "while …".
    facets: Vec<(&'static str, String)>,
    touches: BTreeSet<ThingKey>,
}

/// What is otherwise than in the sound engine: what is wrong with pieces first.
pub(super) fn changes(engine: &Engine, sound: &Engine) -> Vec<Change> {
    let mut told = Vec::new();
    let mut spoiled: BTreeSet<ThingKey> = BTreeSet::new();
    for defect in engine.defects.iter().filter(|it| !sound.defects.contains(it)) {
        let own = key(engine, defect.thing);
        let mut touches: BTreeSet<ThingKey> = BTreeSet::from([own.clone()]);
        touches.extend(touched(engine, defect.thing));
        let leak = format!("leak past the {}", defect.look_at(engine));
        let gaps = gaps(engine, sound, defect.thing);
        let what = match gaps.is_empty() {
            true => defect.explained(engine),
            false => {
                let named: Vec<String> = gaps.iter().map(|way| way.the(engine)).collect();
                format!("{}: air passes by {}", defect.words(engine), listed(&named, "and"))
            }
        };
        let gaps = gaps.into_iter().map(|way| key(engine, way).1);
        let leaks: Vec<String> = std::iter::once(leak).chain(gaps).collect();
        let leak_keys = leaks.iter().map(|name| ("way", name.clone()));
        touches.extend(leak_keys.clone());
        spoiled.extend(leak_keys.chain([own]));
        let acts = match defect.thing {
            Element::Way(at) => Acts::Through(vec![engine.ways[at].name.id.clone()]),
            Element::Seal(_) => Acts::Through(leaks),
            _ => Acts::Always,
        };
        told.push(Change { what, touches, acts });
    }
    let (here, there) = (described(engine), described(sound));
    for (key, thing) in &here {
        if spoiled.contains(key) {
            continue;
        }
        match there.get(key) {
            None => told.push(Change {
                what: format!("{} is there: it {}", thing.name, thing.does),
                touches: thing.touches.clone(),
                acts: acts(key),
            }),
            Some(old) => told.extend(differing(key, thing, old)),
        }
    }
    for (key, thing) in there.iter().filter(|(key, _)| !here.contains_key(*key)) {
        if !spoiled.contains(key) {
            told.push(Change {
                what: format!("{} is not there", thing.name),
                touches: thing.touches.clone(),
                acts: acts(key),
            });
        }
    }
    told.extend(sayings(engine, sound));
    told
}

/// The ways that the writer put where a seal lets air past now.
fn gaps(engine: &Engine, sound: &Engine, thing: Element) -> Vec<Element> {
    let Element::Seal(at) = thing else { return Vec::new() };
    let (one, other) = engine.seals[at].between;
    let is_new = |name: &str| sound.ways.iter().all(|way| way.name.id != name);
    let is_leak = |name: &str| name.starts_with("leak past the ");
    let gaps = engine.ways.entries().filter(|(_, way)| {
        let joins = [(one, other), (other, one)].contains(&(way.from, way.to));
        joins && is_new(&way.name.id) && !is_leak(&way.name.id)
    });
    gaps.map(|(at, _)| Element::Way(at)).collect()
}

/// When a change of a thing makes a difference.
fn acts((kind, name): &ThingKey) -> Acts {
    match *kind {
        "way" => Acts::Through(vec![name.clone()]),
        _ => Acts::Always,
    }
}

fn differing(key: &ThingKey, thing: &Described, old: &Described) -> Option<Change> {
    let facets = thing.facets.iter().zip(&old.facets);
    let other: Vec<(&str, String)> = facets
        .filter(|(new, old)| new != old)
        .map(|((verb, new), (_, old))| (*verb, format!("{verb} {new}, not {old}")))
        .collect();
    let is_of_times = other.iter().all(|(verb, _)| ["shifts", "returns"].contains(verb));
    let leads = thing.facets.iter().find(|(verb, _)| *verb == "leads" && key.0 == "way");
    let ends = leads.filter(|_| other.iter().all(|(verb, _)| *verb != "leads"));
    let ends = ends.map_or(String::new(), |(_, ends)| format!(" {ends}"));
    let told: Vec<String> = other.into_iter().map(|(_, told)| told).collect();
    (!told.is_empty()).then(|| Change {
        what: format!("{}{ends} {}", old.name, listed(&told, "and")),
        touches: thing.touches.union(&old.touches).cloned().collect(),
        acts: if is_of_times { Acts::Answering(key.1.clone()) } else { acts(key) },
    })
}

/// Facts, and what the hand does. Orders are told where they matter.
fn sayings(engine: &Engine, sound: &Engine) -> Vec<Change> {
    let mut told = Vec::new();
    let facts = |engine: &Engine| -> BTreeMap<String, BTreeSet<ThingKey>> {
        let touches = |terms: &[Term]| -> BTreeSet<ThingKey> {
            let own = terms.iter().filter_map(|term| match term {
                Term::Own(thing) => Some(*thing),
                Term::Foreign(..) => None,
            });
            own.flat_map(|thing| touched(engine, thing)).collect()
        };
        let told = engine.facts.iter().map(|fact| {
            let both = [fact.left.as_slice(), fact.right.as_slice()].concat();
            (spoken_fact(engine, fact), touches(&both))
        });
        told.collect()
    };
    let (here, there) = (facts(engine), facts(sound));
    for (fact, touches) in here.iter().filter(|(fact, _)| !there.contains_key(*fact)) {
        told.push(Change { what: fact.clone(), touches: touches.clone(), acts: Acts::Always });
    }
    let hand = |engine: &Engine| -> Vec<String> {
        let acts = engine.hand_acts().into_iter().map(|HandAct { trigger, pulls, waits }| {
            let event = if pulls { Event::Pulled(trigger) } else { Event::Released(trigger) };
            let when = if waits { "" } else { " at any time" };
            format!("{}{when}", event_words(engine, event))
        });
        acts.collect()
    };
    let (acts, old) = (hand(engine), hand(sound));
    if acts != old {
        let what = format!("what the hand does is {}", acts.join(", "));
        told.push(Change { what, touches: BTreeSet::new(), acts: Acts::Always });
    }
    told
}

fn key(engine: &Engine, thing: Element) -> ThingKey {
    let name = thing.name(engine).map(|name| name.id.clone()).unwrap_or_default();
    match thing {
        Element::Push(part, _) => {
            ("push", format!("{}.{name}", Element::Part(part).spoken(engine)))
        }
        Element::Latch(part) => ("latch", Element::Part(part).spoken(engine)),
        thing => (thing.noun(), name),
    }
}

/// A thing, what it is a piece of, and the rooms and parts that it acts on.
fn touched(engine: &Engine, thing: Element) -> BTreeSet<ThingKey> {
    let mut touched = BTreeSet::from([key(engine, thing)]);
    let mut add = |thing: Element| {
        if !is_boundless(engine, thing) {
            touched.insert(key(engine, thing));
        }
    };
    let mut rooms = |(one, other): (ChamberId, ChamberId)| {
        add(Element::Chamber(one));
        add(Element::Chamber(other));
    };
    match thing {
        Element::Way(at) => rooms((engine.ways[at].from, engine.ways[at].to)),
        Element::Seal(at) => rooms(engine.seals[at].between),
        Element::Valve(at) => {
            let valve = &engine.valves[at];
            valve.rest.iter().chain(&valve.shifted).for_each(|joint| rooms(*joint));
        }
        thing => thing.owner().into_iter().for_each(&mut add),
    }
    touched
}

/// The open air and supplies are what they are, whatever opens to them.
fn is_boundless(engine: &Engine, thing: Element) -> bool {
    match thing {
        Element::Chamber(at) => at == OPEN_AIR || engine.chambers[at].is_supply(),
        _ => false,
    }
}

fn described(engine: &Engine) -> BTreeMap<ThingKey, Described> {
    let mut all: BTreeMap<ThingKey, Described> = BTreeMap::new();
    let mut add = |thing: Element, name: Option<String>, does: String, facets| {
        let name = name.unwrap_or_else(|| thing.the(engine));
        let touches = touched(engine, thing);
        all.insert(key(engine, thing), Described { name, does, facets, touches });
    };
    for (at, room) in engine.chambers.entries().skip(1) {
        let the = |at: ChamberId| Element::Chamber(at).the(engine);
        let holds = match room.holds {
            Some(mark) => format!("no more than {}", engine.landmarks[mark].name.spoken()),
            None => "its whole pressure".to_owned(),
        };
        let starts = room.starts_as.map_or("empty".to_owned(), |from| format!("as {}", the(from)));
        let facets = vec![("holds", holds), ("starts", starts), ("is a", room.role.word().into())];
        add(Element::Chamber(at), None, "takes up air".to_owned(), facets);
    }
    for (at, way) in engine.ways.entries() {
        let the = |at: ChamberId| Element::Chamber(at).the(engine);
        let ends = format!("from {} to {}", the(way.from), the(way.to));
        let lets = if way.one_way { "one way only" } else { "both ways" };
        let relief = way.relieves_at.map_or("at any pressure".to_owned(), |mark| {
            format!("from {} on", engine.landmarks[mark].name.spoken())
        });
        let when = always_or_while(engine, &way.when);
        let does = format!("lets air pass {ends}, {when}");
        let facets = vec![
            ("leads", ends),
            ("is", way.width.word().to_owned()),
            ("lets air pass", lets.to_owned()),
            ("opens", relief),
            ("is open", when),
        ];
        add(Element::Way(at), None, does, facets);
    }
    for (at, seal) in engine.seals.entries() {
        let (one, other) = seal.between;
        let the = |at: ChamberId| Element::Chamber(at).the(engine);
        let parts = format!("{} from {}", the(one), the(other));
        let lip = seal.lip.map_or("both ways".to_owned(), |at| format!("only air of {}", the(at)));
        let does = format!("parts {parts}");
        let when = always_or_while(engine, &seal.when);
        let facets = vec![("parts", parts), ("holds", lip), ("seals", when)];
        add(Element::Seal(at), None, does, facets);
    }
    for part in engine.parts.ids() {
        describe_part(engine, part, &mut add);
    }
    for at in engine.valves.ids() {
        let facets = valve_facets(engine, at);
        let does = facets.iter().map(|(verb, rest)| format!("{verb} {rest}"));
        let does = listed(&does.collect::<Vec<_>>(), "and");
        add(Element::Valve(at), None, does, facets);
    }
    if let Some(ball) = &engine.ball {
        let room = Element::Chamber(ball.chamber).the(engine);
        let fed = match ball.fed.is_empty() {
            true => "never".to_owned(),
            false => always_or_while(engine, &ball.fed),
        };
        let rest = if ball.lies_at_rest { "lies there" } else { "is not there" }.to_owned();
        let facets = vec![("sits before", room.clone()), ("at rest", rest), ("drops in", fed)];
        add(Element::Ball, None, format!("sits before {room}"), facets);
    }
    all
}

type Add<'a> = dyn FnMut(Element, Option<String>, String, Vec<(&'static str, String)>) + 'a;

fn describe_part(engine: &Engine, at: PartId, add: &mut Add<'_>) {
    let part = &engine.parts[at];
    let name = part.name.spoken();
    let places: Vec<String> = part.positions.iter().map(|it| it.spoken()).collect();
    let rest = part.positions[part.rest].spoken();
    let speed = if part.is_slow { "slowly" } else { "freely" };
    let blocked = |block: &Obstacle| {
        let when = always_or_while(engine, &block.when);
        format!("{} {when}", block.direction.word())
    };
    let blocks: Vec<String> = part.blocks.iter().map(blocked).collect();
    let blocks = if blocks.is_empty() { "never".to_owned() } else { listed(&blocks, "and") };
    let links = engine.links.iter().filter_map(|(one, other)| match (*one == at, *other == at) {
        (true, _) => Some(Element::Part(*other).the(engine)),
        (_, true) => Some(Element::Part(*one).the(engine)),
        _ => None,
    });
    let links: Vec<String> = links.collect();
    let links = if links.is_empty() { "nothing".to_owned() } else { listed(&links, "and") };
    let facets = vec![
        ("stands at", listed(&places, "or")),
        ("rests at", rest),
        ("moves", speed.to_owned()),
        ("is blocked", blocks),
        ("moves as one with", links),
    ];
    add(Element::Part(at), None, "moves".to_owned(), facets);
    for (push_at, push) in part.pushes.entries() {
        let by = match push.kind {
            PushKind::Face(room) => {
                format!("with the pressure of {}", Element::Chamber(room).the(engine))
            }
            PushKind::Spring => "with its spring".to_owned(),
            PushKind::Hand => "by hand".to_owned(),
            PushKind::Contact(other) => format!("with {}", Element::Part(other).the(engine)),
        };
        let own = push.name.spoken();
        let noun = match push.kind {
            PushKind::Spring if !own.ends_with("spring") => " spring",
            PushKind::Face(_) => " face",
            _ => "",
        };
        let does = format!("pushes the {name} {}", push.direction.word());
        let facets = vec![
            ("pushes", by),
            ("pushes it", push.direction.word().to_owned()),
            ("acts", always_or_while(engine, &push.when)),
        ];
        let own = match push.kind {
            PushKind::Hand => format!("the hand on the {name}"),
            _ => format!("the {own}{noun} of the {name}"),
        };
        add(Element::Push(at, push_at), Some(own), does, facets);
    }
    if let Some(latch) = &part.latch {
        let held = part.positions[latch.at].spoken();
        let until = match &latch.hold {
            Hold::Until(trigger) => {
                format!("until {} is pulled", Element::Trigger(*trigger).the(engine))
            }
            Hold::While(when) => always_or_while(engine, when),
        };
        let facets = vec![("holds", format!("it at {held}")), ("holds it", until)];
        add(Element::Latch(at), None, format!("holds the {name} at {held}"), facets);
    }
}

fn valve_facets(
    engine: &Engine,
    at: crate::cutaway::model::ValveId,
) -> Vec<(&'static str, String)> {
    let valve = &engine.valves[at];
    let joins = |pairs: &[(ChamberId, ChamberId)], shifted: bool| {
        let words = crate::cutaway::spoken::joins(pairs, |room| Element::Chamber(room).the(engine));
        let is_thin = (0..pairs.len()).any(|it| valve.width(shifted, it) != Width::Wide);
        if is_thin { format!("{words}, narrowly") } else { words }
    };
    let returns = match &valve.returns {
        Returns::Spring => "as soon as nothing shifts it".to_owned(),
        Returns::After(clock) => format!("after the {}", clock.spoken()),
        Returns::While(when) => always_or_while(engine, when),
    };
    let shifts = match (valve.on_edge, valve.shifts.contains(&NEVER)) {
        (true, false) => format!("once each time with {}", words(engine, &valve.shifts)),
        _ => always_or_while(engine, &valve.shifts),
    };
    vec![
        ("joins at rest", joins(&valve.rest, false)),
        ("joins when shifted", joins(&valve.shifted, true)),
        ("shifts", shifts),
        ("returns", returns),
    ]
}

fn words(engine: &Engine, when: &[Condition]) -> String {
    let words: Vec<String> = when.iter().map(|it| condition_words(engine, *it)).collect();
    words.join(" and ")
}

/// "while the switch at back", "always", "never".
fn always_or_while(engine: &Engine, when: &[Condition]) -> String {
    match when {
        [] => "always".to_owned(),
        when if when.contains(&NEVER) => "never".to_owned(),
        when => format!("while {}", words(engine, when)),
    }
}

/// An engine and what can happen in one shot of it.
pub(super) type Ran<'a> = (&'a Engine, &'a Exploration);

/// Whether an order that was seen on the sound engine says nothing of one that is so changed: what
/// leads to one of its events is otherwise. What the engine states itself is kept.
pub(super) fn in_doubt(
    (engine, found): Ran<'_>,
    (sound, of_sound): Ran<'_>,
    order: &Order,
    changes: &[Change],
) -> bool {
    if !is_inherited(sound, order) {
        return false;
    }
    let line = of_sound.line_events();
    let place = |event: Event| line.iter().position(|other| *other == event);
    let last = place(order.first).max(place(order.then)).unwrap_or(line.len());
    let moved = line.iter().take(last + 1).map(|event| whole(event.subject())).collect();
    let leading = leading_to(sound, [order.first, order.then], &moved);
    let events = [order.first, order.then];
    let there = events.map(|event| event_there(engine, sound, event).unwrap_or(event));
    let matters = |change: &Change| match &change.acts {
        Acts::Always => true,
        // A way that carries nothing by then has no part in it.
        Acts::Through(names) => names.iter().any(|name| {
            carries((engine, found), events, name)
                || carries((sound, of_sound), there, name)
                || rests_otherwise((engine, found), (sound, of_sound), name)
        }),
        Acts::Answering(valve) => {
            !answers_alike((engine, found, events), (sound, of_sound, there), valve)
        }
    };
    let leads = |change: &&Change| change.touches.iter().any(|thing| leading.contains(thing));
    changes.iter().filter(leads).any(matters)
}

/// Whether a valve has answered in the same way in both engines by the time that two events have
/// happened: it shifts before each of them in every run or in none, and has not come back.
fn answers_alike(
    (engine, found, events): (&Engine, &Exploration, [Event; 2]),
    (sound, of_sound, there): (&Engine, &Exploration, [Event; 2]),
    valve: &str,
) -> bool {
    let answers = |engine: &Engine, found: &Exploration, event: Event| {
        let at = engine.valves.ids().find(|at| engine.valves[*at].name.id == valve)?;
        let shifts = precedence(found, Event::Shifts(at), event);
        let returns = precedence(found, Event::Returns(at), event);
        let is_back = returns.first_before || returns.at_once;
        let is_certain = !(shifts.first_before && shifts.then_before || shifts.at_once);
        (!is_back && is_certain).then_some(shifts.first_before)
    };
    events.into_iter().zip(there).all(|(event, event_there)| {
        let here = answers(engine, found, event);
        here.is_some() && here == answers(sound, of_sound, event_there)
    })
}

/// Whether air goes through a way before both events have happened, in the run that is told.
fn carries((engine, found): Ran<'_>, events: [Event; 2], name: &str) -> bool {
    let Some(at) = engine.ways.ids().find(|at| engine.ways[*at].name.id == name) else {
        return false;
    };
    let step_of = |event: Event| {
        found.line.iter().position(|step| found.steps[*step].events.contains(&event))
    };
    let last = events.map(step_of).into_iter().max().flatten().unwrap_or(found.line.len());
    let way = &engine.ways[at];
    found.line_states().iter().take(last + 1).any(|state| {
        let (from, to) = (state.pressure(way.from).rank(), state.pressure(way.to).rank());
        state.is_open(engine, at) && (to < from || !way.one_way && from < to)
    })
}

/// Whether a room at an end of a way holds another pressure at rest than in the sound engine.
fn rests_otherwise((engine, found): Ran<'_>, (sound, of_sound): Ran<'_>, name: &str) -> bool {
    let Some(way) = engine.ways.iter().find(|way| way.name.id == name) else { return false };
    let (Some(rest), Some(of_sound)) = (found.states.first(), of_sound.states.first()) else {
        return false;
    };
    [way.from, way.to].into_iter().any(|room| {
        chamber_there(engine, sound, room)
            .is_some_and(|there| rest.pressure(room).rank() != of_sound.pressure(there).rank())
    })
}

/// Whether an order was taken over from the sound engine.
pub(super) fn is_inherited(sound: &Engine, order: &Order) -> bool {
    sound.orders.iter().any(|it| it.span == order.span)
}

/// A thing, or what it is a piece of.
fn whole(thing: Element) -> Element {
    match thing {
        Element::Position(..) | Element::Pressure(..) | Element::Latch(_) => {
            thing.owner().unwrap_or(thing)
        }
        other => other,
    }
}

/// The things that lead to two events: what they happen to, what acts on that, what opens the ways
/// of the rooms among it, and so on, as far as something has `moved` by then. What never moves is
/// always part of it.
fn leading_to(
    engine: &Engine,
    events: [Event; 2],
    moved: &BTreeSet<Element>,
) -> BTreeSet<ThingKey> {
    let mut things: Vec<Element> = events.map(|event| whole(event.subject())).to_vec();
    let mut next = 0;
    while let Some(thing) = things.get(next).copied() {
        next += 1;
        for other in acting_on(engine, thing) {
            let is_fixed = match other {
                Element::Way(at) => engine.ways[at].when.is_empty(),
                Element::Part(_) | Element::Valve(_) | Element::Trigger(_) => false,
                other => !is_boundless(engine, other),
            };
            if (is_fixed || moved.contains(&other)) && !things.contains(&other) {
                things.push(other);
            }
        }
    }
    things.into_iter().map(|thing| key(engine, thing)).collect()
}

/// What acts on a thing.
fn acting_on(engine: &Engine, thing: Element) -> Vec<Element> {
    match thing {
        Element::Chamber(room) => {
            let leads = |(one, other): &(ChamberId, ChamberId)| *one == room || *other == room;
            let ways = engine.ways.entries().filter(|(_, way)| leads(&(way.from, way.to)));
            let valves = engine
                .valves
                .entries()
                .filter(|(_, valve)| valve.rest.iter().chain(&valve.shifted).any(leads));
            let ways = ways.map(|(at, _)| Element::Way(at));
            ways.chain(valves.map(|(at, _)| Element::Valve(at))).collect()
        }
        Element::Way(at) => {
            let way = &engine.ways[at];
            let ends = [way.from, way.to].map(Element::Chamber);
            ends.into_iter().chain(asked(engine, &way.when)).collect()
        }
        Element::Valve(at) => asked(engine, &engine.valves[at].shifts),
        Element::Ball => {
            let room = engine.ball.as_ref().map(|ball| Element::Chamber(ball.chamber));
            room.into_iter().collect()
        }
        Element::Part(part) => {
            let pushes = engine.parts[part].pushes.entries();
            let acting = pushes.flat_map(|(at, push)| {
                let by = match push.kind {
                    PushKind::Face(room) => Some(Element::Chamber(room)),
                    PushKind::Contact(other) => Some(Element::Part(other)),
                    PushKind::Spring | PushKind::Hand => None,
                };
                by.into_iter().chain([Element::Push(part, at)])
            });
            acting.chain([Element::Latch(part)]).collect()
        }
        _ => Vec::new(),
    }
}

/// What conditions speak of.
fn asked(engine: &Engine, when: &[Condition]) -> Vec<Element> {
    let of = |condition: &Condition| match *condition {
        Condition::At(part, _) | Condition::From(part, _) | Condition::Before(part, _) => {
            vec![Element::Part(part)]
        }
        Condition::Shifted(valve) | Condition::Resting(valve) => vec![Element::Valve(valve)],
        Condition::Pulled(trigger) | Condition::Released(trigger) => {
            vec![Element::Trigger(trigger)]
        }
        Condition::Pressure(room) | Condition::NoPressure(room) => vec![Element::Chamber(room)],
        Condition::Above(one, other) => vec![Element::Chamber(one), Element::Chamber(other)],
        Condition::Reached(room, _) | Condition::Below(room, _) => vec![Element::Chamber(room)],
        Condition::Either(at) => {
            engine.choices[at].iter().flat_map(|choice| asked(engine, choice)).collect()
        }
    };
    when.iter().flat_map(of).collect()
}
