//! The catalogue of faults: what each one is, how it misleads, and when to let it pass.
//!
//! One text file a fault, in our own Markdown; they are part of the program and are published with
//! every site. A test keeps the list and the code's fault names equal. Beside most of them lies
//! what the program prints of one, which the tests of the faults hold it to.

use include_dir::{Dir, File, include_dir};
use std::collections::BTreeMap;
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
    /// What the program prints of a folio that trips it; empty where only its own trouble does.
    pub(crate) prints: &'static str,
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
    let mut faults: Vec<Fault> = pages().filter_map(|file| read(file).ok()).collect();
    faults.sort_by_key(|fault| fault.code);
    faults
});

/// Every fault, by name.
#[must_use]
pub fn all() -> &'static [Fault] {
    &FAULTS
}

fn pages() -> impl Iterator<Item = &'static File<'static>> {
    TEXTS.files().filter(|file| file.path().extension().is_some_and(|ending| ending == "md"))
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
        prints: TEXTS
            .get_file(format!("{code}.txt"))
            .and_then(File::contents_utf8)
            .unwrap_or_default(),
        put_right: part("Put right"),
        let_pass: part("When to let it pass"),
        is_structural: effect == BARS,
        consequence,
    })
}

/// As many neighbours as stand below a page.
const NEIGHBOURS: usize = 4;

/// The faults that are nearest to each in meaning: whose texts share most of the words that few
/// texts have (vector space model, terms weighed by the logarithm of their rarity: Salton, Wong and
/// Yang 1975, from memory).
static RELATED: LazyLock<BTreeMap<&'static str, Vec<&'static Fault>>> = LazyLock::new(|| {
    let count = all().len();
    let mut told_in: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (at, fault) in all().iter().enumerate() {
        for word in words_of(fault) {
            let faults = told_in.entry(word).or_default();
            if faults.last() != Some(&at) {
                faults.push(at);
            }
        }
    }
    // The products of any two texts, word by word.
    let mut products = vec![vec![0.0; count]; count];
    for faults in told_in.values() {
        let weight = libm::log(count as f64 / faults.len() as f64);
        for one in faults {
            faults.iter().for_each(|other| products[*one][*other] += weight * weight);
        }
    }
    let length = |at: usize| products[at][at].sqrt().max(1e-9);
    let neighbours = |at: usize| {
        let near = |other: usize| products[at][other] / (length(at) * length(other));
        let mut others: Vec<(f64, usize)> =
            (0..count).filter(|it| *it != at).map(|other| (near(other), other)).collect();
        others.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        others.into_iter().take(NEIGHBOURS).map(|(_, other)| &all()[other]).collect()
    };
    all().iter().enumerate().map(|(at, fault)| (fault.code, neighbours(at))).collect()
});

/// The faults nearest in meaning to one, the nearest first.
pub(crate) fn related(code: &str) -> &'static [&'static Fault] {
    RELATED.get(code).map_or(&[], Vec::as_slice)
}

/// The words that a fault is told in, small ones left out.
fn words_of(fault: &Fault) -> impl Iterator<Item = String> {
    let texts = [fault.code, fault.title, fault.slip, fault.misleads, fault.put_right];
    let words = texts.into_iter().flat_map(|text| text.split(|sign: char| !sign.is_alphabetic()));
    words.filter(|word| 3 < word.len()).map(str::to_lowercase)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_fault_has_all_its_parts() {
        let amiss: Vec<String> = pages().filter_map(|file| read(file).err()).collect();
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

    #[test]
    fn neighbours_in_meaning_stand_below_a_page() {
        // By reading them: two faults of waivers, two of one value in two units, two of rings.
        for (code, near) in [
            ("waiver-ended", "stale-waiver"),
            ("pair-disagrees", "pair-lenient"),
            ("ring-unknown", "ring-comparison-disagrees"),
        ] {
            let found: Vec<&str> = related(code).iter().map(|fault| fault.code).collect();
            assert!(found.contains(&near), "{code}: {found:?}");
        }
    }
}
