//! The ring table against what is known of the series (AS568), and the drill table.

use gaugebook::quantity::exact::to_f64;
use gaugebook::tables::{Confidence, compare_rings, drill, ring, ring_by_number, rings};

fn inches(value: &gaugebook::quantity::Rational) -> f64 {
    to_f64(value)
}

/// A seen page says of AS568A that it "describes 369 O-rings".
#[test]
fn there_are_as_many_rings_as_the_standard_describes() {
    assert_eq!(rings().len(), 369);
    assert!(rings().windows(2).all(|pair| pair[0].number < pair[1].number));
}

/// Sections by hundreds: 0.070, 0.103, 0.139, 0.210, 0.275 in; the first three are thinner.
#[test]
fn sections_go_by_hundreds() {
    for ring in rings() {
        let section = match ring.number {
            1 => 0.040,
            2 => 0.050,
            3 => 0.060,
            4..=99 => 0.070,
            100..=199 => 0.103,
            200..=299 => 0.139,
            300..=399 => 0.210,
            400..=499 => 0.275,
            _ => continue,
        };
        assert_eq!(inches(&ring.section), section, "-{}", ring.dash);
        let tolerance = match ring.number {
            0..=199 => 0.003,
            200..=299 => 0.004,
            300..=399 => 0.005,
            _ => 0.006,
        };
        let found = ring.section_tolerance.as_ref().map(inches);
        assert_eq!(found, Some(tolerance), "-{}", ring.dash);
    }
}

/// Inside diameters rise within a series by steps of 1/16 in (printed .062 or .063) in the small
/// part, then 1/8, 1/4, 1/2 and 1 in; tolerances never shrink as rings grow.
#[test]
fn diameters_rise_in_steps_of_the_series() {
    for pair in rings().windows(2) {
        let (a, b) = (&pair[0], &pair[1]);
        if a.number / 100 != b.number / 100 || 900 <= a.number || a.number < 10 {
            continue;
        }
        if b.number != a.number + 1 {
            continue;
        }
        let step = inches(&b.inside) - inches(&a.inside);
        let sixteenths = step * 16.0;
        let known = [1.0, 2.0, 4.0, 8.0, 16.0].iter().any(|k| (sixteenths - k).abs() < 0.13);
        // The series change their step where one ends; two odd ones are in every source.
        assert!(known || (0.0..=1.1).contains(&step), "-{} to -{}: {step}", a.dash, b.dash);
        assert!(0.0 < step, "-{} to -{}", a.dash, b.dash);
        assert!(a.inside_tolerance <= b.inside_tolerance, "-{} to -{}", a.dash, b.dash);
    }
}

/// Sizes that several independent tables give, in and mm: -012 is 9.25 × 1.78 mm, -210 is
/// 18.64 × 3.53 mm, -237 is 85.32 mm, -272 is 9.484 × 0.139 in; -319 is settled at 1.037 in.
#[test]
fn sizes_that_wrong_tables_in_circulation_have_otherwise() {
    let millimetres = |dash: &str| {
        let ring = ring(dash).expect(dash);
        (inches(&ring.inside) * 25.4, inches(&ring.section) * 25.4)
    };
    for (dash, inside, section) in [
        ("-012", 9.25, 1.78),
        ("-210", 18.64, 3.53),
        ("AS568-237", 85.32, 3.53),
        ("-272", 240.89, 3.53),
        ("-319", 26.34, 5.33),
        ("-013", 10.82, 1.78),
        ("-005", 2.57, 1.78),
    ] {
        let found = millimetres(dash);
        assert!((found.0 - inside).abs() < 0.006, "{dash}: {found:?}");
        assert!((found.1 - section).abs() < 0.006, "{dash}: {found:?}");
    }
}

/// Numbers that do not exist: 000, 051–101, 179–200, 285–308, 396–424, 476–900, 915 and so on.
#[test]
fn numbers_that_do_not_exist_are_refused_with_their_neighbours() {
    let gaps = (51..=101).chain(179..=200).chain(285..=308).chain(396..=424).chain(476..=900);
    for number in gaps.chain([0, 915, 917, 919, 921, 926, 931, 933, 999]) {
        assert!(ring_by_number(number).is_none(), "-{number:03}");
    }
    let fault = ring("-200").expect_err("no such ring");
    assert_eq!(fault.help.as_deref(), Some("the nearest that exist are -178 and -201"));
    let vendor = ring("-417").expect_err("not in the standard");
    assert!(vendor.message.contains("not in AS568"), "{vendor:?}");
    let short = ring("-12").expect_err("two digits");
    assert_eq!(short.help.as_deref(), Some("write three digits: -012"));
}

#[test]
fn boss_seals_and_thin_evidence_are_marked() {
    let boss = ring("-906").expect("exists");
    assert!(boss.note.as_ref().is_some_and(|note| note.contains("boss")));
    assert_eq!(ring("-239").map(|ring| ring.confidence), Ok(Confidence::B));
    assert_eq!(ring("-012").map(|ring| ring.confidence), Ok(Confidence::A));
    let counts = rings().iter().filter(|ring| ring.confidence == Confidence::A).count();
    assert_eq!(counts, 330);
}

/// Common talk at the bench: a -015 for a -012 is the same section, 0.187 in = 4.75 mm larger
/// inside.
#[test]
fn one_ring_for_another() {
    let (small, large) = (ring("-012").expect("exists"), ring("-015").expect("exists"));
    assert_eq!(compare_rings(small, large).sentence(), "same section, 4.75 mm larger inside");
    assert_eq!(compare_rings(large, small).sentence(), "same section, 4.75 mm smaller inside");
}

/// ANSI/ASME B94.11M, memory: the ends and some known sizes of each series.
#[test]
fn drills_by_number_and_letter() {
    for (name, size) in [
        ("#1", 0.2280),
        ("#21", 0.159),
        ("#29", 0.136),
        ("#36", 0.1065),
        ("#43", 0.089),
        ("#50", 0.070),
        ("#60", 0.0400),
        ("#80", 0.0135),
        ("letter A", 0.234),
        ("letter E", 0.250),
        ("letter Z", 0.413),
    ] {
        assert_eq!(drill(name).map(|drill| inches(&drill.diameter)), Ok(size), "{name}");
    }
}

/// A public drill chart in millimetres, rounded to three digits after the point or to two.
#[test]
fn letter_drills_in_millimetres() {
    let chart = [
        5.944, 6.045, 6.147, 6.248, 6.350, 6.528, 6.629, 6.756, 6.909, 7.036, 7.137, 7.366, 7.493,
        7.671, 8.026, 8.204, 8.433, 8.611, 8.839, 9.093, 9.347, 9.576, 9.804, 10.080, 10.260,
        10.490,
    ];
    for (letter, millimetres) in ('A'..='Z').zip(chart) {
        let drill = drill(&letter.to_string()).expect("a letter");
        let found = inches(&drill.diameter) * 25.4;
        assert!((found - millimetres).abs() < 0.0051, "{letter}: {found}");
    }
}
