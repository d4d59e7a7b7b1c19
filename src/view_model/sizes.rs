//! What the sizes of an engine's cutaway come to: a page of tables of its own.

use super::engines::paged;
use super::exports::{forces_csv, openings_csv};
use super::forces::{ForcedPart, forced_parts};
use super::frame::{Frame, made};
use super::measuring::measuring_addresses;
use super::parts::{PartsView, parts_view};
use super::strokes::{StrokeView, stroke_views};
use super::{Edition, View};
use crate::folio::{Folio, PageEntry};
use crate::site::shared::Link;
use crate::text::proper_name;
use serde::Serialize;

/// What the sizes of an engine come to.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct SizesPage {
    pub(crate) frame: Frame,
    /// The engine's own page.
    pub(crate) of: Link,
    /// What pushes its parts.
    pub(crate) forces: Vec<ForcedPart>,
    /// What opens and closes along their strokes.
    pub(crate) strokes: Vec<StrokeView>,
    pub(crate) made_of: PartsView,
    /// Its measuring sheet.
    pub(crate) measuring: Link,
    pub(crate) downloads: Vec<Link>,
}

/// Address of the page, where an engine has one: its cutaway has sizes and no faults.
pub(super) fn sizes_address(folio: &Folio, page: &PageEntry) -> Option<String> {
    let engine = &page.front.engine.as_ref()?.text;
    let routed = folio.routing.of(engine)?;
    let is_own = folio.ledger.engine(engine).is_some_and(|sheet| page.sheet == Some(sheet));
    let is_drawn = routed.engine.drawn.body.is_some() && routed.shot.is_some();
    let stem = page.address.strip_suffix(".html")?;
    (is_own && is_drawn).then(|| format!("{stem}-sizes.html"))
}

/// Title of the page of an engine's sizes.
pub(super) fn sizes_title(engine: &str) -> String {
    format!("Sizes of {}", proper_name(engine))
}

/// Address of the forces of an engine.
pub(super) fn forces_address(engine: &str) -> String {
    format!("data/{engine}-forces.csv")
}

/// Address of what opens along the strokes of its parts.
pub(super) fn openings_address(engine: &str) -> String {
    format!("data/{engine}-openings.csv")
}

/// A page, and the files that hold what it shows with their addresses.
type PageWithFiles = (View, Vec<(String, Vec<u8>)>);

/// The pages of all engines with sizes.
pub(crate) fn sizes_pages(edition: &Edition) -> Vec<PageWithFiles> {
    let folio = &edition.folio;
    let pages = paged(edition).into_iter().filter_map(|engine| {
        let page = &folio.pages[engine.page];
        let address = sizes_address(folio, page)?;
        let engine = page.front.engine.as_ref()?.text.clone();
        let title = sizes_title(&engine);
        let summary = format!(
            "What follows from the sizes of {}: the forces on its parts, and what opens along \
             their strokes.",
            proper_name(&engine)
        );
        let forces = forced_parts(folio, &engine);
        let strokes = stroke_views(folio, &engine);
        let files = vec![
            (forces_address(&engine), forces_csv(&forces)),
            (openings_address(&engine), openings_csv(&strokes)),
        ];
        let [measuring, _] = measuring_addresses(&engine, &address);
        let mut frame = made(edition, &address, &title, "Sizes", &summary);
        frame.identification.clone_from(&engine);
        let view = SizesPage {
            frame,
            of: Link::new(page.title(), page.address.clone()),
            forces,
            strokes,
            measuring: Link::new("measuring sheet", measuring),
            made_of: parts_view(folio, &engine),
            downloads: vec![
                Link::new("forces (CSV)", forces_address(&engine)),
                Link::new("openings (CSV)", openings_address(&engine)),
            ],
        };
        Some((View::Sizes(Box::new(view)), files))
    });
    pages.collect()
}
