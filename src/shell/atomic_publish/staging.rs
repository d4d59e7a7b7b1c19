//! The place where a site will lie: the target, the lock beside it, and the staging folder.
//!
//! All three stand in one folder, so they are on one disk and can change places by renaming.

use super::super::folders::MadeFolders;
use super::swap::remove_site;
use super::{IGNORED, LandingFault, MARKER, MARKER_HEAD, marked_files};
use std::collections::BTreeSet;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

/// A target that this run alone may replace. Dropping it removes the staging folder and the lock.
#[derive(Debug)]
pub(super) struct StagingDir {
    /// Where the site goes.
    pub(super) target: PathBuf,
    /// Where it is built.
    pub(super) staging: PathBuf,
    /// Where the old site waits when two folders cannot be exchanged in one step.
    pub(super) aside: PathBuf,
    lock: Lock,
    made_parents: MadeFolders,
    has_landed: bool,
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
        let taken = StagingDir::take_locked(&target, parent, &name);
        match taken {
            Ok((lock, staging)) => {
                let aside = parent.join(format!(".{name}.old-{}", std::process::id()));
                Ok(StagingDir { lock, staging, aside, made_parents, has_landed: false, target })
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
    ) -> Result<(Lock, PathBuf), LandingFault> {
        let lock = Lock::take(&parent.join(format!(".{name}.lock")), target)?;
        clear_stale(target, parent, name)?;
        // Again, now that nobody else can change it.
        refuse_foreign(target)?;
        let staging = make_staging(parent, name)?;
        let marker = staging.join(MARKER);
        let marked = fs::write(&marker, format!("{MARKER_HEAD}\n"));
        if let Err(cause) = marked {
            let _ = remove_site(&staging);
            return Err(LandingFault::from_disk(&marker, "write", cause));
        }
        Ok((lock, staging))
    }

    /// The site is in its place: what is dropped from now on is only the lock.
    pub(super) fn landed(&mut self) {
        self.has_landed = true;
    }
}

impl Drop for StagingDir {
    fn drop(&mut self) {
        if !self.has_landed {
            let _ = remove_site(&self.staging);
        }
        self.lock.remove();
        if !self.has_landed {
            self.made_parents.take_back();
        }
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
fn first_foreign(
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

/// Removes what killed runs left: the lock is ours, so their owners are gone. An old site that was
/// laid aside is put back first, if nothing stands in its place.
fn clear_stale(target: &Path, parent: &Path, name: &str) -> Result<(), LandingFault> {
    let fault = |e| LandingFault::from_disk(parent, "look into the folder", e);
    let (new, old) = (format!(".{name}.new-"), format!(".{name}.old-"));
    for entry in fs::read_dir(parent).map_err(fault)? {
        let entry = entry.map_err(fault)?;
        let entry_name = entry.file_name().to_string_lossy().into_owned();
        let is_old = entry_name.starts_with(&old);
        if !is_old && !entry_name.starts_with(&new) {
            continue;
        }
        let path = entry.path();
        if is_old && !target.exists() && marked_files(&path).is_some() {
            fs::rename(&path, target)
                .map_err(|e| LandingFault::from_disk(target, "put the old site back at", e))?;
        } else if carries_marker(&path) {
            remove_site(&path)
                .map_err(|e| LandingFault::from_disk(&path, "remove the leftover", e))?;
        } else {
            // Killed before it could be marked: then it is empty. Anything else is not ours.
            let _ = fs::remove_dir(&path);
        }
    }
    Ok(())
}

/// Whether a folder holds our marker, even one that was cut off by a kill while it was written.
fn carries_marker(folder: &Path) -> bool {
    let text = fs::read_to_string(folder.join(MARKER));
    text.is_ok_and(|text| text.starts_with(MARKER_HEAD) || MARKER_HEAD.starts_with(&text))
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

/// A lock file that is held while its process lives and is gone afterwards.
#[derive(Debug)]
struct Lock {
    file: File,
    path: PathBuf,
}

impl Lock {
    fn take(path: &Path, target: &Path) -> Result<Lock, LandingFault> {
        let fault = |e| LandingFault::from_disk(path, "lock", e);
        for _ in 0..50 {
            let mut options = OpenOptions::new();
            options.read(true).write(true).create(true).truncate(false);
            let file = match options.open(path) {
                Ok(file) => file,
                // Windows, while the previous holder's file is still being removed.
                Err(e) if cfg!(windows) && e.kind() == ErrorKind::PermissionDenied => {
                    std::thread::sleep(std::time::Duration::from_millis(10));
                    continue;
                }
                Err(e) => return Err(fault(e)),
            };
            match file.try_lock() {
                Ok(()) if is_still_at(&file, path) => {
                    return Ok(Lock { file, path: path.to_path_buf() });
                }
                // The previous holder removed the file between our opening and our locking it.
                Ok(()) => {}
                Err(TryLockError::WouldBlock) => {
                    return Err(LandingFault::Busy { target: target.to_path_buf() });
                }
                Err(TryLockError::Error(e)) => return Err(fault(e)),
            }
        }
        Err(LandingFault::Busy { target: target.to_path_buf() })
    }

    /// Removes the file while the lock is still held, so that nobody can hold a lock on it after.
    fn remove(&self) {
        let _ = fs::remove_file(&self.path);
        let _ = self.file.unlock();
    }
}

fn is_still_at(file: &File, path: &Path) -> bool {
    let held = file.try_clone().and_then(same_file::Handle::from_file);
    let there = same_file::Handle::from_path(path);
    matches!((held, there), (Ok(held), Ok(there)) if held == there)
}
