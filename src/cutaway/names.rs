//! The names of one cutaway, by what they name.

use super::model::{ChamberId, Id, Name, PartId, TriggerId, ValveId, WayId};
use crate::text::nearest;
use std::collections::BTreeMap;

/// What a name can stand for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Kind {
    Trigger,
    Chamber,
    Regulator,
    Way,
    Ball,
    Part,
    Valve,
    Seal,
    Event,
    Axis,
}

impl Kind {
    /// As in "no chamber of that name".
    pub(super) fn noun(self) -> &'static str {
        match self {
            Kind::Trigger => "trigger",
            Kind::Chamber => "chamber",
            Kind::Regulator => "regulator",
            Kind::Way => "way",
            Kind::Ball => "ball",
            Kind::Part => "moving part",
            Kind::Valve => "valve",
            Kind::Seal => "seal",
            Kind::Event => "event",
            Kind::Axis => "axis",
        }
    }

    const ALL: [Kind; 10] = [
        Kind::Trigger,
        Kind::Chamber,
        Kind::Regulator,
        Kind::Way,
        Kind::Ball,
        Kind::Part,
        Kind::Valve,
        Kind::Seal,
        Kind::Event,
        Kind::Axis,
    ];
}

/// A place that names are looked up for.
pub(super) trait Named: Id {
    const KIND: Kind;
}

impl Named for TriggerId {
    const KIND: Kind = Kind::Trigger;
}

impl Named for ChamberId {
    const KIND: Kind = Kind::Chamber;
}

impl Named for WayId {
    const KIND: Kind = Kind::Way;
}

impl Named for PartId {
    const KIND: Kind = Kind::Part;
}

impl Named for ValveId {
    const KIND: Kind = Kind::Valve;
}

/// What a name leads to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Found<I> {
    /// The place in the model's list.
    At(I),
    /// Something that is there but could not be read: whoever mentions it stays silent.
    Unread,
    /// Only things of another kind go by that name.
    Other(Kind),
    /// Nothing.
    Nothing,
}

impl<I> Found<I> {
    pub(super) fn map<T>(self, of: impl Fn(I) -> T) -> Found<T> {
        match self {
            Found::At(at) => Found::At(of(at)),
            Found::Unread => Found::Unread,
            Found::Other(kind) => Found::Other(kind),
            Found::Nothing => Found::Nothing,
        }
    }
}

/// The names of one cutaway.
#[derive(Debug, Default)]
pub(super) struct Names {
    by_kind: BTreeMap<Kind, BTreeMap<String, Option<usize>>>,
}

impl Names {
    /// Enters a name and its spoken words; `None` for something that could not be read. Gives the
    /// spoken words that were taken already.
    pub(super) fn add(&mut self, kind: Kind, name: &Name, at: Option<usize>) -> Vec<String> {
        let known = self.by_kind.entry(kind).or_default();
        known.entry(name.id.clone()).or_insert(at);
        let spoken = name.called.iter().filter(|words| {
            let entry = known.entry(plain(words));
            *entry.or_insert(at) != at
        });
        spoken.cloned().collect()
    }

    /// Says where a name that was entered without a place leads to.
    pub(super) fn place(&mut self, kind: Kind, name: &Name, at: usize) {
        let known = self.by_kind.entry(kind).or_default();
        for word in std::iter::once(&name.id).chain(&name.called) {
            let entry = known.entry(if *word == name.id { word.clone() } else { plain(word) });
            entry.or_insert(None).get_or_insert(at);
        }
    }

    /// Looks a name up, by its word or by what it is called.
    pub(super) fn find<I: Named>(&self, word: &str) -> Found<I> {
        match self.get(I::KIND, word) {
            Some(Some(at)) => Found::At(I::at(at)),
            Some(None) => Found::Unread,
            None => {
                let mut others = Kind::ALL.into_iter().filter(|other| *other != I::KIND);
                let other = others.find(|other| self.get(*other, word).is_some());
                other.map_or(Found::Nothing, Found::Other)
            }
        }
    }

    /// Whether something of this kind goes by that name.
    pub(super) fn has(&self, kind: Kind, word: &str) -> bool {
        self.get(kind, word).is_some()
    }

    /// The closest name of a kind.
    pub(super) fn nearest(&self, kind: Kind, word: &str) -> Option<String> {
        let names = self.by_kind.get(&kind)?;
        nearest(word, names.keys().map(String::as_str)).map(str::to_owned)
    }

    /// Whether something of that name is there and could not be read.
    pub(super) fn is_unread(&self, word: &str) -> bool {
        Kind::ALL.into_iter().any(|kind| self.get(kind, word) == Some(None))
    }

    fn get(&self, kind: Kind, word: &str) -> Option<Option<usize>> {
        let names = self.by_kind.get(&kind)?;
        let spoken = || names.get(&plain(word));
        names.get(word).or_else(spoken).or_else(|| names.get(&as_name(word))).copied()
    }
}

/// Spoken words without regard to case and underscores.
fn plain(words: &str) -> String {
    words.trim().replace('_', " ").to_lowercase()
}

/// The nearest text that can be a name: "Rear-Room" → "rear_room".
pub(super) fn as_name(text: &str) -> String {
    let mapped = text.trim().chars().map(|c| match c {
        'a'..='z' | '0'..='9' | '_' => c,
        'A'..='Z' => c.to_ascii_lowercase(),
        _ => '_',
    });
    let name: String = mapped.collect();
    name.trim_matches('_').to_owned()
}
