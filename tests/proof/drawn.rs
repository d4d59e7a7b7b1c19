//! Sizes in cutaways as figures: what they come to, with its ±, and which sentences are wrong once
//! a size is another one.

use super::support::{Texts, shown};
use gaugebook::folio::Folio;
use gaugebook::formula::{Outcome, Value, evaluate, parse, standard_uncertainty};
use gaugebook::quantity::Conventions;
use gaugebook::slip::{Severity, Slip};
use std::f64::consts::PI;
use std::path::Path;
use std::sync::Arc;

const CUTAWAY: &str = "\
cutaway linden
supply line
chamber rear_room  role drive   behind spool land
chamber store      role store   around spool waist
chamber breech     role breech
valve pilot  3/2  solenoid
  rest     joins rear_room to open_air
  shifted  joins line to rear_room
  shifts   on trigger
  returns  after dwell
body
  step cap   length 8 mm
  step wall  length 90 mm  bore 20 mm ± 0.1 mm
moving spool  as spool
  positions back, sealed, open
  rests     back
  face rear      in rear_room  pushes forward
  face step      in store      pushes back
  spring return  pushes back
  step land      length 2 mm    dia 19.9 mm
  groove         length 2.4 mm  floor 16.9 mm  for tail
  step           length 2 mm    dia 19.9 mm
  step waist     length 20 mm   dia 9 mm
  step           length 2 mm    dia 19.9 mm
  groove         length 2.4 mm  floor 16.9 mm  for nose
  step           length 2 mm    dia 19.9 mm
  place back  at 30 mm ± 0.2 mm
seal tail  on spool  between rear_room and store  size -016
seal nose  on spool  between store and breech     size -016  while spool before open
way metering   from line to store       narrow
way mouth      from store to breech     while spool at open
way feed_neck  from breech to open_air  while spool at back
ball pellet    in breech                fed while spool at back
barrel         from breech
fact spool.rear larger than spool.step + spool.return  (reckoned)
order pellet leaves before pilot returns  (timed)
order pilot returns before store empties  (measured)
";

fn folio(cutaway: &str, lines: &str) -> (Arc<Folio>, Vec<Slip>) {
    let page = format!("---\ntitle: Linden\nengine: linden\n{lines}---\n\nOne spool.\n");
    let mut texts = Texts { imprint: "title: Bench\n".to_owned(), ..Texts::default() };
    texts.pages.insert("content/linden.md".to_owned(), page);
    texts.cutaways.insert("diagrams/linden.cut".to_owned(), cutaway.to_owned());
    texts.index()
}

/// A formula worked out on the page of the engine, with its standard uncertainty.
fn value(folio: &Folio, text: &str) -> Option<(Value, f64)> {
    let scope = folio.ledger.scope(0);
    match evaluate(&parse(text).unwrap(), &scope, &Conventions::default()) {
        Ok(Outcome::Value(value)) => {
            let uncertainty = standard_uncertainty(&value, &scope);
            Some((value, uncertainty))
        }
        _ => None,
    }
}

#[track_caller]
fn assert_near(found: f64, wanted: f64, share: f64) {
    assert!((found / wanted - 1.0).abs() <= share, "{found} is not {wanted}");
}

/// By hand: the room is a cylinder of 22 mm, and half a land's gap. Limits count as u = a/√3 (GUM
/// 4.3.7), and what does not hang together adds as squares (GUM 5.1.2).
#[test]
fn a_volume_has_the_uncertainty_of_its_sizes() {
    let (folio, slips) = folio(CUTAWAY, "");
    assert!(slips.iter().all(|slip| slip.severity != Severity::Stop), "{}", shown(&slips));
    let (volume, uncertainty) = value(&folio, "cut.rear_room.volume").unwrap();
    let area = |diameter: f64| PI / 4.0 * diameter * diameter;
    let wanted = area(20.0) * 22.0 + (area(20.0) - area(19.9)) * 3.2;
    assert_near(volume.quantity.si.to_f64(), wanted * 1e-9, 1e-12);
    let by_bore = PI / 2.0 * 20.0 * (22.0 + 3.2) * 0.1;
    let by_place = area(20.0) * 0.2;
    let wanted = hypotenuse(by_bore, by_place) / 3.0_f64.sqrt();
    assert_near(uncertainty, wanted * 1e-9, 1e-9);
    // One bore behind and in front: what the store pushes cancels, whatever the bore.
    let (area, uncertainty) = value(&folio, "cut.spool.area.store").unwrap();
    assert!(area.quantity.si.to_f64().abs() < 1e-15 && uncertainty < 1e-15);
    // The squeeze, by the trade's formula: 1 − (bore − floor) / (2 · section).
    let (squeeze, _) = value(&folio, "cut.tail.squeeze").unwrap();
    assert_near(squeeze.quantity.si.to_f64(), 1.0 - 3.1 / (2.0 * 0.070 * 25.4), 1e-12);
}

fn hypotenuse(a: f64, b: f64) -> f64 {
    (a * a + b * b).sqrt()
}

/// Where a part is placed on a step it seats: shut, the bore's circle is pushed; open, the curtain
/// π d L (as for a flat valve) parts the rooms.
#[test]
fn a_part_that_sits_on_an_edge_parts_two_rooms() {
    let cutaway = "\
cutaway linden
chamber high  in body inlet
chamber low   in body outlet
body
  step cap     length 3 mm
  step inlet   length 20 mm  bore 8 mm
  step outlet  length 40 mm  bore 24 mm
  step end     length 3 mm
moving poppet  as poppet
  positions shut, open
  rests shut
  face disc    in high  pushes forward
  spring keep  pushes back
  step disc  length 5 mm  dia 14 mm
  place shut  with disc on inlet  sealing 8 mm
  place open  at 1 mm from shut
way mouth  from high to low  while poppet at open
";
    let (folio, slips) = folio(cutaway, "");
    let told = shown(&slips);
    assert!(!told.contains("drawing-impossible"), "{told}");
    let si = |text: &str| value(&folio, text).unwrap().0.quantity.si.to_f64();
    assert_near(si("cut.poppet.disc.area"), PI * 16.0 * 1e-6, 1e-12);
    assert!(si("cut.high.opening.low").abs() < 1e-15);
    assert_near(si("cut.high.opening.low.poppet.open"), PI * 8.0 * 1e-6, 1e-9);
    assert_near(si("cut.low.opening.high.poppet.open"), PI * 8.0 * 1e-6, 1e-9);
    // A ring in the face at 10 mm: the pressure acts on its circle.
    let area = |line: &str| {
        let text = cutaway.replace("  place shut  with disc on inlet  sealing 8 mm\n", line);
        let (folio, slips) = self::folio(&text, "");
        (value(&folio, "cut.poppet.disc.area"), shown(&slips))
    };
    let (ring, _) = area("  place shut  with disc on inlet  sealing 10 mm ± 0.2 mm\n");
    let (ring, uncertainty) = ring.unwrap();
    assert_near(ring.quantity.si.to_f64(), PI * 25.0 * 1e-6, 1e-12);
    assert_near(uncertainty, PI * 5.0 * 0.2 / 3.0_f64.sqrt() * 1e-6, 1e-9);
    // Flat on flat it seals anywhere from the bore to the rim of the disc, 8 mm to 14 mm: at 11 mm,
    // give or take 3 mm.
    let (open, _) = area("  place shut  with disc on inlet\n");
    let (open, uncertainty) = open.unwrap();
    assert_near(open.quantity.si.to_f64(), PI * 30.25 * 1e-6, 1e-12);
    assert_near(uncertainty, PI * 5.5 * 3.0 / 3.0_f64.sqrt() * 1e-6, 1e-9);
    let (_, told) = area("  place shut  with disc on inlet  sealing 15 mm\n");
    assert!(told.contains("meet between 8.00 mm and 14.00 mm of diameter"), "{told}");
}

/// The middle of a hole of a way, 1.5 mm, at the line of a ring, 30 + 2 + 1.2 = 33.2 mm: under the
/// land with its clearance of 0.05 mm half of the rim lies on either side, and π/2 · 1.5 · 0.05 mm²
/// are open to each room. So these are joined past the ring, which is told; in front of the land
/// all of the hole is open, π/4 · 1.5².
#[test]
fn a_ring_that_stands_over_the_hole_of_a_way_is_told() {
    let wall = "  step wall  length 90 mm  bore 20 mm ± 0.1 mm\n";
    let drilled = |at: &str| {
        let hole = format!("{wall}  hole 1.5 mm at {at} for metering\n");
        folio(&CUTAWAY.replace(wall, &hole), "")
    };
    let opening = |folio: &Folio, name: &str| value(folio, name).unwrap().0.quantity.si.to_f64();
    let (over, slips) = drilled("33.2 mm");
    assert_near(opening(&over, "cut.metering.opening"), PI * 0.75 * 0.05 * 1e-6, 1e-9);
    let told =
        "`rear_room` and `store` stand open to each other (0.1 mm²), and no way says so, at rest";
    assert!(shown(&slips).contains(told), "{}", shown(&slips));
    let (free, slips) = drilled("45 mm");
    for name in ["cut.metering.opening", "cut.line.opening.store", "cut.metering.area"] {
        assert_near(opening(&free, name), PI * 0.75 * 0.75 * 1e-6, 1e-9);
    }
    assert!(!shown(&slips).contains("drawing-impossible"), "{}", shown(&slips));
}

/// Two holes beside each other pass as much as both, π/4 · 2 d²; of the two ends of a way in two
/// tubes the narrower counts.
#[test]
fn the_hole_of_a_way_has_an_area_and_opens_no_room_to_the_open_air() {
    let drilled = |lines: &str| {
        let wall = "  step wall  length 90 mm  bore 20 mm ± 0.1 mm\n";
        CUTAWAY.replace(wall, &format!("{wall}{lines}"))
    };
    let text = drilled("  hole 1.5 mm ± 0.1 mm at 50 mm times 2 for metering\n");
    let (folio_one, slips) = folio(&text, "");
    let told = shown(&slips);
    assert!(!told.contains("drawing-impossible"), "{told}");
    let (area, uncertainty) = value(&folio_one, "cut.metering.area").unwrap();
    assert_near(area.quantity.si.to_f64(), PI / 2.0 * 1.5 * 1.5 * 1e-6, 1e-12);
    assert_near(uncertainty, PI * 1.5 * 0.1 / 3.0_f64.sqrt() * 1e-6, 1e-9);
    assert!(
        value(&folio_one, "cut.store.opening.open_air").unwrap().0.quantity.si.to_f64() < 1e-15
    );
    let text = drilled(
        "  hole 3 mm at 50 mm for metering\n  tube side  at 0 mm\n  step  length 20 mm  bore 9 mm\n  \
         hole 2 mm at 10 mm for metering\n",
    );
    let (folio_two, _) = folio(&format!("{text}axis side: line\n"), "");
    let (area, _) = value(&folio_two, "cut.metering.area").unwrap();
    assert_near(area.quantity.si.to_f64(), PI * 1e-6, 1e-12);
    let text =
        CUTAWAY.replace("  place back  at", "  hole 1 mm at 12 mm for metering\n  place back  at");
    let (_, slips) = folio(&text, "");
    assert!(shown(&slips).contains("drill the hole of this way in the body"), "{}", shown(&slips));
}

#[test]
fn a_place_on_the_wrong_side_is_told_in_words_of_the_bench() {
    let told = |cutaway: String| shown(&folio(&cutaway, "").1);
    let placed = |line: &str| CUTAWAY.replace("  place back  at 30 mm ± 0.2 mm\n", line);
    let text = told(placed("  place back  with waist on wall\n"));
    assert!(text.contains("these two steps pass each other and never meet"), "{text}");
    assert!(text.contains("the rear of the first meets the front of the second"), "{text}");
    let text = told(placed("  place back  at 30 mm\n  place sealed  at 26 mm\n"));
    assert!(text.contains("`sealed` lies 4.00 mm behind `back`"), "{text}");
    let wall = "  step wall  length 90 mm  bore 20 mm ± 0.1 mm\n";
    let drilled =
        |at: &str| CUTAWAY.replace(wall, &format!("{wall}  hole 1 mm at {at} for metering\n"));
    let text = told(drilled("20 mm"));
    let astray = "the hole of `metering` opens into `rear_room`, not into `store`";
    assert!(text.contains(astray), "{text}");
    assert!(told(drilled("4 mm")).contains("does not open into `store`"));
    assert!(!told(drilled("45 mm")).contains("the hole of"));
}

#[test]
fn what_is_not_known_leaves_open_only_what_rests_on_it() {
    let cutaway = CUTAWAY.replace("length 20 mm   dia 9 mm", "length unknown dia 9 mm");
    let (folio, _) = folio(&cutaway, "");
    assert!(value(&folio, "cut.rear_room.volume").is_some());
    assert!(value(&folio, "cut.store.volume").is_none());
    let scope = folio.ledger.scope(0);
    let formula = parse("cut.store.volume").unwrap();
    let fault = evaluate(&formula, &scope, &Conventions::default()).unwrap_err();
    let told = format!("{fault:?}");
    assert!(told.contains("needs the length of `waist` of `spool`"), "{told}");
}

/// A stem through two rings in a block with an insert, of which nothing is measured.
const BLANKS: &str = "\
cutaway linden
chamber high  role store  in body well
chamber low   in body cave
moving poppet  as poppet
  positions shut, open
  rests shut
  face disc    in high  pushes back
  spring keep  pushes back
  step tail  length unknown  dia unknown
  step disc  length unknown  dia unknown
  step stem  length unknown  dia unknown
  place shut  with disc on cave
  place open  at unknown from shut
seal low_seal   in body  between low and open_air   size -007
seal high_seal  in body  between high and open_air  size -011
body
  step guide   length unknown  bore unknown
  groove       length unknown  floor unknown  for low_seal
  step guide2  length unknown  bore unknown
  step cave    length unknown  bore unknown
  step well    length unknown  bore unknown
  step mouth   length unknown  bore unknown
  insert plug with plug1 on mouth
  step plug1   length unknown  dia unknown  bore unknown
  groove       length unknown  floor unknown  for high_seal
  step plug2   length unknown  dia unknown  bore unknown
way mouth_way  from high to low  while poppet at open
";

#[test]
fn what_rests_on_a_blank_is_neither_judged_nor_told_as_measured() {
    let without_insert = BLANKS.replace("  insert plug with plug1 on mouth\n", "");
    let placed =
        BLANKS.replace("with disc on cave", "at 1 mm").replace("with plug1 on mouth", "at unknown");
    for cutaway in [BLANKS.to_owned(), without_insert, placed] {
        let (folio, slips) = folio(&cutaway, "");
        let told = shown(&slips);
        assert!(slips.iter().all(|slip| slip.severity != Severity::Stop), "{told}");
        assert!(told.contains("cannot be said until the length of `guide` of the body"), "{told}");
        for result in ["cut.high.opening.low", "cut.low.opening.open_air", "cut.high.volume"] {
            assert!(value(&folio, result).is_none(), "{result}");
        }
    }
}

#[test]
fn what_overlaps_by_measured_sizes_is_told_beside_blanks() {
    let blank = CUTAWAY.replace("length 90 mm  bore 20 mm ± 0.1 mm", "length 90 mm  bore 19.8 mm");
    let blank = blank.replace("length 20 mm   dia 9 mm", "length unknown dia 9 mm");
    let (_, slips) = folio(&blank, "");
    let told = shown(&slips);
    assert!(told.contains("`spool` and the body are in each other"), "{told}");
    // The front lands lie where the blank puts them, and the rear ones still overlap.
    let (_, slips) = folio(&blank.replace("at 30 mm ± 0.2 mm", "at unknown"), "");
    assert!(slips.iter().all(|slip| slip.severity != Severity::Stop), "{}", shown(&slips));
}

#[test]
fn an_estimate_counts_with_its_own_width() {
    let cutaway = CUTAWAY.replace("bore 20 mm ± 0.1 mm", "bore 20 mm");
    let cutaway = cutaway.replace("at 30 mm ± 0.2 mm", "at ~30 mm");
    let (folio, _) = folio(&cutaway, "");
    let (_, uncertainty) = value(&folio, "cut.rear_room.volume").unwrap();
    assert_near(uncertainty, PI / 4.0 * 400.0 * 3.0 / 3.0_f64.sqrt() * 1e-9, 1e-9);
}

#[test]
fn a_size_that_needs_itself_is_told_as_a_path() {
    let cutaway = CUTAWAY.replace("at 30 mm ± 0.2 mm", "at depth");
    let lines = "derived:\n  depth: {is: cut.rear_room.volume / circle_area(20 mm)}\n";
    let (_, slips) = folio(&cutaway, lines);
    let told = shown(&slips);
    assert!(told.contains("`depth` needs itself: depth → cut.rear_room.volume → depth"), "{told}");
}

#[test]
fn a_fact_that_the_sizes_refute_is_told() {
    let fact = "fact spool.rear larger than spool.step + spool.return  (reckoned)";
    let more = format!("{fact}\nfact store larger than rear_room  (seen)");
    let cutaway = CUTAWAY.replace(fact, &more);
    let (_, slips) = folio(&cutaway, "");
    let told = shown(&slips);
    assert!(told.contains("fact-refuted"), "{told}");
    let cutaway = cutaway.replace("length 20 mm   dia 9 mm", "length 45 mm   dia 9 mm");
    let (_, slips) = folio(&cutaway, "");
    assert!(!shown(&slips).contains("fact-refuted"), "{}", shown(&slips));
}

/// A piston of 20 mm under 6 bar pushes 188 N; its spring 30 N behind and 30 N + 10 mm · 2 N/mm in
/// front, so that the one is the larger wherever it stands.
const PISTON: &str = "\
cutaway alder
supply line  at operating_pressure
chamber drive  role drive  behind piston head
valve pilot  3/2  solenoid
  rest     joins drive to open_air
  shifted  joins line to drive
  shifts   on trigger
  returns  after dwell
body
  step cap   length 8 mm
  step wall  length 60 mm  bore 20 mm ± 0.1 mm
moving piston  as piston
  positions back, front
  rests     back
  face crown     in drive  pushes forward
  spring return  pushes back  at coil preload set
  step head      length 4 mm    dia 19.9 mm
  groove         length 2.4 mm  floor 16.9 mm  for ring
  step skirt     length 4 mm    dia 19.9 mm
  place back   at 12 mm ± 0.2 mm
  place front  at 10 mm ± 0.1 mm from back
seal ring  on piston  between drive and open_air  size -016
";

fn piston(fact: &str, set: &str) -> (Arc<Folio>, Vec<Slip>) {
    piston_of(&format!("{PISTON}{fact}\n"), set)
}

fn piston_of(cutaway: &str, set: &str) -> (Arc<Folio>, Vec<Slip>) {
    let lines = format!(
        "readings:\n  operating_pressure: 6 bar ± 0.2 bar\n  coil: 2 N/mm ± 0.1 N/mm\n  set: {set}\n\
         readings_from: bench\nsources:\n  bench: {{kind: measured, with: scale, on: 2026-05-02}}\n"
    );
    let page = format!("---\ntitle: Alder\nengine: alder\n{lines}---\n\nOne piston.\n");
    let mut texts = Texts { imprint: "title: Bench\n".to_owned(), ..Texts::default() };
    texts.pages.insert("content/alder.md".to_owned(), page);
    texts.cutaways.insert("diagrams/alder.cut".to_owned(), cutaway.to_owned());
    texts.index()
}

#[test]
fn a_fact_of_a_face_against_a_spring_is_held_against_the_drawing() {
    let told = |fact: &str, set: &str| shown(&piston(fact, set).1);
    let wrong = "fact piston.return larger than piston.crown  (reckoned)";
    let right = "fact piston.crown larger than piston.return  (reckoned)";
    assert!(told(wrong, "30 N ± 2 N").contains("fact-refuted"), "{}", told(wrong, "30 N ± 2 N"));
    assert!(!told(right, "30 N ± 2 N").contains("fact-refuted"));
    // 178 N behind and 198 N in front: it is so in one place.
    assert!(!told(wrong, "178 N ± 1 N").contains("fact-refuted"));
    assert!(!told(right, "178 N ± 1 N").contains("fact-refuted"));
    // Within the ±.
    assert!(!told(right, "190 N ± 30 N").contains("fact-refuted"));
}

/// Parts that no lathe makes, each one change in a drawing that has none of these slips.
#[test]
fn a_part_that_cannot_be_made_is_told() {
    let hollow = PISTON.replace("dia 19.9 mm", "dia 19.9 mm  bore 8 mm");
    let told = |was: &str, now: &str, set: &str| {
        assert!(hollow.contains(was), "{was}");
        shown(&piston_of(&hollow.replace(was, now), set).1)
    };
    let good = told("coil", "coil", "30 N");
    assert!(!good.contains("drawing-impossible"), "{good}");
    for (was, now, set, wanted) in [
        ("bore 8 mm", "bore 17.2 mm", "30 N", "in two pieces"),
        // Within the ±.
        ("bore 8 mm", "bore 17.2 mm ± 0.5 mm", "30 N", ""),
        (
            "seal ring  on",
            "seal ring  on",
            "-45 N ± 1 N",
            "the return spring would push the other way",
        ),
        (
            "  place back ",
            "  hole 21 mm at 2 mm\n  place back ",
            "30 N",
            "this hole of 21.00 mm is wider",
        ),
        ("  place back ", "  hole 3 mm at 2 mm\n  place back ", "30 N", ""),
    ] {
        let told = told(was, now, set);
        let is_told = told.contains("in two pieces")
            || told.contains("the other way")
            || told.contains("is wider than");
        assert_eq!(is_told, !wanted.is_empty(), "{now}: {told}");
        assert!(told.contains(wanted), "{now}: {told}");
    }
}

/// What waits in a drawing with sizes says for what, and not for a drawing.
#[test]
fn what_the_drawing_does_not_show_is_named() {
    let more = "seal lip  on spool  between store and breech  size -012\nway mouth";
    let cutaway = CUTAWAY.replace("way mouth", more);
    let (folio, _) = folio(&cutaway, "");
    for (figure, wanted) in [
        ("cut.lip.squeeze", "needs a `groove` in the drawing `for lip`"),
        ("cut.metering.area", "needs a `hole` in the drawing `for metering`"),
        ("cut.breech.volume", "in` a step where `breech` lies"),
        ("cut.spool.opens.store.rear_room", "needs a stroke of `spool`"),
    ] {
        let scope = folio.ledger.scope(0);
        let told = evaluate(&parse(figure).unwrap(), &scope, &Conventions::default());
        let told = format!("{told:?}");
        assert!(told.contains(wanted), "{figure}: {told}");
    }
}

/// A hole across of 3 mm at 24 mm of the bolt, whose rear end stands at 12 mm, begins to pass the
/// edge at 43 mm once its front rim is there: 43 − (12 + 24 + 1.5) = 5.5 mm from rest, and by half
/// of its diameter less for a wider one. With its middle at the edge half of it is open:
/// π/8 · 3² = 3.534 mm².
#[test]
fn a_hole_across_opens_by_its_segment() {
    let cutaway = "\
cutaway linden
chamber high  in body inlet
chamber low   in body outlet
body
  step cap     length 3 mm
  step inlet   length 20 mm  bore 8 mm
  step guide   length 20 mm  bore 8 mm
  step outlet  length 40 mm  bore 24 mm
  step end     length 3 mm
moving bolt  as spool
  positions shut, half, open
  rests shut
  spring keep  pushes back
  step tube  length 4 mm   dia 8 mm  bore 5 mm
  step tip   length 26 mm  dia 8 mm  bore 5 mm
  step plug  length 4 mm   dia 8 mm
  hole 3 mm ± 0.2 mm at 24 mm
  place shut  at 12 mm
  place half  at 7 mm from shut
  place open  at 15 mm from shut
way mouth  from high to low  while bolt from half
";
    let (folio, slips) = folio(cutaway, "");
    assert!(!shown(&slips).contains("drawing-impossible"), "{}", shown(&slips));
    let (way, uncertainty) = value(&folio, "cut.bolt.opens.high.low").unwrap();
    assert_near(way.quantity.si.to_f64(), 5.5e-3, 1e-4);
    assert_near(uncertainty, 0.1e-3 / 3.0_f64.sqrt(), 1e-2);
    let half = value(&folio, "cut.high.opening.low.bolt.half").unwrap().0;
    assert_near(half.quantity.si.to_f64(), PI / 8.0 * 9.0 * 1e-6, 1e-9);
}

#[test]
fn what_cancels_is_nought() {
    let (folio, _) = folio(CUTAWAY, "");
    assert!(value(&folio, "cut.spool.area.store").unwrap().0.quantity.si.to_f64() == 0.0);
}

#[test]
fn a_drawing_of_more_steps_than_any_engine_has_is_told_and_not_worked_out() {
    let step = "  step           length 2 mm    dia 19.9 mm\n";
    let cutaway = CUTAWAY.replacen(step, &step.repeat(300), 1);
    let (folio, slips) = folio(&cutaway, "");
    let told = shown(&slips);
    assert!(told.contains("cutaway-too-large"), "{told}");
    assert!(value(&folio, "cut.rear_room.volume").is_none());
}

/// The demo folio with something replaced in its cutaway: the slips of Hazel's page and drawing
/// that stop, each as the text that it underlines.
fn underlined(was: &str, now: &str) -> Vec<(String, String)> {
    let mut texts = Texts::load(Path::new(env!("CARGO_MANIFEST_DIR")));
    let cutaway = texts.cutaways.get_mut("diagrams/hazel.cut").unwrap();
    assert!(cutaway.contains(was), "{was}");
    *cutaway = cutaway.replace(was, now);
    let (folio, mut slips) = texts.index();
    slips.extend(texts.judge(&folio, "content/engines/hazel.md").slips);
    let stops = slips.into_iter().filter(|slip| slip.severity == Severity::Stop);
    let told = stops.map(|slip| {
        let text = slip.spot.source.slice(slip.spot.span).to_owned();
        (slip.code.to_owned(), text)
    });
    told.collect()
}

#[test]
fn another_bore_makes_wrong_each_sentence_that_rests_on_it() {
    let nothing: [(String, String); 0] = [];
    assert_eq!(underlined("18.05 mm", "18.05 mm"), nothing);
    let told = underlined("bore 18.05 mm", "bore 18.25 mm");
    let texts: Vec<&str> = told.iter().map(|(_, text)| text.as_str()).collect();
    for wrong in ["256 N", "54 N", "13 %"] {
        assert!(texts.contains(&wrong), "{wrong}: {told:?}");
    }
    assert!(told.iter().all(|(code, _)| code == "binding-disagrees"), "{told:?}");
}

#[test]
fn a_bore_that_cannot_be_is_told_at_the_drawing() {
    let told = underlined("bore 18.05 mm", "bore 17.05 mm");
    let is_told = told.iter().any(|(code, text)| code == "drawing-impossible" && text == "spool");
    assert!(is_told, "{told:?}");
    let told = underlined("bore 18.05 mm", "bore 19.05 mm");
    assert!(told.iter().any(|(_, text)| text == "rear_seal"), "{told:?}");
}

/// `tests/geometry/engines.txt`: made by `engines.py` there with shapely, from the same texts.
#[test]
fn the_closed_rooms_of_the_demo_agree_with_another_library() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let (folio, _) = Texts::load(root).index();
    let rooms = std::fs::read_to_string(root.join("tests/geometry/engines.txt")).unwrap();
    let rooms = rooms.lines().filter(|line| !line.starts_with('#'));
    for line in rooms {
        let words: Vec<&str> = line.split(' ').collect();
        let [engine, room, wanted] = words[..] else { panic!("{line}") };
        let name = format!("{engine}.cut.{room}.volume");
        let (found, _) = value(&folio, &name).unwrap_or_else(|| panic!("{name} has no value"));
        assert_near(found.quantity.si.to_f64() * 1e9, wanted.parse().unwrap(), 1e-6);
    }
}
