//! What one would notice of an engine with something wrong. Expectations are by the eye of whoever
//! wrote the engine: common practice, no source.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test that meets an error has failed"
)]

use gaugebook::cutaway::{self, Engine};
use gaugebook::faults::{Noticed, Symptom, explored, noticed, single_faults, symptoms};
use gaugebook::logic::{Exploration, explore};
use gaugebook::slip::{Paint, Severity, render};
use gaugebook::text::Source;
use std::path::Path;
use std::sync::Arc;

/// A dart thrower: a spool that a valve blows forward, which lets the store out behind the dart.
const MAPLE: &str = include_str!("maple.cut");

struct Read {
    source: Arc<Source>,
    engine: Engine,
    sound: Exploration,
}

fn read(text: &str) -> Read {
    let source = Source::new("maple.cut", text);
    let (engine, slips) = cutaway::read(&source, &|_| None);
    let stops = slips.iter().filter(|slip| slip.severity == Severity::Stop);
    let stops: Vec<String> = stops.map(|slip| render(slip, Paint::plain())).collect();
    assert!(stops.is_empty(), "{}", stops.join("\n"));
    let sound = explore(&engine);
    Read { source, engine, sound }
}

impl Read {
    fn variant(&self, name: &str) -> Vec<Noticed> {
        let all = cutaway::revisions(&self.source, &|_| None);
        let variant = all.iter().find(|it| it.name.id == format!("maple.{name}")).unwrap();
        noticed((variant, &explored(variant)), (&self.engine, &self.sound))
    }
}

fn words(told: &[Noticed]) -> Vec<String> {
    told.iter().map(|it| it.symptom.told(&it.place)).collect()
}

/// What each variant shows first, and which word its run has to name.
const FIRST: [(&str, &str, &str); 9] = [
    ("torn", "hisses at rest, out of the neck", "the tear"),
    ("tail_out", "the ball does not leave", "push is always empty"),
    ("stuck_vent", "the spool does not come home", "the push pushes the spool forward"),
    ("swapped", "fires by itself, the spool first", "the push"),
    ("no_spring", "the spool does not come home", "nothing pushes the spool back"),
    ("no_dwell", "the ball does not leave", "“push fills” never comes"),
    ("no_dart", "the ball does not leave", "no dart is there"),
    ("jammed", "the bell does not move", "nothing ever pushes it forward"),
    ("pocket", "is not ready for the next shot", "the pocket"),
];

#[test]
fn each_variant_is_noticed_by_what_one_would_notice_first() {
    let maple = read(MAPLE);
    assert!(maple.sound.always_ends_at_rest());
    for (name, first, named) in FIRST {
        let told = maple.variant(name);
        assert_eq!(words(&told).first().map(String::as_str), Some(first), "{name}: {told:#?}");
        assert!(told[0].run.contains(named), "{name}: {}", told[0].run);
        assert!(told[0].always, "{name}");
    }
}

#[test]
fn a_variant_that_changes_nothing_shows_nothing() {
    assert_eq!(read(MAPLE).variant("held"), []);
}

#[test]
fn where_the_air_goes_is_told_from_the_supply_to_the_open_air() {
    let told = read(MAPLE).variant("torn");
    assert_eq!(
        told[0].air.as_deref(),
        Some("air goes from the line through the fill, the tear and the neck to the open air")
    );
}

#[test]
fn a_symptom_leads_back_to_what_to_look_at() {
    let maple = read(MAPLE);
    let table = symptoms(&maple.engine, &maple.sound);
    let culprits = |symptom: Symptom, place: &str| -> Vec<&str> {
        let entry = table.entries.iter().find(|it| it.symptom == symptom && it.place == place);
        let entry = entry.unwrap_or_else(|| panic!("{symptom:?} {place} in {table:#?}"));
        entry.culprits.iter().map(|it| it.what.as_str()).collect()
    };
    assert_eq!(culprits(Symptom::HissesAtRest, "out of the neck"), ["the nose ring leaks"]);
    assert_eq!(culprits(Symptom::HissesFiring, "past the tail ring"), ["the tail ring leaks"]);
    assert!(
        culprits(Symptom::NotHome, "the spool")
            .contains(&"the return spring of the spool is broken")
    );
    assert!(culprits(Symptom::NotRefilled, "the store").contains(&"the fill is clogged"));
    assert!(culprits(Symptom::BallStays, "").contains(&"the tail ring leaks"));
}

/// Whatever is wrong with the demo's engines, it is followed within the bounds, and the sound
/// engine beside itself shows nothing.
#[test]
fn the_faults_of_the_demo_are_followed_and_sound_engines_show_none() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("diagrams");
    let others = |name: &str| -> Option<Arc<Source>> {
        let path = folder.join(format!("{name}.cut"));
        Some(Source::new(format!("{name}.cut"), std::fs::read_to_string(path).ok()?))
    };
    for name in ["rowan", "rowan_deep", "ash", "hazel", "larch", "oak", "sorrel", "yew"] {
        let source = others(name).unwrap();
        let (engine, _) = cutaway::read(&source, &others);
        let sound = explore(&engine);
        assert_eq!(noticed((&engine, &sound), (&engine, &sound)), [], "{name}");
        let faults = single_faults(&engine);
        let leaks = faults.iter().filter(|fault| fault.what.ends_with("leaks")).count();
        assert_eq!(leaks, engine.seals.len(), "{name}");
        for variant in cutaway::revisions(&source, &others) {
            let found = explored(&variant);
            assert!(!found.is_cut_short, "{}", variant.name.id);
        }
    }
}
