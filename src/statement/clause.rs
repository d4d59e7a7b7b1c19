//! Sentences, clauses and phrases.

use crate::folio::words::TextWord;
use crate::text::Span;

/// A sentence, or a clause of it, with its words.
#[derive(Clone)]
pub(super) struct ClauseSentence<'a> {
    pub(super) text: &'a str,
    pub(super) span: Span,
    pub(super) words: Vec<TextWord>,
    /// Whether a mark parts a word from the one before it.
    pub(super) parted: Vec<bool>,
    /// What the sentence before says.
    pub(super) before: Option<&'a Phrase>,
    /// Whether the whole sentence tells what comes before what, or what is so while.
    pub(super) tells_order: bool,
    /// The places of the figures of the passage, in order.
    pub(super) figures: &'a [Span],
}

/// Words by which a sentence tells an order, or what is so while something else is.
const ORDER: [&str; 9] =
    ["before", "after", "until", "till", "once", "then", "next", "first", "order"];

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
    /// The sentence that `span` holds.
    pub(super) fn new(
        text: &'a str,
        span: Span,
        before: Option<&'a Phrase>,
        figures: &'a [Span],
    ) -> Self {
        let words = crate::folio::words::words(text, span);
        let gap = |at: usize| {
            let ahead = at.checked_sub(1).and_then(|before| words.get(before))?;
            text.get(ahead.span.end..words.get(at)?.span.start)
        };
        let parts = |at: usize| gap(at).is_some_and(|gap| gap.contains(MARKS));
        let parted = (0..words.len()).map(parts).collect();
        let stem = |at: usize| words.get(at).map_or("", |word: &TextWord| word.stem.as_str());
        let is_while = |at: usize| stem(at) == "long" && stem(at + 1) == "as";
        let tells_order = stem(0) == "with"
            || (0..words.len()).any(|at| ORDER.contains(&stem(at)) || is_while(at));
        let first = figures.partition_point(|figure| figure.end <= span.start);
        let last = figures.partition_point(|figure| figure.start < span.end);
        let figures = figures.get(first..last).unwrap_or_default();
        ClauseSentence { text, span, words, parted, before, tells_order, figures }
    }

    /// Some words of it, in their order.
    pub(super) fn of_words(&self, kept: impl Iterator<Item = usize>) -> ClauseSentence<'a> {
        let mut words: Vec<TextWord> = Vec::new();
        let mut parted = Vec::new();
        let mut last = None;
        for at in kept {
            let Some(word) = self.words.get(at) else { continue };
            // Where something was left out, nothing parts what is left.
            let follows = last.is_none_or(|last| last + 1 == at);
            parted.push(!words.is_empty() && follows && self.is_parted(at));
            words.push(word.clone());
            last = Some(at);
        }
        let end = words.last().map_or(self.span.end, |word| word.span.end);
        let start = words.first().map_or(self.span.start, |word| word.span.start);
        ClauseSentence {
            text: self.text,
            span: Span::new(start, end.max(start)),
            words,
            parted,
            before: self.before,
            tells_order: self.tells_order,
            figures: self.figures,
        }
    }

    /// The clause with other words in place of its first `count`.
    pub(super) fn with_subject(&self, count: usize, subject: &[TextWord]) -> ClauseSentence<'a> {
        let place = self.words.first().map_or(self.span, |word| word.span);
        let stands_in = |word: &TextWord| TextWord { span: place, ..word.clone() };
        let words = subject.iter().map(stands_in).chain(self.words.iter().skip(count).cloned());
        let parted = std::iter::repeat_n(false, subject.len());
        let parted = parted.chain(self.parted.iter().skip(count).copied()).collect();
        ClauseSentence { words: words.collect(), parted, ..self.clone() }
    }

    /// The figure that a word is part of.
    pub(super) fn figure_at(&self, at: usize) -> Option<Span> {
        let word = self.words.get(at)?.span;
        self.figures.iter().find(|figure| figure.overlaps(word)).copied()
    }

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
        self.parted.get(at).copied().unwrap_or(false)
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

    /// All words from `first` to before `last`; `None` if none of them names anything.
    pub(super) fn told(&self, first: usize, last: usize) -> Option<Phrase> {
        let phrase = self.phrase(first, last)?;
        Some(Phrase { words: self.words.get(first..last)?.to_vec(), ..phrase })
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
