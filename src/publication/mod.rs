//! From a folio to its site: everything judged and, on request, every page made.
//!
//! Where files come from ([`Sources`]) and where they go ([`Sink`]) is somebody else's: the shell's
//! disk and memory, or a test's.

mod addresses;
pub(crate) mod files;
mod making;
pub(crate) mod names;
mod pictures;
mod run;

use crate::folio::Folio;
use crate::proof::checks::relation::JudgedStatement;
use crate::proof::{Coverage, judge};
use crate::site::search::SearchIndex;
use crate::site::theme::{Theme, is_built_in};
use crate::slip::{Severity, Slip};
use crate::text::{Date, Source};
use crate::view_model::{Edition, legend};
use making::{Digests, Made, MakeFault, Making, source, theme_slip};
use pictures::Pictures;
use rayon::prelude::*;
use run::{Judged, Run};
use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

/// Where finished files go.
pub trait Sink: Sync {
    /// Takes one file of the site.
    ///
    /// # Errors
    /// When it cannot be kept, with the reason.
    fn put(&self, name: &str, bytes: &[u8]) -> Result<(), String>;
}

/// Where a folio's files come from.
pub(crate) trait Sources: Sync {
    /// The folio's declarations, and the slips of whatever could not be read.
    ///
    /// # Errors
    /// When there is nothing to work with, in words.
    fn read(&self) -> Result<(Arc<Folio>, Vec<Slip>), String>;

    /// Text of a page whose declarations were read.
    ///
    /// # Errors
    /// The slip that it cannot be read.
    fn page(&self, name: &str) -> Result<Arc<Source>, Box<Slip>>;

    /// Bytes of a file beside the pages, at most `most` of them.
    ///
    /// # Errors
    /// When it cannot be read or is larger.
    fn bytes(&self, name: &str, most: u64) -> Result<Vec<u8>, NoBytes>;

    /// Names of the files of the folio's own theme, below the folio.
    fn theme_names(&self) -> &[String];

    /// Those files, by name below the theme.
    ///
    /// # Errors
    /// The slip that one cannot be read.
    fn theme(&self) -> Result<BTreeMap<String, Vec<u8>>, Box<Slip>>;
}

/// Why a file's bytes are not there.
#[derive(Debug)]
pub(crate) struct NoBytes {
    /// Whether the file is larger than was asked for.
    pub(crate) is_too_large: bool,
    /// The reason, in words.
    pub(crate) why: String,
}

/// How a folio stands.
#[derive(Debug, Default)]
pub struct FolioStanding {
    /// All slips, in order.
    pub slips: Vec<Slip>,
    /// Counts of the whole folio.
    pub coverage: Coverage,
    /// Judged statements of all pages, in order.
    pub(crate) statements: Vec<JudgedStatement>,
    pub(crate) pages: usize,
    /// Days of the waivers that let a slip pass, the oldest first.
    pub(crate) waived: Vec<Date>,
    /// The day for which the folio was judged.
    pub(crate) date: Option<Date>,
    /// Whether there is no site to show, not even as a draft.
    pub(crate) cannot_be_made: bool,
}

impl FolioStanding {
    /// Whether nothing holds publishing up.
    pub(crate) fn may_publish(&self, strict: bool) -> bool {
        let worst = self.slips.iter().map(|slip| slip.severity).max();
        match worst {
            Some(Severity::Stop) => false,
            Some(Severity::Mark) => !strict,
            _ => true,
        }
    }
}

/// What a run is asked to do.
#[derive(Debug, Clone, Copy, Default)]
pub struct Wish {
    /// Mark pages as a draft and make them whatever the proof says.
    pub draft: bool,
    /// Marks stop as well.
    pub strict: bool,
}

/// Pages judged at a time: enough for every core, few enough that memory does not grow with the
/// folio.
const AT_A_TIME: usize = 256;

/// Judges a folio. One whose theme is not the built-in one is made as well, and nothing of it kept:
/// only then is its theme known to be whole.
///
/// # Errors
/// When it cannot be read at all.
pub(crate) fn proof(
    sources: &dyn Sources,
    progress: &dyn Fn(usize, usize),
) -> Result<FolioStanding, String> {
    if !sources.theme().is_ok_and(|own| is_built_in(&own)) {
        let wish = Wish { draft: true, strict: false };
        return make(sources, wish, &Nowhere, progress).map(|(standing, _)| standing);
    }
    let (folio, slips) = sources.read()?;
    let mut run = Run::new(&folio, slips, sources);
    let pictures = Pictures::new(sources, &folio, None);
    for chunk in chunks(&folio) {
        let judged: Vec<Judged> = chunk
            .par_iter()
            .map(|page| match source(sources, &folio, *page) {
                Ok(source) => {
                    let proof = judge(&folio, *page, &source);
                    // Asked for now, its pictures are looked at on this thread.
                    let _ = pictures.asked_for_by(&proof);
                    Judged::of(proof)
                }
                Err(slip) => Judged::unread(*slip),
            })
            .collect();
        for (page, judged) in chunk.iter().zip(judged) {
            run.take(*page, judged, &pictures);
        }
        progress(chunk.last().map_or(0, |last| last + 1), folio.pages.len());
    }
    Ok(run.finish(&folio))
}

/// Judges a folio and makes its site. Files reach the sink only as long as nothing stops
/// publishing; the caller must look at the standing before it lets anybody see them. Gives the
/// folio that was read as well.
///
/// # Errors
/// When the folio cannot be read, or the sink cannot keep a file.
pub(crate) fn make(
    sources: &dyn Sources,
    wish: Wish,
    sink: &dyn Sink,
    progress: &dyn Fn(usize, usize),
) -> Result<(FolioStanding, Arc<Folio>), String> {
    let (folio, slips) = sources.read()?;
    let mut run = Run::new(&folio, slips, sources);
    let own_theme = sources.theme().unwrap_or_else(|slip| {
        run.cannot_be_made(*slip);
        BTreeMap::new()
    });
    let theme = match Theme::new(&own_theme, &legend()) {
        Ok(theme) => theme,
        Err(fault) => {
            run.cannot_be_made(theme_slip(&fault, &own_theme));
            Theme::new(&BTreeMap::new(), &legend()).map_err(|fault| fault.to_string())?
        }
    };
    let edition = Edition::new(Arc::clone(&folio), wish.draft);
    let held_up = AtomicBool::new(run.is_held_up(wish));
    let pictures = Pictures::new(sources, &folio, Some((sink, &held_up)));
    let making = Making {
        edition: &edition,
        theme: &theme,
        sink,
        pictures: &pictures,
        held_up: &held_up,
        wish,
    };
    let mut digests = Vec::with_capacity(folio.pages.len());
    let mut index = SearchIndex::new();
    let mut home = None;
    for chunk in chunks(&folio) {
        let made: Result<Vec<(Judged, Option<Made>)>, String> =
            chunk.par_iter().map(|page| making.page(sources, *page, &index)).collect();
        for (page, (judged, made)) in chunk.iter().zip(made?) {
            if let Some(fault) = &judged.theme_fault {
                run.cannot_be_made(theme_slip(fault, &own_theme));
            }
            run.take(*page, judged, &pictures);
            let Some(made) = made else { continue };
            index.add(made.found);
            home = made.home.or(home);
            digests.push(made.digest);
        }
        progress(chunk.last().map_or(0, |last| last + 1), folio.pages.len());
    }
    let shown = run.shown.clone();
    let mut standing = run.finish(&folio);
    if !standing.cannot_be_made && (wish.draft || standing.may_publish(wish.strict)) {
        let digests = Digests { all: digests, home, index };
        match making.rest(sources, digests, &shown) {
            Ok(()) => {}
            Err(MakeFault::Sink(message)) => return Err(message),
            Err(MakeFault::Theme(fault)) => {
                standing.slips.push(theme_slip(&fault, &own_theme));
                standing.cannot_be_made = true;
            }
        }
    }
    Ok((standing, folio))
}

/// Keeps nothing.
struct Nowhere;

impl Sink for Nowhere {
    fn put(&self, _name: &str, _bytes: &[u8]) -> Result<(), String> {
        Ok(())
    }
}

fn chunks(folio: &Folio) -> Vec<Vec<usize>> {
    let all: Vec<usize> = (0..folio.pages.len()).collect();
    all.chunks(AT_A_TIME).map(<[usize]>::to_vec).collect()
}

/// A site in memory.
#[derive(Debug, Default)]
pub struct Shelf {
    files: std::sync::Mutex<BTreeMap<String, Arc<[u8]>>>,
}

impl Shelf {
    /// The files.
    #[must_use]
    pub fn into_files(self) -> BTreeMap<String, Arc<[u8]>> {
        self.files.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner)
    }
}

impl Sink for Shelf {
    fn put(&self, name: &str, bytes: &[u8]) -> Result<(), String> {
        let mut files = self.files.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        files.insert(name.to_owned(), Arc::from(bytes));
        Ok(())
    }
}
