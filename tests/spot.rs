//! `gaugebook spot` as other programs use it: JSON members, offsets, exit codes.

#![allow(clippy::expect_used)] // helpers of tests fail like tests

use serde_json::Value;
use std::process::Output;

#[path = "program/mod.rs"]
mod program;

fn spot(arguments: &[&str], input: &[u8]) -> Output {
    program::run(&[&["spot"], arguments].concat(), input)
}

fn json(arguments: &[&str], input: &str) -> Value {
    let output = spot(arguments, input.as_bytes());
    serde_json::from_slice(&output.stdout).expect("JSON")
}

fn out(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

#[test]
fn figures_come_with_all_promised_members() {
    let text = "Réglé à 0.90 mm ± 0.02 mm, at least 128 psi (8.83 bar), 6–12 bar, about 3/8 in.";
    let found = json(&["--format", "json"], text);
    let found = found.as_array().expect("an array");
    let names = "text start end value lo hi unit reference kind hedge pair";
    for figure in found {
        let (start, end) = (figure["start"].as_u64(), figure["end"].as_u64());
        let (start, end) = (start.expect("a number") as usize, end.expect("a number") as usize);
        assert_eq!(figure["text"], text[start..end]);
        for name in names.split(' ') {
            assert!(figure.get(name).is_some(), "{name} is missing in {figure}");
        }
    }
    let column = |name: &str| -> Vec<String> {
        found.iter().map(|figure| figure[name].to_string()).collect()
    };
    assert_eq!(column("value"), ["0.9", "128", "8.83", "null", "0.375"]);
    assert_eq!(column("lo"), ["0.88", "128", "8.83", "6", "null"]);
    assert_eq!(column("hi"), ["0.92", "null", "null", "12", "null"]);
    assert_eq!(column("unit"), ["\"mm\"", "\"[psi]\"", "\"bar\"", "\"bar\"", "\"[in_i]\""]);
    assert_eq!(column("hedge"), ["false", "false", "false", "false", "true"]);
    assert_eq!(column("pair"), ["null", "\"a\"", "\"a\"", "null", "null"]);
    assert!(found[1].get("verdict").is_none());
    // A converted minimum is rounded up: 128 psi is 8.8253 bar (NIST SP 811: 1 psi is 6894.757 Pa).
    assert_eq!(found[2]["verdict"], "agree");
    assert!(found[2].get("reason").is_some() && found[2].get("proposal").is_some());
}

#[test]
fn numbers_keep_every_digit() {
    let text = spot(&["--format", "json"], b"0.1234567890123456789 mm, 1.5e-3 kg, .5 g");
    let text = out(&text);
    for member in ["\"value\":0.1234567890123456789,", "\"value\":0.0015,", "\"value\":0.5,"] {
        assert!(text.contains(member), "{member} in {text}");
    }
}

#[test]
fn a_pair_that_disagrees_ends_with_one() {
    let wrong = spot(&["--format", "json"], b"It opens at 182 psi (8.83 bar).");
    assert_eq!(wrong.status.code(), Some(1));
    let right = spot(&["--format", "json"], b"It opens at 128 psi (8.83 bar).");
    assert_eq!(right.status.code(), Some(0));
    let none = spot(&["--format", "json"], b"Nothing here.");
    assert_eq!((none.status.code(), out(&none).as_str()), (Some(0), "[]\n"));
}

#[test]
fn each_line_is_its_own_text() {
    let output = spot(&["--lines"], b"8 bar\r\n\nno figure\nabout 9 mm\n");
    let text = out(&output);
    let counts: Vec<usize> = text
        .lines()
        .map(|line| serde_json::from_str::<Vec<Value>>(line).expect("an array").len())
        .collect();
    assert_eq!(counts, [1, 0, 0, 1]);
    assert!(text.contains("\"start\":6"), "{text}");
}

#[test]
fn options_say_what_the_text_leaves_open() {
    let gauge = json(&["--format", "json", "--pressure", "gauge"], "8 bar, a drop of 2 bar, 3 mm");
    assert_eq!(gauge[0]["reference"], "gauge");
    assert_eq!(gauge[1]["reference"], "difference");
    assert_eq!(gauge[2]["reference"], Value::Null);
    let comma = json(&["--format", "json", "--decimal-comma"], "2,5 mm");
    assert_eq!(comma[0]["value"].to_string(), "2.5");
    let spoken = json(&["--format", "json", "--spoken"], "eight point eight bar");
    assert_eq!(spoken[0]["value"].to_string(), "8.8");
}

#[test]
fn what_cannot_run_says_why() {
    for (arguments, input, says) in [
        (&["--format", "json"][..], &b"8 bar \xff"[..], "byte 6"),
        (&["--lines"][..], &b"8 bar\n\xff\n"[..], "line 2"),
        (&["--ambient", "12 mm"][..], &b"8 bar"[..], "--ambient '12 mm'"),
        (&["--ambient", "0 bar"][..], &b"8 bar"[..], "--ambient '0 bar'"),
        (&["--pressure", "up"][..], &b"8 bar"[..], "gauge"),
    ] {
        let output = spot(arguments, input);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        let errors = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(errors.contains(says), "{errors}");
    }
}

#[test]
fn people_get_places_and_verdicts() {
    let output = spot(&[], "About 8 bar.\nBored to 2,5 mm; 182 psi (8.83 bar).".as_bytes());
    let text = out(&output);
    for part in ["1:7  8 bar", "2:10  ambiguous-number", "2:18  182 psi", "disagree"] {
        assert!(text.contains(part), "{part} in {text}");
    }
}
