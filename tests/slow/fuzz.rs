//! Broken input by the hundred thousand: see `tests/broken`.

#[path = "../broken/mod.rs"]
mod broken;

/// Cases for each reader that takes text alone; a million together with the others.
/// `GAUGEBOOK_CASES=500` for a short look.
const CASES: u64 = 165_000;

#[test]
fn broken_input_is_answered_and_in_time() {
    let cases = std::env::var("GAUGEBOOK_CASES").ok().and_then(|text| text.parse().ok());
    broken::answer_all(cases.unwrap_or(CASES));
}
