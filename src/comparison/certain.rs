//! What is certain in the order of a run that is compared: an order is told only where every run
//! of the engine has it.

use super::lane_words::beside_in_both;
use super::milestones::Milestone;
use super::sequence::{Lane, LanePlace, Told};
use crate::cutaway::model::Event;
use crate::logic::{AllRuns, Exploration, Happening, pieces};
use std::collections::BTreeMap;

/// Events of which all pairs are looked at.
const MOST_EVENTS: usize = 200;
/// Pairs that are told; of more the count is.
const MOST_TOLD: usize = 3;

/// How one event of an engine stands to another of its events.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum EventOrder {
    Before,
    After,
    AtOnce,
    Either,
}

impl EventOrder {
    pub(super) fn words(self) -> &'static str {
        match self {
            EventOrder::Before => "before",
            EventOrder::After => "after",
            EventOrder::AtOnce => "at once with",
            EventOrder::Either => "in either order with",
        }
    }
}

/// The runs of one engine, where there are not too many to look at.
pub(super) struct Certain {
    runs: Option<AllRuns>,
}

impl Certain {
    pub(super) fn of(run: &Exploration) -> Certain {
        Certain { runs: AllRuns::of(run) }
    }

    /// Whether it was looked at what may come in another order.
    pub(super) fn is_known(&self) -> bool {
        self.runs.is_some()
    }

    /// Gives events that may come in another order among themselves the same letter.
    pub(super) fn letter(&self, told: &mut [Told]) {
        let Some(runs) = &self.runs else { return };
        let mut steps: Vec<(usize, Vec<Happening>)> = Vec::new();
        for event in told.iter() {
            match steps.last_mut() {
                Some((step, events)) if *step == event.place => events.push(event.happening()),
                _ => steps.push((event.place, vec![event.happening()])),
            }
        }
        let events: Vec<Vec<Happening>> = steps.iter().map(|(_, events)| events.clone()).collect();
        let open = pieces(runs, &events).into_iter().filter(|piece| 1 < piece.len());
        for (piece, letter) in open.zip(('a'..='z').cycle()) {
            let places: Vec<usize> = piece.iter().map(|at| steps[*at].0).collect();
            let open = told.iter_mut().filter(|event| places.contains(&event.place));
            open.for_each(|event| event.letter = Some(letter));
        }
    }

    /// How one event stands to another; as in the run that is told where no others were looked at.
    pub(super) fn beside(&self, one: &Told, other: &Told) -> EventOrder {
        self.known_order(one, other).unwrap_or_else(|| match one.place.cmp(&other.place) {
            std::cmp::Ordering::Less => EventOrder::Before,
            std::cmp::Ordering::Equal => EventOrder::AtOnce,
            std::cmp::Ordering::Greater => EventOrder::After,
        })
    }

    /// The same; `None` where it was not looked at what may come in another order.
    pub(super) fn known_order(&self, one: &Told, other: &Told) -> Option<EventOrder> {
        let runs = self.runs.as_ref()?;
        let (one, other) = (one.happening(), other.happening());
        Some(if runs.comes_before(one, other) {
            EventOrder::Before
        } else if runs.comes_before(other, one) {
            EventOrder::After
        } else if runs.is_at_once(one, other) {
            EventOrder::AtOnce
        } else {
            EventOrder::Either
        })
    }

    /// How often an event comes at least and at most in a run; `None` where it was not looked at.
    pub(super) fn times(&self, event: Event) -> Option<(usize, usize)> {
        self.runs.as_ref()?.times(event)
    }

    /// Whether an event comes in some runs only.
    pub(super) fn is_in_some_only(&self, told: &Told) -> bool {
        self.runs.as_ref().is_some_and(|runs| runs.is_in_some_only(told.happening()))
    }
}

/// Pairs of events that come in a certain order in one engine and in either in the other, though
/// the runs compared have them in the same order.
pub(super) fn only_certain_in_one(
    titles: &[String; 2],
    certain: &[Certain; 2],
    lanes: &[Lane],
) -> Vec<String> {
    let in_both = lanes.iter().filter(|lane| {
        matches!(lane.place, LanePlace::Same | LanePlace::ByOther)
            && lane.told.iter().all(Option::is_some)
    });
    let in_both: Vec<[&Told; 2]> = in_both
        .filter_map(|lane| Some([lane.told[0].as_ref()?, lane.told[1].as_ref()?]))
        .take(MOST_EVENTS)
        .collect();
    let mut says = Vec::new();
    let mut told_last = None;
    for (at, one) in in_both.iter().enumerate() {
        // The first that stands otherwise is enough: those behind it follow.
        let other = in_both[at + 1..].iter().find_map(|other| {
            let [here, there] =
                [0, 1].map(|side: usize| certain[side].beside(one[side], other[side]));
            let is_other = (here == EventOrder::Either) != (there == EventOrder::Either);
            is_other.then_some((other, here, there))
        });
        let Some((other, here, there)) = other else { continue };
        // What happens at once with the one before, and stands to the same, is told already.
        let steps = Some((one.map(|it| it.place), other.map(|it| it.place)));
        if std::mem::replace(&mut told_last, steps) != steps {
            let pair = [(one[0], here, other[0]), (one[1], there, other[1])];
            says.push(beside_in_both(pair, titles));
        }
    }
    if MOST_TOLD < says.len() {
        let more = says.len() - MOST_TOLD;
        says.truncate(MOST_TOLD);
        says.push(format!("{more} more events are certain in order in one of the two only"));
    }
    says
}

/// The first two milestones that come in one order in every run of the first engine and in the
/// other in every run of the second: "the ball leaves after the store is shut in Rowan, before it
/// in Ash".
pub(super) fn turned_milestones(
    titles: &[String; 2],
    certain: &[Certain; 2],
    lanes: &[Lane],
) -> Option<String> {
    let decided = || lanes.iter().filter(|lane| lane.place != LanePlace::Beyond);
    let reached = [0, 1].map(|side: usize| {
        let told = decided().filter_map(|lane| lane.told[side].as_ref());
        told.filter_map(|told| Some((told.milestone?, told)))
            .collect::<BTreeMap<Milestone, &Told>>()
    });
    let order = |side: usize, one: &Milestone, other: &Milestone| {
        let (one, other) = (reached[side].get(one)?, reached[side].get(other)?);
        certain[side].known_order(one, other)
    };
    let milestones: Vec<&Milestone> = reached[0].keys().collect();
    milestones.iter().enumerate().find_map(|(at, one)| {
        milestones[at + 1..].iter().find_map(|other| {
            let (here, there) = match (order(0, one, other)?, order(1, one, other)?) {
                (EventOrder::Before, EventOrder::After) => ("before", "after"),
                (EventOrder::After, EventOrder::Before) => ("after", "before"),
                _ => return None,
            };
            let [title, other_title] = titles;
            let (one, other) = (one.clause(), other.clause());
            Some(format!("{one} {here} {other} in {title}, {there} it in {other_title}"))
        })
    })
}
