//! Nothing that a folio, a file name or an argument holds is obeyed by a terminal.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

/// Escapes, with the bell, a carriage return, an erasing backspace, the eight-bit form of escapes
/// and a change of reading direction.
const ACTING: &str = "a\u{1b}]0;title\u{7}\r\u{8}\u{7f}\u{9b}2J\u{202e}z";

fn gaugebook(arguments: &[&str], folio: &Path) -> Output {
    let mut program = Command::new(env!("CARGO_BIN_EXE_gaugebook"));
    program.args(arguments).current_dir(folio).output().unwrap()
}

#[track_caller]
fn assert_harmless(output: &Output) {
    for bytes in [&output.stdout, &output.stderr] {
        let text = std::str::from_utf8(bytes).unwrap();
        let found = text.chars().find(|c| {
            c.is_control() && !matches!(c, '\n' | '\t') || ('\u{202a}'..='\u{202e}').contains(c)
        });
        assert_eq!(found, None, "{text:?}");
    }
}

fn folio() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir_all(folder.path().join("content")).unwrap();
    fs::create_dir_all(folder.path().join("diagrams")).unwrap();
    folder
}

#[test]
fn yaml_that_hides_such_characters_is_told() {
    for escape in ["\\e[2J", "\\0", "\\x01", "\\r", "\\x7f", "\\u009b", "\\u202e"] {
        let folio = folio();
        for place in ["title: \"x{}\"", "title: x\nkind: \"{}foo\"", "title: x\n\"{}y\": z"] {
            let front = place.replace("{}", escape);
            let page = format!("---\n{front}\n---\n\nWords.\n");
            fs::write(folio.path().join("content/a.md"), page).unwrap();
            let output = gaugebook(&["proof"], folio.path());
            assert_eq!(output.status.code(), Some(1), "{front}");
            let told = String::from_utf8_lossy(&output.stdout).into_owned();
            assert!(told.contains("yaml-fault"), "{front}: {told}");
            assert_harmless(&output);
            let json = gaugebook(&["proof", "--format", "json"], folio.path());
            assert_harmless(&json);
        }
    }
}

#[test]
fn pages_scripts_and_arguments_are_shown_and_not_obeyed() {
    let folio = folio();
    let page = "---\ntitle: Alder\nengine: alder\n---\n\nWords.\n";
    fs::write(folio.path().join("content/alder.md"), page).unwrap();
    for (name, text) in [
        ("content/b.md", format!("---\ntitle: {ACTING}\n---\n")),
        ("diagrams/c.cut", format!("cutaway c\nchamber {ACTING}\n")),
        ("script.txt", format!("{ACTING}: the bore is 3 mm (0.2 in).\n")),
    ] {
        fs::write(folio.path().join(name), text).unwrap();
    }
    for arguments in [
        &["proof", "--all"][..],
        &["publish"],
        &["publish", "--draft"],
        &["proof", "--script", "script.txt", "--engine", "alder"],
        &["proof", "--script", "script.txt", "--engine", "alder", "--format", "json"],
        &["next", ACTING],
        &["shot", ACTING],
        &["start", ACTING],
        &["align", ACTING, "diagrams/c.cut"],
        &["draw", ACTING],
        &["reckon", ACTING],
        &[ACTING],
        &["proof", "--format", ACTING],
        &["proof", ACTING],
    ] {
        assert_harmless(&gaugebook(arguments, folio.path()));
    }
}

#[cfg(unix)]
#[test]
fn file_names_are_shown_and_not_obeyed() {
    let folio = folio();
    let page = "---\ntitle: Alder\n---\n\nThe bore is 3 mm (0.2 in).\n";
    fs::write(folio.path().join("content").join(format!("{ACTING}.md")), page).unwrap();
    fs::write(folio.path().join("diagrams").join(format!("{ACTING}.cut")), "x").unwrap();
    for arguments in [&["proof"][..], &["proof", "--format", "json"], &["publish"]] {
        assert_harmless(&gaugebook(arguments, folio.path()));
    }
}

#[cfg(target_os = "linux")]
#[test]
fn no_command_ends_well_when_nobody_gets_its_words() {
    let folio = folio();
    let start = gaugebook(&["start", "alder", "--cutaway"], folio.path());
    assert_eq!(start.status.code(), Some(0));
    for arguments in [
        &["next", "alder"][..],
        &["shot", "alder"],
        &["draw", "alder"],
        &["compare", "alder", "alder"],
        &["start", "birch"],
        &["reckon", "1 mm"],
    ] {
        let full = fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
        let mut program = Command::new(env!("CARGO_BIN_EXE_gaugebook"));
        program.args(arguments).current_dir(folio.path()).stdout(full);
        assert_eq!(program.output().unwrap().status.code(), Some(2), "{arguments:?}");
    }
}
