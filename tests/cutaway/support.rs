//! Cutaways on disk, read.

pub(crate) use super::kept::{same_as, shown};
use gaugebook::cutaway::{self, Engine};
use gaugebook::slip::Slip;
use gaugebook::text::Source;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The folder of these tests.
pub(crate) fn here() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cutaway")
}

/// The cutaways of a folder, sorted by name.
pub(crate) fn cutaways(folder: &str) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(here().join(folder)).unwrap();
    let mut found: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
    found.retain(|path| path.extension().is_some_and(|extension| extension == "cut"));
    found.sort();
    found
}

/// A file as a source named `diagrams/NAME.cut`.
pub(crate) fn source(path: &Path) -> Arc<Source> {
    let name = path.file_name().unwrap().to_string_lossy();
    Source::new(format!("diagrams/{name}"), std::fs::read_to_string(path).unwrap())
}

/// Other cutaways: those in `clean`, and those beside the faulty ones in `faults/others`.
pub(crate) fn others(name: &str) -> Option<Arc<Source>> {
    let is_plain = name.chars().all(|c| c.is_ascii_alphanumeric() || c == '_');
    let places = ["clean", "faults/others"].map(|folder| here().join(folder));
    let mut paths = places.iter().map(|place| place.join(format!("{name}.cut")));
    paths.find(|path| is_plain && path.exists()).map(|path| source(&path))
}

pub(crate) fn read(text: &str) -> (Engine, Vec<Slip>) {
    cutaway::read(&Source::new("diagrams/test.cut", text), &others)
}
