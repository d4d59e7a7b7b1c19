//! A cutaway's text as lines of words, and the lines as statements with what belongs to them.
//!
//! Blanks separate words and mean nothing else, except at the start of a line: an indented line
//! belongs to the statement above it. Nothing here knows what a word means.

use crate::text::Span;

/// What a piece of a line is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum LineMark {
    /// A word.
    Word,
    /// Words in quotation marks.
    Quoted,
    /// One of `, : ( ) +`.
    Sign,
}

/// A word, a quotation or a sign.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct LineToken {
    pub(super) mark: LineMark,
    /// The word itself, without quotation marks.
    pub(super) text: String,
    /// Where it stands, quotation marks included.
    pub(super) span: Span,
}

impl LineToken {
    /// Whether it is this word or sign, not in quotation marks.
    pub(super) fn is(&self, word: &str) -> bool {
        self.mark != LineMark::Quoted && self.text == word
    }
}

/// One line with at least one word or a comment.
#[derive(Debug, Clone)]
pub(super) struct Line {
    /// Columns before the first word; a tabulator goes on to the next multiple of eight.
    pub(super) indent: usize,
    pub(super) tokens: Vec<LineToken>,
    /// From the first word to the last.
    pub(super) span: Span,
    /// The comment, with its `#`.
    pub(super) comment: Option<Span>,
    /// A quotation that does not end in its line.
    pub(super) unclosed: Option<Span>,
}

/// A statement: its line, and the indented lines below it.
#[derive(Debug, Clone)]
pub(super) struct CutawayLine {
    pub(super) head: Line,
    pub(super) inner: Vec<Line>,
}

/// Splits a text into its lines; those without words or comments are left out.
pub(super) fn lines(text: &str) -> Vec<Line> {
    let mut start = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
    let mut found = Vec::new();
    for raw in text[start..].split('\n') {
        let line = line(raw, start);
        if !line.tokens.is_empty() || line.comment.is_some() {
            found.push(line);
        }
        start += raw.len() + 1;
    }
    found
}

/// Splits one line, which starts at byte `offset` of its text.
pub(super) fn line(raw: &str, offset: usize) -> Line {
    let mut tokens: Vec<LineToken> = Vec::new();
    let (mut comment, mut unclosed) = (None, None);
    let mut at = 0;
    while let Some(c) = raw[at..].chars().next() {
        let length = match c {
            c if c.is_whitespace() => {
                at += c.len_utf8();
                continue;
            }
            '#' => {
                comment = Some(Span::new(at, raw.trim_end().len()).shifted(offset));
                break;
            }
            '"' | '“' | '„' => quotation(&raw[at..]).unwrap_or_else(|| {
                let length = raw[at..].trim_end().len();
                unclosed = Some(Span::new(at, at + length).shifted(offset));
                length
            }),
            c if is_sign(c) => c.len_utf8(),
            _ => word(&raw[at..]),
        };
        tokens.push(token(&raw[at..at + length], at + offset));
        at += length;
    }
    let first = tokens.first().map_or(offset, |token| token.span.start);
    let last = tokens.last().map_or(first, |token| token.span.end);
    Line { indent: indent(raw), tokens, span: Span::new(first, last), comment, unclosed }
}

/// Puts lines without comments of their own together to statements. Lines indented no deeper than
/// the first are heads; so a piece of a text can be taken as one, wherever it stood.
pub(super) fn statements(lines: Vec<Line>) -> Vec<CutawayLine> {
    let outer = lines.first().map_or(0, |line| line.indent);
    let mut found: Vec<CutawayLine> = Vec::new();
    for line in lines {
        match found.last_mut() {
            Some(above) if outer < line.indent => above.inner.push(line),
            _ => found.push(CutawayLine { head: line, inner: Vec::new() }),
        }
    }
    found
}

/// The statements of a text as they are written, with what stands under each.
pub(crate) fn statement_texts(text: &str) -> Vec<&str> {
    let written = lines(text).into_iter().filter(|line| !line.tokens.is_empty()).collect();
    let told = statements(written).into_iter().map(|CutawayLine { head, inner }| {
        let last = inner.last().unwrap_or(&head);
        let end = last.comment.map_or(last.span.end, |comment| comment.end);
        &text[head.span.start..end]
    });
    told.collect()
}

fn is_sign(c: char) -> bool {
    matches!(c, ',' | ':' | '(' | ')' | '+')
}

fn is_quotation_mark(c: char) -> bool {
    matches!(c, '"' | '“' | '”' | '„')
}

/// Length of a quotation with its marks; `None` if it does not end.
fn quotation(text: &str) -> Option<usize> {
    let mut after = text.char_indices().skip(1);
    after.find(|(_, c)| is_quotation_mark(*c)).map(|(at, c)| at + c.len_utf8())
}

/// Length of the word at the start of a text.
fn word(text: &str) -> usize {
    let ends = |c: char| c.is_whitespace() || is_sign(c) || is_quotation_mark(c) || c == '#';
    // A closing quotation mark alone is a word too: something has to come of it.
    let first = text.chars().next().map_or(0, char::len_utf8);
    text[first..].find(ends).map_or(text.len(), |at| first + at)
}

fn token(raw: &str, at: usize) -> LineToken {
    let first = raw.chars().next().unwrap_or(' ');
    let mark = match first {
        '"' | '“' | '„' => LineMark::Quoted,
        c if is_sign(c) => LineMark::Sign,
        _ => LineMark::Word,
    };
    let text =
        if mark == LineMark::Quoted { raw.trim_matches(is_quotation_mark).trim() } else { raw };
    LineToken { mark, text: text.to_owned(), span: Span::new(at, at + raw.len()) }
}

fn indent(raw: &str) -> usize {
    let blanks = raw.chars().take_while(|c| c.is_whitespace());
    blanks.fold(0, |columns, c| if c == '\t' { (columns / 8 + 1) * 8 } else { columns + 1 })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> Vec<String> {
        line(text, 0).tokens.into_iter().map(|token| token.text).collect()
    }

    #[test]
    fn signs_and_quotations_are_words_of_their_own() {
        assert_eq!(
            words("axis main: a,b around c # x"),
            ["axis", "main", ":", "a", ",", "b", "around", "c"]
        );
        assert_eq!(words("called \"rear room\",“x”"), ["called", "rear room", ",", "x"]);
        assert_eq!(words("seal s  size -012"), ["seal", "s", "size", "-012"]);
    }

    #[test]
    fn places_count_from_the_start_of_the_text() {
        let found = lines("\u{feff}cutaway a\r\n\r\n\tway \"b c\r\n");
        assert_eq!(found.len(), 2);
        assert_eq!(found[0].span, Span::new(3, 12));
        assert_eq!((found[1].indent, found[1].tokens[1].text.as_str()), (8, "b c"));
        assert_eq!(found[1].unclosed, Some(Span::new(21, 25)));
    }
}
