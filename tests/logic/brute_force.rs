//! A second explorer, by brute force, of small engines with a store, a valve and a ball: written
//! from what the site says that a shot takes for granted, and from nothing else.
//!
//! Rooms are empty (0), spent (1), drawn on (2) or full (3). Each part has one face, which wins
//! against its spring whenever there is pressure. The hand pulls and lets go. Where wide ways join
//! a supply to the open air, two thin ways pull at one room and what leaves it does not stay
//! inside, or a store gives through a thin way or gets air from another room, the published rules
//! leave the pressure open: such engines are passed over.

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
    /// The room that is a store.
    pub(crate) store: Option<usize>,
    pub(crate) valve: Option<Valve>,
    /// When the next ball drops in; balls leave from the last room.
    pub(crate) fed: Option<When>,
}

/// What it joins at rest and shifted, and when it shifts: each time this begins to hold, until a
/// clock brings it back, or as long as it holds.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Valve {
    pub(crate) rest: (usize, usize),
    pub(crate) shifted: (usize, usize),
    pub(crate) when: When,
    pub(crate) is_timed: bool,
}

/// The room behind the ball.
pub(crate) const BREECH: usize = 4;

#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Moment {
    levels: [u8; 5],
    places: Vec<usize>,
    acts: usize,
    is_shifted: bool,
    /// Whether the valve has answered what makes it shift.
    has_answered: bool,
    has_ball: bool,
}

/// Events of one step, sorted, and what comes after them.
type Turn = (Vec<String>, Moment);

/// Runs as lists of steps. `None` where a rule leaves something open, or where runs go round.
pub(crate) fn runs(plan: &Plan) -> Option<BTreeSet<Vec<Vec<String>>>> {
    let mut start = Moment {
        levels: [3, 0, 0, 0, 0],
        places: vec![0; plan.parts.len()],
        acts: 0,
        is_shifted: false,
        has_answered: false,
        has_ball: plan.fed.is_some(),
    };
    for _ in 0..40 {
        if let Some((_, after)) = answers(plan, &start) {
            start = after;
            continue;
        }
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
        let mut turns = turns(plan, &now)?;
        for (_, after) in &mut turns {
            let still = plan.valve.is_some_and(|valve| is_so(after, valve.when));
            after.has_answered &= still;
        }
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
    if let Some(turn) = answers(plan, now) {
        return Some(vec![turn]);
    }
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
    if now.has_ball && 0 < now.levels[BREECH] {
        free.push((vec!["seed leaves".to_owned()], Moment { has_ball: false, ..now.clone() }));
    }
    let is_fed = plan.fed.is_some_and(|when| is_so(now, when)) && now.levels[BREECH] == 0;
    if is_fed && !now.has_ball {
        late.push((vec!["seed drops in".to_owned()], Moment { has_ball: true, ..now.clone() }));
    }
    if now.is_shifted && plan.valve.is_some_and(|valve| valve.is_timed) {
        late.push((vec!["v returns".to_owned()], Moment { is_shifted: false, ..now.clone() }));
    }
    // A store that stands open may run empty at any moment.
    let empty = each(running_out(plan, now));
    if free.is_empty() { &mut late } else { &mut free }.extend(empty);
    for class in [each(air(plan, now, 0)?), free, late, each(air(plan, now, 2)?)] {
        if !class.is_empty() {
            return Some(class);
        }
    }
    let hand = ["trigger pulled", "trigger released"].get(now.acts);
    let act = |event: &str| (vec![event.to_string()], Moment { acts: now.acts + 1, ..now.clone() });
    Some(hand.into_iter().map(|event| act(event)).collect())
}

/// What the valve does at once.
fn answers(plan: &Plan, now: &Moment) -> Option<Turn> {
    let valve = plan.valve?;
    let holds = is_so(now, valve.when);
    let shifts = holds && !(valve.is_timed && now.has_answered) && !now.is_shifted;
    let returns = !holds && !valve.is_timed && now.is_shifted;
    let verb = if shifts { "shifts" } else { "returns" };
    let has_answered = holds;
    let after = Moment { is_shifted: shifts, has_answered, ..now.clone() };
    (shifts || returns).then(|| (vec![format!("v {verb}")], after))
}

/// Everything that is open: ends and width.
fn joints(plan: &Plan, now: &Moment) -> Vec<(usize, usize, usize)> {
    let ways = plan.ways.iter().filter(|way| is_so(now, way.3)).map(|way| (way.0, way.1, way.2));
    let valve = plan.valve.map(|it| if now.is_shifted { it.shifted } else { it.rest });
    let barrel = (plan.fed.is_some() && !now.has_ball).then_some((BREECH, AIR, 0));
    ways.chain(valve.map(|(one, other)| (one, other, 0))).chain(barrel).collect()
}

/// Rooms joined by wide ways, the group of each known by the first among them.
fn grouped(open: &[(usize, usize, usize)]) -> Vec<usize> {
    let mut group: Vec<usize> = (0..ROOMS.len()).collect();
    for _ in 0..ROOMS.len() {
        for (one, other, _) in open.iter().filter(|(a, b, width)| 1 < *a && 1 < *b && *width == 0) {
            let least = group[*one].min(group[*other]);
            (group[*one], group[*other]) = (least, least);
        }
    }
    group
}

/// A spent store that stands wide open, with all that is joined to it.
fn running_out(plan: &Plan, now: &Moment) -> Vec<Flow> {
    let open = joints(plan, now);
    let group = grouped(&open);
    let Some(store) = plan.store.filter(|store| now.levels[*store] == 1) else { return Vec::new() };
    let rooms: Vec<usize> = (2..ROOMS.len()).filter(|at| group[*at] == group[store]).collect();
    let touches = |end: usize| {
        open.iter().any(|(a, b, width)| {
            *width == 0 && (*a == end && rooms.contains(b) || *b == end && rooms.contains(a))
        })
    };
    if touches(AIR) && !touches(LINE) { vec![(rooms, 0)] } else { Vec::new() }
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

fn is_so(now: &Moment, when: When) -> bool {
    match when {
        When::Always => true,
        When::Pulled => now.acts == 1,
        When::From(part, place) => place <= now.places[part],
        When::Before(part, place) => now.places[part] < place,
    }
}

/// Flows through ways of one width; `None` if a rule leaves it open.
fn air(plan: &Plan, now: &Moment, width: usize) -> Option<Vec<Flow>> {
    let open = joints(plan, now);
    let group = grouped(&open);
    let wide = |end: usize| {
        open.iter()
            .filter(move |way| way.2 == 0 && (way.0 == end || way.1 == end))
            .map(move |way| if way.0 == end { way.1 } else { way.0 })
    };
    let mut flows = Vec::new();
    for first in 2..ROOMS.len() {
        let rooms: Vec<usize> = (2..ROOMS.len()).filter(|room| group[*room] == first).collect();
        if rooms.is_empty() {
            continue;
        }
        let touches = |end: usize| rooms.iter().any(|room| wide(*room).any(|other| other == end));
        let high = rooms.iter().map(|room| now.levels[*room]).max().unwrap_or(0);
        let is_even = rooms.iter().all(|room| now.levels[*room] == high);
        let has_store = plan.store.is_some_and(|store| rooms.contains(&store));
        let settled = match (touches(LINE), touches(AIR)) {
            (true, true) => return None,
            (true, false) => Some(3),
            (false, true) => Some(u8::from(has_store && 0 < high)),
            (false, false) if is_even => None,
            (false, false) => Some(shared(plan, now, &rooms)?),
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

/// What rooms come to that have just been joined: a store that feeds is nearly full, all else is
/// spent.
fn shared(plan: &Plan, now: &Moment, rooms: &[usize]) -> Option<u8> {
    let Some(store) = plan.store.filter(|store| rooms.contains(store)) else { return Some(1) };
    let own = now.levels[store];
    let gives = rooms.iter().all(|room| *room == store || now.levels[*room] < own);
    gives.then_some(own.min(2))
}

/// What a group of rooms comes to through its one thin way.
#[allow(clippy::option_option, reason = "open and none are two answers")]
fn thin(
    plan: &Plan,
    now: &Moment,
    width: usize,
    (rooms, group): (&[usize], &[usize]),
) -> Option<Option<u8>> {
    let open = joints(plan, now);
    let leads = |width: usize| {
        let thin = open.iter().filter(move |way| way.2 == width);
        thin.filter_map(|way| match (rooms.contains(&way.0), rooms.contains(&way.1)) {
            (true, false) => Some(way.1),
            (false, true) => Some(way.0),
            _ => None,
        })
    };
    if 1 < leads(1).count() + leads(2).count() {
        let has_bleed = leads(2).next().is_some();
        return between(plan, now, (rooms, group), leads(1).collect()).filter(|_| !has_bleed);
    }
    let Some(other) = leads(width).next() else { return Some(None) };
    let (own, there) = (now.levels[rooms[0]], now.levels[other]);
    let is_store = |room: usize| plan.store.is_some_and(|store| group[store] == group[room]);
    if other != LINE && (is_store(rooms[0]) || is_store(other)) {
        return None;
    }
    let stands_open = other == AIR
        || open.iter().any(|way| {
            let ends = [way.0, way.1];
            let is_with = |end: usize| 1 < end && group[end] == group[other];
            way.2 == 0 && ends.contains(&AIR) && ends.into_iter().any(is_with)
        });
    Some(match own.cmp(&there) {
        std::cmp::Ordering::Less => Some(there),
        std::cmp::Ordering::Equal => None,
        std::cmp::Ordering::Greater if stands_open => Some(0),
        std::cmp::Ordering::Greater => Some(1),
    })
}

/// What rooms come to between one narrow way in and narrow ways out, if what goes on stays inside:
/// as much as comes in.
#[allow(clippy::option_option, reason = "open and none are two answers")]
fn between(
    plan: &Plan,
    now: &Moment,
    (rooms, group): (&[usize], &[usize]),
    leads: Vec<usize>,
) -> Option<Option<u8>> {
    let is_store = |room: usize| plan.store.is_some_and(|store| group[store] == group[room]);
    if is_store(rooms[0]) || leads.iter().any(|other| *other != LINE && is_store(*other)) {
        return None;
    }
    let open = joints(plan, now);
    let beside = |room: usize, widest: usize| -> Vec<usize> {
        let is_with = |end: usize| end == room || 1 < end && 1 < room && group[end] == group[room];
        let ways = open.iter().filter(|way| way.2 <= widest && is_with(way.0) != is_with(way.1));
        ways.map(|way| if is_with(way.0) { way.1 } else { way.0 }).collect()
    };
    let own = now.levels[rooms[0]];
    let is_fed = |room: usize| room == LINE || room != AIR && beside(room, 0).contains(&LINE);
    let brings =
        |other: usize| own < now.levels[other] || own == now.levels[other] && is_fed(other);
    let takes =
        |other: usize| now.levels[other] < own || other == AIR || beside(other, 0).contains(&AIR);
    let (inward, others): (Vec<usize>, Vec<usize>) = leads.into_iter().partition(|at| brings(*at));
    let [inlet] = inward.as_slice() else { return None };
    let mut ends: Vec<usize> = others.into_iter().filter(|other| takes(*other)).collect();
    let mut seen = vec![rooms[0]];
    while let Some(room) = ends.pop() {
        if room == AIR || is_fed(room) {
            return None;
        }
        if !seen.iter().any(|at| group[*at] == group[room]) {
            seen.push(room);
            ends.extend(beside(room, 1));
        }
    }
    Some(Some(now.levels[*inlet]).filter(|level| *level != own))
}
