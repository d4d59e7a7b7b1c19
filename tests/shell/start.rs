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
    look_at(folio.path(), "alder");
    assert_eq!(slips(folio.path()), "");
    let text = cutaway_text(folio.path());
    let (engine, slips) =
        cutaway::read(&Source::new("diagrams/alder.cut", text.as_str()), &|_| None);
    assert!(slips.is_empty(), "{slips:?}");
    let found = explore(&engine);
    assert_eq!(found.ending(), Some(&Ending::AtRest));
    assert!(found.always_ends_at_rest());
}

/// Deletes the remark behind every line of a first cutaway, as a writer who has looked at all.
fn look_at(folio: &Path, engine: &str) {
    let path = folio.join(format!("diagrams/{engine}.cut"));
    let text = fs::read_to_string(&path).unwrap();
    let plain: Vec<&str> = text
        .lines()
        .map(|line| line.strip_suffix("# starter").unwrap_or(line).trim_end())
        .collect();
    fs::write(path, format!("{}\n", plain.join("\n"))).unwrap();
}

#[test]
fn a_first_cutaway_is_not_published_as_it_was_started() {
    let folio = tempfile::tempdir().unwrap();
    start(folio.path(), &["--cutaway"]);
    let told = slips(folio.path());
    assert_eq!(told.matches("(stops publishing)").count(), 1, "{told}");
    assert!(told.contains("starter-left") && told.contains("lines are still those"), "{told}");
    // Every statement but its name carries the remark.
    let text = cutaway_text(folio.path());
    let statements = text.lines().filter(|line| !line.is_empty() && !line.starts_with('#'));
    let unmarked: Vec<&str> = statements.filter(|line| !line.ends_with("# starter")).collect();
    assert_eq!(unmarked, ["cutaway alder"]);
    assert_eq!(aligned(&text), text);
    // One line looked at is not all of them.
    let path = folio.path().join("diagrams/alder.cut");
    fs::write(&path, text.replacen("# starter", "", 1)).unwrap();
    assert!(slips(folio.path()).contains("starter-left"));
}

#[test]
fn a_page_from_prose_says_what_nothing_checks() {
    let folio = tempfile::tempdir().unwrap();
    let notes = folio.path().join("notes.txt");
    let text = "Alder apart\n\nThe store holds 22 cm³ and the metering hole is 0.90 mm. That 0.90 mm \
                hole is 0.5 mm narrower than Beech's.\n";
    fs::write(&notes, text).unwrap();
    let output = start(folio.path(), &["--cutaway", "--from", notes.to_str().unwrap()]);
    let said = told(&output);
    assert!(said.contains("2 readings from the text, 1 of them stated once"), "{said}");
    assert!(said.contains("1 figures left untied"), "{said}");
    assert!(page(folio.path()).contains("nothing checks these yet"), "{}", page(folio.path()));
    // The supply of the first cutaway names no reading that the page lacks.
    look_at(folio.path(), "alder");
    let slips = slips(folio.path());
    assert!(!slips.contains("diagrams/"), "{slips}");
    let standing = proof(&Folder::open(folio.path()).unwrap(), &|_, _| {}).unwrap();
    let coverage = &standing.coverage;
    let checked = coverage.computed + coverage.second_statement + coverage.conversion_agrees;
    assert_eq!((checked, coverage.own_reading, coverage.untied), (0, 3, 1), "{coverage:?}");
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
        look_at(folio.path(), engine);
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

#[test]
fn a_name_that_no_site_could_have_is_refused() {
    let folio = tempfile::tempdir().unwrap();
    for name in ["con", "aux", "lpt1"] {
        let mut program = Command::new(env!("CARGO_BIN_EXE_gaugebook"));
        let output = program.args(["start", name]).arg(folio.path()).output().unwrap();
        assert_eq!(output.status.code(), Some(2), "{name}: {}", told(&output));
        assert_eq!(fs::read_dir(folio.path()).unwrap().count(), 0);
    }
}
