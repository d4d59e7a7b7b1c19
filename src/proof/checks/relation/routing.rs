//! Statements about the routing: what a seal keeps apart, what pushes which way, where a way
//! leads, and which event comes first.

use super::fittings::said;
use super::{StatementAnswer, StatementNames, StatementStanding};
use crate::cutaway::events::event_words;

use crate::cutaway::model::{ChamberId, Direction, Engine, Event, Id, Name, PushKind, Valve, Way};
use crate::folio::routing::Routed;
use crate::folio::words::stem;
use crate::logic::precedence;
use crate::statement::Phrase;
use std::collections::BTreeSet;

impl StatementNames<'_> {
    /// The one cutaway that phrases speak of: the engine that they name, or the page's own.
    pub(super) fn routed(&self, phrases: &[&Phrase]) -> Option<(&Routed, String)> {
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
    ) -> Option<StatementAnswer> {
        let (routed, name) = self.routed(&[seal, one, other])?;
        let engine = &routed.engine;
        let seal = named(engine.seals.entries().map(|(at, known)| (at, &known.name)), &said(seal))?;
        let rooms = || engine.chambers.entries().map(|(at, room)| (at, &room.name));
        let (one, other) = (named(rooms(), &said(one))?, named(rooms(), &said(other))?);
        let (a, b) = engine.seals.get(seal)?.between;
        let holds = [(one, other), (other, one)].contains(&(a, b));
        let spoken = |at: ChamberId| engine.chambers.get(at).map(|room| room.name.spoken());
        let words = engine.seals.get(seal)?.name.spoken();
        let reason = format!("the {words} is between the {} and the {}", spoken(a)?, spoken(b)?);
        let standing = StatementStanding::of(holds != is_denied);
        let question = format!("separates({name}, {words}, {}, {})", spoken(one)?, spoken(other)?);
        Some(StatementAnswer { standing, reason, question })
    }

    pub(super) fn pushes(
        &self,
        what: &Phrase,
        part: &Phrase,
        is_forward: bool,
    ) -> Option<StatementAnswer> {
        let (routed, name) = self.routed(&[what, part])?;
        let engine = &routed.engine;
        let part = engine.parts.get(named(
            engine.parts.entries().map(|(at, known)| (at, &known.name)),
            &said(part),
        )?)?;
        let wanted = if is_forward { Direction::Forward } else { Direction::Back };
        let push = named(part.pushes.entries().map(|(at, known)| (at, &known.name)), &said(what));
        let of_push = push.and_then(|at| part.pushes.get(at)).map(|push| vec![push]);
        let of_room = || {
            let room =
                named(engine.chambers.entries().map(|(at, known)| (at, &known.name)), &said(what))?;
            let faces = part.pushes.iter().filter(|push| push.kind == PushKind::Face(room));
            Some(faces.collect::<Vec<_>>())
        };
        let found = of_push.or_else(of_room)?;
        // A room that pushes on both sides of a part pushes as its faces have it.
        let [push] = found.as_slice() else { return None };
        let (part, words) = (part.name.spoken(), push.name.spoken());
        let reason = format!("the {words} pushes the {part} {}", push.direction.word());
        let question = format!("pushes({name}, {words}, {part}, {})", wanted.word());
        Some(StatementAnswer {
            standing: StatementStanding::of(push.direction == wanted),
            reason,
            question,
        })
    }

    pub(super) fn joins(
        &self,
        way: Option<&Phrase>,
        from: &Phrase,
        to: &Phrase,
    ) -> Option<StatementAnswer> {
        let phrases: Vec<&Phrase> = way.into_iter().chain([from, to]).collect();
        let (routed, name) = self.routed(&phrases)?;
        let engine = &routed.engine;
        let rooms = || engine.chambers.entries().map(|(at, room)| (at, &room.name));
        let Some(into) = named(rooms(), &said(to)) else {
            return self.draws(engine, &name, to, named(rooms(), &said(from))?);
        };
        let ends = (named(rooms(), &said(from))?, into);
        let of_way = |way: &Way| vec![(way.from, way.to, way.one_way)];
        let of_valve = |valve: &Valve| {
            let joints = valve.rest.iter().chain(&valve.shifted);
            joints.map(|(from, to)| (*from, *to, false)).collect::<Vec<_>>()
        };
        let chosen = match way {
            None => None,
            Some(way) => {
                let ways = engine.ways.entries().map(|(at, known)| (at, &known.name));
                let valves = engine.valves.entries().map(|(at, known)| (at, &known.name));
                let way_found = named(ways, &said(way)).and_then(|at| engine.ways.get(at));
                let valve_found = named(valves, &said(way)).and_then(|at| engine.valves.get(at));
                Some(match (way_found, valve_found) {
                    (Some(way), None) => (way.name.spoken(), of_way(way)),
                    (None, Some(valve)) => (valve.name.spoken(), of_valve(valve)),
                    _ => return None,
                })
            }
        };
        let joins = |(a, b, one_way): &(ChamberId, ChamberId, bool)| {
            (*a, *b) == ends || !one_way && (*b, *a) == ends
        };
        let spoken = |at: ChamberId| engine.chambers.get(at).map(|room| room.name.spoken());
        let told = |(a, b, _): &(ChamberId, ChamberId, bool)| {
            Some(format!("{} and {}", spoken(*a)?, spoken(*b)?))
        };
        let (from, to) = (spoken(ends.0)?, spoken(ends.1)?);
        match chosen {
            Some((words, joints)) => {
                let all: Vec<String> = joints.iter().filter_map(told).collect();
                let reason = format!("the {words} joins {}", all.join(", or "));
                let question = format!("joins({name}, {words}, {from}, {to})");
                let standing = StatementStanding::of(joints.iter().any(joins));
                Some(StatementAnswer { standing, reason, question })
            }
            None => {
                let ways = engine.ways.iter().flat_map(of_way);
                let mut all = ways.chain(engine.valves.iter().flat_map(of_valve));
                // Where nothing joins them, air may still come by way of a third room.
                all.any(|joint| joins(&joint)).then(|| StatementAnswer {
                    standing: StatementStanding::Holds,
                    reason: format!("a way joins {from} and {to}"),
                    question: format!("joins({name}, {from}, {to})"),
                })
            }
        }
    }

    /// "Both pilots take their air from the low line": valves, each joined to a room.
    fn draws(
        &self,
        engine: &Engine,
        name: &str,
        what: &Phrase,
        from: ChamberId,
    ) -> Option<StatementAnswer> {
        let words = said(what);
        let valves = engine.valves.entries();
        let chosen: Vec<&Valve> = match named(valves.map(|(at, known)| (at, &known.name)), &words) {
            Some(at) => vec![engine.valves.get(at)?],
            None if words.contains("both") => {
                let of_name = |valve: &&Valve| !stems(&valve.name.id).is_disjoint(&words);
                engine.valves.iter().filter(of_name).collect()
            }
            None => return None,
        };
        if words.contains("both") && chosen.len() != 2 {
            return None;
        }
        let draws = |valve: &&Valve| {
            let mut joints = valve.rest.iter().chain(&valve.shifted);
            joints.any(|(a, b)| *a == from || *b == from)
        };
        let room = engine.chambers.get(from)?.name.spoken();
        let told: Vec<String> = chosen.iter().map(|valve| valve.name.spoken()).collect();
        let standing = StatementStanding::of(chosen.iter().all(draws));
        let which = told.join(", ");
        let reason = match standing {
            StatementStanding::Holds => format!("each joins the {room}: {which}"),
            _ => format!("not all of these join the {room}: {which}"),
        };
        let question = format!("joins({name}, {which}, {room})");
        Some(StatementAnswer { standing, reason, question })
    }

    /// Each step before the next, in every run.
    pub(super) fn sequence(&self, steps: &[Phrase]) -> Option<StatementAnswer> {
        let pairs = steps.iter().zip(steps.iter().skip(1));
        let answers: Option<Vec<StatementAnswer>> =
            pairs.map(|(first, then)| self.before(first, then)).collect();
        StatementAnswer::all(answers?)
    }

    /// The first event before the second, in every run.
    pub(super) fn before(&self, first: &Phrase, then: &Phrase) -> Option<StatementAnswer> {
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
            (StatementStanding::Holds, format!("{a} comes before {b} in every run"))
        } else if found.then_before && !found.first_before && !found.is_open {
            (StatementStanding::Fails, format!("{b} comes before {a} in every run"))
        } else if found.always() {
            let reason = format!("{a} comes before {b} as long as the dwell outlasts the motion");
            (StatementStanding::Open, reason)
        } else {
            (StatementStanding::Open, format!("the order of {a} and {b} is not settled"))
        };
        let question = format!("happens_before({name}, {a}, {b})");
        Some(StatementAnswer { standing, reason, question })
    }
}

/// Stems of a text, verbs of one meaning made one.
pub(super) fn stems(text: &str) -> BTreeSet<String> {
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
pub(super) fn root(stem: &str) -> &str {
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
        ("empty", &["emptie", "empties", "emptied", "vents", "vent", "vented", "dump", "dumped"]),
        ("shift", &["shifted", "shifts", "answers", "answer", "switched", "flip", "flipped"]),
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
pub(super) fn named<'n, I: Id>(
    names: impl Iterator<Item = (I, &'n Name)>,
    said: &BTreeSet<String>,
) -> Option<I> {
    let mut best: Option<(usize, I)> = None;
    let mut is_tied = false;
    for (at, name) in names {
        let forms = std::iter::once(&name.id).chain(&name.called).map(|form| stems(form));
        let fits = forms.filter(|form| !form.is_empty() && form.is_subset(said));
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

/// An event with words that tell it.
struct ToldEvent {
    event: Event,
    words: BTreeSet<String>,
    /// Whether the writer gave it these words.
    is_saying: bool,
}

/// Words of a phrase beside those that tell its event, at the most: with more of them something
/// else may be told.
const MOST_BESIDE: usize = 2;

/// The events of a shot with the words that tell them.
fn events(routed: &Routed) -> Vec<ToldEvent> {
    let engine: &Engine = &routed.engine;
    let sayings = engine.sayings.iter();
    let mut known: Vec<ToldEvent> = sayings
        .map(|saying| ToldEvent {
            event: saying.event,
            words: stems(&saying.words.id),
            is_saying: true,
        })
        .collect();
    let steps = routed.shot.iter().flat_map(|shot| &shot.found.steps);
    let met: BTreeSet<Event> = steps.flat_map(|step| step.events.iter().copied()).collect();
    for event in met {
        let words = event_words(engine, event);
        let said = other_names(engine, &words).into_iter().chain([words]);
        let told = |words: String| ToldEvent { event, words: stems(&words), is_saying: false };
        known.extend(said.map(told));
    }
    known
}

/// An event's words with the other names of what they begin with.
fn other_names(engine: &Engine, words: &str) -> Vec<String> {
    let chambers = engine.chambers.iter().map(|chamber| &chamber.name);
    let parts = engine.parts.iter().map(|part| &part.name);
    let ways = engine.ways.iter().map(|way| &way.name);
    let valves = engine.valves.iter().map(|valve| &valve.name);
    let names = chambers.chain(parts).chain(ways).chain(valves);
    let rest = |name: &Name| {
        let rest = words.strip_prefix(&name.spoken())?;
        rest.starts_with(' ').then(|| rest.to_owned())
    };
    let found = names.filter_map(|name| Some((name, rest(name)?)));
    found
        .flat_map(|(name, rest)| {
            let plain = name.id.replace('_', " ");
            let forms = name.called.iter().skip(1).cloned().chain([plain]);
            forms.map(move |form| format!("{form}{rest}"))
        })
        .collect()
}

/// The event that a phrase tells; `None` where it tells two.
fn event(known: &[ToldEvent], phrase: &Phrase) -> Option<Event> {
    let said: BTreeSet<String> = said(phrase).into_iter().filter(|word| !is_small(word)).collect();
    let fits: Vec<&ToldEvent> =
        known.iter().filter(|told| !told.words.is_empty() && told.words.is_subset(&said)).collect();
    let Some(longest) = fits.iter().map(|told| (told.words.len(), told.is_saying)).max() else {
        return shortened(known, &said);
    };
    let best = fits.iter().find(|told| (told.words.len(), told.is_saying) == longest)?;
    // "The tail fills, next the pilot shifts" tells two events; "the air spring fills" holds
    // the words of one more.
    let is_of_best = |told: &&ToldEvent| {
        let is_less = (told.words.len(), told.is_saying) < longest;
        told.event == best.event || is_less && told.words.is_subset(&best.words)
    };
    let is_one = fits.iter().all(is_of_best) && said.len() <= best.words.len() + MOST_BESIDE;
    // A ball that stirs has not left.
    let stirs = ["stir", "move", "moves", "start", "begin"].iter().any(|word| phrase.has(word));
    (is_one && !(stirs && best.event == Event::BallLeaves)).then_some(best.event)
}

/// "The hammer strikes" of a writer's "hammer strikes the stem", where nothing else begins so.
fn shortened(known: &[ToldEvent], said: &BTreeSet<String>) -> Option<Event> {
    let mut longer =
        known.iter().filter(|told| told.is_saying && 1 < said.len() && said.is_subset(&told.words));
    let first = longer.next()?.event;
    longer.all(|told| told.event == first).then_some(first)
}
