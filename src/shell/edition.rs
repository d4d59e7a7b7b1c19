//! A folio on disk brought together with the maker of its site.

use super::atomic_publish::Landing;
use super::folder::{Folder, NoFolio};
use super::plain_file::FileFault;
use crate::folio::Folio;
use crate::publication::{self, NoBytes, Sources};
use crate::slip::Slip;
use crate::text::Source;
use std::collections::BTreeMap;
use std::sync::Arc;

pub use crate::publication::{FolioStanding, Shelf, Sink, Wish};

/// Judges a folio. One with a theme of its own is made as well, and nothing of it kept.
///
/// # Errors
/// When it cannot be read at all.
pub fn proof(folder: &Folder, progress: &dyn Fn(usize, usize)) -> Result<FolioStanding, NoFolio> {
    publication::proof(folder, progress).map_err(|message| NoFolio { message })
}

/// Judges a folio and makes its site. Files reach the sink only as long as nothing stops
/// publishing; the caller must look at the standing before it lets anybody see them. Gives the
/// folio that was read as well.
///
/// # Errors
/// When the folio cannot be read, or the sink cannot keep a file.
pub fn make(
    folder: &Folder,
    wish: Wish,
    sink: &dyn Sink,
    progress: &dyn Fn(usize, usize),
) -> Result<(FolioStanding, Arc<Folio>), NoFolio> {
    publication::make(folder, wish, sink, progress).map_err(|message| NoFolio { message })
}

impl Sources for Folder {
    fn read(&self) -> Result<(Arc<Folio>, Vec<Slip>), String> {
        Folder::read(self).map_err(|no| no.message)
    }

    fn page(&self, name: &str) -> Result<Arc<Source>, Box<Slip>> {
        self.page_again(name)
    }

    fn bytes(&self, name: &str, most: u64) -> Result<Vec<u8>, NoBytes> {
        Folder::bytes(self, name, most).map_err(|fault| NoBytes {
            is_too_large: matches!(fault, FileFault::TooLarge(_)),
            why: fault.to_string(),
        })
    }

    fn theme_names(&self) -> &[String] {
        &self.theme
    }

    fn theme(&self) -> Result<BTreeMap<String, Vec<u8>>, Box<Slip>> {
        Folder::theme(self)
    }
}

impl Sink for Landing {
    fn put(&self, name: &str, bytes: &[u8]) -> Result<(), String> {
        self.write(name, bytes).map_err(|fault| fault.to_string())
    }
}
