//! What is otherwise in an engine with something wrong than in the sound one, thing by thing, and
//! what each touches.

use super::doubt::is_inherited;
use crate::cutaway::model::{
    Chamber, ChamberId, Condition, Direction, Element, Engine, Event, HandAct, Hold, NEVER,
    OPEN_AIR, Obstacle, PartId, Push, PushKind, Returns, Term, Width, Wrong,
};
use crate::cutaway::{condition_words, event_words, spoken_fact};
use crate::text::listed;
use std::collections::{BTreeMap, BTreeSet};

/// A thing by its kind and its name, so that it is the same in both engines.
pub(super) type ThingKey = (&'static str, String);

/// One thing that is otherwise.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Change {
    /// What, as a sentence without full stop: "the pilot shifts while the trigger is pulled, not
    /// once when the trigger is pulled".
    pub(super) what: String,
    /// What it touches: the thing, what it is a piece of, the rooms at its ends.
    pub(super) touches: BTreeSet<ThingKey>,
    pub(super) acts: Acts,
}

/// From when on a change makes a difference.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Acts {
    /// From the start.
    Always,
    /// Once air goes through one of these ways.
    Through(Vec<String>),
    /// Once this valve answers at another time.
    Answering(String),
    /// Once air goes through this valve at rest (`false`) or shifted (`true`).
    Joining(String, Vec<bool>),
    /// Once this part moves the way that a spring would push it which pushes no more.
    Unsprung(String, Direction),
}

/// What is said of what a valve joins: at rest, and when it has shifted.
const JOINS: [&str; 2] = ["at rest joins", "when shifted joins"];

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
            Element::Push(part, at) if defect.wrong == Wrong::Broken => {
                unsprung(engine, part, &engine.parts[part].pushes[at])
            }
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
                acts: spring_of(sound, key).unwrap_or_else(|| acts(key)),
            });
        }
    }
    told.extend(sayings(engine, sound));
    told.extend(own_orders(engine, sound));
    told
}

/// Orders that an engine states and the sound one does not.
fn own_orders(engine: &Engine, sound: &Engine) -> Vec<Change> {
    let words = |event: Event| {
        let words = format!("\u{201c}{}\u{201d}", event_words(engine, event));
        match event {
            Event::Returns(at) => match &engine.valves[at].returns {
                Returns::After(clock) => format!("{words}, when the {} is over,", clock.spoken()),
                Returns::Spring | Returns::While(_) => words,
            },
            _ => words,
        }
    };
    let own = engine.orders.iter().filter(|order| !is_inherited(sound, order));
    let told = own.map(|order| Change {
        what: format!("{} comes before {}", words(order.first), words(order.then)),
        touches: BTreeSet::new(),
        acts: Acts::Always,
    });
    told.collect()
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

/// When it makes a difference that a spring of a part pushes no more.
fn unsprung(engine: &Engine, part: PartId, spring: &Push) -> Acts {
    Acts::Unsprung(engine.parts[part].name.id.clone(), spring.direction)
}

/// The same of a spring that is looked for by its key.
fn spring_of(engine: &Engine, wanted: &ThingKey) -> Option<Acts> {
    let pushes = engine
        .parts
        .entries()
        .flat_map(|(part, item)| item.pushes.entries().map(move |(at, push)| (part, at, push)));
    let mut springs = pushes.filter(|(.., push)| push.kind == PushKind::Spring);
    let (part, _, push) =
        springs.find(|(part, at, _)| key(engine, Element::Push(*part, *at)) == *wanted)?;
    Some(unsprung(engine, part, push))
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
    let joining = other.iter().map(|(verb, _)| JOINS.iter().position(|it| it == verb));
    let joining: Option<Vec<bool>> = joining.map(|at| at.map(|at| at == 1)).collect();
    let leads = thing.facets.iter().find(|(verb, _)| *verb == "leads" && key.0 == "way");
    let ends = leads.filter(|_| other.iter().all(|(verb, _)| *verb != "leads"));
    let ends = ends.map_or(String::new(), |(_, ends)| format!(" {ends}"));
    let told: Vec<String> = other.into_iter().map(|(_, told)| told).collect();
    (!told.is_empty()).then(|| Change {
        what: format!("{}{ends} {}", old.name, listed(&told, "and")),
        touches: thing.touches.union(&old.touches).cloned().collect(),
        acts: match joining {
            Some(states) => Acts::Joining(key.1.clone(), states),
            None if is_of_times => Acts::Answering(key.1.clone()),
            None => acts(key),
        },
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

pub(super) fn key(engine: &Engine, thing: Element) -> ThingKey {
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
pub(super) fn is_boundless(engine: &Engine, thing: Element) -> bool {
    match thing {
        Element::Chamber(at) => at == OPEN_AIR || engine.chambers[at].is_supply(),
        _ => false,
    }
}

fn facets_of_room(engine: &Engine, room: &Chamber) -> Vec<(&'static str, String)> {
    let the = |at: ChamberId| Element::Chamber(at).the(engine);
    let holds = match room.holds {
        Some(mark) => format!("no more than {}", engine.landmarks[mark].name.spoken()),
        None => "its whole pressure".to_owned(),
    };
    let starts = room.starts_as.map_or("empty".to_owned(), |from| format!("as {}", the(from)));
    let empties = if room.is_quick { "before parts move" } else { "beside what moves" };
    vec![
        ("holds", holds),
        ("starts", starts),
        ("is a", room.role.word().into()),
        ("runs empty", empties.to_owned()),
    ]
}

fn described(engine: &Engine) -> BTreeMap<ThingKey, Described> {
    let mut all: BTreeMap<ThingKey, Described> = BTreeMap::new();
    let mut add = |thing: Element, name: Option<String>, does: String, facets| {
        let name = name.unwrap_or_else(|| thing.the(engine));
        let touches = touched(engine, thing);
        all.insert(key(engine, thing), Described { name, does, facets, touches });
    };
    for (at, room) in engine.chambers.entries().skip(1) {
        let facets = facets_of_room(engine, room);
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
        ("is", part.pace.word().to_owned()),
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
        (JOINS[0], joins(&valve.rest, false)),
        (JOINS[1], joins(&valve.shifted, true)),
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
