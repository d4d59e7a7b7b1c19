//! The outermost pieces tried on a real disk and a real socket.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "an error here is a failed test")]

mod atomic_publish;
mod desk;
mod draw;
mod ending;
mod files;
mod inventory;
#[path = "../kept/mod.rs"]
mod kept;
mod next;
mod start;
mod terminal;
mod told;
mod writers_file;
