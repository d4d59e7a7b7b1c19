//! Expectations that are kept as files: for the tests that include this module.

#![allow(dead_code, reason = "not every test that includes it needs all of it")]

use gaugebook::slip::{Paint, Slip, render};
use std::path::Path;

/// Slips as the terminal shows them.
pub(crate) fn shown(slips: &[Slip]) -> String {
    let all: Vec<String> = slips.iter().map(|slip| render(slip, Paint::plain())).collect();
    all.join("\n")
}

/// Compares with a file, or writes it where the writer asks for that.
pub(crate) fn same_as(path: &Path, found: &str) {
    if std::env::var_os("GAUGEBOOK_WRITE").is_some() {
        std::fs::write(path, found).unwrap();
        return;
    }
    let kept = std::fs::read_to_string(path).unwrap_or_default().replace("\r\n", "\n");
    assert_eq!(found, kept, "{} tells something else", path.display());
}
