//! Calendar dates as writers type them: `2026-03-02`, or `2026-03` and `2026` where no more is
//! known (ISO 8601, the extended form).

use std::cmp::Ordering;
use std::fmt;

/// A date of the Gregorian calendar, whole or as far as it is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Date {
    year: i64,
    /// 1 to 12.
    month: Option<i64>,
    /// 1 to 31; only beside a month.
    day: Option<i64>,
}

impl Date {
    /// Reads a date; `None` where the text is none of the calendar's.
    #[must_use]
    pub fn read(text: &str) -> Option<Date> {
        let mut parts = text.trim().split('-');
        let mut next = |length: usize, most: i64| -> Option<Option<i64>> {
            let Some(part) = parts.next() else { return Some(None) };
            let is_number = part.len() == length && part.bytes().all(|b| b.is_ascii_digit());
            let number = is_number.then(|| part.parse::<i64>().ok()).flatten()?;
            (1..=most).contains(&number).then_some(Some(number))
        };
        let (year, month, day) = (next(4, 9999)??, next(2, 12)?, next(2, 31)?);
        let fits = match (month, day) {
            (Some(month), Some(day)) => day <= days_in(year, month),
            _ => true,
        };
        (fits && parts.next().is_none()).then_some(Date { year, month, day })
    }

    pub(crate) fn year(&self) -> i64 {
        self.year
    }

    /// 1 to 12, where it is known.
    pub(crate) fn month(&self) -> Option<i64> {
        self.month
    }

    /// 1 to 31, where it is known.
    pub(crate) fn day(&self) -> Option<i64> {
        self.day
    }

    /// Whether its day is known.
    pub(crate) fn is_whole(&self) -> bool {
        self.day.is_some()
    }

    /// Whether it is earlier for certain: `2025` may be before `2025-03` or after it.
    pub(crate) fn is_surely_before(&self, other: &Date) -> bool {
        let parts = |date: &Date| [Some(date.year), date.month, date.day];
        let known = parts(self).into_iter().zip(parts(other));
        let known = known.map_while(|(own, other)| Some((own?, other?)));
        known.map(|(own, other)| own.cmp(&other)).find(|order| order.is_ne())
            == Some(Ordering::Less)
    }

    /// Days from this one to a later one, where both days are known.
    pub(crate) fn days_to(&self, later: &Date) -> Option<i64> {
        Some(later.day_number()? - self.day_number()?)
    }

    /// Days since the start of the year 0, by counting years from March, so that a leap day is the
    /// last of its year.
    fn day_number(&self) -> Option<i64> {
        let (month, day) = (self.month?, self.day?);
        let year = if month < 3 { self.year - 1 } else { self.year };
        let since_march = (month + 9) % 12;
        let leaps = year / 4 - year / 100 + year / 400;
        Some(365 * year + leaps + (153 * since_march + 2) / 5 + day)
    }
}

fn days_in(year: i64, month: i64) -> i64 {
    let is_leap = year % 4 == 0 && year % 100 != 0 || year % 400 == 0;
    match month {
        2 => 28 + i64::from(is_leap),
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}", self.year)?;
        for part in [self.month, self.day].into_iter().flatten() {
            write!(f, "-{part:02}")?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_days_of_the_calendar_are_dates() {
        for text in ["2026-03-02", "2024-02-29", "2000-02-29", "2026-03", "2026"] {
            assert_eq!(Date::read(text).map(|date| date.to_string()).as_deref(), Some(text));
        }
        for text in ["2026-02-29", "1900-02-29", "2026-04-31", "2026-13-01", "2026-3-2", "soon"] {
            assert_eq!(Date::read(text), None, "{text}");
        }
        for text in ["", "02-03-2026", "2026-03-02-01", "+026-03-02", "0000-01-01"] {
            assert_eq!(Date::read(text), None, "{text}");
        }
    }

    #[test]
    fn what_is_not_known_of_a_date_leaves_its_order_open() {
        let before = |a: &str, b: &str| Date::read(a)?.is_surely_before(&Date::read(b)?).into();
        for (a, b) in [("2024", "2025"), ("2024-12", "2025-01-01"), ("2025-03", "2025-04-01")] {
            assert_eq!((before(a, b), before(b, a)), (Some(true), Some(false)), "{a} {b}");
        }
        for (a, b) in [("2025", "2025-03"), ("2025-03", "2025-03-09"), ("2025", "2025")] {
            assert_eq!((before(a, b), before(b, a)), (Some(false), Some(false)), "{a} {b}");
        }
    }

    #[test]
    fn days_are_counted_over_leap_days() {
        // Day numbers of the Julian period: 2000-01-01 is 2451545, 1970-01-01 is 2440588
        // (Explanatory Supplement to the Astronomical Almanac, from memory).
        let days = |from: &str, to: &str| Date::read(from)?.days_to(&Date::read(to)?);
        assert_eq!(days("1970-01-01", "2000-01-01"), Some(2_451_545 - 2_440_588));
        assert_eq!(days("2024-02-28", "2024-03-01"), Some(2));
        assert_eq!(days("2026-02-28", "2026-03-01"), Some(1));
        assert_eq!(days("2026-02", "2026-03-01"), None);
    }
}
