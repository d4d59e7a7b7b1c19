//! The dated events of a folio, and the words that tell them.

use super::PageEntry;
use super::meaning::event_words;
use crate::page::front::EventKind;
use crate::sheet::Ledger;
use crate::text::Date;
use ahash::{AHashMap, AHashSet};
use std::collections::BTreeSet;

/// A dated event of a page's timeline, or one of its revisions.
#[derive(Debug)]
pub(crate) struct KnownEvent {
    /// Sheet of the page that has it.
    pub(crate) sheet: usize,
    pub(crate) on: Date,
    /// What happened.
    pub(crate) what: String,
    /// What it was; a revision is a change.
    pub(crate) kind: EventKind,
    /// Who did it, where the page says so.
    pub(crate) by: Option<String>,
    /// The words that tell it, names of engines among them.
    pub(crate) words: AHashSet<String>,
    /// Those of them that tell what was done, and not why or by whom.
    pub(crate) deed: AHashSet<String>,
}

/// All dated events of a folio.
#[derive(Debug)]
pub(crate) struct KnownTimeline {
    /// In order of their days.
    events: Vec<KnownEvent>,
    /// The events that each word tells, but for names of engines.
    told_by: AHashMap<String, Vec<usize>>,
    /// The words of the engines' names.
    pub(crate) engine_words: AHashSet<String>,
}

impl KnownTimeline {
    pub(super) fn new(pages: &[PageEntry], ledger: &Ledger) -> Self {
        let engines = ledger.sheets.iter().filter_map(|sheet| sheet.engine.as_ref());
        let engine_words: AHashSet<String> =
            engines.flat_map(|name| event_words(&name.replace('_', " "))).collect();
        let events = dated(pages);
        let mut told_by: AHashMap<String, Vec<usize>> = AHashMap::new();
        for (at, event) in events.iter().enumerate() {
            for word in event.words.difference(&engine_words) {
                told_by.entry(word.clone()).or_default().push(at);
            }
        }
        KnownTimeline { events, told_by, engine_words }
    }

    /// Whether no page dates anything.
    pub(crate) fn is_empty(&self) -> bool {
        self.events.is_empty()
    }

    /// Whether a text has a word that tells an event.
    pub(crate) fn speaks_of(&self, text: &str) -> bool {
        !self.is_empty() && !self.told(&event_words(text)).is_empty()
    }

    pub(crate) fn iter(&self) -> impl Iterator<Item = &KnownEvent> {
        self.events.iter()
    }

    /// The events that share a word with these beside the names of engines, in order of their days.
    pub(crate) fn told(&self, spoken: &AHashSet<String>) -> Vec<&KnownEvent> {
        let told = spoken.iter().filter_map(|word| self.told_by.get(word)).flatten();
        let told: BTreeSet<usize> = told.copied().collect();
        told.into_iter().filter_map(|at| self.events.get(at)).collect()
    }
}

/// What was done, without the reason and without who did it.
fn deed(what: &str) -> &str {
    let ends = [",", ";", " because ", " so that ", " by "].iter().filter_map(|end| what.find(end));
    &what[..ends.min().unwrap_or(what.len())]
}

fn dated(pages: &[PageEntry]) -> Vec<KnownEvent> {
    let mut events = Vec::new();
    for page in pages {
        let Some(sheet) = page.sheet else { continue };
        let told = page.front.timeline.iter().filter_map(|event| {
            let by = event.by.as_ref().map(|by| by.text.clone());
            let on = Date::read(&event.on.text)?;
            let what = event.what.text.clone();
            let (words, deed) = (event_words(&what), event_words(deed(&what)));
            Some(KnownEvent { sheet, on, what, kind: event.kind, by, words, deed })
        });
        let revised = page.front.revisions.iter().filter_map(|revision| {
            let changed = revision.changed.as_ref().map_or("", |changed| &changed.text);
            let what = format!("{} {changed}", revision.name.text).trim_end().to_owned();
            let on = Date::read(&revision.on.as_ref()?.text)?;
            let (words, deed) = (event_words(&what), event_words(deed(&what)));
            let kind = EventKind::Changed;
            Some(KnownEvent { sheet, on, what, kind, by: None, words, deed })
        });
        events.extend(told.chain(revised));
    }
    events.sort_by_key(|event| (event.on, event.sheet));
    events
}
