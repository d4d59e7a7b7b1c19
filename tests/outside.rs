//! Published and independently computed values against the program, the source beside each.
//!
//! "memory" marks values that were recalled and not read again; "first principles" marks values
//! worked out outside this program from the equations named. Values from libraries are generated
//! anew by `tests/reference/*.py` where a Python with them is at hand.

#![allow(clippy::unwrap_used, clippy::expect_used)] // a test may stop at once

#[path = "outside/chambers.rs"]
mod chambers;
#[path = "outside/flow.rs"]
mod flow;
#[path = "outside/gum.rs"]
mod gum;
#[path = "outside/libraries.rs"]
mod libraries;
#[path = "outside/pressures.rs"]
mod pressures;
#[path = "program/mod.rs"]
mod program;
#[path = "outside/properties.rs"]
mod properties;
#[path = "outside/reckoning.rs"]
mod reckoning;
#[path = "outside/rings.rs"]
mod rings;
#[path = "outside/shots.rs"]
mod shots;
#[path = "outside/springs.rs"]
mod springs;
#[path = "outside/support.rs"]
mod support;
#[path = "outside/units.rs"]
mod units;
