//! Labels in a row above or below a section, each with a leader to what it names.
//!
//! Labels keep the order of what they name, so leaders cannot cross: they slant outside of the
//! body and go straight in.

use crate::drawing::lettering::width;
use crate::drawing::row::settled;
use crate::drawing::shape::{Align, NARROW, Sketch};

/// Size of labels.
pub(crate) const LETTER: f64 = 12.0;
const LINE: f64 = 14.0;
/// Free space between neighbours.
const GAP: f64 = 14.0;
/// Height of the band in which leaders slant.
pub(crate) const SLANT: f64 = 26.0;
/// Smallest distance of two leaders.
const APART: f64 = 5.0;

/// A label.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct SectionLabel {
    pub(crate) lines: Vec<String>,
    pub(crate) to: (f64, f64),
}

/// Sets the labels of one side in a row. `edge` is the height of the body's edge on that side.
pub(crate) fn draw(mut labels: Vec<SectionLabel>, edge: f64, above: bool, sketch: &mut Sketch) {
    labels.sort_by(|a, b| a.to.0.total_cmp(&b.to.0).then_with(|| a.lines.cmp(&b.lines)));
    let mut last = f64::NEG_INFINITY;
    for label in &mut labels {
        label.to.0 = label.to.0.max(last + APART);
        last = label.to.0;
    }
    let widths: Vec<f64> = labels.iter().map(extent).collect();
    let wishes: Vec<f64> = labels.iter().map(|label| label.to.0).collect();
    let turn = if above { -1.0 } else { 1.0 };
    let row = edge + turn * SLANT;
    for (label, x) in labels.iter().zip(spread(&wishes, &widths)) {
        let (to_x, to_y) = label.to;
        sketch.line(NARROW, &[(x, row), (to_x, edge + turn * 4.0), (to_x, to_y)]);
        sketch.circle(NARROW, (to_x, to_y), 1.5, true);
        let first = if above {
            row - 5.0 - LINE * (label.lines.len().max(1) - 1) as f64
        } else {
            row + LETTER + 1.0
        };
        for (at, line) in label.lines.iter().enumerate() {
            sketch.text(LETTER, Align::Centre, (x, first + LINE * at as f64), line);
        }
    }
}

/// Height of the row with the slant of its leaders.
pub(crate) fn height(labels: &[SectionLabel]) -> f64 {
    let lines = labels.iter().map(|label| label.lines.len()).max().unwrap_or(0);
    SLANT + LINE * lines as f64 + 6.0
}

fn extent(label: &SectionLabel) -> f64 {
    label.lines.iter().map(|line| width(line, LETTER)).fold(0.0, f64::max)
}

/// Middles of labels of the given widths, in order and apart.
fn spread(wishes: &[f64], widths: &[f64]) -> Vec<f64> {
    let mut offsets = Vec::new();
    let mut offset = 0.0;
    for (at, width) in widths.iter().enumerate() {
        if 0 < at {
            offset += (widths[at - 1] + width) / 2.0 + GAP;
        }
        offsets.push(offset);
    }
    settled(wishes, &offsets)
}
