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
        ("1 calorie", "4.184"),
        ("1 kilocalorie", "4184"),
        ("1 dyn", "0.00001"),
        ("1 pdl", "0.138254954376"),
        ("1 kWh", "3600000"),
        ("1 mAh", "3.6"),
        ("1 lbf·ft", "1.3558179483314004"),
        ("1 bar·l", "100"),
        ("6 bar/min", "10000"),
        ("9 ml/shot", "0.000009"),
        ("6.2 m s−1", "6.2"),
        ("12 BPS", "12"),
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
        ("1 slug", 1.459_390e1),
        ("1 minute of arc", 2.908_882e-4),
        ("1 second of arc", 4.848_137e-6),
        ("1 revolution", std::f64::consts::TAU),
        ("1 turns/min", 1.047_198e-1),
        ("1 ft·lbf", 1.355_818),
        ("1 lbf·in", 1.129_848e-1),
    ] {
        let found = value_in(text, &NoNames, 101_325).quantity.si.to_f64();
        assert!((found / si - 1.0).abs() < 1e-6, "{text}: {found}");
    }
}

/// IEC 60534-1 gives Cv = 1.156 Kv, rounded to four digits.
#[test]
fn flow_coefficients() {
    let found = value_in("1 Kv / 1 Cv", &NoNames, 101_325).quantity.si.to_f64();
    assert!((found / 1.156 - 1.0).abs() < 5e-4, "{found}");
}

/// The volume at a unit of pressure drop, by hand from the factors of the litre, the foot and the
/// psi: 0.001 m³ / 60 s / 1E5 Pa, and 28.316 85 l over 6.894 757 kPa (SP 811, appendix B.8).
#[test]
fn flow_over_a_pressure_drop() {
    let found = |text: &str| value_in(text, &NoNames, 101_325).quantity.si.to_f64();
    assert!((found("1 l/(min·bar)") / (0.001 / 60.0 / 1e5) - 1.0).abs() < 1e-15);
    let imperial = found("1 ft³/(min·psi)") / found("1 l/(min·bar)");
    assert!((imperial / (28.316_85 / 0.068_947_57) - 1.0).abs() < 1e-6, "{imperial}");
}

/// What shares a dimension, or has none, and must not be mixed all the same.
#[test]
fn kinds_that_do_not_mix() {
    for formula in [
        "70 Shore A - 40 Shore D",
        "70 Shore A + 3 Shore A",
        "70 Shore A - 3",
        "70 Shore A > 65",
        "84 dB - 84 dB(A)",
        "2 * 84 dB(A)",
        "84 dB(A) ^ 2",
        "0.5 Kv - 0.5",
        "0.5 Kv * 3 bar",
        "2 N/mm + 2000 J/m²",
        "2 N/mm > 2000 J/m²",
        "12.6 N·m - 12.6 J",
        "31 bar·l - 3100 J",
        "3000 rpm - 3000 turns/min",
        "9 V + 9 A",
        "300 lm - 300",
        "1 J / 1 m² - 1 N/m",
    ] {
        let parsed = gaugebook::formula::parse_with(formula, Default::default());
        let parsed = parsed.unwrap_or_else(|faults| panic!("{formula}: {faults:?}"));
        let told = gaugebook::formula::evaluate(&parsed, &NoNames, &Default::default());
        assert!(told.is_err(), "{formula}");
    }
}

/// SI Brochure (2019), table 4: V = W/A, Ω = V/A, C = A·s; SP 811 B.8: 1 kW·h = 3.6E+06 J.
#[test]
fn electrical_units_hold_together() {
    for (formula, expected) in [
        ("9 V * 2 A / 18 W", 1.0),
        ("9 V / 2 A / 4.5 ohm", 1.0),
        ("600 mAh / (0.6 A * 1 h)", 1.0),
        ("7.4 V * 600 mAh / 4.44 Wh", 1.0),
        ("70 Shore A - 65 Shore A", 5.0),
        ("1 J / 1 m² / (1 J/m²)", 1.0),
        ("8 N / 4 mm / (2 N/mm)", 1.0),
        ("2 turn / 1 s / (120 turns/min)", 1.0),
        ("5 bar/h * 2 h / 10 bar", 1.0),
        ("9 ml/shot * 3 / 27 cm³", 1.0),
    ] {
        let found = value_in(formula, &NoNames, 101_325).quantity.si.to_f64();
        assert!((found - expected).abs() < 1e-12, "{formula}: {found}");
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
