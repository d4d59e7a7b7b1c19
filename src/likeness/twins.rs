//! Engines that are the same but for names: found exactly.
//!
//! Both engines are coloured together: things begin with a colour for what they are, and as long
//! as it tells more of them apart, each takes a new colour for its own and those of all it hangs
//! on. Where several stay alike, one is paired by trial and the colouring goes on from there.

use super::thing::{Graph, Thing, Tie, named_alike};
use std::collections::BTreeMap;

/// Things looked at, over all rounds, beyond which the search is given up.
const MOST_WORK: usize = 2_000_000;

/// Colours of the things of both engines: those of one colour cannot be told apart.
pub(super) type Colours = [Vec<u32>; 2];

/// Colours that say all that structure says, each of the two engines by itself.
pub(super) fn colours(graphs: [&Graph<'_>; 2]) -> Colours {
    let mut work = MOST_WORK;
    refined(graphs, kinds(graphs, false), &mut work)
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
        let mut work = MOST_WORK;
        search(graphs, kinds(graphs, in_order), &mut work)
    })
}

fn search(graphs: [&Graph<'_>; 2], colours: Colours, work: &mut usize) -> Option<Vec<usize>> {
    let colours = refined(graphs, colours, work);
    let mut cells: BTreeMap<u32, [Vec<usize>; 2]> = BTreeMap::new();
    for side in 0..2 {
        for (at, colour) in colours[side].iter().enumerate() {
            cells.entry(*colour).or_default()[side].push(at);
        }
    }
    if cells.values().any(|[first, second]| first.len() != second.len()) || *work == 0 {
        return None;
    }
    let open = cells.values().filter(|[first, _]| 1 < first.len());
    let Some([first, second]) = open.min_by_key(|[first, _]| first.len()) else {
        let mut twin_of = vec![0; colours[0].len()];
        for [first, second] in cells.values() {
            twin_of[first[0]] = second[0];
        }
        return Some(twin_of);
    };
    let chosen = first[0];
    let name = |side: usize, at: usize| graphs[side].nodes[at].thing.name(graphs[side].engine);
    let alike = |other: &usize| match (name(0, chosen), name(1, *other)) {
        (Some(one), Some(other)) => named_alike(one, other),
        _ => false,
    };
    let (named, others): (Vec<usize>, Vec<usize>) = second.iter().partition(|at| alike(at));
    let next = cells.keys().next_back().map_or(0, |colour| colour + 1);
    named.into_iter().chain(others).find_map(|other| {
        let mut tried = colours.clone();
        tried[0][chosen] = next;
        tried[1][other] = next;
        search(graphs, tried, work)
    })
}

/// The first colours: kind, class and traits; for triggers their place, if asked for.
fn kinds(graphs: [&Graph<'_>; 2], triggers_in_order: bool) -> Colours {
    numbered(graphs, |side, at| {
        let node = &graphs[side].nodes[at];
        let place = match node.thing {
            Thing::Trigger(place) if triggers_in_order => place,
            _ => 0,
        };
        (node.thing.kind(), node.class, &node.traits, place)
    })
}

/// Colours refined until nothing more is told apart, or the work is spent.
fn refined(graphs: [&Graph<'_>; 2], mut colours: Colours, work: &mut usize) -> Colours {
    let mut count = distinct(&colours);
    loop {
        let size = graphs[0].nodes.len() + graphs[1].nodes.len();
        *work = work.saturating_sub(size.max(1));
        if *work == 0 {
            return colours;
        }
        let next = numbered(graphs, |side, at| {
            let own = &colours[side];
            let ties = graphs[side].nodes[at].ties.iter();
            let mut around: Vec<(Tie, u32)> = ties.map(|(tie, to)| (*tie, own[*to])).collect();
            around.sort_unstable();
            (own[at], around)
        });
        let next_count = distinct(&next);
        colours = next;
        if next_count == count {
            return colours;
        }
        count = next_count;
    }
}

/// The same number for the same key, in both engines.
fn numbered<K: Ord>(graphs: [&Graph<'_>; 2], key: impl Fn(usize, usize) -> K) -> Colours {
    let keys = [0, 1].map(|side: usize| -> Vec<K> {
        (0..graphs[side].nodes.len()).map(|at| key(side, at)).collect()
    });
    let mut numbers: BTreeMap<&K, u32> = keys.iter().flatten().map(|key| (key, 0)).collect();
    for (next, number) in (0..).zip(numbers.values_mut()) {
        *number = next;
    }
    [0, 1].map(|side: usize| keys[side].iter().map(|key| numbers[key]).collect())
}

fn distinct(colours: &Colours) -> usize {
    let mut all: Vec<u32> = colours.iter().flatten().copied().collect();
    all.sort_unstable();
    all.dedup();
    all.len()
}
