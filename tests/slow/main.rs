//! Suites that take minutes: run with `.ci/slow`.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "an error here is a failed test")]

mod fuzz;
#[cfg(target_os = "linux")]
mod growth;
#[cfg(target_os = "linux")]
mod hostile;
mod kill;
#[cfg(target_os = "linux")]
mod system_calls;
