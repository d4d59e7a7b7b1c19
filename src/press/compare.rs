//! Comparison pages: engines as columns, figures as rows, every cell with what it rests on.

use super::Edition;
use super::engine::{claims, group_of, group_rank};
use super::figures::view_shown;
use super::frame::written;
use super::standing::plain;
use super::values::{entry_mark, plus_minus, stated_shown, value_style};
use crate::folio::PageEntry;
use crate::proof::PageProof;
use crate::proof::checks::tie::engine_title;
use crate::quantity::{Kind, Quantity, Real};
use crate::sheet::print::{Style, digits, shown, valued};
use crate::sheet::{Entry, Origin};
use crate::site::view::{
    Cell, Column, ComparisonPage, ComparisonRow, Heading, Link, Missing, RowGroup, Standing,
};

/// Sets a comparison page.
pub(super) fn comparison_page(
    edition: &Edition,
    page: &PageEntry,
    proof: &PageProof,
    body_html: String,
    contents: Vec<Heading>,
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
        claims: claims(page, proof),
        conditions: conditions(edition, page),
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

fn column(edition: &Edition, sheet: usize, reference: bool) -> Column {
    let item = &edition.folio.ledger.sheets[sheet];
    let name = item.engine.as_deref().unwrap_or("");
    Column {
        title: engine_title(name),
        address: item.address.clone(),
        family: engine_title(&item.family),
        specimens: item.specimens,
        reference,
    }
}

fn conditions(edition: &Edition, page: &PageEntry) -> String {
    let conventions = edition.folio.conventions_of(page);
    let ambient = Quantity {
        si: Real::Exact(conventions.ambient.clone()),
        dimension: crate::quantity::Dimension::PRESSURE,
        kind: Kind::Plain,
        reference: None,
    };
    let kilopascal = Real::Exact(crate::quantity::exact::decimal(1000, 0));
    let number = ambient.si.div(&kilopascal).unwrap_or_else(Real::zero);
    let reference = conventions.bare_pressure.map_or("as marked", |reference| reference.word());
    format!(
        "Each engine at its own settings. Pressures without a mark are {reference}; ambient {} kPa \
         absolute. Differences and ratios are to the first engine. Equal means: equal within the ± \
         of both.",
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
        let (label, row) = row(edition, name, engines);
        match groups.iter_mut().find(|group| group.label == label) {
            Some(group) => group.rows.push(row),
            None => groups.push(RowGroup { label: label.to_owned(), rows: vec![row] }),
        }
    }
    groups.sort_by_key(|group| group_rank(&group.label));
    groups
}

/// What a cell needs of an engine's figure.
struct Figure<'a> {
    sheet: usize,
    index: usize,
    entry: &'a Entry,
    quantity: Option<(Quantity, f64, Style)>,
}

fn figure<'a>(edition: &'a Edition, sheet: usize, name: &str) -> Option<Figure<'a>> {
    let ledger = &edition.folio.ledger;
    let entries = &ledger.sheets[sheet].entries;
    let index = entries.iter().position(|entry| entry.name.text == name)?;
    let quantity =
        valued(ledger, sheet, index).map(|(value, limit, style)| (value.quantity, limit, style));
    Some(Figure { sheet, index, entry: &entries[index], quantity })
}

fn row(edition: &Edition, name: &str, engines: &[usize]) -> (&'static str, ComparisonRow) {
    let figures: Vec<Option<Figure<'_>>> =
        engines.iter().map(|sheet| figure(edition, *sheet, name)).collect();
    let known = figures.iter().flatten();
    let first_known = known.clone().find(|figure| figure.quantity.is_some());
    let label = first_known
        .or_else(|| figures.iter().flatten().next())
        .map_or("Other figures", |figure| group_of(edition, figure.sheet, figure.index));
    let reference = figures.first().and_then(Option::as_ref);
    let cells: Vec<Cell> = figures
        .iter()
        .enumerate()
        .map(|(column, figure)| match figure {
            Some(figure) => cell(edition, figure, reference.filter(|_| 0 < column)),
            None => Cell {
                missing: Some(Missing { what: "not stated".to_owned(), why: String::new() }),
                ..Cell::default()
            },
        })
        .collect();
    let setting =
        known.clone().any(|figure| figure.entry.reading().is_some_and(|r| r.decl.setting));
    let differs = cells.iter().skip(1).any(|cell| !cell.equal);
    let row = ComparisonRow {
        anchor: format!("row-{name}"),
        label: name.replace('_', " "),
        meaning: String::new(),
        setting,
        cells,
        differs,
    };
    (label, row)
}

fn cell(edition: &Edition, figure: &Figure<'_>, reference: Option<&Figure<'_>>) -> Cell {
    let item = &edition.folio.ledger.sheets[figure.sheet];
    let reading = figure.entry.reading();
    let borrowed = reading.map(|reading| plain(&reading.decl.like)).unwrap_or_default();
    let stated = reading.and_then(|reading| reading.statements.first());
    let from = stated.and_then(|stated| stated.from.as_ref()).map(|from| from.text.as_str());
    let source = match figure.entry.origin {
        Origin::Derived(_) => "computed".to_owned(),
        Origin::Reading(_) if stated.is_none() => String::new(),
        Origin::Reading(_) => {
            from.or(item.readings_from.as_deref()).unwrap_or("not yet stated").to_owned()
        }
    };
    let mut cell = Cell {
        source,
        origin: Some(format!("{}#{}", item.address, figure.entry.anchor())),
        mark: entry_mark(figure.entry),
        borrowed_from: borrowed,
        ..Cell::default()
    };
    let Some((quantity, half_width, style)) = &figure.quantity else {
        let why = reading.map(|reading| plain(&reading.decl.not_measured)).unwrap_or_default();
        let what = if why.is_empty() { "not known" } else { "not measured" };
        cell.missing = Some(Missing { what: what.to_owned(), why });
        return cell;
    };
    let style = &value_style(quantity, style, *half_width, stated);
    cell.shown = Some(stated_shown(quantity, style, stated));
    cell.plus_minus = plus_minus(quantity, style, *half_width);
    let other = reference.and_then(|reference| reference.quantity.as_ref());
    if let Some((base, base_half_width, base_style)) = other {
        compare(&mut cell, (quantity, *half_width, style), (base, *base_half_width, base_style));
    }
    cell
}

fn compare(cell: &mut Cell, own: (&Quantity, f64, &Style), base: (&Quantity, f64, &Style)) {
    let ((quantity, half_width, style), (base, base_half_width, base_style)) = (own, base);
    if quantity.dimension != base.dimension || quantity.reference != base.reference {
        return;
    }
    let difference = quantity.si.sub(&base.si);
    let apart = difference.to_f64().abs();
    let allowed = half_width + base_half_width;
    // A borrowed value is no finding: it never counts as equal.
    cell.equal = apart <= allowed && cell.borrowed_from.is_empty();
    let coarser = style.resolution.max(base_style.resolution);
    let signed =
        Quantity { si: difference, kind: difference_kind(quantity.kind), ..quantity.clone() };
    let style = Style { unit: style.unit.clone(), resolution: coarser };
    let mut told = shown(&signed, &style, None);
    if 0.0 < signed.si.to_f64() {
        for text in [&mut told.written, &mut told.si, &mut told.us] {
            *text = format!("+{text}");
        }
    }
    cell.difference = Some(view_shown(told));
    cell.ratio = ratio(quantity, base);
}

/// A ratio makes sense for what has a true zero.
fn ratio(quantity: &Quantity, base: &Quantity) -> Option<String> {
    if quantity.kind == Kind::TemperaturePoint {
        return None;
    }
    let ratio = quantity.si.div(&base.si)?;
    let value = ratio.to_f64();
    let places = if value.abs() < 10.0 { 2 } else { 1 };
    (value.is_finite() && 0.0 < value).then(|| format!("{}\u{a0}×", digits(&ratio, places)))
}

fn difference_kind(kind: Kind) -> Kind {
    match kind {
        Kind::TemperaturePoint => Kind::TemperatureDifference,
        kind => kind,
    }
}
