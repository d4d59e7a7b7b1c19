//! What must hold for every formula.

use crate::support::{Bench, value_in};
use gaugebook::formula::{InputId, NoNames, Syntax, evaluate, parse_with};
use gaugebook::quantity::units::table;
use gaugebook::quantity::{Conventions, Real};
use proptest::prelude::*;

/// Formulas of three lengths a, b, c that are smooth and never far from one.
fn formula() -> impl Strategy<Value = String> {
    let leaf = prop_oneof![
        Just("(a / 1 mm)".to_owned()),
        Just("(b / 1 mm)".to_owned()),
        Just("(c / 1 mm)".to_owned()),
        Just("1.7".to_owned()),
        Just("pi".to_owned()),
    ];
    leaf.prop_recursive(4, 24, 2, |inner| {
        prop_oneof![
            (inner.clone(), inner.clone()).prop_map(|(x, y)| format!("({x} + {y})")),
            (inner.clone(), inner.clone()).prop_map(|(x, y)| format!("({x} - {y})")),
            (inner.clone(), inner.clone()).prop_map(|(x, y)| format!("({x} * {y})")),
            (inner.clone(), inner.clone()).prop_map(|(x, y)| format!("({x} / (2 + {y}^2))")),
            inner.clone().prop_map(|x| format!("({x})^2")),
            inner.clone().prop_map(|x| format!("sin({x})")),
            inner.clone().prop_map(|x| format!("sqrt(1 + {x}^2)")),
            inner.clone().prop_map(|x| format!("(1 + {x}^2)^0.3")),
            inner.clone().prop_map(|x| format!("(circle_area(1 mm * (1 + {x}^2)) / 1 mm2)")),
            inner.prop_map(|x| {
                format!(
                    "(orifice_flow(1 mm2, 9 bar absolute, 8 bar absolute, 1 / (1.1 + {x}^2)) / 1 g/s)"
                )
            }),
        ]
    })
}

fn bench(a: f64, b: f64, c: f64) -> Bench {
    Bench::default()
        .with("a", &format!("{a:.15} mm ± 0.01 mm"))
        .with("b", &format!("{b:.15} mm ± 0.01 mm"))
        .with("c", &format!("{c:.15} mm ± 0.01 mm"))
}

/// The slope of a curve by differences of fourth order. A step may be too long for a curve that
/// swings and too short for the digits of its values: of shorter and shorter ones, that is taken
/// which agrees best with the one before it.
fn slope(curve: impl Fn(f64) -> f64, at: f64) -> f64 {
    let by = |h: f64| {
        let [near, far] = [h, 2.0 * h].map(|h| curve(at + h) - curve(at - h));
        (8.0 * near - far) / (12.0 * h)
    };
    let slopes: Vec<f64> = (4..=10).map(|digits| by(0.1_f64.powi(digits))).collect();
    let apart = |pair: &&[f64]| (pair[0] - pair[1]).abs();
    slopes.windows(2).min_by(|a, b| apart(a).total_cmp(&apart(b))).unwrap()[1]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    /// The derivative carried along is the derivative.
    #[test]
    fn derivatives_are_those_of_finite_differences(
        text in formula(), a in 0.4..2.0f64, b in 0.4..2.0f64, c in 0.4..2.0f64,
    ) {
        let at = |a: f64| bench(a, b, c).value(&text).quantity.si.to_f64();
        let value = bench(a, b, c).value(&text);
        let carried = value.sensitivities.iter().find(|(id, _)| *id == InputId::Named(0)).map_or(0.0, |(_, s)| *s);
        let slope = slope(at, a) / 1e-3;
        let size = value.quantity.si.to_f64().abs().max(1.0) * 1e3;
        prop_assert!((carried - slope).abs() <= 1e-6 * size.max(slope.abs()), "{text}: {carried} {slope}");
    }

    /// Whatever stands on both sides of a minus has no uncertainty.
    #[test]
    fn a_formula_less_itself_is_certain(text in formula(), a in 0.4..2.0f64) {
        let bench = bench(a, 0.7, 1.3);
        let scale = bench.uncertainty(&text).max(1e-12);
        let difference = format!("({text}) - ({text})");
        prop_assert!(bench.uncertainty(&difference) <= 1e-9 * scale);
    }

    /// No text whatever makes the parser or the evaluation panic, and faults lie inside the text.
    #[test]
    fn any_text_is_read_or_refused(text in "\\PC{0,80}") {
        check_any(&text)?;
    }

    /// The same for texts made of what formulas are made of.
    #[test]
    fn any_heap_of_pieces_is_read_or_refused(
        pieces in proptest::collection::vec(
            proptest::sample::select(vec![
                "1", "2.5", "1/16", " ", "mm", "psi", "°C", "bar gauge", "(", ")", "+", "-", "*", "/", "^",
                "<", "=", "and", "not", ",", "e9", "×10⁻³", "²", "±", "\"-012\"", "ring_inside(", "sqrt(", "a.b",
                "(k=2)", "%", "½", "−", "1e60", "^64", "in", "\"", "'", "min(", "difference", "[in_i]", "{", "0",
            ]),
            0..24,
        ),
    ) {
        check_any(&pieces.concat())?;
    }
}

/// Calculus: the derivative of sin(k − x) is −cos(k − x), also where k is thousands of swings away.
#[test]
fn a_slope_is_that_of_the_curve_and_not_of_its_swings() {
    let value = bench(0.4, 1.0, 1.0).value("sin(8610.6 - (a / 1 mm))");
    let (_, slope) = value.sensitivities.iter().find(|(id, _)| *id == InputId::Named(0)).unwrap();
    let expected = -libm::cos(8610.6 - 0.4) * 1e3;
    assert!((slope / expected - 1.0).abs() < 1e-6, "{slope} {expected}");
}

fn check_any(text: &str) -> Result<(), TestCaseError> {
    for decimal_comma in [false, true] {
        let syntax = Syntax { decimal_comma, uncertain_literals: true };
        let spans = match parse_with(text, syntax) {
            Ok(formula) => match evaluate(&formula, &NoNames, &Conventions::default()) {
                Ok(_) => Vec::new(),
                Err(fault) => vec![fault.span],
            },
            Err(faults) => faults.into_iter().map(|fault| fault.span).collect(),
        };
        for span in spans {
            prop_assert!(text.get(span.start..span.end).is_some(), "{text:?}: {span:?}");
        }
    }
    Ok(())
}

/// A number of one unit told in another of its dimension and back is the same number, exactly.
#[test]
fn changing_units_changes_nothing() {
    let units = table().units();
    let number = Real::Exact(num_rational::BigRational::new(1_234_567.into(), 1000.into()));
    let mut pairs = 0;
    for a in units {
        for b in units.iter().filter(|b| a.dimension == b.dimension && a.kind == b.kind) {
            let there = b.from_si(&a.to_si(&number));
            let back = a.from_si(&b.to_si(&there));
            match &back {
                Real::Exact(_) => assert_eq!(back, number, "{} by {}", a.code, b.code),
                Real::Near { value, .. } => assert!((value / 1234.567 - 1.0).abs() < 1e-14),
            }
            pairs += 1;
        }
    }
    assert!(units.len() < pairs);
}

/// A formula of lengths in inches and the same in millimetres are one.
#[test]
fn results_do_not_depend_on_the_units_of_the_inputs() {
    let exact = |text: &str| value_in(text, &NoNames, 101_325).quantity.si;
    for (a, b) in [
        ("spring_rate(0.05 in, 0.4 in, 8, 80 GPa)", "spring_rate(1.27 mm, 10.16 mm, 8, 80 GPa)"),
        ("kinetic_energy(3 g, 100 ft/s)", "kinetic_energy(0.003 kg, 30.48 m/s)"),
        (
            "retained_share_isothermal(9 bar absolute, 0.5 MPa absolute)",
            "retained_share_isothermal(900 kPa absolute, 5 bar absolute)",
        ),
    ] {
        assert_eq!(exact(a), exact(b), "{a}");
        assert!(exact(a).exact().is_some(), "{a}");
    }
}
