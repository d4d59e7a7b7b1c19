//! The proof from outside: small folios beside the slips that readers see.
//!
//! `faults/<name>/` trips the fault of that name, `clean/<topic>/` must trip none, `ties.txt` says
//! which figure the words of a sentence mean. Beside each faulty folio lies `slips.txt`, the slips
//! as the terminal shows them; `GAUGEBOOK_WRITE=1 cargo test --test proof` writes them anew.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test that meets an error has failed"
)]

mod accept;
mod choked;
mod chosen;
mod clean;
mod context;
mod declared;
mod drawn;
mod faults;
mod forces;
mod front;
mod graph;
mod hostile;
#[path = "../kept/mod.rs"]
mod kept;
mod keys;
mod mutation;
mod pages;
mod prose;
mod questions;
mod said;
mod script;
mod standing;
mod support;
mod ties;
mod walk;
