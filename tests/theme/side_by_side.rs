//! Figures side by side: what is printed subtracts, and what is said of it holds.
//!
//! Expectations are worked out by hand from the readings of `everything`; 1 atm is 14.696 psi. The
//! ± of a difference is the expanded uncertainty of GUM 5.2.2: readings with limits ± a have the
//! standard uncertainty a/√3 (GUM 4.3.7), and k is 2.

use super::{everything, selector, text};
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
    // 2 · √(2 · 1²/3) = 1.63; 101/93 = 1.0860, of which 2 · √((1/101² + 1/93²)/3) is 0.0183.
    assert_eq!(first(row(&page, "store_volume")[1], ".delta"), "+8 cm³ ± 2 cm³; × 1.086 ± 0.018");
    // 2 · √(2 · 0.02²/3) = 0.033, the calliper's ± 0.02 mm in both.
    assert!(first(row(&page, "shaft")[1], ".delta").starts_with("−0.55 mm ± 0.03 mm"));
}

#[test]
fn shares_differ_by_points() {
    let page = page();
    // 57 % is 29 percentage points more than 28 %, and 57/28 = 2.0357 times as much, of which
    // 2 · √((1/57² + 1/28²)/3) is 0.0935.
    let delta = first(row(&page, "kept_share")[1], ".delta");
    assert_eq!(delta, "+29 points ± 2 points; × 2.036 ± 0.094");
}

#[test]
fn the_ratio_of_gauge_pressures_is_that_of_absolute_ones() {
    let page = page();
    // (67 + 14.696) / (30 + 14.696) = 1.828; 67/30 would be 2.23.
    let delta = first(row(&page, "operating_pressure")[1], ".ratio");
    assert!(delta.starts_with("absolute × 1.828"), "{delta}");
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
fn digits_alone_tell_apart_and_have_no_width_of_their_own() {
    let page = page();
    // 2.4/3.0 is 0.8; within the digits, 0.05 mm each, it is 0.8 ± 0.025.
    assert_eq!(first(row(&page, "lift")[1], ".delta"), "−0.6 mm; × 0.80");
}

#[test]
fn what_both_rest_on_counts_once() {
    let page = page();
    // Alder's volume, and Alder's volume and 1 cm³: each ± 1 cm³, the difference is exact; 94/93 is
    // 1.010753, and 2/√3 · 1/93² is 0.000134.
    let delta = first(row(&page, "filled_volume")[1], ".delta");
    assert_eq!(delta, "+1.0 cm³; × 1.01075 ± 0.00013");
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

/// What the bench loads of an engine.
fn bench(engine: &str) -> serde_json::Value {
    left_by(&format!("data/bench/{engine}.js"))
}

/// What a script leaves of an engine.
fn left_by(address: &str) -> serde_json::Value {
    let script = text(address);
    let start = script.find("] = ").unwrap() + 4;
    serde_json::from_str(script[start..].trim_end().trim_end_matches(';')).unwrap()
}

#[test]
fn the_bench_shows_what_the_comparison_shows() {
    let page = page();
    let birch = bench("birch");
    let pairs = birch["beside"]["alder"].as_object().unwrap();
    let mut seen = 0;
    for (name, pair) in pairs {
        let cell = row(&page, name)[1];
        let shown = pair["shown"]["written"].as_str().unwrap().replace('\u{a0}', " ");
        assert_eq!(first(cell, ".value .figure"), shown, "{name}");
        if let Some(difference) = pair["difference"]["shown"]["written"].as_str() {
            let told = first(cell, ".delta");
            let difference = difference.replace('\u{a0}', " ");
            assert!(told == "= same" || told.starts_with(&difference), "{name}: {told}");
            seen += 1;
        }
    }
    assert!(8 <= seen, "{seen}");
    assert_eq!(pairs["work"]["relation"], "incomparable");
    assert_eq!(pairs["plunger"]["relation"], "not-told-apart");
    // A borrowed value is no finding.
    assert!(pairs["chisel_mass"]["relation"].is_null());
    // Why there is no value is told.
    let rows = bench("alder")["rows"].as_array().unwrap().clone();
    let bumper = rows.iter().find(|row| row["name"] == "bumper").unwrap();
    assert_eq!(bumper["missing"]["why"], "it was glued in");
}

#[test]
fn the_bench_tells_what_brings_each_milestone_about() {
    let alder = bench("alder");
    let told: Vec<(&str, &str)> = alder["milestones"]
        .as_array()
        .unwrap()
        .iter()
        .map(|reached| (reached["milestone"].as_str().unwrap(), reached["words"].as_str().unwrap()))
        .collect();
    // From the cutaway: the trigger shifts the pilot, the spool shuts the feed neck on its way and
    // opens the store at the front, its spring brings it back, the next pellet drops in.
    for wanted in [
        ("trigger", "trigger pulled"),
        ("valve answers", "pilot shifts"),
        ("store opens to the ball", "spool opens the store"),
        ("ball leaves", "pellet leaves"),
        ("next ball in", "pellet drops in"),
        ("store full", "store is full again"),
    ] {
        assert!(told.contains(&wanted), "{wanted:?} not in {told:?}");
    }
    let place = |milestone: &str| told.iter().position(|(it, _)| *it == milestone).unwrap();
    assert!(place("store opens to the ball") < place("ball leaves"), "{told:?}");
    assert!(place("ball leaves") < place("next ball in"), "{told:?}");
    let cedar = bench("cedar");
    assert_eq!((cedar["milestones"].as_array().unwrap().len(), &cedar["circuit"]), (0, &"".into()));
}

#[test]
fn the_bench_shows_each_milestone_by_the_pose_of_the_engines_page() {
    let shot = left_by("data/bench/alder-shot.js");
    // Its cutaway has no sizes.
    assert!(shot["scale"].is_null());
    let poses = shot["poses"].as_array().unwrap();
    let page = Html::parse_document(text("engines/alder.html"));
    let events = selector(".pose-event");
    let told: Vec<String> = page.select(&events).map(|it| it.text().collect::<String>()).collect();
    assert_eq!(told.len(), poses.len());
    for reached in bench("alder")["milestones"].as_array().unwrap() {
        let at = usize::try_from(reached["pose"].as_u64().unwrap()).unwrap();
        assert!(told[at].contains(reached["words"].as_str().unwrap()), "{reached} at {}", told[at]);
        assert!(told[at].contains(poses[at]["words"].as_str().unwrap()), "{}", told[at]);
        assert!(poses[at]["picture"].as_str().unwrap().starts_with("<svg"));
    }
    assert!(!everything().contains_key("data/bench/cedar-shot.js"));
}

#[test]
fn the_bench_names_every_engine_and_each_has_its_file() {
    let page = Html::parse_document(text("bench.html"));
    let boxes = selector("#_picks input");
    let names: Vec<&str> =
        page.select(&boxes).filter_map(|input| input.value().attr("value")).collect();
    assert_eq!(names, ["alder", "birch", "cedar"]);
    for name in names {
        assert!(everything().contains_key(&format!("data/bench/{name}.js")), "{name}");
    }
    assert!(page.select(&selector("noscript")).next().is_some());
}

#[test]
fn the_table_of_engines_has_one_unit_a_column_and_sorts_by_value() {
    let page = Html::parse_document(text("engines.html"));
    let heads: Vec<String> = page.select(&selector("#_engines thead th")).map(seen).collect();
    let at = heads.iter().position(|head| head.trim() == "store volume").unwrap();
    let rows = selector("#_engines tbody tr");
    let cells: Vec<(String, f64)> = page
        .select(&rows)
        .map(|row| {
            let cell = row.select(&selector("th, td")).nth(at).unwrap();
            let figure = cell.select(&selector("data.figure")).next().unwrap();
            (seen(figure), figure.value().attr("value").unwrap().parse().unwrap())
        })
        .collect();
    // 93 cm³, 0.101 l and 93 cm³.
    assert_eq!(cells[0], ("93 cm³".to_owned(), 0.000093));
    assert_eq!(cells[1], ("101 cm³".to_owned(), 0.000101));
    assert_eq!(cells.len(), 3);
    // 101 cm³ ± 1 is told apart from 93 cm³; the two of 93 cm³ are not told apart from each other.
    let head = page.select(&selector("#_engines thead th")).nth(at).unwrap();
    let told = |way| head.value().attr(way).unwrap();
    assert_eq!(told("data-descending"), "Largest: Birch. 3 of 3 engines state it.");
    let smallest = told("data-ascending");
    assert!(smallest.contains("not told apart from ") && !smallest.contains("Birch"), "{smallest}");
}
