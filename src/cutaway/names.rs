//! The names of one cutaway, by what they name.

use super::model::{ChamberId, Id, LandmarkId, Name, PartId, SealId, TriggerId, ValveId, WayId};
use crate::text::nearest;
use std::collections::BTreeMap;

/// What a name can stand for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum NameKind {
    Trigger,
    Landmark,
    Chamber,
    Regulator,
    Way,
    Ball,
    Part,
    Valve,
    Seal,
    Event,
    Axis,
    Body,
}

impl NameKind {
    /// As in "no chamber of that name".
    pub(super) fn noun(self) -> &'static str {
        match self {
            NameKind::Trigger => "trigger",
            NameKind::Landmark => "landmark",
            NameKind::Chamber => "chamber",
            NameKind::Regulator => "regulator",
            NameKind::Way => "way",
            NameKind::Ball => "ball",
            NameKind::Part => "moving part",
            NameKind::Valve => "valve",
            NameKind::Seal => "seal",
            NameKind::Event => "event",
            NameKind::Axis => "axis",
            NameKind::Body => "body",
        }
    }

    const ALL: [NameKind; 12] = [
        NameKind::Trigger,
        NameKind::Landmark,
        NameKind::Chamber,
        NameKind::Regulator,
        NameKind::Way,
        NameKind::Ball,
        NameKind::Part,
        NameKind::Valve,
        NameKind::Seal,
        NameKind::Event,
        NameKind::Axis,
        NameKind::Body,
    ];
}

/// A place that names are looked up for.
pub(super) trait NamedThing: Id {
    const KIND: NameKind;
}

impl NamedThing for TriggerId {
    const KIND: NameKind = NameKind::Trigger;
}

impl NamedThing for ChamberId {
    const KIND: NameKind = NameKind::Chamber;
}

impl NamedThing for LandmarkId {
    const KIND: NameKind = NameKind::Landmark;
}

impl NamedThing for WayId {
    const KIND: NameKind = NameKind::Way;
}

impl NamedThing for SealId {
    const KIND: NameKind = NameKind::Seal;
}

impl NamedThing for PartId {
    const KIND: NameKind = NameKind::Part;
}

impl NamedThing for ValveId {
    const KIND: NameKind = NameKind::Valve;
}

/// What a name leads to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum FoundName<I> {
    /// The place in the model's list.
    At(I),
    /// Something that is there but could not be read: whoever mentions it stays silent.
    Unread,
    /// Only things of another kind go by that name.
    Other(NameKind),
    /// Nothing.
    Nothing,
}

impl<I> FoundName<I> {
    pub(super) fn map<T>(self, of: impl Fn(I) -> T) -> FoundName<T> {
        match self {
            FoundName::At(at) => FoundName::At(of(at)),
            FoundName::Unread => FoundName::Unread,
            FoundName::Other(kind) => FoundName::Other(kind),
            FoundName::Nothing => FoundName::Nothing,
        }
    }
}

/// The names of one cutaway.
#[derive(Debug, Default)]
pub(super) struct Names {
    by_kind: BTreeMap<NameKind, BTreeMap<String, Option<usize>>>,
}

impl Names {
    /// Enters a name and its spoken words; `None` for something that could not be read. Gives the
    /// spoken words that were taken already.
    pub(super) fn add(&mut self, kind: NameKind, name: &Name, at: Option<usize>) -> Vec<String> {
        let known = self.by_kind.entry(kind).or_default();
        known.entry(name.id.clone()).or_insert(at);
        let spoken = name.called.iter().filter(|words| {
            let entry = known.entry(plain(words));
            *entry.or_insert(at) != at
        });
        spoken.cloned().collect()
    }

    /// Says where a name that was entered without a place leads to.
    pub(super) fn place(&mut self, kind: NameKind, name: &Name, at: usize) {
        let known = self.by_kind.entry(kind).or_default();
        for word in std::iter::once(&name.id).chain(&name.called) {
            let entry = known.entry(if *word == name.id { word.clone() } else { plain(word) });
            entry.or_insert(None).get_or_insert(at);
        }
    }

    /// Looks a name up, by its word or by what it is called.
    pub(super) fn find<I: NamedThing>(&self, word: &str) -> FoundName<I> {
        match self.get(I::KIND, word) {
            Some(Some(at)) => FoundName::At(I::at(at)),
            Some(None) => FoundName::Unread,
            None => {
                let mut others = NameKind::ALL.into_iter().filter(|other| *other != I::KIND);
                let other = others.find(|other| self.get(*other, word).is_some());
                other.map_or(FoundName::Nothing, FoundName::Other)
            }
        }
    }

    /// Whether something of this kind goes by that name.
    pub(super) fn has(&self, kind: NameKind, word: &str) -> bool {
        self.get(kind, word).is_some()
    }

    /// The closest name of a kind.
    pub(super) fn nearest(&self, kind: NameKind, word: &str) -> Option<String> {
        let names = self.by_kind.get(&kind)?;
        nearest(word, names.keys().map(String::as_str)).map(str::to_owned)
    }

    /// Whether something of that name is there and could not be read.
    pub(super) fn is_unread(&self, word: &str) -> bool {
        NameKind::ALL.into_iter().any(|kind| self.get(kind, word) == Some(None))
    }

    fn get(&self, kind: NameKind, word: &str) -> Option<Option<usize>> {
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
