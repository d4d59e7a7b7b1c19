//! What comes through narrow ways and bleeds, and what it pushes meanwhile.

use super::{order_of, told};
use gaugebook::cutaway::model::Event;
use gaugebook::cutaway::{self, Engine, parse_event};
use gaugebook::logic::{Exploration, explore};
use gaugebook::slip::{Paint, Severity, render};
use gaugebook::text::Source;

/// A tank behind a box: air comes to the box through one narrow way and goes on to the tank through
/// another; a shutter between the two stands open once the tank has more before it than the box.
const TWO_NARROW: &str = "cutaway linden\nlandmark some\nlandmark all above some\nsupply line holds all\n\
     chamber box role pilot\nchamber tank role store\n\
     valve dump 2/2 mechanical\n  rest joins nothing\n  shifted joins tank to open_air\n  \
     shifts while trigger\n\
     valve drain 2/2 mechanical\n  rest joins nothing\n  shifted joins box to open_air\n  \
     shifts while trigger\n\
     valve low_bell 2/2 air\n  rest joins nothing\n  shifted joins nothing\n  \
     shifts while box above some and tank above some\n\
     valve high_bell 2/2 air\n  rest joins nothing\n  shifted joins nothing\n  \
     shifts while box above all and tank above all\n\
     way inlet from line to box narrow while dump resting\n\
     way passage from box to tank narrow\n";

fn linden(more: &str) -> (Engine, Exploration) {
    let text = format!("{TWO_NARROW}{more}");
    explored("linden.cut", &text)
}

/// An engine in which nothing stops publishing, and its runs.
fn explored(name: &str, text: &str) -> (Engine, Exploration) {
    let (engine, slips) = cutaway::read(&Source::new(name, text), &|_| None);
    let told: String = slips.iter().map(|slip| render(slip, Paint::plain())).collect();
    assert!(slips.iter().all(|slip| slip.severity != Severity::Stop), "{told}");
    let found = explore(&engine);
    (engine, found)
}

/// What fills through two narrow ways one behind the other ends full, the one before the other at
/// each pressure; how far the first is ahead by then hangs on bores that nobody knows.
#[test]
fn of_two_narrow_ways_in_a_row_neither_room_waits_for_the_other() {
    let (engine, found) = linden("");
    assert!(found.always_ends_at_rest(), "{}", told(&engine, &found));
    for (first, then, order) in [
        ("box rises to some", "tank rises to some", "before"),
        ("box fills", "tank rises to some", "open"),
        ("box fills", "tank fills", "before"),
    ] {
        assert_eq!(order_of(&engine, &found, first, then), order, "{first}, {then}");
    }
}

/// Of two pressures that oppose each other neither wins while one of them is still to come, be it
/// that the room of the one holds nothing yet.
#[test]
fn a_room_that_is_about_to_fill_opposes_what_it_is_to_push() {
    let shutter = "moving shutter as piston\n  positions shut, open\n  rests shut\n  \
         face rim in box pushes forward\n  face lid in tank pushes back\n\
         fact shutter.lid larger than shutter.rim (measured)\n";
    let (engine, found) = linden(shutter);
    let opens = parse_event(&engine, "shutter reaches open").unwrap();
    assert!(
        !found.steps.iter().any(|step| step.events.contains(&opens)),
        "{}",
        told(&engine, &found)
    );
    assert!(found.always_ends_at_rest());
}

/// Beside its like a bleed is not slow: a lid stays shut while the room behind it and the tank
/// before it fill through bleeds; before a tank that fills by a narrow way it lifts.
#[test]
fn what_seeps_in_opposes_what_seeps_in() {
    let lifts = |width: &str| {
        let text = format!(
            "cutaway bracken\nsupply line\nchamber back role pilot\nchamber tank role store\n\
             chamber spout\n\
             valve dump 2/2 mechanical\n  rest joins nothing\n  shifted joins tank to open_air\n  \
             shifts while trigger\n\
             valve drain 2/2 mechanical\n  rest joins nothing\n  shifted joins back to open_air\n  \
             shifts while trigger\n\
             moving lid as piston\n  positions shut, up\n  rests shut\n  \
             face rim in tank pushes forward\n  face crown in back pushes back\n  \
             spring weak pushes back\n\
             fact lid.crown larger than lid.rim (measured)\n\
             fact lid.rim much larger than lid.weak (measured)\n\
             way fill from line to tank {width} while dump resting\n\
             way hole from line to back bleed\nway spill from tank to spout while lid at up\n"
        );
        let (engine, found) = explored("bracken.cut", &text);
        let released = parse_event(&engine, "trigger released").unwrap();
        let up = parse_event(&engine, "lid reaches up").unwrap();
        let places = |event: Event| found.line_events().iter().rposition(|it| *it == event);
        places(released) < places(up)
    };
    assert_eq!(["bleed", "narrow"].map(lifts), [false, true]);
}

/// What leaks through a narrow way into a room that stands open is lost, as if that were the open
/// air: where it takes more than comes in, the box stays empty and does not fill and empty in turn.
#[test]
fn a_room_that_leaks_into_an_open_one_stays_empty() {
    let text = "cutaway sedge\nsupply line\nchamber box role pilot\nchamber cup\n\
                way inlet from line to box narrow\n\
                way outlet from box to cup narrow while trigger pulled\n\
                way vent from cup to open_air\nfact outlet much wider than inlet (measured)\n";
    let (engine, found) = explored("sedge.cut", text);
    assert!(found.always_ends_at_rest(), "{}", told(&engine, &found));
}
