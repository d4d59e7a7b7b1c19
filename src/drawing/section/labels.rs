//! Labels in a row above or below a section, each with a leader to what it names.
//!
//! Labels keep the order of what they name, so leaders cannot cross: they slant outside of the
//! body and go straight in.

use crate::drawing::lettering::width;
use crate::drawing::row::settled;
use crate::drawing::shape::{Align, Sketch};
use std::collections::BTreeMap;

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
    /// What tells it from the others of its row, the same in all states.
    pub(crate) key: String,
    pub(crate) lines: Vec<String>,
    pub(crate) to: (f64, f64),
}

impl SectionLabel {
    /// A label that its first line tells from others.
    pub(crate) fn new(lines: Vec<String>, to: (f64, f64)) -> SectionLabel {
        let key = lines.first().cloned().unwrap_or_default();
        SectionLabel { key, lines, to }
    }
}

/// Sets the labels of one side in a row, for each of several states, and gives each its middle.
/// It is the same in all states as long as the labels keep their order.
pub(crate) fn set(mut rows: Vec<Vec<SectionLabel>>) -> Vec<Vec<(SectionLabel, f64)>> {
    for labels in &mut rows {
        labels.sort_by(|a, b| a.to.0.total_cmp(&b.to.0).then_with(|| a.lines.cmp(&b.lines)));
        let mut last = f64::NEG_INFINITY;
        for label in labels {
            label.to.0 = label.to.0.max(last + APART);
            last = label.to.0;
        }
    }
    let slots = Slots::of(&rows);
    let set = rows.into_iter().map(|labels| {
        let middles = slots.middles(&labels).unwrap_or_else(|| {
            let wishes: Vec<f64> = labels.iter().map(|label| label.to.0).collect();
            spread(&wishes, &labels.iter().map(extent).collect::<Vec<_>>())
        });
        labels.into_iter().zip(middles).collect()
    });
    set.collect()
}

/// Places that labels keep in all states, from left to right.
struct Slots {
    names: Vec<String>,
    middles: Vec<f64>,
}

impl Slots {
    fn of(rows: &[Vec<SectionLabel>]) -> Slots {
        let mut seen: BTreeMap<&str, (f64, f64, f64)> = BTreeMap::new();
        for label in rows.iter().flatten() {
            let (sum, count, widest) = seen.entry(label.key.as_str()).or_insert((0.0, 0.0, 0.0));
            (*sum, *count) = (*sum + label.to.0, *count + 1.0);
            *widest = widest.max(extent(label));
        }
        let slots = seen.into_iter().map(|(name, (sum, count, wide))| (sum / count, wide, name));
        let mut slots: Vec<(f64, f64, &str)> = slots.collect();
        slots.sort_by(|a, b| a.0.total_cmp(&b.0));
        let [wishes, widths] = [|slot: &(f64, f64, &str)| slot.0, |slot: &(f64, f64, &str)| slot.1]
            .map(|of| slots.iter().map(of).collect::<Vec<f64>>());
        let names = slots.iter().map(|(_, _, name)| (*name).to_owned()).collect();
        Slots { names, middles: spread(&wishes, &widths) }
    }

    /// The middles of a row's labels, if they stand in this order.
    fn middles(&self, labels: &[SectionLabel]) -> Option<Vec<f64>> {
        let mut slots = self.names.iter().zip(&self.middles);
        let middle = |label: &SectionLabel| slots.find(|slot| *slot.0 == label.key);
        labels.iter().map(middle).map(|slot| slot.map(|(_, middle)| *middle)).collect()
    }
}

/// Draws the labels of one side. `edge` is the height of the body's edge on that side.
pub(crate) fn draw(labels: &[(SectionLabel, f64)], edge: f64, above: bool, sketch: &mut Sketch) {
    let turn = if above { -1.0 } else { 1.0 };
    let row = edge + turn * SLANT;
    for (label, x) in labels {
        let x = *x;
        let (to_x, to_y) = label.to;
        sketch.leader(&[(x, row), (to_x, edge + turn * 4.0), (to_x, to_y)]);
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
