//! Publishing is all or nothing: whatever goes wrong, the old site stays byte for byte, and nothing
//! is left lying about.

use gaugebook::shell::atomic_publish::{Landing, LandingFault, MARKER};
use std::collections::BTreeMap;
use std::fs;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use tempfile::TempDir;

/// Everything below a folder: name to bytes; folders have a `/` at the end.
fn contents(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let entries = walkdir::WalkDir::new(folder).min_depth(1).into_iter().map(Result::unwrap);
    entries
        .map(|entry| {
            let name = entry.path().strip_prefix(folder).unwrap().to_string_lossy().into_owned();
            if entry.file_type().is_dir() {
                (name + "/", Vec::new())
            } else {
                (name, fs::read(entry.path()).unwrap())
            }
        })
        .collect()
}

fn publish(target: &Path, edition: &str) {
    let landing = Landing::begin(target, &[]).unwrap();
    landing.write("index.html", edition.as_bytes()).unwrap();
    landing.write("engines/rowan/index.html", edition.as_bytes()).unwrap();
    landing.finish().unwrap();
}

fn refusal(target: &Path, apart_from: &[&Path]) -> LandingFault {
    Landing::begin(target, apart_from).expect_err("should be refused")
}

#[track_caller]
fn assert_says(fault: &LandingFault, words: &str) {
    let text = fault.to_string();
    assert!(text.contains(words), "expected {words:?} in {text:?}");
}

/// A folder with one published site, and what it looked like.
struct Old {
    place: TempDir,
    before: BTreeMap<String, Vec<u8>>,
}

impl Old {
    fn site() -> Old {
        let place = tempfile::tempdir().unwrap();
        publish(&place.path().join("site"), "old");
        let before = contents(place.path());
        Old { place, before }
    }

    fn target(&self) -> PathBuf {
        self.place.path().join("site")
    }

    #[track_caller]
    fn assert_untouched(&self) {
        assert_eq!(contents(self.place.path()), self.before);
    }
}

#[test]
fn a_site_lands_whole_and_replaces_the_old_one() {
    let old = Old::site();
    let landing = Landing::begin(&old.target(), &[]).unwrap();
    landing.write("a.html", b"12345").unwrap();
    landing.write("b/c.html", b"678").unwrap();
    old_site_is_still_there(&old);
    let landed = landing.finish().unwrap();
    assert_eq!((landed.files, landed.bytes, landed.left_over), (2, 8, vec![]));
    let now = contents(old.place.path());
    let names: Vec<&str> = now.keys().map(String::as_str).collect();
    let marker = format!("site/{MARKER}");
    assert_eq!(names, ["site/", marker.as_str(), "site/a.html", "site/b/", "site/b/c.html"]);
    assert_eq!(now["site/a.html"], b"12345");
}

fn old_site_is_still_there(old: &Old) {
    let site: BTreeMap<_, _> = contents(&old.target());
    assert_eq!(site["index.html"], b"old");
    assert!(!site.contains_key("a.html"));
}

#[test]
fn the_same_files_give_the_same_folder() {
    let place = tempfile::tempdir().unwrap();
    let [one, two] = ["one", "two"].map(|name| place.path().join(name));
    publish(&one, "same");
    let landing = Landing::begin(&two, &[]).unwrap();
    landing.write("engines/rowan/index.html", b"same").unwrap();
    landing.write("index.html", b"same").unwrap();
    landing.finish().unwrap();
    assert_eq!(contents(&one), contents(&two));
}

#[test]
fn threads_write_side_by_side() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("site");
    let landing = Landing::begin(&target, &[]).unwrap();
    std::thread::scope(|scope| {
        for thread in 0..4 {
            let landing = &landing;
            scope.spawn(move || {
                for page in 0..50 {
                    let name = format!("chapter{}/page{page}-{thread}.html", page % 7);
                    landing.write(&name, name.as_bytes()).unwrap();
                }
            });
        }
    });
    assert_eq!(landing.finish().unwrap().files, 200);
    let site = contents(&target);
    assert_eq!(site["chapter3/page10-2.html"], b"chapter3/page10-2.html");
}

#[test]
fn an_unfinished_landing_leaves_no_trace() {
    let old = Old::site();
    let landing = Landing::begin(&old.target(), &[]).unwrap();
    landing.write("new.html", b"new").unwrap();
    drop(landing);
    old.assert_untouched();

    let place = tempfile::tempdir().unwrap();
    drop(Landing::begin(&place.path().join("a/b/site"), &[]).unwrap());
    assert!(contents(place.path()).is_empty(), "the folders made for it go as well");
}

#[test]
fn a_name_that_was_refused_stops_the_landing() {
    let old = Old::site();
    let landing = Landing::begin(&old.target(), &[]).unwrap();
    assert_says(&landing.write("../out.html", b"").unwrap_err(), "could leave the site's folder");
    assert_says(&landing.write(MARKER, b"").unwrap_err(), "marks published sites");
    landing.write("Rowan.html", b"").unwrap();
    assert_says(&landing.write("rowan.html", b"").unwrap_err(), "one and the same name");
    assert_says(&landing.write("Rowan.html", b"").unwrap_err(), "both called");
    assert_says(&landing.finish().unwrap_err(), "stays as it was");
    old.assert_untouched();
}

#[test]
fn a_folder_that_was_not_published_is_never_replaced() {
    let place = tempfile::tempdir().unwrap();
    let home = place.path().join("home");
    fs::create_dir_all(home.join("letters")).unwrap();
    fs::write(home.join("letters/aunt.txt"), "Dear Aunt").unwrap();
    let before = contents(place.path());
    let fault = refusal(&home, &[]);
    assert!(matches!(fault, LandingFault::NotOurs { .. }));
    assert_says(&fault, "holds `letters`");
    assert_eq!(contents(place.path()), before);
}

#[test]
fn a_note_laid_into_a_published_site_is_not_deleted() {
    let old = Old::site();
    let note = old.target().join("engines/rowan/to-do.txt");
    fs::write(&note, "measure the lands").unwrap();
    assert_says(&refusal(&old.target(), &[]), "holds `engines/rowan/to-do.txt`");
    fs::remove_file(&note).unwrap();

    // The same when it is laid there while the new site is being built.
    let landing = Landing::begin(&old.target(), &[]).unwrap();
    fs::write(&note, "measure the lands").unwrap();
    assert!(matches!(landing.finish(), Err(LandingFault::NotOurs { .. })));
    fs::remove_file(&note).unwrap();
    old.assert_untouched();

    // What desktops leave behind is no note.
    fs::write(old.target().join(".DS_Store"), "").unwrap();
    publish(&old.target(), "new");
}

#[test]
fn an_empty_folder_is_taken() {
    let place = tempfile::tempdir().unwrap();
    publish(place.path().join("site").as_path(), "first");
    let empty = place.path().join("empty");
    fs::create_dir(&empty).unwrap();
    publish(&empty, "first");
    assert_eq!(contents(&empty), contents(&place.path().join("site")));
}

#[test]
fn targets_that_cannot_be_a_site_are_refused() {
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("file");
    fs::write(&file, "text").unwrap();
    let content = place.path().join("folio/content");
    fs::create_dir_all(&content).unwrap();
    let before = contents(place.path());
    assert_says(&refusal(&file, &[]), "is a file");
    assert!(matches!(refusal(&file.join("site"), &[]), LandingFault::NotAFolder { .. }));
    assert_says(&refusal(Path::new("/"), &[]), "root of a disk");
    let kept = [content.as_path()];
    for target in [content.clone(), content.join("site"), place.path().join("folio")] {
        assert_says(&refusal(&target, &kept), "lie one inside the other");
    }
    let roundabout = place.path().join("folio/../folio/content/site");
    assert_says(&refusal(&roundabout, &kept), "lie one inside the other");
    assert_eq!(contents(place.path()), before);
    publish(&place.path().join("folio/site"), "beside the content");
}

#[test]
fn two_at_once_into_one_target_are_refused() {
    let old = Old::site();
    let first = Landing::begin(&old.target(), &[]).unwrap();
    let fault = refusal(&old.target(), &[]);
    assert!(matches!(fault, LandingFault::Busy { .. }));
    assert_says(&fault, "another run is publishing");
    first.write("index.html", b"first").unwrap();
    first.finish().unwrap();
    assert_eq!(contents(&old.target())["index.html"], b"first");
    publish(&old.target(), "second");
}

#[test]
fn two_processes_at_once_are_refused_too() {
    let old = Old::site();
    let mut other = play(Role::BuildAndWait, &old.target());
    assert!(matches!(refusal(&old.target(), &[]), LandingFault::Busy { .. }));
    other.kill().unwrap();
    other.wait().unwrap();
    drop(Landing::begin(&old.target(), &[]).expect("free again, and swept"));
    old.assert_untouched();
}

#[test]
fn a_kill_while_building_leaves_the_old_site_and_the_next_run_sweeps_up() {
    let old = Old::site();
    let site = contents(&old.target());
    let mut other = play(Role::BuildAndWait, &old.target());
    other.kill().unwrap();
    other.wait().unwrap();
    assert_eq!(contents(&old.target()), site);
    assert_ne!(contents(old.place.path()), old.before, "the killed run left its staging folder");

    // Look-alikes that are not ours stay.
    let foreign = old.place.path().join(".site.new-holiday");
    fs::create_dir(&foreign).unwrap();
    fs::write(foreign.join("beach.txt"), "sand").unwrap();
    publish(&old.target(), "new");
    let left = contents(old.place.path());
    let outside: Vec<&String> = left.keys().filter(|name| !name.starts_with("site/")).collect();
    assert_eq!(outside, [".site.new-holiday/", ".site.new-holiday/beach.txt"]);
}

// Systems without an exchange in one step: killed between its two renames, the old site is aside.
#[test]
fn an_old_site_that_was_laid_aside_comes_back() {
    let old = Old::site();
    fs::rename(old.target(), old.place.path().join(".site.old-4711")).unwrap();
    drop(Landing::begin(&old.target(), &[]).unwrap());
    old.assert_untouched();
}

#[cfg(unix)]
#[test]
fn a_link_to_a_folder_stays_and_its_folder_is_replaced() {
    let old = Old::site();
    let elsewhere = tempfile::tempdir().unwrap();
    let link = elsewhere.path().join("link");
    std::os::unix::fs::symlink(old.target(), &link).unwrap();
    publish(&link, "new");
    assert!(fs::symlink_metadata(&link).unwrap().is_symlink());
    assert_eq!(contents(&old.target())["index.html"], b"new");
}

/// A folder as a run that was killed leaves it, with its own list and what lies in it.
fn leftover(old: &Old, name: &str, listed: &str, files: &[&str]) -> PathBuf {
    let folder = old.place.path().join(name);
    fs::create_dir(&folder).unwrap();
    let head = fs::read_to_string(old.target().join(MARKER)).unwrap();
    let head = head.lines().next().unwrap();
    fs::write(folder.join(MARKER), format!("{head}\n{listed}")).unwrap();
    for file in files {
        fs::write(folder.join(file), "precious").unwrap();
    }
    folder
}

#[test]
fn a_leftover_goes_only_by_its_own_list() {
    let old = Old::site();
    let ours = leftover(&old, ".site.new-12-0", "a.html\n", &["a.html"]);
    let others = [
        leftover(&old, ".site.old-1", "a.html\n", &["a.html", "precious"]),
        leftover(&old, ".site.new-1-1", "", &["precious"]),
    ];
    // Called otherwise than a run calls it: not looked at, and not told.
    let backup = leftover(&old, ".site.old-2024-01", "a.html\n", &["a.html"]);
    let landing = Landing::begin(&old.target(), &[]).unwrap();
    landing.write("index.html", b"new").unwrap();
    assert_eq!(landing.finish().unwrap().left_over, {
        let mut others = others.clone();
        others.sort();
        others
    });
    assert!(!ours.exists());
    assert!(others.iter().all(|other| other.join("precious").exists()));
    assert!(backup.join("a.html").exists());
}

#[cfg(unix)]
#[test]
fn a_link_beside_the_site_is_never_followed() {
    let old = Old::site();
    let elsewhere = tempfile::tempdir().unwrap();
    let far = elsewhere.path().join("far");
    publish(&far, "somebody's own");
    let before = contents(&far);
    for name in [".site.new-1-0", ".site.old-1"] {
        std::os::unix::fs::symlink(&far, old.place.path().join(name)).unwrap();
    }
    publish(&old.target(), "new");
    assert_eq!(contents(&far), before);
}

// A folder that cannot be emptied: where something is mounted, or marked as unchangeable.
#[cfg(target_os = "linux")]
#[test]
fn what_cannot_be_removed_blocks_nothing() {
    let old = Old::site();
    let stuck = leftover(&old, ".site.new-12-0", "a.html\n", &["a.html"]);
    let chattr = |how: &str| {
        let marked = Command::new("chattr").arg(how).arg(&stuck).stderr(Stdio::null()).status();
        marked.is_ok_and(|status| status.success())
    };
    // Only the super-user can, on some disks.
    if !chattr("+i") {
        return;
    }
    let landing = Landing::begin(&old.target(), &[]);
    let landed = landing.and_then(|landing| {
        landing.write("index.html", b"new")?;
        landing.finish()
    });
    assert!(chattr("-i"));
    assert_eq!(landed.unwrap().left_over, [stuck]);
    assert_eq!(contents(&old.target())["index.html"], b"new");
}

#[test]
fn files_of_others_that_are_called_like_a_lock_stay() {
    let old = Old::site();
    let own = old.place.path().join(".site.lock");
    fs::write(&own, "mine").unwrap();
    publish(&old.target(), "new");
    assert_eq!(fs::read_to_string(&own).unwrap(), "mine");
    let lock = old.place.path().join(".site.gaugebook-lock");
    fs::write(&lock, "mine").unwrap();
    assert_says(&refusal(&old.target(), &[]), "move it away");
    assert_eq!(fs::read_to_string(&lock).unwrap(), "mine");
    assert_eq!(contents(&old.target())["index.html"], b"new");
}

#[cfg(target_os = "linux")]
#[test]
fn a_mount_point_is_refused_before_anything_is_built() {
    let place = tempfile::tempdir().unwrap();
    let [target, other] = ["site", "other"].map(|name| place.path().join(name));
    fs::create_dir(&target).unwrap();
    fs::create_dir(&other).unwrap();
    let mount = |how: &[&str]| {
        let mut command = Command::new("mount");
        command.args(how).arg(&target).stderr(Stdio::null());
        command.status().is_ok_and(|status| status.success())
    };
    let fails = || {
        let landing = Landing::begin(&target, &[])?;
        landing.write("index.html", b"new")?;
        landing.finish()
    };
    let unmount = || assert!(Command::new("umount").arg(&target).status().unwrap().success());
    // Only where the tests may mount.
    if mount(&["-t", "tmpfs", "tmpfs"]) {
        let fault = refusal(&target, &[]);
        unmount();
        assert_says(&fault, "inside it");
    }
    // The same disk at two places: only the exchange itself can tell.
    if mount(&["--bind", other.to_str().unwrap()]) {
        let fault = fails().expect_err("cannot be exchanged");
        unmount();
        assert_says(&fault, "inside it");
    }
    let left: Vec<String> = contents(place.path()).into_keys().collect();
    assert_eq!(left, ["other/", "site/"]);
}

/// What the test program can do in a second process.
#[derive(Clone, Copy)]
enum Role {
    /// Build half a site, say so, and wait to be killed.
    BuildAndWait,
    /// Write one large file and report what came of it.
    WriteMuch,
    /// Try to begin and report what came of it.
    Begin,
}

const ROLE: &str = "GAUGEBOOK_TEST_ROLE";
const TARGET: &str = "GAUGEBOOK_TEST_TARGET";

fn role_command(role: Role, target: &Path) -> Command {
    let mut command = Command::new(std::env::current_exe().unwrap());
    let test = "atomic_publish::second_process";
    command.args(["--exact", test, "--ignored", "--nocapture", "--test-threads=1"]);
    command.env(ROLE, (role as u8).to_string()).env(TARGET, target);
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::null());
    command
}

/// Starts a second process and waits until it has done its part.
fn play(role: Role, target: &Path) -> Child {
    let mut child = role_command(role, target).spawn().unwrap();
    let lines = BufReader::new(child.stdout.as_mut().unwrap()).lines();
    let ready = lines.map(Result::unwrap).any(|line| line.contains("READY"));
    assert!(ready, "the second process ended early");
    child
}

fn report(command: &mut Command) -> String {
    let output = command.output().unwrap();
    String::from_utf8(output.stdout).unwrap()
}

#[test]
#[ignore = "played in a second process by the tests above"]
fn second_process() {
    let (Ok(role), Some(target)) = (std::env::var(ROLE), std::env::var_os(TARGET)) else { return };
    let target = PathBuf::from(target);
    if role == (Role::BuildAndWait as u8).to_string() {
        let landing = Landing::begin(&target, &[]).unwrap();
        landing.write("index.html", b"never to be seen").unwrap();
        landing.write("engines/hazel/index.html", b"never to be seen").unwrap();
        println!("READY");
        let _ = std::io::stdin().read_line(&mut String::new());
    } else if role == (Role::WriteMuch as u8).to_string() {
        let landing = Landing::begin(&target, &[]).unwrap();
        let written = landing.write("large.html", &vec![b'x'; 4 << 20]);
        println!("WRITTEN {}", written.err().map_or("whole".to_string(), |e| e.to_string()));
        println!("FINISHED {}", landing.finish().is_ok());
    } else {
        let begun = Landing::begin(&target, &[]);
        println!("BEGUN {}", begun.err().map_or("well".to_string(), |e| e.to_string()));
    }
}

// A disk of one megabyte where the tests may mount one, else a limit on the size of files; both
// are real refusals of the system.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_leaves_the_old_site() {
    let disk = tempfile::tempdir().unwrap();
    let mounted = Command::new("mount")
        .args(["-t", "tmpfs", "-o", "size=1m", "tmpfs"])
        .arg(disk.path())
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|status| status.success());
    let target = disk.path().join("site");
    publish(&target, "old");
    let before = contents(disk.path());
    let text = if mounted {
        report(&mut role_command(Role::WriteMuch, &target))
    } else {
        let plain = role_command(Role::WriteMuch, &target);
        let mut limited = Command::new("sh");
        limited.args(["-c", "trap '' XFSZ; ulimit -f 1024; exec \"$@\"", "sh"]);
        limited.arg(plain.get_program()).args(plain.get_args());
        limited.envs(plain.get_envs().filter_map(|(name, value)| Some((name, value?))));
        report(&mut limited)
    };
    let after = contents(disk.path());
    if mounted {
        let unmounted = Command::new("umount").arg(disk.path()).status();
        assert!(unmounted.unwrap().success());
    }
    assert!(text.contains("WRITTEN no room for"), "{text}");
    assert!(text.contains("FINISHED false"), "{text}");
    assert_eq!(after, before);
}

// The super-user may write anywhere, so the second process is run as somebody else then.
#[cfg(target_os = "linux")]
#[test]
fn a_place_without_permission_is_told() {
    use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _};
    let old = Old::site();
    let place = old.place.path();
    fs::set_permissions(place, fs::Permissions::from_mode(0o555)).unwrap();
    let mut command = role_command(Role::Begin, &old.target());
    let folder = tempfile::tempdir().unwrap();
    let is_root = fs::metadata("/proc/self").unwrap().uid() == 0;
    if is_root {
        let plain = command;
        command = Command::new("setpriv");
        command.args(["--reuid=65534", "--regid=65534", "--clear-groups", "--"]);
        command.arg(open_copy_of_this_program(folder.path())).args(plain.get_args());
        command.envs(plain.get_envs().filter_map(|(name, value)| Some((name, value?))));
    }
    let text = report(&mut command);
    fs::set_permissions(place, fs::Permissions::from_mode(0o755)).unwrap();
    assert!(text.contains("BEGUN no permission to write"), "{text}");
    old.assert_untouched();
}

/// The test program where everybody can run it: build folders may lie in a private home.
#[cfg(target_os = "linux")]
fn open_copy_of_this_program(folder: &Path) -> PathBuf {
    use std::os::unix::fs::PermissionsExt as _;
    fs::set_permissions(folder, fs::Permissions::from_mode(0o755)).unwrap();
    let copy = folder.join("landing-test");
    fs::copy(std::env::current_exe().unwrap(), &copy).unwrap();
    fs::set_permissions(&copy, fs::Permissions::from_mode(0o755)).unwrap();
    copy
}
