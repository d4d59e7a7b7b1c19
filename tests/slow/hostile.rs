//! The hostile folios of `tests/hostile`, given to the program itself: it ends with a verdict, and
//! takes no more memory and processor time than any machine has to spare.

#[path = "../hostile/cases.rs"]
#[allow(dead_code, reason = "what must come of each is looked at there")]
mod cases;

use nix::sys::resource::{UsageWho, getrusage};
use nix::sys::time::TimeValLike;
use std::process::Command;

/// Most memory that any of them may take, in kilobytes.
const MOST: i64 = 300_000;

/// Most processor time that any of them may take, in whole seconds, some ten times what the dearest
/// does: the system ends a program that comes to it.
const LONGEST: &str = "10";

/// Seconds of processor time that all children took so far.
fn processor_time() -> f64 {
    let usage = getrusage(UsageWho::RUSAGE_CHILDREN).unwrap();
    [usage.user_time(), usage.system_time()]
        .map(|time| time.num_microseconds() as f64 / 1e6)
        .iter()
        .sum()
}

#[test]
fn hostile_folios_are_answered_in_little_memory_and_time() {
    let mut wrong = Vec::new();
    for case in cases::all().into_iter().chain([cases::at_the_limit()]) {
        let folder = tempfile::tempdir().unwrap();
        case.write(folder.path());
        let to = folder.path().join("site");
        for arguments in [&["proof"][..], &["publish", "--draft", "--to", to.to_str().unwrap()]] {
            let mut command = Command::new("sh");
            command.args(["-c", "ulimit -t \"$1\"; shift; exec \"$@\"", "sh", LONGEST]);
            command.arg(env!("CARGO_BIN_EXE_gaugebook")).args(arguments);
            let before = processor_time();
            let run = command.current_dir(folder.path()).output().unwrap();
            if !matches!(run.status.code(), Some(0..=2)) {
                wrong.push(format!("{} {arguments:?}: {}", case.name, run.status));
            }
            println!("{} {arguments:?}: {:.2} s", case.name, processor_time() - before);
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
