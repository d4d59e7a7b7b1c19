//! A folio on disk: which files it has, and their texts.

use crate::folio::{self, Files, Folio};
use crate::slip::Slip;
use crate::text::{Date, Source, Span, Spot};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};
use walkdir::WalkDir;

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

/// Deepest folder below `content/`: no folio has more, and links in a circle have no end.
const DEEPEST: usize = 16;

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
        let mut folder = Folder {
            root: root.to_path_buf(),
            pages: Vec::new(),
            files: BTreeSet::new(),
            cutaways: cutaways(root)?,
            date: None,
            kept: Mutex::default(),
        };
        let walk =
            WalkDir::new(&content).follow_links(false).max_depth(DEEPEST).sort_by_file_name();
        let hidden = |name: &std::ffi::OsStr| name.to_string_lossy().starts_with('.');
        let entries =
            walk.into_iter().filter_entry(|entry| entry.depth() == 0 || !hidden(entry.file_name()));
        for entry in entries {
            let entry = entry
                .map_err(|error| NoFolio { message: format!("cannot read the folio: {error}") })?;
            if !entry.file_type().is_file() {
                continue;
            }
            let Some(name) = name_below(root, entry.path()) else { continue };
            if name.ends_with(".md") {
                folder.pages.push(name);
            } else if name != "content/imprint.yaml" {
                folder.files.insert(name);
            }
        }
        folder.pages.sort();
        Ok(folder)
    }

    /// Reads the folio's declarations.
    ///
    /// # Errors
    /// When the imprint exists but cannot be read.
    pub(crate) fn read(&self) -> Result<(Arc<Folio>, Vec<Slip>), NoFolio> {
        let imprint = match self.text("content/imprint.yaml") {
            Ok(source) => Some(source),
            Err(ReadFault::Missing) => None,
            Err(fault) => return Err(NoFolio { message: fault.message("content/imprint.yaml") }),
        };
        let mut slips = Vec::new();
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

    /// Text of a page, or the slip that it cannot be read.
    ///
    /// # Errors
    /// The slip.
    pub(crate) fn page(&self, name: &str) -> Result<Arc<Source>, Box<Slip>> {
        self.text(name).map_err(|fault| {
            let source = Source::new(name, "");
            let spot = Spot::new(&source, Span::new(0, 0));
            Box::new(match fault {
                ReadFault::NotUtf8(line) => {
                    let message = format!("line {line} holds bytes that are no UTF-8 text");
                    Slip::stop("not-utf8", spot, message).help("save the file as UTF-8")
                }
                ReadFault::Control(line) => {
                    let message = format!("line {line} holds a control character");
                    Slip::stop("not-utf8", spot, message).help("delete it; it does not show")
                }
                fault => Slip::stop("not-utf8", spot, fault.message(name)),
            })
        })
    }

    fn text(&self, name: &str) -> Result<Arc<Source>, ReadFault> {
        let bytes = self.bytes(name).map_err(|error| match error.kind() {
            io::ErrorKind::NotFound => ReadFault::Missing,
            _ => ReadFault::Disk(error),
        })?;
        let line_of =
            |bytes: &[u8], at: usize| 1 + bytes[..at].iter().filter(|b| **b == b'\n').count();
        let control = |b: &u8| matches!(b, 0..=8 | 11 | 12 | 14..=31);
        // Looking at all of them without stopping is quicker than looking for the first.
        if bytes.iter().fold(false, |found, b| found | control(b))
            && let Some(at) = bytes.iter().position(control)
        {
            return Err(ReadFault::Control(line_of(&bytes, at)));
        }
        String::from_utf8(bytes).map(|text| Source::new(name, text)).map_err(|error| {
            let at = error.utf8_error().valid_up_to();
            ReadFault::NotUtf8(line_of(error.as_bytes(), at))
        })
    }

    /// Bytes of a file of the folio.
    ///
    /// # Errors
    /// Those of the disk.
    pub(crate) fn bytes(&self, name: &str) -> io::Result<Vec<u8>> {
        let mut path = self.root.clone();
        path.extend(name.split('/'));
        fs::read(path)
    }

    /// Files of the folio's own theme, `themes/sheet/`, by name below it.
    ///
    /// # Errors
    /// Those of the disk.
    pub(crate) fn theme(&self) -> io::Result<BTreeMap<String, Vec<u8>>> {
        let root = self.root.join("themes").join("sheet");
        let mut files = BTreeMap::new();
        if !root.is_dir() {
            return Ok(files);
        }
        let walk = WalkDir::new(&root).follow_links(false).max_depth(DEEPEST).sort_by_file_name();
        for entry in walk {
            let entry = entry.map_err(io::Error::other)?;
            if entry.file_type().is_file()
                && let Some(name) = name_below(&root, entry.path())
                && !name.split('/').any(|part| part.starts_with('.'))
            {
                files.insert(name, fs::read(entry.path())?);
            }
        }
        Ok(files)
    }
}

/// The cutaways of a folio, by path below it: `diagrams/*.cut`.
fn cutaways(root: &Path) -> Result<Vec<String>, NoFolio> {
    let place = root.join("diagrams");
    if !place.is_dir() {
        return Ok(Vec::new());
    }
    let no = |error: &dyn std::fmt::Display| NoFolio {
        message: format!("cannot read the folio's cutaways: {error}"),
    };
    let mut names = Vec::new();
    for entry in WalkDir::new(&place).follow_links(false).max_depth(1).sort_by_file_name() {
        let entry = entry.map_err(|error| no(&error))?;
        if entry.file_type().is_file()
            && let Some(name) = name_below(root, entry.path())
            && name.ends_with(".cut")
        {
            names.push(name);
        }
    }
    Ok(names)
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
enum ReadFault {
    Missing,
    NotUtf8(usize),
    Control(usize),
    Disk(io::Error),
}

impl ReadFault {
    fn message(&self, name: &str) -> String {
        match self {
            ReadFault::Missing => format!("{name} is not there any more"),
            ReadFault::NotUtf8(line) => format!("{name}, line {line}: this is no UTF-8 text"),
            ReadFault::Control(line) => {
                format!("{name}, line {line}: this holds a control character")
            }
            ReadFault::Disk(error) => format!("{name} cannot be read: {error}"),
        }
    }
}

/// A path below a folder with `/` between its parts; `None` for names that are no text.
fn name_below(root: &Path, path: &Path) -> Option<String> {
    let below = path.strip_prefix(root).ok()?;
    let parts: Option<Vec<&str>> =
        below.components().map(|part| part.as_os_str().to_str()).collect();
    Some(parts?.join("/"))
}
