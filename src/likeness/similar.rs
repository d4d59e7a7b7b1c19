//! Engines that are not the same: the pairing under which most of both agrees.
//!
//! First every two things of a kind get a degree of likeness from what they are and from the
//! likeness of what they hang on, round after round. Then each kind is paired at its best, and the
//! pairing itself is taken for the likeness of the neighbours until nothing changes any more.

use super::thing::{Graph, Node, Thing, Tie, named_alike};
use crate::pairing::least_cost;

/// Things of a kind that are looked at; what lies beyond stays without a partner.
pub(super) const MOST: usize = 256;
/// Rounds of the first step, and of the second.
const ROUNDS: usize = 8;
/// Meetings of ties that the first step may look at.
const MOST_MEETINGS: usize = 40_000_000;
/// What being alike by itself is worth beside what hangs on it.
const OWN: f64 = 0.35;
/// What a shared name is worth beside the traits: it settles what structure leaves open.
const NAME: f64 = 0.1;
/// What the first step is still worth once a pairing stands.
const SOFT: f64 = 0.2;

/// Partner of each thing of the first engine.
pub(super) type Partners = Vec<Option<usize>>;

/// The pairing under which most agrees.
pub(super) fn partners(graphs: [&Graph<'_>; 2]) -> Partners {
    let tables = Tables::new(graphs);
    let own = tables.filled(|x, y| own_likeness(graphs, x, y));
    let meetings = graphs.map(|graph| graph.nodes.iter().map(|node| node.ties.len()).sum());
    let [first, second]: [usize; 2] = meetings;
    let rounds = (MOST_MEETINGS / (first * second).max(1)).min(ROUNDS);
    let mut soft = own.clone();
    for _ in 0..rounds {
        soft = tables.filled(|x, y| {
            let around = around(graphs, x, y, |a, b| tables.at(&soft, a, b));
            OWN * tables.at(&own, x, y) + (1.0 - OWN) * around
        });
    }
    let mut best = tables.paired(&soft);
    let mut best_agreement = agreement(graphs, &best);
    let mut current = best.clone();
    for _ in 0..rounds {
        let hard = tables.filled(|x, y| {
            let around = around(graphs, x, y, |a, b| f64::from(u8::from(current[a] == Some(b))));
            let sharp = OWN * tables.at(&own, x, y) + (1.0 - OWN) * around;
            SOFT * tables.at(&soft, x, y) + (1.0 - SOFT) * sharp
        });
        let next = tables.paired(&hard);
        if next == current {
            break;
        }
        let next_agreement = agreement(graphs, &next);
        if best_agreement < next_agreement {
            (best, best_agreement) = (next.clone(), next_agreement);
        }
        current = next;
    }
    without_evidence_dropped(graphs, best)
}

/// How many ties of two things lead to partners.
pub(super) fn shared_ties(
    graphs: [&Graph<'_>; 2],
    partners: &[Option<usize>],
    x: usize,
    y: usize,
) -> usize {
    ties_where(graphs, partners, x, y, |_| true)
}

fn ties_where(
    graphs: [&Graph<'_>; 2],
    partners: &[Option<usize>],
    x: usize,
    y: usize,
    counts: impl Fn(Tie) -> bool,
) -> usize {
    common_ties(graphs, partners, x, y).into_iter().filter(|tie| counts(*tie)).count()
}

/// The ties of two things that lead to partners.
fn common_ties(
    graphs: [&Graph<'_>; 2],
    partners: &[Option<usize>],
    x: usize,
    y: usize,
) -> Vec<Tie> {
    let mut left: Vec<(Tie, usize)> = graphs[1].nodes[y].ties.clone();
    let ties = graphs[0].nodes[x].ties.iter();
    let led = ties.filter_map(|(tie, to)| Some((*tie, partners[*to]?)));
    let common = led.filter(|tie| match left.binary_search(tie) {
        Ok(at) => {
            left.remove(at);
            true
        }
        Err(_) => false,
    });
    common.map(|(tie, _)| tie).collect()
}

/// What the ties of two things that lead to partners say together.
pub(super) fn shared_weight(
    graphs: [&Graph<'_>; 2],
    partners: &[Option<usize>],
    x: usize,
    y: usize,
) -> u32 {
    common_ties(graphs, partners, x, y).into_iter().map(Tie::weight).sum()
}

/// All that agrees under a pairing: traits, ties and, as a trifle, names.
fn agreement(graphs: [&Graph<'_>; 2], partners: &[Option<usize>]) -> f64 {
    let pairs = partners.iter().enumerate().filter_map(|(x, y)| Some((x, (*y)?)));
    pairs
        .map(|(x, y)| own_likeness(graphs, x, y) + f64::from(shared_weight(graphs, partners, x, y)))
        .sum()
}

/// Likeness of two things by themselves, from 0 to 1.
fn own_likeness(graphs: [&Graph<'_>; 2], x: usize, y: usize) -> f64 {
    let (one, other) = (&graphs[0].nodes[x], &graphs[1].nodes[y]);
    let alike = one.traits.iter().zip(&other.traits).filter(|(a, b)| a == b).count();
    let traits = if one.traits.is_empty() { 1.0 } else { alike as f64 / one.traits.len() as f64 };
    let name = if share_a_name(graphs, x, y) { NAME } else { 0.0 };
    (1.0 - NAME) * traits + name
}

/// Whether two things are called alike.
pub(super) fn share_a_name(graphs: [&Graph<'_>; 2], x: usize, y: usize) -> bool {
    let first = graphs[0].nodes[x].thing.name(graphs[0].engine);
    let second = graphs[1].nodes[y].thing.name(graphs[1].engine);
    first.zip(second).is_some_and(|(first, second)| named_alike(first, second))
}

/// Likeness of what two things hang on, from 0 to 1: ties of the same sort are paired off, the
/// likeliest first.
fn around(
    graphs: [&Graph<'_>; 2],
    x: usize,
    y: usize,
    likeness: impl Fn(usize, usize) -> f64,
) -> f64 {
    let (mut ones, mut others) = (&*graphs[0].nodes[x].ties, &*graphs[1].nodes[y].ties);
    let (mut sum, mut possible) = (0.0, 0.0);
    while let Some(tie) = ones.first().into_iter().chain(others.first()).map(|tie| tie.0).min() {
        let run =
            |ties: &[(Tie, usize)]| ties.iter().take_while(|(other, _)| *other == tie).count();
        let (here, there) = (run(ones), run(others));
        let (one, one_rest) = ones.split_at(here);
        let (other, other_rest) = others.split_at(there);
        (ones, others) = (one_rest, other_rest);
        let weight = f64::from(tie.weight());
        possible += weight * here.max(there) as f64;
        sum += weight * paired_off(one, other, &likeness);
    }
    if possible == 0.0 { 1.0 } else { sum / possible }
}

fn paired_off(
    ones: &[(Tie, usize)],
    others: &[(Tie, usize)],
    likeness: &impl Fn(usize, usize) -> f64,
) -> f64 {
    if let ([(_, one)], [(_, other)]) = (ones, others) {
        return likeness(*one, *other);
    }
    let mut meetings: Vec<(f64, usize, usize)> = Vec::with_capacity(ones.len() * others.len());
    for (i, (_, one)) in ones.iter().enumerate() {
        meetings.extend(others.iter().enumerate().map(|(j, (_, to))| (likeness(*one, *to), i, j)));
    }
    meetings.sort_by(|a, b| b.0.total_cmp(&a.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let (mut used_ones, mut used_others) = (vec![false; ones.len()], vec![false; others.len()]);
    let mut sum = 0.0;
    for (worth, i, j) in meetings {
        if !used_ones[i] && !used_others[j] {
            (used_ones[i], used_others[j]) = (true, true);
            sum += worth;
        }
    }
    sum
}

/// Numbers for every two things that may be partners: those of one kind.
struct Tables<'g> {
    graphs: [&'g Graph<'g>; 2],
    /// Things of each kind, for both engines.
    kinds: Vec<[Vec<usize>; 2]>,
    /// Place of a thing among those of its kind.
    places: [Vec<usize>; 2],
}

type Table = Vec<Vec<f64>>;

impl<'g> Tables<'g> {
    fn new(graphs: [&'g Graph<'g>; 2]) -> Tables<'g> {
        let mut kinds: Vec<[Vec<usize>; 2]> = vec![[Vec::new(), Vec::new()]; Thing::KINDS];
        let mut places = graphs.map(|graph| vec![usize::MAX; graph.nodes.len()]);
        for side in 0..2 {
            for (at, node) in graphs[side].nodes.iter().enumerate() {
                let list = &mut kinds[node.thing.kind()][side];
                if list.len() < MOST {
                    places[side][at] = list.len();
                    list.push(at);
                }
            }
        }
        Tables { graphs, kinds, places }
    }

    /// One table a kind; 0 where class forbids.
    fn filled(&self, worth: impl Fn(usize, usize) -> f64) -> Vec<Table> {
        let row = |x: usize, others: &[usize]| -> Vec<f64> {
            others.iter().map(|y| if self.may_pair(x, *y) { worth(x, *y) } else { 0.0 }).collect()
        };
        let table = |[ones, others]: &[Vec<usize>; 2]| -> Table {
            ones.iter().map(|x| row(*x, others)).collect()
        };
        self.kinds.iter().map(table).collect()
    }

    fn may_pair(&self, x: usize, y: usize) -> bool {
        self.graphs[0].nodes[x].class == self.graphs[1].nodes[y].class
    }

    fn at(&self, tables: &[Table], x: usize, y: usize) -> f64 {
        let (one, other) = (&self.graphs[0].nodes[x], &self.graphs[1].nodes[y]);
        let (row, column) = (self.places[0][x], self.places[1][y]);
        if one.thing.kind() != other.thing.kind() || row.max(column) == usize::MAX {
            return 0.0;
        }
        tables[one.thing.kind()][row][column]
    }

    /// The best pairing of each kind; pieces of a part or a valve only within partners.
    fn paired(&self, tables: &[Table]) -> Partners {
        let mut partners = vec![None; self.graphs[0].nodes.len()];
        for [ones, others] in &self.kinds {
            let is_position = ones
                .first()
                .is_some_and(|x| matches!(self.graphs[0].nodes[*x].thing, Thing::Position(..)));
            if is_position {
                self.pair_positions(tables, &mut partners);
                continue;
            }
            let may = |x: usize, y: usize| self.may_pair(x, y) && self.owners_pair(x, y, &partners);
            // Leaving two things alone costs as much as the worst pair, so that all are paired.
            let cost = |x: &usize, y: &usize| {
                if may(*x, *y) { 1.0 - self.at(tables, *x, *y) } else { 4.0 }
            };
            let width = others.len() + ones.len();
            let row = |x: &usize| -> Vec<f64> {
                let mut row: Vec<f64> = others.iter().map(|y| cost(x, y)).collect();
                row.resize(width, 2.0);
                row
            };
            let matrix: Vec<Vec<f64>> = ones.iter().map(row).collect();
            let columns = least_cost(&matrix);
            let chosen = ones.iter().zip(columns).filter(|(_, column)| *column < others.len());
            let chosen: Vec<(usize, usize)> = chosen.map(|(x, at)| (*x, others[at])).collect();
            let allowed: Vec<_> = chosen.into_iter().filter(|(x, y)| may(*x, *y)).collect();
            for (x, y) in allowed {
                partners[x] = Some(y);
            }
        }
        partners
    }

    fn owners_pair(&self, x: usize, y: usize, partners: &[Option<usize>]) -> bool {
        let node = |side: usize, at: usize| self.graphs[side].nodes[at].thing.owner();
        let place = |side: usize, owner: Thing| self.graphs[side].index.get(&owner).copied();
        match (node(0, x), node(1, y)) {
            (Some(one), Some(other)) => {
                place(0, one).and_then(|one| partners[one]) == place(1, other)
            }
            (one, other) => one == other,
        }
    }

    /// Positions keep their order from rear to front: the best alignment of each two parts.
    fn pair_positions(&self, tables: &[Table], partners: &mut Partners) {
        let [first, second] = self.graphs;
        for (part, described) in first.engine.parts.iter().enumerate() {
            let Some(at) = first.index.get(&Thing::Part(part)) else { continue };
            let Some(Thing::Part(other)) = partners[*at].map(|y| second.nodes[y].thing) else {
                continue;
            };
            let here = |place: usize| first.index[&Thing::Position(part, place)];
            let there = |place: usize| second.index[&Thing::Position(other, place)];
            let counts = (described.positions.len(), second.engine.parts[other].positions.len());
            let worth = |i: usize, j: usize| self.at(tables, here(i), there(j)) + 0.01;
            for (i, j) in aligned(counts, worth) {
                partners[here(i)] = Some(there(j));
            }
        }
    }
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

/// A pairing without the pairs for which too little speaks. What hangs on a dropped pair loses
/// some of its evidence, so this goes on until nothing is dropped.
fn without_evidence_dropped(graphs: [&Graph<'_>; 2], mut partners: Partners) -> Partners {
    loop {
        let weak: Vec<usize> = (0..partners.len())
            .filter(|x| partners[*x].is_some_and(|y| !has_evidence(graphs, &partners, *x, y)))
            .collect();
        if weak.is_empty() {
            return partners;
        }
        for x in weak {
            partners[x] = None;
        }
    }
}

fn has_evidence(graphs: [&Graph<'_>; 2], partners: &[Option<usize>], x: usize, y: usize) -> bool {
    let shared = |what: &'static [&'static str]| {
        ties_where(graphs, partners, x, y, |tie| {
            !tie.seen_from_other_end && (what.is_empty() || what.contains(&tie.what))
        })
    };
    let (one, other) = (&graphs[0].nodes[x], &graphs[1].nodes[y]);
    let named = || share_a_name(graphs, x, y);
    let all = || shared_ties(graphs, partners, x, y);
    let owner_pairs = || match (one.thing.owner(), other.thing.owner()) {
        (Some(one), Some(other)) => {
            partners[graphs[0].index[&one]] == graphs[1].index.get(&other).copied()
        }
        _ => true,
    };
    match one.thing {
        Thing::Chamber(0) | Thing::Ball | Thing::Trigger(_) => true,
        Thing::Chamber(_) if one.traits == other.traits => {
            0 < all() || named() || is_only_one(graphs, x, y)
        }
        Thing::Chamber(_) => 1 < all(),
        Thing::Part(_) => 0 < pieces(graphs, partners, x) || named() || is_only_one(graphs, x, y),
        Thing::Valve(_) => 0 < all() || named() || is_only_one(graphs, x, y),
        Thing::Position(..) | Thing::Latch(_) => owner_pairs(),
        Thing::Push(..) => {
            owner_pairs() && (one.traits == other.traits || named() || 1 < shared(&[]))
        }
        Thing::Joint(..) => owner_pairs() && 0 < shared(&["joins"]),
        Thing::Way(_) if one.class == 1 => true,
        Thing::Way(_) => match shared(&["joins", "from", "to"]) {
            0 => false,
            1 => named() || 1 < shared(&[]),
            _ => true,
        },
        Thing::Seal(_) => match shared(&["between"]) {
            0 => false,
            1 => named() || 1 < shared(&[]),
            _ => true,
        },
    }
}

/// Faces and contacts of two parts on partners.
fn pieces(graphs: [&Graph<'_>; 2], partners: &[Option<usize>], x: usize) -> usize {
    let ties = graphs[0].nodes[x].ties.iter();
    let pushes = ties.filter(|(tie, _)| tie.seen_from_other_end && tie.what == "pushes");
    let paired = pushes.filter_map(|(_, push)| Some((*push, partners[*push]?)));
    let counted = paired.filter(|(push, _)| {
        // A spring alone says little: most parts have one.
        graphs[0].nodes[*push].class != 1
    });
    counted.filter(|(push, other)| 1 < shared_ties(graphs, partners, *push, *other)).count()
}

/// Whether each is the only one of its class and traits that its engine has.
fn is_only_one(graphs: [&Graph<'_>; 2], x: usize, y: usize) -> bool {
    let nodes = [(0usize, x), (1, y)];
    nodes.iter().all(|(side, at)| {
        let node = &graphs[*side].nodes[*at];
        let same = |other: &&Node| {
            other.thing.kind() == node.thing.kind()
                && other.class == node.class
                && (!matches!(node.thing, Thing::Chamber(_)) || other.traits == node.traits)
        };
        graphs[*side].nodes.iter().filter(same).count() == 1
    })
}
