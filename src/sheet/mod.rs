//! Data sheets: what each page's named figures are worth, and where they come from.
//!
//! A [`Ledger`] holds the sheets of the whole folio and is the scope in which formulas are worked
//! out. This layer reads declarations and evaluates; judging what prose says is the proof's.

pub mod declare;
pub mod derivable;
pub mod entry;
pub mod ledger;
pub mod print;
pub mod statement;

pub use entry::{DerivedEntry, Entry, Origin, ReadingEntry};
pub use ledger::{Ledger, PageScope, Sheet};
pub use statement::Stated;
