//! Folders that are made on the way to a file, and taken back when nothing comes to lie in them.

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
