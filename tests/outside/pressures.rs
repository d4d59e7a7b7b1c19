//! Formulas of pressures: a value depends neither on order and brackets nor on whether its
//! pressures were written gauge or absolute. What would is refused.

use crate::libraries::rows;
use gaugebook::formula::{NoNames, Outcome, Syntax, Value, evaluate, parse_with};
use gaugebook::quantity::{Conventions, Reference};
use proptest::prelude::*;

const AMBIENT: f64 = 101_325.0;

/// Exponents of length, mass, time and temperature.
type Exponents = [i8; 4];
const FORCE: Exponents = [1, 1, -2, 0];
const ACCELERATION: Exponents = [1, 0, -2, 0];
const AREA: Exponents = [2, 0, 0, 0];
const PRESSURE: Exponents = [-1, 1, -2, 0];

fn dimension(value: &Value) -> Exponents {
    let d = value.quantity.dimension;
    assert_eq!((d.current, d.light), (0, 0));
    [d.length, d.mass, d.time, d.temperature]
}

/// A formula worked out; `None` where it is refused for how its pressures are written.
fn worked_out(text: &str) -> Option<Value> {
    let formula =
        parse_with(text, Syntax::default()).unwrap_or_else(|why| panic!("{text}: {why:?}"));
    match evaluate(&formula, &NoNames, &Conventions::default()) {
        Ok(Outcome::Value(value)) => Some(value),
        Ok(Outcome::Truth(_)) => panic!("{text} is a comparison"),
        Err(fault) => {
            let is_worded = !format!("{fault:?}").contains("help: None");
            assert!(is_worded, "{text}: {fault:?}");
            None
        }
    }
}

/// The number with its pressure counted from vacuum, where it is one.
fn from_vacuum(value: &Value) -> f64 {
    let si = value.quantity.si.to_f64();
    match value.quantity.reference {
        Some(Reference::Gauge) => si + AMBIENT,
        Some(Reference::Vacuum) => AMBIENT - si,
        _ => si,
    }
}

fn close(a: f64, b: f64, scale: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(scale)
}

/// pint on absolute SI. Forces, accelerations and areas are those of what pushes against the
/// ambient; everything else counts from vacuum.
#[test]
fn formulas_of_pressures_by_pint() {
    let Some(rows) = rows("pressures.py") else { return };
    let (mut told, mut pushed, mut gauge) = (0, 0, 0);
    for row in &rows {
        let Some(value) = worked_out(&row[0]) else { continue };
        let [absolute, above] = [1, 2].map(|at| row[at].parse::<f64>().expect("a number"));
        let sort = dimension(&value);
        let pushes = [FORCE, ACCELERATION, AREA].contains(&sort);
        let expected = if pushes { above } else { absolute };
        let scale = if sort == PRESSURE { AMBIENT } else { 0.0 };
        let found = from_vacuum(&value);
        // Where large terms cancel, their rounding is left.
        let rounding = if close(absolute, above, 0.0) { 1e-6 * found.abs() } else { 0.0 };
        assert!(
            close(found, expected, scale) || (found - expected).abs() <= rounding,
            "{}: {found}, pint {expected}",
            row[0]
        );
        told += 1;
        pushed += usize::from(pushes);
        gauge += usize::from(value.quantity.reference == Some(Reference::Gauge));
    }
    assert!(
        2_500 < told && 200 < pushed && 200 < gauge,
        "{told} {pushed} {gauge} of {}",
        rows.len()
    );
}

/// A pressure in Pa absolute, to be written either way; and a plain quantity.
#[derive(Debug, Clone)]
enum Factor {
    Pressure(u32),
    Other(&'static str, u32),
}

impl Factor {
    fn written(&self, gauge: bool) -> String {
        match self {
            Factor::Pressure(pascals) if gauge && *pascals < 101_325 => {
                format!("({} Pa vacuum)", 101_325 - pascals)
            }
            Factor::Pressure(pascals) if gauge => format!("({} Pa gauge)", pascals - 101_325),
            Factor::Pressure(pascals) => format!("({pascals} Pa absolute)"),
            Factor::Other(unit, number) => format!("({number} {unit})"),
        }
    }
}

fn factor() -> impl Strategy<Value = Factor> {
    prop_oneof![
        (20_000..1_200_000u32).prop_map(Factor::Pressure),
        (
            proptest::sample::select(vec![
                "cm3",
                "mm2",
                "mm",
                "N",
                "J",
                "g",
                "s",
                "bar difference",
                "K",
                "%",
                "N·m",
                "l ANR"
            ]),
            1..900u32,
        )
            .prop_map(|(unit, number)| Factor::Other(unit, number)),
    ]
}

/// The same product: left to right, turned round, and split in the middle.
fn spellings(above: &[String], below: &[String]) -> Vec<String> {
    let product = |list: &[String]| list.join(" * ");
    let mut straight = product(above);
    for divisor in below {
        straight = format!("{straight} / {divisor}");
    }
    let turned: Vec<String> = above.iter().rev().cloned().collect();
    let mut forms = vec![straight];
    if below.is_empty() {
        forms.push(product(&turned));
    } else {
        forms.push(format!("{} / ({})", product(&turned), product(below)));
        forms.push(format!("1 / ({}) * ({})", product(below), product(above)));
        let (first, rest) = above.split_at(1);
        if !rest.is_empty() {
            forms.push(format!(
                "{} / {} * ({})",
                first[0],
                product(below).replace(" * ", " / "),
                product(rest)
            ));
        }
    }
    forms
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2_000, ..ProptestConfig::default() })]

    #[test]
    fn a_product_is_one_however_it_is_written(
        above in proptest::collection::vec(factor(), 1..5),
        below in proptest::collection::vec(factor(), 0..3),
    ) {
        let mut found: Vec<(String, Value)> = Vec::new();
        for gauge in [false, true] {
            let [above, below] = [&above, &below]
                .map(|list| list.iter().map(|factor| factor.written(gauge)).collect::<Vec<_>>());
            for text in spellings(&above, &below) {
                found.extend(worked_out(&text).map(|value| (text, value)));
            }
        }
        for pair in found.windows(2) {
            let [(one, a), (other, b)] = pair else { continue };
            prop_assert!(close(from_vacuum(a), from_vacuum(b), 0.0), "{one}\n{other}\n{a:?}\n{b:?}");
            let reference = |value: &Value| value.quantity.reference.filter(|r| *r == Reference::Difference);
            prop_assert_eq!(reference(a), reference(b), "{}\n{}", one, other);
        }
    }
}
