//! Files read whole: plain ones only, and none that is larger than its reader can use.
//!
//! A pipe would be waited for without end, a device never ends, and a file of many gigabytes takes
//! as much memory before anybody can say that it is too large.

use std::fmt;
use std::fs::{File, Metadata, OpenOptions};
use std::io::{self, ErrorKind, Read};
use std::path::Path;

/// Why a file was not read.
#[derive(Debug)]
pub(crate) enum FileFault {
    /// There is none of that name.
    Missing,
    /// It is no plain file but this.
    NotPlain(&'static str),
    /// It is larger than this many bytes.
    TooLarge(u64),
    /// The disk refused.
    Disk(io::Error),
}

impl fmt::Display for FileFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            FileFault::Missing => f.write_str("there is no such file"),
            FileFault::NotPlain(what) => write!(f, "it is {what}, no plain file"),
            FileFault::TooLarge(most) => {
                write!(f, "it is too large: the most is {}", size_words(*most))
            }
            FileFault::Disk(error) => write!(f, "{error}"),
        }
    }
}

impl From<io::Error> for FileFault {
    fn from(error: io::Error) -> FileFault {
        match error.kind() {
            ErrorKind::NotFound => FileFault::Missing,
            _ => FileFault::Disk(error),
        }
    }
}

/// All of a plain file of at most `most` bytes. Links are followed.
///
/// # Errors
/// When it is no such file.
pub(crate) fn read(path: &Path, most: u64) -> Result<Vec<u8>, FileFault> {
    // Asked before it is opened: opening a pipe waits for somebody to write into it, and opening a
    // device may do something. Asked again of what was opened, which may be another one by now.
    plain(&std::fs::metadata(path)?, most)?;
    let file = open(path)?;
    let size = plain(&file.metadata()?, most)?;
    bounded(file, most, size)
}

/// All of a stream of at most `most` bytes.
///
/// # Errors
/// When it is longer, or cannot be read.
pub(crate) fn bounded(stream: impl Read, most: u64, expected: usize) -> Result<Vec<u8>, FileFault> {
    let mut bytes = Vec::with_capacity(expected);
    stream.take(most + 1).read_to_end(&mut bytes)?;
    if most < bytes.len() as u64 { Err(FileFault::TooLarge(most)) } else { Ok(bytes) }
}

/// The size of a plain file.
fn plain(about: &Metadata, most: u64) -> Result<usize, FileFault> {
    if about.is_dir() {
        Err(FileFault::NotPlain("a folder"))
    } else if !about.is_file() {
        Err(FileFault::NotPlain("a pipe or a device"))
    } else if most < about.len() {
        Err(FileFault::TooLarge(most))
    } else {
        Ok(usize::try_from(about.len()).unwrap_or(0))
    }
}

#[cfg(unix)]
fn open(path: &Path) -> io::Result<File> {
    use std::os::unix::fs::OpenOptionsExt as _;
    let at_once = rustix::fs::OFlags::NONBLOCK.bits().cast_signed();
    OpenOptions::new().read(true).custom_flags(at_once).open(path)
}

#[cfg(not(unix))]
fn open(path: &Path) -> io::Result<File> {
    OpenOptions::new().read(true).open(path)
}

/// `2 MB` for a limit, which is a round number of one unit.
fn size_words(bytes: u64) -> String {
    let units = [("GB", 30), ("MB", 20), ("kB", 10)];
    let unit = units.iter().find(|(_, power)| 1 << power <= bytes);
    unit.map_or_else(
        || format!("{bytes} bytes"),
        |(name, power)| format!("{} {name}", bytes >> power),
    )
}
