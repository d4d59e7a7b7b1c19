//! Two to four engines beside each other, each compared with the first.

use super::Side;
use super::compare::{Anatomy, Likeness, Row, RowStanding, Sentence, compare};
use super::matching::{Matching, matched};
use super::milestones::Milestone;
use super::sequence::{Lane, LanePlace, Sequence, Told, aligned_to_first};
use super::words::Two;
use crate::cutaway::model::Element;
use std::collections::{BTreeMap, BTreeSet};

/// What one engine has in a row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cell {
    /// The thing; facts have none.
    pub(crate) thing: Option<Element>,
    /// What the engine calls it.
    pub name: String,
    /// How it stands to the first engine; the first engine's own cells are the same.
    pub standing: RowStanding,
    /// What is said of it beside the first engine.
    pub(crate) says: Vec<Sentence>,
}

/// One thing in all engines; an engine that lacks it has no cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SharedRow {
    pub(crate) anatomy: Anatomy,
    /// A cell for each engine, in their order.
    pub cells: Vec<Option<Cell>>,
    /// What is said of engines that lack what the first has, by column.
    pub(crate) lacking: Vec<(usize, Vec<Sentence>)>,
}

impl SharedRow {
    /// Whether all engines have it, and have it the same.
    #[must_use]
    pub fn is_same(&self) -> bool {
        let is_same = |cell: &Option<Cell>| {
            cell.as_ref().is_some_and(|cell| cell.standing == RowStanding::Same)
        };
        self.cells.iter().all(is_same)
    }
}

/// An event in all engines, in the order of the first; an engine that lacks it, or has it at
/// another place, has no cell.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SharedLane {
    /// The event and how it stands to the run of the first engine.
    pub cells: Vec<Option<(LanePlace, Told)>>,
}

impl SharedLane {
    /// The milestone that the first engine reaches here, or the first of the others.
    #[must_use]
    pub fn milestone(&self) -> Option<Milestone> {
        self.cells.iter().flatten().find_map(|(_, told)| told.milestone)
    }
}

/// Several engines, each compared with the first.
#[derive(Debug, Clone)]
pub struct Several {
    /// The comparison of the first with each of the others.
    pub pairs: Vec<Likeness>,
    /// What all have, row by row.
    pub rows: Vec<SharedRow>,
    /// What happens, lane by lane. Places that point to a lane point into the lanes of the pair.
    pub lanes: Vec<SharedLane>,
}

/// Compares engines with the first of them; `None` without any.
#[must_use]
pub fn compare_all(sides: &[Side<'_>]) -> Option<Several> {
    let (first, others) = sides.split_first()?;
    let pairs: Vec<Likeness> = others.iter().map(|other| compare(*first, *other)).collect();
    let rows = shared_rows(sides, &pairs);
    let lanes = shared_lanes(&beside_first(*first, others, &pairs));
    Some(Several { pairs, rows, lanes })
}

/// All runs beside the same run of the first engine, with the same events of it. What a pair says
/// of itself is not touched: it is the same wherever the two are compared.
fn beside_first(first: Side<'_>, others: &[Side<'_>], pairs: &[Likeness]) -> Vec<Sequence> {
    let mut sequences: Vec<Sequence> = pairs.iter().map(|pair| pair.sequence.clone()).collect();
    if sequences.len() < 2 {
        return sequences;
    }
    let mut compared = BTreeSet::new();
    // Which events are compared is known only when each pair has told what it asks for.
    for _ in 0..2 {
        sequences = pairs
            .iter()
            .zip(others)
            .map(|(pair, other)| {
                let two = Two::new([first.engine, other.engine], &pair.matching);
                let two = two.in_order_of_first();
                aligned_to_first([first, *other], &two, &compared)
            })
            .collect();
        let lanes = sequences.iter().flat_map(|sequence| &sequence.lanes);
        compared = lanes.filter_map(|lane| Some(lane.told[0].as_ref()?.event)).collect();
    }
    sequences
}

/// What tells rows of the first engine apart: the thing, or for a fact its words.
type RowKey = (Anatomy, Option<Element>, Option<String>);

fn shared_rows(sides: &[Side<'_>], pairs: &[Likeness]) -> Vec<SharedRow> {
    let mut gathered = GatheredRows { sides, ..GatheredRows::default() };
    for (at, pair) in pairs.iter().enumerate() {
        for row in &pair.rows {
            gathered.add(row, at + 1);
        }
    }
    let mut rows = gathered.rows;
    rows.sort_by_key(|row| row.anatomy);
    rows
}

#[derive(Default)]
struct GatheredRows<'a> {
    sides: &'a [Side<'a>],
    rows: Vec<SharedRow>,
    of_first: BTreeMap<RowKey, usize>,
    /// What the first engine lacks: column, thing, row.
    extra: Vec<(usize, Element, usize)>,
    /// Matchings of engines other than the first, as far as they were asked for.
    matchings: BTreeMap<(usize, usize), Matching>,
}

impl GatheredRows<'_> {
    fn add(&mut self, row: &Row, column: usize) {
        let at = match (&row.names[0], row.things[1]) {
            (Some(name), _) => {
                let words = row.things[0].is_none().then(|| name.clone());
                let key = (row.anatomy, row.things[0], words);
                let known = self.of_first.get(&key).copied();
                let at = known.unwrap_or_else(|| self.begin(row.anatomy));
                self.of_first.insert(key, at);
                at
            }
            (None, Some(thing)) => {
                let known = self.same_extra(column, thing);
                let at = known.unwrap_or_else(|| self.begin(row.anatomy));
                self.extra.push((column, thing, at));
                at
            }
            (None, None) => self.begin(row.anatomy),
        };
        let shared = &mut self.rows[at];
        let cell = |side: usize, standing: RowStanding, says: &[Sentence]| {
            let name = row.names[side].clone()?;
            Some(Cell { thing: row.things[side], name, standing, says: says.to_vec() })
        };
        shared.cells[0] = cell(0, RowStanding::Same, &[]);
        shared.cells[column] = cell(1, row.standing, &row.says);
        if row.standing == RowStanding::OnlyFirst {
            shared.lacking.push((column, row.says.clone()));
        }
    }

    fn begin(&mut self, anatomy: Anatomy) -> usize {
        let cells = vec![None; self.sides.len()];
        self.rows.push(SharedRow { anatomy, cells, lacking: Vec::new() });
        self.rows.len() - 1
    }

    /// The row of a thing that the first engine lacks, where an earlier engine has it too.
    fn same_extra(&mut self, column: usize, thing: Element) -> Option<usize> {
        let sides = self.sides;
        for (earlier, other, row) in &self.extra {
            if *earlier == column {
                continue;
            }
            let matching = self
                .matchings
                .entry((*earlier, column))
                .or_insert_with(|| matched(sides[*earlier].engine, sides[column].engine));
            if matching.second_of(*other) == Some(thing) {
                return Some(*row);
            }
        }
        None
    }
}

/// Lanes of all pairs in one list: the events of the first engine in order, and before each what
/// the others have there in addition.
fn shared_lanes(sequences: &[Sequence]) -> Vec<SharedLane> {
    let own = |lane: &Lane| lane.told[0].as_ref().map(|told| told.at);
    let firsts = sequences.iter().flat_map(|sequence| sequence.lanes.iter().filter_map(own));
    let firsts: BTreeSet<usize> = firsts.collect();
    let mut lanes: Vec<SharedLane> = Vec::new();
    // In each pair, the lane up to which all is told.
    let mut told = vec![0usize; sequences.len()];
    // The end stands behind all events of the first engine.
    for event in firsts.into_iter().map(Some).chain([None]) {
        let mut cells = vec![None; sequences.len() + 1];
        for (at, sequence) in sequences.iter().enumerate() {
            let next = |told: usize| sequence.lanes.get(told);
            while let Some(lane) = next(told[at])
                && own(lane).is_none()
            {
                let mut extra = vec![None; sequences.len() + 1];
                extra[at + 1] = lane.told[1].clone().map(|told| (lane.place, told));
                lanes.push(SharedLane { cells: extra });
                told[at] += 1;
            }
            if let Some(lane) = next(told[at])
                && own(lane) == event
            {
                let own = || lane.told[0].clone().map(|told| (LanePlace::Same, told));
                cells[0] = cells[0].take().or_else(own);
                cells[at + 1] = lane.told[1].clone().map(|told| (lane.place, told));
                told[at] += 1;
            }
        }
        if event.is_some() {
            lanes.push(SharedLane { cells });
        }
    }
    lanes
}
