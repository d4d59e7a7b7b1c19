//! Broken input by the hundred thousand: see `tests/broken`.

#[path = "../broken/mod.rs"]
mod broken;

use std::time::Duration;

/// Cases for each reader that takes text alone; a million together with the others.
/// `GAUGEBOOK_CASES=500` for a short look.
const CASES: u64 = 165_000;

/// Most processor time of its thread that a case may take, some hundred times what good input of
/// its size takes: this tells what grows faster than it should, not how fast the machine is.
const DEAREST: Duration = Duration::from_secs(1);

#[test]
fn broken_input_is_answered_and_in_time() {
    let cases = std::env::var("GAUGEBOOK_CASES").ok().and_then(|text| text.parse().ok());
    let mut dearest = broken::answer_all(cases.unwrap_or(CASES));
    dearest.retain(|(_, time)| DEAREST < *time);
    assert!(dearest.is_empty(), "over a second: {dearest:?}");
}
