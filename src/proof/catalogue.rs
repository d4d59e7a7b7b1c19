//! The catalogue of faults: what each one is, how it misleads, and when to let it pass.
//!
//! One text file a fault, in our own Markdown; they are part of the program and are published with
//! every site. A test keeps the list and the code's fault names equal.

use include_dir::{Dir, File, include_dir};
use std::sync::LazyLock;

/// One fault.
#[derive(Debug, Clone)]
pub struct Fault {
    /// Name.
    pub code: &'static str,
    pub(crate) title: &'static str,
    pub(crate) slip: &'static str,
    /// How it misleads a reader.
    pub(crate) misleads: &'static str,
    /// A text that trips it, as typed.
    pub(crate) trips: &'static str,
    /// Put right: words and the text, as typed.
    pub(crate) put_right: &'static str,
    /// When to let it pass.
    pub(crate) let_pass: &'static str,
    /// Whether it is a fault in how a page is built, which no waiver can let pass.
    pub(crate) is_structural: bool,
    /// "stops publishing", "publishes with a mark", or "told, not counted".
    pub consequence: &'static str,
}

/// The texts, by file name. What is told of a fault's effect stands under its title.
static TEXTS: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/src/proof/catalogue");

/// The effects that a text may name, each with what readers of a slip are told.
const EFFECTS: [(&str, &str); 4] = [
    ("Stops publishing.", "stops publishing"),
    (BARS, "stops publishing"),
    ("Published with a mark.", "publishes with a mark"),
    ("Told, not counted.", "told, not counted"),
];
/// The effect of a fault in how a page is built.
const BARS: &str = "Stops publishing; no waiver lets it pass.";

static FAULTS: LazyLock<Vec<Fault>> = LazyLock::new(|| {
    let mut faults: Vec<Fault> = TEXTS.files().filter_map(read).collect();
    faults.sort_by_key(|fault| fault.code);
    faults
});

/// Every fault, by name.
#[must_use]
pub fn all() -> &'static [Fault] {
    &FAULTS
}

/// A text of the form of its neighbours; the tests hold every one to it.
fn read(file: &'static File<'static>) -> Option<Fault> {
    let code = file.path().file_stem()?.to_str()?;
    let text = file.contents_utf8()?;
    let mut lines = text.lines();
    let title = lines.next()?.strip_prefix("# ")?.trim();
    let effect = lines.find(|line| !line.is_empty())?;
    let consequence = EFFECTS.iter().find(|(words, _)| *words == effect)?.1;
    let part = |name: &str| -> &'static str {
        let Some(start) = text.find(&format!("## {name}\n")) else { return "" };
        let body = &text[start + name.len() + 4..];
        body[..body.find("\n## ").unwrap_or(body.len())].trim_matches('\n')
    };
    Some(Fault {
        code,
        title,
        slip: part("The slip"),
        misleads: part("How it misleads a reader"),
        trips: part("A sentence that trips it"),
        put_right: part("Put right"),
        let_pass: part("When to let it pass"),
        is_structural: effect == BARS,
        consequence,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_fault_has_all_its_parts() {
        assert_eq!(all().len(), TEXTS.files().count(), "a text is not of the form of the others");
        for fault in all() {
            for part in [fault.title, fault.slip, fault.misleads, fault.let_pass] {
                assert!(!part.trim().is_empty(), "{}", fault.code);
            }
            assert!(!fault.trips.is_empty() && !fault.put_right.is_empty(), "{}", fault.code);
        }
    }
}
