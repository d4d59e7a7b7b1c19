//! An engine as things and the ties between them, in one form for all kinds of things.
//!
//! Names are no part of it: two engines that differ in names only have the same things and ties.

use super::needs::Needs;
use crate::cutaway::model::{Condition, Engine, Name, PushKind, Returns, ValveKind};
use std::collections::BTreeMap;

/// One thing of an engine, by its place in the engine's lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Thing {
    /// A trigger.
    Trigger(usize),
    /// A chamber.
    Chamber(usize),
    /// A moving part.
    Part(usize),
    /// A valve.
    Valve(usize),
    /// A position of a part: part, position.
    Position(usize, usize),
    /// What pushes a part: part, push.
    Push(usize, usize),
    /// The latch of a part.
    Latch(usize),
    /// Two chambers that a valve joins: valve, whether shifted, place in its list.
    Joint(usize, bool, usize),
    /// A way.
    Way(usize),
    /// A seal.
    Seal(usize),
    /// The ball.
    Ball,
}

impl Thing {
    /// How many kinds there are.
    pub(super) const KINDS: usize = 11;
    /// How many of them others hang on; the next is that of positions.
    pub(super) const HEADS: usize = 4;

    /// The kind as a number: kinds that others hang on come first.
    pub(super) fn kind(self) -> usize {
        match self {
            Thing::Trigger(_) => 0,
            Thing::Chamber(_) => 1,
            Thing::Part(_) => 2,
            Thing::Valve(_) => 3,
            Thing::Position(..) => 4,
            Thing::Push(..) => 5,
            Thing::Latch(_) => 6,
            Thing::Joint(..) => 7,
            Thing::Way(_) => 8,
            Thing::Seal(_) => 9,
            Thing::Ball => 10,
        }
    }

    /// The part or valve of which it is a piece.
    pub(super) fn owner(self) -> Option<Thing> {
        match self {
            Thing::Position(part, _) | Thing::Push(part, _) | Thing::Latch(part) => {
                Some(Thing::Part(part))
            }
            Thing::Joint(valve, ..) => Some(Thing::Valve(valve)),
            _ => None,
        }
    }

    /// Its name; the open ends of a valve have none.
    pub(super) fn name(self, engine: &Engine) -> Option<&Name> {
        match self {
            Thing::Trigger(at) => engine.triggers.get(at),
            Thing::Chamber(at) => engine.chambers.get(at).map(|chamber| &chamber.name),
            Thing::Part(at) => engine.parts.get(at).map(|part| &part.name),
            Thing::Valve(at) => engine.valves.get(at).map(|valve| &valve.name),
            Thing::Position(part, at) => engine.parts.get(part)?.positions.get(at),
            Thing::Push(part, at) => engine.parts.get(part)?.pushes.get(at).map(|push| &push.name),
            Thing::Latch(part) => engine.parts.get(part)?.latch.as_ref().map(|latch| &latch.name),
            Thing::Joint(..) => None,
            Thing::Way(at) => engine.ways.get(at).map(|way| &way.name),
            Thing::Seal(at) => engine.seals.get(at).map(|seal| &seal.name),
            Thing::Ball => engine.ball.as_ref().map(|ball| &ball.name),
        }
    }
}

/// All words that a thing goes by, in one spelling.
fn words(name: Option<&Name>) -> Vec<String> {
    let plain = |text: &String| text.trim().replace('_', " ").to_lowercase();
    name.map_or_else(Vec::new, |name| {
        std::iter::once(&name.id).chain(&name.called).map(plain).collect()
    })
}

/// How one thing hangs on another, and from which of the two ends it is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Tie {
    pub(super) what: &'static str,
    pub(super) seen_from_other_end: bool,
}

impl Tie {
    /// How much it says about the two that it ties. What a chamber is for shows in the faces it
    /// pushes; what it is joined to comes second, and a valve says the same twice over, at rest
    /// and shifted.
    pub(super) fn weight(self) -> u32 {
        match self.what {
            "in" => 3,
            "regulated from" | "begins" | "ends" => 2,
            // Positions are aligned in their order; another one between two changes neither.
            "in front of" => 0,
            // What begins and ends at the positions says it all.
            what if what.ends_with(" standing") => 0,
            _ => 1,
        }
    }
}

/// A thing with all that its structure says.
#[derive(Debug)]
pub(super) struct Node {
    pub(super) thing: Thing,
    /// Things of different classes are never the same, whatever they are called.
    pub(super) class: u32,
    /// What it is, by itself: as many numbers for each thing of a kind.
    pub(super) traits: Vec<u32>,
    /// What it hangs on and what hangs on it, sorted.
    pub(super) ties: Vec<(Tie, usize)>,
    /// What it is called: no part of the structure.
    words: Vec<String>,
}

impl Node {
    /// Whether two things share a word of those that prose may use for them.
    pub(super) fn is_called_as(&self, other: &Node) -> bool {
        self.words.iter().any(|word| other.words.contains(word))
    }
}

/// All things of an engine.
#[derive(Debug)]
pub(super) struct Graph<'a> {
    pub(super) engine: &'a Engine,
    pub(super) nodes: Vec<Node>,
    pub(super) index: BTreeMap<Thing, usize>,
}

impl<'a> Graph<'a> {
    /// The things of an engine and their ties.
    pub(super) fn of(engine: &'a Engine) -> Graph<'a> {
        let mut graph = Graph { engine, nodes: Vec::new(), index: BTreeMap::new() };
        graph.add_chambers();
        graph.add_parts();
        graph.add_valves();
        graph.add_ways_and_seals();
        graph.add_all_ties();
        for node in &mut graph.nodes {
            node.ties.sort_unstable();
        }
        graph
    }

    fn add(&mut self, thing: Thing, class: u32, traits: Vec<u32>) {
        self.index.insert(thing, self.nodes.len());
        let words = words(thing.name(self.engine));
        self.nodes.push(Node { thing, class, traits, ties: Vec::new(), words });
    }

    fn add_chambers(&mut self) {
        for at in 0..self.engine.triggers.len() {
            self.add(Thing::Trigger(at), 0, Vec::new());
        }
        for (at, chamber) in self.engine.chambers.iter().enumerate() {
            self.add(Thing::Chamber(at), chamber.role as u32, Vec::new());
        }
    }

    fn add_parts(&mut self) {
        for (at, part) in self.engine.parts.iter().enumerate() {
            self.add(Thing::Part(at), 0, vec![number(part.positions.len())]);
            for place in 0..part.positions.len() {
                let is_last = place + 1 == part.positions.len();
                let traits = [place == part.rest, place == 0, is_last].map(u32::from);
                self.add(Thing::Position(at, place), 0, traits.to_vec());
            }
            for (push_at, push) in part.pushes.iter().enumerate() {
                let class = match push.kind {
                    PushKind::Face(_) => 0,
                    PushKind::Spring => 1,
                    PushKind::Contact(_) => 2,
                };
                self.add(Thing::Push(at, push_at), class, vec![push.direction as u32]);
            }
            if part.latch.is_some() {
                self.add(Thing::Latch(at), 0, Vec::new());
            }
        }
    }

    fn add_valves(&mut self) {
        for (at, valve) in self.engine.valves.iter().enumerate() {
            let (class, boxes) = match valve.kind {
                ValveKind::Boxes(boxes) => (0, u32::from(boxes)),
                ValveKind::QuickExhaust => (1, 0),
                ValveKind::Shuttle => (2, 0),
                ValveKind::TwoPressure => (3, 0),
            };
            let returns = match valve.returns {
                Returns::Spring => 0,
                Returns::After(_) => 1,
                Returns::While(_) => 2,
            };
            let traits = vec![boxes, valve.drive as u32, u32::from(valve.on_edge), returns];
            self.add(Thing::Valve(at), class, traits);
            for (shifted, joints) in [(false, &valve.rest), (true, &valve.shifted)] {
                for joint in 0..joints.len() {
                    self.add(Thing::Joint(at, shifted, joint), u32::from(shifted), Vec::new());
                }
            }
        }
    }

    fn add_ways_and_seals(&mut self) {
        for (at, way) in self.engine.ways.iter().enumerate() {
            let traits = vec![way.width as u32, u32::from(way.one_way)];
            self.add(Thing::Way(at), u32::from(way.barrel), traits);
        }
        for (at, seal) in self.engine.seals.iter().enumerate() {
            self.add(Thing::Seal(at), 0, vec![u32::from(seal.on.is_some())]);
        }
        if self.engine.ball.is_some() {
            self.add(Thing::Ball, 0, Vec::new());
        }
    }

    fn add_all_ties(&mut self) {
        let engine = self.engine;
        for (at, chamber) in engine.chambers.iter().enumerate() {
            if let Some(from) = chamber.regulated_from {
                self.tie(Thing::Chamber(at), "regulated from", Thing::Chamber(from));
            }
        }
        self.tie_parts();
        self.tie_valves();
        for (at, way) in engine.ways.iter().enumerate() {
            let thing = Thing::Way(at);
            let (from, to) = if way.one_way { ("from", "to") } else { ("joins", "joins") };
            self.tie(thing, from, Thing::Chamber(way.from));
            self.tie(thing, to, Thing::Chamber(way.to));
            self.tie_needs(thing, ["open standing", "open at", "open by", "open under"], &way.when);
        }
        for (at, seal) in engine.seals.iter().enumerate() {
            let thing = Thing::Seal(at);
            self.tie(thing, "between", Thing::Chamber(seal.between.0));
            self.tie(thing, "between", Thing::Chamber(seal.between.1));
            if let Some(part) = seal.on {
                self.tie(thing, "on", Thing::Part(part));
            }
            self.tie_needs(
                thing,
                ["seals standing", "seals at", "seals by", "seals under"],
                &seal.when,
            );
        }
        if let Some(ball) = &engine.ball {
            self.tie(Thing::Ball, "in", Thing::Chamber(ball.chamber));
            self.tie_needs(
                Thing::Ball,
                ["fed standing", "fed at", "fed by", "fed under"],
                &ball.fed,
            );
        }
    }

    fn tie_parts(&mut self) {
        for (at, part) in self.engine.parts.iter().enumerate() {
            for place in 0..part.positions.len() {
                self.tie(Thing::Position(at, place), "of", Thing::Part(at));
                if 0 < place {
                    let behind = Thing::Position(at, place - 1);
                    self.tie(Thing::Position(at, place), "in front of", behind);
                }
            }
            for (push_at, push) in part.pushes.iter().enumerate() {
                let thing = Thing::Push(at, push_at);
                self.tie(thing, "pushes", Thing::Part(at));
                match push.kind {
                    PushKind::Face(chamber) => self.tie(thing, "in", Thing::Chamber(chamber)),
                    PushKind::Contact(other) => self.tie(thing, "struck by", Thing::Part(other)),
                    PushKind::Spring => {}
                }
                self.tie_needs(
                    thing,
                    ["acts standing", "acts at", "acts by", "acts under"],
                    &push.when,
                );
            }
            if let Some(latch) = &part.latch {
                self.tie(Thing::Latch(at), "holds", Thing::Part(at));
                self.tie(Thing::Latch(at), "holds at", Thing::Position(at, latch.at));
                self.tie(Thing::Latch(at), "until", Thing::Trigger(latch.trigger));
            }
        }
        for (one, other) in self.engine.links.iter().copied() {
            self.tie(Thing::Part(one), "moves with", Thing::Part(other));
            self.tie(Thing::Part(other), "moves with", Thing::Part(one));
        }
    }

    fn tie_valves(&mut self) {
        for (at, valve) in self.engine.valves.iter().enumerate() {
            for (shifted, joints) in [(false, &valve.rest), (true, &valve.shifted)] {
                for (joint_at, (one, other)) in joints.iter().enumerate() {
                    let joint = Thing::Joint(at, shifted, joint_at);
                    self.tie(joint, "of", Thing::Valve(at));
                    let (from, to) =
                        if valve.is_one_way(shifted) { ("from", "to") } else { ("joins", "joins") };
                    self.tie(joint, from, Thing::Chamber(*one));
                    self.tie(joint, to, Thing::Chamber(*other));
                }
            }
            let thing = Thing::Valve(at);
            self.tie_needs(
                thing,
                ["shifts standing", "shifts at", "shifts by", "shifts under"],
                &valve.shifts,
            );
            if let Returns::While(conditions) = &valve.returns {
                self.tie_needs(
                    thing,
                    ["returns standing", "returns at", "returns by", "returns under"],
                    conditions,
                );
            }
        }
    }

    /// Ties to positions, to valves and triggers, and to chambers.
    fn tie_needs(&mut self, thing: Thing, words: [&'static str; 4], conditions: &[Condition]) {
        let needs = Needs::of(self.engine, conditions);
        let [standing, at, by, under] = words;
        for (part, stands) in &needs.stands {
            for position in stands {
                self.tie(thing, standing, Thing::Position(*part, *position));
            }
            // A position is known by what begins or ends there, not by all that holds there.
            for position in 1..self.engine.parts[*part].positions.len() {
                match (stands.contains(&(position - 1)), stands.contains(&position)) {
                    (false, true) => self.tie(thing, "begins", Thing::Position(*part, position)),
                    (true, false) => self.tie(thing, "ends", Thing::Position(*part, position)),
                    _ => {}
                }
            }
        }
        for (valve, states) in &needs.valves {
            for shifted in states {
                self.tie(thing, if *shifted { by } else { at }, Thing::Valve(*valve));
            }
        }
        for trigger in &needs.pulled {
            self.tie(thing, by, Thing::Trigger(*trigger));
        }
        for (chamber, states) in &needs.pressure {
            for pressed in states {
                self.tie(thing, if *pressed { under } else { at }, Thing::Chamber(*chamber));
            }
        }
        for (high, low) in &needs.above {
            self.tie(thing, by, Thing::Chamber(*high));
            self.tie(thing, at, Thing::Chamber(*low));
        }
    }

    fn tie(&mut self, thing: Thing, what: &'static str, other: Thing) {
        let (Some(from), Some(to)) = (self.index.get(&thing), self.index.get(&other)) else {
            return;
        };
        let (from, to) = (*from, *to);
        self.nodes[from].ties.push((Tie { what, seen_from_other_end: false }, to));
        self.nodes[to].ties.push((Tie { what, seen_from_other_end: true }, from));
    }
}

fn number(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}
