//! Machine-readable files: what a page's tables show, as JSON and CSV (RFC 4180).

use super::bench::{poses_address, poses_script};
use super::comparison::{
    ComparisonCell, ComparisonPage, csv_address, events_address, structure_address,
};
use super::data_sheet::{DerivedRow, ReadingGroup, ReadingRow};
use super::engine::{ClaimRow, EnginePage};
use super::faults::FaultsView;
use super::forces::{ForcedPart, ForcedRow, SizedFigure};
use super::marks::words;
use super::measuring::MeasuringBlank;
use super::routing::{RoutingJson, routing_json, stamp_address};
use super::standing::SourceRow;
use super::strokes::StrokeView;
use super::structure::Structure;
use crate::folio::PageEntry;
use crate::sheet::print::Shown;
use crate::sheet::side_by_side::Difference;
use crate::site::shared::Link;
use serde::Serialize;
use std::borrow::Cow;

/// An engine's data sheet for other tools.
#[derive(Serialize)]
struct EngineJson<'a> {
    engine: &'a str,
    title: &'a str,
    family: &'a str,
    descends_from: Option<&'a Link>,
    specimens: usize,
    notice: &'a str,
    data_version: &'a str,
    sources: &'a [SourceRow],
    readings: &'a [ReadingGroup],
    derived: &'a [DerivedRow],
    claims: &'a [ClaimRow],
    /// One shot; none where the engine has no cutaway.
    routing: Option<RoutingJson<'a>>,
    /// What happens when something is wrong.
    faults: Option<&'a FaultsView>,
    /// What pushes its parts; nothing where its cutaway has no sizes.
    forces: &'a [ForcedPart],
}

/// The data sheet of an engine's page as JSON and CSV, and the poses of its shot for the bench,
/// with their addresses.
pub(super) fn engine_files(view: &EnginePage) -> Vec<(String, Vec<u8>)> {
    let site = &view.frame.site;
    let sheet = EngineJson {
        engine: &view.engine,
        title: &view.frame.title,
        family: &view.family,
        descends_from: view.descends_from.as_ref(),
        specimens: view.specimens,
        notice: &site.notice,
        data_version: &site.data_version,
        sources: &view.standing.sources,
        readings: &view.readings,
        derived: &view.derived,
        claims: &view.claims,
        routing: view.shot.as_ref().map(|shot| routing_json(&view.engine, shot)),
        faults: view.faults.as_ref(),
        forces: &view.forces,
    };
    let mut json = serde_json::to_vec_pretty(&sheet).unwrap_or_default();
    json.push(b'\n');
    let address = |ending: &str| format!("data/{}.{ending}", view.engine);
    let mut files = vec![(address("json"), json), (address("csv"), sheet_csv(view))];
    if let Some(shot) = &view.shot {
        files.push((poses_address(&view.engine), poses_script(&view.engine, shot)));
        files.push((stamp_address(&view.engine), shot.stamp.clone().into_bytes()));
    }
    files
}

/// Heads of the data sheet as CSV.
const HEAD: [&str; 13] = [
    "name",
    "in words",
    "group",
    "kind",
    "value (SI)",
    "plus or minus (SI)",
    "unit as written (UCUM)",
    "as written",
    "source",
    "checked",
    "formula",
    "not measured because",
    "borrowed from",
];

fn sheet_csv(view: &EnginePage) -> Vec<u8> {
    let mut records = vec![HEAD.map(str::to_owned)];
    for group in &view.readings {
        records.extend(group.rows.iter().map(|row| reading_record(&group.label, row)));
    }
    records.extend(view.derived.iter().map(derived_record));
    csv_bytes(records.iter())
}

fn reading_record(group: &str, row: &ReadingRow) -> [String; 13] {
    let shown = row.shown.clone().unwrap_or_default();
    let source = if row.source_anchor.is_empty() { "" } else { &row.source };
    let checked = row.shown.as_ref().map_or("", |_| words(row.mark).short);
    [
        row.id.clone(),
        row.label.clone(),
        group.to_owned(),
        shown.kind,
        machine(shown.value),
        machine(row.plus_minus.as_ref().and_then(|shown| shown.value)),
        row.ucum.clone(),
        shown.written,
        source.to_owned(),
        checked.to_owned(),
        String::new(),
        row.not_measured.clone(),
        row.borrowed_from.clone(),
    ]
}

fn derived_record(row: &DerivedRow) -> [String; 13] {
    [
        row.id.clone(),
        row.label.clone(),
        "Derived figures".to_owned(),
        row.shown.kind.clone(),
        machine(row.shown.value),
        machine(row.plus_minus.as_ref().and_then(|shown| shown.value)),
        row.ucum.clone(),
        row.shown.written.clone(),
        String::new(),
        String::new(),
        row.formula.clone(),
        String::new(),
        String::new(),
    ]
}

/// Heads of the forces as CSV.
const FORCE_HEAD: [&str; 13] = [
    "part",
    "from moment",
    "to moment",
    "after",
    "position",
    "pushed by",
    "pressure",
    "pressure (Pa gauge)",
    "area (m2)",
    "area plus or minus (m2)",
    "force (N)",
    "force plus or minus (N)",
    "direction",
];

/// What pushes the parts of an engine; behind the rows of each moment their sum.
pub(super) fn forces_csv(parts: &[ForcedPart]) -> Vec<u8> {
    let mut records = vec![FORCE_HEAD.map(str::to_owned)];
    for part in parts {
        for moment in &part.moments {
            let none = SizedFigure::default();
            let net = ForcedRow {
                by: "all together".to_owned(),
                level: "",
                reading: String::new(),
                reading_anchor: String::new(),
                pressure: none.clone(),
                area: none,
                force: moment.net.force.clone(),
                direction: moment.net.direction,
            };
            for row in moment.rows.iter().chain([&net]) {
                let number = |of: &SizedFigure| {
                    machine(of.value.as_ref().and_then(|found| found.shown.value))
                };
                let width = |of: &SizedFigure| {
                    let width = of.value.as_ref().and_then(|found| found.plus_minus.as_ref());
                    machine(width.and_then(|width| width.value))
                };
                records.push([
                    part.name.clone(),
                    moment.from.to_string(),
                    moment.to.to_string(),
                    moment.after.clone(),
                    moment.position.clone(),
                    row.by.clone(),
                    row.level.to_owned(),
                    number(&row.pressure),
                    number(&row.area),
                    width(&row.area),
                    number(&row.force),
                    width(&row.force),
                    row.direction.to_owned(),
                ]);
            }
        }
    }
    csv_bytes(records.iter())
}

/// Blanks to fill in: `gaugebook measured` reads them back.
pub(super) fn measuring_csv(blanks: &[MeasuringBlank]) -> Vec<u8> {
    let head = ["number", "what", "now", "good for", "measured", "plus or minus"];
    let mut records = vec![head.map(str::to_owned)];
    records.extend(blanks.iter().map(|blank| {
        let none = String::new;
        let (what, now, why) = (blank.what.clone(), blank.now.clone(), blank.why.clone());
        [blank.number.to_string(), what, now, why, none(), none()]
    }));
    csv_bytes(records.iter())
}

/// How wide rooms stand open along the strokes of an engine's parts.
pub(super) fn openings_csv(strokes: &[StrokeView]) -> Vec<u8> {
    let head = ["part", "travel from the rear end (m)", "there", "rooms", "area (m2)"];
    let mut records = vec![head.map(str::to_owned)];
    for stroke in strokes {
        for row in &stroke.rows {
            for (pair, area) in stroke.pairs.iter().zip(&row.areas) {
                let shut = "0".to_owned();
                records.push([
                    stroke.name.clone(),
                    machine(row.travel.shown.value),
                    row.at.clone(),
                    pair.words.clone(),
                    area.as_ref().map_or(shut, |area| machine(area.shown.value)),
                ]);
            }
        }
    }
    csv_bytes(records.iter())
}

/// A number as a field; empty where there is none.
fn machine(value: Option<f64>) -> String {
    value.map(|value| value.to_string()).unwrap_or_default()
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
            let known = row.cells.iter().find_map(|cell| cell.value.as_ref());
            let kind = known.map(|value| value.shown.kind.clone()).unwrap_or_default();
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

fn cell_fields(cell: &ComparisonCell, compared: bool) -> Vec<String> {
    let number = |shown: Option<&Shown>| machine(shown.and_then(|shown| shown.value));
    let value = cell.value.as_ref();
    let missing = cell.missing.as_ref().map(|missing| missing.what.clone());
    let written = value.map(|value| value.shown.written.clone());
    let mut fields = vec![
        missing.or(written).unwrap_or_default(),
        number(value.map(|value| &value.shown)),
        number(value.and_then(|value| value.plus_minus.as_ref())),
        cell.source.clone(),
    ];
    if compared {
        let relation = value.and_then(|value| value.relation);
        fields.push(relation.map_or("", |relation| relation.words()).to_owned());
        let difference = value.and_then(|value| value.difference.as_ref());
        let ratio = value.and_then(|value| value.ratio.as_ref());
        for found in [difference, ratio] {
            fields.push(number(found.map(|found: &Difference| &found.shown)));
            fields.push(number(found.and_then(|found| found.plus_minus.as_ref())));
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
    let mut head = ["row", "milestone", "same in all"].map(str::to_owned).to_vec();
    for title in &structure.titles {
        head.extend([title.clone(), format!("{title} (standing)")]);
    }
    let mut records = vec![head];
    for (at, row) in structure.lanes.iter().enumerate() {
        let number = (at + 1).to_string();
        let mut record = vec![number, row.milestone.to_owned(), yes_or_no(row.same)];
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
