//! The circuit: symbols to the conventions of ISO 1219-1, laid out from the model.
//!
//! Drawn to the conventions as workshops know them; the text of the standard was not compared.
//! Lines never cross: what cannot be laid without a crossing ends in circles with the same letter.
//! Every connection to the open air has a triangle of its own.

mod actuators;
mod block;
mod budget;
mod chambers;
mod estimate;
mod gates;
mod grid;
mod marks;
mod order;
mod parts;
mod passages;
mod place;
mod ports;
mod route;
mod selectors;
mod valves;

use super::describe;
use super::lettering;
use super::shape::{
    Align, DASHED, Drawing, DrawnShape, NARROW, Pattern, Pen, Point, Rect, Sketch, at,
};
use super::view::{DrawingView, LEVELS, Mark, level_weight};
use crate::cutaway::model::{ChamberId, Element, Engine, ValveKind};
use crate::text::{capitalised, listed};
use block::{SMALL, SymbolNode, unit};
use route::{Net, Placed};
use std::collections::{BTreeMap, BTreeSet};

/// Free space around the picture.
const MARGIN: f64 = 8.0;
/// Radius of the circle with the letter of a line that is drawn in pieces.
const REFERENCE: f64 = 7.5;

/// What a picture says of itself whose layout took too many steps.
const CUT_SHORT: &str =
    "too many lines to find the best layout: ends with the same letter are one line";

/// The layout of an engine's circuit: worked out once, drawn for any state.
#[derive(Debug, Clone)]
pub struct Circuit {
    placed: Vec<Placed>,
    nets: BTreeMap<usize, Net>,
    steps: u64,
    is_cut_short: bool,
}

/// The circuit of an engine, laid out and drawn. For several states of one engine lay it out once
/// ([`Circuit::of`]).
#[must_use]
pub fn circuit(engine: &Engine, view: &DrawingView) -> Drawing {
    Circuit::of(engine).drawing(engine, view)
}

impl Circuit {
    /// Lays out the circuit of an engine.
    #[must_use]
    pub fn of(engine: &Engine) -> Circuit {
        let place::CircuitLayout { placed, nets, steps, is_cut_short, .. } = place::place(engine);
        Circuit { placed, nets, steps, is_cut_short }
    }

    /// How much work the layout was, in steps that are the same on every machine.
    #[must_use]
    pub fn steps(&self) -> u64 {
        self.steps
    }

    /// Whether lines stayed open because the search for a layout was ended: this is then the best
    /// that was found.
    #[must_use]
    pub fn is_cut_short(&self) -> bool {
        self.is_cut_short
    }

    /// How many ends of lines carry a letter, because no way without a crossing was found.
    #[must_use]
    pub fn open_ends(&self) -> usize {
        self.nets.values().map(|net| net.open.len()).sum()
    }

    /// Draws the engine that it was laid out for.
    #[must_use]
    pub fn drawing(&self, engine: &Engine, view: &DrawingView) -> Drawing {
        let mut sketch = Sketch::default();
        let letters = self.letters();
        for (net, lines) in &self.nets {
            let pen = pen_of(engine, view, *net);
            self.draw_net(engine, (*net, lines), pen, letters.get(net), &mut sketch);
        }
        for it in &self.placed {
            sketch.move_to(at(unit(it.at.0), unit(it.at.1)));
            self.draw_block(engine, view, it, &letters, &mut sketch);
            marks::draw(view, &it.block, &mut sketch);
        }
        let mut shapes = sketch.shapes;
        for node in self.nets.iter().flat_map(|(id, net)| self.lettered(*id, net)) {
            shapes.iter_mut().for_each(|shape| shorten(shape, at(unit(node.0), unit(node.1))));
        }
        let bounds = self.bounds();
        let (title, mut description) = describe::circuit(engine, view);
        let mut below = legend(engine, view, bounds);
        if self.is_cut_short {
            let bottom =
                below.iter().map(|shape| shape.bounds().bottom).fold(bounds.bottom, f64::max);
            let mut note = Sketch::default();
            note.text(SMALL, Align::Left, (bounds.left, bottom + 14.0), CUT_SHORT);
            below.extend(note.shapes);
            description.push(format!("{}.", capitalised(CUT_SHORT)));
        }
        shapes.extend(below);
        Drawing::around(shapes, bounds, MARGIN, (title, description))
    }

    /// The rectangle of all symbols and lines.
    fn bounds(&self) -> Rect {
        let blocks = self.placed.iter().map(|it| {
            let corner = at(unit(it.at.0), unit(it.at.1));
            let (width, height) = (unit(it.block.width - 1), unit(it.block.height - 1));
            Rect::new(corner, width, height).grown(10.0)
        });
        let nodes = self.nets.values().flat_map(|net| net.steps.iter().flat_map(|(a, b)| [*a, *b]));
        let open = self.nets.values().flat_map(|net| net.open.iter().copied());
        let nodes =
            nodes.chain(open).map(|n| Rect::new(at(unit(n.0), unit(n.1)), 0.0, 0.0).grown(9.0));
        let all = blocks.chain(nodes).reduce(|all, one| all.joined(&one));
        all.unwrap_or(Rect::new(at(0.0, 0.0), 10.0, 10.0))
    }

    /// A letter for each net with open ends.
    fn letters(&self) -> BTreeMap<usize, String> {
        let open = self.nets.iter().filter(|(_, net)| !net.open.is_empty());
        open.enumerate().map(|(at, (net, _))| (*net, letter(at))).collect()
    }

    fn draw_net(
        &self,
        engine: &Engine,
        net: (usize, &Net),
        pen: Pen,
        letter: Option<&String>,
        sketch: &mut Sketch,
    ) {
        sketch.move_to(at(0.0, 0.0));
        let point = |node: SymbolNode| (unit(node.0), unit(node.1));
        for (a, b) in route::lines(net.1) {
            sketch.stub(pen, net.0, &[point(a), point(b)]);
        }
        for node in route::junctions(net.1) {
            sketch.circle(NARROW, point(node), 3.5, true);
        }
        if let Some(hub) = self.hub(net.0) {
            self.draw_landings(engine, hub, net, pen, sketch);
        }
        let Some(letter) = letter else { return };
        for node in self.lettered(net.0, net.1) {
            let (x, y) = point(node);
            sketch.circle(NARROW, (x, y), REFERENCE, false);
            sketch.text(SMALL, Align::Centre, (x, y + 3.5), letter);
        }
    }

    fn hub(&self, net: usize) -> Option<&Placed> {
        self.placed.iter().find(|it| it.block.content == Element::Chamber(ChamberId::at(net)))
    }

    /// The ends of lines that carry a letter. A chamber carries the letter in its name; a tie
    /// has no symbol of its own, so both of its ends carry it.
    fn lettered(&self, id: usize, net: &Net) -> BTreeSet<SymbolNode> {
        let mut ends: BTreeSet<SymbolNode> = net.open.iter().copied().collect();
        if !ends.is_empty() && self.hub(id).is_none() && net.steps.is_empty() {
            ends.extend(&net.ends);
        }
        ends
    }

    /// The last bit of each line to the outline of its chamber.
    fn draw_landings(
        &self,
        engine: &Engine,
        hub: &Placed,
        net: (usize, &Net),
        pen: Pen,
        sketch: &mut Sketch,
    ) {
        let chamber = ChamberId::at(net.0);
        if chambers::is_source(&engine.chambers[chamber]) {
            return;
        }
        for pin in 0..hub.block.pins.len() {
            let node = hub.pin(pin);
            if net.1.ends.contains(&node) {
                let edge = chambers::landing(engine, &hub.block, chamber, hub.block.pins[pin].node);
                let edge = (unit(hub.at.0) + edge.0, unit(hub.at.1) + edge.1);
                sketch.stub(pen, net.0, &[(unit(node.0), unit(node.1)), edge]);
            }
        }
    }

    fn draw_block(
        &self,
        engine: &Engine,
        view: &DrawingView,
        it: &Placed,
        letters: &BTreeMap<usize, String>,
        sketch: &mut Sketch,
    ) {
        let block = &it.block;
        match block.content {
            Element::Chamber(chamber) => {
                let letter = letters.get(&chamber.place()).map(String::as_str);
                chambers::draw(engine, view, block, chamber, letter, sketch);
            }
            Element::Regulator(chamber) => {
                chambers::draw_regulator(engine, view, block, chamber, sketch);
            }
            Element::Way(way) => match &engine.ways[way] {
                it if it.barrel => passages::draw_barrel(engine, view, block, way, sketch),
                it if it.when.is_empty() => passages::draw(engine, view, block, way, sketch),
                _ => gates::draw(engine, view, block, way, sketch),
            },
            Element::Valve(valve) => match engine.valves[valve].kind {
                ValveKind::Boxes(_) => valves::draw(engine, view, block, valve, sketch),
                _ => selectors::draw(engine, view, block, valve, sketch),
            },
            Element::Part(part) => parts::draw(engine, view, block, part, sketch),
            // Nothing else has a symbol of its own.
            _ => {}
        }
    }
}

/// Ends a line at the circle around a place instead of at the place.
fn shorten(shape: &mut DrawnShape, end: Point) {
    let DrawnShape::Line { points, net: Some(_), .. } = shape else { return };
    let [from, .., to] = points.as_mut_slice() else { return };
    for (here, there) in [(*from, *to), (*to, *from)] {
        if here != end {
            continue;
        }
        let length = (there.x - here.x).hypot(there.y - here.y).max(1e-9);
        let share = REFERENCE / length;
        let short = here.moved((there.x - here.x) * share, (there.y - here.y) * share);
        if here == *from {
            *from = short;
        } else {
            *to = short;
        }
    }
}

/// `A`, `B`, … `Z`, `A1`, ….
fn letter(at: usize) -> String {
    let letter = char::from(b'A' + u8::try_from(at % 26).unwrap_or(0));
    if at < 26 { letter.to_string() } else { format!("{letter}{}", at / 26) }
}

fn pen_of(engine: &Engine, view: &DrawingView, net: usize) -> Pen {
    match net.checked_sub(engine.chambers.len()) {
        None => view.pen(engine, ChamberId::at(net)),
        Some(_) => DASHED,
    }
}

/// What is under the picture: the lines of the levels or of what steers, what is pulled, the
/// letters of marks.
fn legend(engine: &Engine, view: &DrawingView, bounds: Rect) -> Vec<DrawnShape> {
    let mut sketch = Sketch::default();
    let mut base = bounds.bottom + 18.0;
    let mut x = bounds.left;
    if view.state.is_some() {
        for level in LEVELS {
            let word = level.word();
            let pen = Pen { weight: level_weight(level), pattern: Pattern::Continuous };
            chambers::level_mark(level, (x, base), &mut sketch);
            sketch.line(pen, &[(x + 10.0, base - 3.5), (x + 34.0, base - 3.5)]);
            sketch.text(SMALL, Align::Left, (x + 39.0, base), word);
            x += 54.0 + lettering::width(word, SMALL);
        }
    }
    if let Some(pen) = steering(engine, view) {
        sketch.line(pen, &[(x, base - 3.5), (x + 30.0, base - 3.5)]);
        sketch.text(SMALL, Align::Left, (x + 35.0, base), "steers a part or a valve");
    }
    if !sketch.shapes.is_empty() {
        base += 16.0;
    }
    if view.state.is_some() {
        let pulled = engine.triggers.ids().filter(|trigger| view.is_pulled(*trigger));
        let pulled: Vec<String> =
            pulled.map(|trigger| Element::Trigger(trigger).spoken(engine)).collect();
        if !pulled.is_empty() {
            let text = format!("{} pulled", capitalised(&listed(&pulled, "and")));
            sketch.text(SMALL, Align::Left, (bounds.left, base), text);
            base += 16.0;
        }
    }
    let marks: BTreeSet<Mark> = view.marks.values().copied().collect();
    if !marks.is_empty() {
        let words = marks.iter().map(|mark| format!("[{}] {}", mark.letter(), mark.words()));
        let text = words.collect::<Vec<_>>().join("   ");
        sketch.text(SMALL, Align::Left, (bounds.left, base), text);
    }
    sketch.shapes
}

/// The line of rooms that steer, if there are any.
fn steering(engine: &Engine, view: &DrawingView) -> Option<Pen> {
    let mut chambers = engine.chambers.ids();
    let is_dashed = |chamber: &ChamberId| view.pen(engine, *chamber).pattern == Pattern::Dashed;
    chambers.find(is_dashed).map(|chamber| view.pen(engine, chamber))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_go_on_after_z() {
        assert_eq!([0, 25, 26, 53].map(letter), ["A", "Z", "A1", "B2"]);
    }
}
