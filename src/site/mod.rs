//! The published site: finished plain data, themes that show it, pictures, and the search index.
//!
//! Everything here works on strings, bytes and plain numbers that others have settled: this layer
//! must not know quantities, formulas or the proof. It yields texts and bytes; writing files is not
//! its job.

pub mod pictures;
pub mod search;
pub(crate) mod shared;
pub(crate) mod theme;
