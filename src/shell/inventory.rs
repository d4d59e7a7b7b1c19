//! What lies in a folio: every file is part of it, or is named.
//!
//! Files and folders that begin with a dot belong to other tools and are passed over.

use super::folder::NoFolio;
use crate::publication::files::{OWN_THEME, unused, whole};
use crate::slip::Slip;
use std::collections::BTreeSet;
use std::io::ErrorKind;
use std::path::Path;
use walkdir::{DirEntry, WalkDir};

/// Deepest folder that is looked into: no folio has more.
const DEEPEST: usize = 16;

/// Files that desktops drop into any folder they show.
const DROPPED: [&str; 2] = ["Thumbs.db", "desktop.ini"];

/// The files of a folio, by path below it with `/` between parts.
#[derive(Debug, Default)]
pub(super) struct Inventory {
    /// Markdown pages.
    pub(super) pages: Vec<String>,
    /// Other files of `content/`.
    pub(super) files: BTreeSet<String>,
    /// Cutaways of `diagrams/`.
    pub(super) cutaways: Vec<String>,
    /// Files of the folio's own theme.
    pub(super) theme: Vec<String>,
    /// What is no part of the folio, and looks as if it were meant to be.
    pub(super) slips: Vec<Slip>,
}

impl Inventory {
    /// Looks through the folio at `root`.
    ///
    /// # Errors
    /// When a folder of it cannot be read.
    pub(super) fn of(root: &Path) -> Result<Inventory, NoFolio> {
        let mut found = Inventory::default();
        for part in ["content", "diagrams", "themes"] {
            match std::fs::metadata(root.join(part)) {
                Ok(about) if about.is_dir() => found.walk(root, part)?,
                Ok(_) => found.unread(part, "it is no folder", "remove it"),
                Err(error) if error.kind() == ErrorKind::NotFound => {}
                // A part that is there and cannot be looked at is not one that is missing.
                Err(error) => {
                    let message = format!("cannot read the folio: {part}: {error}");
                    return Err(NoFolio { message });
                }
            }
        }
        if found.pages.is_empty() {
            let message = "there is no page in this folio";
            let slip = Slip::stop("folio-empty", whole("content"), message);
            found.slips.push(slip.help("`gaugebook start NAME` writes a first one"));
        }
        found.pages.sort();
        Ok(found)
    }

    fn walk(&mut self, root: &Path, part: &str) -> Result<(), NoFolio> {
        let walk = WalkDir::new(root.join(part)).max_depth(DEEPEST + 1).sort_by_file_name();
        let is_ours = |entry: &DirEntry| {
            let name = entry.file_name().to_string_lossy();
            entry.depth() == 0 || !name.starts_with('.') && !DROPPED.contains(&&*name)
        };
        for entry in walk.into_iter().filter_entry(is_ours) {
            let entry = entry
                .map_err(|error| NoFolio { message: format!("cannot read the folio: {error}") })?;
            if entry.depth() == 0 {
                continue;
            }
            let below = entry.path().strip_prefix(root).unwrap_or(entry.path());
            let parts: Vec<_> = below.iter().map(|part| part.to_string_lossy()).collect();
            let name = parts.join("/");
            let is_folder = entry.file_type().is_dir();
            if below.to_str().is_none() {
                // What lies in such a folder is told one by one.
                if !is_folder {
                    self.unread(&name, "its name is no UTF-8 text", "rename it");
                }
            } else if entry.file_type().is_symlink() {
                self.unread(
                    &name,
                    "it is a link, and links are not followed",
                    "copy the file here",
                );
            } else if DEEPEST < entry.depth() {
                let why = format!("it lies more than {DEEPEST} folders deep");
                self.unread(&name, &why, "move it up");
            } else if entry.file_type().is_file() {
                self.take(name, part);
            } else if !is_folder {
                self.unread(&name, "it is a pipe or a device, no plain file", "remove it");
            }
        }
        Ok(())
    }

    fn take(&mut self, name: String, part: &str) {
        let lower = name.to_lowercase();
        let ends = |endings: &[&str]| endings.iter().any(|ending| lower.ends_with(ending));
        match part {
            "content" if name.ends_with(".md") => self.pages.push(name),
            "content" if name == "content/imprint.yaml" => {}
            "content" if ends(&[".md", ".markdown", ".mdown", ".mkd"]) => {
                self.unread(&name, "pages end in .md", "rename it");
            }
            "content" if ends(&[".cut"]) => {
                self.unread(&name, "cutaways lie in diagrams/", "move it there");
            }
            "content" => drop(self.files.insert(name)),
            "diagrams" if !ends(&[".cut"]) => {
                self.slips.push(unused(&name, "only cutaways are read from diagrams/"));
            }
            "diagrams" if 1 < name.matches('/').count() => {
                let why = "cutaways lie in diagrams/ itself, in no folder below it";
                self.unread(&name, why, "move it up");
            }
            "diagrams" if !name.ends_with(".cut") => {
                self.unread(&name, "cutaways end in .cut", "rename it");
            }
            "diagrams" => self.cutaways.push(name),
            _ if name.starts_with(OWN_THEME) => self.theme.push(name),
            _ => self.slips.push(unused(&name, "a folio's theme is what lies in themes/sheet/")),
        }
    }

    fn unread(&mut self, name: &str, why: &str, help: &str) {
        let message = format!("this is not read: {why}");
        self.slips.push(Slip::stop("file-unread", whole(name), message).help(help));
    }
}
