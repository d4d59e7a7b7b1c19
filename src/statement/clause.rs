//! Sentences, clauses and phrases.

use super::degree::{Degree, is_quantity, plain};
use super::lexicon::{Lexeme, NAME, Role, Roles, cardinal, describes, lexeme, roles_of};
use crate::folio::words::{ReadWord, TextWord, read_words};
use crate::quantity::reader::{ReadOptions, read};
use crate::text::Span;
use std::cell::OnceCell;

/// A sentence, or a clause of it, with its words.
#[derive(Clone)]
pub(super) struct ClauseSentence<'a> {
    pub(super) text: &'a str,
    pub(super) span: Span,
    pub(super) words: Vec<ClauseWord<'a>>,
    /// What some word of it may do.
    roles: Roles,
    /// Whether the whole sentence tells what comes before what, or what is so while.
    pub(super) tells_order: bool,
    figures: &'a PassageFigures<'a>,
}

/// A word of a sentence.
#[derive(Clone)]
pub(super) struct ClauseWord<'a> {
    read: ReadWord<'a>,
    lexeme: &'static Lexeme,
    /// Whether a mark parts it from the word before.
    is_parted: bool,
}

impl ClauseWord<'_> {
    pub(super) fn span(&self) -> Span {
        self.read.span
    }

    pub(super) fn stem(&self) -> &str {
        &self.read.stem
    }

    pub(super) fn is_possessive(&self) -> bool {
        self.read.possessive
    }

    pub(super) fn owned(&self) -> TextWord {
        self.read.clone().owned()
    }

    /// "Bored", "pressing", "cut".
    pub(super) fn is_participle(&self) -> bool {
        let stem = self.stem();
        let is_formed = stem.ends_with("ed") && 4 < stem.len() && !stem.ends_with("eed");
        is_formed || stem.ends_with("ing") && 5 < stem.len() || self.is(Role::Participle)
    }

    pub(super) fn roles(&self) -> Roles {
        self.lexeme.roles
    }

    pub(super) fn is(&self, role: Role) -> bool {
        self.lexeme.roles.has(role)
    }
}

/// The places of the figures of a passage, found when first asked for.
pub(super) struct PassageFigures<'a> {
    text: &'a str,
    spans: OnceCell<Vec<Span>>,
}

impl<'a> PassageFigures<'a> {
    pub(super) fn of(text: &'a str) -> Self {
        PassageFigures { text, spans: OnceCell::new() }
    }

    /// The figure that a stretch is part of.
    fn at(&self, span: Span) -> Option<Span> {
        let spans = self.spans.get_or_init(|| {
            let figures = read(self.text, &ReadOptions::default()).figures;
            figures.into_iter().map(|figure| figure.span).collect()
        });
        let next = spans.partition_point(|figure| figure.end <= span.start);
        spans.get(next).filter(|figure| figure.overlaps(span)).copied()
    }
}

/// Words that name a thing, without what only holds a sentence together.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Phrase {
    /// In the passage.
    pub(crate) span: Span,
    pub(crate) words: Vec<TextWord>,
    /// What some word of it may do.
    roles: Roles,
    /// Where the verb of its clause stands, as far as only its form and its place tell that it is
    /// one: it names nothing.
    pub(crate) verb: Option<Span>,
}

impl Phrase {
    pub(crate) fn new(span: Span, words: Vec<TextWord>) -> Phrase {
        let roles = roles_of(words.iter());
        Phrase { span, words, roles, verb: None }
    }

    pub(super) fn of_words(span: Span, words: &[&ClauseWord<'_>]) -> Phrase {
        let roles = words.iter().fold(Roles::default(), |roles, word| roles.with(word.roles()));
        let words = words.iter().map(|word| word.owned()).collect();
        Phrase { span, words, roles, verb: None }
    }

    pub(crate) fn has(&self, stem: &str) -> bool {
        self.words.iter().any(|word| word.stem == stem)
    }

    /// What some word of it may do.
    pub(super) fn roles(&self) -> Roles {
        self.roles
    }

    /// Whether a word of it may do this.
    pub(crate) fn is(&self, role: Role) -> bool {
        self.roles.has(role)
    }

    /// Without words of which this is true.
    pub(crate) fn without(mut self, is_left: impl Fn(&TextWord) -> bool) -> Phrase {
        self.words.retain(|word| !is_left(word));
        let roles = roles_of(self.words.iter()).shared(self.roles);
        Phrase { verb: self.verb, roles, ..Phrase::new(self.span, self.words) }
    }

    /// Both phrases as one.
    pub(super) fn joined(mut self, other: &Phrase) -> Phrase {
        self.words.extend(other.words.iter().cloned());
        self.verb = self.verb.or(other.verb);
        self.roles = self.roles.with(other.roles);
        self
    }
}

/// Marks at which a phrase ends.
const MARKS: [char; 9] = [',', ';', ':', '(', ')', '—', '–', '“', '”'];

impl<'a> ClauseSentence<'a> {
    /// The sentence that `span` holds.
    pub(super) fn new(text: &'a str, span: Span, figures: &'a PassageFigures<'a>) -> Self {
        let mut last = None;
        let mut words = Vec::with_capacity((span.end - span.start) / 5);
        words.extend(read_words(text, span).map(|read| {
            let gap = last.and_then(|last| text.get(last..read.span.start));
            last = Some(read.span.end);
            let is_parted = gap.is_some_and(|gap| gap != " " && gap.contains(MARKS));
            // "The Two": a name, and no number.
            let is_name = span.start < read.span.start
                && text[read.span.start..].starts_with(char::is_uppercase);
            let known = lexeme(&read.stem);
            let lexeme = if is_name && known.roles.has(Role::Cardinal) { &NAME } else { known };
            ClauseWord { read, lexeme, is_parted }
        }));
        let sentence = ClauseSentence {
            text,
            span,
            words,
            roles: Roles::default(),
            tells_order: false,
            figures,
        };
        let sentence = sentence.with_roles();
        let is_while = |at| sentence.stem(at) == "long" && sentence.stem(at + 1) == "as";
        let tells_order = sentence.stem(0) == "with"
            || sentence.has(Role::TellsOrder)
            || (0..sentence.words.len()).any(is_while);
        ClauseSentence { tells_order, ..sentence }
    }

    fn with_roles(mut self) -> Self {
        let roles = self.words.iter().map(|word| word.lexeme.roles);
        self.roles = roles.fold(Roles::default(), Roles::with);
        if 1 < self.words.iter().filter(|word| word.is_parted).count() {
            self.roles = self.roles.and(Role::Listed);
        }
        self
    }

    /// The words of it that are kept; `None` where all are.
    pub(super) fn keeping(&self, kept: &[bool]) -> Option<ClauseSentence<'a>> {
        let places = (0..self.words.len()).filter(|at| kept.get(*at) == Some(&true));
        kept.contains(&false).then(|| self.of_words(places))
    }

    /// Some words of it, in their order.
    pub(super) fn of_words(&self, kept: impl Iterator<Item = usize>) -> ClauseSentence<'a> {
        let mut words: Vec<ClauseWord<'a>> = Vec::new();
        let mut last = None;
        for at in kept {
            let Some(word) = self.words.get(at) else { continue };
            // Where something was left out, nothing parts what is left.
            let follows = last.is_none_or(|last| last + 1 == at);
            let is_parted = !words.is_empty() && follows && word.is_parted;
            words.push(ClauseWord { is_parted, ..word.clone() });
            last = Some(at);
        }
        let clause = self.of(words);
        let span = clause.stretch(0, clause.words.len());
        ClauseSentence { span, ..clause }
    }

    /// The clause with other words in place of its first `count`.
    pub(super) fn with_subject(
        &self,
        count: usize,
        subject: &[ClauseWord<'a>],
    ) -> ClauseSentence<'a> {
        let place = self.words.first().map_or(self.span, ClauseWord::span);
        let stands_in = |word: &ClauseWord<'a>| ClauseWord {
            read: ReadWord { span: place, ..word.read.clone() },
            lexeme: word.lexeme,
            is_parted: false,
        };
        let words = subject.iter().map(stands_in).chain(self.words.iter().skip(count).cloned());
        self.of(words.collect())
    }

    /// The same sentence with other words.
    fn of(&self, words: Vec<ClauseWord<'a>>) -> ClauseSentence<'a> {
        let ClauseSentence { text, span, roles, tells_order, figures, .. } = *self;
        ClauseSentence { text, span, words, roles, tells_order, figures }.with_roles()
    }

    /// Whether some word of it may do this.
    pub(super) fn has(&self, role: Role) -> bool {
        self.roles.has(role)
    }

    /// What some word of it may do.
    pub(super) fn roles(&self) -> Roles {
        self.roles
    }

    /// Where the pieces between its marks begin and end.
    pub(super) fn pieces(&self) -> Vec<(usize, usize)> {
        let last = self.words.len();
        let mut cuts: Vec<usize> = (1..last).filter(|at| self.is_parted(*at)).collect();
        cuts.insert(0, 0);
        cuts.push(last);
        cuts.windows(2).map(|pair| (pair[0], pair[1])).filter(|(from, to)| from < to).collect()
    }

    /// Whether what is denied stands in a piece that only tells more of a thing: "the disc, which
    /// has no size, …", "the disc, and no ring, …". It denies nothing of what is said of the thing.
    pub(super) fn denies_aside(&self) -> bool {
        let opens = |at: usize| {
            let sets_apart = self.stem(at) == "and" && matches!(self.stem(at + 1), "no" | "not");
            sets_apart || self.is(at, Role::Aside) || self.is(at, Role::Tail)
        };
        let pieces = if self.has(Role::Denial) { self.pieces() } else { Vec::new() };
        let mut pieces = pieces.into_iter().filter(|(from, _)| 0 < *from && opens(*from));
        pieces.any(|(from, to)| (from..to).any(|at| self.is(at, Role::Denial)))
    }

    /// Whether a word denies the verb at a place: right before it, or at the start of its clause.
    pub(super) fn denies_verb(&self, from: usize, verb: usize) -> bool {
        let helps = |at: usize| {
            let stem = self.stem(at);
            matches!(stem, "do" | "doe" | "does" | "did" | "longer" | "ever" | "what")
                || stem.ends_with("ly")
        };
        let is_beside = |at: usize| at < verb && (at + 1..verb).all(helps) || at == verb + 1;
        let opens = from..(from + 2).min(self.words.len());
        let near = verb.saturating_sub(4)..verb + 2;
        opens.into_iter().any(|at| self.is(at, Role::Denial))
            || near.into_iter().any(|at| is_beside(at) && self.is(at, Role::Denial))
    }

    /// Whether a word is written like a name.
    pub(super) fn is_capital(&self, at: usize) -> bool {
        self.words.get(at).is_some_and(|word| {
            let start = word.span().start;
            start != self.span.start && self.text[start..].starts_with(char::is_uppercase)
        })
    }

    /// Whether a word may do this.
    pub(super) fn is(&self, at: usize, role: Role) -> bool {
        self.words.get(at).is_some_and(|word| word.is(role))
    }

    /// Whether the word `back` words before `at` may do this.
    pub(super) fn is_before(&self, at: usize, back: usize, role: Role) -> bool {
        at.checked_sub(back).is_some_and(|at| self.is(at, role))
    }

    /// The whole number that a word is.
    pub(super) fn cardinal(&self, at: usize) -> Option<f64> {
        let is_number = self.is(at, Role::Cardinal) || self.is(at, Role::Digit);
        cardinal(self.stem(at)).filter(|_| is_number)
    }

    /// Whether a word is a participle by its form.
    pub(super) fn is_participle(&self, at: usize) -> bool {
        self.words.get(at).is_some_and(ClauseWord::is_participle)
    }

    /// The word of degree that stands here in its plain form.
    pub(super) fn plain(&self, at: usize) -> Option<&'static Degree> {
        self.words.get(at)?.lexeme.degrees[0]
    }

    /// The word of degree whose comparative stands here.
    pub(super) fn comparative(&self, at: usize) -> Option<&'static Degree> {
        self.words.get(at)?.lexeme.degrees[1]
    }

    /// The word of degree that stands here in its plain form, or as an adverb, behind "more" or
    /// "less": "more slowly", "less far".
    pub(super) fn periphrastic(&self, at: usize) -> Option<&'static Degree> {
        let known = self.plain(at).or_else(|| plain(self.stem(at).strip_suffix("ly")?));
        let is_behind = matches!(self.before(at, 1), "more" | "less") && !self.is_parted(at);
        known.filter(|degree| is_behind && !degree.is_general())
    }

    /// The word of degree whose superlative stands here.
    pub(super) fn superlative(&self, at: usize) -> Option<&'static Degree> {
        self.words.get(at)?.lexeme.degrees[2]
    }

    /// The figure that a word is part of.
    pub(super) fn figure_at(&self, at: usize) -> Option<Span> {
        self.figures.at(self.words.get(at)?.span())
    }

    /// Whether a stretch is part of a figure.
    pub(super) fn is_figure(&self, span: Span) -> bool {
        self.figures.at(span).is_some()
    }

    /// Whether what stands before a place holds only in some case: "… when it is wet", "… by
    /// mistake". "When it fires" tells what always happens.
    pub(super) fn is_conditional(&self, end: usize) -> bool {
        let last = self.words.len();
        let to = (end + 1..last).find(|at| self.is_parted(*at)).unwrap_or(last);
        let mut rest = end + 1..to;
        let says_more = |at: usize| {
            let word = &self.words[at];
            let is_amount = self.figure_at(at).is_some() || word.is(Role::Factor);
            let is_empty = word.is(Role::Light) || describes(word.stem());
            !is_amount && !is_empty && !is_quantity(word.stem())
        };
        match self.stem(end) {
            _ if end >= last || self.is_parted(end) => false,
            "when" | "whenever" => rest.any(|at| self.is(at, Role::Be)),
            "by" if self.stem(end + 1) != "which" => rest.any(says_more),
            _ => false,
        }
    }

    /// Whether a verb behind the start of a stretch goes on with something of its own: "a store
    /// smaller than the old one is no use", but not "than it is in the old one".
    pub(super) fn has_verb_within(&self, (from, to): (usize, usize)) -> bool {
        // "Than the old one does its dart" stands for the same verb.
        let stands_in = |at: usize| matches!(self.stem(at), "does" | "doe" | "do" | "did");
        let is_verb =
            |at: usize| (self.is(at, Role::Be) || self.is(at, Role::Verb)) && !stands_in(at);
        let goes_on = |at: usize| {
            let next = self.stem(at);
            at < to && !matches!(next, "in" | "on" | "of" | "for" | "with" | "at" | "now" | "")
        };
        (from + 1..to).any(|at| is_verb(at) && goes_on(at + 1))
    }

    /// The stem of a word; empty beside the sentence.
    pub(super) fn stem(&self, at: usize) -> &str {
        self.words.get(at).map_or("", ClauseWord::stem)
    }

    /// The stem `back` words before `at`.
    pub(super) fn before(&self, at: usize, back: usize) -> &str {
        at.checked_sub(back).map_or("", |at| self.stem(at))
    }

    /// What stands between a word and the one before it.
    pub(super) fn gap(&self, at: usize) -> &'a str {
        match (at.checked_sub(1).and_then(|before| self.words.get(before)), self.words.get(at)) {
            (Some(before), Some(word)) => {
                self.text.get(before.span().end..word.span().start).unwrap_or_default()
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
        self.words.get(at).is_some_and(|word| word.is_parted)
    }

    /// First word of the phrase that ends before `end`.
    pub(super) fn phrase_start(&self, end: usize) -> usize {
        let mut start = end;
        while 0 < start {
            let turns = self.is(start - 1, Role::Turn) && self.stem(start - 1) != "and";
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
            let turns = self.is(end, Role::Turn) || matches!(self.stem(end), "that" | "by");
            if start < end && (turns || self.is_parted(end)) {
                break;
            }
            end += 1;
        }
        end
    }

    /// The same, with what "that" tells more of the thing: "the hole that fills the store".
    pub(super) fn relative_end(&self, start: usize) -> usize {
        let end = self.phrase_end(start);
        let goes_on = self.stem(end) == "that" && !self.is_parted(end);
        if goes_on { self.phrase_end(end + 1) } else { end }
    }

    /// A phrase of the words from `first` to before `last`; `None` if none of them names anything.
    pub(super) fn phrase(&self, first: usize, last: usize) -> Option<Phrase> {
        let words = self.words.get(first..last)?;
        let kept = words.iter().filter(|word| !word.is(Role::Glue) || self.is_letter(word));
        let kept: Vec<&ClauseWord<'_>> = kept.collect();
        let span = Span::new(words.first()?.span().start, words.last()?.span().end);
        let verb = || self.verb_by_form().map(|at| self.words[at].span());
        (!kept.is_empty()).then(|| Phrase { verb: verb(), ..Phrase::of_words(span, &kept) })
    }

    /// The verb of a clause without any that is known: behind a noun, in the form of the third
    /// person or of the past.
    fn verb_by_form(&self) -> Option<usize> {
        const KNOWN: Roles = Roles::of(&[Role::Be, Role::Have, Role::Verb]);
        const LEADS: Roles = Roles::of(&[
            Role::Glue,
            Role::Turn,
            Role::Denial,
            Role::Light,
            Role::Cardinal,
            Role::Comparative,
            Role::Superlative,
            Role::Plain,
        ]);
        if self.roles.meets(KNOWN) {
            return None;
        }
        (1..self.words.len()).find(|at| {
            let span = self.words[*at].span();
            let written = &self.text[span.start..span.end];
            let is_formed =
                written.ends_with('s') && !written.ends_with("ss") || written.ends_with("ed");
            let is_noun = |at: usize| {
                let stands_in = matches!(self.stem(at), "it" | "they" | "that" | "which");
                stands_in || !self.words[at].roles().meets(LEADS)
            };
            let behind_noun = is_noun(at - 1) && !self.is_parted(*at);
            let is_free = !self.words[*at].is_possessive() && !self.is_capital(*at);
            is_formed && behind_noun && is_free && 3 < written.len()
        })
    }

    /// All words from `first` to before `last`; `None` if none of them names anything.
    pub(super) fn told(&self, first: usize, last: usize) -> Option<Phrase> {
        let words = self.words.get(first..last)?;
        if words.iter().all(|word| word.is(Role::Glue) && !self.is_letter(word)) {
            return None;
        }
        let span = Span::new(words.first()?.span().start, words.last()?.span().end);
        Some(Phrase::of_words(span, &words.iter().collect::<Vec<_>>()))
    }

    /// "the A": a letter that names something, and no article.
    fn is_letter(&self, word: &ClauseWord<'_>) -> bool {
        let span = word.span();
        let typed = &self.text[span.start..span.end];
        typed.trim_end_matches(['\'', '’', 's']) == "A" && span.start != self.span.start
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

    /// The text from one word to before another, in whatever order they stand in it.
    pub(super) fn stretch(&self, first: usize, last: usize) -> Span {
        let last = last.min(self.words.len()).max(first);
        let spans = || self.words.get(first..last).into_iter().flatten().map(ClauseWord::span);
        let start = spans().map(|span| span.start).min().unwrap_or(self.span.start);
        let end = spans().map(|span| span.end).max().unwrap_or(self.span.end);
        Span::new(start, end.max(start))
    }
}
