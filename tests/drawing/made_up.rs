//! Sections of engines without sizes, asked themselves: from the shapes alone, which rooms are one?
//! They must be those that the model joins in that state.

use super::engines::{cutaways, engine};
use super::geometry;
use super::sized::disagreements;
use gaugebook::cutaway::model::{Axis, ChamberId, Direction, Element, Name, Part, PushKind, Role};
use gaugebook::cutaway::{Engine, read};
use gaugebook::drawing::shape::{DrawnShape, Point};
use gaugebook::drawing::{Drawing, DrawingView, section, sections};
use gaugebook::logic::explore;
use gaugebook::text::Source;
use std::collections::BTreeSet;
use std::fs;

/// What the picture of a state joins and the model does not, and the other way round.
pub(crate) fn untrue(engine: &Engine, view: &DrawingView, drawing: &Drawing) -> Vec<String> {
    let rooms = rooms(engine);
    disagreements(engine, &|at| rooms.contains(&at), view, drawing)
}

/// The rooms on the axes of an engine, and those that push parts there.
fn rooms(engine: &Engine) -> BTreeSet<ChamberId> {
    let things = engine.axes.iter().flat_map(|axis| axis.places.iter().flatten());
    let rooms = things.flat_map(|thing| match thing {
        Element::Chamber(at) => vec![*at],
        Element::Part(at) => {
            engine.parts[*at].pushes.iter().filter_map(face).map(|it| it.0).collect()
        }
        _ => Vec::new(),
    });
    rooms.filter(|at| engine.chambers[*at].role != Role::OpenAir).collect()
}

fn face(push: &gaugebook::cutaway::model::Push) -> Option<(ChamberId, Direction)> {
    match push.kind {
        PushKind::Face(room) => Some((room, push.direction)),
        _ => None,
    }
}

/// An axis for an engine that has none: each part between the rooms that push it.
fn with_axis(mut engine: Engine) -> Engine {
    if !engine.axes.is_empty() {
        return engine;
    }
    let mut places: Vec<Vec<Element>> = Vec::new();
    let mut add = |thing: Element| {
        if !places.iter().flatten().any(|known| *known == thing) {
            places.push(vec![thing]);
        }
    };
    for (id, part) in engine.parts.entries() {
        let pushed = |part: &Part, way: Direction| {
            let faces = part.pushes.iter().filter_map(face);
            let rooms = faces.filter(|(_, at)| *at == way).map(|(room, _)| Element::Chamber(room));
            rooms.collect::<Vec<_>>()
        };
        pushed(part, Direction::Forward).into_iter().for_each(&mut add);
        add(Element::Part(id));
        pushed(part, Direction::Back).into_iter().for_each(&mut add);
    }
    if !places.is_empty() {
        engine.axes.push(Axis { name: Name { id: "main".into(), ..Name::default() }, places });
    }
    engine
}

const SLEEVE: &str = include_str!("engines/sleeve.cut");
const PLACES: &str = "dump_sleeve around store, drive_room";

/// The forms in which a sleeve and its store may be written; in the last one the room that it opens
/// to lies on no axis.
fn forms() -> [Engine; 3] {
    let read = |places: &str| {
        let text = SLEEVE.replace(PLACES, places);
        read(&Source::new("sleeve.cut", text), &|_| None).0
    };
    [PLACES, "store around dump_sleeve, drive_room", "dump_sleeve around store"].map(read)
}

fn all() -> Vec<Engine> {
    let folders = ["tests/drawing/engines", "tests/logic", "diagrams"];
    let paths = folders.iter().flat_map(|folder| cutaways(folder));
    let engines = paths.map(|path| with_axis(engine(&fs::read_to_string(&path).unwrap(), &path)));
    engines.chain(forms()).filter(|engine| !engine.axes.is_empty()).collect()
}

#[test]
fn a_picture_without_sizes_joins_the_rooms_that_the_model_joins() {
    let mut complaints = Vec::new();
    let mut count = 0;
    for engine in all() {
        let found = explore(&engine);
        let states = found.line_states();
        let views: Vec<DrawingView> = states.into_iter().map(DrawingView::of).collect();
        let Some(drawings) = sections(&engine, None, &views) else {
            complaints.push(format!("{}: no picture", engine.name.id));
            continue;
        };
        for (at, (view, drawing)) in views.iter().zip(&drawings).enumerate() {
            count += 1;
            assert!(drawing.scale.is_none(), "{}, state {at}", engine.name.id);
            let found = geometry::complaints(drawing).into_iter();
            let found = found.chain(untrue(&engine, view, drawing));
            complaints.extend(found.map(|it| format!("{}, state {at}: {it}", engine.name.id)));
        }
    }
    assert!(100 < count, "{count} pictures");
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}

/// Where the leader of a label ends, in an engine at rest.
fn named(drawing: &Drawing, name: &str) -> Point {
    let text = drawing.shapes.iter().find_map(|shape| match shape {
        DrawnShape::Text { place, text, .. } if text == name => Some(place),
        _ => None,
    });
    let text = text.unwrap_or_else(|| panic!("no label {name}"));
    let leader = drawing.shapes.iter().find_map(|shape| match shape {
        DrawnShape::Leader { points } => {
            let (first, last) = (points.first()?, points.last()?);
            ((first.x - text.x).abs() < 0.01 && (first.y - text.y).abs() < 50.0).then_some(last)
        }
        _ => None,
    });
    *leader.unwrap_or_else(|| panic!("no leader to {name}"))
}

#[test]
fn seals_lie_between_the_rooms_that_they_keep_apart() {
    for engine in &forms()[..2] {
        let drawing = section(engine, &DrawingView::default()).unwrap();
        let x = |name: &str| named(&drawing, name).x;
        assert!(x("dump room") < x("ring") && x("ring") < x("store"));
        assert!(x("store") < x("seat") && x("seat") < x("drive room"));
        assert!(x("drive room") < x("sail seal") && x("sail seal") < x("pellet"));
    }
}
