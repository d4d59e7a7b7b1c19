//! Dates in prose against the timelines of the pages: events that are dated and have a source.
//!
//! A date that is an event's is that event's. One that is none is held against the event that its
//! words name: one slip of the hand away from that it stops, and without words it is asked about.
//! A duration beside a date ("three weeks after the first shot") is the time between two events.

use crate::folio::meaning::event_words;
use crate::folio::words::{sentences, words};
use crate::folio::{Folio, KnownEvent};
use crate::proof::figure::{JudgedFigure, Status};
use crate::proof::passage::Passage;
use crate::proof::prose::{Group, PageContext, by_itself};
use crate::quantity::exact::to_f64;
use crate::quantity::judge::interval_of;
use crate::quantity::{Amount, Dimension};
use crate::slip::Slip;
use crate::text::calendar::{WrittenDate, find_dates};
use crate::text::{Date, Span, edit_distance};
use ahash::{AHashMap, AHashSet};

/// Worth of the words of an event that make a date one slip away a slip of its date.
const NAMED: f64 = 1.0;
/// Share of a word's worth where it stands in the sentence before or in the heading.
const BEFORE: f64 = 0.3;
const DAY: f64 = 86_400.0;

/// The events that a page may speak of.
#[derive(Debug, Default)]
pub(in crate::proof) struct Timeline {
    events: Vec<NamedEvent>,
}

/// An event, and what each of its words is worth.
#[derive(Debug)]
struct NamedEvent {
    on: Date,
    what: String,
    /// What it was and who did it, for notes.
    how: String,
    words: Vec<(String, f64)>,
}

impl Timeline {
    /// The events of some sheets.
    pub(in crate::proof) fn new(folio: &Folio, is_about: impl Fn(usize) -> bool) -> Self {
        let known: Vec<&KnownEvent> =
            folio.timeline.iter().filter(|event| is_about(event.sheet)).collect();
        let mut shared: AHashMap<String, f64> = AHashMap::new();
        for word in known.iter().flat_map(|event| &event.words) {
            *shared.entry(word.clone()).or_default() += 1.0;
        }
        let count = known.len() as f64;
        let worth = |word: String| {
            let worth = libm::log(1.0 + count / shared.get(&word).copied().unwrap_or(1.0));
            (word, worth)
        };
        let events = known.into_iter().map(|known| NamedEvent {
            on: known.on,
            what: known.what.clone(),
            how: match &known.by {
                Some(by) => format!("{} by {by}, as the timeline has it", known.kind.word()),
                None => format!("{}, as the timeline has it", known.kind.word()),
            },
            words: known.words.iter().cloned().map(worth).collect(),
        });
        Timeline { events: events.collect() }
    }
}

impl NamedEvent {
    /// What the words of a sentence, the one before and the heading say for it.
    fn weight(&self, [now, before, heading]: [&AHashSet<String>; 3]) -> f64 {
        let mut worth: Vec<f64> = self
            .words
            .iter()
            .map(|(word, worth)| match (now.contains(word), before.contains(word)) {
                (true, _) => *worth,
                (false, true) => BEFORE * worth,
                _ if heading.contains(word) => BEFORE * worth,
                _ => 0.0,
            })
            .collect();
        // Added up in one order, whatever that of the set is.
        worth.sort_by(f64::total_cmp);
        worth.iter().sum()
    }
}

/// Judges the dates of a passage, and takes the durations out of `groups` that are the time
/// between two events.
pub(in crate::proof) fn judge(
    passage: &Passage<'_>,
    groups: &mut Vec<Group>,
    context: &PageContext<'_>,
    slips: &mut Vec<Slip>,
) -> Vec<JudgedFigure> {
    let timeline = context.timeline();
    let events = timeline.events.as_slice();
    if events.is_empty() || passage.setting.is_some() {
        return Vec::new();
    }
    let mut judged = Vec::new();
    let heading = event_words(passage.heading);
    let mut before = event_words(passage.lead);
    let mut last: Option<Date> = None;
    let mut dates = find_dates(passage.text).into_iter().peekable();
    let mut rest = std::mem::take(groups).into_iter().peekable();
    for sentence in sentences(passage.text) {
        let now = event_words(&passage.text[sentence.start..sentence.end]);
        while let Some(date) = dates.next_if(|date| date.span.start < sentence.end) {
            let weigh = |event: &NamedEvent| event.weight([&now, &before, &heading]);
            let found = one(passage, &date, events, &weigh, slips);
            last = found.or(last);
        }
        while let Some(group) = rest.next_if(|group| group.span.start < sentence.end) {
            let found = match last {
                Some(date) => between(passage, group, date, events, slips),
                None => Err(Box::new(group)),
            };
            match found {
                Ok(figure) => judged.push(figure),
                Err(group) => groups.push(*group),
            }
        }
        before = now;
    }
    groups.extend(rest);
    judged
}

/// Judges a date, and gives the day that it is.
fn one(
    passage: &Passage<'_>,
    date: &WrittenDate,
    events: &[NamedEvent],
    weigh: &dyn Fn(&NamedEvent) -> f64,
    slips: &mut Vec<Slip>,
) -> Option<Date> {
    if let Some(event) = events.iter().find(|event| date.may_be(&event.on)) {
        return Some(event.on);
    }
    let mut near: Vec<(f64, &NamedEvent)> = events
        .iter()
        .filter(|event| one_slip(date, &event.on))
        .map(|event| (weigh(event), event))
        .collect();
    near.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.on.cmp(&b.1.on)));
    let best = events.iter().map(weigh).fold(0.0, f64::max);
    let (words, event) = near.first()?;
    // A day of the month alone is near to many.
    if date.month.is_none() && *words < NAMED {
        return None;
    }
    let stops = NAMED <= *words && best <= *words;
    let said = &passage.text[date.span.start..date.span.end];
    let (what, on) = (&event.what, event.on);
    let spot = passage.spot(date.span);
    slips.push(if stops {
        let message = format!("“{what}” was on {on}; this says {said}");
        Slip::stop("date-disagrees", spot, message).noting(event.how.clone())
    } else {
        let message = format!("did you mean {on}, “{what}”? this says {said}");
        Slip::mark("near-miss", spot, message)
    });
    None
}

/// Whether a written date is one slip of the hand away from a day: in the day, the month or the
/// year, while all else that it says is right.
pub(super) fn one_slip(date: &WrittenDate, meant: &Date) -> bool {
    let wrong = |said: Option<i64>, is: Option<i64>| said.is_some() && said != is;
    let day = wrong(date.day, meant.day());
    let month = wrong(date.month, meant.month());
    let year = wrong(date.year, Some(meant.year()));
    let near = |said: Option<i64>, is: Option<i64>| {
        said.zip(is).is_some_and(|(said, is)| is_slip_of(said, is))
    };
    match (day, month, year) {
        (true, false, false) => near(date.day, meant.day()),
        // Another month with the very day.
        (false, true, false) => date.day.is_some(),
        (false, false, true) => near(date.year, Some(meant.year())),
        _ => false,
    }
}

/// Whether a whole number is one slip of the hand, or of the ear, away from another.
fn is_slip_of(said: i64, meant: i64) -> bool {
    let is_teen = |teen: i64, ty: i64| (13..20).contains(&teen) && ty == 10 * (teen - 10);
    let near = edit_distance(&said.to_string(), &meant.to_string(), 1);
    is_teen(said, meant) || is_teen(meant, said) || near.is_some_and(|edits| edits <= 1)
}

/// Words behind a duration that make it the time between two events.
const APART: [&str; 7] = ["after", "later", "before", "earlier", "since", "to", "from"];

/// A duration beside the date of an event: settled where it is the time to another event, and
/// asked about where it is one slip from that.
fn between(
    passage: &Passage<'_>,
    group: Group,
    date: Date,
    events: &[NamedEvent],
    slips: &mut Vec<Slip>,
) -> Result<JudgedFigure, Box<Group>> {
    let figure = &group.members[0];
    let of_days = figure.unit.factor.to_f64();
    if figure.unit.dimension != Dimension::TIME || of_days < DAY {
        return Err(Box::new(group));
    }
    let behind = &passage.text[group.span.end..];
    let next = words(behind, Span::new(0, behind.floor_char_boundary(IN_SIGHT.min(behind.len()))));
    if !next.iter().take(2).any(|word| APART.contains(&word.stem.as_str())) {
        return Err(Box::new(group));
    }
    let (low, high) = interval_of(figure);
    let (low, high) = (to_f64(&low), to_f64(&high));
    let apart = events.iter().filter_map(|event| Some(date.days_to(&event.on)?.abs()));
    let mut apart: Vec<i64> = apart.filter(|days| 0 < *days).collect();
    apart.sort_unstable();
    apart.dedup();
    if apart.iter().any(|days| low <= *days as f64 * DAY && *days as f64 * DAY <= high) {
        return Ok(by_itself(group, Status::Computed));
    }
    let Amount::Point(number) = &figure.amount else {
        return Err(Box::new(group));
    };
    let said = to_f64(&number.value());
    let in_unit = |days: &i64| *days as f64 * DAY / of_days;
    let is_slip =
        |meant: f64| 10.0 <= said && is_slip_of(said.round() as i64, meant.round() as i64);
    let Some(days) = apart.iter().find(|days| is_slip(in_unit(days))) else {
        return Err(Box::new(group));
    };
    let stated = &passage.text[group.span.start..group.span.end];
    let message = format!("did you mean {days} days, from {date}? this says {stated}");
    slips.push(Slip::mark("near-miss", passage.spot(group.span), message));
    Ok(by_itself(group, Status::Untied))
}

/// Bytes behind a duration in which its words stand.
const IN_SIGHT: usize = 40;
