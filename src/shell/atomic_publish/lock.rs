//! The lock beside a target: two runs never build the same site at once.

use super::LandingFault;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

/// A lock file that is held while its process lives and is gone afterwards. It is always empty: a
/// file of that name with something in it is not ours.
#[derive(Debug)]
pub(super) struct Lock {
    file: File,
    path: PathBuf,
}

impl Lock {
    /// Takes the lock of the target called `name` in the folder `parent`.
    pub(super) fn take(parent: &Path, name: &str, target: &Path) -> Result<Lock, LandingFault> {
        let path = &parent.join(format!(".{name}.gaugebook-lock"));
        let fault = |e| LandingFault::from_disk(path, "lock", e);
        for _ in 0..50 {
            let file = match open(path) {
                Ok(Some(file)) => file,
                Ok(None) => return Err(LandingFault::NotOurLock { path: path.clone() }),
                // Windows, while the previous holder's file is still being removed.
                Err(e) if cfg!(windows) && e.kind() == ErrorKind::PermissionDenied => {
                    std::thread::sleep(std::time::Duration::from_millis(10));
                    continue;
                }
                Err(e) => return Err(fault(e)),
            };
            match file.try_lock() {
                Ok(()) if is_still_at(&file, path) => return Ok(Lock { file, path: path.clone() }),
                // The previous holder removed the file between our opening and our locking it.
                Ok(()) => {}
                Err(TryLockError::WouldBlock) => {
                    return Err(LandingFault::Busy { target: target.to_path_buf() });
                }
                Err(TryLockError::Error(cause)) => {
                    let _ = fs::remove_file(path);
                    return Err(LandingFault::NoLocks { path: path.clone(), cause });
                }
            }
        }
        Err(LandingFault::Busy { target: target.to_path_buf() })
    }
}

impl Drop for Lock {
    /// Removes the file while the lock is still held, so that nobody can hold a lock on it after.
    fn drop(&mut self) {
        let _ = fs::remove_file(&self.path);
        let _ = self.file.unlock();
    }
}

/// Opens the lock file, or makes it; `None` when something else has its name.
fn open(path: &Path) -> std::io::Result<Option<File>> {
    match fs::symlink_metadata(path) {
        Ok(there) if !there.is_file() || there.len() != 0 => return Ok(None),
        Err(e) if e.kind() != ErrorKind::NotFound => return Err(e),
        _ => {}
    }
    let mut options = OpenOptions::new();
    options.read(true).write(true).create(true).truncate(false);
    options.open(path).map(Some)
}

fn is_still_at(file: &File, path: &Path) -> bool {
    let held = file.try_clone().and_then(same_file::Handle::from_file);
    let there = same_file::Handle::from_path(path);
    matches!((held, there), (Ok(held), Ok(there)) if held == there)
}
