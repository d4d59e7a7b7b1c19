//! Machine-readable files: one engine's data sheet as JSON and CSV, comparisons as CSV.

use super::Edition;
use super::compare::{csv_address, events_address, structure_address};
use super::routing::{RoutingJson, routing_json};
use super::standing::plain;
use crate::folio::PageEntry;
use crate::page::yaml::Text;
use crate::sheet::print::{in_unit, kind_words, machine_value, valued};
use crate::sheet::{Entry, Origin};
use crate::site::view::{Cell, ComparisonPage, Shown, Structure};
use serde::Serialize;
use std::borrow::Cow;

/// The rows of an engine's data sheet, as plain text.
struct Row {
    name: String,
    words: String,
    kind: String,
    si: String,
    half_width_si: String,
    unit: String,
    written: String,
    source: String,
    formula: String,
    not_measured: String,
    borrowed_from: String,
}

const HEAD: [&str; 11] = [
    "name",
    "in words",
    "kind",
    "value (SI)",
    "plus or minus (SI)",
    "unit as written (UCUM)",
    "as written",
    "source",
    "formula",
    "not measured because",
    "borrowed from",
];

fn rows(edition: &Edition, sheet: usize) -> Vec<Row> {
    let ledger = &edition.folio.ledger;
    let item = &ledger.sheets[sheet];
    let row = |(index, entry): (usize, &Entry)| {
        let value = valued(ledger, sheet, index);
        let value = value.as_ref();
        let reading = entry.reading();
        let stated = reading.and_then(|reading| reading.statements.first());
        let from = stated.and_then(|stated| stated.from.as_ref()).map(|from| from.text.as_str());
        let formula = match &entry.origin {
            Origin::Derived(derived) => derived.decl.formula.text.clone(),
            Origin::Reading(_) => String::new(),
        };
        Row {
            name: entry.name.text.clone(),
            words: entry.words(),
            kind: value.map(|(v, _, _)| kind_words(&v.quantity)).unwrap_or_default(),
            si: value.map(|(v, _, _)| machine_value(&v.quantity.si)).unwrap_or_default(),
            half_width_si: value
                .map(|(_, limit, _)| machine_value(&crate::quantity::Real::near(*limit)))
                .unwrap_or_default(),
            unit: value.map(|(_, _, style)| style.unit.code.to_string()).unwrap_or_default(),
            written: match stated {
                Some(stated) => stated.written.clone(),
                None => value
                    .map(|(v, _, style)| in_unit(&v.quantity, &style.unit, style.resolution))
                    .unwrap_or_default(),
            },
            source: match stated {
                Some(_) => from.or(item.readings_from.as_deref()).unwrap_or("").to_owned(),
                None => String::new(),
            },
            formula,
            not_measured: reading.map(|r| plain(&r.decl.not_measured)).unwrap_or_default(),
            borrowed_from: reading.map(|r| plain(&r.decl.like)).unwrap_or_default(),
        }
    };
    item.entries.iter().enumerate().map(row).collect()
}

/// An engine's data sheet for other tools.
pub(crate) struct DataFiles {
    /// As CSV (RFC 4180).
    pub(crate) csv: Vec<u8>,
    pub(crate) json: Vec<u8>,
}

/// The data files of an engine.
pub(crate) fn data_files(edition: &Edition, sheet: usize) -> DataFiles {
    let rows = rows(edition, sheet);
    DataFiles { json: engine_json(edition, sheet, &rows), csv: engine_csv(&rows) }
}

fn engine_csv(rows: &[Row]) -> Vec<u8> {
    let records = rows.iter().map(|row| {
        [
            row.name.as_str(),
            &row.words,
            &row.kind,
            &row.si,
            &row.half_width_si,
            &row.unit,
            &row.written,
            &row.source,
            &row.formula,
            &row.not_measured,
            &row.borrowed_from,
        ]
    });
    csv_bytes(std::iter::once(HEAD).chain(records))
}

fn csv_bytes<R: IntoIterator<Item: AsRef<str>>>(records: impl Iterator<Item = R>) -> Vec<u8> {
    let mut writer = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
    for record in records {
        let fields = record.into_iter().map(|field| harmless(field.as_ref()).into_owned());
        // Writing to memory does not fail.
        let _ = writer.write_record(fields);
    }
    writer.into_inner().unwrap_or_default()
}

/// A field that a spreadsheet does not take for a formula: what begins with one of the signs that
/// start one and is no number gets a quote in front, as OWASP advises ("CSV Injection").
fn harmless(field: &str) -> Cow<'_, str> {
    let starts_formula = field.starts_with(['=', '+', '-', '@', '\t', '\r']);
    if starts_formula && field.parse::<f64>().is_err() {
        Cow::Owned(format!("'{field}"))
    } else {
        Cow::Borrowed(field)
    }
}

/// An engine's data sheet as it is printed as JSON.
#[derive(Serialize)]
struct SheetJson<'a> {
    engine: Option<&'a str>,
    title: &'a str,
    family: &'a str,
    descends_from: Option<&'a str>,
    specimens: usize,
    notice: &'a str,
    data_version: &'a str,
    sources: Vec<SourceJson<'a>>,
    figures: Vec<FigureJson<'a>>,
    /// One shot; none where the engine has no cutaway.
    routing: Option<RoutingJson>,
}

#[derive(Serialize)]
struct SourceJson<'a> {
    id: &'a str,
    kind: &'a str,
    title: &'a str,
    rev: &'a str,
    by: &'a str,
    on: &'a str,
    with: &'a str,
}

#[derive(Serialize)]
struct FigureJson<'a> {
    name: &'a str,
    words: &'a str,
    kind: &'a str,
    si: Option<f64>,
    plus_minus_si: Option<f64>,
    unit: &'a str,
    written: &'a str,
    source: &'a str,
    formula: &'a str,
    not_measured: &'a str,
    borrowed_from: &'a str,
}

fn engine_json(edition: &Edition, sheet: usize, rows: &[Row]) -> Vec<u8> {
    let item = &edition.folio.ledger.sheets[sheet];
    let imprint = &edition.folio.imprint;
    let sources = item.sources.iter().map(|source| SourceJson {
        id: &source.id.text,
        kind: source.kind.word(),
        title: told(&source.title),
        rev: told(&source.rev),
        by: told(&source.by),
        on: told(&source.on),
        with: told(&source.with),
    });
    let figures = rows.iter().map(|row| FigureJson {
        name: &row.name,
        words: &row.words,
        kind: &row.kind,
        si: row.si.parse().ok(),
        plus_minus_si: row.half_width_si.parse().ok(),
        unit: &row.unit,
        written: &row.written,
        source: &row.source,
        formula: &row.formula,
        not_measured: &row.not_measured,
        borrowed_from: &row.borrowed_from,
    });
    let sheet = SheetJson {
        engine: item.engine.as_deref(),
        title: &item.title,
        family: &item.family,
        descends_from: item.descends_from.as_deref(),
        specimens: item.specimens,
        notice: &imprint.notice,
        data_version: &imprint.version,
        sources: sources.collect(),
        figures: figures.collect(),
        routing: item.engine.as_deref().and_then(|engine| routing_json(edition, engine)),
    };
    let mut bytes = serde_json::to_vec_pretty(&sheet).unwrap_or_default();
    bytes.push(b'\n');
    bytes
}

fn told(text: &Option<Text>) -> &str {
    text.as_ref().map_or("", |text| &text.text)
}

/// The tables of a comparison page as CSV, with their addresses: figures, and where engines have
/// cutaways, structure and events.
pub(super) fn comparison_files(page: &PageEntry, view: &ComparisonPage) -> Vec<(String, Vec<u8>)> {
    let mut files = vec![(csv_address(page), figures_csv(view))];
    if let Some(structure) = &view.structure {
        files.push((structure_address(page), structure_csv(structure)));
        files.push((events_address(page), events_csv(structure)));
    }
    files
}

fn figures_csv(view: &ComparisonPage) -> Vec<u8> {
    let mut head = vec!["group".to_owned(), "figure".to_owned(), "kind".to_owned()];
    head.push("SI unit".to_owned());
    for column in &view.columns {
        let columns = ["", " (SI value)", " (SI ±)", " (source)"];
        head.extend(columns.map(|what| format!("{}{what}", column.title)));
        if !column.reference {
            let columns = ["stands", "SI difference", "SI ± of difference", "ratio", "± of ratio"];
            head.extend(columns.map(|what| format!("{} ({what})", column.title)));
        }
    }
    let mut records = vec![head];
    for group in &view.groups {
        for row in &group.rows {
            let known = row.cells.iter().find_map(|cell| cell.shown.as_ref());
            let kind = known.map(|shown| shown.kind.clone()).unwrap_or_default();
            let mut record =
                vec![group.label.clone(), row.label.clone(), kind, row.si_unit.clone()];
            for (at, cell) in row.cells.iter().enumerate() {
                record.extend(cell_fields(cell, 0 < at));
            }
            records.push(record);
        }
    }
    csv_bytes(records.iter())
}

fn cell_fields(cell: &Cell, compared: bool) -> Vec<String> {
    let value = |shown: &Option<Shown>| shown.as_ref().map(|shown| shown.value.clone());
    let missing = cell.missing.as_ref().map(|missing| missing.what.clone());
    let written = cell.shown.as_ref().map(|shown| shown.written.clone());
    let mut fields = vec![
        missing.or(written).unwrap_or_default(),
        value(&cell.shown).unwrap_or_default(),
        value(&cell.plus_minus).unwrap_or_default(),
        cell.source.clone(),
    ];
    if compared {
        fields.push(cell.relation.clone());
        for found in [&cell.difference, &cell.ratio] {
            let found = found.clone().unwrap_or_default();
            fields
                .extend([found.shown.value.clone(), value(&found.plus_minus).unwrap_or_default()]);
        }
    }
    fields
}

fn structure_csv(structure: &Structure) -> Vec<u8> {
    let mut head = vec!["group".to_owned(), "same in all".to_owned()];
    for title in &structure.titles {
        head.extend([title.clone(), format!("{title} (standing)"), format!("{title} (found)")]);
    }
    let mut records = vec![head];
    for group in structure.groups.iter().chain(&structure.same) {
        for row in &group.rows {
            let mut record = vec![group.label.clone(), yes_or_no(row.same)];
            for cell in &row.cells {
                record.extend([cell.name.clone(), cell.standing.clone(), cell.says.join("; ")]);
            }
            records.push(record);
        }
    }
    csv_bytes(records.iter())
}

fn events_csv(structure: &Structure) -> Vec<u8> {
    let mut head = vec!["row".to_owned(), "same in all".to_owned()];
    for title in &structure.titles {
        head.extend([title.clone(), format!("{title} (standing)")]);
    }
    let mut records = vec![head];
    for (at, row) in structure.lanes.iter().enumerate() {
        let mut record = vec![(at + 1).to_string(), yes_or_no(row.same)];
        for cell in &row.cells {
            record.extend([cell.words.clone(), cell.tag.clone()]);
        }
        records.push(record);
    }
    csv_bytes(records.iter())
}

fn yes_or_no(is_so: bool) -> String {
    if is_so { "yes" } else { "no" }.to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_field_is_a_formula_and_numbers_stay_numbers() {
        for field in ["=1+1", "+cmd", "-012", "@A1", "\tx", "-"] {
            assert_eq!(harmless(field).starts_with('\''), field.parse::<f64>().is_err(), "{field}");
        }
        assert_eq!(harmless("=HYPERLINK(\"x\")"), "'=HYPERLINK(\"x\")");
        assert_eq!(harmless("-0.00055"), "-0.00055");
        assert_eq!(harmless("a=b"), "a=b");
    }
}
