//! Exact factors of units.

use crate::support::value_in;
use gaugebook::formula::NoNames;
use gaugebook::quantity::exact::parse_decimal;
use gaugebook::quantity::{Rational, Real};

fn exact(text: &str) -> Rational {
    match value_in(text, &NoNames, 101_325).quantity.si {
        Real::Exact(value) => value,
        Real::Near { .. } => panic!("{text} is not exact"),
    }
}

/// NIST Special Publication 811 (2008), appendix B, and NIST Handbook 44: definitions that are
/// exact and end, in SI.
#[test]
fn definitions_that_are_exact() {
    for (text, si) in [
        ("1 in", "0.0254"),
        ("1 ft/s", "0.3048"),
        ("1 mph", "0.44704"),
        ("1 in3", "0.000016387064"),
        ("1 lb", "0.45359237"),
        ("1 grain", "0.00006479891"),
        ("1 gₙ", "9.80665"),
        ("1 lbf", "4.4482216152605"),
        ("1 kgf/cm2", "98066.5"),
        ("1 ft·lbf", "1.3558179483314004"),
        ("1 cfm", "0.0004719474432"),
        ("1 atm", "101325"),
        ("1 mmHg", "133.322387415"),
        ("1 inH2O", "249.08891"),
        ("212 °F", "373.15"),
        ("-40 °F - -40 °C", "0"),
    ] {
        assert_eq!(exact(text), parse_decimal(si).expect(si), "{text}");
    }
}

/// The same source: factors that do not end, to sixteen digits; in.lbf and inHg from their
/// definitions.
#[test]
fn definitions_that_do_not_end() {
    for (text, si) in [
        ("1 psi", 6_894.757_293_168_361),
        ("1 in·lbf", 0.112_984_829_027_616_7),
        ("1 lbf/in", 175.126_835_246_476_4),
        ("1 inHg", 3_386.388_640_341),
        ("1 torr", 133.322_368_421_052_63),
        ("1 bar / 1 psi", 14.503_773_773_020_92),
        ("1 atm / 1 psi", 14.695_948_775_513_45),
        ("1 ozf", 0.278_013_850_953_781_2),
    ] {
        let found = gaugebook::quantity::exact::to_f64(&exact(text));
        assert!((found / si - 1.0).abs() < 3e-16, "{text}: {found}");
    }
}

/// SP 811, appendix B.8, printed to seven digits.
#[test]
fn factors_as_printed() {
    for (text, si) in [
        ("1 psi", 6.894_757e3),
        ("1 grain", 6.479_891e-5),
        ("1 inHg", 3.386_389e3),
        ("1 mmHg", 1.333_224e2),
        ("1 ft·lbf", 1.355_818),
        ("1 ozf", 0.278_013_9),
        ("1 hp", 745.699_9),
        ("1 lb/ft3", 16.018_46),
    ] {
        let found = gaugebook::quantity::exact::to_f64(&exact(text));
        assert!((found / si - 1.0).abs() < 1e-6, "{text}: {found}");
    }
}

/// Every unit of the table can be typed in a formula, by its code and by each of its spellings.
#[test]
fn every_unit_can_be_typed() {
    let table = gaugebook::quantity::units::table();
    for unit in table.units().iter().filter(|unit| unit.code != "1") {
        let value = value_in(&format!("3 {}", unit.code), &NoNames, 101_325);
        assert_eq!(unit.from_si(&value.quantity.si).to_f64(), 3.0, "{}", unit.code);
    }
    for spelling in table.spellings() {
        // An inch mark stands right at its digits.
        let gap = if spelling.starts_with(['"', '″', '”']) { "" } else { " " };
        let (unit, length) = table.longest_spelling(spelling).expect(spelling);
        assert_eq!(length, spelling.len(), "{spelling}");
        let value = value_in(&format!("3{gap}{spelling}"), &NoNames, 101_325);
        assert_eq!(unit.from_si(&value.quantity.si).to_f64(), 3.0, "{spelling}");
    }
}
