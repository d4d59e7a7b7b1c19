//! A folio on disk: which files it has, and their texts.

use super::inventory::Inventory;
use super::plain_file::{self, FileFault};
use crate::folio::{self, Files, Folio};
use crate::page::LARGEST_PAGE;
use crate::publication::files::{OWN_THEME, whole};
use crate::slip::Slip;
use crate::text::{Date, Source};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// Why a folio cannot be worked with at all.
#[derive(Debug)]
pub struct NoFolio {
    /// What is wrong, and what to do.
    pub message: String,
}

/// The files of a folio, by path below it with `/` between parts.
#[derive(Debug)]
pub struct Folder {
    pub(crate) root: PathBuf,
    /// Markdown pages.
    pub pages: Vec<String>,
    /// Other files of `content/`.
    pub files: BTreeSet<String>,
    /// Cutaways of `diagrams/`.
    pub cutaways: Vec<String>,
    /// The day for which it is judged, before that of the imprint.
    pub(crate) date: Option<Date>,
    /// Files of its own theme.
    pub(super) theme: Vec<String>,
    /// What lies in it without being read.
    slips: Vec<Slip>,
    /// Pages whose declarations were read, until they are judged.
    kept: Mutex<Kept>,
}

/// Texts of pages in memory.
#[derive(Debug, Default)]
struct Kept {
    bytes: usize,
    by_name: BTreeMap<String, Arc<Source>>,
}

/// Most bytes of pages that are kept in memory between reading and judging them. The pages of
/// nearly every folio are fewer; those of a larger one are read again.
const MOST_KEPT: usize = 8 << 20;

/// Largest cutaway that is read, in bytes: twenty times the longest that anybody wrote.
pub(super) const LARGEST_CUTAWAY: u64 = 64 << 10;

/// Largest imprint, and largest file of a theme, in bytes.
const LARGEST_OTHER: u64 = 8 << 20;

impl Folder {
    /// Looks through the folio at `root`.
    ///
    /// # Errors
    /// When there is no `content` folder or it cannot be read.
    pub fn open(root: &Path) -> Result<Folder, NoFolio> {
        let content = root.join("content");
        if !content.is_dir() {
            let message = format!(
                "there is no folio at {}: it has no folder `content`. Name the folder that holds \
                 `content`, or make a folio with `gaugebook start`",
                root.display()
            );
            return Err(NoFolio { message });
        }
        let found = Inventory::of(root)?;
        Ok(Folder {
            root: root.to_path_buf(),
            date: None,
            pages: found.pages,
            files: found.files,
            cutaways: found.cutaways,
            theme: found.theme,
            slips: found.slips,
            kept: Mutex::default(),
        })
    }

    /// Reads the folio's declarations.
    ///
    /// # Errors
    /// When the imprint exists but cannot be read.
    pub fn read(&self) -> Result<(Arc<Folio>, Vec<Slip>), NoFolio> {
        let imprint = match self.text("content/imprint.yaml", LARGEST_OTHER) {
            Ok(source) => Some(source),
            Err(TextFault::Unread(FileFault::Missing)) => None,
            Err(fault) => return Err(NoFolio { message: fault.message("content/imprint.yaml") }),
        };
        let mut slips = self.slips.clone();
        let mut cutaways = Vec::new();
        for name in &self.cutaways {
            match self.page(name) {
                Ok(source) => cutaways.push(source),
                Err(slip) => slips.push(*slip),
            }
        }
        let files = Files { beside: self.files.clone(), imprint, cutaways, date: self.date };
        let load = |name: &str| self.page(name).inspect(|source| self.keep(name, source));
        let (folio, found) = folio::read(&self.pages, files, &load);
        slips.extend(found);
        Ok((Arc::new(folio), slips))
    }

    fn keep(&self, name: &str, source: &Arc<Source>) {
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.bytes + source.text.len() <= MOST_KEPT {
            kept.bytes += source.text.len();
            kept.by_name.insert(name.to_owned(), Arc::clone(source));
        }
    }

    /// Text of a page whose declarations were read: the same one if it was kept, and then for the
    /// last time; else as it stands now.
    ///
    /// # Errors
    /// The slip that it cannot be read.
    pub(crate) fn page_again(&self, name: &str) -> Result<Arc<Source>, Box<Slip>> {
        let kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner).by_name.remove(name);
        kept.map_or_else(|| self.page(name), Ok)
    }

    /// Text of a page or cutaway, or the slip that it cannot be read.
    ///
    /// # Errors
    /// The slip.
    pub(crate) fn page(&self, name: &str) -> Result<Arc<Source>, Box<Slip>> {
        let is_cutaway = name.ends_with(".cut");
        let most = if is_cutaway { LARGEST_CUTAWAY } else { LARGEST_PAGE as u64 };
        self.text(name, most).map_err(|fault| {
            let slip = |code, message| Box::new(Slip::stop(code, whole(name), message));
            match fault {
                TextFault::NotUtf8(line) => {
                    let message = format!("line {line} holds bytes that are no UTF-8 text");
                    Box::new(slip("not-utf8", message).help("save the file as UTF-8"))
                }
                TextFault::Control(line) => {
                    let message = format!("line {line} holds a control character");
                    Box::new(slip("not-utf8", message).help("delete it; it does not show"))
                }
                TextFault::Unread(FileFault::TooLarge(most)) => {
                    let what = if is_cutaway { "cutaway" } else { "page" };
                    let message = format!("the {what} is longer than {most} bytes");
                    Box::new(slip("page-too-large", message).help("split it into several"))
                }
                TextFault::Unread(fault) => {
                    slip("file-unreadable", format!("this cannot be read: {fault}"))
                }
            }
        })
    }

    fn text(&self, name: &str, most: u64) -> Result<Arc<Source>, TextFault> {
        let bytes = self.bytes(name, most).map_err(TextFault::Unread)?;
        let line_of =
            |bytes: &[u8], at: usize| 1 + bytes[..at].iter().filter(|b| **b == b'\n').count();
        let control = |b: &u8| matches!(b, 0..=8 | 11 | 12 | 14..=31 | 127);
        // Looking at all of them without stopping is quicker than looking for the first.
        if bytes.iter().fold(false, |found, b| found | control(b))
            && let Some(at) = bytes.iter().position(control)
        {
            return Err(TextFault::Control(line_of(&bytes, at)));
        }
        // The further ones of Latin-1: terminals obey some of them.
        if let Some(at) = bytes.windows(2).position(|pair| matches!(pair, [0xc2, 0x80..=0x9f])) {
            return Err(TextFault::Control(line_of(&bytes, at)));
        }
        String::from_utf8(bytes).map(|text| Source::new(name, text)).map_err(|error| {
            let at = error.utf8_error().valid_up_to();
            TextFault::NotUtf8(line_of(error.as_bytes(), at))
        })
    }

    /// Bytes of a file of the folio, at most `most` of them.
    ///
    /// # Errors
    /// Those of the disk, and when it is no plain file of that size.
    pub(crate) fn bytes(&self, name: &str, most: u64) -> Result<Vec<u8>, FileFault> {
        let mut path = self.root.clone();
        path.extend(name.split('/'));
        plain_file::read(&path, most)
    }

    /// Files of the folio's own theme, `themes/sheet/`, by name below it.
    ///
    /// # Errors
    /// The slip that one cannot be read.
    pub(crate) fn theme(&self) -> Result<BTreeMap<String, Vec<u8>>, Box<Slip>> {
        let files = self.theme.iter().map(|name| {
            let bytes = self.bytes(name, LARGEST_OTHER).map_err(|fault| {
                let message = format!("this cannot be read: {fault}");
                Box::new(Slip::stop("file-unreadable", whole(name), message))
            })?;
            Ok((name.strip_prefix(OWN_THEME).unwrap_or(name).to_owned(), bytes))
        });
        files.collect()
    }
}

/// The sheet of an engine named by the user.
///
/// # Errors
/// When no page describes it; the engines that there are.
pub(crate) fn engine_sheet(folio: &Folio, engine: &str) -> Result<usize, NoFolio> {
    folio.ledger.engine(engine).ok_or_else(|| {
        let known: Vec<&str> = folio.ledger.engines().collect();
        let known = if known.is_empty() { "none".to_owned() } else { known.join(", ") };
        let message = format!("no page describes an engine `{engine}`; this folio has {known}");
        NoFolio { message }
    })
}

/// Why a text cannot be read.
enum TextFault {
    /// Line.
    NotUtf8(usize),
    /// Line.
    Control(usize),
    Unread(FileFault),
}

impl TextFault {
    fn message(&self, name: &str) -> String {
        match self {
            TextFault::NotUtf8(line) => format!("{name}, line {line}: this is no UTF-8 text"),
            TextFault::Control(line) => {
                format!("{name}, line {line}: this holds a control character")
            }
            TextFault::Unread(fault) => format!("{name} cannot be read: {fault}"),
        }
    }
}
