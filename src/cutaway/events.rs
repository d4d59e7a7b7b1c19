//! Events, conditions and facts in words: from a writer's words to the model, and back.
//!
//! What [`event_words`] says, [`parse_event`] understands. Neither knows what can happen.

use super::model::{
    ChamberId, Condition, Element, Engine, Event, Fact, LandmarkId, List, Name, PartId, PositionId,
    Relation, Term,
};
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
    let (subject, verb) = (event.subject(), event.verb());
    match subject.owner() {
        Some(owner) if matches!(subject, Element::Position(..) | Element::Pressure(..)) => {
            let to = match event {
                Event::Rises(..) => "to ",
                Event::Falls(..) => "below ",
                _ => "",
            };
            format!("{} {verb} {to}{}", owner.spoken(engine), subject.spoken(engine))
        }
        _ => format!("{} {verb}", subject.spoken(engine)),
    }
}

/// A condition in words: "switch at back", "pressure in switch room".
#[must_use]
pub fn condition_words(engine: &Engine, condition: Condition) -> String {
    let chamber = |at| Element::Chamber(at).spoken(engine);
    let valve = |at| Element::Valve(at).spoken(engine);
    let part = |at| part_words(engine, at);
    match condition {
        Condition::At(of, at) => format!("{} at {}", part(of), at_words(engine, of, at)),
        Condition::From(of, at) => {
            format!("{} at {} or in front of it", part(of), at_words(engine, of, at))
        }
        Condition::Before(of, at) => format!("{} behind {}", part(of), at_words(engine, of, at)),
        Condition::Shifted(at) => format!("{} shifted", valve(at)),
        Condition::Resting(at) => format!("{} at rest", valve(at)),
        Condition::Pulled(at) => format!("{} pulled", Element::Trigger(at).spoken(engine)),
        Condition::Released(at) => format!("{} released", Element::Trigger(at).spoken(engine)),
        Condition::Pressure(at) => format!("pressure in {}", chamber(at)),
        Condition::NoPressure(at) => format!("no pressure in {}", chamber(at)),
        Condition::Above(a, b) => format!("{} above {}", chamber(a), chamber(b)),
        Condition::Reached(at, mark) => {
            format!("{} above {}", chamber(at), mark_words(engine, mark))
        }
        Condition::Below(at, mark) => format!("{} below {}", chamber(at), mark_words(engine, mark)),
        Condition::Either(at) => {
            let one = |all: &Vec<Condition>| {
                let words = all.iter().map(|it| condition_words(engine, *it));
                words.collect::<Vec<_>>().join(" and ")
            };
            engine.choices[at].iter().map(one).collect::<Vec<_>>().join(", or ")
        }
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
        Relation::LargerBelow(mark) => {
            format!("{left} larger than {right} below {}", mark_words(engine, mark))
        }
        Relation::LargerFrom(mark) => {
            format!("{left} larger than {right} above {}", mark_words(engine, mark))
        }
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
        Relation::Larger => ("larger than", String::new()),
        Relation::MuchLarger => ("much larger than", String::new()),
        Relation::LargerOnceSpent => ("larger than", " once spent".to_owned()),
        Relation::LargerBelow(mark) => ("larger than", format!(" below {}", mark_id(engine, mark))),
        Relation::LargerFrom(mark) => ("larger than", format!(" above {}", mark_id(engine, mark))),
        Relation::Equal => ("same as", String::new()),
    };
    format!("fact {} {word} {}{when} ({how})", side(left), side(right))
}

/// A term as the language writes it: `switch.rear`.
#[must_use]
pub fn term_path(engine: &Engine, term: &Term) -> String {
    let id = |element: Element| element.name(engine).map_or_else(String::new, |n| n.id.clone());
    match term {
        Term::Own(element) => match element.owner() {
            Some(owner) => format!("{}.{}", id(owner), id(*element)),
            None => id(*element),
        },
        Term::Foreign(engine, path) => format!("{engine}.{path}"),
    }
}

fn term_words(engine: &Engine, term: &Term) -> String {
    match term {
        Term::Own(element) => match element.owner() {
            Some(owner) => format!("{} of {}", element.spoken(engine), owner.spoken(engine)),
            None => element.spoken(engine),
        },
        Term::Foreign(engine, path) => {
            format!("{} of {engine}", path.replace(['.', '_'], " "))
        }
    }
}

fn mark_words(engine: &Engine, mark: LandmarkId) -> String {
    engine.landmarks[mark].name.spoken()
}

fn mark_id(engine: &Engine, mark: LandmarkId) -> &str {
    &engine.landmarks[mark].name.id
}

fn part_words(engine: &Engine, at: PartId) -> String {
    Element::Part(at).spoken(engine)
}

fn at_words(engine: &Engine, part: PartId, at: PositionId) -> String {
    Element::Position(part, at).spoken(engine)
}

/// What something can do in an event, as words to write.
fn verbs(subject: Element) -> &'static [&'static str] {
    match subject {
        Element::Trigger(_) => &["pulled", "released"],
        Element::Valve(_) => &["shifts", "returns"],
        Element::Latch(_) => &["lets go", "catches"],
        Element::Part(_) => &["leaves", "reaches"],
        Element::Way(_) => &["opens", "closes"],
        Element::Chamber(_) => &["fills", "drops", "empties", "rises to", "falls below"],
        Element::Ball => &["leaves", "drops in"],
        _ => &[],
    }
}

/// A word in small letters, and where it stands.
type Word = (String, Span);

/// All words in which an engine's events can be told.
pub(super) struct Vocabulary {
    sayings: BTreeMap<Vec<String>, Event>,
    /// Names as words, by their first word; longer ones first.
    subjects: BTreeMap<String, Vec<(Vec<String>, Element)>>,
    /// Names of landmarks.
    landmarks: List<LandmarkId, Vec<String>>,
    /// Positions of each part.
    positions: List<PartId, List<PositionId, Vec<String>>>,
}

impl Vocabulary {
    pub(super) fn of(engine: &Engine) -> Vocabulary {
        let mut vocabulary = Vocabulary {
            sayings: BTreeMap::new(),
            subjects: BTreeMap::new(),
            landmarks: engine.landmarks.map(|_, mark| split(&mark.name.id)),
            positions: List::default(),
        };
        for saying in &engine.sayings {
            let words = plain_words(&saying.words.id);
            vocabulary.sayings.entry(without_articles(&words)).or_insert(saying.event);
        }
        // Of things that share a name the first here is meant.
        let latched = engine.parts.entries().filter(|(_, part)| part.latch.is_some());
        let subjects = (engine.triggers.ids().map(Element::Trigger))
            .chain(engine.valves.ids().map(Element::Valve))
            .chain(latched.map(|(at, _)| Element::Latch(at)))
            .chain(engine.parts.ids().map(Element::Part))
            .chain(engine.ways.ids().map(Element::Way))
            .chain(engine.chambers.ids().map(Element::Chamber))
            .chain([Element::Ball]);
        for subject in subjects {
            subject.name(engine).into_iter().for_each(|name| vocabulary.add(name, subject));
        }
        for subjects in vocabulary.subjects.values_mut() {
            subjects.sort_by_key(|(words, _)| std::cmp::Reverse(words.len()));
        }
        let positions = |names: &List<PositionId, Name>| names.map(|_, name| split(&name.id));
        vocabulary.positions = engine.parts.map(|_, part| positions(&part.positions));
        vocabulary
    }

    fn add(&mut self, name: &Name, subject: Element) {
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
    fn subjects_of<'a>(&'a self, words: &'a [Word]) -> impl Iterator<Item = (usize, Element)> + 'a {
        let known = words.first().and_then(|(first, _)| self.subjects.get(first));
        let known = known.into_iter().flatten();
        let matching = known.filter(move |(name, _)| {
            name.len() <= words.len() && name.iter().zip(words).all(|(a, (b, _))| a == b)
        });
        matching.map(|(name, subject)| (name.len(), *subject))
    }

    fn happening(&self, subject: Element, words: &[Word]) -> Option<Event> {
        let words: Vec<&str> = words.iter().map(|(word, _)| word.as_str()).collect();
        let words = match words.as_slice() {
            ["is" | "has", rest @ ..] => rest,
            all => all,
        };
        Some(match (subject, words) {
            (Element::Trigger(at), [] | ["pulled"]) => Event::Pulled(at),
            (Element::Trigger(at), ["released"]) => Event::Released(at),
            (Element::Valve(at), ["shifts" | "shifted" | "opens"]) => Event::Shifts(at),
            (Element::Valve(at), ["returns" | "returned" | "closes"]) => Event::Returns(at),
            (Element::Latch(at), ["lets", "go"] | ["releases"]) => Event::Unlatches(at),
            (Element::Latch(at), ["catches"]) => Event::Latches(at),
            (Element::Part(part), ["leaves", position @ ..]) => {
                Event::Leaves(part, self.position(part, position)?)
            }
            (Element::Part(part), ["reaches" | "at", position @ ..] | position) => {
                Event::Reaches(part, self.position(part, position)?)
            }
            (Element::Way(at), ["opens"]) => Event::Opens(at),
            (Element::Way(at), ["closes"]) => Event::Closes(at),
            (Element::Chamber(at), ["fills"]) => Event::Fills(at),
            (Element::Chamber(at), ["drops"]) => Event::Drops(at),
            (Element::Chamber(at), ["empties"]) => Event::Empties(at),
            (Element::Chamber(at), ["rises", "to", mark @ ..]) => self.passes(at, mark, true)?,
            (Element::Chamber(at), ["falls", "below", mark @ ..]) => {
                self.passes(at, mark, false)?
            }
            (Element::Ball, ["leaves"]) => Event::BallLeaves,
            (Element::Ball, ["drops", "in"]) => Event::BallFed,
            _ => return None,
        })
    }

    /// A chamber that comes to a landmark.
    fn passes(&self, chamber: ChamberId, words: &[&str], rises: bool) -> Option<Event> {
        let mut known = self.landmarks.entries();
        let mark = known.find_map(|(at, name)| (name == words).then_some(at))?;
        Some(if rises { Event::Rises(chamber, mark) } else { Event::Falls(chamber, mark) })
    }

    /// "front", "the front", "front stop".
    fn position(&self, part: PartId, words: &[&str]) -> Option<PositionId> {
        let known = self.positions.get(part)?;
        let find = |words: &[&str]| {
            known.entries().find_map(|(at, position)| (position == words).then_some(at))
        };
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
        if let Element::Part(part) = subject {
            return self.unknown_move(part, (&name, rest), span, wants_proposal);
        }
        let verbs = verbs(subject);
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
        part: PartId,
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
