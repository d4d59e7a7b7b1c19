//! Where a part stands, as words tell it: by the name of a position, by where it lies, or by what
//! such a place is commonly called.

use super::routing::{named, root};
use crate::cutaway::model::{Name, Part, PositionId};
use crate::folio::words::TextWord;
use std::collections::BTreeSet;

/// Words for one place of a part; where a cutaway names a position by one of them, the others mean
/// it too.
const PLACES: [&[&str]; 4] = [
    &["lifted", "raised", "up", "open", "unseated", "off"],
    &["seated", "down", "shut", "closed", "lowered", "close"],
    &["in", "pressed", "pushed", "depressed", "squeezed"],
    &["out", "released", "free"],
];

/// Words that tell a place only where nothing follows them: "with the button in".
const PARTICLES: [&str; 5] = ["up", "down", "in", "out", "off"];

/// The words of a clause that may tell a place.
struct PlaceWords<'w> {
    words: &'w [TextWord],
}

impl PlaceWords<'_> {
    fn stem(&self, at: usize) -> &str {
        self.words.get(at).map_or("", |word| word.stem.as_str())
    }

    /// Whether one of these words is said of a place.
    fn says(&self, wanted: &[&str]) -> bool {
        let adds = |at: usize| {
            matches!(self.stem(at), "again" | "already" | "now" | "first" | "last" | "next")
        };
        // "Out again by its spring".
        let goes_on = |at: usize| matches!(self.stem(at), "by" | "with" | "through");
        let ends = |from: usize| {
            let next = (from..self.words.len()).find(|at| !adds(*at));
            next.is_none_or(goes_on)
        };
        (0..self.words.len()).any(|at| {
            let stem = self.stem(at);
            wanted.contains(&stem) && (!PARTICLES.contains(&stem) || ends(at + 1))
        })
    }

    /// Whether the last word is one of these.
    fn says_last(&self, wanted: &[&str]) -> bool {
        self.words.last().is_some_and(|word| wanted.contains(&word.stem.as_str()))
    }

    /// "On its seat", "off its seat": whether it is said to be there.
    fn on_seat(&self) -> Option<bool> {
        let at = (1..self.words.len()).find(|at| self.stem(*at) == "seat")?;
        let mut ahead = (at.saturating_sub(3)..at).rev().map(|at| self.stem(at));
        let leads = ahead.find(|stem| !matches!(*stem, "the" | "it" | "its" | "their"))?;
        match leads {
            "on" | "onto" | "to" | "into" | "against" | "in" => Some(true),
            "off" | "from" => Some(false),
            _ => None,
        }
    }
}

/// Whether "home" may mean another place of a part than the one where it rests.
pub(super) fn is_home_elsewhere(part: &Part) -> bool {
    part.positions.entries().any(|(at, position)| position.id == "home" && at != part.rest)
}

/// The position at which words say that a part stands.
pub(super) fn place_told(part: &Part, words: &[TextWord]) -> Option<PositionId> {
    let said: BTreeSet<String> = words.iter().map(|word| root(&word.stem).to_owned()).collect();
    if said.contains("home") && is_home_elsewhere(part) {
        return None;
    }
    named(part.positions.entries(), &said).or_else(|| described(part, &PlaceWords { words }))
}

/// The position to which words say that a part is moved: "on to its seat", "up", "to the front".
pub(super) fn place_aimed_at(part: &Part, words: &[TextWord]) -> Option<PositionId> {
    let told = PlaceWords { words };
    let names = |at: usize, position: &Name| position.id == told.stem(at);
    let aims = |at: usize| {
        let mut ahead = (at.saturating_sub(3)..at).rev().map(|at| told.stem(at));
        let leads = ahead.find(|stem| !matches!(*stem, "the" | "it" | "its"));
        leads.is_some_and(|stem| matches!(stem, "to" | "into" | "onto"))
    };
    let named = part
        .positions
        .entries()
        .find(|(_, position)| (1..words.len()).any(|at| names(at, position) && aims(at)));
    let ends = || told.says(&PARTICLES) || told.says_last(&["open", "shut", "closed"]);
    let is_told = told.on_seat().is_some() || ends();
    named.map(|(at, _)| at).or_else(|| is_told.then(|| described(part, &told)).flatten())
}

/// The position that words of place or direction tell, where none is named: positions stand from
/// the rear to the front.
fn described(part: &Part, told: &PlaceWords<'_>) -> Option<PositionId> {
    let (rest, positions) = (part.rest, &part.positions);
    let (first, last) = (positions.ids().next()?, positions.ids().next_back()?);
    let other = if rest == first { last } else { first };
    let is_pair = positions.ids().count() == 2;
    let says = |wanted: &[&str]| told.says(wanted);
    let on_seat = told.on_seat();
    let is_called = |place: &[&str], at: PositionId| {
        let id = positions.get(at).map(|position| position.id.as_str());
        id.is_some_and(|id| place.contains(&id))
    };
    let mut places = vec![
        (says(&["forward", "front", "ahead"]), last),
        (says(&["back", "rear", "rearward"]) && on_seat.is_none(), first),
        (says(&["home", "rest", "resting"]), rest),
        (says(&["released", "free"]) || on_seat == Some(true), rest),
        // A bolt that is shut need not be at rest.
        (says(PLACES[0]) && is_pair && is_called(PLACES[1], rest), other),
        (says(&["held", "pulled", "pressed", "squeezed"]) && is_pair, other),
        (on_seat == Some(false) && is_pair, other),
    ];
    for place in PLACES.iter().filter(|place| says(place)) {
        let mut called = positions.ids().filter(|at| is_called(place, *at));
        if let (Some(at), None) = (called.next(), called.next()) {
            places.push((true, at));
        }
    }
    let mut places = places.into_iter().filter(|(is_said, _)| *is_said).map(|(_, at)| at);
    let at = places.next()?;
    places.all(|other| other == at).then_some(at)
}
