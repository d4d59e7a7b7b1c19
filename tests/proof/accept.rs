//! Proposals, accepted once: bindings that hold every later slip, and nothing that is not certain.

use super::support::{Texts, shown};
use gaugebook::proof::accept::{Edit, edited, edits};
use gaugebook::proof::{PageProof, Status};
use gaugebook::slip::Severity;
use gaugebook::text::Source;

const NAME: &str = "content/whistle.md";
const FRONT: &str = "---\ntitle: Whistle\nengine: whistle\nsources: {bench: {kind: measured}}\n\
                     readings_from: bench\nreadings:\n  overall_length: {is: 412 mm, called: [end \
                     to end]}\n  tube_bore: 18.3 mm\n  dart_diameter: 17.9 mm\n  dart_mass: 6.45 \
                     g\n  tank_pressure: {is: 9.20 bar, called: [tank]}\n  gate_pressure: {is: \
                     3.75 bar, called: [gate]}\nderived:\n  dart_gap: tube_bore - \
                     dart_diameter\n---\n\n";
/// Nobody who wrote this knew how figures are tied.
const BODY: &str = "Laid on the table it is 412 mm long (16.2 in). A dart weighs 6.45 g.\n\nThe \
                    tank gives 9.20 bar and the gate takes it down, a drop of 5.45 bar.\n\nWere you \
                    to feed it with 12.0 bar, the gate would chatter.\n";

fn judged(body: &str) -> (Texts, PageProof) {
    let mut texts =
        Texts { imprint: "title: Test bench\npressure: gauge\n".to_owned(), ..Texts::default() };
    texts.pages.insert(NAME.to_owned(), format!("{FRONT}{body}"));
    let (folio, _) = texts.index();
    let proof = texts.judge(&folio, NAME);
    (texts, proof)
}

fn accepted(body: &str) -> (String, Vec<Edit>) {
    let (texts, proof) = judged(body);
    let (folio, _) = texts.index();
    let source = Source::new(NAME, texts.pages[NAME].as_str());
    let edits = edits(&folio, 0, &source, &proof);
    let new = edited(&source.text, &edits);
    (new[FRONT.len()..].to_owned(), edits)
}

#[test]
fn what_is_certain_is_bound_and_nothing_else() {
    let (new, _) = accepted(BODY);
    for binding in [
        "[412 mm](by:overall_length) long ([16.2 in](by:overall_length))",
        "weighs [6.45 g](by:dart_mass)",
        "a drop of [5.45 bar](<by: tank_pressure - gate_pressure>)",
        "feed it with 12.0 bar",
    ] {
        assert!(new.contains(binding), "{binding} is not in\n{new}");
    }
}

#[test]
fn accepting_twice_changes_nothing_more() {
    let (new, first) = accepted(BODY);
    assert!(2 < first.len());
    let (again, second) = accepted(&new);
    assert_eq!((again.as_str(), second.len()), (new.as_str(), 0));
    let (_, proof) = judged(&new);
    assert!(
        proof.slips.iter().all(|slip| slip.severity != Severity::Stop),
        "{}",
        shown(&proof.slips)
    );
}

#[test]
fn every_slip_of_an_accepted_figure_stops() {
    let (new, edits) = accepted(BODY);
    for edit in edits {
        let at = new.find(&edit.text).unwrap();
        let digit = at + edit.text.find(|c: char| c.is_ascii_digit()).unwrap();
        let mut wrong = new.clone();
        let other = if &new[digit..=digit] == "7" { "2" } else { "7" };
        wrong.replace_range(digit..=digit, other);
        let (_, proof) = judged(&wrong);
        let stops = proof.slips.iter().any(|slip| slip.severity == Severity::Stop);
        assert!(stops, "{wrong}");
    }
}

#[test]
fn a_supposition_is_tied_to_nothing_and_marked_by_nothing() {
    let (_, proof) = judged("Were you to feed it with 9.70 bar, the gate would chatter.\n");
    assert_eq!(proof.slips.len(), 0, "{}", shown(&proof.slips));
    assert_eq!(proof.figures[0].1.status, Status::Supposition);
}

#[test]
fn a_value_without_words_is_proposed_and_not_counted_as_checked() {
    let (_, proof) = judged("Something about it measures 17.9 mm.\n");
    let figure = &proof.figures[0].1;
    assert_eq!((figure.status, figure.tied), (Status::Untied, None));
    assert_eq!(figure.proposals[0].formula, "dart_diameter");
}

/// Figures that are told as ratios, shares, forces in pounds and so many of one.
const TOLD: &str = "---\ntitle: Whistle\nengine: whistle\nsources: {bench: {kind: measured}}\n\
                    readings_from: bench\nreadings:\n  store_volume: {is: 320 ml, called: \
                    [store]}\n  plenum_volume: {is: 40 ml, called: [plenum]}\n  spare_volume: {is: 400 ml, called: [spare]}\n  fill_pressure: \
                    {is: 12.0 bar, called: [charge]}\n  relief_setting: {is: 15.0 bar, called: \
                    [relief]}\n  trigger_pull: 18 N\n  darts: \"6\"\n  dart_mass: 9 g\n  \
                    dart_speed: 38 m/s\n---\n\n";

#[test]
fn what_is_told_of_two_figures_is_bound_to_both() {
    let bound = |sentence: &str| {
        let mut texts = Texts {
            imprint: "title: Test bench\npressure: gauge\n".to_owned(),
            ..Texts::default()
        };
        texts.pages.insert(NAME.to_owned(), format!("{TOLD}{sentence}\n"));
        let (folio, _) = texts.index();
        let proof = texts.judge(&folio, NAME);
        let source = Source::new(NAME, texts.pages[NAME].as_str());
        let new = edited(&source.text, &edits(&folio, 0, &source, &proof));
        new[TOLD.len()..].trim_end().to_owned()
    };
    for (sentence, binding) in [
        (
            "The plenum is an eighth of the store.",
            "[an eighth](<by: plenum_volume / store_volume>)",
        ),
        ("Six darts sit in it. Together they weigh 54 g.", "[54 g](<by: darts * dart_mass>)"),
        ("The spare exceeds the store by 25 %.", "[25 %](<by: spare_volume / store_volume - 1>)"),
        (
            "The store is 20 % smaller than the spare.",
            "[20 %](<by: 1 - store_volume / spare_volume>)",
        ),
        (
            "The charge is 80 % of the relief.",
            "[80 %](<by: above_ambient(fill_pressure) / above_ambient(relief_setting)>)",
        ),
        ("Four pounds on the trigger and it lets go.", "[Four pounds](by:trigger_pull)"),
        ("38 m/s is 137 km/h.", "[38 m/s is 137 km/h](by:dart_speed)"),
    ] {
        let new = bound(sentence);
        assert!(new.contains(binding), "{binding} is not in\n{new}");
    }
    // Without a word for what is done, or where something is only supposed, nothing is bound.
    for sentence in
        ["A quarter of the village came.", "Pump on to 6 bar and it takes half the time."]
    {
        assert_eq!(bound(sentence), sentence);
    }
}

#[test]
fn a_share_of_what_is_named_is_worked_out_from_it() {
    let (new, _) = accepted("The lid lifts a quarter of the tube bore, 4.6 mm.\n");
    assert!(new.contains("[4.6 mm](<by: tube_bore / 4>)"), "{new}");
    let (_, proof) = judged("The lid lifts two thirds of the tube bore, 16.1 mm.\n");
    assert!(proof.slips.iter().all(|slip| slip.code != "near-miss"), "two thirds are no third");
    let (_, proof) = judged("The lid lifts a quarter of the tube bore, 44.6 mm.\n");
    let told: Vec<_> = proof.slips.iter().map(|slip| (slip.code, slip.severity)).collect();
    assert_eq!(told, [("near-miss", Severity::Mark)]);
}

#[test]
fn what_the_rounding_hides_is_no_part_of_a_result() {
    let (new, edits) = accepted("The dart lands 46 m out, past the end of the tank.\n");
    assert!(edits.is_empty(), "{new}");
}
