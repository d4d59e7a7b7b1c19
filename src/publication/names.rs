//! File names that work on Linux, macOS and Windows alike, and the register of those in use.
//!
//! A site is carried about on sticks and copied between machines, so a name is refused on every
//! platform if it would fail on one. Must not touch the disk.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use unicode_normalization::UnicodeNormalization as _;

/// Why a name cannot be one of a site.
#[derive(Debug)]
pub(crate) enum NameFault {
    /// It would not work everywhere.
    Bad {
        /// The name.
        name: String,
        /// What is wrong with it.
        why: &'static str,
    },
    /// It is on some disks the same as another one, or is there twice.
    Twice {
        /// The name.
        name: String,
        /// The one that was there before.
        other: String,
    },
}

/// Longest part of a path, in bytes. Disks allow 255; the rest is room for the endings that
/// archives and copies add.
const LONGEST_PART: usize = 200;

/// Names of devices on Windows, reserved with any ending ("aux.html" too).
const DEVICES: [&str; 7] = ["con", "prn", "aux", "nul", "clock$", "conin$", "conout$"];

/// Checks that `relative` stays inside a folder and can be created on every platform.
///
/// # Errors
/// [`NameFault::Bad`] with the reason.
pub(crate) fn check_name(relative: &str) -> Result<(), NameFault> {
    let parts = || relative.split('/');
    match parts().find_map(wrong_with) {
        Some(why) => Err(NameFault::Bad { name: relative.to_string(), why }),
        None => Ok(()),
    }
}

fn wrong_with(part: &str) -> Option<&'static str> {
    let forbidden = |c: char| matches!(c, '<' | '>' | ':' | '"' | '|' | '?' | '*');
    if part.is_empty() {
        Some("it starts or ends with `/`, or has an empty part")
    } else if part == "." || part == ".." {
        Some("`.` and `..` could leave the site's folder")
    } else if part.contains('\\') {
        Some("`\\` separates folders on Windows; use `/`")
    } else if part.contains(forbidden) {
        Some("Windows does not allow any of < > : \" | ? * in names")
    } else if part.chars().any(char::is_control) {
        Some("it has a control character")
    } else if part.ends_with(['.', ' ']) {
        Some("Windows drops a dot or space at the end of a name")
    } else if LONGEST_PART < part.len() {
        Some("a part of it is longer than 200 bytes")
    } else if is_device(part) {
        Some("Windows reserves this name for a device")
    } else {
        None
    }
}

fn is_device(part: &str) -> bool {
    let stem = part.split('.').next().unwrap_or(part).trim_end().to_lowercase();
    let numbered = ["com", "lpt"].iter().any(|port| {
        stem.strip_prefix(port).is_some_and(|rest| {
            let mut rest = rest.chars();
            matches!((rest.next(), rest.next()), (Some('0'..='9' | '¹' | '²' | '³'), None))
        })
    });
    numbered || DEVICES.contains(&stem.as_str())
}

/// What a name stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum EntryKind {
    File,
    Folder,
}

/// All names of a site. Names that differ only in letter case, or in how an accent is put on its
/// letter, are one name on many disks; so they are kept by their composed lower-case form.
#[derive(Debug, Default)]
pub(crate) struct Register {
    names: BTreeMap<String, (String, EntryKind)>,
}

impl Register {
    /// Enters a file and the folders it lies in; says whether its own folder is new.
    pub(crate) fn enter(&mut self, relative: &str) -> Result<bool, NameFault> {
        let mut folder_is_new = false;
        for (at, _) in relative.match_indices('/') {
            folder_is_new = self.claim(&relative[..at], EntryKind::Folder)?;
        }
        self.claim(relative, EntryKind::File)?;
        Ok(folder_is_new)
    }

    fn claim(&mut self, name: &str, kind: EntryKind) -> Result<bool, NameFault> {
        match self.names.entry(name.nfc().collect::<String>().to_lowercase()) {
            Entry::Vacant(place) => {
                place.insert((name.to_string(), kind));
                Ok(true)
            }
            Entry::Occupied(taken) => {
                let (other, other_kind) = taken.get();
                let same_folder = kind == EntryKind::Folder && *other_kind == kind && other == name;
                if same_folder {
                    return Ok(false);
                }
                Err(NameFault::Twice { name: name.to_string(), other: other.clone() })
            }
        }
    }

    /// The files, in the order of their lower-case names.
    pub(crate) fn files(&self) -> impl Iterator<Item = &str> {
        let files = self.names.values().filter(|(_, kind)| *kind == EntryKind::File);
        files.map(|(name, _)| name.as_str())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Reserved names and characters: "Naming Files, Paths, and Namespaces", Microsoft Learn
    // (memory).
    #[test]
    fn names_that_fail_on_some_platform_are_refused() {
        for bad in [
            "",
            "/",
            "/etc/passwd",
            "a//b",
            "a/",
            "..",
            "../a",
            "a/../b",
            "./a",
            "a\\b",
            "C:/a",
            "c:a",
            "a?b",
            "a*",
            "a|b",
            "a<b",
            "a>b",
            "a\"b",
            "a\0b",
            "a\nb",
            "a.",
            "a ",
            "a./b",
            "con",
            "CON",
            "con.html",
            "a/Nul.txt",
            "aux.tar.gz",
            "com1",
            "COM9.html",
            "lpt¹",
            "nul .html",
        ] {
            assert!(check_name(bad).is_err(), "{bad:?} should be refused");
        }
        assert!(check_name(&"a".repeat(201)).is_err());
    }

    #[test]
    fn everyday_names_are_allowed() {
        for good in [
            "index.html",
            "a/b/c.html",
            ".gaugebook-site",
            "...a",
            "..a",
            "console.html",
            "com",
            "com10",
            "common",
            "lpt.html",
            "grüße.html",
            "a b.png",
            "nulls",
        ] {
            assert!(check_name(good).is_ok(), "{good:?} should be allowed");
        }
        assert!(check_name(&"a".repeat(200)).is_ok());
    }

    #[test]
    fn names_that_meet_on_some_disks_are_refused() {
        let mut register = Register::default();
        assert!(register.enter("Engines/rowan.html").unwrap());
        assert!(!register.enter("Engines/ash.html").unwrap());
        for meets in [
            "Engines/rowan.html",
            "Engines/Rowan.html",
            "engines/hazel.html",
            "Engines",
            "engines",
            "Engines/rowan.html/index.html",
        ] {
            assert!(register.enter(meets).is_err(), "{meets:?} should be refused");
        }
        register.enter("a.html").unwrap();
        register.enter("\u{e9}.html").unwrap();
        assert!(register.enter("e\u{301}.html").is_err());
        let files: Vec<&str> = register.files().collect();
        assert_eq!(files, ["a.html", "Engines/ash.html", "Engines/rowan.html", "é.html"]);
    }
}
