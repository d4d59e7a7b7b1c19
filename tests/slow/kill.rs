//! A process that publishes one edition after the other is killed at some moment, again and again.
//! Whenever that is, one whole edition stands at the target, never an older one than before.

use gaugebook::shell::atomic_publish::Landing;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

const KILLS: u64 = 400;
const PAGES: usize = 40;
const TARGET: &str = "GAUGEBOOK_TEST_TARGET";

fn page(number: usize) -> String {
    format!("chapter{}/page{number}.html", number % 5)
}

fn publish(target: &Path, edition: u64) {
    let landing = Landing::begin(target, &[]).unwrap();
    for number in 0..PAGES {
        landing.write(&page(number), edition.to_string().repeat(200).as_bytes()).unwrap();
    }
    landing.finish().unwrap();
}

/// The edition that stands at the target, after checking that it is whole.
fn edition(target: &Path) -> u64 {
    let read = |number| fs::read_to_string(target.join(page(number))).unwrap();
    let first = read(0);
    let edition = first[..first.len() / 200].parse().unwrap();
    for number in 0..PAGES {
        assert_eq!(read(number), first, "page {number} of edition {edition}");
    }
    let files = walkdir::WalkDir::new(target).into_iter().map(Result::unwrap);
    assert_eq!(files.filter(|entry| entry.file_type().is_file()).count(), PAGES + 1);
    edition
}

#[test]
fn a_kill_at_any_moment_leaves_one_whole_edition() {
    let place = tempfile::tempdir().unwrap();
    let target = place.path().join("site");
    publish(&target, 1);
    let (mut last, mut moment, mut replaced) = (1, 1_u64, 0);
    for _ in 0..KILLS {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", "kill::second_process", "--ignored"])
            .env(TARGET, &target)
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        // Spread evenly over the first 40 ms by a full-period generator (Knuth's MMIX constants,
        // memory).
        moment =
            moment.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        std::thread::sleep(Duration::from_micros((moment >> 33) % 40_000));
        child.kill().unwrap();
        child.wait().unwrap();
        let now = edition(&target);
        assert!(last <= now, "edition {now} came back after edition {last}");
        replaced += u64::from(last < now);
        last = now;
    }
    assert!(KILLS / 20 < replaced, "the kills came too early to prove anything: {replaced}");
    publish(&target, last + 1);
    let left: Vec<PathBuf> =
        fs::read_dir(place.path()).unwrap().map(|entry| entry.unwrap().path()).collect();
    assert_eq!(left, [target], "a run that ends well sweeps up after all that were killed");
}

#[test]
#[ignore = "played in a second process by the test above"]
fn second_process() {
    let Some(target) = std::env::var_os(TARGET) else { return };
    let target = PathBuf::from(target);
    for next in edition(&target) + 1.. {
        publish(&target, next);
    }
}
