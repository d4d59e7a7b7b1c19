//! One run over a folio: everything judged and, on request, every page made.

use super::addresses::Addresses;
use super::folder::{Folder, NoFolio};
use super::inventory::{OWN_THEME, unused};
use super::plain_file::ReadFault;
use crate::folio::Folio;
use crate::proof::checks::drawn::is_picture;
use crate::proof::checks::link::AnchorWanted;
use crate::proof::checks::relation::JudgedStatement;
use crate::proof::checks::unused::Named;
use crate::proof::{Coverage, PageProof, finish, judge, judge_with};
use crate::quantity::units::table;
use crate::site::pictures;
use crate::site::search::{SearchIndex, SearchUnit, TakenPage};
use crate::site::theme::{Theme, ThemeFault};
use crate::slip::{Severity, Slip, arrange};
use crate::text::{Date, Source};
use crate::view_model::{
    Digest, Edition, HomePage, PagePress, PublishedPicture, View, asides_page, bench_files,
    bench_page, checks_page, cutaway_page, engines_page, fault_pages, home_page, legend,
    made_documents, routing_files, search_page,
};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};

/// Where finished files go.
pub trait Sink: Sync {
    /// Takes one file of the site.
    ///
    /// # Errors
    /// When it cannot be kept, with the reason.
    fn put(&self, name: &str, bytes: &[u8]) -> Result<(), String>;
}

/// How a folio stands.
#[derive(Debug, Default)]
pub struct Standing {
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

impl Standing {
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

/// Largest file that a page leads to, in bytes.
const LARGEST_FILE: u64 = 256 << 20;

/// Judges a folio. One with a theme of its own is made as well, and nothing of it kept: only then
/// is its theme known to be whole.
///
/// # Errors
/// When it cannot be read at all.
pub fn proof(folder: &Folder, progress: &dyn Fn(usize, usize)) -> Result<Standing, NoFolio> {
    if !folder.theme.is_empty() {
        let wish = Wish { draft: true, strict: false };
        return make(folder, wish, &Nowhere, progress).map(|(standing, _)| standing);
    }
    let (folio, slips) = folder.read()?;
    let mut run = Run::new(&folio, slips, folder);
    let pictures = Pictures::new(folder, &folio, None);
    for chunk in chunks(&folio) {
        let judged: Vec<Judged> = chunk
            .par_iter()
            .map(|page| match source(folder, &folio, *page) {
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
pub fn make(
    folder: &Folder,
    wish: Wish,
    sink: &dyn Sink,
    progress: &dyn Fn(usize, usize),
) -> Result<(Standing, Arc<Folio>), NoFolio> {
    let no = |message: String| NoFolio { message };
    let (folio, slips) = folder.read()?;
    let mut run = Run::new(&folio, slips, folder);
    let own_theme = folder.theme().unwrap_or_else(|slip| {
        run.cannot_be_made(*slip);
        BTreeMap::new()
    });
    let theme = match Theme::new(&own_theme, &legend()) {
        Ok(theme) => theme,
        Err(fault) => {
            run.cannot_be_made(theme_slip(&fault, &own_theme));
            Theme::new(&BTreeMap::new(), &legend()).map_err(|fault| no(fault.to_string()))?
        }
    };
    let edition = Edition::new(Arc::clone(&folio), wish.draft);
    let held_up = AtomicBool::new(run.is_held_up(wish));
    let pictures = Pictures::new(folder, &folio, Some((sink, &held_up)));
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
            chunk.par_iter().map(|page| making.page(folder, *page, &index)).collect();
        for (page, (judged, made)) in chunk.iter().zip(made.map_err(no)?) {
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
        match making.rest(folder, digests, &shown) {
            Ok(()) => {}
            Err(MakeFault::Sink(message)) => return Err(no(message)),
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

/// Why a page could not be made.
enum MakeFault {
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
fn theme_slip(fault: &ThemeFault, own: &BTreeMap<String, Vec<u8>>) -> Slip {
    let text = own.get(&fault.template).map(|bytes| String::from_utf8_lossy(bytes).into_owned());
    let source = Source::new(format!("{OWN_THEME}{}", fault.template), text.unwrap_or_default());
    let lines = source.text.split_inclusive('\n').take(fault.line.saturating_sub(1));
    let at = lines.map(str::len).sum();
    let spot = crate::text::Spot::new(&source, source.line_span(at));
    Slip::stop("theme-fault", spot, fault.message.clone())
}

fn chunks(folio: &Folio) -> Vec<Vec<usize>> {
    let all: Vec<usize> = (0..folio.pages.len()).collect();
    all.chunks(AT_A_TIME).map(<[usize]>::to_vec).collect()
}

fn source(folder: &Folder, folio: &Folio, page: usize) -> Result<Arc<Source>, Box<Slip>> {
    let entry = &folio.pages[page];
    let source = folder.page_again(&entry.name)?;
    if source.text.len() == entry.length {
        return Ok(source);
    }
    let spot = crate::text::Spot::new(&source, crate::text::Span::new(0, 0));
    let message = "the page was changed while it was being judged";
    Err(Box::new(Slip::stop("not-utf8", spot, message).help("run again")))
}

/// What is kept of a judged page.
struct Judged {
    slips: Vec<Slip>,
    coverage: Coverage,
    statements: Vec<JudgedStatement>,
    waived: Vec<Date>,
    anchors: Vec<String>,
    wanted: Vec<AnchorWanted>,
    /// Pictures shown, and files linked to.
    files: Vec<(String, crate::text::Spot)>,
    used: BTreeSet<Named>,
    theme_fault: Option<ThemeFault>,
}

impl Judged {
    fn of(proof: PageProof) -> Judged {
        Judged {
            slips: proof.slips,
            coverage: proof.coverage,
            statements: proof.statements.into_iter().map(|(_, judged)| judged).collect(),
            waived: proof.waived,
            anchors: proof.anchors,
            wanted: proof.wanted.anchors,
            files: proof.pictures.into_iter().chain(proof.wanted.files).collect(),
            used: proof.used,
            theme_fault: None,
        }
    }

    fn unread(slip: Slip) -> Judged {
        Judged {
            slips: vec![slip],
            coverage: Coverage::default(),
            statements: Vec::new(),
            waived: Vec::new(),
            anchors: Vec::new(),
            wanted: Vec::new(),
            files: Vec::new(),
            used: BTreeSet::new(),
            theme_fault: None,
        }
    }
}

/// What has been found so far.
struct Run {
    standing: Standing,
    anchors: Vec<Vec<String>>,
    wanted: Vec<AnchorWanted>,
    shown: BTreeSet<String>,
    used: BTreeSet<Named>,
    addresses: Addresses,
}

impl Run {
    fn new(folio: &Folio, mut slips: Vec<Slip>, folder: &Folder) -> Run {
        let mut addresses = Addresses::planned(folio, &folder.theme);
        slips.append(&mut addresses.slips);
        Run {
            addresses,
            standing: Standing { slips, pages: folio.pages.len(), ..Standing::default() },
            anchors: vec![Vec::new(); folio.pages.len()],
            wanted: Vec::new(),
            shown: BTreeSet::new(),
            used: BTreeSet::new(),
        }
    }

    fn take(&mut self, page: usize, judged: Judged, pictures: &Pictures<'_>) {
        self.standing.slips.extend(judged.slips);
        self.standing.coverage.add(&judged.coverage);
        self.standing.statements.extend(judged.statements);
        self.standing.waived.extend(judged.waived);
        self.anchors[page] = judged.anchors;
        self.wanted.extend(judged.wanted);
        self.used.extend(judged.used);
        for (path, spot) in judged.files {
            let picture = pictures.get(&path).ok().flatten();
            if let Some(Err((code, message))) = picture {
                self.standing.slips.push(Slip::stop(code, spot, message.clone()));
            }
            if self.shown.insert(path.clone()) {
                let address = match picture {
                    Some(Ok(picture)) => picture.address.clone(),
                    _ => site_name(&path),
                };
                self.addresses.take(&address, Some(&path));
            }
        }
    }

    /// Whether nothing needs to be made any more.
    fn is_held_up(&self, wish: Wish) -> bool {
        self.standing.cannot_be_made || !wish.draft && !self.standing.may_publish(wish.strict)
    }

    fn cannot_be_made(&mut self, slip: Slip) {
        self.standing.slips.push(slip);
        self.standing.cannot_be_made = true;
    }

    fn finish(mut self, folio: &Folio) -> Standing {
        self.standing.slips.extend(finish(folio, &self.wanted, &self.anchors, &self.used));
        self.standing.slips.append(&mut self.addresses.slips);
        // A link that leads nowhere may have been meant for one of them.
        let lost = |slip: &Slip| matches!(slip.code, "image-missing" | "broken-link");
        if !self.standing.slips.iter().any(lost) {
            let idle = folio.files.iter().filter(|file| !self.shown.contains(*file));
            let why = "no page shows it or leads to it";
            self.standing.slips.extend(idle.map(|file| unused(file, why)));
        }
        arrange(&mut self.standing.slips);
        self.standing.waived.sort();
        self.standing.date = folio.imprint.date;
        cap(&mut self.standing.slips);
        // A slip in a cutaway is the cause of those on the pages that rest on it.
        self.standing.slips.sort_by_key(|slip| !slip.spot.source.name.ends_with(".cut"));
        self.standing
    }
}

/// Most slips that are told of one file.
const MOST_SLIPS: usize = 200;

/// Keeps the worst slips of each file, and says how many more there are.
fn cap(slips: &mut Vec<Slip>) {
    let all = std::mem::take(slips);
    for of_file in all.chunk_by(|a, b| a.spot.source.name == b.spot.source.name) {
        let untold = of_file.len().saturating_sub(MOST_SLIPS);
        if untold == 0 {
            slips.extend_from_slice(of_file);
            continue;
        }
        let mut ranks: Vec<usize> = (0..of_file.len()).collect();
        ranks.sort_by_key(|at| std::cmp::Reverse(of_file[*at].severity));
        ranks.truncate(MOST_SLIPS);
        ranks.sort_unstable();
        slips.extend(ranks.iter().map(|at| of_file[*at].clone()));
        let message = format!("{untold} more slips of this file are not told");
        let last = of_file[of_file.len() - 1].spot.clone();
        slips.push(Slip::note("slips-untold", last, message).help("put the first ones right"));
    }
}

/// A picture made fit for publishing, or why not: name of the fault and message.
type Fit = Result<PublishedPicture, (&'static str, String)>;

/// Pictures of the folio. Each is made fit for publishing when a page first shows it and goes to
/// the sink at once, so that no more of them are in memory than are being worked on.
struct Pictures<'a> {
    folder: &'a Folder,
    /// Where they go as long as publishing is not held up; `None` where they are only judged.
    sink: Option<(&'a dyn Sink, &'a AtomicBool)>,
    /// What came of each; the outer fault is the sink's.
    by_path: BTreeMap<&'a str, OnceLock<Result<Fit, String>>>,
}

impl<'a> Pictures<'a> {
    fn new(
        folder: &'a Folder,
        folio: &'a Folio,
        sink: Option<(&'a dyn Sink, &'a AtomicBool)>,
    ) -> Pictures<'a> {
        let paths = folio.files.iter().filter(|path| is_picture(path));
        let by_path = paths.map(|path| (path.as_str(), OnceLock::new())).collect();
        Pictures { folder, sink, by_path }
    }

    /// What came of a picture; `None` for what is none of the folio's pictures.
    fn get(&self, path: &str) -> Result<Option<&Fit>, String> {
        let Some(slot) = self.by_path.get(path) else { return Ok(None) };
        slot.get_or_init(|| self.prepare(path)).as_ref().map(Some).map_err(String::clone)
    }

    fn prepare(&self, path: &str) -> Result<Fit, String> {
        let picture = match self.folder.bytes(path, pictures::MOST_BYTES as u64) {
            Ok(bytes) => pictures::prepare(&bytes),
            Err(error) => {
                let code = match error {
                    ReadFault::TooLarge(_) => "image-too-large",
                    _ => "image-unreadable",
                };
                return Ok(Err((code, format!("{path} cannot be read: {error}"))));
            }
        };
        let picture = match picture {
            Ok(picture) => picture,
            Err(fault) => return Ok(Err((fault.code(), fault.to_string()))),
        };
        let address = picture_name(path, &picture);
        if let Some((sink, held_up)) = self.sink
            && !held_up.load(Ordering::Relaxed)
        {
            sink.put(&address, &picture.bytes)?;
        }
        Ok(Ok(PublishedPicture { address, width: picture.width, height: picture.height }))
    }

    /// Those that a page shows or leads to and that are fit for it. A fault of the sink is told at
    /// the end, when nothing else stops publishing.
    fn asked_for_by(&self, proof: &PageProof) -> BTreeMap<String, PublishedPicture> {
        let paths = proof.pictures.iter().chain(&proof.wanted.files).map(|(path, _)| path);
        let fit = paths.filter_map(|path| match self.get(path) {
            Ok(Some(Ok(picture))) => Some((path.clone(), picture.clone())),
            _ => None,
        });
        fit.collect()
    }
}

/// Name on the site of a file beside the pages.
fn site_name(path: &str) -> String {
    path.strip_prefix("content/").unwrap_or(path).to_owned()
}

/// The same for a picture, with the ending of what it really is.
fn picture_name(path: &str, picture: &pictures::Picture) -> String {
    let name = site_name(path);
    let stem = name.rsplit_once('.').map_or(name.as_str(), |(stem, _)| stem);
    format!("{stem}.{}", picture.extension)
}

/// A page that was made.
struct Made {
    digest: Digest,
    /// What can be found of it.
    found: TakenPage,
    home: Option<Box<HomePage>>,
}

struct Digests {
    all: Vec<Digest>,
    home: Option<Box<HomePage>>,
    index: SearchIndex,
}

struct Making<'a> {
    edition: &'a Edition,
    theme: &'a Theme,
    sink: &'a dyn Sink,
    pictures: &'a Pictures<'a>,
    held_up: &'a AtomicBool,
    wish: Wish,
}

impl Making<'_> {
    /// Judges a page and makes it, unless something has stopped publishing already.
    fn page(
        &self,
        folder: &Folder,
        page: usize,
        index: &SearchIndex,
    ) -> Result<(Judged, Option<Made>), String> {
        let folio = &self.edition.folio;
        let source = match source(folder, folio, page) {
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
                    return Ok((Judged { theme_fault: Some(fault), ..Judged::of(proof) }, None));
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
    fn rest(
        &self,
        folder: &Folder,
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
        put(&asides_page(edition, &digests.all))?;
        put(&search_page(edition))?;
        fault_pages(edition).iter().try_for_each(put)?;
        let mut index = digests.index;
        for document in made_documents() {
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
                let bytes =
                    folder.bytes(path, LARGEST_FILE).map_err(|error| format!("{path}: {error}"))?;
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

impl Sink for super::atomic_publish::Landing {
    fn put(&self, name: &str, bytes: &[u8]) -> Result<(), String> {
        self.write(name, bytes).map_err(|fault| fault.to_string())
    }
}
