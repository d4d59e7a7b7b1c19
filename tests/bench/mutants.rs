//! Figures of labelled prose, each written wrong in one way.

use super::{Label, Planted};

/// Writes a figure wrong in one way; `None` where it cannot be.
type Miswriting = fn(&str) -> Option<String>;

/// A slip in each figure that is tied by its label and has digits.
pub(super) fn of(body: &str, figures: &[Label]) -> Vec<Planted> {
    let tied = figures.iter().filter(|label| label.is_tied());
    let slips = tied.enumerate().filter_map(|(turn, label)| {
        let written = &body[label.span.start..label.span.end];
        let ways: [(&str, Miswriting); 3] =
            [("digit", wrong_digit), ("swap", swapped), ("point", moved_point)];
        let mut ways = ways.iter().cycle().skip(turn % 3).take(3);
        let (kind, replacement) = ways.find_map(|(kind, way)| Some((*kind, way(written)?)))?;
        Some(Planted { kind: kind.to_owned(), at: label.span, replacement, is_detectable: true })
    });
    slips.collect()
}

/// The last digit but noughts as another.
fn wrong_digit(written: &str) -> Option<String> {
    let at = written.rfind(|c: char| ('1'..='9').contains(&c))?;
    let digit = (written.as_bytes()[at] - b'0' + 3) % 9 + 1;
    Some(format!("{}{digit}{}", &written[..at], &written[at + 1..]))
}

/// The first two digits side by side that are not the same.
fn swapped(written: &str) -> Option<String> {
    let bytes = written.as_bytes();
    let differ = |two: &[u8]| two.iter().all(u8::is_ascii_digit) && two[0] != two[1];
    let at = bytes.windows(2).position(|two| differ(two) && two[1] != b'0')?;
    let (one, two) = (char::from(bytes[at]), char::from(bytes[at + 1]));
    Some(format!("{}{two}{one}{}", &written[..at], &written[at + 2..]))
}

/// Without its point.
fn moved_point(written: &str) -> Option<String> {
    let at = written.find('.').filter(|at| *at != 0 && !written.starts_with('0'))?;
    Some(format!("{}{}", &written[..at], &written[at + 1..]))
}
