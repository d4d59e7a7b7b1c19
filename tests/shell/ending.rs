//! How a run ends when it is told to, when nobody can hear it, and without threads.

use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

fn folio(pages: usize) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    fs::create_dir(folder.path().join("content")).unwrap();
    for page in 0..pages {
        let text = format!("---\ntitle: Page {page}\n---\n\nWords.\n");
        fs::write(folder.path().join(format!("content/page{page}.md")), text).unwrap();
    }
    folder
}

fn beside(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let mut names: Vec<String> =
        entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[cfg(unix)]
#[test]
fn a_publishing_that_is_told_to_end_takes_everything_back() {
    for signal in ["INT", "TERM", "HUP"] {
        let folio = folio(3000);
        let mut child = Command::new(env!("CARGO_BIN_EXE_gaugebook"))
            .arg("publish")
            .arg(folio.path())
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        let begun = Instant::now();
        // When a page is there, the run is in the middle of it.
        let is_building = || {
            beside(folio.path()).iter().any(|name| {
                name.starts_with(".site.new-")
                    && folio.path().join(name).join("page0.html").exists()
            })
        };
        while !is_building() && child.try_wait().unwrap().is_none() {
            assert!(begun.elapsed() < Duration::from_secs(60), "nothing is being built");
            std::thread::sleep(Duration::from_millis(1));
        }
        let kill = Command::new("kill").args(["-s", signal, &child.id().to_string()]).status();
        assert!(kill.unwrap().success());
        let ended = child.wait().unwrap();
        assert_eq!(ended.code(), Some(130), "SIG{signal}");
        assert_eq!(beside(folio.path()), ["content"], "SIG{signal}");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_report_that_nobody_gets_is_no_success() {
    let folio = folio(1);
    for command in ["proof", "publish"] {
        let full = fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
        let mut program = Command::new(env!("CARGO_BIN_EXE_gaugebook"));
        let output = program.arg(command).arg(folio.path()).stdout(full).output().unwrap();
        let told = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{told}");
        assert!(told.contains("No space left"), "{told}");
    }
}

// The super-user has threads without limit, so the program is run as somebody else then.
#[cfg(target_os = "linux")]
#[test]
fn without_threads_the_work_is_done_on_one() {
    use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _};
    let folio = folio(20);
    let open = |path: &Path| fs::set_permissions(path, fs::Permissions::from_mode(0o777)).unwrap();
    open(folio.path());
    let program = folio.path().join("program");
    fs::copy(env!("CARGO_BIN_EXE_gaugebook"), &program).unwrap();
    open(&program);
    let mut command = Command::new("prlimit");
    command.arg("--nproc=1");
    if fs::metadata("/proc/self").unwrap().uid() == 0 {
        command.args(["setpriv", "--reuid=65533", "--regid=65533", "--clear-groups", "--"]);
    }
    let run = |what: &str, command: &mut Command| -> Output {
        command.arg(&program).arg(what).arg(folio.path()).output().unwrap()
    };
    let output = run("publish", &mut command);
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(0), "{told}");
    assert!(folio.path().join("site/page19.html").exists());
}
