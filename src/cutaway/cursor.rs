//! A place in a line while it is read, word by word.

use super::lines::{Line, LineMark, LineToken};
use crate::text::Span;

/// What was expected at a place and not found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct MissingWord {
    /// "the chamber it comes from", or a word of the language in backquotes.
    pub(super) expected: String,
    /// What stands there instead, if anything.
    pub(super) found: Option<String>,
    /// The word that stands there, or the end of the line.
    pub(super) span: Span,
    /// The word to write, where there is only one.
    pub(super) word: Option<String>,
}

/// A place in a line.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cursor<'a> {
    tokens: &'a [LineToken],
    end: usize,
}

impl<'a> Cursor<'a> {
    /// Behind the first `skipped` words of a line.
    pub(super) fn new(line: &'a Line, skipped: usize) -> Cursor<'a> {
        Cursor { tokens: line.tokens.get(skipped..).unwrap_or(&[]), end: line.span.end }
    }

    /// The next word, quotation or sign, left where it is.
    pub(super) fn peek(&self) -> Option<&'a LineToken> {
        self.tokens.first()
    }

    /// The one behind the next.
    pub(super) fn peek_second(&self) -> Option<&'a LineToken> {
        self.tokens.get(1)
    }

    /// What is left of the line.
    pub(super) fn rest(&self) -> &'a [LineToken] {
        self.tokens
    }

    /// Takes the next one, whatever it is.
    pub(super) fn next(&mut self) -> Option<&'a LineToken> {
        let (first, rest) = self.tokens.split_first()?;
        self.tokens = rest;
        Some(first)
    }

    /// Takes the next one if it is this word or sign.
    pub(super) fn takes(&mut self, word: &str) -> bool {
        let is_next = self.peek().is_some_and(|token| token.is(word));
        if is_next {
            self.tokens = &self.tokens[1..];
        }
        is_next
    }

    /// Takes the next ones if they are these words, with a blank between each two.
    pub(super) fn takes_all(&mut self, words: &str) -> bool {
        let count = words.split(' ').count();
        let mut pairs = words.split(' ').zip(self.tokens);
        let are_next = count <= self.tokens.len() && pairs.all(|(word, token)| token.is(word));
        if are_next {
            self.tokens = &self.tokens[count..];
        }
        are_next
    }

    /// Takes this word of the language, which has to stand here.
    pub(super) fn expect(&mut self, word: &str) -> Result<(), MissingWord> {
        if self.takes(word) {
            return Ok(());
        }
        Err(MissingWord { word: Some(word.to_owned()), ..self.missing(format!("`{word}`")) })
    }

    /// Takes a name: a word, or words in quotation marks.
    pub(super) fn name(&mut self, what: &str) -> Result<&'a LineToken, MissingWord> {
        match self.peek() {
            Some(token) if token.mark != LineMark::Sign => {
                self.tokens = &self.tokens[1..];
                Ok(token)
            }
            _ => Err(self.missing(what.to_owned())),
        }
    }

    /// Takes words in quotation marks.
    pub(super) fn quoted(&mut self, what: &str) -> Result<&'a LineToken, MissingWord> {
        match self.peek() {
            Some(token) if token.mark == LineMark::Quoted => {
                self.tokens = &self.tokens[1..];
                Ok(token)
            }
            _ => Err(self.missing(format!("{what} in quotation marks"))),
        }
    }

    /// That something else was expected here.
    pub(super) fn missing(&self, expected: String) -> MissingWord {
        let found = self.peek().map(|token| token.text.clone());
        let span = self.peek().map_or(Span::new(self.end, self.end), |token| token.span);
        MissingWord { expected, found, span, word: None }
    }
}
