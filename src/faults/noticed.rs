//! What one would notice of an engine with something wrong, beside the sound one.

use super::counterpart::{chamber_there, event_there};
use super::departure::{Departure, departure};
use super::stray::astray;
use super::strength::{slower_to_refill, strength};
use super::symptom::{Noticed, Symptom};
use super::{MOST_STATES, SoundEngine};
use crate::cutaway::Engine;
use crate::cutaway::events::event_words;
use crate::cutaway::model::{ChamberId, Element, Event, HandAct, Order, PartId, Role, Width};
use crate::logic::{
    Clocks, Ending, Exploration, State, Step, escape_by, explore_from, filling, precedence, round,
    why_never,
};
use crate::text::listed;
use std::collections::BTreeSet;

/// What one would notice of an engine with something wrong, first things first; nothing where all
/// is as in the sound engine.
#[must_use]
pub fn noticed((engine, found): (&Engine, &Exploration), beside: &SoundEngine<'_>) -> Vec<Noticed> {
    let (sound_engine, sound) = beside.ran();
    let beside = FaultBesideSound { engine, found, sound_engine, sound, beside };
    let mut told = Vec::new();
    told.extend(beside.fires_by_itself());
    // What goes round by itself hisses on its way.
    if told.is_empty() || !beside.goes_round_untouched() {
        told.extend(beside.hisses_at_rest());
    }
    told.extend(beside.repeats());
    // What is fired by itself is not there any more when it should be.
    let fires = told.iter().any(|it| it.symptom == Symptom::FiresByItself);
    told.extend(beside.ball_stays().filter(|it| it.always || !fires));
    told.extend(beside.hisses_after(&told));
    told.extend(beside.hisses_firing(&told));
    told.extend(beside.fires_untriggered());
    // How hard it fires is told of a shot that is fired as in the sound engine.
    let fires_otherwise = told.iter().any(|it| match it.symptom {
        Symptom::BallStays => it.always,
        symptom => {
            let others = [Symptom::FiresByItself, Symptom::FiresUntriggered, Symptom::Repeats];
            others.contains(&symptom)
        }
    });
    let strength = || strength((engine, found), (sound_engine, sound));
    told.extend((!fires_otherwise).then(strength).flatten());
    told.extend(beside.what_stays(&told));
    let store = beside.not_refilled();
    let fills = || slower_to_refill((engine, found), (sound_engine, sound));
    told.extend(store.or_else(fills));
    if told.is_empty() {
        told.extend(beside.fires_once().or_else(|| beside.not_ready()));
    }
    told.sort_by_key(|it| (!it.always, beside.comes(it)));
    if let Some(first) = told.first_mut() {
        if first.air.is_none() {
            first.air = astray((engine, found), (sound_engine, sound));
        }
        if let Some(departure) = beside.departure(found).filter(|_| lacks_something(first)) {
            first.run = departure.behind(&first.run);
        }
    }
    // What is not followed to its end may end otherwise.
    let is_open = found.is_open();
    told.iter_mut().for_each(|it| it.always &= !is_open);
    told
}

/// Whether what is noticed is that something does not come.
fn lacks_something(it: &Noticed) -> bool {
    matches!(
        it.symptom,
        Symptom::NotHome
            | Symptom::DoesNotMove
            | Symptom::NotRefilled
            | Symptom::NotReady
            | Symptom::Weaker
            | Symptom::HissesAfter
    )
}

const BEFORE_TRIGGER: &str = "before anybody touches the trigger";

/// Said of air that gets out where a little gets out of the sound engine too.
const SEEPS_IN_SOUND: &str = "; in the sound engine less gets out there";

/// An engine with something wrong and the sound one, each with all that can happen in one shot.
pub(super) struct FaultBesideSound<'a> {
    pub(super) engine: &'a Engine,
    pub(super) found: &'a Exploration,
    pub(super) sound_engine: &'a Engine,
    pub(super) sound: &'a Exploration,
    /// How the sound engine fills, and what of it nothing waits for.
    beside: &'a SoundEngine<'a>,
}

impl FaultBesideSound<'_> {
    /// Where a told symptom comes among the others: what nobody waits for last; a valve that the
    /// hand works and feels before what goes on hissing; what stays in the order in which it was
    /// found, since the first of it keeps the rest.
    fn comes(&self, it: &Noticed) -> (bool, Symptom, bool) {
        let class = match it.symptom {
            Symptom::NotHome if self.is_felt(&it.place) => Symptom::HissesAfter,
            Symptom::NotHome => Symptom::DoesNotMove,
            other => other,
        };
        let stays = matches!(it.symptom, Symptom::NotHome | Symptom::DoesNotMove);
        let is_idle = stays && self.beside.idle_parts().contains(&it.place);
        (is_idle, class, it.symptom == Symptom::HissesAfter)
    }

    fn fires_by_itself(&self) -> Option<Noticed> {
        if self.found.fills && !self.fires_as_it_fills() {
            return None;
        }
        if let Some(jumps) = self.jumps_as_it_fills() {
            return Some(jumps);
        }
        let is_filling = |event: &Event| {
            let there = event_there(self.engine, self.sound_engine, *event);
            self.found.fills && there.is_some_and(|it| self.beside.filling().happens(it))
        };
        let moves = |event: &Event| {
            matches!(event, Event::Leaves(..) | Event::BallLeaves | Event::Unlatches(_))
                && !is_filling(event)
        };
        let early = self.found.steps.iter().filter(|step| {
            self.found.states[step.from].handled == 0
                && step.events.iter().any(moves)
                && !step.events.iter().any(|event| matches!(event, Event::Pulled(_)))
        });
        // What goes first in a shot of the sound engine matters most.
        let line = self.sound.line_events();
        let place = |step: &&Step| {
            let there = |event: &Event| event_there(self.engine, self.sound_engine, *event);
            let there = step.events.iter().filter(|it| moves(it)).filter_map(there);
            let of = |event: &Event| event.subject().owner().unwrap_or(event.subject());
            let first = |own: Event| line.iter().position(|it| moves(it) && of(it) == of(&own));
            there.filter_map(first).min().unwrap_or(line.len())
        };
        let first = early.min_by_key(place)?;
        let leaves = |step: &Step| {
            self.found.states[step.to].handled == 0 && step.events.contains(&Event::BallLeaves)
        };
        let ball = self.engine.ball.as_ref().filter(|_| self.found.steps.iter().any(leaves));
        let ball = ball.filter(|_| !leaves(first));
        let so = ball.map(|ball| format!("; in the end the {} leaves", ball.name.spoken()));
        let so = so.unwrap_or_default();
        let when = if self.found.fills { "when the air is turned on" } else { BEFORE_TRIGGER };
        let goes_on = if self.goes_round_untouched() { ", and so on" } else { "" };
        let run = format!("{when}, {}{so}{goes_on}", first.why);
        let event = first.events.iter().find(|event| moves(event));
        let place = event.map(|event| self.subject(*event)).unwrap_or_default();
        let air = self.quiet_states(0).find_map(|state| self.air(state));
        Some(Noticed { symptom: Symptom::FiresByItself, place, always: true, run, air })
    }

    /// Whether turning the air on drives the ball out or goes on for ever.
    fn fires_as_it_fills(&self) -> bool {
        let leaves = |step: &Step| {
            self.found.states[step.to].handled == 0 && step.events.contains(&Event::BallLeaves)
        };
        self.found.steps.iter().any(leaves) || self.goes_round_untouched()
    }

    /// A part that stands where it rests while no air is in, and that the air drives away from
    /// there and keeps away: it has fired, with or without the ball.
    fn jumps_as_it_fills(&self) -> Option<Noticed> {
        let engine = self.engine;
        let name = |part: PartId| Element::Part(part).the(engine);
        let begins = self.found.states.first().filter(|_| !self.found.fills)?;
        let away = engine.parts.ids().filter(|at| begins.positions[*at] != engine.parts[*at].rest);
        let away: Vec<PartId> =
            away.filter(|at| !self.beside.idle_parts().contains(&name(*at))).collect();
        let own = (!away.is_empty()).then(|| filling(engine, MOST_STATES))?;
        let jumps = |event: &Event| match *event {
            Event::Leaves(part, at) => {
                let there = event_there(engine, self.sound_engine, *event);
                away.contains(&part)
                    && at == engine.parts[part].rest
                    && own.states[0].positions[part] == at
                    && there.is_some_and(|it| !self.beside.filling().happens(it))
            }
            _ => false,
        };
        let step = own.steps.iter().find(|step| step.events.iter().any(jumps))?;
        let event = *step.events.iter().find(|event| jumps(event))?;
        let place = self.subject(event);
        let run =
            format!("when the air is turned on, {}; it stays away from where it rests", step.why);
        let air = self.quiet_states(0).find_map(|state| self.air(state));
        Some(Noticed { symptom: Symptom::FiresByItself, place, always: true, run, air })
    }

    fn goes_round_untouched(&self) -> bool {
        self.found.endings.iter().any(|(at, ending)| {
            matches!(ending, Ending::Repeats(_)) && self.found.states[*at].handled == 0
        })
    }

    /// What the sound engine does only once the trigger is pulled, at an earlier act of the hand.
    fn fires_untriggered(&self) -> Option<Noticed> {
        let acts = self.sound_engine.hand_acts();
        let ball = self.sound_engine.ball.as_ref().map(|_| Event::BallLeaves);
        let fires = |event: &Event| match ball {
            Some(ball) => *event == ball,
            None => matches!(event, Event::Leaves(..)),
        };
        let events: BTreeSet<Event> = self.sound.line_events().into_iter().filter(fires).collect();
        let last = events.iter().filter_map(|it| Some((first_act(self.sound, *it)?, *it))).max()?.0;
        let is_pull = last.checked_sub(1).is_some_and(|act| acts[act].pulls);
        let fired = events.into_iter().filter(|it| first_act(self.sound, *it) == Some(last));
        let early = fired.filter_map(|event| {
            let event = event_there(self.sound_engine, self.engine, event)?;
            let act = first_act(self.found, event)?;
            (is_pull && 0 < act && act < last).then_some((act, event))
        });
        let (act, event) = early.min_by_key(|(act, _)| *act)?;
        let waits_for_trigger = |event: &Event| {
            let there = event_there(self.engine, self.sound_engine, *event);
            let is_move = matches!(event, Event::Leaves(..));
            is_move && there.is_some_and(|there| first_act(self.sound, there) == Some(last))
        };
        let at_act = || {
            let steps = self.found.steps.iter();
            steps.filter(|step| self.found.states[step.to].handled == act)
        };
        let moves = at_act().find(|step| step.events.iter().any(waits_for_trigger));
        let step = moves.or_else(|| at_act().find(|step| step.events.contains(&event)))?;
        let HandAct { trigger, pulls, .. } = *self.engine.hand_acts().get(act - 1)?;
        let done = if pulls { "pulled" } else { "released" };
        let place = format!("as soon as {} is {done}", Element::Trigger(trigger).the(self.engine));
        let trigger = Element::Trigger(acts[last - 1].trigger).the(self.sound_engine);
        let run = format!("{place}, before {trigger} is pulled, {}", step.why);
        let air = self.quiet_states(act).find_map(|state| self.air(state));
        Some(Noticed { symptom: Symptom::FiresUntriggered, place, always: true, run, air })
    }

    fn hisses_at_rest(&self) -> Option<Noticed> {
        let own = |narrowest: Width| -> Vec<(String, String)> {
            let states = self.quiet_states(0);
            states.filter_map(|state| self.escape(state, narrowest)).collect()
        };
        let newly = [Width::Narrow, Width::Bleed].into_iter().find_map(|narrowest| {
            let sound = exits(self.sound_engine, self.sound, 0, narrowest);
            let own = own(narrowest);
            let newly = own.iter().find(|(exit, _)| !sound.contains(exit)).cloned()?;
            Some((newly, own))
        });
        let ((exit, run), own) = newly?;
        let always = own.len() == self.quiet_states(0).count();
        let air = Some(run.clone());
        let run = format!("as soon as air is on, {run}");
        Some(Noticed { symptom: Symptom::HissesAtRest, place: out_of(&exit), always, run, air })
    }

    fn repeats(&self) -> Option<Noticed> {
        let mut endings = self.found.endings.iter();
        let head = endings.find_map(|(_, ending)| match ending {
            Ending::Repeats(head) => Some(*head),
            _ => None,
        })?;
        let others = |ending: &Ending| !matches!(ending, Ending::Repeats(_));
        let always = !self.found.endings.iter().any(|(_, ending)| others(ending));
        let rest = |part: PartId| self.engine.parts[part].rest;
        let is_store = |room: ChamberId| self.engine.chambers[room].role == Role::Store;
        let told = |event: &Event| match event {
            Event::Leaves(part, at) => *at == rest(*part),
            Event::Fills(room) | Event::Empties(room) | Event::Falls(room, _) => is_store(*room),
            _ => matches!(event, Event::BallLeaves | Event::BallFed | Event::Shifts(_)),
        };
        let steps = round(self.found, head);
        let first = |step: &&Step| step.events.first().copied();
        let mut events: Vec<Event> =
            steps.iter().flat_map(|step| step.events.iter().copied()).filter(told).collect();
        if events.is_empty() {
            events = steps.iter().filter_map(first).collect();
        }
        let words: Vec<String> =
            events.into_iter().map(|event| event_words(self.engine, event)).collect();
        let all_the_while = self.unlike_rest(&steps);
        let run = format!("it goes round through: {}{all_the_while}", words.join(", "));
        Some(Noticed { symptom: Symptom::Repeats, place: String::new(), always, run, air: None })
    }

    /// What is not as at rest all the while that runs go round: "; all the while the cap room is
    /// empty, not full".
    fn unlike_rest(&self, round: &[&Step]) -> String {
        let Some(rest) = self.sound.states.first() else { return String::new() };
        let states = || round.iter().map(|step| &self.found.states[step.to]);
        let rooms = self.engine.chambers.ids().filter_map(|room| {
            let there = chamber_there(self.engine, self.sound_engine, room)?;
            let (here, at_rest) = (states().next()?.levels[room], rest.levels[there]);
            let stays = states().all(|state| state.levels[room] == here);
            let is_other = here.word() != at_rest.word();
            let room = Element::Chamber(room).the(self.engine);
            (stays && is_other)
                .then(|| format!("{room} is {}, not {}", here.word(), at_rest.word()))
        });
        let rooms: Vec<String> = rooms.collect();
        match rooms.is_empty() {
            true => String::new(),
            false => format!("; all the while {}", listed(&rooms, "and")),
        }
    }

    fn ball_stays(&self) -> Option<Noticed> {
        let leaves = |found: &Exploration| {
            found.steps.iter().any(|step| step.events.contains(&Event::BallLeaves))
        };
        if !leaves(self.sound) {
            return None;
        }
        let ball = self.sound_engine.ball.as_ref()?.name.spoken();
        let stays = |always: bool, why: String| {
            let run = if always {
                format!("the {ball} leaves in no run: {why}")
            } else {
                format!("the {ball} leaves only in some orders of events")
            };
            let air = self.states_after_trigger().find_map(|state| self.air(state));
            Noticed { symptom: Symptom::BallStays, place: String::new(), always, run, air }
        };
        if self.engine.ball.is_none() {
            return Some(stays(true, format!("no {ball} is there")));
        }
        if !leaves(self.found) && self.found.is_open() {
            return None;
        }
        if !leaves(self.found) {
            let no_push = || why_never(self.engine, self.found, Event::BallLeaves);
            let why = self.departure(self.found).map_or_else(no_push, |it| it.of_the_ball());
            return Some(stays(true, why));
        }
        let may_stay =
            |found: &Exploration| precedence(found, Event::BallLeaves, Event::BallLeaves).neither;
        (may_stay(self.found) && !may_stay(self.sound)).then(|| stays(false, String::new()))
    }

    /// Where these runs leave the course of the sound engine.
    fn departure(&self, found: &Exploration) -> Option<Departure> {
        departure((self.engine, found), (self.sound_engine, self.sound))
    }

    fn hisses_after(&self, told: &[Noticed]) -> Option<Noticed> {
        if told.iter().any(|it| it.symptom == Symptom::HissesAtRest) {
            return None;
        }
        let exits = |engine: &Engine, found: &Exploration| -> Vec<(String, String)> {
            let ends = found.endings.iter().filter(|(_, it)| matches!(it, Ending::Vents(_)));
            let states = ends.map(|(at, _)| &found.states[*at]);
            let after = states.filter(|state| state.handled == engine.hand_acts().len());
            let out = after.filter_map(|it| Some((it, escape_by(engine, it, Width::Narrow)?)));
            out.map(|(state, path)| way_out(engine, state, path)).collect()
        };
        let of_sound = exits(self.sound_engine, self.sound);
        let own = exits(self.engine, self.found);
        let is_new = |(exit, _): &&(String, String)| of_sound.iter().all(|(it, _)| it != exit);
        let (exit, air) = own.iter().find(is_new)?;
        Some(Noticed {
            symptom: Symptom::HissesAfter,
            place: out_of(exit),
            always: own.len() == self.found.endings.len(),
            run: format!("when all is over, {air}"),
            air: Some(air.clone()),
        })
    }

    /// A second shot that leaves the ball where it is, after a first that ended otherwise than it
    /// began.
    fn fires_once(&self) -> Option<Noticed> {
        let ends = self.found.endings.iter();
        let ends: Vec<(&State, Option<&Vec<String>>)> = ends
            .map(|(at, ending)| match ending {
                Ending::Stuck(what) => (&self.found.states[*at], Some(what)),
                _ => (&self.found.states[*at], None),
            })
            .collect();
        let is_kept = |order: &&Order| !self.found.void_orders.contains(order);
        let orders = self.engine.orders.iter().filter(is_kept).cloned().collect();
        let engine = Engine { orders, ..self.engine.clone() };
        let fails = |(end, what): &(&State, Option<&Vec<String>>)| {
            let second = explore_from(&engine, &end.once_more(), Clocks::Wait, MOST_STATES);
            let fails = !second.is_open() && !second.happens(Event::BallLeaves);
            let no_push = || why_never(&engine, &second, Event::BallLeaves);
            let why = || self.departure(&second).map_or_else(no_push, |it| it.of_the_ball());
            what.filter(|_| fails).map(|what| (what.join(", "), why()))
        };
        let ball = engine.ball.as_ref().filter(|_| self.found.happens(Event::BallLeaves))?;
        let ball = ball.name.spoken();
        let failing: Vec<(String, String)> = ends.iter().filter_map(fails).collect();
        let (what, why) = failing.first()?;
        Some(Noticed {
            symptom: Symptom::FiresOnce,
            place: String::new(),
            always: failing.len() == ends.len(),
            run: format!("after the shot {what}; at the second the {ball} stays: {why}"),
            air: None,
        })
    }

    fn hisses_firing(&self, told: &[Noticed]) -> Option<Noticed> {
        if told.iter().any(|it| it.symptom == Symptom::HissesAtRest) {
            return None;
        }
        let acts = 1..=self.sound_engine.hand_acts().len();
        let of_sound = |narrowest: Width| -> BTreeSet<String> {
            let exits = |act: usize| exits(self.sound_engine, self.sound, act, narrowest);
            acts.clone().flat_map(exits).collect()
        };
        let is_told = |exit: &str| {
            let is_after = |it: &Noticed| it.symptom == Symptom::HissesAfter;
            told.iter().any(|it| is_after(it) && it.place == out_of(exit))
        };
        // What only trickles out of the sound engine may rush out of this one.
        let (narrowest, exit, run) =
            [Width::Narrow, Width::Wide].into_iter().find_map(|narrowest| {
                let sound = of_sound(narrowest);
                let states = self.states_after_trigger();
                let mut own = states.filter_map(|state| self.escape(state, narrowest));
                let (exit, run) = own.find(|(exit, _)| !sound.contains(exit) && !is_told(exit))?;
                Some((narrowest, exit, run))
            })?;
        let seeps = if of_sound(Width::Bleed).contains(&exit) { SEEPS_IN_SOUND } else { "" };
        let run_told = format!("once the trigger is pulled, {run}{seeps}");
        let hisses = |state: &State| {
            0 < state.handled && self.escape(state, narrowest).is_some_and(|(it, _)| it == exit)
        };
        Some(Noticed {
            symptom: Symptom::HissesFiring,
            place: out_of(&exit),
            always: is_passed_by_all(self.found, hisses),
            run: run_told,
            air: Some(run),
        })
    }

    /// A shot that comes to rest in the sound engine and here ends otherwise.
    fn not_ready(&self) -> Option<Noticed> {
        let stuck = |found: &Exploration| -> Vec<Vec<String>> {
            let endings = found.endings.iter().filter_map(|(_, ending)| match ending {
                Ending::Stuck(what) => Some(what.clone()),
                _ => None,
            });
            endings.collect()
        };
        let ends = stuck(self.found);
        let what = ends.first().filter(|_| stuck(self.sound).is_empty())?;
        Some(Noticed {
            symptom: Symptom::NotReady,
            place: String::new(),
            always: ends.len() == self.found.endings.len(),
            run: format!("after the shot {}", what.join(", ")),
            air: None,
        })
    }

    fn not_refilled(&self) -> Option<Noticed> {
        let stores = self.engine.chambers.entries();
        let mut stores = stores.filter(|(_, chamber)| chamber.role == Role::Store);
        let ends = |found: &Exploration, store: ChamberId| -> Vec<u8> {
            let quiet = found.endings.iter().filter(|(_, ending)| {
                matches!(ending, Ending::AtRest | Ending::Stuck(_) | Ending::Vents(_))
            });
            let levels = quiet.map(|(at, _)| found.states[*at].levels.get(store));
            levels.flatten().map(|level| level.rank()).collect()
        };
        stores.find_map(|(store, chamber)| {
            let there = chamber_there(self.engine, self.sound_engine, store)?;
            let there = ends(self.sound, there).into_iter().min()?;
            let here = ends(self.found, store);
            let low = here.iter().filter(|level| **level < there).count();
            let name = chamber.name.spoken();
            (0 < low).then(|| Noticed {
                symptom: Symptom::NotRefilled,
                place: format!("the {name}"),
                // A run that goes on for ever is never over.
                always: low == self.found.endings.len(),
                run: format!("the {name} is not full again when all is over"),
                air: None,
            })
        })
    }

    /// Quiet states after a trigger was handled so many times.
    fn quiet_states(&self, handled: usize) -> impl Iterator<Item = &State> {
        quiet(self.found, handled).into_iter().map(|at| &self.found.states[at])
    }

    fn states_after_trigger(&self) -> impl Iterator<Item = &State> {
        self.found.states.iter().filter(|state| 0 < state.handled)
    }

    /// Through what air gets out in a state, and its path in words.
    fn escape(&self, state: &State, narrowest: Width) -> Option<(String, String)> {
        Some(way_out(self.engine, state, escape_by(self.engine, state, narrowest)?))
    }

    pub(super) fn air(&self, state: &State) -> Option<String> {
        self.escape(state, Width::Narrow).map(|(_, path)| path)
    }

    fn subject(&self, event: Event) -> String {
        let subject = event.subject();
        subject.owner().unwrap_or(subject).the(self.engine)
    }
}

/// How often the hand has acted when an event first happens.
pub(super) fn first_act(found: &Exploration, event: Event) -> Option<usize> {
    let steps = found.steps.iter().filter(|step| step.events.contains(&event));
    steps.map(|step| found.states[step.to].handled).min()
}

/// Whether every run comes through a state of this sort.
fn is_passed_by_all(found: &Exploration, is_it: impl Fn(&State) -> bool) -> bool {
    let mut is_reached: Vec<bool> = vec![false; found.states.len()];
    let mut next = vec![0];
    while let Some(at) = next.pop() {
        if std::mem::replace(&mut is_reached[at], true) || is_it(&found.states[at]) {
            continue;
        }
        next.extend(found.steps.iter().filter(|step| step.from == at).map(|step| step.to));
    }
    found.endings.iter().all(|(at, _)| !is_reached[*at] || is_it(&found.states[*at]))
}

/// Through what air gets out of the sound engine in quiet states.
fn exits(
    engine: &Engine,
    found: &Exploration,
    handled: usize,
    narrowest: Width,
) -> BTreeSet<String> {
    let states = found.states.iter().filter(|state| state.handled == handled);
    let out = states.filter_map(|state| escape_by(engine, state, narrowest)?.1.last().copied());
    out.map(|passage| passage.the(engine)).collect()
}

/// States in which nothing moves by itself.
pub(super) fn quiet(found: &Exploration, handled: usize) -> Vec<usize> {
    let by_hand =
        |events: &[Event]| matches!(events.first(), Some(Event::Pulled(_) | Event::Released(_)));
    let before = found.steps.iter().filter(|step| by_hand(&step.events)).map(|step| step.from);
    let ends = found.endings.iter().map(|(at, _)| *at);
    // What goes round by itself is never quiet: what gets out on the way is heard as well.
    let is_round = |(at, ending): &(usize, Ending)| {
        matches!(ending, Ending::Repeats(_)) && found.states[*at].handled == handled
    };
    let goes_round = found.endings.iter().any(is_round);
    let round = (0..found.states.len()).filter(|_| goes_round);
    let all: BTreeSet<usize> = before.chain(ends).chain(round).collect();
    all.into_iter().filter(|at| found.states[*at].handled == handled).collect()
}

/// The last passage, and "air goes from the line through the fill to the store, and through the
/// neck to the open air".
fn way_out(
    engine: &Engine,
    state: &State,
    (supply, path): (ChamberId, Vec<Element>),
) -> (String, String) {
    let mut told: Vec<String> = Vec::new();
    let mut here = supply;
    for passage in &path {
        here = beyond(engine, state, *passage, here);
        let room = Element::Chamber(here).the(engine);
        told.push(format!("through {} to {room}", passage.the(engine)));
    }
    let exit = path.last().map(|passage| passage.the(engine)).unwrap_or_default();
    let from = Element::Chamber(supply).the(engine);
    (exit, format!("air goes from {from} {}", listed(&told, "and")))
}

/// The room at the other end of a passage.
fn beyond(engine: &Engine, state: &State, passage: Element, here: ChamberId) -> ChamberId {
    let joints = match passage {
        Element::Way(at) => vec![(engine.ways[at].from, engine.ways[at].to)],
        Element::Valve(at) if state.shifted[at] => engine.valves[at].shifted.clone(),
        Element::Valve(at) => engine.valves[at].rest.clone(),
        _ => Vec::new(),
    };
    let ends = joints.into_iter().flat_map(|(one, other)| [(one, other), (other, one)]);
    ends.clone().find(|(one, _)| *one == here).map_or(here, |(_, there)| there)
}

/// "out of the barrel", "past the drag seal".
fn out_of(exit: &str) -> String {
    match exit.strip_prefix("the leak past ") {
        Some(seal) => format!("past {seal}"),
        None => format!("out of {exit}"),
    }
}
