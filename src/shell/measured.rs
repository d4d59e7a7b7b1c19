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

The table is the one that the engine's measuring sheet leads to. Fill in the last two columns; rows
without a measured size are left alone.")]
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
        let text = written(field(measured), field(width)).map_err(told)?;
        edits.push(Edit { span: size.span, text });
    }
    edits.sort_by_key(|edit| edit.span.start);
    Ok(edits)
}

/// A measured size as a cutaway writes it.
///
/// # Errors
/// When it is no length, in words.
fn written(measured: &str, width: &str) -> Result<String, String> {
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
    let mut text = with_unit(measured);
    for part in [measured, width].into_iter().filter(|part| !part.is_empty()) {
        if !is_length(&with_unit(part)) {
            return Err(format!("`{part}` is no length; write 12.34 or 0.486 in"));
        }
    }
    if !width.is_empty() {
        text = format!("{text} ± {}", with_unit(width));
    }
    Ok(text)
}
