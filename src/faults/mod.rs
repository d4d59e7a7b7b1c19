//! An engine with something wrong: what one would notice first, where the air goes, and, the other
//! way round, what to look at when one notices something.
//!
//! Variants come from the writer; the single faults of every seal, check valve, membrane, spring
//! and narrow way are made here. Both are explored like the engine itself and set beside it.

mod counterpart;
mod noticed;
mod single;
mod table;

pub use noticed::{Noticed, Symptom, noticed};
pub use single::{SingleFault, single_faults};
pub use table::{Culprit, SymptomEntry, SymptomTable, symptoms};

use crate::cutaway::Engine;
use crate::cutaway::model::Order;
use crate::logic::{Clocks, Exploration, explore_within};

/// States after which the search for what a fault does is given up: some ten times what the engines
/// here need, so that twenty faults cost no more than one engine may.
const MOST_STATES: usize = 2_000;

/// What can happen in one shot of an engine with something wrong. An order of events that was seen
/// on a sound one says nothing where one of the two does not happen any more; what a variant states
/// itself is kept.
#[must_use]
pub fn explored(engine: &Engine) -> Exploration {
    let found = explore_within(engine, Clocks::Wait, MOST_STATES);
    let happens = |event| found.steps.iter().any(|step| step.events.contains(&event));
    let is_own =
        |order: &Order| engine.variant.is_some() && engine.name.span.start < order.span.start;
    let holds = |order: &&Order| is_own(order) || happens(order.first) && happens(order.then);
    let kept = engine.orders.iter().filter(holds);
    let orders: Vec<_> = kept.cloned().collect();
    if orders.len() == engine.orders.len() {
        return found;
    }
    let engine = Engine { orders, ..engine.clone() };
    explore_within(&engine, Clocks::Wait, MOST_STATES)
}
