//! Formulas as a writer types them, against values worked out by hand.

use super::*;
use crate::quantity::{Conventions, Dimension, Kind, Reference};

/// A scope of named inputs for tests: text of the figure, ±, coverage factor.
#[derive(Default)]
struct Bench {
    values: Vec<(String, Quantity, Input)>,
}

impl Bench {
    fn with(mut self, name: &str, figure: &str) -> Bench {
        let syntax = Syntax { uncertain_literals: true, ..Syntax::default() };
        let formula = parse_with(figure, syntax).expect(figure);
        let Ok(Outcome::Value(value)) = evaluate(&formula, &NoNames, &Conventions::default())
        else {
            panic!("{figure} has no value")
        };
        let input =
            formula.literal_inputs().first().map_or(Input::limits(0.0), |(_, input)| *input);
        self.values.push((name.to_owned(), value.quantity, input));
        self
    }
}

impl Scope for Bench {
    fn lookup(&self, path: &[&str], at: &Shift) -> Lookup {
        let name = path.join(".");
        match name.as_str() {
            "broken" => return Lookup::Poisoned,
            "unknown_mass" => return Lookup::Undecided("the mass of the bolt".to_owned()),
            _ => {}
        }
        let Some(index) = self.values.iter().position(|(known, ..)| *known == name) else {
            return Lookup::Unknown;
        };
        let (_, quantity, input) = &self.values[index];
        let id = InputId::Named(u32::try_from(index).unwrap_or(0));
        let mut quantity = quantity.clone();
        let offset = at.offset(id, input.limit);
        if offset != 0.0 {
            quantity.si = quantity.si.add(&crate::quantity::Real::near(offset));
        }
        Lookup::Value(Value::input(quantity, id))
    }
    fn input(&self, id: InputId) -> Input {
        match id {
            InputId::Named(number) => self.values[number as usize].2,
            _ => Input::limits(0.0),
        }
    }
    fn correlation(&self, _: InputId, _: InputId) -> f64 {
        0.0
    }
    fn names(&self) -> Vec<String> {
        self.values.iter().map(|(name, ..)| name.clone()).collect()
    }
}

fn quantity(text: &str) -> Quantity {
    worked_out(text, &NoNames).expect(text).quantity
}

fn worked_out(text: &str, scope: &dyn Scope) -> Result<Value, FormulaFault> {
    let formula = parse(text).map_err(|mut faults| faults.remove(0))?;
    match evaluate(&formula, scope, &Conventions::default())? {
        Outcome::Value(value) => Ok(value),
        Outcome::Truth(truth) => panic!("{text} is {truth:?}"),
    }
}

fn fault(text: &str) -> FormulaFault {
    match worked_out(text, &Bench::default().with("metering_bore", "0.9 mm")) {
        Err(fault) => fault,
        Ok(value) => panic!("{text} is {value:?}"),
    }
}

fn si(text: &str) -> f64 {
    quantity(text).si.to_f64()
}

fn truth(text: &str, scope: &dyn Scope) -> Truth {
    let formula = parse(text).expect(text);
    match evaluate(&formula, scope, &Conventions::default()) {
        Ok(Outcome::Truth(truth)) => truth,
        other => panic!("{text}: {other:?}"),
    }
}

#[test]
fn arithmetic_binds_as_on_paper() {
    for (text, value) in [
        ("1 + 2 * 3", 7.0),
        ("(1 + 2) * 3", 9.0),
        ("2 ^ 3 ^ 2", 512.0),
        ("-2^2", -4.0),
        ("2^-1", 0.5),
        ("12 / 3 / 2", 2.0),
        ("7 - 2 - 1", 4.0),
        ("2 * -3", -6.0),
        ("3² − 1", 8.0),
        ("6 × 2 ÷ 4", 3.0),
        ("1 1/2 * 2", 3.0),
        ("2/3^2", 2.0 / 9.0),
        ("max(2,5) + min(1, 2, 3)", 6.0),
        ("sqrt(9/16)", 0.75),
        ("(9 mm^2)^(1/2) / 1 mm", 3.0),
        ("50 %", 0.5),
    ] {
        assert_eq!(si(text), value, "{text}");
    }
    assert!(quantity("sqrt(9/16)").si.exact().is_some());
}

#[test]
fn literals_take_the_unit_right_behind_them() {
    let close = |text: &str, value: f64| {
        let found = si(text);
        assert!((found / value - 1.0).abs() < 1e-14, "{text}: {found}");
    };
    close("2 N/mm", 2000.0);
    close("1.5 dm3/(s.bar)", 1.5e-8);
    close("1 1/16 in", 0.026_987_5);
    close("1/16 in", 0.001_587_5);
    close("3/8\"", 0.009_525);
    close("3 000 psi", 3000.0 * 6_894.757_293_168_361);
    close("1,500 psi", 1500.0 * 6_894.757_293_168_361);
    close("8 bar/2", 4e5);
    close("8 bar-2 bar", 6e5);
    close("6 bar/1 bar", 6.0);
    close("1.2 kg.m-3", 1.2);
    close("4 [lb_av]/[in_i]3", 4.0 * 27_679.904_710_203_12);
    close("-40 °C", 233.15);
    close("2.5e3 mm", 2.5);
    close("3 K-1", 3.0);
    close("5 /s", 5.0);
    close("7 s/2 s", 3.5);
}

#[test]
fn a_decimal_comma_is_read_where_it_is_declared() {
    let syntax = Syntax { decimal_comma: true, ..Syntax::default() };
    let formula = parse_with("max(2,5 mm; 1 mm) * 2", syntax).expect("declared");
    let Ok(Outcome::Value(value)) = evaluate(&formula, &NoNames, &Conventions::default()) else {
        panic!("no value")
    };
    assert_eq!(value.quantity.si.to_f64(), 0.005);
    assert!(fault("2,5 mm").message.contains("two ways"));
    assert!(fault("max(1,500 mm, 2 mm)").message.contains("two ways"));
}

#[test]
fn pressures_keep_their_reference() {
    let reference = |text: &str| quantity(text).reference;
    assert_eq!(reference("8 bar gauge + 2 bar difference"), Some(Reference::Gauge));
    assert_eq!(reference("8 bar gauge - 2 bar gauge"), Some(Reference::Difference));
    assert_eq!(reference("9 bar absolute - 8 bar absolute"), Some(Reference::Difference));
    assert_eq!(reference("-0.5 bar gauge"), Some(Reference::Gauge));
    assert_eq!(reference("9 bar absolute / 2 bar absolute"), None);
    assert_eq!(si("absolute(8 bar gauge)"), 901_325.0);
    assert_eq!(si("gauge(0.5 bar vacuum)"), -50_000.0);
    assert_eq!(quantity("8 bar gauge * 100 mm2").dimension, Dimension::FORCE);
    for text in [
        "8 bar gauge + 2 bar gauge",
        "9 bar absolute - 8 bar gauge",
        "8 bar gauge / 9 bar absolute",
        "2 bar difference - 8 bar gauge",
        "absolute(2 bar difference)",
    ] {
        assert_eq!(fault(text).kind, FaultKind::Unlike, "{text}");
    }
    let undeclared = fault("choked_flow(1 mm2, 8 bar)");
    assert!(undeclared.message.contains("reference not declared"), "{undeclared:?}");
}

#[test]
fn kinds_do_not_mix() {
    let mixed = fault("2 N·m + 3 J");
    assert_eq!(mixed.message, "cannot add 2\u{a0}N·m (torque) and 3\u{a0}J (energy)");
    for text in [
        "20 °C + 20 °C",
        "2 * 20 °C",
        "3 shots/s - 3 rad/s",
        "1 l ANR + 1 l",
        "2 rad + 1",
        "0.9 mm + 8 bar",
        "sin(2 mm)",
        "2 ^ (1 mm)",
    ] {
        assert_eq!(fault(text).kind, FaultKind::Unlike, "{text}");
    }
    assert_eq!(quantity("20 °C - 15 °C").kind, Kind::TemperatureDifference);
    assert_eq!(quantity("20 °C + 5 °C difference").kind, Kind::TemperaturePoint);
    assert_eq!(si("20 °C + 5 K"), 298.15);
    assert_eq!(quantity("3 N * 2 mm + 1 J").kind, Kind::Energy);
    assert_eq!(quantity("3 N * 2 mm + 1 N·m").kind, Kind::Torque);
}

#[test]
fn faults_point_at_the_smallest_wrong_thing_and_say_what_to_write() {
    let at = |text: &str| {
        let fault = fault(text);
        let written = &text[fault.span.start..fault.span.end];
        (written.to_owned(), fault.help.unwrap_or_default())
    };
    assert_eq!(at("2 * metring_bore").0, "metring_bore");
    assert!(at("2 * metring_bore").1.contains("`metering_bore`"));
    assert!(at("circel_area(1 mm)").1.contains("circle_area(diameter)"));
    assert!(at("2 N / mm").1.contains("`2 N/mm`"));
    assert!(at("2 metering_bore").1.contains("* metering_bore"));
    assert!(at("circle_area(1 mm").1.contains("add )"));
    assert!(at("1 mm)").1.contains("leave it out"));
    assert!(at("circle_area(1 mm, 2 mm)").1.contains("circle_area(diameter)"));
    assert!(at("ring_inside(-012)").1.contains("\"-012\""));
    assert!(at("ring_inside(\"-100\")").1.contains("-050 and -102"));
    assert!(at("2 ** 3").1.contains('^'));
    assert!(at("128 psi ± 4 psi").1.contains("reading"));
    assert_eq!(fault("2 * broken").kind, FaultKind::Poisoned);
    assert_eq!(fault("2 * unknown_mass").kind, FaultKind::Undecided);
    assert_eq!(fault("1 / (2 - 2)").kind, FaultKind::Range);
    assert_eq!(fault("1e60^64 ^ 64").kind, FaultKind::Range);
}

#[test]
fn comparisons_are_true_false_or_undecided() {
    use Margin::{Certain, WithinUncertainty};
    let bench = Bench::default().with("store", "22.0 cm3 ± 0.5 cm3").with("other", "21.8 cm3");
    assert_eq!(truth("store > other", &bench), Truth::True(WithinUncertainty));
    assert_eq!(truth("store > 20 cm3", &bench), Truth::True(Certain));
    assert_eq!(truth("store < 20 cm3 or store - store = 0 mm3", &bench), Truth::True(Certain));
    assert_eq!(truth("not store > 20 cm3", &bench), Truth::False(Certain));
    assert_eq!(truth("store > 20 cm3 and store > other", &bench), Truth::True(WithinUncertainty));
    assert_eq!(truth("store = other", &bench), Truth::False(WithinUncertainty));
    assert_eq!(truth("1 in = 25.4 mm", &bench), Truth::True(Certain));
    assert_eq!(
        truth("sqrt(2)^2 < 2", &bench),
        Truth::Undecided("the two sides are too close to be told apart".to_owned())
    );
    assert!(matches!(truth("unknown_mass > 1 g", &bench), Truth::Undecided(_)));
    let unlike = parse("8 bar gauge < 9 bar absolute").expect("parses");
    assert!(evaluate(&unlike, &bench, &Conventions::default()).is_err());
}

#[test]
fn an_input_used_twice_is_one_input() {
    let bench = Bench::default().with("a", "5 mm ± 0.3 mm").with("b", "7 mm ± 0.4 mm (k=2)");
    let u = |text: &str| standard_uncertainty(&worked_out(text, &bench).expect(text), &bench);
    assert_eq!(u("a - a"), 0.0);
    assert!((u("a + a") / (2.0 * 0.3e-3 / 3f64.sqrt()) - 1.0).abs() < 1e-12);
    assert!((u("b") / 0.2e-3 - 1.0).abs() < 1e-12);
    let both = (0.3e-3f64.powi(2) / 3.0 + 0.2e-3f64.powi(2)).sqrt();
    assert!((u("a + b") / both - 1.0).abs() < 1e-12);
}

#[test]
fn the_worst_case_takes_the_corners_and_what_lies_between() {
    let bench = Bench::default()
        .with("a", "5 mm ± 0.5 mm")
        .with("b", "2 mm ± 0.1 mm")
        .with("x", "1.05 mm ± 0.1 mm");
    let range = |text: &str| {
        let formula = parse(text).expect(text);
        let found = worst_case(&formula, &bench, &Conventions::default()).expect(text);
        (found.low.to_f64(), found.high.to_f64())
    };
    let close = |found: f64, value: f64| assert!((found / value - 1.0).abs() < 1e-12, "{found}");
    let (low, high) = range("a / b");
    close(low, 4.5 / 2.1);
    close(high, 5.5 / 1.9);
    // A parabola whose bottom lies inside the limits: nought must be inside the range.
    let (low, high) = range("(x - 1 mm)^2");
    assert!(low <= 0.0 && 2.249e-8 <= high, "{low} {high}");
    let (low, high) = range("(x - 1.05 mm)^2");
    assert!(low == 0.0 && (0.99e-8..1.1e-8).contains(&high), "{low} {high}");
    let (low, high) = range("a - a");
    assert_eq!((low, high), (0.0, 0.0));
}

#[test]
fn limits_that_differ_spread_over_their_whole_width() {
    // GUM 4.3.8: u² = (b₊ + b₋)²/12; with b₊ = b₋ = a that is a/√3 (4.3.7).
    let both = Input::deviations(0.1, 0.05);
    assert!(
        (both.standard_uncertainty * both.standard_uncertainty - 0.15 * 0.15 / 12.0).abs() < 1e-15
    );
    assert_eq!(both.limit, 0.1);
    let [alike, plain] = [Input::deviations(0.2, 0.2), Input::limits(0.2)];
    assert!((alike.standard_uncertainty - plain.standard_uncertainty).abs() < 1e-15);
    assert_eq!(alike.limit, plain.limit);
}

#[test]
fn ring_sizes_carry_their_tolerance_as_inputs() {
    // -012: inside 0.364 ± 0.005 in, section 0.070 ± 0.003 in.
    let outside = worked_out("ring_outside(\"-012\")", &NoNames).expect("a ring");
    assert_eq!(outside.quantity.si.to_f64(), 0.504 * 0.0254);
    let formula = parse("ring_outside(\"-012\")").expect("parses");
    let found = worst_case(&formula, &NoNames, &Conventions::default()).expect("a range");
    assert!((found.high.to_f64() - (0.504 + 0.011) * 0.0254).abs() < 1e-15);
    let u = standard_uncertainty(&outside, &NoNames);
    let expected = 0.0254 * (0.005f64.powi(2) + 0.006f64.powi(2)).sqrt() / 3f64.sqrt();
    assert!((u / expected - 1.0).abs() < 1e-12);
}

#[test]
fn hostile_texts_are_refused_without_harm() {
    for text in [
        "(".repeat(3_999),
        "-".repeat(3_000) + "1",
        "not ".repeat(900) + "1 < 2",
        vec!["1"; 1_500].join("+"),
        vec!["2"; 1_500].join("^"),
        "sqrt(".repeat(600),
        "1".repeat(5_000),
    ] {
        assert!(parse(&text).is_err(), "{}…", &text[..12]);
    }
    // As long and as deep as is allowed: worked out on a small stack.
    let sum = vec!["1"; 301].join("+");
    assert_eq!(si(&sum), 301.0);
    let nested = "(".repeat(60) + "1" + &")".repeat(60);
    assert_eq!(si(&nested), 1.0);
    assert_eq!(fault("9^9^9").kind, FaultKind::Range);
    assert_eq!(fault("(1 mm)^60").kind, FaultKind::Unlike);
}

#[test]
fn every_closed_form_reads_and_gives_its_dimension() {
    for function in functions::all() {
        if let Some(text) = function.closed_form() {
            assert!(parse(text).is_ok(), "{}", function.name);
        }
        assert!(!function.doc.is_empty() && !function.range.is_empty(), "{}", function.name);
        assert!(!function.source.is_empty(), "{}", function.name);
        let default_seen = function.parameters.iter().map(|p| p.default.is_some());
        assert!(default_seen.is_sorted(), "{}: defaults come last", function.name);
    }
}

/// Answers `square` as the square of an input of 3 ± 1, worked out once.
struct Costly;

impl Scope for Costly {
    fn lookup(&self, path: &[&str], _: &Shift) -> Lookup {
        if path != ["square"] {
            return Lookup::Unknown;
        }
        let nine = quantity("9");
        let sensitivities = vec![(InputId::Named(0), 6.0)];
        Lookup::Linear(Value { sensitivities, ..Value::certain(nine) })
    }
    fn input(&self, _: InputId) -> Input {
        Input::limits(1.0)
    }
    fn correlation(&self, _: InputId, _: InputId) -> f64 {
        0.0
    }
    fn names(&self) -> Vec<String> {
        vec!["square".to_owned()]
    }
}

#[test]
fn a_costly_value_is_moved_by_its_sensitivities() {
    let range = |text: &str| {
        let formula = parse(text).expect(text);
        let found = worst_case(&formula, &Costly, &Conventions::default()).expect(text);
        (found.low.to_f64(), found.high.to_f64())
    };
    // To first order 3 ± 1 squared is 9 ± 6.
    assert_eq!(range("square"), (3.0, 15.0));
    assert_eq!(range("square - square"), (0.0, 0.0));
    assert_eq!(range("20 - 2 * square"), (-10.0, 14.0));
}

/// Boyle's law is about absolute pressures; p V keeps its reference on the way.
#[test]
fn products_of_pressures_count_from_where_their_pressures_do() {
    let found = |text: &str| {
        let quantity = quantity(text);
        (quantity.si.to_f64() / 1e5, quantity.reference)
    };
    let near = |text: &str, bar: f64, reference: Reference| {
        let (value, counted) = found(text);
        assert!((value - bar).abs() < 1e-9, "{text}: {value}");
        assert_eq!(counted, Some(reference), "{text}");
    };
    use Reference::{Absolute, Difference, Gauge};
    near("9 bar absolute * 20 cm³ / 30 cm³", 6.0, Absolute);
    near("20 cm³ / 30 cm³ * 9 bar absolute", 6.0, Absolute);
    near("9 bar absolute / (30 cm³ / 20 cm³)", 6.0, Absolute);
    near("20 cm³ * (9 bar absolute / 30 cm³)", 6.0, Absolute);
    near("gauge(9 bar absolute * 20 cm³ / 30 cm³)", 6.0 - 1.01325, Gauge);
    near("gauge(absolute(9 bar gauge) * 20 cm³ / 30 cm³)", 10.01325 * 2.0 / 3.0 - 1.01325, Gauge);
    near("2 * 9 bar absolute", 18.0, Absolute);
    // Stevin's law needs no reference, and a force over an area has none.
    near("1000 kg/m3 * 9.80665 m/s2 * 10 m", 0.980665, Difference);
    near("0 bar gauge + 20 N / 1 cm2", 2.0, Gauge);
    // A mean is a point whatever it is counted from; differences add up in any order.
    near("(8 bar gauge + 6 bar gauge) / 2", 7.0, Gauge);
    near("9 bar absolute - 8 bar absolute + 3 bar absolute", 4.0, Absolute);
    near("9 bar absolute + 3 bar absolute - 8 bar absolute", 4.0, Absolute);
    near("(8 bar gauge * 2 cm2 - 6 bar gauge * 2 cm2) / 2 cm2", 2.0, Difference);
    near("above_ambient(8 bar gauge) * 3 / 4", 6.0, Difference);
    near("above_ambient(9.01325 bar absolute) * 3 cm2 / 4 cm2", 6.0, Difference);
    assert_eq!(si("8 bar gauge * 1 cm2"), 80.0);
    assert_eq!(si("(9 bar absolute - 0 bar absolute) * 1 cm2"), 90.0);
    assert_eq!(si("8 bar gauge * 1 cm2 - 6 bar gauge * 1 cm2 + 5 N"), 25.0);
    assert_eq!(si("5 N + (9 bar absolute - 7 bar absolute) * 1 cm2"), 25.0);
    assert_eq!(si("0.5 bar vacuum * 1 cm2"), -5.0);
}

#[test]
fn what_would_depend_on_how_its_pressures_are_written_is_refused() {
    for text in [
        "2 * 9 bar gauge",
        "9 bar gauge * 20 cm³ / 30 cm³",
        "20 cm³ / 30 cm³ * 9 bar gauge",
        "8 bar gauge * 3 cm2 / 4 cm2",
        "8 bar gauge / 4 bar gauge",
        "8 bar gauge * 1 cm2 / (4 bar gauge * 1 cm2)",
        "9 bar absolute * 1 cm2",
        "8 bar gauge * 1 l",
        "8 bar gauge * 1 l / (287 J/(kg·K) * 293 K)",
        "8 bar gauge * 1 cm2 + 9 bar absolute * 1 cm2",
        "8 bar gauge * 3 bar absolute / 1 bar absolute",
        "sqrt(8 bar gauge * 1 l / 1 g)",
        "(8 bar gauge)^2 / 1 bar difference",
        "abs(-0.5 bar gauge)",
        "vent_time(1 l, 1 mm2, 2 * 9 bar gauge, 1 bar gauge)",
    ] {
        let fault = fault(text);
        assert_eq!(fault.kind, FaultKind::Unlike, "{text}: {fault:?}");
        assert!(fault.help.is_some_and(|help| help.contains("(…)")), "{text}");
    }
}

/// What air tells stays air, and turns stay turns.
#[test]
fn kinds_are_kept_through_products() {
    let kind = |text: &str| quantity(text).kind;
    let anr = Kind::StandardAir(crate::quantity::GasState::Anr);
    assert_eq!(kind("2 l ANR * 3 bar absolute / 4 bar absolute"), anr);
    assert_eq!(kind("3 l/min ANR * 2 s"), anr);
    assert_eq!(kind("3 l/min ANR * 2 s * 1 g / 1 g"), anr);
    assert_eq!(kind("2 l ANR / 1 l ANR"), Kind::Ratio);
    assert_eq!(kind("3 rad/s * 2 s"), Kind::Angle);
    assert_eq!(kind("90° / 2 s"), Kind::AngularRate);
}

#[test]
fn what_cannot_be_is_refused_with_words() {
    for (text, words) in [
        ("circle_area(-1 mm)", "outside what it can be"),
        ("cylinder_volume(1 mm, -2 mm)", "outside what it can be"),
        ("ring_area(5 mm, 6 mm)", "inner diameter"),
        ("ring_squeeze(\"-012\", 0 mm, 0 mm)", "no ring fits"),
        ("ring_squeeze(\"-012\", 10 mm, 9 mm)", "no ring fits"),
        ("-300 °C", "below absolute zero"),
        ("-500 °F", "below absolute zero"),
        ("-1 bar absolute", "below vacuum"),
        ("-2 bar gauge", "below vacuum"),
        ("2 bar vacuum", "below vacuum"),
        ("1 bar absolute - 2 bar difference", "below vacuum"),
        ("air_mass(-1 l, 8 bar gauge)", "outside what it can be"),
        ("10^-100000", "too small"),
        ("(1e-50)^7", "too small"),
        ("choked_flow(1 mm2, 0.5 bar gauge)", "speed of sound"),
        ("choked_flow(1 mm2, 9 bar absolute, 0.8, 20 °C, 6 bar absolute)", "speed of sound"),
        ("retained_share(5 bar gauge, 6 bar gauge)", "above the first"),
        ("air_per_shot(1 l, 5 bar gauge, 6 bar gauge)", "above the first"),
        ("isentropic_temperature(8 bar gauge, 0 bar absolute)", "outside what it can be"),
        ("isentropic_temperature(8 bar gauge, 2 bar gauge, 0 K)", "outside what it can be"),
        ("spring_rate(1 mm, 1.5 mm, 6, 80 GPa)", "too tight"),
        ("1 / 0", "nothing can be divided by nought"),
        ("1000 fps", "before `fps`"),
        ("circle_area(1 mm, 2 mm)", "takes 1 argument and"),
    ] {
        let fault = fault(text);
        assert!(fault.message.contains(words), "{text}: {fault:?}");
    }
    assert_eq!(fault("2 fps").help.as_deref(), Some("write `ft/s` or `frames/s`"));
    assert_eq!(
        si("choked_flow(1 mm2, 9 bar absolute)"),
        si("choked_flow(1 mm2, 9 bar absolute, 1, 20 °C, 4 bar absolute)")
    );
}

/// Neither end is the truth: the value lies between, its ± and its worst case reach both, and a
/// claim that only one end bears out is not certain.
#[test]
fn a_model_with_two_ends_tells_both() {
    let call = |name: &str| format!("{name}(22 cm3, 0.5 mm2, 9 bar absolute, 3 bar absolute, 0.8)");
    let [low, high] = ["vent_time_adiabatic", "vent_time_isothermal"].map(|name| si(&call(name)));
    let text = call("vent_time");
    let found = worst_case(&parse(&text).expect("parses"), &NoNames, &Conventions::default());
    let found = found.expect("a range");
    assert!((found.low.to_f64() / low - 1.0).abs() < 1e-9);
    assert!((found.high.to_f64() / high - 1.0).abs() < 1e-9);
    let value = worked_out(&text, &NoNames).expect("a value");
    assert!((value.quantity.si.to_f64() / (0.5 * (low + high)) - 1.0).abs() < 1e-12);
    assert!(0.5 * (high - low) < 2.0 * standard_uncertainty(&value, &NoNames));
    let claim = |limit: f64| truth(&format!("{text} < {limit} s"), &NoNames);
    assert_eq!(claim(high * 1.01), Truth::True(Margin::Certain));
    assert_eq!(claim(high * 0.99), Truth::True(Margin::WithinUncertainty));
    assert_eq!(claim(low * 1.01), Truth::False(Margin::WithinUncertainty));
    assert_eq!(claim(low * 0.99), Truth::False(Margin::Certain));
    // The walls are the same on both sides of a minus.
    let same = worked_out(&format!("{text} - {text}"), &NoNames).expect("a value");
    assert_eq!(standard_uncertainty(&same, &NoNames), 0.0);
}
