//! Things that may be partners, in tables, and the best pairing by what each pair is worth.

use super::alignment_search::Partners;
use super::isomorphism::{Colours, mixed};
use super::thing::Graph;
use crate::cutaway::model::{Element, Id, PositionId};
use crate::linear_assignment::least_cost;
use std::collections::BTreeMap;

/// Things of a kind that are looked at; what lies beyond stays without a partner.
const MOST: usize = 256;
/// The same for pieces of parts and valves, which are paired within partners only.
const MOST_PIECES: usize = 1_024;
/// Pairings of what others hang on up to which every one is tried.
const MOST_STARTS: usize = 120;

/// What it is worth that a part rests at both of two positions: more than all else, and more than
/// that both are an end of its travel.
const REST: f64 = 1e6;
const END: f64 = 1e3;

/// Numbers for every two things that may be partners: those of one kind.
pub(super) struct Tables<'g> {
    pub(super) graphs: [&'g Graph<'g>; 2],
    colours: &'g Colours,
    /// Things of each kind, for both engines.
    pub(super) kinds: Vec<[Vec<usize>; 2]>,
    /// Place of a thing among those of its kind.
    places: [Vec<usize>; 2],
}

pub(super) type RowTable = Vec<Vec<f64>>;

impl<'g> Tables<'g> {
    /// The things of two engines, in the order of their colours, so that it does not matter in
    /// which they are written down.
    pub(super) fn new(graphs: [&'g Graph<'g>; 2], colours: &'g Colours) -> Tables<'g> {
        let mut kinds: Vec<[Vec<usize>; 2]> = vec![[Vec::new(), Vec::new()]; Element::KINDS];
        let mut places = graphs.map(|graph| vec![usize::MAX; graph.nodes.len()]);
        for side in 0..2 {
            let mut in_order: Vec<usize> = (0..graphs[side].nodes.len()).collect();
            in_order.sort_by_key(|at| (colours[side][*at], *at));
            for at in in_order {
                let node = &graphs[side].nodes[at];
                let list = &mut kinds[node.thing.kind()][side];
                let most = if node.thing.owner().is_some() { MOST_PIECES } else { MOST };
                if list.len() < most {
                    places[side][at] = list.len();
                    list.push(at);
                }
            }
        }
        Tables { graphs, colours, kinds, places }
    }

    /// A number for two things that hangs on their colours alone.
    pub(super) fn settling(&self, x: usize, y: usize) -> u64 {
        mixed(self.colours[0][x], self.colours[1][y])
    }

    /// One table a kind; 0 where class forbids.
    pub(super) fn filled(&self, worth: impl Fn(usize, usize) -> f64) -> Vec<RowTable> {
        let row = |x: usize, others: &[usize]| -> Vec<f64> {
            others.iter().map(|y| if self.may_pair(x, *y) { worth(x, *y) } else { 0.0 }).collect()
        };
        let table = |[ones, others]: &[Vec<usize>; 2]| -> RowTable {
            ones.iter().map(|x| row(*x, others)).collect()
        };
        self.kinds.iter().map(table).collect()
    }

    pub(super) fn may_pair(&self, x: usize, y: usize) -> bool {
        self.graphs[0].nodes[x].class == self.graphs[1].nodes[y].class
    }

    pub(super) fn at(&self, tables: &[RowTable], x: usize, y: usize) -> f64 {
        let (one, other) = (&self.graphs[0].nodes[x], &self.graphs[1].nodes[y]);
        let (row, column) = (self.places[0][x], self.places[1][y]);
        if one.thing.kind() != other.thing.kind() || row.max(column) == usize::MAX {
            return 0.0;
        }
        tables[one.thing.kind()][row][column]
    }

    /// The best pairing of each kind by what each pair is worth under the pairs so far.
    pub(super) fn paired(&self, worth: impl Fn(&[Option<usize>], usize, usize) -> f64) -> Partners {
        let mut partners = vec![None; self.graphs[0].nodes.len()];
        for kind in 0..Element::KINDS {
            self.pair_kind(kind, &mut partners, &worth);
        }
        partners
    }

    /// Pairs one kind at its best, the pairs of other kinds held; pieces of a part or a valve only
    /// within partners.
    pub(super) fn pair_kind(
        &self,
        kind: usize,
        partners: &mut Partners,
        worth: &impl Fn(&[Option<usize>], usize, usize) -> f64,
    ) {
        if kind == Element::HEADS {
            self.pair_positions(partners, worth);
            return;
        }
        let [ones, others] = &self.kinds[kind];
        if ones.first().is_none_or(|x| self.owner(0, *x).is_none()) {
            return self.pair_lists(ones, others, partners, worth);
        }
        ones.iter().for_each(|x| partners[*x] = None);
        let mut pieces: BTreeMap<(usize, usize), [Vec<usize>; 2]> = BTreeMap::new();
        for (side, list) in [ones, others].into_iter().enumerate() {
            for at in list {
                let Some(owner) = self.owner(side, *at) else { continue };
                let partner = match side {
                    0 => partners[owner],
                    _ => partners.iter().position(|partner| *partner == Some(owner)),
                };
                let Some(partner) = partner else { continue };
                let key = if side == 0 { (owner, partner) } else { (partner, owner) };
                pieces.entry(key).or_default()[side].push(*at);
            }
        }
        for [ones, others] in pieces.values() {
            self.pair_lists(ones, others, partners, worth);
        }
    }

    fn owner(&self, side: usize, at: usize) -> Option<usize> {
        let graph = self.graphs[side];
        graph.nodes[at].thing.owner().and_then(|owner| graph.index.get(&owner).copied())
    }

    /// Pairs two lists at their best.
    fn pair_lists(
        &self,
        ones: &[usize],
        others: &[usize],
        partners: &mut Partners,
        worth: &impl Fn(&[Option<usize>], usize, usize) -> f64,
    ) {
        // Nothing is gained by leaving two things alone that may be partners.
        let cost = |x: &usize, y: &usize| {
            if self.may_pair(*x, *y) { -1.0 - worth(partners, *x, *y) } else { 1.0 }
        };
        let row = |x: &usize| -> Vec<f64> {
            let mut row: Vec<f64> = others.iter().map(|y| cost(x, y)).collect();
            row.resize(others.len() + ones.len(), 0.0);
            row
        };
        let matrix: Vec<Vec<f64>> = ones.iter().map(row).collect();
        let columns = least_cost(&matrix);
        for (x, column) in ones.iter().zip(columns) {
            partners[*x] = others.get(column).copied();
        }
    }

    /// Every two things that may be partners and that others hang on.
    pub(super) fn heads(&self) -> Vec<(usize, usize)> {
        let kinds = self.kinds[..Element::HEADS].iter();
        let all = kinds
            .flat_map(|[ones, others]| ones.iter().flat_map(|x| others.iter().map(|y| (*x, *y))));
        all.filter(|(x, y)| self.may_pair(*x, *y)).collect()
    }

    /// Every pairing of what others hang on, chambers by their roles; none where there are too
    /// many.
    pub(super) fn starts(&self) -> Vec<Partners> {
        let mut groups: BTreeMap<(usize, u32), [Vec<usize>; 2]> = BTreeMap::new();
        for (kind, lists) in self.kinds[..Element::HEADS].iter().enumerate() {
            for (side, list) in lists.iter().enumerate() {
                for at in list {
                    let class = self.graphs[side].nodes[*at].class;
                    groups.entry((kind, class)).or_default()[side].push(*at);
                }
            }
        }
        let mut starts: Vec<Partners> = vec![vec![None; self.graphs[0].nodes.len()]];
        for [ones, others] in groups.values() {
            for _ in 0..ones.len().min(others.len()) {
                starts = starts
                    .iter()
                    .flat_map(|start| one_more(start, ones, others))
                    .take(MOST_STARTS + 1)
                    .collect();
            }
            if MOST_STARTS < starts.len() {
                return Vec::new();
            }
        }
        starts
    }

    /// Positions keep their order along the axis, and rest goes with rest. Which end of one part's
    /// travel is which of the other's is not taken from the axis: a part may lie the other way
    /// round, so both are looked at, and what begins and ends at the positions decides.
    fn pair_positions(
        &self,
        partners: &mut Partners,
        worth: &impl Fn(&[Option<usize>], usize, usize) -> f64,
    ) {
        let [first, second] = self.graphs;
        for (part, described) in first.engine.parts.entries() {
            let here = |place: PositionId| first.index[&Element::Position(part, place)];
            let places = described.positions.ids();
            let other = partners[first.index[&Element::Part(part)]];
            let other = other.map(|y| second.nodes[y].thing);
            let pairs = match other {
                Some(Element::Part(other)) => {
                    let there = |place: PositionId| second.index[&Element::Position(other, place)];
                    let travel = &second.engine.parts[other];
                    let counts = (described.positions.len(), travel.positions.len());
                    let last = counts.1.saturating_sub(1);
                    let [straight, turned] = [false, true].map(|is_turned| {
                        let to = |j: usize| if is_turned { last - j } else { j };
                        let at = |place: usize| -> PositionId { Id::at(place) };
                        let rests = |i: usize, j: usize| {
                            at(i) == described.rest && at(to(j)) == travel.rest
                        };
                        let is_end =
                            |i: usize, j: usize| (i, j) == (0, 0) || (i + 1, j + 1) == counts;
                        let worth = |i: usize, j: usize| {
                            let rest = if rests(i, j) { REST } else { 0.0 };
                            let end = if is_end(i, j) { END } else { 0.0 };
                            rest + end + worth(partners, here(at(i)), there(at(to(j))))
                        };
                        let pairs = aligned(counts, worth);
                        let sum: f64 = pairs.iter().map(|(i, j)| worth(*i, *j)).sum();
                        (sum, pairs.into_iter().map(|(i, j)| (i, to(j))).collect::<Vec<_>>())
                    });
                    let better = if straight.0 + 0.5 < turned.0 { turned } else { straight };
                    let pairs = better.1.into_iter();
                    pairs.map(|(i, j)| (Id::at(i), there(Id::at(j)))).collect()
                }
                _ => Vec::new(),
            };
            places.for_each(|at| partners[here(at)] = None);
            for (at, there) in pairs {
                partners[here(at)] = Some(there);
            }
        }
    }
}

/// The pairings that have one pair more of these two lists: the first of the shorter list that has
/// no partner, with each of the other.
fn one_more(start: &Partners, ones: &[usize], others: &[usize]) -> Vec<Partners> {
    let is_free = |y: &usize| !start.contains(&Some(*y));
    let pairs: Vec<(usize, usize)> = if ones.len() <= others.len() {
        let one = ones.iter().find(|x| start[**x].is_none());
        let one = one.into_iter();
        one.flat_map(|x| others.iter().filter(|y| is_free(y)).map(|y| (*x, *y))).collect()
    } else {
        let other = others.iter().find(|y| is_free(y)).into_iter();
        let free = ones.iter().filter(|x| start[**x].is_none());
        other.flat_map(|y| free.clone().map(|x| (*x, *y))).collect()
    };
    let with = |(x, y): (usize, usize)| {
        let mut next = start.clone();
        next[x] = Some(y);
        next
    };
    pairs.into_iter().map(with).collect()
}

/// Pairs of two lists that keep the order of both, of the greatest worth together.
fn aligned(
    (rows, columns): (usize, usize),
    worth: impl Fn(usize, usize) -> f64,
) -> Vec<(usize, usize)> {
    let mut best = vec![vec![0.0f64; columns + 1]; rows + 1];
    for i in (0..rows).rev() {
        for j in (0..columns).rev() {
            let both = best[i + 1][j + 1] + worth(i, j);
            best[i][j] = both.max(best[i + 1][j]).max(best[i][j + 1]);
        }
    }
    let (mut i, mut j) = (0, 0);
    let mut pairs = Vec::new();
    while i < rows && j < columns {
        if best[i][j] <= best[i + 1][j] {
            i += 1;
        } else if best[i][j] <= best[i][j + 1] {
            j += 1;
        } else {
            pairs.push((i, j));
            (i, j) = (i + 1, j + 1);
        }
    }
    pairs
}
