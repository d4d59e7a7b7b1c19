//! The told run as a partial order: which of its steps may also come later than others, and what
//! that hangs on.

use super::follow::precedence;
use super::state::Exploration;
use crate::cutaway::model::{Element, Engine, Event, PartId, Returns};
use std::collections::BTreeSet;

/// Steps of runs that are looked at for each pair before it is left.
const MOST_WORK: usize = 3_000_000;

/// A step of the told run that may also come after later ones.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Exchange {
    /// Its place in the told run, from 0.
    pub(crate) step: usize,
    /// Places of the later steps that may come first.
    pub(crate) after: Vec<usize>,
    /// What that hangs on: "how fast the drive room empties, the mass and friction of the spool".
    pub(crate) hangs_on: String,
}

/// The steps of the told run whose order is not certain; `None` where there is too much to look at.
/// A step is known by what happens for the first time in it.
pub(crate) fn exchanges(engine: &Engine, found: &Exploration) -> Option<Vec<Exchange>> {
    let mut happened = BTreeSet::new();
    let new = |step: &usize| {
        let mut first = None;
        for event in &found.steps[*step].events {
            if happened.insert(*event) {
                first = first.or(Some(*event));
            }
        }
        first
    };
    let told: Vec<Option<Event>> = found.line.iter().map(new).collect();
    let pairs = told.len() * told.len() / 2;
    if found.is_cut_short || MOST_WORK < pairs * found.steps.len() {
        return None;
    }
    let mut exchanges = Vec::new();
    for (step, event) in told.iter().enumerate() {
        let Some(event) = event else { continue };
        let is_open = |later: &Event| {
            let order = precedence(found, *event, *later);
            order.first_before && order.then_before
        };
        let later = told.iter().enumerate().skip(step + 1);
        let later = later.filter_map(|(at, later)| Some((at, (*later)?)));
        let open: Vec<(usize, Event)> = later.filter(|(_, later)| is_open(later)).collect();
        if !open.is_empty() {
            let mut pace = vec![pace(engine, *event)];
            for (_, later) in &open {
                let words = self::pace(engine, *later);
                if !pace.contains(&words) {
                    pace.push(words);
                }
            }
            let after = open.iter().map(|(at, _)| *at).collect();
            exchanges.push(Exchange { step, after, hangs_on: pace.join(", ") });
        }
    }
    Some(exchanges)
}

/// What decides which of two events comes first where nothing that is said does.
pub(crate) fn hangs_on(engine: &Engine, first: Event, then: Event) -> String {
    let (one, other) = (pace(engine, first), pace(engine, then));
    if one == other { one } else { format!("{one} against {other}") }
}

/// What makes an event early or late.
fn pace(engine: &Engine, event: Event) -> String {
    let the = |thing: Element| thing.the(engine);
    let part = |at: PartId| format!("the mass and friction of {}", the(Element::Part(at)));
    match event {
        Event::Pulled(at) | Event::Released(at) => {
            format!("when the hand is at {}", the(Element::Trigger(at)))
        }
        Event::Returns(at) if matches!(engine.valves[at].returns, Returns::After(_)) => {
            format!("the dwell of {}", the(Element::Valve(at)))
        }
        Event::Shifts(at) | Event::Returns(at) => {
            format!("how fast {} answers", the(Element::Valve(at)))
        }
        Event::Unlatches(at) | Event::Latches(at) => part(at),
        Event::Leaves(at, _) | Event::Reaches(at, _) => part(at),
        Event::Opens(at) | Event::Closes(at) => format!("what works {}", the(Element::Way(at))),
        Event::Fills(at) | Event::Rises(at, _) => {
            format!("how fast {} fills", the(Element::Chamber(at)))
        }
        Event::Drops(at) | Event::Empties(at) | Event::Falls(at, _) => {
            format!("how fast {} empties", the(Element::Chamber(at)))
        }
        Event::BallLeaves => format!("how fast {} gets out", the(Element::Ball)),
        Event::BallFed => format!("how fast the next {} drops", Element::Ball.spoken(engine)),
    }
}
