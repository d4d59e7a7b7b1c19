//! Random small engines: whatever joins what, there is a picture without an overlap.

use super::geometry::complaints;
use super::made_up::untrue;
use gaugebook::cutaway::Engine;
use gaugebook::cutaway::model::*;
use gaugebook::drawing::{Circuit, DrawingView, section};
use proptest::prelude::*;

const WORDS: [&str; 8] =
    ["a", "room", "switch_room", "the_chamber_behind_the_rear_cap", "store", "valve", "b2", "line"];

fn name(word: usize, at: usize) -> Name {
    Name { id: format!("{}{at}", WORDS[word % WORDS.len()]), ..Name::default() }
}

/// What an engine is made of, as numbers that are taken modulo what there is.
#[derive(Debug, Clone)]
struct Plan {
    roles: Vec<usize>,
    parts: Vec<(usize, Vec<usize>)>,
    ways: Vec<[usize; 4]>,
    valves: Vec<[usize; 4]>,
    ties: Vec<(usize, usize)>,
    axis: Vec<usize>,
}

fn plans() -> impl Strategy<Value = Plan> {
    let number = 0..1000_usize;
    let four = || [0..1000_usize, 0..1000_usize, 0..1000_usize, 0..1000_usize];
    (
        prop::collection::vec(number.clone(), 1..6),
        prop::collection::vec((number.clone(), prop::collection::vec(number.clone(), 0..5)), 0..4),
        prop::collection::vec(four(), 0..6),
        prop::collection::vec(four(), 0..3),
        prop::collection::vec((number.clone(), number.clone()), 0..3),
        prop::collection::vec(number, 0..7),
    )
        .prop_map(|(roles, parts, ways, valves, ties, axis)| Plan {
            roles,
            parts,
            ways,
            valves,
            ties,
            axis,
        })
}

fn chambers(plan: &Plan) -> List<ChamberId, Chamber> {
    let role = |seed: &usize| Role::ALL[seed % Role::ALL.len()].1;
    let chamber = |role: Role, name: Name| Chamber {
        name,
        role,
        regulated_from: None,
        regulator: None,
        holds: None,
        starts_as: None,
        is_quick: false,
    };
    let open_air = chamber(Role::OpenAir, name(0, 0));
    let others = plan.roles.iter().enumerate();
    let others = others.map(|(at, seed)| chamber(role(seed), name(*seed, at + 1)));
    std::iter::once(open_air).chain(others).collect()
}

fn part(plan: &Plan, at: usize, rooms: usize) -> Part {
    let (seed, pushes) = &plan.parts[at];
    let push = |(nth, seed): (usize, &usize)| Push {
        name: name(*seed, nth),
        kind: match seed % 5 {
            0 => PushKind::Spring,
            1 if 1 < plan.parts.len() => PushKind::Contact(PartId::at((at + 1) % plan.parts.len())),
            _ => PushKind::Face(ChamberId::at(seed / 5 % rooms)),
        },
        direction: if seed / 7 % 2 == 0 { Direction::Forward } else { Direction::Back },
        when: if seed % 11 == 0 {
            vec![Condition::At(PartId::at(at), PositionId::REAR)]
        } else {
            Vec::new()
        },
        is_blow: seed % 13 == 0,
    };
    let positions = (0..2 + seed % 2).map(|position| name(seed + position, position)).collect();
    let hold = match seed % 2 {
        0 => Hold::Until(TriggerId::at(0)),
        _ => Hold::While(vec![Condition::Released(TriggerId::at(0))]),
    };
    let latch = Latch { name: name(*seed, 9), at: PositionId::REAR, hold };
    Part {
        name: name(*seed, at),
        shape: Shape::ALL[seed % Shape::ALL.len()].1,
        positions,
        rest: PositionId::at(seed % 2),
        pushes: pushes.iter().enumerate().map(push).collect(),
        latch: (seed % 3 == 0).then_some(latch),
        blocks: Vec::new(),
        pace: if seed % 4 == 1 { Pace::Slow } else { Pace::Free },
    }
}

fn way(plan: &Plan, at: usize, rooms: usize) -> Way {
    let [from, to, seed, when] = plan.ways[at];
    let barrel = at == 0 && seed % 7 == 0;
    // A barrel leads to the open air, which is the first room.
    let (from, to) = if barrel { (1 + from % (rooms - 1), 0) } else { (from % rooms, to % rooms) };
    let to = if to == from { (from + 1) % rooms } else { to };
    let (from, to) = (ChamberId::at(from), ChamberId::at(to));
    let condition = match when % 4 {
        1 if !plan.parts.is_empty() => {
            vec![Condition::At(PartId::at(when % plan.parts.len()), PositionId::REAR)]
        }
        2 => vec![Condition::Pressure(from), Condition::Pulled(TriggerId::at(0))],
        _ => Vec::new(),
    };
    Way {
        name: name(seed, at),
        from,
        to,
        width: [Width::Wide, Width::Narrow, Width::Bleed][seed % 3],
        one_way: seed % 5 == 0,
        barrel,
        when: condition,
        relieves_at: None,
    }
}

fn valve(plan: &Plan, at: usize, rooms: usize) -> Valve {
    let [a, b, c, seed] = plan.valves[at];
    let kinds = [
        ValveKind::Boxes(3),
        ValveKind::Boxes(5),
        ValveKind::QuickExhaust,
        ValveKind::Shuttle,
        ValveKind::TwoPressure,
    ];
    let [a, b, c] = [a, b, c].map(|room| ChamberId::at(room % rooms));
    Valve {
        name: name(seed, at),
        kind: kinds[seed % kinds.len()],
        drive: [Drive::Solenoid, Drive::Mechanical, Drive::Air][seed % 3],
        rest: vec![(a, b)],
        shifted: vec![(b, c)],
        widths: std::collections::BTreeMap::new(),
        shifts: vec![Condition::Pulled(TriggerId::at(0))],
        on_edge: seed % 2 == 0,
        returns: match seed / 3 % 3 {
            0 => Returns::Spring,
            1 => Returns::After(name(seed, 0)),
            _ => Returns::While(vec![Condition::NoPressure(a)]),
        },
    }
}

fn engine(plan: &Plan) -> Engine {
    let chambers = chambers(plan);
    let rooms = chambers.len();
    let parts: List<PartId, Part> = (0..plan.parts.len()).map(|at| part(plan, at, rooms)).collect();
    let ties = plan.ties.iter().filter(|_| !parts.is_empty());
    let some_part = |seed: usize| PartId::at(seed % parts.len());
    let links = ties.map(|(a, b)| (some_part(*a), some_part(*b))).collect();
    let thing = |seed: &usize| match seed % 3 {
        0 if !parts.is_empty() => Element::Part(some_part(*seed)),
        1 => Element::Way(WayId::at(0)),
        _ => Element::Chamber(ChamberId::at(seed % rooms)),
    };
    // Nothing stands twice on an axis: the reader of cutaways refuses it.
    let mut placed = Vec::new();
    let mut once = |it: &Element| {
        !placed.contains(it) && {
            placed.push(*it);
            true
        }
    };
    let places = plan.axis.chunks(2);
    let places = places.map(|place| place.iter().map(thing).filter(&mut once).collect());
    let places = places.filter(|place: &Vec<Element>| !place.is_empty()).collect();
    Engine {
        name: name(0, 0),
        triggers: List::from_iter([name(1, 1)]),
        ways: (0..plan.ways.len()).map(|at| way(plan, at, rooms)).collect(),
        valves: (0..plan.valves.len()).map(|at| valve(plan, at, rooms)).collect(),
        axes: vec![Axis { name: name(2, 2), places }],
        links,
        chambers,
        parts,
        ..Engine::default()
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn every_engine_has_a_clean_picture(plan in plans()) {
        let engine = engine(&plan);
        let circuit = Circuit::of(&engine).drawing(&engine, &DrawingView::default());
        prop_assert_eq!(complaints(&circuit), Vec::<String>::new());
        if let Some(section) = section(&engine, &DrawingView::default()) {
            prop_assert_eq!(complaints(&section), Vec::<String>::new());
            let wrong = untrue(&engine, &DrawingView::default(), &section);
            prop_assert_eq!(wrong, Vec::<String>::new(), "{}", section.svg("a"));
        }
    }
}

/// Found by 20,000 random engines: the membrane was as long as the rooms beside it.
#[test]
fn a_diaphragm_between_rooms_with_long_names_has_a_clean_picture() {
    let parts = vec![(928, vec![667, 547])];
    let plan =
        Plan { roles: vec![0], parts, ways: vec![], valves: vec![], ties: vec![], axis: vec![] };
    let engine = engine(&plan);
    assert_eq!(engine.parts[PartId::at(0)].shape, gaugebook::cutaway::model::Shape::Diaphragm);
    let circuit = Circuit::of(&engine).drawing(&engine, &DrawingView::default());
    assert_eq!(complaints(&circuit), Vec::<String>::new());
}
