//! What is taken for granted of times, held against the times that the page states.
//!
//! A dwell is taken to outlast the motion that it starts (see `logic`). Where the clock has a
//! figure and an event a time, they say so or not; and events have the order of their times.

use super::facts::held;
use super::measured::{Readings, spot};
use super::routing::Routed;
use crate::cutaway::event_words;
use crate::cutaway::model::{Event, Name, Returns};
use crate::formula::{Margin, Truth};
use crate::logic::Exploration;
use crate::quantity::Dimension;
use crate::slip::Slip;

/// Judges the times of a cutaway's events.
pub(super) fn judge(routed: &Routed, readings: Readings<'_>) -> Vec<Slip> {
    let Some(shot) = &routed.shot else { return Vec::new() };
    let sayings = routed.engine.sayings.iter();
    let timed: Vec<(Event, &Name)> =
        sayings.filter_map(|saying| Some((saying.event, saying.after.as_ref()?))).collect();
    let judge = Judge { routed, readings, found: &shot.found };
    let mut slips: Vec<Slip> = timed.iter().filter_map(|(_, name)| judge.no_time(name)).collect();
    if !slips.is_empty() {
        return slips;
    }
    let in_order = judge.in_order(&timed);
    for pair in in_order.windows(2) {
        if let [first, then] = pair {
            slips.extend(judge.order(*first, *then));
        }
    }
    for (clock, events) in judge.clocks(&in_order) {
        slips.extend(events.into_iter().filter_map(|timed| judge.dwell(clock, timed)));
    }
    slips
}

type Timed<'a> = (Event, &'a Name);

struct Judge<'a> {
    routed: &'a Routed,
    readings: Readings<'a>,
    found: &'a Exploration,
}

impl<'a> Judge<'a> {
    /// A figure that is no time.
    fn no_time(&self, name: &Name) -> Option<Slip> {
        let value = self.readings.value(&name.id)?;
        let is_time = value.quantity.dimension == Dimension::TIME;
        let message = format!("`{}` is a {}, and no time", name.id, value.quantity.dimension);
        let slip = Slip::stop("other-kind-wanted", spot(name, self.routed), message);
        (!is_time).then(|| slip.help("name the time from the trigger to the event"))
    }

    /// The timed events of the told run, as they come there.
    fn in_order(&self, timed: &[Timed<'a>]) -> Vec<Timed<'a>> {
        let events = self.found.line_events();
        let place = |event: Event| events.iter().position(|other| *other == event);
        let mut placed: Vec<(usize, Timed<'a>)> =
            timed.iter().filter_map(|timed| Some((place(timed.0)?, *timed))).collect();
        placed.sort_by_key(|(place, _)| *place);
        placed.into_iter().map(|(_, timed)| timed).collect()
    }

    /// Two events whose times have the other order.
    fn order(&self, first: Timed<'_>, then: Timed<'_>) -> Option<Slip> {
        let held = held(&format!("{} <= {}", first.1.id, then.1.id), self.readings)?;
        let Truth::False(Margin::Certain) = held.truth else { return None };
        let engine = &self.routed.engine;
        let message = format!(
            "\u{201c}{}\u{201d} comes before \u{201c}{}\u{201d}, and by the figures of the page after it",
            event_words(engine, first.0),
            event_words(engine, then.0)
        );
        let slip = Slip::stop("times-contradict", spot(then.1, self.routed), message);
        Some(slip.works_out(held.account).help("put the times or the order right"))
    }

    /// Clocks with a figure, and the timed events that they are taken to outlast: those between
    /// what starts a clock and its end.
    fn clocks(&self, in_order: &[Timed<'a>]) -> Vec<(&'a Name, Vec<Timed<'a>>)> {
        let events = self.found.line_events();
        let place = |event: Event| events.iter().position(|other| *other == event);
        let valves = self.routed.engine.valves.entries();
        let clocks = valves.filter_map(|(at, valve)| {
            let Returns::After(clock) = &valve.returns else { return None };
            let value = self.readings.value(&clock.id)?;
            let (from, to) = (place(Event::Shifts(at))?, place(Event::Returns(at))?);
            // Times count from the first trigger; a clock that starts later would need its start.
            let starts_with_it = !in_order.iter().any(|(event, _)| place(*event) < Some(from));
            (value.quantity.dimension == Dimension::TIME && starts_with_it).then(|| {
                let between = in_order
                    .iter()
                    .filter(|(event, _)| place(*event).is_some_and(|at| from <= at && at < to));
                (clock, between.copied().collect())
            })
        });
        clocks.collect()
    }

    /// An event that comes later than the clock allows.
    fn dwell(&self, clock: &Name, (event, after): Timed<'_>) -> Option<Slip> {
        let held = held(&format!("{} <= {}", after.id, clock.id), self.readings)?;
        let said = event_words(&self.routed.engine, event);
        let outlasts = format!("that the {} outlasts \u{201c}{said}\u{201d}", clock.spoken());
        let spot = spot(after, self.routed);
        match held.truth {
            Truth::False(_) => {
                let message = format!(
                    "the run takes for granted {outlasts}, and by the figures of the page it does not"
                );
                let slip = Slip::stop("times-contradict", spot, message).works_out(held.account);
                Some(
                    slip.help(
                        "put the dwell or the times right, or say with `order` what comes first",
                    ),
                )
            }
            Truth::True(Margin::WithinUncertainty) => {
                let message = format!("within the \u{b1} of its figures it could fail {outlasts}");
                Some(Slip::mark("fact-uncertain", spot, message).noting(held.account))
            }
            Truth::True(Margin::Certain) | Truth::Undecided(_) => None,
        }
    }
}
