//! Figures side by side: what is printed subtracts, and what is said of it holds.
//!
//! Expectations are worked out by hand from the readings of `everything`; 1 atm is 14.696 psi. The
//! ± of a difference is the expanded uncertainty of GUM 5.2.2: readings with limits ± a have the
//! standard uncertainty a/√3 (GUM 4.3.7), and k is 2.

use super::{selector, text};
use scraper::{ElementRef, Html};

/// The cells of a row: the first engine's, then the others'.
fn row<'a>(document: &'a Html, name: &str) -> Vec<ElementRef<'a>> {
    let cells = selector(&format!("#_row-{name} > td"));
    document.select(&cells).collect()
}

fn page() -> Html {
    Html::parse_document(text("compare/all.html"))
}

/// The text that a reader sees.
fn seen(element: ElementRef<'_>) -> String {
    element.text().collect::<String>().replace('\u{a0}', " ")
}

fn first(cell: ElementRef<'_>, of: &str) -> String {
    let found = cell.select(&selector(of)).next();
    found.map(seen).unwrap_or_default()
}

#[test]
fn one_unit_holds_for_a_row() {
    let page = page();
    // 0.101 l beside 93 cm³.
    assert_eq!(first(row(&page, "store_volume")[1], ".value .figure"), "101 cm³");
}

#[test]
fn a_difference_has_its_unit_sign_and_width() {
    let page = page();
    // 2 · √(2 · 1²/3) = 1.63.
    assert_eq!(first(row(&page, "store_volume")[1], ".delta"), "+8 cm³ ± 2 cm³ 1.09 × ± 0.02");
    // 2 · √(2 · 0.02²/3) = 0.033, the calliper's ± 0.02 mm in both.
    assert!(first(row(&page, "shaft")[1], ".delta").starts_with("−0.55 mm ± 0.03 mm"));
}

#[test]
fn shares_differ_by_points() {
    let page = page();
    // 57 % is 29 percentage points more than 28 %, and 57/28 = 2.04 times as much.
    assert_eq!(first(row(&page, "kept_share")[1], ".delta"), "+29 points ± 2 points 2.04 × ± 0.09");
}

#[test]
fn the_ratio_of_gauge_pressures_is_that_of_absolute_ones() {
    let page = page();
    // (67 + 14.696) / (30 + 14.696) = 1.828; 67/30 would be 2.23.
    let delta = first(row(&page, "operating_pressure")[1], ".ratio");
    assert!(delta.starts_with("1.83 × absolute"), "{delta}");
}

#[test]
fn a_temperature_has_a_difference_and_no_ratio() {
    let page = page();
    assert_eq!(first(row(&page, "oil_temperature")[1], ".delta"), "+11 °C ± 2 °C");
}

#[test]
fn an_energy_is_no_torque() {
    let page = page();
    let cell = seen(row(&page, "work")[1]);
    assert!(cell.contains("cannot be compared: an energy is not a torque"), "{cell}");
    assert!(!cell.contains("same") && !cell.contains('+'), "{cell}");
}

#[test]
fn within_the_width_of_the_difference_nothing_is_told_apart() {
    let page = page();
    // 0.1 mm is less than 2 · √(2 · 0.1²/3) = 0.163 mm and more than 0.033 mm.
    assert!(seen(row(&page, "plunger")[1]).contains("not told apart"));
    assert!(!seen(row(&page, "stem")[1]).contains("not told apart"));
    // Two measurements that came out alike are not the same thing.
    assert!(seen(row(&page, "store_volume")[2]).contains("not told apart"));
}

#[test]
fn what_both_rest_on_counts_once() {
    let page = page();
    // Alder's volume, and Alder's volume and 1 cm³: each ± 1 cm³, the difference is exact.
    assert!(first(row(&page, "filled_volume")[1], ".delta").starts_with("+1 cm³ 1.011 ×"));
}

#[test]
fn the_same_is_what_rests_on_the_same_readings_or_is_counted() {
    let page = page();
    assert_eq!(first(row(&page, "double_mass")[1], ".delta"), "= same");
    assert_eq!(first(row(&page, "ports")[1], ".delta"), "= same");
    let borrowed = seen(row(&page, "chisel_mass")[1]);
    assert!(borrowed.contains("borrowed from") && !borrowed.contains("same"), "{borrowed}");
}

/// A printed number in front of its unit.
fn number(text: &str) -> f64 {
    let digits: String =
        text.replace('−', "-").chars().take_while(|c| "-+.0123456789".contains(*c)).collect();
    digits.parse().unwrap_or_else(|_| panic!("{text}"))
}

#[test]
fn differences_subtract_what_is_printed_in_every_system() {
    let page = page();
    let mut seen = 0;
    for row in page.select(&selector("table.compare tr[id]")) {
        let cells: Vec<ElementRef<'_>> = row.select(&selector("td")).collect();
        for cell in &cells[1..] {
            let figure = |of: ElementRef<'_>, what: &str, system: &str| {
                let found = of.select(&selector(what)).next()?.value();
                let text = found.attr(system).map(str::to_owned);
                text.or_else(|| Some(of.select(&selector(what)).next()?.text().collect()))
            };
            for system in ["data-written", "data-si", "data-us"] {
                let of = |cell, what| figure(cell, what, system).map(|text| number(&text));
                let Some(difference) = of(*cell, ".delta > .figure") else { continue };
                let (Some(own), Some(base)) =
                    (of(*cell, ".value .figure"), of(cells[0], ".value .figure"))
                else {
                    continue;
                };
                assert!((own - base - difference).abs() < 1e-9, "{}: {}", row.html(), difference);
                seen += 1;
            }
        }
    }
    assert!(30 <= seen, "{seen}");
}

#[test]
fn the_table_for_machines_has_widths_differences_and_units() {
    let mut table = csv::Reader::from_reader(text("data/compare-all.csv").as_bytes());
    let head = table.headers().unwrap().clone();
    let records: Vec<csv::StringRecord> = table.records().map(Result::unwrap).collect();
    let field = |figure: &str, column: &str| {
        let at = head.iter().position(|name| name == column).unwrap_or_else(|| panic!("{column}"));
        let row = records.iter().find(|row| &row[1] == figure).unwrap();
        row[at].to_owned()
    };
    assert_eq!(field("store volume", "SI unit"), "m³");
    assert_eq!(field("store volume", "Birch (SI value)"), "0.000101");
    assert_eq!(field("store volume", "Birch (SI ±)"), "0.000001");
    assert_eq!(field("store volume", "Birch (SI difference)"), "0.000008");
    let width: f64 = field("store volume", "Birch (SI ± of difference)").parse().unwrap();
    assert!((width - 2e-6 * (2.0_f64 / 3.0).sqrt()).abs() < 1e-12, "{width}");
    assert_eq!(field("plunger", "Birch (stands)"), "not told apart");
    assert_eq!(field("work", "Birch (stands)"), "cannot be compared");
}
