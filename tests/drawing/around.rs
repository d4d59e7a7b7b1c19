//! Sections in which a part and a room lie around one another, and where seals lie.

use gaugebook::cutaway::{Engine, read};
use gaugebook::drawing::shape::{DrawnShape, Pattern, Point, Rect, WIDE, Weight};
use gaugebook::drawing::{Drawing, DrawingView, section};
use gaugebook::logic::explore;
use gaugebook::text::Source;

const SLEEVE: &str = include_str!("engines/sleeve.cut");
const PLACES: &str = "dump_sleeve around store, drive_room";

/// The engine of the fixture with these places on its axis.
fn engine(places: &str) -> Engine {
    let text = SLEEVE.replace(PLACES, places);
    read(&Source::new("sleeve.cut", text), &|_| None).0
}

/// The forms in which a sleeve and its store may be written.
fn forms() -> [Engine; 3] {
    [PLACES, "store around dump_sleeve, drive_room", "dump_sleeve around store"].map(engine)
}

/// Filled rectangles, and outlines of parts.
fn rects(drawing: &Drawing, is_filled: bool) -> Vec<Rect> {
    let rects = drawing.shapes.iter().filter_map(|shape| match shape {
        DrawnShape::Line { points, closed: true, filled, pen, .. }
            if points.len() == 4 && *filled == is_filled && (is_filled || *pen == WIDE) =>
        {
            Some(shape.bounds())
        }
        _ => None,
    });
    rects.collect()
}

/// The slot in the upper wall of the tube: between two pieces at one height.
fn slot(drawing: &Drawing) -> Rect {
    let mut walls = rects(drawing, true);
    walls.retain(|wall| (wall.height() - 3.0).abs() < 0.01);
    walls.sort_by(|a, b| a.top.total_cmp(&b.top).then_with(|| a.left.total_cmp(&b.left)));
    assert_eq!(walls.len(), 4, "two pieces above, two below");
    Rect { left: walls[0].right, right: walls[1].left, ..walls[0] }
}

/// Whether something that moves lies over the slot.
fn is_covered(drawing: &Drawing) -> bool {
    let slot = slot(drawing);
    assert!(6.0 < slot.width(), "a slot that can be seen: {slot:?}");
    rects(drawing, false).iter().any(|part| {
        let touches = part.top < slot.bottom + 1.0 && slot.top - 1.0 < part.bottom;
        touches && part.left <= slot.left && slot.right <= part.right
    })
}

#[test]
fn a_sleeve_covers_the_slot_while_the_way_is_shut() {
    for engine in forms() {
        let mouth = &engine.ways[engine.way("mouth").unwrap()];
        let found = explore(&engine);
        let mut seen = [false; 2];
        for state in found.line_states() {
            let view = DrawingView::of(state);
            let drawing = section(&engine, &view).unwrap();
            let is_open = view.is_open(&engine, mouth);
            assert_eq!(is_covered(&drawing), !is_open, "{}", drawing.told());
            seen[usize::from(is_open)] = true;
        }
        assert_eq!(seen, [true; 2], "a shot in which it opens");
    }
}

/// Where the leader of a label ends.
fn named(drawing: &Drawing, name: &str) -> Point {
    let at = drawing.shapes.iter().position(|shape| match shape {
        DrawnShape::Text { text, .. } => text == name,
        _ => false,
    });
    match &drawing.shapes[at.unwrap_or_else(|| panic!("no label {name}")) - 1] {
        DrawnShape::Leader { points } => *points.last().unwrap(),
        other => panic!("no leader before the label: {other:?}"),
    }
}

#[test]
fn a_full_store_shows_its_pattern_whatever_lies_around_it() {
    for engine in forms() {
        let found = explore(&engine);
        let view = DrawingView::of(found.line_states()[0]);
        let drawing = section(&engine, &view).unwrap();
        let store = named(&drawing, "store");
        let lines = drawing.shapes.iter().filter(|shape| match shape {
            DrawnShape::Line { points, pen, closed: false, .. } => {
                let [from, to] = points.as_slice() else { return false };
                let is_pattern = (pen.weight, pen.pattern) == (Weight::Narrow, Pattern::Continuous);
                let is_level = (from.y - to.y).abs() < 0.01;
                let is_near = (from.y - store.y).abs() < 7.1;
                is_pattern && is_level && is_near && from.x < store.x && store.x < to.x
            }
            _ => false,
        });
        assert!(0 < lines.count(), "blank around {store:?}");
    }
}

#[test]
fn seals_lie_towards_the_rooms_that_they_keep_apart() {
    for engine in forms() {
        let drawing = section(&engine, &DrawingView::default()).unwrap();
        let x = |name: &str| named(&drawing, name).x;
        assert!(x("ring") < x("dump sleeve") && x("dump sleeve") < x("seat"));
        assert!(x("sail seal") < x("return") && x("return") < x("tip seal"), "at the nose");
        assert!((x("tip seal") - x("breech")).abs() < 60.0, "towards the breech");
    }
}

#[test]
fn a_room_that_only_pushes_back_lies_in_front_of_the_collar() {
    let text = include_str!("../../diagrams/rowan.cut");
    let engine = read(&Source::new("rowan.cut", text), &|_| None).0;
    let drawing = section(&engine, &DrawingView::default()).unwrap();
    let x = |name: &str| named(&drawing, name).x;
    assert!(x("transfer tube") < x("bolt"), "what drives the bolt lies behind it");
    assert!(x("bolt") < x("air spring") && x("air spring") < x("tip seal -015"));
}
