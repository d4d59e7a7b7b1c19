//! A writer's sequence against what can happen, and which of two events comes first.

use super::state::Exploration;
use crate::cutaway::model::Event;
use std::collections::{BTreeMap, BTreeSet};

/// How one event of a written sequence stands to what can happen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Standing {
    /// It comes there in every run.
    Follows,
    /// It comes there in some runs; in others it comes elsewhere or not at all.
    Possible,
    /// It happens, but not there: before the event at this index of the sequence.
    Early(usize),
    /// It happens, but not again after the events before it.
    Once,
    /// It happens in no run, though all runs end.
    Never,
    /// It was not reached: some run stops before it because something is not decided.
    Open,
}

/// A written sequence as it was followed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Followed {
    /// How each event stands, in the order of the sequence.
    pub events: Vec<Standing>,
    /// Steps of a run that has the events which fit, in their order.
    pub line: Vec<usize>,
}

impl Followed {
    /// Whether every event comes where the sequence has it, in every run.
    #[must_use]
    pub fn is_certain(&self) -> bool {
        self.events.iter().all(|standing| *standing == Standing::Follows)
    }
}

/// Follows a sequence. Events that do not fit are left out, so that one that is out of place does
/// not spoil those after it.
#[must_use]
pub fn follow(found: &Exploration, sequence: &[Event]) -> Followed {
    let happening: BTreeSet<Event> =
        found.steps.iter().flat_map(|step| step.events.iter().copied()).collect();
    let is_open = found.is_cut_short
        || found.endings.iter().any(|(_, ending)| matches!(ending, super::Ending::Undecided(_)));
    let mut standing: Vec<Option<Standing>> = sequence
        .iter()
        .map(|event| {
            let absent = if is_open { Standing::Open } else { Standing::Never };
            (!happening.contains(event)).then_some(absent)
        })
        .collect();
    loop {
        let kept: Vec<usize> = (0..sequence.len()).filter(|at| standing[*at].is_none()).collect();
        let events: Vec<Event> = kept.iter().map(|at| sequence[*at]).collect();
        let reach = Reach::new(found, &events);
        let Some(misfit) = kept.get(reach.most) else {
            for (place, at) in kept.iter().enumerate() {
                let fits = place < reach.least;
                standing[*at] = Some(if fits { Standing::Follows } else { Standing::Possible });
            }
            let events = standing.into_iter().flatten().collect();
            return Followed { events, line: reach.line };
        };
        let before: Vec<usize> = kept[..reach.most].to_vec();
        standing[*misfit] = Some(misplaced(found, sequence, &before, *misfit));
    }
}

/// An event that cannot follow those before it: which of them it comes before.
fn misplaced(found: &Exploration, sequence: &[Event], before: &[usize], misfit: usize) -> Standing {
    let earlier = before.iter().find(|at| {
        let order = precedence(found, sequence[misfit], sequence[**at]);
        order.first_before && !order.then_before
    });
    let earlier = earlier.or_else(|| before.last()).copied();
    match earlier {
        Some(at) if sequence[at] != sequence[misfit] => Standing::Early(at),
        _ => Standing::Once,
    }
}

/// A state, and how many events of the sequence have been met on the way to it.
type Node = (usize, usize);

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
        let out = out(found);
        let ends: BTreeSet<usize> = found.endings.iter().map(|(at, _)| *at).collect();
        // Depth first over (state, events met so far), the teller's order first.
        let mut came_by: BTreeMap<Node, Option<(Node, usize)>> = BTreeMap::from([((0, 0), None)]);
        let mut stack = vec![(0, 0)];
        let mut order = Vec::new();
        let (mut most, mut least) = (0, events.len());
        while let Some((at, met)) = stack.pop() {
            order.push((at, met));
            most = most.max(met);
            if ends.contains(&at) {
                least = least.min(met);
            }
            for step in out[at].iter().rev() {
                let after = met_after(&found.steps[*step].events, events, met);
                let next = (found.steps[*step].to, after);
                came_by.entry(next).or_insert_with(|| {
                    stack.push(next);
                    Some(((at, met), *step))
                });
            }
        }
        let is_end = |node: &&(usize, usize)| node.1 == most && ends.contains(&node.0);
        let best = order.iter().find(is_end).or_else(|| order.iter().find(|node| node.1 == most));
        let mut line = Vec::new();
        let mut here = best.copied().unwrap_or((0, 0));
        while let Some(Some((before, step))) = came_by.get(&here) {
            line.push(*step);
            here = *before;
        }
        line.reverse();
        Reach { most, least: least.min(most), line }
    }
}

fn met_after(happening: &[Event], events: &[Event], mut met: usize) -> usize {
    for event in happening {
        if events.get(met) == Some(event) {
            met += 1;
        }
    }
    met
}

fn out(found: &Exploration) -> Vec<Vec<usize>> {
    let mut out = vec![Vec::new(); found.states.len()];
    for (at, step) in found.steps.iter().enumerate() {
        out[step.from].push(at);
    }
    out
}

/// Which of two events comes first, over all runs; each counted where it first happens.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Precedence {
    /// Some run has the first event before the second.
    pub first_before: bool,
    /// Some run has the second event before the first.
    pub then_before: bool,
    /// Some run that ends lacks the first event.
    pub first_lacking: bool,
    /// Some run that ends lacks the second event.
    pub then_lacking: bool,
    /// Some run stops, undecided, before both have happened.
    pub is_open: bool,
}

impl Precedence {
    /// Whether every run has both, the first before the second.
    #[must_use]
    pub fn always(&self) -> bool {
        self.first_before && *self == Precedence { first_before: true, ..Precedence::default() }
    }
}

/// Which of two events comes first.
#[must_use]
pub fn precedence(found: &Exploration, first: Event, then: Event) -> Precedence {
    let out = out(found);
    let mut answer = Precedence { is_open: found.is_cut_short, ..Precedence::default() };
    let mut seen = BTreeSet::from([(0, false, false)]);
    let mut stack = vec![(0, false, false)];
    while let Some((at, had_first, had_then)) = stack.pop() {
        let endings = found.endings.iter().filter(|(state, _)| *state == at);
        for (_, ending) in endings {
            if matches!(ending, super::Ending::Undecided(_)) {
                answer.is_open |= !(had_first && had_then);
            } else {
                answer.first_lacking |= !had_first;
                answer.then_lacking |= !had_then;
            }
        }
        for step in &out[at] {
            let (mut has_first, mut has_then) = (had_first, had_then);
            for event in &found.steps[*step].events {
                if *event == first && !has_first {
                    has_first = true;
                    answer.first_before |= !has_then;
                }
                if *event == then && !has_then {
                    has_then = true;
                    answer.then_before |= !has_first;
                }
            }
            let next = (found.steps[*step].to, has_first, has_then);
            if seen.insert(next) {
                stack.push(next);
            }
        }
    }
    answer
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
