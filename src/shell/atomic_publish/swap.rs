//! Writing through to the disk and changing places.
//!
//! On Linux and macOS two folders change places in one system call. Elsewhere, and on disks that
//! cannot do it, the old site is renamed aside, the new one renamed in, and the old one put back
//! if that fails; a run killed between the two renames is repaired by the next one (see `berth`).

use super::super::folders::{self, Taken};
use super::staging::StagingDir;
use super::{LandingFault, MARKER};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// Puts the staging folder in the target's place; gives the old site's new place, if there was one.
pub(super) fn exchange(berth: &StagingDir) -> Result<Option<PathBuf>, LandingFault> {
    let (staging, target) = (berth.staging.as_path(), berth.target.as_path());
    let fault = |e: io::Error| match e.kind() {
        // A mount on the same disk looks like any folder until it is renamed.
        io::ErrorKind::ResourceBusy | io::ErrorKind::CrossesDevices => {
            LandingFault::MountPoint { target: target.to_path_buf() }
        }
        _ => LandingFault::from_disk(target, "bring the new site to", e),
    };
    let old = if !target.exists() {
        fs::rename(staging, target).map_err(fault)?;
        None
    } else if folders::rename(staging, target, Taken::Exchanged).map_err(fault)? {
        Some(staging.to_path_buf())
    } else {
        exchange_by_renames(staging, target, &berth.aside)?;
        Some(berth.aside.clone())
    };
    // The new names are on the disk only when the folder that holds them is; the site itself is
    // already there, so a disk that cannot do this is no reason to fail.
    if let Some(parent) = target.parent() {
        let _ = folders::sync(parent);
    }
    Ok(old)
}

fn exchange_by_renames(staging: &Path, target: &Path, aside: &Path) -> Result<(), LandingFault> {
    fs::rename(target, aside)
        .map_err(|e| LandingFault::from_disk(target, "lay aside the old site at", e))?;
    fs::rename(staging, target).map_err(|e| {
        // If even this fails, the next run finds the old site aside and puts it back.
        let _ = fs::rename(aside, target);
        LandingFault::from_disk(target, "bring the new site to", e)
    })
}

/// Removes a folder of ours, its marker last: a run killed half way leaves a folder that can still
/// be told to be ours.
pub(super) fn remove_site(folder: &Path) -> io::Result<()> {
    let marker = folder.join(MARKER);
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        if entry.file_type()?.is_dir() {
            fs::remove_dir_all(entry.path())?;
        } else if entry.path() != marker {
            fs::remove_file(entry.path())?;
        }
    }
    match fs::remove_file(&marker) {
        Err(e) if e.kind() != io::ErrorKind::NotFound => Err(e),
        _ => fs::remove_dir(folder),
    }
}

/// Waits until everything in the staging folder is on the disk, so that a power cut after the
/// exchange cannot leave a site of empty files.
#[cfg(any(target_os = "linux", target_os = "android"))]
pub(super) fn write_through(staging: &Path) -> Result<(), LandingFault> {
    // One call for the whole disk: a call per file takes minutes for ten thousand pages.
    let fault = |e| LandingFault::from_disk(staging, "write through to the disk", e);
    let folder = fs::File::open(staging).map_err(fault)?;
    rustix::fs::syncfs(&folder).map_err(|e| fault(e.into()))
}

/// Waits until everything in the staging folder is on the disk, so that a power cut after the
/// exchange cannot leave a site of empty files.
#[cfg(not(any(target_os = "linux", target_os = "android")))]
pub(super) fn write_through(staging: &Path) -> Result<(), LandingFault> {
    for entry in walkdir::WalkDir::new(staging).contents_first(true) {
        let entry = entry
            .map_err(|e| LandingFault::from_disk(staging, "look into the folder", e.into()))?;
        let path = entry.path();
        let synced = if entry.file_type().is_dir() {
            folders::sync(path)
        } else {
            fs::OpenOptions::new().write(true).open(path).and_then(|file| file.sync_data())
        };
        synced.map_err(|e| LandingFault::from_disk(path, "write through to the disk", e))?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    // The way of disks and systems without an exchange, which the tests' own disk does not take.
    #[test]
    fn renames_exchange_and_roll_back() {
        let place = tempfile::tempdir().unwrap();
        let [staging, target, aside] = ["new", "site", "old"].map(|name| place.path().join(name));
        fs::create_dir(&staging).unwrap();
        fs::create_dir(&target).unwrap();
        fs::write(staging.join("a"), "new").unwrap();
        fs::write(target.join("a"), "old").unwrap();
        exchange_by_renames(&staging, &target, &aside).unwrap();
        assert_eq!(fs::read_to_string(target.join("a")).unwrap(), "new");
        assert_eq!(fs::read_to_string(aside.join("a")).unwrap(), "old");

        // `staging` is gone now, so bringing it in fails: what was at the target must come back.
        fs::remove_dir_all(&aside).unwrap();
        assert!(exchange_by_renames(&staging, &target, &aside).is_err());
        assert_eq!(fs::read_to_string(target.join("a")).unwrap(), "new");
        assert!(!aside.exists());
    }
}
