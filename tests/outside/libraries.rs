//! Values that other libraries work out at the time of the test.

use crate::reckoning::lines;
use crate::support::{close, number};
use gaugebook::quantity::units::table;
use std::process::Command;

/// Rows of a reference script; `None`, with a message, where no Python is named.
pub(crate) fn rows(script: &str) -> Option<Vec<Vec<String>>> {
    let Some(python) = std::env::var_os("GAUGEBOOK_PYTHON") else {
        eprintln!("skipped: GAUGEBOOK_PYTHON names no Python with the libraries of {script}");
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
        let d = unit.dimension;
        let product = format!("kg{}.m{}.s{}.K{}", d.mass, d.length, d.time, d.temperature);
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
    // What pint does not know is air at a reference state, counts, and conventional columns.
    let known = rows.len();
    assert!(units.units().len() <= known + 32, "{} of {}", known, units.units().len());
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
