//! The judge against published rules and values.

#![allow(clippy::expect_used)]

#[path = "judge/helper.rs"]
mod helper;
#[path = "judge/mutants.rs"]
mod mutants;

use gaugebook::quantity::exact::{parse_decimal, to_f64};
use gaugebook::quantity::judge::{self, convert, interval_of, quantity_of};
use gaugebook::quantity::units::{parse_unit, table};
use gaugebook::quantity::{
    Amount, Conventions, Figure, GasState, Judgement, Number, Rational, Reference, Verdict,
};
use helper::{computed, dual, figure};
use proptest::prelude::*;

fn conventions(name: &str) -> Conventions {
    let bare_pressure = Reference::from_word(name);
    let standard_air = (name == "anr").then_some(GasState::Anr);
    assert!(name == "-" || bare_pressure.is_some() || standard_air.is_some(), "{name}");
    Conventions { bare_pressure, standard_air, ..Conventions::default() }
}

fn gauge() -> Conventions {
    conventions("gauge")
}

fn cases(text: &'static str) -> impl Iterator<Item = Vec<&'static str>> {
    let lines = text.lines().filter(|line| !line.trim().is_empty() && !line.starts_with('#'));
    lines.map(|line| line.split('|').map(str::trim).collect())
}

/// The complaint about a case, if the judgement is not what it says.
fn complaint(case: &[&str], judged: &Judgement) -> Option<String> {
    let (expected, last) = (case[case.len() - 2], case[case.len() - 1]);
    let (piece, proposal) = match last.split_once('>') {
        Some((piece, proposal)) => (piece.trim(), Some(proposal.trim())),
        None => (last, None),
    };
    let plain = |text: &str| text.replace('\u{a0}', " ");
    let told = [Some(&judged.reason), judged.works_out.as_ref(), judged.likely.as_ref()];
    let told = plain(&told.into_iter().flatten().cloned().collect::<Vec<_>>().join(" / "));
    let right_piece = match piece {
        "-" => judged.likely.is_none() && judged.proposal.is_none(),
        piece => told.contains(piece),
    };
    let right_proposal =
        proposal.is_none() || judged.proposal.as_deref().map(plain).as_deref() == proposal;
    let right = judged.verdict.word() == expected && right_piece && right_proposal;
    (!right)
        .then(|| format!("{case:?}: {} / {told} / {:?}", judged.verdict.word(), judged.proposal))
}

fn all_right(complaints: Vec<String>) {
    assert!(complaints.is_empty(), "\n{}", complaints.join("\n"));
}

#[test]
fn dual_statements_by_the_rules() {
    let judged = cases(include_str!("judge/duals.txt"))
        .filter_map(|case| complaint(&case, &dual(case[1], &conventions(case[0]))));
    all_right(judged.collect());
}

#[test]
fn figures_beside_computed_values_by_the_rules() {
    let judged = cases(include_str!("judge/computed.txt")).filter_map(|case| {
        let conv = conventions(case[0]);
        let result = computed(case[2], &conv);
        complaint(&case, &judge::against(case[1], &figure(case[1]), &result, &conv))
    });
    all_right(judged.collect());
}

fn decimal(text: &str) -> Rational {
    parse_decimal(text).unwrap_or_else(|| panic!("{text}"))
}

/// The number of `unit` that a figure is, by the judge.
fn in_unit(text: &str, unit: &str, conv: &Conventions) -> Result<Rational, String> {
    let target = parse_unit(unit).unwrap_or_else(|| panic!("{unit}"));
    let found = convert(&quantity_of(&figure(text), conv), &target.unit, target.reference, conv)?;
    Ok(found.exact().unwrap_or_else(|| panic!("{text} in {unit} is not exact")).clone())
}

#[test]
fn factors_are_those_of_the_published_tables() {
    let wrong = cases(include_str!("judge/factors.txt")).filter_map(|case| {
        let found = in_unit(&format!("1 {}", case[0]), case[1], &gauge()).expect("convertible");
        let published = decimal(case[2]);
        let off = to_f64(&((found - &published) / published)).abs();
        let within: f64 = case[3].parse().expect("a number");
        (within < off).then(|| format!("{case:?} is off by {off:e}"))
    });
    all_right(wrong.collect());
}

#[test]
fn temperatures_convert_with_the_offset_and_differences_without() {
    // Fixed points: ice and steam point; −40 is the same on both scales. Common knowledge.
    for (text, unit, number) in [
        ("0 °C", "°F", "32"),
        ("100 °C", "°F", "212"),
        ("−40 °C", "°F", "-40"),
        ("20 °C", "K", "293.15"),
        ("68 °F", "°C", "20"),
    ] {
        assert_eq!(in_unit(text, unit, &gauge()), Ok(decimal(number)), "{text} in {unit}");
    }
    // A difference never becomes a point.
    let refused = in_unit("20 °C difference", "K", &gauge());
    assert_eq!(refused, Ok(decimal("20")));
    assert_eq!(dual("20 °C difference (36 °F difference)", &gauge()).verdict, Verdict::Agree);
}

#[test]
fn pressures_convert_by_their_references() {
    // Standard atmosphere 101.325 kPa = 14.69595 psi (ISO 2533).
    for (text, unit, number) in [
        ("0 bar gauge", "kPa absolute", "101.325"),
        ("101.325 kPa absolute", "kPa gauge", "0"),
        ("10 kPa vacuum", "kPa absolute", "91.325"),
        ("10 kPa vacuum", "kPa gauge", "-10"),
        ("91.325 kPa absolute", "kPa vacuum", "10"),
        ("8 bar", "kPa", "800"),
        ("8 bar absolute", "kPa absolute", "800"),
    ] {
        assert_eq!(in_unit(text, unit, &gauge()), Ok(decimal(number)), "{text} in {unit}");
    }
    let nothing = Conventions::default();
    assert_eq!(in_unit("8 bar", "kPa", &nothing), Ok(decimal("800")));
    assert_eq!(
        in_unit("8 bar", "kPa absolute", &nothing),
        Err("pressure reference not declared".to_owned())
    );
    let high = Conventions { ambient: decimal("80000"), ..gauge() };
    assert_eq!(in_unit("8 bar", "kPa absolute", &high), Ok(decimal("880")));
}

#[test]
fn standard_air_converts_by_state() {
    // DIN 1343 (273.15 K, 101.325 kPa) to 293.15 K and 100 kPa by pV/T: 1.08744; the humidity of
    // ISO 8778 is left out.
    let litres = in_unit("1 Nl", "l ANR", &gauge()).expect("convertible");
    assert!((to_f64(&litres) - 1.08744).abs() < 5e-6, "{litres}");
    let refused = in_unit("18 SCFM", "l/min ANR", &gauge());
    assert_eq!(refused, Err("standard flow state not declared".to_owned()));
    // 18 ft³/min as plain volume is 509.7 l/min (0.3048 m exactly).
    let anr = Conventions { standard_air: Some(GasState::Anr), ..gauge() };
    let flow = in_unit("18 SCFM", "l/min ANR", &anr).expect("convertible");
    assert!((to_f64(&flow) - 509.7).abs() < 0.05, "{flow}");
}

#[test]
fn a_figure_stands_for_its_interval() {
    for (text, low, high) in [
        // NIST SP 811 B.7.2: 36 ft stands for 35.5 ft to 36.5 ft.
        ("36 ft", "10.8204", "11.1252"),
        ("8.83 bar", "882500", "883500"),
        ("0.90 mm ± 0.02 mm", "0.00088", "0.00092"),
        ("105–110 kPa", "104500", "110500"),
        ("110–105 kPa", "104500", "110500"),
        ("about 9 bar", "800000", "1000000"),
        ("20 °C", "292.65", "293.65"),
        ("20 °C difference", "19.5", "20.5"),
    ] {
        let found = interval_of(&figure(text));
        assert_eq!(found, (decimal(low), decimal(high)), "{text}");
    }
}

#[test]
fn the_first_figure_is_not_widened_by_its_hedge() {
    let plain = dual("128 psi (8.91 bar)", &gauge());
    let hedged = dual("about 128 psi (8.91 bar)", &gauge());
    assert_eq!((plain.verdict, hedged.verdict), (Verdict::Disagree, Verdict::Disagree));
}

/// A number as a hand-built figure may hold it: also nonsense.
fn odd_number() -> impl Strategy<Value = Number> {
    let mantissa = prop_oneof![any::<i128>(), -1000i128..1000, Just(0), Just(i128::MIN)];
    let exponent = prop_oneof![-6i32..6, any::<i32>()];
    let fraction = proptest::option::of((any::<u32>(), any::<u32>()));
    (mantissa, exponent, fraction, any::<u32>(), any::<u32>(), any::<bool>()).prop_map(
        |(mantissa, exponent, fraction, significant, integer_zeros, negative)| Number {
            mantissa,
            exponent,
            fraction,
            significant,
            integer_zeros,
            spelled: false,
            negative,
        },
    )
}

fn odd_figure() -> impl Strategy<Value = Figure> {
    let amount = prop_oneof![
        odd_number().prop_map(Amount::Point),
        (odd_number(), odd_number()).prop_map(|(low, high)| Amount::Range(low, high)),
        odd_number().prop_map(|end| Amount::Range(end.clone(), end)),
    ];
    let words =
        prop_oneof![Just(""), Just("about "), Just("nearly "), Just("up to "), Just("over ")];
    let units = 0..table().units().len();
    let reference = prop_oneof![
        Just(None),
        Just(Some(Reference::Gauge)),
        Just(Some(Reference::Absolute)),
        Just(Some(Reference::Vacuum)),
    ];
    let tolerance = proptest::option::of((odd_number(), proptest::option::of(odd_number())));
    let span = (0usize..40, 0usize..40);
    (amount, words, units, reference, tolerance, span).prop_map(
        |(amount, words, unit, reference, sides, span)| {
            let unit = &table().units()[unit];
            let model = figure(&format!("{words}1 mm"));
            let tolerance = sides.map(|(half_width, below)| gaugebook::quantity::Tolerance {
                half_width,
                below,
                unit: None,
                coverage: None,
            });
            let (kind, kind_yields) = (unit.kind, unit.kind_yields);
            let span = gaugebook::text::Span::new(span.0, span.1);
            Figure { amount, unit, reference, tolerance, kind, kind_yields, span, ..model }
        },
    )
}

/// Units that convert into each other exactly, by the factor beside the second.
const EXACT: &[(&str, &str, i64)] = &[
    ("bar", "mbar", 3),
    ("MPa", "kPa", 3),
    ("mm", "µm", 3),
    ("m", "mm", 3),
    ("kg", "g", 3),
    ("m/s", "mm/s", 3),
    ("N/mm", "N/m", 3),
];

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn odd_figures_never_stop_the_judge(first in odd_figure(), later in odd_figure()) {
        let text = "The store is at 128 psi (8.83 bar) – ½ …";
        for conv in [gauge(), Conventions::default()] {
            let _ = judge::dual(text, &first, &later, &conv);
            let same = Figure { unit: first.unit, kind: first.kind, ..later.clone() };
            let _ = judge::dual(text, &first, &same, &conv);
            let nominal = quantity_of(&first, &conv);
            let (low, high) = interval_of(&first);
            let result = gaugebook::quantity::Computed { nominal, low: low.into(), high: high.into() };
            let judged = judge::against(text, &same, &result, &conv);
            prop_assert!(!judged.reason.is_empty() && !judged.reason.contains('\n'));
        }
    }

    /// The same original in a unit a power of ten away is judged alike.
    #[test]
    fn an_exact_change_of_unit_changes_no_verdict(
        digits in 100i64..100_000,
        decimals in 0i32..3,
        other in 100i64..100_000,
        near in any::<bool>(),
        trade in 0usize..EXACT.len(),
    ) {
        let (large, small, power) = EXACT[trade];
        // A decimal point, so that trailing zeros are no place holders in either form.
        let written = |mantissa: i64, exponent: i64, unit: &str| {
            let mut made = figure(&format!("1.5 {unit}"));
            let exponent = i32::try_from(exponent).expect("small");
            let significant = u32::try_from(mantissa.to_string().len()).expect("small");
            made.amount = Amount::Point(Number {
                mantissa: i128::from(mantissa), exponent, significant, ..Number::integer(1)
            });
            made
        };
        let decimals = i64::from(decimals);
        let a = written(digits, -decimals, large);
        let a_small = written(digits, power - decimals, small);
        // Either close to the right conversion or anything.
        let other = if near { digits + other % 3 - 1 } else { other };
        let b = written(other, power - decimals, small);
        let conv = gauge();
        let verdicts = [judge::dual("", &a, &b, &conv), judge::dual("", &a_small, &b, &conv)];
        prop_assert_eq!(verdicts[0].verdict, verdicts[1].verdict, "{:?}", verdicts);
    }

    /// Both members ten times as large are judged alike.
    #[test]
    fn scaling_both_members_changes_no_verdict(
        a in 10i64..100_000, b in 10i64..100_000, near in any::<bool>(), shift in 1i32..4,
    ) {
        let written = |mantissa: i64, exponent: i32, unit: &str| {
            let mut made = figure(&format!("1.5 {unit}"));
            let significant = u32::try_from(mantissa.to_string().len()).expect("small");
            made.amount = Amount::Point(Number {
                mantissa: i128::from(mantissa), exponent, significant, ..Number::integer(1)
            });
            made
        };
        #[allow(clippy::cast_possible_truncation)]
        let b = if near { ((a as f64) * 2.54) as i64 + b % 2 } else { b };
        let judged = |by: i32| {
            let (first, later) = (written(a, -3 + by, "in"), written(b, -2 + by, "mm"));
            judge::dual("", &first, &later, &gauge()).verdict
        };
        prop_assert_eq!(judged(0), judged(shift));
    }
}

/// The same statements out of a sentence, read by the reader of the program.
#[test]
fn statements_read_from_prose_are_judged_alike() {
    let mut compared = 0;
    // A number without a unit is no figure to the reader.
    let stated = cases(include_str!("judge/duals.txt")).filter(|case| !case[1].ends_with("(12)"));
    let judged = stated.filter_map(|case| {
        let sentence = format!("Set the pressure to {} here.", case[1]);
        let found = gaugebook::quantity::reader::read(&sentence, &Default::default());
        let [first, later] = found.figures.as_slice() else {
            return Some(format!("{case:?}: {} figures", found.figures.len()));
        };
        compared += 1;
        complaint(&case, &judge::dual(&sentence, first, later, &conventions(case[0])))
    });
    all_right(judged.collect());
    assert!(60 < compared);
}
