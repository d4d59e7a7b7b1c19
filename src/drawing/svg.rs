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

    /// The same on no ground of its own, for a page that shows it small.
    pub(crate) fn svg_stamp(&self, prefix: &str) -> String {
        self.thumbnail().element(prefix, &[("color", "#000")]) + "\n"
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

/// One shape, or several as one element that can be.
pub(super) fn write_run(page: &mut Xml, run: &[DrawnShape], ink: &str) {
    page.out.push('\n');
    match run {
        [shape] => write_shape(page, shape, ink),
        [DrawnShape::Text { align, size, bold, .. }, ..] => {
            page.element("g", &given(&lettered((*align, *bold), &number(*size), ink)), |page| {
                run.iter().for_each(|text| write_text(page, text, &[]));
            });
        }
        several => write_lines(page, several),
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

/// Lines of one pen as one path; those of labels, with the dots at their ends as another.
fn write_lines(page: &mut Xml, lines: &[DrawnShape]) {
    let is_leader = matches!(lines, [DrawnShape::Leader { .. }, ..]);
    let mut data = if is_leader { PathData::coarse() } else { PathData::fine() };
    let mut dots = PathData::coarse();
    let mut drawn_with = None;
    for line in lines {
        match line {
            DrawnShape::Line { points, pen, closed, .. } => {
                data.add(points, *closed);
                drawn_with = Some(*pen);
            }
            DrawnShape::Leader { points } => {
                data.add(points, false);
                let end = points.last().copied();
                dots.add(&end.map_or(Vec::new(), |end| vec![end, end.moved(0.1, 0.0)]), false);
            }
            _ => {}
        }
    }
    let Some(pen) = drawn_with else {
        page.element("path", &[("class", "leader"), ("d", &data.text)], |_| {});
        // A line of next to no length with round ends is a dot.
        let round = [("stroke-width", "2.5"), ("stroke-linecap", "round")];
        let dots = [("class", "leader"), ("d", &*dots.text)];
        page.element("path", &[dots, round].concat(), |_| {});
        return;
    };
    page.element("path", &styled(&[("d", &data.text)], pen), |_| {});
}

/// A text with these attributes beside its place.
fn write_text(page: &mut Xml, shape: &DrawnShape, attributes: &[(&str, &str)]) {
    let DrawnShape::Text { place, text, .. } = shape else { return };
    let [x, y] = [place.x, place.y].map(|it| number((10.0 * it).round() / 10.0));
    page.text_element("text", &[&[("x", &*x), ("y", &y)], attributes].concat(), text);
}

/// How a text is set.
fn lettered<'a>(
    (align, bold): (Align, bool),
    size: &'a str,
    ink: &'a str,
) -> [(&'a str, &'a str); 5] {
    let anchor = match align {
        Align::Left => "",
        Align::Centre => "middle",
        Align::Right => "end",
    };
    let weight = if bold { "bold" } else { "" };
    let set = [("font-size", size), ("text-anchor", anchor), ("font-weight", weight)];
    let [size, anchor, weight] = set;
    [size, anchor, weight, ("fill", ink), ("stroke", "none")]
}

fn write_shape(page: &mut Xml, shape: &DrawnShape, ink: &str) {
    match shape {
        DrawnShape::Line { points, pen, closed, filled: true, .. } => {
            let data = PathData::fine().with(points, *closed);
            page.element("path", &styled(&[("d", &data.text), ("fill", ink)], *pen), |_| {});
        }
        DrawnShape::Line { .. } => write_lines(page, std::slice::from_ref(shape)),
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
        DrawnShape::Leader { .. } => write_lines(page, std::slice::from_ref(shape)),
        DrawnShape::Text { align, size, bold, .. } => {
            let size = number(*size);
            write_text(page, shape, &given(&lettered((*align, *bold), &size, ink)));
        }
    }
}

fn write_cut(page: &mut Xml, outlines: &[Vec<Point>], hatch: Hatch, ink: &str) {
    let Hatch::Lines { rising, step } = hatch else {
        write_ground(page, outlines, ink, &[]);
        return;
    };
    let mut data = PathData::coarse();
    for (from, to) in hatching::lines(outlines, rising, step) {
        data.add(&[from, to], false);
    }
    page.element("path", &styled(&[("d", &data.text)], NARROW), |_| {});
}

/// Ink within outlines, without a line around it.
fn write_ground(page: &mut Xml, outlines: &[Vec<Point>], ink: &str, how: &[(&str, &str)]) {
    let mut data = PathData::coarse();
    outlines.iter().for_each(|outline| data.add(outline, true));
    let shape = [("d", &*data.text), ("fill", ink), ("stroke", "none")];
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

/// The corners of a path, each told by how far it is from the one before.
struct PathData {
    text: String,
    /// Where it starts and where it has come to, in hundredths.
    ends: Option<[(i64, i64); 2]>,
    /// The finest step, in hundredths.
    step: i64,
}

impl PathData {
    fn fine() -> PathData {
        PathData { text: String::new(), ends: None, step: 1 }
    }

    /// For what is not held against other lines.
    fn coarse() -> PathData {
        PathData { step: 10, ..PathData::fine() }
    }

    fn with(mut self, points: &[Point], closed: bool) -> PathData {
        self.add(points, closed);
        self
    }

    /// Adds a line through points.
    fn add(&mut self, points: &[Point], closed: bool) {
        let step = self.step as f64;
        let places = points.iter().map(|point| {
            [point.x, point.y].map(|it| (hundredths(it) as f64 / step).round() as i64 * self.step)
        });
        for (number, [x, y]) in places.enumerate() {
            let [_, last] = self.ends.unwrap_or_default();
            let (across, down) = (short(x - last.0), short(y - last.1));
            let between = if down.starts_with('-') { "" } else { " " };
            let text = &mut self.text;
            let _ = match (number, self.ends) {
                (0, None) => write!(text, "M{across}{between}{down}"),
                (0, Some(_)) => write!(text, "m{across}{between}{down}"),
                _ if y == last.1 => write!(text, "h{across}"),
                _ if x == last.0 => write!(text, "v{down}"),
                _ => write!(text, "l{across}{between}{down}"),
            };
            let start = self.ends.filter(|_| number != 0).map_or((x, y), |[start, _]| start);
            self.ends = Some([start, (x, y)]);
        }
        if closed && !points.is_empty() {
            self.text.push('Z');
            self.ends = self.ends.map(|[start, _]| [start, start]);
        }
    }
}

/// Hundredths as short as a path may have them.
fn short(hundredths: i64) -> String {
    let text = number(hundredths as f64 / 100.0);
    match text.strip_prefix("0.") {
        Some(rest) => format!(".{rest}"),
        None => text.replacen("-0.", "-.", 1),
    }
}

/// A length in hundredths.
pub(super) fn hundredths(length: f64) -> i64 {
    // What lies right between two hundredths is the same one however it was moved there.
    (length * 100.0 + 1e-6).round() as i64
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
            scale: None,
            shapes: vec![DrawnShape::line(&[at(0.0, 1.0), at(2.5, 1.0)], NARROW)],
        };
        assert_eq!(
            drawing.svg("p1"),
            "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"drawing\" role=\"img\" \
             aria-labelledby=\"p1-title p1-desc\" viewBox=\"0 0 10 5\" width=\"10\" \
             height=\"5\"><title id=\"p1-title\">a &lt; b &amp; &quot;c&quot;</title>\
             <desc id=\"p1-desc\">line  feed</desc><g fill=\"none\" stroke=\"currentColor\" \
             stroke-width=\"1\" stroke-linejoin=\"round\" font-family=\"DejaVu Sans, Verdana, \
             sans-serif\">\n<path d=\"M0 1h2.5\"/></g></svg>"
        );
    }
}
