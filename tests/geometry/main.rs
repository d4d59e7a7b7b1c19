//! The geometry of round parts: what textbooks say of single shapes, what another library finds for
//! whole stacks, and what must hold for any.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test that meets an error has failed"
)]

mod holes;
mod invariants;
mod sections;
mod support;
mod textbook;
