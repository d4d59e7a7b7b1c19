//! The published keys of the front matter and of the imprint: every example is judged with a whole
//! folio and has no slip, and every line that is said to raise a slip raises it.

use super::support::{Texts, shown};
use gaugebook::cutaway::walked;
use gaugebook::page::keys::{KeyDoc, KeyGroup, groups};
use gaugebook::slip::{Severity, Slip};

const PAGE: &str = "content/rowan.md";
const IMPRINT: [&str; 2] = ["the imprint", "an instrument"];

/// What a page declares where the example says nothing.
const OWN: [&str; 5] = [
    "title: \"Rowan: switch and shaft apart\"\n",
    "engine: rowan\n",
    "sources:\n  bench: {kind: measured}\n  card: {kind: maker, title: Card}\n",
    "readings_from: bench\n",
    "readings:\n  metering_bore: 0.90 mm\n  store_volume: 22.0 cm³\n  operating_pressure: 8 bar\n",
];
const IMPRINT_OWN: [&str; 2] = ["title: A folio\n", "pressure: gauge\n"];
const ASH: &str = "---\ntitle: Ash\nengine: ash\nsources: {bench: measured}\n\
                   readings_from: bench\nreadings: {barrel_bore: 17.3 mm, metering_bore: 1.1 mm}\n\
                   ---\nAsh is apart.\n";

/// The cutaway of the published walk, without words of its own for events.
fn cutaway() -> String {
    let lines = walked().replace("cutaway maple", "cutaway rowan");
    let lines = lines.replace("at operating_pressure", "");
    let kept = lines.lines().filter(|line| !line.starts_with("event "));
    kept.flat_map(|line| [line, "\n"]).collect()
}

/// The lines, and what is declared beside them for want of a line of that key.
fn with(lines: &str, own: &[&str]) -> String {
    let key = |line: &str| line.split(':').next().unwrap_or_default().to_owned();
    let given: Vec<String> = lines.lines().filter(|line| !line.starts_with(' ')).map(key).collect();
    let others = own.iter().filter(|line| !given.contains(&key(line)));
    others.copied().chain([lines]).collect()
}

/// The source of readings, beside those of the example.
fn with_bench(lines: &str) -> String {
    let lacks = lines.starts_with("sources:\n") && !lines.contains("  bench:");
    let bench = "sources:\n  bench: {kind: measured}\n";
    if lacks { lines.replacen("sources:\n", bench, 1) } else { lines.to_owned() }
}

/// All slips of the folio that has these lines on Rowan's page or in its imprint.
fn slips_of(group: &KeyGroup, lines: &str) -> Vec<Slip> {
    let (mut page, mut imprint) = (with("", &OWN), with("", &IMPRINT_OWN));
    let lines = &with_bench(lines);
    let is_alone = ["compare", "rows", "kind"].iter().any(|key| lines.starts_with(key));
    if IMPRINT.contains(&group.of) {
        imprint = if lines.starts_with("tagline: Tree-marking tools\n") && !lines.contains("title")
        {
            lines.to_owned()
        } else {
            with(lines, &IMPRINT_OWN)
        };
    } else if is_alone {
        let compare = ["compare: [ash, rowan]\n"];
        let beside = if lines.starts_with("rows") { compare.as_slice() } else { &[] };
        page = with(lines, &[&OWN[..1], beside].concat());
    } else {
        page = with(lines, &OWN);
    }
    let told = if lines.contains("3 mm") { "The dent is 3 mm deep." } else { "It is apart." };
    let page = format!("---\n{page}---\n\n{told}\n");
    let rowan = format!("---\n{}---\nRowan is apart.\n", with("", &OWN));
    let mut pages = vec![(PAGE.to_owned(), page), ("content/ash.md".to_owned(), ASH.to_owned())];
    if is_alone {
        pages.push(("content/other.md".to_owned(), rowan));
    }
    let texts = Texts {
        pages: pages.into_iter().collect(),
        imprint,
        cutaways: [("diagrams/rowan.cut".to_owned(), cutaway())].into(),
        ..Texts::default()
    };
    let (folio, mut slips) = texts.index();
    slips.extend(texts.judge(&folio, PAGE).slips);
    slips
}

fn all() -> impl Iterator<Item = (&'static KeyGroup, &'static KeyDoc)> {
    groups().iter().flat_map(|group| group.keys.iter().map(move |key| (group, key)))
}

#[test]
fn every_example_of_a_key_uses_it_and_has_no_slip() {
    let mut complaints = Vec::new();
    for (group, key) in all() {
        let mut slips = slips_of(group, &key.example);
        slips.retain(|slip| slip.severity != Severity::Note);
        if key.example.is_empty() || !slips.is_empty() {
            complaints.push(format!("{} of {}:\n{}", key.key, group.of, shown(&slips)));
        }
        if !key.example.contains(&format!("{}:", key.key)) {
            complaints.push(format!("{} of {}: the example does without it", key.key, group.of));
        }
    }
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

#[test]
fn every_slip_that_a_key_is_said_to_raise_it_raises() {
    let mut complaints = Vec::new();
    let mut raised = 0;
    for (group, key) in all() {
        for (code, line) in &key.slips {
            let slips = slips_of(group, &format!("{line}\n"));
            let told = slips.iter().any(|slip| slip.code == *code);
            raised += usize::from(told);
            if !told {
                complaints.push(format!("{code}: {line}\n{}", shown(&slips)));
            }
        }
    }
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
    assert_ne!(raised, 0);
}
