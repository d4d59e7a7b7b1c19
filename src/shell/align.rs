//! `gaugebook align`: brings the columns of cutaways into line.

use super::folder::LARGEST_CUTAWAY;
use super::{CommandOutcome, plain_file, terminal, writers_file};
use crate::cutaway::{self, aligned};
use crate::text::Source;
use clap::Args;
use std::path::{Path, PathBuf};

/// Brings the columns of cutaways into line; changes blanks, nothing else. A file that is no
/// cutaway, or holds a line that cannot be read, is left alone.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  gaugebook align diagrams/rowan.cut
  gaugebook align --check diagrams/*.cut")]
pub(crate) struct AlignArguments {
    /// The files
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// Change nothing, only tell which files are not in line
    #[arg(long)]
    check: bool,
}

/// Faults of a text whose statements cannot all be told apart. In it blanks may mean something.
const UNREADABLE: [&str; 5] = [
    "cutaway-unnamed",
    "statement-unknown",
    "statement-unreadable",
    "block-incomplete",
    "event-unreadable",
];

/// Runs the command. A file that cannot be brought into line does not stop the others.
pub(crate) fn run(arguments: &AlignArguments) -> CommandOutcome {
    let mut outcome = CommandOutcome::Clean;
    for path in &arguments.files {
        match align(path, arguments.check) {
            Ok(false) => {}
            Ok(true) if arguments.check => {
                let ended = terminal::told(CommandOutcome::Slips, |out| {
                    writeln!(out, "not in line: {}", path.display())
                });
                outcome = outcome.or(ended);
            }
            Ok(true) => {
                let ended = terminal::told(CommandOutcome::Clean, |out| {
                    writeln!(out, "brought into line: {}", path.display())
                });
                outcome = outcome.or(ended);
            }
            Err(message) => outcome = super::could_not_run(&message),
        }
    }
    outcome
}

/// Whether a file was out of line.
fn align(path: &Path, check: bool) -> Result<bool, String> {
    let shown = path.display();
    if path.extension().is_none_or(|ending| ending != "cut") {
        return Err(format!("{shown} was left alone: cutaways end in .cut"));
    }
    let bytes = plain_file::read(path, LARGEST_CUTAWAY)
        .map_err(|fault| format!("{shown} cannot be read: {fault}"))?;
    let text = std::str::from_utf8(&bytes)
        .map_err(|_| format!("{shown} was left alone: it is no UTF-8 text"))?;
    let source = Source::new(shown.to_string(), text);
    let (_, slips) = cutaway::read(&source, &|_| None);
    if let Some(slip) = slips.iter().find(|slip| UNREADABLE.contains(&slip.code)) {
        let place = source.place(slip.spot.span.start);
        let at = format!("{shown}:{}:{}", place.line, place.column);
        return Err(format!("{at}: {}; the file was left alone", slip.message));
    }
    let new = in_line(text);
    if new == text {
        return Ok(false);
    }
    // What the promise rests on is looked at, whatever the aligner does.
    if !text.split_whitespace().flat_map(str::chars).eq(new.split_whitespace().flat_map(str::chars))
    {
        return Err(format!("{shown} was left alone: more than blanks would have changed"));
    }
    if !check {
        writers_file::replace(path, &bytes, new.as_bytes())?;
    }
    Ok(true)
}

/// The text with its columns in line; the byte order mark and every line's own end stay.
fn in_line(text: &str) -> String {
    let (mark, rest) = match text.strip_prefix('\u{feff}') {
        Some(rest) => ("\u{feff}", rest),
        None => ("", text),
    };
    let end = |line: &str| line.len() - line.trim_end_matches(['\r', '\n']).len();
    let ends = rest.split_inclusive('\n').map(|line| &line[line.len() - end(line)..]);
    let plain: String = rest
        .split_inclusive('\n')
        .map(|line| format!("{}\n", &line[..line.len() - end(line)]))
        .collect();
    let new = aligned(&plain);
    let lines = new.lines().zip(ends).flat_map(|(line, end)| [line, end]);
    std::iter::once(mark).chain(lines).collect()
}
