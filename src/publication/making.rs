//! Pages and all that goes with them, made and handed on.

use super::files::OWN_THEME;
use super::pictures::{Pictures, site_name};
use super::run::Judged;
use super::{Sink, Sources, Wish};
use crate::folio::Folio;
use crate::proof::judge_with;
use crate::quantity::units::table;
use crate::site::search::{SearchIndex, SearchUnit, TakenPage};
use crate::site::theme::{Theme, ThemeFault};
use crate::slip::{Severity, Slip};
use crate::text::{Source, Span, Spot};
use crate::view_model::{
    Digest, Edition, HomePage, PagePress, View, asides_page, bench_files, bench_page, checks_page,
    cutaway_page, engines_page, fault_pages, home_page, keys_page, made_documents, measuring_pages,
    routing_files, search_page, sizes_pages, spares_page,
};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Largest file that a page leads to, in bytes.
const LARGEST_FILE: u64 = 256 << 20;

/// A page that was made.
pub(super) struct Made {
    pub(super) digest: Digest,
    /// What can be found of it.
    pub(super) found: TakenPage,
    pub(super) home: Option<Box<HomePage>>,
}

pub(super) struct Digests {
    pub(super) all: Vec<Digest>,
    pub(super) home: Option<Box<HomePage>>,
    pub(super) index: SearchIndex,
}

pub(super) struct Making<'a> {
    pub(super) edition: &'a Edition,
    pub(super) theme: &'a Theme,
    pub(super) sink: &'a dyn Sink,
    pub(super) pictures: &'a Pictures<'a>,
    pub(super) held_up: &'a AtomicBool,
    pub(super) wish: Wish,
}

impl Making<'_> {
    /// Judges a page and makes it, unless something has stopped publishing already.
    pub(super) fn page(
        &self,
        sources: &dyn Sources,
        page: usize,
        index: &SearchIndex,
    ) -> Result<(Judged, Option<Made>), String> {
        let folio = &self.edition.folio;
        let source = match source(sources, folio, page) {
            Ok(source) => source,
            Err(slip) => {
                self.held_up.store(!self.wish.draft, Ordering::Relaxed);
                return Ok((Judged::unread(*slip), None));
            }
        };
        judge_with(folio, page, &source, |document, proof| {
            let stops = |slip: &Slip| {
                slip.severity == Severity::Stop
                    || self.wish.strict && slip.severity == Severity::Mark
            };
            if !self.wish.draft && proof.slips.iter().any(stops) {
                self.held_up.store(true, Ordering::Relaxed);
            }
            let pictures = self.pictures.asked_for_by(&proof);
            if self.held_up.load(Ordering::Relaxed) {
                return Ok((Judged::of(proof), None));
            }
            let press = PagePress { edition: self.edition, theme: self.theme, pictures: &pictures };
            let pressed = match press.press(page, document, &proof) {
                Ok(pressed) => pressed,
                Err(fault) => {
                    self.held_up.store(true, Ordering::Relaxed);
                    return Ok((Judged::of(proof).unmade(fault), None));
                }
            };
            if pressed.home.is_none() {
                self.sink.put(&pressed.address, &pressed.html)?;
            }
            pressed.files.iter().try_for_each(|(name, bytes)| self.sink.put(name, bytes))?;
            let found = index.take(pressed.search);
            let made = Made { digest: pressed.digest, found, home: pressed.home };
            Ok((Judged::of(proof), Some(made)))
        })
    }

    /// Everything beside the writer's own pages.
    pub(super) fn rest(
        &self,
        sources: &dyn Sources,
        digests: Digests,
        shown: &BTreeSet<String>,
    ) -> Result<(), MakeFault> {
        let edition = self.edition;
        let put = |view: &View| -> Result<(), MakeFault> {
            let html = self.theme.render_bytes(view)?;
            Ok(self.sink.put(&view.frame().address, &html)?)
        };
        put(&home_page(edition, &digests.all, digests.home.map(|home| *home)))?;
        put(&engines_page(edition, &digests.all))?;
        put(&bench_page(edition))?;
        put(&checks_page(edition, &digests.all))?;
        put(&cutaway_page(edition))?;
        put(&keys_page(edition))?;
        put(&asides_page(edition, &digests.all))?;
        put(&search_page(edition))?;
        fault_pages(edition).iter().try_for_each(put)?;
        put(&spares_page(edition))?;
        for (view, files) in sizes_pages(edition) {
            put(&view)?;
            files.iter().try_for_each(|(name, bytes)| self.sink.put(name, bytes))?;
        }
        for (view, (name, bytes)) in measuring_pages(edition) {
            put(&view)?;
            self.sink.put(&name, &bytes)?;
        }
        let mut index = digests.index;
        for document in made_documents(edition) {
            let taken = index.take(document);
            index.add(taken);
        }
        let index = index.finish(&search_units(), &synonyms(&edition.folio));
        self.sink.put("search-index.js", index.as_bytes())?;
        bench_files(edition).iter().try_for_each(|(name, bytes)| self.sink.put(name, bytes))?;
        edition.folio.ledger.sheets.par_iter().try_for_each(|sheet| -> Result<(), String> {
            let Some(engine) = &sheet.engine else { return Ok(()) };
            let routing = routing_files(edition, engine);
            routing.iter().try_for_each(|(name, bytes)| self.sink.put(name, bytes))
        })?;
        for path in shown {
            // A picture is with the sink, or goes there now because a page only leads to it.
            if self.pictures.get(path)?.is_none() {
                let bytes = sources
                    .bytes(path, LARGEST_FILE)
                    .map_err(|error| format!("{path}: {}", error.why))?;
                self.sink.put(&site_name(path), &bytes)?;
            }
        }
        for asset in self.theme.assets() {
            self.sink.put(&asset.path, &asset.bytes)?;
        }
        Ok(())
    }
}

fn search_units() -> Vec<SearchUnit> {
    let mut units = Vec::new();
    for unit in table().units() {
        for spelling in table().spellings_of(unit) {
            units.push(SearchUnit {
                spelling: spelling.to_owned(),
                dimension: unit.dimension.name(),
                factor: unit.factor.to_f64(),
                offset: crate::quantity::exact::to_f64(&unit.offset),
            });
        }
    }
    units
}

/// Names of one figure mean the same in a search.
fn synonyms(folio: &Folio) -> Vec<Vec<String>> {
    let mut groups: BTreeSet<Vec<String>> = BTreeSet::new();
    for sheet in &folio.ledger.sheets {
        for entry in sheet.entries.iter().filter(|entry| 1 < entry.cues.len()) {
            let mut group = entry.cues.clone();
            group.sort();
            groups.insert(group);
        }
    }
    groups.into_iter().collect()
}

/// Why a page could not be made.
pub(super) enum MakeFault {
    Sink(String),
    Theme(ThemeFault),
}

impl From<ThemeFault> for MakeFault {
    fn from(fault: ThemeFault) -> MakeFault {
        MakeFault::Theme(fault)
    }
}

impl From<String> for MakeFault {
    fn from(message: String) -> MakeFault {
        MakeFault::Sink(message)
    }
}

/// A fault of the folio's own theme, at its line.
pub(super) fn theme_slip(fault: &ThemeFault, own: &BTreeMap<String, Vec<u8>>) -> Slip {
    let text = own.get(&fault.template).map(|bytes| String::from_utf8_lossy(bytes).into_owned());
    let source = Source::new(format!("{OWN_THEME}{}", fault.template), text.unwrap_or_default());
    let lines = source.text.split_inclusive('\n').take(fault.line.saturating_sub(1));
    let at = lines.map(str::len).sum();
    let spot = Spot::new(&source, source.line_span(at));
    Slip::stop("theme-fault", spot, fault.message.clone())
}

pub(super) fn source(
    sources: &dyn Sources,
    folio: &Folio,
    page: usize,
) -> Result<Arc<Source>, Box<Slip>> {
    let entry = &folio.pages[page];
    let source = sources.page(&entry.name)?;
    if source.text.len() == entry.length {
        return Ok(source);
    }
    let spot = Spot::new(&source, Span::new(0, 0));
    let message = "the page was changed while it was being judged";
    Err(Box::new(Slip::stop("not-utf8", spot, message).help("run again")))
}
