//! The measuring sheet of an engine: numbered blanks for the sizes worth measuring next, on one
//! page, and the same as a table to fill in.

use super::engines::paged;
use super::frame::{Frame, made};
use super::parts::{RingSizes, parts_view};
use super::sizes::sizes_address;
use super::{Edition, View};
use crate::folio::Folio;
use crate::folio::solids::{SizeStanding, SizeToMeasure, measures};
use crate::site::shared::Link;
use crate::text::proper_name;
use serde::Serialize;

/// Blanks that one printed page holds.
const MOST_BLANKS: usize = 30;

/// Less than this share of the ± of any result is not worth the caliper.
const LEAST_SHARE: f64 = 0.01;

/// Sizes to measure.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct MeasuringPage {
    pub(crate) frame: Frame,
    /// The engine's own page, and that of its sizes.
    pub(crate) of: Link,
    pub(crate) sizes: Link,
    pub(crate) engine: String,
    pub(crate) blanks: Vec<MeasuringBlank>,
    /// Rings in their grooves; their dash numbers are read off or looked up, not measured in place.
    pub(crate) rings: Vec<RingSizes>,
    /// Whether there are more than one page holds.
    pub(crate) is_cut_short: bool,
    pub(crate) download: Link,
}

/// One blank.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct MeasuringBlank {
    /// Number of the size in the cutaway, by which it is known again.
    pub(crate) number: usize,
    /// What to measure, in words.
    pub(crate) what: String,
    /// As it is written now.
    pub(crate) now: String,
    /// What it is good for, in words.
    pub(crate) why: String,
}

/// Address of the sheet of an engine whose page of sizes has this address.
fn address_beside(sizes: &str) -> String {
    sizes.replace("-sizes.html", "-measuring.html")
}

/// Address of the table to fill in.
fn table_address(engine: &str) -> String {
    format!("data/{engine}-measuring.csv")
}

/// Addresses of the sheet of an engine whose page of sizes has this address.
pub(super) fn measuring_addresses(engine: &str, sizes: &str) -> [String; 2] {
    [address_beside(sizes), table_address(engine)]
}

/// Title of the measuring sheet of an engine.
pub(super) fn measuring_title(engine: &str) -> String {
    format!("Measuring sheet of {}", proper_name(engine))
}

/// The blanks of an engine, the most useful first.
pub(crate) fn blanks(folio: &Folio, engine: &str) -> Vec<MeasuringBlank> {
    let worth = |size: &SizeToMeasure| {
        let share = size.carries.as_ref().map_or(0.0, |(_, share)| *share);
        size.standing != SizeStanding::Stated || LEAST_SHARE <= share
    };
    let sizes = measures(folio, engine).into_iter().filter(worth);
    let blanks = sizes.map(|size| MeasuringBlank {
        number: size.number,
        what: label(&size.what),
        now: size.text.clone(),
        why: why(&size),
    });
    blanks.collect()
}

/// "body: length of cap" of "the length of `cap` of the body": the piece first that one has in
/// hand, and from where to where a length goes.
fn label(what: &str) -> String {
    let spoken = |words: &str| words.replace('`', "").replace('_', " ");
    let Some((size, piece)) = what.rsplit_once(" of ") else { return spoken(what) };
    let (size, piece) = (size.trim_start_matches("the "), piece.trim_start_matches("the "));
    let from = match size.split(' ').next() {
        Some("place") if size.contains(" of ") => ", from the rear end of what it sits in",
        Some("place") => ", from where its rear end lies level with that of the body",
        Some("length") => ", from its own rear end to its front end",
        _ => "",
    };
    spoken(&format!("{piece}: {size}{from}"))
}

fn why(size: &SizeToMeasure) -> String {
    match (&size.carries, size.waiting) {
        (_, 1) => "1 result waits for it".to_owned(),
        (_, 2..) => format!("{} results wait for it", size.waiting),
        (Some((result, share)), 0) => {
            format!("{:.0} % of the ± of cut.{result}", share * 100.0)
        }
        (None, 0) if size.standing == SizeStanding::Unknown => "the picture alone".to_owned(),
        (None, 0) => "no result rests on it".to_owned(),
    }
}

/// The sheets of all engines with sizes, each with its table.
pub(crate) fn measuring_pages(edition: &Edition) -> Vec<(View, (String, Vec<u8>))> {
    let folio = &edition.folio;
    let pages = paged(edition).into_iter().filter_map(|engine| {
        let page = &folio.pages[engine.page];
        let sizes = sizes_address(folio, page)?;
        let engine = page.front.engine.as_ref()?.text.clone();
        let name = proper_name(&engine);
        let all = blanks(folio, &engine);
        let rings = parts_view(folio, &engine).rings;
        // A ring takes a row of the page, and their table a head.
        let most = MOST_BLANKS.saturating_sub(rings.len() + 3);
        let file = (table_address(&engine), super::exports::measuring_csv(&all));
        let title = measuring_title(&engine);
        let summary = format!("Blanks for the sizes of {name}, the most useful first.");
        let mut frame = made(edition, &address_beside(&sizes), &title, "Measuring sheet", &summary);
        frame.identification.clone_from(&engine);
        let view = MeasuringPage {
            frame,
            of: Link::new(page.title(), page.address.clone()),
            sizes: Link::new(format!("sizes of {name}"), sizes),
            download: Link::new("CSV", table_address(&engine)),
            is_cut_short: most < all.len(),
            blanks: all.into_iter().take(most).collect(),
            rings,
            engine,
        };
        Some((View::Measuring(Box::new(view)), file))
    });
    pages.collect()
}
