//! What a cutaway stands for once it is read.

use super::support::{here, others, read, shown, source};
use gaugebook::cutaway::model::{
    Condition, Element, OPEN_AIR, PositionId, Returns, Role, SealId, Term, ValveId, ValveKind,
    Width,
};
use gaugebook::cutaway::{self, Engine};
use gaugebook::text::Source;

/// Reads a text that must have no slips that stop it.
fn engine(text: &str) -> Engine {
    let (engine, slips) = read(text);
    assert!(slips.is_empty(), "{}", shown(&slips));
    engine
}

fn rowan() -> Engine {
    cutaway::read(&source(&here().join("clean/rowan.cut")), &others).0
}

#[test]
fn every_statement_reaches_the_model() {
    let rowan = rowan();
    assert_eq!(rowan.name.id, "rowan");
    assert_eq!(rowan.triggers.len(), 1, "a trigger is there without being declared");
    let line = &rowan.chambers[rowan.chamber("line").unwrap()];
    assert_eq!((line.role, line.regulated_from), (Role::Supply, rowan.chamber("bottle")));
    assert_eq!(
        rowan.readings[&Element::Chamber(rowan.chamber("line").unwrap())].id,
        "operating_pressure"
    );
    assert_eq!(rowan.chamber("Rear Chamber"), rowan.chamber("switch_room"));
    assert_eq!(rowan.ways[rowan.way("metering").unwrap()].width, Width::Narrow);
    let barrel = &rowan.ways[rowan.way("barrel").unwrap()];
    assert_eq!((barrel.to, barrel.barrel), (OPEN_AIR, true));
    let bolt = &rowan.parts[rowan.part("bolt").unwrap()];
    assert_eq!((bolt.rest, bolt.positions.len(), bolt.pushes.len()), (PositionId::REAR, 3, 3));
    let pilot = &rowan.valves[ValveId::at(0)];
    assert_eq!((pilot.kind, pilot.on_edge), (ValveKind::Boxes(3), true));
    assert!(matches!(&pilot.returns, Returns::After(name) if name.id == "dwell"));
    assert_eq!(rowan.seals[SealId::at(0)].size.as_ref().unwrap().id, "-012");
    assert_eq!((rowan.facts.len(), rowan.orders.len(), rowan.sayings.len()), (3, 1, 1));
    let around = &rowan.axes[0].places[2];
    let names = ["tube", "store"].map(|name| Element::Chamber(rowan.chamber(name).unwrap()));
    assert_eq!(around, &names, "the inner one comes first");
    assert_eq!(rowan.axes[0].places.last().unwrap(), &[Element::Way(rowan.way("barrel").unwrap())]);
}

#[test]
fn a_smaller_side_named_first_is_turned_round() {
    let rowan = rowan();
    let fact = rowan.facts.iter().find(|fact| fact.word == "narrower").unwrap();
    let way = |name| vec![Term::Own(Element::Way(rowan.way(name).unwrap()))];
    assert_eq!((fact.left.clone(), fact.right.clone()), (way("mouth"), way("metering")));
}

const VALVES: &str = "cutaway rig\nsupply line\nchamber a\nchamber b\nchamber out\n\
    trigger left\ntrigger right\n\
    valve one  3/2  mechanical\n  rest joins a to open_air\n  shifted joins line to a\n  \
    shifts while left\n\
    valve two  3/2  mechanical\n  rest joins b to open_air\n  shifted joins line to b\n  \
    shifts while right\n";

#[test]
fn valves_with_names_of_their_own_become_two_states() {
    let rig = engine(&format!("{VALVES}two-pressure both  from a, b to out\n"));
    let [a, b, out] = ["a", "b", "out"].map(|name| rig.chamber(name).unwrap());
    let both = &rig.valves[rig.valve("both").unwrap()];
    assert_eq!((both.rest[0], both.shifted[0]), ((b, out), (a, out)));
    assert_eq!(both.shifts, [Condition::Above(b, a)]);
    assert_eq!(both.returns, Returns::While(vec![Condition::Above(a, b)]));
    let rig = engine(&format!("{VALVES}shuttle either  from a, b to out\n"));
    let either = &rig.valves[rig.valve("either").unwrap()];
    assert_eq!((either.rest[0], either.shifted[0]), ((a, out), (b, out)));
    let rig = engine(&format!(
        "{VALVES}quick exhaust vent  from a to out  out open_air\n\
        way rest from b to out narrow\n"
    ));
    let vent = &rig.valves[rig.valve("vent").unwrap()];
    assert_eq!((vent.rest[0], vent.shifted[0]), ((a, out), (out, OPEN_AIR)));
    assert_eq!(
        (vent.shifts.as_slice(), vent.returns.clone()),
        (&[Condition::Above(out, a)][..], Returns::While(vec![Condition::Above(a, out)]))
    );
}

#[test]
fn a_change_replaces_takes_away_and_adds() {
    let ash = engine(
        "cutaway ash  based on rowan\n\
         way metering  from line to store  wide\n\
         without barrel\n\
         way nose  from breech to open_air  while bolt at home\n",
    );
    let rowan = rowan();
    assert_eq!(ash.based_on.as_deref(), Some("rowan"));
    assert_eq!(ash.way("metering"), rowan.way("metering"), "a replaced one keeps its place");
    assert_eq!(ash.ways[ash.way("metering").unwrap()].width, Width::Wide);
    assert_eq!((ash.way("barrel"), ash.ways.len()), (None, rowan.ways.len()));
    assert_eq!(ash.facts.len(), rowan.facts.len());
    let inherited = ash.chambers[ash.chamber("store").unwrap()].name.span;
    assert_eq!((inherited.start, inherited.end), (22, 27), "it stands for `rowan` in line 1");
}

#[test]
fn what_speaks_of_a_thing_taken_away_is_dropped_or_told() {
    let (ash, slips) =
        read("cutaway ash  based on rowan\nwithout way metering\nwithout chamber tube\n");
    assert_eq!(ash.facts.len(), 1, "one spoke of the metering way, one of a face in the tube");
    let told: Vec<_> = slips.iter().map(|slip| (slip.code, slip.spot.text())).collect();
    assert!(
        told.iter().all(|(code, at)| (*code, *at) == ("nothing-of-that-name", "rowan")),
        "{told:?}"
    );
    assert!(!told.is_empty());
    assert!(slips[0].labels[0].spot.source.name.ends_with("rowan.cut"));
}

#[test]
fn a_revision_is_an_engine_of_its_own() {
    let text = "cutaway yew  based on rowan\n\
                revision A  on 2024-09-02  \"a wider metering hole\"\n  \
                way metering  from line to store\n\
                revision B\n  without ball pellet\n  valve pilot  3/2  mechanical\n    \
                rest joins line to switch_room\n    shifted joins switch_room to open_air\n    \
                shifts while trigger\n";
    let yew = engine(text);
    assert_eq!(yew.revisions.len(), 2);
    assert_eq!(yew.revisions[0].since.as_deref(), Some("2024-09-02"));
    let revised = cutaway::revisions(&Source::new("diagrams/test.cut", text), &others);
    let names: Vec<&str> = revised.iter().map(|engine| engine.name.id.as_str()).collect();
    assert_eq!(names, ["yew.A", "yew.B"]);
    assert_eq!(revised[0].ways[yew.way("metering").unwrap()].width, Width::Wide);
    assert_eq!(yew.ways[yew.way("metering").unwrap()].width, Width::Narrow);
    assert!(revised[0].ball.is_some() && revised[1].ball.is_none());
    assert_eq!(revised[1].valves[ValveId::at(0)].returns, Returns::Spring);
    assert!(revised[1].orders.is_empty(), "the order spoke of the ball");
}

/// A variant may be what no cutaway may: here a part that nothing brings back.
#[test]
fn a_variant_is_an_engine_with_something_wrong() {
    let text = "cutaway yew  based on rowan\n\
                variant torn  \"the wall between tube and spring room is torn\"\n  \
                way tear  from tube to spring_room\n\
                variant bare\n  without way lead\n";
    let yew = engine(text);
    let kinds: Vec<bool> = yew.revisions.iter().map(|it| it.since.is_none()).collect();
    assert_eq!(kinds, [true, true]);
    let variants = cutaway::revisions(&Source::new("diagrams/test.cut", text), &others);
    let names: Vec<&str> = variants.iter().map(|engine| engine.name.id.as_str()).collect();
    assert_eq!(names, ["yew.torn", "yew.bare"]);
    let what: Vec<&str> = variants.iter().filter_map(|it| it.variant.as_deref()).collect();
    assert_eq!(what, ["the wall between tube and spring room is torn", "bare"]);
    assert!(variants.iter().all(|it| it.revision.is_none()));
    assert!(yew.way("tear").is_none() && variants[0].way("tear").is_some());
    let dated = "cutaway yew  based on rowan\nvariant torn  on 2024-09-02  \"torn\"\n";
    assert!(read(dated).1.iter().any(|slip| slip.code == "statement-unreadable"));
}

#[test]
fn line_ends_tabulators_and_the_mark_at_the_start_mean_nothing() {
    let plain = std::fs::read_to_string(here().join("clean/rowan.cut")).unwrap();
    let odd = format!("\u{feff}{}", plain.replace('\n', "\r\n").replace("\r\n  ", "\r\n\t"));
    let (odd, slips) = read(&odd);
    assert!(slips.is_empty(), "{}", shown(&slips));
    assert_eq!(odd.parts.len(), rowan().parts.len());
    assert_eq!(odd.valves[ValveId::at(0)].shifted, rowan().valves[ValveId::at(0)].shifted);
}

#[test]
fn a_name_that_others_lack_is_told_where_it_stands() {
    let text = |fact: &str| format!("cutaway ash  based on rowan\nfact {fact}  (seen)\n");
    let told = |fact: &str| {
        let (_, slips) = read(&text(fact));
        slips.iter().map(|slip| (slip.code, slip.spot.text().to_owned())).collect::<Vec<_>>()
    };
    assert_eq!(told("store larger than rowan.store"), []);
    assert_eq!(told("switch.rear larger than rowan.switch.rear"), []);
    let unknown = |code, at: &str| [(code, at.to_owned())];
    assert_eq!(told("store larger than hasel.store"), unknown("cutaway-unknown", "hasel"));
    assert_eq!(told("store larger than rowan.stor"), unknown("nothing-of-that-name", "stor"));
    let both = "store larger than rowan.switch.rear";
    assert_eq!(told(both), unknown("fact-incomparable", both));
}

#[test]
fn the_other_side_of_a_fact_says_which_of_two_is_meant() {
    let rig = "cutaway rig\nsupply line\nchamber vent\nway vent  from line to vent  narrow\n\
               way exit  from vent to open_air  narrow\n";
    let way = |rig: &Engine, name| vec![Term::Own(Element::Way(rig.way(name).unwrap()))];
    for (fact, larger, smaller) in
        [("vent wider than exit", "vent", "exit"), ("exit wider than vent", "exit", "vent")]
    {
        let read = engine(&format!("{rig}fact {fact}  (seen)\n"));
        let fact = &read.facts[0];
        assert_eq!((&fact.left, &fact.right), (&way(&read, larger), &way(&read, smaller)));
    }
}

#[test]
fn what_opens_goes_by_a_name_of_its_own() {
    let text = "cutaway ash  based on rowan\nway pilot  from line to store  narrow\n";
    let (_, slips) = read(text);
    let told: Vec<_> = slips.iter().map(|slip| (slip.code, slip.spot.text())).collect();
    assert_eq!(told, [("declared-twice", "pilot")]);
}

#[test]
fn what_a_revision_breaks_is_told_of_it() {
    let (_, slips) =
        read("cutaway yew  based on rowan\nrevision A  \"no lead\"\n  without way lead\n");
    let told: Vec<_> = slips.iter().map(|slip| (slip.code, slip.notes.join(" "))).collect();
    assert_eq!(told, [("chamber-unjoined", "this is so in revision `A`".to_owned())]);
}

#[test]
fn words_of_other_languages_get_an_answer() {
    let help = |condition: &str| {
        let way = format!("way extra  from line to tube  while {condition}\n");
        let (_, slips) = read(&format!("cutaway ash  based on rowan\n{way}"));
        slips.iter().flat_map(|slip| &slip.helps).map(|help| help.text.clone()).collect::<String>()
    };
    assert!(help("not trigger").contains("there is no `not`"));
}

/// `and` binds more closely than `or`.
#[test]
fn conditions_are_joined_by_and_and_or() {
    let text = format!(
        "{}way port  from line to tube  while switch at back and pressure in store or trigger\n",
        "cutaway ash  based on rowan\n"
    );
    let (engine, slips) = read(&text);
    assert!(slips.is_empty(), "{}", shown(&slips));
    let way = engine.way("port").unwrap();
    let [Condition::Either(choice)] = engine.ways[way].when[..] else { panic!("no choice") };
    assert_eq!(engine.choices[choice].iter().map(Vec::len).collect::<Vec<_>>(), [2, 1]);
}

#[test]
fn an_order_that_no_shot_can_keep_or_follow_is_told() {
    let head =
        "cutaway rowan\nsupply line\nchamber store  role store\nway fill  from line to store\n\n";
    let (engine, slips) =
        read(&format!("{head}order store fills before trigger pulled  (heard)\n"));
    let place = slips[0].spot.source.place(slips[0].spot.span.start);
    assert_eq!((slips[0].code, place.line), ("orders-contradict", 6), "{}", shown(&slips));
    assert!(engine.orders.is_empty());
    let many = "order line drops before store fills  (heard)\n".repeat(66);
    let (engine, slips) = read(&format!("{head}{many}"));
    assert_eq!(engine.orders.len(), gaugebook::cutaway::model::MOST_ORDERS);
    let lines: Vec<usize> =
        slips.iter().map(|slip| slip.spot.source.place(slip.spot.span.start).line).collect();
    assert_eq!(lines, [70, 71], "{}", shown(&slips));
}
