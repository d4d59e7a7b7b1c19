//! Holes across that edges and rings pass, against the chord of their circle summed up by Simpson's
//! rule: no closed form of a segment is used here.

use crate::support::{assembly, assert_near, body, mm, num, ring, rod, room, tube};
use gaugebook::geometry::{Assembly, CrossHole, CutAssembly, Dual, Scalar, Toward};
use std::f64::consts::PI;

const MM2: f64 = 1e-6;

/// The area of a circle between two places along its diameter, mm: its chord by Simpson's rule,
/// over the angle so that the ends do no harm.
fn slice(diameter: f64, from: f64, to: f64) -> f64 {
    let radius = diameter / 2.0;
    let angle = |at: f64| libm::asin((at / radius).clamp(-1.0, 1.0));
    let (first, last) = (angle(from), angle(to));
    let steps = 2000;
    let width = (last - first) / f64::from(steps);
    let chord = |at: f64| 2.0 * (radius * libm::cos(at)).powi(2);
    let sum: f64 = (0..=steps)
        .map(|step| {
            let weight = match step {
                0 => 1.0,
                step if step == steps => 1.0,
                step if step % 2 == 1 => 4.0,
                _ => 2.0,
            };
            weight * chord(first + width * f64::from(step))
        })
        .sum();
    sum * width / 3.0
}

/// A plunger of this radius in a bore of 10 mm radius, shut at both ends, with a hole of 3 mm in
/// the wall at 30 mm: from its rear end at 5 mm on it is 10 mm long.
fn drilled<T: Scalar>(plunger: f64, diameter: T) -> Assembly<T> {
    let fixed = vec![
        rod(-1.0, 0.0, (15.0, 15.0)),
        tube(0.0, 60.0, (10.0, 10.0), 15.0),
        rod(60.0, 61.0, (15.0, 15.0)),
    ];
    let part = vec![rod(0.0, 10.0, (plunger, plunger))];
    let rooms = vec![room(0, 1.0, Toward::Rear, 5.0), room(0, 59.0, Toward::Front, 5.0)];
    let mut it = assembly(vec![body(fixed, (0.0, 0.0)), body(part, (5.0, 45.0))], vec![], rooms);
    let (at, bore) = (num(mm(30.0)), num(mm(10.0)));
    it.holes.push(CrossHole { body: 0, at, diameter, count: 1, bore });
    it
}

/// The opening of two rooms at some positions, mm²; nought where there is none.
fn opening<T: Scalar>(cut: &CutAssembly<T>, positions: &[T], rooms: (usize, usize)) -> Option<T> {
    let openings = cut.cell_at(positions).openings(positions);
    openings.into_iter().find(|it| it.rooms == rooms).map(|it| it.area)
}

/// A plunger without clearance uncovers the hole by the segment behind its rear edge, and by the
/// other one in front of its front edge. The open air is the third room.
#[test]
fn an_edge_opens_a_hole_by_the_segment_that_it_leaves_free() {
    let cut = CutAssembly::new(drilled(10.0, mm(3.0)));
    for place in [28.0, 28.5, 28.6, 29.3, 30.0, 31.1, 31.4999, 31.5, 32.0] {
        // With its rear edge there it covers all that lies in front.
        let found = opening(&cut, &[0.0, mm(place)], (0, 2)).unwrap_or(0.0);
        let wanted = slice(3.0, -1.5, place - 30.0);
        assert_near(found, wanted * MM2, 1e-9, 1e-15);
        let found = opening(&cut, &[0.0, mm(place - 10.0)], (1, 2)).unwrap_or(0.0);
        let wanted = slice(3.0, place - 30.0, 1.5);
        assert_near(found, wanted * MM2, 1e-9, 1e-15);
    }
    // Half of it at its middle, all of it beyond: π/4 · d².
    let half = opening(&cut, &[0.0, mm(30.0)], (0, 2)).unwrap();
    assert_near(half, PI / 8.0 * 9.0 * MM2, 1e-12, 0.0);
}

/// The slope of that area by the place of the plunger is the chord at its edge; by the diameter it
/// is a difference quotient.
#[test]
fn the_segment_has_slopes_by_place_and_by_diameter() {
    let plain = |diameter: f64, place: f64| {
        let cut = CutAssembly::new(drilled(10.0, mm(diameter)));
        opening(&cut, &[0.0, mm(place)], (0, 2)).unwrap()
    };
    let cut = CutAssembly::new(drilled(10.0, Dual::input(mm(3.0), 1)));
    for place in [29.0, 30.0, 30.9] {
        let area = opening(&cut, &[num(0.0), Dual::input(mm(place), 0)], (0, 2)).unwrap();
        let chord = 2.0 * (1.5_f64.powi(2) - (place - 30.0_f64).powi(2)).sqrt();
        assert_near(area.slope(0), mm(chord), 1e-9, 0.0);
        let by_diameter = (plain(3.001, place) - plain(2.999, place)) / mm(0.002);
        assert_near(area.slope(1), by_diameter, 1e-6, 0.0);
    }
}

/// A ring on a carrier of 2 mm less radius, which bounds no hole of 3 mm: while the ring's line
/// stands over the hole, the rooms on both sides are joined by the lesser of the two segments, and
/// each is open to the outside by its own.
#[test]
fn a_ring_that_stands_over_a_hole_joins_the_rooms_on_both_sides() {
    let mut it = drilled(8.0, mm(3.0));
    it.rings.push(ring(1, 5.0, 10.3));
    let cut = CutAssembly::new(it);
    for line in [28.4, 28.6, 29.5, 30.0, 30.7, 31.4, 31.6] {
        let positions = [0.0, mm(line - 5.0)];
        let (behind, before) = (slice(3.0, -1.5, line - 30.0), slice(3.0, line - 30.0, 1.5));
        let found = |rooms| opening(&cut, &positions, rooms).unwrap_or(0.0);
        assert_near(found((0, 2)), behind * MM2, 1e-9, 1e-15);
        assert_near(found((1, 2)), before * MM2, 1e-9, 1e-15);
        assert_near(found((0, 1)), behind.min(before) * MM2, 1e-9, 1e-15);
    }
    // The same hole leading on elsewhere: what opens into each room, and they are joined as well.
    let mut it = drilled(8.0, mm(3.0));
    it.rings.push(ring(1, 5.0, 10.3));
    it.ports = std::mem::take(&mut it.holes);
    it.ports[0].count = 2;
    let cut = CutAssembly::new(it);
    let positions = [0.0, mm(24.6)];
    let cell = cut.cell_at(&positions);
    let ports = cell.port_openings(&positions);
    for (room, wanted) in [(0, slice(3.0, -1.5, -0.4)), (1, slice(3.0, -0.4, 1.5))] {
        let found = ports.iter().find(|it| it.room == room).unwrap();
        assert_near(found.area, 2.0 * wanted * MM2, 1e-9, 0.0);
    }
    let joined = opening(&cut, &positions, (0, 1)).unwrap();
    assert_near(joined, 2.0 * slice(3.0, -1.5, -0.4) * MM2, 1e-9, 0.0);
}

/// Under a plunger with a clearance of 0.1 mm a hole lets through no more than the curtain along
/// its rim, π d times the clearance; four equal holes four times as much as one.
#[test]
fn a_covered_hole_lets_through_the_curtain_along_its_rim() {
    for count in [1, 4] {
        let mut it = drilled(9.9, mm(3.0));
        it.holes[0].count = count;
        let cut = CutAssembly::new(it);
        let positions = [0.0, mm(25.0)];
        let all: Vec<_> = cut.cell_at(&positions).openings(&positions);
        let widest = all.iter().filter(|it| it.rooms.1 == 2).map(|it| it.area).fold(0.0, f64::max);
        // Along the plunger there is the annulus of its clearance.
        let annulus = PI * (100.0 - 9.9 * 9.9);
        let wanted = (f64::from(count) * PI * 3.0 * 0.1).min(annulus);
        assert_near(widest, wanted * MM2, 1e-6, 0.0);
    }
}
