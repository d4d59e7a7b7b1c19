//! Machine-readable files: one engine's data sheet as JSON and CSV, one comparison as CSV.

use super::Edition;
use super::compare::{engines, groups};
use super::standing::plain;
use crate::proof::PageEntry;
use crate::proof::checks::tie::engine_title;
use crate::sheet::print::{in_unit, kind_words, machine_value, valued};
use crate::sheet::{Entry, Origin};
use serde_json::{Value, json};

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
pub struct DataFiles {
    /// As CSV (RFC 4180).
    pub csv: Vec<u8>,
    /// As JSON.
    pub json: Vec<u8>,
}

/// The data files of an engine.
#[must_use]
pub fn data_files(edition: &Edition, sheet: usize) -> DataFiles {
    let rows = rows(edition, sheet);
    DataFiles { json: engine_json(edition, sheet, &rows), csv: engine_csv(rows) }
}

fn engine_csv(rows: Vec<Row>) -> Vec<u8> {
    let mut records = vec![HEAD.map(str::to_owned).to_vec()];
    for row in rows {
        records.push(vec![
            row.name,
            row.words,
            row.kind,
            row.si,
            row.half_width_si,
            row.unit,
            row.written,
            row.source,
            row.formula,
            row.not_measured,
            row.borrowed_from,
        ]);
    }
    csv_bytes(&records)
}

fn csv_bytes(records: &[Vec<String>]) -> Vec<u8> {
    let mut writer = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
    for record in records {
        // Writing to memory does not fail.
        let _ = writer.write_record(record);
    }
    writer.into_inner().unwrap_or_default()
}

fn engine_json(edition: &Edition, sheet: usize, rows: &[Row]) -> Vec<u8> {
    let item = &edition.folio.ledger.sheets[sheet];
    let number = |text: &str| text.parse::<f64>().map_or(Value::Null, |value| json!(value));
    let figures: Vec<Value> = rows
        .iter()
        .map(|row| {
            json!({
                "name": row.name,
                "words": row.words,
                "kind": row.kind,
                "si": number(&row.si),
                "plus_minus_si": number(&row.half_width_si),
                "unit": row.unit,
                "written": row.written,
                "source": row.source,
                "formula": row.formula,
                "not_measured": row.not_measured,
                "borrowed_from": row.borrowed_from,
            })
        })
        .collect();
    let sources: Vec<Value> = item
        .sources
        .iter()
        .map(|source| {
            json!({
                "id": source.id.text,
                "kind": source.kind.word(),
                "title": plain(&source.title),
                "rev": plain(&source.rev),
                "by": plain(&source.by),
                "on": plain(&source.on),
                "with": plain(&source.with),
            })
        })
        .collect();
    let sheet = json!({
        "engine": item.engine,
        "title": item.title,
        "family": item.family,
        "descends_from": item.descends_from,
        "specimens": item.specimens,
        "notice": edition.folio.imprint.notice,
        "data_version": edition.folio.imprint.version,
        "sources": sources,
        "figures": figures,
    });
    let mut text = serde_json::to_string_pretty(&sheet).unwrap_or_default();
    text.push('\n');
    text.into_bytes()
}

/// A comparison's table as CSV.
#[must_use]
pub fn comparison_csv(edition: &Edition, page: &PageEntry) -> (String, Vec<u8>) {
    let engines = engines(edition, page);
    let ledger = &edition.folio.ledger;
    let mut head = vec!["group".to_owned(), "figure".to_owned()];
    for sheet in &engines {
        let name = engine_title(ledger.sheets[*sheet].engine.as_deref().unwrap_or(""));
        head.extend([name.clone(), format!("{name} (SI value)"), format!("{name} (source)")]);
    }
    let mut records = vec![head];
    for group in groups(edition, page, &engines) {
        for row in group.rows {
            let mut record = vec![group.label.clone(), row.label];
            for cell in row.cells {
                let missing = cell.missing.map(|missing| missing.what);
                let shown = cell.shown.unwrap_or_default();
                record.extend([missing.unwrap_or(shown.written), shown.value, cell.source]);
            }
            records.push(record);
        }
    }
    (super::compare::csv_address(page), csv_bytes(&records))
}
