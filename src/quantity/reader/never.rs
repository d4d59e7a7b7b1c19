//! Numbers that are never figures: threads, alloys, standards, labels, years, calibre names.
//!
//! Most never-classes fall out of the scan itself, which does not begin a number inside a word
//! (`M3`, `CO2`, `AS568`, `v2`) or behind one joined by a hyphen. What is left is told by the
//! words and signs beside the number, and is listed here.

use super::words::{in_sorted, next_word, one_of, phrase_after, word_before};
use crate::quantity::Number;

/// Words before a number that make it a label. A number behind one of them counts nothing and
/// carries no unit of one letter.
#[rustfmt::skip]
const LABELS: &[&str] = &[
    "abb", "aisi", "alloy", "alloys", "annex", "appendix", "article", "astm", "bolt", "bs",
    "bsi", "chamber", "chambers", "chap", "chapter", "class", "clause", "code", "column", "day",
    "din", "drill", "dwg", "edition", "en", "engine", "engines", "eq", "equation", "example",
    "exercise", "fig", "figs", "figure", "figures", "gauge", "grade", "groove", "hole", "iec",
    "iso", "issue", "item", "items", "iteration", "jis", "key", "lesson", "level", "line",
    "lines", "listing", "lot", "mark", "material", "mil", "mk", "model", "nist", "no", "nos",
    "note", "notes", "nozzle", "nr", "number", "numbers", "option", "p", "page", "pages",
    "paragraph", "part", "parts", "phase", "piston", "plate", "point", "port", "ports",
    "position", "pp", "problem", "question", "ref", "release", "rev", "revision", "ring", "row",
    "rule", "sae", "sample", "seal", "section", "sections", "series", "sheet", "size", "sp",
    "spec", "specimen", "spring", "stage", "stages", "standard", "state", "step", "steps",
    "switch", "tab", "table", "tables", "test", "trial", "type", "types", "unit", "uns",
    "valve", "valves", "variant", "ver", "version", "versions", "view", "vol", "volume", "zone",
];

/// Names of threads, behind their size.
#[rustfmt::skip]
const THREADS: &[&str] = &[
    "bsf", "bsp", "bspp", "bspt", "bsw", "nps", "npsm", "npt", "nptf", "tap", "thread",
    "threaded", "threads", "un", "unc", "unef", "unf", "uns", "whitworth",
];

/// Names that turn a length before them into a calibre.
#[rustfmt::skip]
const CALIBRES: &[&str] = &[
    "acp", "ammo", "ammunition", "cal", "caliber", "calibre", "cartridge", "cartridges", "lr",
    "luger", "magnum", "makarov", "mauser", "nato", "parabellum", "pistol", "winchester", "wmr",
];

#[rustfmt::skip]
const MONTHS: &[&str] = &[
    "apr", "april", "aug", "august", "dec", "december", "feb", "february", "jan", "january",
    "jul", "july", "jun", "june", "mar", "march", "may", "nov", "november", "oct", "october",
    "sep", "sept", "september",
];

/// Whether the number at `start` is the label of something ("stage 2", "Fig. 4", "ISO 6358").
pub(super) fn labelled(text: &str, start: usize) -> bool {
    let (word, word_start) = word_before(text, start);
    if word.is_empty() || word_start + word.len() == start {
        return false;
    }
    in_sorted(word, LABELS) || in_sorted(word, MONTHS)
}

/// Whether the number picks some of a known group ("the first four holes") or is a label.
pub(super) fn counts_nothing(text: &str, start: usize) -> bool {
    let (word, _) = word_before(text, start);
    one_of(word, &["first", "last", "next", "other", "following"]) || labelled(text, start)
}

/// Whether a number of four digits in the range of years, written without a thousands mark, begins
/// at `start`.
pub(super) fn year(text: &str, start: usize, number: &Number) -> bool {
    let digits = text.as_bytes().get(start..start + 4);
    let four = digits.is_some_and(|digits| digits.iter().all(u8::is_ascii_digit))
        && number.significant == 4
        && number.exponent == 0
        && number.fraction.is_none();
    four && !number.spelled && (1900..2100).contains(&number.mantissa)
}

/// Whether a thread or calibre name follows at `end` ("1/8 NPT", "1/4 in BSP", ".68 calibre").
pub(super) fn named_after(text: &str, end: usize) -> bool {
    let end = if text.as_bytes().get(end) == Some(&b'-') { end + 1 } else { end };
    let (word, at) = match super::words::word_at(text, end) {
        "" => next_word(text, end),
        word => (word, end),
    };
    let joined = text.as_bytes().get(at + word.len()).is_some_and(|b| *b == b'_');
    !joined && (in_sorted(word, THREADS) || in_sorted(word, CALIBRES))
}

/// A decade or an age written with a glued s: "the 1980s", "in his 60s", "the mid-90s".
pub(super) fn decade(text: &str, start: usize, number: &Number) -> bool {
    if number.exponent != 0 || number.mantissa % 10 != 0 {
        return false;
    }
    let century = number.significant == 4 && (1600..2100).contains(&number.mantissa);
    let (word, _) = word_before(text, start);
    let said = one_of(word, &["the", "early", "late", "his", "her", "their", "mid", "my"]);
    century || (number.mantissa < 100 && said)
}

/// Stainless grades that look like litres: `316L`, `304L`.
pub(super) fn alloy_grade(number: &Number, letter: &str) -> bool {
    letter == "L" && matches!(number.mantissa, 303 | 304 | 316 | 317 | 321 | 347 | 405 | 410 | 430)
}

/// Whether the number is followed by a month ("12 March") or a clock word ("5 pm").
pub(super) fn calendar_after(text: &str, end: usize) -> bool {
    let (word, _) = next_word(text, end);
    in_sorted(word, MONTHS) || phrase_after(text, end, "a.m.").is_some()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lists_are_sorted() {
        for list in [LABELS, THREADS, CALIBRES, MONTHS] {
            assert!(list.is_sorted());
        }
    }
}
