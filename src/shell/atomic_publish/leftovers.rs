//! What killed runs left beside a target.
//!
//! A folder counts as left over only if it is called exactly as a run calls it, and is removed only
//! if everything in it stands in its own list. Nothing here is a reason not to publish.

use super::staging::first_foreign;
use super::swap::remove_site;
use super::{LIST_TO_BE, MARKER, MARKER_HEAD};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

/// Removes what is left over and gives what could not be removed. The lock is ours, so the owners
/// are gone. An old site that was laid aside is put back first, if nothing stands in its place.
pub(super) fn clear(target: &Path, parent: &Path, name: &str) -> Vec<PathBuf> {
    let mut left = Vec::new();
    for entry in fs::read_dir(parent).into_iter().flatten().flatten() {
        let entry_name = entry.file_name();
        let Some(kind) = entry_name.to_str().and_then(|entry| kind_of(entry, name)) else {
            continue;
        };
        // A link is somebody's own, and what it leads to even more so.
        if !entry.file_type().is_ok_and(|kind| kind.is_dir()) {
            continue;
        }
        let path = entry.path();
        let Some(ours) = own_list(&path) else {
            // Killed before it could be marked: then it is empty. Anything else is not ours.
            let _ = fs::remove_dir(&path);
            continue;
        };
        if !matches!(first_foreign(&path, "", &ours), Ok(None)) {
            left.push(path);
        } else if kind == LeftoverKind::Old && !target.exists() && fs::rename(&path, target).is_ok()
        {
        } else if remove_site(&path).is_err() {
            left.push(path);
        }
    }
    left.sort();
    left
}

#[derive(PartialEq, Eq)]
enum LeftoverKind {
    /// A site that was being built, or the old one after the exchange.
    New,
    /// An old site laid aside.
    Old,
}

/// What a folder is by its name: `.site.new-PID-N` or `.site.old-PID`.
fn kind_of(entry: &str, name: &str) -> Option<LeftoverKind> {
    let is_number = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let rest = entry.strip_prefix('.')?.strip_prefix(name)?;
    if let Some(numbers) = rest.strip_prefix(".new-") {
        let (process, attempt) = numbers.split_once('-')?;
        (is_number(process) && is_number(attempt)).then_some(LeftoverKind::New)
    } else {
        rest.strip_prefix(".old-").is_some_and(is_number).then_some(LeftoverKind::Old)
    }
}

/// The files that a folder's own marker lists, with the marker itself, even one that was cut off by
/// a kill while it was written. `None` without such a marker.
fn own_list(folder: &Path) -> Option<BTreeSet<String>> {
    let marker = folder.join(MARKER);
    if !fs::symlink_metadata(&marker).is_ok_and(|there| there.is_file()) {
        return None;
    }
    let text = fs::read_to_string(&marker).ok()?;
    let listed = match text.strip_prefix(MARKER_HEAD) {
        Some(listed) => listed,
        None if MARKER_HEAD.starts_with(&text) => "",
        None => return None,
    };
    Some(listed.lines().chain([MARKER, LIST_TO_BE]).map(str::to_string).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_exact_names_are_those_of_a_run() {
        for ours in [".site.new-12-0", ".site.old-7"] {
            assert!(kind_of(ours, "site").is_some(), "{ours}");
        }
        for other in [
            ".site.new-",
            ".site.new-12",
            ".site.new-12-",
            ".site.new-x-0",
            ".site.old-",
            ".site.old-2024-01",
            ".site.old-1x",
            "site.old-1",
            ".sites.old-1",
            ".site.new-1-0.bak",
        ] {
            assert!(kind_of(other, "site").is_none(), "{other}");
        }
    }
}
