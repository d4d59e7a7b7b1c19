//! What every page shows around its own matter: title block, navigation, caution.

use serde::Serialize;
use std::sync::Arc;

/// Which units a reader sees.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum UnitSystem {
    /// As the writer typed them.
    #[default]
    Written,
    /// SI units and their usual multiples.
    Si,
    /// US customary units.
    Us,
}

/// A title and where it leads.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Link {
    /// What the link says.
    pub(crate) title: String,
    /// Address relative to the site's root, with an anchor where needed.
    pub(crate) address: String,
}

impl Link {
    /// A link.
    #[must_use]
    pub fn new(title: impl Into<String>, address: impl Into<String>) -> Link {
        Link { title: title.into(), address: address.into() }
    }
}

/// A quantity in the three unit systems a reader may choose from.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Shown {
    /// As the writer typed it.
    pub written: String,
    /// In SI units, with no more digits than the writing carries.
    pub si: String,
    /// In US customary units, likewise.
    pub us: String,
    /// Value in coherent SI units as plain digits; empty when there is no single value.
    pub value: String,
    /// Kind of quantity ("gauge pressure"); may be empty.
    pub kind: String,
}

impl Shown {
    /// A quantity that reads the same in every system (a ratio, a count, a word).
    #[must_use]
    pub fn same(text: impl Into<String>) -> Shown {
        let text = text.into();
        Shown { si: text.clone(), us: text.clone(), written: text, ..Shown::default() }
    }
}

/// A heading of the page, for the list of what is on the sheet.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Heading {
    /// 2 for a section, 3 for a part of it.
    pub level: u8,
    /// Anchor, without `#`.
    pub anchor: String,
    /// Plain text.
    pub text: String,
}

/// Where the fixed places of the site are. `None` where the folio has no such page. It does not
/// grow with the number of pages.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Navigation {
    /// First page.
    pub home: Link,
    /// List of engines (may be a place on the first page).
    pub engines: Link,
    /// List of comparisons (may be a place on the first page).
    pub comparisons: Option<Link>,
    /// Glossary.
    pub glossary: Option<Link>,
    /// How figures are checked.
    pub checks: Link,
    /// How a cutaway is written.
    pub cutaways: Link,
    /// Asides and waivers of the whole folio.
    pub asides: Link,
    /// Safety page.
    pub safety: Option<Link>,
    /// Search.
    pub search: Link,
}

impl Navigation {
    /// Whether one of the fixed places is the page at `address`.
    pub(crate) fn leads_to(&self, address: &str) -> bool {
        let always = [&self.home, &self.engines, &self.checks, &self.cutaways, &self.asides];
        let some = [&self.comparisons, &self.glossary, &self.safety].into_iter().flatten();
        let places = always.into_iter().chain(some).chain([&self.search]);
        places.into_iter().any(|place| place.address == address)
    }
}

/// The caution printed on every engine page. The rules themselves are the theme's text; these are
/// the figures in it.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Caution {
    /// Stored energy of the air in the engine, computed; `None` where volume or pressure is
    /// unknown.
    pub stored_energy: Option<Shown>,
    /// What the stored energy was computed from ("22 cm³ at 128 psi gauge, isothermal").
    pub stored_energy_inputs: String,
    /// Anchor of the derived row that gives it, without `#`; empty if it has none.
    pub stored_energy_anchor: String,
    /// Where the stored energy cannot be computed: why ("store volume not stated").
    pub not_known: String,
    /// Safety page, if the folio has one.
    pub more: Option<Link>,
}

/// What all pages of a site share. Templates find it under `site`.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Site {
    /// Title of the site.
    pub title: String,
    /// One line under it; may be empty.
    pub tagline: String,
    /// Notice printed on every page; may be empty.
    pub notice: String,
    /// The same in one line, where readers begin; may be empty.
    pub notice_in_brief: String,
    /// Version of the data, as the imprint states it; may be empty.
    pub data_version: String,
    /// Who answers for the site ("legal owner" of the title block); may be empty.
    pub owner: String,
    /// Language tag of its pages (`en`).
    pub language: String,
    /// True when its pages are a draft: watermarked.
    pub draft: bool,
    /// Units in which figures stand before the reader chooses.
    pub units: UnitSystem,
    /// Where its fixed places are.
    pub navigation: Navigation,
}

/// What surrounds every page.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Frame {
    /// The site.
    #[serde(skip)]
    pub site: Arc<Site>,
    /// Path from the page to the site's root: empty, `../`, `../../`.
    pub root: String,
    /// Who wrote the page; may be empty.
    pub author: String,
    /// Date of the page as the writer gave it, ISO 8601; may be empty.
    pub date: String,
    /// Title of the page.
    pub title: String,
    /// Plain summary of the page for search engines and title blocks; may be empty.
    pub summary: String,
    /// Kind in words a reader sees ("Engine", "Comparison", "Glossary").
    pub kind: String,
    /// Address of the page relative to the root (`engines/rowan.html`).
    pub address: String,
    /// The page's identification in the title block ("rowan"); may be empty.
    pub identification: String,
    /// Revision of the page; may be empty.
    pub revision: String,
    /// What is on this sheet.
    pub contents: Vec<Heading>,
    /// Caution block; engine pages have one.
    pub caution: Option<Caution>,
}
