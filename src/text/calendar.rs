//! Dates in running text: "4 March 2031", "March 4", "the fourth of March", "on the 11th",
//! "2031-03-04".

use super::{Date, Span};

/// A date as a text says it, as far as it says it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct WrittenDate {
    pub(crate) span: Span,
    pub(crate) year: Option<i64>,
    /// 1 to 12.
    pub(crate) month: Option<i64>,
    /// 1 to 31.
    pub(crate) day: Option<i64>,
}

impl WrittenDate {
    /// Whether a whole date is one of those that the text may mean.
    pub(crate) fn may_be(&self, date: &Date) -> bool {
        let fits = |said: Option<i64>, is: Option<i64>| said.is_none_or(|said| is == Some(said));
        fits(self.year, Some(date.year()))
            && fits(self.month, date.month())
            && fits(self.day, date.day())
    }
}

pub(crate) const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

const ORDINALS: [&str; 20] = [
    "first",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "eighth",
    "ninth",
    "tenth",
    "eleventh",
    "twelfth",
    "thirteenth",
    "fourteenth",
    "fifteenth",
    "sixteenth",
    "seventeenth",
    "eighteenth",
    "nineteenth",
    "twentieth",
];

/// Days that have a name: words, month, day.
const NAMED: [(&str, i64, i64); 5] = [
    ("New Year's Eve", 12, 31),
    ("New Year's Day", 1, 1),
    ("Christmas Eve", 12, 24),
    ("Christmas Day", 12, 25),
    ("Boxing Day", 12, 26),
];

/// Every date of a text, in order.
pub(crate) fn find_dates(text: &str) -> Vec<WrittenDate> {
    let words = words(text);
    let mut found: Vec<WrittenDate> = Vec::new();
    for at in 0..words.len() {
        let date = with_month(text, &words, at)
            .or_else(|| of_digits(text, words[at]))
            .or_else(|| day_alone(text, &words, at));
        if let Some(date) = date
            && found.last().is_none_or(|last| last.span.end <= date.span.start)
        {
            found.push(date);
        } else if let Some(date) = date
            && found.last().is_some_and(|last| last.month.is_none() && date.month.is_some())
        {
            found.pop();
            found.push(date);
        }
    }
    for (name, month, day) in NAMED {
        for (at, _) in text.match_indices(name) {
            let span = Span::new(at, at + name.len());
            found.push(WrittenDate { span, year: None, month: Some(month), day: Some(day) });
        }
    }
    found.sort_by_key(|date| date.span);
    found
}

/// Runs of letters and digits, with the hyphens inside.
fn words(text: &str) -> Vec<Span> {
    let mut found = Vec::new();
    let mut start = None;
    for (at, c) in text.char_indices() {
        match (c.is_alphanumeric() || c == '-' && start.is_some(), start) {
            (true, None) => start = Some(at),
            (false, Some(from)) => {
                found.push(Span::new(from, at));
                start = None;
            }
            _ => {}
        }
    }
    found.extend(start.map(|from| Span::new(from, text.len())));
    found
}

/// "2031-03-04".
fn of_digits(text: &str, word: Span) -> Option<WrittenDate> {
    let date = Date::read(&text[word.start..word.end]).filter(Date::is_whole)?;
    Some(WrittenDate { span: word, year: Some(date.year()), month: date.month(), day: date.day() })
}

/// A date around the month at `at`.
fn with_month(text: &str, words: &[Span], at: usize) -> Option<WrittenDate> {
    let word = |at: usize| words.get(at).map_or("", |span| &text[span.start..span.end]);
    if !word(at).starts_with(|c: char| c.is_ascii_uppercase()) {
        return None;
    }
    let lower = word(at).to_lowercase();
    let named = |month: &str| month == lower || 3 <= lower.len() && lower == month[..3];
    let month = MONTHS.iter().position(|month| named(month))?;
    let month = i64::try_from(month).ok()? + 1;
    let gap = |first: usize| text.get(words[first].end..words.get(first + 1)?.start);
    let is_close = |first: usize| gap(first).is_some_and(|gap| matches!(gap.trim(), "" | ","));
    let mut span = words[at];
    let mut day_number = None;
    if let Some(before) = at.checked_sub(1) {
        let before = match (word(before), before.checked_sub(1)) {
            ("of", Some(earlier)) => earlier,
            _ => before,
        };
        let is_joined = text[words[before].end..words[at].start].trim();
        if matches!(is_joined, "" | "of") {
            day_number = day(word(before));
        }
        if day_number.is_some() {
            span.start = words[before].start;
        }
    }
    let mut last = at;
    if day_number.is_none() && is_close(at) {
        day_number = day(word(at + 1));
        if day_number.is_some() {
            last = at + 1;
        }
    }
    let year = is_close(last).then(|| year(word(last + 1))).flatten();
    if year.is_some() {
        last += 1;
    }
    span.end = words[last].end;
    (day_number.is_some() || year.is_some()).then_some(WrittenDate {
        span,
        year,
        month: Some(month),
        day: day_number,
    })
}

/// Words before "the 11th" that make it a day.
const BEFORE_A_DAY: [&str; 8] = ["on", "by", "from", "until", "till", "since", "before", "after"];

/// "On the 11th", where nothing behind it is counted by it.
fn day_alone(text: &str, words: &[Span], at: usize) -> Option<WrittenDate> {
    let word = |at: usize| words.get(at).map_or("", |span| &text[span.start..span.end]);
    let (before, earlier) = (at.checked_sub(1)?, at.checked_sub(2)?);
    let is_digits = word(at).starts_with(|c: char| c.is_ascii_digit());
    let opens =
        word(before) == "the" && BEFORE_A_DAY.contains(&word(earlier).to_lowercase().as_str());
    let ordinal = word(at).ends_with("st")
        || word(at).ends_with("nd")
        || word(at).ends_with("rd")
        || word(at).ends_with("th");
    let day = (opens && is_digits && ordinal).then(|| day(word(at))).flatten()?;
    Some(WrittenDate { span: words[at], year: None, month: None, day: Some(day) })
}

/// "4", "4th", "fourth", "twenty-first".
fn day(word: &str) -> Option<i64> {
    let lower = word.to_lowercase();
    let number = ["st", "nd", "rd", "th"].iter().find_map(|end| lower.strip_suffix(end));
    let number = number.unwrap_or(&lower);
    if let Ok(day) = number.parse::<i64>() {
        return (number.len() <= 2 && (1..=31).contains(&day)).then_some(day);
    }
    let of = |word: &str| ORDINALS.iter().position(|known| *known == word);
    let (tens, ones) = match lower.split_once('-') {
        Some(("twenty", ones)) => (20, ones),
        Some(("thirty", ones)) => (30, ones),
        Some(_) => return None,
        None if lower == "thirtieth" => return Some(30),
        None => (0, lower.as_str()),
    };
    let ones = i64::try_from(of(ones)?).ok()? + 1;
    let day = tens + ones;
    ((tens == 0 || ones < 10) && day <= 31).then_some(day)
}

fn year(word: &str) -> Option<i64> {
    let is_year = word.len() == 4 && word.bytes().all(|b| b.is_ascii_digit());
    let year = is_year.then(|| word.parse().ok()).flatten()?;
    (1000..3000).contains(&year).then_some(year)
}

#[cfg(test)]
mod tests {
    use super::*;

    type Found<'t> = (&'t str, Option<i64>, Option<i64>, Option<i64>);

    fn found(text: &str) -> Vec<Found<'_>> {
        let dates = find_dates(text).into_iter();
        dates.map(|d| (&text[d.span.start..d.span.end], d.year, d.month, d.day)).collect()
    }

    #[test]
    fn dates_are_read_as_people_write_them() {
        let whole = (Some(2031), Some(3), Some(4));
        for text in ["4 March 2031", "March 4, 2031", "March 4th, 2031", "2031-03-04"] {
            assert_eq!(found(&format!("Made {text}.")), [(text, whole.0, whole.1, whole.2)]);
        }
        assert_eq!(
            found("It came on the fourth of March and left on the 11th."),
            [("fourth of March", None, Some(3), Some(4)), ("11th", None, None, Some(11))]
        );
        assert_eq!(
            found("From the twenty-first of May to June 1999."),
            [
                ("twenty-first of May", None, Some(5), Some(21)),
                ("June 1999", Some(1999), Some(6), None)
            ]
        );
        assert_eq!(
            found("On New Year's Eve we met."),
            [("New Year's Eve", None, Some(12), Some(31))]
        );
    }

    #[test]
    fn words_that_only_look_like_dates_are_none() {
        for text in [
            "It may 4 times fail.",
            "March on, 4 of you.",
            "the 2nd stage",
            "on the second stage",
            "12 bar in May",
        ] {
            assert!(found(text).is_empty(), "{text}: {:?}", found(text));
        }
    }
}
