//! The proof: every figure, claim, binding, link and picture of a page is judged, and what was
//! found is told as slips and as a standing for each figure.
//!
//! This layer knows pages, sheets and bodies. It does not know how anything is shown.

pub mod accept;
pub mod catalogue;
pub(crate) mod checks;
pub mod figure;
pub(crate) mod page;
pub(crate) mod passage;
pub mod printing;
pub(crate) mod prose;
pub(crate) mod reference_value;
mod restated;
pub mod speech;
mod spoken_text;
mod tying;

pub use figure::{Coverage, JudgedFigure, Status};
pub use page::{PageProof, finish, judge, judge_and_explain, judge_with};
