//! Publishing to disk, all or nothing: a site is built beside the old one and takes its place in
//! one step, or the old one stays as it was, byte for byte.
//!
//! ```no_run
//! # use gaugebook::shell::atomic_publish::{Landing, LandingFault};
//! # fn main() -> Result<(), LandingFault> {
//! let landing = Landing::begin("site".as_ref(), &["content".as_ref()])?;
//! landing.write("index.html", b"<!doctype html>")?; // from as many threads as you like
//! landing.write("engines/rowan/index.html", b"<!doctype html>")?;
//! landing.finish()?; // before this line nobody sees anything; after it everybody sees all of it
//! # Ok(())
//! # }
//! ```
//!
//! What stands beside the target while a site is built: a lock file `.NAME.gaugebook-lock` (so
//! two builds never meet) and a staging folder `.NAME.new-…`, which lists its files. Whoever holds
//! the lock knows that every other such folder belongs to a run that was killed, and removes it.
//!
//! A target is replaced only when it is empty or when everything in it was written by an earlier
//! landing: a published site carries a list of its files in [`MARKER`]. So neither a home folder
//! nor a note that somebody laid into the site is ever deleted.
//!
//! Must not know what a site is made of: it sees names and bytes.

mod fault;
mod leftovers;
mod lock;
mod staging;
mod swap;

use crate::publication::names::{Register, check_name};
pub use fault::LandingFault;
use staging::StagingDir;
use std::collections::BTreeSet;
use std::fs::{self, OpenOptions};
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Name of the file that marks a folder as a published site and lists what belongs to it.
pub const MARKER: &str = ".gaugebook-site";

/// The marker that is to take the place of the one that was kept while the site was built.
const LIST_TO_BE: &str = ".gaugebook-site.new";

/// First line of the marker file.
const MARKER_HEAD: &str = "This folder was written by gaugebook and is replaced as a whole.";

/// Files that desktops drop into any folder they show; they never stop a replacement.
const IGNORED: [&str; 3] = [".DS_Store", "Thumbs.db", "desktop.ini"];

/// A site on its way to its place. Dropping it without [`Landing::finish`] takes everything back.
#[derive(Debug)]
pub struct Landing {
    berth: StagingDir,
    register: Arc<Mutex<Register>>,
    bytes: AtomicU64,
    failed: AtomicBool,
}

/// What came to stand at the target.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Landed {
    pub(crate) folder: PathBuf,
    /// Number of files, without the marker.
    pub files: usize,
    /// Sum of their sizes.
    pub bytes: u64,
    /// Old sites and leftovers of killed runs that could not be removed.
    pub left_over: Vec<PathBuf>,
}

impl Landing {
    /// Prepares a staging folder for a site at `target`. `apart_from` are folders that the target
    /// must neither lie in nor hold, such as the folio's `content`.
    ///
    /// # Errors
    /// When the target is a file, holds things that were not published by us, lies in or around
    /// one of `apart_from`, is being published by another run, or the place cannot be written to.
    /// The disk is then as before.
    pub fn begin(target: &Path, apart_from: &[&Path]) -> Result<Landing, LandingFault> {
        let berth = StagingDir::take(target, apart_from)?;
        Ok(Landing {
            berth,
            register: Arc::default(),
            bytes: AtomicU64::new(0),
            failed: AtomicBool::new(false),
        })
    }

    /// The folder in which the site is being built.
    pub(crate) fn staging(&self) -> &Path {
        &self.berth.staging
    }

    /// Writes one file of the site. `relative` has `/` between its parts on every platform. May be
    /// called from several threads at once.
    ///
    /// # Errors
    /// When the name would not work on every platform or leaves the site ([`check_name`]), differs
    /// from an earlier one by letter case only, was written before, or the disk refuses. After an
    /// error of the disk, [`Landing::finish`] refuses as well.
    pub fn write(&self, relative: &str, bytes: &[u8]) -> Result<(), LandingFault> {
        self.put(relative, bytes).inspect_err(|_| self.failed.store(true, Ordering::Relaxed))
    }

    fn put(&self, relative: &str, bytes: &[u8]) -> Result<(), LandingFault> {
        check_name(relative)?;
        if relative == MARKER || relative == LIST_TO_BE {
            return Err(LandingFault::BadName {
                name: relative.to_string(),
                why: "this name marks published sites",
            });
        }
        let path = self.staging().join(relative);
        {
            // Held while a new folder is made, so that no other thread writes into it too early.
            let mut register = self.register();
            let folder_is_new = register.enter(relative)?;
            self.berth
                .announce(relative)
                .map_err(|e| LandingFault::from_disk(&self.staging().join(MARKER), "write", e))?;
            if let Some(folder) = path.parent().filter(|_| folder_is_new) {
                fs::create_dir_all(folder)
                    .map_err(|e| LandingFault::from_disk(folder, "make the folder", e))?;
            }
        }
        create(&path, bytes)?;
        self.bytes.fetch_add(bytes.len() as u64, Ordering::Relaxed);
        Ok(())
    }

    /// Brings the site to its place: everything is written through to the disk, then the staging
    /// folder and the old site change places in one step, then the old one is removed.
    ///
    /// # Errors
    /// When a write failed before, when foreign files turned up in the old site meanwhile, or when
    /// the disk refuses; the old site is then still in its place.
    pub fn finish(self) -> Result<Landed, LandingFault> {
        let target = self.berth.target.clone();
        if self.failed.load(Ordering::Relaxed) {
            return Err(LandingFault::Incomplete { target });
        }
        let files: Vec<String> = self.register().files().map(str::to_string).collect();
        self.write_marker(&files)?;
        swap::write_through(self.staging())?;
        let mut left_over = self.berth.left_over.clone();
        self.berth.land(|| {
            staging::refuse_foreign(&target)?;
            let old = swap::exchange(&self.berth)?;
            left_over.extend(old.filter(|old| swap::remove_site(old).is_err()));
            Ok(())
        })?;
        let bytes = self.bytes.load(Ordering::Relaxed);
        Ok(Landed { folder: target, files: files.len(), bytes, left_over })
    }

    /// What takes everything back from another thread while the site is being built, for a program
    /// that is told to end and ends right after. Waits for a landing that has begun.
    pub(crate) fn abandoner(&self) -> impl Fn() + Send + 'static {
        let (register, held) = (Arc::clone(&self.register), self.berth.held());
        move || {
            // Held for good, so that no thread makes a folder again that was just removed.
            let register = register.lock().unwrap_or_else(PoisonError::into_inner);
            held.take_back();
            std::mem::forget(register);
        }
    }

    /// Puts the list of all files in order. The new list takes the place of the one that grew: a
    /// run killed here leaves a folder that can still be told to be ours.
    fn write_marker(&self, files: &[String]) -> Result<(), LandingFault> {
        let (path, to_be) = (self.staging().join(MARKER), self.staging().join(LIST_TO_BE));
        let list: String = files.iter().flat_map(|file| [file.as_str(), "\n"]).collect();
        create(&to_be, format!("{MARKER_HEAD}\n{list}").as_bytes())?;
        fs::rename(&to_be, &path).map_err(|e| LandingFault::from_disk(&path, "write", e))
    }

    fn register(&self) -> MutexGuard<'_, Register> {
        // A writer that panicked has left at worst a name without its file; `failed` or the panic
        // itself stops the landing.
        self.register.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn create(path: &Path, bytes: &[u8]) -> Result<(), LandingFault> {
    let fault = |e| LandingFault::from_disk(path, "write", e);
    let mut file = OpenOptions::new().write(true).create_new(true).open(path).map_err(fault)?;
    file.write_all(bytes).map_err(fault)
}

/// The files that the marker in `folder` lists, and the marker itself; `None` when there is no
/// marker of ours.
fn marked_files(folder: &Path) -> Option<BTreeSet<String>> {
    let text = fs::read_to_string(folder.join(MARKER)).ok()?;
    let mut lines = text.lines();
    (lines.next() == Some(MARKER_HEAD)).then(|| lines.chain([MARKER]).map(str::to_string).collect())
}
