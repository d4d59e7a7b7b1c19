//! How much work a picture may be: counted in steps, never timed.

use super::engines::{engine, root};
use super::geometry::complaints;
use gaugebook::cutaway::Engine;
use gaugebook::drawing::{Circuit, DrawingView};
use std::fmt::Write;
use std::sync::OnceLock;

/// How many times the work of the demo's Rowan an engine may be.
const TIMES: u64 = 10;

fn read(text: &str) -> Engine {
    engine(text, &root().join("tests/drawing/engines/large.cut"))
}

fn chain(length: usize) -> Engine {
    let mut text = "cutaway large\nsupply line\n".to_string();
    (0..length).for_each(|at| writeln!(text, "chamber c{at}").unwrap());
    (1..length).for_each(|at| writeln!(text, "way w{at} from c{} to c{at}", at - 1).unwrap());
    read(&text)
}

fn each_joined_to_each(chambers: usize) -> Engine {
    let mut text = "cutaway large\nsupply line\n".to_string();
    (0..chambers).for_each(|at| writeln!(text, "chamber c{at}").unwrap());
    for from in 0..chambers {
        (0..from).for_each(|to| writeln!(text, "way w{from}_{to} from c{from} to c{to}").unwrap());
    }
    read(&text)
}

fn rowan_with_side_chambers(more: usize) -> Engine {
    let path = root().join("diagrams/rowan.cut");
    let mut text = std::fs::read_to_string(&path).unwrap();
    for at in 0..more {
        writeln!(text, "chamber side{at}").unwrap();
        writeln!(text, "way in{at} from store to side{at}").unwrap();
        writeln!(text, "way out{at} from side{at} to tube").unwrap();
    }
    engine(&text, &path)
}

/// What the demo's Rowan costs.
fn rowan_steps() -> u64 {
    static STEPS: OnceLock<u64> = OnceLock::new();
    *STEPS.get_or_init(|| Circuit::of(&rowan_with_side_chambers(0)).steps())
}

fn assert_bounded(engine: &Engine) -> Circuit {
    let bound = TIMES * rowan_steps();
    let circuit = Circuit::of(engine);
    assert!(circuit.steps() <= bound, "{} steps, {bound} allowed", circuit.steps());
    assert_eq!(complaints(&circuit.drawing(engine, &DrawingView::default())), Vec::<String>::new());
    circuit
}

#[test]
fn a_long_chain_is_laid_whole_within_bounds() {
    assert_eq!(assert_bounded(&chain(25)).open_ends(), 0);
}

#[test]
fn chambers_that_are_all_joined_are_laid_within_bounds() {
    assert_bounded(&each_joined_to_each(8));
}

#[test]
fn an_engine_with_many_side_chambers_is_laid_within_bounds() {
    assert_bounded(&rowan_with_side_chambers(12));
}

#[test]
fn a_layout_that_was_cut_short_is_told() {
    let engine = each_joined_to_each(15);
    let circuit = assert_bounded(&engine);
    assert!(circuit.is_cut_short());
    let drawing = circuit.drawing(&engine, &DrawingView::default());
    let told = "too many lines to find the best layout";
    assert!(drawing.svg("a").contains(told), "in the picture");
    assert!(drawing.told().contains("Too many lines"), "{}", drawing.told());
}
