//! The grid that lines are laid on, and the cheapest paths over it.

use super::block::SymbolNode;
use super::budget::Steps;
use super::route::{Net, Placed, Task, nodes_of};
use std::cmp::Reverse;
use std::collections::{BTreeSet, BinaryHeap};

/// Price of a step and of a bend.
const STEP: u32 = 10;
const BEND: u32 = 14;
/// Free nodes around the picture, and what a step there costs more: lines run between the
/// symbols, not around them.
const MARGIN: i32 = 2;
const OUTSIDE: u32 = 20;

/// What covers which node, and how many lines want it.
pub(crate) struct Grid {
    corner: SymbolNode,
    width: i32,
    height: i32,
    /// `None`: covered by a symbol; `Some(None)`: free; `Some(Some(net))`: kept for a net's pin.
    ground: Vec<Option<Option<usize>>>,
    uses: Vec<u32>,
    age: Vec<u32>,
}

const WAYS: [SymbolNode; 4] = [(1, 0), (0, 1), (-1, 0), (0, -1)];

impl Grid {
    pub(crate) fn around(placed: &[Placed]) -> Grid {
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

    /// Nodes to the right and down.
    pub(crate) fn size(&self) -> SymbolNode {
        (self.width, self.height)
    }

    /// Makes all nodes as cheap again as they were.
    pub(crate) fn forget(&mut self) {
        self.age.fill(0);
    }

    fn index(&self, node: SymbolNode) -> usize {
        ((node.1 - self.corner.1) * self.width + node.0 - self.corner.0) as usize
    }

    fn node(&self, index: usize) -> SymbolNode {
        let index = index as i32;
        (self.corner.0 + index % self.width, self.corner.1 + index / self.width)
    }

    fn neighbour(&self, index: usize, way: usize) -> Option<usize> {
        let node = self.node(index);
        let (x, y) = (node.0 + WAYS[way].0 - self.corner.0, node.1 + WAYS[way].1 - self.corner.1);
        let inside = 0 <= x && x < self.width && 0 <= y && y < self.height;
        inside.then(|| (y * self.width + x) as usize)
    }

    pub(crate) fn uses(&self, node: SymbolNode) -> u32 {
        self.uses[self.index(node)]
    }

    pub(crate) fn take_up(&mut self, net: &Net) {
        for node in nodes_of(net) {
            let index = self.index(node);
            self.uses[index] -= 1;
        }
    }

    pub(crate) fn put_down(&mut self, net: &Net) {
        for node in nodes_of(net) {
            let index = self.index(node);
            self.uses[index] += 1;
        }
    }

    /// Makes shared nodes dearer; whether there were any.
    pub(crate) fn age(&mut self) -> bool {
        let mut shared = false;
        for (age, uses) in self.age.iter_mut().zip(&self.uses) {
            if 1 < *uses {
                *age += 20;
                shared = true;
            }
        }
        shared
    }

    /// Whether a node lies around all symbols.
    fn is_outside(&self, index: usize) -> bool {
        let (x, y) = (index as i32 % self.width, index as i32 / self.width);
        x < MARGIN || y < MARGIN || self.width - MARGIN <= x || self.height - MARGIN <= y
    }

    /// What a step onto a node costs; `None` where the net may not go. Without a price for
    /// sharing, nodes of other nets are walls.
    fn price(&self, index: usize, net: usize, sharing: Option<u32>) -> Option<u32> {
        match self.ground[index] {
            None => return None,
            Some(Some(other)) if other != net => return None,
            _ => {}
        }
        let step = STEP + self.age[index] + if self.is_outside(index) { OUTSIDE } else { 0 };
        match (self.uses[index], sharing) {
            (0, _) => Some(step),
            (uses, Some(price)) => Some(step + uses * price),
            (_, None) => None,
        }
    }

    /// Grows a tree from the hub to every pin.
    pub(crate) fn lay(&self, task: &Task, sharing: Option<u32>, steps: &mut Steps) -> Net {
        let mut net = Net::default();
        let mut wanted: BTreeSet<usize> = task.pins.iter().map(|node| self.index(*node)).collect();
        let mut tree: BTreeSet<usize> = task.hub.iter().map(|node| self.index(*node)).collect();
        if tree.is_empty() {
            tree.extend(wanted.pop_first());
        }
        // A pin on a node of the hub is reached without a step.
        wanted.retain(|index| !tree.contains(index));
        while !wanted.is_empty() {
            let Some(path) = self.path(&tree, &wanted, (task.net, sharing), steps) else {
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
        let open: BTreeSet<SymbolNode> = net.open.iter().copied().collect();
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
        (net, sharing): (usize, Option<u32>),
        steps: &mut Steps,
    ) -> Option<Vec<usize>> {
        if steps.are_spent() {
            return None;
        }
        let states = self.ground.len() * WAYS.len();
        let mut cost = vec![u32::MAX; states];
        let mut from = vec![usize::MAX; states];
        steps.take(states / 3);
        let mut queue = BinaryHeap::new();
        for index in tree {
            for way in 0..WAYS.len() {
                cost[index * 4 + way] = 0;
                queue.push(Reverse((0, index * 4 + way)));
            }
        }
        while let Some(Reverse((so_far, state))) = queue.pop() {
            // Heap and neighbours cost what three comparisons do.
            steps.take(3);
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
