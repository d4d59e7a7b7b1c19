//! Small assemblies: pieces, fixed bodies by their bores, parts by their steps.

use gaugebook::geometry::{Assembly, Frustum, RingSide, RoomSpot, Scalar, SealRing, Solid, Toward};
use std::f64::consts::PI;

/// Millimetres in metres.
pub(crate) fn mm(value: f64) -> f64 {
    value * 1e-3
}

/// A number of the arithmetic at hand.
pub(crate) fn num<T: Scalar>(value: f64) -> T {
    T::constant(value)
}

/// A full piece, from the rear to the front, with its radius at either end, mm.
pub(crate) fn rod<T: Scalar>(from: f64, to: f64, radii: (f64, f64)) -> Frustum<T> {
    let at = |value: f64| num(mm(value));
    Frustum { from: at(from), to: at(to), inner: None, outer: (at(radii.0), at(radii.1)) }
}

/// A piece with a bore, mm.
pub(crate) fn tube<T: Scalar>(from: f64, to: f64, bore: (f64, f64), outer: f64) -> Frustum<T> {
    let at = |value: f64| num(mm(value));
    let inner = Some((at(bore.0), at(bore.1)));
    Frustum { from: at(from), to: at(to), inner, outer: (at(outer), at(outer)) }
}

/// A body, with its travel in mm.
pub(crate) fn body<T: Scalar>(pieces: Vec<Frustum<T>>, travel: (f64, f64)) -> Solid<T> {
    Solid { pieces, travel: (num(mm(travel.0)), num(mm(travel.1))) }
}

/// A ring on the outside of a body, mm.
pub(crate) fn ring<T: Scalar>(body: usize, at: f64, free: f64) -> SealRing<T> {
    let half_section = num(mm(0.89));
    let (at, free) = (num(mm(at)), num(mm(free)));
    SealRing { body, at, side: RingSide::Outside, free, half_section }
}

/// The room at a place of a body, mm.
pub(crate) fn room<T: Scalar>(body: usize, at: f64, toward: Toward, radius: f64) -> RoomSpot<T> {
    RoomSpot { body, at: num(mm(at)), toward, radius: num(mm(radius)) }
}

/// An assembly without gates and holes.
pub(crate) fn assembly<T: Scalar>(
    bodies: Vec<Solid<T>>,
    rings: Vec<SealRing<T>>,
    rooms: Vec<RoomSpot<T>>,
) -> Assembly<T> {
    Assembly { bodies, rings, gates: Vec::new(), holes: Vec::new(), ports: Vec::new(), rooms }
}

/// Volume of a frustum of a cone (Euclid XII; any handbook): π h (R² + R r + r²) / 3, mm and mm³.
pub(crate) fn frustum(height: f64, radii: (f64, f64)) -> f64 {
    let (a, b) = radii;
    PI * height * (a * a + a * b + b * b) / 3.0
}

/// Volume of a cylinder, mm and mm³.
pub(crate) fn cylinder(height: f64, radius: f64) -> f64 {
    PI * radius * radius * height
}

/// That two numbers agree to a share of the larger, or to `floor`.
#[track_caller]
pub(crate) fn assert_near(found: f64, wanted: f64, share: f64, floor: f64) {
    let allowed = (share * found.abs().max(wanted.abs())).max(floor);
    assert!((found - wanted).abs() <= allowed, "{found} is not {wanted} (within {allowed})");
}
