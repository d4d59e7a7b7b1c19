//! `gaugebook start`: what it writes passes, and nothing is ever written over.

use gaugebook::cutaway::{self, aligned};
use gaugebook::logic::{Ending, explore};
use gaugebook::shell::edition::proof;
use gaugebook::shell::folder::Folder;
use gaugebook::slip::{Paint, render};
use gaugebook::text::Source;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

fn start(folio: &Path, more: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_gaugebook"))
        .args(["start", "alder"])
        .arg(folio)
        .args(more)
        .output()
        .unwrap()
}

fn told(output: &Output) -> String {
    let both = [output.stdout.as_slice(), &output.stderr].concat();
    String::from_utf8_lossy(&both).replace('\\', "/")
}

/// The slips of a folio as the terminal shows them.
fn slips(folio: &Path) -> String {
    let standing = proof(&Folder::open(folio).unwrap(), &|_, _| {}).unwrap();
    standing.slips.iter().map(|slip| render(slip, Paint::plain())).collect()
}

fn page(folio: &Path) -> String {
    fs::read_to_string(folio.join("content/engines/alder.md")).unwrap()
}

fn cutaway_text(folio: &Path) -> String {
    fs::read_to_string(folio.join("diagrams/alder.cut")).unwrap()
}

#[test]
fn a_page_alone_passes_and_has_no_cutaway() {
    let folio = tempfile::tempdir().unwrap();
    let output = start(folio.path(), &[]);
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    assert_eq!(slips(folio.path()), "");
    assert!(!page(folio.path()).contains("sequence:"));
    assert!(!folio.path().join("diagrams").exists());
}

#[test]
fn a_page_with_a_cutaway_passes_and_its_shot_ends_at_rest() {
    let folio = tempfile::tempdir().unwrap();
    let output = start(folio.path(), &["--cutaway"]);
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    assert!(told(&output).contains("diagrams/alder.cut"), "{}", told(&output));
    // The proof holds the sequence against the cutaway.
    assert!(page(folio.path()).contains("\nsequence:\n"));
    assert_eq!(slips(folio.path()), "");
    let text = cutaway_text(folio.path());
    let (engine, slips) =
        cutaway::read(&Source::new("diagrams/alder.cut", text.as_str()), &|_| None);
    assert!(slips.is_empty(), "{slips:?}");
    let found = explore(&engine);
    assert_eq!(found.ending(), Some(&Ending::AtRest));
    assert!(found.always_ends_at_rest());
    assert_eq!(aligned(&text), text);
}

#[test]
fn a_page_from_prose_gets_the_sequence_too() {
    let folio = tempfile::tempdir().unwrap();
    let notes = folio.path().join("notes.txt");
    fs::write(&notes, "Alder apart\n\nThe store volume is 22 cm³.\n").unwrap();
    let output = start(folio.path(), &["--cutaway", "--from", notes.to_str().unwrap()]);
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    let page = page(folio.path());
    assert!(page.contains("22 cm³"), "{page}");
    assert!(page.contains("\nsequence:\n  - trigger pulled\n"), "{page}");
}

#[test]
fn a_page_that_is_there_is_left_alone_and_gets_a_cutaway_beside_it() {
    let folio = tempfile::tempdir().unwrap();
    start(folio.path(), &[]);
    let before = page(folio.path());
    let output = start(folio.path(), &["--cutaway"]);
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    assert!(told(&output).contains("left alone"), "{}", told(&output));
    assert!(told(&output).contains("sequence:"), "{}", told(&output));
    assert_eq!(page(folio.path()), before);
    assert!(cutaway_text(folio.path()).contains("cutaway alder\n"));
}

#[test]
fn a_cutaway_that_is_there_is_left_alone_and_nothing_else_is_written() {
    let folio = tempfile::tempdir().unwrap();
    fs::create_dir(folio.path().join("diagrams")).unwrap();
    fs::write(folio.path().join("diagrams/alder.cut"), "cutaway alder\n").unwrap();
    let output = start(folio.path(), &["--cutaway"]);
    assert_eq!(output.status.code(), Some(2), "{}", told(&output));
    assert_eq!(cutaway_text(folio.path()), "cutaway alder\n");
    assert!(!folio.path().join("content").exists());
}

#[test]
fn a_comparison_of_two_engines_passes() {
    let folio = tempfile::tempdir().unwrap();
    for engine in ["alder", "beech"] {
        let output = Command::new(env!("CARGO_BIN_EXE_gaugebook"))
            .args(["start", engine, "--cutaway"])
            .arg(folio.path())
            .output()
            .unwrap();
        assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    }
    let compare = |engines: &str| {
        Command::new(env!("CARGO_BIN_EXE_gaugebook"))
            .args(["start", "both", "--compare", engines])
            .arg(folio.path())
            .output()
            .unwrap()
    };
    let one = compare("alder");
    assert_eq!(one.status.code(), Some(2), "{}", told(&one));
    let output = compare("alder,beech");
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    assert_eq!(slips(folio.path()), "");
    let page = fs::read_to_string(folio.path().join("content/compare/both.md")).unwrap();
    assert!(page.contains("compare: [alder, beech]"), "{page}");
    let again = compare("alder,beech");
    assert!(told(&again).contains("is there already"), "{}", told(&again));
}
