//! What is said without a name in full: rings by their place, dates by their event, a ± of its own,
//! numbers without units, engines side by side, and all of it spoken. Of each pair of texts the
//! first is right and the second has one slip.

use super::support::{Texts, shown};
use gaugebook::proof::speech;
use gaugebook::slip::{Severity, Slip};
use gaugebook::text::Source;

const TAPPER: &str = "---\ntitle: Tapper\nengine: tapper\nsources: {bench: {kind: measured}}\n\
                      readings_from: bench\nreadings:\n  tube_bore: {is: 18.3 mm, called: [bore]}\n  \
                      tank_pressure: {is: 9.20 bar, called: [tank]}\n  gate_pressure: {is: 3.75 \
                      bar, called: [gate]}\n  vent_setting: {is: 11.0 ± 0.4 bar, called: [vent]}\n  \
                      plunger_lift: {is: 2.6 mm, called: [lift]}\n  plunger_time: {is: 14 ms, \
                      called: [pulse]}\n  tail_ring: {is: -014, called: [tail o-ring]}\n  \
                      neck_ring: {is: -110, called: [neck o-ring]}\n  \
                      flask_volume: {is: 65 mL, called: [flask]}\n  lip_bore: {is: 12.4 mm, \
                      called: [lip]}\n  tube_length: 310 mm\nderived:\n  pressure_loss: \
                      tank_pressure - gate_pressure\ntimeline:\n  - {on: 2027-04-18, what: the \
                      soak test in the pond, kind: happened, from: bench}\n  - {on: 2027-06-03, \
                      what: shown at the saw fair, kind: shown, by: the crew, from: bench}\n---\n\n";
const HAMMER: &str = "---\ntitle: Hammer\nengine: hammer\nsources: {bench: {kind: measured}}\n\
                      readings_from: bench\nreadings:\n  tube_bore: {is: 21.5 mm, called: [bore]}\n  \
                      tank_pressure: {is: 7.60 bar, called: [tank]}\n---\n\n";
const TOGETHER: &str = "---\ntitle: Two of them\ncompare: [tapper, hammer]\n---\n\n";
const IMPRINT: &str = "title: Test bench\npressure: gauge\n";

fn texts() -> Texts {
    let mut texts = Texts { imprint: IMPRINT.to_owned(), ..Texts::default() };
    texts.pages.insert("content/hammer.md".to_owned(), HAMMER.to_owned());
    texts.pages.insert("content/tapper.md".to_owned(), TAPPER.to_owned());
    texts
}

fn slips(name: &str, front: &str, body: &str) -> Vec<Slip> {
    let mut texts = texts();
    texts.pages.insert(name.to_owned(), format!("{front}{body}\n"));
    let (folio, _) = texts.index();
    let slips = texts.judge(&folio, name).slips.into_iter();
    slips.filter(|slip| front.len() <= slip.spot.span.start).collect()
}

fn caught(slips: &[Slip]) -> Vec<(&str, &str)> {
    let told = slips.iter().filter(|s| s.severity == Severity::Stop || s.code == "near-miss");
    told.map(|slip| (slip.code, slip.spot.text())).collect()
}

/// Holds pairs of a right and a wrong text against what the wrong one trips.
fn hold(name: &str, front: &str, pairs: &[(&str, &str, &str, &str)]) {
    for (right, wrong, code, at) in pairs {
        let clean = slips(name, front, right);
        assert!(caught(&clean).is_empty(), "{right}\n{}", shown(&clean));
        let found = slips(name, front, wrong);
        assert_eq!(caught(&found), [(*code, *at)], "{wrong}\n{}", shown(&found));
    }
}

#[test]
fn a_ring_is_known_by_its_place() {
    let pairs = [
        ("Tail: dash-014, gone flat.", "Tail: dash-041, gone flat.", "near-miss", "dash-041"),
        ("The neck wants a dash-110.", "The neck wants a dash-210.", "near-miss", "dash-210"),
    ];
    hold("content/tapper.md", TAPPER, &pairs);
    let history = "Somebody had put a dash-015 on the tail once.";
    assert!(caught(&slips("content/tapper.md", TAPPER, history)).is_empty());
}

#[test]
fn a_date_is_that_of_its_event() {
    let pairs = [
        (
            "We did the soak test on 18 April.",
            "We did the soak test on 8 April.",
            "date-disagrees",
            "8 April",
        ),
        (
            "By 3 June, 46 days after the pond of 18 April, it was fit to be seen.",
            "By 30 June, 46 days after the pond of 18 April, it was fit to be seen.",
            "near-miss",
            "30 June",
        ),
        (
            "The fair was on 3 June, 46 days after the test.",
            "The fair was on 3 June, 64 days after the test.",
            "near-miss",
            "64 days",
        ),
    ];
    hold("content/tapper.md", TAPPER, &pairs);
    let other = "I wrote this on 25 December and have nothing to add.";
    assert!(caught(&slips("content/tapper.md", TAPPER, other)).is_empty());
}

#[test]
fn a_tolerance_of_its_own_is_that_of_the_reading_named() {
    let table = |limit: &str| {
        format!("| What | Value | Limits |\n|---|---|---|\n| Vent | 11.0 bar | {limit} |")
    };
    for right in ["± 0.4 bar", "give or take 0.4", "± 0.4"] {
        let clean = slips("content/tapper.md", TAPPER, &table(right));
        assert!(caught(&clean).is_empty(), "{right}\n{}", shown(&clean));
    }
    for wrong in ["± 0.6 bar", "give or take 4", "± 0.04"] {
        let found = slips("content/tapper.md", TAPPER, &table(wrong));
        assert_eq!(caught(&found), [("figure-disagrees", wrong)], "{}", shown(&found));
    }
    for idiom in ["a quarter", "four tenths", "forty hundredths"] {
        let idiom = format!("The vent lifts at 11.0 bar, give or take {idiom}.");
        assert!(caught(&slips("content/tapper.md", TAPPER, &idiom)).is_empty(), "{idiom}");
    }
}

#[test]
fn how_far_a_value_is_sure_is_not_the_value() {
    for sure in [
        "The setting of the vent is good to within 0.3 bar.",
        "The tank is held within half a bar.",
        "The bore is known to 0.05 mm.",
    ] {
        let found = slips("content/tapper.md", TAPPER, sure);
        let stops = caught(&found).into_iter().filter(|(code, _)| *code == "figure-disagrees");
        assert_eq!(stops.count(), 0, "{}", shown(&found));
    }
}

#[test]
fn each_of_two_numbers_counts_what_stands_behind_it() {
    const TALLY: &str = "---\ntitle: Tally\nengine: tally\nsources: {bench: {kind: measured}}\n\
                         readings_from: bench\nreadings:\n  \
                         throws: {is: \"180\", called: [sacks thrown]}\n  \
                         failures: {is: \"4\", called: [jams]}\n---\n\n";
    for right in ["180 sacks thrown and 4 jams.", "There were 180 sacks thrown and 4 jams."] {
        let found = slips("content/tally.md", TALLY, right);
        assert!(caught(&found).is_empty(), "{}", shown(&found));
    }
    let found = slips("content/tally.md", TALLY, "180 sacks thrown and 5 jams.");
    assert!(!caught(&found).is_empty());
}

#[test]
fn a_result_of_what_was_just_stated_is_asked_about() {
    let pairs = [
        (
            "The tank is at 9.20 bar and the vent lifts at 11.0, so 1.80 bar lie between.",
            "The tank is at 9.20 bar and the vent lifts at 11.0 bar, leaving 8.10 bar.",
            "near-miss",
            "8.10 bar",
        ),
        (
            "The tank is at 9.20 bar, more than the 3.75 bar of the gate by 5.45 bar.",
            "The tank is at 9.20 bar, more than the 3.75 bar of the gate by 4.55 bar.",
            "near-miss",
            "4.55 bar",
        ),
        ("The gate is at 3.75 bar.", "The gate is at 1 bar.", "figure-disagrees", "1 bar"),
    ];
    hold("content/tapper.md", TAPPER, &pairs);
    // What is left may be of something that was not stated.
    for other in ["The pulse of the lamp leaves 21 ms.", "There is a ladder 2 m off the tank."] {
        assert!(caught(&slips("content/tapper.md", TAPPER, other)).is_empty(), "{other}");
    }
}

#[test]
fn a_ratio_in_words_is_held_against_what_it_is_plainly_said_of() {
    let pairs = [
        (
            "The tube has 18.3 mm, all in all half as much again as the lip.",
            "The tube has 18.3 mm, all in all three times as much as the lip.",
            "near-miss",
            "three times",
        ),
        (
            "By eye the lip, with 12.4 mm, has not quite half the area of the bore.",
            "By eye the lip, with 12.4 mm, has not quite twice the area of the bore.",
            "near-miss",
            "twice",
        ),
    ];
    hold("content/tapper.md", TAPPER, &pairs);
    // What would be, a part of what nobody names, and what has another measure.
    for open in [
        "A lip of 9 mm would be twice the bore.",
        "The lip has 12.4 mm, a third of its length.",
        "The flask holds 65 mL, half the bore of a hose.",
    ] {
        assert_eq!(caught(&slips("content/tapper.md", TAPPER, open)), [], "{open}");
    }
}

#[test]
fn a_pressure_that_counts_from_vacuum_is_held_as_one() {
    let pairs = [(
        "The tank holds 9.20 bar, that is to say 10.21 bar counted from vacuum.",
        "The tank holds 9.20 bar, that is to say 8.19 bar counted from vacuum.",
        "near-miss",
        "8.19 bar",
    )];
    hold("content/tapper.md", TAPPER, &pairs);
    let bound = "The tank holds [10.21 bar](by:tank_pressure) counted from a vacuum.";
    assert!(caught(&slips("content/tapper.md", TAPPER, bound)).is_empty());
}

#[test]
fn what_one_engine_takes_is_set_beside_what_the_other_does() {
    let pairs = [(
        "It takes the Tapper 9.20 bar to wake and the Hammer 7.60 bar.",
        "It takes the Tapper 4.40 bar to wake and the Hammer 7.60 bar.",
        "near-miss",
        "4.40 bar",
    )];
    hold("content/two.md", TOGETHER, &pairs);
    // A fall is no range.
    let falls = "What is left falls, from 9.20 bar to 7.60 bar, from one to the other.";
    let found = slips("content/two.md", TOGETHER, falls);
    assert!(!found.iter().any(|slip| slip.code == "figure-lenient"), "{}", shown(&found));
}

#[test]
fn of_two_stated_figures_one_is_more_as_written() {
    let pairs = [
        (
            "The tank falls to 7.10 bar, well above the 3.75 bar of the gate.",
            "The tank falls to 7.10 bar, well below the 3.75 bar of the gate.",
            "near-miss",
            "below",
        ),
        (
            "The tank holds 9.20 bar and the gate 3.75 bar, all in all 59 % less.",
            "The tank holds 9.20 bar and the gate 3.75 bar, all in all 27 % less.",
            "near-miss",
            "27 %",
        ),
    ];
    hold("content/tapper.md", TAPPER, &pairs);
    // A difference is above something, and is not itself compared.
    let open = "That is 1.80 bar above the 9.20 bar of the tank.";
    assert_eq!(caught(&slips("content/tapper.md", TAPPER, open)), []);
}

#[test]
fn what_two_do_together_is_no_slip_of_one() {
    let front = TAPPER
        .replace("  tube_length:", "  pause_time: {is: 36 ms, called: [pause]}\n  tube_length:");
    let both = "The pulse and the pause together take 50 ms.";
    assert!(caught(&slips("content/tapper.md", &front, both)).is_empty());
    let short = "The gate is 5.45 bar short of the tank.";
    assert!(caught(&slips("content/tapper.md", TAPPER, short)).is_empty());
}

#[test]
fn a_difference_that_is_bound_goes_the_way_that_words_say() {
    let by = "[5.45 bar](<by: tank_pressure - gate_pressure>)";
    let right = format!("The tank stands {by} above the gate.");
    let wrong = format!("The tank stands {by} below the gate.");
    let share = "[59 %](<by: 1 - above_ambient(gate_pressure) / above_ambient(tank_pressure)>)";
    let less = format!("The gate holds, all in all, {share} less than the tank.");
    let more = format!("The gate holds, all in all, {share} more than the tank.");
    let pairs = [
        (right.as_str(), wrong.as_str(), "statement-false", "below"),
        (less.as_str(), more.as_str(), "statement-false", "more"),
    ];
    hold("content/tapper.md", TAPPER, &pairs);
    let by = "[1.60 bar](<by: tapper.tank_pressure - hammer.tank_pressure>)";
    let right = format!("What the Hammer holds is {by} lower, and it shows.");
    let wrong = format!("What the Hammer holds is {by} higher, and it shows.");
    hold("content/two.md", TOGETHER, &[(&right, &wrong, "statement-false", "higher")]);
    // The clause says what it speaks of, with "than" or without.
    let by = "[5.45 bar](<by: tank_pressure - gate_pressure>)";
    let pairs = [
        (
            format!("By gauge, the gate is lower by {by}."),
            format!("By gauge, the gate is higher by {by}."),
        ),
        (
            format!("Ours, the gate stands {by} lower and hisses."),
            format!("Ours, the gate stands {by} higher and hisses."),
        ),
        (
            format!("The tank holds 9.20 bar, which is {by} above the gate."),
            format!("The tank holds 9.20 bar, which is {by} below the gate."),
        ),
    ];
    let pairs: Vec<_> = pairs
        .iter()
        .map(|(right, wrong)| {
            let at = if wrong.contains("below") { "below" } else { "higher" };
            (right.as_str(), wrong.as_str(), "statement-false", at)
        })
        .collect();
    hold("content/tapper.md", TAPPER, &pairs);
    // What would be, what is denied, and what names neither.
    for open in [
        format!("It would stand {by} below the gate."),
        format!("The tank is no lower, by {by}, than the gate."),
        format!("That is {by} below the mark on the dial."),
    ] {
        assert!(caught(&slips("content/tapper.md", TAPPER, &open)).is_empty(), "{open}");
    }
}

#[test]
fn a_sentence_is_held_against_the_claim_that_it_is_bound_to() {
    let pairs = [
        (
            "[The gate makes do with half.](claim: \"gate_pressure < 5 bar\")",
            "[The tank makes do with half.](claim: \"tank_pressure < 5 bar\")",
            "claim-false",
            "The tank makes do with half.",
        ),
        (
            "| a | b |\n|---|---|\n| x | [less](claim: \"gate_pressure < tank_pressure\") |",
            "| a | b |\n|---|---|\n| x | [more](claim: \"gate_pressure > tank_pressure\") |",
            "claim-false",
            "more",
        ),
        (
            "[It never sees 12 bar.](claim: \"tank_pressure < 12 bar\")",
            "[It never sees 12 bar.](claim: \"tank_presure < 12 bar\")",
            "unknown-name",
            "tank_presure",
        ),
    ];
    hold("content/tapper.md", TAPPER, &pairs);
    // Only the very figure of the formula is accounted for.
    let other = "[It never sees 2 bar.](claim: \"tank_pressure < 12 bar\")";
    let found = slips("content/tapper.md", TAPPER, other);
    assert!(found.iter().any(|slip| slip.spot.text() == "2 bar"), "{}", shown(&found));
    let same = slips("content/tapper.md", TAPPER, pairs[2].0);
    assert!(same.is_empty(), "{}", shown(&same));
}

#[test]
fn a_page_of_several_engines_speaks_of_the_one_it_named() {
    let pairs = [
        (
            "The Tapper has a bore of 18.3 mm; that of the Hammer is 21.5 mm.",
            "The Tapper has a bore of 18.3 mm; that of the Hammer is 25.1 mm.",
            "figure-disagrees",
            "25.1 mm",
        ),
        (
            "| | Tapper | Hammer |\n|---|---|---|\n| Bore, mm | 18.3 | 21.5 |",
            "| | Tapper | Hammer |\n|---|---|---|\n| Bore, mm | 21.5 | 21.5 |",
            "figure-disagrees",
            "21.5",
        ),
    ];
    hold("content/two.md", TOGETHER, &pairs);
    // Nothing says which is meant, or both are.
    for open in [
        "The bore is 18.3 mm here.",
        "Where the Tapper has a bore of 18.3 mm the Hammer makes do with 21.5.",
    ] {
        assert!(caught(&slips("content/two.md", TOGETHER, open)).is_empty(), "{open}");
    }
}

fn heard(text: &str, engine: &str) -> Vec<Slip> {
    let (folio, _) = texts().index();
    let sheet = folio.ledger.sheets.iter().position(|s| s.engine.as_deref() == Some(engine));
    speech::judge(&folio, &[sheet.unwrap()], &Source::new("talk.vtt", text)).slips
}

#[test]
fn what_is_spoken_is_heard_with_its_time_and_told_how_to_say() {
    let cue = |said: &str| format!("WEBVTT\n\n1\n00:00:04.000 --> 00:00:09.000\n{said}\n");
    for (right, wrong, at) in [
        (
            "The tank holds nine point two bar,\nand the plunger lift is two point six.",
            "The tank holds nine point two bar,\nand the plunger lift is six point two.",
            "six point two",
        ),
        (
            "And the tail ring is a dash oh one four.",
            "And the tail ring is a dash oh four one.",
            "dash oh four one",
        ),
        (
            "It is all over in a pulse of fourteen milliseconds.",
            "It is all over in a pulse of forty milliseconds.",
            "forty milliseconds",
        ),
        (
            "The vent opens at eleven bar, give or take point four.",
            "The vent opens at eleven bar, give or take point nine.",
            "eleven bar, give or take point nine",
        ),
    ] {
        let clean = heard(&cue(right), "tapper");
        assert!(caught(&clean).is_empty(), "{right}\n{}", shown(&clean));
        let found = heard(&cue(wrong), "tapper");
        let told: Vec<&str> = caught(&found).into_iter().map(|(_, at)| at).collect();
        assert_eq!(told, [at], "{wrong}\n{}", shown(&found));
        let slip = found.iter().find(|slip| slip.spot.text() == at).unwrap();
        assert!(slip.message.starts_with("at 00:00:04.000: "), "{}", slip.message);
    }
    // No slip makes a number without its unit what is named: it is another one.
    let ratio = "The bore is eighteen point three. Bore to lip by area, it's two point one eight.";
    let clean = heard(&cue(ratio), "tapper");
    assert!(caught(&clean).is_empty(), "{}", shown(&clean));
    let other_way = "There is the gate. It is higher than the tank, by five point four five bar.";
    let found = heard(&cue(other_way), "tapper");
    assert_eq!(caught(&found), [("near-miss", "higher")], "{}", shown(&found));
    let wrong = heard(&cue("The plunger lift is six point two millimetres."), "tapper");
    assert!(shown(&wrong).contains("say “two point six"), "{}", shown(&wrong));
}

/// What a talk about one engine or several trips, and where.
fn heard_of(text: &str, engines: &[&str]) -> Vec<Slip> {
    let (folio, _) = texts().index();
    let sheets = engines.iter().map(|name| {
        folio.ledger.sheets.iter().position(|s| s.engine.as_deref() == Some(name)).unwrap()
    });
    let sheets: Vec<usize> = sheets.collect();
    speech::judge(&folio, &sheets, &Source::new("talk.txt", text)).slips
}

fn hold_talk(engines: &[&str], pairs: &[(&str, &str, &str)]) {
    for (right, wrong, at) in pairs {
        let clean = heard_of(right, engines);
        assert!(caught(&clean).is_empty(), "{right}\n{}", shown(&clean));
        let found = heard_of(wrong, engines);
        let told: Vec<&str> = caught(&found).into_iter().map(|(_, at)| at).collect();
        assert_eq!(told, [*at], "{wrong}\n{}", shown(&found));
    }
}

#[test]
fn a_mil_is_what_the_words_around_it_measure() {
    let pairs = [
        ("The flask holds sixty-five mil.", "The flask holds fifty-six mil.", "fifty-six mil"),
        (
            "The bore is eighteen point three mil.",
            "The bore is thirteen point eight mil.",
            "thirteen point eight mil",
        ),
    ];
    hold_talk(&["tapper"], &pairs);
}

#[test]
fn what_lasts_for_a_number_is_a_time() {
    let pairs = [(
        "You press, and the air stays on for fourteen. The bore does not care.",
        "You press, and the air stays on for forty. The bore does not care.",
        "forty",
    )];
    hold_talk(&["tapper"], &pairs);
}

#[test]
fn a_figure_of_the_other_engine_is_asked_about() {
    let pairs = [(
        "The Hammer has a tank of seven point six bar.",
        "The Hammer has nine point two bar to start from.",
        "nine point two bar",
    )];
    hold_talk(&["tapper", "hammer"], &pairs);
    let against = "It's nine point two bar against seven point six, and the Hammer is the lower.";
    assert!(caught(&heard_of(against, &["tapper", "hammer"])).is_empty());
}

#[test]
fn what_two_names_share_is_said_of_the_one_that_is_meant() {
    let pairs = [
        (
            "It sits on a lip with a bore of 12.4 mm.",
            "It sits on a lip with a bore of 14.2 mm.",
            "figure-disagrees",
            "14.2 mm",
        ),
        (
            "The tube is 310 mm long and that is all.",
            "The tube is 130 mm long and that is all.",
            "figure-disagrees",
            "130 mm",
        ),
    ];
    hold("content/tapper.md", TAPPER, &pairs);
}

#[test]
fn what_others_say_and_what_was_stops_nothing() {
    for open in [
        "The tail o-ring is a -014 now, till then a -011.",
        "The first flask, cut from 3 mm sheet, split.",
        "The list that came with it is 52 in metres and has our mark.",
        "The tank bore was 9.2 bar, and the maker's handbook says a -041 for the tail o-ring.",
    ] {
        let found = slips("content/tapper.md", TAPPER, open);
        let stops: Vec<&Slip> = found.iter().filter(|s| s.severity == Severity::Stop).collect();
        assert!(stops.is_empty(), "{open}\n{}", shown(&found));
    }
}

#[test]
fn a_number_beside_a_bound_figure_is_the_same_of_the_other_engine() {
    let pairs = [(
        "The Tapper has [18.3 mm](by:tapper.tube_bore) against 21.5 in the Hammer.",
        "The Tapper has [18.3 mm](by:tapper.tube_bore) against 25.1 in the Hammer.",
        "near-miss",
        "25.1",
    )];
    hold("content/two.md", TOGETHER, &pairs);
}

#[test]
fn what_was_named_in_full_just_now_is_named_by_its_last_word() {
    let front = TAPPER.replace(
        "  tube_length: 310 mm\n",
        "  tube_length: 310 mm\n  mass: 1.64 kg\n  wad_mass: 2.3 g\n",
    );
    let pairs = [(
        "The wad mass is 2.3 g. Put in the mass as 0.0023 kg.",
        "The wad mass is 2.3 g. The mass is 1.46 kg.",
        "figure-disagrees",
        "1.46 kg",
    )];
    hold("content/tapper.md", &front, &pairs);
}
