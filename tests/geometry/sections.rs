//! Whole stacks against another library: `sections.txt`, made by `sections.py` with shapely.

use crate::support::{assembly, assert_near, body, mm, ring, rod, room, tube};
use gaugebook::geometry::{CutAssembly, Frustum, Toward};

/// One half section of the file, mm and mm³.
#[derive(Default)]
struct Section {
    moved: f64,
    bores: Vec<Frustum<f64>>,
    pins: Vec<Frustum<f64>>,
    steps: Vec<Frustum<f64>>,
    rings: Vec<(f64, f64)>,
    rooms: Vec<f64>,
}

fn sections() -> Vec<Section> {
    let mut found: Vec<Section> = Vec::new();
    for line in include_str!("sections.txt").lines().filter(|line| !line.starts_with('#')) {
        let mut words = line.split(' ');
        let word = words.next().unwrap();
        let numbers: Vec<f64> = words.map(|number| number.parse().unwrap()).collect();
        if word == "case" {
            found.push(Section::default());
            continue;
        }
        let section = found.last_mut().unwrap();
        match (word, numbers.as_slice()) {
            ("moved", [moved]) => section.moved = *moved,
            ("bore", [from, to, a, b]) => section.bores.push(tube(*from, *to, (*a, *b), 20.0)),
            ("pin", [from, to, a, b]) => section.pins.push(rod(*from, *to, (*a, *b))),
            ("step", [from, to, a, b]) => section.steps.push(rod(*from, *to, (*a, *b))),
            ("ring", [at, free]) => section.rings.push((*at, *free)),
            ("rooms", rooms) => section.rooms = rooms.to_vec(),
            _ => panic!("{line}"),
        }
    }
    found
}

#[test]
fn rooms_of_whole_stacks_agree_with_another_library() {
    let sections = sections();
    assert_eq!(sections.len(), 24);
    let mut worst: f64 = 0.0;
    for section in sections {
        let end = section.bores.last().unwrap().to * 1e3;
        let mut fixed = section.bores;
        fixed.extend(section.pins);
        fixed.push(rod(-1.0, 0.0, (20.0, 20.0)));
        fixed.push(rod(end, end + 1.0, (20.0, 20.0)));
        let first = section.steps[0].from * 1e3;
        let mut rooms = vec![room(1, first, Toward::Rear, 0.1)];
        rooms.extend(section.rings.iter().map(|(at, _)| {
            let after = section.steps.iter().filter(|step| at * 1e-3 < step.to);
            let land = after.map(|step| step.to * 1e3).fold(f64::INFINITY, f64::min);
            room(1, land, Toward::Front, 2.5)
        }));
        let rings = section.rings.iter().map(|(at, free)| ring(1, *at, *free)).collect();
        let bodies = vec![body(fixed, (0.0, 0.0)), body(section.steps, (0.0, 1.5))];
        let positions = [0.0, mm(section.moved)];
        let cell = CutAssembly::new(assembly(bodies, rings, rooms)).cell_at(&positions);
        assert!(cell.findings.is_empty(), "{:?}", cell.findings);
        for (found, wanted) in cell.evaluate(&positions).volumes.iter().zip(&section.rooms) {
            assert_near(*found, wanted * 1e-9, 1e-6, 0.0);
            worst = worst.max((found / (wanted * 1e-9) - 1.0).abs());
        }
    }
    println!("largest relative difference {worst:.1e}");
}
