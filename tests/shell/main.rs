//! The outermost pieces tried on a real disk and a real socket.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test that meets an error has failed"
)]

mod desk;
mod landing;
