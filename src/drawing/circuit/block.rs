//! A symbol as the layout sees it: a rectangle of grid nodes, and pins on its edge.
//!
//! The grid's pitch is that of the ports of ISO 1219-1 symbols, two modules. Lines run on nodes
//! that no block covers, so a text inside of its block never meets a line of something else.

use crate::cutaway::model::{
    Condition, Element, Engine, OPEN_AIR, PartId, Returns, Role, ValveKind,
};

use super::{chambers, gates, parts, passages, valves};

/// Pitch of the grid, in units of the picture.
pub(crate) const PITCH: f64 = 20.0;
/// Size of labels.
pub(crate) const LETTER: f64 = 12.0;
/// Size of port numbers and other small labels.
pub(crate) const SMALL: f64 = 9.5;
/// Room that the letter of a mark takes before a name.
pub(crate) const MARK: f64 = 23.0;

/// A node of the grid, or a distance on it.
pub(crate) type SymbolNode = (i32, i32);

/// Where a line meets a block: the node just outside of its edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Pin {
    /// The net it belongs to: the place of a chamber, or behind these of a mechanical tie.
    pub(crate) net: usize,
    /// The node, counted from the block's upper left node.
    pub(crate) node: SymbolNode,
}

/// A symbol with its labels.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct SymbolBlock {
    /// What it shows.
    pub(crate) content: Element,
    /// Whether its ports at top and bottom are exchanged.
    pub(crate) is_flipped: bool,
    /// Nodes it covers to the right.
    pub(crate) width: i32,
    /// Nodes it covers down.
    pub(crate) height: i32,
    /// Its pins. Those of a chamber are as good as one another; all others must be reached.
    pub(crate) pins: Vec<Pin>,
}

impl SymbolBlock {
    /// Whether lines may end at any of its pins.
    pub(crate) fn is_hub(&self) -> bool {
        matches!(self.content, Element::Chamber(_))
    }

    /// Which row it likes to lie in, as a share of the height: 0 is the top.
    pub(crate) fn wish(&self, engine: &Engine) -> f64 {
        match self.content {
            Element::Part(_) => 0.0,
            Element::Way(way) if engine.ways[way].barrel => 0.0,
            Element::Chamber(at) => match engine.chambers[at] {
                ref chamber if chamber.regulated_from.is_some() => 0.7,
                ref chamber if chamber.role == Role::Supply => 1.0,
                ref chamber if chamber.role == Role::Store => 0.6,
                _ => 0.4,
            },
            Element::Regulator(_) => 0.9,
            // What a part moves stands near it.
            Element::Way(way) if engine.ways[way].when.iter().any(|it| mover(*it).is_some()) => 0.3,
            Element::Way(_) => 0.6,
            Element::Valve(at) => match engine.valves[at].kind {
                ValveKind::Boxes(_) => 0.7,
                _ => 0.5,
            },
            _ => 0.5,
        }
    }
}

/// Nodes that a length needs.
pub(crate) fn nodes(length: f64) -> i32 {
    // Saturates; names are bounded by what a text holds.
    (length / PITCH).ceil() as i32
}

/// Place of a node, in units.
pub(crate) fn unit(node: i32) -> f64 {
    f64::from(node) * PITCH
}

/// A mechanical tie between two parts: which, and whether the first only strikes the second.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Tie {
    /// The part it leaves by its front end.
    pub(crate) from: PartId,
    /// The part it reaches at its rear end, or its front end for a push back.
    pub(crate) to: PartId,
    /// Whether it reaches the front end.
    pub(crate) at_front: bool,
    /// Whether the two move as one.
    pub(crate) is_link: bool,
}

/// All mechanical ties; their nets follow those of the chambers.
pub(crate) fn ties(engine: &Engine) -> Vec<Tie> {
    use crate::cutaway::model::{Direction, PushKind};
    let links = engine.links.iter().map(|(from, to)| Tie {
        from: *from,
        to: *to,
        at_front: false,
        is_link: true,
    });
    let pushes = engine.parts.entries().flat_map(|(to, part)| {
        part.pushes.iter().filter_map(move |push| match push.kind {
            PushKind::Contact(from) => {
                let at_front = push.direction == Direction::Back;
                Some(Tie { from, to, at_front, is_link: false })
            }
            _ => None,
        })
    });
    let mut ties: Vec<Tie> = links.chain(pushes).filter(|tie| tie.from != tie.to).collect();
    ties.sort_unstable();
    ties.dedup();
    ties
}

/// The part whose place a condition is about.
fn mover(condition: Condition) -> Option<PartId> {
    match condition {
        Condition::At(part, _) | Condition::From(part, _) | Condition::Before(part, _) => {
            Some(part)
        }
        _ => None,
    }
}

/// The parts that move what a symbol shows.
pub(crate) fn movers(engine: &Engine, content: Element) -> Vec<PartId> {
    let when = match content {
        Element::Way(way) => engine.ways[way].when.clone(),
        Element::Valve(valve) => {
            let valve = &engine.valves[valve];
            let back = match &valve.returns {
                Returns::While(when) => when.as_slice(),
                _ => &[],
            };
            [&valve.shifts, back].concat()
        }
        _ => Vec::new(),
    };
    when.into_iter().filter_map(mover).collect()
}

/// All symbols of an engine, each in the forms it may take.
pub(crate) fn blocks(engine: &Engine) -> Vec<Vec<SymbolBlock>> {
    let mut blocks = Vec::new();
    for at in engine.parts.ids() {
        blocks.push(vec![parts::block(engine, at)]);
    }
    for (at, chamber) in engine.chambers.entries() {
        if at != OPEN_AIR {
            blocks.push(vec![chambers::block(engine, at)]);
        }
        if chamber.regulated_from.is_some() {
            blocks.push(vec![chambers::regulator_block(engine, at)]);
        }
    }
    for (at, way) in engine.ways.entries() {
        let forms = [false, true].map(|is_flipped| match (way.barrel, way.when.is_empty()) {
            (true, _) => passages::barrel_block(engine, at, is_flipped),
            (false, true) => passages::block(engine, at, is_flipped),
            (false, false) => gates::block(engine, at, is_flipped),
        });
        blocks.push(forms.into());
    }
    for at in engine.valves.ids() {
        blocks.push([false, true].map(|flipped| valves::block(engine, at, flipped)).into());
    }
    blocks
}
