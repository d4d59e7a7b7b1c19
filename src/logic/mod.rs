//! The event logic: from the rest state and a pulled trigger, what can happen next, and why.
//!
//! Pressures are known only as levels, areas only as ordinal facts. Where these decide, the logic
//! goes on; where they do not, it stops and names what would decide.
//!
//! What happens falls into classes of time, each taken to be faster than the next: valves answer;
//! light parts move; air settles through wide ways; other parts and the ball move freely; narrow
//! ways, slow parts, a ball that drops in, and clocks; bleeds; and last the hand. Between classes
//! the order is taken for granted, and told so; within one every order is followed. A store runs
//! empty at any moment from its opening on, beside motion and all that is slower. An `order` of the
//! writer rules out runs; where it speaks against the classes it is right and they are wrong.
//! Friction never holds a part, and of two pressures that oppose each other the winner is judged
//! when both have come to rest.
//! It knows models, not texts.

mod air;
mod air_paths;
mod at_once;
mod because;
mod divergence;
mod explore;
mod filling;
mod follow;
mod forces;
mod next;
mod partial_order;
mod rest_position;
mod runs;
pub(crate) mod state;
mod suppose;
mod telling;
mod through;
mod unasked;
mod unreachable;
mod why;

pub(crate) use at_once::rank;
pub(crate) use divergence::{instead_of, round, turning_point};
pub use explore::{Clocks, explore, explore_with, explore_within};
pub(crate) use explore::{explore_again, explore_from};
pub(crate) use filling::filling;
pub use follow::{EventStanding, Followed, Precedence, follow, left_out, precedence};
pub(crate) use partial_order::{OrderPiece, hangs_on, pieces};
pub(crate) use rest_position::{kept, out_of_place};
pub(crate) use runs::{AllRuns, Happening};
pub use state::{Ending, Exploration, Level, Need, State, Step};
pub(crate) use suppose::supposing_alike;
pub(crate) use telling::{Telling, telling};
pub(crate) use through::{escape_by, feed, leak};
pub(crate) use unasked::{
    ball_stays, blows_through, idle, keeps_pressure, starts_by_itself, stays, traps_air,
};
pub(crate) use unreachable::why_never;
