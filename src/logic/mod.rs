//! The event logic: from the rest state and a pulled trigger, what can happen next, and why.
//!
//! Pressures are known only as levels, areas only as ordinal facts. Where these decide, the logic
//! goes on; where they do not, it stops and names what would decide.
//!
//! What it takes for granted, and says so: air through a wide way settles before a part makes its
//! next step; narrow ways, clocks, and stores that run empty wait until the parts have come to
//! rest, unless an `order` says more; friction never holds a part. Which of several parts moves
//! first is not taken for granted: every order is followed. It knows models, not texts.

mod air;
mod divergence;
mod explore;
mod follow;
mod forces;
mod next;
mod rest_position;
pub(crate) mod state;
mod unasked;
mod unreachable;
mod why;

pub(crate) use air::escape;
pub(crate) use divergence::{instead_of, round, turning_point};
pub use explore::{Clocks, explore, explore_with, explore_within};
pub use follow::{EventStanding, Followed, Precedence, follow, left_out, precedence};
pub(crate) use rest_position::{kept, out_of_place};
pub use state::{Ending, Exploration, Level, Need, State, Step};
pub(crate) use unasked::{ball_stays, blows_through, idle_triggers};
pub(crate) use unreachable::why_never;
