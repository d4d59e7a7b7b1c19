//! Answers to the questions of claims, and what is marked in pictures.

use super::support::{Found, engine, here, likeness, text};
use gaugebook::comparison::RowStanding;
use gaugebook::comparison::claims::{
    Answer, same_chambers, same_parts, same_seals, same_sequence, same_springs, same_structure,
    same_valves, same_ways,
};
use gaugebook::cutaway::Engine;
use gaugebook::cutaway::model::{Chamber, Element, Name, Role};
use gaugebook::logic::Exploration;
use std::collections::BTreeSet;

fn case(name: &str) -> Found {
    text(&std::fs::read_to_string(here().join(format!("cases/{name}.cut"))).unwrap())
}

#[test]
fn each_question_looks_at_its_own_group() {
    let rowan = engine("rowan");
    let rowan = rowan.side();
    let other = case("more_seals");
    let other = other.side();
    let finding = same_seals(rowan, other);
    assert_eq!(finding.answer, Answer::False);
    assert_eq!(
        finding.reason,
        "only More Seals: the land seal on the switch keeps the switch room and the store apart"
    );
    assert_eq!(same_structure(rowan, other), finding);
    for question in [same_chambers, same_ways, same_parts, same_valves, same_springs, same_sequence]
    {
        assert_eq!(question(rowan, other).answer, Answer::True);
    }
    let spring = case("other_spring");
    assert_eq!(same_springs(rowan, spring.side()).answer, Answer::False);
    assert_eq!(same_parts(rowan, spring.side()).answer, Answer::False);
}

#[test]
fn the_shaft_that_shuts_the_store_changes_the_order() {
    let finding = same_sequence(engine("rowan").side(), engine("ash").side());
    assert_eq!(finding.answer, Answer::False);
    assert!(finding.reason.contains("only Rowan: shaft catches the store"), "{}", finding.reason);
    assert!(
        finding
            .reason
            .contains("“mouth closes” comes before “bolt reaches home” in Rowan, after it in Ash"),
        "{}",
        finding.reason
    );
}

#[test]
fn whether_two_fire_in_the_same_order_is_one_sentence() {
    let rowan = engine("rowan");
    let told = |other: &Found| likeness(&rowan, other).order_answer();
    let itself = told(&engine("rowan"));
    assert!(itself.contains(" beside Rowan (first): yes, "), "{itself}");
    assert!(itself.ends_with(" events come in the same order"), "{itself}");
    let ash = told(&engine("ash"));
    assert!(ash.starts_with("Ash beside Rowan: no, "), "{ash}");
    let free = told(&case("free_bolt"));
    assert!(free.starts_with("Free Bolt beside Rowan: not decided, "), "{free}");
}

#[test]
fn as_long_as_a_run_is_not_decided_its_order_is_not() {
    let finding = same_sequence(engine("rowan").side(), case("free_bolt").side());
    assert_eq!(finding.answer, Answer::Undecided);
    assert!(
        finding.reason.contains("the run of Free Bolt is not decided to its end"),
        "{}",
        finding.reason
    );
    // Nothing is said of what comes behind the point up to which both are decided.
    assert!(!finding.reason.contains("only Rowan"), "{}", finding.reason);
}

#[test]
fn without_a_run_the_structure_can_still_be_compared() {
    let air = Name { id: "open_air".into(), ..Name::default() };
    let chamber = Chamber {
        name: air,
        role: Role::OpenAir,
        regulated_from: None,
        regulator: None,
        holds: None,
        starts_as: None,
        is_quick: false,
    };
    let engine = Engine { chambers: [chamber].into_iter().collect(), ..Engine::default() };
    let bare = Found { engine, run: Exploration::default() };
    assert_eq!(same_structure(bare.side(), bare.side()).answer, Answer::True);
    assert_eq!(same_sequence(bare.side(), bare.side()).answer, Answer::Undecided);
    let everything = likeness(&case("more_seals"), &bare);
    assert!(everything.rows.iter().all(|row| row.standing == RowStanding::OnlyFirst));
}

#[test]
fn what_differs_is_marked_in_both_pictures() {
    let (rowan, ash) = (engine("rowan"), engine("ash"));
    let [first, second] = likeness(&rowan, &ash).marks;
    let (rowan, ash) = (&rowan.engine, &ash.engine);
    let way = |engine: &Engine, name| Element::Way(engine.way(name).unwrap());
    let valve = |engine: &Engine, name| Element::Valve(engine.valve(name).unwrap());
    let bolt = Element::Part(rowan.part("bolt").unwrap());
    let pilot = valve(rowan, "pilot");
    assert_eq!(first, BTreeSet::from([way(rowan, "mouth"), bolt, pilot]));
    assert!(second.contains(&way(ash, "mouth")));
    assert_eq!(second.iter().filter(|thing| matches!(thing, Element::Valve(_))).count(), 2);
    let pilot_line = Element::Chamber(ash.chamber("pilot line").unwrap());
    let chambers = second.iter().filter(|thing| matches!(thing, Element::Chamber(_)));
    assert_eq!(chambers.collect::<Vec<_>>(), [&pilot_line]);
    // The same seal in another size is no other structure.
    assert!(!first.union(&second).any(|thing| matches!(thing, Element::Seal(_))));
}

/// A whistle that is blown once, and one that is blown twice; `lines` stand before the valve.
fn whistle(name: &str, lines: &str) -> Found {
    text(&format!(
        "cutaway {name}
supply line
chamber store  role store
chamber reed
way feed  from line to store  narrow
{lines}
valve key  3/2  mechanical
  rest     joins reed to open_air
  shifted  joins store to reed
  shifts   while trigger
"
    ))
}

#[test]
fn what_comes_twice_in_one_and_once_in_the_other_is_told_by_its_number() {
    let once = whistle("once", "");
    let twice =
        whistle("twice", "hand trigger pulled, trigger released, trigger pulled, trigger released");
    for [first, second] in [[&once, &twice], [&twice, &once]] {
        let says = likeness(first, second).sequence.says;
        let told = says.join("\n");
        assert!(told.contains("“key shifts” comes once more in Twice"), "{told}");
        assert!(told.contains("in Once once at most"), "{told}");
        assert!(!told.contains("only Twice"), "{told}");
        assert!(!told.contains("not in every run"), "{told}");
    }
}
