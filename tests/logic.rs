//! The event logic against circuits whose behaviour textbooks give, and against the demo's engines.
//!
//! `tests/logic/NAME.cut` is a circuit, `tests/logic/NAME.txt` what it must do: the source, the
//! events in order, and how it ends. Nothing in the texts is copied from our own output.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test that meets an error has failed"
)]

#[path = "logic/brute_force.rs"]
mod brute_force;
#[path = "logic/seeping.rs"]
mod seeping;

use gaugebook::cutaway::model::Event;
use gaugebook::cutaway::{self, Engine, event_words, parse_event};
use gaugebook::logic::{
    Clocks, Ending, EventStanding, Exploration, explore, explore_within, follow,
};
use gaugebook::slip::{Paint, Severity, render};
use gaugebook::text::Source;
use std::path::{Path, PathBuf};
use std::sync::Arc;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn load(folder: &Path, name: &str) -> Arc<Source> {
    let path = folder.join(format!("{name}.cut"));
    Source::new(format!("{name}.cut"), std::fs::read_to_string(path).unwrap())
}

/// Reads a circuit that must have no slip that stops publishing.
fn engine(folder: &Path, name: &str) -> Engine {
    let source = load(folder, name);
    let others =
        |other: &str| folder.join(format!("{other}.cut")).exists().then(|| load(folder, other));
    let (engine, slips) = cutaway::read(&source, &others);
    let told: String = slips
        .iter()
        .filter(|slip| slip.severity == Severity::Stop)
        .map(|slip| render(slip, Paint::plain()))
        .collect();
    assert!(told.is_empty(), "{told}");
    engine
}

/// What an exploration tells, one step a line.
fn told(engine: &Engine, found: &Exploration) -> String {
    let mut out = String::new();
    for why in &found.unrest {
        out.push_str(&format!("(not at rest: {why})\n"));
    }
    for step in &found.line {
        let step = &found.steps[*step];
        let events: Vec<String> = step.events.iter().map(|e| event_words(engine, *e)).collect();
        out.push_str(&format!("{}\n    {}\n", events.join("; "), step.why));
    }
    for (_, ending) in &found.endings {
        out.push_str(&format!("{ending:?}\n"));
    }
    out
}

fn ending_word(ending: Option<&Ending>) -> &'static str {
    match ending {
        Some(Ending::AtRest) => "at rest",
        Some(Ending::Stuck(_)) => "stuck",
        Some(Ending::Repeats(_)) => "repeats",
        Some(Ending::Vents(_)) => "vents",
        Some(Ending::Undecided(_)) => "undecided",
        None => "cut short",
    }
}

/// Every circuit does what its text says.
#[test]
fn textbook_circuits_do_what_textbooks_say() {
    let folder = root().join("tests/logic");
    let mut names: Vec<String> = std::fs::read_dir(&folder)
        .unwrap()
        .filter_map(|entry| {
            let name = entry.unwrap().file_name().into_string().unwrap();
            name.strip_suffix(".cut").map(str::to_owned)
        })
        .collect();
    names.sort();
    assert!(6 <= names.len(), "the circuits are there");
    for name in names {
        let engine = engine(&folder, &name);
        let found = explore(&engine);
        let wanted = std::fs::read_to_string(folder.join(format!("{name}.txt"))).unwrap();
        let lines = wanted.lines().filter(|line| !line.starts_with('#') && !line.trim().is_empty());
        let (mut events, mut ending, mut never) = (Vec::new(), "", Vec::new());
        for line in lines {
            match line.split_once(": ") {
                Some(("ends", word)) => ending = word,
                Some(("never", words)) => never.push(parse_event(&engine, words).unwrap()),
                _ => events.push(parse_event(&engine, line).unwrap()),
            }
        }
        let followed = follow(&found, &events);
        let certain = followed.events.iter().all(|standing| *standing == EventStanding::Follows);
        let told = told(&engine, &found);
        assert!(certain, "{name}: {:?}\n{told}", followed.events);
        assert_eq!(ending_word(found.ending()), ending, "{name}\n{told}");
        assert_eq!(found.endings.len(), 1, "{name}: all runs end alike\n{told}");
        let happens = |event: &Event| found.steps.iter().any(|step| step.events.contains(event));
        assert!(!never.iter().any(happens), "{name}: what never happens\n{told}");
    }
}

/// The same circuits with the word left out that they are about do something else.
#[test]
fn a_blow_that_lasts_a_latch_that_catches_and_a_room_that_starts_empty_do_otherwise() {
    let folder = root().join("tests/logic");
    let changed = |name: &str, from: &str, to: &str| {
        let text = std::fs::read_to_string(folder.join(format!("{name}.cut"))).unwrap();
        assert!(text.contains(from), "{name}");
        let (engine, _) = cutaway::read(&Source::new("a.cut", text.replace(from, to)), &|_| None);
        let found = explore(&engine);
        let happens = |words: &str| {
            let event = parse_event(&engine, words).unwrap();
            found.steps.iter().any(|step| step.events.contains(&event))
        };
        let ending = ending_word(found.ending());
        (
            ending,
            ["valve leaves open", "sear catches", "piston leaves out"]
                .map(|words| parse_event(&engine, words).is_ok() && happens(words)),
        )
    };
    // The hammer holds the valve open for good.
    let lasting = changed("spent_blow", "  once  ", "  ");
    assert_eq!(lasting.1, [false; 3]);
    // One shot for each pull, though the trigger is held: what a disconnector does.
    let caught = changed("free_latch", "while trigger released", "until trigger");
    assert_eq!(caught, ("at rest", [false, true, false]));
    // Nothing brings it home.
    let empty = changed("air_spring", "starts as line", "");
    assert_eq!(empty, ("stuck", [false; 3]));
}

/// The running-down circuit with other facts in the place of its own.
fn running_down(facts: &[&str]) -> Engine {
    let folder = root().join("tests/logic");
    let text = std::fs::read_to_string(folder.join("running_down.cut")).unwrap();
    let kept: String =
        text.split_inclusive('\n').filter(|line| !line.starts_with("fact")).collect();
    let source = Source::new("running_down.cut", format!("{kept}{}\n", facts.join("\n")));
    let (engine, slips) = cutaway::read(&source, &|_| None);
    assert!(slips.is_empty(), "{slips:?}");
    engine
}

/// An engine of one part with these lines, and these facts.
fn one_part(lines: &str) -> Engine {
    let text = format!(
        "cutaway alder\nsupply line\nchamber room\nvalve feeder  3/2  mechanical\n  \
         rest joins room to open_air\n  shifted joins line to room\n  shifts while trigger\n\
         moving sleeve\n  positions back, front\n  rests back\n{lines}"
    );
    let (engine, slips) = cutaway::read(&Source::new("alder.cut", text), &|_| None);
    assert!(slips.iter().all(|slip| slip.severity != Severity::Stop), "{slips:?}");
    engine
}

/// What is the same on both sides cancels, and the rest decides.
#[test]
fn equal_faces_at_one_pressure_cancel_inside_a_sum() {
    let faces = "  face rear in room pushes forward\n  face nose in room pushes back\n  \
                 spring pusher pushes forward  while pressure in room\n  spring keeper pushes back\n";
    let told = |fact: &str| {
        let engine = one_part(&format!("{faces}{fact}"));
        let found = explore(&engine);
        let sleeve = engine.part("sleeve").unwrap();
        let reaches = |event: &Event| matches!(event, Event::Reaches(part, _) if *part == sleeve);
        (ending_word(found.ending()), found.line_events().iter().any(reaches))
    };
    let stronger = "fact sleeve.pusher larger than sleeve.keeper (by hand)\n";
    assert_eq!(told(stronger).0, "undecided");
    let both = format!("{stronger}fact sleeve.rear same as sleeve.nose (measured)\n");
    assert_eq!(told(&both), ("at rest", true));
}

/// Nothing is told to fill from what holds less.
#[test]
fn a_room_fills_from_what_holds_more() {
    for (engine, name) in all_engines() {
        for step in &explore(&engine).steps {
            let fills = step.why.split("; ").filter(|why| why.contains(" fill"));
            let from_air = fills.filter(|why| why.ends_with("from the open air"));
            assert_eq!(from_air.count(), 0, "{name}: {}", step.why);
        }
    }
}

/// Every circuit and every engine of the demo.
fn all_engines() -> Vec<(Engine, String)> {
    let folders = [root().join("tests/logic"), root().join("diagrams")];
    let mut engines = Vec::new();
    for folder in folders {
        for entry in std::fs::read_dir(&folder).unwrap() {
            let name = entry.unwrap().file_name().into_string().unwrap();
            if let Some(name) = name.strip_suffix(".cut") {
                engines.push((engine(&folder, name), name.to_owned()));
            }
        }
    }
    assert!(12 < engines.len());
    engines
}

/// What is proposed where nothing decides may be written beside the facts that are there, and
/// decides.
#[test]
fn what_would_decide_contradicts_nothing_and_decides() {
    let full = "fact piston.cap larger than piston.return (seen)";
    let needed = |facts: &[&str]| match explore(&running_down(facts)).ending() {
        Some(Ending::Undecided(need)) => need.facts.clone(),
        _ => Vec::new(),
    };
    let both = ["cap larger than piston.return", "return larger than piston.cap"];
    assert_eq!(needed(&[]), both.map(|fact| format!("fact piston.{fact} (…)")));
    // Whether it goes back at what is left or only when all is gone: what happens is the same.
    let both = ["cap much larger than piston.return", "return larger than piston.cap once spent"];
    let found = explore(&running_down(&[full]));
    assert!(needed(&[full]).is_empty() && found.always_ends_at_rest());
    let runs = both.map(|fact| {
        let decided = explore(&running_down(&[full, &format!("fact piston.{fact} (felt)")]));
        assert!(decided.always_ends_at_rest(), "{fact}");
        decided.steps.len()
    });
    assert!(runs.iter().all(|steps| *steps < found.steps.len()), "both answers are followed");
}

/// Of full pressure a fact of spent pressure says nothing.
#[test]
fn what_wins_once_the_other_is_spent_may_lose_before() {
    let spent = "fact piston.return larger than piston.cap once spent (felt)";
    let found = explore(&running_down(&[spent]));
    let Some(Ending::Undecided(need)) = found.ending() else { panic!("{:?}", found.ending()) };
    assert!(need.facts[0].contains("piston.cap larger than piston.return"), "{:?}", need.facts);
}

/// Every engine of the demo comes back to rest after one shot, whatever comes first of what is not
/// ordered.
#[test]
fn the_demo_engines_come_back_to_rest() {
    let folder = root().join("diagrams");
    for name in ["ash", "hazel", "larch", "oak", "rowan", "rowan_deep", "sorrel", "yew"] {
        let engine = engine(&folder, name);
        let found = explore(&engine);
        assert!(found.always_ends_at_rest(), "{name}\n{}", told(&engine, &found));
        if std::env::var_os("TELL").is_some() {
            println!("== {name}: {} states\n{}", found.states.len(), told(&engine, &found));
        }
    }
}

/// Small engines put together at random: rooms, valves, pistons, ways, with facts or without.
fn some_engine() -> impl proptest::strategy::Strategy<Value = String> {
    use proptest::prelude::*;
    let room = (0..4usize).prop_map(|at| ["a", "b", "store", "open_air"][at]);
    let piston = (room.clone(), room.clone(), 0..3usize, any::<bool>());
    let way = (room.clone(), room.clone(), any::<bool>(), 0..3usize);
    let valve = (room.clone(), room, 0..3usize);
    let pieces = (
        prop::collection::vec(piston, 1..3),
        prop::collection::vec(way, 0..4),
        prop::collection::vec(valve, 0..3),
    );
    pieces.prop_map(|(pistons, ways, valves)| {
        let mut text = String::from(
            "cutaway some\nsupply line\nchamber a role drive\nchamber b role pilot\n\
             chamber store role store\nball pellet in a fed while no pressure in a\n\
             barrel from a\n",
        );
        for (at, (behind, before, spring, decided)) in pistons.iter().enumerate() {
            text.push_str(&format!(
                "moving p{at}\n  positions rear, middle, front\n  rests rear\n  \
                 face f in {behind} pushes forward\n  face g in {before} pushes back\n"
            ));
            if 0 < *spring {
                text.push_str("  spring s pushes back\n");
            }
            if *decided {
                text.push_str(&format!("fact p{at}.f larger than p{at}.g (seen)\n"));
            }
        }
        for (at, (from, to, narrow, when)) in ways.iter().enumerate() {
            let narrow = if *narrow { " narrow" } else { "" };
            let when = ["", " while p0 at front", " while p0 before middle"][*when];
            text.push_str(&format!("way w{at} from {from} to {to}{narrow}{when}\n"));
        }
        for (at, (rest, shifted, how)) in valves.iter().enumerate() {
            let how = [
                "shifts on trigger\n  returns after dwell",
                "shifts while trigger",
                "shifts while p0 at front",
            ][*how];
            text.push_str(&format!(
                "valve v{at} 3/2 mechanical\n  rest joins {rest} to open_air\n  shifted joins line to \
                 {shifted}\n  {how}\n"
            ));
        }
        text
    })
}

proptest::proptest! {
    /// Whatever is put together, the search ends, every step leads from one state that was met to
    /// another, and the told run hangs together.
    #[test]
    fn any_engine_is_explored_soundly(text in some_engine()) {
        let source = Source::new("some.cut", text);
        let (engine, _) = cutaway::read(&source, &|_| None);
        let found = explore(&engine);
        let count = found.states.len();
        proptest::prop_assert!(found.is_cut_short || !found.endings.is_empty());
        proptest::prop_assert!(found.steps.iter().all(|step| step.from < count && step.to < count));
        let mut at = 0;
        for step in &found.line {
            proptest::prop_assert_eq!(found.steps[*step].from, at);
            at = found.steps[*step].to;
        }
        proptest::prop_assert!(found.ending().is_some() || found.is_cut_short);
        // What happens in the told run is followed by a sequence of just these events.
        let events: Vec<Event> = found.line_events();
        let followed = follow(&found, &events);
        let fits = |standing: &EventStanding| matches!(standing, EventStanding::Follows | EventStanding::Possible);
        proptest::prop_assert!(followed.events.iter().all(fits));
    }
}

/// A store opened to the air by a switch that a heavy bolt brings home again.
fn emptying(lines: &str) -> (Engine, Exploration) {
    emptying_of("chamber store  role store", lines)
}

fn emptying_of(store: &str, lines: &str) -> (Engine, Exploration) {
    let text = format!(
        "cutaway elm\nsupply line\n{store}\nchamber pilot_room  role pilot\n\
         chamber pocket\n\
         valve pilot  3/2  solenoid\n  rest joins pilot_room to open_air\n  \
         shifted joins line to pilot_room\n  shifts on trigger\n  returns after dwell\n\
         moving gate  as spool{lines}"
    );
    let (engine, slips) = cutaway::read(&Source::new("elm.cut", text), &|_| None);
    let told: String = slips.iter().map(|slip| render(slip, Paint::plain())).collect();
    assert!(slips.iter().all(|slip| slip.severity != Severity::Stop), "{told}");
    let found = explore(&engine);
    (engine, found)
}

const GATE: &str = "\n  positions shut, open\n  rests shut\n  \
     face foot in pilot_room pushes forward\n  spring closer pushes back\n\
     fact gate.foot larger than gate.closer (felt)\n\
     way feed from line to store narrow while gate at shut\n\
     way drain from store to open_air while gate at open\n\
     way leak from store to pocket bleed\n";

fn order_of(engine: &Engine, found: &Exploration, first: &str, then: &str) -> &'static str {
    let [first, then] = [first, then].map(|words| parse_event(engine, words).unwrap());
    let places = |event: Event| follow(found, &[event]).events[0] != EventStanding::Never;
    assert!(places(first) && places(then), "both happen");
    let fits = |a: Event, b: Event| {
        let followed = follow(found, &[a, b]).events;
        followed.iter().all(|it| matches!(it, EventStanding::Follows | EventStanding::Possible))
    };
    match (fits(first, then), fits(then, first)) {
        (true, true) => "open",
        (true, false) => "before",
        (false, true) => "after",
        (false, false) => "apart",
    }
}

/// Whether a store is empty before a dwell is over is open until somebody says so, and an order
/// takes runs away and adds none.
#[test]
fn a_store_runs_empty_beside_all_else() {
    let (engine, found) = emptying(GATE);
    assert_eq!(order_of(&engine, &found, "store empties", "pilot returns"), "open");
    let order = "order store empties before pilot returns (timed)\n";
    let (engine, ordered) = emptying(&format!("{GATE}{order}"));
    assert_eq!(order_of(&engine, &ordered, "store empties", "pilot returns"), "before");
    assert!(ordered.always_ends_at_rest());
    let runs = |found: &Exploration| -> Vec<String> {
        found.steps.iter().map(|step| format!("{:?}", step.events)).collect()
    };
    assert!(runs(&ordered).iter().all(|step| runs(&found).contains(step)));
}

/// A store that is said to be quick is empty before a part has moved, and passes its landmarks on
/// the way: what is light answers there, what moves freely does not.
#[test]
fn a_quick_store_is_empty_before_parts_move() {
    let store = "landmark left\nchamber store  role store";
    let pins = ["", " light"].map(|pace| {
        let name = if pace.is_empty() { "pin" } else { "lid" };
        format!(
            "moving {name} as piston{pace}\n  positions down, up\n  rests up\n  \
             face foot in store pushes forward\n  spring weak pushes back\n\
             fact {name}.foot larger than {name}.weak above left (seen)\n\
             fact {name}.weak larger than {name}.foot below left (seen)\n"
        )
    });
    let told = |word: &str| {
        let text = format!("{GATE}{}", pins.concat());
        let (engine, found) = emptying_of(&format!("{store}{word}"), &text);
        ["pin reaches down", "lid reaches down"]
            .map(|event| order_of(&engine, &found, event, "store empties"))
    };
    assert_eq!(told(""), ["open", "before"]);
    assert_eq!(told("  quick"), ["after", "before"]);
}

/// What comes about by an event cannot come before it: no run is like that.
#[test]
fn an_order_against_what_causes_it_leaves_no_run() {
    let order = "order gate reaches open before pilot shifts (assumed)\n";
    let (_, found) = emptying(&format!("{GATE}{order}"));
    assert_eq!(ending_word(found.endings.first().map(|(_, ending)| ending)), "stuck");
    let why = format!("{:?}", found.endings);
    assert!(why.contains("gate reaches open before pilot shifts"), "{why}");
}

/// A valve that fills one room and empties another does both; which is done first no fact says.
#[test]
fn what_one_valve_feeds_and_vents_is_done_in_either_order() {
    let engine = engine(&root().join("tests/logic"), "memory");
    let found = explore(&engine);
    assert_eq!(order_of(&engine, &found, "cap fills", "rod empties"), "open");
    assert_eq!(order_of(&engine, &found, "main shifts", "cap fills"), "before");
    assert_eq!(order_of(&engine, &found, "rod empties", "piston reaches out"), "before");
}

/// A bleed does nothing before a dwell is over; a slow part and a narrow way come in any order.
#[test]
fn classes_of_time_are_kept_apart_and_open_within() {
    // The store is full again before anything has got out of the pocket through its bleed.
    let (engine, found) = emptying(GATE);
    let empties = parse_event(&engine, "pocket empties").unwrap();
    assert_eq!(follow(&found, &[empties]).events, [EventStanding::Never]);
    // The pocket is fed and vented by narrow ways while the gate goes.
    let ways = "way nose from line to pocket narrow while pilot shifted\n\
                way tail from pocket to open_air narrow while pilot resting\n";
    let ways = GATE.replace("way leak from store to pocket bleed\n", ways);
    let (engine, quick) = emptying(&ways);
    assert_eq!(order_of(&engine, &quick, "gate reaches shut", "pocket empties"), "before");
    let (engine, slow) = emptying(&format!("  slow{ways}"));
    assert_eq!(order_of(&engine, &slow, "gate reaches shut", "pocket empties"), "open");
}

/// The same engine as a text.
fn small_engine(plan: &brute_force::Plan) -> Engine {
    use brute_force::{ROOMS, When};
    let role = if plan.store.is_some() { "  role store" } else { "" };
    let mut text = format!("cutaway small\nsupply line\nchamber a{role}\nchamber b\nchamber c\n");
    let condition = |when: When| match when {
        When::Always => String::new(),
        When::Pulled => "trigger pulled".to_owned(),
        When::From(part, place) => format!("p{part} from q{place}"),
        When::Before(part, place) => format!("p{part} before q{place}"),
    };
    for (at, (from, to, width, when)) in plan.ways.iter().enumerate() {
        let width = ["", " narrow", " bleed"][*width];
        let when = match condition(*when) {
            always if always.is_empty() => always,
            when => format!(" while {when}"),
        };
        let (from, to) = (ROOMS[*from], ROOMS[*to]);
        text.push_str(&format!("way w{at} from {from} to {to}{width}{when}\n"));
    }
    for (at, (places, room, is_slow)) in plan.parts.iter().enumerate() {
        let names: Vec<String> = (0..*places).map(|place| format!("q{place}")).collect();
        let slow = if *is_slow { "  slow" } else { "" };
        text.push_str(&format!(
            "moving p{at}{slow}\n  positions {}\n  rests q0\n  face f in {} pushes forward\n  \
             spring s pushes back\nfact p{at}.f much larger than p{at}.s (assumed)\n",
            names.join(", "),
            ROOMS[*room]
        ));
    }
    if let Some(valve) = plan.valve {
        let joins = |(one, other): (usize, usize)| format!("{} to {}", ROOMS[one], ROOMS[other]);
        let (how, returns) = match valve.is_timed {
            true => ("on", "  returns after dwell\n"),
            false => ("while", ""),
        };
        text.push_str(&format!(
            "valve v  3/2  solenoid\n  rest joins {}\n  shifted joins {}\n  shifts {how} {}\n{returns}",
            joins(valve.rest),
            joins(valve.shifted),
            condition(valve.when)
        ));
    }
    if let Some(fed) = plan.fed {
        let fed = condition(fed);
        text.push_str(&format!("barrel from c\nball seed in c  fed while {fed}\n"));
    }
    let (engine, slips) = cutaway::read(&Source::new("small.cut", text.clone()), &|_| None);
    let stops = slips.iter().any(|slip| slip.severity == Severity::Stop);
    assert!(!stops, "{text}\n{slips:?}");
    engine
}

/// A plan by a number: every choice is the next draw of a linear congruential generator.
fn small_plan(mut seed: u64) -> brute_force::Plan {
    use brute_force::{AIR, LINE, Plan, Valve, When};
    let mut draw = move |below: usize| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) as usize % below
    };
    let parts: Vec<(usize, usize, bool)> =
        (0..2).map(|_| (2 + draw(2), 2 + draw(3), draw(2) == 0)).collect();
    let mut ways = Vec::new();
    for _ in 0..3 + draw(3) {
        let from = [LINE, AIR, 2, 3, 4][draw(5)];
        let to = 2 + draw(3);
        let part = draw(parts.len());
        let place = 1 + draw(parts[part].0 - 1);
        let when = match draw(5) {
            0 => When::Always,
            1 | 2 => When::Pulled,
            3 => When::From(part, place),
            _ => When::Before(part, place),
        };
        if from != to {
            ways.push((from, to, [0, 0, 1, 1, 2][draw(5)], when));
        }
    }
    let condition = |draw: &mut dyn FnMut(usize) -> usize| {
        let part = draw(2);
        let place = 1 + draw(parts[part].0 - 1);
        match draw(4) {
            0 | 1 => When::Pulled,
            2 => When::From(part, place),
            _ => When::Before(part, place),
        }
    };
    let store = (draw(2) == 0).then_some(2);
    let mut valve = None;
    if draw(2) == 0 {
        let room = 2 + draw(3);
        let [one, other] = [LINE, AIR].map(|end| (end, room));
        let (rest, shifted) = if draw(2) == 0 { (one, other) } else { (other, one) };
        let when = condition(&mut draw);
        valve = Some(Valve { rest, shifted, when, is_timed: draw(2) == 0 });
    }
    let fed = (draw(2) == 0).then(|| condition(&mut draw));
    Plan { ways, parts, store, valve, fed }
}

/// Every run of an exploration as its steps, without the ways that open and shut.
fn runs_of(engine: &Engine, found: &Exploration) -> std::collections::BTreeSet<Vec<Vec<String>>> {
    let told = |event: &&Event| !matches!(event, Event::Opens(_) | Event::Closes(_));
    let mut runs = std::collections::BTreeSet::new();
    let mut open = vec![(0, Vec::new())];
    while let Some((at, run)) = open.pop() {
        let mut is_end = true;
        for step in found.steps.iter().filter(|step| step.from == at) {
            is_end = false;
            let events = step.events.iter().filter(told);
            let mut events: Vec<String> = events.map(|it| event_words(engine, *it)).collect();
            // Of a part its leaving comes first in both; of rooms there is no order.
            events.sort();
            let longer: Vec<Vec<String>> = run.iter().cloned().chain([events]).collect();
            open.push((step.to, longer));
        }
        if is_end {
            runs.insert(run);
        }
    }
    runs
}

/// Two explorers that share nothing but the published rules find the same runs.
#[test]
fn a_second_explorer_finds_the_same_runs() {
    let (mut compared, mut several, mut seed) = (0, 0, 0);
    // With a store that runs out, a valve that answers, a ball that leaves.
    let mut with = [0; 3];
    while compared < 2000 {
        seed += 1;
        assert!(seed < 200_000, "only {compared} engines were compared");
        let plan = small_plan(seed);
        let Some(wanted) = brute_force::runs(&plan) else { continue };
        // A hand that pulls and lets go and nothing else is no engine.
        if wanted.iter().all(|run| run.len() < 4) {
            continue;
        }
        let engine = small_engine(&plan);
        let runs = runs_of(&engine, &explore(&engine));
        assert_eq!(runs, wanted, "{seed}: {plan:#?}");
        compared += 1;
        several += usize::from(1 < wanted.len());
        let happens = |words: &str| wanted.iter().flatten().flatten().any(|event| event == words);
        for (count, words) in with.iter_mut().zip(["a empties", "v shifts", "seed leaves"]) {
            *count += usize::from(happens(words) && (words != "a empties" || plan.store.is_some()));
        }
    }
    assert!(100 < several, "only {several} have more than one run");
    assert!(with.iter().all(|count| 50 < *count), "stores, valves and balls: {with:?}");
}

/// Sixteen parts that have nothing to do with each other may move in any of 16! orders: the search
/// ends, and says that it did not follow them all.
#[test]
fn many_independent_parts_are_cut_and_said_to_be() {
    let mut text = String::from(
        "cutaway many\nsupply line\nchamber room\nway fill from line to room while trigger\nway vent from room to open_air while trigger released\n",
    );
    for at in 0..16 {
        text.push_str(&format!(
            "moving p{at}\n  positions back, front\n  rests back\n  face f in room pushes forward\n  \
             spring s pushes back\nfact p{at}.f much larger than p{at}.s (assumed)\n"
        ));
    }
    let (engine, _) = cutaway::read(&Source::new("many.cut", text), &|_| None);
    let found = explore_within(&engine, Clocks::Wait, 3000);
    assert!(found.is_cut_short && !found.always_ends_at_rest());
    assert!(
        found.states.len() < 3100,
        "the last state may have as many ways on as there are parts"
    );
}

/// A part lets go at a landmark of pressure: a line that is held below it moves nothing, whatever
/// the order of the lines that feed the room.
#[test]
fn a_line_below_the_landmark_moves_nothing() {
    let reaches = |holds: &str, ways: [&str; 2]| {
        let text = format!(
            "cutaway rowel\nlandmark low\nlandmark lift above low\nsupply line holds {holds}\n\
             supply weak holds low\nchamber room\n{}\n{}\nway vent from room to open_air while \
             trigger released\nmoving lid\n  positions shut, open\n  rests shut\n  face foot in room \
             pushes forward\n  spring closer pushes back\nfact lid.foot larger than lid.closer above \
             lift (felt)\nfact lid.closer larger than lid.foot below lift (felt)\n",
            ways[0], ways[1]
        );
        let (engine, slips) = cutaway::read(&Source::new("rowel.cut", text), &|_| None);
        assert!(slips.iter().all(|slip| slip.severity != Severity::Stop), "{slips:?}");
        let opens = parse_event(&engine, "lid reaches open").unwrap();
        explore(&engine).line_events().contains(&opens)
    };
    let ways = [
        "way strong from line to room narrow while trigger pulled",
        "way feeble from weak to room narrow while trigger pulled",
    ];
    let turned = [ways[1], ways[0]];
    assert!(reaches("lift", ways) && reaches("lift", turned));
    assert!(!reaches("low", ways) && !reaches("low", turned));
}
