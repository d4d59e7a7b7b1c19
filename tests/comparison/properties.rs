//! What holds for any two engines.

use super::shuffle::{mutated, shuffled, turned_round};
use super::support::{Found, likeness, text_beside};
use gaugebook::comparison::claims::{Answer, QUESTIONS};
use gaugebook::comparison::{LanePlace, Likeness, Row, RowStanding, Sure};
use gaugebook::cutaway::model::{Term, Width};
use gaugebook::logic::explore;
use proptest::prelude::*;
use std::path::Path;

/// Engines of all sorts: those here and each of the cases, those of the demo folio, and circuits
/// from textbooks.
fn engines() -> Vec<Found> {
    let folders = [
        ("tests/comparison/engines", "tests/comparison/engines"),
        ("tests/comparison/cases", "tests/comparison/engines"),
        ("diagrams", "diagrams"),
        ("tests/logic", "tests/logic"),
    ];
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut found = Vec::new();
    for (folder, bases) in folders {
        let entries = std::fs::read_dir(root.join(folder)).unwrap();
        let mut paths: Vec<_> = entries.map(|entry| entry.unwrap().path()).collect();
        paths.retain(|path| path.extension().is_some_and(|extension| extension == "cut"));
        paths.sort();
        let read = |path| text_beside(&root.join(bases), &std::fs::read_to_string(path).unwrap());
        found.extend(paths.into_iter().map(read));
    }
    found
}

fn copy(found: &Found, seed: u64) -> Found {
    let engine = shuffled(&found.engine, seed);
    let run = explore(&engine);
    Found { engine, run }
}

fn counts(likeness: &Likeness) -> (usize, Vec<RowStanding>, usize, usize, usize) {
    let mut standings: Vec<RowStanding> = likeness.rows.iter().map(|row| row.standing).collect();
    standings.sort_unstable();
    let sequence = &likeness.sequence;
    let moved = sequence.lanes.iter().filter(|lane| matches!(lane.place, LanePlace::Moved(_)));
    (likeness.differences, standings, sequence.same, sequence.all, moved.count())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4))]

    /// Names and the order of statements are no part of the structure, nor of what happens.
    #[test]
    fn an_engine_is_the_same_as_a_copy_under_other_names(seed in any::<u64>()) {
        for found in engines() {
            let copy = copy(&found, seed);
            let likeness = likeness(&found, &copy);
            let name = &found.engine.name.id;
            let told: Vec<_> = likeness.rows.iter().filter(|row| row.standing != RowStanding::Same).collect();
            prop_assert_eq!(likeness.differences, 0, "{}: {:#?}", name, told);
            prop_assert!(told.is_empty(), "{}: {:#?}", name, told);
            prop_assert!(likeness.sequence.is_same(), "{}: {:#?}", name, likeness.sequence.says);
        }
    }

    /// Forward is only a word: an engine that is turned round end for end is the same, and what
    /// differs between two differs as much when one of them is turned.
    #[test]
    fn an_engine_turned_round_is_the_same(seed in any::<u64>()) {
        for (at, found) in engines().into_iter().enumerate() {
            let changed = mutated(&found.engine, seed.wrapping_add(at as u64));
            for engine in [found.engine.clone(), changed] {
                let own = Found { run: explore(&engine), engine };
                let engine = turned_round(&shuffled(&own.engine, seed));
                let turned = Found { run: explore(&engine), engine };
                let likeness = likeness(&own, &turned);
                let name = &own.engine.name.id;
                let told = |row: &&Row| row.standing != RowStanding::Same;
                let told: Vec<_> = likeness.rows.iter().filter(told).collect();
                prop_assert!(told.is_empty(), "{}: {:#?}", name, told);
                prop_assert!(likeness.sequence.is_same(), "{}: {:#?}", name, likeness.sequence.says);
            }
        }
    }

    /// Nothing hangs on which of two engines is asked about, or on how they are written.
    #[test]
    fn the_second_seen_from_the_first_is_the_first_seen_from_the_second(seed in any::<u64>()) {
        let engines = engines();
        let first = &engines[(seed % engines.len() as u64) as usize];
        for other in &engines {
            let forth = counts(&likeness(first, other));
            let mut back = counts(&likeness(other, first));
            back.1 = back.1.into_iter().map(RowStanding::turned).collect();
            back.1.sort_unstable();
            prop_assert_eq!(forth, back, "{} {}", first.engine.name.id, other.engine.name.id);
        }
    }

    /// Two engines compare alike whatever their things are called, in whatever order they are
    /// written down, and from whichever end a way is told.
    #[test]
    fn what_differs_hangs_on_the_models_alone(seed in any::<u64>(), others in any::<u64>()) {
        compares_alike(seed, others);
    }
}

/// Two pistons alike, of which one is taken for a piston of the other engine: which of them goes
/// first in the run that is compared, and which of their rooms is left for a room of another role,
/// must not hang on their order in the file; nor on names where structure decides, if narrowly.
#[test]
fn things_nearly_alike_are_told_apart_by_structure() {
    for (seed, others) in [
        (11_832_801_965_835_000_391, 4_836_149_269_828_117_015),
        (9_172_495_001_897_132_972, 18_013_263_210_930_298_102),
        (5_799_009_074_020_245_935, 14_586_126_960_586_624_548),
        (1, 2),
    ] {
        compares_alike(seed, others);
    }
}

/// One engine beside all others, and copies of both.
fn compares_alike(seed: u64, others: u64) {
    let mut engines = engines();
    // A fact that names another engine speaks of no other once that one goes by another name.
    let is_foreign = |term: &Term| matches!(term, Term::Foreign(..));
    for found in &mut engines {
        found.engine.facts.retain(|fact| !fact.left.iter().chain(&fact.right).any(is_foreign));
    }
    // Twice as many: each once more with a few things changed or taken away.
    let changed = engines.iter().enumerate().map(|(at, found)| {
        let engine = mutated(&found.engine, others.wrapping_add(at as u64));
        let run = explore(&engine);
        Found { engine, run }
    });
    let changed: Vec<Found> = changed.collect();
    let first = &engines[(seed % engines.len() as u64) as usize];
    let copied = copy(first, seed);
    for other in engines.iter().chain(&changed) {
        let here = counts(&likeness(first, other));
        let there = counts(&likeness(&copied, &copy(other, others)));
        assert_eq!(here, there, "{} {}", first.engine.name.id, other.engine.name.id);
    }
}

#[test]
fn an_engine_is_the_same_as_itself() {
    for found in engines() {
        let likeness = likeness(&found, &found);
        assert_eq!(likeness.verdict(), "same structure");
        assert!(likeness.sequence.is_same());
        assert!(likeness.marks.iter().all(|marks| *marks == Default::default()));
        let sure = likeness.rows.iter().filter_map(|row| row.sure);
        assert!(sure.into_iter().all(|sure| sure == Sure::StructureAndName));
        for (name, question, _) in QUESTIONS {
            let finding = question(found.side(), found.side());
            let is_open = likeness.sequence.open.iter().any(Option::is_some);
            let wanted = match name {
                "same_sequence" if is_open => Answer::Undecided,
                _ => Answer::True,
            };
            assert_eq!(finding.answer, wanted, "{name}: {}", finding.reason);
        }
    }
}

/// Rowan's bolt pushed the other way, and all else with it, is Rowan turned round, and told so; a
/// difference beside that is still found.
#[test]
fn what_differs_from_an_engine_turned_round_is_told() {
    let engines = engines();
    let own = engines.iter().find(|found| found.engine.name.id == "rowan").unwrap();
    let mut engine = turned_round(&own.engine);
    let turned = Found { run: explore(&engine), engine: engine.clone() };
    let verdict = likeness(own, &turned).verdict();
    assert!(verdict.starts_with("same structure, with Rowan (second) turned round"), "{verdict}");
    let way = engine.way("mouth").unwrap();
    engine.ways[way].width = Width::Narrow;
    let changed = Found { run: explore(&engine), engine };
    let likeness = likeness(own, &changed);
    assert_eq!(likeness.differences, 1, "{}", likeness.verdict());
    assert!(likeness.verdict().contains("turned round"), "{}", likeness.verdict());
}
