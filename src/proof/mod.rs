//! The proof: every figure, claim, binding, link and picture of a page is judged, and what was
//! found is told as slips and as a standing for each figure.
//!
//! This layer knows pages, sheets and bodies. It does not know how anything is shown.

pub mod assign;
pub mod catalogue;
pub mod checks;
pub mod cues;
pub mod figure;
pub mod folio;
pub mod page;
pub mod passage;
pub mod printing;
pub mod prose;
pub mod reference_value;
mod restated;
pub mod routing;
pub mod words;

pub use figure::{Coverage, JudgedFigure, Status};
pub use folio::{Folio, PageEntry};
pub use page::{PageProof, finish, judge, judge_with};
