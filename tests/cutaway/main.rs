//! The cutaway language from outside: small cutaways beside the slips that a writer reads.
//!
//! `faults/NAME.cut` trips the fault of that name and `clean/*.cut` must trip none. Beside each
//! faulty one lies `NAME.txt`, the slips as the terminal shows them; `GAUGEBOOK_WRITE=1 cargo test
//! --test cutaway` writes them anew.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test that meets an error has failed"
)]

mod aligning;
mod events;
mod faults;
mod helps;
mod hostile;
#[path = "../kept/mod.rs"]
mod kept;
mod reading;
mod spent;
mod support;
mod words;
