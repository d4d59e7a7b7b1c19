//! Questions that a claim may ask of two engines, answered with a reason.

use super::Side;
use super::compare::{Anatomy, Likeness, Row, compare};

/// The answer to a question.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Answer {
    /// It is so.
    True,
    /// It is not so.
    False,
    /// It cannot be told yet.
    Undecided,
}

/// An answer, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finding {
    /// The answer.
    pub answer: Answer,
    /// Why, as words without full stop: "same order in 11 of 12 events; only Ash: …".
    pub reason: String,
}

/// Which of its groups a question looks at; all of them where it is empty.
type AskedGroups = &'static [Anatomy];

/// The questions by the names that claims use, with what they ask.
pub const QUESTIONS: [(&str, PairQuestion, &str); 8] = [
    ("same_structure", same_structure, "whether two engines agree in all that routing tells"),
    ("same_sequence", same_sequence, "whether the same events come in the same order"),
    ("same_chambers", same_chambers, "whether they have the same chambers in the same roles"),
    ("same_ways", same_ways, "whether the same ways are opened by the same things"),
    ("same_parts", same_parts, "whether they have the same moving parts, pushed by the same"),
    ("same_valves", same_valves, "whether they have the same triggers and valves"),
    ("same_springs", same_springs, "whether the same springs push the same parts"),
    ("same_seals", same_seals, "whether the same seals keep the same chambers apart"),
];

/// A question about two engines.
pub(crate) type PairQuestion = fn(Side<'_>, Side<'_>) -> Finding;

/// Whether two engines agree in all that routing tells.
#[must_use]
pub fn same_structure(first: Side<'_>, second: Side<'_>) -> Finding {
    by_rows(&compare(first, second), &[])
}

/// Whether they have the same chambers in the same roles.
#[must_use]
pub fn same_chambers(first: Side<'_>, second: Side<'_>) -> Finding {
    by_rows(&compare(first, second), &[Anatomy::Chambers])
}

/// Whether the same ways are opened by the same things.
#[must_use]
pub fn same_ways(first: Side<'_>, second: Side<'_>) -> Finding {
    by_rows(&compare(first, second), &[Anatomy::Ways])
}

/// Whether they have the same moving parts, pushed by the same faces, contacts and springs.
#[must_use]
pub fn same_parts(first: Side<'_>, second: Side<'_>) -> Finding {
    by_rows(&compare(first, second), &[Anatomy::Parts, Anatomy::Springs])
}

/// Whether they have the same triggers and valves.
#[must_use]
pub fn same_valves(first: Side<'_>, second: Side<'_>) -> Finding {
    by_rows(&compare(first, second), &[Anatomy::Valves])
}

/// Whether the same springs push the same parts.
#[must_use]
pub fn same_springs(first: Side<'_>, second: Side<'_>) -> Finding {
    by_rows(&compare(first, second), &[Anatomy::Springs])
}

/// Whether the same seals keep the same chambers apart.
#[must_use]
pub fn same_seals(first: Side<'_>, second: Side<'_>) -> Finding {
    by_rows(&compare(first, second), &[Anatomy::Seals])
}

/// Whether the same events come in the same order. Undecided as long as a run is.
#[must_use]
pub fn same_sequence(first: Side<'_>, second: Side<'_>) -> Finding {
    let sequence = compare(first, second).sequence;
    let mut reasons = vec![sequence.verdict()];
    if sequence.open.iter().any(Option::is_some) {
        reasons.extend(sequence.open.into_iter().flatten());
        return Finding { answer: Answer::Undecided, reason: reasons.join("; ") };
    }
    let answer = if sequence.is_same() { Answer::True } else { Answer::False };
    reasons.extend(sequence.says);
    Finding { answer, reason: reasons.join("; ") }
}

fn by_rows(likeness: &Likeness, groups: AskedGroups) -> Finding {
    let is_asked = |row: &&Row| groups.is_empty() || groups.contains(&row.anatomy);
    let says = likeness.rows.iter().filter(is_asked).flat_map(|row| &row.says);
    let differing: Vec<&str> =
        says.filter(|says| says.counts).map(|says| says.text.as_str()).collect();
    if !differing.is_empty() {
        return Finding { answer: Answer::False, reason: differing.join("; ") };
    }
    let reason = match groups {
        [] => likeness.verdict(),
        _ => "everything asked about is matched and the same".to_owned(),
    };
    Finding { answer: Answer::True, reason }
}
