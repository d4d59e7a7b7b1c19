//! Single shapes against the formulas that textbooks print for them.

use crate::support::{assembly, assert_near, body, cylinder, frustum, mm, ring, rod, room, tube};
use gaugebook::geometry::{
    Assembly, CrossHole, CutAssembly, Dual, Gate, PoseFinding, RingSide, Scalar, SealRing, Toward,
};
use std::f64::consts::PI;

const MM3: f64 = 1e-9;
const MM2: f64 = 1e-6;

/// A bore of radius 9 behind one of 8, a piston with two lands between them, shut by rings.
fn spool() -> Assembly<f64> {
    let fixed = body(
        vec![
            tube(0.0, 2.0, (3.0, 3.0), 15.0),
            tube(2.0, 40.0, (9.0, 9.0), 15.0),
            tube(40.0, 52.0, (8.0, 8.0), 15.0),
            tube(52.0, 80.0, (11.0, 11.0), 15.0),
        ],
        (0.0, 0.0),
    );
    let part = body(
        vec![
            rod(2.0, 8.0, (8.95, 8.95)),
            rod(8.0, 41.0, (5.0, 5.0)),
            rod(41.0, 47.0, (7.95, 7.95)),
        ],
        (0.0, 18.0),
    );
    let rings = vec![ring(1, 5.0, 9.25), ring(1, 44.0, 8.25)];
    let rooms = vec![
        room(1, 2.0, Toward::Rear, 2.0),
        room(1, 20.0, Toward::Front, 6.0),
        room(1, 47.0, Toward::Front, 2.0),
    ];
    assembly(vec![fixed, part], rings, rooms)
}

#[test]
fn cylinders_and_annuli_have_their_volumes() {
    let cut = CutAssembly::new(spool());
    let positions = [0.0, mm(3.0)];
    let cell = cut.cell_at(&positions);
    let figures = cell.evaluate(&positions);
    // Behind: the small bore of the cap and 3 mm of the large one, and half of the land's gap.
    let rear = cylinder(2.0, 3.0) + cylinder(3.0, 9.0) + cylinder(3.0, 9.0) - cylinder(3.0, 8.95);
    assert_near(figures.volumes[0], rear * MM3, 1e-12, 0.0);
    // Between the middles of the rings, at 8 and 47.
    let store = cylinder(32.0, 9.0) + cylinder(7.0, 8.0)
        - cylinder(3.0, 8.95)
        - cylinder(33.0, 5.0)
        - cylinder(3.0, 7.95);
    assert_near(figures.volumes[1], store * MM3, 1e-12, 0.0);
}

#[test]
fn pressure_areas_reach_to_the_bore_that_a_ring_seals_against() {
    let cut = CutAssembly::new(spool());
    let cell = cut.cell_at(&[0.0, mm(3.0)]);
    let areas = cell.evaluate(&[0.0, mm(3.0)]).areas;
    // The full circle of the bore behind, the ring between the bores in the store.
    assert_near(areas[1][0], PI * 81.0 * MM2, 1e-12, 0.0);
    assert_near(areas[1][1], -PI * (81.0 - 64.0) * MM2, 1e-12, 0.0);
    assert_near(areas[1][2], -PI * 64.0 * MM2, 1e-12, 0.0);
}

#[test]
fn a_frustum_has_its_volume_and_a_cone_its_projected_area() {
    let fixed = body(
        vec![
            tube(0.0, 30.0, (10.0, 10.0), 15.0),
            tube(30.0, 45.0, (10.0, 4.0), 15.0),
            tube(45.0, 60.0, (4.0, 4.0), 15.0),
        ],
        (0.0, 0.0),
    );
    let part = body(vec![rod(5.0, 20.0, (9.9, 9.9)), rod(20.0, 28.0, (6.0, 2.0))], (0.0, 2.0));
    let rings = vec![ring(1, 15.0, 10.3)];
    let rooms = vec![room(1, 5.0, Toward::Rear, 2.0), room(1, 28.0, Toward::Front, 1.0)];
    let cut = CutAssembly::new(assembly(vec![fixed, part], rings, rooms));
    let cell = cut.cell_at(&[0.0, 0.0]);
    let figures = cell.evaluate(&[0.0, 0.0]);
    let front = cylinder(15.0, 10.0) - cylinder(5.0, 9.9) - frustum(8.0, (6.0, 2.0))
        + frustum(15.0, (10.0, 4.0))
        + cylinder(15.0, 4.0);
    assert_near(figures.volumes[1], front * MM3, 1e-12, 0.0);
    assert_near(figures.areas[1][1], -PI * 100.0 * MM2, 1e-12, 0.0);
}

/// Guldin's rule (Pappus VII): the area of a section times the way of its centroid. A cone is a
/// triangle turned around one side: r h / 2 · 2π r / 3.
#[test]
fn a_cone_agrees_with_pappus() {
    let fixed = body(vec![tube(0.0, 12.0, (0.0, 7.0), 9.0)], (0.0, 0.0));
    let rooms = vec![room(0, 12.0, Toward::Rear, 1.0)];
    let cut = CutAssembly::new(assembly(vec![fixed], Vec::new(), rooms));
    let volume = cut.cell_at(&[0.0]).evaluate(&[0.0]).volumes[0];
    assert_near(volume, 7.0 * 12.0 / 2.0 * 2.0 * PI * 7.0 / 3.0 * MM3, 1e-12, 0.0);
}

/// The void of an O-ring groove is that of the groove less the ring, whose volume is Pappus':
/// 2π² R r². A ring of many frusta comes close to it, with an error that falls with their square.
#[test]
fn a_torus_of_frusta_comes_to_pappus() {
    let (middle, half) = (6.0, 0.89);
    let void_with = |pieces: usize| {
        let radii = |at: usize| {
            let along = half * -libm::cos(PI * at as f64 / pieces as f64);
            (along, libm::sqrt((half * half - along * along).max(0.0)))
        };
        let mut solids = Vec::new();
        for at in 0..pieces {
            let ((from, low), (to, high)) = (radii(at), radii(at + 1));
            let mut piece = tube(from, to, (middle - low, middle - high), 0.0);
            piece.outer = (mm(middle + low), mm(middle + high));
            solids.push(piece);
        }
        let groove = body(
            vec![
                rod(-2.0, -1.2, (7.0, 7.0)),
                rod(-1.2, 1.2, (4.6, 4.6)),
                rod(1.2, 2.0, (7.0, 7.0)),
                tube(-2.0, 2.0, (7.0, 7.0), 9.0),
            ],
            (0.0, 0.0),
        );
        let rooms = vec![room(0, -1.2, Toward::Front, 5.0)];
        let cut =
            CutAssembly::new(assembly(vec![groove, body(solids, (0.0, 0.0))], Vec::new(), rooms));
        cut.cell_at(&[0.0, 0.0]).evaluate(&[0.0, 0.0]).volumes[0]
    };
    let gland = cylinder(2.4, 7.0) - cylinder(2.4, 4.6);
    let wanted = (gland - 2.0 * PI * PI * middle * half * half) * MM3;
    let (coarse, fine) = (void_with(24) - wanted, void_with(48) - wanted);
    assert_near(fine / coarse, 0.25, 0.02, 0.0);
    assert_near(void_with(48), wanted, 3e-3, 0.0);
}

/// Curtain area of a flat seat: π d L, until the bore is narrower (Heywood, Internal Combustion
/// Engine Fundamentals, 6.3.2, for the valve; from memory).
#[test]
fn a_flat_seat_opens_by_its_curtain() {
    let fixed = body(
        vec![tube(0.0, 10.0, (3.0, 3.0), 12.0), tube(10.0, 40.0, (10.0, 10.0), 12.0)],
        (0.0, 0.0),
    );
    let part = body(vec![rod(10.0, 14.0, (5.0, 5.0))], (0.0, 12.0));
    let rooms = vec![room(0, 5.0, Toward::Front, 1.0), room(0, 35.0, Toward::Front, 9.0)];
    let mut seat = assembly(vec![fixed, part], Vec::new(), rooms);
    seat.gates.push(Gate { body: 0, at: mm(10.0), within: mm(3.0) });
    let cut = CutAssembly::new(seat);
    for lift in [0.0, 0.2, 1.0, 1.4, 1.6, 3.0] {
        let positions = [0.0, mm(lift)];
        let cell = cut.cell_at(&positions);
        let openings = cell.openings(&positions);
        let between = openings.iter().find(|it| it.rooms == (0, 1)).unwrap();
        let wanted = (2.0 * PI * 3.0 * lift).min(PI * 9.0);
        assert_near(between.area, wanted * MM2, 1e-12, 1e-15);
    }
    assert_eq!(cut.cell_at(&[0.0, 0.0]).meetings.len(), 1);
    // What the bore pushes is its circle, shut and open; nothing jumps when the seat opens.
    for lift in [0.0, 0.001, 1.0] {
        let positions = [0.0, mm(lift)];
        let figures = cut.cell_at(&positions).evaluate(&positions);
        assert_near(figures.areas[1][0], PI * 9.0 * MM2, 1e-12, 0.0);
        assert_near(figures.areas[1].iter().sum(), 0.0, 0.0, 1e-15);
        let volume = cylinder(10.0, 3.0) + cylinder(lift, 3.0);
        assert_near(figures.volumes[0], volume * MM3, 1e-12, 0.0);
    }
}

/// Curtain area of a conical seat of half angle θ on a sharp edge: π L sin θ (d − L sin θ cos θ),
/// as books on hydraulic poppet valves print it (Merritt, Hydraulic Control Systems; from memory).
#[test]
fn a_conical_seat_opens_by_its_frustum() {
    let fixed = body(
        vec![tube(0.0, 20.0, (4.0, 4.0), 12.0), tube(20.0, 60.0, (10.0, 10.0), 12.0)],
        (0.0, 0.0),
    );
    let half_angle = PI / 6.0;
    let length = 6.0 / libm::tan(half_angle);
    // The cone touches the edge where its radius is 4.
    let start = 20.0 - 4.0 / libm::tan(half_angle);
    let part = body(
        vec![
            rod(start, start + length, (0.0, 6.0)),
            rod(start + length, start + length + 3.0, (6.0, 6.0)),
        ],
        (0.0, 10.0),
    );
    let rooms = vec![room(0, 5.0, Toward::Front, 1.0), room(0, 58.0, Toward::Front, 9.0)];
    let mut seat = assembly(vec![fixed, part], Vec::new(), rooms);
    seat.gates.push(Gate { body: 0, at: mm(20.0), within: mm(4.0) });
    let cut = CutAssembly::new(seat);
    for lift in [0.1, 0.5, 1.0, 2.0, 3.0] {
        let positions = [0.0, mm(lift)];
        let openings = cut.cell_at(&positions).openings(&positions);
        let between = openings.iter().find(|it| it.rooms == (0, 1)).unwrap();
        let (sine, cosine) = (libm::sin(half_angle), libm::cos(half_angle));
        let wanted = PI * lift * sine * (8.0 - lift * sine * cosine);
        assert_near(between.area, wanted * MM2, 1e-9, 0.0);
    }
}

/// A ring of section 1.78 mm that is squeezed by 0.28 mm still touches the edge of its bore until
/// its middle is √(0.89² − 0.61²) = 0.648 mm out (Pythagoras), then the gap grows with the distance
/// of the edge from the section.
#[test]
fn a_ring_that_leaves_its_bore_opens_gradually() {
    let fixed = body(
        vec![tube(0.0, 30.0, (8.0, 8.0), 14.0), tube(30.0, 60.0, (12.0, 12.0), 14.0)],
        (0.0, 0.0),
    );
    let part = body(vec![rod(0.0, 24.0, (5.0, 5.0)), rod(24.0, 28.0, (7.4, 7.4))], (0.0, 20.0));
    let rings = vec![ring(1, 26.0, 8.28)];
    let rooms = vec![room(1, 10.0, Toward::Front, 6.0), room(1, 28.0, Toward::Front, 1.0)];
    let cut = CutAssembly::new(assembly(vec![fixed, part], rings, rooms));
    let opening = |out: f64| {
        let positions = [0.0, mm(4.0 + out)];
        let openings = cut.cell_at(&positions).openings(&positions);
        openings.iter().find(|it| it.rooms == (0, 1)).map(|it| it.area)
    };
    assert_eq!(opening(-0.1), None);
    assert_eq!(opening(0.64), Some(0.0));
    let away = libm::sqrt(0.7 * 0.7 + 0.61 * 0.61);
    let nearest = 7.39 + 0.89 * 0.61 / away;
    assert_near(opening(0.7).unwrap(), PI * (8.0 + nearest) * (away - 0.89) * MM2, 1e-9, 0.0);
    // Once the ring is far out, the land in its bore is the narrowest; then its own edge.
    let land = PI * (64.0 - 7.4 * 7.4) * MM2;
    assert_near(opening(1.9).unwrap(), land, 1e-9, 0.0);
    assert!(land < opening(3.5).unwrap());
}

#[test]
fn a_rod_seal_is_taken_at_the_rod() {
    // The ring sits in the wall; the rod through it is what it seals against.
    let fixed = body(
        vec![
            tube(0.0, 20.0, (10.0, 10.0), 14.0),
            tube(20.0, 26.0, (4.05, 4.05), 14.0),
            tube(26.0, 50.0, (10.0, 10.0), 14.0),
        ],
        (0.0, 0.0),
    );
    let part = body(vec![rod(5.0, 40.0, (4.0, 4.0))], (0.0, 5.0));
    let rod_ring = SealRing {
        body: 0,
        at: mm(23.0),
        side: RingSide::Inside,
        free: mm(3.8),
        half_section: mm(0.89),
    };
    let rooms = vec![room(0, 10.0, Toward::Front, 9.0), room(0, 30.0, Toward::Front, 9.0)];
    let mut ends = assembly(vec![fixed, part], vec![rod_ring], rooms);
    ends.bodies[0].pieces.push(rod(-3.0, 0.0, (14.0, 14.0)));
    ends.bodies[0].pieces.push(rod(50.0, 53.0, (14.0, 14.0)));
    let cut = CutAssembly::new(ends);
    let cell = cut.cell_at(&[0.0, mm(1.0)]);
    let figures = cell.evaluate(&[0.0, mm(1.0)]);
    assert_near(figures.areas[1][0], PI * 16.0 * MM2, 1e-12, 0.0);
    assert_near(figures.areas[1][1], -PI * 16.0 * MM2, 1e-12, 0.0);
    assert!(cell.findings.is_empty(), "{:?}", cell.findings);
}

/// A sleeve within a wider bore, and a stem that leaves the ring in its end. The way around the end
/// of the sleeve is as narrow as the frustum from the corner of the stem to that of the sleeve:
/// pi (r + R) times its slant height (any handbook), and the ring stays the border of the rooms.
#[test]
fn a_stem_that_leaves_its_ring_opens_around_the_end_of_a_sleeve() {
    let fixed = vec![
        tube(0.0, 40.0, (15.0, 15.0), 20.0),
        rod(40.0, 41.0, (20.0, 20.0)),
        rod(-1.0, 0.0, (20.0, 20.0)),
        tube(10.0, 16.0, (4.8, 4.8), 7.0),
        tube(16.0, 40.0, (6.0, 6.0), 7.0),
    ];
    let stem = vec![rod(0.0, 12.5, (4.75, 4.75))];
    let rooms = vec![room(0, 25.0, Toward::Front, 12.0), room(0, 30.0, Toward::Front, 1.0)];
    let mut sleeved =
        assembly(vec![body(fixed, (0.0, 0.0)), body(stem, (-4.0, 0.0))], vec![], rooms);
    let inside = RingSide::Inside;
    sleeved.rings.push(SealRing { side: inside, ..ring(0, 11.8, 4.42) });
    let cut = CutAssembly::new(sleeved);
    let shut = cut.cell_at(&[0.0, 0.0]);
    assert!(shut.findings.is_empty(), "{:?}", shut.findings);
    assert!(shut.openings(&[0.0, 0.0]).is_empty());
    let back = [0.0, mm(-4.0)];
    let open = cut.cell_at(&back);
    let openings = open.openings(&back);
    let [opening] = openings.as_slice() else { panic!("{openings:?}") };
    let slant = 1.5_f64.hypot(0.05);
    assert_near(opening.area, PI * (4.75 + 4.8) * slant * MM2, 1e-12, 0.0);
    let sleeve = cylinder(4.2, 4.8) + cylinder(24.0, 6.0);
    assert_near(open.evaluate(&back).volumes[1], sleeve * MM3, 1e-12, 0.0);
}

/// A piston leaves its bore into a wider one, which a hole in its hollow rod joins with the room in
/// front: that stays one room with it, and the room behind ends at the edge of the bore. Volumes of
/// cylinders, any handbook.
#[test]
fn what_a_ring_leaves_into_stays_the_room_that_it_was() {
    let fixed = vec![
        rod(-1.0, 0.0, (15.0, 15.0)),
        tube(0.0, 20.0, (10.0, 10.0), 15.0),
        tube(20.0, 40.0, (12.0, 12.0), 15.0),
        tube(40.0, 90.0, (5.0, 5.0), 15.0),
        rod(90.0, 91.0, (15.0, 15.0)),
    ];
    let piston = vec![rod(0.0, 3.0, (9.9, 9.9)), tube(3.0, 60.0, (2.0, 2.0), 4.9)];
    let rooms = vec![room(1, 60.0, Toward::Front, 2.0), room(1, 0.0, Toward::Rear, 5.0)];
    let mut vented =
        assembly(vec![body(fixed, (0.0, 0.0)), body(piston, (0.0, 25.0))], vec![], rooms);
    vented.rings = vec![ring(1, 1.5, 10.3), ring(1, 50.0, 5.3)];
    vented.holes.push(CrossHole {
        body: 1,
        at: mm(10.0),
        diameter: mm(3.0),
        count: 1,
        bore: mm(2.0),
    });
    let cut = CutAssembly::new(vented);
    for at in [10.0, 19.0] {
        let pose = [0.0, mm(at)];
        let cell = cut.cell_at(&pose);
        assert!(
            cell.findings.iter().all(|it| matches!(it, PoseFinding::Idle { .. })),
            "{at}: {:?}",
            cell.findings
        );
        let (long, behind) = if at < 18.5 { (at + 1.5, 1.5) } else { (20.0, 1.0) };
        let room_behind = cylinder(long, 10.0) - cylinder(behind, 9.9);
        assert_near(cell.evaluate(&pose).volumes[1], room_behind * MM3, 1e-12, 0.0);
    }
}

#[test]
fn parts_stop_where_their_faces_meet_and_tell_where_they_collide() {
    let cut = CutAssembly::new(spool());
    // The rear face meets the cap at once; in front nothing is in the way of the front land.
    let rear = cut.stop(1, Toward::Rear, &[0.0, mm(3.0)]).unwrap();
    assert_near(rear.way, mm(3.0), 1e-9, 0.0);
    // The rear land meets the step of the bore at 40: its front is at 8.
    let front = cut.stop(1, Toward::Front, &[0.0, 0.0]).unwrap();
    assert_near(front.way, mm(32.0), 1e-9, 0.0);
    assert_eq!((rear.against, front.against), (0, 0));
    let cell = cut.cell_at(&[0.0, mm(33.0)]);
    let collision = cell.findings.iter().find_map(|finding| match finding {
        PoseFinding::Collision(collision) => Some(collision),
        _ => None,
    });
    let collision = collision.unwrap();
    assert_near(collision.from, mm(40.0), 1e-9, 0.0);
    assert_near(collision.to, mm(41.0), 1e-9, 0.0);
}

/// A hollow piston whose ring has left its bore: what is in it goes on with the room in front,
/// though the plane at the edge of the bore cuts it. Volumes of cylinders, any handbook.
#[test]
fn the_bore_of_a_part_lies_beside_the_edge_that_its_ring_has_left() {
    let fixed = vec![
        rod(-1.0, 0.0, (15.0, 15.0)),
        tube(0.0, 20.0, (10.0, 10.0), 15.0),
        tube(20.0, 50.0, (12.0, 12.0), 15.0),
        rod(50.0, 51.0, (15.0, 15.0)),
    ];
    let piston = vec![rod(0.0, 2.0, (9.9, 9.9)), tube(2.0, 30.0, (4.0, 4.0), 9.9)];
    let rooms = vec![room(1, 30.0, Toward::Front, 6.0), room(1, 0.0, Toward::Rear, 5.0)];
    let mut hollow =
        assembly(vec![body(fixed, (0.0, 0.0)), body(piston, (0.0, 10.0))], vec![], rooms);
    hollow.rings = vec![ring(1, 16.0, 10.3)];
    let cut = CutAssembly::new(hollow);
    let pose = [0.0, mm(10.0)];
    let volumes = cut.cell_at(&pose).evaluate(&pose).volumes;
    let behind = cylinder(10.0, 10.0) + cylinder(10.0, 10.0) - cylinder(10.0, 9.9);
    assert_near(volumes[1], behind * MM3, 1e-12, 0.0);
    let around = cylinder(30.0, 12.0) - cylinder(20.0, 9.9);
    assert_near(volumes[0], (around + cylinder(28.0, 4.0)) * MM3, 1e-12, 0.0);
}

#[test]
fn void_between_two_rings_is_told_as_trapped() {
    let mut two = spool();
    two.rings.push(ring(1, 46.0, 8.25));
    let cut = CutAssembly::new(two);
    let cell = cut.cell_at(&[0.0, mm(1.0)]);
    let trapped = cell.findings.iter().find_map(|finding| match finding {
        PoseFinding::Trapped { volume, .. } => Some(*volume),
        _ => None,
    });
    assert_near(trapped.unwrap(), (cylinder(2.0, 8.0) - cylinder(2.0, 7.95)) * MM3, 1e-9, 0.0);
}

#[test]
fn a_torn_wall_joins_two_rooms_and_tells_where() {
    let mut torn = spool();
    torn.rings.remove(0);
    let cell = CutAssembly::new(torn).cell_at(&[0.0, mm(1.0)]);
    let is_told =
        |finding: &PoseFinding| matches!(finding, PoseFinding::Merged { rooms: (0, 1), .. });
    assert!(cell.findings.iter().any(is_told), "{:?}", cell.findings);
}

#[test]
fn duals_follow_the_rules_of_derivatives() {
    let (a, b) = (Dual::input(3.0, 0), Dual::input(4.0, 7));
    let five = (a.clone() * a.clone() + b.clone() * b.clone()).root();
    assert_near(five.value(), 5.0, 1e-15, 0.0);
    assert_near(five.slope(0), 0.6, 1e-15, 0.0);
    assert_near(five.slope(7), 0.8, 1e-15, 0.0);
    let quotient = a / b;
    assert_near(quotient.slope(7), -3.0 / 16.0, 1e-15, 0.0);
    assert_eq!(quotient.slope(1), 0.0);
}
