//! Statements about which way air goes: through what, from where and to where.

use super::carried::ToldState;
use super::fittings::open_joints;
use super::rooms::{AirPassage, NamedThings, spoken};
use super::{StatementAnswer, StatementNames, StatementStanding};
use crate::cutaway::model::{ChamberId, Engine, Valve, Way};
use crate::folio::routing::Routed;
use crate::statement::{AirFlow, Phrase};

/// How a room stands in a clause about air.
#[derive(Clone, Copy, PartialEq)]
enum RoomRole {
    /// Behind "from", "out of".
    From,
    /// Behind "to", "into".
    To,
    /// Before the verb.
    Subject,
    /// Behind it.
    Object,
}

/// Two rooms that are joined, and whether air passes only from the first to the second.
type AirJoint = (ChamberId, ChamberId, bool);

impl StatementNames<'_> {
    /// "The metering hole leads from the line to the store".
    pub(super) fn joins(
        &self,
        said: &Phrase,
        verb: usize,
        flow: AirFlow,
        is_passive: bool,
    ) -> Option<StatementAnswer> {
        let is_only = self.beside.is_only;
        self.of_each(&[said], |routed, name| {
            let state = self.told_state(routed);
            joined((self, routed, name), said, (verb, is_passive, flow), (state, is_only))
        })
    }
}

fn of_way(way: &Way) -> Vec<AirJoint> {
    vec![(way.from, way.to, way.one_way)]
}

fn of_valve(valve: &Valve) -> Vec<AirJoint> {
    [of_joints(&valve.rest), of_joints(&valve.shifted)].concat()
}

fn of_joints(joints: &[(ChamberId, ChamberId)]) -> Vec<AirJoint> {
    joints.iter().map(|(from, to)| (*from, *to, false)).collect()
}

/// How the room whose name starts at `first` stands to the verb.
fn role(named: &NamedThings<'_>, first: usize, verb: usize) -> RoomRole {
    let mut at = first;
    let mut steps = 0;
    while 0 < at && steps < 4 {
        at -= 1;
        steps += 1;
        match named.stem(at) {
            "from" | "off" => return RoomRole::From,
            "of" if at.checked_sub(1).is_some_and(|at| named.stem(at) == "out") => {
                return RoomRole::From;
            }
            "on" if at.checked_sub(1) == Some(verb) => return RoomRole::From,
            "to" | "into" | "onto" => return RoomRole::To,
            "in" if at.checked_sub(1).is_some_and(|at| named.stem(at) == "let") => {
                return RoomRole::To;
            }
            _ if at == verb || named.mentions.iter().any(|m| (m.first..m.last).contains(&at)) => {
                break;
            }
            _ => {}
        }
    }
    if first < verb { RoomRole::Subject } else { RoomRole::Object }
}

/// Where air comes from and where it goes, as a verb and the places of the rooms say.
fn ends(
    engine: &Engine,
    rooms: &[(RoomRole, ChamberId)],
    (flow, is_vented): (AirFlow, bool),
    is_passive: bool,
    has_way: bool,
) -> Option<(Option<ChamberId>, Option<ChamberId>)> {
    if let (AirFlow::Joins, [(first, one), (then, two)]) = (flow, rooms) {
        let is_turned = *first == RoomRole::To || *then == RoomRole::From;
        let ends = if is_turned { (*two, *one) } else { (*one, *two) };
        return (one != two).then_some((Some(ends.0), Some(ends.1)));
    }
    let place = |role: RoomRole| {
        let mut found = rooms.iter().filter(|(known, _)| *known == role).map(|(_, room)| *room);
        let first = found.next();
        if found.next().is_some() { Err(()) } else { Ok(first) }
    };
    let (from, to) = (place(RoomRole::From).ok()?, place(RoomRole::To).ok()?);
    let (subject, object) = (place(RoomRole::Subject).ok()?, place(RoomRole::Object).ok()?);
    let (from, to) = match flow {
        // "The store fills from the line".
        AirFlow::Feeds if from.is_some() && to.is_none() && object.is_none() => (from, subject),
        AirFlow::Feeds if is_passive => (from.or(object), to.or(subject)),
        AirFlow::Feeds | AirFlow::Reaches => (from.or(subject), to.or(object)),
        AirFlow::Takes => (from.or(object), to.or(subject)),
        AirFlow::Empties | AirFlow::Passes => (from.or(subject).or(object), to),
        AirFlow::Joins => match (from, to, subject, object) {
            (Some(from), Some(to), ..) => (Some(from), Some(to)),
            (None, Some(to), one, two) => (one.or(two), Some(to)),
            _ => return None,
        },
    };
    let air = engine.chambers.ids().next();
    let to = match flow {
        // "The mouth empties the store" says nothing of where to.
        AirFlow::Empties if to.is_none() && has_way && is_vented => air,
        _ => to,
    };
    let count = from.iter().chain(&to).count();
    (from != to && (count == 2 || has_way && count == 1)).then_some((from, to))
}

/// "The store fills from the line".
fn fills_itself(flow: AirFlow, rooms: &[(RoomRole, ChamberId)]) -> bool {
    let has = |wanted: RoomRole| rooms.iter().any(|(role, _)| *role == wanted);
    let goes_on = has(RoomRole::Object) || has(RoomRole::To);
    flow == AirFlow::Feeds && has(RoomRole::From) && !goes_on
}

fn joined(
    (names, routed, name): (&StatementNames<'_>, &Routed, &str),
    said: &Phrase,
    (verb, is_passive, flow): (usize, bool, AirFlow),
    (state, is_only): (ToldState, bool),
) -> Option<StatementAnswer> {
    let engine = &routed.engine;
    let mut named = NamedThings::of(names, routed, said);
    // "Feeds" is a verb, whatever is called the feed.
    named.mentions.retain(|mention| mention.first != verb);
    // Of which of its things nothing else is said, the words do not settle.
    if !named.is_clear() || is_only || named.names_beside(verb) {
        return None;
    }
    let rooms: Vec<(RoomRole, ChamberId)> =
        named.rooms().into_iter().map(|(at, room)| (role(&named, at, verb), room)).collect();
    if named.says("both") {
        return draws(engine, name, &named, &rooms);
    }
    let answer = joined_by(engine, name, (&named, &rooms), (verb, is_passive, flow), state)?;
    (answer.standing != StatementStanding::Fails || named.is_plain()).then_some(answer)
}

/// What a clause about air comes to, with the rooms that it names.
fn joined_by(
    engine: &Engine,
    name: &str,
    (named, rooms): (&NamedThings<'_>, &[(RoomRole, ChamberId)]),
    (verb, is_passive, flow): (usize, bool, AirFlow),
    state: ToldState,
) -> Option<StatementAnswer> {
    let ways = named.ways();
    let way = ways.first().map(|(_, way)| *way);
    if 1 < ways.len() {
        return None;
    }
    let is_passive = is_passive || fills_itself(flow, rooms);
    // "The hole feeds the store", "the store is fed through the hole": it is told what air
    // passes, not only what happens to a room.
    let is_told = ways.iter().any(|(at, _)| (*at < verb) != is_passive)
        && (!is_passive || ["by", "through", "via"].iter().any(|word| named.says(word)));
    let is_vented = ["vent", "exhaust"].iter().any(|vents| named.stem(verb).starts_with(vents));
    let flow = (flow, is_vented);
    let (from, to) = ends(engine, rooms, flow, is_passive, way.is_some() && is_told)?;
    // The open air feeds nothing.
    let outside = engine.chambers.ids().next().filter(|_| flow.0 == AirFlow::Feeds);
    let is_source =
        |(a, b, _): &AirJoint| from.is_some() || ![Some(*a), Some(*b)].contains(&outside);
    let joins = |joint: &AirJoint| is_source(joint) && carries(engine, joint, (from, to));
    // Air that may go both ways need not go the way that is told.
    let places = rooms.iter().filter(|it| matches!(it.0, RoomRole::From | RoomRole::To));
    let is_directed = flow.0 != AirFlow::Joins || places.count() == 2;
    let ends: Vec<String> =
        [from, to].into_iter().flatten().filter_map(|at| spoken(engine, at)).collect();
    let told =
        |(a, b, _): &AirJoint| Some(format!("{} and {}", spoken(engine, *a)?, spoken(engine, *b)?));
    if let Some(way) = way {
        let (words, joints) = passed(engine, way)?;
        if is_directed
            && joints.iter().any(joins)
            && !joints.iter().any(|joint| goes_so(joint, (from, to)))
        {
            return None;
        }
        let holds = match joints.iter().any(joins) {
            true => open_then(engine, way, state)?.iter().any(joins),
            // What it never joins, it joins in no state.
            false => false,
        };
        let all: Vec<String> = joints.iter().filter_map(told).collect();
        let then = if state.is_any() || !joints.iter().any(joins) { "" } else { " by turns" };
        let reason = format!("the {words} joins {}{then}", all.join(", or "));
        let question = format!("joins({name}, {words}, {})", ends.join(", "));
        let standing = StatementStanding::of(holds);
        return Some(StatementAnswer { standing, reason, question });
    }
    let (Some(from), Some(to)) = (from, to) else { return None };
    // "A bleed hole joins A and B": what does is named, and not known.
    let has_subject = rooms.iter().any(|(role, _)| *role == RoomRole::Subject);
    if flow.0 == AirFlow::Joins && !is_passive && !has_subject && named.names_before(verb) {
        return None;
    }
    // "Straight from the line": through no other room.
    let is_direct = ["straight", "directly", "direct"].iter().any(|word| named.says(word));
    let somehow = (flow.0 != AirFlow::Joins, is_direct);
    let answer = joined_somehow(engine, name, (from, to), somehow)?;
    if state.is_any() || answer.standing == StatementStanding::Fails {
        return Some(answer);
    }
    let is_open = open_between(engine, (from, to), state)?;
    let then = if is_open { "is open then" } else { "is shut then" };
    let reason = format!("what joins {} {then}", ends.join(" and "));
    Some(StatementAnswer { standing: StatementStanding::of(is_open), reason, ..answer })
}

/// Whether a joint is told in the direction in which air is meant to pass it.
fn goes_so((a, b, _): &AirJoint, (from, to): (Option<ChamberId>, Option<ChamberId>)) -> bool {
    from.is_none_or(|from| from == *a) && to.is_none_or(|to| to == *b)
}

/// Whether something that joins two rooms is open in a state, as far as that is settled.
fn open_between(
    engine: &Engine,
    (from, to): (ChamberId, ChamberId),
    state: ToldState,
) -> Option<bool> {
    let ways = engine.ways.ids().map(AirPassage::Way);
    let all = ways.chain(engine.valves.ids().map(AirPassage::Valve));
    let joins = |joints: &[AirJoint]| {
        joints.iter().any(|joint| carries(engine, joint, (Some(from), Some(to))))
    };
    let able = all.filter(|it| passed(engine, *it).is_some_and(|(_, all)| joins(&all)));
    let open: Vec<Option<bool>> =
        able.map(|it| open_then(engine, it, state).map(|open| joins(&open))).collect();
    if open.contains(&Some(true)) {
        return Some(true);
    }
    open.iter().all(|it| *it == Some(false)).then_some(false)
}

/// What air passes through, and all that it joins.
fn passed(engine: &Engine, joint: AirPassage) -> Option<(String, Vec<AirJoint>)> {
    match joint {
        AirPassage::Way(at) => engine.ways.get(at).map(|way| (way.name.spoken(), of_way(way))),
        AirPassage::Valve(at) => {
            engine.valves.get(at).map(|valve| (valve.name.spoken(), of_valve(valve)))
        }
    }
}

/// What it joins in a state; `None` where that is not settled.
fn open_then(engine: &Engine, joint: AirPassage, state: ToldState) -> Option<Vec<AirJoint>> {
    match joint {
        AirPassage::Way(at) => {
            let way = engine.ways.get(at)?;
            let is_met = state.meets(engine, &way.when)?;
            Some(if is_met { of_way(way) } else { Vec::new() })
        }
        AirPassage::Valve(at) => {
            let valve = engine.valves.get(at)?;
            match state {
                ToldState::Any => Some(of_valve(valve)),
                ToldState::At(stand) => open_joints(engine, (at, valve), stand).map(of_joints),
                ToldState::Until | ToldState::Unread => None,
            }
        }
    }
}

/// "The store feeds the tail", by whatever way.
fn joined_somehow(
    engine: &Engine,
    name: &str,
    (from, to): (ChamberId, ChamberId),
    (is_flow, is_direct): (bool, bool),
) -> Option<StatementAnswer> {
    let ends = [spoken(engine, from)?, spoken(engine, to)?];
    let ways = engine.ways.iter().flat_map(of_way);
    let mut all = ways.chain(engine.valves.iter().flat_map(of_valve));
    let told = (Some(from), Some(to));
    let able: Vec<AirJoint> = all.by_ref().filter(|joint| carries(engine, joint, told)).collect();
    let is_joined = !able.is_empty();
    if is_flow && is_joined && !able.iter().any(|joint| goes_so(joint, told)) {
        return None;
    }
    // Where nothing joins them, air may still come by way of a third room.
    let is_apart = !is_joined && is_flow && (is_direct || !may_pass(engine, from, to));
    let (standing, reason) = match (is_joined, is_apart) {
        (true, _) => (StatementStanding::Holds, format!("a way joins {}", ends.join(" and "))),
        (_, true) => {
            (StatementStanding::Fails, format!("no way joins the {}", ends.join(" and the ")))
        }
        _ => return None,
    };
    let question = format!("joins({name}, {})", ends.join(", "));
    Some(StatementAnswer { standing, reason, question })
}

/// Whether air passes a joint from one room to another, as far as they are told.
fn carries(
    engine: &Engine,
    (a, b, one_way): &AirJoint,
    (from, to): (Option<ChamberId>, Option<ChamberId>),
) -> bool {
    let meets = |a: ChamberId, b: ChamberId| {
        from.is_none_or(|from| from == a) && to.is_none_or(|to| to == b)
    };
    // Nothing feeds a supply.
    let is_supply = engine.chambers.get(*a).is_some_and(|room| room.is_supply());
    meets(*a, *b) || !one_way && !is_supply && meets(*b, *a)
}

/// Whether air of one room may ever come into another, however things stand; what has come into a
/// supply or into the open is air of that.
fn may_pass(engine: &Engine, from: ChamberId, to: ChamberId) -> bool {
    let ways = engine.ways.iter().flat_map(of_way);
    let joints: Vec<_> = ways.chain(engine.valves.iter().flat_map(of_valve)).collect();
    let is_end = |at: ChamberId| {
        let is_open_air = engine.chambers.ids().next() == Some(at);
        is_open_air || engine.chambers.get(at).is_some_and(|room| room.is_supply())
    };
    let mut reached = vec![from];
    let mut next = 0;
    while let Some(at) = reached.get(next).copied() {
        next += 1;
        if at != from && is_end(at) {
            continue;
        }
        for (a, b, one_way) in &joints {
            let onward = match () {
                () if *a == at => *b,
                () if *b == at && !one_way => *a,
                () => continue,
            };
            if !reached.contains(&onward) {
                reached.push(onward);
            }
        }
    }
    reached.contains(&to)
}

/// "Both trips are fed from the bottle": valves, each joined to a room.
fn draws(
    engine: &Engine,
    name: &str,
    named: &NamedThings<'_>,
    rooms: &[(RoomRole, ChamberId)],
) -> Option<StatementAnswer> {
    let of_name = |valve: &&Valve| {
        let words = valve.name.id.replace('_', " ");
        words.split(' ').any(|word| named.says(word))
    };
    let chosen: Vec<&Valve> = engine.valves.iter().filter(of_name).collect();
    let (_, from) = rooms.iter().find(|(role, _)| *role == RoomRole::From)?;
    if chosen.len() != 2 {
        return None;
    }
    let draws = |valve: &&Valve| of_valve(valve).iter().any(|(a, b, _)| a == from || b == from);
    let room = spoken(engine, *from)?;
    let told: Vec<String> = chosen.iter().map(|valve| valve.name.spoken()).collect();
    let standing = StatementStanding::of(chosen.iter().all(draws));
    let which = told.join(", ");
    let reason = match standing {
        StatementStanding::Holds => format!("each joins the {room}: {which}"),
        _ => format!("not all of these join the {room}: {which}"),
    };
    let question = format!("joins({name}, {which}, {room})");
    Some(StatementAnswer { standing, reason, question })
}
