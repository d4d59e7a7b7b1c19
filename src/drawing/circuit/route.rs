//! Lines between placed symbols: on the nodes of a grid, each node given to one line at most, so
//! that no two cross.
//!
//! All nets are laid again and again while a node that several want grows dearer, until none is
//! shared. What cannot be laid in the end is left open, and the picture names both ends instead.

use super::block::{SymbolBlock, SymbolNode};
use super::budget::Steps;
use super::grid::Grid;
use std::collections::{BTreeMap, BTreeSet};

/// A symbol at its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Placed {
    pub(crate) block: SymbolBlock,
    /// Its upper left node.
    pub(crate) at: SymbolNode,
}

impl Placed {
    /// The node of a pin on the whole grid.
    pub(crate) fn pin(&self, pin: usize) -> SymbolNode {
        let node = self.block.pins[pin].node;
        (self.at.0 + node.0, self.at.1 + node.1)
    }
}

/// The lines of one net: steps from node to neighbouring node.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Net {
    /// Steps, each with its smaller node first.
    pub(crate) steps: BTreeSet<(SymbolNode, SymbolNode)>,
    /// Nodes of pins that are reached.
    pub(crate) ends: BTreeSet<SymbolNode>,
    /// Nodes of pins that no line reaches.
    pub(crate) open: Vec<SymbolNode>,
}

/// How often the nets are laid again before what is left is given up.
const ROUNDS: usize = 16;
/// Price of each other net on a node, growing from round to round.
const SHARED: u32 = 30;

/// What one net has to join.
pub(crate) struct Task {
    pub(crate) net: usize,
    /// Pins of the chamber's own symbol, any of which will do.
    pub(crate) hub: Vec<SymbolNode>,
    /// Pins that must be reached.
    pub(crate) pins: Vec<SymbolNode>,
}

/// Lays all nets; those that the steps do not suffice for are left open.
pub(crate) fn route(placed: &[Placed], steps: &mut Steps) -> BTreeMap<usize, Net> {
    let tasks = tasks(placed);
    let mut grid = Grid::around(placed);
    let mut laid: Vec<Net> = tasks.iter().map(|_| Net::default()).collect();
    // Half is kept for laying what still shares nodes around the rest.
    let enough = steps.left() / 2;
    'rounds: for round in 0..ROUNDS {
        for (at, task) in tasks.iter().enumerate() {
            if steps.left() < enough {
                break 'rounds;
            }
            grid.take_up(&laid[at]);
            laid[at] = grid.lay(task, Some(SHARED * (round as u32 + 1)), steps);
            grid.put_down(&laid[at]);
        }
        if !grid.age() {
            break;
        }
    }
    settle(&mut grid, &tasks, &mut laid, steps);
    straighten(&mut grid, &tasks, &mut laid, steps);
    named(tasks, laid)
}

/// Lays each net once more between the others, free of the detours that made room for lines that
/// have gone elsewhere since.
fn straighten(grid: &mut Grid, tasks: &[Task], laid: &mut [Net], steps: &mut Steps) {
    grid.forget();
    for _ in 0..2 {
        for (at, task) in tasks.iter().enumerate().rev() {
            grid.take_up(&laid[at]);
            let again = grid.lay(task, None, steps);
            if again.open.len() <= laid[at].open.len() {
                laid[at] = again;
            }
            grid.put_down(&laid[at]);
        }
    }
}

/// Takes up the nets that share nodes and lays them around the others, as far as it goes.
fn settle(grid: &mut Grid, tasks: &[Task], laid: &mut [Net], steps: &mut Steps) {
    let shares = |grid: &Grid, net: &Net| nodes_of(net).iter().any(|node| 1 < grid.uses(*node));
    let mut again = Vec::new();
    loop {
        let worst = (0..laid.len())
            .filter(|at| shares(grid, &laid[*at]))
            .max_by_key(|at| nodes_of(&laid[*at]).iter().filter(|n| 1 < grid.uses(**n)).count());
        let Some(at) = worst else { break };
        grid.take_up(&laid[at]);
        laid[at] = Net::default();
        again.push(at);
    }
    for at in again {
        laid[at] = grid.lay(&tasks[at], None, steps);
        grid.put_down(&laid[at]);
    }
}

fn named(tasks: Vec<Task>, laid: Vec<Net>) -> BTreeMap<usize, Net> {
    tasks.into_iter().map(|task| task.net).zip(laid).collect()
}

fn tasks(placed: &[Placed]) -> Vec<Task> {
    let mut tasks: BTreeMap<usize, Task> = BTreeMap::new();
    for it in placed {
        for (at, pin) in it.block.pins.iter().enumerate() {
            let empty = || Task { net: pin.net, hub: Vec::new(), pins: Vec::new() };
            let task = tasks.entry(pin.net).or_insert_with(empty);
            let list = if it.block.is_hub() { &mut task.hub } else { &mut task.pins };
            list.push(it.pin(at));
        }
    }
    // Short nets first: long ones find their way around them.
    let mut tasks: Vec<Task> = tasks.into_values().collect();
    tasks.sort_by_key(|task| (task.pins.len(), task.net));
    tasks
}

/// The nodes that the lines of a net run over.
pub(crate) fn nodes_of(net: &Net) -> BTreeSet<SymbolNode> {
    net.steps.iter().flat_map(|(a, b)| [*a, *b]).collect()
}

/// How good a layout is; less is better.
pub(crate) fn cost(placed: &[Placed], nets: &BTreeMap<usize, Net>) -> usize {
    let open: usize = nets.values().map(|net| net.open.len()).sum();
    let steps: usize = nets.values().map(|net| net.steps.len()).sum();
    let bends: usize = nets.values().map(bends).sum();
    let (width, height) = Grid::around(placed).size();
    // A picture that is wider than high by half fits pages and screens best.
    let size = width.max(height * 3 / 2) * 2;
    open * 1000 + steps + 4 * bends + size.unsigned_abs() as usize
}

fn bends(net: &Net) -> usize {
    let mut upright = BTreeSet::new();
    let mut level = BTreeSet::new();
    for (a, b) in &net.steps {
        let list = if a.0 == b.0 { &mut upright } else { &mut level };
        list.extend([*a, *b]);
    }
    upright.intersection(&level).count()
}

/// The straight lines of a net.
pub(crate) fn lines(net: &Net) -> Vec<(SymbolNode, SymbolNode)> {
    let mut lines: Vec<(SymbolNode, SymbolNode)> = Vec::new();
    for upright in [true, false] {
        let mut steps: Vec<_> =
            net.steps.iter().filter(|(a, b)| (a.0 == b.0) == upright).copied().collect();
        steps.sort_by_key(|(a, _)| if upright { (a.0, a.1) } else { (a.1, a.0) });
        for (a, b) in steps {
            match lines.last_mut() {
                Some(last) if last.1 == a && (last.0.0 == b.0 || last.0.1 == b.1) => last.1 = b,
                _ => lines.push((a, b)),
            }
        }
    }
    lines
}

/// Nodes where three or more lines meet, the ends of symbols' own lines among them.
pub(crate) fn junctions(net: &Net) -> Vec<SymbolNode> {
    let mut meeting: BTreeMap<SymbolNode, usize> = BTreeMap::new();
    let ends = net.steps.iter().flat_map(|(a, b)| [*a, *b]).chain(net.ends.iter().copied());
    for node in ends {
        *meeting.entry(node).or_default() += 1;
    }
    meeting.into_iter().filter(|(_, count)| 3 <= *count).map(|(node, _)| node).collect()
}
