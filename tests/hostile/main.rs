//! What a hostile folio may hold: each case with its slip or its faithful escape, and broken input
//! in a short look (`tests/slow` looks long, and measures the memory).

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

#[path = "../broken/mod.rs"]
mod broken;
mod cases;
mod folios;

/// Cases for each reader.
const CASES: u64 = 300;

#[test]
fn broken_input_is_answered() {
    drop(broken::answer_all(CASES));
}
