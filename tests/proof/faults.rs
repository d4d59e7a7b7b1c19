//! One folio for each fault of the catalogue, and the exact text at which its slip must point.

use super::support::{folders, here, same_as, shown, standing};
use gaugebook::proof::catalogue;
use gaugebook::slip::Severity;
use std::collections::BTreeSet;
use std::ffi::OsStr;
use std::path::PathBuf;

/// Faults whose folio would be too large to keep, or is made of things that no archive keeps; see
/// the tests below and `tests/shell/inventory.rs`.
const MADE: [&str; 8] = [
    "address-unusable",
    "file-unread",
    "file-unreadable",
    "file-unused",
    "folio-empty",
    "page-too-large",
    "slips-untold",
    "theme-fault",
];

/// The folios of faults, each with the line, column (in characters, from one) and text that its
/// slip must underline, by the eye of whoever wrote the folio: its `at.txt`.
fn placed() -> Vec<(String, String)> {
    let named = folders("faults").into_iter().filter_map(|folder| {
        let at = std::fs::read_to_string(folder.join("at.txt")).ok()?;
        Some((folder.file_name()?.to_str()?.to_owned(), at))
    });
    named.collect()
}

#[test]
fn every_fault_is_tripped_by_a_folio() {
    let known: BTreeSet<&str> = catalogue::all().iter().map(|fault| fault.code).collect();
    // Those of the cutaway language lie beside its other tests.
    let cutaways = std::fs::read_dir(here().join("../cutaway/faults")).unwrap();
    let cutaways: BTreeSet<PathBuf> = cutaways.map(|entry| entry.unwrap().path()).collect();
    let of_cutaways = cutaways.iter().filter(|path| path.extension() == Some(OsStr::new("cut")));
    let of_cutaways = of_cutaways.filter_map(|path| path.file_stem()?.to_str());
    let placed = placed();
    let placed = placed.iter().map(|(code, _)| code.as_str()).chain(MADE).chain(of_cutaways);
    let placed: BTreeSet<&str> = placed.collect();
    let without_folio: Vec<_> = known.difference(&placed).collect();
    let without_text: Vec<_> = placed.difference(&known).collect();
    assert!(without_folio.is_empty(), "in the catalogue, but no folio trips it: {without_folio:?}");
    assert!(without_text.is_empty(), "a folio, but no text in the catalogue: {without_text:?}");
}

#[test]
fn slips_point_at_the_very_text() {
    for (code, expected) in placed() {
        let standing = standing(&here().join("faults").join(&code));
        let [slip] = standing.slips.as_slice() else {
            panic!("{code}: one slip is wanted\n{}", shown(&standing.slips));
        };
        let place = slip.spot.source.place(slip.spot.span.start);
        let found = format!("{}:{} {}", place.line, place.column, slip.spot.text());
        assert_eq!((slip.code, found.as_str()), (code.as_str(), expected.trim_end_matches('\n')));
        let Some(fault) = catalogue::all().iter().find(|fault| fault.code == code) else {
            panic!("{code}: no text of the form of its neighbours in the catalogue");
        };
        let effect = match slip.severity {
            Severity::Stop => "stops publishing",
            Severity::Mark => "publishes with a mark",
            Severity::Note => "told, not counted",
        };
        assert_eq!(effect, fault.consequence, "{code}");
    }
}

#[test]
fn slips_read_as_they_did() {
    for root in folders("faults") {
        let standing = standing(&root);
        // What is printed of a fault of the catalogue is published with it.
        let name = root.file_name().unwrap().to_str().unwrap();
        let told = here().join("../../src/proof/catalogue").join(name);
        let of_catalogue = told.with_extension("md").exists();
        let place = if of_catalogue { told.with_extension("txt") } else { root.join("slips.txt") };
        same_as(&place, &shown(&standing.slips));
    }
}

#[test]
fn a_page_beyond_all_measure_is_told() {
    let folio = tempfile::tempdir().unwrap();
    let content = folio.path().join("content");
    std::fs::create_dir(&content).unwrap();
    std::fs::write(content.join("imprint.yaml"), "title: Test bench\n").unwrap();
    let page = format!("---\ntitle: Everything\n---\n\n{}", "One word more. ".repeat(150_000));
    std::fs::write(content.join("everything.md"), page).unwrap();
    let standing = standing(folio.path());
    let codes: Vec<&str> = standing.slips.iter().map(|slip| slip.code).collect();
    assert_eq!(codes, ["page-too-large"]);
}
