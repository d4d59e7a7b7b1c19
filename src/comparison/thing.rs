//! An engine as things and the ties between them, in one form for all kinds of things.
//!
//! Names are no part of it: two engines that differ in names only have the same things and ties.

use super::needs::Needs;
use crate::cutaway::model::{
    Condition, Direction, Element, Engine, Hold, Name, PositionId, PushKind, Returns, ValveKind,
};
use std::collections::BTreeMap;

impl Element {
    /// How many kinds there are.
    pub(super) const KINDS: usize = 12;
    /// How many of them others hang on; the next is that of positions.
    pub(super) const HEADS: usize = 4;

    /// The kind as a number: kinds that others hang on come first.
    pub(super) fn kind(self) -> usize {
        match self {
            Element::Trigger(_) => 0,
            Element::Chamber(_) => 1,
            Element::Part(_) => 2,
            Element::Valve(_) => 3,
            Element::Position(..) => 4,
            Element::Push(..) => 5,
            Element::Latch(_) => 6,
            Element::Joint(..) => 7,
            Element::Way(_) => 8,
            Element::Seal(_) => 9,
            Element::Ball => 10,
            Element::Choice(..) => 11,
            // Told with the chamber that it feeds, or of which it is a pressure.
            Element::Regulator(_) | Element::Pressure(..) => Element::KINDS,
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
pub(super) struct ThingTie {
    pub(super) what: &'static str,
    pub(super) seen_from_other_end: bool,
}

impl ThingTie {
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
#[derive(Debug, Clone)]
pub(super) struct ThingNode {
    pub(super) thing: Element,
    /// Things of different classes are never the same, whatever they are called.
    pub(super) class: u32,
    /// What it is, by itself: as many numbers for each thing of a kind.
    pub(super) traits: Vec<u32>,
    /// What it hangs on and what hangs on it, sorted.
    pub(super) ties: Vec<(ThingTie, usize)>,
    /// What it is called: no part of the structure.
    words: Vec<String>,
}

impl ThingNode {
    /// Whether two things share a word of those that prose may use for them.
    pub(super) fn is_called_as(&self, other: &ThingNode) -> bool {
        self.words.iter().any(|word| other.words.contains(word))
    }
}

/// Which way an engine is looked at: forward is only a word, and one that is turned round end for
/// end is built the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Facing {
    #[default]
    AsWritten,
    TurnedRound,
}

impl Facing {
    pub(super) fn of(self, direction: Direction) -> Direction {
        match self {
            Facing::AsWritten => direction,
            Facing::TurnedRound => direction.opposite(),
        }
    }
}

/// All things of an engine.
#[derive(Debug)]
pub(super) struct Graph<'a> {
    pub(super) engine: &'a Engine,
    facing: Facing,
    pub(super) nodes: Vec<ThingNode>,
    pub(super) index: BTreeMap<Element, usize>,
}

impl<'a> Graph<'a> {
    /// The things of an engine and their ties.
    pub(super) fn of(engine: &'a Engine) -> Graph<'a> {
        Graph::facing(engine, Facing::AsWritten)
    }

    /// The same of one that is turned round.
    pub(super) fn facing(engine: &'a Engine, facing: Facing) -> Graph<'a> {
        let mut graph = Graph { engine, facing, nodes: Vec::new(), index: BTreeMap::new() };
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

    /// The same things, set out in another order.
    pub(super) fn in_order(&self, order: &[usize]) -> Graph<'a> {
        let mut place = vec![0; order.len()];
        for (now, before) in order.iter().enumerate() {
            place[*before] = now;
        }
        let moved = |before: &usize| {
            let mut node = self.nodes[*before].clone();
            node.ties.iter_mut().for_each(|(_, to)| *to = place[*to]);
            node.ties.sort_unstable();
            node
        };
        let index = self.index.iter().map(|(thing, at)| (*thing, place[*at])).collect();
        Graph { nodes: order.iter().map(moved).collect(), index, ..*self }
    }

    fn add(&mut self, thing: Element, class: u32, traits: Vec<u32>) {
        self.index.insert(thing, self.nodes.len());
        let words = words(thing.name(self.engine));
        self.nodes.push(ThingNode { thing, class, traits, ties: Vec::new(), words });
    }

    fn add_chambers(&mut self) {
        for at in self.engine.triggers.ids() {
            self.add(Element::Trigger(at), 0, Vec::new());
        }
        for (at, chamber) in self.engine.chambers.entries() {
            let traits = vec![u32::from(chamber.is_quick)];
            self.add(Element::Chamber(at), chamber.role as u32, traits);
        }
    }

    fn add_parts(&mut self) {
        for (at, part) in self.engine.parts.entries() {
            let facing = self.facing;
            let blocks = |to: Direction| {
                part.blocks.iter().filter(|it| facing.of(it.direction) == to).count()
            };
            let counts =
                [part.positions.len(), blocks(Direction::Forward), blocks(Direction::Back)];
            self.add(Element::Part(at), 0, counts.map(number).to_vec());
            for place in part.positions.ids() {
                let is_last = part.positions.get(place.in_front()).is_none();
                let mut ends = [place == PositionId::REAR, is_last];
                if facing == Facing::TurnedRound {
                    ends.reverse();
                }
                let traits = [place == part.rest, ends[0], ends[1]].map(u32::from);
                self.add(Element::Position(at, place), 0, traits.to_vec());
            }
            for (push_at, push) in part.pushes.entries() {
                let class = match push.kind {
                    PushKind::Face(_) => 0,
                    PushKind::Spring => 1,
                    PushKind::Contact(_) => 2,
                    PushKind::Hand => 3,
                };
                let direction = facing.of(push.direction) as u32;
                let traits = vec![direction, u32::from(push.is_blow)];
                self.add(Element::Push(at, push_at), class, traits);
            }
            if let Some(latch) = &part.latch {
                let holds_while = matches!(latch.hold, Hold::While(_));
                self.add(Element::Latch(at), 0, vec![u32::from(holds_while)]);
            }
        }
    }

    fn add_valves(&mut self) {
        for (at, valve) in self.engine.valves.entries() {
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
            self.add(Element::Valve(at), class, traits);
            for (shifted, joints) in [(false, &valve.rest), (true, &valve.shifted)] {
                for joint in 0..joints.len() {
                    let width = valve.width(shifted, joint) as u32;
                    self.add(Element::Joint(at, shifted, joint), u32::from(shifted), vec![width]);
                }
            }
        }
    }

    fn add_ways_and_seals(&mut self) {
        for (at, way) in self.engine.ways.entries() {
            let traits = vec![way.width as u32, u32::from(way.one_way)];
            self.add(Element::Way(at), u32::from(way.barrel), traits);
        }
        for (at, seal) in self.engine.seals.entries() {
            self.add(Element::Seal(at), 0, vec![u32::from(seal.on.is_some())]);
        }
        if let Some(ball) = &self.engine.ball {
            self.add(Element::Ball, 0, vec![u32::from(ball.lies_at_rest)]);
        }
        for (at, choice) in self.engine.choices.entries() {
            if Needs::stands_of_one_part(self.engine, at).is_none() {
                (0..choice.len()).for_each(|one| self.add(Element::Choice(at, one), 0, Vec::new()));
            }
        }
    }

    fn add_all_ties(&mut self) {
        let engine = self.engine;
        for (at, chamber) in engine.chambers.entries() {
            if let Some(from) = chamber.regulated_from {
                self.tie(Element::Chamber(at), "regulated from", Element::Chamber(from));
            }
            if let Some(from) = chamber.starts_as {
                self.tie(Element::Chamber(at), "starts as", Element::Chamber(from));
            }
        }
        self.tie_parts();
        self.tie_valves();
        for (at, choice) in engine.choices.entries() {
            for (one, conditions) in choice.iter().enumerate() {
                let words = ["or standing", "or at", "or by", "or under"];
                self.tie_needs(Element::Choice(at, one), words, conditions);
            }
        }
        for (at, way) in engine.ways.entries() {
            let thing = Element::Way(at);
            let (from, to) = if way.one_way { ("from", "to") } else { ("joins", "joins") };
            self.tie(thing, from, Element::Chamber(way.from));
            self.tie(thing, to, Element::Chamber(way.to));
            self.tie_needs(thing, ["open standing", "open at", "open by", "open under"], &way.when);
        }
        for (at, seal) in engine.seals.entries() {
            let thing = Element::Seal(at);
            self.tie(thing, "between", Element::Chamber(seal.between.0));
            self.tie(thing, "between", Element::Chamber(seal.between.1));
            if let Some(part) = seal.on {
                self.tie(thing, "on", Element::Part(part));
            }
            self.tie_needs(
                thing,
                ["seals standing", "seals at", "seals by", "seals under"],
                &seal.when,
            );
        }
        if let Some(ball) = &engine.ball {
            self.tie(Element::Ball, "in", Element::Chamber(ball.chamber));
            self.tie_needs(
                Element::Ball,
                ["fed standing", "fed at", "fed by", "fed under"],
                &ball.fed,
            );
        }
    }

    fn tie_parts(&mut self) {
        for (at, part) in self.engine.parts.entries() {
            for place in part.positions.ids() {
                self.tie(Element::Position(at, place), "of", Element::Part(at));
                if let Some(behind) = place.behind() {
                    let mut ends = [place, behind].map(|place| Element::Position(at, place));
                    if self.facing == Facing::TurnedRound {
                        ends.reverse();
                    }
                    self.tie(ends[0], "in front of", ends[1]);
                }
            }
            for (push_at, push) in part.pushes.entries() {
                let thing = Element::Push(at, push_at);
                self.tie(thing, "pushes", Element::Part(at));
                match push.kind {
                    PushKind::Face(chamber) => self.tie(thing, "in", Element::Chamber(chamber)),
                    PushKind::Contact(other) => self.tie(thing, "struck by", Element::Part(other)),
                    PushKind::Spring | PushKind::Hand => {}
                }
                self.tie_needs(
                    thing,
                    ["acts standing", "acts at", "acts by", "acts under"],
                    &push.when,
                );
            }
            for block in &part.blocks {
                let words = match self.facing.of(block.direction) {
                    Direction::Forward => {
                        ["stopped standing", "stopped at", "stopped by", "stopped under"]
                    }
                    Direction::Back => ["kept standing", "kept at", "kept by", "kept under"],
                };
                self.tie_needs(Element::Part(at), words, &block.when);
            }
            if let Some(latch) = &part.latch {
                self.tie(Element::Latch(at), "holds", Element::Part(at));
                self.tie(Element::Latch(at), "holds at", Element::Position(at, latch.at));
                match &latch.hold {
                    Hold::Until(trigger) => {
                        self.tie(Element::Latch(at), "until", Element::Trigger(*trigger));
                    }
                    Hold::While(when) => {
                        let holds = ["holds standing", "holds with", "holds by", "holds under"];
                        self.tie_needs(Element::Latch(at), holds, when);
                    }
                }
            }
        }
        for (one, other) in self.engine.links.iter().copied() {
            self.tie(Element::Part(one), "moves with", Element::Part(other));
            self.tie(Element::Part(other), "moves with", Element::Part(one));
        }
    }

    fn tie_valves(&mut self) {
        for (at, valve) in self.engine.valves.entries() {
            for (shifted, joints) in [(false, &valve.rest), (true, &valve.shifted)] {
                for (joint_at, (one, other)) in joints.iter().enumerate() {
                    let joint = Element::Joint(at, shifted, joint_at);
                    self.tie(joint, "of", Element::Valve(at));
                    let (from, to) =
                        if valve.is_one_way(shifted) { ("from", "to") } else { ("joins", "joins") };
                    self.tie(joint, from, Element::Chamber(*one));
                    self.tie(joint, to, Element::Chamber(*other));
                }
            }
            let thing = Element::Valve(at);
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
    fn tie_needs(&mut self, thing: Element, words: [&'static str; 4], conditions: &[Condition]) {
        let needs = Needs::of(self.engine, conditions);
        let [standing, at, by, under] = words;
        for (part, stands) in &needs.stands {
            for position in stands {
                self.tie(thing, standing, Element::Position(*part, *position));
            }
            // A position is known by what begins or ends there, not by all that holds there.
            for position in self.engine.parts[*part].positions.ids() {
                let Some(behind) = position.behind() else { continue };
                let (here, there) = match self.facing {
                    Facing::AsWritten => (behind, position),
                    Facing::TurnedRound => (position, behind),
                };
                match (stands.contains(&here), stands.contains(&there)) {
                    (false, true) => self.tie(thing, "begins", Element::Position(*part, there)),
                    (true, false) => self.tie(thing, "ends", Element::Position(*part, there)),
                    _ => {}
                }
            }
        }
        for (valve, states) in &needs.valves {
            for shifted in states {
                self.tie(thing, if *shifted { by } else { at }, Element::Valve(*valve));
            }
        }
        for trigger in &needs.pulled {
            self.tie(thing, by, Element::Trigger(*trigger));
        }
        for (chamber, states) in &needs.pressure {
            for pressed in states {
                self.tie(thing, if *pressed { under } else { at }, Element::Chamber(*chamber));
            }
        }
        for choice in &needs.choices {
            for one in 0..self.engine.choices[*choice].len() {
                self.tie(thing, "needs one of", Element::Choice(*choice, one));
            }
        }
        for (high, low) in &needs.above {
            self.tie(thing, by, Element::Chamber(*high));
            self.tie(thing, at, Element::Chamber(*low));
        }
    }

    fn tie(&mut self, thing: Element, what: &'static str, other: Element) {
        let (Some(from), Some(to)) = (self.index.get(&thing), self.index.get(&other)) else {
            return;
        };
        let (from, to) = (*from, *to);
        self.nodes[from].ties.push((ThingTie { what, seen_from_other_end: false }, to));
        self.nodes[to].ties.push((ThingTie { what, seen_from_other_end: true }, from));
    }
}

fn number(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}
