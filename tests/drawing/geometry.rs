//! What an eye would complain of in a drawing, as sentences.

use gaugebook::drawing::Drawing;
use gaugebook::drawing::shape::{DrawnShape, Point, Rect, at};

/// How near a line may come to a text. Boxes of texts hold their letters with a little air.
const AIR: f64 = -1.0;

type Piece = (Point, Point);

/// Everything that is wrong with a drawing.
pub(crate) fn complaints(drawing: &Drawing) -> Vec<String> {
    let mut complaints = Vec::new();
    let whole = Rect { left: 0.0, top: 0.0, right: drawing.width, bottom: drawing.height };
    for shape in &drawing.shapes {
        let bounds = shape.bounds();
        let corners = (at(bounds.left, bounds.top), at(bounds.right, bounds.bottom));
        let mut places = shape.strokes().into_iter().chain([corners]);
        if places.any(|(a, b)| ![a.x, a.y, b.x, b.y].iter().all(|number| number.is_finite())) {
            complaints.push(format!("not a place: {shape:?}"));
        } else if !holds(&whole, &bounds) {
            complaints.push(format!("outside of the picture: {shape:?}"));
        }
    }
    let texts: Vec<(&str, Rect)> = drawing.shapes.iter().filter_map(text).collect();
    for (at, (words, rect)) in texts.iter().enumerate() {
        for (other, other_rect) in &texts[at + 1..] {
            if rect.grown(AIR).overlaps(&other_rect.grown(AIR)) {
                complaints.push(format!("`{words}` lies on `{other}`"));
            }
        }
        for shape in &drawing.shapes {
            if shape.strokes().iter().any(|piece| touches(piece, &rect.grown(AIR))) {
                complaints.push(format!("`{words}` lies on a line: {shape:?}"));
            }
        }
    }
    complaints.extend(crossings(drawing));
    complaints
}

fn text(shape: &DrawnShape) -> Option<(&str, Rect)> {
    match shape {
        DrawnShape::Text { text, .. } => Some((text, shape.text_rect()?)),
        _ => None,
    }
}

fn holds(outer: &Rect, inner: &Rect) -> bool {
    outer.left <= inner.left
        && outer.top <= inner.top
        && inner.right <= outer.right
        && inner.bottom <= outer.bottom
}

/// Lines of different nets that meet.
fn crossings(drawing: &Drawing) -> Vec<String> {
    let lines = drawing.shapes.iter().filter_map(|shape| match shape {
        DrawnShape::Line { net: Some(net), .. } => Some((*net, shape.strokes())),
        _ => None,
    });
    let pieces: Vec<(usize, Piece)> =
        lines.flat_map(|(net, strokes)| strokes.into_iter().map(move |p| (net, p))).collect();
    let mut found = Vec::new();
    for (at, (net, piece)) in pieces.iter().enumerate() {
        for (other, other_piece) in &pieces[at + 1..] {
            if net != other && meet(piece, other_piece) {
                found.push(format!("net {net} meets net {other} at {piece:?} {other_piece:?}"));
            }
        }
    }
    found
}

/// Whether two straight pieces have a point in common.
fn meet(a: &Piece, b: &Piece) -> bool {
    let side = |p: Point, q: Point, r: Point| (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x);
    let [low, high] = [f64::min, f64::max];
    let apart = high(a.0.x, a.1.x) < low(b.0.x, b.1.x)
        || high(b.0.x, b.1.x) < low(a.0.x, a.1.x)
        || high(a.0.y, a.1.y) < low(b.0.y, b.1.y)
        || high(b.0.y, b.1.y) < low(a.0.y, a.1.y);
    !apart
        && side(a.0, a.1, b.0) * side(a.0, a.1, b.1) <= 0.0
        && side(b.0, b.1, a.0) * side(b.0, b.1, a.1) <= 0.0
}

/// Whether a straight piece passes through a rectangle.
fn touches(piece: &Piece, rect: &Rect) -> bool {
    let inside =
        |p: &Point| rect.left < p.x && p.x < rect.right && rect.top < p.y && p.y < rect.bottom;
    let corner = |x: f64, y: f64| Point { x, y };
    let diagonals = [
        (corner(rect.left, rect.top), corner(rect.right, rect.bottom)),
        (corner(rect.left, rect.bottom), corner(rect.right, rect.top)),
    ];
    inside(&piece.0) || inside(&piece.1) || diagonals.iter().any(|diagonal| meet(piece, diagonal))
}

#[test]
fn the_checks_see_what_they_should() {
    let line = |net, from: (f64, f64), to: (f64, f64)| DrawnShape::Line {
        points: vec![at(from.0, from.1), at(to.0, to.1)],
        pen: gaugebook::drawing::shape::NARROW,
        closed: false,
        filled: false,
        net: Some(net),
    };
    let text = |x: f64| DrawnShape::Text {
        place: at(x, 50.0),
        align: gaugebook::drawing::shape::Align::Left,
        size: 10.0,
        bold: false,
        text: "store".into(),
    };
    let found = |shapes: Vec<DrawnShape>| {
        let (title, description) = (String::new(), Vec::new());
        complaints(&Drawing {
            title,
            description,
            width: 100.0,
            height: 100.0,
            scale: None,
            shapes,
        })
        .len()
    };
    assert_eq!(found(vec![line(1, (0.0, 9.0), (90.0, 9.0)), line(1, (9.0, 0.0), (9.0, 20.0))]), 0);
    assert_eq!(found(vec![line(1, (0.0, 9.0), (90.0, 9.0)), line(2, (9.0, 0.0), (9.0, 20.0))]), 1);
    assert_eq!(found(vec![text(5.0), text(40.0)]), 0);
    assert_eq!(found(vec![text(5.0), text(20.0)]), 1);
    assert_eq!(found(vec![text(5.0), line(1, (0.0, 47.0), (90.0, 47.0))]), 1);
    assert_eq!(found(vec![text(90.0)]), 1, "it leaves the picture");
    assert_eq!(found(vec![line(1, (f64::NAN, 1.0), (2.0, 1.0))]), 1);
}
