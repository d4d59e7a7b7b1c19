//! What surrounds every page.

use super::Edition;
use super::standing::plain;
use crate::folio::{Folio, PageEntry};
use crate::page::PageKind;
use crate::page::imprint::UnitsFirst;
use crate::sheet::print::Shown;
use crate::site::shared::{Link, Navigation, Site, UnitSystem};
use serde::Serialize;
use std::sync::Arc;

/// What surrounds every page.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct Frame {
    /// The site.
    #[serde(skip)]
    pub(crate) site: Arc<Site>,
    /// Path from the page to the site's root: empty, `../`, `../../`.
    pub(crate) root: String,
    /// Who wrote the page; may be empty.
    pub(crate) author: String,
    /// Date of the page as the writer gave it, ISO 8601; may be empty.
    pub(crate) date: String,
    /// Title of the page.
    pub(crate) title: String,
    /// Plain summary of the page for search engines and title blocks; may be empty.
    pub(crate) summary: String,
    /// Kind in words a reader sees ("Engine", "Comparison", "Glossary").
    pub(crate) kind: String,
    /// Address of the page relative to the root (`engines/rowan.html`).
    pub(crate) address: String,
    /// The page's identification in the title block ("rowan"); may be empty.
    pub(crate) identification: String,
    /// Revision of the page; may be empty.
    pub(crate) revision: String,
    /// What is on this sheet.
    pub(crate) contents: Vec<ContentsHeading>,
    /// Caution block; engine pages have one.
    pub(crate) caution: Option<Caution>,
}

/// A heading of the page, for the list of what is on the sheet.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct ContentsHeading {
    /// 2 for a section, 3 for a part of it.
    pub(crate) level: u8,
    pub(crate) anchor: String,
    pub(crate) text: String,
}

/// The caution printed on every engine page. The rules themselves are the theme's text; these are
/// the figures in it.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct Caution {
    /// Stored energy of the air in the engine, computed; `None` where volume or pressure is
    pub(crate) stored_energy: Option<Shown>,
    /// What the stored energy was computed from ("22 cm³ at 128 psi gauge, isothermal").
    pub(crate) stored_energy_inputs: String,
    /// Anchor of the derived row that gives it, without `#`; empty if it has none.
    pub(crate) stored_energy_anchor: String,
    /// Where the stored energy cannot be computed: why ("store volume not stated").
    pub(crate) not_known: String,
    /// Energy of the air that stays in the store when the engine no longer moves.
    pub(crate) left: Option<Shown>,
    /// The reading that tells the pressure of it ("stall pressure").
    pub(crate) left_at: String,
    /// Energy of a full bottle.
    pub(crate) bottle: Option<Shown>,
    /// Safety page, if the folio has one.
    pub(crate) more: Option<Link>,
}

/// Path from a page to the site's root.
#[must_use]
pub(super) fn root_of(address: &str) -> String {
    "../".repeat(address.matches('/').count())
}

/// What all pages of an edition share.
#[must_use]
pub(super) fn site(folio: &Folio, draft: bool) -> Site {
    let imprint = &folio.imprint;
    let owner = if imprint.author.is_empty() { &imprint.title } else { &imprint.author };
    Site {
        title: imprint.title.clone(),
        tagline: imprint.tagline.clone(),
        notice: imprint.notice.clone(),
        notice_in_brief: match imprint.notice_in_brief.as_str() {
            "" => imprint.notice.clone(),
            brief => brief.to_owned(),
        },
        data_version: imprint.version.clone(),
        owner: owner.clone(),
        language: imprint.language.clone(),
        draft,
        units: units(folio),
        navigation: navigation(folio),
    }
}

/// Fixed places of the site.
fn navigation(folio: &Folio) -> Navigation {
    let pages = &folio.pages;
    let first = |kind: PageKind| {
        let page = pages.iter().find(|page| page.front.kind == kind)?;
        Some(page.address.clone())
    };
    Navigation {
        home: Link::new("First sheet", "index.html"),
        engines: Link::new("Engines", super::engines::ADDRESS),
        comparisons: first(PageKind::Comparison)
            .map(|_| Link::new("Comparisons", "index.html#_comparisons")),
        bench: Link::new("Side by side", super::bench::ADDRESS),
        glossary: first(PageKind::Glossary).map(|address| Link::new("Glossary", address)),
        checks: Link::new("How figures are checked", "checks.html"),
        front_matter: Link::new(super::keys::TITLE, super::keys::ADDRESS),
        cutaways: Link::new(super::language::TITLE, super::language::ADDRESS),
        asides: Link::new("Asides and waivers", "asides.html"),
        safety: first(PageKind::Safety).map(|address| Link::new("Safety", address)),
        search: Link::new("Search", "search.html"),
    }
}

/// Units in which figures stand first.
fn units(folio: &Folio) -> UnitSystem {
    match folio.imprint.units_first {
        UnitsFirst::AsWritten => UnitSystem::Written,
        UnitsFirst::Si => UnitSystem::Si,
        UnitsFirst::Us => UnitSystem::Us,
    }
}

/// The frame of a page that the site makes by itself.
#[must_use]
pub(super) fn made(
    edition: &Edition,
    address: &str,
    title: &str,
    kind: &str,
    summary: &str,
) -> Frame {
    Frame {
        site: Arc::clone(&edition.site),
        root: root_of(address),
        title: title.to_owned(),
        kind: kind.to_owned(),
        summary: summary.to_owned(),
        address: address.to_owned(),
        ..Frame::default()
    }
}

/// The word for a page's kind.
#[must_use]
pub(super) fn kind_word(kind: PageKind) -> &'static str {
    match kind {
        PageKind::Engine => "Engine",
        PageKind::Comparison => "Comparison",
        PageKind::Article => "Article",
        PageKind::Glossary => "Glossary",
        PageKind::Safety => "Safety",
    }
}

/// The frame of a writer's page.
#[must_use]
pub(super) fn written(
    edition: &Edition,
    page: &PageEntry,
    contents: Vec<ContentsHeading>,
    caution: Option<Caution>,
) -> Frame {
    let front = &page.front;
    Frame {
        author: plain(&front.author),
        date: plain(&front.date),
        summary: plain(&front.summary),
        identification: plain(&front.engine),
        revision: front
            .revisions
            .last()
            .map(|revision| revision.name.text.clone())
            .unwrap_or_default(),
        contents,
        caution,
        ..made(edition, &page.address, page.title(), kind_word(front.kind), "")
    }
}
