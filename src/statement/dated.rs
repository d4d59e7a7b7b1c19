//! "The drawings were done in September 2032", "the first shot had been fired by 4 May 2033".

use super::clause::{ClauseSentence, Phrase};
use super::lexicon::{Role, Roles};
use super::{StatedRelation, Statement};
use crate::text::Span;
use crate::text::calendar::{WrittenDate, find_dates};

/// How something that happened stands to a date.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum DateBound {
    /// "On 4 May", "in May 2033".
    On,
    /// "By 4 May", "by the end of May 2033".
    By,
    /// "Before 4 May".
    Before,
    /// "After 4 May".
    After,
}

/// Whether a sentence with words of these roles may hold any of this.
pub(super) fn wakes(says: Roles) -> bool {
    says.meets(Roles::of(&[Role::Digit, Role::Ordinal]))
}

pub(super) fn read(sentence: &ClauseSentence<'_>, found: &mut Vec<Statement>) {
    found.extend(dated(sentence));
}

fn dated(sentence: &ClauseSentence<'_>) -> Option<Statement> {
    let date = only_date(sentence)?;
    let last = sentence.words.len();
    let is_in = |at: &usize| date.span.overlaps(sentence.words[*at].span());
    let at = (0..last).find(is_in)?;
    let behind = (at..last).find(|at| !is_in(at)).unwrap_or(last);
    let (from, bound) = match sentence.before(at, 1) {
        "on" | "in" | "dated" => (at - 1, DateBound::On),
        "was" | "is" | "wa" => (at, DateBound::On),
        "by" => (at - 1, DateBound::By),
        "before" => (at - 1, DateBound::Before),
        "after" => (at - 1, DateBound::After),
        "of" if sentence.before(at, 2) == "end" && sentence.before(at, 4) == "by" => {
            (at - 4, DateBound::By)
        }
        _ => return None,
    };
    // "Two weeks before", "not on": more is said than a date.
    let is_more = |at: usize| {
        sentence.is(at, Role::Order) || sentence.is(at, Role::Denial) || sentence.is(at, Role::When)
    };
    if (0..last).any(|at| !(from..behind).contains(&at) && is_more(at)) {
        return None;
    }
    let before: Option<Phrase> = sentence.told(0, from);
    let what = match (before, sentence.told(behind, last)) {
        (Some(before), Some(behind)) => before.joined(&behind),
        (before, behind) => before.or(behind)?,
    };
    let relation = StatedRelation::Dated { what, date, bound };
    Some(Statement::new(sentence.stretch(0, last), relation))
}

/// The date of a sentence that has one and no other.
fn only_date(sentence: &ClauseSentence<'_>) -> Option<WrittenDate> {
    let text = sentence.text.get(sentence.span.start..sentence.span.end)?;
    let mut dates = find_dates(text).into_iter();
    let date = match (dates.next(), dates.next()) {
        (Some(date), None) => {
            // A day without its month may be any.
            date.month?;
            WrittenDate { span: date.span.shifted(sentence.span.start), ..date }
        }
        (None, _) => year_alone(sentence)?,
        _ => return None,
    };
    Some(date)
}

/// "In 2033", "by the end of 2033".
fn year_alone(sentence: &ClauseSentence<'_>) -> Option<WrittenDate> {
    let mut years = sentence.words.iter().filter_map(|word| {
        let span: Span = word.span();
        let year = sentence.text.get(span.start..span.end)?;
        let is_year = year.len() == 4 && !sentence.is_figure(span);
        let year: i64 = year.parse().ok().filter(|year| is_year && (1800..2200).contains(year))?;
        Some(WrittenDate { span, year: Some(year), month: None, day: None })
    });
    years.next().filter(|_| years.next().is_none())
}
