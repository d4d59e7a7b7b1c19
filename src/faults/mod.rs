//! An engine with something wrong: what one would notice first, where the air goes, and, the other
//! way round, what to look at when one notices something.
//!
//! Variants come from the writer; the single faults of every seal, check valve, membrane, spring
//! and narrow way are made here. Both are explored like the engine itself and set beside it.

mod changes;
mod counterpart;
mod noticed;
mod single;
mod stray;
mod strength;
mod table;

pub use noticed::{Noticed, Surely, Symptom, noticed};
pub use single::{SingleFault, single_faults};
pub use stray::{another_time, unsaid_of_less};
pub use table::{Culprit, SymptomEntry, SymptomTable, symptoms};

use self::changes::{changes, in_doubt, is_inherited};
use crate::cutaway::Engine;
use crate::cutaway::model::Order;
use crate::logic::{Clocks, Exploration, explore_within};

/// States after which the search for what a fault does is given up: some ten times what the engines
/// here need, so that twenty faults cost no more than one engine may.
const MOST_STATES: usize = 2_000;

/// What can happen in one shot of an engine with something wrong. An order of events that was seen
/// on the sound one says nothing where what brings one of the two about is not as it was there, or
/// where one of them does not happen any more; what a variant states itself is kept.
#[must_use]
pub fn explored(engine: &Engine, (sound, of_sound): (&Engine, &Exploration)) -> Exploration {
    let changes = changes(engine, sound);
    let found = explore_within(engine, Clocks::Wait, MOST_STATES);
    let happens = |event| found.steps.iter().any(|step| step.events.contains(&event));
    let is_doubted = |order: &Order| {
        is_inherited(sound, order)
            && (!(happens(order.first) && happens(order.then))
                || in_doubt((engine, &found), (sound, of_sound), order, &changes))
    };
    let (doubted, orders): (Vec<Order>, Vec<Order>) =
        engine.orders.iter().cloned().partition(is_doubted);
    if doubted.is_empty() {
        return found;
    }
    let freed = Engine { orders, ..engine.clone() };
    let mut freed = explore_within(&freed, Clocks::Wait, MOST_STATES);
    freed.void_orders.extend(doubted);
    freed
}

/// The same with all orders that were seen on the sound engine; `None` where they are kept anyway.
#[must_use]
pub fn explored_as_ordered(engine: &Engine, found: &Exploration) -> Option<Exploration> {
    let is_kept = found.void_orders.is_empty();
    (!is_kept).then(|| explore_within(engine, Clocks::Wait, MOST_STATES))
}

/// What is otherwise than in the sound engine, as sentences without full stop.
#[must_use]
pub fn what_is_wrong(engine: &Engine, sound: &Engine) -> Vec<String> {
    changes(engine, sound).into_iter().map(|change| change.what).collect()
}
