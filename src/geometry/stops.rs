//! How far a body can move before its faces meet those of another.

use super::cell::CutAssembly;
use super::scalar::Scalar;
use super::solid::{Frustum, TOUCH, Toward};

/// Where a body comes to a stop.
#[derive(Debug, Clone, PartialEq)]
pub struct TravelStop<T> {
    /// How far it moves until then, m.
    pub way: T,
    /// The body that stops it.
    pub against: usize,
    /// The radius at which they meet, m.
    pub radius: f64,
}

/// How far one piece moves until it meets another, where both count their places alike; below
/// nought where it is beyond that already, `None` where they pass each other.
#[must_use]
pub fn way_to_contact<T: Scalar>(
    one: &Frustum<T>,
    other: &Frustum<T>,
    toward: Toward,
) -> Option<T> {
    gap(one, other, toward).map(|(way, _)| way)
}

impl<T: Scalar> CutAssembly<T> {
    /// What stops a body that moves this way from some positions; `None` where nothing does.
    #[must_use]
    pub fn stop(&self, body: usize, toward: Toward, positions: &[T]) -> Option<TravelStop<T>> {
        let mut nearest: Option<TravelStop<T>> = None;
        let bodies = &self.assembly.bodies;
        let others = bodies.iter().enumerate().filter(|(other, _)| *other != body);
        for (against, other) in others {
            let apart = positions[against].clone() - positions[body].clone();
            for one in &bodies[body].pieces {
                for piece in &other.pieces {
                    let Some((way, radius)) = gap(one, piece, toward) else { continue };
                    let way = match toward {
                        Toward::Front => way + apart.clone(),
                        Toward::Rear => way - apart.clone(),
                    };
                    let is_nearer =
                        nearest.as_ref().is_none_or(|known| way.value() < known.way.value());
                    if -TOUCH <= way.value() && is_nearer {
                        nearest = Some(TravelStop { way, against, radius });
                    }
                }
            }
        }
        nearest
    }
}

/// How far one piece can move toward the other where both count their places alike, and the radius
/// at which they meet. `None` where they pass each other.
fn gap<T: Scalar>(one: &Frustum<T>, other: &Frustum<T>, toward: Toward) -> Option<(T, f64)> {
    let corners = |piece: &Frustum<T>| {
        let inner = piece.inner.iter().flat_map(|(a, b)| [a.clone(), b.clone()]);
        inner.chain([piece.outer.0.clone(), piece.outer.1.clone()]).collect::<Vec<T>>()
    };
    let bounds = |piece: &Frustum<T>| {
        let none = || T::constant(0.0);
        let lows = piece.inner.clone().unwrap_or_else(|| (none(), none()));
        let low = if lows.1.value() < lows.0.value() { lows.1 } else { lows.0 };
        let highs = piece.outer.clone();
        let high = if highs.0.value() < highs.1.value() { highs.1 } else { highs.0 };
        (low, high)
    };
    let ((low_a, high_a), (low_b, high_b)) = (bounds(one), bounds(other));
    let low = if low_a.value() < low_b.value() { low_b } else { low_a };
    let high = if high_b.value() < high_a.value() { high_b } else { high_a };
    if high.value() - low.value() <= TOUCH {
        return None;
    }
    let within = |radius: &T| low.value() <= radius.value() && radius.value() <= high.value();
    let inner = corners(one).into_iter().chain(corners(other)).filter(within);
    let mut radii: Vec<T> = inner.chain([low.clone(), high.clone()]).collect();
    radii.sort_by(|a, b| a.value().total_cmp(&b.value()));
    let gaps = radii.into_iter().filter_map(|radius| {
        let (from, to) = match toward {
            Toward::Front => {
                (face(one, &radius, Toward::Front)?, face(other, &radius, Toward::Rear)?)
            }
            Toward::Rear => {
                (face(other, &radius, Toward::Front)?, face(one, &radius, Toward::Rear)?)
            }
        };
        let at = radius.value();
        Some((to - from, at))
    });
    gaps.min_by(|a, b| a.0.value().total_cmp(&b.0.value()))
}

/// Where a piece ends, on one of its sides, at a distance from the axis.
fn face<T: Scalar>(piece: &Frustum<T>, radius: &T, side: Toward) -> Option<T> {
    let (start, end) = match side {
        Toward::Front => (&piece.to, &piece.from),
        Toward::Rear => (&piece.from, &piece.to),
    };
    let of_side = |radii: &(T, T)| match side {
        Toward::Front => (radii.1.clone(), radii.0.clone()),
        Toward::Rear => radii.clone(),
    };
    let outer = of_side(&piece.outer);
    let inner = piece.inner.as_ref().map(of_side);
    let r = radius.value();
    let is_above = r <= outer.0.value();
    let is_below = inner.as_ref().is_none_or(|inner| inner.0.value() <= r);
    if is_above && is_below {
        return Some(start.clone());
    }
    // On the slope: where the line from the near end to the far one has this radius.
    let (near, far) = if is_above { inner? } else { outer };
    if (far.value() - near.value()).abs() <= TOUCH {
        return None;
    }
    let share = (radius.clone() - near.clone()) / (far - near);
    let is_there = -1e-9 <= share.value() && share.value() <= 1.0 + 1e-9;
    is_there.then(|| start.clone() + share * (end.clone() - start.clone()))
}
