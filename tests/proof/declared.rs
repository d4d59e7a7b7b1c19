//! Front matter: what cannot be read, or names what is not there, is told, and nothing is guessed
//! in its place.

use super::support::{Texts, shown};
use gaugebook::proof::finish;
use std::collections::BTreeSet;

const IMPRINT: &str = "title: A folio\npressure: gauge\n";

/// Code and offending text of the slips of a folio with this page.
fn told_with(imprint: &str, page: &str) -> Vec<(&'static str, String)> {
    let name = "content/page.md";
    let texts = Texts {
        pages: [(name.to_owned(), page.to_owned())].into(),
        imprint: imprint.to_owned(),
        ..Texts::default()
    };
    let (folio, mut slips) = texts.index();
    slips.extend(texts.judge(&folio, name).slips);
    slips.retain(|slip| slip.code != "reading-unused");
    assert!(slips.iter().all(|slip| !slip.helps.is_empty()), "{}", shown(&slips));
    slips.iter().map(|slip| (slip.code, slip.spot.text().to_owned())).collect()
}

fn told(front: &str) -> Vec<(&'static str, String)> {
    told_with(IMPRINT, &format!("---\ntitle: A page\n{front}---\n\nIt is apart.\n"))
}

fn one(code: &'static str, text: &str) -> Vec<(&'static str, String)> {
    vec![(code, text.to_owned())]
}

#[test]
fn every_key_that_cannot_be_read_is_told() {
    for (front, code, text) in [
        ("engine: elm\nspecimens: several\n", "wrong-shape", "several"),
        ("engine: elm\nspecimens: 0\n", "wrong-shape", "0"),
        ("decimal_comma: maybe\n", "wrong-shape", "maybe"),
        // Pages without a figure of their own state figures as well.
        ("pressure: gage\n", "unknown-word", "gage"),
        ("ambient: 1 Pa\n", "value-unreadable", "1 Pa"),
        ("ambient: 1 bar gauge\n", "value-unreadable", "1 bar gauge"),
        ("standard_air: dry\n", "unknown-word", "dry"),
        (
            "engine: elm\ntaken_together: [[a, {b: c}]]\nreadings: {a: {repeats: [1, 2], unit: mm}}\n",
            "wrong-shape",
            "{b: c}",
        ),
        ("claims:\n  - {say: It is so., holds: }\n", "missing-key", "holds"),
        ("engine: elm\nsources:\n  bench: {kind: }\n", "missing-key", "kind"),
    ] {
        let found = told(front);
        assert!(found.contains(&(code, text.to_owned())), "{front}: {found:?}");
    }
}

#[test]
fn names_that_stand_for_nothing_are_told() {
    let engine = "engine: elm\nsources: {b: {kind: measured}}\nreadings_from: b\n";
    let readings = "readings:\n  bore: {repeats: [1, 2, 3], unit: mm}\n  \
                    stem: {repeats: [1, 2], unit: mm}\n  seat: 3 mm\n";
    for (more, code, text) in [
        ("taken_together: [[bore, stam]]\n", "unknown-name", "stam"),
        ("taken_together: [[bore, stem]]\n", "wrong-shape", "bore, stem"),
        ("taken_together: [[bore, seat]]\n", "wrong-shape", "bore, seat"),
        ("taken_together: [bore, stem]\n", "wrong-shape", "bore, stem"),
        ("taken_together: [[bore]]\n", "wrong-shape", "bore"),
    ] {
        assert_eq!(told(&format!("{engine}{readings}{more}")), one(code, text), "{more}");
    }
    let revised = "readings: {seat: {is: 3 mm, revision: C}}\nrevisions: [{name: B}]\n";
    assert_eq!(told(&format!("{engine}{revised}")), one("unknown-name", "C"));
    assert_eq!(told(&format!("{engine}{}", revised.replace("name: B", "name: C"))), []);
}

#[test]
fn rows_of_a_comparison_are_figures_of_its_engines() {
    let engine = "---\ntitle: Elm\nengine: elm\nsources: {b: {kind: measured}}\nreadings_from: b\n\
                  readings: {bore: 3 mm}\n---\n\nIt is apart.\n";
    let page = "---\ntitle: Both\ncompare: [elm]\nrows: [bore, boree]\n---\n\nSide by side.\n";
    let texts = Texts {
        pages: [("content/elm.md".into(), engine.into()), ("content/two.md".into(), page.into())]
            .into(),
        imprint: IMPRINT.to_owned(),
        ..Texts::default()
    };
    let (folio, _) = texts.index();
    let slips = texts.judge(&folio, "content/two.md").slips;
    let found: Vec<_> = slips.iter().map(|slip| (slip.code, slip.spot.text())).collect();
    assert_eq!(found, [("unknown-name", "boree")]);
    assert_eq!(slips[0].helps[0].replacement.as_deref(), Some("bore"));
}

#[test]
fn limits_of_instruments_are_figures() {
    let page = "---\ntitle: A page\n---\n\nIt is apart.\n";
    let imprint = |limit: &str| {
        format!("{IMPRINT}instruments:\n  caliper: {{what: caliper, plus_minus: {limit}}}\n")
    };
    assert_eq!(told_with(&imprint("fine"), page), one("value-unreadable", "fine"));
    assert_eq!(told_with(&imprint("0.02"), page), one("value-unreadable", "0.02"));
    assert_eq!(told_with(&imprint("0.02 mm"), page), []);
}

#[test]
fn conventions_hold_on_pages_without_figures_of_their_own() {
    let page = |comma: &str| {
        format!("---\ntitle: A page\n{comma}---\n\nIt opens at 8,83 bar (128 psi) by the gauge.\n")
    };
    let codes = |comma: &str| -> Vec<&str> {
        told_with(IMPRINT, &page(comma)).iter().map(|(code, _)| *code).collect()
    };
    assert!(codes("").contains(&"ambiguous-number"), "{:?}", codes(""));
    assert_eq!(codes("decimal_comma: true\n"), ["untied-figure"]);
    // The imprint's decimal comma holds for its own ambient pressure and its pages'.
    let comma = format!("{IMPRINT}decimal_comma: true\nambient: 101,325 kPa\n");
    let found = told_with(&comma, &page("ambient: 99,8 kPa\n"));
    assert_eq!(found.iter().map(|(code, _)| *code).collect::<Vec<_>>(), ["untied-figure"]);
}

#[test]
fn yaml_faults_are_told_where_they_stand_and_in_plain_words() {
    let place = |page: &str| {
        let texts = Texts {
            pages: [("content/page.md".to_owned(), page.to_owned())].into(),
            imprint: IMPRINT.to_owned(),
            ..Texts::default()
        };
        let (_, slips) = texts.index();
        let [slip] = slips.as_slice() else { panic!("{}", shown(&slips)) };
        let place = slip.spot.source.place(slip.spot.span.start);
        (place.line, place.column, slip.message.clone())
    };
    let tab = place("---\ntitle: A page\nreadings:\n\tbore: 3 mm\n---\n\nText.\n");
    assert_eq!((tab.0, tab.1), (4, 1), "{}", tab.2);
    assert!(tab.2.contains("tab"), "{}", tab.2);
    let open = place("---\ntitle: A page\n\nIts text: the bore is 3 mm.\n");
    assert_eq!((open.0, open.1), (1, 1));
    assert!(open.2.contains("not closed"), "{}", open.2);
    let values = "a, ".repeat(25_000);
    for (front, words) in [
        (format!("rows: [{values}]\n"), "too large"),
        ("family: &here x\n".to_owned(), "stand for other places"),
        (format!("rows: {}1{}\n", "[".repeat(40), "]".repeat(40)), "nested more than"),
    ] {
        let told = place(&format!("---\ntitle: A page\n{front}---\n\nText.\n"));
        assert!(told.2.contains(words), "{}", told.2);
    }
}

/// Nothing is colder than 0 K (SI Brochure, 2.3.1) or emptier than a vacuum; no thing is smaller
/// than nothing. What has a sign keeps it.
#[test]
fn readings_outside_what_can_be_are_told() {
    let told_of = |reading: &str| {
        told(&format!(
            "engine: elm\nsources: {{b: {{kind: measured}}}}\nreadings_from: b\nreadings:\n  \
             {reading}\n"
        ))
    };
    for (reading, text) in [
        ("cold: -300 °C", "-300 °C"),
        ("cold: -460 °F", "-460 °F"),
        ("store_pressure: -1.2 bar gauge", "-1.2 bar gauge"),
        ("store_pressure: -1 kPa absolute", "-1 kPa absolute"),
        ("metering_bore: -0.9 mm", "-0.9 mm"),
        ("bolt_mass: -3 g", "-3 g"),
    ] {
        assert_eq!(told_of(reading), one("value-unreadable", text));
    }
    for reading in ["cold: -40 °C", "store_pressure: -0.4 bar gauge", "offset: -0.2 mm"] {
        assert_eq!(told_of(reading), []);
    }
}

#[test]
fn a_waiver_whose_day_cannot_be_read_is_told_of_once() {
    for day in ["on: yesterday", "on: 2026-02-30", "on: 2026-01-01, until: never"] {
        let found = told(&format!(
            "waivers:\n  - {{fault: untied-figure, at: apart, because: known, {day}}}\n"
        ));
        let codes: Vec<&str> = found.iter().map(|(code, _)| *code).collect();
        assert_eq!(codes, ["date-unreadable"], "{day}");
    }
}

/// Shapes of tags from RFC 5646, appendix A.
#[test]
fn the_language_of_a_folio_is_a_tag() {
    let page = "---\ntitle: A page\n---\n\nIt is apart.\n";
    for tag in ["de", "zh-Hant", "sl-rozaj", "de-DE-u-co-phonebk", "es-419"] {
        assert_eq!(told_with(&format!("{IMPRINT}language: {tag}\n"), page), []);
    }
    for text in ["klingon '><", "d", "419", "de_DE", "de--AT"] {
        let imprint = format!("{IMPRINT}language: \"{text}\"\n");
        assert_eq!(told_with(&imprint, page).first().map(|(code, _)| *code), Some("wrong-shape"));
    }
}

#[test]
fn many_readings_that_nothing_uses_are_one_note() {
    let notes = |count: usize| {
        let readings: String = (0..count).map(|at| format!("  size_{at}: {at}.5 mm\n")).collect();
        let page = format!(
            "---\ntitle: Elm\nengine: elm\nsources: {{b: measured}}\nreadings_from: b\n\
             readings:\n{readings}---\n\nIt is apart.\n"
        );
        let texts = Texts {
            pages: [("content/elm.md".to_owned(), page)].into(),
            imprint: IMPRINT.to_owned(),
            ..Texts::default()
        };
        let unused = finish(&texts.index().0, &[], &[], &BTreeSet::new());
        unused.iter().map(|slip| slip.message.clone()).collect::<Vec<String>>()
    };
    assert_eq!(notes(5).len(), 5);
    let told = "no text states size 0 and 6 more readings of this page, and no formula uses them";
    assert_eq!(notes(7), [told]);
}

/// A page about two engines, with a sentence of one of them by a name of its own.
#[test]
fn an_engine_is_found_by_what_it_is_also_called() {
    let engine = |name: &str, called: &str, bore: &str| {
        format!(
            "---\ntitle: {name}\nengine: {name}\n{called}sources: {{b: measured}}\n\
             readings_from: b\nreadings: {{metering_bore: {bore}}}\n---\n\nIt is apart.\n"
        )
    };
    let slips = |called: &str, bore: &str| {
        let page = format!(
            "---\ntitle: Both\n---\n\nElm has a metering bore of 1.40 mm. The metering bore of the \
             sliding-bolt marker is {bore}.\n"
        );
        let pages = [
            ("content/alder.md", engine("alder", called, "0.90 mm")),
            ("content/elm.md", engine("elm", "", "1.40 mm")),
            ("content/page.md", page),
        ];
        let texts = Texts {
            pages: pages.map(|(name, text)| (name.to_owned(), text)).into(),
            imprint: IMPRINT.to_owned(),
            ..Texts::default()
        };
        let (folio, mut slips) = texts.index();
        slips.extend(texts.judge(&folio, "content/page.md").slips);
        slips
    };
    let called = "called: sliding-bolt marker\n";
    assert!(slips(called, "0.90 mm").is_empty(), "{}", shown(&slips(called, "0.90 mm")));
    let told = shown(&slips(called, "0.09 mm"));
    assert!(told.contains("figure-disagrees") && told.contains("0.90"), "{told}");
    let untold = shown(&slips("", "0.90 mm"));
    assert!(!untold.is_empty(), "without the name it is Elm's, which says 1.40 mm");
}
