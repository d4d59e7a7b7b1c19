//! One cutaway for each fault of the language, and the exact text at which its slip must point.

use super::support::{cutaways, here, others, same_as, shown, source};
use gaugebook::cutaway;
use gaugebook::proof::catalogue;
use gaugebook::slip::Severity;
use std::collections::BTreeSet;

/// Fault, line and column (in characters, from one), and the text that the slip must underline, by
/// the eye of whoever wrote the cutaway.
const PLACES: &[(&str, (usize, usize), &str)] = &[
    ("base-loop", (1, 23), "yew"),
    ("block-incomplete", (5, 8), "switch"),
    ("chamber-unjoined", (7, 9), "switch_room"),
    ("chambers-always-joined", (13, 5), "leak"),
    ("conditions-exclude", (6, 52), "back"),
    ("cutaway-too-large", (1002, 1), "chamber c1000"),
    ("cutaway-unknown", (1, 24), "hasel"),
    ("cutaway-unnamed", (1, 1), "supply line"),
    ("declared-twice", (4, 9), "store"),
    ("event-unreadable", (9, 20), "switch leaves frnt"),
    ("fact-incomparable", (8, 6), "switch.rear larger than store"),
    ("facts-contradict", (11, 1), "fact vent wider than metering  (seen)"),
    ("joined-to-itself", (4, 31), "store"),
    ("joins-too-many", (6, 3), "rest     joins line to store, store to open_air"),
    ("landmarks-unordered", (5, 10), "second_lift"),
    ("links-uneven", (13, 1), "link switch with bolt"),
    ("nothing-of-that-name", (4, 31), "stor"),
    ("orders-contradict", (12, 1), "order store fills before line drops  (heard)"),
    ("other-kind-wanted", (8, 28), "switch"),
    ("part-unpushed", (7, 8), "switch"),
    ("part-without-return", (7, 8), "switch"),
    ("regulator-without-supply", (4, 21), "bottle"),
    ("seal-bypassed", (15, 6), "lid"),
    ("seal-on-the-wrong-side", (14, 6), "stem_seal"),
    ("statement-unknown", (3, 1), "chambr"),
    ("statement-unreadable", (4, 26), "store"),
    ("way-never-opens", (12, 43), "switch at back and switch at front"),
    ("word-not-in-list", (3, 21), "stroe"),
];

#[test]
fn every_fault_is_tripped_by_a_cutaway() {
    let files = cutaways("faults").into_iter();
    let there: BTreeSet<String> =
        files.map(|path| path.file_stem().unwrap().to_string_lossy().into_owned()).collect();
    let placed: BTreeSet<String> = PLACES.iter().map(|(code, ..)| (*code).to_owned()).collect();
    assert_eq!(there, placed);
}

#[test]
fn slips_point_at_the_very_text() {
    let mut wrong = Vec::new();
    for (code, (line, column), text) in PLACES {
        let source = source(&here().join("faults").join(format!("{code}.cut")));
        let (_, slips) = cutaway::read(&source, &others);
        let fault = catalogue::all().iter().find(|fault| fault.code == *code).unwrap();
        let effect = slips.first().map(|slip| match slip.severity {
            Severity::Stop => "stops publishing",
            Severity::Mark => "publishes with a mark",
            Severity::Note => "told, not counted",
        });
        assert_eq!(effect, Some(fault.consequence), "{code}");
        let found = slips.iter().map(|slip| {
            let place = slip.spot.source.place(slip.spot.span.start);
            (slip.code, (place.line, place.column), slip.spot.text())
        });
        let found: Vec<_> = found.collect();
        if found != [(*code, (*line, *column), *text)] {
            wrong.push(format!("{code}: {found:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn slips_read_as_they_did() {
    for path in cutaways("faults") {
        let (_, slips) = cutaway::read(&source(&path), &others);
        let name = path.file_stem().unwrap();
        let printed = here().join("../../src/proof/catalogue").join(name).with_extension("txt");
        same_as(&printed, &shown(&slips));
    }
}

#[test]
fn clean_cutaways_trip_nothing() {
    for path in cutaways("clean") {
        let (_, slips) = cutaway::read(&source(&path), &others);
        assert!(slips.is_empty(), "{}\n{}", path.display(), shown(&slips));
    }
}

/// A first evening with many slips: each is told once, at its place, and none hides another.
#[test]
fn a_text_full_of_slips_reads_as_it_did() {
    for path in cutaways("first-evening") {
        let (_, slips) = cutaway::read(&source(&path), &others);
        same_as(&path.with_extension("txt"), &shown(&slips));
    }
}
