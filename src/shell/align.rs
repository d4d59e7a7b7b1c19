//! `gaugebook align`: brings the columns of cutaways into line.

use super::Outcome;
use crate::cutaway::aligned;
use clap::Args;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Brings the columns of cutaways into line; changes blanks, nothing else.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  gaugebook align diagrams/rowan.cut
  gaugebook align --check diagrams/*.cut")]
pub(crate) struct Align {
    /// The files
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// Change nothing, only tell which files are not in line
    #[arg(long)]
    check: bool,
}

/// Runs the command.
pub(crate) fn run(arguments: &Align) -> Outcome {
    let mut out = std::io::stdout().lock();
    let mut outcome = Outcome::Clean;
    for path in &arguments.files {
        match align(path, arguments.check) {
            Ok(false) => {}
            Ok(true) if arguments.check => {
                let _ = writeln!(out, "not in line: {}", path.display());
                outcome = Outcome::Slips;
            }
            Ok(true) => {
                let _ = writeln!(out, "brought into line: {}", path.display());
            }
            Err(message) => return super::could_not_run(&message),
        }
    }
    outcome
}

/// Whether a file was out of line. What is written takes the old file's place in one step.
fn align(path: &Path, check: bool) -> Result<bool, String> {
    let fault = |error: std::io::Error| format!("{}: {error}", path.display());
    let text = fs::read_to_string(path).map_err(fault)?;
    let new = aligned(&text);
    if new == text {
        return Ok(false);
    }
    if !check {
        let beside = path.with_extension("cut.new");
        fs::write(&beside, &new).map_err(fault)?;
        fs::rename(&beside, path).map_err(fault)?;
    }
    Ok(true)
}
