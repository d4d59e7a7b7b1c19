//! The first page: engines by family, comparisons and articles.

use super::engines::paged;
use super::frame::{Frame, kind_word, made};
use super::marks::{Tally, tally};
use super::standing::{Standing, plain};
use super::{Digest, Edition, View};
use crate::folio::PageEntry;
use crate::page::PageKind;
use crate::proof::Coverage;
use crate::text::proper_name;
use serde::Serialize;
use std::collections::BTreeMap;

/// The first page.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct HomePage {
    pub(crate) frame: Frame,
    /// The writer's own first page, finished HTML; may be empty.
    pub(crate) body_html: String,
    pub(crate) families: Vec<Family>,
    pub(crate) comparisons: Vec<IndexEntry>,
    pub(crate) articles: Vec<IndexEntry>,
    /// How the figures of the whole site were checked.
    pub(crate) coverage: Tally,
    /// How that page's own text stands.
    pub(crate) standing: Standing,
}

/// Engines of one family.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct Family {
    /// Anchor, without `#` (`family-rowan`).
    pub(crate) anchor: String,
    pub(crate) name: String,
    pub(crate) engines: Vec<IndexEntry>,
}

/// A page in a list of pages.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct IndexEntry {
    pub(crate) title: String,
    pub(crate) address: String,
    pub(crate) kind: String,
    /// Summary; may be empty.
    pub(crate) summary: String,
}

pub(super) fn entry(page: &PageEntry) -> IndexEntry {
    IndexEntry {
        title: page.title().to_owned(),
        address: page.address.clone(),
        kind: kind_word(page.front.kind).to_owned(),
        summary: plain(&page.front.summary),
    }
}

/// The first page. `own` is what the writer put on it, if there is such a page.
pub(crate) fn home_page(edition: &Edition, digests: &[Digest], own: Option<HomePage>) -> View {
    let folio = &edition.folio;
    let mut page = own.unwrap_or_else(|| HomePage {
        frame: made(
            edition,
            "index.html",
            &folio.imprint.title,
            "First sheet",
            &folio.imprint.tagline,
        ),
        ..HomePage::default()
    });
    page.frame.kind = "First sheet".to_owned();
    page.families = families(edition);
    let other = |kind: PageKind| {
        folio
            .pages
            .iter()
            .filter(move |page| page.front.kind == kind && page.address != "index.html")
    };
    page.comparisons = other(PageKind::Comparison).map(entry).collect();
    page.articles = [PageKind::Safety, PageKind::Glossary, PageKind::Article]
        .into_iter()
        .flat_map(|kind| other(kind).map(entry))
        .take(MOST_LISTED)
        .collect();
    page.coverage = tally(&total(digests));
    View::Home(Box::new(page))
}

/// Articles listed on the first page; all of them are on the search page.
const MOST_LISTED: usize = 60;

pub(super) fn total(digests: &[Digest]) -> Coverage {
    let mut total = Coverage::default();
    for digest in digests {
        total.add(&digest.coverage);
    }
    total
}

fn families(edition: &Edition) -> Vec<Family> {
    let mut families: Vec<Family> = Vec::new();
    let mut places: BTreeMap<String, usize> = BTreeMap::new();
    for engine in paged(edition) {
        let page = &edition.folio.pages[engine.page];
        let named = page.front.family.as_ref().or(page.front.engine.as_ref());
        let family = named.map(|name| name.text.clone()).unwrap_or_default();
        // A folio may have as many families as engines, so they are not searched through.
        let place = *places.entry(family).or_insert_with_key(|family| {
            families.push(Family {
                anchor: format!("_family-{family}"),
                name: proper_name(family),
                engines: Vec::new(),
            });
            families.len() - 1
        });
        families[place].engines.push(entry(page));
    }
    families
}
