//! The published site as a value: names and bytes, one by one.
//!
//! Must not touch the disk, the clock or the network; the shell writes what this layer yields.

pub mod pictures;
