//! `gaugebook measured`: brings a filled measuring sheet into the cutaway.

use super::folder::{Folder, LARGEST_CUTAWAY, NoFolio};
use super::{CommandOutcome, plain_file, shot, terminal, writers_file};
use crate::folio::solids::{SizeToMeasure, measures};
use crate::formula::{NoNames, Outcome, evaluate, parse};
use crate::proof::accept::{Edit, edited};
use crate::quantity::{Conventions, Dimension};
use clap::Args;
use std::collections::BTreeSet;
use std::path::PathBuf;

/// Largest table that is read, in bytes.
const LARGEST_TABLE: u64 = 1 << 20;

/// Writes the sizes of a filled measuring sheet into the engine's cutaway: all of them or none.
#[derive(Debug, Args)]
#[command(after_help = "Example:
  gaugebook measured hazel hazel-measuring.csv

The table is the one that the engine's measuring sheet leads to. Fill in the last two columns: 20.3,
~20.3, 20.3 ± 0.01, 0.486 in, or two gauges as goes 20.28, stops 20.32. Rows without a measured size,
and those that say `not measurable`, are left alone.")]
pub(crate) struct MeasuredCommand {
    /// The engine's name: that of its cutaway in diagrams/
    engine: String,
    /// The filled table (CSV)
    table: PathBuf,
    /// The folder that holds `content` and `diagrams`
    #[arg(default_value = ".")]
    folio: PathBuf,
    /// Change nothing, only tell what would be changed
    #[arg(long)]
    check: bool,
}

/// Runs the command.
pub(crate) fn run(arguments: &MeasuredCommand) -> CommandOutcome {
    match measured(arguments) {
        Ok(outcome) => outcome,
        Err(no) => super::could_not_run(&no.message),
    }
}

fn measured(arguments: &MeasuredCommand) -> Result<CommandOutcome, NoFolio> {
    let folder = Folder::open(&arguments.folio)?;
    let (folio, _) = folder.read()?;
    let routed = shot::routed(&folio, &arguments.engine)?;
    let sizes = measures(&folio, &arguments.engine);
    let no = |message: String| NoFolio { message };
    if sizes.is_empty() {
        return Err(no(format!("{} has no sizes to measure", routed.source.name)));
    }
    let shown = arguments.table.display();
    let table = plain_file::read(&arguments.table, LARGEST_TABLE)
        .map_err(|fault| no(format!("{shown} cannot be read: {fault}")))?;
    let source = &routed.source;
    let is_own = |size: &SizeToMeasure| source.slice(size.span) == size.text;
    let edits = read(&table, &sizes, &is_own)
        .map_err(|fault| no(format!("{shown}: {fault}; nothing was changed")))?;
    let path = folder.root.join(&source.name);
    if !edits.is_empty() && !arguments.check {
        let old = plain_file::read(&path, LARGEST_CUTAWAY)
            .map_err(|fault| no(format!("{} cannot be read: {fault}", source.name)))?;
        // A byte order mark is no part of the text, and stays.
        let mark = old.strip_suffix(source.text.as_bytes()).ok_or_else(|| {
            no(format!("{} was changed while it was being read; run again", source.name))
        })?;
        let new = [mark, edited(&source.text, &edits).as_bytes()].concat();
        writers_file::replace(&path, &old, &new).map_err(no)?;
    }
    Ok(terminal::told(CommandOutcome::Clean, |out| {
        for edit in &edits {
            let place = source.place(edit.span.start);
            let old = source.slice(edit.span);
            writeln!(
                out,
                "{}:{}:{}  {old}  →  {}",
                source.name, place.line, place.column, edit.text
            )?;
        }
        match edits.len() {
            0 => writeln!(out, "no size was measured in this table"),
            1 => writeln!(out, "1 size"),
            count => writeln!(out, "{count} sizes"),
        }
    }))
}

/// The changes that a table asks for, in the order of the text.
///
/// # Errors
/// The first row that cannot be followed, in words.
fn read(
    table: &[u8],
    sizes: &[SizeToMeasure],
    is_own: &dyn Fn(&SizeToMeasure) -> bool,
) -> Result<Vec<Edit>, String> {
    let table = table.strip_prefix(b"\xef\xbb\xbf").unwrap_or(table);
    let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(table);
    let heads = reader.headers().map_err(|error| format!("it is no CSV: {error}"))?.clone();
    let column = |name: &str| {
        let at = heads.iter().position(|head| head.trim().eq_ignore_ascii_case(name));
        at.ok_or_else(|| format!("the column `{name}` is missing"))
    };
    let (number, now) = (column("number")?, column("now")?);
    let (measured, width) = (column("measured")?, column("plus or minus")?);
    let mut edits: Vec<Edit> = Vec::new();
    let mut seen = BTreeSet::new();
    for (row, record) in reader.records().enumerate() {
        let record = record.map_err(|error| format!("row {}: {error}", row + 2))?;
        let field = |at: usize| record.get(at).unwrap_or("").trim();
        if field(measured).is_empty() {
            continue;
        }
        let told = |what: String| format!("row {}: {what}", row + 2);
        let of = field(number);
        let size = sizes.iter().find(|size| size.number.to_string() == of);
        let size = size.ok_or_else(|| told(format!("the cutaway has no size {of}")))?;
        // A leading quote is what keeps spreadsheets from reckoning.
        if size.text != field(now).trim_start_matches('\'') {
            let what = format!("{} is now `{}`: print the sheet anew", size.what, size.text);
            return Err(told(what));
        }
        if !is_own(size) {
            let what = format!("{} stands in the cutaway that this one is based on", size.what);
            return Err(told(what));
        }
        if !seen.insert(size.number) {
            return Err(told(format!("{} is measured twice", size.what)));
        }
        if not_taken(field(measured)) {
            continue;
        }
        let text = written(field(measured), field(width)).map_err(told)?;
        edits.push(Edit { span: size.span, text });
    }
    edits.sort_by_key(|edit| edit.span.start);
    Ok(edits)
}

/// Whether a cell says that the size could not be taken; a reason may follow. It stays open.
fn not_taken(cell: &str) -> bool {
    let cell = cell.to_lowercase();
    ["not measurable", "not measured", "unknown", "?"].iter().any(|words| {
        cell.strip_prefix(words).is_some_and(|rest| !rest.starts_with(char::is_alphanumeric))
    })
}

/// A measured size as a cutaway writes it: a length, about how long (`~20.3`), with its own ± or
/// between two gauges (`goes 20.28, stops 20.32`).
///
/// # Errors
/// When it is no length, in words.
fn written(measured: &str, width: &str) -> Result<String, String> {
    if measured.starts_with("goes ") && width.is_empty() {
        return between_gauges(measured)
            .ok_or_else(|| format!("`{measured}`: write two gauges as `goes 20.28, stops 20.32`"));
    }
    let (about, plain) = match measured.strip_prefix('~') {
        Some(plain) => ("~", plain.trim_start()),
        None => ("", measured),
    };
    let (plain, own) = plain.split_once('±').unwrap_or((plain, ""));
    let (plain, own) = (plain.trim(), own.trim());
    if !own.is_empty() && !width.is_empty() {
        return Err(format!("`{measured}` has its own ±, and `{width}` stands beside"));
    }
    let width = if own.is_empty() { width } else { own };
    let with_unit = |text: &str| match text.parse::<f64>() {
        Ok(_) => format!("{text} mm"),
        Err(_) => text.to_owned(),
    };
    let is_length = |text: &str| {
        let value = parse(text).ok().map(|it| evaluate(&it, &NoNames, &Conventions::default()));
        matches!(value, Some(Ok(Outcome::Value(value)))
            if value.quantity.dimension == Dimension::LENGTH
                && value.quantity.si.to_f64().is_finite()
                && 0.0 <= value.quantity.si.to_f64())
    };
    for part in [plain, width].into_iter().filter(|part| *part == plain || !part.is_empty()) {
        if !is_length(&with_unit(part)) {
            return Err(format!(
                "`{part}` is no length; write 12.34, ~12.3, 12.34 ± 0.02, 0.486 in, `goes 12.32, \
                 stops 12.36` or `not measurable: why`"
            ));
        }
    }
    let text = format!("{about}{}", with_unit(plain));
    Ok(if width.is_empty() { text } else { format!("{text} ± {}", with_unit(width)) })
}

/// The size between a gauge that goes in and one that does not, in mm or both in inches.
fn between_gauges(text: &str) -> Option<String> {
    let gauge = |text: &str| {
        let text = text.trim().trim_end_matches([',', ';']).trim_end();
        let end = text.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(text.len());
        let (value, unit) = text.split_at(end);
        let unit = match unit.trim() {
            "" | "mm" => "mm",
            "in" => "in",
            _ => return None,
        };
        Some((value.parse::<f64>().ok()?, unit))
    };
    let (goes, stops) = text.strip_prefix("goes ")?.split_once("stops ")?;
    let ((goes, unit), (stops, other)) = (gauge(goes)?, gauge(stops)?);
    let digits = |value: f64| {
        let text = format!("{value:.5}");
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    };
    let (middle, half) = (digits(f64::midpoint(goes, stops)), digits((stops - goes) / 2.0));
    (unit == other && goes < stops).then(|| format!("{middle} {unit} ± {half} {unit}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_one_writes_on_a_sheet_becomes_a_size() {
        for (cell, width, wanted) in [
            ("20.3", "", "20.3 mm"),
            ("20.3", "0.01", "20.3 mm ± 0.01 mm"),
            ("20.3 ± 0.01", "", "20.3 mm ± 0.01 mm"),
            ("~20.3", "", "~20.3 mm"),
            ("13/16 in", "", "13/16 in"),
            ("goes 20.28, stops 20.32", "", "20.3 mm ± 0.02 mm"),
            ("goes 0.5 in, stops 0.502 in", "", "0.501 in ± 0.001 in"),
        ] {
            assert_eq!(written(cell, width).as_deref(), Ok(wanted), "{cell}");
        }
        let refused = [
            ("20,3", ""),
            ("20.3 ± 0.01", "0.02"),
            ("goes 20.32, stops 20.28", ""),
            ("goes 20.28 mm, stops 0.8 in", ""),
            ("12 g", ""),
            ("-3", ""),
            ("~", ""),
        ];
        for (cell, width) in refused {
            assert!(written(cell, width).is_err(), "{cell}");
        }
        assert!(not_taken("not measurable: blind bore") && not_taken("Unknown"));
        assert!(!not_taken("unknowns") && !not_taken("20.3"));
    }
}
