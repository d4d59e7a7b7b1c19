//! Rowan beside engines that differ from it in a known manner, and what a reader is told.

use super::support::{Found, engine, here, likeness, same_as, shown, text, text_beside};
use gaugebook::comparison::Anatomy;

/// File, and sentences that a comparison with Rowan must have among those that count: no others
/// count. By the eye of whoever wrote the file.
const DIFFERENCES: &[(&str, &[&str])] = &[
    ("wide_metering", &["the metering hole is narrow in Rowan, wide in Wide Metering"]),
    (
        "moved_metering",
        &["the metering hole joins the line and the store in Rowan, the metering hole joins the \
           bottle and the store in Moved Metering"],
    ),
    (
        "other_role",
        &["the transfer tube has the role drive in Rowan, the transfer tube the role room in \
           Other Role"],
    ),
    (
        "free_bolt",
        &["only Rowan: the sail face of the bolt is in the transfer tube and pushes \
                     forward"],
    ),
    (
        "more_seals",
        &["only More Seals: the land seal on the switch keeps the switch room and the store apart"],
    ),
    (
        "swapped_face",
        &["the front face of the switch is in the store in Rowan, in the transfer tube in \
           Swapped Face"],
    ),
    (
        "other_spring",
        &["the keeper spring of the switch pushes forward in Rowan, back in Other Spring"],
    ),
    (
        "trip",
        &[
            "the pilot is a 3/2 solenoid valve in Rowan, a 3/2 mechanical valve in Trip",
            "the pilot returns by the clock in Rowan, when it is driven back in Trip",
            "to return, Trip’s pilot needs the bolt at home; Rowan’s does not",
        ],
    ),
    ("sear", &["only Sear: the sear holds the bolt at back until the trigger is pulled"]),
    (
        "coil_home",
        &[
            "only Rowan: the air spring, with the role return, joined to the line; with it the \
             spring feed and the drag seal",
            "the collar face of the bolt is in the air spring and pushes back in Rowan; in its \
             place the coil spring of the bolt pushes back in Coil Home",
        ],
    ),
    ("late_mouth", &["Late Mouth’s mouth also needs the pilot shifted; Rowan’s does not"]),
];

/// Engines of other families, in which almost every thing goes by another name: a sentence on a
/// thing of both has the name that each gives it, so that it is true from both sides.
#[test]
fn a_thing_of_both_goes_by_the_name_that_each_gives_it() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("diagrams");
    let found = ["rowan", "hazel", "oak", "larch"].map(|name| {
        let text = std::fs::read_to_string(folder.join(format!("{name}.cut"))).unwrap();
        text_beside(&folder, &text)
    });
    let mut looked_at = 0;
    for one in &found {
        for other in &found {
            for row in likeness(one, other).rows {
                let [Some(here), Some(there)] = &row.names else { continue };
                let owns = [here, there].map(|name| name.split(" of ").collect::<Vec<_>>());
                // A new ball is one whatever it is called.
                let told = row.says.iter().filter(|says| {
                    let text = &says.text;
                    says.counts && !text.starts_with("only ") && !text.contains("new ball")
                });
                for says in told {
                    // Another thing that is called alike is named by what it is in the first.
                    assert!(!says.text.contains("another one"), "{}", says.text);
                    let has = |name: &&str| says.text.contains(*name);
                    assert!(owns.iter().flatten().all(has), "{here}, {there}: {}", says.text);
                    looked_at += 1;
                }
            }
        }
    }
    assert!(40 < looked_at, "{looked_at} sentences");
}

/// What a blow, a latch and a room that starts full say of a difference.
#[test]
fn words_for_blows_latches_and_rooms_that_start_full_are_told_apart() {
    let told = |name: &str, from: &str, to: &str| -> Vec<String> {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("diagrams");
        let own = std::fs::read_to_string(folder.join(format!("{name}.cut"))).unwrap();
        assert!(own.contains(from), "{name}");
        let changed = own.replace(&format!("cutaway {name}"), "cutaway other").replace(from, to);
        let pair = [own, changed].map(|text| text_beside(&folder, &text));
        let rows = likeness(&pair[0], &pair[1]).rows;
        let says = rows.into_iter().flat_map(|row| row.says).filter(|says| says.counts);
        says.map(|says| says.text).collect()
    };
    assert_eq!(
        told("oak", "from hammer  pushes forward", "from hammer  pushes forward  once"),
        [
            "the blow contact of the poppet is a push that lasts in Oak, a blow that is spent in Other"
        ]
    );
    assert_eq!(
        told("oak", "until trigger", "while trigger released"),
        [
            "in Oak the sear holds the hammer at back until the trigger is pulled, in Other the sear \
          holds the hammer at back while trigger released"
        ]
    );
    assert_eq!(
        told("rowan", "role return  in", "role return  starts as line  in"),
        ["the air spring starts empty in Rowan, and the air spring starts as the line in Other"]
    );
}

fn case(name: &str) -> Found {
    text(&std::fs::read_to_string(here().join(format!("cases/{name}.cut"))).unwrap())
}

#[test]
fn each_difference_is_told_and_nothing_else() {
    let rowan = engine("rowan");
    for (name, wanted) in DIFFERENCES {
        let found = likeness(&rowan, &case(name));
        let told = found.rows.iter().flat_map(|row| &row.says).filter(|says| says.counts);
        let told: Vec<&str> = told.map(|says| says.text.as_str()).collect();
        assert_eq!(told, *wanted, "{name}");
    }
}

#[test]
fn every_case_has_its_sentences() {
    let entries = std::fs::read_dir(here().join("cases")).unwrap();
    let mut names: Vec<String> = entries
        .filter_map(|entry| {
            entry.unwrap().file_name().to_str()?.strip_suffix(".cut").map(Into::into)
        })
        .collect();
    names.sort();
    let mut placed: Vec<&str> = DIFFERENCES.iter().map(|(name, _)| *name).collect();
    placed.sort_unstable();
    assert_eq!(names, placed);
}

#[test]
fn rowan_and_ash_read_as_they_did() {
    let found = likeness(&engine("rowan"), &engine("ash"));
    same_as(&here().join("rowan_and_ash.txt"), &shown(&found));
}

/// What wins with spent pressure and what wins with full are two things, told apart whatever the
/// order of the lines.
#[test]
fn facts_of_spent_pressure_are_told_for_themselves() {
    let rig = |name: &str, facts: &[&str]| {
        let plain = std::fs::read_to_string(here().join("engines/two_hand.cut")).unwrap();
        let lines = plain.lines().skip(1).filter(|line| !line.starts_with("fact"));
        let lines: Vec<&str> = lines.filter(|line| !line.starts_with("cutaway")).collect();
        text(&format!("cutaway {name}\n{}\n{}\n", lines.join("\n"), facts.join("\n")))
    };
    let full = "fact piston.cap larger than piston.return (felt)";
    let spent = "fact piston.return larger than piston.cap once spent (felt)";
    let told = |first: &[&str], second: &[&str]| -> Vec<String> {
        let found = likeness(&rig("hazel", first), &rig("oak", second));
        let rows = found.rows.iter().filter(|row| row.anatomy == Anatomy::Facts);
        rows.flat_map(|row| &row.says).map(|says| says.text.clone()).collect()
    };
    let words = "return of piston larger than cap of piston once spent";
    let both = told(&[full, spent], &[spent, full]);
    assert_eq!(both[1], format!("{words} in both (felt)"));
    assert!(both[0].ends_with("in both (felt)"), "{both:?}");
    assert_eq!(told(&[spent], &[full])[0], format!("said of Hazel only: {words} (felt)"));
    let much = "fact piston.cap much larger than piston.return (seen)";
    let denied = told(&[spent], &[much]);
    assert_eq!(denied.len(), 1);
    assert!(denied[0].starts_with(&format!("in Hazel {words} (felt), in Oak ")), "{denied:?}");
}
