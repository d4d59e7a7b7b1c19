//! Facts that speak of spent pressure: how they are written, read and told, and what denies them.

use super::support::{read, shown};
use gaugebook::cutaway::model::Relation;
use gaugebook::cutaway::{fact_line, spoken_fact};
use gaugebook::slip::Slip;

const RIG: &str = "cutaway rig
supply line
chamber cap  role drive
chamber rod  role return
way fill   from line to cap  narrow
way drain  from rod to open_air  narrow
seal lid   on piston  between cap and rod
moving piston
  positions in, out
  rests in
  face cap       in cap  pushes forward
  face rod       in rod  pushes back
  spring return  pushes back
  spring helper  pushes back
";

fn slips(facts: &[&str]) -> Vec<Slip> {
    let lines: String = facts.iter().map(|fact| format!("fact {fact}  (felt)\n")).collect();
    read(&format!("{RIG}{lines}")).1
}

#[test]
fn either_side_may_stand_first_and_what_is_told_can_be_written() {
    let facts = [
        "piston.return larger than piston.cap once spent",
        "piston.cap weaker than piston.return once spent",
    ];
    for fact in facts {
        let (rig, slips) = read(&format!("{RIG}fact {fact} (felt)\n"));
        assert!(slips.is_empty(), "{}", shown(&slips));
        let read = &rig.facts[0];
        assert_eq!(read.relation, Relation::LargerOnceSpent);
        assert_eq!(
            spoken_fact(&rig, read),
            "return of piston larger than cap of piston once spent"
        );
        let line = fact_line(&rig, &read.left, read.relation, &read.right, "felt");
        assert_eq!(line, format!("fact {} (felt)", facts[0]));
    }
}

#[test]
fn the_opposite_may_be_true_of_full_pressure() {
    let spring = "piston.return larger than piston.cap once spent";
    assert!(slips(&["piston.cap larger than piston.return", spring]).is_empty());
    // Each of two faces wins over what is left behind the other.
    let faces = [
        "piston.cap larger than piston.rod once spent",
        "piston.rod larger than piston.cap once spent",
        "piston.cap same as piston.rod",
    ];
    assert!(slips(&faces).is_empty());
}

#[test]
fn what_is_much_larger_wins_spent_too() {
    let spring = "piston.return larger than piston.cap once spent";
    let told = |facts: &[&str]| {
        let slips = slips(facts);
        slips.iter().map(|slip| (slip.code, slip.labels.len())).collect::<Vec<_>>()
    };
    assert_eq!(
        told(&["piston.cap much larger than piston.return", spring]),
        [("facts-contradict", 1)]
    );
    let by_way_of_another = [
        "piston.cap larger than piston.helper",
        "piston.helper much larger than piston.return",
        spring,
    ];
    assert_eq!(told(&by_way_of_another), [("facts-contradict", 2)]);
    let itself = "piston.cap larger than piston.cap once spent";
    assert_eq!(told(&[itself]), [("facts-contradict", 0)]);
}

#[test]
fn only_pressure_can_be_spent() {
    for (fact, code) in [
        ("piston.cap larger than piston.return once spent", "fact-incomparable"),
        ("cap larger than rod once spent", "fact-incomparable"),
        ("fill wider than drain once spent", "fact-incomparable"),
        ("piston.return much larger than piston.cap once spent", "statement-unreadable"),
        ("piston.return same as piston.cap once spent", "statement-unreadable"),
    ] {
        let slips = slips(&[fact]);
        let told: Vec<_> = slips.iter().map(|slip| (slip.code, slip.spot.text())).collect();
        assert_eq!(told, [(code, "once spent")], "{fact}");
    }
    let half = slips(&["piston.return larger than piston.cap once"]);
    assert_eq!(half.len(), 1);
    assert!(half[0].message.contains("expected `spent`"), "{}", half[0].message);
}
