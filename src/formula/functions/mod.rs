//! The trade functions.
