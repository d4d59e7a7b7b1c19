//! The runs of two engines beside each other: events in lanes, held together by the milestones
//! that both reach, and what comes at another place or in one of the two only.

use super::Side;
use super::certain::{Certain, only_certain_in_one, turned_milestones};
use super::lane_words::LaneWords;
use super::matching::comes_first;
use super::milestones::{Milestone, milestones};
use super::run_order::{RunsInOrder, event_key};
use super::words::Two;
use crate::cutaway::events::event_words;
use crate::cutaway::model::{ChamberId, Element, Engine, Event, PositionId, Role};
use crate::logic::{self, Ending, Exploration, Happening};
use std::collections::{BTreeMap, BTreeSet};

/// Events of a run that are compared: a longer one repeats itself.
const MOST: usize = 1_000;

/// How an event of one run stands to the other run.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LanePlace {
    /// In both, in the same order as the others of this kind.
    Same,
    /// The same milestone in both, in the same order, brought about by something else.
    ByOther,
    /// In both, but at another place: the lane at this index holds the other engine's.
    Moved(usize),
    /// In this run only.
    OnlyHere,
    /// Behind the point up to which the other run is decided: nothing can be said of it.
    Beyond,
}

/// An event of a run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    pub(crate) event: Event,
    /// The step that brings it, as an index into the steps of the exploration.
    pub(crate) step: usize,
    /// The place of that step in the run.
    pub(crate) place: usize,
    /// Which time it is that it happens: from 1.
    pub(crate) nth: usize,
    /// Events of one letter may come in another order among themselves; none where the order is
    /// certain.
    pub letter: Option<char>,
    /// Its place among all events of the run.
    pub at: usize,
    /// The event in our words: "switch leaves front".
    pub words: String,
    /// The writer's words for it, where there are any: "switch lets go".
    pub(crate) said: Option<String>,
    /// The milestone that is reached by it.
    pub milestone: Option<Milestone>,
}

impl Told {
    /// An event of an engine, wherever it comes in a run. The writer's words are for the first
    /// time: a bolt that comes back past the same place does not close the breech again.
    pub(super) fn new(two: &Two<'_>, side: usize, event: Event, nth: usize) -> Told {
        let engine = two.engines[side];
        let saying = engine.sayings.iter().find(|saying| nth == 1 && saying.event == event);
        let said = saying.map(|saying| saying.words.spoken());
        let words = event_words(engine, event);
        let (step, place, at, letter, milestone) = (0, 0, 0, None, None);
        Told { event, step, place, nth, letter, at, words, said, milestone }
    }

    /// As a reader is told it: in the writer's words, or in ours.
    pub(crate) fn spoken(&self) -> &str {
        self.said.as_deref().unwrap_or(&self.words)
    }

    /// The same, with its letter behind it.
    pub(crate) fn lettered(&self) -> String {
        let letter = self.letter.map(|letter| format!(" ({letter})")).unwrap_or_default();
        format!("{}{letter}", self.spoken())
    }

    pub(super) fn happening(&self) -> Happening {
        Happening { event: self.event, nth: self.nth }
    }
}

/// One line of the comparison: an event of both runs or of one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lane {
    /// How it stands.
    pub place: LanePlace,
    /// In the first and in the second engine; both only where the place is the same.
    pub told: [Option<Told>; 2],
}

impl Lane {
    /// The milestone that both reach here.
    pub(super) fn milestone(&self) -> Option<Milestone> {
        let [one, other] = self.told.each_ref().map(|told| told.as_ref()?.milestone);
        one.filter(|_| one == other)
    }
}

/// Two runs beside each other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sequence {
    /// Events in order.
    pub lanes: Vec<Lane>,
    /// Events that come in the same order in both.
    pub same: usize,
    /// Events altogether; one that comes at another place counts once.
    pub all: usize,
    /// What is only in one, comes at another place, or ends otherwise, as sentences.
    pub says: Vec<String>,
    /// Why the run of an engine is not decided to its end, where it is not.
    pub open: [Option<String>; 2],
    /// Whether both runs end in the same manner.
    pub(crate) ends_alike: bool,
    /// Whether what is certain in the order of events that both have is so in both.
    pub(crate) is_as_certain: bool,
    /// The steps of the runs compared. Where independent events may come in either order, this is
    /// the run which comes nearest to the other engine's, and need not be the one that is told.
    pub(crate) lines: [Vec<usize>; 2],
}

impl Sequence {
    /// "same order in 11 of 12 events".
    #[must_use]
    pub fn verdict(&self) -> String {
        match self.all {
            0 => "no events to compare".to_owned(),
            all => format!("same order in {} of {all} events", self.same),
        }
    }

    /// Whether all events are the same, in the same order, with the same end.
    #[must_use]
    pub fn is_same(&self) -> bool {
        let is_by_same = |lane: &Lane| lane.place != LanePlace::ByOther;
        let is_one = self.same == self.all && self.ends_alike && self.is_as_certain;
        is_one && self.lanes.iter().all(is_by_same)
    }

    fn turned(mut self) -> Sequence {
        for lane in &mut self.lanes {
            lane.told.swap(0, 1);
        }
        self.open.swap(0, 1);
        self.lines.swap(0, 1);
        self
    }
}

/// Sets the runs of two engines side by side, with the same result whichever comes first.
pub(super) fn aligned(sides: [Side<'_>; 2], two: &Two<'_>) -> Sequence {
    let [first, second] = sides;
    let size = |side: Side<'_>| (side.run.states.len(), side.run.steps.len());
    let is_turned = comes_first(second.engine, first.engine)
        || !comes_first(first.engine, second.engine) && size(second) < size(first);
    if !is_turned {
        return aligned_to_first(sides, two, &BTreeSet::new());
    }
    let matching = two.matching.clone().turned();
    aligned_to_first([second, first], &two.turned(&matching), &BTreeSet::new()).turned()
}

/// Sets a run of the first engine beside that run of the second which comes nearest to it:
/// independent events may come in either order. `also` are events of the first engine that are
/// compared whether or not a reader of these two would ask for them.
pub(super) fn aligned_to_first(
    sides: [Side<'_>; 2],
    two: &Two<'_>,
    also: &BTreeSet<Event>,
) -> Sequence {
    let runs = [0, 1].map(|side: usize| RunsInOrder::of(two, side, sides[side].run));
    let mut lines = runs.each_ref().map(RunsInOrder::line);
    let asked = ComparedEvents { two, also };
    let (mut first, reached) = asked.main_events(sides[0].run, 0, &lines[0], &BTreeMap::new());
    let second_of = |line: &[usize]| asked.main_events(sides[1].run, 1, line, &reached).0;
    let mut second = second_of(&lines[1]);
    let mut matches = anchored(two, &first, &second);
    if matches.len() < first.len().max(second.len()) {
        // What moves decides which run it is; air follows.
        let moves =
            first.iter().filter(|told| logic::rank(told.event) <= logic::rank(Event::BallLeaves));
        let wanted: Vec<Event> = moves.filter_map(|told| there(two, 0, told.event)).collect();
        let line = runs[1].nearest(&wanted);
        let other = second_of(&line);
        let other_matches = anchored(two, &first, &other);
        if matches.len() < other_matches.len() && sides[1].run.ending_of(&line).is_some() {
            (second, matches, lines[1]) = (other, other_matches, line);
        }
    }
    let certain = [0, 1].map(|side: usize| Certain::of(sides[side].run));
    certain[0].letter(&mut first);
    certain[1].letter(&mut second);
    let endings = [0, 1].map(|side: usize| sides[side].run.ending_of(&lines[side]));
    let open = [0, 1].map(|side: usize| open(&two.titles[side], sides[side].run, endings[side]));
    let mut lanes = lanes(two, &first, &second, &matches);
    for (side, _) in open.iter().enumerate().filter(|(_, open)| open.is_some()) {
        leave_out_beyond(&mut lanes, side);
    }
    pair_moved(two, &mut lanes);
    let same = matches.len();
    let is_counted = |lane: &&Lane| match lane.place {
        LanePlace::Same | LanePlace::ByOther | LanePlace::OnlyHere => true,
        // Both lanes of a moved event are one event.
        LanePlace::Moved(to) => lane.told[0].is_some() || lanes[to].place == LanePlace::ByOther,
        LanePlace::Beyond => false,
    };
    let all = lanes.iter().filter(is_counted).count();
    let mut says: Vec<String> =
        turned_milestones(&two.titles, &certain, &lanes).into_iter().collect();
    let words = LaneWords { two, certain: &certain, sides, lines: &lines, lanes: &lanes };
    says.extend(words.sentences());
    let only_in_one = only_certain_in_one(&two.titles, &certain, &lanes);
    let is_as_certain = only_in_one.is_empty();
    says.extend(only_in_one);
    for (side, title) in two.titles.iter().enumerate().filter(|(at, _)| !certain[*at].is_known()) {
        if !sides[side].run.is_cut_short {
            says.push(format!(
                "which events of {title} may come in another order was not looked at"
            ));
        }
    }
    let manners = sides.map(|side| manners(side.run));
    let ends_alike = manners[0] == manners[1];
    says.extend(open.iter().flatten().cloned());
    if !ends_alike && open.iter().all(Option::is_none) {
        let [title, other] = &two.titles;
        says.push(format!("{title} {}, {other} {}", manners[0], manners[1]));
    }
    Sequence { lanes, same, all, says, open, ends_alike, is_as_certain, lines }
}

/// How the runs of an engine end: "ends at rest or goes on by itself".
fn manners(run: &Exploration) -> String {
    let manner = |ending: &Ending| match ending {
        Ending::AtRest => "ends at rest",
        Ending::Stuck(_) => "stays stuck",
        Ending::Repeats(_) => "goes on by itself",
        Ending::Vents(_) => "vents for ever",
        Ending::Undecided(_) => "is not decided",
    };
    let all: BTreeSet<&str> = run.endings.iter().map(|(_, ending)| manner(ending)).collect();
    match all.is_empty() {
        true => "does not end".to_owned(),
        false => all.into_iter().collect::<Vec<_>>().join(" or "),
    }
}

fn open(title: &str, run: &Exploration, ending: Option<&Ending>) -> Option<String> {
    match ending {
        Some(Ending::Undecided(need)) => Some(format!(
            "the run of {title} is not decided to its end ({} stays open), \
             and is compared as far as it goes",
            need.what
        )),
        Some(_) => None,
        None if run.steps.is_empty() => Some(format!("the run of {title} is not known")),
        None => Some(format!("the run of {title} was given up before its end")),
    }
}

/// Which events are compared.
struct ComparedEvents<'t, 'a> {
    two: &'t Two<'a>,
    also: &'t BTreeSet<Event>,
}

/// The milestones of a run by the place of their step in it and the event that tells them.
type Reached = BTreeMap<(usize, Event), Milestone>;

impl ComparedEvents<'_, '_> {
    /// The events of a run that are compared, and its milestones. What happens in one step happens
    /// at once, so its events stand in an order that both engines share, not in that of their
    /// lists. `other` are the milestones of the other run, where they are known.
    fn main_events(
        &self,
        run: &Exploration,
        side: usize,
        line: &[usize],
        other: &Reached,
    ) -> (Vec<Told>, Reached) {
        let two = self.two;
        let to_other = |event: Event| there(two, side, event);
        let reached = milestones(two, side, run, line, &to_other, other);
        let mut events: Vec<(usize, usize, Event)> = Vec::new();
        for (place, step) in line.iter().enumerate() {
            let mut at_once = run.steps[*step].events.clone();
            at_once.sort_by_key(|event| rank(two, side, *event));
            events.extend(at_once.into_iter().map(|event| (place, *step, event)));
        }
        // A trigger that is let go when all is over changes nothing.
        while let Some((_, _, Event::Released(_))) = events.last() {
            events.pop();
        }
        let mut happened: BTreeMap<Event, usize> = BTreeMap::new();
        let mut told = Vec::new();
        for (at, (place, step, event)) in events.into_iter().enumerate() {
            let nth = happened.entry(event).or_default();
            *nth += 1;
            let (nth, is_first) = (*nth, *nth == 1);
            let milestone = reached.get(&(place, event)).copied();
            let is_told = milestone.is_some() || self.is_told(side, event, is_first);
            if is_told && told.len() < MOST {
                let new = Told::new(two, side, event, nth);
                told.push(Told { step, place, at, milestone, ..new });
            }
        }
        (told, reached)
    }

    fn is_told(&self, side: usize, event: Event, is_first: bool) -> bool {
        let two = self.two;
        let other = there(two, side, event);
        let of_first = if side == 0 { Some(event) } else { other };
        let has_words = |side: usize, event: Event| {
            is_first && two.engines[side].sayings.iter().any(|saying| saying.event == event)
        };
        let counts =
            |side: usize, event: Event| has_words(side, event) || is_main(two.engines[side], event);
        counts(side, event)
            || other.is_some_and(|other| counts(1 - side, other))
            || of_first.is_some_and(|event| is_first && self.also.contains(&event))
    }
}

/// Where an event stands among those of its step: causes before what they bring about, things of
/// both engines in the order of the first.
fn rank(two: &Two<'_>, side: usize, event: Event) -> (u8, bool, (u8, u64, &'static str), Event) {
    let partner = there(two, side, event);
    let of_first = match (side, partner) {
        (1, Some(partner)) => (0, partner),
        _ => (side, event),
    };
    let is_extra = side == 1 && partner.is_none();
    (logic::rank(event), is_extra, event_key(two, of_first.0, of_first.1), of_first.1)
}

/// Whether an event is one that a reader would tell: what a hand or a valve does, parts at the
/// ends of their travel, the ways of the store and those into the breech, the store and the rooms
/// that steer filling and emptying. Rooms that follow at once when a way opens are left to that.
fn is_main(engine: &Engine, event: Event) -> bool {
    let role = |chamber: ChamberId| engine.chambers[chamber].role;
    match event {
        Event::Leaves(part, at) | Event::Reaches(part, at) => {
            at == PositionId::REAR || engine.parts[part].positions.get(at.in_front()).is_none()
        }
        Event::Opens(way) | Event::Closes(way) => {
            let way = &engine.ways[way];
            let ends = [role(way.from), role(way.to)];
            // The barrel opens as the ball leaves, and the breech to the open air as a part
            // reaches its place: both are told already.
            let is_told = way.barrel || ends.contains(&Role::OpenAir);
            !is_told && ends.iter().any(|role| matches!(role, Role::Store | Role::Breech))
        }
        Event::Fills(chamber) | Event::Empties(chamber) => {
            matches!(role(chamber), Role::Store | Role::Pilot)
        }
        Event::Drops(_) | Event::Rises(..) | Event::Falls(..) => false,
        Event::Pulled(_)
        | Event::Released(_)
        | Event::Shifts(_)
        | Event::Returns(_)
        | Event::Unlatches(_)
        | Event::Latches(_)
        | Event::BallLeaves
        | Event::BallFed => true,
    }
}

/// The same event of the other engine.
pub(super) fn there(two: &Two<'_>, side: usize, event: Event) -> Option<Event> {
    match event.subject() {
        Element::Ball => Some(event),
        subject => event.of(two.partner(side, subject)?),
    }
}

/// Places in both runs that stand beside each other: the milestones that both reach in the same
/// order, and between each two of them the events that both have in the same order.
fn anchored(two: &Two<'_>, first: &[Told], second: &[Told]) -> Vec<(usize, usize)> {
    let marks = |told: &[Told]| -> Vec<(usize, Milestone)> {
        let marks = told.iter().enumerate();
        marks.filter_map(|(at, told)| Some((at, told.milestone?))).collect()
    };
    let (ones, others) = (marks(first), marks(second));
    let anchors = longest_common((ones.len(), others.len()), |i, j| ones[i].1 == others[j].1);
    let (mut from, mut places) = ((0, 0), Vec::new());
    let ends = anchors.into_iter().map(|(i, j)| (ones[i].0, others[j].0));
    for (i, j) in ends.chain([(first.len(), second.len())]) {
        let between = common(two, &first[from.0..i], &second[from.1..j]);
        places.extend(between.into_iter().map(|(x, y)| (from.0 + x, from.1 + y)));
        if i < first.len() {
            places.push((i, j));
        }
        from = (i + 1, j + 1);
    }
    places
}

/// The longest list of events that both runs have in the same order: places in both.
fn common(two: &Two<'_>, first: &[Told], second: &[Told]) -> Vec<(usize, usize)> {
    let mapped: Vec<Option<Event>> = first.iter().map(|told| there(two, 0, told.event)).collect();
    longest_common((first.len(), second.len()), |i, j| mapped[i] == Some(second[j].event))
}

/// The longest list of places that agree, in the order of both.
fn longest_common(
    (rows, columns): (usize, usize),
    is_same: impl Fn(usize, usize) -> bool,
) -> Vec<(usize, usize)> {
    let mut longest = vec![vec![0u32; columns + 1]; rows + 1];
    for i in (0..rows).rev() {
        for j in (0..columns).rev() {
            longest[i][j] = if is_same(i, j) {
                longest[i + 1][j + 1] + 1
            } else {
                longest[i + 1][j].max(longest[i][j + 1])
            };
        }
    }
    let (mut i, mut j) = (0, 0);
    let mut places = Vec::new();
    while i < rows && j < columns {
        if is_same(i, j) {
            places.push((i, j));
            (i, j) = (i + 1, j + 1);
        } else if longest[i][j + 1] <= longest[i + 1][j] {
            i += 1;
        } else {
            j += 1;
        }
    }
    places
}

fn lanes(two: &Two<'_>, first: &[Told], second: &[Told], matches: &[(usize, usize)]) -> Vec<Lane> {
    let mut lanes = Vec::new();
    let alone = |side: usize, told: &Told| {
        let mut lane = Lane { place: LanePlace::OnlyHere, told: [None, None] };
        lane.told[side] = Some(told.clone());
        lane
    };
    let (mut i, mut j) = (0, 0);
    for (to_i, to_j) in matches.iter().copied().chain([(first.len(), second.len())]) {
        lanes.extend(first[i..to_i].iter().map(|told| alone(0, told)));
        lanes.extend(second[j..to_j].iter().map(|told| alone(1, told)));
        if let (Some(one), Some(other)) = (first.get(to_i), second.get(to_j)) {
            let is_same = there(two, 0, one.event) == Some(other.event);
            let place = if is_same { LanePlace::Same } else { LanePlace::ByOther };
            lanes.push(Lane { place, told: [Some(one.clone()), Some(other.clone())] });
        }
        (i, j) = (to_i + 1, to_j + 1);
    }
    lanes
}

/// Marks the events of one run that come behind the last of the other, which is not decided
/// further.
fn leave_out_beyond(lanes: &mut [Lane], undecided: usize) {
    let beyond = lanes.iter_mut().rev().take_while(|lane| lane.told[undecided].is_none());
    beyond.for_each(|lane| lane.place = LanePlace::Beyond);
}

/// Events that are left on one side and happen in the other too have changed their place.
fn pair_moved(two: &Two<'_>, lanes: &mut [Lane]) {
    for side in [0, 1] {
        for at in 0..lanes.len() {
            let Some(here) = lanes[at].told[side].as_ref() else { continue };
            if lanes[at].place != LanePlace::OnlyHere {
                continue;
            }
            let Some(wanted) = there(two, side, here.event) else { continue };
            let partner = lanes.iter().position(|lane| {
                let is_wanted = |told: &Told| told.event == wanted && told.nth == here.nth;
                matches!(lane.place, LanePlace::OnlyHere | LanePlace::ByOther)
                    && lane.told[1 - side].as_ref().is_some_and(is_wanted)
            });
            let Some(partner) = partner else { continue };
            lanes[at].place = LanePlace::Moved(partner);
            if lanes[partner].place == LanePlace::OnlyHere {
                lanes[partner].place = LanePlace::Moved(at);
            }
        }
    }
}
