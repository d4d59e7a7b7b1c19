//! Hatching of cut faces: narrow lines at 45°, on one raster for all faces of a part (ISO 128-50).

use super::shape::{Point, at};

/// How a cut face is told from others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Hatch {
    /// Lines at 45°, this far apart along the axis.
    Lines {
        /// Whether they rise to the right.
        rising: bool,
        /// Distance along the axis.
        step: f64,
    },
    /// Ink: for what is too thin to be hatched.
    Full,
}

/// The lines over what lies within an odd number of outlines.
pub(super) fn lines(outlines: &[Vec<Point>], rising: bool, step: f64) -> Vec<(Point, Point)> {
    let turn = if rising { 1.0 } else { -1.0 };
    // On a line x and y have one sum, or one difference.
    let level = |point: &Point| point.x + turn * point.y;
    let levels: Vec<f64> = outlines.iter().flatten().map(level).collect();
    let low = levels.iter().copied().fold(f64::INFINITY, f64::min);
    let high = levels.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if step <= 0.0 || high < low {
        return Vec::new();
    }
    let mut lines = Vec::new();
    for number in (low / step).ceil() as i64..=(high / step).floor() as i64 {
        // Off the corners, which lie on round numbers more often than not.
        let sum = (number as f64 + 0.013) * step;
        let mut places: Vec<f64> = Vec::new();
        for outline in outlines {
            for (a, b) in outline.iter().zip(outline.iter().cycle().skip(1)) {
                let (from, to) = (level(a) - sum, level(b) - sum);
                if (from < 0.0) != (to < 0.0) {
                    places.push(a.x + (b.x - a.x) * from / (from - to));
                }
            }
        }
        places.sort_by(f64::total_cmp);
        for pair in places.chunks_exact(2).filter(|pair| 0.5 < pair[1] - pair[0]) {
            let end = |x: f64| at(x, turn * (sum - x));
            lines.push((end(pair[0]), end(pair[1])));
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_end_at_the_outlines() {
        let square =
            |low: f64, high: f64| vec![at(low, low), at(high, low), at(high, high), at(low, high)];
        let found = lines(&[square(0.0, 40.0), square(10.0, 30.0)], true, 5.0);
        assert!(!found.is_empty());
        for (from, to) in &found {
            assert!((from.x + from.y - to.x - to.y).abs() < 1e-9, "45°");
            let middle = at(f64::midpoint(from.x, to.x), f64::midpoint(from.y, to.y));
            let is_within = |low: f64, high: f64| {
                low < middle.x && middle.x < high && low < middle.y && middle.y < high
            };
            assert!(is_within(0.0, 40.0) && !is_within(10.0, 30.0), "{middle:?}");
        }
    }
}
