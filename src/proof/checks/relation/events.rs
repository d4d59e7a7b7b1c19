//! Which event a clause tells: by a writer's words for it, else by the thing that it names and what
//! its verb does.

use super::StatementNames;
use super::fittings::said;
use super::places::{is_home_elsewhere, place_told};
use super::routing::{root, stems};
use crate::cutaway::event_words;
use crate::cutaway::model::{
    ChamberId, Condition, Engine, Event, PartId, PositionId, Valve, Way, WayId,
};
use crate::folio::routing::Routed;
use crate::folio::things::{Mention, Thing};
use crate::logic::precedence;
use crate::statement::{Phrase, Role, describes, is_light, may};
use std::collections::BTreeSet;

/// Words of a clause beside those that tell its event, at the most: with more of them something
/// else may be told.
const MOST_BESIDE: usize = 2;

/// Verbs of a motion as a whole.
const MOVES: [&str; 8] = ["come", "came", "return", "run", "travel", "slide", "turn", "fly"];

/// What a ball does that leaves, or what is done with it.
const LEAVES: [&str; 13] = [
    "leave", "out", "away", "exit", "clear", "free", "rid", "throw", "thrown", "threw", "launch",
    "launched", "flown",
];

/// When something happens: with an event, or between two where the model has none for it.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) struct Moment {
    pub(super) earliest: Event,
    pub(super) latest: Event,
}

impl Moment {
    pub(super) fn at(event: Event) -> Moment {
        Moment { earliest: event, latest: event }
    }
}

/// The events of a shot, and the words in which they may be told.
pub(super) struct ToldEvents<'r> {
    names: StatementNames<'r>,
    routed: &'r Routed,
    met: BTreeSet<Event>,
    told: Vec<ToldEvent>,
}

/// An event with words that tell it.
struct ToldEvent {
    event: Event,
    words: BTreeSet<String>,
}

impl<'r> ToldEvents<'r> {
    pub(super) fn of(names: &StatementNames<'r>, routed: &'r Routed) -> ToldEvents<'r> {
        let engine: &Engine = &routed.engine;
        let steps = routed.shot.iter().flat_map(|shot| &shot.found.steps);
        let met: BTreeSet<Event> = steps.flat_map(|step| step.events.iter().copied()).collect();
        let sayings = engine.sayings.iter();
        let by_saying = sayings
            .map(|saying| ToldEvent { event: saying.event, words: told_words(&saying.words.id) });
        let mut told: Vec<ToldEvent> = by_saying.collect();
        let plain = |event: &Event| ToldEvent {
            event: *event,
            words: told_words(&event_words(engine, *event)),
        };
        told.extend(met.iter().map(plain));
        ToldEvents { names: *names, routed, met, told }
    }

    /// When what a clause tells happens; `None` where it tells two events, or none that is known.
    pub(super) fn moment(&self, phrase: &Phrase) -> Option<Moment> {
        if is_partial(phrase) {
            return None;
        }
        let told = self.by_words(phrase).map(Moment::at).or_else(|| self.by_things(phrase));
        // "Pulled again" begins another shot.
        let is_next =
            |told: &Moment| matches!(told.earliest, Event::Pulled(_)) && phrase.has("again");
        let told = told.filter(|told| !is_next(told)).map(|told| self.venting(told, phrase));
        told.or_else(|| self.ball_stirs(phrase)).or_else(|| self.air_arrives(phrase))
    }

    /// Whether nothing in a clause may say something else than its event: then it may refute.
    pub(super) fn is_plain(&self, phrase: &Phrase) -> bool {
        let mentions = self.names.things_in(self.routed, &phrase.words);
        let is_named = |at: usize| mentions.iter().any(|m| (m.first..m.last).contains(&at));
        let engines = self.names.folio.cues.engines_in(&phrase.words);
        let is_engine = |at: usize| engines.iter().any(|it| (it.0..it.1).contains(&at));
        let is_told = |stem: &str| {
            let root = root(stem);
            let is_of_event = self.told.iter().any(|told| told.words.contains(root));
            let is_step = [Role::Next, Role::Ordinal, Role::Order].iter().any(|it| may(stem, *it));
            let is_air = may(stem, Role::OfAir);
            root != stem
                || is_air
                || is_light(stem)
                || describes(stem)
                || is_of_event
                || is_step
                || does_anything(root)
        };
        let mut words = phrase.words.iter().enumerate();
        words.all(|(at, word)| is_named(at) || is_engine(at) || is_told(&word.stem))
    }

    /// A room vents from the opening of its one way out to where it is empty.
    fn venting(&self, told: Moment, phrase: &Phrase) -> Moment {
        let Event::Empties(room) = told.earliest else { return told };
        let engine = &self.routed.engine;
        let is_of = |(a, b): &(ChamberId, ChamberId)| *a == room || *b == room;
        let ways = engine.ways.entries().filter(|(_, way)| way.from == room && !way.barrel);
        let ways = ways.map(|(at, _)| Event::Opens(at));
        let valves = engine.valves.entries().filter_map(|(at, valve)| {
            let (at_rest, shifted) =
                (valve.rest.iter().any(is_of), valve.shifted.iter().any(is_of));
            match (at_rest, shifted) {
                (true, false) => Some(Event::Returns(at)),
                (false, true) => Some(Event::Shifts(at)),
                _ => None,
            }
        });
        let mut opens = ways.chain(valves).filter(|event| self.met.contains(event));
        let is_vented = phrase.words.iter().any(|word| word.stem.starts_with("vent"));
        match (opens.next(), opens.next()) {
            (Some(earliest), None) if is_vented => Moment { earliest, ..told },
            _ => told,
        }
    }

    /// A ball stirs between the opening of the way behind it and its leaving.
    fn ball_stirs(&self, phrase: &Phrase) -> Option<Moment> {
        let engine = &self.routed.engine;
        let mentions = self.names.things_in(self.routed, &phrase.words);
        let begins = phrase.words.iter().any(|word| root(&word.stem) == "begin");
        let is_ball = mentions.first().is_some_and(|first| first.things.contains(&Thing::Ball));
        let chamber = engine.ball.as_ref()?.chamber;
        let mut behind = engine.ways.entries().filter(|(_, way)| way.to == chamber && !way.barrel);
        let (way, _) = behind.next()?;
        let is_one = behind.next().is_none();
        let moment = Moment { earliest: Event::Opens(way), latest: Event::BallLeaves };
        let is_met = self.met.contains(&moment.earliest) && self.met.contains(&moment.latest);
        (begins && is_ball && is_one && is_met).then_some(moment)
    }

    /// Air comes into a room between the opening of the only passage there and what it does there.
    fn air_arrives(&self, phrase: &Phrase) -> Option<Moment> {
        let says =
            |words: &[&str]| phrase.words.iter().any(|word| words.contains(&root(&word.stem)));
        let goes =
            says(&["get", "got", "come", "came", "let", "admitted", "pass", "passe", "passed"]);
        let goes_in = says(&["reach", "enter"]) || goes && says(&["to", "into"]);
        let mentions = self.names.things_in(self.routed, &phrase.words);
        let [Mention { things, .. }] = mentions.as_slice() else { return None };
        let [Thing::Room(room)] = things.as_slice() else { return None };
        let engine = &self.routed.engine;
        let ways = engine.ways.entries().filter(|(_, way)| way.to == *room && !way.barrel);
        let ways = ways.map(|(way, _)| Event::Opens(way));
        let lets_in = |valve: &&(_, &Valve)| valve.1.shifted.iter().any(|(_, to)| to == room);
        let valves = engine.valves.entries().collect::<Vec<_>>();
        let valves = valves.iter().filter(lets_in).map(|(valve, _)| Event::Shifts(*valve));
        let mut passages = ways.chain(valves);
        let earliest = passages.next()?;
        let is_one = passages.next().is_none() && goes_in && phrase.has("air");
        let is_balls = engine.ball.as_ref().is_some_and(|ball| ball.chamber == *room);
        let does = [Event::Fills(*room)].into_iter().chain(is_balls.then_some(Event::BallLeaves));
        let latest = does.into_iter().find(|event| self.met.contains(event))?;
        let moment = Moment { earliest, latest };
        (is_one && self.met.contains(&moment.earliest)).then_some(moment)
    }

    /// What a thing does in a shot, where nothing but the thing is named: "pilot, dome, spool".
    pub(super) fn bare(&self, phrase: &Phrase) -> Option<Moment> {
        let mentions = self.names.things_in(self.routed, &phrase.words);
        let [Mention { things, first, last }] = mentions.as_slice() else { return None };
        let beside = |at: &usize| !(*first..*last).contains(at);
        let mut beside = (0..phrase.words.len()).filter(beside).map(|at| &phrase.words[at].stem);
        let is_empty = |stem: &str| {
            let counts = [Role::Next, Role::Ordinal].iter().any(|role| may(stem, *role));
            counts
                || matches!(
                    stem,
                    "the" | "a" | "an" | "its" | "and" | "only" | "come" | "of" | "all"
                )
        };
        if !beside.all(|stem| is_empty(stem)) {
            return None;
        }
        let does = things.iter().filter_map(|thing| match *thing {
            Thing::Trigger(at) => Some(Event::Pulled(at)),
            Thing::Valve(at) => Some(Event::Shifts(at)),
            Thing::Room(at) => {
                self.first_of(&[Event::Fills(at), Event::Drops(at), Event::Empties(at)])
            }
            Thing::Way(at) => self.first_of(&[Event::Opens(at), Event::Closes(at)]),
            Thing::Part(at) => Some(Event::Leaves(at, self.routed.engine.parts.get(at)?.rest)),
            Thing::Ball => Some(Event::BallLeaves),
            Thing::Seal(_) | Thing::Push(..) => None,
        });
        let mut does = does.filter(|event| self.met.contains(event));
        let event = does.next()?;
        does.next().is_none().then_some(Moment::at(event))
    }

    /// What of these comes first in every run.
    fn first_of(&self, events: &[Event]) -> Option<Event> {
        let found = &self.routed.shot.as_ref()?.found;
        let met = || events.iter().copied().filter(|event| self.met.contains(event));
        let leads = |one: &Event| {
            met().all(|other| *one == other || precedence(found, *one, other).always())
        };
        met().find(leads)
    }

    /// The words of each name of a thing in a phrase.
    fn names_in(&self, phrase: &Phrase) -> Vec<BTreeSet<String>> {
        let mentions = self.names.things_in(self.routed, &phrase.words).into_iter();
        let stems_of = |mention: Mention| {
            let words = phrase.words[mention.first..mention.last].iter();
            words.flat_map(|word| stems(&word.stem)).collect()
        };
        mentions.map(stems_of).collect()
    }

    /// By all the words in which it is told.
    fn by_words(&self, phrase: &Phrase) -> Option<Event> {
        if phrase.is(Role::Stays) {
            return None;
        }
        let mut said: BTreeSet<String> = said(phrase);
        let turns = phrase.words.iter().filter(|word| is_turn(&word.stem));
        said.extend(turns.map(|word| word.stem.clone()));
        // "The loader valve" is another thing than the loader.
        let names: Vec<BTreeSet<String>> = self.names_in(phrase);
        let splits = |told: &ToldEvent, name: &BTreeSet<String>| {
            let shared = name.intersection(&told.words).count();
            0 < shared && shared < name.len()
        };
        let fits = |told: &&ToldEvent| {
            let is_said = !told.words.is_empty() && told.words.is_subset(&said);
            is_said && !names.iter().any(|name| splits(told, name))
        };
        let fits: Vec<&ToldEvent> = self.told.iter().filter(fits).collect();
        // The first of the longest: writers' own words come before those of the model.
        let longest = fits.iter().map(|told| told.words.len()).max()?;
        let best = fits.iter().find(|told| told.words.len() == longest)?;
        // "The sump fills, next the trip opens" tells two events; "the air spring fills" holds
        // the words of one more.
        let is_of_best =
            |told: &&ToldEvent| told.event == best.event || told.words.is_subset(&best.words);
        let is_beside = |word: &&String| !best.words.contains(*word) && !is_light(word);
        let beside = said.iter().filter(|word| is_beside(word) && !describes(word));
        // "Switched off" is no shifting.
        let is_turned = matches!(best.event, Event::Shifts(_)) && phrase.has("off");
        let is_one = fits.iter().all(is_of_best) && beside.count() <= MOST_BESIDE && !is_turned;
        is_one.then_some(best.event)
    }

    /// By the thing that comes first, and what the verb says of it.
    fn by_things(&self, phrase: &Phrase) -> Option<Moment> {
        let mentions = self.names.things_in(self.routed, &phrase.words);
        let is_named = |at: usize| mentions.iter().any(|m| (m.first..m.last).contains(&at));
        let rest: Vec<&str> = phrase
            .words
            .iter()
            .enumerate()
            .filter(|(at, _)| !is_named(*at))
            .map(|(_, word)| root(&word.stem))
            .collect();
        let says = |word: &str| !is_light(word) && !describes(word) && !does_anything(word);
        let unknown = rest.iter().filter(|word| says(word));
        if MOST_BESIDE < unknown.count() {
            return None;
        }
        let subject: &Mention = mentions.first()?;
        let of_thing = |thing: &Thing| match thing {
            Thing::Valve(at) if phrase.has("off") => Some(Moment::at(Event::Returns(*at))),
            Thing::Part(at) if 1 < mentions.len() && turns(&rest) => {
                self.of_passage(*at, &rest, &mentions)
            }
            Thing::Part(at) => self.of_part(*at, &rest, phrase),
            Thing::Room(at) if falls(&rest) => self.of_fall(*at),
            thing => self.of_thing(*thing, &rest, &mentions).map(Moment::at),
        };
        let is_met =
            |told: &Moment| self.met.contains(&told.earliest) && self.met.contains(&told.latest);
        let told = subject.things.iter().filter_map(of_thing);
        let mut told: Vec<Moment> = told.filter(is_met).collect();
        told.dedup();
        match told.as_slice() {
            [told] => Some(*told),
            _ => None,
        }
    }

    /// "The ram stays back", "waits": until it leaves where it stands.
    fn end_of_rest(&self, part: PartId, rest: &[&str], phrase: &Phrase) -> Option<Event> {
        let known = self.routed.engine.parts.get(part)?;
        let says = |words: &[&str]| rest.iter().any(|word| words.contains(word));
        let is_named = |at: PositionId| {
            let position = known.positions.get(at);
            position.is_some_and(|position| stems(&position.id).iter().all(|w| says(&[w])))
        };
        let mut named = known.positions.ids().filter(|at| is_named(*at));
        let place = match (named.next(), named.next()) {
            (Some(at), None) => at,
            (None, None) if says(&["seat", "off", "up", "down", "out", "in"]) => {
                place_told(known, &phrase.words)?
            }
            (None, None) if !says(&["forward", "back", "home", "begin", "leave"]) => known.rest,
            _ => return None,
        };
        Some(Event::Leaves(part, place))
    }

    fn of_thing(&self, thing: Thing, rest: &[&str], mentions: &[Mention]) -> Option<Event> {
        let does = |words: &[&str]| rest.iter().any(|word| words.contains(word));
        let stays = does(&["stay", "remain", "still", "wait"]);
        match thing {
            // "Stays shut": until it opens.
            Thing::Way(at) if stays && does(&["close"]) && !does(&["open"]) => {
                Some(Event::Opens(at))
            }
            // "Stays shifted": until it returns.
            Thing::Valve(at) if stays => match (does(&["shift", "on"]), does(&["rest", "back"])) {
                (true, false) => Some(Event::Returns(at)),
                (false, true) => Some(Event::Shifts(at)),
                _ => None,
            },
            _ if stays => None,
            Thing::Trigger(at) if does(&["release"]) => Some(Event::Released(at)),
            Thing::Trigger(at) => Some(Event::Pulled(at)),
            Thing::Valve(at) => match (
                does(&["shift", "on", "open", "energise", "wake", "click", "live"]),
                does(&["return", "begin", "close", "drop", "release", "back", "dead", "die"]),
            ) {
                (true, false) => Some(Event::Shifts(at)),
                (false, true) => Some(Event::Returns(at)),
                _ => None,
            },
            Thing::Room(at) => match (does(&["fill", "pressure"]), does(&["open"])) {
                (true, false) => Some(Event::Fills(at)),
                (false, true) => self.between(at, mentions),
                _ => None,
            },
            Thing::Way(at) => match (does(&["open"]), does(&["close"])) {
                (true, false) => Some(Event::Opens(at)),
                (false, true) => Some(Event::Closes(at)),
                _ => None,
            },
            Thing::Ball if does(&["drop", "chambered"]) => Some(Event::BallFed),
            // One that stirs has not left.
            Thing::Ball if does(&LEAVES) => Some(Event::BallLeaves),
            _ => None,
        }
    }

    /// A room loses its air, from the first drop to where it is empty.
    fn of_fall(&self, room: ChamberId) -> Option<Moment> {
        let falls = [Event::Drops(room), Event::Empties(room)];
        let mut falls = falls.into_iter().filter(|event| self.met.contains(event));
        let earliest = falls.next()?;
        Some(Moment { earliest, latest: falls.next().unwrap_or(earliest) })
    }

    /// "The sleeve has uncovered the port": the way that hangs on where a part stands.
    fn of_passage(&self, part: PartId, rest: &[&str], mentions: &[Mention]) -> Option<Moment> {
        let named = mentions.iter().skip(1).flat_map(|mention| &mention.things);
        let engine = &self.routed.engine;
        let is_of = |condition: &Condition| match *condition {
            Condition::At(one, _) | Condition::From(one, _) | Condition::Before(one, _) => {
                one == part
            }
            _ => false,
        };
        let hangs = |way: &Way| way.when.iter().any(is_of);
        let is_meant = |at: WayId, way: &Way| {
            named.clone().any(|thing| match thing {
                Thing::Way(one) => *one == at,
                Thing::Room(room) => way.from == *room || way.to == *room,
                _ => false,
            })
        };
        let mut ways = engine.ways.entries().filter(|(at, way)| hangs(way) && is_meant(*at, way));
        let (way, None) = (ways.next()?.0, ways.next()) else { return None };
        let event = if rest.contains(&"open") { Event::Opens(way) } else { Event::Closes(way) };
        Some(Moment::at(event))
    }

    /// "The sump opens to the barrel": the one way between the two.
    fn between(&self, room: ChamberId, mentions: &[Mention]) -> Option<Event> {
        let others = mentions.iter().skip(1).flat_map(|mention| &mention.things);
        let mut others = others.filter_map(|thing| match thing {
            Thing::Room(other) if *other != room => Some(*other),
            _ => None,
        });
        let other = others.next()?;
        let ends = [(room, other), (other, room)];
        let mut ways =
            self.routed.engine.ways.entries().filter(|(_, way)| ends.contains(&(way.from, way.to)));
        let (at, _) = ways.next()?;
        ways.next().is_none().then_some(Event::Opens(at))
    }

    /// "The bolt starts", "is home", "starts back", "reaches the front stop".
    fn of_part(&self, part: PartId, rest: &[&str], phrase: &Phrase) -> Option<Moment> {
        let known = self.routed.engine.parts.get(part)?;
        let does = |words: &[&str]| rest.iter().any(|word| words.contains(word));
        if does(&["home"]) && is_home_elsewhere(known) {
            return None;
        }
        if does(&["stay", "remain", "still", "wait"]) {
            return self.end_of_rest(part, rest, phrase).map(Moment::at);
        }
        let named = known.positions.entries().filter(|(_, position)| {
            let words = stems(&position.id);
            !words.is_empty() && words.iter().all(|word| rest.contains(&word.as_str()))
        });
        let named: Vec<PositionId> = named.map(|(at, _)| at).collect();
        let (first, last) = (known.positions.ids().next()?, known.positions.ids().next_back()?);
        let far = if known.rest == first { last } else { first };
        let leaves = |at| Some(Moment::at(Event::Leaves(part, at)));
        let reaches = |at| Some(Moment::at(Event::Reaches(part, at)));
        let is_back = does(&["back", "rearward", "backward", "home", "return"]);
        let begins = does(&["begin"]);
        let stands = does(&["reach", "stop", "land", "is", "are", "arrive", "at", "be"]);
        let is_there = stands || does(&["ha", "have", "had", "already", "get", "got"]);
        let at_rest = known.positions.get(known.rest).map(|at| stems(&at.id)).unwrap_or_default();
        let rests_shut = ["close", "seated", "seat", "down"].iter().any(|at| at_rest.contains(*at));
        match named.as_slice() {
            // "Turns round": at the far end.
            [] if does(&["turn"]) && does(&["round", "around", "back"]) => leaves(far),
            // "Starts back" leaves the front.
            [at] if begins => leaves(if *at == known.rest { far } else { known.rest }),
            [_] if does(&["leave"]) && stands => None,
            [at] if does(&["leave"]) => leaves(*at),
            // "Comes back" begins where it stood.
            [at] if does(&MOVES) && !is_there => {
                let from = if *at == known.rest { far } else { known.rest };
                let latest = Event::Reaches(part, *at);
                Some(Moment { earliest: Event::Leaves(part, from), latest })
            }
            [at] => reaches(*at),
            [] if begins || does(&["leave"]) => leaves(if is_back { far } else { known.rest }),
            [] if does(&["return", "home", "back"]) => {
                let end = Event::Reaches(part, known.rest);
                let is_whole = is_there || does(&["home"]) || !self.met.contains(&end);
                // "Comes back" begins at the far end.
                let begin = if is_whole { end } else { Event::Leaves(part, far) };
                Some(Moment { earliest: begin, latest: end })
            }
            [] if does(&["reach", "stop", "land", "arrive"]) => reaches(far),
            [] if does(&["shift", "flip", "let", "lift", "rise", "fly", "unseat"]) => {
                leaves(known.rest)
            }
            [] if does(&["open"]) && rests_shut => leaves(known.rest),
            [] if does(&["close", "seat", "seated", "sit"]) && rests_shut => reaches(known.rest),
            [] => match place_told(known, &phrase.words)? {
                at if is_there => reaches(at),
                at if at == known.rest => reaches(at),
                at => Some(Moment {
                    earliest: Event::Leaves(part, known.rest),
                    latest: Event::Reaches(part, at),
                }),
            },
            _ => None,
        }
    }
}

/// The words that tell an event: "comes on" is another one than "comes off".
fn told_words(text: &str) -> BTreeSet<String> {
    let mut words = stems(text);
    words.extend(text.split(' ').filter(|word| is_turn(word)).map(str::to_owned));
    words
}

fn is_turn(word: &str) -> bool {
    matches!(word, "on" | "off")
}

/// Whether a verb says that something is opened or shut.
fn turns(rest: &[&str]) -> bool {
    rest.contains(&"open") != rest.contains(&"close")
}

/// Whether a verb says that a room loses its air.
fn falls(rest: &[&str]) -> bool {
    const FALLS: [&str; 4] = ["empty", "fall", "drop", "down"];
    let does = |words: &[&str]| rest.iter().any(|word| words.contains(word));
    does(&FALLS) && !does(&["fill", "pressure", "open"])
}

/// "Begins to fill", "is half open", "before the next shot", "has far left to go": not the whole of
/// an event, one of another shot, or none.
fn is_partial(phrase: &Phrase) -> bool {
    const PARTS: [&str; 7] = ["half", "halfway", "midway", "partly", "almost", "nearly", "barely"];
    const OTHERS: [&str; 4] = ["next", "previous", "another", "following"];
    let says = |words: &[&str]| words.iter().any(|word| phrase.has(word));
    let turns = phrase.words.iter().zip(phrase.words.iter().skip(1));
    let begins = turns.clone().any(|(verb, next)| root(&verb.stem) == "begin" && next.stem == "to")
        || turns.clone().any(|(verb, next)| {
            root(&verb.stem) == "begin" && matches!(root(&next.stem), "fill" | "empty" | "close")
        });
    let moves = says(&["move", "stir", "shift", "travel", "go", "run", "slide", "start"]);
    let is_rest = turns.clone().any(|(left, to)| left.stem == "left" && to.stem == "to");
    let is_of_another = turns.into_iter().any(|(other, noun)| {
        OTHERS.contains(&other.stem.as_str())
            && matches!(noun.stem.as_str(), "shot" | "pull" | "cycle" | "trigger" | "one" | "time")
    });
    says(&PARTS) || begins && !moves || is_rest || is_of_another
}

/// Whether a verb tells what a thing of a cutaway does.
fn does_anything(word: &str) -> bool {
    const DOES: [&str; 20] = [
        "shift",
        "return",
        "open",
        "close",
        "fill",
        "empty",
        "leave",
        "reach",
        "release",
        "pull",
        "stop",
        "land",
        "begin",
        "clear",
        "back",
        "forward",
        "home",
        "drop",
        "lift",
        "chambered",
    ];
    DOES.contains(&word)
}
