//! What happens in one step happens at once; but a cause comes before what follows from it.

use crate::cutaway::model::{ChamberId, Element, Event};

/// Whether of two events of one step the first brings about the second, or is passed on the way to
/// it: a part leaves a place, reaches the next, and ways open by it. Two that follow from the same
/// are at once, in whatever order the file has them.
pub(super) fn leads_to(step: &[Event], first: Event, then: Event) -> bool {
    let (cause, follows) = (rank(first), rank(then));
    if cause != follows {
        return cause < follows;
    }
    // The pressure of a room passes its landmarks one after the other.
    let place = |event: Event| step.iter().position(|it| *it == event);
    room(first).is_some() && room(first) == room(then) && place(first) < place(then)
}

/// Where an event stands among those that happen at once: the hand, valves, what starts to move,
/// what arrives, the air, and what opens, shuts or is held by it.
pub(crate) fn rank(event: Event) -> u8 {
    match event {
        Event::Pulled(_) | Event::Released(_) => 0,
        Event::Shifts(_) | Event::Returns(_) => 1,
        Event::Leaves(..) => 2,
        Event::Reaches(..) | Event::BallLeaves | Event::BallFed => 3,
        Event::Drops(_)
        | Event::Empties(_)
        | Event::Fills(_)
        | Event::Rises(..)
        | Event::Falls(..) => 4,
        Event::Latches(_) | Event::Unlatches(_) | Event::Opens(_) | Event::Closes(_) => 5,
    }
}

/// The room whose pressure an event is about.
fn room(event: Event) -> Option<ChamberId> {
    match event.subject() {
        Element::Chamber(room) | Element::Pressure(room, _) => Some(room),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use crate::cutaway::model::{Engine, Event};
    use crate::cutaway::parse_event;
    use crate::logic::{EventStanding, explore, follow, precedence};
    use crate::text::Source;

    /// A slide that shuts one way and opens another by the same move; `ways` in either order.
    fn engine(ways: &str, barrel: &str) -> Engine {
        let text = format!(
            "cutaway willow\nsupply line\nchamber store  role store\nchamber tube\nchamber pilot\n{ways}\
             way tap  from line to store  narrow\nmoving slide\n  positions back, front\n  \
             rests back\n  spring own  pushes forward  while trigger\n  \
             spring return  pushes back  while trigger released\n\
             fact slide.own larger than slide.return  (assumed)\n\
             {barrel}\nball seed  in tube  fed while slide at back\n"
        );
        crate::cutaway::read(&Source::new("willow.cut", text), &|_| None).0
    }

    const SHUTS: &str = "way inlet  from line to store  while slide at back\n";
    const OPENS: &str = "way mouth  from store to tube  while slide at front\n";

    fn event(engine: &Engine, words: &str) -> Event {
        parse_event(engine, words).unwrap_or_else(|_| panic!("{words}"))
    }

    /// What follows from one move is at once, whichever line stands first in the file; the move
    /// itself comes before it.
    #[test]
    fn the_order_of_lines_decides_no_order_of_events() {
        for ways in [[SHUTS, OPENS].concat(), [OPENS, SHUTS].concat()] {
            let engine = engine(&ways, "barrel  from tube");
            let found = explore(&engine);
            let [shuts, opens] = ["inlet closes", "mouth opens"].map(|it| event(&engine, it));
            for (one, other) in [(shuts, opens), (opens, shuts)] {
                let order = precedence(&found, one, other);
                assert!(order.at_once && !order.first_before && !order.then_before, "{order:?}");
                let moved = event(&engine, "slide reaches front");
                let followed = follow(&found, &[moved, one, other]).events;
                assert_eq!(followed, [const { EventStanding::Follows }; 3]);
                let turned = follow(&found, &[one, moved]).events;
                assert!(turned.iter().any(|it| *it != EventStanding::Follows), "{turned:?}");
                assert!(precedence(&found, moved, one).always());
            }
        }
    }

    /// A ball that sits tight is as slow as air through a narrow way: either may come first.
    #[test]
    fn a_ball_in_a_narrow_barrel_is_slow() {
        let pilot = "way fill  from line to pilot  while slide at back\n\
             way bled  from pilot to open_air  narrow  while slide at front\n";
        let ways = [SHUTS, OPENS, pilot].concat();
        for (barrel, is_open) in [("barrel  from tube", false), ("barrel  from tube  narrow", true)]
        {
            let engine = engine(&ways, barrel);
            let found = explore(&engine);
            let [leaves, empties] = ["seed leaves", "pilot empties"].map(|it| event(&engine, it));
            let order = precedence(&found, leaves, empties);
            assert_eq!(order.then_before, is_open, "{barrel}: {order:?}");
        }
    }
}
