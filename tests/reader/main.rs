//! The figure reader against cases written as plain text with the expected figures beside them.
//!
//! `cases/*.txt`, one matter a file. A line that begins with `> ` is a text; below it stands one
//! line for each figure in reading order, and none where there is no figure:
//!
//! ```text
//! # a remark
//! @ spoken                 options for all texts below: spoken, comma, column UNIT, whole, plain
//! > About 128 psi (8.83 bar) is left.
//!   128 psi  | 128 [psi], about, pair a
//!   8.83 bar | 8.83 bar, about, pair a
//! > Bored to 2,5 mm.
//!   2,5      ! ambiguous-number
//! ```
//!
//! Numbers are told with the digits that were written. What the texts mean is common practice of
//! English technical writing, no source, except where a file names one.

mod cases;
mod clean;
mod properties;
