//! From proof to pages: what was found out is set into the plain data that themes show.
//!
//! This layer knows folio, proof and view; it computes nothing and judges nothing. It yields pages
//! one by one as addresses and bytes; writing them is the shell's.

mod addresses;
mod around;
mod compare;
mod data;
mod engine;
mod figures;
mod finding;
mod frame;
mod language;
mod routing;
mod shot;
mod standing;
mod structure;
mod text;
mod values;

pub(crate) use addresses::made_addresses;
pub(crate) use around::{asides_page, checks_page, fault_pages, home_page, search_page};
pub(crate) use data::data_files;
pub(crate) use finding::made_documents;
pub(crate) use language::cutaway_page;
pub(crate) use routing::routing_files;
pub(crate) use shot::pose_words;
pub(crate) use text::PagePress;

use crate::drawing::Circuit;
use crate::folio::Folio;
use crate::proof::Coverage;
use crate::site::view::{self, Site};
use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

/// A picture of the folio as it is published.
#[derive(Debug, Clone)]
pub(crate) struct PublishedPicture {
    /// Address relative to the site's root.
    pub(crate) address: String,
    /// Width in CSS pixels.
    pub(crate) width: u32,
    /// Height in CSS pixels.
    pub(crate) height: u32,
}

/// What all pages of one publication share.
pub(crate) struct Edition {
    pub(crate) folio: Arc<Folio>,
    site: Arc<Site>,
    /// Pages of engines that come from an engine, and of comparisons it stands on, by its name.
    descendants: BTreeMap<String, Vec<usize>>,
    comparisons: BTreeMap<String, Vec<usize>>,
    /// Circuits by engine: laid out when a page first shows them, for all pages that do.
    circuits: BTreeMap<String, OnceLock<Circuit>>,
}

impl Edition {
    /// An edition of a folio. What pages need to know of each other is looked up once.
    pub(crate) fn new(folio: Arc<Folio>, draft: bool) -> Edition {
        let site = Arc::new(frame::site(&folio, draft));
        let mut descendants: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        let mut comparisons: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (index, page) in folio.pages.iter().enumerate() {
            if let (Some(_), Some(from)) = (&page.front.engine, &page.front.descends_from) {
                descendants.entry(from.text.clone()).or_default().push(index);
            }
            for engine in &page.front.compare {
                comparisons.entry(engine.text.clone()).or_default().push(index);
            }
        }
        let engines = folio.routing.engines.keys();
        let circuits = engines.map(|name| (name.clone(), OnceLock::new())).collect();
        Edition { circuits, folio, site, descendants, comparisons }
    }

    /// The circuit of an engine that has a cutaway.
    fn circuit(&self, engine: &str) -> Option<&Circuit> {
        let slot = self.circuits.get(engine)?;
        let routed = self.folio.routing.of(engine)?;
        Some(slot.get_or_init(|| Circuit::of(&routed.engine)))
    }
}

/// What later pages need to know of a judged page.
#[derive(Debug, Clone, Default)]
pub(crate) struct Digest {
    /// Index of the page.
    pub(crate) page: usize,
    pub(crate) coverage: Coverage,
    /// Figures published with a mark.
    pub(crate) marks: usize,
    /// Asides: anchor, text, reason.
    pub(crate) asides: Vec<view::AsideRow>,
    pub(crate) waivers: Vec<view::WaiverRow>,
    /// The first of the figures worth seeing first, where the page shows such.
    pub(crate) key_figures: Option<Vec<view::KeyFigure>>,
}

fn coverage(counts: &Coverage) -> view::Coverage {
    view::Coverage {
        computed: counts.computed,
        second_statement: counts.second_statement,
        conversion_agrees: counts.conversion_agrees,
        own_reading: counts.own_reading,
        aside: counts.aside,
        untied: counts.untied,
        waived: counts.waived,
        disagrees: counts.disagrees,
        total: counts.total(),
    }
}
