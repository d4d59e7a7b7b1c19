//! Which thing of one engine is which of another, and how sure that is.
//!
//! By structure first: what a chamber is for and joined to, what pushes a part, what opens a way.
//! A name settles what structure leaves open and nothing else.

use super::alignment_search::{self, share_a_name};
use super::evidence::{shared_ties, shared_weight};
use super::isomorphism::{Colours, alike, colours, told_apart, twins};
use super::thing::{Facing, Graph};
use crate::cutaway::Engine;
use crate::cutaway::model::Element;
use std::collections::BTreeMap;

/// How sure it is that two things are the same, surest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sure {
    /// Structure and name agree.
    StructureAndName,
    /// Structure alone says so, and nothing else fits.
    StructureUnique,
    /// Structure alone says so, but another would fit as well.
    StructureAmbiguous,
    /// Name and role agree, but nothing around them does.
    NameAndRole,
}

impl Sure {
    /// As a reader is told it.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Sure::StructureAndName => "structure and name agree",
            Sure::StructureUnique => "by structure, nothing else fits",
            Sure::StructureAmbiguous => "by structure, another would fit as well",
            Sure::NameAndRole => "by name and role only",
        }
    }
}

/// Two things taken for the same.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pair {
    /// Of the first engine.
    pub first: Element,
    /// Of the second.
    pub second: Element,
    /// How sure that is.
    pub sure: Sure,
    /// Why, as words without full stop: "named alike; 4 of 5 ties agree".
    pub why: String,
}

/// What is what in two engines.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Matching {
    /// Things of both, in the first engine's order.
    pub pairs: Vec<Pair>,
    /// Things that only the first engine has.
    pub(crate) only_first: Vec<Element>,
    /// Things that only the second engine has.
    pub(crate) only_second: Vec<Element>,
    /// Whether no other pairing was left out; in large engines it is the best of those looked at.
    pub is_whole: bool,
    /// Which way the second engine is looked at beside the first.
    pub(super) facing: Facing,
    second_of: BTreeMap<Element, Element>,
    first_of: BTreeMap<Element, Element>,
}

impl Matching {
    /// What the first engine's thing is in the second.
    #[must_use]
    pub fn second_of(&self, first: Element) -> Option<Element> {
        self.second_of.get(&first).copied()
    }

    /// What the second engine's thing is in the first.
    pub(crate) fn first_of(&self, second: Element) -> Option<Element> {
        self.first_of.get(&second).copied()
    }

    /// The pair that a thing of the first engine is in.
    #[must_use]
    pub fn pair_of(&self, first: Element) -> Option<&Pair> {
        self.pairs.iter().find(|pair| pair.first == first)
    }

    /// The same with the two engines changed about.
    pub(crate) fn turned(self) -> Matching {
        let turn = |pair: Pair| Pair { first: pair.second, second: pair.first, ..pair };
        let mut pairs: Vec<Pair> = self.pairs.into_iter().map(turn).collect();
        pairs.sort_by_key(|pair| pair.first);
        Matching {
            pairs,
            only_first: self.only_second,
            only_second: self.only_first,
            second_of: self.first_of,
            first_of: self.second_of,
            is_whole: self.is_whole,
            facing: self.facing,
        }
    }
}

/// Tells which thing of the first engine is which of the second.
///
/// Engines that differ in names only are matched in full; for others it is the matching under
/// which most agrees. Whichever engine comes first, the same things are matched.
#[must_use]
pub fn matched(first: &Engine, second: &Engine) -> Matching {
    let facing = facing(first, second);
    let in_order = |[one, other]: [&Engine; 2]| {
        let matching = matched_in_order([&Graph::of(one), &Graph::facing(other, facing)]);
        Matching { facing, ..matching }
    };
    // Ties between equally good matchings must not hang on which engine is asked about.
    if comes_first(second, first) {
        return in_order([second, first]).turned();
    }
    in_order([first, second])
}

/// Whether one of two engines is the other turned round, or nearly so: then more than half of their
/// things look alike that way, and clearly more than as they are written.
fn facing(first: &Engine, second: &Engine) -> Facing {
    let one = Graph::of(first);
    let (straight, turned) = (Graph::of(second), Graph::facing(second, Facing::TurnedRound));
    if twins([&one, &straight]).is_some() {
        return Facing::AsWritten;
    }
    if twins([&one, &turned]).is_some() {
        return Facing::TurnedRound;
    }
    let [as_written, turned] = [&straight, &turned].map(|other| alike([&one, other]));
    let all = one.nodes.len().max(straight.nodes.len());
    let is_clear = all < 2 * turned && as_written + all / 8 < turned;
    if is_clear { Facing::TurnedRound } else { Facing::AsWritten }
}

/// Which of two engines is taken first where it must not matter: told by structure alone.
pub(super) fn comes_first(one: &Engine, other: &Engine) -> bool {
    let graphs = [&Graph::of(one), &Graph::of(other)];
    let [one, other] = colours(graphs).map(|mut colours| {
        colours.sort_unstable();
        colours
    });
    (one.len(), one) < (other.len(), other)
}

/// A number for each thing of two engines that hangs on structure and on what is paired, and on
/// nothing else: partners have the same, and no two things of one engine do.
pub(super) fn common_order(
    engines: [&Engine; 2],
    matching: &Matching,
) -> [BTreeMap<Element, u64>; 2] {
    let [one, other] = [Graph::of(engines[0]), Graph::facing(engines[1], matching.facing)];
    let place = |pair: &Pair| Some((*one.index.get(&pair.first)?, *other.index.get(&pair.second)?));
    let pairs: Vec<(usize, usize)> = matching.pairs.iter().filter_map(place).collect();
    let [firsts, seconds] = told_apart([&one, &other], &pairs);
    let things = |graph: &Graph<'_>, numbers: Vec<u64>| {
        graph.nodes.iter().map(|node| node.thing).zip(numbers).collect()
    };
    [things(&one, firsts), things(&other, seconds)]
}

fn matched_in_order(graphs: [&Graph<'_>; 2]) -> Matching {
    let twins = twins(graphs);
    let colours = colours(graphs);
    let (partners, is_whole) = match twins {
        Some(twins) => (twins.into_iter().map(Some).collect(), true),
        None => nearest(graphs),
    };
    let mut matching = Matching { is_whole, ..Matching::default() };
    let mut taken = vec![false; graphs[1].nodes.len()];
    for (x, node) in graphs[0].nodes.iter().enumerate() {
        let Some(y) = partners[x] else {
            matching.only_first.push(node.thing);
            continue;
        };
        taken[y] = true;
        let second = graphs[1].nodes[y].thing;
        let (sure, why) = sureness(graphs, &partners, &colours, x, y);
        matching.pairs.push(Pair { first: node.thing, second, sure, why });
        matching.second_of.insert(node.thing, second);
        matching.first_of.insert(second, node.thing);
    }
    let alone = graphs[1].nodes.iter().zip(taken).filter(|(_, taken)| !taken);
    matching.only_second = alone.map(|(node, _)| node.thing).collect();
    matching.only_first.sort_unstable();
    matching.only_second.sort_unstable();
    matching.pairs.sort_by_key(|pair| pair.first);
    matching
}

/// The pairing under which most agrees, whatever the order of statements: what would be settled by
/// the order of things is settled by one that structure gives.
fn nearest(graphs: [&Graph<'_>; 2]) -> (Vec<Option<usize>>, bool) {
    let orders = told_apart(graphs, &[]).map(|numbers| {
        let mut order: Vec<usize> = (0..numbers.len()).collect();
        order.sort_by_key(|at| numbers[*at]);
        order
    });
    let [one, other] = [0, 1].map(|side: usize| graphs[side].in_order(&orders[side]));
    let sorted = [&one, &other];
    let (found, is_whole) = alignment_search::partners(sorted, &colours(sorted));
    let mut partners = vec![None; found.len()];
    for (x, y) in found.into_iter().enumerate() {
        partners[orders[0][x]] = y.map(|y| orders[1][y]);
    }
    (partners, is_whole)
}

fn sureness(
    graphs: [&Graph<'_>; 2],
    partners: &[Option<usize>],
    colours: &Colours,
    x: usize,
    y: usize,
) -> (Sure, String) {
    let shared = shared_ties(graphs, partners, x, y);
    let all = graphs[0].nodes[x].ties.len().max(graphs[1].nodes[y].ties.len());
    let ties = match all {
        0 => "nothing hangs on either".to_owned(),
        _ => format!("{shared} of {all} ties agree"),
    };
    if share_a_name(graphs, x, y) {
        return match (shared, all) {
            (0, 1..) => (Sure::NameAndRole, format!("named alike; {ties}")),
            _ => (Sure::StructureAndName, format!("named alike; {ties}")),
        };
    }
    let rival = rival(graphs, partners, colours, x, y);
    match rival {
        None => (Sure::StructureUnique, format!("{ties}; nothing else fits as well")),
        Some((side, rival)) => {
            let engine = graphs[side].engine;
            let name = graphs[side].nodes[rival].thing.name(engine);
            let name =
                name.map_or_else(|| "another".to_owned(), crate::cutaway::model::Name::spoken);
            (Sure::StructureAmbiguous, format!("{ties}; {name} would fit as well"))
        }
    }
}

/// Another thing that could stand in a pair: one that structure cannot tell from its member, or
/// one with as many ties in common, traits considered.
fn rival(
    graphs: [&Graph<'_>; 2],
    partners: &[Option<usize>],
    colours: &Colours,
    x: usize,
    y: usize,
) -> Option<(usize, usize)> {
    for (side, own) in [(1, y), (0, x)] {
        let same = colours[side]
            .iter()
            .enumerate()
            .find(|(at, colour)| *at != own && **colour == colours[side][own]);
        if let Some((at, _)) = same {
            return Some((side, at));
        }
    }
    let worth = |y: usize| {
        let (one, other) = (&graphs[0].nodes[x], &graphs[1].nodes[y]);
        let traits = one.traits.iter().zip(&other.traits).filter(|(a, b)| a == b);
        traits.map(|_| 1).sum::<u32>() + shared_weight(graphs, partners, x, y)
    };
    let own = worth(y);
    let node = &graphs[1].nodes[y];
    let mut others = graphs[1].nodes.iter().enumerate().filter(|(at, other)| {
        *at != y
            && other.thing.kind() == node.thing.kind()
            && other.class == node.class
            && other.thing.owner() == node.thing.owner()
    });
    others.find(|(at, _)| own <= worth(*at)).map(|(at, _)| (1, at))
}
