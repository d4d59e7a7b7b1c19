//! Sentences, clauses and phrases.

use crate::folio::words::TextWord;
use crate::text::Span;

/// A sentence with its words.
pub(super) struct ClauseSentence<'a> {
    pub(super) text: &'a str,
    pub(super) span: Span,
    pub(super) words: &'a [TextWord],
    /// What the sentence before says.
    pub(super) before: Option<&'a Phrase>,
}

/// Words that name a thing, without what only holds a sentence together.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Phrase {
    /// In the passage.
    pub(crate) span: Span,
    pub(crate) words: Vec<TextWord>,
}

impl Phrase {
    pub(crate) fn has(&self, stem: &str) -> bool {
        self.words.iter().any(|word| word.stem == stem)
    }

    /// Both phrases as one.
    pub(super) fn joined(mut self, other: &Phrase) -> Phrase {
        self.words.extend(other.words.iter().cloned());
        self
    }
}

/// Words at which a clause ends, when they open another one.
const TURNS: [&str; 17] = [
    "but", "while", "wherea", "whereas", "although", "though", "because", "since", "so", "yet",
    "which", "when", "where", "if", "unless", "and", "or",
];

/// Marks at which a phrase ends.
const MARKS: [char; 9] = [',', ';', ':', '(', ')', '—', '–', '“', '”'];

impl<'a> ClauseSentence<'a> {
    /// The stem of a word; empty beside the sentence.
    pub(super) fn stem(&self, at: usize) -> &str {
        self.words.get(at).map_or("", |word| word.stem.as_str())
    }

    /// The stem `back` words before `at`.
    pub(super) fn before(&self, at: usize, back: usize) -> &str {
        at.checked_sub(back).map_or("", |at| self.stem(at))
    }

    /// What stands between a word and the one before it.
    fn gap(&self, at: usize) -> &'a str {
        match (at.checked_sub(1).and_then(|before| self.words.get(before)), self.words.get(at)) {
            (Some(before), Some(word)) => {
                self.text.get(before.span.end..word.span.start).unwrap_or_default()
            }
            _ => "",
        }
    }

    /// Whether a word stands right behind the one before it but for a point or a stroke: "1.5".
    pub(super) fn touches(&self, at: usize) -> bool {
        matches!(self.gap(at), "." | "," | "/")
    }

    /// Whether a mark parts a word from the one before it.
    pub(super) fn is_parted(&self, at: usize) -> bool {
        self.gap(at).contains(MARKS)
    }

    /// First word of the phrase that ends before `end`.
    pub(super) fn phrase_start(&self, end: usize) -> usize {
        let mut start = end;
        while 0 < start {
            let turns = TURNS.contains(&self.stem(start - 1)) && self.stem(start - 1) != "and";
            if turns || start < end && self.is_parted(start) {
                break;
            }
            start -= 1;
        }
        start
    }

    /// One past the last word of the phrase that starts at `start`.
    pub(super) fn phrase_end(&self, start: usize) -> usize {
        let mut end = start;
        while end < self.words.len() {
            // "the ram that holds it": what follows tells more of the thing, and names no other.
            let turns = TURNS.contains(&self.stem(end)) || matches!(self.stem(end), "that" | "by");
            if start < end && (turns || self.is_parted(end)) {
                break;
            }
            end += 1;
        }
        end
    }

    /// A phrase of the words from `first` to before `last`; `None` if none of them names anything.
    pub(super) fn phrase(&self, first: usize, last: usize) -> Option<Phrase> {
        let words = self.words.get(first..last)?;
        let kept = words.iter().filter(|word| !is_glue(&word.stem) || self.is_letter(word));
        let kept: Vec<TextWord> = kept.cloned().collect();
        let span = Span::new(words.first()?.span.start, words.last()?.span.end);
        (!kept.is_empty()).then_some(Phrase { span, words: kept })
    }

    /// "the A": a letter that names something, and no article.
    fn is_letter(&self, word: &TextWord) -> bool {
        let typed = &self.text[word.span.start..word.span.end];
        typed.trim_end_matches(['\'', '’', 's']) == "A" && word.span.start != self.span.start
    }

    /// The phrase before a verb; an apposition between commas is passed over ("The bumper, a
    /// -111, seals …").
    pub(super) fn subject(&self, verb: usize) -> Option<(usize, Phrase)> {
        let mut end = verb;
        if self.is_parted(verb) {
            end = (1..verb).rev().find(|at| self.is_parted(*at))?;
        }
        let start = self.phrase_start(end);
        Some((start, self.phrase(start, end)?))
    }

    /// The text from one word to before another.
    pub(super) fn stretch(&self, first: usize, last: usize) -> Span {
        let start = self.words.get(first).map_or(self.span.start, |word| word.span.start);
        let end = last.checked_sub(1).and_then(|last| self.words.get(last));
        Span::new(start, end.map_or(self.span.end, |word| word.span.end).max(start))
    }
}

/// Forms of "to be" and "to have", in the form in which words are compared.
pub(super) const BE: [&str; 10] =
    ["is", "are", "wa", "was", "were", "isn't", "aren't", "be", "been", "being"];
pub(super) const HAVE: [&str; 9] =
    ["ha", "has", "have", "had", "carrie", "carry", "take", "took", "hold"];

/// Words that name nothing themselves.
pub(super) fn is_glue(stem: &str) -> bool {
    const GLUE: [&str; 64] = [
        "the", "a", "an", "this", "thi", "that", "these", "those", "it", "its", "it's", "they",
        "their", "them", "of", "in", "on", "at", "to", "by", "for", "from", "with", "into", "onto",
        "out", "than", "as", "and", "or", "but", "so", "then", "is", "are", "wa", "was", "were",
        "be", "been", "ha", "has", "have", "had", "do", "doe", "does", "did", "just", "only",
        "quite", "rather", "very", "much", "far", "still", "also", "even", "again", "too", "here",
        "there", "itself", "one",
    ];
    GLUE.contains(&stem)
}
