//! The place where a site will lie: the target, the lock beside it, and the staging folder.
//!
//! All three stand in one folder, so they are on one disk and can change places by renaming.

use super::super::folders::MadeFolders;
use super::leftovers;
use super::lock::Lock;
use super::swap::remove_site;
use super::{IGNORED, LandingFault, MARKER, MARKER_HEAD, marked_files};
use std::collections::BTreeSet;
use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Write as _};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// A target that this run alone may replace. Dropping it removes the staging folder and the lock.
#[derive(Debug)]
pub(super) struct StagingDir {
    /// Where the site goes.
    pub(super) target: PathBuf,
    /// Where it is built.
    pub(super) staging: PathBuf,
    /// Where the old site waits when two folders cannot be exchanged in one step.
    pub(super) aside: PathBuf,
    /// What earlier runs left beside it and could not be removed.
    pub(super) left_over: Vec<PathBuf>,
    /// The marker of the staging folder, to which every name goes before its file is made.
    journal: File,
    held: Arc<HeldLock>,
}

/// What stands beside a target while a site is built.
#[derive(Debug)]
pub(super) struct HeldLock(Mutex<Option<StagedBeside>>);

#[derive(Debug)]
struct StagedBeside {
    staging: PathBuf,
    made_parents: MadeFolders,
    lock: Lock,
}

impl StagingDir {
    /// Checks the target, locks it, clears what killed runs left behind, makes a staging folder.
    pub(super) fn take(target: &Path, apart_from: &[&Path]) -> Result<StagingDir, LandingFault> {
        let target = settle(target)?;
        let (Some(parent), Some(name)) = (target.parent(), target.file_name()) else {
            return Err(LandingFault::NotAFolder { target, what: "the root of a disk" });
        };
        let name = name.to_string_lossy().into_owned();
        keep_apart(&target, apart_from)?;
        refuse_foreign(&target)?;
        let made_parents = MadeFolders::down_to(parent)
            .map_err(|cause| LandingFault::from_disk(parent, "make the folder", cause))?;
        refuse_mount_point(&target, parent)?;
        match StagingDir::take_locked(&target, parent, &name) {
            Ok((lock, left_over, staging, journal)) => {
                let aside = parent.join(format!(".{name}.old-{}", std::process::id()));
                let beside = StagedBeside { staging: staging.clone(), made_parents, lock };
                let held = Arc::new(HeldLock(Mutex::new(Some(beside))));
                Ok(StagingDir { target, staging, aside, left_over, journal, held })
            }
            Err(fault) => {
                made_parents.take_back();
                Err(fault)
            }
        }
    }

    fn take_locked(
        target: &Path,
        parent: &Path,
        name: &str,
    ) -> Result<(Lock, Vec<PathBuf>, PathBuf, File), LandingFault> {
        let lock = Lock::take(parent, name, target)?;
        let left_over = leftovers::clear(target, parent, name);
        // Again, now that nobody else can change it.
        refuse_foreign(target)?;
        let staging = make_staging(parent, name)?;
        let marker = staging.join(MARKER);
        let journal = OpenOptions::new().append(true).create_new(true).open(&marker);
        let marked = journal.and_then(|journal| {
            (&journal).write_all(format!("{MARKER_HEAD}\n").as_bytes()).map(|()| journal)
        });
        match marked {
            Ok(journal) => Ok((lock, left_over, staging, journal)),
            Err(cause) => {
                let _ = remove_site(&staging);
                Err(LandingFault::from_disk(&marker, "write", cause))
            }
        }
    }

    /// Notes that a file is about to be made, so that whoever finds it knows whose it is.
    pub(super) fn announce(&self, relative: &str) -> io::Result<()> {
        (&self.journal).write_all(format!("{relative}\n").as_bytes())
    }

    /// What stands beside the target, for whoever must take it back from another thread.
    pub(super) fn held(&self) -> Arc<HeldLock> {
        Arc::clone(&self.held)
    }

    /// Runs the step that brings the site to its place. Nobody takes anything back meanwhile, and
    /// afterwards only the lock.
    pub(super) fn land<T>(
        &self,
        step: impl FnOnce() -> Result<T, LandingFault>,
    ) -> Result<T, LandingFault> {
        let mut beside = self.held.lock();
        let done = step()?;
        *beside = None;
        Ok(done)
    }
}

impl HeldLock {
    fn lock(&self) -> MutexGuard<'_, Option<StagedBeside>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Removes the staging folder, the lock, and the folders that were made for them. Does nothing
    /// once the site has landed.
    pub(super) fn take_back(&self) {
        let Some(beside) = self.lock().take() else { return };
        // Other threads may still be writing into it.
        for _ in 0..100 {
            if remove_site(&beside.staging).is_ok() || !beside.staging.exists() {
                break;
            }
        }
        drop(beside.lock);
        beside.made_parents.take_back();
    }
}

impl Drop for StagingDir {
    fn drop(&mut self) {
        self.held.take_back();
    }
}

/// The target as an absolute path, with a link to a folder followed: the folder is replaced, the
/// link stays.
fn settle(target: &Path) -> Result<PathBuf, LandingFault> {
    let absolute = std::path::absolute(target)
        .map_err(|e| LandingFault::from_disk(target, "find the folder", e))?;
    match fs::symlink_metadata(&absolute) {
        Ok(_) => {
            let real = fs::canonicalize(&absolute)
                .map_err(|e| LandingFault::from_disk(&absolute, "follow the link", e))?;
            if !real.is_dir() {
                return Err(LandingFault::NotAFolder { target: real, what: "a file" });
            }
            Ok(real)
        }
        Err(e) if e.kind() == ErrorKind::NotFound => Ok(real_path(&absolute)),
        Err(e) if e.kind() == ErrorKind::NotADirectory => {
            Err(LandingFault::NotAFolder { target: absolute, what: "below a file" })
        }
        Err(e) => Err(LandingFault::from_disk(&absolute, "look at", e)),
    }
}

/// The path with links in those of its parts that exist followed.
fn real_path(path: &Path) -> PathBuf {
    for upper in path.ancestors() {
        if let Ok(real) = fs::canonicalize(upper) {
            return path.strip_prefix(upper).map_or_else(|_| path.into(), |rest| real.join(rest));
        }
    }
    path.to_path_buf()
}

fn keep_apart(target: &Path, apart_from: &[&Path]) -> Result<(), LandingFault> {
    for kept in apart_from {
        let kept = std::path::absolute(kept).unwrap_or_else(|_| kept.to_path_buf());
        let kept = real_path(&kept);
        if target.starts_with(&kept) || kept.starts_with(target) {
            return Err(LandingFault::InTheWay { target: target.to_path_buf(), kept });
        }
    }
    Ok(())
}

/// Refuses a folder on which a disk or a volume of its own is mounted: it cannot be renamed.
fn refuse_mount_point(target: &Path, parent: &Path) -> Result<(), LandingFault> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt as _;
        let disk = |folder: &Path| fs::metadata(folder).map(|about| about.dev());
        if matches!((disk(target), disk(parent)), (Ok(own), Ok(around)) if own != around) {
            return Err(LandingFault::MountPoint { target: target.to_path_buf() });
        }
    }
    let _ = (target, parent);
    Ok(())
}

/// Refuses a target in which something lies that no landing has written. A missing or empty folder
/// is fine.
pub(super) fn refuse_foreign(target: &Path) -> Result<(), LandingFault> {
    let ours = marked_files(target).unwrap_or_default();
    match first_foreign(target, "", &ours) {
        Ok(None) => Ok(()),
        Ok(Some(found)) => Err(LandingFault::NotOurs { target: target.to_path_buf(), found }),
        Err(e) => Err(LandingFault::from_disk(target, "look into the folder", e)),
    }
}

/// The first file or folder, in the order of names, that is not among `ours`. `below` is the path
/// of the folder in the site, with `/` at its end.
pub(super) fn first_foreign(
    folder: &Path,
    below: &str,
    ours: &BTreeSet<String>,
) -> io::Result<Option<String>> {
    let mut entries = match fs::read_dir(folder) {
        Ok(entries) => entries.collect::<io::Result<Vec<_>>>()?,
        Err(e) if e.kind() == ErrorKind::NotFound => return Ok(None),
        Err(e) => return Err(e),
    };
    entries.sort_by_cached_key(fs::DirEntry::file_name);
    for entry in entries {
        let name = entry.file_name();
        let found = format!("{below}{}", name.to_string_lossy());
        let kind = entry.file_type()?;
        if !kind.is_dir() {
            let is_ignored = IGNORED.iter().any(|known| name == *known);
            if !kind.is_file() || !is_ignored && !ours.contains(&found) {
                return Ok(Some(found));
            }
        } else if !holds_any(ours, &found) {
            return Ok(Some(found));
        } else if let Some(inside) = first_foreign(&entry.path(), &format!("{found}/"), ours)? {
            return Ok(Some(inside));
        }
    }
    Ok(None)
}

fn holds_any(files: &BTreeSet<String>, folder: &str) -> bool {
    let start = format!("{folder}/");
    files.range(start.clone()..).next().is_some_and(|file| file.starts_with(&start))
}

fn make_staging(parent: &Path, name: &str) -> Result<PathBuf, LandingFault> {
    let own = std::process::id();
    for attempt in 0..100 {
        let staging = parent.join(format!(".{name}.new-{own}-{attempt}"));
        match fs::create_dir(&staging) {
            Ok(()) => return Ok(staging),
            Err(e) if e.kind() == ErrorKind::AlreadyExists => {}
            Err(e) => return Err(LandingFault::from_disk(&staging, "make the folder", e)),
        }
    }
    let cause = io::Error::from(ErrorKind::AlreadyExists);
    Err(LandingFault::from_disk(parent, "make a staging folder in", cause))
}
