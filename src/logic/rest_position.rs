//! What is out of place where a shot ends, and what keeps it there.

use super::forces::{acts, groups};
use super::state::State;
use super::why;
use crate::cutaway::model::{Direction, Engine, PartId};
use crate::text::{Span, listed};

/// The first thing that is not as it rests.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct OutOfPlace {
    /// Its name in the cutaway.
    pub(crate) about: Span,
    /// What keeps it there, as a sentence; empty where nothing can be said.
    pub(crate) why: String,
}

/// What is first to blame for a shot that ends in `end` and not at rest: a part before a chamber,
/// since it is parts that open and shut.
pub(crate) fn out_of_place(engine: &Engine, end: &State) -> Option<OutOfPlace> {
    let rest = State::declared(engine);
    let mut parts = engine.parts.ids();
    if let Some(part) = parts.find(|at| rest.positions[*at] != end.positions[*at]) {
        let back = if rest.positions[part] < end.positions[part] {
            Direction::Back
        } else {
            Direction::Forward
        };
        let about = engine.parts[part].name.span;
        return Some(OutOfPlace { about, why: kept(engine, end, part, back) });
    }
    let chamber = engine.chambers.ids().skip(1).find(|at| rest.levels[*at] != end.levels[*at])?;
    Some(OutOfPlace { about: engine.chambers[chamber].name.span, why: String::new() })
}

/// What keeps a part from going one way.
pub(crate) fn kept(engine: &Engine, end: &State, part: PartId, home: Direction) -> String {
    let name = engine.parts[part].name.spoken();
    let linked = groups(engine);
    let mut blocks = engine.parts[part].blocks.iter().filter(|it| it.direction == home);
    if let Some(block) = blocks.find(|it| end.holds(engine, &it.when)) {
        return why::blocked(engine, block);
    }
    let pushes = |direction: Direction| {
        let group = engine.parts.ids().filter(|at| linked[*at] == linked[part]);
        let all = group.flat_map(|at| {
            let pushes = engine.parts[at].pushes.entries();
            pushes.map(move |(push, item)| ((at, push), item))
        });
        let acting = all.filter(|(id, _)| !end.spent.contains(id));
        acting.filter(move |(_, push)| push.direction == direction && end.holds(engine, &push.when))
    };
    let named = |direction: Direction| {
        let acting = pushes(direction).filter(|(_, push)| acts(end, push.kind));
        why::pushers_on_faces(engine, acting.map(|(id, _)| id))
    };
    let (home_ward, away) = (named(home), named(home.opposite()));
    let idle = pushes(home).filter(|(_, push)| !acts(end, push.kind));
    let idle = why::pushers(engine, idle.map(|(id, _)| id));
    let with = |rooms: &[String]| match rooms {
        [] => String::new(),
        rooms => format!("with {} empty, ", listed(rooms, "and")),
    };
    let (to, from) = (home.word(), home.opposite().word());
    let verb = |who: &[String]| if who.len() == 1 { "pushes" } else { "push" };
    match (home_ward.as_slice(), away.as_slice()) {
        ([], []) => format!("{}nothing pushes the {name} {to}", with(&idle)),
        ([], away) => {
            let (who, verb) = (listed(away, "and"), verb(away));
            format!("{}{who} {verb} the {name} {from}, and nothing pushes it {to}", with(&idle))
        }
        (_, []) => String::new(),
        (home_ward, away) => {
            let (who, verb) = (listed(away, "and"), verb(away));
            format!("{who} {verb} the {name} {from}, against {}", listed(home_ward, "and"))
        }
    }
}
