//! Engines that are the same but for names: found exactly.
//!
//! Both engines are coloured together: things begin with a colour for what they are, and as long
//! as it tells more of them apart, each takes a new colour for its own and those of all it hangs
//! on. Where several stay alike, one is paired by trial and the colouring goes on from there.

use super::thing::{Graph, ThingNode};
use crate::cutaway::model::Element;
use std::collections::BTreeMap;

/// Things looked at, over all rounds, beyond which the search is given up.
const MOST_WORK: usize = 6_000_000;

/// Colours of the things of both engines: those of one colour cannot be told apart. A colour is a
/// hash of all that led to it, so that two rounds of two engines need no common list of colours.
pub(super) type Colours = [Vec<u64>; 2];

/// Colours that say all that structure says, each of the two engines by itself.
pub(super) fn colours(graphs: [&Graph<'_>; 2]) -> Colours {
    Search::new(graphs).refined(kinds(graphs, false))
}

/// How many things of one engine look like one of the other, by themselves and by what they hang
/// on.
pub(super) fn alike(graphs: [&Graph<'_>; 2]) -> usize {
    let search = Search::new(graphs);
    let [first, second] = search.next(&kinds(graphs, false)).map(|mut colours| {
        colours.sort_unstable();
        colours
    });
    let mut left = second.as_slice();
    let is_met = |colour: &&u64| {
        left = &left[left.partition_point(|other| other < *colour)..];
        let is_there = left.first() == Some(colour);
        left = &left[usize::from(is_there)..];
        is_there
    };
    first.iter().filter(is_met).count()
}

/// For each thing of the first engine its twin in the second, where the two engines have the same
/// structure; `None` where they have not, or where the search was given up.
pub(super) fn twins(graphs: [&Graph<'_>; 2]) -> Option<Vec<usize>> {
    if graphs[0].nodes.len() != graphs[1].nodes.len() {
        return None;
    }
    // Triggers are pulled in their order, so where two are alike that order is kept; but which
    // is written first is no part of the structure.
    [true, false].into_iter().find_map(|in_order| {
        let twin_of = Search::new(graphs).twins(kinds(graphs, in_order))?;
        is_exact(graphs, &twin_of).then_some(twin_of)
    })
}

/// Whether all ties of all things lead to twins: two colours could be the same by chance.
fn is_exact(graphs: [&Graph<'_>; 2], twin_of: &[usize]) -> bool {
    graphs[0].nodes.iter().zip(twin_of).all(|(node, twin)| {
        let twin = &graphs[1].nodes[*twin];
        let mut ties: Vec<_> = node.ties.iter().map(|(tie, to)| (*tie, twin_of[*to])).collect();
        ties.sort_unstable();
        let is_same = |a: &ThingNode, b: &ThingNode| {
            (a.thing.kind(), a.class, &a.traits) == (b.thing.kind(), b.class, &b.traits)
        };
        is_same(node, twin) && ties == twin.ties
    })
}

/// A number for each thing of two engines, the same for partners and for no two things of one
/// engine: structure gives it, and what is paired. Of things that both leave alike one is taken
/// out after the other, and the colouring goes on from there.
pub(super) fn told_apart(graphs: [&Graph<'_>; 2], pairs: &[(usize, usize)]) -> Colours {
    let mut search = Search::new(graphs);
    for (x, y) in pairs {
        search.partner[0][*x] = Some(*y);
        search.partner[1][*y] = Some(*x);
    }
    // Triggers are pulled in their order, so that it counts in what happens.
    let mut colours = search.refined(kinds(graphs, true));
    while let Some((side, alike)) = most_alike(&colours).filter(|_| 0 < search.work) {
        let tried = alike.into_iter().map(|at| {
            let mut tried = colours.clone();
            tried[side][at] = mixed(tried[side][at], u64::MAX);
            search.refined(tried)
        });
        let [mut sorted, mut least] = [Colours::default(), colours.clone()];
        for tried in tried {
            let in_order = tried.clone().map(|mut colours| {
                colours.sort_unstable();
                colours
            });
            if sorted[0].is_empty() || in_order < sorted {
                (sorted, least) = (in_order, tried);
            }
        }
        colours = least;
    }
    let of_pairs = pairs.iter().map(|(x, y)| {
        let [one, other] = [colours[0][*x], colours[1][*y]];
        mixed(one.min(other), one.max(other))
    });
    let of_pairs: Vec<u64> = of_pairs.collect();
    for ((x, y), number) in pairs.iter().zip(of_pairs) {
        (colours[0][*x], colours[1][*y]) = (number, number);
    }
    colours
}

/// The fewest things of one engine that have the same colour.
fn most_alike(colours: &Colours) -> Option<(usize, Vec<usize>)> {
    let mut cells: BTreeMap<(u64, usize), Vec<usize>> = BTreeMap::new();
    for (side, colours) in colours.iter().enumerate() {
        for (at, colour) in colours.iter().enumerate() {
            cells.entry((*colour, side)).or_default().push(at);
        }
    }
    let alike = cells.into_iter().filter(|(_, things)| 1 < things.len());
    let fewest = alike.min_by_key(|(key, things)| (things.len(), *key))?;
    Some((fewest.0.1, fewest.1))
}

struct Search<'g> {
    graphs: [&'g Graph<'g>; 2],
    /// The ties of each thing: what they are, as a hash, and where they lead.
    ties: [Vec<Vec<(u64, usize)>>; 2],
    /// What each thing is in the other engine, where that is known.
    partner: [Vec<Option<usize>>; 2],
    /// Looks at a thing that are left.
    work: usize,
}

impl<'g> Search<'g> {
    fn new(graphs: [&'g Graph<'g>; 2]) -> Search<'g> {
        let ties = graphs.map(|graph| {
            let of_node = |node: &ThingNode| -> Vec<(u64, usize)> {
                let ties = node.ties.iter();
                ties.map(|(tie, to)| {
                    let what = tie.what.bytes().fold(0, |sum, byte| mixed(sum, u64::from(byte)));
                    (mixed(what, u64::from(tie.seen_from_other_end)), *to)
                })
                .collect()
            };
            graph.nodes.iter().map(of_node).collect()
        });
        let partner = graphs.map(|graph| vec![None; graph.nodes.len()]);
        Search { graphs, ties, partner, work: MOST_WORK }
    }

    fn twins(&mut self, colours: Colours) -> Option<Vec<usize>> {
        let colours = self.refined(colours);
        let mut cells: BTreeMap<u64, [Vec<usize>; 2]> = BTreeMap::new();
        for (side, colours) in colours.iter().enumerate() {
            for (at, colour) in colours.iter().enumerate() {
                cells.entry(*colour).or_default()[side].push(at);
            }
        }
        if cells.values().any(|[first, second]| first.len() != second.len()) || self.work == 0 {
            return None;
        }
        let open = cells.values().filter(|[first, _]| 1 < first.len());
        let Some([first, second]) = open.min_by_key(|[first, _]| (first.len(), first[0])) else {
            let mut twin_of = vec![0; colours[0].len()];
            for [first, second] in cells.values() {
                twin_of[first[0]] = second[0];
            }
            return Some(twin_of);
        };
        let chosen = first[0];
        let [one, other] = self.graphs;
        let is_alike = |at: &usize| one.nodes[chosen].is_called_as(&other.nodes[*at]);
        let (named, others): (Vec<usize>, Vec<usize>) = second.iter().partition(|at| is_alike(at));
        let of_its_own = mixed(colours[0][chosen], u64::MAX);
        named.into_iter().chain(others).find_map(|twin| {
            let mut tried = colours.clone();
            tried[0][chosen] = of_its_own;
            tried[1][twin] = of_its_own;
            self.twins(tried)
        })
    }

    /// A colour for the own of each thing and those of all it hangs on.
    fn next(&self, colours: &Colours) -> Colours {
        [0, 1].map(|side: usize| -> Vec<u64> {
            let own = &colours[side];
            let of_thing = |(at, ties): (usize, &Vec<(u64, usize)>)| {
                let partner = self.partner[side][at].map(|to| mixed(1, colours[1 - side][to]));
                // Added up, because ties have no order.
                let around = ties.iter().map(|(tie, to)| mixed(*tie, own[*to])).chain(partner);
                mixed(own[at], around.fold(0, u64::wrapping_add))
            };
            self.ties[side].iter().enumerate().map(of_thing).collect()
        })
    }

    /// Colours refined until nothing more is told apart, or the work is spent.
    fn refined(&mut self, mut colours: Colours) -> Colours {
        let mut count = distinct(&colours);
        loop {
            let size = colours[0].len() + colours[1].len();
            self.work = self.work.saturating_sub(size.max(1));
            if self.work == 0 {
                return colours;
            }
            let next = self.next(&colours);
            let next_count = distinct(&next);
            colours = next;
            if next_count == count {
                return colours;
            }
            count = next_count;
        }
    }
}

/// The first colours: kind, class and traits; for triggers their place, if asked for.
fn kinds(graphs: [&Graph<'_>; 2], triggers_in_order: bool) -> Colours {
    graphs.map(|graph| {
        let colour = |node: &ThingNode| {
            let place = match node.thing {
                Element::Trigger(place) if triggers_in_order => place.place() as u64,
                _ => 0,
            };
            let start = [node.thing.kind() as u64, u64::from(node.class), place];
            let traits = node.traits.iter().copied().map(u64::from);
            start.into_iter().chain(traits).fold(0, mixed)
        };
        graph.nodes.iter().map(colour).collect()
    })
}

/// Two numbers as one in which every bit hangs on every bit of both (the finishing steps of
/// Vigna's `splitmix64`).
pub(super) fn mixed(one: u64, other: u64) -> u64 {
    let mut mix = one.rotate_left(25).wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ other;
    mix = mix.wrapping_add(0x9e37_79b9_7f4a_7c15);
    mix = (mix ^ (mix >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    mix = (mix ^ (mix >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    mix ^ (mix >> 31)
}

fn distinct(colours: &Colours) -> usize {
    let mut all: Vec<u64> = colours.iter().flatten().copied().collect();
    all.sort_unstable();
    all.dedup();
    all.len()
}
