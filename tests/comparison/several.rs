//! Several engines beside each other.

use super::support::{engine, here, text};
use gaugebook::comparison::{LanePlace, RowStanding, compare_all};

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

#[test]
fn nothing_to_compare_is_no_comparison() {
    assert!(compare_all(&[]).is_none());
}
