//! The table of all engines: a row each, with the figures that most of them state.

use super::comparison::{ComparisonCell, cell};
use super::data_sheet::{group_of, group_rank};
use super::frame::{Frame, made};
use super::history::{HistoryRow, histories};
use super::routing::stamp_address;
use super::standing::plain;
use super::{Digest, Edition, View};
use crate::comparison::{Milestone, Side, compare};
use crate::page::front::PageKind;
use crate::quantity::{Dimension, Kind};
use crate::sheet::side_by_side::{self, SideRelation};
use crate::site::shared::Link;
use crate::text::{listed, proper_name};
use serde::Serialize;
use std::collections::BTreeMap;

/// Address of the table.
pub(super) const ADDRESS: &str = "engines.html";

/// Sheet and entry of an engine that states a figure.
type Column = Option<(usize, usize)>;

const SUMMARY: &str = "All engines in one table: family, and the figures that many of them state.";

/// Columns of figures that a screen holds, and cells that a page of 250 kB does; a few columns stay
/// whatever the number of engines.
const MOST_COLUMNS: usize = 8;
const MOST_CELLS: usize = 330;
const LEAST_COLUMNS: usize = 3;

/// Engines that are named one by one in a sentence.
const FEW: usize = 4;

/// Engines from which on each branch of the tree of descent is folded.
const MANY: usize = 25;

/// What tells one way to work from another.
const TOLD_MILESTONES: [Milestone; 5] = [
    Milestone::ValveAnswers,
    Milestone::BreechShut,
    Milestone::StoreOpens,
    Milestone::StoreShut,
    Milestone::PartHome,
];

/// All engines.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct EnginesPage {
    pub(crate) frame: Frame,
    /// Which rings and springs serve which of them.
    pub(crate) spares: Link,
    /// The figures that are columns.
    pub(crate) heads: Vec<FigureHead>,
    pub(crate) rows: Vec<EngineRow>,
    /// The milestones that are columns of the table of shots.
    pub(crate) milestones: Vec<&'static str>,
    /// Engines whose shot is known.
    pub(crate) shots: Vec<ShotRow>,
    /// Who comes from whom, family by family, and whether that is too much to be shown unfolded.
    pub(crate) tree: Vec<Descendant>,
    pub(crate) is_tree_folded: bool,
    /// What happened when, over all engines.
    pub(crate) history: Vec<HistoryRow>,
}

/// A column of figures.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct FigureHead {
    /// Name in formulas.
    pub(crate) name: String,
    pub(crate) label: String,
    /// Which engines have the most and the least of it, those that the ± does not tell apart
    /// together, and how many state it, as sentences: what is told to who sorts by it.
    pub(crate) largest: String,
    pub(crate) smallest: String,
}

/// One engine.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct EngineRow {
    /// Name in formulas.
    pub(crate) engine: String,
    /// Name in words.
    pub(crate) name: String,
    pub(crate) title: String,
    pub(crate) address: String,
    pub(crate) family: String,
    pub(crate) descends_from: String,
    /// Address of its small picture; empty where its shot is not known.
    pub(crate) stamp: String,
    /// One cell a column.
    pub(crate) cells: Vec<ComparisonCell>,
    /// Figures of its page, and how many of them are borne out by more than their own reading.
    pub(crate) figures: usize,
    pub(crate) borne_out: usize,
    /// Figures published with a visible mark.
    pub(crate) marks: usize,
}

/// One shot in a line.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct ShotRow {
    /// Name in words.
    pub(crate) name: String,
    pub(crate) address: String,
    /// How each milestone is reached, a cell a column; empty where it is not.
    pub(crate) cells: Vec<String>,
}

/// An engine in the tree of descent.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Descendant {
    pub(crate) link: Link,
    /// What its page says of it; may be empty.
    pub(crate) summary: String,
    /// How it differs from the engine it comes from; empty where a cutaway is missing.
    pub(crate) changed: String,
    pub(crate) descendants: Vec<Descendant>,
    /// How many come from it, and from those in their turn.
    pub(crate) below: usize,
}

/// An engine with a page of its own.
pub(super) struct Paged {
    pub(super) page: usize,
    pub(super) sheet: usize,
}

/// The engines that have a page, in the order of the pages.
pub(super) fn paged(edition: &Edition) -> Vec<Paged> {
    let pages = edition.folio.pages.iter().enumerate();
    let engines = pages
        .filter(|(_, page)| page.front.kind == PageKind::Engine && page.address != "index.html");
    engines.filter_map(|(at, page)| Some(Paged { page: at, sheet: page.sheet? })).collect()
}

/// The table of all engines.
pub(crate) fn engines_page(edition: &Edition, digests: &[Digest]) -> View {
    let engines = paged(edition);
    let names = columns(edition, &engines);
    let counts: BTreeMap<usize, &Digest> =
        digests.iter().map(|digest| (digest.page, digest)).collect();
    let mut rows: Vec<EngineRow> =
        engines.iter().map(|engine| row(edition, engine, counts.get(&engine.page))).collect();
    let heads: Vec<FigureHead> =
        names.into_iter().map(|name| fill(edition, &engines, name, &mut rows)).collect();
    View::Engines(Box::new(EnginesPage {
        frame: made(edition, ADDRESS, "Engines", "List", SUMMARY),
        spares: Link::new(super::spares::TITLE, super::spares::ADDRESS),
        heads,
        rows,
        milestones: TOLD_MILESTONES.map(Milestone::words).to_vec(),
        shots: engines.iter().filter_map(|engine| shot_row(edition, engine)).collect(),
        tree: tree(edition, &engines),
        is_tree_folded: MANY <= engines.len(),
        history: histories(edition, &engines),
    }))
}

fn row(edition: &Edition, engine: &Paged, digest: Option<&&Digest>) -> EngineRow {
    let page = &edition.folio.pages[engine.page];
    let front = &page.front;
    let name = plain(&front.engine);
    let has_shot = edition.folio.routing.of(&name).is_some_and(|routed| routed.shot.is_some());
    let coverage = digest.map(|digest| digest.coverage).unwrap_or_default();
    EngineRow {
        stamp: if has_shot { stamp_address(&name) } else { String::new() },
        name: proper_name(&name),
        engine: name,
        title: page.title().to_owned(),
        address: page.address.clone(),
        family: proper_name(&plain(&front.family)),
        descends_from: proper_name(&plain(&front.descends_from)),
        cells: Vec::new(),
        figures: coverage.total(),
        borne_out: coverage.computed + coverage.second_statement,
        marks: digest.map_or(0, |digest| digest.marks),
    }
}

fn shot_row(edition: &Edition, engine: &Paged) -> Option<ShotRow> {
    let page = &edition.folio.pages[engine.page];
    let name = plain(&page.front.engine);
    let reached = edition.folio.routing.of(&name)?.milestones();
    let how = |milestone: Milestone| {
        let mut told = reached.iter().filter(|it| it.milestone == milestone);
        told.next().map(|it| it.words.clone()).unwrap_or_default()
    };
    let cells: Vec<String> = TOLD_MILESTONES.into_iter().map(how).collect();
    let is_known = cells.iter().any(|cell| !cell.is_empty());
    is_known.then(|| ShotRow { name: proper_name(&name), address: page.address.clone(), cells })
}

/// The names that are columns: stated by at least a quarter of the engines, first one of each kind
/// of quantity, then what most engines state.
fn columns(edition: &Edition, engines: &[Paged]) -> Vec<String> {
    let ledger = &edition.folio.ledger;
    let mut found: Vec<(&str, usize, Kind, Dimension, usize)> = Vec::new();
    let mut places: BTreeMap<&str, usize> = BTreeMap::new();
    for Paged { sheet, .. } in engines {
        for (at, entry) in ledger.sheets[*sheet].entries.iter().enumerate() {
            let name = entry.name.text.as_str();
            if let Some(place) = places.get(name) {
                found[*place].1 += 1;
            } else if let Some(value) = ledger.nominal(*sheet, at) {
                let rank = group_rank(group_of(edition, *sheet, at));
                let quantity = &value.quantity;
                places.insert(name, found.len());
                found.push((name, 1, quantity.kind, quantity.dimension, rank));
            }
        }
    }
    found.retain(|(_, count, ..)| 2 <= *count && engines.len() <= 4 * count);
    found.sort_by_key(|(_, count, ..)| std::cmp::Reverse(*count));
    let is_first = |at: usize| {
        let (_, _, kind, dimension, _) = found[at];
        !found[..at].iter().any(|(_, _, k, d, _)| (*k, *d) == (kind, dimension))
    };
    let (first, more): (Vec<usize>, Vec<usize>) = (0..found.len()).partition(|at| is_first(*at));
    let most = (MOST_CELLS / engines.len().max(1)).clamp(LEAST_COLUMNS, MOST_COLUMNS);
    let mut chosen: Vec<usize> = first.into_iter().chain(more).take(most).collect();
    chosen.sort_by_key(|at| (found[*at].4, *at));
    chosen.into_iter().map(|at| found[at].0.to_owned()).collect()
}

/// A column, in one unit; its head says who has the most and the least.
fn fill(edition: &Edition, engines: &[Paged], name: String, rows: &mut [EngineRow]) -> FigureHead {
    let ledger = &edition.folio.ledger;
    let entry_of = |sheet: usize| {
        ledger.sheets[sheet].entries.iter().position(|entry| entry.name.text == name)
    };
    let columns: Vec<Column> = engines
        .iter()
        .map(|engine| entry_of(engine.sheet).map(|entry| (engine.sheet, entry)))
        .collect();
    let beside =
        |columns: &[Column]| side_by_side::row(ledger, columns, &edition.folio.conventions);
    let values = beside(&columns);
    let mut known: Vec<(usize, f64)> = Vec::new();
    for (at, value) in values.iter().enumerate() {
        known.extend(value.as_ref().and_then(|it| it.shown.value).map(|value| (at, value)));
    }
    known.sort_by(|a, b| b.1.total_cmp(&a.1));
    let names: Vec<String> = rows.iter().map(|row| row.name.clone()).collect();
    let stated = format!("{} of {} engines state it", known.len(), engines.len());
    let foremost = |which: &str, order: &[usize]| {
        let ordered: Vec<Column> = order.iter().map(|at| columns[*at]).collect();
        let together = beside(&ordered).into_iter().skip(1).zip(&order[1..]).filter(|(it, _)| {
            let relation = it.as_ref().and_then(|it| it.relation);
            matches!(relation, Some(SideRelation::Same | SideRelation::NotToldApart))
        });
        let others: Vec<String> = together.map(|(_, at)| names[*at].clone()).collect();
        let apart = match others.len() {
            0 => String::new(),
            1..=FEW => format!(", not told apart from {}", listed(&others, "and")),
            many => format!(", not told apart from {many} others"),
        };
        format!("{which}: {}{apart}. {stated}.", names[order[0]])
    };
    let down: Vec<usize> = known.iter().map(|(at, _)| *at).collect();
    let up: Vec<usize> = down.iter().rev().copied().collect();
    let told = |which: &str, order: &[usize]| match order {
        [] => String::new(),
        order => foremost(which, order),
    };
    let (largest, smallest) = (told("Largest", &down), told("Smallest", &up));
    for ((row, column), value) in rows.iter_mut().zip(&columns).zip(values) {
        row.cells.push(match column {
            Some((sheet, entry)) => cell(edition, *sheet, *entry, value),
            None => ComparisonCell::not_stated(),
        });
    }
    FigureHead { label: name.replace('_', " "), name, largest, smallest }
}

fn tree(edition: &Edition, engines: &[Paged]) -> Vec<Descendant> {
    let pages = &edition.folio.pages;
    let name = |engine: &Paged| plain(&pages[engine.page].front.engine);
    let known: BTreeMap<String, usize> =
        engines.iter().enumerate().map(|(at, engine)| (name(engine), at)).collect();
    let mut heirs: BTreeMap<Option<usize>, Vec<usize>> = BTreeMap::new();
    for (at, engine) in engines.iter().enumerate() {
        let from = plain(&pages[engine.page].front.descends_from);
        heirs.entry(known.get(&from).copied()).or_default().push(at);
    }
    let branch = |from: Option<usize>, at: usize| {
        let page = &pages[engines[at].page];
        let from = from.map(|from| name(&engines[from]));
        Descendant {
            link: Link::new(page.title(), page.address.clone()),
            summary: plain(&page.front.summary),
            changed: from
                .and_then(|from| changed(edition, &from, &name(&engines[at])))
                .unwrap_or_default(),
            descendants: Vec::new(),
            below: 0,
        }
    };
    // Each engine stands once, so a loop of descent, which is a slip, cannot go round.
    below(None, &heirs, &mut vec![false; engines.len()], 0, &branch)
}

/// What an engine changed of the one it comes from, as a sentence.
fn changed(edition: &Edition, from: &str, own: &str) -> Option<String> {
    Some(compare(side(edition, from)?, side(edition, own)?).answer())
}

/// An engine and its shot, where that is known.
pub(super) fn side<'a>(edition: &'a Edition, engine: &str) -> Option<Side<'a>> {
    let routed = edition.folio.routing.of(engine)?;
    Some(Side { engine: &routed.engine, run: &routed.shot.as_ref()?.found })
}

/// Generations that are told; who comes later stands with its forebear.
const MOST_GENERATIONS: usize = 12;

fn below(
    from: Option<usize>,
    heirs: &BTreeMap<Option<usize>, Vec<usize>>,
    stands: &mut [bool],
    depth: usize,
    branch: &dyn Fn(Option<usize>, usize) -> Descendant,
) -> Vec<Descendant> {
    let mut found = Vec::new();
    for at in heirs.get(&from).into_iter().flatten() {
        if std::mem::replace(&mut stands[*at], true) || MOST_GENERATIONS < depth {
            continue;
        }
        let descendants = below(Some(*at), heirs, stands, depth + 1, branch);
        let below = descendants.iter().map(|heir| 1 + heir.below).sum();
        found.push(Descendant { descendants, below, ..branch(from, *at) });
    }
    found
}
