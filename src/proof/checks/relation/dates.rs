//! Which dated event of the timelines a clause tells, and which of two came first.

use super::{StatementAnswer, StatementNames, StatementStanding};
use crate::folio::KnownEvent;
use crate::folio::meaning::event_words;
use crate::quantity::Dimension;
use crate::quantity::Figure;
use crate::quantity::exact::to_f64;
use crate::quantity::judge::interval_of;
use crate::quantity::reader::{self as figures, ReadOptions};
use crate::statement::{Phrase, is_light};
use crate::text::Date;
use ahash::AHashSet;

/// Seconds.
const DAY: f64 = 86_400.0;

impl StatementNames<'_> {
    /// "Alder was drawn before Elder had fired its first shot"; of several events that are meant
    /// together, each.
    pub(super) fn dated_before(&self, first: &Phrase, then: &Phrase) -> Option<StatementAnswer> {
        let (firsts, by) = self.dated(first, then)?;
        let (thens, also_by) = self.dated(then, first)?;
        let by = by.or(also_by);
        let pairs = firsts.iter().flat_map(|first| thens.iter().map(move |then| (*first, *then)));
        let answers = pairs.map(|(first, then)| {
            (!std::ptr::eq(first, then)).then(|| dates_answer(first, then, by.as_ref()))
        });
        StatementAnswer::all(answers.collect::<Option<_>>()?)
    }

    /// The event that a clause tells best, half of its words at least and hardly any other, with
    /// the time that it tells beside: "two weeks". "Any of the surveys" are those of every engine.
    fn dated(
        &self,
        phrase: &Phrase,
        beside: &Phrase,
    ) -> Option<(Vec<&KnownEvent>, Option<Figure>)> {
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
        let names = &self.folio.timeline.engine_words;
        let is_name = |word: &String| names.contains(word);
        let named = self.engines(phrase, None);
        let own: Vec<usize> = self.own.into_iter().collect();
        let homes = if named.is_empty() { &own } else { &named };
        let mut spoken = event_words(&text);
        if self.said_words(phrase).is_empty() && spoken.iter().all(is_name) {
            // "Before the Two": did the same.
            spoken = event_words(self.text.get(beside.span.start..beside.span.end)?);
        }
        let of_homes = self.events_told(&spoken, |sheet| homes.contains(&sheet));
        let found = match (of_homes.is_empty(), named.is_empty()) {
            // What happened once happened, whosever page tells it.
            (true, true) => self.events_told(&spoken, |_| true),
            _ => of_homes,
        };
        let is_meant = found.len() == 1 || EACH.iter().any(|word| phrase.has(word));
        let mut sheets: Vec<usize> = found.iter().map(|event| event.sheet).collect();
        sheets.dedup();
        (!found.is_empty() && is_meant && sheets.len() == found.len()).then_some((found, time))
    }

    /// The events of some sheets that words tell best.
    fn events_told(
        &self,
        spoken: &AHashSet<String>,
        is_of: impl Fn(usize) -> bool,
    ) -> Vec<&KnownEvent> {
        let names = &self.folio.timeline.engine_words;
        let told = self.folio.timeline.told(spoken).filter(|(_, event)| is_of(event.sheet));
        let fits = told.filter(|(met, event)| {
            let words = event.words.difference(names).count();
            let is_beside = |word: &&String| {
                !event.words.contains(*word) && !names.contains(*word) && !is_light(word)
            };
            let beside = spoken.iter().filter(is_beside).count();
            // "The spool draws air" is not "Willow drawn".
            (words < 2 * met || words == 2 * met && beside == 0) && beside < *met
        });
        let fits: Vec<(usize, &KnownEvent)> = fits.collect();
        let best = fits.iter().map(|(met, _)| *met).max().unwrap_or(0);
        fits.into_iter().filter(|(met, _)| *met == best).map(|(_, event)| event).collect()
    }
}

/// Words by which all of a sort are meant.
const EACH: [&str; 6] = ["any", "all", "each", "every", "both", "either"];

fn dates_answer(first: &KnownEvent, then: &KnownEvent, by: Option<&Figure>) -> StatementAnswer {
    let mut standing = is_before(&first.on, &then.on);
    if let (Some(by), Some(days)) = (by, first.on.days_to(&then.on)) {
        // "Two weeks before": by as much.
        let (low, high) = interval_of(by);
        let apart = days as f64 * DAY;
        standing = Some(to_f64(&low) <= apart && apart <= to_f64(&high));
    }
    let standing = standing.map_or(StatementStanding::Open, StatementStanding::of);
    let told = |event: &KnownEvent| format!("“{}” was on {}", event.what, event.on);
    let reason = format!("{}, {}", told(first), told(then));
    let question = format!("“{}” before “{}”", first.what, then.what);
    StatementAnswer { standing, reason, question }
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
