//! Facts that cannot all be true.

use super::Reader;
use crate::cutaway::events::{side_words, spoken_fact};
use crate::cutaway::loops::{ChamberGroups, loops};
use crate::cutaway::model::{Element, Fact, Relation, Term};
use crate::slip::Slip;
use crate::text::Spot;
use std::collections::{BTreeMap, VecDeque};

/// More facts of spent pressure than these are not followed in one text.
const MOST_SPENT: usize = 100;

impl Reader<'_> {
    /// Tells of facts that cannot all be true, with the path from one to the other.
    pub(super) fn compare_facts(&mut self) {
        let facts = self.engine.facts.clone();
        let mut places: BTreeMap<(&str, &[Term]), usize> = BTreeMap::new();
        let mut ends = Vec::new();
        for fact in &facts {
            let measure = measure(fact);
            let mut of = |terms| {
                let next = places.len();
                *places.entry((measure, terms)).or_insert(next)
            };
            ends.push((of(fact.left.as_slice()), of(fact.right.as_slice())));
        }
        let classes = classes(&facts, &ends, places.len());
        let larger =
            facts.iter().zip(&ends).enumerate().filter(|(_, (fact, _))| is_of_size(fact.relation));
        let larger: Vec<(usize, (usize, usize))> = larger
            .map(|(at, (_, (left, right)))| (at, (classes[*left], classes[*right])))
            .collect();
        let edges: Vec<(usize, usize)> = larger.iter().map(|(_, ends)| *ends).collect();
        for path in loops(&edges) {
            let path: Vec<&Fact> = path.iter().map(|edge| &facts[larger[*edge].0]).collect();
            self.tell_contradiction(&path);
        }
        for path in against_much(&facts, &ends, &classes) {
            let path: Vec<&Fact> = path.iter().map(|at| &facts[*at]).collect();
            self.tell_contradiction(&path);
        }
    }

    fn tell_contradiction(&mut self, path: &[&Fact]) {
        let Some(last) = path.iter().max_by_key(|fact| fact.span) else { return };
        let words: Vec<String> = path.iter().map(|fact| spoken_fact(&self.engine, fact)).collect();
        let message = match path {
            [alone] => {
                format!("{} cannot differ from itself", side_words(&self.engine, &alone.left))
            }
            _ => format!("these cannot all be true: {}", words.join(", ")),
        };
        let spot = Spot::new(&self.source, last.span);
        let mut slip = Slip::stop("facts-contradict", spot, message);
        for fact in path.iter().filter(|fact| fact.span != last.span) {
            let spot = Spot::new(&self.source, fact.span);
            slip = slip.label(spot, "the other side is stated here");
        }
        self.tell_whole(slip);
    }

    /// Tells what only the whole shows, unless the cutaway that this one changes tells it too.
    pub(super) fn tell_whole(&mut self, slip: Slip) {
        if !self.told.contains(&(slip.code, slip.message.clone())) {
            self.slips.push(slip);
        }
    }
}

/// What a fact measures. Only of parts it makes a difference: a heavier one may be shorter.
fn measure(fact: &Fact) -> &'static str {
    if !matches!(fact.left.first(), Some(Term::Own(Element::Part(_)) | Term::Foreign(..))) {
        return "size";
    }
    match fact.word.as_str() {
        "heavier" | "lighter" => "mass",
        "longer" | "shorter" => "length",
        _ => "size",
    }
}

/// For each place the class of those that are the same.
fn classes(facts: &[Fact], ends: &[(usize, usize)], count: usize) -> Vec<usize> {
    let mut groups = ChamberGroups::new(count);
    for (fact, (left, right)) in facts.iter().zip(ends) {
        if fact.relation == Relation::Equal {
            groups.join(*left, *right);
        }
    }
    (0..count).map(|at| groups.of(at)).collect()
}

/// Whether it holds at equal pressure, so that it leads on from fact to fact.
fn is_of_size(relation: Relation) -> bool {
    !relation.is_of_a_time() && relation != Relation::Equal
}

/// Facts of spent pressure that others deny: what is much larger wins even with a part of its
/// pressure, and nothing wins against itself. Each with the path that denies it.
///
/// Two faces may each be larger once the other is spent, so these facts alone are no loop.
fn against_much(facts: &[Fact], ends: &[(usize, usize)], classes: &[usize]) -> Vec<Vec<usize>> {
    let mut leaving: BTreeMap<usize, Vec<(usize, usize)>> = BTreeMap::new();
    for (at, (left, right)) in ends.iter().enumerate() {
        if is_of_size(facts[at].relation) {
            leaving.entry(classes[*left]).or_default().push((at, classes[*right]));
        }
    }
    let spent = facts.iter().enumerate();
    let spent = spent.filter(|(_, fact)| fact.relation.is_of_a_time());
    let paths = spent.take(MOST_SPENT).filter_map(|(at, fact)| {
        if fact.left == fact.right {
            return Some(vec![at]);
        }
        let (left, right) = (classes[ends[at].0], classes[ends[at].1]);
        let mut path = much_larger(facts, &leaving, right, left)?;
        path.push(at);
        Some(path)
    });
    paths.collect()
}

/// The shortest path of facts by which one place is much larger than another.
fn much_larger(
    facts: &[Fact],
    leaving: &BTreeMap<usize, Vec<(usize, usize)>>,
    from: usize,
    to: usize,
) -> Option<Vec<usize>> {
    let mut came_by = BTreeMap::new();
    let mut queue = VecDeque::from([(from, false)]);
    while let Some(mut here) = queue.pop_front() {
        if here == (to, true) {
            let mut path = Vec::new();
            while let Some((before, fact)) = came_by.remove(&here) {
                path.push(fact);
                here = before;
            }
            path.reverse();
            return Some(path);
        }
        for (fact, next) in leaving.get(&here.0).into_iter().flatten() {
            let next = (*next, here.1 || facts[*fact].relation == Relation::MuchLarger);
            if next != (from, false) && !came_by.contains_key(&next) {
                came_by.insert(next, (here, *fact));
                queue.push_back(next);
            }
        }
    }
    None
}
