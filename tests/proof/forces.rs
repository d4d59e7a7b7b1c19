//! What pushes a part, worked out by hand beside what the program finds.

use super::support::{Texts, shown};
use gaugebook::folio::Folio;
use gaugebook::formula::{Outcome, Value, evaluate, parse, standard_uncertainty};
use gaugebook::quantity::Conventions;
use gaugebook::slip::{Severity, Slip};
use std::f64::consts::PI;
use std::path::Path;
use std::sync::Arc;

const CUTAWAY: &str = "\
cutaway aspen
supply bottle
regulator reg  from bottle to line
chamber rear_room  role drive   behind plug tail
chamber store      role store   around plug waist
chamber breech     role breech  in body room
valve pilot  3/2  solenoid
  rest     joins rear_room to open_air
  shifted  joins line to rear_room
  shifts   on trigger
  returns  after dwell
body
  step cap   length 6 mm
  step wide  length 40 mm  bore 20 mm ± 0.02 mm
  step slim  length 10 mm  bore 16 mm
  step room  length 30 mm  bore 18 mm
moving plug  as spool
  positions back, open
  rests     back
  face rear      in rear_room  pushes forward
  face step      in store      pushes back
  spring return  pushes back  at spring_rate  preload spring_preload
  step tail      length 2 mm    dia 19.9 mm
  groove         length 2.4 mm  floor 16.9 mm  for wide_ring
  step           length 2 mm    dia 19.9 mm
  step waist     length 30 mm   dia 9 mm
  step           length 2 mm    dia 15.9 mm
  groove         length 2.4 mm  floor 12.9 mm  for slim_ring
  step           length 2 mm    dia 15.9 mm
  place back  at 8 mm
  place open  at 25 mm from back
seal wide_ring  on plug  between rear_room and store  size -016
seal slim_ring  on plug  between store and breech     size -014  while plug before open
way metering   from line to store       narrow
way mouth      from store to breech     while plug at open
way feed_neck  from breech to open_air  while plug at back
ball pellet    in breech                fed while plug at back
barrel         from breech
fact plug.rear larger than plug.step + plug.return  (reckoned)
order pellet leaves before pilot returns  (timed)
order pilot returns before store empties  (measured)
";

const READINGS: &str = "readings:
  operating_pressure: {is: 8 bar ± 0.2 bar}
  spring_rate: {is: 2.0 N/mm}
  spring_preload: {is: 6.0 N ± 0.3 N}
";

fn folio(cutaway: &str, lines: &str) -> (Arc<Folio>, Vec<Slip>) {
    let page = format!("---\ntitle: Aspen\nengine: aspen\n{lines}---\n\nOne plug.\n");
    let mut texts = Texts { imprint: "title: Bench\n".to_owned(), ..Texts::default() };
    texts.pages.insert("content/aspen.md".to_owned(), page);
    texts.cutaways.insert("diagrams/aspen.cut".to_owned(), cutaway.to_owned());
    texts.index()
}

/// A formula worked out on the page of the engine, with its standard uncertainty.
fn value(folio: &Folio, text: &str) -> Result<(Value, f64), String> {
    let scope = folio.ledger.scope(0);
    match evaluate(&parse(text).unwrap(), &scope, &Conventions::default()) {
        Ok(Outcome::Value(value)) => {
            let uncertainty = standard_uncertainty(&value, &scope);
            Ok((value, uncertainty))
        }
        other => Err(format!("{other:?}")),
    }
}

#[track_caller]
fn assert_near(found: f64, wanted: f64) {
    assert!((found / wanted - 1.0).abs() <= 1e-9, "{found} is not {wanted}");
}

/// Area in m² of a circle, its diameter in mm.
fn circle(diameter: f64) -> f64 {
    PI / 4.0 * diameter * diameter * 1e-6
}

/// F = p · A for each room, with the areas at the bores that the rings seal against, and
/// F = F₀ + c · s for the spring: the textbook balance of forces on a stepped spool.
#[test]
fn the_forces_on_a_stepped_spool_are_those_of_the_textbook() {
    let (folio, slips) = folio(CUTAWAY, READINGS);
    assert!(slips.iter().all(|slip| slip.severity != Severity::Stop), "{}", shown(&slips));
    let si = |text: &str| value(&folio, text).unwrap().0.quantity.si.to_f64();
    let step = circle(20.0) - circle(16.0);
    // At rest: 8 bar on the step to the rear, 6 N to the rear, nothing to the front.
    assert_near(si("cut.plug.net_force"), -(8e5 * step + 6.0));
    // Fed: 8 bar on the circle of the rear bore to the front.
    let fed = 8e5 * circle(20.0) - 8e5 * step - 6.0;
    assert_near(si("cut.plug.net_force.leaves.back"), fed);
    // It lets go where the rear room carries what holds it.
    assert_near(si("cut.plug.lets_go.back.rear_room"), (8e5 * step + 6.0) / circle(20.0));
    // 25 mm at 2 N/mm more.
    assert_near(si("cut.plug.return.force"), 6.0);
    assert_near(si("cut.plug.return.force.plug.open"), 6.0 + 2.0 * 25.0);
}

/// By hand: 8 bar · 113.1 mm² = 90.5 N hold it, and what is called its spring pulls with 150 N:
/// there is no pressure above nought at which the rear room begins to win. And 500 N are more than
/// 8 bar on 314 mm² (251 N): nor is there one that the line has.
#[test]
fn no_part_lets_go_at_a_pressure_that_no_room_has() {
    for preload in ["-150 N", "500 N"] {
        let (folio, _) = folio(CUTAWAY, &READINGS.replace("6.0 N", preload));
        assert!(value(&folio, "cut.plug.net_force.leaves.back").is_ok());
        let found = value(&folio, "cut.plug.lets_go.back.rear_room");
        assert!(found.is_err(), "{found:?}");
    }
}

/// Limits count as u = a/√3 (GUM 4.3.7): 0.2 bar on the step, 0.3 N, and 0.02 mm of the rear bore
/// with π/2 · d · p, each by itself.
#[test]
fn a_net_force_has_the_uncertainty_of_what_it_rests_on() {
    let (folio, _) = folio(CUTAWAY, READINGS);
    let (_, uncertainty) = value(&folio, "cut.plug.net_force").unwrap();
    let by_pressure = 0.2e5 * (circle(20.0) - circle(16.0));
    let by_bore = PI / 2.0 * 20e-3 * 0.02e-3 * 8e5;
    let wanted = (by_pressure.powi(2) + 0.3_f64.powi(2) + by_bore.powi(2)).sqrt() / 3_f64.sqrt();
    assert_near(uncertainty, wanted);
}

/// By hand: the slim ring lies 39.6 mm in front of the plug's rear end, so at 47.6 mm, and its
/// bore ends at 56 mm. Its section, 0.070 in across, keeps touching the edge until the middle of it
/// is as far from the edge as it is thick: by Pythagoras s² = h² − (R − m)².
#[test]
fn a_ring_opens_once_its_section_has_left_the_edge() {
    let (folio, _) = folio(CUTAWAY, READINGS);
    let si = |text: &str| value(&folio, text).unwrap().0.quantity.si.to_f64();
    let half: f64 = 0.035 * 25.4;
    let middle = 12.9 / 2.0 + half;
    let beyond = (half.powi(2) - (8.0 - middle).powi(2)).sqrt();
    let wanted = (8.4 + beyond) * 1e-3;
    assert!((si("cut.plug.opens.store.breech") - wanted).abs() < 1e-7);
    assert!((si("cut.plug.opens.breech.store") - wanted).abs() < 1e-7);
    // What the place at rest and the bore's length are off by, it opens earlier or later; and what
    // the ring is thicker (AS568: 0.070 in ± 0.003 in), by ds/dh = (h + R − m)/s.
    let cutaway = CUTAWAY.replace("place back  at 8 mm", "place back  at 8 mm ± 0.3 mm");
    let cutaway = cutaway.replace("length 10 mm  bore 16", "length 10 mm ± 0.1 mm bore 16");
    let (folio, _) = self::folio(&cutaway, READINGS);
    let (_, uncertainty) = value(&folio, "cut.plug.opens.store.breech").unwrap();
    let by_section = (half + 8.0 - middle) / beyond * 0.003 / 2.0 * 25.4;
    let squares = 0.3_f64.powi(2) + 0.1_f64.powi(2) + by_section.powi(2);
    let wanted = (squares / 3.0).sqrt() * 1e-3;
    assert!((uncertainty / wanted - 1.0).abs() < 1e-3, "{uncertainty} is not {wanted}");
}

/// The store stands open to the barrel when the plug comes back: how much is left is not known.
#[test]
fn what_hangs_on_a_pressure_that_is_not_known_has_no_value() {
    let (folio, _) = folio(CUTAWAY, READINGS);
    let told = value(&folio, "cut.plug.net_force.leaves.open").unwrap_err();
    assert!(told.contains("needs the pressure of `store`"), "{told}");
    let (no_preload, _) = self::folio(&CUTAWAY.replace("  preload spring_preload", ""), READINGS);
    let told = value(&no_preload, "cut.plug.net_force").unwrap_err();
    assert!(told.contains("needs the preload of `return`"), "{told}");
    let (no_pressure, _) = self::folio(CUTAWAY, &READINGS.replace("operating", "other"));
    assert!(value(&no_pressure, "cut.plug.net_force").is_err());
    assert!(value(&no_pressure, "cut.plug.return.force").is_ok());
}

#[test]
fn a_pressure_that_rests_on_its_own_forces_is_a_loop() {
    let lines = READINGS.replace("  operating_pressure: {is: 8 bar ± 0.2 bar}\n", "")
        + "derived:\n  operating_pressure: {is: 2 * cut.plug.lets_go.back.rear_room}\n";
    let (_, slips) = folio(CUTAWAY, &lines);
    assert!(shown(&slips).contains("`operating_pressure` needs itself"), "{}", shown(&slips));
    // A pressure that rests on the geometry alone is none.
    let lines = READINGS.replace("  operating_pressure: {is: 8 bar ± 0.2 bar}\n", "")
        + "derived:\n  operating_pressure: {is: 8 bar * cut.plug.travel / 25 mm}\n";
    let (folio, slips) = folio(CUTAWAY, &lines);
    assert!(!shown(&slips).contains("needs itself"), "{}", shown(&slips));
    assert!(value(&folio, "cut.plug.net_force").is_ok());
}

/// Hazel of the demo folio by hand: 145 psi are 999.74 kPa; the rear seal runs in 18.05 mm, the
/// front one in 16.05 mm: 255.88 mm² and 202.32 mm². Store on the step: 53.55 N. With a preload of
/// 4.0 N the spool is held with 57.55 N; fed, it is pushed with 255.82 − 57.55 = 198.27 N; it lets
/// go at 57.55 N / 255.88 mm² = 224.9 kPa, which is 32.6 psi.
#[test]
fn hazel_is_held_and_let_go_as_reckoned_by_hand() {
    let folio = Texts::load(Path::new(env!("CARGO_MANIFEST_DIR"))).index().0;
    let sheet = folio.ledger.sheets.iter();
    let at = sheet.clone().position(|sheet| sheet.engine.as_deref() == Some("hazel")).unwrap();
    let scope = folio.ledger.scope(at);
    let si = |text: &str| match evaluate(&parse(text).unwrap(), &scope, &Conventions::default()) {
        Ok(Outcome::Value(value)) => value.quantity.si.to_f64(),
        other => panic!("{text}: {other:?}"),
    };
    let close = |found: f64, wanted: f64, off: f64| {
        assert!((found - wanted).abs() <= off, "{found} is not {wanted}");
    };
    close(si("cut.spool.net_force"), -57.55, 0.006);
    close(si("cut.spool.net_force.leaves.back"), 198.27, 0.006);
    close(si("cut.spool.lets_go.back.rear_room"), 224.9e3, 60.0);
    // 4.0 N, and 0.90 N/mm over 28.4 mm.
    close(si("cut.spool.return.force.spool.front"), 4.0 + 0.9 * 28.4, 0.02);
}

/// The slips of Aspen's drawing that stop, told, once something is replaced in it.
fn told(was: &str, now: &str, lines: &str) -> String {
    assert!(CUTAWAY.contains(was), "{was}");
    let (_, slips) = folio(&CUTAWAY.replace(was, now), &format!("{READINGS}{lines}"));
    let stops = slips.into_iter().filter(|slip| slip.severity == Severity::Stop);
    shown(&stops.collect::<Vec<_>>())
}

/// The steps by hand: 2 + 2.4 + 2 + 30 + 2 + 2.4 + 2 = 42.8 mm.
#[test]
fn the_length_of_a_part_is_the_sum_of_its_steps() {
    assert_eq!(told("", "", "  plug_length: 42.8 mm ± 0.1 mm\n"), "");
    let text = told("", "", "  plug_length: 43.8 mm ± 0.1 mm\n");
    assert!(text.contains("drawing-disagrees") && text.contains("another length"), "{text}");
}

/// By hand the plug has some 3.9 cm³: 30 mm of 9 mm, 4 mm of 19.9 mm and of 15.9 mm, and what the
/// grooves leave; of aluminium (2.7 g/cm³) it weighs 12 g.
#[test]
fn a_mass_that_no_metal_has_is_told() {
    let (folio, _) = folio(CUTAWAY, READINGS);
    let volume = value(&folio, "cut.plug.volume").unwrap().0.quantity.si.to_f64();
    let rods = 30.0 * circle(9.0) + 4.0 * circle(19.9) + 4.0 * circle(15.9);
    let grooves = 2.4 * circle(16.9) + 2.4 * circle(12.9);
    assert_near(volume, (rods + grooves) * 1e-3);
    assert_eq!(told("", "", "  plug_mass: 12.4 g ± 0.5 g\n"), "");
    let text = told("", "", "  plug_mass: 124 g ± 5 g\n");
    assert!(text.contains("drawing-disagrees") && text.contains("parts are made of"), "{text}");
}

#[test]
fn a_ring_that_its_groove_has_no_room_for_is_told() {
    // 0.070 in are 1.78 mm.
    let text = told("length 2.4 mm  floor 16.9 mm", "length 1.6 mm  floor 16.9 mm", "");
    assert!(text.contains("`wide_ring` is thicker than its groove is wide"), "{text}");
    // Wide enough, and too shallow: 2.483 mm² of rubber in 1.9 mm by 1.05 mm.
    let shallow = told("length 2.4 mm  floor 16.9 mm", "length 1.9 mm  floor 17.9 mm", "");
    assert!(shallow.contains("`wide_ring` fills 124 % of the room"), "{shallow}");
}

/// The ring leaves its bore 8.99 mm in front of rest, by the arithmetic above.
#[test]
fn a_way_that_is_said_open_and_is_still_shut_is_told() {
    let text = told("place open  at 25 mm from back", "place open  at 8.7 mm from back", "");
    assert!(text.contains("`mouth` is still shut with `plug` at `open`"), "{text}");
    assert!(text.contains("it opens 0.29 mm further on"), "{text}");
    assert_eq!(told("place open  at 25 mm from back", "place open  at 9.3 mm from back", ""), "");
}
