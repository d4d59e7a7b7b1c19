//! What a sentence adds to the relation that is asked about: the state in which it is to hold, that
//! nothing else does it, a figure. Where the question does not carry that, its answer is not the
//! sentence's.

use super::fittings::{Stand, holds};
use super::{StatementAnswer, StatementNames, StatementStanding};
use crate::cutaway::model::{Condition, Engine};
use crate::folio::routing::Routed;
use crate::folio::words::{TextWord, words};
use crate::quantity::reader::{ReadOptions, read};
use crate::quantity::{Dimension, Figure};
use crate::statement::{Phrase, StatedRelation};
use crate::text::Span;

/// In which state a sentence says that something is so.
#[derive(Clone, Copy)]
pub(super) enum ToldState {
    /// In whatever state.
    Any,
    /// In one that is known.
    At(Stand),
    /// Until something else is so.
    Until,
    /// In one that its words do not settle.
    Unread,
}

impl ToldState {
    pub(super) fn is_any(self) -> bool {
        matches!(self, ToldState::Any)
    }

    /// Whether conditions hold in it; what has none, always holds, and what is said of no state,
    /// is said of whenever they do.
    pub(super) fn meets(self, engine: &Engine, when: &[Condition]) -> Option<bool> {
        match self {
            _ if when.is_empty() => Some(true),
            ToldState::Any => Some(true),
            ToldState::At(stand) => holds(engine, when, stand),
            ToldState::Until | ToldState::Unread => None,
        }
    }
}

/// Words that tell where something stands, behind "with the spool".
const PLACES: [&str; 24] = [
    "at", "past", "beyond", "behind", "open", "shut", "close", "closed", "front", "rear", "back",
    "forward", "home", "shifted", "off", "on", "rest", "released", "pulled", "held", "up", "down",
    "in", "out",
];

/// The words of a sentence, with the marks between them.
struct SentenceWords<'t> {
    text: &'t str,
    words: Vec<TextWord>,
}

impl SentenceWords<'_> {
    fn stem(&self, at: usize) -> &str {
        self.words.get(at).map_or("", |word| word.stem.as_str())
    }

    fn is_parted(&self, at: usize) -> bool {
        let gap = at.checked_sub(1).and_then(|before| {
            self.text.get(self.words.get(before)?.span.end..self.words.get(at)?.span.start)
        });
        gap.is_some_and(|gap| gap.contains([',', ';', ':', '(', ')', '—', '–']))
    }

    fn is_capital(&self, at: usize) -> bool {
        let start = self.words.get(at).map(|word| word.span.start);
        let rest = start.and_then(|start| self.text.get(start..));
        rest.is_some_and(|rest| rest.starts_with(char::is_uppercase))
    }

    fn is_article(&self, at: usize) -> bool {
        matches!(self.stem(at), "the" | "a" | "an" | "its" | "their" | "this" | "that" | "it")
    }

    /// Where an adverbial of state that opens at a place begins to tell the state.
    fn opens_state(&self, at: usize) -> Option<usize> {
        let two = (self.stem(at + 1), self.stem(at + 2));
        let is_ordinal = || matches!(two.0, "first" | "second" | "third" | "last");
        match self.stem(at) {
            "while" | "whilst" | "when" | "whenever" | "during" | "throughout" | "until"
            | "till" | "always" => Some(at + 1),
            "as" | "so" if two == ("long", "as") => Some(at + 3),
            "at" if two.0 == "rest" => Some(at),
            "at" if two.0 == "all" => Some(at + 1),
            "with" if self.is_article(at + 1) => {
                let mut stretch = at + 2..self.end(at, at + 1);
                stretch.any(|at| PLACES.contains(&self.stem(at))).then_some(at + 1)
            }
            "in" | "over" if two.0 == "the" => {
                let is_stage = matches!(self.stem(at + 3), "stage" | "half" | "phase");
                is_stage.then_some(at + 1)
            }
            "in" if is_ordinal() => Some(at + 1),
            "to" if two == ("the", "end") || two == ("the", "last") => Some(at + 1),
            _ => None,
        }
    }

    /// Where the stretch ends that opens at a place: at the next mark, or, at the head of a
    /// sentence without one, at the next thing.
    fn end(&self, at: usize, from: usize) -> usize {
        let last = self.words.len();
        if (self.stem(at), self.stem(at + 1)) == ("at", "rest") {
            return at + 2;
        }
        let leads = |at: usize| matches!(self.stem(at), "and" | "but" | "even" | "only");
        let mark = (from + 1..last).find(|at| self.is_parted(*at));
        let joins = |at: usize| matches!(self.stem(at), "at" | "in" | "on" | "to" | "of" | "is");
        let thing = || (from + 2..last).find(|at| self.is_article(*at) && !joins(*at - 1));
        match mark {
            None if (0..at).all(leads) => thing().unwrap_or(last),
            mark => mark.unwrap_or(last),
        }
    }

    fn states(&self) -> Vec<Phrase> {
        let opened = (0..self.words.len()).filter_map(|at| Some((at, self.opens_state(at)?)));
        let told = opened.filter_map(|(at, from)| {
            let words = self.words.get(from..self.end(at, from))?;
            let span = Span::new(words.first()?.span.start, words.last()?.span.end);
            Some(Phrase::new(span, words.to_vec()))
        });
        told.collect()
    }

    fn is_until(&self, state: &Phrase) -> bool {
        let ahead = self.text.get(..state.span.start).unwrap_or_default().trim_end();
        ahead.ends_with("until") || ahead.ends_with("till")
    }

    /// Whether something is said of one thing and of no other.
    fn excludes(&self, at: usize) -> bool {
        let next = self.stem(at + 1);
        match self.stem(at) {
            "only" => self.is_article(at + 1) || self.is_capital(at + 1) || next == "in",
            "nothing" => matches!(next, "but" | "else" | "except" | "other"),
            "no" | "none" => next == "other",
            "alone" | "solely" | "exclusively" => true,
            _ => false,
        }
    }

    /// Whether it is an engine that is told from all others.
    fn excludes_engines(&self, at: usize) -> bool {
        let named = |at: usize| self.is_capital(at + usize::from(self.stem(at) == "the"));
        let is_alone =
            self.stem(at) == "alone" && at.checked_sub(1).is_some_and(|at| self.is_capital(at));
        is_alone
            || self.stem(at) == "only" && (named(at + 1) || self.stem(at + 1) == "in")
            || (self.stem(at), self.stem(at + 2)) == ("no", "engine")
    }
}

impl StatementNames<'_> {
    fn sentence_words(&self) -> SentenceWords<'_> {
        SentenceWords { text: self.text, words: words(self.text, self.sentence) }
    }

    /// The stretches of the sentence that tell a state.
    pub(super) fn state_stretches(&self) -> Vec<Span> {
        self.sentence_words().states().into_iter().map(|state| state.span).collect()
    }

    /// In which state the sentence says that something is so.
    pub(super) fn told_state(&self, routed: &Routed) -> ToldState {
        let said = self.sentence_words();
        match said.states().as_slice() {
            [] => ToldState::Any,
            [one] if said.is_until(one) => ToldState::Until,
            [one] => self.stand(routed, one).map_or(ToldState::Unread, ToldState::At),
            _ => ToldState::Unread,
        }
    }

    /// Whether the sentence says of one thing that nothing else does it.
    pub(super) fn says_only(&self) -> bool {
        let said = self.sentence_words();
        (0..said.words.len()).any(|at| said.excludes(at))
    }

    /// Whether the question that a relation became asks for all that the sentence says.
    pub(super) fn carries(
        &self,
        relation: &StatedRelation,
        span: Span,
        answer: &StatementAnswer,
    ) -> bool {
        let is_doing = match relation {
            StatedRelation::Asserted { .. } => return true,
            StatedRelation::Pushes { .. }
            | StatedRelation::Parts { .. }
            | StatedRelation::Joins { .. }
            | StatedRelation::Trips { .. } => true,
            _ => false,
        };
        let said = self.sentence_words();
        if (0..said.words.len()).any(|at| said.excludes_engines(at)) {
            return false;
        }
        // A figure of what pushes or parts is not asked about.
        let is_quantity = |figure: &Figure| figure.unit.dimension != Dimension::NONE;
        let has_figure = || {
            let figures = read(self.text, &ReadOptions::default()).figures;
            figures.iter().any(|figure| is_quantity(figure) && span.contains(figure.span))
        };
        !(is_doing && answer.standing == StatementStanding::Holds && has_figure())
    }
}
