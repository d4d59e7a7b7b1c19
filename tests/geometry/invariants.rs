//! What must hold for any stack of parts, in any position.

use crate::support::{
    assembly, assert_near, body, cylinder, frustum, mm, num, ring, rod, room, tube,
};
use gaugebook::geometry::{
    Assembly, CutAssembly, Dual, Frustum, PoseCell, PoseFinding, Scalar, Toward,
};
use proptest::prelude::*;

/// A stack of which nothing collides: bores wider than 6 mm, two parts that stay within 5.8, one
/// behind the other, each with one or two rings that reach further.
#[derive(Debug, Clone)]
struct Stack {
    /// Length and radii of each bore, mm.
    bores: Vec<(f64, f64, f64)>,
    parts: Vec<PartStack>,
    /// How far each part is moved, mm.
    moved: (f64, f64),
}

#[derive(Debug, Clone)]
struct PartStack {
    /// Length and radii of each step, mm.
    steps: Vec<(f64, f64, f64)>,
    /// Share of the part's length at which the rings sit, and how far they reach, mm.
    rings: Vec<(f64, f64)>,
}

const TRAVEL: f64 = 9.0;

impl PartStack {
    fn length(&self) -> f64 {
        self.steps.iter().map(|step| step.0).sum()
    }
}

fn part() -> impl Strategy<Value = PartStack> {
    let step = (2.0..8.0_f64, 2.0..5.8_f64, 2.0..5.8_f64, any::<bool>());
    let step = step.prop_map(|(length, a, b, is_cone)| (length, a, if is_cone { b } else { a }));
    let rings = prop::collection::vec((0.05..0.95_f64, 6.2..9.5_f64), 1..3);
    (prop::collection::vec(step, 1..5), rings).prop_map(|(steps, rings)| PartStack { steps, rings })
}

fn stack() -> impl Strategy<Value = Stack> {
    let bore = (4.0..14.0_f64, 6.0..9.0_f64, 6.0..9.0_f64, any::<bool>());
    let bore = bore.prop_map(|(length, a, b, is_cone)| (length, a, if is_cone { b } else { a }));
    let bores = prop::collection::vec(bore, 3..7);
    (bores, (part(), part()), (0.0..TRAVEL, 0.0..TRAVEL)).prop_map(|(bores, (a, b), moved)| Stack {
        bores,
        parts: vec![a, b],
        moved,
    })
}

impl Stack {
    /// The bores with a last one that gives both parts room.
    fn bores(&self) -> Vec<(f64, f64, f64)> {
        let mut bores = self.bores.clone();
        let wanted = self.parts.iter().map(|part| part.length() + 2.0 * TRAVEL + 4.0).sum::<f64>();
        let there: f64 = bores.iter().map(|bore| bore.0).sum();
        bores.push(((wanted - there).max(1.0), 8.0, 8.0));
        bores
    }

    fn length(&self) -> f64 {
        self.bores().iter().map(|bore| bore.0).sum()
    }

    /// Where each part starts, mm.
    fn starts(&self) -> [f64; 2] {
        [2.0, 2.0 + self.parts[0].length() + TRAVEL + 2.0]
    }

    /// The assembly, turned round where it is asked for.
    fn assembly<T: Scalar>(&self, is_turned: bool) -> Assembly<T> {
        let length = self.length();
        let turned = |pieces: Vec<Frustum<T>>| match is_turned {
            false => pieces,
            true => pieces.into_iter().map(|piece| mirrored(piece, length)).collect(),
        };
        let mut walls = Vec::new();
        let mut at = 0.0;
        for (length, a, b) in self.bores() {
            walls.push(tube(at, at + length, (a, b), 12.0));
            at += length;
        }
        walls.push(rod(-1.0, 0.0, (12.0, 12.0)));
        walls.push(rod(at, at + 1.0, (12.0, 12.0)));
        let mut bodies = vec![body(turned(walls), (0.0, 0.0))];
        let (mut rings, mut rooms) = (Vec::new(), Vec::new());
        let place = |at: f64| if is_turned { length - at } else { at };
        let toward = |it: Toward| match (it, is_turned) {
            (Toward::Rear, false) | (Toward::Front, true) => Toward::Rear,
            _ => Toward::Front,
        };
        rooms.push(room(0, place(0.0), toward(Toward::Front), 0.5));
        for (number, (part, start)) in self.parts.iter().zip(self.starts()).enumerate() {
            let mut at = start;
            let mut steps = Vec::new();
            for (length, a, b) in &part.steps {
                steps.push(rod(at, at + length, (*a, *b)));
                at += length;
            }
            let travel = if is_turned { (-TRAVEL, 0.0) } else { (0.0, TRAVEL) };
            bodies.push(body(turned(steps), travel));
            for (share, free) in &part.rings {
                let mut ring = ring(number + 1, place(start + share * part.length()), *free);
                // Thick enough for what the bores would squeeze it by.
                ring.half_section = num(mm(2.0));
                rings.push(ring);
            }
            rooms.push(room(number + 1, place(at), toward(Toward::Front), 0.5));
        }
        assembly(bodies, rings, rooms)
    }

    fn positions<T: Scalar>(&self, is_turned: bool) -> Vec<T> {
        let sign = if is_turned { -1.0 } else { 1.0 };
        let moved = [0.0, self.moved.0, self.moved.1];
        moved.iter().map(|at| num(mm(sign * at))).collect()
    }

    /// The empty bore less the parts, m³.
    fn void(&self) -> f64 {
        let bores: f64 = self.bores().iter().map(|it| frustum(it.0, (it.1, it.2))).sum();
        let steps = self.parts.iter().flat_map(|part| &part.steps);
        let solids: f64 = steps.map(|it| frustum(it.0, (it.1, it.2))).sum();
        (bores - solids) * 1e-9
    }
}

fn mirrored<T: Scalar>(piece: Frustum<T>, length: f64) -> Frustum<T> {
    let at = |place: T| num::<T>(mm(length)) - place;
    let swap = |(a, b): (T, T)| (b, a);
    Frustum {
        from: at(piece.to),
        to: at(piece.from),
        inner: piece.inner.map(swap),
        outer: swap(piece.outer),
    }
}

/// What is in rooms that are one: which of them stand open to each other.
fn groups<T: Scalar>(cell: &PoseCell<T>, positions: &[T], rooms: usize) -> Vec<usize> {
    let mut group: Vec<usize> = (0..=rooms).collect();
    let mut join = |a: usize, b: usize| {
        let (low, high) = (group[a].min(group[b]), group[a].max(group[b]));
        for it in group.iter_mut().filter(|it| **it == high) {
            *it = low;
        }
    };
    for opening in cell.openings(positions) {
        join(opening.rooms.0, opening.rooms.1);
    }
    for finding in &cell.findings {
        if let PoseFinding::Merged { rooms, .. } = finding {
            join(rooms.0, rooms.1);
        }
    }
    group
}

fn trapped(cell: &PoseCell<f64>) -> f64 {
    let volumes = cell.findings.iter().map(|finding| match finding {
        PoseFinding::Trapped { volume, .. } => *volume,
        _ => 0.0,
    });
    volumes.sum()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, max_global_rejects: 20_000, ..ProptestConfig::default() })]

    #[test]
    fn rooms_add_up_to_the_bore_less_the_parts(stack in stack()) {
        let positions = stack.positions::<f64>(false);
        let cell = CutAssembly::new(stack.assembly(false)).cell_at(&positions);
        let is_collision = |it: &PoseFinding| matches!(it, PoseFinding::Collision(_));
        prop_assert!(!cell.findings.iter().any(is_collision), "{:?}", cell.findings);
        let rooms: f64 = cell.evaluate(&positions).volumes.iter().sum();
        assert_near(rooms + trapped(&cell), stack.void(), 1e-11, 0.0);
    }

    #[test]
    fn what_a_part_sweeps_is_its_pressure_area(stack in stack()) {
        let positions = stack.positions::<f64>(false);
        let cell = CutAssembly::new(stack.assembly(false)).cell_at(&positions);
        let figures = cell.evaluate(&positions);
        let rooms = figures.volumes.len();
        let groups = groups(&cell, &positions, rooms);
        for group in 0..rooms {
            let members: Vec<usize> = (0..rooms).filter(|room| groups[*room] == group).collect();
            for part in 1..3 {
                let swept: f64 = members.iter().map(|room| figures.swept[*room][part]).sum();
                let area: f64 = members.iter().map(|room| figures.areas[part][*room]).sum();
                assert_near(swept, area, 1e-9, 1e-13);
            }
        }
    }

    #[test]
    fn equal_pressure_everywhere_pushes_nothing(stack in stack()) {
        let positions = stack.positions::<f64>(false);
        let cell = CutAssembly::new(stack.assembly(false)).cell_at(&positions);
        prop_assume!(trapped(&cell) == 0.0);
        for areas in cell.evaluate(&positions).areas {
            assert_near(areas.iter().sum(), 0.0, 0.0, 1e-15);
        }
    }

    #[test]
    fn turned_round_it_is_the_same(stack in stack()) {
        let (one, other) = (stack.positions(false), stack.positions(true));
        let a = CutAssembly::new(stack.assembly(false)).cell_at(&one);
        let b = CutAssembly::new(stack.assembly(true)).cell_at(&other);
        let (x, y) = (a.evaluate(&one), b.evaluate(&other));
        for (x, y) in x.volumes.iter().zip(&y.volumes) {
            assert_near(*x, *y, 1e-9, 1e-18);
        }
        for (x, y) in x.areas.iter().flatten().zip(y.areas.iter().flatten()) {
            assert_near(*x, -*y, 1e-9, 1e-13);
        }
        let (x, y) = (a.openings(&one), b.openings(&other));
        prop_assert_eq!(x.len(), y.len());
        for (x, y) in x.iter().zip(&y) {
            prop_assert_eq!(x.rooms, y.rooms);
            assert_near(x.area, y.area, 1e-9, 1e-15);
        }
    }

    /// Across a border of two cells nothing jumps: what both say of the border itself agrees, room
    /// by room where rooms are the same on both sides, else for what is joined.
    #[test]
    fn nothing_jumps_where_the_order_of_edges_changes(stack in stack(), part in 1_usize..3) {
        let cut = CutAssembly::new(stack.assembly::<f64>(false));
        let mut positions = stack.positions(false);
        let before = cut.cell_at(&positions);
        let Some(way) = before.next_border(part, Toward::Front, &positions) else { return Ok(()) };
        prop_assume!(1e-6 < way && positions[part] + way + 1e-7 < mm(TRAVEL));
        let mut border = positions.clone();
        border[part] += way;
        positions[part] += way + 1e-7;
        let after = cut.cell_at(&positions);
        prop_assert!(!after.holds(&stack.positions(false)));
        let (x, y) = (before.evaluate(&border), after.evaluate(&border));
        let kept = |cell: &PoseCell<f64>| {
            let has = |it: &PoseFinding| {
                !matches!(it, PoseFinding::Idle { .. })
            };
            !cell.findings.iter().any(has)
        };
        prop_assume!(kept(&before) && kept(&after));
        for (x, y) in x.volumes.iter().zip(&y.volumes) {
            assert_near(*x, *y, 1e-9, 1e-16);
        }
        // What is narrow in front of a spot counts from when the spot has passed it.
        let spot = stack.starts()[part - 1] + stack.parts[part - 1].length();
        let spot = spot + border[part] * 1e3;
        let mut edge = 0.0;
        for bore in stack.bores() {
            edge += bore.0;
            prop_assume!(1e-6 < f64::abs(spot - edge));
        }
        for pair in before.openings(&border) {
            let mut others = after.openings(&border).into_iter();
            let other = others.find(|it| it.rooms == pair.rooms);
            assert_near(pair.area, other.map_or(0.0, |it| it.area), 1e-6, 1e-12);
        }
    }

    #[test]
    fn derivatives_by_dimensions_agree_with_differences(stack in stack(), which in 0_usize..4) {
        let with = |by: f64| {
            let mut other = stack.clone();
            match which {
                0 => widen(&mut other.bores[0], by),
                1 => widen(&mut other.parts[0].steps[0], by),
                2 => other.parts[1].steps[0].0 += by,
                _ => other.moved.0 += by,
            }
            other
        };
        // Lengths shift what stands in front of them, so the whole stack is built in duals.
        let dual = dual_stack(&stack, which);
        let figures = dual.0.cell_at(&dual.1).evaluate(&dual.1);
        let step = 1e-4;
        let at = |by: f64| {
            let other = with(by);
            let positions = other.positions(false);
            CutAssembly::new(other.assembly::<f64>(false)).cell_at(&positions).evaluate(&positions)
        };
        let (low, high, here) = (at(-step), at(step), at(0.0));
        for (room, volume) in figures.volumes.iter().enumerate() {
            let difference = (high.volumes[room] - low.volumes[room]) / (2e-3 * step);
            assert_near(volume.value(), here.volumes[room], 1e-12, 0.0);
            // A border of cells within the step, where a derivative may jump, is let be.
            let second = high.volumes[room] + low.volumes[room] - 2.0 * here.volumes[room];
            prop_assume!(second.abs() < 1e-13);
            assert_near(volume.slope(0), difference, 1e-4, 2e-8);
        }
    }
}

/// Changes the radius at the rear of a piece, or all of it where it is no cone.
fn widen(piece: &mut (f64, f64, f64), by: f64) {
    if piece.1 == piece.2 {
        piece.2 += by;
    }
    piece.1 += by;
}

/// The same stack with one dimension as an input: the first bore's radius, that of the first step
/// of the first part, the length of that of the second, or how far the first part is moved.
fn dual_stack(stack: &Stack, which: usize) -> (CutAssembly<Dual>, Vec<Dual>) {
    let mut made: Assembly<Dual> = stack.assembly(false);
    let mut positions: Vec<Dual> = stack.positions(false);
    let input = |it: &Dual| Dual::input(it.value(), 0);
    match which {
        0 => {
            let inner = made.bodies[0].pieces[0].inner.clone().unwrap();
            let is_cone = stack.bores[0].1 != stack.bores[0].2;
            let second = if is_cone { inner.1 } else { input(&inner.1) };
            made.bodies[0].pieces[0].inner = Some((input(&inner.0), second));
        }
        1 => {
            let outer = made.bodies[1].pieces[0].outer.clone();
            let is_cone = stack.parts[0].steps[0].1 != stack.parts[0].steps[0].2;
            let second = if is_cone { outer.1 } else { input(&outer.1) };
            made.bodies[1].pieces[0].outer = (input(&outer.0), second);
        }
        2 => {
            let shift = |it: &Dual| Dual::input(it.value(), 0);
            for (number, piece) in made.bodies[2].pieces.iter_mut().enumerate() {
                piece.to = shift(&piece.to);
                if 0 < number {
                    piece.from = shift(&piece.from);
                }
            }
            let part = &stack.parts[1];
            for (ring, (share, _)) in
                made.rings.iter_mut().filter(|ring| ring.body == 2).zip(&part.rings)
            {
                ring.at = Dual::with_slopes(ring.at.value(), vec![(0, *share)]);
            }
            for spot in made.rooms.iter_mut().filter(|spot| spot.body == 2) {
                spot.at = shift(&spot.at);
            }
            // The last bore gives way where it is there for the length of the parts.
            let there: f64 = stack.bores.iter().map(|bore| bore.0).sum();
            if there + 1.0 < stack.length() {
                let bores = made.bodies[0].pieces.len() - 2;
                let front = &mut made.bodies[0].pieces;
                front[bores - 1].to = shift(&front[bores - 1].to);
                let cap = bores + 1;
                front[cap].from = shift(&front[cap].from);
                front[cap].to = shift(&front[cap].to);
            }
        }
        _ => positions[1] = input(&positions[1]),
    }
    (CutAssembly::new(made), positions)
}

/// That the stacks are not all of one kind: some are open, some are shut, some trap air.
#[test]
fn the_stacks_are_of_many_kinds() {
    use proptest::strategy::ValueTree;
    use proptest::test_runner::TestRunner;
    let mut runner = TestRunner::deterministic();
    let (mut open, mut shut, mut cones) = (0, 0, 0);
    for _ in 0..200 {
        let stack = stack().new_tree(&mut runner).unwrap().current();
        let positions = stack.positions::<f64>(false);
        let cell = CutAssembly::new(stack.assembly::<f64>(false)).cell_at(&positions);
        let is_merged = |it: &PoseFinding| matches!(it, PoseFinding::Merged { .. });
        open += usize::from(!cell.openings(&positions).is_empty());
        shut += usize::from(!cell.findings.iter().any(is_merged));
        cones += usize::from(stack.parts[0].steps.iter().any(|step| step.1 != step.2));
    }
    assert!(20 < open && 20 < shut && 50 < cones, "{open} open, {shut} shut, {cones} with cones");
    assert_near(cylinder(2.0, 3.0), frustum(2.0, (3.0, 3.0)), 1e-15, 0.0);
}
