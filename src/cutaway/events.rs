//! Events, conditions and facts in words: from a writer's words to the model, and back.
//!
//! What [`event_words`] says, [`parse_event`] understands. Neither knows what can happen.

use super::model::{Condition, Engine, Event, Fact, Name, Relation, Term};
use super::read::{all_of_these, one_of_these};
use crate::text::{Span, nearest};
use std::collections::BTreeMap;

/// Why words are no event of an engine.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EventFault {
    /// One line: what was expected and found.
    pub(crate) message: String,
    /// The words at fault, as bytes of the text.
    pub span: Span,
    /// The whole event as it could be meant.
    pub proposal: Option<String>,
}

/// The event that a writer's words mean: words given by `event "…"` first, then names (spoken or
/// as declared) with what they do. Case, articles and underscores mean nothing.
///
/// # Errors
///
/// Says which words are not understood, and what may be meant.
pub fn parse_event(engine: &Engine, text: &str) -> Result<Event, EventFault> {
    Vocabulary::of(engine).event(text, true)
}

/// An event in words: "switch leaves front".
#[must_use]
pub fn event_words(engine: &Engine, event: Event) -> String {
    let trigger = |at: usize| spoken(engine.triggers.get(at));
    let chamber = |at: usize| spoken(engine.chambers.get(at).map(|chamber| &chamber.name));
    let way = |at: usize| spoken(engine.ways.get(at).map(|way| &way.name));
    let valve = |at: usize| spoken(engine.valves.get(at).map(|valve| &valve.name));
    let ball = || spoken(engine.ball.as_ref().map(|ball| &ball.name));
    let latch = |at: usize| {
        let latch = engine.parts.get(at).and_then(|part| part.latch.as_ref());
        spoken(latch.map(|latch| &latch.name))
    };
    match event {
        Event::Pulled(at) => format!("{} pulled", trigger(at)),
        Event::Released(at) => format!("{} released", trigger(at)),
        Event::Shifts(at) => format!("{} shifts", valve(at)),
        Event::Returns(at) => format!("{} returns", valve(at)),
        Event::Unlatches(at) => format!("{} lets go", latch(at)),
        Event::Latches(at) => format!("{} catches", latch(at)),
        Event::Leaves(part, at) => {
            format!("{} leaves {}", part_words(engine, part), position_words(engine, part, at))
        }
        Event::Reaches(part, at) => {
            format!("{} reaches {}", part_words(engine, part), position_words(engine, part, at))
        }
        Event::Opens(at) => format!("{} opens", way(at)),
        Event::Closes(at) => format!("{} closes", way(at)),
        Event::Fills(at) => format!("{} fills", chamber(at)),
        Event::Drops(at) => format!("{} drops", chamber(at)),
        Event::Empties(at) => format!("{} empties", chamber(at)),
        Event::BallLeaves => format!("{} leaves", ball()),
        Event::BallFed => format!("{} drops in", ball()),
    }
}

/// A condition in words: "switch at back", "pressure in switch room".
#[must_use]
pub fn condition_words(engine: &Engine, condition: Condition) -> String {
    let chamber = |at: usize| spoken(engine.chambers.get(at).map(|chamber| &chamber.name));
    let valve = |at: usize| spoken(engine.valves.get(at).map(|valve| &valve.name));
    let part = |at: usize| part_words(engine, at);
    match condition {
        Condition::At(of, at) => format!("{} at {}", part(of), position_words(engine, of, at)),
        Condition::From(of, at) => {
            format!("{} at {} or in front of it", part(of), position_words(engine, of, at))
        }
        Condition::Before(of, at) => {
            format!("{} behind {}", part(of), position_words(engine, of, at))
        }
        Condition::Shifted(at) => format!("{} shifted", valve(at)),
        Condition::Resting(at) => format!("{} at rest", valve(at)),
        Condition::Pulled(at) => format!("{} pulled", spoken(engine.triggers.get(at))),
        Condition::Pressure(at) => format!("pressure in {}", chamber(at)),
        Condition::NoPressure(at) => format!("no pressure in {}", chamber(at)),
        Condition::Above(a, b) => format!("{} above {}", chamber(a), chamber(b)),
    }
}

/// A fact in words, without how it is known: "rear of switch larger than front of switch".
#[must_use]
pub fn spoken_fact(engine: &Engine, fact: &Fact) -> String {
    let (left, right) = (side_words(engine, &fact.left), side_words(engine, &fact.right));
    match fact.relation {
        Relation::Larger => format!("{left} larger than {right}"),
        Relation::MuchLarger => format!("{left} much larger than {right}"),
        Relation::LargerOnceSpent => format!("{left} larger than {right} once spent"),
        Relation::Equal => format!("{left} the same as {right}"),
    }
}

/// One side of a fact in words: "shaft of bolt + sail of bolt".
#[must_use]
pub fn side_words(engine: &Engine, terms: &[Term]) -> String {
    terms.iter().map(|term| term_words(engine, term)).collect::<Vec<_>>().join(" + ")
}

/// A fact as a line to write in a cutaway: "fact switch.rear larger than switch.front (seen)".
#[must_use]
pub fn fact_line(
    engine: &Engine,
    left: &[Term],
    relation: Relation,
    right: &[Term],
    how: &str,
) -> String {
    let side = |terms: &[Term]| {
        terms.iter().map(|term| term_path(engine, term)).collect::<Vec<_>>().join(" + ")
    };
    let (word, when) = match relation {
        Relation::Larger => ("larger than", ""),
        Relation::MuchLarger => ("much larger than", ""),
        Relation::LargerOnceSpent => ("larger than", " once spent"),
        Relation::Equal => ("same as", ""),
    };
    format!("fact {} {word} {}{when} ({how})", side(left), side(right))
}

/// A term as the language writes it: `switch.rear`.
#[must_use]
pub fn term_path(engine: &Engine, term: &Term) -> String {
    let id = |name: Option<&Name>| name.map_or_else(String::new, |name| name.id.clone());
    match term {
        Term::Push(part, push) => {
            let part = engine.parts.get(*part);
            let push = part.and_then(|part| part.pushes.get(*push)).map(|push| &push.name);
            format!("{}.{}", id(part.map(|part| &part.name)), id(push))
        }
        Term::Chamber(at) => id(engine.chambers.get(*at).map(|chamber| &chamber.name)),
        Term::Way(at) => id(engine.ways.get(*at).map(|way| &way.name)),
        Term::Part(at) => id(engine.parts.get(*at).map(|part| &part.name)),
        Term::Foreign(engine, path) => format!("{engine}.{path}"),
    }
}

fn term_words(engine: &Engine, term: &Term) -> String {
    match term {
        Term::Push(part, push) => {
            let pushes = engine.parts.get(*part).and_then(|part| part.pushes.get(*push));
            let push = spoken(pushes.map(|push| &push.name));
            format!("{push} of {}", part_words(engine, *part))
        }
        Term::Chamber(at) => spoken(engine.chambers.get(*at).map(|chamber| &chamber.name)),
        Term::Way(at) => spoken(engine.ways.get(*at).map(|way| &way.name)),
        Term::Part(at) => part_words(engine, *at),
        Term::Foreign(engine, path) => {
            format!("{} of {engine}", path.replace(['.', '_'], " "))
        }
    }
}

fn spoken(name: Option<&Name>) -> String {
    name.map_or_else(String::new, Name::spoken)
}

fn part_words(engine: &Engine, at: usize) -> String {
    spoken(engine.parts.get(at).map(|part| &part.name))
}

fn position_words(engine: &Engine, part: usize, at: usize) -> String {
    spoken(engine.parts.get(part).and_then(|part| part.positions.get(at)))
}

/// What an event can be about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Subject {
    Trigger(usize),
    Valve(usize),
    Latch(usize),
    Part(usize),
    Way(usize),
    Chamber(usize),
    Ball,
}

impl Subject {
    /// What it can do, as words to write.
    fn verbs(self) -> &'static [&'static str] {
        match self {
            Subject::Trigger(_) => &["pulled", "released"],
            Subject::Valve(_) => &["shifts", "returns"],
            Subject::Latch(_) => &["lets go", "catches"],
            Subject::Part(_) => &["leaves", "reaches"],
            Subject::Way(_) => &["opens", "closes"],
            Subject::Chamber(_) => &["fills", "drops", "empties"],
            Subject::Ball => &["leaves", "drops in"],
        }
    }

    fn noun(self) -> &'static str {
        match self {
            Subject::Trigger(_) => "trigger",
            Subject::Valve(_) => "valve",
            Subject::Latch(_) => "latch",
            Subject::Part(_) => "moving part",
            Subject::Way(_) => "way",
            Subject::Chamber(_) => "chamber",
            Subject::Ball => "ball",
        }
    }
}

/// A word in small letters, and where it stands.
type Word = (String, Span);

/// All words in which an engine's events can be told.
pub(super) struct Vocabulary {
    sayings: BTreeMap<Vec<String>, Event>,
    /// Names as words, by their first word; longer ones first.
    subjects: BTreeMap<String, Vec<(Vec<String>, Subject)>>,
    /// Positions of each part.
    positions: Vec<Vec<Vec<String>>>,
}

impl Vocabulary {
    pub(super) fn of(engine: &Engine) -> Vocabulary {
        let mut vocabulary = Vocabulary {
            sayings: BTreeMap::new(),
            subjects: BTreeMap::new(),
            positions: Vec::new(),
        };
        for saying in &engine.sayings {
            let words = plain_words(&saying.words.id);
            vocabulary.sayings.entry(without_articles(&words)).or_insert(saying.event);
        }
        let each = |names: &mut dyn Iterator<Item = (&Name, Subject)>, all: &mut Vocabulary| {
            names.for_each(|(name, subject)| all.add(name, subject));
        };
        let v = &mut vocabulary;
        each(&mut engine.triggers.iter().enumerate().map(|(at, n)| (n, Subject::Trigger(at))), v);
        each(&mut engine.valves.iter().enumerate().map(|(at, x)| (&x.name, Subject::Valve(at))), v);
        let latches = engine.parts.iter().enumerate();
        let latches = latches.filter_map(|(at, part)| Some((at, part.latch.as_ref()?)));
        each(&mut latches.map(|(at, latch)| (&latch.name, Subject::Latch(at))), v);
        each(&mut engine.parts.iter().enumerate().map(|(at, x)| (&x.name, Subject::Part(at))), v);
        each(&mut engine.ways.iter().enumerate().map(|(at, x)| (&x.name, Subject::Way(at))), v);
        let chambers = engine.chambers.iter().enumerate();
        each(&mut chambers.map(|(at, x)| (&x.name, Subject::Chamber(at))), v);
        each(&mut engine.ball.iter().map(|ball| (&ball.name, Subject::Ball)), v);
        for subjects in vocabulary.subjects.values_mut() {
            subjects.sort_by_key(|(words, subject)| (std::cmp::Reverse(words.len()), *subject));
        }
        let positions = |names: &Vec<Name>| names.iter().map(|name| split(&name.id)).collect();
        vocabulary.positions = engine.parts.iter().map(|part| positions(&part.positions)).collect();
        vocabulary
    }

    fn add(&mut self, name: &Name, subject: Subject) {
        for words in std::iter::once(&name.id).chain(&name.called).map(|words| split(words)) {
            if let Some(first) = words.first() {
                self.subjects.entry(first.clone()).or_default().push((words, subject));
            }
        }
    }

    /// The event that words mean.
    pub(super) fn event(&self, text: &str, wants_proposal: bool) -> Result<Event, EventFault> {
        let all = words_of(text);
        let said: Vec<String> = all.iter().map(|(word, _)| word.clone()).collect();
        if let Some(event) = self.sayings.get(&without_articles(&said)) {
            return Ok(*event);
        }
        // As it stands first: a part may be called `a`.
        if let Some(event) = self.plain_event(&all) {
            return Ok(event);
        }
        let words: Vec<Word> = all.iter().filter(|(word, _)| !is_article(word)).cloned().collect();
        self.plain_event(&words).ok_or_else(|| self.fault(text, &words, wants_proposal))
    }

    fn plain_event(&self, words: &[Word]) -> Option<Event> {
        self.subjects_of(words)
            .find_map(|(length, subject)| self.happening(subject, &words[length..]))
    }

    /// Things whose names the words start with, and the number of words of the name.
    fn subjects_of<'a>(&'a self, words: &'a [Word]) -> impl Iterator<Item = (usize, Subject)> + 'a {
        let known = words.first().and_then(|(first, _)| self.subjects.get(first));
        let known = known.into_iter().flatten();
        let matching = known.filter(move |(name, _)| {
            name.len() <= words.len() && name.iter().zip(words).all(|(a, (b, _))| a == b)
        });
        matching.map(|(name, subject)| (name.len(), *subject))
    }

    fn happening(&self, subject: Subject, words: &[Word]) -> Option<Event> {
        let words: Vec<&str> = words.iter().map(|(word, _)| word.as_str()).collect();
        let words = match words.as_slice() {
            ["is" | "has", rest @ ..] => rest,
            all => all,
        };
        Some(match (subject, words) {
            (Subject::Trigger(at), [] | ["pulled"]) => Event::Pulled(at),
            (Subject::Trigger(at), ["released"]) => Event::Released(at),
            (Subject::Valve(at), ["shifts" | "shifted" | "opens"]) => Event::Shifts(at),
            (Subject::Valve(at), ["returns" | "returned" | "closes"]) => Event::Returns(at),
            (Subject::Latch(at), ["lets", "go"] | ["releases"]) => Event::Unlatches(at),
            (Subject::Latch(at), ["catches"]) => Event::Latches(at),
            (Subject::Part(part), ["leaves", position @ ..]) => {
                Event::Leaves(part, self.position(part, position)?)
            }
            (Subject::Part(part), ["reaches" | "at", position @ ..] | position) => {
                Event::Reaches(part, self.position(part, position)?)
            }
            (Subject::Way(at), ["opens"]) => Event::Opens(at),
            (Subject::Way(at), ["closes"]) => Event::Closes(at),
            (Subject::Chamber(at), ["fills"]) => Event::Fills(at),
            (Subject::Chamber(at), ["drops"]) => Event::Drops(at),
            (Subject::Chamber(at), ["empties"]) => Event::Empties(at),
            (Subject::Ball, ["leaves"]) => Event::BallLeaves,
            (Subject::Ball, ["drops", "in"]) => Event::BallFed,
            _ => return None,
        })
    }

    /// "front", "the front", "front stop".
    fn position(&self, part: usize, words: &[&str]) -> Option<usize> {
        let known = self.positions.get(part)?;
        let find = |words: &[&str]| known.iter().position(|position| position == words);
        let shorter = match words {
            ["its" | "the", rest @ ..] => rest,
            all => all,
        };
        let shortest = match shorter {
            [rest @ .., "stop" | "position"] => rest,
            all => all,
        };
        find(words).or_else(|| find(shorter)).or_else(|| find(shortest))
    }

    fn fault(&self, text: &str, words: &[Word], wants_proposal: bool) -> EventFault {
        let whole = words.first().zip(words.last());
        let whole = whole
            .map_or(Span::new(0, text.len()), |(first, last)| Span::new(first.1.start, last.1.end));
        let Some((length, subject)) = self.subjects_of(words).next() else {
            return self.unknown_subject(text, words, whole, wants_proposal);
        };
        let rest = &words[length..];
        let name = joined(&words[..length]);
        let span = rest.first().zip(rest.last());
        let span = span.map_or(whole, |(first, last)| Span::new(first.1.start, last.1.end));
        if let Subject::Part(part) = subject {
            return self.unknown_move(part, (&name, rest), span, wants_proposal);
        }
        let verbs = subject.verbs();
        let said = joined(rest);
        let may = verbs.iter().map(|verb| format!("`{verb}`")).collect::<Vec<_>>().join(" or ");
        let near = nearest(&said, verbs.iter().copied()).filter(|_| wants_proposal);
        let noun = subject.noun();
        let message = if rest.is_empty() {
            format!("expected {may} behind the {noun} `{name}`; found nothing")
        } else {
            format!("expected {may} behind the {noun} `{name}`; found `{said}`")
        };
        EventFault { message, span, proposal: near.map(|verb| format!("{name} {verb}")) }
    }

    fn unknown_move(
        &self,
        part: usize,
        (name, rest): (&str, &[Word]),
        span: Span,
        wants_proposal: bool,
    ) -> EventFault {
        let positions: Vec<String> =
            self.positions.get(part).into_iter().flatten().map(|words| words.join("_")).collect();
        let names: Vec<&str> = positions.iter().map(String::as_str).collect();
        let verb = rest.first().map_or("", |(word, _)| word.as_str());
        let knows_verb = matches!(verb, "leaves" | "reaches");
        let wanted = joined(if knows_verb { &rest[1..] } else { rest });
        let message = if knows_verb && !wanted.is_empty() {
            format!("`{name}` has no position `{wanted}`; known are {}", all_of_these(&names))
        } else {
            let known = one_of_these(&names);
            format!("expected `leaves` or `reaches` and {known} behind `{name}`")
        };
        let last = rest.last().map_or("", |(word, _)| word.as_str());
        let near = nearest(last, positions.iter().map(String::as_str)).filter(|_| wants_proposal);
        let verb = nearest(verb, ["leaves", "reaches"]).unwrap_or("reaches");
        EventFault { message, span, proposal: near.map(|near| format!("{name} {verb} {near}")) }
    }

    fn unknown_subject(
        &self,
        text: &str,
        words: &[Word],
        whole: Span,
        wants_proposal: bool,
    ) -> EventFault {
        let Some((first, span)) = words.first() else {
            let message = "expected an event, as `switch leaves front`; found nothing".into();
            return EventFault { message, span: whole, proposal: None };
        };
        let message = format!("nothing in this cutaway goes by `{first}`");
        let proposal = wants_proposal.then(|| self.with_near_subject(text, words)).flatten();
        EventFault { message, span: *span, proposal }
    }
}

impl Vocabulary {
    /// The same words about the closest thing that can do what they say.
    fn with_near_subject(&self, text: &str, words: &[Word]) -> Option<String> {
        let known = self.subjects.values().flatten().map(|(name, _)| name.join("_"));
        let known: Vec<String> = known.collect();
        // Names of several words first: `swich room` is no switch.
        (1..=words.len().min(3)).rev().find_map(|length| {
            let name: Vec<&str> = words[..length].iter().map(|(word, _)| word.as_str()).collect();
            let near = nearest(&name.join("_"), known.iter().map(String::as_str))?;
            let rest = text.get(words[length - 1].1.end..).unwrap_or("").trim();
            let proposal = format!("{near} {rest}").trim().to_owned();
            match self.event(&proposal, false) {
                Ok(_) => Some(proposal),
                Err(_) => self.with_near_rest(&proposal),
            }
        })
    }

    /// A proposal that itself needs one.
    fn with_near_rest(&self, text: &str) -> Option<String> {
        let words: Vec<Word> = words_of(text).into_iter().filter(|(w, _)| !is_article(w)).collect();
        self.subjects_of(&words).next()?;
        self.fault(text, &words, true).proposal
    }
}

fn is_article(word: &str) -> bool {
    matches!(word, "the" | "a" | "an")
}

fn without_articles(words: &[String]) -> Vec<String> {
    words.iter().filter(|word| !is_article(word)).cloned().collect()
}

fn plain_words(text: &str) -> Vec<String> {
    words_of(text).into_iter().map(|(word, _)| word).collect()
}

/// The words of a name.
fn split(name: &str) -> Vec<String> {
    plain_words(name)
}

fn joined(words: &[Word]) -> String {
    words.iter().map(|(word, _)| word.as_str()).collect::<Vec<_>>().join(" ")
}

/// The words of a text in small letters; blanks, underscores and marks part them.
fn words_of(text: &str) -> Vec<Word> {
    let parts = |c: char| c.is_whitespace() || matches!(c, '_' | '.' | ',' | ';' | '"' | '“' | '”');
    let mut words = Vec::new();
    let mut start = None;
    for (at, c) in text.char_indices().chain([(text.len(), ' ')]) {
        match (start, parts(c)) {
            (None, false) => start = Some(at),
            (Some(from), true) => {
                words.push((text[from..at].to_lowercase(), Span::new(from, at)));
                start = None;
            }
            _ => {}
        }
    }
    words
}
