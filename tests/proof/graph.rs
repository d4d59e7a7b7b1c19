//! Pages and cutaways that name each other: one graph, whose loops are told as paths.

use super::support::{Texts, shown};

const CUTAWAY: &str = "\
cutaway linden
supply line  at line_pressure
chamber rear_room  role drive
chamber store      role store
chamber breech     role breech
valve pilot  3/2  solenoid
  rest     joins rear_room to open_air
  shifted  joins line to rear_room
  shifts   on trigger
  returns  after dwell
moving spool  as spool
  positions back, sealed, open
  rests     back
  face rear      in rear_room  pushes forward
  face step      in store      pushes back
  spring return  pushes back
way metering   from line to store       narrow
way mouth      from store to breech     while spool at open
way feed_neck  from breech to open_air  while spool at back
seal nose    between store and breech  while spool at sealed
seal tail    between rear_room and open_air
ball pellet    in breech                fed while spool at back
barrel         from breech
fact spool.rear larger than spool.step + spool.return  (reckoned)
order pellet leaves before pilot returns  (timed)
order pilot returns before store empties  (measured)
";

/// The slips of a folio with one engine, whose page has these lines in its front matter.
fn slips(lines: &str) -> String {
    slips_with(CUTAWAY, lines)
}

fn slips_with(cutaway: &str, lines: &str) -> String {
    let page = format!(
        "---\ntitle: Linden\nengine: linden\nsources: {{b: {{kind: measured}}}}\n\
         readings_from: b\n{lines}---\n\nLinden is apart.\n"
    );
    let texts = Texts {
        pages: [("content/linden.md".to_owned(), page)].into(),
        imprint: "title: A folio\npressure: gauge\nambient: 101.325 kPa\n".to_owned(),
        cutaways: [("diagrams/linden.cut".to_owned(), cutaway.to_owned())].into(),
        ..Texts::default()
    };
    let (folio, mut slips) = texts.index();
    slips.extend(texts.judge(&folio, "content/linden.md").slips);
    shown(&slips)
}

const PRESSURE: &str = "readings: {line_pressure: 8 bar ± 0.5 bar}\n";

fn claim(holds: &str) -> String {
    slips(&format!("{PRESSURE}claims:\n  - {{say: It is so., holds: \"{holds}\"}}\n"))
}

#[test]
fn a_formula_names_what_a_cutaway_counts() {
    assert_eq!(claim("cut.seals.count = 2 and cut.ways.count = 3 and cut.parts.count = 1"), "");
    assert_eq!(claim("linden.cut.chambers.count = 4 and cut.valves.count = 1"), "");
    assert!(claim("cut.seals.count = 3").contains("claim-false"));
}

#[test]
fn a_name_that_no_cutaway_has_is_told() {
    let told = claim("cut.sealz.count = 2");
    assert!(told.contains("unknown-name") && told.contains("`cut.seals.count`"), "{told}");
    assert!(claim("cut.attic.volume > 1 cm³").contains("unknown-name"));
    let told = claim("cut.store.volume > 1 cm³");
    assert!(told.contains("claim-undecided") && told.contains("dimensioned cutaway"), "{told}");
    let told = claim("cycle.rate > 1 Hz");
    assert!(told.contains("claim-undecided") && told.contains("simulated cycle"), "{told}");
}

#[test]
fn what_is_drawn_at_a_reading_is_that_reading() {
    assert_eq!(claim("cut.line.pressure > 7 bar"), "");
    // Its ± is the reading's: ± 0.5 bar reaches 8.4 bar, and against itself it reaches nothing.
    assert!(claim("cut.line.pressure < 8.4 bar").contains("claim-uncertain"));
    assert_eq!(claim("cut.line.pressure - line_pressure < 0.01 bar"), "");
}

#[test]
fn a_loop_through_a_cutaway_is_told_once_as_a_path() {
    let told = slips(
        "derived:\n  line_pressure: cut.line.pressure * 1\n  \
         gauge_limit: line_pressure * 2\n  other_limit: cut.line.pressure * 2\n",
    );
    assert!(
        told.contains(
            "`line_pressure` needs itself: line_pressure → cut.line.pressure → line_pressure"
        ),
        "{told}"
    );
    assert_eq!(told.matches("(stops publishing)").count(), 1, "{told}");
}

#[test]
fn a_cutaway_names_readings_that_are_there() {
    assert_eq!(slips(PRESSURE), "");
    let told = slips("readings: {line_presure: 8 bar}\n");
    assert!(told.starts_with("diagrams/linden.cut:2:17  unknown-name"), "{told}");
    assert!(told.contains("did you mean `line_presure`?"), "{told}");
    let told = slips("readings: {line_pressure: 8 mm}\n");
    assert!(told.starts_with("diagrams/linden.cut:2:17  other-kind-wanted"), "{told}");
}

#[test]
fn readings_are_borrowed_through_several_engines() {
    let page = |name: &str, bore: &str, more: &str| {
        let text = format!(
            "---\ntitle: {name}\nengine: {name}\nsources: {{b: {{kind: measured}}}}\n\
             readings_from: b\nreadings: {{bore: {bore}}}\n{more}---\n\nIt is apart.\n"
        );
        (format!("content/{name}.md"), text)
    };
    let claim = "claims:\n  - {say: It is so., holds: bore > 1.2 mm}\n";
    let told = |third: &str| {
        let pages = [
            page("alder", third, ""),
            page("birch", "{like: alder}", ""),
            page("cedar", "{like: birch}", claim),
        ];
        let texts = Texts {
            pages: pages.into(),
            imprint: "title: A folio\npressure: gauge\n".to_owned(),
            ..Texts::default()
        };
        let (folio, mut slips) = texts.index();
        slips.extend(texts.judge(&folio, "content/cedar.md").slips);
        slips.retain(|slip| slip.code != "reading-unused");
        shown(&slips)
    };
    assert!(told("1.10 mm").contains("claim-false"), "{}", told("1.10 mm"));
    assert_eq!(told("1.40 mm"), "");
    let looped = told("{like: cedar}");
    assert!(looped.contains("alder") && looped.contains("formula-loop"), "{looped}");
}

#[test]
fn a_chain_of_formulas_may_be_long_but_not_endless() {
    let chain = |links: usize| {
        let mut lines = String::from("readings: {line_pressure: 8 bar}\nderived:\n");
        for at in (1..=links).rev() {
            lines.push_str(&format!("  p{at:04}x: p{:04}x * 1\n", at - 1));
        }
        lines.push_str("  p0000x: line_pressure * 1\n");
        slips(&lines)
    };
    assert_eq!(chain(199), "");
    let told = chain(2_500);
    assert!(told.contains("rests on a chain of more than 200 formulas"), "{told}");
    assert_eq!(told.matches("(stops publishing)").count(), 1, "{told}");
}

#[test]
fn a_fact_that_compares_with_another_engine_is_judged_by_both_pages() {
    let page = |engine: &str, bore: &str| {
        format!(
            "---\ntitle: {engine}\nengine: {engine}\nsources: {{b: {{kind: measured}}}}\n\
             readings_from: b\nreadings: {{jet: {bore}}}\n---\n\nIt is apart.\n"
        )
    };
    let cutaway = |engine: &str, fact: &str| {
        format!(
            "cutaway {engine}\nsupply line\nchamber store  role store\n\
             way jet  from line to store  narrow  at jet\n{fact}"
        )
    };
    let told = |bore: &str| {
        let pages = [("alpine", bore), ("whitebeam", "0.90 mm ± 0.02 mm")];
        let texts = Texts {
            pages: pages
                .iter()
                .map(|(engine, bore)| (format!("content/{engine}.md"), page(engine, bore)))
                .collect(),
            imprint: "title: A folio\npressure: gauge\nambient: 101.325 kPa\n".to_owned(),
            cutaways: [
                (
                    "diagrams/alpine.cut".to_owned(),
                    cutaway("alpine", "fact jet narrower than whitebeam.jet  (measured)\n"),
                ),
                ("diagrams/whitebeam.cut".to_owned(), cutaway("whitebeam", "")),
            ]
            .into(),
            ..Texts::default()
        };
        shown(&texts.index().1)
    };
    assert!(told("1.40 mm ± 0.02 mm").contains("fact-refuted"));
    assert!(told("0.92 mm ± 0.02 mm").contains("fact-refuted"));
    assert!(told("0.89 mm ± 0.02 mm").contains("fact-uncertain"));
    assert!(!told("0.80 mm ± 0.02 mm").contains("fact-"));
}

#[test]
fn a_way_at_a_reading_that_is_not_there_or_no_bore_is_told() {
    let at = |reading: &str| {
        let way = format!("way metering   from line to store  narrow  at {reading}\n");
        let old = "way metering   from line to store       narrow\n";
        slips_with(&CUTAWAY.replace(old, &way), PRESSURE)
    };
    assert!(at("no_such_reading").contains("unknown-name"));
    let told = at("line_pressure");
    assert!(told.contains("other-kind-wanted") && told.contains("diameter or area"), "{told}");
}
