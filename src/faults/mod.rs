//! An engine with something wrong: what one would notice first, where the air goes, and, the other
//! way round, what to look at when one notices something.
//!
//! Variants come from the writer; the single faults of every seal, check valve, membrane, spring
//! and narrow way are made here. Both are explored like the engine itself and set beside it.

mod changes;
mod counterpart;
mod departure;
mod doubt;
mod noticed;
mod single;
mod staying;
mod stray;
mod strength;
mod symptom;
mod table;

pub use noticed::noticed;
pub use single::{SingleFault, single_faults};
pub use stray::{otherwise, unsaid_of_less};
pub use symptom::{Noticed, Surely, Symptom};
pub use table::{Culprit, SymptomEntry, SymptomTable, symptoms};

use self::changes::changes;
use self::doubt::Doubt;
use crate::cutaway::Engine;
use crate::cutaway::model::{Element, Order};
use crate::logic::supposing_alike;
use crate::logic::{Clocks, Exploration, State, explore_from, explore_within, filling, idle};
use std::cell::OnceCell;

/// An engine and what can happen in one shot of it.
type Ran<'a> = (&'a Engine, &'a Exploration);

/// The sound engine that one with something wrong is set beside.
#[derive(Debug)]
pub struct SoundEngine<'a> {
    engine: &'a Engine,
    found: &'a Exploration,
    /// What happens when its air is turned on, once somebody has asked.
    filling: OnceCell<Exploration>,
    /// Its parts that nothing waits for, as they are told, once somebody has asked.
    idle_parts: OnceCell<Vec<String>>,
}

impl<'a> SoundEngine<'a> {
    /// A sound engine and all that can happen in one shot of it.
    #[must_use]
    pub fn new(engine: &'a Engine, found: &'a Exploration) -> SoundEngine<'a> {
        SoundEngine { engine, found, filling: OnceCell::new(), idle_parts: OnceCell::new() }
    }

    fn ran(&self) -> Ran<'a> {
        (self.engine, self.found)
    }

    fn filling(&self) -> &Exploration {
        self.filling.get_or_init(|| filling(self.engine, MOST_STATES))
    }

    /// Parts that nothing waits for: of them hardly anybody asks.
    fn idle_parts(&self) -> &[String] {
        let is_part = |thing: &Element| matches!(thing, Element::Part(_));
        let idle = || idle(self.engine).into_iter().filter(is_part);
        self.idle_parts.get_or_init(|| idle().map(|part| part.the(self.engine)).collect())
    }

    /// Whether turning the air on brings it to the rest state that it declares.
    fn fills_to_rest(&self) -> bool {
        let end = self.filling().one_quiet_end(self.engine);
        end.zip(self.found.states.first())
            .is_some_and(|(end, rest)| end.looks_like(self.engine, rest))
    }
}

/// States after which the search for what a fault does is given up: some ten times what the engines
/// here need, so that twenty faults cost no more than one engine may.
const MOST_STATES: usize = 2_000;

/// What can happen in one shot of an engine with something wrong, from what it comes to rest at
/// when its air is turned on; where it does not come to rest, from that moment on. An order of
/// events that was seen on the sound one says nothing where what brings one of the two about is not
/// as it was there, or where one of them does not happen any more; what a variant states itself is
/// kept.
#[must_use]
pub fn explored(engine: &Engine, sound: &SoundEngine<'_>) -> Exploration {
    let changes = changes(engine, sound.engine);
    let beginning = beginning(engine, sound);
    let explore = |engine: &Engine| explored_from(engine, beginning.as_ref());
    // Where no fact decides, but one would notice the same whatever it was, that is what one would.
    let shows = |run: &Exploration| -> Vec<(Symptom, String, bool)> {
        let told = noticed((engine, run), sound).into_iter();
        told.map(|it| (it.symptom, it.place, it.always)).collect()
    };
    let explore = |engine: &Engine| supposing_alike(engine, &explore, &shows);
    let found = explore(engine);
    let doubt = Doubt { ran: (engine, &found), sound: sound.ran(), changes: &changes };
    let (doubted, mut orders): (Vec<Order>, Vec<Order>) =
        engine.orders.iter().cloned().partition(|order| doubt.is_cast_on(order));
    if doubted.is_empty() {
        return found;
    }
    orders.extend(doubted.iter().filter_map(|order| doubt.left_of(order)));
    let freed = Engine { orders, ..engine.clone() };
    let mut freed = explore(&freed);
    freed.void_orders.extend(doubted);
    freed
}

/// The same with all orders that were seen on the sound engine; `None` where they are kept anyway.
#[must_use]
pub fn explored_as_ordered(engine: &Engine, found: &Exploration) -> Option<Exploration> {
    let is_kept = found.void_orders.is_empty();
    let again = || Exploration {
        fills: found.fills,
        ..explore_from(engine, &found.states[0], Clocks::Wait, MOST_STATES)
    };
    (!is_kept).then(again)
}

/// The state from which a shot is followed, and whether the air is only turned on then.
type Beginning = (State, bool);

/// Where a shot begins; `None` for the declared rest state, where turning the air on does not bring
/// the sound engine to its own.
fn beginning(engine: &Engine, sound: &SoundEngine<'_>) -> Option<Beginning> {
    if !sound.fills_to_rest() {
        return None;
    }
    let own = filling(engine, MOST_STATES);
    let end = own.one_quiet_end(engine).map(|end| (end.clone(), false));
    (!own.is_cut_short).then(|| end.unwrap_or((own.states[0].clone(), true)))
}

fn explored_from(engine: &Engine, beginning: Option<&Beginning>) -> Exploration {
    match beginning {
        Some((from, fills)) => {
            Exploration { fills: *fills, ..explore_from(engine, from, Clocks::Wait, MOST_STATES) }
        }
        None => explore_within(engine, Clocks::Wait, MOST_STATES),
    }
}

/// What is otherwise than in the sound engine, as sentences without full stop.
#[must_use]
pub fn what_is_wrong(engine: &Engine, sound: &Engine) -> Vec<String> {
    changes(engine, sound).into_iter().map(|change| change.what).collect()
}
