//! Small folios beside the slips that a writer would read.
//!
//! Each file of `tests/proof/` holds a folio (`=== path` lines start its files) and, behind
//! `=== slips`, every slip as a terminal shows it. `GAUGEBOOK_UPDATE=1 cargo test --test proof`
//! writes the slips anew; read them before you keep them. A file named after a fault must trip it.

#![allow(clippy::expect_used, reason = "a test that meets an error has failed")]

use gaugebook::proof::catalogue;
use gaugebook::shell::edition;
use gaugebook::shell::folder::Folder;
use gaugebook::slip::{Paint, render};
use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

struct Case {
    path: PathBuf,
    name: String,
    folio: String,
    slips: String,
}

fn cases() -> Vec<Case> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/proof");
    let mut paths: Vec<PathBuf> =
        fs::read_dir(folder).expect("cases").map(|entry| entry.expect("a case").path()).collect();
    paths.sort();
    let case = |path: PathBuf| {
        let text = fs::read_to_string(&path).expect("a case");
        let (folio, slips) = text.split_once("=== slips\n").unwrap_or((&text, ""));
        let name = path.file_stem().expect("a name").to_string_lossy().into_owned();
        Case { name, folio: folio.to_owned(), slips: slips.to_owned(), path }
    };
    paths.into_iter().map(case).collect()
}

/// Lays the folio out on disk. `\r`, `\u{feff}` and the like are written as `<CR>`, `<BOM>`,
/// `<TAB>` and `<BEL>` in the files.
fn lay_out(folio: &str, root: &Path) {
    let mut current: Option<(PathBuf, String)> = None;
    let write = |file: Option<(PathBuf, String)>| {
        if let Some((path, text)) = file {
            fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
            let text = text.replace("<CR>", "\r").replace("<BOM>", "\u{feff}");
            let text = text.replace("<TAB>", "\t").replace("<BEL>", "\u{7}");
            fs::write(path, text).expect("a file");
        }
    };
    for line in folio.split_inclusive('\n') {
        match line.strip_prefix("=== ") {
            Some(name) => write(current.replace((root.join(name.trim()), String::new()))),
            None => {
                if let Some((_, text)) = &mut current {
                    text.push_str(line);
                }
            }
        }
    }
    write(current);
}

fn told(case: &Case) -> (String, Vec<&'static str>) {
    let place = tempfile::tempdir().expect("a place");
    lay_out(&case.folio, place.path());
    let folder = Folder::open(place.path()).map_err(|no| no.message).expect(&case.name);
    let standing = edition::proof(&folder, &|_, _| {}).map_err(|no| no.message).expect(&case.name);
    let mut text = String::new();
    for slip in &standing.slips {
        let _ = writeln!(text, "{}", render(slip, Paint::plain()));
    }
    (text, standing.slips.iter().map(|slip| slip.code).collect())
}

#[test]
fn every_folio_is_told_as_written_beside_it() {
    let update = std::env::var_os("GAUGEBOOK_UPDATE").is_some();
    let mut wrong = String::new();
    for case in cases() {
        let (text, codes) = told(&case);
        let is_fault = catalogue::all().iter().any(|fault| fault.code == case.name);
        let untripped = is_fault && !codes.contains(&case.name.as_str());
        let unclean = case.name.starts_with("clean") && !codes.is_empty();
        if untripped || unclean {
            let _ = writeln!(wrong, "{}: not as its name says\n{text}", case.name);
        }
        if update {
            let whole = format!("{}=== slips\n{text}", case.folio);
            fs::write(&case.path, whole).expect("written");
        } else if text != case.slips {
            let _ = writeln!(wrong, "{}\n--- expected\n{}--- told\n{text}", case.name, case.slips);
        }
    }
    assert!(wrong.is_empty(), "{wrong}");
}

/// Faults that need a disk or bytes that no text file shows; other tests trip them.
const ELSEWHERE: [&str; 3] = ["image-too-large", "page-too-large", "image-unreadable"];

#[test]
fn every_fault_of_the_catalogue_is_tripped_by_a_folio() {
    let names: Vec<String> = cases().into_iter().map(|case| case.name).collect();
    let missing: Vec<&str> = catalogue::all()
        .iter()
        .map(|fault| fault.code)
        .filter(|code| !ELSEWHERE.contains(code) && !names.iter().any(|name| name == code))
        .collect();
    assert!(missing.is_empty(), "{missing:?}");
}
