//! Which dated event of the timelines a clause tells, and which of two came first.

use super::super::dated::said;
use super::{StatementAnswer, StatementNames, StatementStanding};
use crate::folio::KnownEvent;
use crate::quantity::Dimension;
use crate::quantity::Figure;
use crate::quantity::exact::to_f64;
use crate::quantity::judge::interval_of;
use crate::quantity::reader::{self as figures, ReadOptions};
use crate::statement::{Phrase, Role};
use crate::text::Date;

/// Seconds.
const DAY: f64 = 86_400.0;

impl StatementNames<'_> {
    /// "The Skep was drawn before the Trug had fired its first shot".
    pub(super) fn dated_before(&self, first: &Phrase, then: &Phrase) -> Option<StatementAnswer> {
        let (first, by) = self.dated(first)?;
        let (then, also_by) = self.dated(then)?;
        if std::ptr::eq(first, then) {
            return None;
        }
        let mut standing = is_before(&first.on, &then.on);
        if let (Some(by), Some(days)) = (by.or(also_by), first.on.days_to(&then.on)) {
            // "Two weeks before": by as much.
            let (low, high) = interval_of(&by);
            let apart = days as f64 * DAY;
            standing = Some(to_f64(&low) <= apart && apart <= to_f64(&high));
        }
        let standing = standing.map_or(StatementStanding::Open, StatementStanding::of);
        let told = |event: &KnownEvent| format!("“{}” was on {}", event.what, event.on);
        let reason = format!("{}, {}", told(first), told(then));
        let question = format!("“{}” before “{}”", first.what, then.what);
        Some(StatementAnswer { standing, reason, question })
    }

    /// The one event that a clause tells best: more than half of its words, and hardly any other;
    /// with the time that it tells beside: "two weeks".
    fn dated(&self, phrase: &Phrase) -> Option<(&KnownEvent, Option<Figure>)> {
        let span = phrase.span;
        let mut text = self.text.get(span.start..span.end)?.to_owned();
        let mut times = figures::read(&text, &ReadOptions::default()).figures;
        times.retain(|time| time.unit.dimension == Dimension::TIME);
        if 1 < times.len() || times.iter().any(|time| time.unit.factor.to_f64() < DAY) {
            return None;
        }
        let time = times.pop();
        if let Some(time) = &time {
            text.replace_range(time.span.start..time.span.end, "");
        }
        let homes = self.homes(phrase);
        let [home] = homes.as_slice() else { return None };
        if phrase.is(Role::Denial) {
            return None;
        }
        let names = self.folio.ledger.sheets.get(*home)?.engine.clone()?;
        let names = said(&names.replace('_', " "));
        let spoken = said(&text);
        let words = |event: &KnownEvent| {
            let mut words = said(&event.what);
            words.retain(|word| !names.contains(word));
            words
        };
        let fits = self.folio.timeline.iter().filter(|event| event.sheet == *home);
        let mut fits: Vec<(usize, &KnownEvent)> = fits
            .filter_map(|event| {
                let words = words(event);
                let met = words.iter().filter(|word| spoken.contains(*word)).count();
                let beside =
                    spoken.iter().filter(|word| !words.contains(*word) && !names.contains(*word));
                // "The spool draws air" is not "Willow drawn".
                let fits = words.len() < 2 * met && beside.count() < met;
                fits.then_some((met, event))
            })
            .collect();
        fits.sort_by_key(|(met, _)| std::cmp::Reverse(*met));
        match fits.as_slice() {
            [(_, event)] => Some((*event, time)),
            [(best, event), (next, _), ..] if next < best => Some((*event, time)),
            _ => None,
        }
    }
}

/// Whether one day is before another, as far as they are known.
fn is_before(first: &Date, then: &Date) -> Option<bool> {
    let parts = |date: &Date| [Some(date.year()), date.month(), date.day()];
    for pair in parts(first).into_iter().zip(parts(then)) {
        match pair {
            (Some(one), Some(other)) if one != other => return Some(one < other),
            (Some(_), Some(_)) => {}
            _ => return None,
        }
    }
    None
}
