//! Words choose which figure is meant, and values only confirm it.

use super::support::{Texts, shown};
use gaugebook::proof::{PageProof, Status};
use gaugebook::slip::Severity;

const PUFFER: &str = "---\ntitle: Puffer\nengine: puffer\nsources: {bench: {kind: measured}}\n\
                      readings_from: bench\nreadings:\n  flap_hold: {is: 143 N, called: [force \
                      that holds the flap shut]}\n  trigger_force: {is: 37 N, called: [force of \
                      the trigger]}\n  upper_spring: {is: 12.4 N, called: [upper spring]}\n  \
                      lower_spring: {is: 7.6 N, called: [lower spring]}\n  pin_width: {is: 6.20 \
                      mm, called: [pin diameter]}\n  collar_width: {is: 8.70 mm, called: [collar \
                      diameter]}\n  pause: 240 ms\n  puff: 65 ms\n  cork_mass: 2.4 g\n  \
                      flap_mass: 11.3 g\n  tank_volume: 85 mL\n  chamber_volume: 21 mL\n  \
                      line_pressure: 3.2 bar\n  cork_speed: 31 m/s\n  shot_energy: 4.6 J\n  barrel_length: 240 mm\n---\n\n";

fn judged(body: &str) -> PageProof {
    let mut texts = Texts { imprint: "title: Test bench\n".to_owned(), ..Texts::default() };
    let name = "content/puffer.md";
    texts.pages.insert(name.to_owned(), format!("{PUFFER}{body}\n"));
    let (folio, _) = texts.index();
    texts.judge(&folio, name)
}

/// How the figures of a text stand, and the slips that stop.
fn stand(body: &str) -> (Vec<Status>, Vec<&'static str>) {
    let proof = judged(body);
    let stops = proof.slips.iter().filter(|slip| slip.severity == Severity::Stop);
    let stops = stops.map(|slip| slip.code).collect();
    (proof.figures.iter().map(|(_, figure)| figure.status).collect(), stops)
}

#[test]
fn a_value_ties_nothing_against_clearly_better_words() {
    assert_eq!(stand("A force of 143 N holds the flap shut.").0, [Status::OwnReading]);
    let wrong = judged("A force of 37 N holds the flap shut.");
    let [(_, figure)] = wrong.figures.as_slice() else { panic!("{}", shown(&wrong.slips)) };
    assert_eq!(figure.status, Status::Untied, "{}", shown(&wrong.slips));
    assert!(!figure.proposals.iter().any(|it| it.is_certain), "{}", shown(&wrong.slips));
}

#[test]
fn two_figures_of_one_engine_in_each_others_place_stop() {
    let right = [
        "The upper one of the springs has 12.4 N and the lower one 7.6 N.",
        "12.4 N is what the upper of the springs has, 7.6 N the lower.",
        "The pin is 6.20 mm and the collar 8.70 mm wide.",
        "6.20 mm for the pin and 8.70 mm for the collar are right.",
        "The collar, 8.70 mm, is thicker than the pin with its 6.20 mm.",
    ];
    for text in right {
        let (figures, stops) = stand(text);
        assert!(stops.is_empty(), "{text}: {stops:?}");
        assert_eq!(figures, [Status::OwnReading; 2], "{text}");
    }
    let wrong = [
        "The upper one of the springs has 7.6 N and the lower one 12.4 N.",
        "The pin is 8.70 mm and the collar 6.20 mm wide.",
        "The pin measures 8.70 mm and the collar 6.20 mm.",
    ];
    for text in wrong {
        let (figures, stops) = stand(text);
        assert_eq!(stops, ["crossed-figures"], "{text}");
        assert_eq!(figures, [Status::Disagrees; 2], "{text}");
    }
}

#[test]
fn what_is_left_of_a_time_or_has_gone_of_it_is_not_that_time() {
    let parts = [
        "About 85 ms of the pause are still to run.",
        "Of the pause, about 85 ms are left by then.",
        "Ninety milliseconds of the pause have gone by then.",
        "The cork is out 85 ms before the pause is over.",
        "The flap stays up for 140 ms after the pause is over.",
        "The puff ends 45 ms before the pause.",
    ];
    for text in parts {
        let (figures, stops) = stand(text);
        assert!(stops.is_empty(), "{text}: {stops:?}");
        assert_eq!(figures, [Status::Untied], "{text}");
    }
    // That the whole is the part is not borne out by its value.
    assert_eq!(stand("Then 240 ms of the pause are left.").0, [Status::Untied]);
    let whole = [
        "The pause lasts 240 ms.",
        "A pause of 240 ms follows.",
        "The puff of 65 ms comes after the pause.",
        "The puff takes 65 ms after the pause is over.",
    ];
    for text in whole {
        assert_eq!(stand(text), (vec![Status::OwnReading], vec![]), "{text}");
    }
    assert_eq!(stand("The pause lasts 420 ms.").1, ["figure-disagrees"]);
    assert_eq!(stand("A pause of 420 ms comes after the puff.").1, ["figure-disagrees"]);
}
