//! What a sentence says beside its relation: in which state it is to hold, that nothing else does
//! it, that it is told of one engine and of no other.

use super::clause::{ClauseSentence, Phrase};
use crate::text::Span;

/// What a sentence says beside its relation.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct SaidBeside {
    /// The stretches that tell a state.
    pub(crate) states: Vec<StateTold>,
    /// Whether it says of one thing that nothing else does it.
    pub(crate) is_only: bool,
    /// Whether it tells an engine from all others.
    pub(crate) is_of_one_engine: bool,
}

/// A stretch that tells a state.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct StateTold {
    pub(crate) phrase: Phrase,
    /// "Until": what is said ends with it.
    pub(crate) is_until: bool,
}

impl SaidBeside {
    pub(super) fn of(sentence: &ClauseSentence<'_>) -> SaidBeside {
        let all = 0..sentence.words.len();
        SaidBeside {
            states: all.clone().filter_map(|at| state(sentence, at)).collect(),
            is_only: all.clone().any(|at| excludes(sentence, at)),
            is_of_one_engine: all.clone().any(|at| excludes_engines(sentence, at)),
        }
    }

    /// Whether a stretch is part of one that tells a state.
    pub(crate) fn tells_state(&self, stretch: Span) -> bool {
        self.states.iter().any(|state| state.phrase.span.contains(stretch))
    }
}

/// Words that tell where something stands, behind "with the spool".
const PLACES: [&str; 24] = [
    "at", "past", "beyond", "behind", "open", "shut", "close", "closed", "front", "rear", "back",
    "forward", "home", "shifted", "off", "on", "rest", "released", "pulled", "held", "up", "down",
    "in", "out",
];

fn is_article(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    let word = sentence.stem(at);
    matches!(word, "the" | "a" | "an" | "its" | "their" | "this" | "that" | "it")
}

/// The state that the words from a place on tell.
fn state(sentence: &ClauseSentence<'_>, at: usize) -> Option<StateTold> {
    let from = opens_state(sentence, at)?;
    let phrase = sentence.told(from, end_of_state(sentence, at, from))?;
    Some(StateTold { phrase, is_until: matches!(sentence.stem(at), "until" | "till") })
}

/// Where an adverbial of state that opens at a place begins to tell the state.
fn opens_state(sentence: &ClauseSentence<'_>, at: usize) -> Option<usize> {
    if works_trigger(sentence, at) {
        return Some(at);
    }
    let two = (sentence.stem(at + 1), sentence.stem(at + 2));
    let is_ordinal = || matches!(two.0, "first" | "second" | "third" | "last");
    match sentence.stem(at) {
        "while" | "whilst" | "when" | "whenever" | "during" | "throughout" | "until" | "till"
        | "always" => Some(at + 1),
        "as" | "so" if two == ("long", "as") => Some(at + 3),
        "at" if two.0 == "rest" => Some(at),
        "at" | "in" if matches!(two.0, "all" | "every" | "each" | "any") => Some(at + 1),
        "over" | "through" if matches!(two, ("the", "whole" | "entire" | "full") | ("all", _)) => {
            Some(at + 1)
        }
        "from" if matches!(two.0, "start" | "first" | "begin" | "beginning") => Some(at + 1),
        "with" if is_article(sentence, at + 1) => {
            let mut stretch = at + 2..end_of_state(sentence, at, at + 1);
            stretch.any(|at| PLACES.contains(&sentence.stem(at))).then_some(at + 1)
        }
        "in" | "over" if two.0 == "the" => {
            let is_stage = matches!(sentence.stem(at + 3), "stage" | "half" | "phase");
            is_stage.then_some(at + 1)
        }
        "in" if is_ordinal() => Some(at + 1),
        "to" if two == ("the", "end") || two == ("the", "last") => Some(at + 1),
        _ => None,
    }
}

/// "Pull the trigger and …", "pulling the trigger lets …", "at a pull of the trigger": what is said
/// is said of when that is done.
fn works_trigger(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    let is_order =
        at == 0 && matches!(sentence.stem(0), "pull" | "press" | "squeeze" | "let" | "release");
    let is_done = matches!(
        sentence.stem(at),
        "pulling" | "pressing" | "squeezing" | "releasing" | "pull" | "press" | "squeeze"
    ) && !matches!(sentence.before(at, 1), "to" | "you" | "must");
    (is_order || is_done) && trigger_behind(sentence, at).is_some()
}

/// Where the trigger is named that a word before it works.
fn trigger_behind(sentence: &ClauseSentence<'_>, at: usize) -> Option<usize> {
    let near = at + 1..sentence.words.len().min(at + 6);
    let mut near = near.take_while(|at| !sentence.is_parted(*at));
    near.find(|at| matches!(sentence.stem(*at), "trigger" | "button" | "lever"))
}

/// Where the stretch ends that opens at a place: at the next mark, or, at the head of a sentence
/// without one, at the next thing.
fn end_of_state(sentence: &ClauseSentence<'_>, at: usize, from: usize) -> usize {
    let last = sentence.words.len();
    if (sentence.stem(at), sentence.stem(at + 1)) == ("at", "rest") {
        return at + 2;
    }
    if let (true, Some(trigger)) = (from == at, trigger_behind(sentence, at)) {
        return trigger + 1 + usize::from(sentence.stem(trigger + 1) == "go");
    }
    let leads = |at: usize| matches!(sentence.stem(at), "and" | "but" | "even" | "only");
    let mark = (from + 1..last).find(|at| sentence.is_parted(*at));
    let joins = |at: usize| matches!(sentence.stem(at), "at" | "in" | "on" | "to" | "of" | "is");
    let thing = || (from + 2..last).find(|at| is_article(sentence, *at) && !joins(*at - 1));
    match mark {
        None if (0..at).all(leads) => thing().unwrap_or(last),
        mark => mark.unwrap_or(last),
    }
}

/// Whether something is said of one thing and of no other.
fn excludes(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    let next = sentence.stem(at + 1);
    match sentence.stem(at) {
        "only" => {
            let is_time = matches!(next, "in" | "while" | "when" | "as" | "until" | "at" | "with");
            is_article(sentence, at + 1) || sentence.is_capital(at + 1) || is_time
        }
        "nothing" => matches!(next, "but" | "else" | "except" | "other"),
        "no" | "none" => next == "other",
        "alone" | "solely" | "exclusively" => true,
        _ => false,
    }
}

/// Whether it is an engine that is told from all others.
fn excludes_engines(sentence: &ClauseSentence<'_>, at: usize) -> bool {
    let named = |at: usize| sentence.is_capital(at + usize::from(sentence.stem(at) == "the"));
    let is_alone = || sentence.stem(at) == "alone" && 0 < at && sentence.is_capital(at - 1);
    is_alone()
        || sentence.stem(at) == "only" && (named(at + 1) || sentence.stem(at + 1) == "in")
        || (sentence.stem(at), sentence.stem(at + 2)) == ("no", "engine")
}
