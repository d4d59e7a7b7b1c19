//! Two engines, same or different.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test that meets an error has failed"
)]

mod answers;
mod cases;
#[path = "../kept/mod.rs"]
mod kept;
mod matching;
mod properties;
mod several;
mod shuffle;
mod support;
