//! Rows for what moves: parts and what pushes them, triggers and valves.

use super::compare::{Anatomy, Row, RowStanding, Sentence, counted, row_of_both, row_of_one};
use super::needs::Needs;
use super::words::{Does, Subject, Two, listed};
use crate::cutaway::model::{
    ChamberId, Condition, Direction, Element, Hold, Obstacle, PartId, PositionId, Push, PushId,
    PushKind, Returns, Shape, Valve, ValveId,
};
use crate::cutaway::spoken::{conditions, joins};

/// One row a part, and one for each push on it and its latch.
pub(super) fn parts(two: &Two<'_>) -> Vec<Row> {
    let mut rows = Vec::new();
    for at in two.engines[0].parts.ids() {
        let thing = Element::Part(at);
        match two.partner(0, thing) {
            Some(other @ Element::Part(there)) => {
                let differing = part_differences(two, at, there);
                let same = || format!("{} in both", part_words(two, 0, at));
                rows.push(row_of_both(two, Anatomy::Parts, (thing, other), differing, same));
                rows.extend(pushes(two, at, there));
                rows.extend(latch(two, at, there));
            }
            _ => rows.extend(only_part(two, 0, at)),
        }
    }
    let alone =
        two.engines[1].parts.ids().filter(|at| two.partner(1, Element::Part(*at)).is_none());
    rows.extend(alone.flat_map(|at| only_part(two, 1, at)));
    rows
}

/// A part of one engine, and its springs, which have a group of their own.
fn only_part(two: &Two<'_>, side: usize, at: PartId) -> Vec<Row> {
    let part = &two.engines[side].parts[at];
    let pushes = part.pushes.ids().map(|push| push_words(two, side, at, push));
    let words = part_words(two, side, at);
    let what =
        if part.pushes.is_empty() { words } else { format!("{words}; {}", listed(pushes, "and")) };
    vec![row_of_one(two, Anatomy::Parts, side, Element::Part(at), &what)]
}

/// "the bolt rests at back and goes to home".
fn part_words(two: &Two<'_>, side: usize, at: PartId) -> String {
    let part = &two.engines[side].parts[at];
    let name = two.name(side, Element::Part(at));
    let position = |place: PositionId| two.name(side, Element::Position(at, place));
    let others = part.positions.ids().filter(|place| *place != part.rest).map(position);
    let others = listed(others, "and");
    format!("the {name} rests at {} and goes to {others}", position(part.rest))
}

fn part_differences(two: &Two<'_>, first: PartId, second: PartId) -> Vec<Sentence> {
    let [one, other] = [&two.engines[0].parts[first], &two.engines[1].parts[second]];
    let names = [two.name(0, Element::Part(first)), two.name(1, Element::Part(second))];
    let full = names.each_ref().map(|name| format!("the {name}"));
    let full = full.each_ref().map(String::as_str);
    let mut says = Vec::new();
    for (side, at, part) in [(0, first, one), (1, second, other)] {
        for place in part.positions.ids() {
            let position = Element::Position(at, place);
            if two.partner(side, position).is_none() {
                let place = two.name(side, position);
                let what = format!("the {} has a position {place}", names[side]);
                says.push(counted(two.only(side, &what)));
            }
        }
    }
    let rest = Element::Position(first, one.rest);
    if two.partner(0, rest) != Some(Element::Position(second, other.rest)) {
        let there = two.name(1, Element::Position(second, other.rest));
        let (here, there) = (format!("at {}", two.name(0, rest)), format!("at {there}"));
        says.push(counted(two.differs(full, "rests", &here, &there)));
    }
    says.extend(links_of_one(two, 0, first));
    says.extend(links_of_one(two, 1, second));
    says.extend(blocks(two, first, second));
    if one.pace != other.pace {
        says.push(counted(two.differs(full, "is", one.pace.word(), other.pace.word())));
    }
    let (here, there) = (one.shape.word(), other.shape.word());
    // A plain piston is also what a part is whose shape was not said.
    if one.shape != other.shape && one.shape != Shape::Piston && other.shape != Shape::Piston {
        let (here, there) = (format!("a {here}"), format!("a {there}"));
        says.push(counted(two.differs(full, "is", &here, &there)));
    }
    says
}

/// What keeps one of two partners from moving, and not the other.
fn blocks(two: &Two<'_>, first: PartId, second: PartId) -> Vec<Sentence> {
    let here = &two.engines[0].parts[first].blocks;
    let mut there: Vec<&Obstacle> = two.engines[1].parts[second].blocks.iter().collect();
    let words = |side: usize, part: PartId, block: &Obstacle| {
        let name = two.name(side, Element::Part(part));
        let to = block.direction.word();
        let when = match block.when.is_empty() {
            true => String::new(),
            false => format!(" while {}", conditions(two.engines[side], &block.when)),
        };
        counted(two.only(side, &format!("the {name} is kept from moving {to}{when}")))
    };
    let mut says = Vec::new();
    for block in here {
        let is_it = |other: &&Obstacle| {
            two.direction(1, other.direction) == block.direction
                && two.ask_alike(&block.when, &other.when)
        };
        match there.iter().position(is_it) {
            Some(at) => drop(there.remove(at)),
            None => says.push(words(0, first, block)),
        }
    }
    says.extend(there.into_iter().map(|block| words(1, second, block)));
    says
}

/// Links that the other engine lacks, told with the first part of each.
fn links_of_one(two: &Two<'_>, side: usize, part: PartId) -> Vec<Sentence> {
    let partner = |part: PartId| match two.partner(side, Element::Part(part)) {
        Some(Element::Part(other)) => Some(other),
        _ => None,
    };
    let others = &two.engines[1 - side].links;
    let is_there = |one: PartId, other: PartId| match (partner(one), partner(other)) {
        (Some(one), Some(other)) => {
            others.contains(&(one, other)) || others.contains(&(other, one))
        }
        _ => false,
    };
    // Where the first part has no partner, the second has to tell it.
    let teller = |one: PartId, other: PartId| if partner(one).is_some() { one } else { other };
    let links = two.engines[side].links.iter().copied();
    let missing =
        links.filter(|(one, other)| teller(*one, *other) == part && !is_there(*one, *other));
    let says = missing.map(|(one, other)| {
        let [one, other] = [one, other].map(|part| two.name(side, Element::Part(part)));
        counted(two.only(side, &format!("the {one} moves as one with the {other}")))
    });
    says.collect()
}

fn pushes(two: &Two<'_>, first: PartId, second: PartId) -> Vec<Row> {
    let mut rows = Vec::new();
    let replaced = replaced(two, first, second);
    let replaces = |push: PushId, side: usize| replaced.iter().any(|pair| pair[side] == push);
    rows.extend(replaced.iter().map(|[at, there]| instead(two, (first, *at), (second, *there))));
    for at in two.engines[0].parts[first].pushes.ids() {
        let thing = Element::Push(first, at);
        let anatomy = group(&two.engines[0].parts[first].pushes[at]);
        match two.partner(0, thing) {
            Some(other @ Element::Push(_, there)) => {
                let differing = push_differences(two, (first, at), (second, there));
                let same = || format!("{} in both", push_words(two, 0, first, at));
                rows.push(row_of_both(two, anatomy, (thing, other), differing, same));
            }
            _ if replaces(at, 0) => {}
            _ => {
                let what = push_words(two, 0, first, at);
                rows.push(row_of_one(two, anatomy, 0, thing, &what));
            }
        }
    }
    for at in two.engines[1].parts[second].pushes.ids() {
        let thing = Element::Push(second, at);
        if two.partner(1, thing).is_none() && !replaces(at, 1) {
            let anatomy = group(&two.engines[1].parts[second].pushes[at]);
            rows.push(row_of_one(two, anatomy, 1, thing, &push_words(two, 1, second, at)));
        }
    }
    rows
}

/// Pushes of two partners that stand for each other: the only one on each side that pushes home, or
/// away from there, and has no partner.
fn replaced(two: &Two<'_>, first: PartId, second: PartId) -> Vec<[PushId; 2]> {
    let alone = |side: usize, part: PartId, is_homeward: bool| -> Option<PushId> {
        let item = &two.engines[side].parts[part];
        let home = match item.rest {
            PositionId::REAR => Direction::Back,
            rest if item.positions.get(rest.in_front()).is_none() => Direction::Forward,
            _ => return None,
        };
        let mut alone = item.pushes.entries().filter(|(at, push)| {
            (push.direction == home) == is_homeward
                && two.partner(side, Element::Push(part, *at)).is_none()
        });
        alone.next().map(|(at, _)| at).filter(|_| alone.next().is_none())
    };
    let pairs = [true, false].map(|home| Some([alone(0, first, home)?, alone(1, second, home)?]));
    pairs.into_iter().flatten().collect()
}

/// What pushes a part in one engine, and what does in its place in the other.
fn instead(two: &Two<'_>, (part, at): (PartId, PushId), (other, there): (PartId, PushId)) -> Row {
    let things = [Element::Push(part, at), Element::Push(other, there)];
    let words = [push_words(two, 0, part, at), push_words(two, 1, other, there)];
    let [title, other_title] = &two.titles;
    let text = format!("{} in {title}; in its place {} in {other_title}", words[0], words[1]);
    Row {
        anatomy: Anatomy::Parts,
        things: things.map(Some),
        names: [Some(two.label(0, things[0])), Some(two.label(1, things[1]))],
        sure: None,
        why: String::new(),
        standing: RowStanding::Different,
        says: vec![counted(text)],
    }
}

fn group(push: &Push) -> Anatomy {
    match push.kind {
        PushKind::Spring => Anatomy::Springs,
        PushKind::Face(_) | PushKind::Hand | PushKind::Contact(_) => Anatomy::Parts,
    }
}

/// "the front face of the switch is in the store and pushes back".
fn push_words(two: &Two<'_>, side: usize, part: PartId, at: PushId) -> String {
    let push = &two.engines[side].parts[part].pushes[at];
    let name = push_name(two, side, part, at);
    let way = push.direction.word();
    match push.kind {
        PushKind::Face(chamber) => {
            format!("{name} is in {} and pushes {way}", two.chamber(side, chamber))
        }
        PushKind::Spring | PushKind::Hand => format!("{name} pushes {way}"),
        PushKind::Contact(other) => {
            let other = two.name(side, Element::Part(other));
            let once = if push.is_blow { ", once each time" } else { "" };
            format!("{name} lets the {other} push {way}{once}")
        }
    }
}

/// "the front face of the switch".
fn push_name(two: &Two<'_>, side: usize, part: PartId, at: PushId) -> String {
    let kind = match two.engines[side].parts[part].pushes[at].kind {
        PushKind::Face(_) => "face",
        PushKind::Spring => "spring",
        PushKind::Contact(_) => "contact",
        PushKind::Hand => "finger",
    };
    let name = two.name(side, Element::Push(part, at));
    let of = two.name(side, Element::Part(part));
    format!("the {name} {kind} of the {of}").replace(&format!("{kind} {kind}"), kind)
}

fn push_differences(
    two: &Two<'_>,
    (part, at): (PartId, PushId),
    (other_part, other_at): (PartId, PushId),
) -> Vec<Sentence> {
    let pushes = [
        &two.engines[0].parts[part].pushes[at],
        &two.engines[1].parts[other_part].pushes[other_at],
    ];
    let names = [push_name(two, 0, part, at), push_name(two, 1, other_part, other_at)];
    let full = names.each_ref().map(String::as_str);
    let mut says = Vec::new();
    let mut differs = |is: &str, here: String, there: String| {
        says.push(counted(two.differs(full, is, &here, &there)));
    };
    match (pushes[0].kind, pushes[1].kind) {
        (PushKind::Face(one), PushKind::Face(other)) if !two.same_chamber(one, other) => {
            let room = Element::Chamber(other);
            let (one, other) = two.apart(two.chamber(0, one), two.chamber(1, other), [room]);
            differs("is in", one, format!("in {other}"));
        }
        (PushKind::Contact(one), PushKind::Contact(other))
            if two.partner(0, Element::Part(one)) != Some(Element::Part(other)) =>
        {
            let name = |side: usize, part: PartId| two.name(side, Element::Part(part));
            let part = Element::Part(other);
            let (one, other) = two.apart(name(0, one), name(1, other), [part]);
            differs("is struck by", format!("the {one}"), format!("by the {other}"));
        }
        _ => {}
    }
    if pushes[0].is_blow != pushes[1].is_blow {
        let [here, there] = pushes.map(|push| match push.is_blow {
            true => "a blow that is spent".to_owned(),
            false => "a push that lasts".to_owned(),
        });
        differs("is", here, there);
    }
    let [here, there] = [0, 1].map(|side: usize| two.direction(side, pushes[side].direction));
    if here != there {
        let [here, there] = [here, there].map(|direction| direction.word().to_owned());
        differs("pushes", here, there);
    }
    let subject = |side: usize| Subject { name: &names[side], does: Does::Act };
    let needs = [0, 1].map(|side: usize| Needs::of(two.engines[side], &pushes[side].when));
    let [here, there] = &needs;
    let differing = two.need_differences([here, there], [&subject(0), &subject(1)]);
    says.extend(differing.into_iter().map(counted));
    says
}

fn latch(two: &Two<'_>, first: PartId, second: PartId) -> Option<Row> {
    let words = |side: usize, part: PartId| {
        let latch = two.engines[side].parts[part].latch.as_ref()?;
        let name = two.name(side, Element::Latch(part));
        let at = two.name(side, Element::Position(part, latch.at));
        let part = two.name(side, Element::Part(part));
        let when = match &latch.hold {
            Hold::Until(trigger) => {
                format!("until the {} is pulled", two.name(side, Element::Trigger(*trigger)))
            }
            Hold::While(when) => format!("while {}", conditions(two.engines[side], when)),
        };
        Some(format!("the {name} holds the {part} at {at} {when}"))
    };
    let only = |side: usize, part: PartId, words: &str| {
        row_of_one(two, Anatomy::Parts, side, Element::Latch(part), words)
    };
    let (here, there) = match (words(0, first), words(1, second)) {
        (None, None) => return None,
        (Some(here), None) => return Some(only(0, first, &here)),
        (None, Some(there)) => return Some(only(1, second, &there)),
        (Some(here), Some(there)) => (here, there),
    };
    let [one, other] = [&two.engines[0].parts[first], &two.engines[1].parts[second]];
    let (one, other) = (one.latch.as_ref()?, other.latch.as_ref()?);
    let is_same = two.partner(0, Element::Position(first, one.at))
        == Some(Element::Position(second, other.at))
        && match (&one.hold, &other.hold) {
            (Hold::Until(one), Hold::Until(other)) => {
                two.partner(0, Element::Trigger(*one)) == Some(Element::Trigger(*other))
            }
            (Hold::While(one), Hold::While(other)) => two.ask_alike(one, other),
            _ => false,
        };
    let [title, other_title] = &two.titles;
    let differing = format!("in {title} {here}, in {other_title} {there}");
    let differing = if is_same { Vec::new() } else { vec![counted(differing)] };
    let same = || format!("{here} in both");
    let things = (Element::Latch(first), Element::Latch(second));
    Some(row_of_both(two, Anatomy::Parts, things, differing, same))
}

/// One row a valve, and one a trigger where there are several or one has no partner.
pub(super) fn valves(two: &Two<'_>) -> Vec<Row> {
    let mut rows = triggers(two);
    for at in two.engines[0].valves.ids() {
        let thing = Element::Valve(at);
        match two.partner(0, thing) {
            Some(other @ Element::Valve(there)) => {
                let differing = valve_differences(two, at, there);
                let same = || format!("{} in both", valve_words(two, 0, at));
                rows.push(row_of_both(two, Anatomy::Valves, (thing, other), differing, same));
            }
            _ => {
                let what = valve_words(two, 0, at);
                rows.push(row_of_one(two, Anatomy::Valves, 0, thing, &what));
            }
        }
    }
    let alone =
        two.engines[1].valves.ids().filter(|at| two.partner(1, Element::Valve(*at)).is_none());
    rows.extend(alone.map(|at| {
        row_of_one(two, Anatomy::Valves, 1, Element::Valve(at), &valve_words(two, 1, at))
    }));
    rows
}

fn triggers(two: &Two<'_>) -> Vec<Row> {
    let mut rows = Vec::new();
    for at in two.engines[0].triggers.ids() {
        let thing = Element::Trigger(at);
        let name = two.name(0, thing);
        rows.push(match two.partner(0, thing) {
            Some(other) => {
                let same = || format!("the {name} in both");
                row_of_both(two, Anatomy::Valves, (thing, other), Vec::new(), same)
            }
            None => row_of_one(two, Anatomy::Valves, 0, thing, &format!("the trigger {name}")),
        });
    }
    for at in two.engines[1].triggers.ids() {
        let thing = Element::Trigger(at);
        if two.partner(1, thing).is_none() {
            let what = format!("the trigger {}", two.name(1, thing));
            rows.push(row_of_one(two, Anatomy::Valves, 1, thing, &what));
        }
    }
    rows
}

/// "the pilot, a 3/2 solenoid valve, joins the line and the switch room at rest, …".
fn valve_words(two: &Two<'_>, side: usize, at: ValveId) -> String {
    let valve = &two.engines[side].valves[at];
    let name = two.name(side, Element::Valve(at));
    let (rest, shifted) = (joints(two, side, &valve.rest), joints(two, side, &valve.shifted));
    format!("the {name}, {}, joins {rest} at rest and {shifted} when shifted", kind(valve))
}

/// "a 3/2 solenoid valve".
fn kind(valve: &Valve) -> String {
    format!("a {}", valve.kind_words())
}

fn joints(two: &Two<'_>, side: usize, joints: &[(ChamberId, ChamberId)]) -> String {
    joins(joints, |at| two.chamber(side, at))
}

fn valve_differences(two: &Two<'_>, first: ValveId, second: ValveId) -> Vec<Sentence> {
    let valves = [&two.engines[0].valves[first], &two.engines[1].valves[second]];
    let [one, other] = valves;
    let full = [0, 1].map(|side: usize| {
        format!("the {}", two.name(side, Element::Valve([first, second][side])))
    });
    let names = full.each_ref().map(String::as_str);
    let mut says = Vec::new();
    let mut differs = |is: &str, here: String, there: String| {
        if here != there {
            says.push(counted(two.differs(names, is, &here, &there)));
        }
    };
    differs("is", kind(one), kind(other));
    let returns = |valve: &Valve| match &valve.returns {
        Returns::Spring => "by its spring",
        Returns::After(_) => "by the clock",
        Returns::While(_) => "when it is driven back",
    };
    differs("returns", returns(one).to_owned(), returns(other).to_owned());
    let edge = |valve: &Valve| {
        let once = "once each time its conditions begin to hold";
        if valve.on_edge { once } else { "for as long as its conditions hold" }
    };
    differs("shifts", edge(one).to_owned(), edge(other).to_owned());
    for (here, there, shifted, when) in [
        (&one.rest, &other.rest, false, "at rest"),
        (&one.shifted, &other.shifted, true, "when shifted"),
    ] {
        if !same_joints(two, here, there, one.is_one_way(shifted)) {
            let rooms = there.iter().flat_map(|(one, other)| [*one, *other]);
            let rooms = rooms.map(Element::Chamber);
            let (here, there) = two.apart(joints(two, 0, here), joints(two, 1, there), rooms);
            says.push(counted(format!("{when} {}", two.differs(names, "joins", &here, &there))));
        }
    }
    for (joint, other_joint, shifted) in joint_pairs(two, first, second) {
        let widths = [one.width(shifted, joint), other.width(shifted, other_joint)];
        if widths[0] != widths[1] {
            let of = [&one.rest, &one.shifted][usize::from(shifted)][joint];
            let [here, there] = widths.map(|width| width.word().to_owned());
            let words = format!("between {}", two.both_chambers(0, of));
            says.push(counted(two.differs(names, &format!("{words} is"), &here, &there)));
        }
    }
    let conditions: [[&[Condition]; 2]; 2] =
        [[&one.shifts, &other.shifts], [driven_back(one), driven_back(other)]];
    for (does, [here, there]) in [Does::Shift, Does::Return].into_iter().zip(conditions) {
        let subject = |side: usize| Subject { name: &full[side], does };
        let needs = [Needs::of(two.engines[0], here), Needs::of(two.engines[1], there)];
        let [here, there] = &needs;
        let differing = two.need_differences([here, there], [&subject(0), &subject(1)]);
        says.extend(differing.into_iter().map(counted));
    }
    says
}

/// Joints of two partners that are partners, by their places, and whether when shifted.
fn joint_pairs(two: &Two<'_>, first: ValveId, second: ValveId) -> Vec<(usize, usize, bool)> {
    let valve = &two.engines[0].valves[first];
    let states = [(false, valve.rest.len()), (true, valve.shifted.len())];
    let all =
        states.into_iter().flat_map(|(shifted, count)| (0..count).map(move |it| (shifted, it)));
    let paired = all.filter_map(|(shifted, joint)| {
        match two.partner(0, Element::Joint(first, shifted, joint))? {
            Element::Joint(at, there, other) if at == second && there == shifted => {
                Some((joint, other, shifted))
            }
            _ => None,
        }
    });
    paired.collect()
}

fn driven_back(valve: &Valve) -> &[Condition] {
    match &valve.returns {
        Returns::While(conditions) => conditions,
        Returns::Spring | Returns::After(_) => &[],
    }
}

/// Whether two lists join the same chambers, in whatever order; one-way joints lead from the first
/// to the second.
fn same_joints(
    two: &Two<'_>,
    first: &[(ChamberId, ChamberId)],
    second: &[(ChamberId, ChamberId)],
    one_way: bool,
) -> bool {
    let is_same = |joint: (ChamberId, ChamberId), other: (ChamberId, ChamberId)| {
        if one_way {
            two.same_chamber(joint.0, other.0) && two.same_chamber(joint.1, other.1)
        } else {
            two.same_two(joint, other)
        }
    };
    let mut left: Vec<(ChamberId, ChamberId)> = second.to_vec();
    let all_found = first.iter().all(|joint| {
        let found = left.iter().position(|other| is_same(*joint, *other));
        found.map(|at| left.swap_remove(at)).is_some()
    });
    all_found && left.is_empty()
}
