//! What evaluating the geometry of a pose costs: ten rooms between eleven lands of one spool,
//! beside a plain sum of as many numbers as there are results, and what making the cell costs.
//!
//! `cargo bench --bench geometry`

use gaugebook::geometry::{
    Assembly, CutAssembly, Frustum, RingSide, RoomSpot, SealRing, Solid, Toward,
};
use std::hint::black_box;
use std::time::Instant;

const ROOMS: usize = 10;

fn piece(from: f64, to: f64, inner: Option<f64>, outer: f64) -> Frustum<f64> {
    Frustum { from, to, inner: inner.map(|radius| (radius, radius)), outer: (outer, outer) }
}

/// A spool with eleven lands in bores that grow from land to land.
fn engine() -> Assembly<f64> {
    let (mut walls, mut steps) = (Vec::new(), Vec::new());
    let (mut rings, mut rooms) = (Vec::new(), Vec::new());
    for land in 0..=ROOMS {
        let at = land as f64 * 0.02;
        let bore = 0.02 - land as f64 * 0.0008;
        walls.push(piece(at, at + 0.02, Some(bore), 0.03));
        steps.push(piece(at + 0.002, at + 0.008, None, bore - 0.00005));
        if land < ROOMS {
            steps.push(piece(at + 0.008, at + 0.022, None, 0.005));
            rooms.push(RoomSpot { body: 1, at: at + 0.012, toward: Toward::Front, radius: 0.006 });
        }
        rings.push(SealRing {
            body: 1,
            at: at + 0.005,
            side: RingSide::Outside,
            free: bore + 0.00025,
            half_section: 0.00089,
        });
    }
    let fixed = Solid { pieces: walls, travel: (0.0, 0.0) };
    let spool = Solid { pieces: steps, travel: (0.0, 0.01) };
    Assembly {
        bodies: vec![fixed, spool],
        rings,
        gates: Vec::new(),
        holes: Vec::new(),
        ports: Vec::new(),
        rooms,
    }
}

/// The least time of one run, in ns, of several batches.
fn nanoseconds(runs: u32, mut run: impl FnMut(usize)) -> f64 {
    let batches = (0..20).map(|_| {
        let start = Instant::now();
        for at in 0..runs as usize {
            run(at);
        }
        start.elapsed().as_nanos() as f64 / f64::from(runs)
    });
    batches.fold(f64::INFINITY, f64::min)
}

fn main() {
    let cut = CutAssembly::new(engine());
    let cell = cut.cell_at(&[0.0, 0.001]);
    assert!(cell.findings.is_empty(), "{:?}", cell.findings);
    let mut figures = cell.blank();
    let evaluation = nanoseconds(100_000, |at| {
        let positions = [0.0, 0.001 + 1e-9 * (at % 1000) as f64];
        cell.evaluate_into(black_box(&positions), &mut figures);
        black_box(&figures);
    });
    // As many multiplications and additions of plain numbers as there are results.
    let results = ROOMS + 2 * ROOMS + 2 * (ROOMS + 1);
    let numbers: Vec<f64> = (0..results).map(|at| 1.0 + at as f64).collect();
    let plain = nanoseconds(100_000, |at| {
        let by = at as f64;
        black_box(black_box(&numbers).iter().fold(0.0, |sum, it| sum + it * by));
    });
    let openings = nanoseconds(10_000, |_| {
        black_box(cell.openings(black_box(&[0.0, 0.001])));
    });
    let making = nanoseconds(200, |_| {
        black_box(cut.cell_at(black_box(&[0.0, 0.001])));
    });
    println!("{ROOMS} rooms, {results} results");
    println!("evaluate a pose in its cell   {evaluation:9.0} ns");
    println!("a plain sum of that length    {plain:9.0} ns");
    println!("openings of that pose         {openings:9.0} ns");
    println!("make the cell                 {:9.1} µs", making / 1e3);
}
