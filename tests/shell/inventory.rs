//! Every file of a folio is used or named, and `proof` finds all that would stop `publish`.

use gaugebook::shell::edition::{FolioStanding, Shelf, Wish, make, proof};
use gaugebook::shell::folder::Folder;
use gaugebook::slip::Severity;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// A folio with one page, and whatever else is put into it.
struct Folio(tempfile::TempDir);

impl Folio {
    fn new() -> Folio {
        let folio = Folio(tempfile::tempdir().unwrap());
        folio.put("content/imprint.yaml", "title: Test bench\n");
        folio.page("first", "Words.");
        folio
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    fn put(&self, name: &str, bytes: impl AsRef<[u8]>) {
        let path = self.path(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, bytes).unwrap();
    }

    fn page(&self, name: &str, text: &str) {
        self.put(&format!("content/{name}.md"), format!("---\ntitle: {name}\n---\n\n{text}\n"));
    }

    fn proof(&self) -> FolioStanding {
        proof(&Folder::open(self.0.path()).unwrap(), &|_, _| {})
            .unwrap_or_else(|no| panic!("{no:?}"))
    }

    /// Faults and the files at which they are told.
    fn slips(&self) -> Vec<(&'static str, String)> {
        let slips = self.proof().slips;
        slips.iter().map(|slip| (slip.code, slip.spot.source.name.clone())).collect()
    }

    /// Publishes with the program, and says how it ended.
    fn publish(&self) -> (Option<i32>, String) {
        let program = Command::new(env!("CARGO_BIN_EXE_gaugebook"))
            .arg("publish")
            .arg(self.0.path())
            .output()
            .unwrap();
        let both = [program.stdout, program.stderr].concat();
        (program.status.code(), String::from_utf8_lossy(&both).into_owned())
    }
}

/// A PNG of one grey pixel.
fn png() -> Vec<u8> {
    let mut bytes = Vec::new();
    let picture = image::GrayImage::new(1, 1);
    picture.write_to(&mut std::io::Cursor::new(&mut bytes), image::ImageFormat::Png).unwrap();
    bytes
}

#[test]
fn what_is_not_read_is_told() {
    let deep = format!("content/{}deep.md", "d/".repeat(17));
    for name in [
        "content/B.MD",
        "content/c.markdown",
        "content/d.cut",
        "diagrams/E.CUT",
        "diagrams/below/f.cut",
        deep.as_str(),
    ] {
        let folio = Folio::new();
        folio.put(name, "text");
        let slips = folio.slips();
        assert_eq!(slips.len(), 1, "{name}: {slips:?}");
        assert_eq!(slips[0].0, "file-unread", "{name}");
        assert!(name.starts_with(&slips[0].1), "{name}: {slips:?}");
        assert_eq!(folio.publish().0, Some(1), "{name}");
    }
}

#[test]
fn what_is_not_used_is_told_and_not_counted() {
    let folio = Folio::new();
    let idle = ["content/idle.csv", "content/idle.png", "diagrams/notes.txt", "themes/other/a.css"];
    for name in idle {
        folio.put(name, "text");
    }
    assert_eq!(folio.slips(), idle.map(|name| ("file-unused", name.to_owned())));
    assert!(folio.proof().slips.iter().all(|slip| slip.severity == Severity::Note));
    assert_eq!(folio.publish().0, Some(0));
    let quiet = Folio::new();
    quiet.put("content/.git/config.md", "text");
    quiet.put("content/Thumbs.db", "text");
    assert_eq!(quiet.slips(), []);
}

#[cfg(unix)]
#[test]
fn links_and_names_that_are_no_text_are_told() {
    use std::os::unix::ffi::OsStrExt as _;
    use std::os::unix::fs::symlink;
    let outside = tempfile::tempdir().unwrap();
    fs::write(outside.path().join("page.md"), "---\ntitle: x\n---\n").unwrap();
    for name in ["content/linked.md", "content/folder", "diagrams/first.cut"] {
        let folio = Folio::new();
        fs::create_dir_all(folio.path("diagrams")).unwrap();
        let is_folder = name == "content/folder";
        let to = if is_folder { outside.path().to_owned() } else { outside.path().join("page.md") };
        symlink(to, folio.path(name)).unwrap();
        assert_eq!(folio.slips(), [("file-unread", name.to_owned())]);
    }
    let folio = Folio::new();
    let odd = std::ffi::OsStr::from_bytes(b"caf\xe9.md");
    fs::write(folio.path("content").join(odd), "---\ntitle: x\n---\n").unwrap();
    assert_eq!(folio.slips(), [("file-unread", "content/caf\u{fffd}.md".to_owned())]);
}

#[test]
fn a_folio_without_a_page_is_told() {
    let folio = Folio::new();
    fs::remove_file(folio.path("content/first.md")).unwrap();
    assert_eq!(folio.slips(), [("folio-empty", "content".to_owned())]);
    assert_eq!(folio.publish().0, Some(1));
}

#[test]
fn names_that_publish_would_refuse_are_told_at_the_file() {
    let long = "l".repeat(240);
    for name in ["con", "b\\c", &long, "checks", "search", "cutaway", "faults/untied-figure"] {
        let folio = Folio::new();
        folio.page(name, "Words.");
        assert_eq!(folio.slips(), [("address-unusable", format!("content/{name}.md"))]);
        assert_eq!(folio.publish().0, Some(1), "{name}");
    }
    for (one, other) in [("a", "A"), ("\u{e9}", "e\u{301}")] {
        let folio = Folio::new();
        folio.page(one, "Words.");
        folio.page(other, "Words.");
        let slips = folio.slips();
        assert_eq!(slips.len(), 1, "{slips:?}");
        assert_eq!(slips[0].0, "address-unusable");
        let told = folio.publish().1;
        assert!(told.contains(&format!("content/{one}.md")), "{told}");
        assert!(told.contains(&format!("content/{other}.md")), "{told}");
    }
    let folio = Folio::new();
    let start = ["start", "alder", "--cutaway"];
    let mut program = Command::new(env!("CARGO_BIN_EXE_gaugebook"));
    assert!(program.args(start).arg(folio.0.path()).status().unwrap().success());
    folio.put(
        "content/pictures/alder-circuit.svg",
        "<svg xmlns='http://www.w3.org/2000/svg' width='9' height='9'><path d='M0 0h9'/></svg>",
    );
    folio.page("second", "![Circuit](pictures/alder-circuit.svg \"credit: own sketch\")");
    let wanted = ("address-unusable", "content/pictures/alder-circuit.svg".to_owned());
    // The started page has slips of its own.
    assert!(folio.slips().contains(&wanted), "{:?}", folio.slips());
}

#[test]
fn a_theme_that_cannot_be_used_is_told() {
    for (name, text) in [
        ("article.html", "{{ unclosed"),
        ("article.html", "\n{{ nothing.like.this }}"),
        ("asides.html", "{{ nothing.like.this }}"),
    ] {
        let folio = Folio::new();
        folio.put(&format!("themes/sheet/{name}"), text);
        assert_eq!(folio.slips(), [("theme-fault", format!("themes/sheet/{name}"))], "{text}");
        assert_eq!(folio.publish().0, Some(1));
        let mut draft = Command::new(env!("CARGO_BIN_EXE_gaugebook"));
        let draft = draft.args(["publish", "--draft"]).arg(folio.0.path()).output().unwrap();
        assert_eq!(draft.status.code(), Some(1));
        assert!(!folio.path("draft").exists());
    }
}

#[test]
fn a_linked_picture_is_judged_and_linked_under_its_name() {
    let folio = Folio::new();
    folio.page("second", "[Full size](photo.jpeg), [a PNG](shot.jpg), [again](shot.jpg).");
    folio.put("content/photo.jpeg", png());
    folio.put("content/shot.jpg", png());
    assert_eq!(folio.slips(), []);
    let shelf = Shelf::default();
    let folder = Folder::open(folio.0.path()).unwrap();
    make(&folder, Wish::default(), &shelf, &|_, _| {}).unwrap();
    let files = shelf.into_files();
    let page = std::str::from_utf8(&files["second.html"]).unwrap();
    for name in ["photo.png", "shot.png"] {
        assert!(files.contains_key(name), "{name}");
        assert!(page.contains(&format!("href=\"{name}\"")), "{page}");
    }
    let broken = Folio::new();
    broken.page("second", "[Photo](p.png) and [drawing](d.svg).");
    broken.put("content/p.png", &png()[..20]);
    broken.put("content/d.svg", "<svg xmlns='http://www.w3.org/2000/svg'><script/></svg>");
    let page = "content/second.md".to_owned();
    assert_eq!(broken.slips(), [("image-unreadable", page.clone()), ("image-unreadable", page)]);
    let twice = Folio::new();
    twice.page("second", "[One](q.jpg) and [other](q.png).");
    twice.put("content/q.jpg", png());
    twice.put("content/q.png", png());
    assert_eq!(twice.slips().len(), 1);
    assert_eq!(twice.slips()[0].0, "address-unusable");
}

fn sparse(path: &Path, bytes: u64) {
    fs::File::create(path).unwrap().set_len(bytes).unwrap();
}

// A file of 3 GB that takes no room on the disk: whoever reads it before asking runs out of memory.
#[cfg(unix)]
#[test]
fn sizes_are_asked_before_files_are_read() {
    let folio = Folio::new();
    sparse(&folio.path("content/page.md"), 3 << 30);
    sparse(&folio.path("content/p.png"), 3 << 30);
    fs::create_dir(folio.path("diagrams")).unwrap();
    sparse(&folio.path("diagrams/first.cut"), 3 << 30);
    folio.page("second", "![Photo](p.png \"credit: own photograph\")");
    let mut slips = folio.slips();
    slips.sort();
    let wanted = [
        ("image-too-large", "content/second.md"),
        ("page-too-large", "content/page.md"),
        ("page-too-large", "diagrams/first.cut"),
    ];
    assert_eq!(slips, wanted.map(|(code, file)| (code, file.to_owned())));
}

#[cfg(unix)]
#[test]
fn only_plain_files_are_read() {
    let pipe =
        |path: PathBuf| assert!(Command::new("mkfifo").arg(path).status().unwrap().success());
    let folio = Folio::new();
    fs::create_dir(folio.path("diagrams")).unwrap();
    for name in ["content/pipe.md", "diagrams/pipe.cut"] {
        pipe(folio.path(name));
    }
    let wanted = ["diagrams/pipe.cut", "content/pipe.md"];
    assert_eq!(folio.slips(), wanted.map(|name| ("file-unread", name.to_owned())));
    // Nobody ever writes into these.
    let imprint = Folio::new();
    fs::remove_file(imprint.path("content/imprint.yaml")).unwrap();
    pipe(imprint.path("content/imprint.yaml"));
    assert_eq!(imprint.publish().0, Some(2));
    let script = imprint.path("script");
    pipe(script.clone());
    let folio = Folio::new();
    folio.put("content/alder.md", "---\ntitle: Alder\nengine: alder\n---\n\nWords.\n");
    for script in [script.as_path(), Path::new("/dev/zero")] {
        let mut program = Command::new(env!("CARGO_BIN_EXE_gaugebook"));
        program.args(["proof", "--engine", "alder", "--script"]).arg(script).arg(folio.0.path());
        let output = program.output().unwrap();
        let told = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{told}");
        assert!(told.contains("no plain file"), "{told}");
    }
}

#[test]
fn the_worst_slips_of_a_file_are_told_and_the_rest_counted() {
    let folio = Folio::new();
    let lines = "The bore is 0.90 mm.\n\n".repeat(1000);
    folio.page("many", &format!("{lines}\n[nowhere](nothing.md)"));
    let slips = folio.proof().slips;
    assert_eq!(slips.len(), 201);
    assert!(slips.iter().any(|slip| slip.code == "broken-link"), "the worst is among them");
    let last = slips.iter().find(|slip| slip.code == "slips-untold").unwrap();
    assert!(last.message.starts_with("801 more"), "{}", last.message);
}
