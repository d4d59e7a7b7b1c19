//! Each system call of the commands that write is made to fail, and made the last one before a
//! kill. Whatever it is, what stood there is whole, the old or the new, and the next run puts all
//! in order.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::LazyLock;

/// Calls that touch files. Those of memory and threads have nothing to lose.
const CALLS: &str = "openat,read,write,pread64,close,lseek,fcntl,flock,statx,newfstatat,getdents64,\
                     readlink,readlinkat,mkdir,unlink,unlinkat,rmdir,rename,renameat2,link,linkat,\
                     fsync,fdatasync,syncfs,fchmod,fchown,chmod,ftruncate";

/// All of the first calls of a name are tried, then every tenth: the hundred that write one page
/// after the other are alike.
const FIRST: usize = 30;

/// The program, as it is when the tests begin: they take long, and a build meanwhile puts another
/// one in its place.
fn program() -> &'static Path {
    static COPY: LazyLock<(tempfile::TempDir, PathBuf)> = LazyLock::new(|| {
        let place = tempfile::tempdir().unwrap();
        let copy = place.path().join("gaugebook");
        fs::copy(env!("CARGO_BIN_EXE_gaugebook"), &copy).unwrap();
        (place, copy)
    });
    &COPY.1
}

/// Everything below a folder: name to bytes; folders have a `/` at the end.
type Contents = BTreeMap<String, Vec<u8>>;

fn contents(folder: &Path) -> Contents {
    let walk = walkdir::WalkDir::new(folder).min_depth(1).into_iter().map(Result::unwrap);
    walk.map(|entry| {
        let name = entry.path().strip_prefix(folder).unwrap().to_string_lossy().into_owned();
        if entry.file_type().is_dir() {
            (name + "/", Vec::new())
        } else {
            (name, fs::read(entry.path()).unwrap())
        }
    })
    .collect()
}

/// What is done at a call.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Fault {
    /// It fails, and everything goes on.
    Fails,
    /// The process is killed before it.
    Kills,
}

/// A command that writes, with the folder that it starts from.
struct Case<'a> {
    arguments: &'a [&'a str],
    prepare: &'a dyn Fn(&Path),
}

/// Looks at what a run left behind: its folder, what it told, and which call failed how.
type Check<'a> = dyn Fn(&Path, &Output, (&str, usize, Fault)) + 'a;

impl Case<'_> {
    fn place(&self) -> tempfile::TempDir {
        let place = tempfile::tempdir().unwrap();
        (self.prepare)(place.path());
        place
    }

    fn run(&self, place: &Path) -> Output {
        let mut program = Command::new(program());
        program.args(self.arguments).current_dir(place).output().unwrap()
    }

    fn traced(&self, place: &Path, how: &[&str]) -> Output {
        let mut strace = Command::new("strace");
        strace.args(["-f", "-qq", "-e", &format!("trace={CALLS}")]).args(how);
        strace.arg(program()).args(self.arguments).current_dir(place);
        // One thread makes pages: then the calls of a run are those of the run before.
        strace.env("RAYON_NUM_THREADS", "1").output().expect("strace is installed")
    }

    /// How often each call is made, by the thread that makes it most often.
    fn counts(&self) -> BTreeMap<String, usize> {
        let place = self.place();
        let log = tempfile::NamedTempFile::new().unwrap();
        let output = self.traced(place.path(), &["-o", log.path().to_str().unwrap()]);
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        let mut by_thread: BTreeMap<(&str, &str), usize> = BTreeMap::new();
        let text = fs::read_to_string(log.path()).unwrap();
        for line in text.lines() {
            let mut words = line.split_whitespace();
            let (Some(thread), Some(call)) = (words.next(), words.next()) else { continue };
            let Some((name, _)) = call.split_once('(') else { continue };
            *by_thread.entry((thread, name)).or_default() += 1;
        }
        let mut counts = BTreeMap::new();
        for ((_, name), count) in by_thread {
            let most: &mut usize = counts.entry(name.to_owned()).or_default();
            *most = count.max(*most);
        }
        counts
    }

    /// Tries every call; `check` gets the folder as it was left, how the run ended, and what was
    /// done to it.
    fn try_all(&self, check: &Check<'_>) {
        let counts = self.counts();
        assert!(counts.contains_key("openat") && counts.contains_key("write"), "{counts:?}");
        let mut tried = 0;
        for (name, count) in &counts {
            let numbers = (1..=*count).filter(|number| *number <= FIRST || number % 10 == 0);
            for number in numbers.chain([*count]).collect::<BTreeSet<usize>>() {
                for fault in [Fault::Fails, Fault::Kills] {
                    let what = match fault {
                        // A broken disk and a full one by turns.
                        Fault::Fails if number % 2 == 0 && takes_room(name) => "error=ENOSPC",
                        Fault::Fails => "error=EIO",
                        Fault::Kills => "signal=KILL",
                    };
                    let place = self.place();
                    let inject = format!("inject={name}:{what}:when={number}");
                    let output = self.traced(place.path(), &["-o", "/dev/null", "-e", &inject]);
                    let told = String::from_utf8_lossy(&output.stderr).into_owned();
                    let at = format!("{name} {number} {fault:?}: {told}");
                    // Where a folder cannot be closed the standard library gives up by itself.
                    let is_ours = told.contains("panicked") && !told.contains("during closedir");
                    assert!(!is_ours, "{at}");
                    println!("{name} {number} {fault:?} {:?}", output.status.code());
                    check(place.path(), &output, (name, number, fault));
                    tried += 1;
                }
            }
        }
        println!("{tried} calls of {:?}", self.arguments);
    }
}

/// Whether a call may find the disk full.
fn takes_room(name: &str) -> bool {
    ["openat", "write", "mkdir", "link", "linkat", "rename", "renameat2", "fsync", "syncfs"]
        .contains(&name)
}

/// Whether a failing call may be one that clears up.
fn clears_up(name: &str) -> bool {
    matches!(
        name,
        "unlink" | "unlinkat" | "rmdir" | "getdents64" | "openat" | "newfstatat" | "statx"
    )
}

fn folio(place: &Path, text: &str) {
    fs::create_dir(place.join("content")).unwrap();
    fs::write(place.join("content/imprint.yaml"), "title: Test bench\n").unwrap();
    fs::write(place.join("content/a.md"), format!("---\ntitle: A\n---\n\n{text}\n")).unwrap();
}

#[test]
fn publishing_leaves_the_old_site_or_the_new_one() {
    // Both are made once; a case starts from copies.
    let made = |text: &str| {
        let place = tempfile::tempdir().unwrap();
        folio(place.path(), text);
        let case = Case { arguments: &["publish"], prepare: &|_| {} };
        assert!(case.run(place.path()).status.success());
        contents(&place.path().join("site"))
    };
    let (old, new) = (made("Old words."), made("New words."));
    assert_ne!(old, new);
    let prepare = |place: &Path| {
        folio(place, "New words.");
        for (name, bytes) in &old {
            let path = place.join("site").join(name);
            if name.ends_with('/') {
                fs::create_dir_all(path).unwrap();
            } else {
                fs::create_dir_all(path.parent().unwrap()).unwrap();
                fs::write(path, bytes).unwrap();
            }
        }
    };
    let case = Case { arguments: &["publish"], prepare: &prepare };
    case.try_all(&|place, output, at| {
        let site = contents(&place.join("site"));
        assert!(site == old || site == new, "{at:?}");
        assert!(!output.status.success() || site == new, "{at:?}");
        let after = case.run(place);
        assert!(after.status.success(), "{at:?}: {}", String::from_utf8_lossy(&after.stderr));
        assert!(contents(&place.join("site")) == new, "{at:?}");
        let left: BTreeSet<_> =
            fs::read_dir(place).unwrap().map(|entry| entry.unwrap().file_name()).collect();
        assert_eq!(left, ["content".into(), "site".into()].into(), "{at:?}");
    });
}

#[test]
fn starting_leaves_each_file_whole_or_not_there() {
    let case = Case { arguments: &["start", "alder", "--cutaway"], prepare: &|_| {} };
    let whole = case.place();
    assert!(case.run(whole.path()).status.success());
    let whole = contents(whole.path());
    let is_file = |name: &&String| !name.ends_with('/');
    assert_eq!(whole.keys().filter(is_file).count(), 3);
    case.try_all(&|place, output, at| {
        let (name, _, fault) = at;
        let now = contents(place);
        for (name, bytes) in now.iter().filter(|(name, _)| !name.contains("/.gaugebook-")) {
            assert_eq!(whole.get(name), Some(bytes), "{at:?}: {name}");
        }
        let is_done = now.contains_key("content/engines/alder.md");
        if is_done {
            assert!(whole.keys().all(|name| now.contains_key(name)), "{at:?}: {now:?}");
        } else if fault == Fault::Fails && !clears_up(name) {
            assert!(!output.status.success(), "{at:?}");
            assert_eq!(now, Contents::new(), "{at:?}");
        }
        let after = case.run(place);
        assert_eq!(after.status.success(), !is_done, "{at:?}");
        let then = contents(place);
        assert!(whole.iter().all(|(name, bytes)| then.get(name) == Some(bytes)), "{at:?}");
    });
}

#[test]
fn aligning_leaves_each_file_as_it_was_or_as_it_is_meant() {
    let untidy = "cutaway alder\nsupply line\nchamber store role store\nchamber  a\n";
    let prepare = |place: &Path| {
        for name in ["a.cut", "b.cut"] {
            fs::write(place.join(name), untidy).unwrap();
        }
    };
    let case = Case { arguments: &["align", "a.cut", "b.cut"], prepare: &prepare };
    let whole = case.place();
    assert!(case.run(whole.path()).status.success());
    let tidy = contents(whole.path())["a.cut"].clone();
    case.try_all(&|place, output, at| {
        let (name, _, fault) = at;
        let now = contents(place);
        for name in ["a.cut", "b.cut"] {
            assert!(now[name] == untidy.as_bytes() || now[name] == tidy, "{at:?}: {name}");
        }
        let is_done = now["a.cut"] == tidy && now["b.cut"] == tidy;
        assert!(!output.status.success() || is_done, "{at:?}");
        if fault == Fault::Fails && !clears_up(name) {
            assert_eq!(now.len(), 2, "{at:?}: {:?}", now.keys());
        }
        assert!(case.run(place).status.success(), "{at:?}");
        let then = contents(place);
        assert!(["a.cut", "b.cut"].iter().all(|name| then[*name] == tidy), "{at:?}");
    });
}

#[test]
fn accepting_leaves_each_page_as_it_was_or_bound() {
    let names = ["content/flute.md", "content/whistle.md"];
    let page = |engine: &str| {
        format!(
            "---\ntitle: A {engine}\nengine: {engine}\nsources: {{bench: {{kind: measured}}}}\n\
             readings_from: bench\nreadings:\n  overall_length: {{is: 412 mm, called: [end to \
             end]}}\n  dart_mass: 6.45 g\n---\n\nLaid on the table it is 412 mm long. A dart weighs \
             6.45 g.\n"
        )
    };
    let prepare = |place: &Path| {
        fs::create_dir(place.join("content")).unwrap();
        fs::write(place.join("content/imprint.yaml"), "title: Test bench\n").unwrap();
        fs::write(place.join(names[0]), page("flute")).unwrap();
        fs::write(place.join(names[1]), page("whistle")).unwrap();
    };
    let case = Case { arguments: &["proof", "--accept"], prepare: &prepare };
    let place = case.place();
    let old = contents(place.path());
    assert!(case.run(place.path()).status.success());
    let new = contents(place.path());
    assert!(names.iter().all(|name| old[*name] != new[*name]), "{new:?}");
    case.try_all(&|place, output, at| {
        let (name, _, fault) = at;
        let now = contents(place);
        for name in names {
            assert!(now[name] == old[name] || now[name] == new[name], "{at:?}: {name}");
        }
        assert!(
            !output.status.success() || names.iter().all(|name| now[*name] == new[*name]),
            "{at:?}"
        );
        if fault == Fault::Fails && !clears_up(name) {
            assert_eq!(now.len(), old.len(), "{at:?}: {:?}", now.keys());
        }
        assert!(case.run(place).status.success(), "{at:?}");
        let then = contents(place);
        assert!(names.iter().all(|name| then[*name] == new[*name]), "{at:?}");
    });
}

#[test]
fn what_cannot_be_read_is_told() {
    let prepare = |place: &Path| {
        let start = Case { arguments: &["start", "alder", "--cutaway"], prepare: &|_| {} };
        assert!(start.run(place).status.success());
        let cutaway = place.join("diagrams/alder.cut");
        let text = fs::read_to_string(&cutaway).unwrap();
        fs::write(cutaway, text.replace("# starter", "")).unwrap();
        fs::create_dir_all(place.join("themes/sheet")).unwrap();
        fs::write(place.join("themes/sheet/own.css"), "p { color: red }\n").unwrap();
    };
    let case = Case { arguments: &["proof"], prepare: &prepare };
    let whole = case.run(case.place().path());
    case.try_all(&|_, output, at| {
        let is_told = !output.status.success() || output.stdout == whole.stdout;
        assert!(at.2 == Fault::Kills || is_told, "{at:?}");
    });
}
