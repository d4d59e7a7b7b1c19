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
    let mut faults: Vec<Fault> = TEXTS.files().filter_map(|file| read(file).ok()).collect();
    faults.sort_by_key(|fault| fault.code);
    faults
});

/// Every fault, by name.
#[must_use]
pub fn all() -> &'static [Fault] {
    &FAULTS
}

/// A text of the form of its neighbours, or what is amiss in it; the tests hold every one to it.
fn read(file: &'static File<'static>) -> Result<Fault, String> {
    let name = file.path().display();
    let code = file.path().file_stem().and_then(|stem| stem.to_str()).unwrap_or_default();
    let text = file.contents_utf8().ok_or_else(|| format!("{name} is not UTF-8"))?;
    let mut lines = text.lines();
    let title = lines.next().and_then(|line| line.strip_prefix("# "));
    let title = title.ok_or_else(|| format!("{name} does not begin with a title, '# …'"))?.trim();
    let effect = lines.find(|line| !line.is_empty()).unwrap_or_default();
    let known = EFFECTS.iter().find(|(words, _)| *words == effect);
    let consequence = known.map(|(_, told)| *told).ok_or_else(|| {
        let words = EFFECTS.map(|(words, _)| format!("'{words}'")).join(", ");
        format!("{name}: '{effect}' under the title is no effect; these are: {words}")
    })?;
    let part = |name: &str| -> &'static str {
        let Some(start) = text.find(&format!("## {name}\n")) else { return "" };
        let body = &text[start + name.len() + 4..];
        body[..body.find("\n## ").unwrap_or(body.len())].trim_matches('\n')
    };
    Ok(Fault {
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
        let amiss: Vec<String> = TEXTS.files().filter_map(|file| read(file).err()).collect();
        assert!(amiss.is_empty(), "{}", amiss.join("\n"));
        for fault in all() {
            for (part, name) in [
                (fault.title, "a title"),
                (fault.slip, "'The slip'"),
                (fault.misleads, "'How it misleads a reader'"),
                (fault.trips, "'A sentence that trips it'"),
                (fault.put_right, "'Put right'"),
                (fault.let_pass, "'When to let it pass'"),
            ] {
                assert!(!part.trim().is_empty(), "{}.md lacks {name}", fault.code);
            }
        }
    }
}
