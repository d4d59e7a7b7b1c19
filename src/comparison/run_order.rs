//! The runs of an engine in an order that structure gives, so that it does not matter how the
//! engine is written down which of several equal runs is compared.

use super::isomorphism::mixed;
use super::words::Two;
use crate::cutaway::model::{Element, Event};
use crate::logic::{Ending, Exploration, Step, follow, rank};
use std::collections::BTreeSet;

/// What happens, with the steps in an order of their own.
pub(super) struct RunsInOrder {
    found: Exploration,
    /// The place that each step had.
    original: Vec<usize>,
    /// Steps out of each state.
    out: Vec<Vec<usize>>,
}

impl RunsInOrder {
    pub(super) fn of(two: &Two<'_>, side: usize, run: &Exploration) -> RunsInOrder {
        let key = |step: &Step| {
            let mut events: Vec<_> =
                step.events.iter().map(|it| event_key(two, side, *it)).collect();
            events.sort_unstable();
            (step.from, events)
        };
        let mut original: Vec<usize> = (0..run.steps.len()).collect();
        original.sort_by_cached_key(|at| (key(&run.steps[*at]), *at));
        let step = |at: &usize| Step { why: String::new(), ..run.steps[*at].clone() };
        let steps: Vec<Step> = original.iter().map(step).collect();
        let mut out = vec![Vec::new(); run.states.len()];
        for (at, step) in steps.iter().enumerate() {
            out[step.from].push(at);
        }
        RunsInOrder { found: Exploration { steps, ..run.clone() }, original, out }
    }

    /// One run, to rest if one gets there, and one in which the ball leaves before one in which it
    /// does not: a part that moves goes on first, as one would tell it.
    pub(super) fn line(&self) -> Vec<usize> {
        if self.out.is_empty() {
            return Vec::new();
        }
        let ends = |wanted: &dyn Fn(&Ending) -> bool| -> BTreeSet<usize> {
            let ends = self.found.endings.iter().filter(|(_, ending)| wanted(ending));
            ends.map(|(at, _)| *at).collect()
        };
        let at_rest = ends(&|ending| *ending == Ending::AtRest);
        let at_an_end = ends(&|_| true);
        let lines = [(&at_rest, true), (&at_rest, false), (&at_an_end, true), (&at_an_end, false)];
        let line = lines.into_iter().find_map(|(ends, fires)| self.first_to(ends, fires));
        self.told(line.unwrap_or_default())
    }

    /// The first run to one of these states; where it `fires`, one in which the ball leaves.
    fn first_to(&self, ends: &BTreeSet<usize>, fires: bool) -> Option<Vec<usize>> {
        // By state, and whether the ball has left on the way there.
        let mut seen = vec![[false; 2]; self.out.len()];
        let mut stack = vec![(0, self.next(0, None), 0)];
        let mut line: Vec<usize> = Vec::new();
        let leaves = |step: &usize| self.found.steps[*step].events.contains(&Event::BallLeaves);
        seen[0][0] = true;
        while let Some((at, steps, next)) = stack.pop() {
            let has_left = line.iter().any(leaves);
            if ends.contains(&at) && !line.is_empty() && (has_left || !fires) {
                return Some(line);
            }
            let Some(step) = steps.get(next).copied() else {
                line.pop();
                continue;
            };
            stack.push((at, steps, next + 1));
            let to = self.found.steps[step].to;
            let seen = &mut seen[to][usize::from(has_left || leaves(&step))];
            if !*seen {
                *seen = true;
                line.push(step);
                let part = moving(&self.found.steps[step]);
                stack.push((to, self.next(to, part), 0));
            }
        }
        (ends.contains(&0) && !fires).then(Vec::new)
    }

    /// The steps out of a state, those of the part that moved last in front.
    fn next(&self, at: usize, last: Option<Element>) -> Vec<usize> {
        let mut steps = self.out[at].clone();
        steps.sort_by_key(|step| {
            let part = moving(&self.found.steps[*step]);
            part.is_none() || part != last
        });
        steps
    }

    /// The run that has most of these events, in their order.
    pub(super) fn nearest(&self, wanted: &[Event]) -> Vec<usize> {
        self.told(follow(&self.found, wanted).line)
    }

    fn told(&self, line: Vec<usize>) -> Vec<usize> {
        line.into_iter().map(|step| self.original[step]).collect()
    }
}

/// The part that moves by a step.
fn moving(step: &Step) -> Option<Element> {
    let moves = |event: &&Event| matches!(event, Event::Leaves(..) | Event::Reaches(..));
    step.events.iter().find(moves).and_then(|event| event.subject().owner())
}

/// What a thing's events are sorted by, where both engines need the same order: causes before what
/// they bring about, then structure.
pub(super) fn event_key(two: &Two<'_>, side: usize, event: Event) -> (u8, u64, &'static str) {
    (rank(event), number(two, side, event.subject()), event.verb())
}

/// The place of a thing among those of both engines; a pressure goes by its room.
fn number(two: &Two<'_>, side: usize, thing: Element) -> u64 {
    let of = |thing: Element| two.order[side].get(&thing).copied().unwrap_or(0);
    match thing {
        Element::Pressure(room, mark) => mixed(of(Element::Chamber(room)), mark.place() as u64),
        thing => of(thing),
    }
}
