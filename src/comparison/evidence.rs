//! What speaks for a pair: the ties of both that lead to partners, and whether that is enough.

use super::alignment_search::Partners;
use super::thing::{Graph, ThingNode, ThingTie};
use crate::cutaway::model::{Element, OPEN_AIR};

/// Ties that chambers of different roles must have in common to be taken for the same.
pub(super) const LEAST_SHARED: usize = 2;

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
    counts: impl Fn(ThingTie) -> bool,
) -> usize {
    common_ties(graphs, partners, x, y).into_iter().filter(|tie| counts(*tie)).count()
}

/// The ties of two things that lead to partners.
fn common_ties(
    graphs: [&Graph<'_>; 2],
    partners: &[Option<usize>],
    x: usize,
    y: usize,
) -> Vec<ThingTie> {
    let mut left: Vec<(ThingTie, usize)> = graphs[1].nodes[y].ties.clone();
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
    common_ties(graphs, partners, x, y).into_iter().map(ThingTie::weight).sum()
}

/// A pairing without the pairs for which too little speaks. What hangs on a dropped pair loses
/// some of its evidence, so this goes on until nothing is dropped.
pub(super) fn without_evidence_dropped(
    graphs: [&Graph<'_>; 2],
    mut partners: Partners,
) -> Partners {
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
    let all = || shared_ties(graphs, partners, x, y);
    let owner_pairs = || match (one.thing.owner(), other.thing.owner()) {
        (Some(one), Some(other)) => {
            partners[graphs[0].index[&one]] == graphs[1].index.get(&other).copied()
        }
        _ => true,
    };
    // Two that differ in one end only are one thing that was moved.
    let differs_in_one = || {
        let own =
            |node: &ThingNode| node.ties.iter().filter(|(tie, _)| !tie.seen_from_other_end).count();
        one.traits == other.traits && own(one).max(own(other)) == shared(&[]) + 1
    };
    match one.thing {
        Element::Chamber(OPEN_AIR)
        | Element::Regulator(_)
        | Element::Pressure(..)
        | Element::Ball
        | Element::Trigger(_) => true,
        Element::Chamber(_) if one.class == other.class => 0 < all() || is_only_one(graphs, x, y),
        Element::Chamber(_) => LEAST_SHARED <= all(),
        Element::Part(_) => {
            0 < pieces(graphs, partners, x)
                || 0 < ties_where(graphs, partners, x, y, is_joined)
                || is_only_one(graphs, x, y)
        }
        Element::Valve(_) => 0 < all() || is_only_one(graphs, x, y),
        Element::Position(..) => owner_pairs() && is_same_place(graphs, partners, x, y),
        Element::Latch(_) => owner_pairs(),
        Element::Push(..) => {
            let alone = || is_only_piece(graphs[0], x) && is_only_piece(graphs[1], y);
            owner_pairs() && (one.traits == other.traits || 1 < shared(&[]) || alone())
        }
        Element::Choice(..) => 0 < shared(&[]),
        Element::Joint(..) => owner_pairs() && 0 < shared(&["joins", "from", "to"]),
        Element::Way(_) if one.class == 1 => true,
        Element::Way(_) => match shared(&["joins", "from", "to"]) {
            0 => false,
            1 => differs_in_one() || 1 < shared(&[]),
            _ => true,
        },
        Element::Seal(_) => match shared(&["between"]) {
            0 => false,
            1 => differs_in_one() || 1 < shared(&[]),
            _ => true,
        },
    }
}

/// Whether a tie says as much of a part as a face does: it moves as one with another, strikes one,
/// or is held by a latch.
fn is_joined(tie: ThingTie) -> bool {
    tie.what == "moves with" || tie.seen_from_other_end && matches!(tie.what, "struck by" | "holds")
}

/// Whether two positions of partners are one place: parts rest at both or travel ends at both,
/// something begins or ends at both, or nothing does at either.
fn is_same_place(graphs: [&Graph<'_>; 2], partners: &[Option<usize>], x: usize, y: usize) -> bool {
    let is_mark = |tie: ThingTie| tie.seen_from_other_end && matches!(tie.what, "begins" | "ends");
    let nodes = [&graphs[0].nodes[x], &graphs[1].nodes[y]];
    let is_bare = |node: &ThingNode| node.ties.iter().all(|(tie, _)| !is_mark(*tie));
    let [one, other] = nodes.map(|node| (node.traits[0] == 1, node.traits[1..].contains(&1)));
    let marks = || ties_where(graphs, partners, x, y, is_mark);
    one.0 && other.0 || one.1 && other.1 || nodes.into_iter().all(is_bare) || 0 < marks()
}

/// Whether a push is the only one of its class on its part.
fn is_only_piece(graph: &Graph<'_>, at: usize) -> bool {
    let node = &graph.nodes[at];
    let is_alike = |other: &&ThingNode| {
        matches!(other.thing, Element::Push(..))
            && (other.thing.owner(), other.class) == (node.thing.owner(), node.class)
    };
    graph.nodes.iter().filter(is_alike).count() == 1
}

/// Pushes of two parts on partners that lead to partners themselves: faces to their room, contacts
/// to the other part, springs to what they act with. A spring that always acts says little: most
/// parts have one.
fn pieces(graphs: [&Graph<'_>; 2], partners: &[Option<usize>], x: usize) -> usize {
    let ties = graphs[0].nodes[x].ties.iter();
    let pushes = ties.filter(|(tie, _)| tie.seen_from_other_end && tie.what == "pushes");
    let paired = pushes.filter_map(|(_, push)| Some((*push, partners[*push]?)));
    let leads = |push: usize, to: usize| {
        ties_where(graphs, partners, push, to, |tie| !tie.seen_from_other_end)
    };
    paired.filter(|(push, other)| 1 < leads(*push, *other)).count()
}

/// Whether each is the only one of its class that its engine has.
fn is_only_one(graphs: [&Graph<'_>; 2], x: usize, y: usize) -> bool {
    let nodes = [(0usize, x), (1, y)];
    nodes.iter().all(|(side, at)| {
        let node = &graphs[*side].nodes[*at];
        let same = |other: &&ThingNode| {
            (other.thing.kind(), other.class) == (node.thing.kind(), node.class)
        };
        graphs[*side].nodes.iter().filter(same).count() == 1
    })
}
