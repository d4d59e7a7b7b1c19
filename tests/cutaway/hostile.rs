//! Texts that nobody would write: they are read to the end all the same.

use super::support::{read, shown};
use gaugebook::cutaway::model::ChamberId;
use gaugebook::cutaway::{Engine, aligned};
use gaugebook::text::Source;
use proptest::prelude::*;

/// Every place in the model leads to something that is there.
fn is_sound(engine: &Engine) {
    let is_there = |at: ChamberId| engine.chambers.get(at).is_some();
    for way in &engine.ways {
        assert!(is_there(way.from) && is_there(way.to));
    }
    for part in &engine.parts {
        assert!(part.positions.get(part.rest).is_some() && 2 <= part.positions.len());
    }
    for valve in &engine.valves {
        for (a, b) in valve.rest.iter().chain(&valve.shifted) {
            assert!(is_there(*a) && is_there(*b) && a != b);
        }
    }
    for (a, b) in &engine.links {
        assert_eq!(engine.parts[*a].positions.len(), engine.parts[*b].positions.len());
    }
    assert!(!engine.triggers.is_empty());
}

#[test]
fn a_hundred_kilobytes_of_anything_are_read() {
    let lines = [
        "x",
        "way a from b to c",
        "chamber a role store",
        "fact a larger than b (seen)",
        "fact a.b larger than hazel.c (seen)",
        "moving m",
        "  positions a, b",
        "  face f in g pushes forward while a at b and c shifted",
        "order a leaves b before c reaches d (timed)",
        "event \"a b\" is c leaves d",
        "link a with b",
        "without way x",
        "revision r",
        "seal s on a between b and c",
        "\"",
        "axis x: a, b around c",
        "cutaway a based on b",
    ];
    for line in lines {
        let many = format!("cutaway rig\n{}", format!("{line}\n").repeat(100_000 / line.len()));
        let (engine, slips) = read(&many);
        is_sound(&engine);
        assert!(!slips.is_empty(), "{line}");
        assert!(!aligned(&many).is_empty());
        let one_line = format!("{line} {}", "and a at b ".repeat(9_000));
        is_sound(&read(&one_line).0);
    }
    let numbered: String =
        (0..2_500).map(|at| format!("way w{at} from c{at} to d{at} while p{at} at q\n")).collect();
    is_sound(&read(&format!("cutaway rig\n{numbered}")).0);
    let chain: String = (0..2_000)
        .map(|at| format!("chamber c{at}\nfact c{at} larger than c{} (seen)\n", at + 1))
        .collect();
    is_sound(&read(&format!("cutaway rig\n{chain}")).0);
}

/// Places told for a text, with those that it may be based on.
fn codes_of(text: &str, others: &dyn Fn(&str) -> Option<String>) -> Vec<&'static str> {
    let others = |name: &str| Some(Source::new(format!("{name}.cut"), others(name)?));
    let (engine, slips) = gaugebook::cutaway::read(&Source::new("rig.cut", text), &others);
    is_sound(&engine);
    slips.iter().map(|slip| slip.code).collect()
}

#[test]
fn texts_beyond_any_engine_are_told_once() {
    let alone = |text: &str| codes_of(text, &|_| None);
    let axes: String = (0..2_000).map(|at| format!("axis x{at}: a\n")).collect();
    let axes = format!("cutaway rig\n{axes}");
    assert_eq!(alone(&axes).iter().filter(|code| **code == "cutaway-too-large").count(), 1);
}

#[test]
fn a_long_chain_of_bases_is_told_instead_of_followed_without_end() {
    let based = |at: usize| format!("cutaway c{at} based on c{}\n", at + 1);
    let others = |name: &str| Some(based(name.strip_prefix('c')?.parse().ok()?));
    assert_eq!(codes_of("cutaway rig based on c0\n", &others), ["cutaway-too-large"]);
    let few = |name: &str| match name {
        "c9" => Some("cutaway c9\n".to_owned()),
        name => others(name),
    };
    assert!(!codes_of("cutaway rig based on c0\n", &few).contains(&"cutaway-too-large"));
}

#[test]
fn a_text_of_nothing_is_told_once() {
    for text in ["", "\n\n", "# only a note\n", "\u{feff}"] {
        let (_, slips) = read(text);
        let codes: Vec<&str> = slips.iter().map(|slip| slip.code).collect();
        assert_eq!(codes, ["cutaway-unnamed"], "{}", shown(&slips));
    }
}

#[test]
fn several_faults_are_told_in_one_reading() {
    let (_, slips) = read(
        "cutaway rig\nsupply line\nchamber store role stoer\nway a from lne to stor\nmoving m\n  \
         rests front\nvalve v 3/3\n",
    );
    let told: Vec<(&str, &str)> = slips.iter().map(|slip| (slip.code, slip.spot.text())).collect();
    let wanted = [
        ("word-not-in-list", "stoer"),
        ("nothing-of-that-name", "lne"),
        ("nothing-of-that-name", "stor"),
        ("block-incomplete", "m"),
    ];
    for fault in wanted {
        assert!(told.contains(&fault), "{fault:?} in {told:?}");
    }
}

proptest! {
    #[test]
    fn any_text_is_read(text in "(?s).{0,400}") {
        let (engine, slips) = read(&text);
        is_sound(&engine);
        for slip in &slips {
            prop_assert!(slip.spot.span.end <= text.len());
        }
        let _ = shown(&slips);
    }
}
