//! Comparison pages: engines as columns, figures as rows, every cell with what it rests on.

use super::Edition;
use super::data_sheet::{group_of, group_rank};
use super::engine::{ClaimRow, claims};
use super::frame::{ContentsHeading, Frame, written};
use super::one_by_one::{ChangeRoute, routes};
use super::standing::{Standing, plain, source_anchor, source_words};
use super::structure::Structure;
use crate::folio::PageEntry;
use crate::proof::figure::support;
use crate::proof::{PageProof, Status};
use crate::quantity::Real;
use crate::quantity::print::digits;
use crate::sheet::side_by_side::{self, Beside, SideRelation};
use crate::sheet::{Entry, Origin};
use crate::site::shared::Link;
use crate::text::proper_name;
use serde::Serialize;

impl ComparisonCell {
    /// The cell of an engine that does not have the figure.
    pub(super) fn not_stated() -> ComparisonCell {
        let missing = Missing { what: "not stated".to_owned(), why: String::new() };
        ComparisonCell { missing: Some(missing), ..ComparisonCell::default() }
    }
}

/// Several engines side by side.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct ComparisonPage {
    pub(crate) frame: Frame,
    pub(crate) columns: Vec<ComparisonColumn>,
    pub(crate) groups: Vec<RowGroup>,
    /// Same or different by structure; `None` where it is not known.
    pub(crate) structure: Option<Structure>,
    /// From one of them to another, change by change.
    pub(crate) routes: Vec<ChangeRoute>,
    pub(crate) claims: Vec<ClaimRow>,
    /// Under which conditions the figures hold, printed above the table.
    pub(crate) conditions: String,
    /// The running text, finished HTML.
    pub(crate) body_html: String,
    /// How the page stands.
    pub(crate) standing: Standing,
    /// Machine-readable files of this comparison.
    pub(crate) downloads: Vec<Link>,
}

/// One engine of a comparison.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct ComparisonColumn {
    pub(crate) title: String,
    /// Address of its page.
    pub(crate) address: String,
    /// Family in words; may be empty.
    pub(crate) family: String,
    /// Number of specimens measured.
    pub(crate) specimens: usize,
    /// True for the engine that the others are compared with.
    pub(crate) reference: bool,
}

/// Rows that belong together.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct RowGroup {
    /// What they have in common.
    pub(crate) label: String,
    pub(crate) rows: Vec<ComparisonRow>,
}

/// One row of a comparison.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct ComparisonRow {
    /// Anchor, without `#` (`row-metering_bore`).
    pub(crate) anchor: String,
    /// What is compared, in words.
    pub(crate) label: String,
    /// True for a setting (pressure, dwell) as opposed to a property.
    pub(crate) setting: bool,
    /// One cell per column, in the order of the columns.
    pub(crate) cells: Vec<ComparisonCell>,
    /// "all the same" or "not told apart" where no engine is known to differ; empty otherwise.
    pub(crate) agrees: &'static str,
    /// SI unit of the machine-readable values; empty for plain numbers.
    pub(crate) si_unit: String,
}

/// Why a cell has no value.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct Missing {
    /// "not known", "not measured" or "not stated".
    pub(crate) what: String,
    /// Why, in the writer's words; may be empty.
    pub(crate) why: String,
}

/// One engine's value in one row. Either `value` or `missing` is there.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct ComparisonCell {
    /// The value, and how it stands to the reference column.
    pub(crate) value: Option<Beside>,
    /// Why there is none.
    pub(crate) missing: Option<Missing>,
    /// Short name of its source; "computed" for derived figures.
    pub(crate) source: String,
    /// The source as a reader knows it: "Rowan service card, rev. B", "measured (bench)".
    pub(crate) source_words: String,
    /// Where the source is told, or else its origin.
    pub(crate) source_address: String,
    /// Where its origin is told; `None` when there is nowhere.
    pub(crate) origin: Option<String>,
    /// How far it has been checked; `None` where there is nothing to check.
    pub(crate) mark: Option<Status>,
    /// Name of the engine the value is borrowed from; empty when it is its own. A borrowed value is
    /// no finding, so it is not compared.
    pub(crate) borrowed_from: String,
}

/// Sets a comparison page.
pub(super) fn comparison_page(
    edition: &Edition,
    page: &PageEntry,
    proof: &PageProof,
    body_html: String,
    contents: Vec<ContentsHeading>,
    standing: Standing,
) -> ComparisonPage {
    let engines = engines(edition, page);
    let structure = super::structure::structure(edition, page);
    let mut downloads = vec![Link::new("Figures (CSV)", csv_address(page))];
    if structure.is_some() {
        downloads.push(Link::new("Structure (CSV)", structure_address(page)));
        downloads.push(Link::new("Events (CSV)", events_address(page)));
    }
    ComparisonPage {
        frame: written(edition, page, contents, None),
        columns: engines
            .iter()
            .enumerate()
            .map(|(i, sheet)| column(edition, *sheet, i == 0))
            .collect(),
        groups: groups(edition, page, &engines),
        structure,
        routes: routes(edition, &engines),
        claims: claims(page, proof),
        conditions: conditions(page),
        body_html,
        standing,
        downloads,
    }
}

/// Address of a comparison's table as CSV.
pub(super) fn csv_address(page: &PageEntry) -> String {
    data_address(page, "")
}

/// Address of what the engines have in common by structure, as CSV.
pub(super) fn structure_address(page: &PageEntry) -> String {
    data_address(page, "-structure")
}

/// Address of their events side by side, as CSV.
pub(super) fn events_address(page: &PageEntry) -> String {
    data_address(page, "-events")
}

fn data_address(page: &PageEntry, what: &str) -> String {
    let stem = page.address.trim_end_matches(".html").replace('/', "-");
    format!("data/{stem}{what}.csv")
}

/// Sheets of the engines compared, in order; unknown ones have been told as slips.
pub(super) fn engines(edition: &Edition, page: &PageEntry) -> Vec<usize> {
    let ledger = &edition.folio.ledger;
    page.front.compare.iter().filter_map(|engine| ledger.engine(&engine.text)).collect()
}

fn column(edition: &Edition, sheet: usize, reference: bool) -> ComparisonColumn {
    let item = &edition.folio.ledger.sheets[sheet];
    let name = item.engine.as_deref().unwrap_or("");
    ComparisonColumn {
        title: proper_name(name),
        address: item.address.clone(),
        family: proper_name(&item.family),
        specimens: item.specimens,
        reference,
    }
}

fn conditions(page: &PageEntry) -> String {
    let conventions = &page.conventions;
    let ambient = Real::Exact(conventions.ambient.clone());
    let kilopascal = Real::Exact(crate::quantity::exact::decimal(1000, 0));
    let number = ambient.div(&kilopascal).unwrap_or_else(Real::zero);
    let reference = conventions.bare_pressure.map_or("as marked", |reference| reference.word());
    format!(
        "Each engine at its own settings. Pressures without a mark are {reference}; ambient {} kPa \
         absolute. Differences and ratios are to the first engine, of the numbers as they are \
         printed; their ± is expanded (k = 2), and what two figures share counts once. Not told \
         apart: the ± of the difference covers nought. Same: both rest on the same \
         readings, or are counted. \
         Differences of shares are in percentage points, ratios of pressures are of absolute ones.",
        digits(&number, 3)
    )
}

/// Rows by group: figures that any of the engines has, by name.
pub(super) fn groups(edition: &Edition, page: &PageEntry, engines: &[usize]) -> Vec<RowGroup> {
    let ledger = &edition.folio.ledger;
    let asked: Vec<&str> = page.front.rows.iter().map(|row| row.text.as_str()).collect();
    let mut names: Vec<&str> = Vec::new();
    for sheet in engines {
        for entry in &ledger.sheets[*sheet].entries {
            let name = entry.name.text.as_str();
            let wanted = asked.is_empty() || asked.contains(&name);
            if wanted && !names.contains(&name) {
                names.push(name);
            }
        }
    }
    let mut groups: Vec<RowGroup> = Vec::new();
    for name in names {
        let (label, row) = row(edition, page, name, engines);
        match groups.iter_mut().find(|group| group.label == label) {
            Some(group) => group.rows.push(row),
            None => groups.push(RowGroup { label: label.to_owned(), rows: vec![row] }),
        }
    }
    groups.sort_by_key(|group| group_rank(&group.label));
    groups
}

fn row(
    edition: &Edition,
    page: &PageEntry,
    name: &str,
    engines: &[usize],
) -> (&'static str, ComparisonRow) {
    let ledger = &edition.folio.ledger;
    let columns: Vec<Option<(usize, usize)>> = engines
        .iter()
        .map(|sheet| {
            let entries = &ledger.sheets[*sheet].entries;
            Some((*sheet, entries.iter().position(|entry| entry.name.text == name)?))
        })
        .collect();
    let values = side_by_side::row(ledger, &columns, &page.conventions);
    let first_known = columns.iter().zip(&values).find(|(_, value)| value.is_some());
    let first = first_known.and_then(|(column, _)| *column);
    let label = first
        .or_else(|| columns.iter().flatten().next().copied())
        .map_or("Other figures", |(sheet, entry)| group_of(edition, sheet, entry));
    let cells: Vec<ComparisonCell> = columns
        .iter()
        .zip(values)
        .map(|(column, value)| match column {
            Some((sheet, entry)) => cell(edition, *sheet, *entry, value),
            None => ComparisonCell::not_stated(),
        })
        .collect();
    let entries = columns.iter().flatten().map(|(sheet, at)| &ledger.sheets[*sheet].entries[*at]);
    let mut readings = entries.filter_map(Entry::reading);
    let si_unit = first.and_then(|(sheet, entry)| ledger.nominal(sheet, entry));
    let row = ComparisonRow {
        anchor: format!("_row-{name}"),
        label: name.replace('_', " "),
        setting: readings.any(|reading| reading.decl.setting),
        agrees: agrees(&cells),
        si_unit: si_unit.map(|value| value.quantity.dimension.base_units()).unwrap_or_default(),
        cells,
    };
    (label, row)
}

/// What may be said of a row in which no engine is known to differ from the first.
fn agrees(cells: &[ComparisonCell]) -> &'static str {
    let relations = || cells.iter().skip(1).map(|cell| cell.value.as_ref()?.relation);
    if relations().all(|relation| relation == Some(SideRelation::Same)) {
        "all the same"
    } else if relations()
        .all(|relation| matches!(relation, Some(SideRelation::Same | SideRelation::NotToldApart)))
    {
        SideRelation::NotToldApart.words()
    } else {
        ""
    }
}

pub(super) fn cell(
    edition: &Edition,
    sheet: usize,
    entry: usize,
    value: Option<Beside>,
) -> ComparisonCell {
    let item = &edition.folio.ledger.sheets[sheet];
    let entry = &item.entries[entry];
    let reading = entry.reading();
    let borrowed = reading.map(|reading| plain(&reading.decl.like)).unwrap_or_default();
    let stated = reading.and_then(|reading| reading.statements.first());
    let from = stated.and_then(|stated| stated.from.as_ref()).map(|from| from.text.as_str());
    let source = match entry.origin {
        Origin::Derived(_) => "computed".to_owned(),
        Origin::Reading(_) if stated.is_none() => String::new(),
        Origin::Reading(_) => {
            from.or(item.readings_from.as_deref()).unwrap_or("not yet stated").to_owned()
        }
    };
    let origin = format!("{}#{}", item.address, entry.anchor());
    let declared = reading.and_then(|_| item.source(&source));
    let mut cell = ComparisonCell {
        source_words: declared.map_or_else(|| source.clone(), source_words),
        source_address: declared
            .map_or_else(|| origin.clone(), |it| format!("{}#{}", item.address, source_anchor(it))),
        source,
        origin: Some(origin),
        borrowed_from: borrowed,
        ..ComparisonCell::default()
    };
    let Some(mut value) = value else {
        let why = reading.map(|reading| plain(&reading.decl.not_measured)).unwrap_or_default();
        let what = if why.is_empty() { "not known" } else { "not measured" };
        cell.missing = Some(Missing { what: what.to_owned(), why });
        return cell;
    };
    cell.mark = Some(support(item, entry));
    if !cell.borrowed_from.is_empty() {
        (value.relation, value.difference, value.ratio) = (None, None, None);
    }
    cell.value = Some(value);
    cell
}
