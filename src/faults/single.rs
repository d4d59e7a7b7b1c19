//! Every single fault that the cutaway of an engine lets one think of.

use crate::cutaway::Engine;
use crate::cutaway::model::{
    ChamberId, Condition, Name, OPEN_AIR, PushKind, Returns, Shape, ValveKind, Way, Width,
};
use std::collections::BTreeSet;

/// Faults of one engine; what lies beyond is not looked at.
const MOST: usize = 60;

/// What never holds: the open air has no pressure of its own.
pub(super) const NEVER: Condition = Condition::Pressure(OPEN_AIR);

/// An engine with one thing wrong.
#[derive(Debug, Clone)]
pub struct SingleFault {
    /// The thing to look at, without article: "drag seal".
    pub look_at: String,
    /// What is wrong with it: "the drag seal leaks".
    pub what: String,
    pub(crate) engine: Engine,
}

/// The single faults of an engine: seals that leak, check valves that stay open, torn membranes,
/// broken springs, clogged narrow ways. Sixty at most.
#[must_use]
pub fn single_faults(engine: &Engine) -> Vec<SingleFault> {
    let mut faults = leaking_seals(engine);
    faults.extend(open_check_valves(engine));
    faults.extend(torn_membranes(engine));
    faults.extend(broken_springs(engine));
    faults.extend(clogged_ways(engine));
    faults.truncate(MOST);
    faults
}

fn fault(look_at: String, wrong: &str, engine: Engine) -> SingleFault {
    let what = format!("the {look_at} {wrong}");
    SingleFault { look_at, what, engine }
}

/// A passage that a fault opens, called after what leaks.
fn leak(past: &str, (from, to): (ChamberId, ChamberId), when: Vec<Condition>) -> Way {
    let name = Name { id: format!("leak past the {past}"), ..Name::default() };
    Way {
        name,
        from,
        to,
        width: Width::Wide,
        one_way: false,
        barrel: false,
        when,
        relieves_at: None,
    }
}

fn leaking_seals(engine: &Engine) -> Vec<SingleFault> {
    let seals = engine.seals.iter().map(|seal| {
        let name = seal.name.spoken();
        let mut leaking = engine.clone();
        leaking.ways.push(leak(&name, seal.between, seal.when.clone()));
        fault(name, "leaks", leaking)
    });
    seals.collect()
}

fn open_check_valves(engine: &Engine) -> Vec<SingleFault> {
    let checks = engine.ways.entries().filter(|(_, way)| way.one_way);
    let open = checks.map(|(at, way)| {
        let mut open = engine.clone();
        open.ways[at].one_way = false;
        fault(way.name.spoken(), "lets air back", open)
    });
    open.collect()
}

fn torn_membranes(engine: &Engine) -> Vec<SingleFault> {
    let mut faults = Vec::new();
    for valve in engine.valves.iter().filter(|valve| valve.kind == ValveKind::QuickExhaust) {
        let name = format!("membrane of the {}", valve.name.spoken());
        let mut torn = engine.clone();
        for joint in valve.rest.iter().chain(&valve.shifted) {
            torn.ways.push(leak(&name, *joint, Vec::new()));
        }
        faults.push(fault(name, "is torn", torn));
    }
    for part in engine.parts.iter().filter(|part| part.shape == Shape::Diaphragm) {
        let rooms = part.pushes.iter().filter_map(|push| match push.kind {
            PushKind::Face(chamber) => Some(chamber),
            PushKind::Spring | PushKind::Contact(_) => None,
        });
        let rooms: BTreeSet<ChamberId> = rooms.collect();
        let mut rooms = rooms.into_iter();
        let (Some(one), other) = (rooms.next(), rooms.next().unwrap_or(OPEN_AIR)) else { continue };
        let name = part.name.spoken();
        let mut torn = engine.clone();
        torn.ways.push(leak(&name, (one, other), Vec::new()));
        faults.push(fault(name, "is torn", torn));
    }
    faults
}

fn broken_springs(engine: &Engine) -> Vec<SingleFault> {
    let mut faults = Vec::new();
    for (part_at, part) in engine.parts.entries() {
        for (at, push) in part.pushes.entries() {
            if push.kind != PushKind::Spring {
                continue;
            }
            let mut broken = engine.clone();
            broken.parts[part_at].pushes[at].when = vec![NEVER];
            let name = format!("{} of the {}", push.spring(), part.name.spoken());
            faults.push(fault(name, "is broken", broken));
        }
    }
    for (at, valve) in engine.valves.entries() {
        if !valve.has_rest() || valve.returns != Returns::Spring {
            continue;
        }
        let mut broken = engine.clone();
        broken.valves[at].returns = Returns::While(vec![NEVER]);
        faults.push(fault(format!("spring of the {}", valve.name.spoken()), "is broken", broken));
    }
    faults
}

fn clogged_ways(engine: &Engine) -> Vec<SingleFault> {
    let narrow = engine.ways.entries().filter(|(_, way)| way.width == Width::Narrow);
    let clogged = narrow.map(|(at, way)| {
        let mut clogged = engine.clone();
        clogged.ways[at].when = vec![NEVER];
        fault(way.name.spoken(), "is clogged", clogged)
    });
    clogged.collect()
}
