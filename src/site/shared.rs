//! What all pages of a site share, and links within it.

use serde::Serialize;

/// Which units a reader sees.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "lowercase")]
pub(crate) enum UnitSystem {
    /// As the writer typed them.
    #[default]
    Written,
    /// SI units and their usual multiples.
    Si,
    /// US customary units.
    Us,
}

/// A title and where it leads.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct Link {
    /// What the link says.
    pub(crate) title: String,
    /// Address relative to the site's root, with an anchor where needed.
    pub(crate) address: String,
}

impl Link {
    /// A link.
    pub(crate) fn new(title: impl Into<String>, address: impl Into<String>) -> Link {
        Link { title: title.into(), address: address.into() }
    }
}

/// Where the fixed places of the site are. `None` where the folio has no such page. It does not
/// grow with the number of pages.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct Navigation {
    pub(crate) home: Link,
    /// All engines in a table.
    pub(crate) engines: Link,
    /// Any few engines side by side.
    pub(crate) bench: Link,
    /// List of comparisons (may be a place on the first page).
    pub(crate) comparisons: Option<Link>,
    pub(crate) glossary: Option<Link>,
    /// How figures are checked.
    pub(crate) checks: Link,
    /// How a page is written.
    pub(crate) front_matter: Link,
    /// How a cutaway is written.
    pub(crate) cutaways: Link,
    /// Asides and waivers of the whole folio.
    pub(crate) asides: Link,
    pub(crate) safety: Option<Link>,
    pub(crate) search: Link,
}

impl Navigation {
    /// Whether one of the fixed places is the page at `address`.
    pub(crate) fn leads_to(&self, address: &str) -> bool {
        let always =
            [&self.home, &self.engines, &self.bench, &self.checks, &self.cutaways, &self.asides];
        let some = [&self.comparisons, &self.glossary, &self.safety].into_iter().flatten();
        let places = always.into_iter().chain(some).chain([&self.search]);
        places.into_iter().any(|place| place.address == address)
    }
}

/// What all pages of a site share. Templates find it under `site`.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct Site {
    /// Title of the site.
    pub(crate) title: String,
    /// One line under it; may be empty.
    pub(crate) tagline: String,
    /// Notice printed on every page; may be empty.
    pub(crate) notice: String,
    /// The same in one line, where readers begin; may be empty.
    pub(crate) notice_in_brief: String,
    /// Version of the data, as the imprint states it; may be empty.
    pub(crate) data_version: String,
    /// Who answers for the site ("legal owner" of the title block); may be empty.
    pub(crate) owner: String,
    /// Language tag of its pages (`en`).
    pub(crate) language: String,
    /// True when its pages are a draft: watermarked.
    pub(crate) draft: bool,
    /// Units in which figures stand before the reader chooses.
    pub(crate) units: UnitSystem,
    /// Where its fixed places are.
    pub(crate) navigation: Navigation,
}
