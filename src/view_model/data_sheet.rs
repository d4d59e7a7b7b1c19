//! The data sheet of an engine: its readings and its derived figures, row by row.

use super::Edition;
use super::standing::{kind_words, plain};
use super::values::stated_shown;
use crate::proof::checks::statement::compare;
use crate::proof::figure::support;
use crate::proof::{PageProof, Status};
use crate::quantity::{Dimension, Kind};
use crate::sheet::print::{Shown, largest_share, shown, shown_half_width, style_of, valued};
use crate::sheet::{DerivedEntry, Entry, Origin, ReadingEntry, Sheet, Stated};
use crate::site::shared::Link;
use serde::Serialize;

/// Readings that belong together ("Pressures", "Bores").
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct ReadingGroup {
    /// What they have in common.
    pub(crate) label: String,
    pub(crate) rows: Vec<ReadingRow>,
}

/// One reading in the data sheet.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct ReadingRow {
    /// Anchor, without `#` (`reading-operating_pressure`).
    pub(crate) anchor: String,
    /// Name in formulas (`operating_pressure`).
    pub(crate) id: String,
    pub(crate) label: String,
    /// Other words that mean it.
    pub(crate) cues: Vec<String>,
    /// The value; `None` when it was not measured.
    pub(crate) shown: Option<Shown>,
    /// Its ±, if any.
    pub(crate) plus_minus: Option<Shown>,
    /// UCUM code of the unit as written; empty without a value.
    pub(crate) ucum: String,
    /// How the reading was taken where that is more than one number ("3 readings", "goes 1.0 mm,
    /// stops 1.1 mm", "by photo"); may be empty.
    pub(crate) form: String,
    /// Why there is no value; empty when there is one.
    pub(crate) not_measured: String,
    /// Name of the engine it is borrowed from; empty when it is this engine's own.
    pub(crate) borrowed_from: String,
    /// Short name of the source ("card") or "not yet stated".
    pub(crate) source: String,
    /// Anchor of the source's row, without `#`; empty if the source is not stated.
    pub(crate) source_anchor: String,
    /// Kind of the source in words ("measured").
    pub(crate) source_kind: String,
    /// How far it has been checked.
    pub(crate) mark: Status,
    /// How it was checked, in words ("claim 2; three places in the text").
    pub(crate) how_checked: String,
    /// How sure it is, in words; may be empty.
    pub(crate) how_sure: String,
    /// Further statements of it, judged against the first.
    pub(crate) also: Vec<StatementView>,
    /// True for a setting (pressure, dwell) as opposed to a property.
    pub(crate) setting: bool,
    /// Revision of the engine it belongs to; may be empty.
    pub(crate) revision: String,
    /// The writer's note; may be empty.
    pub(crate) note: String,
}

/// One of several statements of the same reading.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct StatementView {
    /// The value it states.
    pub(crate) shown: Shown,
    /// Its ±, if any.
    pub(crate) plus_minus: Option<Shown>,
    /// Short name of its source.
    pub(crate) source: String,
    /// Anchor of the source's row, without `#`; empty if the source is not stated.
    pub(crate) source_anchor: String,
    /// How it compares with the first statement.
    pub(crate) verdict: &'static str,
    /// Why, in words; may be empty.
    pub(crate) reason: String,
}

/// One derived figure.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct DerivedRow {
    /// Anchor, without `#` (`derived-metering_area`).
    pub(crate) anchor: String,
    pub(crate) id: String,
    pub(crate) label: String,
    /// Other words that mean it.
    pub(crate) cues: Vec<String>,
    pub(crate) shown: Shown,
    pub(crate) plus_minus: Option<Shown>,
    /// UCUM code of the unit it is worked out in.
    pub(crate) ucum: String,
    /// The formula as the writer typed it.
    pub(crate) formula: String,
    /// What went in: title is "metering bore 0.90 mm", address leads to its row (site-relative).
    pub(crate) inputs: Vec<Link>,
    /// Largest share of the ± ("metering bore gives 91 % of it"); may be empty.
    pub(crate) how_sure: String,
    /// The writer's note; may be empty.
    pub(crate) note: String,
}

/// Groups of the data sheet, in order.
const GROUPS: [(&str, &[Dimension]); 8] = [
    ("Pressures", &[Dimension::PRESSURE]),
    ("Bores, diameters and lengths", &[Dimension::LENGTH]),
    ("Areas and volumes", &[Dimension::AREA, Dimension::VOLUME]),
    ("Masses", &[Dimension::MASS, Dimension::DENSITY]),
    ("Springs and forces", &[Dimension::SPRING_RATE, Dimension::FORCE]),
    ("Times and speeds", &[Dimension::TIME, Dimension::VELOCITY, Dimension::RATE]),
    (
        "Air and energy",
        &[
            Dimension::MASS_FLOW,
            Dimension::VOLUME_FLOW,
            Dimension::CONDUCTANCE,
            Dimension::ENERGY,
            Dimension::POWER,
        ],
    ),
    ("Ratios and counts", &[Dimension::NONE]),
];

/// The group that an entry belongs to.
pub(super) fn group_of(edition: &Edition, sheet: usize, entry: usize) -> &'static str {
    let ledger = &edition.folio.ledger;
    let item = &ledger.sheets[sheet].entries[entry];
    let is_ring = item
        .reading()
        .and_then(|reading| reading.statements.first())
        .is_some_and(|stated| !stated.members.is_empty());
    if is_ring {
        return "Rings";
    }
    let Some(value) = ledger.nominal(sheet, entry) else { return "Not measured" };
    if matches!(value.quantity.kind, Kind::StandardAir(_)) {
        return "Air and energy";
    }
    let dimension = value.quantity.dimension;
    let group = GROUPS.iter().find(|(_, dimensions)| dimensions.contains(&dimension));
    group.map_or("Other figures", |(label, _)| label)
}

/// Order of the groups.
pub(super) fn group_rank(label: &str) -> usize {
    match label {
        "Rings" => GROUPS.len(),
        "Other figures" => GROUPS.len() + 1,
        "Not measured" => GROUPS.len() + 2,
        _ => GROUPS.iter().position(|(known, _)| *known == label).unwrap_or(GROUPS.len() + 1),
    }
}

pub(super) fn readings(edition: &Edition, sheet: usize, proof: &PageProof) -> Vec<ReadingGroup> {
    let item = &edition.folio.ledger.sheets[sheet];
    let mut groups: Vec<ReadingGroup> = Vec::new();
    for (index, entry) in item.entries.iter().enumerate() {
        let Origin::Reading(reading) = &entry.origin else { continue };
        let label = group_of(edition, sheet, index);
        let row = reading_row(edition, sheet, index, reading, proof);
        match groups.iter_mut().find(|group| group.label == label) {
            Some(group) => group.rows.push(row),
            None => groups.push(ReadingGroup { label: label.to_owned(), rows: vec![row] }),
        }
    }
    groups.sort_by_key(|group| group_rank(&group.label));
    groups
}

fn reading_row(
    edition: &Edition,
    sheet: usize,
    index: usize,
    reading: &ReadingEntry,
    proof: &PageProof,
) -> ReadingRow {
    let ledger = &edition.folio.ledger;
    let item = &ledger.sheets[sheet];
    let entry = &item.entries[index];
    let decl = &reading.decl;
    let words = entry.words();
    let first = reading.statements.first();
    let (source, source_anchor, source_kind) = source_of(item, first, decl.like.is_some());
    let mut row = ReadingRow {
        anchor: entry.anchor(),
        id: entry.name.text.clone(),
        cues: other_words(entry),
        label: words,
        not_measured: plain(&decl.not_measured),
        borrowed_from: plain(&decl.like),
        source,
        source_anchor,
        source_kind,
        mark: support(item, entry),
        setting: decl.setting,
        revision: plain(&decl.revision),
        note: plain(&decl.note),
        how_checked: how_checked(sheet, index, proof),
        shown: None,
        plus_minus: None,
        ucum: String::new(),
        form: String::new(),
        how_sure: String::new(),
        also: Vec::new(),
    };
    if let Some((value, half_width, style)) = valued(ledger, sheet, index) {
        row.shown = Some(stated_shown(&value.quantity, &style, first));
        row.plus_minus = shown_half_width(&value.quantity, &style, half_width);
        row.ucum = style.unit.code.to_string();
    }
    if let Some(stated) = first {
        row.form.clone_from(&stated.form);
        row.how_sure = stated.plus_minus_from.words();
    }
    let verdicts = compare(reading, &item.conventions);
    for (stated, judgement) in reading.statements.iter().skip(1).zip(verdicts) {
        let (source, source_anchor, _) = source_of(item, Some(stated), false);
        let style = style_of(stated);
        row.also.push(StatementView {
            shown: stated_shown(&stated.quantity, &style, Some(stated)),
            plus_minus: shown_half_width(&stated.quantity, &style, stated.told_half_width()),
            source,
            source_anchor,
            verdict: judgement.verdict.word(),
            reason: judgement.reason,
        });
    }
    row
}

fn source_of(sheet: &Sheet, stated: Option<&Stated>, borrowed: bool) -> (String, String, String) {
    let from = stated.and_then(|stated| stated.from.as_ref()).map(|from| from.text.as_str());
    let id = match from.or(sheet.readings_from.as_deref()) {
        Some(id) if stated.is_some() => id,
        _ if borrowed => return Default::default(),
        _ if stated.is_none() => return ("none".to_owned(), String::new(), String::new()),
        _ => return ("not yet stated".to_owned(), String::new(), String::new()),
    };
    match sheet.source(id) {
        Some(source) => {
            let kind = kind_words(source.kind).to_owned();
            (id.to_owned(), format!("_source-{id}"), kind)
        }
        None => (id.to_owned(), String::new(), String::new()),
    }
}

/// Where else the page states an entry.
fn how_checked(sheet: usize, entry: usize, proof: &PageProof) -> String {
    let places = proof
        .figures
        .iter()
        .map(|(_, figure)| figure)
        .chain(&proof.stated_in_front)
        .filter(|figure| figure.tied == Some((sheet, entry)) && figure.status != Status::Printed)
        .count();
    match places {
        0 => String::new(),
        1 => "stated once in the text".to_owned(),
        places => format!("stated {places} times in the text"),
    }
}

pub(super) fn derived(edition: &Edition, sheet: usize) -> Vec<DerivedRow> {
    let entries = edition.folio.ledger.sheets[sheet].entries.iter().enumerate();
    entries
        .filter_map(|(index, entry)| {
            let Origin::Derived(derived) = &entry.origin else { return None };
            derived_row(edition, sheet, index, entry, derived)
        })
        .collect()
}

fn derived_row(
    edition: &Edition,
    sheet: usize,
    index: usize,
    entry: &Entry,
    derived: &DerivedEntry,
) -> Option<DerivedRow> {
    let ledger = &edition.folio.ledger;
    let (value, half_width, style) = valued(ledger, sheet, index)?;
    let words = entry.words();
    let largest = largest_share(ledger, sheet, &value).filter(|_| 0.0 < half_width);
    let how_sure = match largest {
        Some((name, share)) if share < 0.995 => {
            format!("{name} gives {:.0} % of the ± (k = 2)", share * 100.0)
        }
        Some((name, _)) => format!("± (k = 2) from {name}"),
        None => String::new(),
    };
    Some(DerivedRow {
        anchor: entry.anchor(),
        id: entry.name.text.clone(),
        cues: other_words(entry),
        label: words,
        shown: shown(&value.quantity, &style, None),
        plus_minus: shown_half_width(&value.quantity, &style, half_width),
        ucum: style.unit.code.to_string(),
        formula: derived.decl.formula.text.clone(),
        inputs: inputs(edition, sheet, derived),
        how_sure,
        note: plain(&derived.decl.note),
    })
}

/// Other words that mean an entry; spellings with a hyphen are not other words.
fn other_words(entry: &Entry) -> Vec<String> {
    let words = entry.words();
    let cues = entry.cues.iter().filter(|cue| cue.replace('-', " ") != words.replace('-', " "));
    cues.cloned().collect()
}

pub(super) fn inputs(edition: &Edition, sheet: usize, derived: &DerivedEntry) -> Vec<Link> {
    let ledger = &edition.folio.ledger;
    let mut links: Vec<Link> = Vec::new();
    let named = derived.formula.as_ref().map(|formula| ledger.inputs_of(formula, sheet));
    for (owner, entry) in named.unwrap_or_default() {
        let Some((value, _, style)) = valued(ledger, owner, entry) else { continue };
        let item = &ledger.sheets[owner];
        let printed = shown(&value.quantity, &style, None).written;
        let words = item.entries[entry].words();
        let title = match item.engine.as_ref().filter(|_| owner != sheet) {
            Some(engine) => format!("{engine} {words} {printed}"),
            None => format!("{words} {printed}"),
        };
        let address = format!("{}#{}", item.address, item.entries[entry].anchor());
        if !links.iter().any(|link| link.address == address) {
            links.push(Link::new(title, address));
        }
    }
    links
}
