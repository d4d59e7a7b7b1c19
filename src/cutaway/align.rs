//! A cutaway with its columns in line.
//!
//! Only blanks change, and only where they mean nothing: words, comments and blank lines stay as
//! they are. Neighbouring lines of one kind share their columns; a line whose clauses stand in
//! another order than usual is left to itself.

use super::grammar::{StatementForm, statement};
use super::lines::{Line, LineMark, LineToken, line};
use std::collections::BTreeMap;

/// The text with columns aligned. Aligning twice changes nothing more.
#[must_use]
pub fn aligned(text: &str) -> String {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut rows = rows(text);
    let mut start = 0;
    while start < rows.len() {
        let (first, level) = (rows[start].statement, rows[start].level);
        let same = rows[start..].iter().take_while(|row| {
            let both = first.zip(row.statement);
            both.is_some_and(|(one, other)| one.is_aligned_with(other)) && row.level == level
        });
        let end = start + same.count().max(1);
        align(&mut rows[start..end]);
        start = end;
    }
    let mut out = rows.iter().map(AlignedRow::shown).collect::<Vec<_>>().join("\n");
    if !out.is_empty() && !out.ends_with('\n') {
        out.push('\n');
    }
    out
}

/// One line of the text.
struct AlignedRow<'a> {
    text: &'a str,
    line: Line,
    /// How deep it stands: 0, 1, or 2 inside of a revision or variant.
    level: usize,
    statement: Option<&'static StatementForm>,
    /// The words with their blanks, once they are aligned.
    words: String,
    /// The column of the comment.
    comment_at: usize,
}

impl AlignedRow<'_> {
    fn shown(&self) -> String {
        let indent = "  ".repeat(self.level);
        let mut out = format!("{indent}{}", self.words);
        if let Some(comment) = self.line.comment {
            let width = out.chars().count();
            if !self.words.is_empty() {
                out.push_str(&" ".repeat(self.comment_at.max(width + 2) - width));
            }
            out.push_str(&self.text[comment.start..comment.end]);
        }
        let is_blank = self.words.is_empty() && self.line.comment.is_none();
        if is_blank { String::new() } else { out }
    }

    /// The words of some tokens, with the blanks that signs want.
    fn joined(&self, tokens: &[LineToken]) -> String {
        let mut out = String::new();
        let mut is_open = true;
        for token in tokens {
            let closes =
                token.mark == LineMark::Sign && matches!(token.text.as_str(), "," | ":" | ")");
            if !is_open && !closes {
                out.push(' ');
            }
            is_open = token.is("(");
            out.push_str(&self.text[token.span.start..token.span.end]);
        }
        out
    }
}

fn rows(text: &str) -> Vec<AlignedRow<'_>> {
    let mut levels = Levels::default();
    let rows = text.split('\n').map(|text| {
        let line = line(text, 0);
        let level = levels.of(&line);
        let statement = line.tokens.first().and_then(|first| statement(&first.text));
        let statement = statement.filter(|it| it.is_aligned());
        AlignedRow { text, line, level, statement, words: String::new(), comment_at: 0 }
    });
    rows.collect()
}

/// How deep lines stand, as the reader of the language takes it.
#[derive(Default)]
struct Levels {
    in_revision: bool,
    /// Indent of the statements of the revision at hand.
    statements_at: Option<usize>,
}

impl Levels {
    fn of(&mut self, line: &Line) -> usize {
        let is_worded = !line.tokens.is_empty();
        if line.indent == 0 {
            if is_worded {
                let first = &line.tokens[0];
                self.in_revision = first.is("revision") || first.is("variant");
                self.statements_at = None;
            }
            return 0;
        }
        if self.in_revision && is_worded {
            self.statements_at.get_or_insert(line.indent);
        }
        let is_deeper = self.statements_at.is_some_and(|at| at < line.indent);
        if self.in_revision && is_deeper { 2 } else { 1 }
    }
}

/// Gives neighbours of one family the same columns.
fn align(rows: &mut [AlignedRow]) {
    let cells: Vec<Option<BTreeMap<usize, String>>> = rows.iter().map(cells).collect();
    let mut widths: BTreeMap<usize, usize> = BTreeMap::new();
    for (column, cell) in cells.iter().flatten().flatten() {
        let width = widths.entry(*column).or_default();
        *width = (*width).max(cell.chars().count());
    }
    for (row, cells) in rows.iter_mut().zip(cells) {
        row.words = match cells {
            Some(cells) => in_columns(&cells, &widths),
            None => row.joined(&row.line.tokens),
        };
    }
    let indent = rows.first().map_or(0, |row| 2 * row.level);
    let commented = rows.iter().filter(|row| row.line.comment.is_some() && !row.words.is_empty());
    let widest = commented.map(|row| indent + row.words.chars().count() + 2).max().unwrap_or(0);
    for row in rows {
        row.comment_at = widest;
    }
}

fn in_columns(cells: &BTreeMap<usize, String>, widths: &BTreeMap<usize, usize>) -> String {
    let last = cells.keys().next_back().copied().unwrap_or(0);
    let mut out = String::new();
    for (column, width) in widths.iter().filter(|(column, _)| **column <= last) {
        let cell = cells.get(column).map_or("", String::as_str);
        out.push_str(cell);
        if *column != last {
            out.push_str(&" ".repeat(width + 2 - cell.chars().count()));
        }
    }
    out
}

/// The cells of a line by column; `None` where its clauses stand in an unusual order.
fn cells(row: &AlignedRow) -> Option<BTreeMap<usize, String>> {
    let statement = row.statement?;
    let tokens = &row.line.tokens;
    let is_start = |token: &LineToken| match token.mark {
        LineMark::Quoted => None,
        _ => statement.column_of(&token.text),
    };
    // A barrel, and a lone spring, may go without a name.
    let lacks_name = statement.head_words == 2
        && tokens.get(1).is_some_and(|next| is_start(next).is_some())
        && matches!(tokens[0].text.as_str(), "barrel" | "spring" | "step");
    let head = if lacks_name { 1 } else { statement.head_words.min(tokens.len()) };
    let mut starts = vec![(0, 0)];
    for (at, token) in tokens.iter().enumerate().skip(head) {
        let Some(column) = is_start(token) else { continue };
        let (_, last) = *starts.last()?;
        // A word of one column also stands inside of later ones: `while bolt from home`.
        let is_behind_condition = starts.iter().any(|(at, _)| tokens[*at].is("while") && *at != 0);
        if is_behind_condition && !token.is("called") {
            continue;
        }
        if column == last {
            continue;
        }
        if column < last {
            return None;
        }
        starts.push((at, column));
    }
    let ends = starts.iter().skip(1).map(|(at, _)| *at).chain([tokens.len()]);
    let mut found = BTreeMap::new();
    for ((start, column), end) in starts.iter().zip(ends) {
        let cell = row.joined(&tokens[*start..end]);
        if found.insert(*column, cell).is_some() {
            return None;
        }
    }
    Some(found)
}
