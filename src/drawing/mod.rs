//! Pictures from models: the circuit, the section, and the frames of a shot.
//!
//! Everything is resolved before it is drawn; the pictures are monochrome, and states are told
//! apart by line pattern and label. This layer knows models and states, not pages.

mod circuit;
mod describe;
mod frame;
mod hatching;
mod lettering;
mod row;
mod section;
mod series;
pub mod shape;
mod svg;
mod thumbnail;
mod view;
mod words;

pub use circuit::{Circuit, circuit};
pub use frame::{Caption, PaperSheet, STAMP, even, frame};
pub use section::{section, sections};
pub(crate) use series::series;
pub use shape::Drawing;
pub use view::{DrawingView, Mark};
