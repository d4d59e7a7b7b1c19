//! A second explorer, by brute force, of small engines without stores, valves and balls: written
//! from what the site says that a shot takes for granted, and from nothing else.
//!
//! Rooms are empty (0), spent (1) or full (2). Each part has one face, which wins against its
//! spring whenever there is pressure. The hand pulls and lets go. Where wide ways join a supply to
//! the open air, or two thin ways pull at one room, the published rules leave the pressure open:
//! such engines are passed over.

use std::collections::BTreeSet;

pub(crate) const LINE: usize = 0;
pub(crate) const AIR: usize = 1;
/// What rooms are called, the line and the open air among them.
pub(crate) const ROOMS: [&str; 5] = ["line", "open_air", "a", "b", "c"];

#[derive(Debug, Clone, Copy)]
pub(crate) enum When {
    Always,
    Pulled,
    /// A part from a place on.
    From(usize, usize),
    /// A part before a place.
    Before(usize, usize),
}

#[derive(Debug, Clone)]
pub(crate) struct Plan {
    /// Ends, width (0 wide, 1 narrow, 2 bleed) and when each way is open.
    pub(crate) ways: Vec<(usize, usize, usize, When)>,
    /// Places, room of the face, and whether it is slow.
    pub(crate) parts: Vec<(usize, usize, bool)>,
}

#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Moment {
    levels: [u8; 5],
    places: Vec<usize>,
    acts: usize,
}

/// Events of one step, sorted, and what comes after them.
type Turn = (Vec<String>, Moment);

/// Runs as lists of steps. `None` where a rule leaves something open, or where runs go round.
pub(crate) fn runs(plan: &Plan) -> Option<BTreeSet<Vec<Vec<String>>>> {
    let mut start = Moment { levels: [2, 0, 0, 0, 0], places: vec![0; plan.parts.len()], acts: 0 };
    for _ in 0..40 {
        let mut flows = Vec::new();
        for width in (0..3).rev() {
            let found = air(plan, &start, width)?;
            flows = if found.is_empty() { flows } else { found };
        }
        start.levels = merged(&flows, &start).1;
    }
    let (mut all, mut open) = (BTreeSet::new(), vec![(Vec::new(), start, Vec::new())]);
    while let Some((run, now, mut before)) = open.pop() {
        if before.contains(&now) || 4000 < all.len() + open.len() {
            return None;
        }
        let turns = turns(plan, &now)?;
        before.push(now);
        if turns.is_empty() {
            all.insert(run);
            continue;
        }
        for (events, after) in turns {
            let longer: Vec<Vec<String>> = run.iter().cloned().chain([events]).collect();
            open.push((longer, after, before.clone()));
        }
    }
    Some(all)
}

/// What may come next: the fastest class of which anything can, each of its members by itself.
fn turns(plan: &Plan, now: &Moment) -> Option<Vec<Turn>> {
    let with = |levels: [u8; 5]| Moment { levels, ..now.clone() };
    let each = |flows: Vec<Flow>| -> Vec<Turn> {
        let one = flows.into_iter().map(|flow| merged(&[flow], now));
        one.map(|(events, levels)| (events, with(levels))).collect()
    };
    let mut free = Vec::new();
    let mut late = each(air(plan, now, 1)?);
    for (at, (count, room, is_slow)) in plan.parts.iter().enumerate() {
        let here = now.places[at];
        let there = match now.levels[*room] {
            0 => here.checked_sub(1),
            _ => Some(here + 1).filter(|there| there < count),
        };
        let Some(there) = there else { continue };
        let mut after = now.clone();
        after.places[at] = there;
        let events = vec![format!("p{at} leaves q{here}"), format!("p{at} reaches q{there}")];
        if *is_slow { &mut late } else { &mut free }.push((events, after));
    }
    for class in [each(air(plan, now, 0)?), free, late, each(air(plan, now, 2)?)] {
        if !class.is_empty() {
            return Some(class);
        }
    }
    let hand = ["trigger pulled", "trigger released"].get(now.acts);
    let act = |event: &str| (vec![event.to_string()], Moment { acts: now.acts + 1, ..now.clone() });
    Some(hand.into_iter().map(|event| act(event)).collect())
}

/// Rooms that change together, and what they come to.
type Flow = (Vec<usize>, u8);

fn merged(flows: &[Flow], now: &Moment) -> (Vec<String>, [u8; 5]) {
    let (mut events, mut levels) = (Vec::new(), now.levels);
    for (rooms, level) in flows {
        for room in rooms.iter().filter(|room| now.levels[**room] != *level) {
            let rises = now.levels[*room] < *level;
            let verb = if rises { "fills" } else { ["empties", "drops"][usize::from(0 < *level)] };
            events.push(format!("{} {verb}", ROOMS[*room]));
            levels[*room] = *level;
        }
    }
    events.sort();
    (events, levels)
}

fn is_open(now: &Moment, when: When) -> bool {
    match when {
        When::Always => true,
        When::Pulled => now.acts == 1,
        When::From(part, place) => place <= now.places[part],
        When::Before(part, place) => now.places[part] < place,
    }
}

/// Flows through ways of one width; `None` if a rule leaves it open.
fn air(plan: &Plan, now: &Moment, width: usize) -> Option<Vec<Flow>> {
    let ways = || plan.ways.iter().filter(|way| is_open(now, way.3));
    let mut group: Vec<usize> = (0..ROOMS.len()).collect();
    let wide = |end: usize| {
        ways()
            .filter(move |way| way.2 == 0 && (way.0 == end || way.1 == end))
            .map(move |way| if way.0 == end { way.1 } else { way.0 })
    };
    for _ in 0..ROOMS.len() {
        for room in 2..ROOMS.len() {
            let near = wide(room).filter(|other| 1 < *other).map(|other| group[other]);
            group[room] = near.chain([group[room]]).min().unwrap_or(room);
        }
    }
    let mut flows = Vec::new();
    for first in 2..ROOMS.len() {
        let rooms: Vec<usize> = (2..ROOMS.len()).filter(|room| group[*room] == first).collect();
        if rooms.is_empty() {
            continue;
        }
        let touches = |end: usize| rooms.iter().any(|room| wide(*room).any(|other| other == end));
        let high = rooms.iter().map(|room| now.levels[*room]).max().unwrap_or(0);
        let is_even = rooms.iter().all(|room| now.levels[*room] == high);
        let settled = match (touches(LINE), touches(AIR)) {
            (true, true) => return None,
            (true, false) => Some(2),
            (false, true) => Some(0),
            (false, false) => (!is_even).then_some(1),
        };
        let target = match (width, settled) {
            (0, settled) => settled,
            (_, Some(_)) => None,
            (_, None) => thin(plan, now, width, (&rooms, &group))?,
        };
        if let Some(level) = target.filter(|level| rooms.iter().any(|at| now.levels[*at] != *level))
        {
            flows.push((rooms, level));
        }
    }
    Some(flows)
}

/// What a group of rooms comes to through its one thin way.
#[allow(clippy::option_option, reason = "open and none are two answers")]
fn thin(
    plan: &Plan,
    now: &Moment,
    width: usize,
    (rooms, group): (&[usize], &[usize]),
) -> Option<Option<u8>> {
    let leads = |width: usize| {
        let open = plan.ways.iter().filter(move |way| way.2 == width && is_open(now, way.3));
        open.filter_map(|way| match (rooms.contains(&way.0), rooms.contains(&way.1)) {
            (true, false) => Some(way.1),
            (false, true) => Some(way.0),
            _ => None,
        })
    };
    if 1 < leads(1).count() + leads(2).count() {
        return None;
    }
    let Some(other) = leads(width).next() else { return Some(None) };
    let (own, there) = (now.levels[rooms[0]], now.levels[other]);
    let stands_open = other == AIR
        || plan.ways.iter().any(|way| {
            let ends = [way.0, way.1];
            let is_with = |end: usize| 1 < end && group[end] == group[other];
            way.2 == 0
                && is_open(now, way.3)
                && ends.contains(&AIR)
                && ends.into_iter().any(is_with)
        });
    Some(match own.cmp(&there) {
        std::cmp::Ordering::Less => Some(there),
        std::cmp::Ordering::Equal => None,
        std::cmp::Ordering::Greater if stands_open => Some(0),
        std::cmp::Ordering::Greater => Some(1),
    })
}
