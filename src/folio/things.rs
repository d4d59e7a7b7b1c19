//! The things of a cutaway by the words that tell them in prose.

use super::words::{TextWord, words};
use crate::cutaway::Engine;
use crate::cutaway::model::{
    ChamberId, Direction, Name, PartId, PushId, PushKind, SealId, TriggerId, ValveId, WayId,
};
use crate::text::Span;
use ahash::AHashMap;

/// A thing of a cutaway.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Thing {
    /// A chamber.
    Room(ChamberId),
    /// A way.
    Way(WayId),
    /// A moving part.
    Part(PartId),
    /// A valve.
    Valve(ValveId),
    /// A seal.
    Seal(SealId),
    /// What pushes a part.
    Push(PartId, PushId),
    /// A trigger.
    Trigger(TriggerId),
    /// What is thrown.
    Ball,
}

/// Words that name a thing, or several that share a name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Mention {
    /// Index of the first word.
    pub(crate) first: usize,
    /// One past the index of the last.
    pub(crate) last: usize,
    pub(crate) things: Vec<Thing>,
}

/// The names of a cutaway's things.
#[derive(Debug, Clone, Default)]
pub(crate) struct Things {
    by_words: AHashMap<String, Vec<Thing>>,
    /// Last words of names that only one thing has: "the pilot" of a cutaway with one pilot valve.
    by_head: AHashMap<String, Vec<Thing>>,
    /// Words of the longest name.
    longest: usize,
}

/// Names of the open air.
const OPEN_AIR: [&str; 6] =
    ["open air", "outside", "atmosphere", "outer air", "free air", "surrounding air"];

impl Things {
    pub(crate) fn of(engine: &Engine) -> Things {
        let mut things = Things::default();
        for (at, chamber) in engine.chambers.entries() {
            things.add(&chamber.name, Thing::Room(at));
            if engine.chambers.ids().next() == Some(at) {
                OPEN_AIR.iter().for_each(|name| things.put(name, Thing::Room(at)));
            }
        }
        engine.ways.entries().for_each(|(at, way)| things.add(&way.name, Thing::Way(at)));
        for (at, part) in engine.parts.entries() {
            things.add(&part.name, Thing::Part(at));
            for (push, known) in part.pushes.entries() {
                things.add(&known.name, Thing::Push(at, push));
            }
        }
        for (at, valve) in engine.valves.entries() {
            things.add(&valve.name, Thing::Valve(at));
        }
        for (at, seal) in engine.seals.entries() {
            things.add(&seal.name, Thing::Seal(at));
            for (ring, other) in [("ring", "seal"), ("seal", "ring")] {
                let words = seal.name.id.replace('_', " ").replace(ring, other);
                things.put(&words, Thing::Seal(at));
            }
        }
        for (at, trigger) in engine.triggers.entries() {
            things.add(trigger, Thing::Trigger(at));
        }
        if let Some(ball) = &engine.ball {
            things.add(&ball.name, Thing::Ball);
        }
        things.add_short(engine);
        things.add_heads(engine);
        things.add_sides(engine);
        things
    }

    /// Names without a last word that only says of what kind a thing is, where nothing else goes
    /// by them.
    fn add_short(&mut self, engine: &Engine) {
        let pushes = engine.parts.entries().flat_map(|(part, known)| {
            let pushes = known.pushes.entries();
            pushes.map(move |(at, push)| (&push.name, Thing::Push(part, at), " face"))
        });
        let valves = engine.valves.entries();
        let valves = valves.map(|(at, valve)| (&valve.name, Thing::Valve(at), " valve"));
        let all: Vec<(&Name, Thing, &str)> = pushes.chain(valves).collect();
        for (name, thing, kind) in all {
            for form in forms(name) {
                let short = form.strip_suffix(kind);
                if let Some(short) = short.filter(|short| !self.by_words.contains_key(*short)) {
                    self.put(short, thing);
                }
            }
        }
    }

    /// The nouns at the head of names of what moves, where only one thing goes by them: there may
    /// be more rooms, ways, springs and rings than a cutaway names.
    fn add_heads(&mut self, engine: &Engine) {
        let mut heads: AHashMap<String, Vec<Thing>> = AHashMap::new();
        for (name, things) in &self.by_words {
            let head = name.rsplit(' ').next().filter(|head| head.len() < name.len());
            let Some(head) = head else { continue };
            let known = heads.entry(head.to_owned()).or_default();
            known.extend(things.iter().filter(|thing| !known.contains(thing)).collect::<Vec<_>>());
        }
        let moves = |thing: &Thing| {
            matches!(thing, Thing::Part(_) | Thing::Valve(_) | Thing::Trigger(_) | Thing::Ball)
        };
        if let (Some(only), 1) = (engine.valves.ids().next(), engine.valves.ids().count()) {
            for name in ["pilot", "solenoid", "coil"] {
                heads.entry(name.to_owned()).or_insert_with(|| vec![Thing::Valve(only)]);
            }
        }
        if engine.ball.is_some() {
            heads.entry("ball".to_owned()).or_insert_with(|| vec![Thing::Ball]);
        }
        heads.retain(|head, things| {
            things.len() == 1 && things.iter().all(moves) && !self.by_words.contains_key(head)
        });
        self.by_head = heads;
    }

    /// "The space behind the piston": the only room whose air pushes the piston forward.
    fn add_sides(&mut self, engine: &Engine) {
        let sides = [(Direction::Forward, "behind"), (Direction::Back, "in front of")];
        let parts = engine.parts.iter();
        for (part, (direction, side)) in parts.flat_map(|part| sides.map(|side| (part, side))) {
            let rooms = part.pushes.iter().filter_map(|push| match push.kind {
                PushKind::Face(room) if push.direction == direction => Some(room),
                _ => None,
            });
            let mut rooms: Vec<ChamberId> = rooms.collect();
            rooms.dedup();
            let [room] = rooms.as_slice() else { continue };
            for form in forms(&part.name) {
                for noun in ["space", "room", "chamber", "air"] {
                    let name = format!("{noun} {side} {form}");
                    if !self.by_words.contains_key(&name) {
                        self.put(&name, Thing::Room(*room));
                    }
                }
            }
        }
    }

    fn add(&mut self, name: &Name, thing: Thing) {
        forms(name).for_each(|form| self.put(&form, thing));
    }

    fn put(&mut self, name: &str, thing: Thing) {
        let stems: Vec<String> = words(name, Span::new(0, name.len()))
            .into_iter()
            .filter(|word| !is_article(&word.stem))
            .map(|word| word.stem)
            .collect();
        if stems.is_empty() {
            return;
        }
        self.longest = self.longest.max(stems.len());
        let known = self.by_words.entry(stems.join(" ")).or_default();
        if !known.contains(&thing) {
            known.push(thing);
        }
    }

    /// Whether a word is of some thing's name.
    pub(crate) fn speak_of(&self, word: &str) -> bool {
        self.by_words.keys().any(|name| name.split(' ').any(|known| known == word))
    }

    /// The things named among words, the longest names first: "tail ring", "ring of the tail".
    pub(crate) fn named_in(&self, words: &[TextWord]) -> Vec<Mention> {
        let places: Vec<usize> =
            (0..words.len()).filter(|at| !is_article(&words[*at].stem)).collect();
        let mut found = Vec::new();
        let mut at = 0;
        while at < places.len() {
            let plain = self.at(words, &places, at);
            let turned = self.turned(words, &places, at);
            let plain = plain.or_else(|| self.the_open(words, places[at]).map(|air| (1, air)));
            let best = match (plain, turned) {
                (Some(plain), Some(turned)) if turned.0 <= plain.0 => Some(plain),
                (plain, turned) => turned.or(plain),
            };
            match best {
                Some((length, things)) => {
                    let last = places[at + length - 1] + 1;
                    found.push(Mention { first: places[at], last, things: things.clone() });
                    at += length;
                }
                None => at += 1,
            }
        }
        found
    }

    /// "Into the open": the open air.
    fn the_open(&self, words: &[TextWord], at: usize) -> Option<&Vec<Thing>> {
        let stem = |back: usize| at.checked_sub(back).map(|at| words[at].stem.as_str());
        let is_it = words[at].stem == "open" && stem(1) == Some("the");
        let is_behind = matches!(stem(2), Some("to" | "into" | "in" | "from"));
        (is_it && is_behind).then(|| self.by_words.get("open air")).flatten()
    }

    /// The longest name that begins at a place, and how many places it takes; else the noun at the
    /// head of a name behind an article: "the ram pilot" is another one than the bolt pilot.
    fn at(&self, words: &[TextWord], places: &[usize], at: usize) -> Option<(usize, &Vec<Thing>)> {
        let whole = (1..=self.longest).rev().find_map(|length| {
            let said = places.get(at..at + length)?.iter().map(|at| words[*at].stem.as_str());
            let things = self.by_words.get(&said.collect::<Vec<_>>().join(" "))?;
            Some((length, things))
        });
        let place = *places.get(at)?;
        let stands = place.checked_sub(1).is_none_or(|before| is_article(&words[before].stem));
        let head = || Some((1, self.by_head.get(&words[place].stem).filter(|_| stands)?));
        whole.or_else(head)
    }

    /// "Ring of the tail", "face on the skirt": the last word of a name first.
    fn turned(
        &self,
        words: &[TextWord],
        places: &[usize],
        at: usize,
    ) -> Option<(usize, &Vec<Thing>)> {
        let stem = |at: usize| places.get(at).map(|at| words[*at].stem.as_str());
        let head = stem(at)?;
        if !matches!(stem(at + 1)?, "of" | "on" | "in" | "at" | "round" | "around" | "for") {
            return None;
        }
        let behind = |from: usize| {
            (1..self.longest).rev().find_map(|length| {
                let said = places.get(from..from + length)?.iter();
                let said: Vec<&str> = said.map(|at| words[*at].stem.as_str()).collect();
                let things = self.by_words.get(&format!("{} {head}", said.join(" ")))?;
                Some((from + length - at, things))
            })
        };
        // "The ring on Gorse's bolt": the owner is no part of the name.
        let is_owner = places.get(at + 2).is_some_and(|at| words[*at].possessive);
        behind(at + 2).or_else(|| behind(at + 3).filter(|_| is_owner))
    }
}

/// The word of the cutaway with blanks, and what else it is called.
fn forms(name: &Name) -> impl Iterator<Item = String> + '_ {
    std::iter::once(name.id.replace('_', " ")).chain(name.called.iter().cloned())
}

fn is_article(stem: &str) -> bool {
    matches!(stem, "the" | "a" | "an" | "its" | "their" | "it")
}
