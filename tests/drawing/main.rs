//! Pictures of engines: what an eye would complain of, told by computation.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod bounds;
mod engines;
mod geometry;
mod made_up;
mod outside;
mod random;
mod sized;
