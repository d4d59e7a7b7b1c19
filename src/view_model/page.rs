//! Pressing one judged page: its text as HTML, its data, its digest.

use super::comparison::comparison_page;
use super::engine::engine_page;
use super::exports::{comparison_files, engine_files};
use super::figures::replacements;
use super::frame::{ContentsHeading, Frame, root_of, written};
use super::home::HomePage;
use super::searchable::written_document;
use super::standing::{Standing, standing};
use super::{Digest, Edition, PublishedPicture, View};
use crate::body::blocks::{Document, binding_of};
use crate::body::html::{self, PictureMark, Resolver};
use crate::folio::PageEntry;
use crate::page::PageKind;
use crate::proof::PageProof;
use crate::proof::checks::drawn::credit;
use crate::proof::checks::link::{LinkTarget, site_address, target};
use crate::site::search::SearchDocument;
use crate::site::theme::{Theme, ThemeFault};
use crate::slip::Severity;
use serde::Serialize;
use std::collections::BTreeMap;

/// Running text: an article, or the safety page.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct ArticlePage {
    pub(crate) frame: Frame,
    /// The running text, finished HTML.
    pub(crate) body_html: String,
    /// How the page stands.
    pub(crate) standing: Standing,
}

/// Terms explained. The explanations stand in `body_html`; `terms` are for jumping to them.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct GlossaryPage {
    pub(crate) frame: Frame,
    /// Terms in alphabetical order, each with an anchor in `body_html`.
    pub(crate) terms: Vec<TermView>,
    /// The running text, finished HTML.
    pub(crate) body_html: String,
    /// How the page stands.
    pub(crate) standing: Standing,
}

/// A term of the glossary.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct TermView {
    /// Anchor, without `#` (`term-dwell`).
    pub(crate) anchor: String,
    pub(crate) term: String,
}

/// A page ready for the site.
pub(crate) struct PressedPage {
    /// Address relative to the root.
    pub(crate) address: String,
    /// The page; empty for the first page, which is finished when all others are known.
    pub(crate) html: Vec<u8>,
    /// Files that hold what the page shows, with their addresses.
    pub(crate) files: Vec<(String, Vec<u8>)>,
    /// What later pages need to know.
    pub(crate) digest: Digest,
    /// What can be found of it.
    pub(crate) search: SearchDocument,
    /// The first page's own text and standing.
    pub(crate) home: Option<Box<HomePage>>,
}

/// Presses a page of an edition.
pub(crate) struct PagePress<'a> {
    pub(crate) edition: &'a Edition,
    pub(crate) theme: &'a Theme,
    /// The pictures that the page shows, by path below the folio.
    pub(crate) pictures: &'a BTreeMap<String, PublishedPicture>,
}

impl PagePress<'_> {
    /// Presses the page.
    ///
    /// # Errors
    /// A fault of the theme.
    pub(crate) fn press(
        &self,
        index: usize,
        document: &Document<'_>,
        proof: &PageProof,
    ) -> Result<PressedPage, ThemeFault> {
        let edition = self.edition;
        let page = &edition.folio.pages[index];
        let texts: Vec<String> = proof
            .figures
            .iter()
            .map(|(block, figure)| {
                let text = document.blocks.get(*block).map(|block| block.text.as_str());
                let text = text.and_then(|t| t.get(figure.span.start..figure.span.end));
                text.unwrap_or("").to_owned()
            })
            .collect();
        let replaced = replacements(edition, page, document, proof);
        let resolver = PageResolver { page, pictures: self.pictures };
        let body_html = html::write(document, &replaced, &resolver);
        let standing = standing(edition, page, proof, &texts);
        let digest = digest(index, proof, &standing);
        let contents = contents(document);
        let mut pressed = PressedPage {
            address: page.address.clone(),
            html: Vec::new(),
            files: Vec::new(),
            digest,
            search: written_document(edition, page, document, proof),
            home: None,
        };
        let view = match page.front.kind {
            _ if page.address == "index.html" => {
                let frame = written(edition, page, contents, None);
                pressed.home =
                    Some(Box::new(HomePage { frame, body_html, standing, ..HomePage::default() }));
                return Ok(pressed);
            }
            PageKind::Engine => {
                let view = engine_page(edition, page, proof, body_html, contents, standing);
                pressed.files = engine_files(&view);
                View::Engine(Box::new(view))
            }
            PageKind::Comparison => {
                let view = comparison_page(edition, page, proof, body_html, contents, standing);
                pressed.files = comparison_files(page, &view);
                View::Comparison(Box::new(view))
            }
            PageKind::Glossary => {
                let frame = written(edition, page, contents, None);
                let terms = terms(document);
                View::Glossary(Box::new(GlossaryPage { frame, terms, body_html, standing }))
            }
            PageKind::Article | PageKind::Safety => {
                let frame = written(edition, page, contents, None);
                View::Article(Box::new(ArticlePage { frame, body_html, standing }))
            }
        };
        pressed.html = self.theme.render_bytes(&view)?;
        Ok(pressed)
    }
}

struct PageResolver<'a> {
    page: &'a PageEntry,
    pictures: &'a BTreeMap<String, PublishedPicture>,
}

impl Resolver for PageResolver<'_> {
    fn link(&self, destination: &str) -> Option<String> {
        if binding_of(destination, "").is_some() {
            return None;
        }
        let target = target(destination, &self.page.name);
        // A picture is published under the ending of what it is, not of what it is called.
        if let LinkTarget::File(path) = &target
            && let Some(published) = self.pictures.get(path)
        {
            return Some(format!("{}{}", root_of(&self.page.address), published.address));
        }
        site_address(&target, &self.page.address)
    }

    fn picture(&self, destination: &str, title: &str) -> Option<PictureMark> {
        let LinkTarget::File(path) = target(destination, &self.page.name) else { return None };
        let published = self.pictures.get(&path)?;
        Some(PictureMark {
            address: format!("{}{}", root_of(&self.page.address), published.address),
            width: published.width,
            height: published.height,
            credit: credit(title).unwrap_or("").to_owned(),
        })
    }
}

fn contents(document: &Document<'_>) -> Vec<ContentsHeading> {
    let headings = document.headings.iter().filter(|heading| (2..=3).contains(&heading.level));
    headings
        .map(|heading| ContentsHeading {
            level: heading.level,
            anchor: heading.id.clone(),
            text: heading.text.replace('\u{fffc}', "…"),
        })
        .collect()
}

/// Terms of a definition list, in alphabetical order.
fn terms(document: &Document<'_>) -> Vec<TermView> {
    let terms = document.terms().into_iter();
    let mut terms: Vec<TermView> =
        terms.map(|term| TermView { anchor: term.anchor, term: term.text }).collect();
    terms.sort_by_key(|term| term.term.to_lowercase());
    terms
}

fn digest(index: usize, proof: &PageProof, standing: &Standing) -> Digest {
    let marks = proof.slips.iter().filter(|slip| slip.severity == Severity::Mark).count();
    Digest {
        page: index,
        coverage: proof.coverage,
        marks,
        asides: standing.asides.clone(),
        waivers: standing.waivers.clone(),
    }
}
