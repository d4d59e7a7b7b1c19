//! What is proposed to whoever took a wrong word.

use super::support::read;

/// The text underlined by the one slip, its message, and what it proposes.
fn told(text: &str) -> (String, String, String) {
    let (_, slips) = read(text);
    assert_eq!(slips.len(), 1, "{slips:?}");
    let helps = slips[0].helps.iter().map(|help| help.text.as_str());
    (slips[0].spot.text().to_owned(), slips[0].message.clone(), helps.collect())
}

fn changed(line: &str) -> String {
    format!("cutaway ash  based on rowan\n{line}\n")
}

#[test]
fn a_line_at_the_edge_of_the_page_is_to_be_indented() {
    for line in ["face nose  in store  pushes back", "spring  pushes back", "rests back"] {
        let (_, _, help) = told(&changed(line));
        assert_eq!(help, "indent it: it belongs to the `moving` or `valve` above", "{line}");
    }
    let (_, _, help) = told(&changed("fct store larger than tube  (seen)"));
    assert!(help.contains("fact"), "{help}");
}

#[test]
fn what_sounds_like_a_supply_is_proposed_as_one() {
    let help = |name: &str| {
        let text = "cutaway rig\nchamber room\nway nose  from room to open_air\n";
        told(&format!("{text}way fill  from {name} to room  narrow\n")).2
    };
    assert_eq!(help("line"), "add `supply line`, or `regulator … from bottle to line`");
    assert_eq!(
        help("shop_mains"),
        "add `supply shop_mains`, or `regulator … from bottle to shop_mains`"
    );
    assert_eq!(help("bottle"), "add `supply bottle`");
    assert!(help("air").contains("`open_air`"));
    assert_eq!(help("pilot_line"), "add `chamber pilot_line`");
}

#[test]
fn a_name_written_as_it_is_spoken_is_put_together() {
    let valve = |joins: &str| {
        let states =
            format!("  rest joins nothing\n  shifted joins {joins}\n  shifts while trigger");
        told(&changed(&format!("valve dump  2/2  mechanical\n{states}")))
    };
    for joins in ["spring room to open_air", "line to spring room"] {
        let (at, message, help) = valve(joins);
        assert_eq!(at, "spring room");
        assert_eq!(message, "there is no chamber `spring room`: a name is one word");
        assert!(help.contains("spring_room"), "{help}");
    }
    // A part that is called as the first word is no chamber either.
    let (at, ..) = told(&changed("way extra  from line to switch room  narrow"));
    assert_eq!(at, "switch room");
}

#[test]
fn of_valves_no_fact_is_needed() {
    let (at, message, help) = told(&changed("fact pilot wider than metering  (seen)"));
    assert_eq!(at, "pilot");
    assert_eq!(message, "`pilot` is a valve, and a valve always counts as wide");
    assert_eq!(help, "leave the fact out: it is not needed");
}

#[test]
fn the_spring_of_a_valve_is_named_by_the_valve() {
    let lines = "variant limp \"its spring is broken\"\n  broken pilot.return_spring";
    let (at, message, help) = told(&changed(lines));
    assert_eq!(at, "pilot.return_spring");
    assert_eq!(message, "the spring of the valve `pilot` has no name of its own");
    assert!(help.contains("pilot"), "{help}");
}
