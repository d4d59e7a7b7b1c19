//! What is said of the events that are in one of two runs only, or at another place in each: only
//! what holds in every run, or that it does not.

use super::Side;
use super::certain::{Certain, EventOrder};
use super::milestones::Milestone;
use super::sequence::{Lane, LanePlace, Told, there};
use super::words::Two;
use crate::cutaway::model::Event;

/// What is said of lanes.
pub(super) struct LaneWords<'t, 'a> {
    pub(super) two: &'t Two<'a>,
    pub(super) certain: &'t [Certain; 2],
    pub(super) sides: [Side<'a>; 2],
    /// The steps of the runs compared.
    pub(super) lines: &'t [Vec<usize>; 2],
    pub(super) lanes: &'t [Lane],
}

impl LaneWords<'_, '_> {
    pub(super) fn sentences(&self) -> Vec<String> {
        let mut says = Vec::new();
        for (at, lane) in self.lanes.iter().enumerate() {
            match (&lane.place, &lane.told) {
                (LanePlace::OnlyHere, [Some(told), _]) => says.extend(self.only(at, 0, told)),
                (LanePlace::OnlyHere, [None, Some(told)]) => says.extend(self.only(at, 1, told)),
                (LanePlace::Moved(other), [Some(told), None]) => {
                    says.extend(self.moved(at, *other, told));
                }
                (LanePlace::ByOther, [Some(one), Some(other)])
                    if one.spoken() != other.spoken() =>
                {
                    let [title, other_title] = &self.two.titles;
                    let milestone = lane.milestone().map_or("the same", Milestone::words);
                    let (here, there) = (one.spoken(), other.spoken());
                    says.push(format!(
                        "{milestone}: by \u{201c}{here}\u{201d} in {title}, by \u{201c}{there}\u{201d} in {other_title}"
                    ));
                }
                _ => {}
            }
        }
        says
    }

    /// "only Ash: vent shifts, after pilot shifts"; of an event that the other engine has as well,
    /// what is otherwise there in all its runs: how often it comes, whether in each, or where.
    fn only(&self, at: usize, side: usize, told: &Told) -> Option<String> {
        let two = self.two;
        let certain = &self.certain[side];
        let own = if certain.is_in_some_only(told) { ", in some runs only" } else { "" };
        let once_more = if 1 < told.nth { " once more" } else { "" };
        let (words, place) = (told.spoken(), self.place(at, side, told));
        let happens = |event: &Event| self.sides[1 - side].run.happens(*event);
        let Some(event) = there(two, side, told.event).filter(happens) else {
            return Some(two.only(side, &format!("{words}{once_more}{place}{own}")));
        };
        let run = self.sides[1 - side].run;
        let elsewhere = match self.certain[1 - side].times(event) {
            None if told.nth <= run.times(&self.lines[1 - side], event) => return None,
            None => "not in the run compared".to_owned(),
            Some((least, _)) if told.nth <= least => return self.elsewhere(side, told, event),
            Some((_, most)) if told.nth <= most => "in some runs only".to_owned(),
            Some((_, 0)) => "in no run that is decided to its end".to_owned(),
            Some((_, 1)) => "once at most".to_owned(),
            Some((_, most)) => format!("{most} times at most"),
        };
        let [title, other_title] = [side, 1 - side].map(|side| &two.titles[side]);
        Some(format!(
            "\u{201c}{words}\u{201d} comes{once_more} in {title}{place}{own}; in {other_title} {elsewhere}"
        ))
    }

    /// Behind what an event is certain to come: the last before it in the run compared.
    fn place(&self, at: usize, side: usize, told: &Told) -> String {
        let beside = |it: &Told| self.certain[side].beside(it, told);
        let others = |lanes: &'_ [Lane]| -> Vec<Told> {
            lanes.iter().filter_map(|lane| lane.told[side].clone()).collect()
        };
        let (earlier, later) = (others(&self.lanes[..at]), others(&self.lanes[at + 1..]));
        let before = earlier.iter().rev().find_map(|it| match beside(it) {
            EventOrder::Before => Some(("after", it)),
            EventOrder::AtOnce => Some(("at once with", it)),
            EventOrder::After | EventOrder::Either => None,
        });
        let is_first =
            || earlier.is_empty() && later.iter().all(|it| beside(it) == EventOrder::After);
        match before {
            Some((how, it)) => format!(", {how} \u{201c}{}\u{201d}", it.spoken()),
            None if is_first() => ", at the very start".to_owned(),
            None => String::new(),
        }
    }

    /// An event that comes in every run of the other engine too, where it was not found beside it:
    /// the first event of both to which it does not stand alike.
    fn elsewhere(&self, side: usize, told: &Told, event: Event) -> Option<String> {
        let two = self.two;
        let there_told = Told::new(two, 1 - side, event, told.nth);
        let marks = self.lanes.iter().filter_map(|lane| lane.told[side].as_ref());
        marks.filter(|mark| mark.happening() != told.happening()).find_map(|mark| {
            let mark_there = Told::new(two, 1 - side, there(two, side, mark.event)?, mark.nth);
            let here = self.certain[side].known_order(told, mark)?;
            let elsewhere = self.certain[1 - side].known_order(&there_told, &mark_there)?;
            let mut pair = [(told, here, mark), (&there_told, elsewhere, &mark_there)];
            if side == 1 {
                pair.swap(0, 1);
            }
            (here != elsewhere).then(|| beside_in_both(pair, &two.titles))
        })
    }

    /// "bolt reaches home comes before pilot returns in Rowan, after it in Ash".
    fn moved(&self, at: usize, other: usize, told: &Told) -> Option<String> {
        let (low, high) = (at.min(other), at.max(other));
        let told_there = self.lanes[other].told[1].as_ref()?;
        let lanes = self.lanes[low..high].iter();
        let mut between = lanes.filter_map(|lane| {
            let [crossed, crossed_there] = lane.told.each_ref();
            let (crossed, crossed_there) = (crossed.as_ref()?, crossed_there.as_ref()?);
            let here = self.certain[0].beside(told, crossed);
            let there = self.certain[1].beside(told_there, crossed_there);
            let pair = [(told, here, crossed), (told_there, there, crossed_there)];
            (here != there).then(|| beside_in_both(pair, &self.two.titles))
        });
        // The event nearest to where the first engine has it.
        if at < other { between.next() } else { between.next_back() }
    }
}

/// "“mouth closes” comes before “bolt stops” in Rowan, after it in Ash"; each in its own words.
pub(super) fn beside_in_both(
    [(one, here, other), (one_there, there, other_there)]: [(&Told, EventOrder, &Told); 2],
    [title, other_title]: &[String; 2],
) -> String {
    let (what, from) = (one.spoken(), other.spoken());
    let (here, there) = (here.words(), there.words());
    let (what_there, from_there) = (one_there.spoken(), other_there.spoken());
    match (what == what_there, from == from_there) {
        (true, true) => format!(
            "\u{201c}{what}\u{201d} comes {here} \u{201c}{from}\u{201d} in {title}, {there} it in {other_title}"
        ),
        _ => format!(
            "\u{201c}{what}\u{201d} comes {here} \u{201c}{from}\u{201d} in {title}; in {other_title} \
             \u{201c}{what_there}\u{201d} comes {there} \u{201c}{from_there}\u{201d}"
        ),
    }
}
