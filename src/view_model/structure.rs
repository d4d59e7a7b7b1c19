//! Comparison pages: same or different, from the cutaways of the engines compared.

use super::Edition;
use crate::comparison::several::{Cell, Several, SharedLane, SharedRow};
use crate::comparison::{
    self, Anatomy, LanePlace, Likeness, Milestone, RowStanding, Side, compare_all,
};
use crate::cutaway::model::Element;
use crate::drawing::{DrawingView, Mark};
use crate::folio::PageEntry;
use crate::folio::routing::Routed;
use crate::sheet::side_by_side::{self, Beside, SideRelation};
use crate::text::proper_name;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// What engines have in common and what not, the first being the one that others are compared with.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct Structure {
    /// One sentence or two for each engine but the first.
    pub(crate) verdicts: Vec<String>,
    /// Whether it fires in the same order, a sentence for each engine but the first.
    pub(crate) orders: Vec<String>,
    /// What is only in one, or comes at another place, as sentences.
    pub(crate) says: Vec<String>,
    /// Engines without a cutaway, of which nothing can be said here.
    pub(crate) lacking: Vec<String>,
    /// The engines, in words.
    pub(crate) titles: Vec<String>,
    /// What differs, grouped by anatomy.
    pub(crate) groups: Vec<StructureGroup>,
    /// What is the same in all, grouped by anatomy.
    pub(crate) same: Vec<StructureGroup>,
    /// How many things are the same in all.
    pub(crate) same_count: usize,
    /// What happens, event by event.
    pub(crate) lanes: Vec<LaneRow>,
    /// Whether some events carry a letter: those of one letter may come in another order.
    pub(crate) lettered: bool,
    /// The circuits, with what differs marked.
    pub(crate) circuits: Vec<CircuitPicture>,
}

/// Rows that belong together.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct StructureGroup {
    /// Chambers, ways, moving parts, ….
    pub(crate) label: String,
    pub(crate) rows: Vec<StructureRow>,
}

/// One thing in all engines.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct StructureRow {
    /// A cell for each engine.
    pub(crate) cells: Vec<StructureCell>,
    /// Whether it is the same in all.
    pub(crate) same: bool,
}

/// One thing in one engine.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct StructureCell {
    /// What the engine calls it; empty where it has none.
    pub(crate) name: String,
    /// "same", "differs", "only here" or "none"; empty for the first engine.
    pub(crate) standing: String,
    /// What is said of it, as sentences without full stop.
    pub(crate) says: Vec<String>,
}

/// One event in all engines.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct LaneRow {
    /// The milestone that is reached here; empty where it is an event between two.
    pub(crate) milestone: &'static str,
    /// A cell for each engine; empty words where it does not happen there.
    pub(crate) cells: Vec<LaneCell>,
    /// Whether it comes at the same place in all.
    pub(crate) same: bool,
}

/// One event in one engine.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct LaneCell {
    /// The event in words; empty where it does not happen here.
    pub(crate) words: String,
    /// "only here", "elsewhere", "earlier", "later", "not compared"; empty where it is the same.
    pub(crate) tag: String,
}

/// The circuit of one engine.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct CircuitPicture {
    /// The engine in words.
    pub(crate) title: String,
    pub(crate) svg: String,
}

/// What can be said of the engines that a page compares; `None` where fewer than two of them have a
/// cutaway without faults.
pub(super) fn structure(edition: &Edition, page: &PageEntry) -> Option<Structure> {
    let routing = &edition.folio.routing;
    let mut known: Vec<(String, &Routed, Side<'_>)> = Vec::new();
    let mut lacking = Vec::new();
    for engine in &page.front.compare {
        let title = proper_name(&engine.text);
        let routed = routing.of(&engine.text);
        match routed.and_then(|routed| Some((routed, routed.shot.as_ref()?))) {
            Some((routed, shot)) => {
                known.push((title, routed, Side { engine: &routed.engine, run: &shot.found }));
            }
            None => lacking.push(title),
        }
    }
    if known.len() < 2 {
        return None;
    }
    let sides: Vec<Side<'_>> = known.iter().map(|(_, _, side)| *side).collect();
    let several = compare_all(&sides)?;
    let titles: Vec<String> = known.iter().map(|(title, ..)| title.clone()).collect();
    let sizes = sizes(edition, page, &known, &several);
    Some(Structure {
        verdicts: several.pairs.iter().map(Likeness::answer).collect(),
        orders: several.pairs.iter().map(Likeness::order_answer).collect(),
        // Of more than two engines the table tells it better.
        says: match several.pairs.as_slice() {
            [pair] => pair.sequence.says.clone(),
            pairs => {
                pairs.iter().flat_map(|pair| pair.sequence.open.iter().flatten().cloned()).collect()
            }
        },
        lacking,
        same_count: several.rows.iter().filter(|row| row.is_same()).count()
            + sizes.iter().filter(|row| row.same).count(),
        groups: groups(&several, &sizes, false),
        same: groups(&several, &sizes, true),
        lanes: lanes(&several.lanes),
        lettered: several
            .lanes
            .iter()
            .flat_map(|lane| lane.cells.iter().flatten())
            .any(|(_, told)| told.letter.is_some()),
        circuits: circuits(edition, &known, &several),
        titles,
    })
}

/// The rows in which all engines are the same, or all others.
fn groups(several: &Several, sizes: &[StructureRow], same: bool) -> Vec<StructureGroup> {
    let mut groups: Vec<StructureGroup> = Vec::new();
    for (anatomy, label) in Anatomy::ALL {
        let mut rows: Vec<StructureRow> = several
            .rows
            .iter()
            .filter(|row| row.anatomy == anatomy && row.is_same() == same)
            .map(row)
            .collect();
        if anatomy == Anatomy::Sizes {
            rows.extend(sizes.iter().filter(|row| row.same == same).cloned());
        }
        if !rows.is_empty() {
            groups.push(StructureGroup { label: label.to_owned(), rows });
        }
    }
    groups
}

/// What the readings say of things that the first engine and another have: a row each.
fn sizes(
    edition: &Edition,
    page: &PageEntry,
    known: &[(String, &Routed, Side<'_>)],
    several: &Several,
) -> Vec<StructureRow> {
    let ledger = &edition.folio.ledger;
    let reading_of = |cell: &Option<Cell>, routed: &Routed| {
        let reading = routed.engine.readings.get(&cell.as_ref()?.thing?)?;
        let sheet = ledger.engine(&routed.engine.name.id)?;
        let entries = &ledger.sheets[sheet].entries;
        Some((sheet, entries.iter().position(|entry| entry.name.text == reading.id)?))
    };
    let mut rows = Vec::new();
    for shared in &several.rows {
        let cells = shared.cells.iter().zip(known);
        let columns: Vec<Option<(usize, usize)>> =
            cells.map(|(cell, (_, routed, _))| reading_of(cell, routed)).collect();
        if columns[0].is_none() || columns.iter().flatten().count() < 2 {
            continue;
        }
        let values = side_by_side::row(ledger, &columns, &page.conventions);
        let cells = shared.cells.iter().zip(values).map(|(cell, value)| {
            let name = cell.as_ref().map(|cell| cell.name.clone()).unwrap_or_default();
            value.map_or_else(StructureCell::default, |value| size_cell(name, &value))
        });
        let cells: Vec<StructureCell> = cells.collect();
        let is_same =
            |cell: &StructureCell| matches!(&*cell.standing, "" | "same" | "not told apart");
        rows.push(StructureRow { same: cells.iter().all(is_same), cells });
    }
    rows
}

fn size_cell(name: String, value: &Beside) -> StructureCell {
    let mut says = vec![value.shown.si.clone()];
    says.extend(value.ratio.iter().map(|ratio| format!("{} the first", ratio.shown.si)));
    let standing = match value.relation {
        None => "",
        Some(SideRelation::Apart) => "differs",
        Some(relation) => relation.words(),
    };
    StructureCell { name, standing: standing.to_owned(), says }
}

fn row(row: &SharedRow) -> StructureRow {
    let cells = row.cells.iter().enumerate().map(|(column, cell)| {
        let sentences = |says: &[comparison::Sentence]| -> Vec<String> {
            says.iter().map(|sentence| sentence.text.clone()).collect()
        };
        match cell {
            Some(cell) => StructureCell {
                name: cell.name.clone(),
                standing: if column == 0 { "" } else { standing(cell.standing) }.to_owned(),
                // What is the same needs no words.
                says: match cell.standing {
                    RowStanding::Same => Vec::new(),
                    _ => sentences(&cell.says),
                },
            },
            None => {
                let lacking = row.lacking.iter().find(|(lacking, _)| *lacking == column);
                StructureCell {
                    name: String::new(),
                    standing: "none".to_owned(),
                    says: lacking.map(|(_, says)| sentences(says)).unwrap_or_default(),
                }
            }
        }
    });
    StructureRow { cells: cells.collect(), same: row.is_same() }
}

fn standing(standing: RowStanding) -> &'static str {
    match standing {
        RowStanding::Same => "same",
        RowStanding::Different => "differs",
        RowStanding::OnlyFirst | RowStanding::OnlySecond => "only here",
    }
}

/// One row an event. A milestone stands once, with the first engine that reaches it; another that
/// reaches it elsewhere is told so there.
fn lanes(lanes: &[SharedLane]) -> Vec<LaneRow> {
    let mut rows: Vec<LaneRow> = lanes.iter().map(lane).collect();
    let mut met = BTreeSet::new();
    let of_first = |lane: &SharedLane| lane.cells[0].as_ref()?.1.milestone;
    let firsts: BTreeSet<Milestone> = lanes.iter().filter_map(of_first).collect();
    for (at, lane) in lanes.iter().enumerate() {
        let Some(milestone) = of_first(lane).or_else(|| lane.milestone()) else { continue };
        let is_of_first = of_first(lane) == Some(milestone);
        if (firsts.contains(&milestone) && !is_of_first) || !met.insert(milestone) {
            continue;
        }
        rows[at].milestone = milestone.words();
        for column in 0..lane.cells.len() {
            if lane.cells[column].is_some() {
                continue;
            }
            let reached = |lane: &SharedLane| {
                let told = &lane.cells[column].as_ref()?.1;
                (told.milestone == Some(milestone)).then(|| told.lettered())
            };
            let elsewhere =
                lanes.iter().enumerate().find_map(|(place, lane)| Some((place, reached(lane)?)));
            if let Some((place, words)) = elsewhere {
                let tag = if place < at { "earlier" } else { "later" }.to_owned();
                rows[at].cells[column] = LaneCell { words, tag };
                rows[at].same = false;
            }
        }
    }
    rows
}

fn lane(lane: &SharedLane) -> LaneRow {
    let cells: Vec<LaneCell> = lane
        .cells
        .iter()
        .map(|cell| match cell {
            None => LaneCell::default(),
            Some((place, told)) => LaneCell {
                words: told.lettered(),
                tag: match place {
                    LanePlace::Same | LanePlace::ByOther => "",
                    LanePlace::Moved(_) => "elsewhere",
                    LanePlace::OnlyHere => "only here",
                    LanePlace::Beyond => "not compared",
                }
                .to_owned(),
            },
        })
        .collect();
    let same = cells.iter().all(|cell| !cell.words.is_empty() && cell.tag.is_empty());
    LaneRow { milestone: "", cells, same }
}

/// The circuits, what differs from any other engine marked.
fn circuits(
    edition: &Edition,
    known: &[(String, &Routed, Side<'_>)],
    several: &Several,
) -> Vec<CircuitPicture> {
    let mut marks: Vec<BTreeMap<Element, Mark>> = vec![BTreeMap::new(); known.len()];
    for (at, pair) in several.pairs.iter().enumerate() {
        for row in &pair.rows {
            for (side, column) in [(0, 0), (1, at + 1)] {
                let mark = match (row.standing, side) {
                    (RowStanding::Different, _) => Mark::Differs,
                    (RowStanding::OnlyFirst, 0) | (RowStanding::OnlySecond, 1) => Mark::OnlyHere,
                    _ => continue,
                };
                if let Some(thing) = row.things[side].filter(|thing| is_drawn(*thing)) {
                    marks[column].entry(thing).or_insert(mark);
                }
            }
        }
    }
    let pictures = known.iter().zip(marks).enumerate();
    pictures
        .filter_map(|(at, ((title, routed, _), marks))| {
            let engine = &routed.engine;
            let circuit = edition.circuit(&engine.name.id)?;
            let drawing = circuit.drawing(engine, &DrawingView { state: None, marks });
            Some(CircuitPicture {
                title: title.clone(),
                svg: drawing.svg(&format!("_circuit-{at}")),
            })
        })
        .collect()
}

/// Whether a thing has a symbol of its own.
fn is_drawn(thing: Element) -> bool {
    matches!(thing, Element::Chamber(_) | Element::Way(_) | Element::Part(_) | Element::Valve(_))
}
