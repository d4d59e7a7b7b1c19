//! A writer's sequence against what can happen, and which of two events comes first.

use super::at_once::leads_to;
use super::state::{Ending, Exploration};
use crate::cutaway::model::Event;
use std::collections::btree_map::Entry;
use std::collections::{BTreeMap, BTreeSet};

/// How one event of a written sequence stands to what can happen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum EventStanding {
    /// It comes there in every run.
    Follows,
    /// It comes there in some runs; in others it comes elsewhere or not at all.
    Possible,
    /// It happens, but not there: before the event at this index of the sequence.
    Early(usize),
    /// It happens, but not there: after the event at this index of the sequence.
    Late(usize),
    /// It happens, but in no run there, and neither always before nor always after another.
    Elsewhere,
    /// It happens in no run, though all runs end.
    Never,
    /// It was not reached: some run stops before it because something is not decided.
    Open,
}

/// A written sequence as it was followed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Followed {
    /// How each event stands, in the order of the sequence.
    pub events: Vec<EventStanding>,
    /// Steps of a run that has the events which fit, in their order.
    pub(crate) line: Vec<usize>,
}

/// Follows a sequence. Events that do not fit are left out, so that one that is out of place does
/// not spoil those after it.
#[must_use]
pub fn follow(found: &Exploration, sequence: &[Event]) -> Followed {
    let happening: BTreeSet<Event> =
        found.steps.iter().flat_map(|step| step.events.iter().copied()).collect();
    let is_open = found.is_cut_short
        || found.endings.iter().any(|(_, ending)| matches!(ending, Ending::Undecided(_)));
    let mut standing: Vec<Option<EventStanding>> = sequence
        .iter()
        .map(|event| {
            let absent = if is_open { EventStanding::Open } else { EventStanding::Never };
            (!happening.contains(event)).then_some(absent)
        })
        .collect();
    loop {
        let kept: Vec<usize> = (0..sequence.len()).filter(|at| standing[*at].is_none()).collect();
        let events: Vec<Event> = kept.iter().map(|at| sequence[*at]).collect();
        let reach = Reach::new(found, &events);
        if reach.most == kept.len() {
            for (place, at) in kept.iter().enumerate() {
                let fits = place < reach.least;
                standing[*at] =
                    Some(if fits { EventStanding::Follows } else { EventStanding::Possible });
            }
            let events = standing.into_iter().flatten().collect();
            return Followed { events, line: reach.line };
        }
        let place = misfit(found, &events, reach.most);
        let others: Vec<usize> = kept.iter().copied().filter(|at| *at != kept[place]).collect();
        standing[kept[place]] = Some(misplaced(found, sequence, &others, kept[place]));
    }
}

/// Which of the events up to the first that cannot follow is out of place: the one without which
/// runs get furthest, the latest of several.
fn misfit(found: &Exploration, events: &[Event], first: usize) -> usize {
    let reach_without = |place: usize| {
        let others = events.iter().enumerate().filter(|(at, _)| *at != place);
        let others: Vec<Event> = others.map(|(_, event)| *event).collect();
        Reach::new(found, &others).most
    };
    (0..=first).max_by_key(|place| (reach_without(*place), *place)).unwrap_or(first)
}

/// An event that is out of place: before which of the events in front of it, or after which of
/// those behind it, it really comes.
fn misplaced(
    found: &Exploration,
    sequence: &[Event],
    others: &[usize],
    misfit: usize,
) -> EventStanding {
    let always_before = |first: usize, then: usize| {
        let order = precedence(found, sequence[first], sequence[then]);
        order.first_before && !order.then_before && !order.at_once
    };
    let is_other = |at: &usize| sequence[*at] != sequence[misfit];
    let mut in_front = others.iter().copied().filter(|at| *at < misfit && is_other(at));
    if let Some(at) = in_front.find(|at| always_before(misfit, *at)) {
        return EventStanding::Early(at);
    }
    let mut behind = others.iter().copied().filter(|at| misfit < *at && is_other(at));
    match behind.rfind(|at| always_before(*at, misfit)) {
        Some(at) => EventStanding::Late(at),
        None => EventStanding::Elsewhere,
    }
}

/// The node that a run came from, and the step.
type Came<T> = ((usize, T), usize);

/// Every run at once: states, each with what the runs to it have met.
struct Runs<T> {
    /// In the order in which they were met, the teller's first.
    nodes: Vec<(usize, T)>,
    /// The node and the step by which each was first met.
    came_by: BTreeMap<(usize, T), Option<Came<T>>>,
    /// What has been met by runs that go round for ever.
    round: Vec<T>,
}

impl<T: Ord + Copy> Runs<T> {
    /// Follows every step; `meet` tells what has been met after one.
    fn new(found: &Exploration, start: T, meet: impl Fn(T, &[Event]) -> T) -> Runs<T> {
        let out = found.out();
        let first = (0, start);
        let mut runs = Runs {
            nodes: vec![first],
            came_by: BTreeMap::from([(first, None)]),
            round: Vec::new(),
        };
        // A node on the stack has its next step beside it; one that is reached again while it is
        // there closes a loop, on which nothing new is met any more.
        let mut stack = vec![(first, 0)];
        let mut open = BTreeSet::from([first]);
        while let Some((node, next)) = stack.pop() {
            let Some(step) = out[node.0].get(next) else {
                open.remove(&node);
                continue;
            };
            stack.push((node, next + 1));
            let step_taken = &found.steps[*step];
            let after = (step_taken.to, meet(node.1, &step_taken.events));
            if open.contains(&after) {
                runs.round.push(after.1);
            } else if let Entry::Vacant(new) = runs.came_by.entry(after) {
                new.insert(Some((node, *step)));
                runs.nodes.push(after);
                open.insert(after);
                stack.push((after, 0));
            }
        }
        runs
    }

    /// What has been met by runs that end, or go round for ever.
    fn at_the_end<'a>(&'a self, found: &'a Exploration) -> impl Iterator<Item = T> + 'a {
        let ends = ends(found, |ending| !matches!(ending, Ending::Repeats(_)));
        let ended = self.nodes.iter().filter(move |(at, _)| ends.contains(at)).map(|(_, met)| *met);
        ended.chain(self.round.iter().copied())
    }

    /// The steps by which a node was first met.
    fn line(&self, mut here: (usize, T)) -> Vec<usize> {
        let mut line = Vec::new();
        while let Some(Some((before, step))) = self.came_by.get(&here) {
            line.push(*step);
            here = *before;
        }
        line.reverse();
        line
    }
}

fn ends(found: &Exploration, wanted: impl Fn(&Ending) -> bool) -> BTreeSet<usize> {
    let endings = found.endings.iter().filter(|(_, ending)| wanted(ending));
    endings.map(|(at, _)| *at).collect()
}

/// How far runs get in a sequence.
struct Reach {
    /// Events of the sequence that the best run has.
    most: usize,
    /// Events of the sequence that every run has.
    least: usize,
    /// Steps of the best run, to its ending if it gets there.
    line: Vec<usize>,
}

impl Reach {
    fn new(found: &Exploration, events: &[Event]) -> Reach {
        let runs = Runs::new(found, 0, |met, happening| met_after(happening, events, met));
        let most = runs.nodes.iter().map(|(_, met)| *met).max().unwrap_or(0);
        let least = runs.at_the_end(found).min().unwrap_or(most);
        let ends = ends(found, |_| true);
        let best = runs.nodes.iter().filter(|(_, met)| *met == most);
        let ending = best.clone().find(|(at, _)| ends.contains(at));
        let line = ending.or_else(|| best.clone().next()).map(|node| runs.line(*node));
        Reach { most, least, line: line.unwrap_or_default() }
    }
}

/// Events of the sequence that a run has after a step: those of one step in any order, but causes
/// before what follows from them.
fn met_after(happening: &[Event], events: &[Event], mut met: usize) -> usize {
    let mut taken: Vec<usize> = Vec::new();
    while let Some(next) = events.get(met) {
        let is_late = |at: usize| {
            let mut behind = taken.iter().filter(|it| at < **it);
            behind.any(|it| leads_to(happening, *next, happening[*it]))
        };
        let places = happening.iter().enumerate().filter(|(_, it)| *it == next);
        let mut places = places.map(|(at, _)| at);
        let Some(at) = places.find(|at| !taken.contains(at) && !is_late(*at)) else { break };
        taken.push(at);
        met += 1;
    }
    met
}

/// Which of two events comes first, over all runs; each counted where it first happens.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Precedence {
    /// Some run has both, the first event before the second.
    pub(crate) first_before: bool,
    /// Some run has both, the second event before the first.
    pub(crate) then_before: bool,
    /// Some run has both at once.
    pub(crate) at_once: bool,
    /// Some run that ends has the first event only.
    pub(crate) only_first: bool,
    /// Some run that ends has the second event only.
    pub(crate) only_then: bool,
    /// Some run that ends has neither.
    pub(crate) neither: bool,
    /// Some run stops, undecided, before both have happened.
    pub(crate) is_open: bool,
}

impl Precedence {
    /// Whether every run has both, the first before the second.
    pub(crate) fn always(&self) -> bool {
        self.first_before && *self == Precedence { first_before: true, ..Precedence::default() }
    }
}

/// Which of two events a run has had.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Had {
    Neither,
    First,
    Then,
    FirstThenThen,
    ThenThenFirst,
    AtOnce,
}

/// Which of two events comes first.
#[must_use]
pub fn precedence(found: &Exploration, first: Event, then: Event) -> Precedence {
    let meet = |had: Had, happening: &[Event]| {
        let leads = |one: Event, other: Event| leads_to(happening, one, other);
        match (had, happening.contains(&first), happening.contains(&then)) {
            (Had::Neither, true, true) if leads(first, then) => Had::FirstThenThen,
            (Had::Neither, true, true) if leads(then, first) => Had::ThenThenFirst,
            (Had::Neither, true, true) => Had::AtOnce,
            (Had::Neither, true, false) => Had::First,
            (Had::Neither, false, true) => Had::Then,
            (Had::First, _, true) => Had::FirstThenThen,
            (Had::Then, true, _) => Had::ThenThenFirst,
            (had, ..) => had,
        }
    };
    let runs = Runs::new(found, Had::Neither, meet);
    let some = |wanted: Had| runs.nodes.iter().any(|(_, had)| *had == wanted);
    let open = ends(found, |ending| matches!(ending, Ending::Undecided(_)));
    let is_both = |had: Had| matches!(had, Had::FirstThenThen | Had::ThenThenFirst | Had::AtOnce);
    let stops_early = runs.nodes.iter().any(|(at, had)| open.contains(at) && !is_both(*had));
    let ended: Vec<Had> = runs.at_the_end(found).collect();
    let ends_with = |wanted: Had| ended.contains(&wanted);
    Precedence {
        first_before: some(Had::FirstThenThen),
        then_before: some(Had::ThenThenFirst),
        at_once: some(Had::AtOnce),
        only_first: ends_with(Had::First),
        only_then: ends_with(Had::Then),
        neither: ends_with(Had::Neither),
        is_open: found.is_cut_short || stops_early,
    }
}

/// Events of a run that a sequence leaves out, of those that `matters` picks.
#[must_use]
pub fn left_out(
    found: &Exploration,
    line: &[usize],
    sequence: &[Event],
    matters: impl Fn(Event) -> bool,
) -> Vec<Event> {
    let told: BTreeSet<Event> = sequence.iter().copied().collect();
    let mut left = Vec::new();
    for event in line.iter().flat_map(|step| found.steps[*step].events.iter().copied()) {
        if matters(event) && !told.contains(&event) && !left.contains(&event) {
            left.push(event);
        }
    }
    left
}
