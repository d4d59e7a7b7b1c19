//! The writer of SVG: elements close themselves by nesting, numbers have two decimals, and every
//! word is escaped.
//!
//! Lines are drawn in the colour of the text around the picture, so that one file serves light
//! and dark pages and print. Only the title and the description have ids, with a prefix that
//! whoever sets several pictures on one page chooses. Must not know what is drawn.

use super::hatching::{self, Hatch};
use super::shape::{Align, Drawing, DrawnShape, NARROW, Pattern, Pen, Point, Weight};
use crate::text::escape_into;
use std::fmt::Write;

/// The colour of the surrounding text.
pub(crate) const SURROUNDING: &str = "currentColor";

impl Drawing {
    /// The picture as an `svg` element that stands in a page; `prefix` keeps its ids apart from
    /// those of other pictures.
    #[must_use]
    pub fn svg(&self, prefix: &str) -> String {
        self.element(prefix, &[])
    }

    /// The picture as a file of its own: black on white, whatever is around it.
    pub(crate) fn svg_file(&self, prefix: &str) -> String {
        self.element(prefix, &[("color", "#000"), ("style", "background:#fff")]) + "\n"
    }

    fn element(&self, prefix: &str, more: &[(&str, &str)]) -> String {
        let mut page = Xml::default();
        let size = [number(self.width), number(self.height)];
        let attributes = [
            ("xmlns", "http://www.w3.org/2000/svg"),
            ("class", "drawing"),
            ("role", "img"),
            ("aria-labelledby", &format!("{prefix}-title {prefix}-desc")),
            ("viewBox", &format!("0 0 {} {}", size[0], size[1])),
            ("width", &size[0]),
            ("height", &size[1]),
        ];
        let attributes = [more, &attributes].concat();
        page.element("svg", &attributes, |page| {
            page.text_element("title", &[("id", &format!("{prefix}-title"))], &self.title);
            page.text_element("desc", &[("id", &format!("{prefix}-desc"))], &self.told());
            self.write_shapes(page, SURROUNDING);
        });
        page.out
    }

    /// The shapes alone, in one group, for a picture that holds more.
    pub(super) fn write_shapes(&self, page: &mut Xml, ink: &str) {
        page.element("g", &plain(ink), |page| {
            // Hatching is many lines of one kind: they are one element.
            for run in self.shapes.chunk_by(|a, b| a.joins(b)) {
                write_run(page, run, ink);
            }
        });
    }
}

/// What all pieces of a picture have in common.
pub(super) fn plain(ink: &str) -> [(&str, &str); 5] {
    [
        ("fill", "none"),
        ("stroke", ink),
        ("stroke-width", "1"),
        ("stroke-linejoin", "round"),
        ("font-family", "DejaVu Sans, Verdana, sans-serif"),
    ]
}

/// One shape, or several lines of one pen as one element.
pub(super) fn write_run(page: &mut Xml, run: &[DrawnShape], ink: &str) {
    match run {
        [shape] => write_shape(page, shape, ink),
        lines => write_lines(page, lines),
    }
}

/// XML under way.
#[derive(Debug, Default)]
pub(super) struct Xml {
    /// What is written so far.
    pub(super) out: String,
}

impl Xml {
    /// Writes an element; what `inside` writes lies inside of it.
    pub(super) fn element(
        &mut self,
        name: &str,
        attributes: &[(&str, &str)],
        inside: impl FnOnce(&mut Xml),
    ) {
        let _ = write!(self.out, "<{name}");
        for (key, value) in attributes {
            let _ = write!(self.out, " {key}=\"");
            escape_into(&mut self.out, value);
            self.out.push('"');
        }
        let before = self.out.len();
        self.out.push('>');
        inside(self);
        if self.out.len() == before + 1 {
            self.out.truncate(before);
            self.out.push_str("/>");
        } else {
            let _ = write!(self.out, "</{name}>");
        }
    }

    /// Writes an element that holds a text.
    pub(super) fn text_element(&mut self, name: &str, attributes: &[(&str, &str)], text: &str) {
        self.element(name, attributes, |page| escape_into(&mut page.out, &printable(text)));
    }
}

/// XML has no place for control characters, not even escaped.
fn printable(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

/// Lines of one pen as one path.
fn write_lines(page: &mut Xml, lines: &[DrawnShape]) {
    page.out.push('\n');
    let mut data = String::new();
    let mut drawn_with = None;
    for line in lines {
        if let DrawnShape::Line { points, pen, .. } = line {
            data.push_str(&path_data(points, false));
            drawn_with = Some(*pen);
        }
    }
    if let Some(pen) = drawn_with {
        page.element("path", &styled(&[("d", &data)], pen), |_| {});
    }
}

fn write_shape(page: &mut Xml, shape: &DrawnShape, ink: &str) {
    page.out.push('\n');
    match shape {
        DrawnShape::Line { points, pen, closed, filled, .. } => {
            let data = path_data(points, *closed);
            let fill = if *filled { ink } else { "" };
            page.element("path", &styled(&[("d", &data), ("fill", fill)], *pen), |_| {});
        }
        DrawnShape::Box { rect, radius, pen } => {
            let numbers = [rect.left, rect.top, rect.width(), rect.height(), *radius].map(number);
            let [x, y, width, height, radius] = &numbers;
            let radius = if radius == "0" { "" } else { radius };
            let shape =
                [("x", &**x), ("y", y), ("width", width), ("height", height), ("rx", radius)];
            page.element("rect", &styled(&shape, *pen), |_| {});
        }
        DrawnShape::Circle { middle, radius, pen, filled } => {
            let numbers = [middle.x, middle.y, *radius].map(number);
            let fill = if *filled { ink } else { "" };
            let shape = [("cx", &*numbers[0]), ("cy", &numbers[1]), ("r", &numbers[2])];
            let shape = [shape.as_slice(), &[("fill", fill)]].concat();
            page.element("circle", &styled(&shape, *pen), |_| {});
        }
        DrawnShape::Arc { from, to, radius, clockwise, pen } => {
            let [x, y, radius, to_x, to_y] = [from.x, from.y, *radius, to.x, to.y].map(number);
            let sweep = u8::from(*clockwise);
            let data = format!("M{x} {y}A{radius} {radius} 0 0 {sweep} {to_x} {to_y}");
            page.element("path", &styled(&[("d", &data)], *pen), |_| {});
        }
        DrawnShape::Cut { outlines, hatch } => write_cut(page, outlines, *hatch, ink),
        DrawnShape::Tint { outlines, share } => {
            let share = number(*share);
            let ground = [("fill-opacity", &*share), ("fill-rule", "evenodd")];
            write_ground(page, outlines, ink, &ground);
        }
        DrawnShape::Leader { points } => {
            let mut data = path_data(points, false);
            if let Some(end) = points.last() {
                // A ring so small that its line fills it.
                let start = path_data(&[end.moved(-0.75, 0.0)], false);
                let _ = write!(data, "{start}a.75.75 0 1 0 1.5 0a.75.75 0 1 0-1.5 0");
            }
            page.element("path", &[("class", "leader"), ("d", &data)], |_| {});
        }
        DrawnShape::Text { place, align, size, bold, text } => {
            let [x, y, size] = [place.x, place.y, *size].map(number);
            let anchor = match align {
                Align::Left => "",
                Align::Centre => "middle",
                Align::Right => "end",
            };
            let weight = if *bold { "bold" } else { "" };
            let attributes = [
                ("x", &*x),
                ("y", &y),
                ("font-size", &size),
                ("text-anchor", anchor),
                ("font-weight", weight),
                ("fill", ink),
                ("stroke", "none"),
            ];
            page.text_element("text", &given(&attributes), text);
        }
    }
}

fn write_cut(page: &mut Xml, outlines: &[Vec<Point>], hatch: Hatch, ink: &str) {
    let Hatch::Lines { rising, step } = hatch else {
        write_ground(page, outlines, ink, &[]);
        return;
    };
    let mut data = String::new();
    for (from, to) in hatching::lines(outlines, rising, step) {
        let numbers = [from.x, from.y, to.x - from.x, to.y - from.y];
        let [x, y, along, across] = numbers.map(|it| number((10.0 * it).round() / 10.0));
        let _ = write!(data, "M{x} {y}l{along} {across}");
    }
    page.element("path", &styled(&[("d", &data)], NARROW), |_| {});
}

/// Ink within outlines, without a line around it.
fn write_ground(page: &mut Xml, outlines: &[Vec<Point>], ink: &str, how: &[(&str, &str)]) {
    let data: String = outlines.iter().map(|it| path_data(it, true)).collect();
    let shape = [("d", &*data), ("fill", ink), ("stroke", "none")];
    page.element("path", &[&shape, how].concat(), |_| {});
}

/// The attributes with those of a pen, without those that say nothing.
fn styled<'a>(attributes: &[(&'a str, &'a str)], pen: Pen) -> Vec<(&'a str, &'a str)> {
    let width = match pen.weight {
        Weight::Narrow => "",
        Weight::Wide => "2",
    };
    // ISO 128-2: dash 12, long dash 24, gap 3, dot half a line width; shorter here, because lines
    // between symbols are short. Dots are square: as long as the line is wide.
    let dashes = match (pen.pattern, pen.weight) {
        (Pattern::Continuous, _) => "",
        (Pattern::LongDashed, _) => "14 4",
        (Pattern::Dashed, _) => "6 3",
        (Pattern::Dotted, Weight::Narrow) => "1 3",
        (Pattern::Dotted, Weight::Wide) => "2 4",
        (Pattern::Chain, _) => "18 3 1 3",
    };
    let pen = [("stroke-width", width), ("stroke-dasharray", dashes)];
    given(&[attributes, &pen].concat())
}

fn given<'a>(attributes: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    attributes.iter().copied().filter(|(_, value)| !value.is_empty()).collect()
}

fn path_data(points: &[Point], closed: bool) -> String {
    let mut data = String::new();
    let mut last: Option<[String; 2]> = None;
    for point in points {
        let place = [point.x, point.y].map(number);
        let _ = match &last {
            None => write!(data, "M{} {}", place[0], place[1]),
            Some(last) if last[1] == place[1] => write!(data, "H{}", place[0]),
            Some(last) if last[0] == place[0] => write!(data, "V{}", place[1]),
            Some(_) => write!(data, "L{} {}", place[0], place[1]),
        };
        last = Some(place);
    }
    if closed {
        data.push('Z');
    }
    data
}

/// A length with at most two decimals.
pub(super) fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    match text {
        "-0" => "0".to_string(),
        text => text.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::shape::{NARROW, at};
    use super::*;

    #[test]
    fn numbers_are_short_and_never_minus_nothing() {
        let shown = [1.0, 0.126, -0.001, 20.5, 100.0].map(number);
        assert_eq!(shown, ["1", "0.13", "0", "20.5", "100"]);
    }

    #[test]
    fn words_are_escaped_and_empty_elements_close_themselves() {
        let drawing = Drawing {
            title: "a < b & \"c\"".into(),
            description: vec!["line\u{1} feed".into()],
            width: 10.0,
            height: 5.0,
            is_to_scale: false,
            shapes: vec![DrawnShape::line(&[at(0.0, 1.0), at(2.5, 1.0)], NARROW)],
        };
        assert_eq!(
            drawing.svg("p1"),
            "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"drawing\" role=\"img\" \
             aria-labelledby=\"p1-title p1-desc\" viewBox=\"0 0 10 5\" width=\"10\" \
             height=\"5\"><title id=\"p1-title\">a &lt; b &amp; &quot;c&quot;</title>\
             <desc id=\"p1-desc\">line  feed</desc><g fill=\"none\" stroke=\"currentColor\" \
             stroke-width=\"1\" stroke-linejoin=\"round\" font-family=\"DejaVu Sans, Verdana, \
             sans-serif\">\n<path d=\"M0 1H2.5\"/></g></svg>"
        );
    }
}
