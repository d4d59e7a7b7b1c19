//! What happened to engines and when: the dated events and the revisions that pages state.

use super::Edition;
use super::engines::Paged;
use super::standing::plain;
use crate::page::front::{EventDecl, EventKind, Front, RevisionDecl};
use crate::site::shared::Link;
use crate::text::proper_name;
use serde::Serialize;

/// One event.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct HistoryRow {
    /// Date as the page states it (ISO 8601, with as much as is known); empty where none is known.
    pub(crate) on: String,
    /// What happened.
    pub(crate) what: String,
    /// "made", "shown", "said" …; empty where nothing more is said than that it happened.
    pub(crate) kind: &'static str,
    /// Who did or said it; may be empty.
    pub(crate) by: String,
    /// Source, with its place on the page of the engine; none where none is named.
    pub(crate) source: Option<Link>,
    /// The engine, with its page.
    pub(crate) engine: Link,
}

/// The events of a page by their dates; those without one come last.
pub(super) fn history(front: &Front, address: &str) -> Vec<HistoryRow> {
    let engine = Link::new(proper_name(&plain(&front.engine)), address.to_owned());
    let events = front.timeline.iter().map(|event| dated(event, &engine));
    let revisions = front.revisions.iter().map(|revision| revised(revision, &engine));
    in_order(events.chain(revisions).collect())
}

/// The events of all engines.
pub(super) fn histories(edition: &Edition, engines: &[Paged]) -> Vec<HistoryRow> {
    let pages = engines.iter().map(|engine| &edition.folio.pages[engine.page]);
    in_order(pages.flat_map(|page| history(&page.front, &page.address)).collect())
}

fn in_order(mut rows: Vec<HistoryRow>) -> Vec<HistoryRow> {
    rows.sort_by(|a, b| (a.on.is_empty(), &a.on).cmp(&(b.on.is_empty(), &b.on)));
    rows
}

fn dated(event: &EventDecl, engine: &Link) -> HistoryRow {
    let source = event.from.as_ref().map(|from| {
        Link::new(from.text.replace('_', " "), format!("{}#_source-{}", engine.address, from.text))
    });
    HistoryRow {
        on: event.on.text.clone(),
        what: event.what.text.clone(),
        kind: if event.kind == EventKind::Happened { "" } else { event.kind.word() },
        by: plain(&event.by),
        source,
        engine: engine.clone(),
    }
}

fn revised(revision: &RevisionDecl, engine: &Link) -> HistoryRow {
    let changed = plain(&revision.changed);
    let name = format!("revision {}", revision.name.text);
    HistoryRow {
        on: plain(&revision.on),
        what: if changed.is_empty() { name } else { format!("{name}: {changed}") },
        kind: "",
        by: String::new(),
        source: None,
        engine: engine.clone(),
    }
}
