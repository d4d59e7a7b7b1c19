//! Files of the writer's own: whoever changes or writes one loses nothing of it, and nothing else.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

const UNTIDY: &str = "cutaway alder\nsupply line\nchamber store role store\nchamber  a\n";

fn gaugebook(arguments: &[&str], inside: &Path) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_gaugebook"));
    command.args(arguments).current_dir(inside).output().unwrap()
}

/// The same where no file can grow: every write fails as on a full disk.
#[cfg(unix)]
fn without_room(arguments: &[&str], inside: &Path) -> Output {
    let mut command = Command::new("sh");
    command.args(["-c", "trap '' XFSZ; ulimit -f 0; exec \"$@\"", "sh"]);
    command.arg(env!("CARGO_BIN_EXE_gaugebook")).args(arguments).current_dir(inside);
    command.output().unwrap()
}

fn told(output: &Output) -> String {
    let both = [output.stdout.as_slice(), &output.stderr].concat();
    String::from_utf8_lossy(&both).into_owned()
}

fn names(folder: &Path) -> Vec<String> {
    let walk = walkdir::WalkDir::new(folder).min_depth(1).sort_by_file_name();
    walk.into_iter()
        .map(|entry| entry.unwrap().path().strip_prefix(folder).unwrap().display().to_string())
        .collect()
}

struct Place {
    folder: tempfile::TempDir,
}

impl Place {
    fn with(name: &str, text: &str) -> Place {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join(name), text).unwrap();
        Place { folder }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn text(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).unwrap()
    }

    fn align(&self, names: &[&str]) -> Output {
        gaugebook(&[&["align"], names].concat(), self.folder.path())
    }
}

#[test]
fn only_cutaways_that_can_be_read_are_aligned() {
    let yaml = "title: x\nreadings:\n    a:\n        is: 1 mm\n";
    let place = Place::with("page.md", yaml);
    fs::write(place.path("page.cut"), yaml).unwrap();
    fs::write(place.path("empty.cut"), "").unwrap();
    fs::write(place.path("open.cut"), "cutaway alder\nchamber   a   whatever\n").unwrap();
    for name in ["page.md", "page.cut", "empty.cut", "open.cut"] {
        let before = place.text(name);
        let output = place.align(&[name]);
        assert_eq!(output.status.code(), Some(2), "{name}: {}", told(&output));
        assert!(told(&output).contains(name), "{}", told(&output));
        assert_eq!(place.text(name), before);
    }
}

#[test]
fn one_file_that_cannot_be_aligned_does_not_stop_the_others() {
    let place = Place::with("b.cut", UNTIDY);
    let output = place.align(&["a.cut", "b.cut", "c.md"]);
    assert_eq!(output.status.code(), Some(2), "{}", told(&output));
    assert_ne!(place.text("b.cut"), UNTIDY);
    for name in ["a.cut", "c.md"] {
        assert!(told(&output).contains(name), "{}", told(&output));
    }
}

#[test]
fn aligning_keeps_everything_but_blanks() {
    let windows = format!("\u{feff}{}", UNTIDY.replace('\n', "\r\n"));
    let mixed = UNTIDY.replacen('\n', "\r\n", 2);
    let open_end = UNTIDY.trim_end();
    for text in [windows.as_str(), &mixed, open_end] {
        let place = Place::with("alder.cut", text);
        let output = place.align(&["alder.cut"]);
        assert_eq!(output.status.code(), Some(0), "{}", told(&output));
        let ends = |text: &str| -> Vec<bool> {
            text.split_inclusive('\n').map(|line| line.ends_with("\r\n")).collect()
        };
        let words = |text: &str| text.split_whitespace().collect::<String>();
        let now = place.text("alder.cut");
        assert_ne!(now, text);
        assert_eq!(ends(&now), ends(text), "{now:?}");
        assert_eq!(words(&now), words(text));
        assert_eq!(now.starts_with('\u{feff}'), text.starts_with('\u{feff}'));
        let again = place.align(&["--check", "alder.cut"]);
        assert_eq!(again.status.code(), Some(0), "{}", told(&again));
    }
}

#[test]
fn nothing_beside_a_file_is_touched() {
    let place = Place::with("alder.cut", UNTIDY);
    fs::write(place.path("alder.cut.new"), "mine").unwrap();
    assert_eq!(place.align(&["alder.cut"]).status.code(), Some(0));
    assert_eq!(place.text("alder.cut.new"), "mine");
    assert_eq!(names(place.folder.path()), ["alder.cut", "alder.cut.new"]);
}

#[cfg(unix)]
#[test]
fn a_link_stays_and_what_it_leads_to_is_changed() {
    let place = Place::with("real.cut", UNTIDY);
    std::os::unix::fs::symlink("real.cut", place.path("link.cut")).unwrap();
    assert_eq!(place.align(&["link.cut"]).status.code(), Some(0));
    assert!(fs::symlink_metadata(place.path("link.cut")).unwrap().is_symlink());
    assert_ne!(place.text("real.cut"), UNTIDY);
}

#[cfg(unix)]
#[test]
fn mode_and_owner_stay() {
    use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _};
    let place = Place::with("alder.cut", UNTIDY);
    fs::set_permissions(place.path("alder.cut"), fs::Permissions::from_mode(0o640)).unwrap();
    // Only who may give files away can try it.
    let given = std::os::unix::fs::chown(place.path("alder.cut"), Some(1234), Some(5678)).is_ok();
    assert_eq!(place.align(&["alder.cut"]).status.code(), Some(0));
    let now = fs::metadata(place.path("alder.cut")).unwrap();
    assert_eq!(now.mode() & 0o777, 0o640);
    if given {
        assert_eq!((now.uid(), now.gid()), (1234, 5678));
    }
    assert_ne!(place.text("alder.cut"), UNTIDY);
}

#[cfg(unix)]
#[test]
fn a_read_only_file_is_left_alone() {
    use std::os::unix::fs::PermissionsExt as _;
    let place = Place::with("alder.cut", UNTIDY);
    fs::set_permissions(place.path("alder.cut"), fs::Permissions::from_mode(0o444)).unwrap();
    let output = place.align(&["alder.cut"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(told(&output).contains("read-only"), "{}", told(&output));
    assert_eq!(place.text("alder.cut"), UNTIDY);
}

#[cfg(unix)]
#[test]
fn without_room_everything_stays_as_it_was() {
    let place = Place::with("alder.cut", UNTIDY);
    let output = without_room(&["align", "alder.cut"], place.folder.path());
    assert_eq!(output.status.code(), Some(2), "{}", told(&output));
    assert_eq!(place.text("alder.cut"), UNTIDY);
    for arguments in [vec!["start", "alder"], vec!["start", "alder", "--cutaway"]] {
        let output = without_room(&arguments, place.folder.path());
        assert_eq!(output.status.code(), Some(2), "{}", told(&output));
        assert_eq!(names(place.folder.path()), ["alder.cut"]);
    }
}

#[test]
fn a_page_and_its_cutaway_are_both_written_or_neither() {
    let place = Place::with("diagrams", "a file where a folder is wanted");
    let output = gaugebook(&["start", "alder", "--cutaway"], place.folder.path());
    assert_eq!(output.status.code(), Some(2), "{}", told(&output));
    assert_eq!(names(place.folder.path()), ["diagrams"]);
}

#[test]
fn a_start_that_was_cut_short_can_be_run_again() {
    let place = Place::with("notes.txt", "");
    let start = || gaugebook(&["start", "alder", "--cutaway"], place.folder.path());
    assert_eq!(start().status.code(), Some(0));
    let page = "content/engines/alder.md";
    let whole = place.text(page);
    // Killed just before the page, which comes last.
    fs::remove_file(place.path(page)).unwrap();
    let output = start();
    assert_eq!(output.status.code(), Some(0), "{}", told(&output));
    assert_eq!(place.text(page), whole);
}

#[test]
fn drawing_overwrites_only_when_told() {
    let place = Place::with("alder-circuit-00.svg", "mine");
    assert_eq!(
        gaugebook(&["start", "alder", "--cutaway"], place.folder.path()).status.code(),
        Some(0)
    );
    let draw = |more: &[&str]| gaugebook(&[&["draw", "alder"], more].concat(), place.folder.path());
    let output = draw(&[]);
    assert_eq!(output.status.code(), Some(2), "{}", told(&output));
    assert!(told(&output).contains("--overwrite"), "{}", told(&output));
    assert_eq!(place.text("alder-circuit-00.svg"), "mine");
    // One picture in the way: none is drawn.
    assert_eq!(draw(&["--pose", "all"]).status.code(), Some(2));
    assert!(!place.path("alder-circuit-01.svg").exists());
    assert_eq!(draw(&["--overwrite"]).status.code(), Some(0));
    let drawn = place.text("alder-circuit-00.svg");
    assert!(drawn.starts_with("<svg"), "{drawn}");
    // What is there already just so is no reason to stop.
    assert_eq!(draw(&[]).status.code(), Some(0));
    let other = draw(&["--width", "800"]);
    assert_eq!(other.status.code(), Some(2), "{}", told(&other));
    assert_eq!(place.text("alder-circuit-00.svg"), drawn);
}

#[cfg(unix)]
#[test]
fn a_drawing_that_cannot_be_written_leaves_nothing() {
    let place = Place::with("notes.txt", "");
    let start = gaugebook(&["start", "alder", "--cutaway"], place.folder.path());
    assert_eq!(start.status.code(), Some(0));
    let before = names(place.folder.path());
    let output = without_room(&["draw", "alder", "--to", "pictures"], place.folder.path());
    assert_eq!(output.status.code(), Some(2), "{}", told(&output));
    assert_eq!(names(place.folder.path()), before);
}
