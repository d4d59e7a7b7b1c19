//! What stays in an engine with something wrong: parts that do not move, parts and valves that do
//! not come home.

use super::counterpart::{counterpart, event_there};
use super::noticed::{FaultBesideSound, first_act, quiet};
use super::symptom::{Noticed, Symptom};
use crate::cutaway::events::condition_words;
use crate::cutaway::model::{
    Condition, Defect, Drive, Element, Engine, Event, PartId, Valve, ValveId, Wrong,
};
use crate::logic::{Ending, State, out_of_place, precedence, round, why_never};
use crate::text::listed;

impl FaultBesideSound<'_> {
    /// Parts that do not move, parts and valves that end out of place: what may keep others there
    /// first.
    pub(super) fn what_stays(&self, told: &[Noticed]) -> Vec<Noticed> {
        if self.found.states.iter().all(|state| state.handled == 0) {
            return Vec::new();
        }
        let does_fire = told.iter().all(|it| it.symptom != Symptom::BallStays || !it.always);
        let valves = self.engine.valves.ids().filter(|at| self.should_return(*at));
        let things = self.engine.parts.ids().map(Element::Part).chain(valves.map(Element::Valve));
        let stops: Vec<(Element, Option<Event>)> =
            things.map(|thing| (thing, self.stops_at(thing))).collect();
        let comes_before = |first: Option<Event>, then: Option<Event>| {
            first
                .zip(then)
                .is_some_and(|(first, then)| precedence(self.sound, first, then).always())
        };
        let kept_by = |thing: Element, own: Option<Event>| match (thing, own) {
            // A valve that came back and is shifted once more is so by something else.
            (Element::Valve(_), None) => usize::MAX,
            _ => stops.iter().filter(|(_, other)| comes_before(*other, own)).count(),
        };
        let mut things: Vec<(Element, usize)> =
            stops.iter().map(|(thing, own)| (*thing, kept_by(*thing, *own))).collect();
        things.sort_by_key(|(_, before)| *before);
        let mut noticed = Vec::new();
        for (thing, _) in things {
            match thing {
                Element::Part(part) if self.never_moves(part) => {
                    let tells = does_fire || self.is_jammed(part);
                    noticed.extend(tells.then(|| self.does_not_move(part)));
                }
                thing => noticed.extend(self.not_home(thing)),
            }
        }
        noticed
    }

    /// Whether a thing told by this name is a valve that the hand works, and so feels.
    pub(super) fn is_felt(&self, place: &str) -> bool {
        let asks_hand = |valve: &Valve| {
            valve.shifts.iter().any(|condition| matches!(condition, Condition::Pulled(_)))
        };
        let mut valves = self.engine.valves.entries();
        valves.any(|(at, valve)| {
            valve.drive == Drive::Mechanical
                && asks_hand(valve)
                && Element::Valve(at).the(self.engine) == place
        })
    }

    fn never_moves(&self, part: PartId) -> bool {
        let rest = self.engine.parts[part].rest;
        let first = Event::Leaves(part, rest);
        let there = event_there(self.engine, self.sound_engine, first);
        there.is_some_and(|there| self.sound.happens(there))
            && self.found.states[0].positions[part] == rest
            && !self.found.happens(first)
    }

    fn does_not_move(&self, part: PartId) -> Noticed {
        let place = Element::Part(part).the(self.engine);
        let first = Event::Leaves(part, self.engine.parts[part].rest);
        let why = why_never(self.engine, self.found, first);
        let run = format!("{place} stays where it rests: {why}");
        Noticed { symptom: Symptom::DoesNotMove, place, always: true, run, air: None }
    }

    fn is_jammed(&self, part: PartId) -> bool {
        let is_it = |it: &Defect| it.wrong == Wrong::Jammed && it.thing == Element::Part(part);
        self.engine.defects.iter().any(is_it)
    }

    /// Whether a valve comes back in the sound engine.
    fn should_return(&self, valve: ValveId) -> bool {
        let there = event_there(self.engine, self.sound_engine, Event::Returns(valve));
        self.engine.valves[valve].has_rest() && there.is_some_and(|it| self.sound.happens(it))
    }

    /// The first move of a part, or return of a valve, in the sound engine that never comes here.
    fn stops_at(&self, thing: Element) -> Option<Event> {
        self.sound.line_events().into_iter().find(|event| {
            let here = event_there(self.sound_engine, self.engine, *event);
            let is_it = |event: &Event| match (*event, thing) {
                (Event::Leaves(part, _), Element::Part(of)) => part == of,
                (Event::Returns(valve), Element::Valve(of)) => valve == of,
                _ => false,
            };
            here.filter(is_it).is_some_and(|event| first_act(self.found, event).is_none())
        })
    }

    /// What all states of an ending are: the last one, or, where it goes round for ever, all of the
    /// round. A round while the hand is still to act counts for what is home in the sound engine
    /// then.
    fn ends(&self, thing: Element) -> Vec<Vec<&State>> {
        let state = |at: usize| &self.found.states[at];
        let ends = self.found.endings.iter().filter_map(|(at, ending)| match ending {
            Ending::AtRest | Ending::Stuck(_) | Ending::Vents(_) => Some(vec![state(*at)]),
            Ending::Repeats(head) if self.is_home_in_sound(thing, state(*head).handled) => {
                Some(round(self.found, *head).iter().map(|step| state(step.to)).collect())
            }
            Ending::Repeats(_) | Ending::Undecided(_) => None,
        });
        ends.collect()
    }

    /// Whether a thing is at home in the sound engine whenever that is quiet after so many acts.
    fn is_home_in_sound(&self, thing: Element, handled: usize) -> bool {
        let Some(there) = counterpart(self.engine, self.sound_engine, thing) else { return false };
        let quiet = quiet(self.sound, handled);
        let mut states = quiet.iter().map(|at| &self.sound.states[*at]);
        states.all(|state| !is_away(self.sound_engine, state, there))
    }

    fn not_home(&self, thing: Element) -> Option<Noticed> {
        let ends = self.ends(thing);
        let is_away = |end: &&Vec<&State>| {
            end.iter().all(|state| is_away(self.engine, state, thing)) && !end.is_empty()
        };
        let away: Vec<&Vec<&State>> = ends.iter().filter(is_away).collect();
        let state = *away.first()?.first()?;
        let place = thing.the(self.engine);
        let run = match thing {
            Element::Part(part) => self.stays_at(part, state),
            Element::Valve(valve) => self.stays_shifted(valve, state),
            _ => return None,
        };
        let always = away.len() == ends.len();
        let air = self.air(state);
        Some(Noticed { symptom: Symptom::NotHome, place, always, run, air })
    }

    fn stays_at(&self, part: PartId, state: &State) -> String {
        let described = &self.engine.parts[part];
        let name = described.name.spoken();
        let at = described.positions[state.positions[part]].spoken();
        let blamed = out_of_place(self.engine, state).filter(|it| it.about == described.name.span);
        let why = blamed.map(|it| it.why).filter(|why| !why.is_empty());
        let why = why.map_or_else(String::new, |why| format!(": {why}"));
        match self.found.states[0].positions[part] == described.rest {
            true => format!("the {name} stays at {at}{why}"),
            false => {
                format!("when the air is turned on, the {name} comes no further than {at}{why}")
            }
        }
    }

    fn stays_shifted(&self, valve: ValveId, state: &State) -> String {
        let described = &self.engine.valves[valve];
        let place = Element::Valve(valve).the(self.engine);
        let is_told = !described.on_edge && state.holds(self.engine, &described.shifts);
        let words = described.shifts.iter().map(|it| condition_words(self.engine, *it));
        let why = match is_told {
            true => {
                format!("it is shifted as long as {}", listed(&words.collect::<Vec<_>>(), "and"))
            }
            false => "nothing brings it back".to_owned(),
        };
        format!("{place} stays shifted: {why}")
    }
}

/// Whether a part stands elsewhere than where it rests, or a valve is shifted.
fn is_away(engine: &Engine, state: &State, thing: Element) -> bool {
    match thing {
        Element::Part(part) => state.positions[part] != engine.parts[part].rest,
        Element::Valve(valve) => state.shifted[valve],
        _ => false,
    }
}
