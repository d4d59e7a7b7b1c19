//! One folio for each fault of the catalogue, and the exact text at which its slip must point.

use super::support::{folders, here, same_as, shown, standing};
use gaugebook::proof::catalogue;
use gaugebook::slip::Severity;
use std::collections::BTreeSet;
use std::ffi::OsStr;
use std::path::PathBuf;

/// Fault, line and column (in characters, from one), and the text that the slip must underline, by
/// the eye of whoever wrote the folio.
const PLACES: &[(&str, (usize, usize), &str)] = &[
    ("ambiguous-inch", (14, 12), "6 in"),
    ("ambiguous-number", (14, 18), "2,5"),
    ("binding-disagrees", (14, 24), "four times"),
    ("binding-unreadable", (14, 12), "[8.8 bar](by: operating pressure)"),
    ("broken-link", (14, 6), "[the safety page](savety.md)"),
    ("claim-false", (11, 55), "operating_pressure < 8 bar"),
    ("claim-uncertain", (11, 56), "operating_pressure < 9 bar"),
    ("claim-undecided", (12, 54), "regulator_seat > metering_bore"),
    ("corrected-figure", (16, 32), "1.10 mm"),
    ("crossed-figures", (12, 20), "15.90 mm"),
    ("cutaway-misnamed", (1, 9), "hazle"),
    ("dangerous-link", (14, 5), "[the card](javascript:alert(1))"),
    ("date-unreadable", (5, 31), "2026-04-31"),
    ("denied-but-true", (14, 22), "128 psi"),
    ("drill-unknown", (9, 22), "#0"),
    ("duplicate-key", (10, 3), "operating_pressure"),
    ("engine-duplicate", (3, 9), "rowan"),
    ("engine-unknown", (3, 18), "rowen"),
    ("event-unknown", (8, 5), "mouth widens"),
    ("fact-refuted", (25, 1), "fact metering narrower than mouth  (measured)"),
    ("fact-uncertain", (25, 1), "fact metering narrower than mouth  (measured)"),
    ("figure-disagrees", (14, 37), "182 psi"),
    ("figure-incomparable", (13, 17), "12 J"),
    ("figure-lenient", (14, 90), "29.9 J"),
    ("formula-fault", (11, 30), "operating_pressure"),
    ("formula-loop", (11, 17), "shot_volume / 0.43"),
    ("heading-order", (18, 1), "#### The switch"),
    ("hearsay-without-source", (14, 3), "hearsay:"),
    ("image-missing", (14, 1), "![Section at rest](rowan-secton.svg \"credit: own sketch\")"),
    ("image-too-large", (14, 1), "![Bench photo](bench.png \"credit: own photograph\")"),
    ("image-unreadable", (14, 1), "![Bolt](bolt.png \"credit: own photograph\")"),
    ("image-without-alt", (14, 1), "![](rowan-section.svg \"credit: own sketch\")"),
    ("image-without-credit", (14, 1), "![Section at rest](rowan-section.svg)"),
    ("imprint-missing", (1, 1), ""),
    ("missing-key", (11, 5), "{figure: metering_bore, was: 1.10 mm, because: \"pin gauges\"}"),
    ("missing-title", (1, 1), "---"),
    ("name-unusable", (9, 3), "Metering-Bore"),
    ("near-miss", (12, 84), "25.1 g"),
    ("not-utf8", (1, 1), ""),
    ("number-too-long", (14, 13), "0.636172512351933163617251235193316361725123519331"),
    ("pair-disagrees", (14, 39), "8.38 bar"),
    ("pair-incomparable", (14, 81), "18 J"),
    ("pair-lenient", (14, 30), "0.036 in"),
    ("question-misput", (5, 62), "spool shut"),
    ("raw-html", (14, 12), "<br>"),
    ("reading-contradicted", (9, 18), "0.09 mm"),
    ("reading-unused", (10, 3), "cap_width"),
    ("rest-state-moves", (1, 9), "hazel"),
    ("ring-comparison-disagrees", (14, 34), "4.57 mm"),
    ("ring-unknown", (9, 20), "-052"),
    ("seal-stands-open", (22, 6), "front_seal"),
    ("sequence-impossible", (9, 5), "metering closes"),
    ("sequence-incomplete", (8, 5), "pellet leaves"),
    ("sequence-out-of-order", (8, 5), "spool reaches sealed"),
    ("sequence-uncertain", (7, 5), "store empties"),
    ("shot-repeats", (1, 9), "hazel"),
    ("shot-sticks", (11, 8), "spool"),
    ("shot-undecided", (11, 8), "spool"),
    ("shot-vents", (1, 9), "hazel"),
    ("source-missing", (7, 3), "operating_pressure"),
    ("source-unknown", (9, 38), "bensh"),
    ("starter-left", (17, 49), "# starter"),
    ("stale-waiver", (11, 13), "untied-figure"),
    ("statement-false", (14, 1), "Rowan's bolt is lighter than its switch"),
    ("statements-disagree", (9, 54), "24.1 cm³"),
    ("template-fault", (14, 10), "metering_bor"),
    ("times-contradict", (25, 47), "time_to_muzzle"),
    ("unknown-key", (9, 32), "form"),
    ("unknown-name", (11, 30), "metering_bor"),
    ("unknown-word", (4, 11), "guage"),
    ("unlisted-unit", (14, 34), "128 pis"),
    ("unread-unit", (14, 24), "35 Kg"),
    ("untied-figure", (14, 26), "0.90 mm"),
    ("value-unreadable", (9, 17), "about as long as a thumb"),
    ("waiver-ambiguous", (11, 33), "8 bar"),
    ("waiver-ended", (11, 13), "untied-figure"),
    ("waiver-incomplete", (11, 13), "untied-figure"),
    ("way-stays-shut", (20, 5), "spill"),
    ("wrong-shape", (2, 8), "[Rowan, apart]"),
    ("yaml-fault", (2, 13), ": switch and shaft apart"),
    ("yaml-trap", (9, 21), "5 mm"),
];

/// Faults whose folio would be too large to keep, or is made of things that no archive keeps; see
/// the tests below and `tests/shell/inventory.rs`.
const MADE: [&str; 8] = [
    "address-unusable",
    "file-unread",
    "file-unreadable",
    "file-unused",
    "folio-empty",
    "page-too-large",
    "slips-untold",
    "theme-fault",
];

#[test]
fn every_fault_is_tripped_by_a_folio() {
    let known: BTreeSet<&str> = catalogue::all().iter().map(|fault| fault.code).collect();
    // Those of the cutaway language lie beside its other tests.
    let cutaways = std::fs::read_dir(here().join("../cutaway/faults")).unwrap();
    let cutaways: BTreeSet<PathBuf> = cutaways.map(|entry| entry.unwrap().path()).collect();
    let of_cutaways = cutaways.iter().filter(|path| path.extension() == Some(OsStr::new("cut")));
    let of_cutaways = of_cutaways.filter_map(|path| path.file_stem()?.to_str());
    let placed = PLACES.iter().map(|(code, _, _)| *code).chain(MADE).chain(of_cutaways);
    assert_eq!(known, placed.collect());
}

#[test]
fn slips_point_at_the_very_text() {
    for (code, (line, column), text) in PLACES {
        let standing = standing(&here().join("faults").join(code));
        let [slip] = standing.slips.as_slice() else {
            panic!("{code}: one slip is wanted\n{}", shown(&standing.slips));
        };
        let place = slip.spot.source.place(slip.spot.span.start);
        let found = (slip.code, (place.line, place.column), slip.spot.text());
        assert_eq!(found, (*code, (*line, *column), *text));
        let fault = catalogue::all().iter().find(|fault| fault.code == *code).unwrap();
        let effect = match slip.severity {
            Severity::Stop => "stops publishing",
            Severity::Mark => "publishes with a mark",
            Severity::Note => "told, not counted",
        };
        assert_eq!(effect, fault.consequence, "{code}");
    }
}

#[test]
fn slips_read_as_they_did() {
    for root in folders("faults") {
        let standing = standing(&root);
        same_as(&root.join("slips.txt"), &shown(&standing.slips));
    }
}

#[test]
fn a_page_beyond_all_measure_is_told() {
    let folio = tempfile::tempdir().unwrap();
    let content = folio.path().join("content");
    std::fs::create_dir(&content).unwrap();
    std::fs::write(content.join("imprint.yaml"), "title: Test bench\n").unwrap();
    let page = format!("---\ntitle: Everything\n---\n\n{}", "One word more. ".repeat(150_000));
    std::fs::write(content.join("everything.md"), page).unwrap();
    let standing = standing(folio.path());
    let codes: Vec<&str> = standing.slips.iter().map(|slip| slip.code).collect();
    assert_eq!(codes, ["page-too-large"]);
}
