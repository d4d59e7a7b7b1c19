//! Where symbols lie: in rows from the parts at the top to the supply at the bottom, in the order
//! that lets the lines run short and clear of one another.
//!
//! Orders are tried by swapping, moving and turning symbols, with a fixed sequence of pseudo-random
//! numbers, so that an engine is always laid out the same. A cheap estimate with straight lines
//! guides the search; the best few are routed, and the best of these is taken.

use super::block::{Block, Node, blocks};
use super::route::{Net, Placed, cost, route};
use crate::cutaway::model::{Element, Engine};
use crate::drawing::row::settled;
use std::collections::{BTreeMap, BTreeSet};

/// Searches from different starts, and how many of the best are routed.
const STARTS: u64 = 6;
const ROUTED: usize = 3;
/// Rounds of searches, as long as some line cannot be laid.
const ROUNDS: u64 = 4;
/// Tries in each search, for every symbol.
const TRIES: usize = 160;
/// Free nodes between neighbours in a row, and between rows.
const BESIDE: i32 = 3;
const BETWEEN: i32 = 4;
/// What a crossing of straight lines costs, and a line through a symbol, in nodes of length.
const CROSSING: f64 = 30.0;
const THROUGH: f64 = 14.0;
/// What a bend costs.
const BEND: i32 = 8;
/// What a line costs that leaves its symbol on the far side.
const AROUND: i32 = 14;
/// What it costs to have a valve upside down, its exhaust pointing up.
const UPSIDE_DOWN: f64 = 8.0;
/// What it costs to lie a whole picture's height away from where a symbol likes to be.
const AWAY: f64 = 60.0;

/// Places all symbols and lays their lines.
pub(crate) fn place(engine: &Engine) -> (Vec<Placed>, BTreeMap<usize, Net>) {
    let mut search = Search::of(engine);
    let mut best: Option<Layout> = None;
    for round in 0..ROUNDS {
        // Where the promising ones of the first round failed, all are looked at, with more tries.
        let routed = if round == 0 { ROUTED } else { usize::MAX };
        for order in search.orders(round).iter().take(routed) {
            let placed = search.placed(order);
            let nets = route(&placed);
            let (placed, nets) = squeeze(placed, nets);
            let layout = Layout { cost: cost(&placed, &nets), placed, nets };
            if best.as_ref().is_none_or(|best| layout.cost < best.cost) {
                best = Some(layout);
            }
        }
        let is_whole = |net: &Net| net.open.is_empty();
        if best.as_ref().is_some_and(|best| best.nets.values().all(is_whole)) {
            break;
        }
    }
    best.map_or_else(Default::default, |best| (best.placed, best.nets))
}

struct Layout {
    cost: usize,
    placed: Vec<Placed>,
    nets: BTreeMap<usize, Net>,
}

/// Rows of symbols from left to right, and which form each has.
#[derive(Clone)]
struct Order {
    rows: Vec<Vec<usize>>,
    forms: Vec<usize>,
}

struct Search {
    blocks: Vec<Vec<Block>>,
    wishes: Vec<f64>,
    nets: usize,
    /// Whether a symbol likes to lie at the right.
    muzzle: Vec<bool>,
    rows: usize,
}

impl Search {
    fn of(engine: &Engine) -> Search {
        let blocks = blocks(engine);
        let wishes = blocks.iter().map(|forms| forms[0].wish(engine)).collect();
        let is_barrel = |block: &Block| match block.content {
            Element::Way(way) => engine.ways[way].barrel,
            _ => false,
        };
        let muzzle = blocks.iter().map(|forms| is_barrel(&forms[0])).collect();
        // Rows for a picture that is a little wider than high.
        let area: i32 = blocks
            .iter()
            .map(|forms| (forms[0].width + BESIDE) * (forms[0].height + BETWEEN))
            .sum();
        let height = (f64::from(area) / 1.2).sqrt();
        let rows = (height / 8.5).round().clamp(3.0, 12.0) as usize;
        let nets = engine.chambers.len() + super::block::ties(engine).len();
        Search { blocks, wishes, nets, muzzle, rows }
    }

    fn first(&self, random: &mut Random) -> Order {
        let mut order =
            Order { rows: vec![Vec::new(); self.rows], forms: vec![0; self.blocks.len()] };
        for (at, wish) in self.wishes.iter().enumerate() {
            let row = (wish * (self.rows - 1) as f64).round() as usize;
            let row = &mut order.rows[row];
            row.insert(random.below(row.len() + 1), at);
        }
        order
    }

    /// The orders that the searches of a round end with, the most promising first.
    fn orders(&mut self, round: u64) -> Vec<Order> {
        let rows = self.rows;
        let mut found = Vec::new();
        for start in 0..STARTS {
            // One row more or two often make the better picture.
            self.rows = rows + (start % 3) as usize;
            found.push(self.run(round * STARTS + start, TRIES * (1 + round as usize)));
        }
        self.rows = rows;
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        found.into_iter().map(|(_, order)| order).collect()
    }

    /// Improves an order by tries, worse ones being kept now and then at first.
    fn run(&self, start: u64, tries: usize) -> (f64, Order) {
        let mut random = Random(0x9e37_79b9_7f4a_7c15_u64.wrapping_mul(start + 1));
        let mut order = self.first(&mut random);
        let mut cost = self.estimate(&order);
        let mut best = (cost, order.clone());
        let tries = tries * self.blocks.len().clamp(1, 60);
        for at in 0..tries {
            let heat = 25.0 * (1.0 - at as f64 / tries as f64);
            let mut other = order.clone();
            self.change(&mut other, &mut random);
            let other_cost = self.estimate(&other);
            let bound = cost + heat * random.share() * random.share();
            if other_cost <= bound {
                (order, cost) = (other, other_cost);
                if cost < best.0 {
                    best = (cost, order.clone());
                }
            }
        }
        best
    }

    fn change(&self, order: &mut Order, random: &mut Random) {
        let places: Vec<(usize, usize)> = (0..order.rows.len())
            .flat_map(|row| (0..order.rows[row].len()).map(move |at| (row, at)))
            .collect();
        if places.is_empty() {
            return;
        }
        let a = places[random.below(places.len())];
        match random.below(5) {
            0 => {
                let block = order.rows[a.0][a.1];
                order.forms[block] = (order.forms[block] + 1) % self.blocks[block].len();
            }
            1 | 2 => {
                let b = places[random.below(places.len())];
                let (one, other) = (order.rows[a.0][a.1], order.rows[b.0][b.1]);
                order.rows[a.0][a.1] = other;
                order.rows[b.0][b.1] = one;
            }
            _ => {
                let block = order.rows[a.0].remove(a.1);
                let row = random.below(order.rows.len());
                let at = random.below(order.rows[row].len() + 1);
                order.rows[row].insert(at, block);
            }
        }
    }

    fn block(&self, order: &Order, at: usize) -> &Block {
        &self.blocks[at][order.forms[at]]
    }

    fn placed(&self, order: &Order) -> Vec<Placed> {
        let at = self.places(order);
        let all = self.blocks.iter().enumerate();
        all.map(|(i, _)| Placed { block: self.block(order, i).clone(), at: at[i] }).collect()
    }

    /// Upper left nodes of all symbols: rows under each other, symbols drawn towards what they
    /// are joined to.
    fn places(&self, order: &Order) -> Vec<Node> {
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
    fn drawn_to(&self, order: &Order, places: &[Node]) -> Vec<f64> {
        // Sum and number of the pins of each net; a chamber's symbol counts once, by its middle.
        let mut nets = vec![(0.0, 0.0); self.nets];
        let ends = |at: usize| {
            let block = self.block(order, at);
            let left = f64::from(places[at].0);
            let middle = left + f64::from(block.width) / 2.0;
            let count = if block.is_hub() { 1 } else { block.pins.len() };
            let x = move |node: Node| {
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
    fn spread(&self, order: &Order, row: &[usize], wishes: &[f64], places: &mut [Node]) {
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

    /// What an order would cost, with straight lines.
    fn estimate(&self, order: &Order) -> f64 {
        let places = self.places(order);
        let lines = self.straight_lines(order, &places);
        let mut cost = 0.0;
        for (at, line) in lines.iter().enumerate() {
            cost += f64::from(line.length);
            let others = lines[at + 1..].iter().filter(|other| other.net != line.net);
            let ends = (line.from, line.to);
            let crossings = others.filter(|other| cross(ends, (other.from, other.to))).count();
            cost += CROSSING * crossings as f64;
            for (b, place) in places.iter().enumerate() {
                let block = self.block(order, b);
                if passes(ends, *place, (block.width, block.height)) {
                    cost += THROUGH;
                }
            }
        }
        let is_valve = |block: &&Block| matches!(block.content, Element::Valve(_));
        let valves = (0..self.blocks.len()).map(|at| self.block(order, at)).filter(is_valve);
        cost += UPSIDE_DOWN * valves.filter(|block| block.is_flipped).count() as f64;
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
        let muzzles = self.muzzle.iter().zip(&places).filter(|(is, _)| **is);
        cost += muzzles.map(|(_, place)| 1.2 * f64::from(right - place.0)).sum::<f64>();
        cost + 1.5 * f64::from(right - left)
    }

    /// Each net as a tree of straight lines between its pins.
    fn straight_lines(&self, order: &Order, places: &[Node]) -> Vec<Straight> {
        let mut trees = vec![Vec::new(); self.nets];
        let mut pins = vec![Vec::new(); self.nets];
        for (at, place) in places.iter().enumerate() {
            let block = self.block(order, at);
            let lists = if block.is_hub() { &mut trees } else { &mut pins };
            for pin in
                block.pins.iter().filter(|pin| !block.is_hub() || is_typical(pin.node, block))
            {
                let node = (place.0 + pin.node.0, place.1 + pin.node.1);
                lists[pin.net].push((node, outward(pin.node, block)));
            }
        }
        let mut lines = Vec::new();
        for (net, (mut open, mut tree)) in pins.into_iter().zip(trees).enumerate() {
            if tree.is_empty() {
                tree.extend(open.pop());
            }
            while !open.is_empty() {
                let pairs = open.iter().enumerate().flat_map(|(at, pin)| {
                    tree.iter().map(move |end| (distance(*pin, *end), at, *end))
                });
                let Some((length, at, end)) = pairs.min() else { break };
                let pin = open.swap_remove(at);
                lines.push(Straight { net, from: end.0, to: pin.0, length });
                tree.push(pin);
            }
        }
        lines
    }
}

/// A straight line of an estimate.
struct Straight {
    net: usize,
    from: Node,
    to: Node,
    /// What a line along the grid would need, in nodes, bends counted as such.
    length: i32,
}

/// Whether a node beside a chamber is one of the few that an estimate looks at: the middles of
/// its sides, and the ends of the upper and the lower one.
fn is_typical(node: Node, block: &Block) -> bool {
    let is_beside = node.0 == -1 || node.0 == block.width;
    if is_beside { node.1 == 0 } else { [1, block.width / 2, block.width - 2].contains(&node.0) }
}

/// Which way a line leaves a pin.
fn outward(pin: Node, block: &Block) -> Node {
    let sideways = i32::from(pin.0 == block.width) - i32::from(pin.0 == -1);
    (sideways, if sideways == 0 { i32::from(pin.1 == block.height) * 2 - 1 } else { 0 })
}

/// Length of a line along the grid between two pins. One that has to go around the symbol it
/// comes from is longer.
fn distance(a: (Node, Node), b: (Node, Node)) -> i32 {
    let (x, y) = (b.0.0 - a.0.0, b.0.1 - a.0.1);
    let bends = if x != 0 && y != 0 { BEND } else { 0 };
    let leaves = |way: Node, x: i32, y: i32| way.0 * x + way.1 * y < 0;
    let around = [leaves(a.1, x, y), leaves(b.1, -x, -y)].into_iter().filter(|it| *it).count();
    x.abs() + y.abs() + bends + AROUND * i32::try_from(around).unwrap_or(0)
}

/// Whether two straight lines cross or touch.
fn cross(a: (Node, Node), b: (Node, Node)) -> bool {
    let side = |p: Node, q: Node, r: Node| {
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
fn passes(line: (Node, Node), corner: Node, size: Node) -> bool {
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

/// Takes out rows and columns of the grid that nothing needs.
fn squeeze(placed: Vec<Placed>, nets: BTreeMap<usize, Net>) -> (Vec<Placed>, BTreeMap<usize, Net>) {
    let mut columns = BTreeSet::new();
    let mut rows = BTreeSet::new();
    for it in &placed {
        columns.extend(it.at.0 - 1..=it.at.0 + it.block.width);
        rows.extend(it.at.1 - 1..=it.at.1 + it.block.height);
    }
    for (a, b) in nets.values().flat_map(super::route::lines) {
        if a.0 == b.0 {
            columns.insert(a.0);
        } else {
            rows.insert(a.1);
        }
    }
    let map = |kept: BTreeSet<i32>| -> BTreeMap<i32, i32> { kept.into_iter().zip(0..).collect() };
    let (columns, rows) = (map(columns), map(rows));
    let moved = |node: Node| Some((*columns.get(&node.0)?, *rows.get(&node.1)?));
    let placed = placed.into_iter().map(|it| {
        let at = moved(it.at).unwrap_or(it.at);
        Placed { at, ..it }
    });
    let nets = nets.into_iter().map(|(id, net)| {
        let steps = super::route::lines(&net)
            .into_iter()
            .filter_map(|(a, b)| Some(steps_between(moved(a)?, moved(b)?)));
        let net = Net {
            steps: steps.flatten().collect(),
            ends: net.ends.iter().filter_map(|node| moved(*node)).collect(),
            open: net.open.iter().filter_map(|node| moved(*node)).collect(),
        };
        (id, net)
    });
    (placed.collect(), nets.collect())
}

/// The steps of a straight line.
fn steps_between(a: Node, b: Node) -> Vec<(Node, Node)> {
    if a.0 == b.0 {
        return (a.1..b.1).map(|y| ((a.0, y), (a.0, y + 1))).collect();
    }
    (a.0..b.0).map(|x| ((x, a.1), (x + 1, a.1))).collect()
}

/// Numbers that look random and are always the same (xorshift64*).
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_f491_4f6c_dd1d)
    }

    fn below(&mut self, bound: usize) -> usize {
        ((self.next() >> 33) as usize) % bound.max(1)
    }

    /// From 0 to 1.
    fn share(&mut self) -> f64 {
        (self.next() >> 40) as f64 / (1_u64 << 24) as f64
    }
}
