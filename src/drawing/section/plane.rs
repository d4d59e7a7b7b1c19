//! Plane figures cut into trapezoids between upright lines: what is solid in a section, and what
//! lies free between.
//!
//! Lengths are those of the picture, y down. Must not know engines.

use crate::drawing::shape::{Point, at};
use std::collections::BTreeMap;

/// What is closer than this is one place.
pub(super) const NEAR: f64 = 1e-4;

/// A piece of a figure between two upright lines, with straight edges above and below.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Trapezoid {
    pub(super) left: f64,
    pub(super) right: f64,
    /// Height of the upper edge at the left and at the right.
    pub(super) top: (f64, f64),
    /// The same of the lower edge.
    pub(super) bottom: (f64, f64),
}

impl Trapezoid {
    pub(super) fn upright(along: (f64, f64), across: (f64, f64)) -> Trapezoid {
        let (top, bottom) = (across.0.min(across.1), across.0.max(across.1));
        Trapezoid { left: along.0, right: along.1, top: (top, top), bottom: (bottom, bottom) }
    }

    /// Heights of both edges at a place.
    pub(super) fn edges_at(&self, x: f64) -> (f64, f64) {
        let share = (x - self.left) / (self.right - self.left).max(NEAR);
        let share = share.clamp(0.0, 1.0);
        let on = |edge: (f64, f64)| edge.0 + share * (edge.1 - edge.0);
        (on(self.top), on(self.bottom))
    }

    fn between(&self, left: f64, right: f64) -> Trapezoid {
        let (a, b) = (self.edges_at(left), self.edges_at(right));
        Trapezoid { left, right, top: (a.0, b.0), bottom: (a.1, b.1) }
    }

    /// Its smallest height.
    pub(super) fn height(&self) -> f64 {
        (self.bottom.0 - self.top.0).min(self.bottom.1 - self.top.1)
    }

    pub(super) fn mirrored(&self) -> Trapezoid {
        let turn = |edge: (f64, f64)| (-edge.0, -edge.1);
        Trapezoid { top: turn(self.bottom), bottom: turn(self.top), ..*self }
    }

    pub(super) fn moved(&self, x: f64) -> Trapezoid {
        Trapezoid { left: self.left + x, right: self.right + x, ..*self }
    }

    fn middle(&self) -> f64 {
        (self.top.0 + self.top.1 + self.bottom.0 + self.bottom.1) / 4.0
    }
}

/// A figure between two upright lines, from above to below.
#[derive(Debug, Clone)]
pub(super) struct Strip {
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) pieces: Vec<Trapezoid>,
}

/// Cuts a figure at all its ends and at the places given. Pieces that touch are one.
pub(super) fn strips(figure: &[Trapezoid], places: &[f64]) -> Vec<Strip> {
    let ends = figure.iter().flat_map(|piece| [piece.left, piece.right]);
    let mut cuts: Vec<f64> = ends.chain(places.iter().copied()).collect();
    cuts.sort_by(f64::total_cmp);
    cuts.dedup_by(|b, a| *b - *a <= NEAR);
    let strips = cuts.windows(2).map(|pair| {
        let (left, right) = (pair[0], pair[1]);
        let middle = f64::midpoint(left, right);
        let here = figure.iter().filter(|piece| piece.left < middle && middle < piece.right);
        let mut pieces: Vec<Trapezoid> = here.map(|piece| piece.between(left, right)).collect();
        pieces.sort_by(|a, b| a.middle().total_cmp(&b.middle()));
        pieces.dedup_by(|next, piece| {
            let touch = next.top.0 <= piece.bottom.0 + NEAR && next.top.1 <= piece.bottom.1 + NEAR;
            if touch {
                piece.bottom =
                    (piece.bottom.0.max(next.bottom.0), piece.bottom.1.max(next.bottom.1));
                piece.top = (piece.top.0.min(next.top.0), piece.top.1.min(next.top.1));
            }
            touch
        });
        Strip { left, right, pieces }
    });
    strips.collect()
}

/// What lies free between the pieces of a strip, down to `edge` below and above the axis.
pub(super) fn gaps(strip: &Strip, edge: f64) -> Vec<Trapezoid> {
    let mut gaps = Vec::new();
    let mut top = (-edge, -edge);
    let ends = std::iter::once((edge, edge));
    let pieces = strip.pieces.iter().map(|piece| (piece.top, piece.bottom));
    for (bottom, next) in pieces.chain(ends.map(|end| (end, end))) {
        if NEAR < (bottom.0 - top.0).max(bottom.1 - top.1) {
            // Where solids overlap nothing is free.
            let bottom = (bottom.0.max(top.0), bottom.1.max(top.1));
            gaps.push(Trapezoid { left: strip.left, right: strip.right, top, bottom });
        }
        top = next;
    }
    gaps
}

/// What is left of a figure where an upright rectangle is taken away.
pub(super) fn without(figure: &[Trapezoid], hole: &Trapezoid) -> Vec<Trapezoid> {
    let mut left = Vec::new();
    for piece in figure {
        if piece.right <= hole.left + NEAR || hole.right <= piece.left + NEAR {
            left.push(*piece);
            continue;
        }
        let (from, to) = (piece.left.max(hole.left), piece.right.min(hole.right));
        if piece.left + NEAR < from {
            left.push(piece.between(piece.left, from));
        }
        if to + NEAR < piece.right {
            left.push(piece.between(to, piece.right));
        }
        let own = piece.between(from, to);
        let above = |edge: (f64, f64)| (edge.0.min(hole.top.0), edge.1.min(hole.top.1));
        let below = |edge: (f64, f64)| (edge.0.max(hole.bottom.0), edge.1.max(hole.bottom.1));
        let rest = [
            Trapezoid { bottom: above(own.bottom), ..own },
            Trapezoid { top: below(own.top), ..own },
        ];
        left.extend(rest.into_iter().filter(|rest| NEAR < rest.height()));
    }
    left
}

type GridPlace = (i64, i64);

/// The outlines of a figure, each closed: what an even number of them goes around is outside.
pub(super) fn outlines(figure: &[Trapezoid]) -> Vec<Vec<Point>> {
    let strips = strips(figure, &[]);
    let mut edges: BTreeMap<GridPlace, Vec<GridPlace>> = BTreeMap::new();
    let place = |x: f64, y: f64| ((x * 1e3).round() as i64, (y * 1e3).round() as i64);
    let mut add = |from: GridPlace, to: GridPlace| {
        if from != to {
            edges.entry(from).or_default().push(to);
        }
    };
    for strip in &strips {
        for piece in &strip.pieces {
            add(place(piece.left, piece.top.0), place(piece.right, piece.top.1));
            add(place(piece.right, piece.bottom.1), place(piece.left, piece.bottom.0));
        }
    }
    let none = Strip { left: 0.0, right: 0.0, pieces: Vec::new() };
    let before = std::iter::once(&none).chain(&strips);
    let after = strips.iter().chain(std::iter::once(&none));
    for (before, after) in before.zip(after) {
        let x = if after.pieces.is_empty() { before.right } else { after.left };
        let behind: Vec<_> = before.pieces.iter().map(|it| (it.top.1, it.bottom.1)).collect();
        let ahead: Vec<_> = after.pieces.iter().map(|it| (it.top.0, it.bottom.0)).collect();
        let mut heights: Vec<f64> =
            behind.iter().chain(&ahead).flat_map(|(top, bottom)| [*top, *bottom]).collect();
        heights.sort_by(f64::total_cmp);
        for pair in heights.windows(2) {
            let middle = f64::midpoint(pair[0], pair[1]);
            let is_in = |all: &[(f64, f64)]| all.iter().any(|it| it.0 < middle && middle < it.1);
            match (is_in(&behind), is_in(&ahead)) {
                (true, false) => add(place(x, pair[0]), place(x, pair[1])),
                (false, true) => add(place(x, pair[1]), place(x, pair[0])),
                _ => {}
            }
        }
    }
    chained(edges)
}

/// Edges that follow each other as closed outlines, corners on straight lines left out.
fn chained(mut edges: BTreeMap<GridPlace, Vec<GridPlace>>) -> Vec<Vec<Point>> {
    let mut outlines = Vec::new();
    while let Some(start) = edges.keys().next().copied() {
        let mut corners = vec![start];
        let mut last = start;
        while let Some(nexts) = edges.get_mut(&last) {
            let next = nexts.pop();
            if nexts.is_empty() {
                edges.remove(&last);
            }
            let Some(next) = next.filter(|next| *next != start) else { break };
            corners.push(next);
            last = next;
        }
        let count = corners.len();
        let is_corner = |at: usize| {
            let [a, b, c] = [at + count - 1, at, at + 1].map(|at| corners[at % count]);
            (b.0 - a.0) * (c.1 - b.1) != (b.1 - a.1) * (c.0 - b.0)
        };
        let kept = (0..count).filter(|at| is_corner(*at));
        let kept = kept.map(|at| corners[at]);
        outlines.push(kept.map(|(x, y)| at(x as f64 / 1e3, y as f64 / 1e3)).collect());
    }
    outlines
}

/// A round section pressed to a height, as wide as leaves its area what it was: flat where it is
/// pressed, round at its ends.
pub(super) fn pressed_round(middle: (f64, f64), section: f64, height: f64) -> Vec<Trapezoid> {
    let height = height.clamp(0.2 * section, section);
    let half = height / 2.0;
    let flat = std::f64::consts::PI * (section * section - height * height) / (4.0 * height);
    // A quarter of a circle in three pieces.
    let quarter = [(0.0, 0.0), (0.134, 0.5), (0.5, 0.866), (1.0, 1.0)];
    let start = middle.0 - flat / 2.0 - half;
    let end = middle.0 + flat / 2.0 + half;
    let rear = quarter.iter().map(|(x, y)| (start + x * half, y * half));
    let front = quarter.iter().rev().map(|(x, y)| (end - x * half, y * half));
    let profile: Vec<(f64, f64)> = rear.chain(front).collect();
    let pairs = profile.windows(2).filter(|pair| NEAR < pair[1].0 - pair[0].0);
    let pieces = pairs.map(|pair| Trapezoid {
        left: pair[0].0,
        right: pair[1].0,
        top: (middle.1 - pair[0].1, middle.1 - pair[1].1),
        bottom: (middle.1 + pair[0].1, middle.1 + pair[1].1),
    });
    pieces.collect()
}

/// A narrow line with zigzags between two places: something goes on beyond it.
pub(super) fn zigzag(a: Point, b: Point) -> Vec<(f64, f64)> {
    const EVERY: f64 = 110.0;
    let (x, y) = (b.x - a.x, b.y - a.y);
    let long = (x * x + y * y).sqrt();
    let on = |along: f64, aside: f64| {
        let (u, v) = (x / long, y / long);
        (a.x + along * u - aside * v, a.y + along * v + aside * u)
    };
    let count = (long / EVERY).round().max(1.0);
    let mut points = vec![(a.x, a.y)];
    if 16.0 < long {
        for nth in 0..count as usize {
            let middle = long * (nth as f64 + 0.5) / count;
            let turns = [(-4.0, 0.0), (-1.5, -4.0), (1.5, 4.0), (4.0, 0.0)];
            points.extend(turns.map(|(along, aside)| on(middle + along, aside)));
        }
    }
    points.push((b.x, b.y));
    points
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(outline: &[Point]) -> f64 {
        let next = outline.iter().cycle().skip(1);
        let doubled: f64 = outline.iter().zip(next).map(|(a, b)| a.x * b.y - b.x * a.y).sum();
        doubled.abs() / 2.0
    }

    #[test]
    fn an_outline_goes_around_what_is_solid() {
        let tube = [(-9.0, -5.0), (5.0, 9.0)].map(|it| Trapezoid::upright((0.0, 10.0), it));
        let cap = Trapezoid::upright((-3.0, 0.0), (-9.0, 9.0));
        let outlines = outlines(&[tube[0], tube[1], cap]);
        assert_eq!(outlines.len(), 1, "{outlines:?}");
        assert_eq!(outlines[0].len(), 8, "corners on straight lines are left out");
        assert!((area(&outlines[0]) - (2.0 * 40.0 + 54.0)).abs() < 1e-6);
    }

    #[test]
    fn a_hole_takes_away_what_lies_in_it() {
        let wall = Trapezoid::upright((0.0, 10.0), (-9.0, -5.0));
        let left = without(&[wall], &Trapezoid::upright((4.0, 6.0), (-20.0, -4.0)));
        assert_eq!(left.len(), 2);
        let left = without(&[wall], &Trapezoid::upright((4.0, 6.0), (-8.0, -7.0)));
        assert_eq!(left.len(), 4, "a gallery leaves the wall above and below");
    }

    #[test]
    fn a_pressed_ring_keeps_its_area() {
        // The area of a circle is π d² / 4; twelve straight pieces fall short of it by 4.5 %.
        let whole = std::f64::consts::PI * 1.78 * 1.78 / 4.0;
        for height in [1.78, 1.5, 1.3] {
            let found: f64 =
                outlines(&pressed_round((0.0, -8.0), 1.78, height)).iter().map(|it| area(it)).sum();
            assert!((found / whole - 1.0).abs() < 0.05, "{height}: {found} of {whole}");
        }
    }
}
