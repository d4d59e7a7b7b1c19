//! Folios on disk and in memory, judged.

pub(crate) use super::kept::{same_as, shown};
use gaugebook::folio::Folio;
use gaugebook::folio::{self, Files};
use gaugebook::proof::{PageProof, judge};
use gaugebook::shell::edition::{FolioStanding, proof};
use gaugebook::shell::folder::Folder;
use gaugebook::slip::Slip;
use gaugebook::text::Source;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The folder of these tests.
pub(crate) fn here() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/proof")
}

/// Judges a folio on disk.
pub(crate) fn standing(root: &Path) -> FolioStanding {
    let folder = Folder::open(root).unwrap_or_else(|no| panic!("{}", no.message));
    proof(&folder, &|_, _| {}).unwrap_or_else(|no| panic!("{}", no.message))
}

/// Folders below one of the folders here, sorted by name.
pub(crate) fn folders(below: &str) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(here().join(below)).unwrap();
    let mut found: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
    found.retain(|path| path.is_dir());
    found.sort();
    found
}

/// A folio in memory.
#[derive(Clone, Default)]
pub(crate) struct Texts {
    pub(crate) pages: BTreeMap<String, String>,
    pub(crate) imprint: String,
    pub(crate) files: BTreeSet<String>,
    pub(crate) cutaways: BTreeMap<String, String>,
}

impl Texts {
    /// The pages and the imprint of a folio on disk.
    pub(crate) fn load(root: &Path) -> Texts {
        let folder = Folder::open(root).unwrap();
        let read = |name: &String| std::fs::read_to_string(root.join(name)).unwrap();
        Texts {
            pages: folder.pages.iter().map(|name| (name.clone(), read(name))).collect(),
            imprint: read(&"content/imprint.yaml".to_owned()),
            files: folder.files.clone(),
            cutaways: folder.cutaways.iter().map(|name| (name.clone(), read(name))).collect(),
        }
    }

    /// The index of the folio, and what was found while reading it.
    pub(crate) fn index(&self) -> (Arc<Folio>, Vec<Slip>) {
        let names: Vec<String> = self.pages.keys().cloned().collect();
        let files = Files {
            date: None,
            beside: self.files.clone(),
            imprint: Some(Source::new("content/imprint.yaml", self.imprint.as_str())),
            cutaways: self.cutaways.iter().map(|(name, text)| Source::new(name, text)).collect(),
        };
        let load = |name: &str| Ok(Source::new(name, self.pages[name].as_str()));
        let (folio, slips) = folio::read(&names, files, &load);
        (Arc::new(folio), slips)
    }

    /// Judges one page of an index.
    pub(crate) fn judge(&self, folio: &Arc<Folio>, name: &str) -> PageProof {
        let source = Source::new(name, self.pages[name].as_str());
        judge(folio, folio.by_name[name], &source)
    }
}

/// Adds a labelled text to another without its labels, `{figure|label}`; gives where each figure
/// then stands, with its label.
pub(crate) fn without_labels(labelled: &str, text: &mut String) -> Vec<(Range<usize>, String)> {
    let mut figures = Vec::new();
    let mut rest = labelled;
    while let Some((before, inner)) = rest.split_once('{') {
        let (inner, after) = inner.split_once('}').unwrap();
        let (figure, label) = inner.rsplit_once('|').unwrap();
        text.push_str(before);
        figures.push((text.len()..text.len() + figure.len(), label.to_owned()));
        text.push_str(figure);
        rest = after;
    }
    text.push_str(rest);
    figures
}
