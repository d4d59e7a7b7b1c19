//! Pictures of engines: what an eye would complain of, told by computation.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test that cannot go on has failed"
)]

mod engines;

use gaugebook::drawing::{Circuit, View};
use gaugebook::site::pictures::png_of_svg;

#[test]
fn pictures() {
    for engine in engines::all() {
        let begin = std::time::Instant::now();
        let circuit = Circuit::of(&engine);
        eprintln!("{} {:?} open {}", engine.name.id, begin.elapsed(), circuit.open_ends());
        let drawing = circuit.drawing(&engine, &View::default());
        let svg = drawing.svg("x").replace("currentColor", "#111");
        let svg = svg.replace("<g fill", "<rect width='100%' height='100%' fill='#fff'/><g fill");
        let png = png_of_svg(&svg, (drawing.width * 1.3) as u32).unwrap();
        std::fs::write(format!("/tmp/draw-{}.png", engine.name.id), png).unwrap();
    }
}
