//! Same or different: two engines compared by structure and by the order of events.
//!
//! Models are compared, not words: chambers by what they are for and what they are joined to, parts
//! by what pushes them, events by what happens. "Same structure" is computed here; "copied"
//! never is.
