//! Suites that take minutes: run with `.ci/slow`.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test that meets an error has failed"
)]

mod kill;
