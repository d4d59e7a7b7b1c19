//! Labels in rows above or below a section, each with a leader to what it names.
//!
//! Labels keep the order of what they name, so leaders cannot cross: they slant outside of the
//! body and go straight in. Where one row would be longer than the body, every other label stands
//! in a second one, its leader between two labels of the first.

use crate::drawing::lettering::width;
use crate::drawing::row::settled;
use crate::drawing::shape::{Align, Sketch};
use std::cmp::Ordering;
use std::collections::BTreeMap;

/// Size of labels.
pub(crate) const LETTER: f64 = 12.0;
const LINE: f64 = 14.0;
/// Free space between neighbours, and between a label and a leader that passes it.
const GAP: f64 = 14.0;
const PASSING: f64 = 6.0;
/// Height of the band in which leaders slant.
pub(crate) const SLANT: f64 = 26.0;
/// Smallest distance of two leaders.
const APART: f64 = 5.0;

/// A label.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct SectionLabel {
    /// What tells it from the others of its side, the same in all states.
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

/// A label with its place.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct SetLabel {
    label: SectionLabel,
    middle: f64,
    /// How far outside of the first row.
    off: f64,
}

/// Sets the labels of one side, for each of several states, beside a body of this length.
/// A label keeps its place through all states in which the labels stand in the same order.
pub(crate) fn set(mut states: Vec<Vec<SectionLabel>>, long: f64) -> Vec<Vec<SetLabel>> {
    for labels in &mut states {
        labels.sort_by(|a, b| a.to.0.total_cmp(&b.to.0).then_with(|| a.lines.cmp(&b.lines)));
        let mut last = f64::NEG_INFINITY;
        let mut alike: BTreeMap<String, usize> = BTreeMap::new();
        for label in labels {
            label.to.0 = label.to.0.max(last + APART);
            last = label.to.0;
            let count = alike.entry(label.key.clone()).or_default();
            *count += 1;
            label.key = format!("{} {count}", label.key);
        }
    }
    let length = |labels: &Vec<SectionLabel>| -> f64 {
        labels.iter().map(|label| extent(label) + GAP).sum::<f64>() - GAP
    };
    let rows = if states.iter().any(|labels| long < length(labels)) { 2 } else { 1 };
    let lines = states.iter().flatten().map(|label| label.lines.len()).max().unwrap_or(0);
    let off = LINE * lines as f64 + 4.0;
    let placed = places(&states, rows);
    let set = states.into_iter().zip(placed).map(|(labels, places)| {
        let set = labels.into_iter().zip(places);
        set.map(|(label, (middle, row))| SetLabel { label, middle, off: off * row as f64 })
            .collect()
    });
    set.collect()
}

/// Middle and row of each label.
fn places(states: &[Vec<SectionLabel>], rows: usize) -> Vec<Vec<(f64, usize)>> {
    let mut places: Vec<Option<Vec<(f64, usize)>>> = vec![None; states.len()];
    while let Some(first) = places.iter().position(Option::is_none) {
        let open: Vec<usize> = (first..states.len()).filter(|at| places[*at].is_none()).collect();
        let of_all = Slots::of(open.iter().map(|at| &states[*at]), rows);
        let is_fitting = open.iter().any(|at| of_all.places(&states[*at]).is_some());
        // Where the order that suits all on the whole is that of none, the first and its like.
        let like = |at: &&usize| is_in_order(&states[**at], &states[first]);
        let of_some = || Slots::of(open.iter().filter(like).map(|at| &states[*at]), rows);
        let slots = if is_fitting { of_all } else { of_some() };
        open.iter().for_each(|at| places[*at] = slots.places(&states[*at]));
        if !is_fitting && places[first].is_none() {
            places[first] = Some(slots.slots.iter().map(|slot| (slot.1, slot.2)).collect());
        }
    }
    places.into_iter().flatten().collect()
}

fn is_in_order(one: &[SectionLabel], other: &[SectionLabel]) -> bool {
    one.iter().map(|label| &label.key).eq(other.iter().map(|label| &label.key))
}

/// Places that labels keep through several states: key, middle and row, from left to right.
struct Slots {
    slots: Vec<(String, f64, usize)>,
}

impl Slots {
    fn of<'a>(states: impl Iterator<Item = &'a Vec<SectionLabel>>, rows: usize) -> Slots {
        let mut seen: BTreeMap<&str, (f64, f64, f64)> = BTreeMap::new();
        for label in states.flatten() {
            let (sum, count, widest) = seen.entry(label.key.as_str()).or_insert((0.0, 0.0, 0.0));
            (*sum, *count) = (*sum + label.to.0, *count + 1.0);
            *widest = widest.max(extent(label));
        }
        let slots = seen.into_iter().map(|(name, (sum, count, wide))| (sum / count, wide, name));
        let mut slots: Vec<(f64, f64, &str)> = slots.collect();
        slots.sort_by(|a, b| a.0.total_cmp(&b.0));
        let wishes: Vec<f64> = slots.iter().map(|slot| slot.0).collect();
        let offsets = offsets(&slots.iter().map(|slot| slot.1).collect::<Vec<_>>(), rows);
        let names = slots.iter().map(|(_, _, name)| (*name).to_owned());
        let middles = settled(&wishes, &offsets).into_iter().enumerate();
        let slots = names.zip(middles).map(|(name, (at, middle))| (name, middle, at % rows));
        Slots { slots: slots.collect() }
    }

    /// Middles and rows of a state's labels, if they stand in this order.
    fn places(&self, labels: &[SectionLabel]) -> Option<Vec<(f64, usize)>> {
        let mut slots = self.slots.iter();
        let place = |label: &SectionLabel| slots.find(|slot| slot.0 == label.key);
        labels.iter().map(place).map(|slot| slot.map(|slot| (slot.1, slot.2))).collect()
    }
}

/// The middles of labels of these widths, taking turns in so many rows, as close as they may be.
fn offsets(widths: &[f64], rows: usize) -> Vec<f64> {
    let mut offsets: Vec<f64> = Vec::new();
    for (at, width) in widths.iter().enumerate() {
        let before = at.saturating_sub(rows)..at;
        let apart = before.map(|other| {
            offsets[other]
                + match (other % rows).cmp(&(at % rows)) {
                    Ordering::Equal => f64::midpoint(widths[other], *width) + GAP,
                    Ordering::Less => widths[other] / 2.0 + PASSING,
                    Ordering::Greater => width / 2.0 + PASSING,
                }
        });
        offsets.push(apart.fold(0.0, f64::max));
    }
    offsets
}

/// Draws the labels of one side. `edge` is the height of the body's edge on that side.
pub(crate) fn draw(labels: &[SetLabel], edge: f64, above: bool, sketch: &mut Sketch) {
    let turn = if above { -1.0 } else { 1.0 };
    for SetLabel { label, middle: x, off } in labels {
        let (near, row) = (edge + turn * SLANT, edge + turn * (SLANT + off));
        let (to_x, to_y) = label.to;
        let slanting = [(*x, near), (to_x, edge + turn * 4.0), (to_x, to_y)];
        let passing = (0.0 < *off).then_some((*x, row));
        sketch.leader(&passing.into_iter().chain(slanting).collect::<Vec<_>>());
        let first = if above {
            row - 5.0 - LINE * (label.lines.len().max(1) - 1) as f64
        } else {
            row + LETTER + 1.0
        };
        for (at, line) in label.lines.iter().enumerate() {
            sketch.text(LETTER, Align::Centre, (*x, first + LINE * at as f64), line);
        }
    }
}

fn extent(label: &SectionLabel) -> f64 {
    label.lines.iter().map(|line| width(line, LETTER)).fold(0.0, f64::max)
}
