//! Statements about the routing: what a seal keeps apart, what pushes which way, where a way
//! leads, and which event comes first.

use super::{Answer, Names, Standing};
use crate::cutaway::events::event_words;

use crate::cutaway::model::{ChamberId, Direction, Engine, Event, Id, Name, PushKind};
use crate::folio::routing::Routed;
use crate::folio::words::stem;
use crate::logic::precedence;
use crate::statement::Phrase;
use std::collections::BTreeSet;

impl Names<'_> {
    /// The one cutaway that phrases speak of: the engine that they name, or the page's own.
    fn routed(&self, phrases: &[&Phrase]) -> Option<(&Routed, String)> {
        let mut sheets: Vec<usize> =
            phrases.iter().flat_map(|phrase| self.engines(phrase, None)).collect();
        sheets.sort_unstable();
        sheets.dedup();
        let sheet = match sheets.as_slice() {
            [] => self.own?,
            [sheet] => *sheet,
            _ => return None,
        };
        let engine = self.folio.ledger.sheets.get(sheet)?.engine.clone()?;
        Some((self.folio.routing.of(&engine)?, engine))
    }

    pub(super) fn parts(
        &self,
        seal: &Phrase,
        one: &Phrase,
        other: &Phrase,
        is_denied: bool,
    ) -> Option<Answer> {
        let (routed, name) = self.routed(&[seal, one, other])?;
        let engine = &routed.engine;
        let seal = named(engine.seals.entries().map(|(at, known)| (at, &known.name)), seal)?;
        let rooms = || engine.chambers.entries().map(|(at, room)| (at, &room.name));
        let (one, other) = (named(rooms(), one)?, named(rooms(), other)?);
        let (a, b) = engine.seals.get(seal)?.between;
        let holds = [(one, other), (other, one)].contains(&(a, b));
        let spoken = |at: ChamberId| engine.chambers.get(at).map(|room| room.name.spoken());
        let words = engine.seals.get(seal)?.name.spoken();
        let reason = format!("the {words} is between the {} and the {}", spoken(a)?, spoken(b)?);
        let standing = Standing::of(holds != is_denied);
        let question = format!("separates({name}, {words}, {}, {})", spoken(one)?, spoken(other)?);
        Some(Answer { standing, reason, question })
    }

    pub(super) fn pushes(&self, what: &Phrase, part: &Phrase, is_forward: bool) -> Option<Answer> {
        let (routed, name) = self.routed(&[what, part])?;
        let engine = &routed.engine;
        let part = engine
            .parts
            .get(named(engine.parts.entries().map(|(at, known)| (at, &known.name)), part)?)?;
        let wanted = if is_forward { Direction::Forward } else { Direction::Back };
        let push = named(part.pushes.entries().map(|(at, known)| (at, &known.name)), what);
        let of_push = push.and_then(|at| part.pushes.get(at)).map(|push| vec![push]);
        let of_room = || {
            let room = named(engine.chambers.entries().map(|(at, known)| (at, &known.name)), what)?;
            let faces = part.pushes.iter().filter(|push| push.kind == PushKind::Face(room));
            Some(faces.collect::<Vec<_>>())
        };
        let found = of_push.or_else(of_room)?;
        // A room that pushes on both sides of a part pushes as its faces have it.
        let [push] = found.as_slice() else { return None };
        let (part, words) = (part.name.spoken(), push.name.spoken());
        let reason = format!("the {words} pushes the {part} {}", push.direction.word());
        let question = format!("pushes({name}, {words}, {part}, {})", wanted.word());
        Some(Answer { standing: Standing::of(push.direction == wanted), reason, question })
    }

    pub(super) fn joins(&self, way: &Phrase, from: &Phrase, to: &Phrase) -> Option<Answer> {
        let (routed, name) = self.routed(&[way, from, to])?;
        let engine = &routed.engine;
        let way = engine
            .ways
            .get(named(engine.ways.entries().map(|(at, known)| (at, &known.name)), way)?)?;
        let rooms = || engine.chambers.entries().map(|(at, room)| (at, &room.name));
        let (from, to) = (named(rooms(), from)?, named(rooms(), to)?);
        let is_it =
            (way.from, way.to) == (from, to) || !way.one_way && (way.from, way.to) == (to, from);
        let spoken = |at: ChamberId| engine.chambers.get(at).map(|room| room.name.spoken());
        let words = way.name.spoken();
        let reason =
            format!("the {words} leads from the {} to the {}", spoken(way.from)?, spoken(way.to)?);
        let question = format!("joins({name}, {words}, {}, {})", spoken(from)?, spoken(to)?);
        Some(Answer { standing: Standing::of(is_it), reason, question })
    }

    /// The first event before the second, in every run.
    pub(super) fn before(&self, first: &Phrase, then: &Phrase) -> Option<Answer> {
        let (routed, name) = self.routed(&[first, then])?;
        let shot = routed.shot.as_ref()?;
        let known = events(routed);
        let (first, then) = (event(&known, first)?, event(&known, then)?);
        if first == then {
            return None;
        }
        let found = precedence(&shot.found, first, then);
        let clock = shot.racing.as_ref().map(|racing| precedence(racing, first, then));
        let rests_on_clock = clock.is_some_and(|found| found.then_before);
        let words = |event| event_words(&routed.engine, event);
        let (a, b) = (words(first), words(then));
        let (standing, reason) = if found.always() && !rests_on_clock {
            (Standing::Holds, format!("{a} comes before {b} in every run"))
        } else if found.then_before && !found.first_before && !found.is_open {
            (Standing::Fails, format!("{b} comes before {a} in every run"))
        } else if found.always() {
            let reason = format!("{a} comes before {b} as long as the dwell outlasts the motion");
            (Standing::Open, reason)
        } else {
            (Standing::Open, format!("the order of {a} and {b} is not settled"))
        };
        let question = format!("happens_before({name}, {a}, {b})");
        Some(Answer { standing, reason, question })
    }
}

/// Stems of a text, verbs of one meaning made one.
fn stems(text: &str) -> BTreeSet<String> {
    let words = text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    words.map(|word| root(&stem(word)).to_owned()).filter(|word| !is_small(word)).collect()
}

fn is_small(stem: &str) -> bool {
    matches!(
        stem,
        "the"
            | "a"
            | "an"
            | "it"
            | "its"
            | "of"
            | "is"
            | "are"
            | "to"
            | "in"
            | "on"
            | "at"
            | "again"
            | "air"
    )
}

/// Verbs by which the trade tells events, made one.
fn root(stem: &str) -> &str {
    const ROOTS: [(&str, &[&str]); 12] = [
        ("close", &["closes", "closed", "shut", "shuts", "closing"]),
        ("open", &["opened", "opening"]),
        (
            "leave",
            &[
                "left", "leaves", "gone", "leaving", "start", "started", "starts", "stir", "move",
                "moves", "off",
            ],
        ),
        ("reach", &["reache", "reaches", "reached", "hit", "hits", "arrive", "arrived"]),
        ("fill", &["filled", "full", "filling"]),
        ("empty", &["emptie", "empties", "emptied", "vents", "vent", "vented"]),
        ("shift", &["shifted", "shifts", "answers", "answer", "switched"]),
        ("return", &["returned", "returns"]),
        ("pull", &["pulled", "pulls"]),
        ("release", &["released", "releases"]),
        ("catch", &["catche", "catches", "caught"]),
        ("let", &["lets"]),
    ];
    let known = ROOTS.iter().find(|(_, forms)| forms.contains(&stem));
    known.map_or(stem, |(root, _)| root)
}

/// Which of the names a phrase says: every word of the name stands in it, the longest name wins;
/// `None` where two fit as well.
fn named<'n, I: Id>(names: impl Iterator<Item = (I, &'n Name)>, phrase: &Phrase) -> Option<I> {
    let said: BTreeSet<String> =
        phrase.words.iter().map(|word| root(&word.stem).to_owned()).collect();
    let mut best: Option<(usize, I)> = None;
    let mut is_tied = false;
    for (at, name) in names {
        let forms = std::iter::once(&name.id).chain(&name.called).map(|form| stems(form));
        let fits = forms.filter(|form| !form.is_empty() && form.is_subset(&said));
        let Some(length) = fits.map(|form| form.len()).max() else { continue };
        match best {
            Some((known, _)) if length < known => {}
            Some((known, _)) if length == known => is_tied = true,
            _ => {
                best = Some((length, at));
                is_tied = false;
            }
        }
    }
    best.filter(|_| !is_tied).map(|(_, at)| at)
}

/// The events of a shot with the words that tell them.
fn events(routed: &Routed) -> Vec<(Event, BTreeSet<String>)> {
    let engine: &Engine = &routed.engine;
    let mut known: Vec<(Event, BTreeSet<String>)> =
        engine.sayings.iter().map(|saying| (saying.event, stems(&saying.words.id))).collect();
    let steps = routed.shot.iter().flat_map(|shot| &shot.found.steps);
    let met: BTreeSet<Event> = steps.flat_map(|step| step.events.iter().copied()).collect();
    known.extend(met.into_iter().map(|event| (event, stems(&event_words(engine, event)))));
    known
}

/// The event that a phrase tells.
fn event(known: &[(Event, BTreeSet<String>)], phrase: &Phrase) -> Option<Event> {
    let said: BTreeSet<String> =
        phrase.words.iter().map(|word| root(&word.stem).to_owned()).collect();
    let fits = known.iter().filter(|(_, words)| !words.is_empty() && words.is_subset(&said));
    let longest = fits.clone().map(|(_, words)| words.len()).max()?;
    let mut best = fits.filter(|(_, words)| words.len() == longest).map(|(event, _)| *event);
    let first = best.next()?;
    best.all(|event| event == first).then_some(first)
}
