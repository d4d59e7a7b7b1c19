//! What readers are told of a figure's standing: its mark in words, and the counts of a page.

use crate::proof::{Coverage, Status};
use crate::site::theme::MarkWords;
use serde::Serialize;

/// Every standing, in the order of a legend.
const LEGEND: [Status; 14] = [
    Status::Computed,
    Status::SecondStatement,
    Status::ConversionAgrees,
    Status::OwnReading,
    Status::Printed,
    Status::Aside,
    Status::Supposition,
    Status::Change,
    Status::Denied,
    Status::SetApart,
    Status::Lenient,
    Status::Untied,
    Status::Waived,
    Status::Disagrees,
];

/// The words of every mark, in the order of a legend.
pub(crate) fn legend() -> Vec<MarkWords> {
    LEGEND.into_iter().map(words).collect()
}

/// Name, sign and words of a standing.
pub(super) fn words(status: Status) -> MarkWords {
    let (name, sign, short, words) = match status {
        Status::Computed => ("computed", "✓", "by computation", "checked by computation"),
        Status::SecondStatement => (
            "second-statement",
            "=",
            "by a second statement",
            "borne out by a second statement, from another source or taken in another way",
        ),
        Status::ConversionAgrees => (
            "conversion-agrees",
            "↔",
            "by a conversion only",
            "stated once, in two units that agree",
        ),
        Status::OwnReading => {
            ("own-reading", "", "one statement only", "rests on one statement only")
        }
        Status::Printed => ("printed", "", "printed", "printed from the data sheet"),
        Status::Aside => ("aside", "*", "aside", "aside: not ours to check"),
        Status::Supposition => ("supposition", "if", "supposition", "supposition"),
        Status::Change => ("change", "", "change", "a change, not a value"),
        Status::Denied => ("denied", "", "denied", "denied"),
        Status::SetApart => (
            "set-apart",
            "",
            "set apart",
            "opinion, hearsay, history or open question: not checked",
        ),
        Status::Lenient => ("lenient", "≈", "loose rounding", "agrees only with loose rounding"),
        Status::Untied => ("untied", "?", "tied to nothing", "tied to no reading"),
        Status::Waived => ("waived", "w", "let pass by a waiver", "let pass by a waiver"),
        Status::Disagrees => ("disagrees", "≠", "disagrees", "disagrees"),
    };
    let care =
        matches!(status, Status::Lenient | Status::Untied | Status::Waived | Status::Disagrees);
    MarkWords { name, sign, words, short, care }
}

/// Counts of figures by how they were checked.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct Tally {
    pub(crate) rows: Vec<TallyRow>,
    pub(crate) total: usize,
}

/// How many figures share a standing.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct TallyRow {
    pub(crate) mark: Status,
    pub(crate) words: &'static str,
    pub(crate) count: usize,
}

/// The counts of a page or of all pages. What a good page does not have is left out where there is
/// none.
pub(super) fn tally(coverage: &Coverage) -> Tally {
    let row = |mark: Status, count: usize| TallyRow { mark, words: words(mark).short, count };
    let rows = vec![
        row(Status::Computed, coverage.computed),
        row(Status::SecondStatement, coverage.second_statement),
        row(Status::ConversionAgrees, coverage.conversion_agrees),
        row(Status::OwnReading, coverage.own_reading),
        TallyRow { words: "aside or set apart", ..row(Status::Aside, coverage.aside) },
        row(Status::Untied, coverage.untied),
        row(Status::Waived, coverage.waived),
        row(Status::Disagrees, coverage.disagrees),
    ];
    let is_told =
        |row: &TallyRow| 0 < row.count || !matches!(row.mark, Status::Waived | Status::Disagrees);
    Tally { rows: rows.into_iter().filter(is_told).collect(), total: coverage.total() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_mark_has_a_name_of_its_own_and_those_that_warn_have_a_sign() {
        let legend = legend();
        let names: BTreeSet<&str> = legend.iter().map(|mark| mark.name).collect();
        assert_eq!(names.len(), legend.len());
        for (mark, status) in legend.iter().zip(LEGEND) {
            assert!(!mark.care || !mark.sign.is_empty(), "{}", mark.name);
            // Themes find the words of a mark by the name under which it is written.
            assert_eq!(serde_json::to_value(status).unwrap(), mark.name);
        }
    }
}
