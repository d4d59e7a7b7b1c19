//! The hostile folios of `tests/hostile`, given to the program itself: it ends with a verdict, and
//! takes no more memory than any machine has to spare.

#[path = "../hostile/cases.rs"]
#[allow(dead_code, reason = "what must come of each is looked at there")]
mod cases;

use nix::sys::resource::{UsageWho, getrusage};
use std::process::Command;

/// Most memory that any of them may take, in kilobytes.
const MOST: i64 = 300_000;

#[test]
fn hostile_folios_are_answered_in_little_memory() {
    let mut wrong = Vec::new();
    for case in cases::all() {
        let folder = tempfile::tempdir().unwrap();
        case.write(folder.path());
        let to = folder.path().join("site");
        for arguments in [&["proof"][..], &["publish", "--draft", "--to", to.to_str().unwrap()]] {
            let mut command = Command::new(env!("CARGO_BIN_EXE_gaugebook"));
            let run = command.args(arguments).current_dir(folder.path()).output().unwrap();
            if !matches!(run.status.code(), Some(0..=2)) {
                wrong.push(format!("{} {arguments:?}: {}", case.name, run.status));
            }
        }
        // Of the largest process so far.
        let memory = getrusage(UsageWho::RUSAGE_CHILDREN).unwrap().max_rss();
        if MOST < memory {
            wrong.push(format!("{}: {memory} kB", case.name));
            break;
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
