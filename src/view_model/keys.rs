//! The reference of pages: a first page step by step, then every key of front matter and imprint.

use super::frame::{Frame, made};
use super::language::{WalkPart, step_heads, told, walk_parts};
use super::reference::paragraphs;
use super::{Edition, View};
use crate::body::blocks::anchor;
use crate::page::WALK;
use crate::page::keys::{KeyDoc, KeyGroup, groups};
use crate::site::search::SearchDocument;
use crate::site::shared::Link;
use serde::Serialize;
use std::iter;

/// How a page is written.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct KeysPage {
    pub(crate) frame: Frame,
    /// A first page, step by step.
    pub(crate) walk: Vec<WalkPart>,
    /// The same page, whole, as typed.
    pub(crate) whole: String,
    /// The keys, map by map.
    pub(crate) groups: Vec<KeyRows>,
}

/// Keys that belong together.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct KeyRows {
    /// Anchor, without `#` (`_keys-a-source`).
    pub(crate) anchor: String,
    pub(crate) label: String,
    /// Where the map stands and what it is for (finished HTML).
    pub(crate) meaning_html: String,
    pub(crate) keys: Vec<KeyRow>,
    /// Keys that are described with another map: places on this page.
    pub(crate) also: Vec<Link>,
}

/// One key.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct KeyRow {
    /// Anchor, without `#` (`_key-a-source-kind`).
    pub(crate) anchor: String,
    pub(crate) key: String,
    /// What stands behind it.
    pub(crate) takes: String,
    pub(crate) is_needed: bool,
    /// What it means (finished HTML).
    pub(crate) meaning_html: String,
    /// What else is good to know (finished HTML); may be empty.
    pub(crate) note_html: String,
    /// An example, as typed.
    pub(crate) example: String,
    /// Slips that it can raise.
    pub(crate) slips: Vec<KeySlip>,
}

/// A slip that a key can raise.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct KeySlip {
    /// The fault's page.
    pub(crate) fault: Link,
    /// Lines that raise it.
    pub(crate) lines: String,
}

/// Title of the page.
pub(super) const TITLE: &str = "How a page is written";
const SUMMARY: &str = "A first page from three figures and a sketch, then every key of pages and \
                       of the imprint.";
/// Its address.
pub(super) const ADDRESS: &str = "front_matter.html";

/// How a page is written.
pub(crate) fn keys_page(edition: &Edition) -> View {
    View::Keys(Box::new(KeysPage {
        frame: made(edition, ADDRESS, TITLE, "For writers", SUMMARY),
        walk: walk_parts(&WALK),
        whole: WALK.lines().collect(),
        groups: groups().iter().map(rows).collect(),
    }))
}

/// The same for the search index.
pub(super) fn keys_document() -> SearchDocument {
    let keys = groups().iter().flat_map(|group| group.keys.iter().map(move |key| (group, key)));
    let heads =
        keys.clone().map(|(group, key)| (key_anchor(group.of, key.key), key.key.to_owned()));
    let meanings = keys.flat_map(|(_, key)| [key.meaning, key.note]);
    SearchDocument {
        title: TITLE.to_owned(),
        address: ADDRESS.to_owned(),
        kind: "For writers".to_owned(),
        headings: step_heads(&WALK).chain(heads).collect(),
        text: told(&WALK).chain(meanings).collect::<Vec<_>>().join("\n"),
        ..SearchDocument::default()
    }
}

fn key_anchor(of: &str, key: &str) -> String {
    format!("_key-{}-{}", anchor(of), anchor(key))
}

fn rows(group: &KeyGroup) -> KeyRows {
    let also = group.also.iter().flat_map(|(of, keys)| iter::repeat(of).zip(keys));
    KeyRows {
        anchor: format!("_keys-{}", anchor(group.label)),
        label: group.label.to_owned(),
        meaning_html: paragraphs(group.meaning),
        keys: group.keys.iter().map(|key| row(group.of, key)).collect(),
        also: also.map(|(of, key)| Link::new(*key, key_anchor(of, key))).collect(),
    }
}

fn row(of: &str, key: &KeyDoc) -> KeyRow {
    let slips = key.slips.iter().map(|(code, lines)| KeySlip {
        fault: Link::new(*code, format!("faults/{code}.html")),
        lines: (*lines).to_owned(),
    });
    KeyRow {
        anchor: key_anchor(of, key.key),
        key: key.key.to_owned(),
        takes: key.takes.to_owned(),
        is_needed: key.is_needed,
        meaning_html: paragraphs(key.meaning),
        note_html: paragraphs(key.note),
        example: key.example.clone(),
        slips: slips.collect(),
    }
}
