//! The pages as they are published: a small invented folio that has one of everything a page can
//! have (`everything`), set by the theme.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod pages;
mod side_by_side;

use gaugebook::shell::edition::{Shelf, Wish, make};
use gaugebook::shell::folder::Folder;
use scraper::{Html, Selector};
use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{Arc, OnceLock};

type Files = BTreeMap<String, Arc<[u8]>>;

/// A folio as it is published.
fn published(folio: &Path, draft: bool) -> Files {
    let shelf = Shelf::default();
    let folder = Folder::open(folio).unwrap();
    let made = make(&folder, Wish { draft, strict: false }, &shelf, &|_, _| {});
    made.unwrap_or_else(|no| panic!("{}", no.message));
    shelf.into_files()
}

/// The folio that has one of everything.
fn everything() -> &'static Files {
    static FILES: OnceLock<Files> = OnceLock::new();
    let folio = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/theme/everything");
    FILES.get_or_init(|| published(&folio, false))
}

/// A file of that folio as text.
fn text(name: &str) -> &'static str {
    let file = everything().get(name).unwrap_or_else(|| panic!("no {name}"));
    std::str::from_utf8(file).unwrap()
}

/// Its pages: address and HTML.
fn pages() -> impl Iterator<Item = (&'static str, Html)> {
    let pages = everything().keys().filter(|name| name.ends_with(".html"));
    pages.map(|name| (name.as_str(), Html::parse_document(text(name))))
}

fn selector(text: &str) -> Selector {
    Selector::parse(text).unwrap()
}
