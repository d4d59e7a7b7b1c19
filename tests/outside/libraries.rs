//! Values that other libraries work out at the time of the test.

use crate::reckoning::lines;
use crate::support::{close, number};
use gaugebook::quantity::units::table;
use std::collections::BTreeSet;
use std::io::Write;
use std::process::Command;

/// Rows of a reference script; `None`, with a message that no capture of output swallows, where no
/// Python is named. With `CI=true` that is a failure.
pub(crate) fn rows(script: &str) -> Option<Vec<Vec<String>>> {
    let Some(python) = std::env::var_os("GAUGEBOOK_PYTHON") else {
        let told = format!("GAUGEBOOK_PYTHON names no Python with the libraries of {script}");
        assert!(std::env::var_os("CI").is_none_or(|ci| ci != "true"), "{told}");
        let _ = writeln!(std::io::stderr(), "SKIPPED, nothing compared: {told}");
        return None;
    };
    let path = format!("{}/tests/reference/{script}", env!("CARGO_MANIFEST_DIR"));
    let output = Command::new(python).arg(path).output().expect("Python starts");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).expect("UTF-8");
    let rows: Vec<Vec<String>> =
        text.lines().map(|line| line.split('\t').map(str::to_owned).collect()).collect();
    assert!(3 < rows.len(), "{script} printed nothing");
    Some(rows)
}

/// Units that pint does not have, or has in another sense: air at a reference state, counts, marks
/// on scales, columns of liquid at other temperatures, and what has no fixed dimension.
#[rustfmt::skip]
const NOT_IN_PINT: &[&str] = &[
    "1", "L/{shot}", "mL/{shot}", "cm3/{shot}", "[cin_i]/{shot}", "L{ANR}/{shot}", "g/{shot}",
    "mg/{shot}", "J/{shot}", "{shot}/s", "{ball}/s", "{shot}/min", "{frame}/s", "{rev}/s", "/s",
    "[in_i'Hg]", "[in_i'H2O]", "mm[H2O]", "L{ANR}", "cm3{ANR}", "L/min{ANR}", "L/s{ANR}",
    "dm3/(s.bar)", "Kv", "Cv", "L{normal}", "L/min{normal}", "m3/h{normal}", "L/min{standard}",
    "[cft_i]/min{standard}", "[cft_i]/h{standard}", "[cft_i]{standard}", "Cel", "[degF]", "dB",
    "dB(A)", "{ShoreA}", "{ShoreD}",
];

/// pint's factor of every unit that it knows, through the program; to 10 units in the last place
/// of its binary arithmetic.
#[test]
fn factors_of_units_by_pint() {
    let Some(rows) = rows("units.py") else { return };
    let units = table();
    let mut asked = String::new();
    for row in &rows {
        let unit = units.by_code(&row[0]).unwrap_or_else(|| panic!("{} is not listed", row[0]));
        let same = units.units().iter().find(|base| {
            base.dimension == unit.dimension
                && base.kind == unit.kind
                && base.factor.to_f64() == 1.0
                && base.offset.numer().bits() == 0
        });
        let powers = unit.dimension.exponents();
        let powers: Vec<String> = powers
            .iter()
            .filter(|(_, exponent)| *exponent != 0)
            .map(|(symbol, exponent)| format!("{symbol}{exponent}"))
            .collect();
        let product = powers.join(".");
        let base = same.map_or(product.as_str(), |base| base.code.as_ref());
        asked.push_str(&format!("1 {}\t{base}\n", row[0]));
    }
    let told = lines(&[], &asked);
    assert_eq!(told.len(), rows.len());
    for (row, line) in rows.iter().zip(told) {
        let answer: serde_json::Value = serde_json::from_str(&line).expect("JSON");
        let found = answer["value"].as_f64().unwrap_or_else(|| panic!("{line}"));
        let expected: f64 = row[1].parse().expect("a number");
        let off = (found / expected - 1.0).abs();
        assert!(off < 2e-15, "{}: {found}, pint {expected}", row[0]);
    }
    let compared: BTreeSet<&str> = rows.iter().map(|row| row[0].as_str()).collect();
    for unit in units.units() {
        let code = unit.code.as_ref();
        assert!(
            compared.contains(code) != NOT_IN_PINT.contains(&code),
            "{code}: either units.py has it from pint, or it is listed here as lacking there"
        );
    }
}

#[test]
fn compressibility_of_air_by_coolprop() {
    let Some(rows) = rows("air.py") else { return };
    for row in rows {
        let call = format!("compressibility({} bar absolute, {} °C)", row[0], row[1]);
        close(number(&call, "1"), row[2].parse().expect("a number"), 1e-4);
    }
}

/// The API 520 area carries the rounded constant of its formula.
#[test]
fn flow_and_blow_down_by_fluids_and_scipy() {
    let Some(rows) = rows("flow.py") else { return };
    for row in rows {
        let tolerance = if row[1] == "m2" { 1e-4 } else { 1e-8 };
        let found = number(&row[0], &row[1]);
        let expected: f64 = row[2].parse().expect("a number");
        assert!((found / expected - 1.0).abs() < tolerance, "{}: {found}, {expected}", row[0]);
    }
}
