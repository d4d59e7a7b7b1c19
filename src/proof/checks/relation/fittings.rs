//! Statements about what sits where: ring sizes, what is open in a position, how many there are.

use super::places::place_told;
use super::routing::{named, root, stems};
use super::{StatementAnswer, StatementNames, StatementStanding};
use crate::cutaway::model::{
    ChamberId, Condition, Engine, Event, Name, PartId, PositionId, PushKind, TriggerId, Valve,
    ValveId, WayId,
};
use crate::folio::routing::Routed;
use crate::folio::things::Thing;
use crate::statement::Phrase;
use std::collections::BTreeSet;

/// Where a part or a valve is said to stand.
#[derive(Clone, Copy)]
pub(super) enum Stand {
    Part(PartId, PositionId),
    Valve(ValveId, bool),
    /// Whether a trigger is held.
    Trigger(TriggerId, bool),
    /// Everything where it rests.
    Rest,
}

/// What the open air around an engine is called.
const OUTSIDE: [&str; 6] = ["air", "room", "outside", "open", "atmosphere", "weather"];

impl StatementNames<'_> {
    /// The cutaway of a sheet's engine, and its name.
    fn cutaway(&self, sheet: usize) -> Option<(&Engine, String)> {
        let name = self.folio.ledger.sheets.get(sheet)?.engine.clone()?;
        Some((&self.folio.routing.of(&name)?.engine, name))
    }

    /// "The land ring is a -016", "went from a -010 to a -009".
    pub(super) fn ring(
        &self,
        seal: &Phrase,
        was: Option<&str>,
        size: &str,
    ) -> Option<StatementAnswer> {
        // "The ring beside the crown ring" is another one.
        let beside = ["beside", "next", "near", "opposite", "neighbour", "behind", "ahead"];
        if beside.iter().any(|word| seal.has(word)) {
            return None;
        }
        if let Some(was) = was {
            let Some((heir, elder)) = self.lineage(self.homes(seal).first().copied()) else {
                return self.ring_revised(seal, was, size);
            };
            let both =
                || Some(vec![self.ring_of(elder, seal, was)?, self.ring_of(heir, seal, size)?]);
            let Some(both) = both() else { return self.ring_revised(seal, was, size) };
            return StatementAnswer::all(both);
        }
        let homes = self.homes(seal);
        let answers: Option<Vec<StatementAnswer>> =
            homes.into_iter().map(|home| self.ring_of(home, seal, size)).collect();
        StatementAnswer::all(answers?)
    }

    fn ring_of(&self, sheet: usize, seal: &Phrase, size: &str) -> Option<StatementAnswer> {
        let (engine, name) = self.cutaway(sheet)?;
        let mut said = said(seal);
        // "A -016 seals the land": what has a size is a ring.
        said.extend(["ring".to_owned(), "seal".to_owned()]);
        let at = named(engine.seals.entries().map(|(at, known)| (at, &known.name)), &said);
        let of_seal = |at| {
            let seal = engine.seals.get(at)?;
            Some((seal.name.spoken(), seal.size.as_ref()?.id.trim_start_matches('-').to_owned()))
        };
        let of_reading = || self.ring_read(sheet, &said);
        let (words, known) = at.map_or_else(of_reading, of_seal)?;
        let reason = format!("the {words} of {name} is a -{known}");
        let question = format!("size of {words} of {name} = -{size}");
        Some(StatementAnswer { standing: StatementStanding::of(known == size), reason, question })
    }

    /// The only ring that a reading of a sheet states and words name, with its size.
    fn ring_read(&self, sheet: usize, said: &BTreeSet<String>) -> Option<(String, String)> {
        let entries = self.folio.ledger.sheets.get(sheet)?.entries.iter().enumerate();
        let mut found = entries.filter_map(|(at, entry)| {
            let written = &entry.reading()?.statements.first()?.written;
            let size = written.rsplit('-').next().filter(|_| written.contains(" -"))?;
            let is_size = size.len() == 3 && size.bytes().all(|byte| byte.is_ascii_digit());
            let names = self.folio.cues.names(sheet, at);
            let is_named = names.iter().any(|name| name.iter().all(|stem| said.contains(stem)));
            (is_size && is_named).then(|| (entry.name.text.replace('_', " "), size.to_owned()))
        });
        found.next().filter(|_| found.next().is_none())
    }

    /// "While the spool is forward, the hole is shut".
    pub(super) fn during(
        &self,
        state: &Phrase,
        what: &Phrase,
        is_open: bool,
    ) -> Option<StatementAnswer> {
        let (routed, name) = self.routed(&[state, what])?;
        let engine = &routed.engine;
        let stand = self.stand(routed, state)?;
        let spoken = said(what);
        let closed = engine.ways.entries().filter(|(_, way)| !way.barrel);
        let ways = named(closed.map(|(at, known)| (at, &known.name)), &spoken);
        // "The tail empties into the dome": not by whatever way has the name of its verb.
        let ends = self.rooms(routed, what);
        let joins = |way: &WayId| {
            let way = engine.ways.get(*way);
            way.is_some_and(|way| ends.iter().all(|at| way.from == *at || way.to == *at))
        };
        let ways = ways.filter(|way| ends.len() < 2 || joins(way));
        let valves = || engine.valves.entries().map(|(at, known)| (at, &known.name));
        let open = match ways {
            Some(way) => {
                let way = engine.ways.get(way)?;
                vec![(way.name.spoken(), holds(engine, &way.when, stand))]
            }
            None if let Some(valve) = named(valves(), &spoken) => {
                let valve = engine.valves.get(valve)?;
                // One that joins nothing at rest is a way that it opens.
                let opens = valve.rest.is_empty() || valve.shifted.is_empty();
                let shifted = shifted(engine, valve, stand).filter(|_| opens);
                vec![(valve.name.spoken(), shifted.map(|shifted| shifted == valve.rest.is_empty()))]
            }
            None => {
                let mut rooms = self.rooms(routed, what);
                // "No way out": to the open air.
                let leaves = ["out", "empty", "escape"].iter().any(|word| spoken.contains(*word));
                rooms.extend(engine.chambers.ids().next().filter(|_| leaves && rooms.len() == 1));
                let opens = ["open", "close"].iter().any(|word| spoken.contains(*word));
                if opens && rooms.len() == 1 {
                    // "The slide opens the store": to what, it does not say.
                    return None;
                }
                between(engine, &rooms, stand)
            }
        };
        let (first, _) = open.first()?;
        let words = first.clone();
        let found = if open.iter().any(|(_, open)| *open == Some(true)) {
            Some(true)
        } else if open.iter().all(|(_, open)| *open == Some(false)) {
            Some(false)
        } else {
            None
        };
        let standing =
            found.map_or(StatementStanding::Open, |found| StatementStanding::of(found == is_open));
        let reason = match found {
            Some(true) => format!("the {words} is open then"),
            Some(false) => format!("the {words} is shut then"),
            None => format!("whether the {words} is open depends on more"),
        };
        let wanted = if is_open { "open" } else { "shut" };
        Some(StatementAnswer { standing, reason, question: format!("{wanted}({name}, {words})") })
    }

    /// "The rod ring and the nose ring are of one size".
    pub(super) fn rings_alike(&self, sheet: usize, said: &Phrase) -> Option<StatementAnswer> {
        let (routed, name) = self.routed_of(sheet)?;
        let engine = &routed.engine;
        let mentions = self.things_in(routed, &said.words);
        let seals = mentions.iter().map(|mention| match mention.things.as_slice() {
            [Thing::Seal(at)] => engine.seals.get(*at),
            _ => None,
        });
        let seals: Vec<_> = seals.collect::<Option<_>>()?;
        let sizes: Vec<&str> = seals
            .iter()
            .map(|seal| Some(seal.size.as_ref()?.id.as_str()))
            .collect::<Option<_>>()?;
        let (first, others) = sizes.split_first().filter(|(_, others)| !others.is_empty())?;
        let words: Vec<String> = seals.iter().map(|seal| seal.name.spoken()).collect();
        let told = words.iter().zip(&sizes).map(|(words, size)| format!("the {words} is a {size}"));
        Some(StatementAnswer {
            standing: StatementStanding::of(others.iter().all(|size| size == first)),
            reason: told.collect::<Vec<_>>().join(", "),
            question: format!("{} of {name} of one size", words.join(", ")),
        })
    }

    /// "The hole stays open throughout", "never opens to the dome": in every state of the shot.
    pub(super) fn throughout(&self, what: &Phrase, is_open: bool) -> Option<StatementAnswer> {
        let (routed, name) = self.routed(&[what])?;
        let engine = &routed.engine;
        let steps = &routed.shot.as_ref()?.found.steps;
        let moves = |event: Event| steps.iter().any(|step| step.events.contains(&event));
        let mentions = self.things_in(routed, &what.words);
        let mut ways = mentions.iter().flat_map(|mention| &mention.things);
        let way = ways.find_map(|thing| match thing {
            Thing::Way(at) => Some(*at),
            _ => None,
        })?;
        let known = engine.ways.get(way)?;
        let words = known.name.spoken();
        let (opens, closes) = (moves(Event::Opens(way)), moves(Event::Closes(way)));
        let standing = match (known.when.is_empty(), opens || closes) {
            (true, _) => StatementStanding::of(is_open),
            (false, true) => StatementStanding::Fails,
            (false, false) => return None,
        };
        let reason = match known.when.is_empty() {
            true => format!("the {words} is never shut"),
            false => format!("the {words} opens and shuts in a shot"),
        };
        let wanted = if is_open { "open" } else { "shut" };
        let question = format!("{wanted} throughout({name}, {words})");
        Some(StatementAnswer { standing, reason, question })
    }

    /// The rooms that a clause names, the open air among them.
    fn rooms(&self, routed: &Routed, what: &Phrase) -> Vec<ChamberId> {
        let mentions = self.things_in(routed, &what.words);
        let things = mentions.iter().flat_map(|mention| &mention.things);
        let mut rooms: Vec<ChamberId> = Vec::new();
        for thing in things {
            if let Thing::Room(at) = thing
                && !rooms.contains(at)
            {
                rooms.push(*at);
            }
        }
        let raw = self.text.get(what.span.start..what.span.end).unwrap_or_default();
        let mut end = raw.split_whitespace().rev().filter(|word| *word != "the");
        let (last, leads) = (end.next().unwrap_or_default(), end.next().unwrap_or_default());
        let leads = matches!(leads, "to" | "into" | "from");
        let has_word = |name: &Name| {
            let called =
                name.called.iter().any(|called| called.split(' ').any(|word| word == last));
            called || name.id.split('_').any(|word| word == last)
        };
        let mut chambers = routed.engine.chambers.entries().skip(1);
        let of_other = chambers.any(|(at, known)| !rooms.contains(&at) && has_word(&known.name));
        let known = rooms.first().and_then(|at| routed.engine.chambers.get(*at));
        let is_it = known.is_some_and(|known| has_word(&known.name));
        let air = routed.engine.chambers.ids().next();
        let is_told = rooms.len() < 2 && leads && !is_it;
        if is_told && (of_other || !OUTSIDE.contains(&last)) {
            // Where it leads is not known.
            return Vec::new();
        }
        rooms.extend(air.filter(|air| is_told && !rooms.contains(air)));
        rooms
    }

    /// The part or the valve, and where it is said to stand.
    pub(super) fn stand(&self, routed: &Routed, state: &Phrase) -> Option<Stand> {
        let engine = &routed.engine;
        let raw = self.text.get(state.span.start..state.span.end)?.to_lowercase();
        let word = |wanted: &[&str]| {
            raw.split(|c: char| !c.is_alphanumeric()).any(|word| wanted.contains(&word))
        };
        if ["not", "no", "never", "nor", "mid", "way", "moving", "going", "travelling"]
            .iter()
            .any(|denial| word(&[denial]))
        {
            return None;
        }
        let mentions = self.things_in(routed, &state.words);
        let mut things = mentions.iter().flat_map(|mention| &mention.things);
        let part = things.clone().find_map(|thing| match thing {
            Thing::Part(at) => Some(*at),
            _ => None,
        });
        let place = part.and_then(|part| {
            Some(Stand::Part(part, place_told(engine.parts.get(part)?, &state.words)?))
        });
        let trigger = things.clone().find_map(|thing| match thing {
            Thing::Trigger(at) => Some(*at),
            _ => None,
        });
        let valve = things.find_map(|thing| match thing {
            Thing::Valve(at) => Some(*at),
            _ => None,
        });
        let trigger = trigger.and_then(|trigger| {
            let is_held = word(&[
                "held",
                "pulled",
                "pressed",
                "down",
                "in",
                "squeezed",
                "pull",
                "pulling",
                "press",
                "pressing",
                "squeeze",
                "squeezing",
            ]);
            let is_free = ["free", "released", "rest", "alone", "go", "release", "releasing"];
            match (is_held, word(&is_free)) {
                (true, false) => Some(Stand::Trigger(trigger, true)),
                (false, true) => Some(Stand::Trigger(trigger, false)),
                _ => None,
            }
        });
        let valve = valve.and_then(|valve| {
            match (word(&["on", "shifted", "energised"]), word(&["off", "resting"])) {
                (true, false) => Some(Stand::Valve(valve, true)),
                (false, true) => Some(Stand::Valve(valve, false)),
                _ => None,
            }
        });
        match (place, valve.or(trigger)) {
            (Some(one), None) | (None, Some(one)) => Some(one),
            (None, None) if raw.trim() == "rest" || raw.ends_with("at rest") => Some(Stand::Rest),
            _ => None,
        }
    }

    /// With what a part or a valve comes to stand as a clause says, where it does not stand so at
    /// rest, and with what it leaves.
    pub(super) fn stay(&self, routed: &Routed, state: &Phrase) -> Option<(Option<Event>, Event)> {
        match self.stand(routed, state)? {
            Stand::Part(part, at) => {
                let is_rest = routed.engine.parts.get(part)?.rest == at;
                let begins = (!is_rest).then_some(Event::Reaches(part, at));
                Some((begins, Event::Leaves(part, at)))
            }
            Stand::Valve(valve, true) => Some((Some(Event::Shifts(valve)), Event::Returns(valve))),
            Stand::Valve(..) | Stand::Trigger(..) | Stand::Rest => None,
        }
    }

    /// Whether a reading counts the springs of an engine, and its cutaway shows as many.
    pub(super) fn shows_all_springs(&self, engine: &Engine, name: &str) -> bool {
        let Some(sheet) = self.folio.ledger.engine(name) else { return false };
        let entries = 0..self.folio.ledger.sheets.get(sheet).map_or(0, |it| it.entries.len());
        let counts = |at: &usize| {
            let is_sum = |stem: &String| {
                matches!(&**stem, "spring" | "wire" | "coil" | "number" | "count" | "of" | "the")
            };
            let names = self.folio.cues.names(sheet, *at);
            names.iter().any(|name| name.iter().any(|it| it == "spring") && name.iter().all(is_sum))
        };
        let mut counted = entries.filter(counts).filter_map(|at| self.counted((sheet, at)));
        let shown = engine.parts.iter().flat_map(|part| part.pushes.iter());
        let shown = shown.filter(|push| push.kind == PushKind::Spring).count();
        let shown = u32::try_from(shown).map_or(f64::MAX, f64::from);
        let first = counted.next();
        first.is_some_and(|count| count == shown) && counted.next().is_none()
    }

    /// How many things of a name the cutaway of an engine shows.
    pub(super) fn drawn(&self, sheet: usize, noun: &str) -> Option<(f64, String)> {
        let (engine, name) = self.cutaway(sheet)?;
        let has = |words: &str| stems(words).contains(root(noun));
        let count = match noun {
            "ring" | "seal" => engine.seals.iter().filter(|seal| seal.size.is_some()).count(),
            "spring" => {
                let pushes = engine.parts.iter().flat_map(|part| part.pushes.iter());
                pushes.filter(|push| push.kind == PushKind::Spring).count()
            }
            _ => {
                let parts = engine.parts.iter().filter(|part| has(&part.name.id)).count();
                parts + engine.valves.iter().filter(|valve| has(&valve.name.id)).count()
            }
        };
        Some((f64::from(u32::try_from(count).ok()?), name))
    }
}

/// Stems of a phrase, verbs of one meaning made one.
pub(super) fn said(phrase: &Phrase) -> BTreeSet<String> {
    phrase.words.iter().map(|word| root(&word.stem).to_owned()).collect()
}

/// Whether conditions hold where something stands: `None` where they ask for more.
pub(super) fn holds(engine: &Engine, conditions: &[Condition], stand: Stand) -> Option<bool> {
    let rest = |part: PartId| engine.parts.get(part).map(|part| part.rest);
    let met = |condition: &Condition| match (*condition, stand) {
        (Condition::At(part, at), Stand::Part(one, here)) if part == one => Some(here == at),
        (Condition::From(part, at), Stand::Part(one, here)) if part == one => Some(at <= here),
        (Condition::Before(part, at), Stand::Part(one, here)) if part == one => Some(here < at),
        (Condition::Shifted(valve), Stand::Valve(one, on)) if valve == one => Some(on),
        (Condition::Resting(valve), Stand::Valve(one, on)) if valve == one => Some(!on),
        (Condition::Pulled(one), Stand::Trigger(trigger, held)) if one == trigger => Some(held),
        (Condition::Released(one), Stand::Trigger(trigger, held)) if one == trigger => Some(!held),
        (Condition::At(part, at), Stand::Rest) => rest(part).map(|rest| rest == at),
        (Condition::From(part, at), Stand::Rest) => rest(part).map(|rest| at <= rest),
        (Condition::Before(part, at), Stand::Rest) => rest(part).map(|rest| rest < at),
        _ => None,
    };
    let all: Vec<Option<bool>> = conditions.iter().map(met).collect();
    if all.contains(&Some(false)) {
        return Some(false);
    }
    all.iter().all(Option::is_some).then_some(true)
}

/// Whether a valve that something shifts all the while has shifted.
fn shifted(engine: &Engine, valve: &Valve, stand: Stand) -> Option<bool> {
    let is_held = !valve.on_edge && !valve.shifts.is_empty() && valve.has_rest();
    // At a pull, what the pull alone shifts has shifted, however long it stays so.
    if let ([Condition::Pulled(by)], Stand::Trigger(trigger, true)) = (&*valve.shifts, stand)
        && *by == trigger
    {
        return Some(true);
    }
    is_held.then(|| holds(engine, &valve.shifts, stand)).flatten()
}

/// What a valve joins where something stands, if that settles it.
pub(super) fn open_joints<'e>(
    engine: &Engine,
    (at, valve): (ValveId, &'e Valve),
    stand: Stand,
) -> Option<&'e [(ChamberId, ChamberId)]> {
    let is_on = match stand {
        Stand::Valve(one, on) if one == at => on,
        Stand::Rest if valve.has_rest() && !valve.shifts.is_empty() => false,
        _ => shifted(engine, valve, stand)?,
    };
    Some(if is_on { &valve.shifted } else { &valve.rest })
}

/// The ways and the joints of valves between two rooms, or into one from a supply, and whether
/// they are open.
fn between(engine: &Engine, rooms: &[ChamberId], stand: Stand) -> Vec<(String, Option<bool>)> {
    let is_supply = |at: ChamberId| engine.chambers.get(at).is_some_and(|room| room.is_supply());
    let meant = |a: ChamberId, b: ChamberId| match rooms {
        [one] => b == *one && is_supply(a) || a == *one && is_supply(b),
        [one, two] => [(*one, *two), (*two, *one)].contains(&(a, b)),
        _ => false,
    };
    let ways = engine.ways.iter().filter(|way| meant(way.from, way.to));
    let mut found: Vec<(String, Option<bool>)> =
        ways.map(|way| (way.name.spoken(), holds(engine, &way.when, stand))).collect();
    for (at, valve) in engine.valves.entries() {
        let joins = |joints: &[(ChamberId, ChamberId)]| joints.iter().any(|(a, b)| meant(*a, *b));
        let open = open_joints(engine, (at, valve), stand).map(joins);
        if joins(&valve.rest) || joins(&valve.shifted) {
            found.push((valve.name.spoken(), open));
        }
    }
    found
}
