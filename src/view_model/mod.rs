//! From finding to page: what was found out, set into plain data that themes show and files hold.
//!
//! One struct a table serves for HTML, CSV and JSON. Everything is text that only needs to be laid
//! out: numbers are rounded and written in each unit system, verdicts are words, bodies are HTML.
//! This room computes nothing and judges nothing; it asks the layers below. A theme may choose,
//! order and repeat; it has nothing to compute with. Addresses in links are relative to the site's
//! root; anchors are bare names without `#` and begin with `_`, which no heading of a writer does.
//! It yields pages one by one as addresses and bytes; writing them is the shell's.

mod addresses;
mod bench;
mod comparison;
mod data_sheet;
mod engine;
mod engines;
mod exports;
mod faults;
mod figure_html;
mod figures;
mod forces;
mod frame;
mod history;
mod home;
mod keys;
mod language;
mod marks;
mod measuring;
mod one_by_one;
mod page;
mod parts;
mod reference;
mod routing;
mod searchable;
mod shot;
mod sizes;
mod spares;
mod standing;
mod strokes;
mod structure;
mod told;
mod values;

pub(crate) use addresses::made_addresses;
pub(crate) use bench::{bench_files, bench_page};
pub(crate) use engines::engines_page;
pub(crate) use faults::{VariantRow, variant};
pub(crate) use forces::{ForcedPart, forced_parts};
pub(crate) use home::{HomePage, home_page};
pub(crate) use keys::keys_page;
pub(crate) use language::cutaway_page;
pub(crate) use marks::legend;
pub(crate) use measuring::measuring_pages;
pub(crate) use page::PagePress;
pub(crate) use reference::{asides_page, checks_page, fault_pages, search_page};
pub(crate) use routing::routing_files;
pub(crate) use searchable::made_documents;
pub(crate) use shot::{otherwise, pose_words};
pub(crate) use sizes::sizes_pages;
pub(crate) use spares::spares_page;
pub(crate) use told::step_numbers;

use self::bench::BenchPage;
use self::comparison::ComparisonPage;
use self::engine::EnginePage;
use self::engines::EnginesPage;
use self::frame::Frame;
use self::keys::KeysPage;
use self::language::CutawayPage;
use self::measuring::MeasuringPage;
use self::page::{ArticlePage, GlossaryPage};
use self::reference::{AsidesPage, ChecksPage, FaultPage, SearchPage};
use self::sizes::SizesPage;
use self::spares::SparesPage;
use self::standing::{AsideRow, WaiverRow};
use crate::drawing::Circuit;
use crate::folio::Folio;
use crate::proof::Coverage;
use crate::site::shared::Site;
use crate::site::theme;
use serde::Serialize;
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
    /// Pages of engines of a family, in their order, by its name.
    families: BTreeMap<String, Vec<usize>>,
    /// Circuits by engine: laid out when a page first shows them, for all pages that do.
    circuits: BTreeMap<String, OnceLock<Circuit>>,
}

impl Edition {
    /// An edition of a folio. What pages need to know of each other is looked up once.
    pub(crate) fn new(folio: Arc<Folio>, draft: bool) -> Edition {
        let site = Arc::new(frame::site(&folio, draft));
        let mut descendants: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        let mut comparisons: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        let mut families: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        for (index, page) in folio.pages.iter().enumerate() {
            if let (Some(_), Some(from)) = (&page.front.engine, &page.front.descends_from) {
                descendants.entry(from.text.clone()).or_default().push(index);
            }
            if let (Some(_), Some(family)) = (&page.front.engine, &page.front.family) {
                families.entry(family.text.clone()).or_default().push(index);
            }
            for engine in &page.front.compare {
                comparisons.entry(engine.text.clone()).or_default().push(index);
            }
        }
        let engines = folio.routing.engines.keys();
        let circuits = engines.map(|name| (name.clone(), OnceLock::new())).collect();
        Edition { circuits, folio, site, descendants, comparisons, families }
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
    pub(crate) asides: Vec<AsideRow>,
    pub(crate) waivers: Vec<WaiverRow>,
}

/// One page, of whatever kind. The template of a kind is named after it (`engine.html`).
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
pub(crate) enum View {
    /// One engine.
    Engine(Box<EnginePage>),
    /// Several engines side by side.
    Comparison(Box<ComparisonPage>),
    /// Running text about anything else, and the safety page.
    Article(Box<ArticlePage>),
    /// Terms explained.
    Glossary(Box<GlossaryPage>),
    /// The first page of the site.
    Home(Box<HomePage>),
    /// All engines in a table.
    Engines(Box<EnginesPage>),
    /// What the sizes of an engine come to.
    Sizes(Box<SizesPage>),
    /// Blanks for the sizes of an engine.
    Measuring(Box<MeasuringPage>),
    /// Rings and springs of all engines.
    Spares(Box<SparesPage>),
    /// Any few engines side by side.
    Bench(Box<BenchPage>),
    /// How figures are checked.
    Checks(Box<ChecksPage>),
    /// How a cutaway is written.
    Cutaway(Box<CutawayPage>),
    /// How a page is written.
    Keys(Box<KeysPage>),
    /// One fault of the catalogue.
    Fault(Box<FaultPage>),
    /// All asides and waivers of the folio.
    Asides(Box<AsidesPage>),
    /// Search, and the list of all pages.
    Search(Box<SearchPage>),
}

impl View {
    /// The frame that every page has.
    pub(crate) fn frame(&self) -> &Frame {
        match self {
            View::Engine(page) => &page.frame,
            View::Comparison(page) => &page.frame,
            View::Article(page) => &page.frame,
            View::Glossary(page) => &page.frame,
            View::Home(page) => &page.frame,
            View::Engines(page) => &page.frame,
            View::Sizes(page) => &page.frame,
            View::Measuring(page) => &page.frame,
            View::Spares(page) => &page.frame,
            View::Bench(page) => &page.frame,
            View::Checks(page) => &page.frame,
            View::Cutaway(page) => &page.frame,
            View::Keys(page) => &page.frame,
            View::Fault(page) => &page.frame,
            View::Asides(page) => &page.frame,
            View::Search(page) => &page.frame,
        }
    }
}

impl theme::ThemePage for View {
    fn template(&self) -> &'static str {
        match self {
            View::Engine(_) => "engine.html",
            View::Comparison(_) => "comparison.html",
            View::Article(_) => "article.html",
            View::Glossary(_) => "glossary.html",
            View::Home(_) => "home.html",
            View::Engines(_) => "engines.html",
            View::Sizes(_) => "sizes.html",
            View::Measuring(_) => "measuring.html",
            View::Spares(_) => "spares.html",
            View::Bench(_) => "bench.html",
            View::Checks(_) => "checks.html",
            View::Cutaway(_) => "cutaway.html",
            View::Keys(_) => "front_matter.html",
            View::Fault(_) => "fault.html",
            View::Asides(_) => "asides.html",
            View::Search(_) => "search.html",
        }
    }

    fn site(&self) -> &Arc<Site> {
        &self.frame().site
    }

    fn root(&self) -> &str {
        &self.frame().root
    }

    fn address(&self) -> &str {
        &self.frame().address
    }
}
