//! The program itself: `gaugebook reckon`.

use super::program;
use std::process::Output;

pub(crate) fn reckon(arguments: &[&str], input: &str) -> Output {
    program::run(&[&["reckon"], arguments].concat(), input.as_bytes())
}

pub(crate) fn out(arguments: &[&str]) -> String {
    String::from_utf8(reckon(arguments, "").stdout).expect("UTF-8")
}

/// The JSON objects of `--lines`.
pub(crate) fn lines(arguments: &[&str], input: &str) -> Vec<String> {
    let mut all = vec!["--lines"];
    all.extend(arguments);
    let output = reckon(&all, input);
    String::from_utf8(output.stdout).expect("UTF-8").lines().map(str::to_owned).collect()
}

/// 128 psi = 128 × 0.45359237 × 9.80665 / 0.0254² Pa, from the exact definitions in NIST SP 811.
#[test]
fn a_conversion_keeps_its_digits() {
    assert_eq!(
        out(&["128 psi", "--as", "bar", "--format", "json"]),
        "{\"formula\":\"128 psi\",\"value\":8.825289335255502511,\"exact\":true,\"unit\":\"bar\",\
         \"kind\":null,\"reference\":null,\"plus_minus\":null}\n"
    );
    assert_eq!(out(&["1 1/16 in", "--as", "mm"]), "26.9875 mm\n");
    assert_eq!(out(&["-40 °C", "--as", "[degF]"]), "−40 °F\n");
    assert_eq!(out(&["0.90 mm ± 0.02 mm"]), "0.900 ± 0.020 mm\n");
}

#[test]
fn references_are_converted_with_the_ambient_pressure() {
    let absolute = |ambient| out(&["8 bar gauge", "--as", "bar absolute", "--ambient", ambient]);
    assert_eq!(absolute("101.325 kPa"), "9.01325 bar absolute\n");
    assert_eq!(absolute("95 kPa"), "8.95 bar absolute\n");
    let bare = ["8 bar", "--as", "psia", "--pressure", "gauge", "--format", "json"];
    assert!(out(&bare).contains("\"reference\":\"absolute\""), "{}", out(&bare));
    let undeclared = reckon(&["8 bar", "--as", "psia"], "");
    assert_eq!(undeclared.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&undeclared.stderr).contains("reference not declared"));
}

#[test]
fn a_bad_line_does_not_end_the_run() {
    let found = lines(&[], "2 +\n1 in\tmm\n\n3 J\t--as N.m\n1 ft/s\t--as m/s\n");
    assert_eq!(found.len(), 5);
    assert!(
        found[0].contains("\"error\":{\"message\":\"the formula breaks off here\",\"start\":3")
    );
    assert!(found[1].contains("\"value\":25.4,\"exact\":true,\"unit\":\"mm\""));
    assert!(found[2].contains("the formula is empty"));
    assert!(found[3].contains("torque"));
    assert!(found[4].contains("\"value\":0.3048,"));
    for line in &found {
        let _: serde_json::Value = serde_json::from_str(line).expect(line);
    }
}

/// 128 psi are 8.825 bar (NIST SP 811); NIST SP 811 B.7.2: a written value stands for what rounds
/// to it.
#[test]
fn a_statement_is_judged() {
    let judged = |states: &str| {
        let output = reckon(&["128 psi", "--states", states, "--format", "json"], "");
        let answer: serde_json::Value =
            serde_json::from_slice(&output.stdout).expect("one JSON object");
        (answer["verdict"].clone(), answer["proposal"].clone(), output.status.code())
    };
    assert_eq!(judged("8.83 bar"), ("agree".into(), serde_json::Value::Null, Some(0)));
    assert_eq!(judged("8.38 bar"), ("disagree".into(), "8.83 bar".into(), Some(1)));
    assert_eq!(judged("9 mm").0, "incomparable");
    let lines =
        lines(&[], "128 psi\tbar\t8.83 bar\n(0.9 mm)^2 * pi / 4\t--states 0.64 mm2\t--as mm2\n");
    for line in lines {
        assert!(line.contains("\"verdict\":\"agree\""), "{line}");
    }
}

/// A reading with its ± makes a statement lenient that its nominal value alone would not bear.
#[test]
fn the_uncertainty_of_the_inputs_is_given_the_benefit_of_the_doubt() {
    let verdict = |formula: &str| {
        let output = out(&[formula, "--states", "0.66 mm2", "--format", "json"]);
        let answer: serde_json::Value = serde_json::from_str(&output).expect("one JSON object");
        answer["verdict"].clone()
    };
    assert_eq!(verdict("circle_area(0.90 mm)"), "disagree");
    assert_eq!(verdict("circle_area(0.90 mm ± 0.02 mm)"), "lenient");
}

#[test]
fn how_the_program_ends() {
    let code = |arguments: &[&str]| reckon(arguments, "").status.code();
    assert_eq!(code(&["1 mm"]), Some(0));
    assert_eq!(code(&["1 mm +"]), Some(1));
    assert_eq!(code(&["1 mm", "--as", "furlong"]), Some(2));
    assert_eq!(code(&["1 mm", "--ambient", "12 mm"]), Some(2));
    assert_eq!(code(&["1 mm", "--format", "picture"]), Some(2));
    assert_eq!(code(&[]), Some(2));
}

#[test]
fn a_fault_is_shown_under_its_formula() {
    let output = reckon(&["2 * circel_area(1 mm)"], "");
    assert_eq!(
        String::from_utf8_lossy(&output.stderr),
        "there is no function `circel_area`\n    2 * circel_area(1 mm)\n        ‾‾‾‾‾‾‾‾‾‾‾\n  to do         did you \
         mean circle_area(diameter)?\n"
    );
}
