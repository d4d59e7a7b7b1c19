//! What pictures are made of: lines of two widths, boxes, circles, arcs and texts at resolved
//! places.
//!
//! A drawing here has no names, references or defaults left; whoever writes or checks it needs
//! nothing else. Lengths are in units of the picture, x to the right, y down. Must not know
//! engines.

pub use super::hatching::Hatch;
use super::lettering;

/// A place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Down.
    pub y: f64,
}

/// A place, shortly.
#[must_use]
pub fn at(x: f64, y: f64) -> Point {
    Point { x, y }
}

impl Point {
    /// The place so much to the right and down.
    pub(crate) fn moved(self, x: f64, y: f64) -> Point {
        at(self.x + x, self.y + y)
    }
}

/// An upright rectangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rect {
    /// Left edge.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Right edge.
    pub right: f64,
    /// Lower edge.
    pub bottom: f64,
}

impl Rect {
    /// The rectangle with this upper left corner.
    pub(crate) fn new(corner: Point, width: f64, height: f64) -> Rect {
        let (left, top) = (corner.x, corner.y);
        Rect { left, top, right: left + width, bottom: top + height }
    }

    /// Its width.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.right - self.left
    }

    /// Its height.
    #[must_use]
    pub fn height(&self) -> f64 {
        self.bottom - self.top
    }

    /// The place in its middle.
    pub(crate) fn middle(&self) -> Point {
        at(f64::midpoint(self.left, self.right), f64::midpoint(self.top, self.bottom))
    }

    /// Whether they share more than an edge.
    #[must_use]
    pub fn overlaps(&self, other: &Rect) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    /// Larger by `by` on every side; smaller for a negative one.
    #[must_use]
    pub fn grown(&self, by: f64) -> Rect {
        Rect {
            left: self.left - by,
            top: self.top - by,
            right: self.right + by,
            bottom: self.bottom + by,
        }
    }

    /// The smallest that holds both.
    pub(crate) fn joined(&self, other: &Rect) -> Rect {
        Rect {
            left: self.left.min(other.left),
            top: self.top.min(other.top),
            right: self.right.max(other.right),
            bottom: self.bottom.max(other.bottom),
        }
    }

    fn corners(&self) -> [Point; 4] {
        [
            at(self.left, self.top),
            at(self.right, self.top),
            at(self.right, self.bottom),
            at(self.left, self.bottom),
        ]
    }
}

/// Width of a line; wide to narrow is 2 to 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// 1 unit.
    Narrow,
    /// 2 units.
    Wide,
}

/// Kind of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Pattern {
    /// Continuous.
    Continuous,
    /// Long dashes.
    LongDashed,
    /// Dashes.
    Dashed,
    /// Dots.
    Dotted,
    /// Long dash, dot.
    Chain,
}

/// A line's width and kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Pen {
    /// Width.
    pub weight: Weight,
    /// Kind.
    pub pattern: Pattern,
}

/// Continuous and narrow.
pub const NARROW: Pen = Pen { weight: Weight::Narrow, pattern: Pattern::Continuous };
/// Continuous and wide.
pub const WIDE: Pen = Pen { weight: Weight::Wide, pattern: Pattern::Continuous };
/// Dashed and narrow.
pub(crate) const DASHED: Pen = Pen { weight: Weight::Narrow, pattern: Pattern::Dashed };

/// Which end or middle of a text stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Align {
    /// The left end.
    Left,
    /// The middle.
    Centre,
    /// The right end.
    Right,
}

/// One piece of a picture.
#[derive(Debug, Clone, PartialEq)]
pub enum DrawnShape {
    /// Straight pieces from point to point.
    Line {
        /// At least two.
        points: Vec<Point>,
        /// The line.
        pen: Pen,
        /// Whether the last point is joined to the first.
        closed: bool,
        /// Whether the inside is filled with ink.
        filled: bool,
        /// For a line that joins things: which of the joined ones it belongs to.
        net: Option<usize>,
    },
    /// A box.
    Box {
        /// Its edges.
        rect: Rect,
        /// Radius of its corners.
        radius: f64,
        /// The line.
        pen: Pen,
    },
    /// A circle.
    Circle {
        /// Middle.
        middle: Point,
        /// Radius.
        radius: f64,
        /// The line.
        pen: Pen,
        /// Whether it is filled with ink.
        filled: bool,
    },
    /// A part of a circle, less than half of it.
    Arc {
        /// Where it starts.
        from: Point,
        /// Where it ends.
        to: Point,
        /// Radius, at least half the distance.
        radius: f64,
        /// Whether it turns clockwise.
        clockwise: bool,
        /// The line.
        pen: Pen,
    },
    /// Cut faces of one part: within an odd number of outlines. The outlines are drawn apart.
    Cut {
        /// Closed.
        outlines: Vec<Vec<Point>>,
        /// What the faces are told by.
        hatch: Hatch,
    },
    /// A lighter ground within an odd number of outlines.
    Tint {
        /// Closed.
        outlines: Vec<Vec<Point>>,
        /// Share of ink in it, up to 1.
        share: f64,
    },
    /// A line from a label to what it names, with a dot at its end.
    Leader {
        /// From the label on.
        points: Vec<Point>,
    },
    /// A line of text.
    Text {
        /// Where its base line stands.
        place: Point,
        /// What of it stands there.
        align: Align,
        /// Size of the letters.
        size: f64,
        /// Whether it is bold.
        bold: bool,
        /// What it says.
        text: String,
    },
}

/// What can be written as one element.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum RunKind {
    /// Lines of one pen.
    Lines(Pen),
    /// Lines from labels.
    Leaders,
    /// Texts of one size, in hundredths, set alike.
    Texts(u32, Align, bool),
}

/// A picture with the words that tell it to whoever does not see it.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// What it shows, in a few words.
    pub title: String,
    /// What it shows, sentence by sentence.
    pub description: Vec<String>,
    /// Width; the picture's corner is at 0, 0.
    pub width: f64,
    /// Height.
    pub height: f64,
    /// Units of the picture for a metre of the thing; none where it is not to scale.
    pub scale: Option<f64>,
    /// The pieces, the first drawn first.
    pub shapes: Vec<DrawnShape>,
}

impl Drawing {
    /// The shapes, moved so that all of them and `bounds` lie inside of the picture, `margin` away
    /// from its edges.
    pub(super) fn around(
        mut shapes: Vec<DrawnShape>,
        bounds: Rect,
        margin: f64,
        (title, description): (String, Vec<String>),
    ) -> Drawing {
        let all =
            shapes.iter().fold(bounds, |all, shape| all.joined(&shape.bounds())).grown(margin);
        shapes.iter_mut().for_each(|shape| shape.shift(-all.left, -all.top));
        let (width, height) = (all.width(), all.height());
        Drawing { title, description, width, height, scale: None, shapes }
    }

    /// The description in one piece.
    #[must_use]
    pub fn told(&self) -> String {
        self.description.join(" ")
    }
}

impl DrawnShape {
    /// Whether it and another can be written as one element.
    pub(super) fn joins(&self, other: &DrawnShape) -> bool {
        self.run_of().is_some() && self.run_of() == other.run_of()
    }

    /// Of what kind the pieces are that it can be written with as one element.
    pub(super) fn run_of(&self) -> Option<RunKind> {
        match self {
            DrawnShape::Line { pen, filled: false, .. } => Some(RunKind::Lines(*pen)),
            DrawnShape::Leader { .. } => Some(RunKind::Leaders),
            DrawnShape::Text { align, size, bold, .. } => {
                Some(RunKind::Texts((100.0 * size).round() as u32, *align, *bold))
            }
            _ => None,
        }
    }

    /// A line through points.
    pub(crate) fn line(points: &[Point], pen: Pen) -> DrawnShape {
        DrawnShape::Line { points: points.to_vec(), pen, closed: false, filled: false, net: None }
    }

    /// A closed outline.
    pub(crate) fn outline(points: &[Point], pen: Pen) -> DrawnShape {
        DrawnShape::Line { points: points.to_vec(), pen, closed: true, filled: false, net: None }
    }

    /// A closed area of ink.
    pub(crate) fn area(points: &[Point]) -> DrawnShape {
        DrawnShape::Line {
            points: points.to_vec(),
            pen: NARROW,
            closed: true,
            filled: true,
            net: None,
        }
    }

    /// The rectangle that a text takes.
    #[must_use]
    pub fn text_rect(&self) -> Option<Rect> {
        let DrawnShape::Text { place, align, size, bold, text } = self else { return None };
        let width =
            if *bold { lettering::bold_width(text, *size) } else { lettering::width(text, *size) };
        let left = match align {
            Align::Left => place.x,
            Align::Centre => place.x - width / 2.0,
            Align::Right => place.x - width,
        };
        Some(Rect::new(at(left, place.y - 0.78 * size), width, *size))
    }

    /// The rectangle that it takes, without the width of its line.
    #[must_use]
    pub fn bounds(&self) -> Rect {
        if let Some(rect) = self.text_rect() {
            return rect;
        }
        let points = self.strokes().into_iter().flat_map(|(from, to)| [from, to]);
        let rects = points.map(|point| Rect::new(point, 0.0, 0.0));
        rects.reduce(|all, one| all.joined(&one)).unwrap_or(Rect::new(at(0.0, 0.0), 0.0, 0.0))
    }

    /// Its lines as straight pieces: those of round shapes are near enough to tell whether a text
    /// lies on one.
    #[must_use]
    pub fn strokes(&self) -> Vec<(Point, Point)> {
        match self {
            DrawnShape::Line { points, closed, .. } => pieces(points, *closed),
            DrawnShape::Box { rect, .. } => pieces(&rect.corners(), true),
            DrawnShape::Circle { middle, radius, .. } => {
                let octagon = [
                    (1.0, 0.41),
                    (0.41, 1.0),
                    (-0.41, 1.0),
                    (-1.0, 0.41),
                    (-1.0, -0.41),
                    (-0.41, -1.0),
                    (0.41, -1.0),
                    (1.0, -0.41),
                ];
                pieces(&octagon.map(|(x, y)| middle.moved(x * radius, y * radius)), true)
            }
            DrawnShape::Arc { from, to, radius, clockwise, .. } => {
                pieces(&[*from, top_of_arc(*from, *to, *radius, *clockwise), *to], false)
            }
            DrawnShape::Cut { outlines, .. } | DrawnShape::Tint { outlines, .. } => {
                outlines.iter().flat_map(|outline| pieces(outline, true)).collect()
            }
            DrawnShape::Leader { points } => pieces(points, false),
            DrawnShape::Text { .. } => Vec::new(),
        }
    }

    /// The same shape elsewhere.
    pub(crate) fn shift(&mut self, x: f64, y: f64) {
        match self {
            DrawnShape::Line { points, .. } | DrawnShape::Leader { points } => {
                points.iter_mut().for_each(|point| *point = point.moved(x, y));
            }
            DrawnShape::Cut { outlines, .. } | DrawnShape::Tint { outlines, .. } => {
                outlines.iter_mut().flatten().for_each(|point| *point = point.moved(x, y));
            }
            DrawnShape::Box { rect, .. } => {
                *rect = Rect::new(at(rect.left + x, rect.top + y), rect.width(), rect.height());
            }
            DrawnShape::Circle { middle, .. } => *middle = middle.moved(x, y),
            DrawnShape::Arc { from, to, .. } => (*from, *to) = (from.moved(x, y), to.moved(x, y)),
            DrawnShape::Text { place, .. } => *place = place.moved(x, y),
        }
    }
}

fn pieces(points: &[Point], closed: bool) -> Vec<(Point, Point)> {
    let mut pieces: Vec<_> = points.windows(2).map(|pair| (pair[0], pair[1])).collect();
    if let (true, Some(first), Some(last)) = (closed, points.first(), points.last()) {
        pieces.push((*last, *first));
    }
    pieces
}

/// The place of an arc that is farthest from its chord.
fn top_of_arc(from: Point, to: Point, radius: f64, clockwise: bool) -> Point {
    let (x, y) = (to.x - from.x, to.y - from.y);
    let chord = (x * x + y * y).sqrt().max(1e-9);
    let height = radius - (radius * radius - chord * chord / 4.0).max(0.0).sqrt();
    let height = if clockwise { height } else { -height };
    let middle = at(f64::midpoint(from.x, to.x), f64::midpoint(from.y, to.y));
    middle.moved(y / chord * height, -x / chord * height)
}

/// Collects the pieces of a picture, moved to where the thing that is drawn lies.
#[derive(Debug, Default)]
pub(crate) struct Sketch {
    /// The pieces so far.
    pub(crate) shapes: Vec<DrawnShape>,
    origin: (f64, f64),
}

impl Sketch {
    /// What is drawn next is meant from here.
    pub(crate) fn move_to(&mut self, origin: Point) {
        self.origin = (origin.x, origin.y);
    }

    /// Adds a piece.
    pub(crate) fn add(&mut self, mut shape: DrawnShape) {
        shape.shift(self.origin.0, self.origin.1);
        self.shapes.push(shape);
    }

    /// Adds a line through points.
    pub(crate) fn line(&mut self, pen: Pen, points: &[(f64, f64)]) {
        self.add(DrawnShape::line(&places(points), pen));
    }

    /// Adds a line that belongs to a net.
    pub(crate) fn stub(&mut self, pen: Pen, net: usize, points: &[(f64, f64)]) {
        let points = places(points);
        self.add(DrawnShape::Line { points, pen, closed: false, filled: false, net: Some(net) });
    }

    /// Adds a line from a label to what it names.
    pub(crate) fn leader(&mut self, points: &[(f64, f64)]) {
        self.add(DrawnShape::Leader { points: places(points) });
    }

    /// Adds a closed outline.
    pub(crate) fn outline(&mut self, pen: Pen, points: &[(f64, f64)]) {
        self.add(DrawnShape::outline(&places(points), pen));
    }

    /// Adds a closed area of ink.
    pub(crate) fn area(&mut self, points: &[(f64, f64)]) {
        self.add(DrawnShape::area(&places(points)));
    }

    /// Adds a box.
    pub(crate) fn rect(&mut self, pen: Pen, rect: Rect, radius: f64) {
        self.add(DrawnShape::Box { rect, radius, pen });
    }

    /// Adds a circle.
    pub(crate) fn circle(&mut self, pen: Pen, middle: (f64, f64), radius: f64, filled: bool) {
        self.add(DrawnShape::Circle { middle: at(middle.0, middle.1), radius, pen, filled });
    }

    /// Adds a part of a circle.
    pub(crate) fn arc(&mut self, pen: Pen, ends: [(f64, f64); 2], radius: f64, clockwise: bool) {
        let [from, to] = ends.map(|(x, y)| at(x, y));
        self.add(DrawnShape::Arc { from, to, radius, clockwise, pen });
    }

    /// Adds a text.
    pub(crate) fn text(
        &mut self,
        size: f64,
        align: Align,
        place: (f64, f64),
        text: impl Into<String>,
    ) {
        let place = at(place.0, place.1);
        self.add(DrawnShape::Text { place, align, size, bold: false, text: text.into() });
    }

    /// Adds a bold text.
    pub(crate) fn bold(
        &mut self,
        size: f64,
        align: Align,
        place: (f64, f64),
        text: impl Into<String>,
    ) {
        let place = at(place.0, place.1);
        self.add(DrawnShape::Text { place, align, size, bold: true, text: text.into() });
    }
}

fn places(points: &[(f64, f64)]) -> Vec<Point> {
    points.iter().map(|(x, y)| at(*x, *y)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_half_circle_rises_by_its_radius() {
        let top = top_of_arc(at(0.0, 0.0), at(10.0, 0.0), 5.0, true);
        assert!((top.x - 5.0).abs() < 1e-9 && (top.y + 5.0).abs() < 1e-9, "{top:?}");
        let below = top_of_arc(at(0.0, 0.0), at(10.0, 0.0), 5.0, false);
        assert!((below.y - 5.0).abs() < 1e-9, "{below:?}");
    }

    #[test]
    fn edges_that_touch_do_not_overlap() {
        let left = Rect::new(at(0.0, 0.0), 10.0, 10.0);
        assert!(!left.overlaps(&Rect::new(at(10.0, 0.0), 10.0, 10.0)));
        assert!(left.overlaps(&Rect::new(at(9.0, 9.0), 10.0, 10.0)));
    }
}
