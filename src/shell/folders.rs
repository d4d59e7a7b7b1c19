//! Folders that are made on the way to a file, and taken back when nothing comes to lie in them;
//! names that change in one step.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// Folders that were made, innermost first.
#[derive(Debug, Default)]
pub(super) struct MadeFolders(Vec<PathBuf>);

impl MadeFolders {
    /// Makes a folder and those above it that are missing. When that fails, none of them stays.
    pub(super) fn down_to(folder: &Path) -> io::Result<MadeFolders> {
        let missing = folder.ancestors().take_while(|upper| !upper.exists());
        // A relative path ends in the empty one, which is the folder we are in.
        let missing = missing.filter(|upper| !upper.as_os_str().is_empty());
        let made = MadeFolders(missing.map(Path::to_path_buf).collect());
        fs::create_dir_all(folder).inspect_err(|_| made.take_back())?;
        Ok(made)
    }

    /// Removes those that are empty.
    pub(super) fn take_back(&self) {
        for folder in &self.0 {
            let _ = fs::remove_dir(folder);
        }
    }
}

/// Waits until the names in a folder are on the disk.
#[cfg(unix)]
pub(super) fn sync(folder: &Path) -> io::Result<()> {
    fs::File::open(folder)?.sync_all()
}

/// Windows has no such call for folders; its own journal keeps names in order.
#[cfg(not(unix))]
pub(super) fn sync(_folder: &Path) -> io::Result<()> {
    Ok(())
}

/// What becomes of what has the new name already.
pub(super) enum Taken {
    /// It gets the old name.
    Exchanged,
    /// It stays, and renaming fails.
    Kept,
}

/// Renames in one step; `false` when this disk or system has no such step.
#[cfg(any(target_os = "linux", target_os = "android", target_vendor = "apple"))]
pub(super) fn rename(from: &Path, to: &Path, taken: Taken) -> io::Result<bool> {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    use rustix::io::Errno;
    let flags = match taken {
        Taken::Exchanged => RenameFlags::EXCHANGE,
        Taken::Kept => RenameFlags::NOREPLACE,
    };
    match renameat_with(CWD, from, CWD, to, flags) {
        Ok(()) => Ok(true),
        Err(Errno::INVAL | Errno::NOSYS | Errno::NOTSUP) => Ok(false),
        Err(error) => Err(error.into()),
    }
}

#[cfg(not(any(target_os = "linux", target_os = "android", target_vendor = "apple")))]
pub(super) fn rename(_from: &Path, _to: &Path, _taken: Taken) -> io::Result<bool> {
    Ok(false)
}
