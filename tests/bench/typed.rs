//! Slips typed into a page that was accepted: its bindings stay, as they do when somebody goes on
//! writing.

use gaugebook::text::Span;

/// What a page's text became by accepting proposals: pieces of the old text and where they stand.
pub(crate) struct Edited {
    pub(crate) text: String,
    /// Place in the old text, in the new one, length.
    pub(crate) pieces: Vec<(usize, usize, usize)>,
}

impl Edited {
    pub(crate) fn unchanged(body: &str) -> Edited {
        Edited { text: body.to_owned(), pieces: vec![(0, 0, body.len())] }
    }

    /// The new place of an old offset.
    pub(crate) fn place(&self, old: usize) -> usize {
        let piece = self.pieces.iter().rev().find(|(from, _, _)| *from <= old);
        piece.map_or(0, |(from, to, _)| to + old - from)
    }
}

/// The accepted text with a slip typed into it: the words that it changes, and no others.
pub(crate) fn slipped(edited: &Edited, body: &str, at: Span, replacement: &str) -> String {
    let original = &body[at.start..at.end];
    let (old, new) = (tokens(original), tokens(replacement));
    let mut changes: Vec<(Span, &str)> = Vec::new();
    if old.len() == new.len() {
        let pairs = old.iter().zip(&new).filter(|((_, a), (_, b))| a != b);
        changes.extend(pairs.map(|((span, _), (_, typed))| (*span, *typed)));
    } else {
        let ahead = old.iter().zip(&new).take_while(|(a, b)| a.1 == b.1).count();
        let most = old.len().min(new.len()) - ahead;
        let behind = old.iter().rev().zip(new.iter().rev()).take(most);
        let behind = behind.take_while(|(a, b)| a.1 == b.1).count();
        let from = old.get(ahead).map_or(original.len(), |(span, _)| span.start);
        let upto = match old.len() - behind {
            last if ahead < last => old[last - 1].0.end,
            _ => from,
        };
        let typed = match new.len() - behind {
            last if ahead < last => &replacement[new[ahead].0.start..new[last - 1].0.end],
            _ => "",
        };
        changes.push((Span::new(from, upto), typed));
    }
    let mut text = edited.text.clone();
    for (span, typed) in changes.into_iter().rev() {
        let start = edited.place(at.start + span.start);
        let end = match span.start == span.end {
            true => start,
            false => edited.place(at.start + span.end - 1) + 1,
        };
        // Who types over one end of a binding takes it away.
        let (start, end) = with_whole_bindings(&text, start, end);
        text.replace_range(start..end, typed);
    }
    text
}

/// The words of a text and their places.
fn tokens(text: &str) -> Vec<(Span, &str)> {
    let words = text.split_whitespace();
    words
        .map(|word| {
            let word = word.trim_matches(['(', ')', '[', ']', ',', '.', ';', ':']);
            let at = word.as_ptr() as usize - text.as_ptr() as usize;
            (Span::new(at, at + word.len()), word)
        })
        .collect()
}

/// A stretch of text with the rest of the bindings of which it holds one end only.
fn with_whole_bindings(text: &str, start: usize, end: usize) -> (usize, usize) {
    let piece = &text[start..end];
    let opens = piece.rfind('[').is_some_and(|at| !piece[at..].contains("]("));
    let closes = piece.find("](").is_some_and(|at| !piece[..at].contains('['));
    let close = |from: usize| {
        let target = text[from..].find("](").map_or(text.len(), |at| from + at);
        let mark = if text[target..].starts_with("](<") { ">)" } else { ")" };
        text[target..].find(mark).map_or(text.len(), |at| target + at + mark.len())
    };
    let first = if closes { text[..start].rfind('[').unwrap_or(start) } else { start };
    (first, if opens { close(end) } else { end })
}
