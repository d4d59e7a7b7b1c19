//! The cutaway language: one engine's section as a small text, and the model that it stands for.
//!
//! ```text
//! cutaway rowan
//! supply line
//! chamber store  role store
//! way metering   from line to store  narrow
//! ```
//!
//! Reading never fails: a text gives a model of what could be read, and slips with exact places
//! for the rest. This layer knows texts and slips; it computes, moves and draws nothing.

pub mod model;

pub use model::Engine;
