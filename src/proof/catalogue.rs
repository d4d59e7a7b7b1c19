//! The catalogue of faults: what each one is, how it misleads, and when to let it pass.
//!
//! One text file a fault, in our own Markdown; they are part of the program and are published with
//! every site. A test keeps the list and the code's fault names equal.

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
    pub(crate) trips: String,
    /// Put right: words and the text, as typed.
    pub(crate) put_right: String,
    /// When to let it pass.
    pub(crate) let_pass: &'static str,
    /// Whether it is a fault in how a page is built, which no waiver can let pass.
    pub(crate) is_structural: bool,
    /// "stops publishing", "publishes with a mark", or "told, not counted".
    pub consequence: &'static str,
}

macro_rules! texts {
    ($($code:literal $effect:ident),* $(,)?) => {
        &[$(($code, Effect::$effect, include_str!(concat!("catalogue/", $code, ".md")))),*]
    };
}

#[derive(Debug, Clone, Copy)]
enum Effect {
    Stops,
    /// Stops, whatever waivers say.
    Bars,
    Marks,
    Tells,
}

const TEXTS: &[(&str, Effect, &str)] = texts![
    "address-unusable" Bars,
    "ambiguous-inch" Stops,
    "ambiguous-number" Stops,
    "base-loop" Stops,
    "binding-disagrees" Stops,
    "binding-unreadable" Bars,
    "block-incomplete" Bars,
    "broken-link" Bars,
    "chamber-unjoined" Marks,
    "chambers-always-joined" Tells,
    "claim-false" Stops,
    "claim-uncertain" Marks,
    "claim-undecided" Marks,
    "conditions-exclude" Stops,
    "corrected-figure" Stops,
    "crossed-figures" Stops,
    "cutaway-misnamed" Stops,
    "cutaway-too-large" Bars,
    "cutaway-unknown" Stops,
    "cutaway-unnamed" Stops,
    "dangerous-link" Bars,
    "date-unreadable" Bars,
    "declared-twice" Stops,
    "denied-but-true" Stops,
    "drill-unknown" Stops,
    "duplicate-key" Bars,
    "engine-duplicate" Stops,
    "engine-unknown" Stops,
    "event-unknown" Stops,
    "event-unreadable" Stops,
    "fact-incomparable" Stops,
    "fact-refuted" Stops,
    "fact-uncertain" Marks,
    "facts-contradict" Stops,
    "figure-disagrees" Stops,
    "figure-incomparable" Stops,
    "figure-lenient" Marks,
    "file-unread" Bars,
    "file-unreadable" Bars,
    "file-unused" Tells,
    "folio-empty" Bars,
    "formula-fault" Stops,
    "formula-loop" Stops,
    "heading-order" Marks,
    "hearsay-without-source" Stops,
    "image-missing" Bars,
    "image-too-large" Stops,
    "image-unreadable" Bars,
    "image-without-alt" Stops,
    "image-without-credit" Stops,
    "imprint-missing" Tells,
    "joined-to-itself" Stops,
    "joins-too-many" Stops,
    "links-uneven" Stops,
    "missing-key" Bars,
    "missing-title" Stops,
    "name-unusable" Stops,
    "near-miss" Marks,
    "not-utf8" Bars,
    "nothing-of-that-name" Stops,
    "number-too-long" Stops,
    "orders-contradict" Stops,
    "other-kind-wanted" Stops,
    "page-too-large" Bars,
    "pair-disagrees" Stops,
    "pair-incomparable" Stops,
    "pair-lenient" Marks,
    "part-unpushed" Marks,
    "part-without-return" Tells,
    "question-misput" Stops,
    "raw-html" Bars,
    "reading-contradicted" Stops,
    "reading-unused" Tells,
    "regulator-without-supply" Stops,
    "rest-state-moves" Stops,
    "ring-comparison-disagrees" Stops,
    "ring-unknown" Stops,
    "seal-bypassed" Marks,
    "seal-on-the-wrong-side" Stops,
    "seal-stands-open" Marks,
    "sequence-impossible" Stops,
    "sequence-incomplete" Marks,
    "sequence-out-of-order" Stops,
    "sequence-uncertain" Marks,
    "shot-repeats" Stops,
    "shot-sticks" Stops,
    "shot-undecided" Marks,
    "shot-vents" Stops,
    "slips-untold" Tells,
    "source-missing" Marks,
    "source-unknown" Stops,
    "stale-waiver" Marks,
    "starter-left" Stops,
    "statement-false" Stops,
    "statement-unknown" Stops,
    "statement-unreadable" Stops,
    "statements-disagree" Stops,
    "template-fault" Bars,
    "theme-fault" Bars,
    "times-contradict" Stops,
    "unknown-key" Bars,
    "unknown-name" Stops,
    "unknown-word" Stops,
    "unlisted-unit" Stops,
    "unread-unit" Marks,
    "untied-figure" Marks,
    "value-unreadable" Stops,
    "waiver-ambiguous" Bars,
    "waiver-ended" Marks,
    "waiver-incomplete" Bars,
    "way-never-opens" Stops,
    "way-stays-shut" Marks,
    "word-not-in-list" Stops,
    "wrong-shape" Bars,
    "yaml-fault" Bars,
    "yaml-trap" Bars,
];

static FAULTS: LazyLock<Vec<Fault>> = LazyLock::new(|| TEXTS.iter().map(read).collect());

/// Every fault, by name.
#[must_use]
pub fn all() -> &'static [Fault] {
    &FAULTS
}

fn read((code, effect, text): &(&'static str, Effect, &'static str)) -> Fault {
    let title = text.lines().next().unwrap_or("").trim_start_matches("# ").trim();
    let part = |name: &str| -> &'static str {
        let Some(start) = text.find(&format!("## {name}\n")) else { return "" };
        let body = &text[start + name.len() + 4..];
        body[..body.find("\n## ").unwrap_or(body.len())].trim_matches('\n')
    };
    Fault {
        code,
        title,
        slip: part("The slip"),
        misleads: part("How it misleads a reader"),
        trips: unindented(part("A sentence that trips it")),
        put_right: unindented(part("Put right")),
        let_pass: part("When to let it pass"),
        is_structural: matches!(effect, Effect::Bars),
        consequence: match effect {
            Effect::Stops | Effect::Bars => "stops publishing",
            Effect::Marks => "publishes with a mark",
            Effect::Tells => "told, not counted",
        },
    }
}

/// Indented code without its indent.
fn unindented(text: &str) -> String {
    let lines = text.lines().map(|line| line.strip_prefix("    ").unwrap_or(line));
    lines.collect::<Vec<_>>().join("\n").trim().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_fault_has_all_its_parts() {
        for fault in all() {
            for part in [fault.title, fault.slip, fault.misleads, fault.let_pass] {
                assert!(!part.trim().is_empty(), "{}", fault.code);
            }
            assert!(!fault.trips.is_empty() && !fault.put_right.is_empty(), "{}", fault.code);
        }
    }
}
