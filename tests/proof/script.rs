//! Scripts and subtitles, judged from the command line.

use super::support::{here, same_as};
use serde_json::Value;
use std::process::Command;

fn run(file: &str, more: &[&str]) -> (String, Option<i32>) {
    let folder = here().join("script");
    let output = Command::new(env!("CARGO_BIN_EXE_gaugebook"))
        .current_dir(&folder)
        .args(["proof", ".", "--script", file, "--engine", "rowan"])
        .args(more)
        .output()
        .unwrap();
    (String::from_utf8(output.stdout).unwrap(), output.status.code())
}

fn slips(file: &str) -> Vec<(String, String, u64, u64, String)> {
    let (out, code) = run(file, &["--format", "json"]);
    assert_eq!(code, Some(1));
    let told: Value = serde_json::from_str(&out).unwrap();
    let text = |slip: &Value, key: &str| slip[key].as_str().unwrap().to_owned();
    let number = |slip: &Value, key: &str| slip[key].as_u64().unwrap();
    let slips = told["slips"].as_array().unwrap().iter();
    let all = slips.map(|slip| {
        let place = (number(slip, "line"), number(slip, "column"));
        (text(slip, "code"), text(slip, "text"), place.0, place.1, text(slip, "message"))
    });
    all.collect()
}

#[test]
fn a_spoken_slip_is_found_where_it_is_said() {
    let slips = slips("spoken.txt");
    let [(code, text, line, column, _)] = slips.as_slice() else { panic!("{slips:?}") };
    let found = (code.as_str(), text.as_str(), *line, *column);
    assert_eq!(found, ("figure-disagrees", "zero point eight millimetres", 7, 39));
}

#[test]
fn slips_in_subtitles_say_when_they_are_heard() {
    let slips = slips("take.vtt");
    let found: Vec<(&str, u64)> =
        slips.iter().map(|(code, _, line, ..)| (code.as_str(), *line)).collect();
    assert_eq!(found, [("figure-disagrees", 15), ("figure-disagrees", 18)]);
    assert!(slips[0].4.starts_with("at 00:00:06.000: "), "{}", slips[0].4);
    assert_eq!(slips[1].1, "0.053 in");
    assert!(slips[1].4.starts_with("at 00:00:08.250: "), "{}", slips[1].4);
    let (shown, _) = run("take.vtt", &["--all"]);
    same_as(&here().join("script/slips.txt"), &shown);
}

#[test]
fn an_engine_that_is_not_there_is_told() {
    let output = Command::new(env!("CARGO_BIN_EXE_gaugebook"))
        .current_dir(here().join("script"))
        .args(["proof", ".", "--script", "spoken.txt", "--engine", "rowen"])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    let told = String::from_utf8(output.stderr).unwrap();
    assert!(told.contains("`rowen`") && told.contains("rowan"), "{told}");
}

#[test]
fn a_script_prints_what_it_says_and_holds_to_what_it_is_bound_to() {
    let (said, code) = run("bound.vtt", &["--print"]);
    assert_eq!(code, Some(0), "{said}");
    let (head, last) = said.split_once("\n2\n").unwrap();
    assert!(head.ends_with("A hole of nought point nine, and\n"), "{said}");
    assert!(last.contains("it works on 128\u{a0}psi. The rest\nis twenty seven\nmillimetres of"));
    let (told, _) = run("bound.vtt", &[]);
    assert!(
        told.contains("2 of 2 figures and statements of the talk were judged (100 %)"),
        "{told}"
    );
    let (folder, file) = (here().join("script"), "wrong.vtt");
    let scratch = tempfile::tempdir().unwrap();
    let wrong = std::fs::read_to_string(folder.join("bound.vtt")).unwrap();
    let path = scratch.path().join(file);
    std::fs::write(&path, wrong.replace("twenty seven", "twenty six")).unwrap();
    let (told, code) = run(path.to_str().unwrap(), &["--print", "--format", "json"]);
    assert_eq!(code, Some(1));
    let told: Value = serde_json::from_str(&told).unwrap();
    let slip = &told["slips"][0];
    assert_eq!((&slip["code"], slip["line"].as_u64()), (&"binding-disagrees".into(), Some(10)));
    assert!(slip["message"].as_str().unwrap().starts_with("at 00:00:03.500"), "{slip}");
}
