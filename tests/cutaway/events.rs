//! Events from a writer's words and back.

use super::support::{here, others, read, source};
use gaugebook::cutaway::model::{
    Condition, Element, Event, OPEN_AIR, PositionId, PushId, Relation, Term, TriggerId,
};
use gaugebook::cutaway::{self, Engine, condition_words, event_words, fact_line, parse_event};

fn rowan() -> Engine {
    cutaway::read(&source(&here().join("clean/rowan.cut")), &others).0
}

/// Every event that the engine could have.
fn all_events(engine: &Engine) -> Vec<Event> {
    let mut events = vec![Event::BallLeaves, Event::BallFed];
    events.extend(engine.triggers.ids().flat_map(|at| [Event::Pulled(at), Event::Released(at)]));
    events.extend(engine.valves.ids().flat_map(|at| [Event::Shifts(at), Event::Returns(at)]));
    events.extend(engine.ways.ids().flat_map(|at| [Event::Opens(at), Event::Closes(at)]));
    events.extend(
        engine
            .chambers
            .ids()
            .skip(1)
            .flat_map(|at| [Event::Fills(at), Event::Drops(at), Event::Empties(at)]),
    );
    for (part, moving) in engine.parts.entries() {
        let at = moving.positions.ids();
        events.extend(at.flat_map(|at| [Event::Leaves(part, at), Event::Reaches(part, at)]));
        if moving.latch.is_some() {
            events.extend([Event::Unlatches(part), Event::Latches(part)]);
        }
    }
    events
}

#[test]
fn what_is_said_of_an_event_means_that_event() {
    let oak = "cutaway oak\nsupply line\nchamber store  role store\nway fill  from line to store\n\
               moving hammer  as hammer  called \"the striker\"\n  positions back, half_cock, front\n  \
               rests back\n  spring main  pushes forward\n  face foot  in store  pushes back\n  \
               latch sear  holds back until trigger\nmoving a\n  positions out, in_stop\n  \
               rests out\n  spring pushes forward\n  face foot  in store  pushes back\n";
    let (oak, slips) = read(oak);
    assert!(slips.is_empty(), "{slips:?}");
    for engine in [rowan(), oak] {
        for event in all_events(&engine) {
            let has_ball =
                !matches!(event, Event::BallLeaves | Event::BallFed) || engine.ball.is_some();
            if has_ball {
                let words = event_words(&engine, event);
                assert_eq!(parse_event(&engine, &words), Ok(event), "{words}");
            }
        }
    }
}

#[test]
fn writers_words_are_understood() {
    let rowan = rowan();
    let part = |name| rowan.part(name).unwrap();
    let pilot = rowan.valve("pilot").unwrap();
    let room = rowan.chamber("switch_room").unwrap();
    let cases = [
        ("trigger", Event::Pulled(TriggerId::at(0))),
        ("The trigger is pulled", Event::Pulled(TriggerId::at(0))),
        ("the pilot opens", Event::Shifts(pilot)),
        ("pilot closes", Event::Returns(pilot)),
        ("switch leaves front stop", Event::Leaves(part("switch"), PositionId::at(1))),
        ("bolt home", Event::Reaches(part("bolt"), PositionId::at(2))),
        ("the Rear Chamber empties", Event::Empties(room)),
        ("switch_room fills", Event::Fills(room)),
        ("the switch lets go", Event::Leaves(part("switch"), PositionId::at(1))),
        ("a pellet drops in", Event::BallFed),
    ];
    for (words, event) in cases {
        assert_eq!(parse_event(&rowan, words), Ok(event), "{words}");
    }
}

#[test]
fn words_that_are_no_event_come_back_with_a_proposal() {
    let rowan = rowan();
    let cases = [
        ("swich leaves front", "swich", Some("switch leaves front")),
        ("switch leaves frnt", "leaves frnt", Some("switch leaves front")),
        ("pilot shfits", "shfits", Some("pilot shifts")),
        ("swich leaves frnt", "swich", Some("switch leaves front")),
        ("swich room fills", "swich", Some("switch_room fills")),
        ("store explodes", "explodes", None),
        ("", "", None),
    ];
    for (text, at_fault, proposal) in cases {
        let fault = parse_event(&rowan, text).unwrap_err();
        assert_eq!(&text[fault.span.start..fault.span.end], at_fault, "{fault:?}");
        assert_eq!(fault.proposal.as_deref(), proposal, "{fault:?}");
        if let Some(proposal) = proposal {
            assert!(parse_event(&rowan, proposal).is_ok(), "{proposal}");
        }
    }
}

#[test]
fn conditions_and_facts_are_told_in_words() {
    let rowan = rowan();
    let part = rowan.part("bolt").unwrap();
    let room = rowan.chamber("switch_room").unwrap();
    assert_eq!(condition_words(&rowan, Condition::At(part, PositionId::at(2))), "bolt at home");
    assert_eq!(condition_words(&rowan, Condition::NoPressure(room)), "no pressure in switch room");
    assert_eq!(
        condition_words(&rowan, Condition::Above(room, OPEN_AIR)),
        "switch room above open air"
    );
    let push = |at: usize| Term::Own(Element::Push(part, PushId::at(at)));
    let (left, right) = ([push(0), push(1)], [push(2)]);
    let line = fact_line(&rowan, &left, Relation::MuchLarger, &right, "seen");
    assert_eq!(line, "fact bolt.sail + bolt.shaft much larger than bolt.collar (seen)");
    let text = std::fs::read_to_string(here().join("clean/rowan.cut")).unwrap();
    let (again, slips) = read(&format!("{text}{line}\n"));
    assert!(slips.is_empty(), "what is proposed can be written as it stands: {slips:?}");
    assert_eq!(again.facts.len(), rowan.facts.len() + 1);
}
