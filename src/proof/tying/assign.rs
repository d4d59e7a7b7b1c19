//! Figures and names of one sentence, matched as one assignment of least cost.

use super::TiedLine;
use crate::folio::cues::Cue;
use crate::folio::words::TextWord;
use crate::linear_assignment::least_cost;
use crate::text::Span;

/// Beyond this cost a name is too far from a figure to mean it.
const FARTHEST: f64 = 24.0;
/// What agreement of the value is worth, in words of distance: it settles near ties only.
const AGREES: f64 = 1.0;
/// What the verb between a subject and its figure takes off, in words of distance.
const SUBJECT: f64 = 2.0;
/// Distance from a name to a figure that is said of another noun.
const ATTRIBUTIVE: f64 = 3.0;
/// Distance over a clause put in between commas.
const PUT_IN: f64 = 1.0;
/// Distance from a name to the figure of a pronoun that stands for it.
const TAKEN_UP: f64 = 3.0;
/// Figures or names of one sentence beyond which the matching is cut off: no sentence has them.
pub(super) const MOST: usize = 48;

/// Cost of taking a figure for the one that a cue names, by what stands between them; `None` when
/// they are too far apart. `figures` are those of the text, in order.
pub(crate) fn distance(
    text: &str,
    words: &[TextWord],
    figure: Span,
    figures: &[Span],
    cue: &Cue,
) -> Option<f64> {
    let (gap, behind) = if cue.span.end <= figure.start {
        (Span::new(cue.span.end, figure.start), false)
    } else if figure.end <= cue.span.start {
        (Span::new(figure.end, cue.span.start), true)
    } else {
        return None;
    };
    let first = words.partition_point(|word| word.span.start < gap.start);
    let last = words.partition_point(|word| word.span.end <= gap.end).max(first);
    let between = &words[first..last];
    if cue.is_contrast && text[gap.start..gap.end].contains(|c: char| !c.is_whitespace()) {
        return None;
    }
    let joins =
        |word: &TextWord| matches!(word.stem.as_str(), "in" | "on" | "of" | "for" | "with" | "the");
    let is_joined = between.iter().any(|word| word.stem != "the") && between.iter().all(joins);
    if behind && cue.is_echo && is_joined {
        // "1.40 mm in Ash": nothing could be said more plainly.
        return Some(-1.0);
    }
    let mut cost = if behind { 1.5 } else { 0.0 };
    for word in between {
        cost += 1.0;
        if matches!(word.stem.as_str(), "while" | "but" | "wherea" | "whereas" | "against") {
            cost += 3.0;
        }
    }
    if !behind && is_attributive(text, words, figure) {
        cost += ATTRIBUTIVE;
    }
    let marks = &text[gap.start..gap.end];
    cost += marks
        .chars()
        .map(|c| match c {
            ';' => 4.0,
            ':' => 1.0,
            ',' => 2.0,
            '(' | ')' => 0.5,
            _ => 0.0,
        })
        .sum::<f64>();
    if !behind && ends_in_verb(between) {
        // The subject of this verb, not the nearest noun; a clause between commas parts the two
        // only for the eye.
        if !marks.contains([',', ';', ':', '(']) && !is_taken_up(between) {
            cost = (cost - SUBJECT).max(1.0);
        } else if is_put_in(marks) || is_in_brackets(marks) {
            cost = PUT_IN;
        } else if is_taken_up(between) {
            cost = cost.min(TAKEN_UP);
        }
    }
    // "A 26 g roll up 310 mm of tube": the noun has a figure of its own.
    let before = figures.partition_point(|figure| figure.end <= cue.span.start);
    let own = before.checked_sub(1).map(|at| figures[at]).filter(|own| *own != figure);
    if !behind && own.is_some_and(|own| text[own.end..cue.span.start].trim().is_empty()) {
        cost += ATTRIBUTIVE;
    }
    let first = figures.partition_point(|figure| figure.start < gap.start);
    let crossed = figures[first..].iter().take_while(|figure| figure.end <= gap.end).count();
    cost += 4.0 * crossed as f64;
    (cost <= FARTHEST).then_some(cost)
}

/// " (weighed twice) is": one clause put in between brackets.
fn is_in_brackets(gap: &str) -> bool {
    let Some((clause, behind)) =
        gap.trim_start().strip_prefix('(').and_then(|rest| rest.split_once(')'))
    else {
        return false;
    };
    !clause.contains(['(', ';', ':']) && behind.split_whitespace().count() == 1
}

/// "A 1.1 mm hole": the figure is of the noun behind it, not of what stands before.
fn is_attributive(text: &str, words: &[TextWord], figure: Span) -> bool {
    let before = words.partition_point(|word| word.span.end <= figure.start);
    let article = before.checked_sub(1).map_or("", |at| words[at].stem.as_str());
    let next = words[before..].iter().find(|word| figure.end <= word.span.start);
    let noun = next.filter(|word| text[figure.end..word.span.start].trim().is_empty());
    matches!(article, "a" | "an")
        && noun.is_some_and(|word| !NO_NOUNS.contains(&word.stem.as_str()))
}

/// Words behind a figure that are no noun of its own.
const NO_NOUNS: [&str; 14] = [
    "in", "on", "of", "for", "with", "at", "and", "or", "to", "by", "from", "that", "which", "long",
];

/// ", where holes let the air through, is": one clause put in between commas.
fn is_put_in(gap: &str) -> bool {
    let Some(inside) = gap.trim_start().strip_prefix(',') else { return false };
    let Some((clause, behind)) = inside.split_once(',') else { return false };
    !clause.contains([';', ':', '(']) && behind.split_whitespace().count() == 1
}

/// "The nose length we could only guess: it is 12 mm": a pronoun that stands for the name.
fn is_taken_up(between: &[TextWord]) -> bool {
    between.iter().rev().nth(1).is_some_and(|word| word.stem == "it")
}

/// Whether a verb that states stands right before the figure: "the lockout of the timer is 160 ms".
fn ends_in_verb(between: &[TextWord]) -> bool {
    between
        .last()
        .is_some_and(|word| matches!(word.stem.as_str(), "is" | "are" | "was" | "were" | "measure"))
}

/// "The stem and the bore are 9.50 mm and 15.90 mm": as many names in a row as figures in a row,
/// which belong together in their order whatever the values are. Returns the cue of each figure
/// that is so settled.
#[must_use]
pub(super) fn parallel(
    line: &TiedLine<'_>,
    engines: &[Span],
    figures: &[Span],
    cues: &[Cue],
    fits: impl Fn(usize, usize) -> bool,
) -> Vec<Option<usize>> {
    let mut settled = vec![None; figures.len()];
    if figures.len() < 2 || cues.len() < 2 {
        return settled;
    }
    let (figures, cues_read) = (&figures[..figures.len().min(MOST)], &cues[..cues.len().min(MOST)]);
    let joined = |from: usize, to: usize, words: &[&str]| {
        let gap = Span::new(from, to);
        from <= to
            && line.words.iter().filter(|word| gap.contains(word.span)).all(|word| {
                words.contains(&word.stem.as_str())
                    || engines.iter().any(|engine| engine.contains(word.span))
            })
            && !figures.iter().any(|figure| gap.contains(*figure))
            && !line.text[from..to].contains([';', ':', '('])
    };
    let names = runs(cues_read.len(), |at| {
        let (before, next) = (&cues_read[at].span, &cues_read[at + 1].span);
        before == next
            || joined(before.end, next.start, &["and", "or", "the", "to", "of", "a", "an"])
    });
    let numbers = runs(figures.len(), |at| {
        joined(figures[at].end, figures[at + 1].start, &["and", "or", "to", "by"])
    });
    for (first, length) in names.into_iter().filter(|(_, length)| 1 < *length) {
        let end = cues_read[first + length - 1].span.end;
        let next = cues_read.get(first + length).map_or(line.text.len(), |cue| cue.span.start);
        let behind = numbers.iter().find(|(at, _)| end <= figures[*at].start);
        let Some((at, count)) = behind.copied() else { continue };
        let last = figures[at + count - 1].end;
        if count == length
            && last <= next
            && (0..count).all(|offset| fits(at + offset, first + offset))
        {
            for offset in 0..count {
                settled[at + offset] = Some(first + offset);
            }
        }
    }
    settled
}

/// Runs of `0..count` in which each is joined to the next: first and length.
fn runs(count: usize, joined: impl Fn(usize) -> bool) -> Vec<(usize, usize)> {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for at in 0..count {
        match runs.last_mut() {
            Some((_, length)) if joined(at - 1) => *length += 1,
            _ => runs.push((at, 1)),
        }
    }
    runs
}

/// Least-cost matching of figures (rows) to cues (columns). `cost(row, column)` is `None` where
/// the two cannot go together; `agrees` gives near ties to the value. Returns the column of each
/// row.
pub(crate) fn assign(
    rows: usize,
    columns: usize,
    cost: impl Fn(usize, usize) -> Option<f64>,
    agrees: impl Fn(usize, usize) -> bool,
) -> Vec<Option<usize>> {
    let (rows_used, columns_used) = (rows.min(MOST), columns.min(MOST));
    // Leaving a figure alone costs more than any match, so that as many as possible are matched.
    let alone = FARTHEST * 4.0;
    let size = rows_used.max(1);
    let width = columns_used + size;
    let mut table = vec![vec![alone; width]; size];
    let mut possible = vec![vec![false; columns_used]; size];
    for row in 0..rows_used {
        for column in 0..columns_used {
            let Some(distance) = cost(row, column) else {
                table[row][column] = alone * 4.0;
                continue;
            };
            let bonus = if agrees(row, column) { AGREES } else { 0.0 };
            table[row][column] = distance - bonus;
            possible[row][column] = true;
        }
    }
    let mut chosen = vec![None; rows];
    for (row, column) in least_cost(&table).into_iter().enumerate().take(rows_used) {
        if column < columns_used && possible[row][column] {
            chosen[row] = Some(column);
        }
    }
    chosen
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_settles_near_ties_but_never_overrules_words() {
        let near = |row: usize, column: usize| Some(if row == column { 2.0 } else { 2.5 });
        assert_eq!(assign(2, 2, near, |row, column| row != column), [Some(1), Some(0)]);
        let clear = |row: usize, column: usize| Some(if row == column { 1.0 } else { 9.0 });
        assert_eq!(assign(2, 2, clear, |row, column| row != column), [Some(0), Some(1)]);
    }
}
