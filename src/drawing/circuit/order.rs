//! The order of the symbols: which row each lies in, and beside what.
//!
//! Orders are tried by swapping, moving and turning symbols, with a fixed sequence of pseudo-random
//! numbers, so that an engine is always laid out the same.

use super::block::{SymbolBlock, blocks, movers, ties};
use super::budget::Steps;
use super::estimate::{BESIDE, BETWEEN, EstimateLists};
use crate::cutaway::model::{Element, Engine};
use std::cmp::Reverse;
use std::collections::BTreeSet;

/// Searches from different starts.
const STARTS: u64 = 6;
/// Tries in each search, for every symbol.
const TRIES: usize = 160;
/// How much worse an order may be at first, and still be gone on from.
const HEAT: f64 = 25.0;

/// Rows of symbols from left to right, and which form each has.
pub(crate) struct ChamberOrder {
    pub(crate) rows: Vec<Vec<usize>>,
    pub(crate) forms: Vec<usize>,
}

impl ChamberOrder {
    /// Row and place in it of the symbol of this number, counted row by row.
    fn place(&self, mut number: usize) -> Option<(usize, usize)> {
        for (row, symbols) in self.rows.iter().enumerate() {
            if number < symbols.len() {
                return Some((row, number));
            }
            number -= symbols.len();
        }
        None
    }
}

impl Clone for ChamberOrder {
    fn clone(&self) -> ChamberOrder {
        ChamberOrder { rows: self.rows.clone(), forms: self.forms.clone() }
    }

    /// Keeps the lists that there are: a search copies an order for each try.
    fn clone_from(&mut self, other: &ChamberOrder) {
        self.rows.clone_from(&other.rows);
        self.forms.clone_from(&other.forms);
    }
}

/// What a search knows of an engine.
pub(crate) struct OrderSearch {
    pub(crate) blocks: Vec<Vec<SymbolBlock>>,
    /// Which row each likes to lie in, as a share of the height.
    pub(crate) wishes: Vec<f64>,
    pub(crate) nets: usize,
    /// Symbols of valves, each with that of a part that moves it.
    pub(crate) moved: Vec<(usize, usize)>,
    /// Whether a symbol likes to lie at the right.
    pub(crate) muzzle: Vec<bool>,
    rows: usize,
}

impl OrderSearch {
    pub(crate) fn of(engine: &Engine) -> OrderSearch {
        let blocks = blocks(engine);
        let wishes = blocks.iter().map(|forms| forms[0].wish(engine)).collect();
        let is_barrel = |block: &SymbolBlock| match block.content {
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
        let nets = engine.chambers.len() + ties(engine).len();
        let place = |part| blocks.iter().position(|it| it[0].content == Element::Part(part));
        let movers = |(at, forms): (usize, &Vec<SymbolBlock>)| {
            let movers = movers(engine, forms[0].content).into_iter().filter_map(place);
            movers.map(move |mover| (at, mover)).collect::<Vec<_>>()
        };
        let moved = blocks.iter().enumerate().flat_map(movers).collect();
        OrderSearch { blocks, wishes, nets, moved, muzzle, rows }
    }

    /// The order that a search starts from: by turns where each symbol likes to lie, and along
    /// the lines, row by row there and back.
    fn first(&self, start: u64, random: &mut Random) -> ChamberOrder {
        let mut order =
            ChamberOrder { rows: vec![Vec::new(); self.rows], forms: vec![0; self.blocks.len()] };
        if start % 2 == 1 {
            order.rows = self.there_and_back(random);
            return order;
        }
        for (at, wish) in self.wishes.iter().enumerate() {
            let row = (wish * (self.rows - 1) as f64).round() as usize;
            let row = &mut order.rows[row];
            row.insert(random.below(row.len() + 1), at);
        }
        order
    }

    /// The symbols as a walk along the lines meets them, in rows of about the same width.
    fn there_and_back(&self, random: &mut Random) -> Vec<Vec<usize>> {
        let walk = self.walk(random);
        let width = |at: &usize| self.blocks[*at][0].width + BESIDE;
        let all: i32 = walk.iter().map(width).sum();
        let mut rows = vec![Vec::new(); self.rows];
        let mut left = 0;
        for at in walk {
            let row = left * self.rows as i32 / all.max(1);
            left += width(&at);
            rows[(row as usize).min(self.rows - 1)].push(at);
        }
        rows.iter_mut().skip(1).step_by(2).for_each(|row| row.reverse());
        rows
    }

    /// All symbols, each as soon as the walk meets it; it starts where few lines meet.
    fn walk(&self, random: &mut Random) -> Vec<usize> {
        let nets = |at: usize| -> BTreeSet<usize> {
            self.blocks[at][0].pins.iter().map(|pin| pin.net).collect()
        };
        let mut on = vec![Vec::new(); self.nets];
        for at in 0..self.blocks.len() {
            nets(at).into_iter().for_each(|net| on[net].push(at));
        }
        let ends = |at: usize| nets(at).into_iter().map(|net| on[net].len()).sum::<usize>();
        let mut starts: Vec<usize> = (0..self.blocks.len()).collect();
        let first = random.below(starts.len());
        starts.rotate_left(first);
        starts.sort_by_key(|at| ends(*at));
        let mut seen = vec![false; self.blocks.len()];
        let mut walk = Vec::new();
        for start in starts {
            let mut open = vec![start];
            while let Some(at) = open.pop() {
                if std::mem::replace(&mut seen[at], true) {
                    continue;
                }
                walk.push(at);
                let next = nets(at).into_iter().flat_map(|net| &on[net]);
                let mut next: Vec<usize> = next.copied().filter(|next| !seen[*next]).collect();
                next.sort_by_key(|at| Reverse(ends(*at)));
                open.extend(next);
            }
        }
        walk
    }

    /// The orders that the searches of a round end with, the most promising first.
    pub(crate) fn orders(&mut self, round: u64, steps: &mut Steps) -> Vec<ChamberOrder> {
        let rows = self.rows;
        let mut found = Vec::new();
        for start in 0..STARTS {
            // One row more or two often make the better picture.
            self.rows = rows + (start % 3) as usize;
            let mut share = steps.share(STARTS - start);
            found.push(self.run(round * STARTS + start, TRIES * (1 + round as usize), &mut share));
            steps.take_back(&share);
        }
        self.rows = rows;
        found.sort_by(|a, b| a.0.total_cmp(&b.0));
        found.into_iter().map(|(_, order)| order).collect()
    }

    /// Improves an order by tries, worse ones being kept now and then at first.
    fn run(&self, start: u64, tries: usize, steps: &mut Steps) -> (f64, ChamberOrder) {
        let mut random = Random(0x9e37_79b9_7f4a_7c15_u64.wrapping_mul(start + 1));
        let mut order = self.first(start, &mut random);
        let all = steps.left();
        let mut lists = EstimateLists::default();
        let mut cost =
            self.estimate(&order, f64::INFINITY, (&mut lists, steps)).unwrap_or(f64::INFINITY);
        let mut best = (cost, order.clone());
        let mut other = order.clone();
        let tries = tries * self.blocks.len().clamp(1, 60);
        for at in 0..tries {
            if steps.are_spent() {
                break;
            }
            let spent = 1.0 - steps.left() as f64 / all as f64;
            let heat = HEAT * (1.0 - spent.max(at as f64 / tries as f64));
            other.clone_from(&order);
            self.change(&mut other, &mut random);
            let bound = cost + heat * random.share() * random.share();
            let found = self.estimate(&other, bound, (&mut lists, steps));
            let Some(other_cost) = found else { continue };
            std::mem::swap(&mut order, &mut other);
            cost = other_cost;
            if cost < best.0 {
                best.0 = cost;
                best.1.clone_from(&order);
            }
        }
        best
    }

    fn change(&self, order: &mut ChamberOrder, random: &mut Random) {
        let count: usize = order.rows.iter().map(Vec::len).sum();
        let Some(a) = order.place(random.below(count)) else { return };
        match random.below(5) {
            0 => {
                let block = order.rows[a.0][a.1];
                order.forms[block] = (order.forms[block] + 1) % self.blocks[block].len();
            }
            1 | 2 => {
                let Some(b) = order.place(random.below(count)) else { return };
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
