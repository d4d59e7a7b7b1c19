//! Why a site could not be brought to its place, in words that say what to do.
//!
//! Only what a caller may want to tell apart is a variant of its own; the rest is
//! [`LandingFault::Disk`] with the system's words.

use crate::publication::names::NameFault;
use std::fmt;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

/// Why a landing was refused or given up. The old site is untouched in every case.
#[derive(Debug)]
#[non_exhaustive]
pub enum LandingFault {
    /// The target cannot be a folder of its own: a file, a device, the root of a disk.
    NotAFolder {
        /// The target.
        target: PathBuf,
        /// What it is instead.
        what: &'static str,
    },
    /// The target holds something that was not written by a landing.
    NotOurs {
        /// The target.
        target: PathBuf,
        /// One of the foreign things, relative to the target.
        found: String,
    },
    /// The target lies in a folder that it must not touch, or holds it.
    InTheWay {
        /// The target.
        target: PathBuf,
        /// The folder to keep apart from.
        kept: PathBuf,
    },
    /// Another run is publishing to the same target.
    Busy {
        /// The target.
        target: PathBuf,
    },
    /// Another disk is mounted at the target.
    MountPoint {
        /// The target.
        target: PathBuf,
    },
    /// The name of the lock is taken by something that is no lock.
    NotOurLock {
        /// The file.
        path: PathBuf,
    },
    /// The disk knows no locks.
    NoLocks {
        /// The lock file.
        path: PathBuf,
        /// The system's words.
        cause: io::Error,
    },
    /// No permission, or a disk that can only be read.
    Unwritable {
        /// The file or folder that was refused.
        path: PathBuf,
        /// The system's words.
        cause: io::Error,
    },
    /// No room left, or a quota is used up.
    Full {
        /// The file that did not fit.
        path: PathBuf,
        /// The system's words.
        cause: io::Error,
    },
    /// A file name that would not work everywhere.
    BadName {
        /// The name.
        name: String,
        /// What is wrong with it.
        why: &'static str,
    },
    /// Two names that are one on some disks, or one name written twice.
    Twice {
        /// The name.
        name: String,
        /// The one that was there before.
        other: String,
    },
    /// An earlier write failed, so the site is not whole.
    Incomplete {
        /// The target.
        target: PathBuf,
    },
    /// The disk refused for another reason.
    Disk {
        /// The file or folder.
        path: PathBuf,
        /// What was tried, as a verb phrase.
        doing: &'static str,
        /// The system's words.
        cause: io::Error,
    },
}

impl From<NameFault> for LandingFault {
    fn from(fault: NameFault) -> LandingFault {
        match fault {
            NameFault::Bad { name, why } => LandingFault::BadName { name, why },
            NameFault::Twice { name, other } => LandingFault::Twice { name, other },
        }
    }
}

impl LandingFault {
    /// Sorts an error of the disk into the kinds above.
    pub(super) fn from_disk(path: &Path, doing: &'static str, cause: io::Error) -> LandingFault {
        let path = path.to_path_buf();
        match cause.kind() {
            ErrorKind::StorageFull | ErrorKind::QuotaExceeded | ErrorKind::FileTooLarge => {
                LandingFault::Full { path, cause }
            }
            ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
                LandingFault::Unwritable { path, cause }
            }
            _ => LandingFault::Disk { path, doing, cause },
        }
    }
}

impl LandingFault {
    /// What the disk refused.
    fn fmt_disk(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            LandingFault::NoLocks { path, cause } => write!(
                f,
                "`{}` could not be locked ({cause}); publish to a disk of this machine with --to and \
                 copy the site from there",
                path.display()
            ),
            LandingFault::Unwritable { path, cause } => write!(
                f,
                "no permission to write `{}` ({cause}); publish to a folder of your own with --to",
                path.display()
            ),
            LandingFault::Full { path, cause } => write!(
                f,
                "no room for `{}` ({cause}); make room on that disk or publish to another one with \
                 --to. The old site is unchanged",
                path.display()
            ),
            LandingFault::Disk { path, doing, cause } => {
                write!(f, "could not {doing} `{}`: {cause}", path.display())
            }
            _ => Ok(()),
        }
    }
}

impl fmt::Display for LandingFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            LandingFault::NotAFolder { target, what } => write!(
                f,
                "`{}` is {what}; give the name of a folder for the site with --to",
                target.display()
            ),
            LandingFault::NotOurs { target, found } => write!(
                f,
                "`{}` holds `{found}`, which was not published by gaugebook; a site replaces the \
                 whole folder, so move that away or publish to another folder with --to",
                target.display()
            ),
            LandingFault::InTheWay { target, kept } => write!(
                f,
                "`{}` and the sources in `{}` lie one inside the other; publish to a folder beside \
                 them with --to",
                target.display(),
                kept.display()
            ),
            LandingFault::Busy { target } => write!(
                f,
                "another run is publishing to `{}`; wait until it has ended",
                target.display()
            ),
            LandingFault::MountPoint { target } => write!(
                f,
                "`{}` is a disk or volume of its own, which no other folder can take the place of; \
                 publish to a folder inside it with --to",
                target.display()
            ),
            LandingFault::NotOurLock { path } => write!(
                f,
                "`{}` has the name of gaugebook's lock and is none; move it away, or publish to \
                 another folder with --to",
                path.display()
            ),
            LandingFault::BadName { name, why } => {
                write!(f, "a file of the site cannot be called `{name}`: {why}")
            }
            LandingFault::Twice { name, other } if name == other => {
                write!(f, "two things of the site are both called `{name}`; rename one of them")
            }
            LandingFault::Twice { name, other } => write!(
                f,
                "`{name}` and `{other}` are one and the same name on some disks; rename one of them"
            ),
            LandingFault::Incomplete { target } => write!(
                f,
                "not all files could be written, so `{}` stays as it was",
                target.display()
            ),
            LandingFault::NoLocks { .. }
            | LandingFault::Unwritable { .. }
            | LandingFault::Full { .. }
            | LandingFault::Disk { .. } => self.fmt_disk(f),
        }
    }
}

impl std::error::Error for LandingFault {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            LandingFault::Unwritable { cause, .. }
            | LandingFault::Full { cause, .. }
            | LandingFault::NoLocks { cause, .. }
            | LandingFault::Disk { cause, .. } => Some(cause),
            LandingFault::NotAFolder { .. }
            | LandingFault::NotOurs { .. }
            | LandingFault::InTheWay { .. }
            | LandingFault::Busy { .. }
            | LandingFault::MountPoint { .. }
            | LandingFault::NotOurLock { .. }
            | LandingFault::BadName { .. }
            | LandingFault::Twice { .. }
            | LandingFault::Incomplete { .. } => None,
        }
    }
}
