//! Bodies of revolution on one axis and the void between them: volumes, pressure areas and openings
//! of rooms, in every position of what moves.
//!
//! An [`Assembly`] is given in metres, with places along each body's own axis. [`CutAssembly`]
//! finds the [`PoseCell`] of a pose: all positions with one order of edges, for which volumes and
//! areas are polynomials that are cheap to evaluate. Everything can be worked out in plain numbers
//! or in [`Dual`]s, which carry the derivatives by the dimensions.
//!
//! The rules of measure: a room ends at the middle of a ring in its bore, and at the edge of the
//! bore once the ring has left it. At a seat the room of the bore reaches to the face on it, within
//! the bore's radius, as long as that face covers it. A pressure area reaches to the surface that
//! the ring seals against. A ring's groove counts as full, a hole across has no volume and
//! opens into each room by the segment of its circle that lies beside it. What is in
//! front of all and behind all, and around the outermost surface, is the open air.
//!
//! This layer knows numbers only: no text, no units, no names.

mod cell;
mod holes;
mod passage;
mod polynomial;
mod rooms;
mod scalar;
mod slabs;
mod solid;
mod stops;

pub use cell::{
    CutAssembly, MeetingFaces, PortOpening, PoseCell, PoseFigures, PoseFinding, RoomOpening,
};
pub use scalar::{Dual, Scalar};
pub use slabs::Collision;
pub use solid::{
    Assembly, CrossHole, FIXED, Frustum, Gate, RingSide, RoomSpot, SealRing, Solid, TOUCH, Toward,
};
pub use stops::{TravelStop, way_to_contact};
