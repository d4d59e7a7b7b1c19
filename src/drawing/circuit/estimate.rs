//! What an order of symbols would cost, told cheaply with straight lines.

use super::block::{SymbolBlock, SymbolNode};
use super::budget::Steps;
use super::order::{ChamberOrder, OrderSearch};
use super::route::Placed;
use crate::cutaway::model::Element;
use crate::drawing::row::settled;

/// Free nodes between neighbours in a row, and between rows.
pub(crate) const BESIDE: i32 = 3;
pub(crate) const BETWEEN: i32 = 4;
/// What a crossing of straight lines costs, and a line through a symbol, in nodes of length.
const CROSSING: f64 = 30.0;
const THROUGH: f64 = 14.0;
/// What a bend costs.
const BEND: i32 = 8;
/// What a line costs that leaves its symbol on the far side.
const AROUND: i32 = 14;
/// What it costs to have a valve upside down, its exhaust pointing up.
const UPSIDE_DOWN: f64 = 8.0;
/// What each node between a valve and the part that moves it costs.
const APART: f64 = 0.6;
/// What it costs to lie a whole picture's height away from where a symbol likes to be.
const AWAY: f64 = 60.0;

impl OrderSearch {
    fn block(&self, order: &ChamberOrder, at: usize) -> &SymbolBlock {
        &self.blocks[at][order.forms[at]]
    }

    pub(crate) fn placed(&self, order: &ChamberOrder) -> Vec<Placed> {
        let at = self.places(order);
        let all = self.blocks.iter().enumerate();
        all.map(|(i, _)| Placed { block: self.block(order, i).clone(), at: at[i] }).collect()
    }

    /// Upper left nodes of all symbols: rows under each other, symbols drawn towards what they
    /// are joined to.
    fn places(&self, order: &ChamberOrder) -> Vec<SymbolNode> {
        let mut places = vec![(0, 0); self.blocks.len()];
        let mut top = 0;
        for row in &order.rows {
            let height = row.iter().map(|b| self.block(order, *b).height).max().unwrap_or(0);
            let mut left = 0;
            for at in row {
                let block = self.block(order, *at);
                places[*at] = (left, top + (height - block.height) / 2);
                left += block.width + BESIDE;
            }
            // Rows are centred on one another.
            row.iter().for_each(|at| places[*at].0 -= (left - BESIDE) / 2);
            top += if row.is_empty() { 0 } else { height + BETWEEN };
        }
        for _ in 0..2 {
            let wishes = self.drawn_to(order, &places);
            for row in &order.rows {
                self.spread(order, row, &wishes, &mut places);
            }
        }
        places
    }

    /// Where each symbol would lie if only what it is joined to counted.
    fn drawn_to(&self, order: &ChamberOrder, places: &[SymbolNode]) -> Vec<f64> {
        // Sum and number of the pins of each net; a chamber's symbol counts once, by its middle.
        let mut nets = vec![(0.0, 0.0); self.nets];
        let ends = |at: usize| {
            let block = self.block(order, at);
            let left = f64::from(places[at].0);
            let middle = left + f64::from(block.width) / 2.0;
            let count = if block.is_hub() { 1 } else { block.pins.len() };
            let x = move |node: SymbolNode| {
                if block.is_hub() { middle } else { left + f64::from(node.0) }
            };
            block.pins.iter().take(count).map(move |pin| (pin.net, x(pin.node)))
        };
        for (net, x) in (0..self.blocks.len()).flat_map(ends) {
            nets[net] = (nets[net].0 + x, nets[net].1 + 1.0);
        }
        let wish = |at: usize| {
            let shared = ends(at).filter(|(net, _)| 1.0 < nets[*net].1);
            let shifts = shared.map(|(net, x)| (nets[net].0 - x) / (nets[net].1 - 1.0) - x);
            let (sum, count) = shifts.fold((0.0, 0.0), |(sum, n), shift| (sum + shift, n + 1.0));
            f64::from(places[at].0) + if count == 0.0 { 0.0 } else { sum / count }
        };
        (0..self.blocks.len()).map(wish).collect()
    }

    /// Moves the symbols of a row as near to their wishes as their order and gaps allow, in the
    /// sense of least squares.
    fn spread(
        &self,
        order: &ChamberOrder,
        row: &[usize],
        wishes: &[f64],
        places: &mut [SymbolNode],
    ) {
        let mut offsets = Vec::new();
        let mut offset = 0;
        for at in row {
            offsets.push(f64::from(offset));
            offset += self.block(order, *at).width + BESIDE;
        }
        let wishes: Vec<f64> = row.iter().map(|at| wishes[*at]).collect();
        let mut least = i32::MIN;
        for (at, start) in row.iter().zip(settled(&wishes, &offsets)) {
            let x = (start.round() as i32).max(least);
            places[*at].0 = x;
            least = x + self.block(order, *at).width + BESIDE;
        }
    }

    /// What an order would cost, with straight lines; `None` as soon as it is more than a bound.
    pub(crate) fn estimate(
        &self,
        order: &ChamberOrder,
        bound: f64,
        (lists, steps): (&mut EstimateLists, &mut Steps),
    ) -> Option<f64> {
        let places = self.places(order);
        steps.take(4 * places.len());
        let mut cost = self.loose_ends(order, &places);
        if bound < cost {
            return None;
        }
        let lines = self.straight_lines(order, &places, lists, steps);
        cost += f64::from(lines.iter().map(|line| line.length).sum::<i32>());
        for (at, line) in lines.iter().enumerate() {
            if bound < cost {
                return None;
            }
            steps.take(lines.len() - at + places.len());
            let ends = (line.from, line.to);
            let others = lines[at + 1..].iter().filter(|other| other.net != line.net);
            let crossings = others.filter(|other| cross(ends, (other.from, other.to))).count();
            cost += CROSSING * crossings as f64;
            for (b, place) in places.iter().enumerate() {
                let block = self.block(order, b);
                if passes(ends, *place, (block.width, block.height)) {
                    cost += THROUGH;
                }
            }
        }
        (cost <= bound).then_some(cost)
    }

    /// What an order costs without its lines.
    fn loose_ends(&self, order: &ChamberOrder, places: &[SymbolNode]) -> f64 {
        let is_valve = |block: &&SymbolBlock| matches!(block.content, Element::Valve(_));
        let valves = (0..self.blocks.len()).map(|at| self.block(order, at)).filter(is_valve);
        let mut cost = UPSIDE_DOWN * valves.filter(|block| block.is_flipped).count() as f64;
        let last = (order.rows.len() - 1).max(1) as f64;
        for (row, blocks) in order.rows.iter().enumerate() {
            for at in blocks {
                let away = row as f64 / last - self.wishes[*at];
                cost += AWAY * away * away;
            }
        }
        let right = places.iter().enumerate().map(|(b, p)| p.0 + self.block(order, b).width).max();
        let left = places.iter().map(|p| p.0).min();
        let (left, right) = (left.unwrap_or(0), right.unwrap_or(0));
        let muzzles = self.muzzle.iter().zip(places).filter(|(is, _)| **is);
        cost += muzzles.map(|(_, place)| 1.2 * f64::from(right - place.0)).sum::<f64>();
        let gap = |a: i32, b: i32, long: i32, other: i32| (b - a - long).max(a - b - other).max(0);
        let apart = self.moved.iter().map(|(at, mover)| {
            let [a, b] = [*at, *mover].map(|at| (places[at], self.block(order, at)));
            let across = gap(a.0.0, b.0.0, a.1.width, b.1.width);
            f64::from(across + gap(a.0.1, b.0.1, a.1.height, b.1.height))
        });
        cost += APART * apart.sum::<f64>();
        cost + 1.5 * f64::from(right - left)
    }

    /// Each net as a tree of straight lines between its pins.
    fn straight_lines<'a>(
        &self,
        order: &ChamberOrder,
        places: &[SymbolNode],
        lists: &'a mut EstimateLists,
        steps: &mut Steps,
    ) -> &'a [Straight] {
        lists.nets.resize_with(self.nets, NetEnds::default);
        for (at, place) in places.iter().enumerate() {
            let block = self.block(order, at);
            let is_hub = block.is_hub();
            for pin in block.pins.iter().filter(|pin| !is_hub || is_typical(pin.node, block)) {
                let node = (place.0 + pin.node.0, place.1 + pin.node.1);
                let net = &mut lists.nets[pin.net];
                let list = if is_hub { &mut net.tree } else { &mut net.open };
                list.push((node, outward(pin.node, block)));
            }
        }
        lists.lines.clear();
        for (net, ends) in lists.nets.iter_mut().enumerate() {
            ends.joined(net, &mut lists.lines, steps);
        }
        &lists.lines
    }
}

/// A place on the grid, and which way a line leaves it.
type End = (SymbolNode, SymbolNode);

/// The lists of an estimate, kept from one to the next: a search makes thousands of them.
#[derive(Default)]
pub(crate) struct EstimateLists {
    nets: Vec<NetEnds>,
    lines: Vec<Straight>,
}

/// What a net joins.
#[derive(Default)]
struct NetEnds {
    open: Vec<End>,
    /// Places of one symbol, any of which will do.
    tree: Vec<End>,
    /// The nearest end of the tree, for each that is open.
    nearest: Vec<(i32, End)>,
}

impl NetEnds {
    /// Adds the shortest tree of straight lines that joins all open ends; none is left.
    fn joined(&mut self, net: usize, lines: &mut Vec<Straight>, steps: &mut Steps) {
        let NetEnds { open, tree, nearest } = self;
        if tree.is_empty() {
            tree.extend(open.pop());
        }
        let near = |pin: &End| tree.iter().map(|end| (distance(*pin, *end), *end)).min();
        nearest.extend(open.iter().filter_map(near));
        steps.take(open.len() * tree.len());
        tree.clear();
        while let Some(at) = (0..open.len()).min_by_key(|at| nearest[*at].0) {
            let pin = open.swap_remove(at);
            let (length, end) = nearest.swap_remove(at);
            lines.push(Straight { net, from: end.0, to: pin.0, length });
            steps.take(open.len());
            for (other, nearest) in open.iter().zip(nearest.iter_mut()) {
                *nearest = (*nearest).min((distance(*other, pin), pin));
            }
        }
    }
}

/// A straight line of an estimate.
struct Straight {
    net: usize,
    from: SymbolNode,
    to: SymbolNode,
    /// What a line along the grid would need, in nodes, bends counted as such.
    length: i32,
}

/// Whether a node beside a chamber is one of the few that an estimate looks at: the middles of
/// its sides, and the ends of the upper and the lower one.
fn is_typical(node: SymbolNode, block: &SymbolBlock) -> bool {
    let is_beside = node.0 == -1 || node.0 == block.width;
    if is_beside { node.1 == 0 } else { [1, block.width / 2, block.width - 2].contains(&node.0) }
}

/// Which way a line leaves a pin.
fn outward(pin: SymbolNode, block: &SymbolBlock) -> SymbolNode {
    let sideways = i32::from(pin.0 == block.width) - i32::from(pin.0 == -1);
    (sideways, if sideways == 0 { i32::from(pin.1 == block.height) * 2 - 1 } else { 0 })
}

/// Length of a line along the grid between two pins. One that has to go around the symbol it
/// comes from is longer.
fn distance(a: (SymbolNode, SymbolNode), b: (SymbolNode, SymbolNode)) -> i32 {
    let (x, y) = (b.0.0 - a.0.0, b.0.1 - a.0.1);
    let bends = if x != 0 && y != 0 { BEND } else { 0 };
    let leaves = |way: SymbolNode, x: i32, y: i32| way.0 * x + way.1 * y < 0;
    let around = [leaves(a.1, x, y), leaves(b.1, -x, -y)].into_iter().filter(|it| *it).count();
    x.abs() + y.abs() + bends + AROUND * i32::try_from(around).unwrap_or(0)
}

/// Whether two straight lines cross or touch.
fn cross(a: (SymbolNode, SymbolNode), b: (SymbolNode, SymbolNode)) -> bool {
    let side = |p: SymbolNode, q: SymbolNode, r: SymbolNode| {
        let [x, y] = [q.0 - p.0, q.1 - p.1].map(i64::from);
        (x * i64::from(r.1 - p.1) - y * i64::from(r.0 - p.0)).signum()
    };
    let meet = |a: [i32; 2], b: [i32; 2]| {
        a[0].min(a[1]) <= b[0].max(b[1]) && b[0].min(b[1]) <= a[0].max(a[1])
    };
    meet([a.0.0, a.1.0], [b.0.0, b.1.0])
        && meet([a.0.1, a.1.1], [b.0.1, b.1.1])
        && side(a.0, a.1, b.0) * side(a.0, a.1, b.1) <= 0
        && side(b.0, b.1, a.0) * side(b.0, b.1, a.1) <= 0
}

/// Whether a straight line passes through a rectangle of nodes.
fn passes(line: (SymbolNode, SymbolNode), corner: SymbolNode, size: SymbolNode) -> bool {
    let (right, bottom) = (corner.0 + size.0 - 1, corner.1 + size.1 - 1);
    let is_beside = line.0.0.max(line.1.0) < corner.0
        || right < line.0.0.min(line.1.0)
        || line.0.1.max(line.1.1) < corner.1
        || bottom < line.0.1.min(line.1.1);
    if is_beside {
        return false;
    }
    let diagonals = [(corner, (right, bottom)), ((corner.0, bottom), (right, corner.1))];
    diagonals.into_iter().any(|diagonal| cross(line, diagonal))
}
