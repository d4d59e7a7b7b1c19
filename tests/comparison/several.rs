//! Several engines beside each other.

use super::support::{engine, here, text, text_beside};
use gaugebook::comparison::{LanePlace, Milestone, RowStanding, compare_all};
use std::path::Path;

#[test]
fn every_engine_has_its_column_and_what_the_first_lacks_is_joined() {
    let case = |name: &str| {
        text(&std::fs::read_to_string(here().join(format!("cases/{name}.cut"))).unwrap())
    };
    let found = [engine("rowan"), case("more_seals"), case("sear"), {
        let both = "cutaway both  based on rowan\n\
                    seal end_seal  on switch  between switch_room and store  size -014\n";
        text(both)
    }];
    let sides: Vec<_> = found.iter().map(|found| found.side()).collect();
    let several = compare_all(&sides).unwrap();
    assert_eq!(several.pairs.len(), 3);
    let names = |standing: RowStanding| -> Vec<Vec<Option<&str>>> {
        let rows = several
            .rows
            .iter()
            .filter(|row| row.cells.iter().flatten().any(|cell| cell.standing == standing));
        rows.map(|row| row.cells.iter().map(|cell| Some(&*cell.as_ref()?.name)).collect()).collect()
    };
    assert_eq!(
        names(RowStanding::OnlySecond),
        [
            vec![None, None, Some("sear of bolt"), None],
            vec![None, Some("land seal"), None, Some("end seal")],
        ]
    );
    assert!(names(RowStanding::Different).is_empty());
    let same = several.rows.iter().filter(|row| row.is_same()).count();
    assert_eq!(same + 2, several.rows.len());
}

#[test]
fn lanes_of_all_engines_keep_the_order_of_each() {
    let found = ["ash", "rowan", "two_hand", "ash"].map(engine);
    let sides: Vec<_> = found.iter().map(|found| found.side()).collect();
    let several = compare_all(&sides).unwrap();
    for column in 0..4 {
        let told = several.lanes.iter().filter_map(|lane| lane.cells[column].as_ref());
        let places: Vec<usize> = told.map(|(_, told)| told.at).collect();
        assert!(!places.is_empty());
        assert!(places.is_sorted_by(|a, b| a < b), "column {column}: {places:?}");
    }
    for lane in &several.lanes {
        // The last column is the first once more.
        let [first, .., last] = lane.cells.as_slice() else { panic!() };
        let is_same = last.as_ref().is_none_or(|(place, _)| *place == LanePlace::Same);
        assert!(is_same && first.is_some() == last.is_some());
    }
}

/// By the eye of whoever drew the demo's engines: what each shot reaches, and what brings it about.
#[test]
fn milestones_hold_the_lanes_whatever_part_brings_them_about() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("diagrams");
    let found = ["rowan", "hazel", "oak"].map(|name| {
        let text = std::fs::read_to_string(folder.join(format!("{name}.cut"))).unwrap();
        text_beside(&folder, &text)
    });
    let sides: Vec<_> = found.iter().map(|found| found.side()).collect();
    let several = compare_all(&sides).unwrap();
    let reached = |column: usize| -> Vec<(Milestone, &str)> {
        let told = several.lanes.iter().filter_map(|lane| lane.cells[column].as_ref());
        told.filter_map(|(_, told)| Some((told.milestone?, told.words.as_str()))).collect()
    };
    let rowan = [
        (Milestone::Trigger, "trigger pulled"),
        (Milestone::ValveAnswers, "pilot shifts"),
        (Milestone::BreechShut, "bolt reaches sealed"),
        (Milestone::StoreOpens, "outlet opens"),
        (Milestone::StoreShut, "stage closes"),
        (Milestone::BallLeaves, "pellet leaves"),
        (Milestone::PartHome, "bolt reaches back"),
        (Milestone::NextBall, "pellet drops in"),
        (Milestone::StoreFull, "store fills"),
    ];
    assert_eq!(reached(0), rowan);
    let words = |column: usize, wanted: Milestone| {
        reached(column).into_iter().find(|(milestone, _)| *milestone == wanted).map(|it| it.1)
    };
    assert_eq!(words(1, Milestone::BreechShut), Some("spool reaches sealed"));
    assert_eq!(words(1, Milestone::StoreOpens), Some("mouth opens"));
    assert_eq!(words(2, Milestone::ValveAnswers), Some("sear lets go"));
    assert_eq!(words(2, Milestone::StoreOpens), Some("transfer opens"));
    // What both of a pair reach stands in one row.
    for lane in &several.lanes {
        let Some((_, first)) = &lane.cells[0] else { continue };
        let others = lane.cells[1..].iter().flatten();
        let mut reached = others.filter_map(|(_, told)| told.milestone);
        assert!(first.milestone.is_none() || reached.all(|other| Some(other) == first.milestone));
    }
}

#[test]
fn nothing_to_compare_is_no_comparison() {
    assert!(compare_all(&[]).is_none());
}
