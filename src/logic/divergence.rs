//! Where a run goes wrong that could have gone well: the two events whose order makes the
//! difference.

use super::follow::precedence;
use super::state::{Ending, Exploration, Step};
use crate::cutaway::model::Event;
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// The event that should come first and the one that must not, at the last moment from which a
/// run could still have come back to rest; `None` where no run from there could, or where nothing
/// else could have happened.
pub(crate) fn turning_point(
    found: &Exploration,
    state: usize,
    ending: &Ending,
) -> Option<(Event, Event)> {
    let good = can_rest(found);
    let path = match ending {
        Ending::Repeats(head) => path(found, *head, *head)?,
        _ => path(found, 0, state)?,
    };
    let on_path: BTreeSet<usize> = path.iter().map(|step| found.steps[*step].to).collect();
    let is_way_out = |other: &&Step, taken: &Step| {
        other.from == taken.from
            && other.events != taken.events
            && good.contains(&other.to)
            && !on_path.contains(&other.to)
    };
    path.iter().rev().find_map(|step| {
        let taken = &found.steps[*step];
        let mut others = found.steps.iter().filter(|other| is_way_out(other, taken));
        others.find_map(|other| open_pair(found, other, taken))
    })
}

/// An event of one step and one of another of which either may come first: an `order` of others
/// would say nothing, or what no run can follow.
fn open_pair(found: &Exploration, one: &Step, other: &Step) -> Option<(Event, Event)> {
    let own = one.events.iter().filter(|event| !other.events.contains(event));
    let pairs = own.flat_map(|event| other.events.iter().map(move |it| (*event, *it)));
    let mut pairs = pairs.filter(|(_, then)| !one.events.contains(then));
    pairs.find(|(first, then)| {
        let order = precedence(found, *first, *then);
        order.first_before && !order.always()
    })
}

/// The steps of the loop that begins and ends in a state.
pub(crate) fn round(found: &Exploration, head: usize) -> Vec<&Step> {
    let steps = path(found, head, head).unwrap_or_default();
    steps.into_iter().map(|step| &found.steps[step]).collect()
}

/// What may happen instead of an event, at a moment at which it may happen.
pub(crate) fn instead_of(found: &Exploration, event: Event) -> Option<Event> {
    let brings = |step: &Step| step.events.contains(&event);
    found.steps.iter().filter(|step| brings(step)).find_map(|step| {
        let others = found.steps.iter().filter(|other| other.from == step.from && !brings(other));
        let mut firsts = others.filter_map(|other| other.events.first().copied());
        firsts.find(|other| !precedence(found, event, *other).always())
    })
}

/// States from which some run comes back to rest.
fn can_rest(found: &Exploration) -> BTreeSet<usize> {
    let mut into: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for step in &found.steps {
        into.entry(step.to).or_default().push(step.from);
    }
    let ends = found.endings.iter().filter(|(_, ending)| *ending == Ending::AtRest);
    let mut queue: VecDeque<usize> = ends.map(|(at, _)| *at).collect();
    let mut good: BTreeSet<usize> = queue.iter().copied().collect();
    while let Some(at) = queue.pop_front() {
        for from in into.get(&at).into_iter().flatten() {
            if good.insert(*from) {
                queue.push_back(*from);
            }
        }
    }
    good
}

/// The shortest way from one state to another, of at least one step.
fn path(found: &Exploration, from: usize, to: usize) -> Option<Vec<usize>> {
    let out = found.out();
    let mut came_by: BTreeMap<usize, usize> = BTreeMap::new();
    let mut queue = VecDeque::from([from]);
    while let Some(at) = queue.pop_front() {
        for step in &out[at] {
            let next = found.steps[*step].to;
            if let std::collections::btree_map::Entry::Vacant(new) = came_by.entry(next) {
                new.insert(*step);
                queue.push_back(next);
            }
        }
    }
    let mut steps = Vec::new();
    let mut here = to;
    loop {
        let step = *came_by.get(&here)?;
        steps.push(step);
        here = found.steps[step].from;
        if here == from {
            steps.reverse();
            return Some(steps);
        }
    }
}
