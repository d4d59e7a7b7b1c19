//! From proof to pages: what was found out is set into the plain data that themes show.
//!
//! This layer knows folio, proof and view; it computes nothing and judges nothing. It yields pages
//! one by one as addresses and bytes; writing them is the shell's.

mod around;
mod compare;
mod data;
mod engine;
mod figures;
mod frame;
mod standing;
mod text;

pub use data::{comparison_csv, engine_csv, engine_json};
pub use around::{asides_page, checks_page, fault_pages, home_page, search_page};
pub use text::{PagePress, PressedPage};

use crate::proof::{Coverage, Folio};
use crate::site::view;
use std::collections::BTreeMap;
use std::sync::Arc;

/// A picture of the folio as it is published.
#[derive(Debug, Clone)]
pub struct PublishedPicture {
    /// Address relative to the site's root.
    pub address: String,
    /// Width in CSS pixels.
    pub width: u32,
    /// Height in CSS pixels.
    pub height: u32,
}

/// What all pages of one publication share.
pub struct Edition {
    /// The folio.
    pub folio: Arc<Folio>,
    /// Whether pages are marked as a draft.
    pub draft: bool,
    /// Pictures by path below the folio.
    pub pictures: BTreeMap<String, PublishedPicture>,
    /// Fixed places of the site.
    navigation: view::Navigation,
    /// Pages about an engine, by its name.
    relations: BTreeMap<String, Relations>,
}

/// Pages that refer to an engine, by index.
#[derive(Debug, Clone, Default)]
struct Relations {
    descendants: Vec<usize>,
    compared_on: Vec<usize>,
}

impl Edition {
    /// An edition of a folio. Looks through all pages once, so that no page has to.
    #[must_use]
    pub fn new(
        folio: Arc<Folio>,
        draft: bool,
        pictures: BTreeMap<String, PublishedPicture>,
    ) -> Edition {
        let navigation = frame::navigation(&folio);
        let relations = relations(&folio);
        Edition { folio, draft, pictures, navigation, relations }
    }
}

fn relations(folio: &Folio) -> BTreeMap<String, Relations> {
    let mut relations: BTreeMap<String, Relations> = BTreeMap::new();
    for (index, page) in folio.pages.iter().enumerate() {
        if let (Some(_), Some(from)) = (&page.front.engine, &page.front.descends_from) {
            relations.entry(from.text.clone()).or_default().descendants.push(index);
        }
        for engine in &page.front.compare {
            let compared_on = &mut relations.entry(engine.text.clone()).or_default().compared_on;
            if compared_on.last() != Some(&index) {
                compared_on.push(index);
            }
        }
    }
    relations
}

/// What later pages need to know of a judged page.
#[derive(Debug, Clone, Default)]
pub struct Digest {
    /// Index of the page.
    pub page: usize,
    /// Counts.
    pub coverage: Coverage,
    /// Figures published with a mark.
    pub marks: usize,
    /// Asides: anchor, text, reason.
    pub asides: Vec<view::AsideRow>,
    /// Waivers.
    pub waivers: Vec<view::WaiverRow>,
    /// The page taken apart for the search index.
    pub search: Option<crate::site::search::SearchPage>,
}

fn coverage(counts: &Coverage) -> view::Coverage {
    view::Coverage {
        computed: counts.computed,
        second_statement: counts.second_statement,
        own_reading: counts.own_reading,
        aside: counts.aside,
        untied: counts.untied + counts.disagrees,
        total: counts.total(),
    }
}
