//! Proof.
