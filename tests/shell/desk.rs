//! The desk server (tests follow).
