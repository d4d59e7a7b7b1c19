//! All runs of a shot at once: what happens in which of them, and what comes before what.

use super::state::{Ending, Exploration};
use crate::cutaway::model::Event;
use std::collections::btree_map::Entry;
use std::collections::{BTreeMap, BTreeSet};

/// Words of 64 happenings that are looked at before it is left.
const MOST_WORK: usize = 2_000_000;
/// Steps of a told run of which each pair is looked at; a longer one goes round.
const MOST_STEPS: usize = 500;

/// An event, and which time it is that it happens: from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct Happening {
    pub(crate) event: Event,
    pub(crate) nth: usize,
}

/// The happenings of each step of a run.
pub(crate) fn happenings(found: &Exploration, line: &[usize]) -> Vec<Vec<Happening>> {
    let mut times: BTreeMap<Event, usize> = BTreeMap::new();
    let mut next = |event: Event| {
        let nth = times.entry(event).or_default();
        *nth += 1;
        Happening { event, nth: *nth }
    };
    let steps = line.iter().map(|step| &found.steps[*step].events);
    steps.map(|events| events.iter().map(|event| next(*event)).collect()).collect()
}

/// Happenings by their places, as bits.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default)]
struct Bits(Vec<u64>);

impl Bits {
    fn has(&self, at: usize) -> bool {
        self.0.get(at / 64).is_some_and(|word| word & (1 << (at % 64)) != 0)
    }

    fn add(&mut self, at: usize) {
        if self.0.len() <= at / 64 {
            self.0.resize(at / 64 + 1, 0);
        }
        self.0[at / 64] |= 1 << (at % 64);
    }

    /// Those that are not in another set.
    fn without(&self, other: &Bits) -> impl Iterator<Item = usize> {
        let words = self.0.iter().enumerate();
        let left = words.map(|(at, word)| (at, word & !other.0.get(at).copied().unwrap_or(0)));
        let left: Vec<(usize, u64)> = left.filter(|(_, word)| *word != 0).collect();
        left.into_iter().flat_map(|(at, word)| {
            (0..64).filter(move |bit| word & (1 << bit) != 0).map(move |bit| at * 64 + bit)
        })
    }

    fn join(&mut self, other: &Bits) {
        if self.0.len() < other.0.len() {
            self.0.resize(other.0.len(), 0);
        }
        self.0.iter_mut().zip(&other.0).for_each(|(word, other)| *word |= other);
    }
}

/// A state, and what has happened on the way to it.
type RunNode = (usize, Bits);

/// For each happening, what comes before it and what at once with it in some of the runs.
#[derive(Debug, Clone, Default)]
struct Orders {
    earlier: Vec<Bits>,
    at_once: Vec<Bits>,
}

/// All runs of a shot: a way through these nodes is a run, and each run is one.
#[derive(Debug, Clone, Default)]
pub(crate) struct AllRuns {
    /// What happens in any run, each as often as in the told one and once more.
    places: BTreeMap<Happening, usize>,
    nodes: Vec<RunNode>,
    /// The nodes that each node leads to.
    out: Vec<Vec<usize>>,
    /// Nodes at which runs end, or from which on they go round for ever.
    ends: BTreeSet<usize>,
    /// Whether some run stops because something is not decided.
    pub(crate) some_stop: bool,
    orders: Orders,
}

impl AllRuns {
    /// Follows every run; `None` where there is too much to look at.
    pub(crate) fn of(found: &Exploration) -> Option<AllRuns> {
        if found.is_cut_short || found.states.is_empty() || MOST_STEPS < found.line.len() {
            return None;
        }
        let told = happenings(found, &found.line).into_iter().flatten();
        let told: BTreeSet<Happening> = told.collect();
        let events = found.steps.iter().flat_map(|step| step.events.iter().copied());
        let first = events.map(|event| Happening { event, nth: 1 });
        let once_more = told.iter().map(|it| Happening { nth: it.nth + 1, ..*it });
        let all: BTreeSet<Happening> = first.chain(once_more).chain(told.iter().copied()).collect();
        let places = all.into_iter().enumerate().map(|(place, it)| (it, place)).collect();
        let mut runs = AllRuns { places, ..AllRuns::default() };
        runs.walk(found)?;
        runs.orders = runs.orders_among(&|_| true);
        Some(runs)
    }

    /// Whether one comes before the other in every run that has both, and in some run.
    pub(crate) fn comes_before(&self, first: Happening, then: Happening) -> bool {
        let (Some(first), Some(then)) = (self.place(first), self.place(then)) else { return false };
        self.orders.is_sure(first, then)
    }

    /// Whether both come at once in every run that has both.
    pub(crate) fn is_at_once(&self, one: Happening, other: Happening) -> bool {
        let (Some(one), Some(other)) = (self.place(one), self.place(other)) else { return false };
        let is_before = |a: usize, b: usize| self.orders.earlier[b].has(a);
        self.orders.at_once[one].has(other) && !is_before(one, other) && !is_before(other, one)
    }

    /// What happens in some runs that end and not in others.
    pub(crate) fn in_some_only(&self) -> Vec<Happening> {
        self.places.keys().copied().filter(|it| self.is_in_some_only(*it)).collect()
    }

    /// How often an event comes at least and at most in a run that ends or goes round, and there as
    /// far as the first round; `None` where there is no such run.
    pub(crate) fn times(&self, event: Event) -> Option<(usize, usize)> {
        let places = (1..).map_while(|nth| self.place(Happening { event, nth }));
        let places: Vec<usize> = places.collect();
        let ends = self.ends.iter().map(|end| &self.nodes[*end].1);
        let counts = ends.map(|bits| places.iter().filter(|at| bits.has(**at)).count());
        let (least, most) = (counts.clone().min()?, counts.max()?);
        Some((least, most))
    }

    /// Whether something happens in some runs that end and not in others.
    pub(crate) fn is_in_some_only(&self, it: Happening) -> bool {
        let Some(at) = self.place(it) else { return true };
        let mut ends = self.ends.iter().map(|end| self.nodes[*end].1.has(at));
        let first = ends.next();
        ends.any(|has| Some(has) != first)
    }

    /// The order on which it hangs whether something happens: the two happenings of `among` that
    /// come in this order in every run that has it, and in the other in every run that has not.
    pub(crate) fn decided_by(
        &self,
        it: Happening,
        among: &[Happening],
    ) -> Option<(Happening, Happening)> {
        let place = self.place(it)?;
        let [with, without] = [true, false].map(|has| {
            let wanted = |at: &usize| self.nodes[*at].1.has(place) == has;
            let ends: Vec<usize> = self.ends.iter().copied().filter(wanted).collect();
            let leads_there = self.leading_to(ends);
            self.orders_among(&|at| leads_there[at])
        });
        let others = among.iter().filter(|other| other.event != it.event);
        let others: Vec<(Happening, usize)> =
            others.filter_map(|other| Some((*other, self.place(*other)?))).collect();
        others.iter().find_map(|(one, at)| {
            let decides = |(_, then): &&(Happening, usize)| {
                with.is_sure(*at, *then) && without.is_sure(*then, *at)
            };
            Some((*one, others.iter().find(decides)?.0))
        })
    }

    fn place(&self, it: Happening) -> Option<usize> {
        self.places.get(&it).copied()
    }

    /// Walks over states, each with what has happened on the way to it.
    fn walk(&mut self, found: &Exploration) -> Option<()> {
        let out = found.out();
        let stops = |ending: &Ending| matches!(ending, Ending::Undecided(_));
        let goes_on = |ending: &Ending| matches!(ending, Ending::Repeats(_));
        let ends = found.endings.iter().filter(|(_, ending)| !goes_on(ending));
        let ends: BTreeMap<usize, bool> = ends.map(|(at, ending)| (*at, stops(ending))).collect();
        let words = self.places.len() / 64 + 1;
        let mut work = 0;
        // Whether a node lies on the way that is being walked: who meets it there goes round.
        let mut is_open: Vec<bool> = Vec::new();
        let mut known: BTreeMap<RunNode, usize> = BTreeMap::new();
        let mut stack = vec![self.add((0, Bits::default()), &mut known, &mut is_open)];
        let mut next: Vec<usize> = vec![0];
        while let (Some(node), Some(turn)) = (stack.last().copied(), next.last_mut()) {
            let Some(step) = out[self.nodes[node].0].get(*turn) else {
                match ends.get(&self.nodes[node].0) {
                    Some(true) => self.some_stop = true,
                    Some(false) => _ = self.ends.insert(node),
                    None => {}
                }
                is_open[node] = false;
                stack.pop();
                next.pop();
                continue;
            };
            *turn += 1;
            let step = &found.steps[*step];
            let mut happened = self.nodes[node].1.clone();
            for event in &step.events {
                let mut times = (1..).map_while(|nth| self.place(Happening { event: *event, nth }));
                let new = times.find(|at| !happened.has(*at));
                new.into_iter().for_each(|at| happened.add(at));
            }
            work += words * (1 + step.events.len());
            if MOST_WORK < work {
                return None;
            }
            let after = match known.get(&(step.to, happened.clone())) {
                Some(after) => *after,
                None => {
                    let after = self.add((step.to, happened), &mut known, &mut is_open);
                    stack.push(after);
                    next.push(0);
                    self.out[node].push(after);
                    continue;
                }
            };
            if is_open[after] {
                self.ends.insert(after);
            }
            self.out[node].push(after);
        }
        Some(())
    }

    fn add(
        &mut self,
        node: RunNode,
        known: &mut BTreeMap<RunNode, usize>,
        is_open: &mut Vec<bool>,
    ) -> usize {
        let at = self.nodes.len();
        if let Entry::Vacant(new) = known.entry(node.clone()) {
            new.insert(at);
        }
        self.nodes.push(node);
        self.out.push(Vec::new());
        is_open.push(true);
        at
    }

    /// Nodes from which a run leads to one of these.
    fn leading_to(&self, mut ends: Vec<usize>) -> Vec<bool> {
        let mut into = vec![Vec::new(); self.nodes.len()];
        for (from, out) in self.out.iter().enumerate() {
            out.iter().for_each(|to| into[*to].push(from));
        }
        let mut leads = vec![false; self.nodes.len()];
        while let Some(at) = ends.pop() {
            if !std::mem::replace(&mut leads[at], true) {
                ends.extend(&into[at]);
            }
        }
        leads
    }

    /// What comes before what in the runs over these nodes.
    fn orders_among(&self, counts: &dyn Fn(usize) -> bool) -> Orders {
        let none = vec![Bits::default(); self.places.len()];
        let mut orders = Orders { earlier: none.clone(), at_once: none };
        for (from, out) in self.out.iter().enumerate().filter(|(at, _)| counts(*at)) {
            for to in out.iter().filter(|at| counts(**at)) {
                let (before, after) = (&self.nodes[from].1, &self.nodes[*to].1);
                let new: Vec<usize> = after.without(before).collect();
                for at in &new {
                    orders.earlier[*at].join(before);
                    new.iter().for_each(|other| orders.at_once[*at].add(*other));
                }
            }
        }
        orders
    }
}

impl Orders {
    fn is_sure(&self, first: usize, then: usize) -> bool {
        self.earlier[then].has(first)
            && !self.earlier[first].has(then)
            && !self.at_once[first].has(then)
    }
}
