//! Which dated event of the timelines a clause tells, and which of two came first.

use super::super::dated::one_slip;
use super::{StatementAnswer, StatementNames, StatementStanding};
use crate::folio::KnownEvent;
use crate::folio::meaning::event_words;
use crate::folio::words::TextWord;
use crate::quantity::Dimension;
use crate::quantity::exact::to_f64;
use crate::quantity::judge::interval_of;
use crate::quantity::reader::{self as figures, ReadOptions};
use crate::statement::{DateBound, Phrase, Role, cardinal, describes, is_light, may};
use crate::text::Date;
use crate::text::calendar::WrittenDate;
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
            (!std::ptr::eq(first, then)).then(|| dates_answer(first, then, by))
        });
        StatementAnswer::all(answers.collect::<Option<_>>()?)
    }

    /// The event that a clause tells best, half of its words at least and hardly any other, with
    /// the time that it tells beside: "two weeks". "Any of the surveys" are those of every engine.
    fn dated(
        &self,
        phrase: &Phrase,
        beside: &Phrase,
    ) -> Option<(Vec<&KnownEvent>, Option<DaysApart>)> {
        let timeline = &self.folio.timeline;
        if timeline.is_empty() {
            return None;
        }
        let span = phrase.span;
        let (text, time) = without_times(self.text.get(span.start..span.end)?)?;
        let names = &timeline.engine_words;
        let is_name = |word: &String| names.contains(word);
        // "Three weeks" are no three engines.
        let counts = |word: &TextWord| cardinal(&word.stem).is_some();
        let untimed = phrase.clone().without(|word| time.is_some() && counts(word));
        let named = self.engines(&untimed, None);
        let own: Vec<usize> = self.own.into_iter().collect();
        let homes = if named.is_empty() { &own } else { &named };
        let mut spoken = event_words(&text);
        if spoken.iter().all(is_name) && self.said_words(phrase).is_empty() {
            // "Before the Two": did the same.
            let (text, _) = without_times(self.text.get(beside.span.start..beside.span.end)?)?;
            spoken = event_words(&text);
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
        let told = self.folio.timeline.told(spoken).into_iter();
        let fits = told.filter(|event| is_of(event.sheet)).filter_map(|event| {
            let deed: Vec<&String> = event.deed.difference(names).collect();
            let is_only_deed = deed.iter().all(|word| is_deed(word));
            let words = || deed.iter().filter(|word| is_only_deed || !is_deed(word));
            let met = words().filter(|word| spoken.contains(**word)).count();
            let is_beside = |word: &&String| {
                !words().any(|own| own == word) && !names.contains(*word) && !is_light(word)
            };
            let beside = spoken.iter().filter(is_beside).count();
            let is_whole = words().count() < 2 * met || words().count() == 2 * met && beside == 0;
            // "The spool draws air" is not "Willow drawn".
            (is_whole && beside < met).then_some((met, event))
        });
        let fits: Vec<(usize, &KnownEvent)> = fits.collect();
        let best = fits.iter().map(|(met, _)| *met).max().unwrap_or(0);
        let fits = fits.into_iter().filter(|(met, _)| *met == best);
        let mut found: Vec<&KnownEvent> = fits.map(|(_, event)| event).collect();
        // A revision and an event of its day are one.
        found.dedup_by_key(|event| (event.sheet, event.on));
        found
    }

    /// "The drawings were done in September 2032": the one event whose every word is said, and
    /// hardly anything else.
    pub(super) fn dated_on(
        &self,
        what: &Phrase,
        date: &WrittenDate,
        bound: DateBound,
    ) -> Option<StatementAnswer> {
        let named = self.engines(what, None);
        let own: Vec<usize> = self.own.into_iter().collect();
        let homes = if named.is_empty() { &own } else { &named };
        let spoken: Vec<&str> = what.words.iter().map(|word| word.stem.as_str()).collect();
        let spoken = event_words(&spoken.join(" "));
        let names = &self.folio.timeline.engine_words;
        let tells = |event: &KnownEvent| {
            let is_beside = |word: &&String| !event.deed.contains(*word) && !names.contains(*word);
            // Sizes that it was changed from and to need not be said.
            let is_size = |word: &&String| word.starts_with(|c: char| c.is_ascii_digit());
            let things = event.deed.difference(names);
            let mut things = things.filter(|word| !is_deed(word) && !is_size(word)).peekable();
            homes.contains(&event.sheet)
                && things.peek().is_some()
                && things.all(|word| spoken.contains(word))
                && spoken.iter().filter(is_beside).all(|word| is_deed(word))
        };
        let told = self.folio.timeline.told(&spoken).into_iter();
        let mut events: Vec<&KnownEvent> = told.filter(|event| tells(event)).collect();
        events.dedup_by_key(|event| (event.sheet, event.on));
        let [event] = events.as_slice() else { return None };
        let standing = match bound {
            DateBound::On if is_vague(&event.on, date) => None,
            DateBound::On => Some(date.may_be(&event.on)),
            DateBound::By => at_most(&event.on, date),
            DateBound::Before => earlier(&event.on, date),
            DateBound::After => at_most(&event.on, date).map(|is_by| !is_by),
        };
        // One slip of the hand from the event's date is told as such.
        let is_told = date.month.is_some() && one_slip(date, &event.on);
        if standing == Some(false) && bound == DateBound::On && is_told {
            return None;
        }
        let standing = standing.map_or(StatementStanding::Open, StatementStanding::of);
        let reason = format!("“{}” was on {}", event.what, event.on);
        let question = format!("date of “{}”", event.what);
        Some(StatementAnswer { standing, reason, question })
    }
}

/// Days of what is longer than a day, where they are counted in it, and by how much of itself one
/// may differ from another.
const LONGER: [(&str, f64, f64); 4] =
    [("fortnight", 14.0, 0.0), ("week", 7.0, 0.0), ("month", 30.44, 0.03), ("year", 365.25, 0.003)];

/// Fewest and most days.
type DaysApart = [f64; 2];

/// A text without the time that it tells, and that time in days; `None` where it tells several, or
/// one that cannot be counted in days.
fn without_times(text: &str) -> Option<(String, Option<DaysApart>)> {
    let words = text.split(|c: char| !c.is_alphanumeric());
    let mut longer = words.filter_map(|word| {
        let one = word.strip_suffix('s').unwrap_or(word);
        Some((*LONGER.iter().find(|(long, ..)| *long == one)?, word))
    });
    let found = longer.next();
    if longer.next().is_some() {
        return None;
    }
    // What is counted in weeks is read like what is counted in days.
    let mut rest = text.to_owned();
    if let Some((_, word)) = found {
        let one = [format!("a {word}"), format!("one {word}")];
        rest = one.iter().fold(rest, |rest, one| rest.replace(one.as_str(), "1 days"));
        rest = rest.replace(word, "days").replace("1 days and a half", "1.5 days");
    }
    let mut times = figures::read(&rest, &ReadOptions::default()).figures;
    times.retain(|time| time.unit.dimension == Dimension::TIME);
    let time = match times.as_slice() {
        [] => return found.is_none().then_some((rest, None)),
        [time] if DAY <= time.unit.factor.to_f64() => time,
        _ => return None,
    };
    if rest[time.span.end..].starts_with(" and a half") {
        return None;
    }
    let (_, days, slack) = found.map_or(("day", 1.0, 0.0), |(it, _)| it);
    let (low, high) = interval_of(time);
    let limits =
        [to_f64(&low) / DAY * days * (1.0 - slack), to_f64(&high) / DAY * days * (1.0 + slack)];
    rest.replace_range(time.span.start..time.span.end, "");
    Some((rest, Some(limits)))
}

/// Whether a word only says that something was done, and not to what.
fn is_deed(word: &str) -> bool {
    const DONE: [Role; 4] = [Role::Verb, Role::Be, Role::Have, Role::Done];
    is_light(word) && !may(word, Role::Ordinal)
        || describes(word)
        || DONE.iter().any(|role| may(word, *role))
}

/// Whether a text says more of the day than is known.
fn is_vague(on: &Date, date: &WrittenDate) -> bool {
    date.month.is_some() && on.month().is_none() || date.day.is_some() && on.day().is_none()
}

/// Whether a day is not behind the last of those that a text may mean.
fn at_most(on: &Date, date: &WrittenDate) -> Option<bool> {
    match earlier(on, date) {
        Some(is_earlier) => Some(is_earlier || date.may_be(on)),
        None => date.may_be(on).then_some(true),
    }
}

/// Whether a day is before the first of those that a text may mean.
fn earlier(on: &Date, date: &WrittenDate) -> Option<bool> {
    let pairs = [(Some(on.year()), date.year), (on.month(), date.month), (on.day(), date.day)];
    for (is, said) in pairs {
        match (is, said) {
            (Some(is), Some(said)) if is != said => return Some(is < said),
            (Some(_), Some(_)) => {}
            (_, None) => return Some(false),
            (None, Some(_)) => return None,
        }
    }
    Some(false)
}

/// Words by which all of a sort are meant.
const EACH: [&str; 6] = ["any", "all", "each", "every", "both", "either"];

fn dates_answer(first: &KnownEvent, then: &KnownEvent, by: Option<DaysApart>) -> StatementAnswer {
    let mut standing = is_before(&first.on, &then.on);
    if let Some([low, high]) = by {
        // "Two weeks before": by as much.
        let days = first.on.days_to(&then.on).map(|days| days as f64);
        standing = days.map(|days| low <= days && days <= high);
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
