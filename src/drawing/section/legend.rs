//! What stands below a section: what the tints mean, how long a length is, what is not measured or
//! not drawn; and the frame around all.

use super::plane::{Trapezoid, outlines, pressed_round};
use super::scaled::{SectionScene, SectionSource};
use crate::cutaway::model::{PartId, SealId};
use crate::drawing::describe;
use crate::drawing::lettering;
use crate::drawing::shape::{
    Align, Drawing, DrawnShape, Hatch, NARROW, Rect, Sketch, WIDE, at as place,
};
use crate::drawing::view::{DrawingView, LEVELS};
use crate::logic::Level;
use crate::text::listed;

/// Free space around the picture.
const MARGIN: f64 = 10.0;
const SMALL: f64 = 10.0;

/// Moves all into a picture with these bounds, with the legend under it.
pub(super) fn framed(
    scenes: &[SectionScene],
    drawn: Sketch,
    bounds: Rect,
    (view, past): (&DrawingView, &[PartId]),
) -> Drawing {
    let mut sketch = Sketch::default();
    let base = bounds.bottom + 24.0;
    let mut x = bounds.left;
    if view.state.is_some() {
        for level in LEVELS {
            let rect = Rect::new(place(x, base - 11.0), 30.0, 14.0);
            sketch.rect(NARROW, rect, 0.0);
            let share = ink(level);
            if 0.0 < share {
                let ground = Trapezoid::upright((x, x + 30.0), (base - 11.0, base + 3.0));
                sketch.add(DrawnShape::Tint { outlines: outlines(&[ground]), share });
            }
            sketch.text(SMALL, Align::Left, (x + 36.0, base), level.word());
            x += 52.0 + lettering::width(level.word(), SMALL);
        }
        signs(scenes, (bounds.left, base + 19.0), &mut sketch);
    }
    let stated = scenes.iter().find(|it| matches!(it.source, SectionSource::Stated(_)));
    let notes = match stated {
        Some(scene) => {
            scale_bar(scene.scaled.scale, bounds.right.max(x + 150.0), base, &mut sketch);
            notes(scenes)
        }
        None => made_up_notes(scenes),
    };
    let below = if view.state.is_some() { 38.0 } else { 20.0 };
    let wide = bounds.width().max(x - bounds.left);
    for (line, words) in lettering::wrapped(&notes, SMALL, wide).into_iter().enumerate() {
        let y = base + below + 14.0 * line as f64;
        sketch.text(SMALL, Align::Left, (bounds.left, y), words);
    }
    let mut shapes = drawn.shapes;
    shapes.extend(sketch.shapes);
    let engine = scenes.first().map(|scene| scene.engine);
    let words = engine.map(|engine| describe::section(engine, view, stated.is_some()));
    let (title, mut description) = words.unwrap_or_default();
    for part in past {
        let name = engine.map(|engine| engine.parts[*part].name.spoken()).unwrap_or_default();
        description.push(format!(
            "The {name} is drawn a little further, so that what opens there can be seen to be open."
        ));
    }
    let drawing = Drawing::around(shapes, bounds, MARGIN, (title, description));
    Drawing { scale: stated.map(|scene| scene.scaled.scale), ..drawing }
}

/// What the signs for open and shut mean, as far as the pictures have them.
fn signs(scenes: &[SectionScene], (left, base): (f64, f64), sketch: &mut Sketch) {
    let mut x = left;
    let said = |sketch: &mut Sketch, x: &mut f64, words: &str| {
        sketch.text(SMALL, Align::Left, (*x + 26.0, base), words);
        *x += 44.0 + lettering::width(words, SMALL);
    };
    let middle = base - 3.5;
    if scenes.iter().any(|scene| !scene.sized.rings.is_empty()) {
        for (words, high, wall) in [("ring pressed: shut", 6.0, 3.0), ("ring free: open", 8.0, 6.0)]
        {
            let ring = pressed_round((x + 12.0, middle), 8.0, high);
            sketch.add(DrawnShape::Cut { outlines: outlines(&ring), hatch: Hatch::Full });
            sketch.line(WIDE, &[(x + 3.0, middle - wall), (x + 21.0, middle - wall)]);
            said(sketch, &mut x, words);
        }
    }
    if scenes.iter().any(|scene| !scene.ports.ports.is_empty()) {
        for side in [x + 4.0, x + 16.0] {
            sketch.line(WIDE, &[(side, middle - 6.0), (side, middle + 6.0)]);
        }
        sketch.line(WIDE, &[(x + 4.0, middle), (x + 16.0, middle)]);
        said(sketch, &mut x, "bar across: shut");
    }
    sketch.line(NARROW, &[(x, middle), (x + 12.0, middle)]);
    sketch.area(&[(x + 19.0, middle), (x + 12.0, middle + 2.6), (x + 12.0, middle - 2.6)]);
    said(sketch, &mut x, "air flows");
}

/// What made-up sizes leave out.
fn made_up_notes(scenes: &[SectionScene]) -> String {
    let mut notes = "Not to scale: sizes are made up from the order of things.".to_owned();
    let Some(engine) = scenes.first().map(|scene| scene.engine) else { return notes };
    let is_here = |part: PartId| scenes.iter().any(|it| it.sized.parts.contains(&part));
    let is_drawn =
        |seal: SealId| scenes.iter().any(|it| it.sized.rings.iter().any(|ring| ring.seal == seal));
    let missing =
        engine.seals.entries().filter(|(id, seal)| !is_drawn(*id) && seal.on.is_some_and(is_here));
    let missing: Vec<String> = missing.map(|(_, seal)| seal.name.spoken()).collect();
    if !missing.is_empty() {
        notes.push_str(&format!(" Not drawn: {}.", listed(&missing, "and")));
    }
    notes
}

/// A bar of a round length that ends at the right.
fn scale_bar(scale: f64, right: f64, base: f64, sketch: &mut Sketch) {
    let lengths = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0];
    let long = |mm: f64| mm * 1e-3 * scale;
    let fitting = lengths.into_iter().rev().find(|mm| long(*mm) <= 120.0).unwrap_or(1.0);
    let left = right - long(fitting);
    sketch.line(WIDE, &[(left, base - 4.0), (right, base - 4.0)]);
    for x in [left, right] {
        sketch.line(NARROW, &[(x, base - 9.0), (x, base + 1.0)]);
    }
    sketch.text(SMALL, Align::Right, (left - 6.0, base), format!("{fitting} mm"));
}

/// What is drawn and was not measured.
fn notes(scenes: &[SectionScene]) -> String {
    let mut guessed: Vec<String> = Vec::new();
    if scenes.iter().any(|scene| scene.ports.ports.iter().any(|port| !port.is_stated)) {
        guessed.push("ports".to_owned());
    }
    if scenes.iter().any(|scene| !scene.springs.is_empty()) {
        guessed.push("springs".to_owned());
    }
    if scenes.iter().any(|scene| scene.scaled.is_outside_guessed) {
        guessed.push("the outside of the body".to_owned());
    }
    if 1 < scenes.len() {
        guessed.push("how far the axes are apart".to_owned());
    }
    let unknown = scenes.first().map_or(&[][..], |scene| &scene.sized.guessed);
    let scale = if unknown.is_empty() { "To scale." } else { "To scale where it is measured." };
    let mut notes = vec![scale.to_owned()];
    if !guessed.is_empty() {
        notes.push(format!("Place and size not stated: {}.", listed(&guessed, "and")));
    }
    if !unknown.is_empty() {
        notes.push(format!("Not known and guessed: {}.", unknown.join(", ")));
    }
    let engine = scenes.first().map(|scene| scene.engine);
    let parts = engine.into_iter().flat_map(|engine| engine.parts.entries());
    let missing = parts.filter(|(at, _)| !scenes.iter().any(|it| it.sized.parts.contains(at)));
    let missing: Vec<String> = missing.map(|(_, part)| part.name.spoken()).collect();
    if !missing.is_empty() {
        notes.push(format!("Not drawn: {}.", listed(&missing, "and")));
    }
    let valves = engine.into_iter().flat_map(|engine| engine.valves.iter());
    let valves: Vec<String> = valves.map(|valve| valve.name.spoken()).collect();
    if !valves.is_empty() {
        notes.push(format!("Drawn in the circuit only: {}.", listed(&valves, "and")));
    }
    if scenes.iter().any(|scene| scene.scaled.gap.is_some()) {
        notes.push("Barrel broken off.".to_owned());
    }
    notes.join(" ")
}

/// Share of ink in a room at a level, each level well apart from the next.
pub(super) fn ink(level: Level) -> f64 {
    match level {
        Level::Full(_) => 0.36,
        Level::Drawn => 0.2,
        Level::Spent => 0.08,
        Level::Empty => 0.0,
    }
}
