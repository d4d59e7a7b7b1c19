//! A section as small as a stamp: the body light, what moves in it in full ink, no words.

use super::shape::{Drawing, DrawnShape, Hatch, Rect};

/// Free space around what is drawn.
const MARGIN: f64 = 4.0;

/// Share of ink in the body.
const BODY: f64 = 0.35;

impl Drawing {
    /// The picture with only what can be seen when it is small. The widest cut face at a place
    /// is the body. A picture without cut faces keeps its lines.
    pub(crate) fn thumbnail(&self) -> Drawing {
        let cuts = self.shapes.iter().filter_map(|shape| match shape {
            DrawnShape::Cut { outlines, .. } => Some((shape.bounds(), outlines)),
            _ => None,
        });
        let cuts: Vec<(Rect, &Vec<_>)> = cuts.collect();
        let bounds = cuts.iter().map(|(bounds, _)| *bounds).reduce(|all, one| all.joined(&one));
        let Some(bounds) = bounds else {
            let is_word = |shape: &&DrawnShape| {
                matches!(shape, DrawnShape::Text { .. } | DrawnShape::Leader { .. })
            };
            let shapes = self.shapes.iter().filter(|it| !is_word(it)).cloned().collect();
            return Drawing { shapes, ..self.clone() };
        };
        let is_body =
            |one: &Rect| !cuts.iter().any(|(it, _)| it.overlaps(one) && one.height() < it.height());
        let drawn = cuts.iter().map(|(own, outlines)| match is_body(own) {
            true => DrawnShape::Tint { outlines: (*outlines).clone(), share: BODY },
            false => DrawnShape::Cut { outlines: (*outlines).clone(), hatch: Hatch::Full },
        });
        let is_ball = |shape: &&DrawnShape| {
            matches!(shape, DrawnShape::Circle { .. }) && bounds.overlaps(&shape.bounds())
        };
        let shapes = drawn.chain(self.shapes.iter().filter(is_ball).cloned()).collect();
        let words = (self.title.clone(), self.description.clone());
        Drawing { scale: self.scale, ..Drawing::around(shapes, bounds, MARGIN, words) }
    }
}

#[cfg(test)]
mod tests {
    use super::super::shape::{Align, Point, at};
    use super::*;

    fn square(left: f64, top: f64, side: f64) -> Vec<Vec<Point>> {
        let corner = |x: f64, y: f64| at(left + x * side, top + y * side);
        vec![vec![corner(0.0, 0.0), corner(1.0, 0.0), corner(1.0, 1.0), corner(0.0, 1.0)]]
    }

    #[test]
    fn a_body_is_light_what_moves_is_dark_and_words_are_left_out() {
        let hatch = Hatch::Lines { rising: true, step: 4.0 };
        let text = "store".to_owned();
        let shapes = vec![
            DrawnShape::Cut { outlines: square(50.0, 50.0, 100.0), hatch },
            DrawnShape::Cut { outlines: square(90.0, 90.0, 20.0), hatch },
            DrawnShape::Text {
                place: at(5.0, 9.0),
                align: Align::Left,
                size: 9.0,
                bold: false,
                text,
            },
        ];
        let (title, description) = ("Maple: section".to_owned(), Vec::new());
        let whole =
            Drawing { title, description, width: 400.0, height: 200.0, scale: None, shapes };
        let small = whole.thumbnail();
        assert_eq!((small.width, small.height), (108.0, 108.0));
        let kinds: Vec<bool> =
            small.shapes.iter().map(|it| matches!(it, DrawnShape::Tint { .. })).collect();
        assert_eq!(kinds, [true, false]);
        assert!(matches!(small.shapes[1], DrawnShape::Cut { hatch: Hatch::Full, .. }));
    }
}
