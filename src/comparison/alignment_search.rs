//! Engines that are not the same: the pairing under which most of both agrees.
//!
//! First every two things of a kind get a degree of likeness from what they are and from the
//! likeness of what they hang on, round after round, and each kind is paired at its best. From
//! there the pairing is improved: kind by kind with the others held, then by giving single
//! chambers, parts and valves other partners, as long as more agrees by it. Things are taken in an
//! order that structure gives, and what agrees as much is settled by structure too: names only
//! choose between things that structure cannot tell apart.

use super::evidence::{LEAST_SHARED, shared_ties, shared_weight, without_evidence_dropped};
use super::isomorphism::Colours;
use super::tables::Tables;
use super::thing::{Graph, ThingTie};
use crate::cutaway::model::Element;

/// Rounds in which likeness spreads.
const ROUNDS: usize = 8;
/// Meetings of ties that these rounds may look at.
const MOST_MEETINGS: usize = 20_000_000;
/// Pairs that improving may look at.
const MOST_LOOKS: usize = 1_000_000;
/// What being alike by itself is worth beside what hangs on it.
const OWN: f64 = 0.35;
/// Less than any two pairings differ by, if not by rounding.
const LEAST_GAIN: f64 = 2e-12;
/// What settles between pairings that agree in as much: a number for each two colours, so that all
/// of a pairing's are less than the least that pairings may agree by (a twelfth of a thing).
const SETTLED: f64 = 1e-4;
/// What a shared name is worth: less than any two such numbers differ by, if not by chance.
const NAME: f64 = 1e-11;
/// Partner of each thing of the first engine.
pub(super) type Partners = Vec<Option<usize>>;

/// The pairing under which most agrees, without the pairs for which too little speaks.
///
/// Also tells whether all pairings of what others hang on were tried: where there are too many, it
/// is the best of those looked at.
pub(super) fn partners(graphs: [&Graph<'_>; 2], colours: &Colours) -> (Partners, bool) {
    let tables = Tables::new(graphs, colours);
    let is_whole = !tables.starts().is_empty();
    let mut partners = without_evidence_dropped(graphs, likeliest(&tables));
    let mut ascent = Ascent { tables: &tables, looks: 0 };
    if !ascent.pair_other_roles(&mut partners) {
        return (partners, is_whole);
    }
    ascent.pair_the_rest(&mut partners);
    (without_evidence_dropped(graphs, partners), is_whole)
}

/// The pairing under which most agrees.
fn likeliest(tables: &Tables<'_>) -> Partners {
    let graphs = tables.graphs;
    let own = tables.filled(|x, y| own_likeness(tables, x, y));
    let meetings = graphs.map(|graph| graph.nodes.iter().map(|node| node.ties.len()).sum());
    let [first, second]: [usize; 2] = meetings;
    let rounds = (MOST_MEETINGS / (first * second).max(1)).min(ROUNDS);
    let mut soft = own.clone();
    for _ in 0..rounds {
        soft = tables.filled(|x, y| {
            let around = around(tables, x, y, |a, b| tables.at(&soft, a, b));
            OWN * tables.at(&own, x, y) + (1.0 - OWN) * around
        });
    }
    let start = tables.paired(|_, x, y| tables.at(&soft, x, y));
    Ascent { tables, looks: 0 }.best_from(start)
}

/// Chambers of limited size that have no partner yet.
fn left_over(graphs: [&Graph<'_>; 2], side: usize, partners: &Partners) -> Vec<usize> {
    let is_finite = |at: &usize| match graphs[side].nodes[*at].thing {
        Element::Chamber(chamber) => graphs[side].engine.chambers[chamber].is_finite(),
        _ => false,
    };
    let is_free = |at: &usize| match side {
        0 => partners[*at].is_none(),
        _ => !partners.contains(&Some(*at)),
    };
    (0..graphs[side].nodes.len()).filter(is_finite).filter(is_free).collect()
}

/// All that agrees under a pairing: traits, ties and, as trifles, what settles and names.
fn agreement(tables: &Tables<'_>, partners: &[Option<usize>]) -> f64 {
    let graphs = tables.graphs;
    let pairs = partners.iter().enumerate().filter_map(|(x, y)| Some((x, (*y)?)));
    pairs
        .map(|(x, y)| own_likeness(tables, x, y) + f64::from(shared_weight(graphs, partners, x, y)))
        .sum()
}

/// Likeness of two things by themselves, from 0 to 1 and a trifle.
fn own_likeness(tables: &Tables<'_>, x: usize, y: usize) -> f64 {
    let graphs = tables.graphs;
    let (one, other) = (&graphs[0].nodes[x], &graphs[1].nodes[y]);
    let alike = one.traits.iter().zip(&other.traits).filter(|(a, b)| a == b).count();
    let traits = if one.traits.is_empty() { 1.0 } else { alike as f64 / one.traits.len() as f64 };
    let name = if share_a_name(graphs, x, y) { NAME } else { 0.0 };
    let settled = SETTLED * (tables.settling(x, y) as f64 / u64::MAX as f64);
    traits + settled + name
}

/// Whether two things are called alike.
pub(super) fn share_a_name(graphs: [&Graph<'_>; 2], x: usize, y: usize) -> bool {
    graphs[0].nodes[x].is_called_as(&graphs[1].nodes[y])
}

/// Likeness of what two things hang on, from 0 to 1: ties of the same sort are paired off, the
/// likeliest first.
fn around(tables: &Tables<'_>, x: usize, y: usize, likeness: impl Fn(usize, usize) -> f64) -> f64 {
    let graphs = tables.graphs;
    let (mut ones, mut others) = (&*graphs[0].nodes[x].ties, &*graphs[1].nodes[y].ties);
    let (mut sum, mut possible) = (0.0, 0.0);
    while let Some(tie) = ones.first().into_iter().chain(others.first()).map(|tie| tie.0).min() {
        let run =
            |ties: &[(ThingTie, usize)]| ties.iter().take_while(|(other, _)| *other == tie).count();
        let (here, there) = (run(ones), run(others));
        let (one, one_rest) = ones.split_at(here);
        let (other, other_rest) = others.split_at(there);
        (ones, others) = (one_rest, other_rest);
        let weight = f64::from(tie.weight());
        possible += weight * here.max(there) as f64;
        sum += weight * paired_off(tables, one, other, &likeness);
    }
    if possible == 0.0 { 1.0 } else { sum / possible }
}

fn paired_off(
    tables: &Tables<'_>,
    ones: &[(ThingTie, usize)],
    others: &[(ThingTie, usize)],
    likeness: &impl Fn(usize, usize) -> f64,
) -> f64 {
    if let ([(_, one)], [(_, other)]) = (ones, others) {
        return likeness(*one, *other);
    }
    let mut meetings: Vec<(f64, usize, usize)> = Vec::with_capacity(ones.len() * others.len());
    for (i, (_, one)) in ones.iter().enumerate() {
        meetings.extend(others.iter().enumerate().map(|(j, (_, to))| (likeness(*one, *to), i, j)));
    }
    let settling = |i: usize, j: usize| tables.settling(ones[i].1, others[j].1);
    meetings.sort_by(|a, b| {
        let by_structure = || settling(a.1, a.2).cmp(&settling(b.1, b.2));
        b.0.total_cmp(&a.0).then_with(by_structure)
    });
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

/// A pairing on its way to the best.
struct Ascent<'t, 'g> {
    tables: &'t Tables<'g>,
    /// Pairs looked at.
    looks: usize,
}

impl Ascent<'_, '_> {
    fn best_from(mut self, start: Partners) -> Partners {
        let (mut best, mut agrees) = self.settled(start);
        for start in self.tables.starts() {
            let (other, agrees_other) = self.settled_around(start);
            if agrees + LEAST_GAIN < agrees_other {
                (best, agrees) = (other, agrees_other);
            }
        }
        loop {
            let Some((better, agrees_more)) = self.improved(&best, agrees) else { return best };
            (best, agrees) = (better, agrees_more);
        }
    }

    /// The first pairing found that agrees in more, by giving one thing that others hang on
    /// another partner.
    fn improved(&mut self, from: &Partners, agrees: f64) -> Option<(Partners, f64)> {
        for (x, y) in self.tables.heads() {
            if from[x] == Some(y) || MOST_LOOKS < self.looks {
                continue;
            }
            let mut tried = from.clone();
            if let Some(owner) = from.iter().position(|partner| *partner == Some(y)) {
                tried[owner] = from[x].filter(|left| self.tables.may_pair(owner, *left));
            }
            tried[x] = Some(y);
            let (tried, agrees_now) = self.settled_around(tried);
            if agrees + LEAST_GAIN < agrees_now {
                return Some((tried, agrees_now));
            }
        }
        None
    }

    /// The best pairing found from what others hang on.
    fn settled_around(&mut self, mut heads: Partners) -> (Partners, f64) {
        self.pair_the_rest(&mut heads);
        self.settled(heads)
    }

    /// Pairs what hangs on others, the others held.
    fn pair_the_rest(&mut self, partners: &mut Partners) {
        for kind in Element::HEADS..Element::KINDS {
            self.pair_kind(kind, partners);
        }
    }

    /// Pairs chambers that are left over and stand at the same place, though they have other roles;
    /// whether there are any. Each two are judged with what hangs on them paired to suit: of twins,
    /// it may as well have been paired to suit the other.
    fn pair_other_roles(&mut self, partners: &mut Partners) -> bool {
        let graphs = self.tables.graphs;
        let [ones, others] = [0, 1].map(|side| left_over(graphs, side, partners));
        let mut close = Vec::new();
        for (x, y) in ones.iter().flat_map(|x| others.iter().map(|y| (*x, *y))) {
            let mut tried = partners.clone();
            tried[x] = Some(y);
            self.pair_the_rest(&mut tried);
            let shared = shared_ties(graphs, &tried, x, y);
            if LEAST_SHARED <= shared {
                close.push((std::cmp::Reverse(shared), self.tables.settling(x, y), x, y));
            }
        }
        close.sort_unstable();
        for (.., x, y) in &close {
            if partners[*x].is_none() && !partners.contains(&Some(*y)) {
                partners[*x] = Some(*y);
            }
        }
        !close.is_empty()
    }

    /// The pairing paired anew, kind by kind, until no more agrees by it.
    fn settled(&mut self, mut partners: Partners) -> (Partners, f64) {
        let mut agrees = agreement(self.tables, &partners);
        for _ in 0..ROUNDS {
            let mut next = partners.clone();
            for kind in 0..Element::KINDS {
                self.pair_kind(kind, &mut next);
            }
            let agrees_next = agreement(self.tables, &next);
            if agrees_next <= agrees + LEAST_GAIN {
                break;
            }
            (partners, agrees) = (next, agrees_next);
        }
        (partners, agrees)
    }

    fn pair_kind(&mut self, kind: usize, partners: &mut Partners) {
        let graphs = self.tables.graphs;
        let [ones, others] = &self.tables.kinds[kind];
        self.looks += ones.len() * others.len();
        // A tie that leads to partners counts at both of its ends.
        self.tables.pair_kind(kind, partners, &|partners, x, y| {
            own_likeness(self.tables, x, y) + 2.0 * f64::from(shared_weight(graphs, partners, x, y))
        });
    }
}

#[cfg(test)]
mod tests {
    use super::super::isomorphism::colours;
    use super::*;
    use crate::cutaway::Engine;
    use crate::cutaway::model::{Chamber, ChamberId, Name, Role, Way, Width};
    use proptest::prelude::*;

    const ROLES: [Role; 3] = [Role::Store, Role::Pilot, Role::Room];

    fn chamber(role: Role) -> Chamber {
        let name = Name::default();
        Chamber {
            name,
            role,
            regulated_from: None,
            regulator: None,
            holds: None,
            starts_as: None,
            is_quick: false,
        }
    }

    /// An engine without names: chambers by role, ways by their ends and width.
    fn engine(roles: &[usize], ways: &[(usize, usize, bool)]) -> Engine {
        let count = roles.len() + 1;
        let way = |(from, to, narrow): &(usize, usize, bool)| Way {
            name: Name::default(),
            from: ChamberId::at(from % count),
            to: ChamberId::at((from + 1 + to % (count - 1)) % count),
            width: if *narrow { Width::Narrow } else { Width::Wide },
            one_way: false,
            barrel: false,
            when: Vec::new(),
            relieves_at: None,
        };
        let own = roles.iter().map(|role| chamber(ROLES[*role]));
        Engine {
            chambers: std::iter::once(chamber(Role::OpenAir)).chain(own).collect(),
            ways: ways.iter().map(way).collect(),
            ..Engine::default()
        }
    }

    /// All ways to give each of `count` things another of `others`, as many as possible.
    fn choices(count: usize, others: usize) -> Vec<Vec<Option<usize>>> {
        fn fill(
            chosen: &mut Vec<Option<usize>>,
            (count, others): (usize, usize),
            all: &mut Vec<Vec<Option<usize>>>,
        ) {
            if chosen.len() == count {
                all.push(chosen.clone());
                return;
            }
            let free = (0..others).map(Some).filter(|other| !chosen.contains(other));
            let free: Vec<Option<usize>> = free.chain([None]).collect();
            for other in free {
                chosen.push(other);
                fill(chosen, (count, others), all);
                chosen.pop();
            }
        }
        let mut all = Vec::new();
        fill(&mut Vec::new(), (count, others), &mut all);
        all
    }

    /// The most that agrees, by trying every pairing.
    fn most(tables: &Tables<'_>) -> f64 {
        let graphs = tables.graphs;
        let counts = |graph: &Graph<'_>| (graph.engine.chambers.len(), graph.engine.ways.len());
        let ((chambers, ways), (other_chambers, other_ways)) =
            (counts(graphs[0]), counts(graphs[1]));
        let mut best = 0.0f64;
        let role = |graph: &Graph<'_>, at: usize| graph.engine.chambers[ChamberId::at(at + 1)].role;
        let by_role = |rooms: &Vec<Option<usize>>| {
            let mut pairs = rooms.iter().enumerate().filter_map(|(x, y)| Some((x, (*y)?)));
            pairs.all(|(x, y)| role(graphs[0], x) == role(graphs[1], y))
        };
        for rooms in choices(chambers - 1, other_chambers - 1).into_iter().filter(by_role) {
            for passages in choices(ways, other_ways) {
                let mut partners: Partners = vec![None; graphs[0].nodes.len()];
                partners[0] = Some(0);
                for (at, other) in rooms.iter().enumerate() {
                    partners[1 + at] = other.map(|other| 1 + other);
                }
                for (at, other) in passages.iter().enumerate() {
                    partners[chambers + at] = other.map(|other| other_chambers + other);
                }
                best = best.max(agreement(tables, &partners));
            }
        }
        best
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(400))]

        /// Small engines, against every pairing that keeps to the roles.
        #[test]
        fn no_other_pairing_agrees_in_more(
            roles in proptest::collection::vec(0..3usize, 2..=3),
            ways in proptest::collection::vec((0..4usize, 0..4usize, any::<bool>()), 1..=3),
            other_roles in proptest::collection::vec(0..3usize, 2..=3),
            other_ways in proptest::collection::vec((0..4usize, 0..4usize, any::<bool>()), 1..=3),
        ) {
            let engines = [engine(&roles, &ways), engine(&other_roles, &other_ways)];
            let graphs = engines.each_ref().map(Graph::of);
            let graphs = graphs.each_ref();
            let colours = colours(graphs);
            let tables = Tables::new(graphs, &colours);
            let found = agreement(&tables, &likeliest(&tables));
            let most = most(&tables);
            prop_assert!(most <= found + LEAST_GAIN, "{} of {}", found, most);
        }
    }
}
