//! Two engines, same or different.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test that meets an error has failed"
)]

mod cases;
mod properties;
mod shuffle;
mod support;
