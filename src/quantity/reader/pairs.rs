//! Dual statements: one value told in several units, `A (B)`, `A / B`, `A [B]`, `A, or B`.
//!
//! Members have the same dimension and different units and stand next to each other in one of the
//! closed forms. Whether they agree is judged elsewhere.

use super::marks;
use super::statements::ReadStatement;
use super::words::{next_word, one_of, phrase_after, skip_blanks, work};
use crate::quantity::{Amount, Figure, FigureComparison, Kind, Reference};

/// How far a statement may stand behind the one it restates, in bytes.
const LONGEST: usize = 28;

/// Numbers the pairs and lets their members share what only one of them says.
pub(super) fn pair(text: &str, statements: &mut [ReadStatement]) {
    let mut next_pair = 0;
    let mut at = 0;
    let ends = list_ends(statements);
    while at < statements.len() {
        let end = chain_end(text, statements, at);
        if at + 1 < end {
            for statement in &mut statements[at..end] {
                statement.figure.pair = Some(next_pair);
            }
            settle(text, &mut statements[at..end]);
            next_pair += 1;
            at = end;
            continue;
        }
        at = match pair_lists(text, statements, &ends, at, &mut next_pair) {
            Some(after) => after,
            None => at + 1,
        };
    }
}

/// One past the last member of the dual statement that begins at `at`.
fn chain_end(text: &str, statements: &[ReadStatement], at: usize) -> usize {
    let mut end = at + 1;
    let mut open = false;
    while end < statements.len() {
        let fits = statements[at..end].iter().all(|member| {
            work::step();
            restates(&member.figure, &statements[end].figure)
        });
        let Some(gap) = text.get(statements[end - 1].tail..statements[end].lead) else { break };
        let fits = fits && (open || !differs(text, &statements[end]));
        let is_subject = || end == at + 1 && opens(text, statements[at].lead);
        let is_said = || matches!(gap.trim(), "is" | "are" | "makes") && is_subject();
        if !fits || LONGEST < gap.len() || !(joins(gap, &mut open) || is_said()) {
            break;
        }
        end += 1;
    }
    end
}

/// Whether `later` can be `first` in another unit, or counted from another pressure.
fn restates(first: &Figure, later: &Figure) -> bool {
    let count = |figure: &Figure| matches!(figure.kind, Kind::Count | Kind::Ratio);
    let shape = |figure: &Figure| matches!(figure.amount, Amount::Range(..));
    first.unit.dimension == later.unit.dimension
        && (!std::ptr::eq(first.unit, later.unit)
            || is_fraction(first) != is_fraction(later)
            || first.unit.is_pressure() && first.reference != later.reference)
        && !count(first)
        && !count(later)
        && shape(first) == shape(later)
}

/// "1.15 MPa, that is 200 kPa above normal": by how much something differs restates nothing.
fn differs(text: &str, statement: &ReadStatement) -> bool {
    let (word, _) = next_word(text, statement.tail);
    let compares = statement.figure.comparison;
    matches!(compares, Some(FigureComparison::More | FigureComparison::Less))
        || one_of(word, &["above", "below", "more", "less"])
}

/// `3/64 in (0.047 in)` tells one size twice in one unit.
fn is_fraction(figure: &Figure) -> bool {
    matches!(&figure.amount, Amount::Point(number) if number.fraction.is_some())
}

/// Whether a sentence or clause begins at `at`: "**23 m/s** is 83 km/h".
fn opens(text: &str, at: usize) -> bool {
    let before = text[..at].trim_end_matches([' ', '\n']);
    before.is_empty() || before.ends_with(['.', ';', ':', '!', '?'])
}

/// Whether the text between two members joins them; keeps track of the bracket.
fn joins(gap: &str, open: &mut bool) -> bool {
    let squeezed = past_adjective(gap.trim());
    match squeezed {
        "(" | "[" if !*open => {
            *open = true;
            true
        }
        "," | ";" if *open => true,
        "/" | "=" | ", or" | "(=" | ", i.e." | ", that is" | ", that is," | "; that is,"
        | ", which is" | "which is" | ", or about" | "or" | "(that is" | "(or"
            if squeezed != "or" || *open =>
        {
            *open |= squeezed.starts_with('(');
            true
        }
        // "…, call it 46 mph".
        ", call it" | ", that's" | "that's" => true,
        _ => false,
    }
}

/// One past the last member of the list of each statement.
fn list_ends(statements: &[ReadStatement]) -> Vec<usize> {
    let mut ends: Vec<usize> = (1..=statements.len()).collect();
    for at in (1..statements.len()).rev() {
        work::step();
        if statements[at - 1].list == statements[at].list {
            ends[at - 1] = ends[at];
        }
    }
    ends
}

/// "420 mm **long** (16.5 in)": what is measured may stand before the bracket.
fn past_adjective(gap: &str) -> &str {
    let (word, rest) = gap.split_at(gap.find([' ', ',']).unwrap_or(0));
    let known = [
        "long", "wide", "high", "deep", "thick", "across", "tall", "bore", "diameter", "overall",
        "away", "apart", "square", "travel", "lift", "gauge", "absolute",
    ];
    if one_of(word, &known) {
        return rest.trim_start();
    }
    // "612 mm over the end caps (24.1 in)".
    let named = one_of(word, &["over", "across"]) && gap.ends_with('(');
    let words = gap.trim_end_matches(['(', ' ']);
    let plain = words.bytes().all(|b| b.is_ascii_lowercase() || b == b' ');
    if named && plain && words.split(' ').count() <= 5 { "(" } else { gap }
}

/// `1.0, 1.2 and 1.6 mm (0.039, 0.047 and 0.063 in)`: lists pair member by member.
fn pair_lists(
    text: &str,
    statements: &mut [ReadStatement],
    ends: &[usize],
    at: usize,
    next_pair: &mut u32,
) -> Option<usize> {
    let middle = *ends.get(at)?;
    let length = middle - at;
    if length < 2 || ends.get(middle) != Some(&(middle + length)) {
        return None;
    }
    let gap = text.get(statements[middle - 1].tail..statements[middle].lead)?;
    let opened = matches!(gap.trim(), "(" | "[");
    if !opened || !restates(&statements[at].figure, &statements[middle].figure) {
        return None;
    }
    for offset in 0..length {
        statements[at + offset].figure.pair = Some(*next_pair);
        statements[middle + offset].figure.pair = Some(*next_pair);
        *next_pair += 1;
    }
    Some(middle + length)
}

/// Marks behind the bracket that hold for all members: "8 bar (116 psi) gauge".
const BEHIND: &[(&str, Reference)] = &[
    ("gauge", Reference::Gauge),
    ("absolute", Reference::Absolute),
    ("abs", Reference::Absolute),
    ("differential", Reference::Difference),
    ("vacuum", Reference::Vacuum),
];

/// Lets the members share what is told before the first or behind the bracket for all of them:
/// bound, hedge, reference; and the kind, which a partner may settle.
fn settle(text: &str, members: &mut [ReadStatement]) {
    let Some(last) = members.last_mut() else { return };
    let closed = skip_blanks(text.as_bytes(), last.tail);
    let bracketed = matches!(text.as_bytes().get(closed), Some(b')' | b']'));
    let mut behind = None;
    if bracketed {
        let found = BEHIND.iter().find(|(word, _)| phrase_after(text, closed + 1, word).is_some());
        behind = found.map(|(_, reference)| *reference);
    }
    let first = &mut members[0];
    if bracketed {
        marks::trailing(text, first, closed + 1);
    }
    let (bound, hedge) = (first.figure.bound, first.figure.hedge);
    let told = first.figure.reference.filter(|_| first.told);
    let firm = members.iter().map(|m| &m.figure).find(|f| !f.kind_yields).map(|f| f.kind);
    for member in members {
        let figure = &mut member.figure;
        figure.bound = figure.bound.or(bound);
        figure.hedge = figure.hedge.or(hedge);
        if figure.unit.is_pressure() {
            figure.reference = figure.reference.or(behind).or(told);
        }
        if let Some(kind) = firm.filter(|_| figure.kind_yields) {
            figure.kind = kind;
            figure.kind_yields = false;
        }
    }
}
