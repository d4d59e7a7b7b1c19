//! Rows for what stands still: chambers, ways, seals, ball and barrel.

use super::compare::{Anatomy, Row, Sentence, counted, row_of_both, row_of_one, told};
use super::needs::Needs;
use super::words::{Does, Subject, Two, listed};
use crate::cutaway::Engine;
use crate::cutaway::model::{
    ChamberId, Element, OPEN_AIR, Role, SealId, ValveKind, Way, WayId, Width,
};

/// One row a chamber, the open air aside.
pub(super) fn chambers(two: &Two<'_>) -> Vec<Row> {
    let mut rows = Vec::new();
    for at in two.engines[0].chambers.ids().skip(1) {
        let thing = Element::Chamber(at);
        match two.partner(0, thing) {
            Some(other @ Element::Chamber(there)) => {
                let differing = chamber_differences(two, at, there);
                let role = two.engines[0].chambers[at].role.word();
                let name = two.chamber(0, at);
                let same = || format!("{name} has the role {role} in both");
                rows.push(row_of_both(two, Anatomy::Chambers, (thing, other), differing, same));
            }
            _ => rows.push(only_chamber(two, 0, at)),
        }
    }
    let alone = two.engines[1]
        .chambers
        .ids()
        .skip(1)
        .filter(|at| two.partner(1, Element::Chamber(*at)).is_none());
    rows.extend(alone.map(|at| only_chamber(two, 1, at)));
    rows
}

fn only_chamber(two: &Two<'_>, side: usize, at: ChamberId) -> Row {
    let role = two.engines[side].chambers[at].role.word();
    let mut what = format!("{}, with the role {role}", two.chamber(side, at));
    let around = neighbours(two.engines[side], at);
    if !around.is_empty() {
        let names = around.iter().map(|other| two.chamber(side, *other));
        what.push_str(&format!(", joined to {}", listed(names, "and")));
    }
    row_of_one(two, Anatomy::Chambers, side, Element::Chamber(at), &what)
}

fn chamber_differences(two: &Two<'_>, first: ChamberId, second: ChamberId) -> Vec<Sentence> {
    let mut says = Vec::new();
    let [one, other] = [&two.engines[0].chambers[first], &two.engines[1].chambers[second]];
    let names = [two.chamber(0, first), two.chamber(1, second)];
    let [title, other_title] = &two.titles;
    if one.role != other.role {
        let (role, other_role) = (one.role.word(), other.role.word());
        let text = format!(
            "{} has the role {role} in {title}, {} the role {other_role} in {other_title}",
            names[0], names[1]
        );
        says.push(counted(text));
    }
    let regulated = [one.regulated_from, other.regulated_from];
    let agrees = match regulated {
        [Some(from), Some(there)] => two.same_chamber(from, there),
        [None, None] => true,
        _ => false,
    };
    if !agrees {
        let from = |side: usize| match regulated[side] {
            Some(from) => format!("is regulated down from {}", two.chamber(side, from)),
            None => "is not regulated".to_owned(),
        };
        let (here, there) = (from(0), from(1));
        let [name, other] = &names;
        let text = format!("{name} {here} in {title}, and {other} {there} in {other_title}");
        says.push(counted(text));
    }
    let starts = [one.starts_as, other.starts_as];
    let agrees = match starts {
        [Some(from), Some(there)] => two.same_chamber(from, there),
        [None, None] => true,
        _ => false,
    };
    if !agrees {
        let [here, there] = [0, 1].map(|side: usize| match starts[side] {
            Some(from) => format!("starts as {}", two.chamber(side, from)),
            None => "starts empty".to_owned(),
        });
        let [name, other] = &names;
        let text = format!("{name} {here} in {title}, and {other} {there} in {other_title}");
        says.push(counted(text));
    }
    if one.is_quick != other.is_quick {
        let [here, there] = [one, other].map(|room| match room.is_quick {
            true => "before parts move",
            false => "beside what moves",
        });
        let names = [names[0].as_str(), names[1].as_str()];
        says.push(counted(two.differs(names, "runs empty", here, there)));
    }
    if first != OPEN_AIR {
        says.extend(vented(two, first, second).map(told));
        says.extend(fed(two, first, second).map(told));
    }
    says
}

/// "Ash vents its switch room through the quick exhaust vent, Rowan through the pilot".
fn vented(two: &Two<'_>, first: ChamberId, second: ChamberId) -> Option<String> {
    let is_air =
        |engine: &Engine, chamber: ChamberId| engine.chambers[chamber].role == Role::OpenAir;
    let verbs = ["vents", "straight to the open air"];
    through(two, (first, second), verbs, is_air)
}

/// "Rowan fills its store through metering, Ash not straight from a supply".
fn fed(two: &Two<'_>, first: ChamberId, second: ChamberId) -> Option<String> {
    let is_supply =
        |engine: &Engine, chamber: ChamberId| engine.chambers[chamber].role == Role::Supply;
    through(two, (first, second), ["fills", "straight from a supply"], is_supply)
}

fn through(
    two: &Two<'_>,
    (first, second): (ChamberId, ChamberId),
    [verb, straight]: [&str; 2],
    is_end: impl Fn(&Engine, ChamberId) -> bool,
) -> Option<String> {
    let chambers = [first, second];
    let passages = [0, 1].map(|side| {
        let engine = two.engines[side];
        let links = links_of(engine, chambers[side]);
        let ends = links.into_iter().filter(|(_, other)| is_end(engine, *other));
        let mut things: Vec<Element> = ends.map(|(thing, _)| thing).collect();
        things.sort_unstable();
        things.dedup();
        things
    });
    let mut partners: Vec<Option<Element>> =
        passages[0].iter().map(|thing| two.partner(0, *thing)).collect();
    partners.sort_unstable();
    if partners.iter().copied().eq(passages[1].iter().copied().map(Some)) {
        return None;
    }
    let names = |side: usize| {
        let things = passages[side].iter();
        let names: Vec<String> = things.map(|thing| passage(two, side, *thing)).collect();
        match names.is_empty() {
            true => format!("not {straight}"),
            false => format!("through {}", listed(names, "and")),
        }
    };
    // The engine that has such a passage is told of first.
    let (lead, other) = if passages[0].is_empty() { (1, 0) } else { (0, 1) };
    let chamber = two.name(lead, Element::Chamber(chambers[lead]));
    let (lead_title, other_title) = (&two.titles[lead], &two.titles[other]);
    Some(format!(
        "{lead_title} {verb} its {chamber} {}, {other_title} {}",
        names(lead),
        names(other)
    ))
}

fn passage(two: &Two<'_>, side: usize, thing: Element) -> String {
    let name = two.name(side, thing);
    match thing {
        Element::Valve(at) if two.engines[side].valves[at].kind == ValveKind::QuickExhaust => {
            format!("the quick exhaust {name}")
        }
        _ => format!("the {name}"),
    }
}

/// Ways and valves that join a chamber to others, with the other chamber.
fn links_of(engine: &Engine, chamber: ChamberId) -> Vec<(Element, ChamberId)> {
    let mut links = Vec::new();
    let mut add = |thing: Element, one: ChamberId, other: ChamberId| {
        if one == chamber {
            links.push((thing, other));
        } else if other == chamber {
            links.push((thing, one));
        }
    };
    for (at, way) in engine.ways.entries() {
        add(Element::Way(at), way.from, way.to);
    }
    for (at, valve) in engine.valves.entries() {
        for (one, other) in valve.rest.iter().chain(&valve.shifted) {
            add(Element::Valve(at), *one, *other);
        }
    }
    links
}

fn neighbours(engine: &Engine, chamber: ChamberId) -> Vec<ChamberId> {
    let mut others: Vec<ChamberId> =
        links_of(engine, chamber).into_iter().map(|(_, other)| other).collect();
    others.sort_unstable();
    others.dedup();
    others
}

/// One row a way.
pub(super) fn ways(two: &Two<'_>) -> Vec<Row> {
    let mut rows = Vec::new();
    let anatomy = |way: &Way| if way.barrel { Anatomy::BallAndBarrel } else { Anatomy::Ways };
    for (at, way) in two.engines[0].ways.entries() {
        let thing = Element::Way(at);
        match two.partner(0, thing) {
            Some(other @ Element::Way(there)) => {
                let differing = way_differences(two, at, there);
                let same = || format!("{} in both", way_words(two, 0, at));
                rows.push(row_of_both(two, anatomy(way), (thing, other), differing, same));
            }
            _ => {
                let what = way_words(two, 0, at);
                rows.push(row_of_one(two, anatomy(way), 0, thing, &what));
            }
        }
    }
    for (at, way) in two.engines[1].ways.entries() {
        let thing = Element::Way(at);
        if two.partner(1, thing).is_none() {
            rows.push(row_of_one(two, anatomy(way), 1, thing, &way_words(two, 1, at)));
        }
    }
    rows
}

/// "the metering joins the line and the store, narrow".
fn way_words(two: &Two<'_>, side: usize, at: WayId) -> String {
    let way = &two.engines[side].ways[at];
    let name = two.name(side, Element::Way(at));
    let mut words = format!("the {name} {}", joins(two, side, way));
    if way.width != Width::Wide {
        words.push_str(&format!(", {}", way.width.word()));
    }
    words
}

fn joins(two: &Two<'_>, side: usize, way: &Way) -> String {
    let (from, to) = (two.chamber(side, way.from), two.chamber(side, way.to));
    if way.one_way {
        format!("lets air pass from {from} to {to} only")
    } else {
        format!("joins {from} and {to}")
    }
}

fn way_differences(two: &Two<'_>, first: WayId, second: WayId) -> Vec<Sentence> {
    let ways = [&two.engines[0].ways[first], &two.engines[1].ways[second]];
    let [one, other] = ways;
    let names = [two.name(0, Element::Way(first)), two.name(1, Element::Way(second))];
    let full = names.each_ref().map(|name| format!("the {name}"));
    let [title, other_title] = &two.titles;
    let mut says = Vec::new();
    let is_same_turn = two.same_chamber(one.from, other.from) && two.same_chamber(one.to, other.to);
    let ends_agree = match (one.one_way, other.one_way) {
        (true, true) => is_same_turn,
        _ => two.same_two((one.from, one.to), (other.from, other.to)),
    };
    if !ends_agree || one.one_way != other.one_way {
        let (here, there) = two.apart(
            joins(two, 0, one),
            joins(two, 1, other),
            [other.from, other.to].map(Element::Chamber),
        );
        let text = format!(
            "the {} {here} in {title}, the {} {there} in {other_title}",
            names[0], names[1]
        );
        says.push(counted(text));
    }
    if one.width != other.width {
        let (here, there) = (one.width.word(), other.width.word());
        says.push(counted(two.differs(full.each_ref().map(String::as_str), "is", here, there)));
    }
    let subject = |side: usize| Subject { name: &full[side], does: Does::Open };
    let needs = [0, 1].map(|side: usize| Needs::of(two.engines[side], &ways[side].when));
    let [here, there] = &needs;
    let differing = two.need_differences([here, there], [&subject(0), &subject(1)]);
    says.extend(differing.into_iter().map(counted));
    says
}

/// One row a seal.
pub(super) fn seals(two: &Two<'_>) -> Vec<Row> {
    let mut rows = Vec::new();
    for at in two.engines[0].seals.ids() {
        let thing = Element::Seal(at);
        match two.partner(0, thing) {
            Some(other @ Element::Seal(there)) => {
                let differing = seal_differences(two, at, there);
                let same = || format!("{} in both", seal_words(two, 0, at));
                rows.push(row_of_both(two, Anatomy::Seals, (thing, other), differing, same));
            }
            _ => {
                let what = seal_words(two, 0, at);
                rows.push(row_of_one(two, Anatomy::Seals, 0, thing, &what));
            }
        }
    }
    let alone =
        two.engines[1].seals.ids().filter(|at| two.partner(1, Element::Seal(*at)).is_none());
    rows.extend(
        alone.map(|at| {
            row_of_one(two, Anatomy::Seals, 1, Element::Seal(at), &seal_words(two, 1, at))
        }),
    );
    rows
}

/// "the stem seal on the switch keeps the store and the tube apart".
fn seal_words(two: &Two<'_>, side: usize, at: SealId) -> String {
    let seal = &two.engines[side].seals[at];
    let name = two.name(side, Element::Seal(at));
    let between = two.both_chambers(side, seal.between);
    format!("the {name} {} keeps {between} apart", carrier(two, side, at))
}

fn carrier(two: &Two<'_>, side: usize, at: SealId) -> String {
    match two.engines[side].seals[at].on {
        Some(part) => format!("on the {}", two.name(side, Element::Part(part))),
        None => "in the body".to_owned(),
    }
}

fn seal_differences(two: &Two<'_>, first: SealId, second: SealId) -> Vec<Sentence> {
    let seals = [&two.engines[0].seals[first], &two.engines[1].seals[second]];
    let [one, other] = seals;
    let names = [0, 1].map(|side: usize| two.name(side, Element::Seal([first, second][side])));
    let full = names.each_ref().map(|name| format!("the {name}"));
    let [title, other_title] = &two.titles;
    let mut says = Vec::new();
    if !two.same_two(one.between, other.between) {
        let rooms = [other.between.0, other.between.1].map(Element::Chamber);
        let (here, there) = two.apart(
            two.both_chambers(0, one.between),
            two.both_chambers(1, other.between),
            rooms,
        );
        let text = format!(
            "the {} keeps {here} apart in {title}, the {} {there} in {other_title}",
            names[0], names[1]
        );
        says.push(counted(text));
    }
    let is_same_carrier = match (one.on, other.on) {
        (Some(part), Some(there)) => {
            two.partner(0, Element::Part(part)) == Some(Element::Part(there))
        }
        (None, None) => true,
        _ => false,
    };
    if !is_same_carrier {
        let (here, there) =
            two.apart(carrier(two, 0, first), carrier(two, 1, second), other.on.map(Element::Part));
        says.push(counted(two.differs(full.each_ref().map(String::as_str), "is", &here, &there)));
    }
    let lips = [one, other].map(|seal| seal.lip.map(Element::Chamber));
    if lips[0].and_then(|lip| two.partner(0, lip)) != lips[1] {
        let words = |side: usize| match lips[side] {
            Some(room) => format!("only the air of the {}", two.name(side, room)),
            None => "both ways".to_owned(),
        };
        let (here, there) = two.apart(words(0), words(1), lips[1]);
        says.push(counted(two.differs(
            full.each_ref().map(String::as_str),
            "holds",
            &here,
            &there,
        )));
    }
    let subject = |side: usize| Subject { name: &full[side], does: Does::Seal };
    let needs = [0, 1].map(|side: usize| Needs::of(two.engines[side], &seals[side].when));
    let [here, there] = &needs;
    let differing = two.need_differences([here, there], [&subject(0), &subject(1)]);
    says.extend(differing.into_iter().map(counted));
    says
}

/// One row a seal of which both say the ring: sizes come after structure.
pub(super) fn sizes(two: &Two<'_>) -> Vec<Row> {
    let mut rows = Vec::new();
    for (at, seal) in two.engines[0].seals.entries() {
        let thing = Element::Seal(at);
        let Some(other @ Element::Seal(there)) = two.partner(0, thing) else { continue };
        let size = &two.engines[1].seals[there].size;
        let (Some(here), Some(there)) = (&seal.size, size) else { continue };
        let (here, there) = (&here.id, &there.id);
        let name = two.name(0, thing);
        let names = [&name, &two.name(1, other)].map(|name| format!("the {name}"));
        let names = names.each_ref().map(String::as_str);
        let differs = || told(two.differs(names, "is", here, there));
        let differing = if here == there { Vec::new() } else { vec![differs()] };
        let same = || format!("the {name} is {here} in both");
        rows.push(row_of_both(two, Anatomy::Sizes, (thing, other), differing, same));
    }
    rows
}

/// The ball's row, where one of the two has a ball.
pub(super) fn ball(two: &Two<'_>) -> Option<Row> {
    let words = |side: usize, chamber: ChamberId| {
        let name = two.name(side, Element::Ball);
        format!("the {name} sits in {}", two.chamber(side, chamber))
    };
    let only = |side: usize, chamber: ChamberId| {
        row_of_one(two, Anatomy::BallAndBarrel, side, Element::Ball, &words(side, chamber))
    };
    let (one, other) = match (&two.engines[0].ball, &two.engines[1].ball) {
        (None, None) => return None,
        (Some(ball), None) => return Some(only(0, ball.chamber)),
        (None, Some(ball)) => return Some(only(1, ball.chamber)),
        (Some(one), Some(other)) => (one, other),
    };
    let mut says = Vec::new();
    if !two.same_chamber(one.chamber, other.chamber) {
        let [title, other_title] = &two.titles;
        let (here, there) = (words(0, one.chamber), words(1, other.chamber));
        says.push(counted(format!("{here} in {title}, {there} in {other_title}")));
    }
    if one.lies_at_rest != other.lies_at_rest {
        let side = usize::from(other.lies_at_rest);
        says.push(counted(two.only(side, "a ball lies in the barrel at rest")));
    }
    let needs = [Needs::of(two.engines[0], &one.fed), Needs::of(two.engines[1], &other.fed)];
    if one.fed.is_empty() == other.fed.is_empty() {
        let subject = Subject { name: "a new ball", does: Does::DropIn };
        let [here, there] = &needs;
        let differing = two.need_differences([here, there], [&subject, &subject]);
        says.extend(differing.into_iter().map(counted));
    } else {
        let side = usize::from(one.fed.is_empty());
        says.push(counted(two.only(side, "a new ball drops in by itself")));
    }
    let same = || format!("{} in both", words(0, one.chamber));
    Some(row_of_both(two, Anatomy::BallAndBarrel, (Element::Ball, Element::Ball), says, same))
}
