//! The event logic: from the rest state and a pulled trigger, what can happen next, and why.
//!
//! Pressures are known only as levels, areas only as ordinal facts. Where these decide, the logic
//! goes on; where they do not, it stops and names what would decide. It knows models, not texts.

pub mod state;

pub use state::{Ending, Exploration, Level, Need, State, Step};
