//! Lines between placed symbols: on the nodes of a grid, each node given to one line at most, so
//! that no two cross.
//!
//! All nets are laid again and again while a node that several want grows dearer, until none is
//! shared. What cannot be laid in the end is left open, and the picture names both ends instead.

use super::block::{Block, Node};
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet, BinaryHeap};

/// A symbol at its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Placed {
    pub(crate) block: Block,
    /// Its upper left node.
    pub(crate) at: Node,
}

impl Placed {
    /// The node of a pin on the whole grid.
    pub(crate) fn pin(&self, pin: usize) -> Node {
        let node = self.block.pins[pin].node;
        (self.at.0 + node.0, self.at.1 + node.1)
    }
}

/// The lines of one net: steps from node to neighbouring node.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct Net {
    /// Steps, each with its smaller node first.
    pub(crate) steps: BTreeSet<(Node, Node)>,
    /// Nodes of pins that are reached.
    pub(crate) ends: BTreeSet<Node>,
    /// Nodes of pins that no line reaches.
    pub(crate) open: Vec<Node>,
}

/// How often the nets are laid again before what is left is given up.
const ROUNDS: usize = 16;
/// Price of a step, of a bend, and of each other net on a node.
const STEP: u32 = 10;
const BEND: u32 = 14;
const SHARED: u32 = 30;
/// Free nodes around the picture.
const MARGIN: i32 = 2;

/// What one net has to join.
struct Task {
    net: usize,
    /// Pins of the chamber's own symbol, any of which will do.
    hub: Vec<Node>,
    /// Pins that must be reached.
    pins: Vec<Node>,
}

/// Lays all nets.
pub(crate) fn route(placed: &[Placed]) -> BTreeMap<usize, Net> {
    let tasks = tasks(placed);
    let mut grid = Grid::around(placed);
    let mut laid: Vec<Net> = tasks.iter().map(|_| Net::default()).collect();
    for round in 0..ROUNDS {
        for (at, task) in tasks.iter().enumerate() {
            grid.take_up(&laid[at]);
            laid[at] = grid.lay(task, Some(SHARED * (round as u32 + 1)));
            grid.put_down(&laid[at]);
        }
        if !grid.age() {
            break;
        }
    }
    settle(&mut grid, &tasks, &mut laid);
    straighten(&mut grid, &tasks, &mut laid);
    named(tasks, laid)
}

/// Lays each net once more between the others, free of the detours that made room for lines that
/// have gone elsewhere since.
fn straighten(grid: &mut Grid, tasks: &[Task], laid: &mut [Net]) {
    grid.age.fill(0);
    for _ in 0..2 {
        for (at, task) in tasks.iter().enumerate().rev() {
            grid.take_up(&laid[at]);
            let again = grid.lay(task, None);
            if again.open.len() <= laid[at].open.len() {
                laid[at] = again;
            }
            grid.put_down(&laid[at]);
        }
    }
}

/// Takes up the nets that share nodes and lays them around the others, as far as it goes.
fn settle(grid: &mut Grid, tasks: &[Task], laid: &mut [Net]) {
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
        laid[at] = grid.lay(&tasks[at], None);
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

fn nodes_of(net: &Net) -> BTreeSet<Node> {
    net.steps.iter().flat_map(|(a, b)| [*a, *b]).collect()
}

struct Grid {
    corner: Node,
    width: i32,
    height: i32,
    /// `None`: covered by a symbol; `Some(None)`: free; `Some(Some(net))`: kept for a net's pin.
    ground: Vec<Option<Option<usize>>>,
    uses: Vec<u32>,
    age: Vec<u32>,
}

const WAYS: [Node; 4] = [(1, 0), (0, 1), (-1, 0), (0, -1)];

impl Grid {
    fn around(placed: &[Placed]) -> Grid {
        let span = |low: fn(&Placed) -> i32, high: fn(&Placed) -> i32| {
            let low = placed.iter().map(low).min().unwrap_or(0) - 1 - MARGIN;
            let high = placed.iter().map(high).max().unwrap_or(0) + 1 + MARGIN;
            (low, high - low + 1)
        };
        let (left, width) = span(|p| p.at.0, |p| p.at.0 + p.block.width);
        let (top, height) = span(|p| p.at.1, |p| p.at.1 + p.block.height);
        let nodes = (width * height) as usize;
        let mut grid = Grid {
            corner: (left, top),
            width,
            height,
            ground: vec![Some(None); nodes],
            uses: vec![0; nodes],
            age: vec![0; nodes],
        };
        for it in placed {
            for at in 0..it.block.pins.len() {
                let node = grid.index(it.pin(at));
                grid.ground[node] = Some(Some(it.block.pins[at].net));
            }
        }
        for it in placed {
            for x in 0..it.block.width {
                for y in 0..it.block.height {
                    let node = grid.index((it.at.0 + x, it.at.1 + y));
                    grid.ground[node] = None;
                }
            }
        }
        grid
    }

    fn index(&self, node: Node) -> usize {
        ((node.1 - self.corner.1) * self.width + node.0 - self.corner.0) as usize
    }

    fn node(&self, index: usize) -> Node {
        let index = index as i32;
        (self.corner.0 + index % self.width, self.corner.1 + index / self.width)
    }

    fn neighbour(&self, index: usize, way: usize) -> Option<usize> {
        let node = self.node(index);
        let (x, y) = (node.0 + WAYS[way].0 - self.corner.0, node.1 + WAYS[way].1 - self.corner.1);
        let inside = 0 <= x && x < self.width && 0 <= y && y < self.height;
        inside.then(|| (y * self.width + x) as usize)
    }

    fn uses(&self, node: Node) -> u32 {
        self.uses[self.index(node)]
    }

    fn take_up(&mut self, net: &Net) {
        for node in nodes_of(net) {
            let index = self.index(node);
            self.uses[index] -= 1;
        }
    }

    fn put_down(&mut self, net: &Net) {
        for node in nodes_of(net) {
            let index = self.index(node);
            self.uses[index] += 1;
        }
    }

    /// Makes shared nodes dearer; whether there were any.
    fn age(&mut self) -> bool {
        let mut shared = false;
        for (age, uses) in self.age.iter_mut().zip(&self.uses) {
            if 1 < *uses {
                *age += 20;
                shared = true;
            }
        }
        shared
    }

    /// What a step onto a node costs; `None` where the net may not go. Without a price for
    /// sharing, nodes of other nets are walls.
    fn price(&self, index: usize, net: usize, sharing: Option<u32>) -> Option<u32> {
        match self.ground[index] {
            None => return None,
            Some(Some(other)) if other != net => return None,
            _ => {}
        }
        match (self.uses[index], sharing) {
            (0, _) => Some(STEP + self.age[index]),
            (uses, Some(price)) => Some(STEP + self.age[index] + uses * price),
            (_, None) => None,
        }
    }

    /// Grows a tree from the hub to every pin.
    fn lay(&self, task: &Task, sharing: Option<u32>) -> Net {
        let mut net = Net::default();
        let mut wanted: BTreeSet<usize> = task.pins.iter().map(|node| self.index(*node)).collect();
        let mut tree: BTreeSet<usize> = task.hub.iter().map(|node| self.index(*node)).collect();
        if tree.is_empty() {
            tree.extend(wanted.pop_first());
        }
        // A pin on a node of the hub is reached without a step.
        wanted.retain(|index| !tree.contains(index));
        while !wanted.is_empty() {
            let Some(path) = self.path(&tree, &wanted, task.net, sharing) else {
                net.open.extend(wanted.iter().map(|index| self.node(*index)));
                break;
            };
            for pair in path.windows(2) {
                let [a, b] = [self.node(pair[0]), self.node(pair[1])];
                net.steps.insert((a.min(b), a.max(b)));
            }
            wanted.retain(|index| !path.contains(index));
            tree.extend(path);
        }
        let open: BTreeSet<Node> = net.open.iter().copied().collect();
        let used = nodes_of(&net);
        let hub = task.hub.iter().filter(|node| used.contains(node));
        let pins = task.pins.iter().filter(|node| !open.contains(node));
        net.ends = hub.chain(pins).copied().collect();
        net
    }

    /// The cheapest path from the tree to one of the wanted nodes, from the tree on.
    fn path(
        &self,
        tree: &BTreeSet<usize>,
        wanted: &BTreeSet<usize>,
        net: usize,
        sharing: Option<u32>,
    ) -> Option<Vec<usize>> {
        let states = self.ground.len() * WAYS.len();
        let mut cost = vec![u32::MAX; states];
        let mut from = vec![usize::MAX; states];
        let mut queue = BinaryHeap::new();
        for index in tree {
            for way in 0..WAYS.len() {
                cost[index * 4 + way] = 0;
                queue.push(Reverse((0, index * 4 + way)));
            }
        }
        while let Some(Reverse((so_far, state))) = queue.pop() {
            if cost[state] < so_far {
                continue;
            }
            let (index, way) = (state / 4, state % 4);
            if wanted.contains(&index) {
                return Some(walked(&from, state));
            }
            for turn in 0..WAYS.len() {
                let Some(next) = self.neighbour(index, turn) else { continue };
                let Some(price) = self.price(next, net, sharing) else { continue };
                let price = if turn == way { price } else { price + BEND };
                let (next, total) = (next * 4 + turn, so_far + price);
                if total < cost[next] {
                    (cost[next], from[next]) = (total, state);
                    queue.push(Reverse((total, next)));
                }
            }
        }
        None
    }
}

/// The nodes of a path, from its start to the node of `state`.
fn walked(from: &[usize], state: usize) -> Vec<usize> {
    let mut path = vec![state / 4];
    let mut state = state;
    while from[state] != usize::MAX {
        state = from[state];
        path.push(state / 4);
    }
    path.reverse();
    path.dedup();
    path
}

/// How good a layout is; less is better.
pub(crate) fn cost(placed: &[Placed], nets: &BTreeMap<usize, Net>) -> usize {
    let open: usize = nets.values().map(|net| net.open.len()).sum();
    let steps: usize = nets.values().map(|net| net.steps.len()).sum();
    let bends: usize = nets.values().map(bends).sum();
    let grid = Grid::around(placed);
    // A picture that is wider than high by half fits pages and screens best.
    let size = grid.width.max(grid.height * 3 / 2) * 2;
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
pub(crate) fn lines(net: &Net) -> Vec<(Node, Node)> {
    let mut lines: Vec<(Node, Node)> = Vec::new();
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
pub(crate) fn junctions(net: &Net) -> Vec<Node> {
    let mut meeting: BTreeMap<Node, usize> = BTreeMap::new();
    let ends = net.steps.iter().flat_map(|(a, b)| [*a, *b]).chain(net.ends.iter().copied());
    for node in ends {
        *meeting.entry(node).or_default() += 1;
    }
    meeting.into_iter().filter(|(_, count)| 3 <= *count).map(|(node, _)| node).collect()
}
