//! Files of the writer's own: changed or newly written whole, or not at all.
//!
//! Whatever fails, and wherever a run is killed, each file is as it was or as it was meant to be.
//! Everything is written beside its place under a name that nobody else has, brought through to the
//! disk, and renamed. A kill can leave such a file beside; it is hidden, whole or not, and means
//! nothing to any command.

use super::folders::{self, MadeFolders, Taken};
use super::plain_file;
use std::fs::{self, File, Metadata, OpenOptions};
use std::io::{self, ErrorKind, Write as _};
use std::path::{Path, PathBuf};

/// Puts `new` in the place of `old`, which is what the file holds. A link is followed: it stays,
/// and what it leads to is changed. Mode and owner stay; other names of the same file (hard links)
/// keep the old text.
///
/// Only bytes go through here. Whoever edits a text keeps its line ends and its byte order mark by
/// editing what was read, and nothing else of it.
///
/// # Errors
/// When the file may not be written to, has changed since it was read, or the disk refuses; in
/// words that name the file. It is then as it was, and nothing lies beside it.
pub(crate) fn replace(path: &Path, old: &[u8], new: &[u8]) -> Result<(), String> {
    let shown = path.display();
    let cannot = |error: io::Error| format!("{shown} cannot be changed: {error}");
    let real = fs::canonicalize(path).map_err(cannot)?;
    let about = fs::metadata(&real).map_err(cannot)?;
    if about.permissions().readonly() {
        return Err(format!("{shown} may not be changed: it is read-only"));
    }
    // Renaming asks only whether the folder may be written to.
    OpenOptions::new().write(true).open(&real).map_err(cannot)?;
    let mut beside = TemporaryFile::write(&real, new).map_err(cannot)?;
    beside.take_after(&about).map_err(|error| {
        format!("{shown} cannot be changed: its owner and mode would be lost ({error})")
    })?;
    if !holds(&real, old) {
        return Err(format!("{shown} was changed meanwhile; it was left alone: run again"));
    }
    fs::rename(&beside.path, &real).map_err(cannot)?;
    beside.is_placed = true;
    sync_around(&real);
    Ok(())
}

/// A file to be written where there is none.
#[derive(Debug)]
pub(crate) struct NewFile {
    pub(crate) path: PathBuf,
    pub(crate) bytes: Vec<u8>,
}

/// Writes new files, in this order, and the folders that they need: all of them or none.
///
/// A kill can leave the first ones, each whole; so what others rest on comes first. A file that is
/// there already with just these bytes counts as written: so whoever was killed can run again.
///
/// # Errors
/// When something else has one of the names, or the disk refuses; in words that name the file. The
/// disk is then as it was.
pub(crate) fn create(files: &[NewFile]) -> Result<(), String> {
    let mut set = NewSet::default();
    set.write(files).inspect_err(|_| set.take_back())
}

/// The words for a file that is in the way.
pub(crate) fn there_already(path: &Path) -> String {
    format!("{} is there already; it was left alone", path.display())
}

/// Whether a file holds just these bytes.
pub(crate) fn holds(path: &Path, bytes: &[u8]) -> bool {
    plain_file::read(path, bytes.len() as u64).is_ok_and(|there| there == bytes)
}

/// New files on their way to their places.
#[derive(Default)]
struct NewSet {
    folders: Vec<MadeFolders>,
    placed: Vec<PathBuf>,
}

impl NewSet {
    fn write(&mut self, files: &[NewFile]) -> Result<(), String> {
        let mut besides = Vec::new();
        for NewFile { path, bytes } in files {
            if holds(path, bytes) {
                continue;
            }
            if fs::symlink_metadata(path).is_ok() {
                return Err(there_already(path));
            }
            if let Some(folder) = path.parent() {
                let made = MadeFolders::down_to(folder).map_err(|error| {
                    format!("cannot make the folder {}: {error}", folder.display())
                })?;
                self.folders.push(made);
            }
            let beside = TemporaryFile::write(path, bytes)
                .map_err(|error| format!("cannot write {}: {error}", path.display()))?;
            besides.push((beside, path));
        }
        for (mut beside, path) in besides {
            beside.place(path).map_err(|error| match error.kind() {
                ErrorKind::AlreadyExists => there_already(path),
                _ => format!("cannot write {}: {error}", path.display()),
            })?;
            self.placed.push(path.clone());
            sync_around(path);
        }
        Ok(())
    }

    fn take_back(&self) {
        for path in &self.placed {
            let _ = fs::remove_file(path);
        }
        for folders in self.folders.iter().rev() {
            folders.take_back();
        }
    }
}

/// A file that is written beside its place. Dropping it before it is placed removes it.
struct TemporaryFile {
    path: PathBuf,
    file: File,
    is_placed: bool,
}

impl TemporaryFile {
    /// Writes a file beside `place`, through to the disk.
    fn write(place: &Path, bytes: &[u8]) -> io::Result<TemporaryFile> {
        let mut beside = TemporaryFile::open(place)?;
        beside.file.write_all(bytes)?;
        beside.file.sync_all()?;
        Ok(beside)
    }

    fn open(place: &Path) -> io::Result<TemporaryFile> {
        let own = std::process::id();
        for attempt in 0..100 {
            let path = place.with_file_name(format!(".gaugebook-{own}-{attempt}.new"));
            match OpenOptions::new().write(true).create_new(true).open(&path) {
                Ok(file) => return Ok(TemporaryFile { path, file, is_placed: false }),
                Err(error) if error.kind() == ErrorKind::AlreadyExists => {}
                Err(error) => return Err(error),
            }
        }
        Err(ErrorKind::AlreadyExists.into())
    }

    /// Gives it owner and mode of another file.
    fn take_after(&mut self, about: &Metadata) -> io::Result<()> {
        #[cfg(unix)]
        {
            use std::os::unix::fs::{MetadataExt as _, fchown};
            let own = self.file.metadata()?;
            if (own.uid(), own.gid()) != (about.uid(), about.gid()) {
                fchown(&self.file, Some(about.uid()), Some(about.gid()))?;
            }
        }
        self.file.set_permissions(about.permissions())?;
        self.file.sync_all()
    }

    /// Brings it to a place where nothing is.
    fn place(&mut self, place: &Path) -> io::Result<()> {
        if !folders::rename(&self.path, place, Taken::Kept)? {
            // Both names are there for a moment; dropping takes the first one away.
            return fs::hard_link(&self.path, place);
        }
        self.is_placed = true;
        Ok(())
    }
}

impl Drop for TemporaryFile {
    fn drop(&mut self) {
        if !self.is_placed {
            let _ = fs::remove_file(&self.path);
        }
    }
}

/// Brings a new name through to the disk. The file is in its place already, so a disk that cannot
/// do this is no reason to fail.
fn sync_around(path: &Path) {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    let _ = folders::sync(folder.unwrap_or(Path::new(".")));
}
