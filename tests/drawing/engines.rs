//! Engines at rest and in every state of a shot.

use super::geometry;
use gaugebook::cutaway::model::Element;
use gaugebook::cutaway::{Engine, read};
use gaugebook::drawing::shape::{DrawnShape, Pattern};
use gaugebook::drawing::{Circuit, DrawingView, Mark, circuit, section, sections};
use gaugebook::logic::explore;
use gaugebook::text::Source;
use rayon::prelude::*;
use std::fs;
use std::path::{Path, PathBuf};

pub(crate) fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

pub(crate) fn cutaways(folder: &str) -> Vec<PathBuf> {
    let entries = fs::read_dir(root().join(folder)).unwrap();
    let paths = entries.map(|entry| entry.unwrap().path());
    let mut paths: Vec<_> =
        paths.filter(|path| path.extension().is_some_and(|e| e == "cut")).collect();
    paths.sort();
    paths
}

/// The engines of this test and those of the demo, in the order of their names.
fn engines() -> Vec<Engine> {
    let paths = [cutaways("tests/drawing/engines"), cutaways("diagrams")].concat();
    paths.iter().map(|path| engine(&fs::read_to_string(path).unwrap(), path)).collect()
}

pub(crate) fn engine(text: &str, path: &Path) -> Engine {
    let folder = path.parent().unwrap();
    let others = |name: &str| {
        let text = fs::read_to_string(folder.join(format!("{name}.cut"))).ok()?;
        Some(Source::new(format!("{name}.cut"), text))
    };
    let name = path.file_name().unwrap().to_string_lossy();
    read(&Source::new(name, text), &others).0
}

/// What is wrong with the pictures of an engine at rest and in every state of its told run.
fn complaints_of(engine: &Engine) -> Vec<String> {
    let circuit = Circuit::of(engine);
    let mut complaints = Vec::new();
    if circuit.open_ends() != 0 {
        complaints.push(format!("{}: {} lines are not laid", engine.name.id, circuit.open_ends()));
    }
    let found = explore(engine);
    let states = found.line_states();
    // The states of a shot share one frame.
    let shot: Vec<DrawingView> = states.into_iter().map(DrawingView::of).collect();
    let sections = sections(engine, None, &shot).unwrap_or_default();
    let rest = DrawingView::default();
    for (at, view) in std::iter::once(&rest).chain(&shot).enumerate() {
        let section = match at {
            0 => section(engine, view),
            _ => sections.get(at - 1).cloned(),
        };
        for drawing in [Some(circuit.drawing(engine, view)), section].iter().flatten() {
            let found = geometry::complaints(drawing);
            complaints
                .extend(found.iter().map(|it| format!("{}, state {at}: {it}", drawing.title)));
        }
    }
    complaints
}

#[test]
fn no_line_crosses_and_no_label_is_covered_in_any_state() {
    let complaints: Vec<String> = engines().par_iter().flat_map(complaints_of).collect();
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

#[test]
fn a_mark_is_a_frame_and_a_letter_and_covers_nothing() {
    let engine = named("ash");
    let mut view = DrawingView::default();
    view.marks.insert(Element::Valve(engine.valve("vent").unwrap()), Mark::OnlyHere);
    view.marks.insert(Element::Part(engine.part("bolt").unwrap()), Mark::Differs);
    view.marks.insert(Element::Way(engine.way("mouth").unwrap()), Mark::Differs);
    view.marks.insert(Element::Chamber(engine.chamber("store").unwrap()), Mark::Differs);
    let drawing = circuit(&engine, &view);
    assert_eq!(geometry::complaints(&drawing), Vec::<String>::new());
    let svg = drawing.svg("a");
    for words in ["[O] vent", "[D] bolt", "[D] mouth", "[D] store", "[O] only here   [D] differs"] {
        assert!(svg.contains(&format!(">{words}<")), "{words}");
    }
    assert!(drawing.told().contains("Vent is marked: only here."), "{}", drawing.told());
}

#[test]
fn dashed_lines_steer_whatever_the_level() {
    let told = "steers a part or a valve";
    let engine = named("ash");
    assert!(circuit(&engine, &DrawingView::default()).svg("a").contains(told));
    let found = explore(&engine);
    let view = DrawingView::of(found.line_states()[0]);
    let drawing = circuit(&engine, &view);
    assert!(drawing.svg("a").contains(told));
    let is_other = |shape: &DrawnShape| match shape {
        DrawnShape::Line { pen, net: Some(_), .. } => {
            !matches!(pen.pattern, Pattern::Continuous | Pattern::Dashed)
        }
        _ => false,
    };
    assert!(!drawing.shapes.iter().any(is_other), "a level is told by width, not by dashes");
}

#[test]
fn a_part_moves_a_roller_and_a_finger_a_button() {
    let circles = |engine: &Engine, radius: f64| {
        let shapes = circuit(engine, &DrawingView::default()).shapes;
        let is_one = |shape: &DrawnShape| matches!(shape, DrawnShape::Circle { radius: r, filled: false, .. } if *r == radius);
        shapes.iter().filter(|shape| is_one(shape)).count()
    };
    let engine = named("sleeve");
    let moved = engine.ways.iter().filter(|way| !way.when.is_empty()).count();
    assert_eq!((moved, circles(&engine, 4.5)), (2, 2), "mouth and port, not the trigger valve");
}

#[test]
fn a_name_keeps_a_gap_from_where_its_part_stands() {
    for engine in engines() {
        let shapes = circuit(&engine, &DrawingView::default()).shapes;
        for pair in shapes.windows(2) {
            if let [DrawnShape::Text { bold: true, .. }, DrawnShape::Text { .. }] = pair {
                let [name, position] = [&pair[0], &pair[1]].map(|text| text.text_rect().unwrap());
                assert!(4.0 < position.left - name.right, "{}: {pair:?}", engine.name.id);
            }
        }
    }
}

#[test]
fn a_layout_is_the_same_every_time() {
    let engine = named("hazel");
    let view = DrawingView::default();
    assert_eq!(circuit(&engine, &view).svg("a"), circuit(&engine, &view).svg("a"));
}

#[test]
fn an_engine_without_an_axis_has_no_section() {
    assert!(section(&named("press"), &DrawingView::default()).is_none());
}

#[test]
fn a_picture_is_told_in_sentences() {
    let engine = named("hazel");
    let expected = fs::read_to_string(root().join("tests/drawing/hazel.txt")).unwrap();
    let found = explore(&engine);
    let states = found.line_states();
    let view = DrawingView::of(states[states.len() / 2]);
    let drawings = [circuit(&engine, &view), section(&engine, &view).unwrap()];
    let told = drawings.map(|drawing| format!("{}\n{}\n", drawing.title, drawing.told()));
    assert_eq!(told.join("\n"), expected);
}

fn named(name: &str) -> Engine {
    let path = root().join(format!("tests/drawing/engines/{name}.cut"));
    engine(&fs::read_to_string(&path).unwrap(), &path)
}
