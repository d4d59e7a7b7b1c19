//! A whole folio, read: its pages, their named figures, its cutaways, and the words that name
//! figures.
//!
//! This is where pages and cutaways meet. It judges no prose; that is the proof's.

pub(crate) mod cues;
pub(crate) mod derivable;
mod events;
mod facts;
mod graph;
pub(crate) mod meaning;
pub(crate) mod measured;
mod models;
pub(crate) mod one_by_one;
pub(crate) mod roles;
pub mod routing;
pub(crate) mod solids;
pub(crate) mod things;
mod times;
pub(crate) mod words;

use crate::cutaway::sized::SizedEngine;
use crate::page::front::Front;
use crate::page::imprint::{self, Imprint};
use crate::page::{self, Page};
use crate::quantity::Conventions;
use crate::sheet::Ledger;
use crate::sheet::declare::{DeclaredPage, ledger};
use crate::slip::Slip;
use crate::text::{Date, Source, Span};
use cues::CueIndex;
pub(crate) use events::KnownEvent;
use events::KnownTimeline;
use models::CutawayResults;
use rayon::prelude::*;
use routing::Routing;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// What the index keeps of a page; the text itself is read again when the page is judged.
#[derive(Debug)]
pub struct PageEntry {
    /// Path below the folio, with `/` (`content/engines/rowan.md`).
    pub name: String,
    /// Address on the site (`engines/rowan.html`).
    pub(crate) address: String,
    pub(crate) front: Front,
    /// Where its text stands in the file.
    pub body: Span,
    /// How it reads what it leaves open.
    pub conventions: Conventions,
    /// Sheet in the ledger, if it declares any figure or engine.
    pub sheet: Option<usize>,
    /// Bytes of the file when it was read.
    pub(crate) length: usize,
}

impl PageEntry {
    /// Title, or the file's name where it has none.
    pub(crate) fn title(&self) -> &str {
        self.front.title.as_ref().map_or(&self.name, |title| &title.text)
    }
}

/// A correction that later pages must respect.
#[derive(Debug)]
pub(crate) struct KnownCorrection {
    /// Sheet and entry of the corrected figure.
    pub(crate) figure: (usize, usize),
    /// What used to be stated.
    pub(crate) was: String,
    pub(crate) on: String,
}

/// Everything that judging one page needs to know of the others.
#[derive(Debug)]
pub struct Folio {
    pub(crate) imprint: Imprint,
    pub(crate) conventions: Conventions,
    /// Pages in the order of their paths.
    pub pages: Vec<PageEntry>,
    /// Page by file name.
    pub by_name: BTreeMap<String, usize>,
    /// All named figures.
    pub ledger: Ledger,
    /// Words that name them.
    pub(crate) cues: CueIndex,
    /// The cutaways, read and explored.
    pub(crate) routing: Routing,
    /// What their sizes come to.
    cutaways: Arc<CutawayResults>,
    /// Corrections of all pages.
    pub(crate) corrections: Vec<KnownCorrection>,
    /// Events of all pages, in the order of their days.
    pub(crate) timeline: KnownTimeline,
    /// Files beside the pages (pictures), by path below the folio.
    pub(crate) files: BTreeSet<String>,
}

impl Folio {
    /// The sizes of an engine, where its cutaway has them.
    #[must_use]
    pub fn sized(&self, engine: &str) -> Option<Vec<SizedEngine>> {
        solids::sized(self, engine)
    }
}

/// Address of a page: its path below `content/` with `.html` in place of `.md`.
pub(crate) fn address_of(name: &str) -> String {
    let below = name.strip_prefix("content/").unwrap_or(name);
    let stem = below.strip_suffix(".md").unwrap_or(below);
    format!("{stem}.html")
}

/// Gives a page's file by its name, or the slip that it cannot be read.
pub(crate) type Loader<'a> = dyn Fn(&str) -> Result<Arc<Source>, Box<Slip>> + Sync + 'a;

/// The files of a folio that are read whole before any page is.
#[derive(Debug, Default)]
pub struct Files {
    /// Files beside the pages (pictures), by path below the folio.
    pub beside: BTreeSet<String>,
    /// The imprint, if there is one.
    pub imprint: Option<Arc<Source>>,
    /// Cutaways, in the order of their paths.
    pub cutaways: Vec<Arc<Source>>,
    /// The day for which the folio is judged, before that of the imprint.
    pub date: Option<Date>,
}

/// Reads the declarations of every page. `load` gives a page's file; it is called once for each
/// name, from several threads.
#[must_use]
pub fn read(names: &[String], files: Files, load: &Loader<'_>) -> (Folio, Vec<Slip>) {
    let (routing, mut slips) = routing::read(&files.cutaways);
    let imprint_source = files.imprint.as_ref();
    let mut imprint = match imprint_source {
        Some(source) => {
            let (imprint, found) = imprint::read(source);
            slips.extend(found);
            imprint
        }
        None => {
            let source = Source::new("content/imprint.yaml", "");
            slips.push(imprint::missing(&source));
            Imprint::empty()
        }
    };
    imprint.date = files.date.or(imprint.date);
    let conventions = imprint.conventions.over(&Conventions::default());
    let read: Vec<(Option<ReadPage>, Vec<Slip>)> = names
        .par_iter()
        .map(|name| match load(name) {
            Ok(source) => {
                let (page, slips) = page::read(&source);
                (Some(ReadPage::of(page)), slips)
            }
            Err(slip) => (None, vec![*slip]),
        })
        .collect();
    let mut kept: Vec<(&String, ReadPage)> = Vec::with_capacity(names.len());
    for (name, (page, found)) in names.iter().zip(read) {
        slips.extend(found);
        kept.extend(page.map(|page| (name, page)));
    }
    let mut declared: Vec<DeclaredPage<'_>> = Vec::new();
    let mut sheets: Vec<Option<usize>> = Vec::with_capacity(kept.len());
    for (name, read) in &kept {
        let declares = declares(&read.page.front);
        sheets.push(declares.then_some(declared.len()));
        if declares {
            let conventions = read.page.front.conventions.over(&conventions);
            declared.push(DeclaredPage {
                page: &read.page,
                address: address_of(name),
                conventions,
            });
        }
    }
    let (mut ledger, found) = ledger(&declared, &imprint);
    slips.extend(found);
    let cutaways = Arc::new(CutawayResults::of(&routing));
    ledger.ask(Box::new(Arc::clone(&cutaways)));
    slips.extend(graph::cut_loops(&mut ledger));
    slips.extend(measured::judge(&routing, &ledger));
    slips.extend(solids::judge(&routing, &cutaways, &ledger));
    let pages = entries(kept, sheets, &conventions);
    let by_name = pages.iter().enumerate().map(|(i, page)| (page.name.clone(), i)).collect();
    let folio = Folio {
        timeline: KnownTimeline::new(&pages, &ledger),
        cues: CueIndex::new(&ledger),
        corrections: corrections(&pages, &ledger),
        imprint,
        conventions,
        pages,
        by_name,
        ledger,
        routing,
        cutaways,
        files: files.beside,
    };
    (folio, slips)
}

/// A page's declarations, with the file up to the end of them.
struct ReadPage {
    page: Page,
    /// Bytes of the whole file.
    length: usize,
}

impl ReadPage {
    fn of(page: Page) -> ReadPage {
        let whole = &page.source;
        let head = Source::new(whole.name.as_str(), &whole.text[..page.body.start]);
        ReadPage { length: whole.text.len(), page: Page { source: head, ..page } }
    }
}

fn declares(front: &Front) -> bool {
    front.engine.is_some()
        || !front.readings.is_empty()
        || !front.derived.is_empty()
        || !front.claims.is_empty()
        || !front.timeline.is_empty()
}

/// The index of the pages, with the sheet of each.
fn entries(
    kept: Vec<(&String, ReadPage)>,
    sheets: Vec<Option<usize>>,
    folio: &Conventions,
) -> Vec<PageEntry> {
    let read = kept.into_iter().zip(sheets);
    let entries = read.map(|((name, ReadPage { page, length }), sheet)| PageEntry {
        name: name.clone(),
        address: address_of(name),
        conventions: page.front.conventions.over(folio),
        sheet,
        front: page.front,
        body: page.body,
        length,
    });
    entries.collect()
}

fn corrections(pages: &[PageEntry], ledger: &Ledger) -> Vec<KnownCorrection> {
    let mut known = Vec::new();
    for page in pages {
        let Some(sheet) = page.sheet else { continue };
        for correction in &page.front.corrections {
            let path: Vec<&str> = correction.figure.text.split('.').collect();
            let Some((sheet, entry, _)) = ledger.resolve(sheet, &path) else { continue };
            known.push(KnownCorrection {
                figure: (sheet, entry),
                was: correction.was.text.clone(),
                on: correction.on.as_ref().map(|on| on.text.clone()).unwrap_or_default(),
            });
        }
    }
    known
}
