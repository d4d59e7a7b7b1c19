//! Data sheets: what each page's named figures are worth, and where they come from.
//!
//! A [`Ledger`] holds the sheets of the whole folio and is the scope in which formulas are worked
//! out. This layer reads declarations and evaluates; judging what prose says is the proof's.

pub(crate) mod declare;
pub(crate) mod energy;
pub(crate) mod entry;
pub(crate) mod ledger;
pub(crate) mod print;
pub(crate) mod side_by_side;
pub(crate) mod statement;

pub use entry::{DerivedEntry, Entry, Origin, ReadingEntry};
pub(crate) use ledger::{Ledger, Sheet};
pub use statement::Stated;
