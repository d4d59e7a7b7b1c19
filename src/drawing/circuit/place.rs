//! Where symbols lie: in rows from the parts at the top to the supply at the bottom, in the order
//! that lets the lines run short and clear of one another.
//!
//! A cheap estimate with straight lines guides the search for an order (`order.rs`); the best few
//! are routed, and the best of these is taken. All of it stays within a number of steps.

use super::block::SymbolNode;
use super::budget::Steps;
use super::order::OrderSearch;
use super::route::{Net, Placed, cost, lines, route};
use crate::cutaway::model::Engine;
use std::collections::{BTreeMap, BTreeSet};

/// Rounds of searches, as long as some line cannot be laid, and how many orders of the first round
/// are routed.
const ROUNDS: u64 = 4;
const ROUTED: usize = 3;
/// Steps that a layout may take: some seven times what an engine of the usual size needs.
const STEPS: u64 = 40_000_000;

/// Symbols and lines, and what it took to lay them.
#[derive(Debug, Clone, Default)]
pub(crate) struct CircuitLayout {
    pub(crate) placed: Vec<Placed>,
    pub(crate) nets: BTreeMap<usize, Net>,
    cost: usize,
    /// Steps taken.
    pub(crate) steps: u64,
    /// Whether lines stayed open because the steps were spent.
    pub(crate) is_cut_short: bool,
}

impl CircuitLayout {
    fn is_whole(&self) -> bool {
        self.nets.values().all(|net| net.open.is_empty())
    }
}

/// Places all symbols and lays their lines.
pub(crate) fn place(engine: &Engine) -> CircuitLayout {
    let mut search = OrderSearch::of(engine);
    let mut steps = Steps::up_to(STEPS);
    let mut best: Option<CircuitLayout> = None;
    for round in 0..ROUNDS {
        // Where the promising ones of the first round failed, all are looked at, with more tries.
        let routed = if round == 0 { ROUTED } else { usize::MAX };
        let mut share = steps.share(2);
        let orders = search.orders(round, &mut share);
        steps.take_back(&share);
        for (at, order) in orders.iter().take(routed).enumerate() {
            let placed = search.placed(order);
            let mut share = steps.share((routed.min(orders.len()) - at) as u64);
            let nets = route(&placed, &mut share);
            steps.take_back(&share);
            let (placed, nets) = squeeze(placed, nets);
            let cost = cost(&placed, &nets);
            if best.as_ref().is_none_or(|best| cost < best.cost) {
                best = Some(CircuitLayout { cost, placed, nets, ..CircuitLayout::default() });
            }
        }
        if steps.are_spent() || best.as_ref().is_some_and(CircuitLayout::is_whole) {
            break;
        }
    }
    let best = best.unwrap_or_default();
    CircuitLayout {
        steps: steps.taken(),
        is_cut_short: steps.are_spent() && !best.is_whole(),
        ..best
    }
}

/// Takes out rows and columns of the grid that nothing needs.
fn squeeze(placed: Vec<Placed>, nets: BTreeMap<usize, Net>) -> (Vec<Placed>, BTreeMap<usize, Net>) {
    let mut columns = BTreeSet::new();
    let mut rows = BTreeSet::new();
    for it in &placed {
        columns.extend(it.at.0 - 1..=it.at.0 + it.block.width);
        rows.extend(it.at.1 - 1..=it.at.1 + it.block.height);
    }
    for (a, b) in nets.values().flat_map(lines) {
        if a.0 == b.0 {
            columns.insert(a.0);
        } else {
            rows.insert(a.1);
        }
    }
    let map = |kept: BTreeSet<i32>| -> BTreeMap<i32, i32> { kept.into_iter().zip(0..).collect() };
    let (columns, rows) = (map(columns), map(rows));
    let moved = |node: SymbolNode| Some((*columns.get(&node.0)?, *rows.get(&node.1)?));
    let placed = placed.into_iter().map(|it| {
        let at = moved(it.at).unwrap_or(it.at);
        Placed { at, ..it }
    });
    let nets = nets.into_iter().map(|(id, net)| {
        let steps =
            lines(&net).into_iter().filter_map(|(a, b)| Some(steps_between(moved(a)?, moved(b)?)));
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
fn steps_between(a: SymbolNode, b: SymbolNode) -> Vec<(SymbolNode, SymbolNode)> {
    if a.0 == b.0 {
        return (a.1..b.1).map(|y| ((a.0, y), (a.0, y + 1))).collect();
    }
    (a.0..b.0).map(|x| ((x, a.1), (x + 1, a.1))).collect()
}
