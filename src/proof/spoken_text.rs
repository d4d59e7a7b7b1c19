//! A script as it is said: expressions printed and bindings taken out, with the way back to what
//! was written.

use super::passage::Piece;
use crate::body::blocks::{Binding, binding_of};
use crate::text::Span;

/// A binding of a script.
#[derive(Debug, Clone)]
pub(super) struct SpokenBinding {
    /// What it binds, in the text as it is said.
    pub(super) text: Span,
    pub(super) binding: Binding,
    /// The whole link, in the text as written.
    pub(super) link: Span,
}

/// A text without its bindings.
#[derive(Debug, Default)]
pub(super) struct SpokenText {
    pub(super) text: String,
    pub(super) bindings: Vec<SpokenBinding>,
    /// Runs of the text and where they were written, letter by letter.
    pub(super) pieces: Vec<Piece>,
}

impl SpokenText {
    /// Takes the bindings out of a text.
    pub(super) fn new(written: &str) -> SpokenText {
        let mut said = SpokenText::default();
        let mut at = 0;
        while let Some((text, binding, link)) = next_binding(written, at) {
            said.push(written, Span::new(at, link.start));
            let start = said.text.len();
            said.push(written, text);
            let text = Span::new(start, said.text.len());
            said.bindings.push(SpokenBinding { text, binding, link });
            at = link.end;
        }
        said.push(written, Span::new(at, written.len()));
        said
    }

    fn push(&mut self, written: &str, run: Span) {
        let length = run.end - run.start;
        if 0 < length {
            self.pieces.push(Piece { at: self.text.len(), length, source: run.start });
            self.text.push_str(&written[run.start..run.end]);
        }
    }

    /// Runs of this text and where they were written, for runs of another that are taken from it.
    pub(super) fn through(&self, runs: &[Piece]) -> Vec<Piece> {
        let mut found = Vec::new();
        for run in runs {
            let first = self.pieces.partition_point(|own| own.at + own.length <= run.source);
            for own in
                self.pieces[first..].iter().take_while(|own| own.at < run.source + run.length)
            {
                let start = own.at.max(run.source);
                let end = (own.at + own.length).min(run.source + run.length);
                found.push(Piece {
                    at: run.at + (start - run.source),
                    length: end - start,
                    source: own.source + (start - own.at),
                });
            }
        }
        found
    }
}

/// The first binding behind `from`: what it binds, what to, and the whole link.
fn next_binding(text: &str, from: usize) -> Option<(Span, Binding, Span)> {
    let mut at = from;
    loop {
        let close = at + text[at..].find("](")?;
        at = close + 2;
        let Some(open) = text[from..close].rfind('[') else { continue };
        let (target, end) = match text[at..].strip_prefix('<') {
            Some(rest) => rest.find(">)").map(|end| (&rest[..end], at + 1 + end + 2))?,
            None => text[at..].find(')').map(|end| (&text[at..at + end], at + end + 1))?,
        };
        let (target, reason) = target.split_once(" \"").unwrap_or((target, ""));
        if let Some(binding) = binding_of(target, reason.trim_end_matches('"')) {
            let open = from + open;
            return Some((Span::new(open + 1, close), binding, Span::new(open, end)));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bindings_are_not_said_and_every_letter_keeps_its_place() {
        let written = "The bore is\n[one (more) or\nless](<by: bore - 1 mm>), [two](aside: \"a guess\"), \
                       [not](one) and [nor](";
        let said = SpokenText::new(written);
        assert_eq!(said.text, "The bore is\none (more) or\nless, two, [not](one) and [nor](");
        let bound: Vec<&str> =
            said.bindings.iter().map(|b| &said.text[b.text.start..b.text.end]).collect();
        assert_eq!(bound, ["one (more) or\nless", "two"]);
        assert_eq!(said.bindings[0].binding, Binding::By("bore - 1 mm".to_owned()));
        assert_eq!(said.bindings[1].binding, Binding::Aside("a guess".to_owned()));
        for piece in said.through(&[Piece { at: 0, length: said.text.len() - 4, source: 4 }]) {
            let here = &said.text[piece.at + 4..piece.at + 4 + piece.length];
            assert_eq!(here, &written[piece.source..piece.source + piece.length]);
        }
    }
}
