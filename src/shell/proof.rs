//! `gaugebook proof`: judge everything, write nothing.

use super::edition::{FolioStanding, proof};
use super::folder::Folder;
use super::progress::Progress;
use super::{CommandOutcome, accept, tell, terminal};
use crate::slip::{Paint, SCHEMA, Severity};
use crate::text::Date;
use clap::{Args, ValueEnum};
use std::io::Write;
use std::path::PathBuf;

/// Judges every figure, claim, link and picture of a folio; writes nothing unless told to with
/// `--accept`.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  gaugebook proof                       judge the folio in this folder
  gaugebook proof folio --format json   the same for other tools
  gaugebook proof --script take3.vtt --engine rowan
                                        judge a script or subtitles against an engine

Exit code 0: nothing stops publishing. 1: something does. 2: it could not run.")]
pub(crate) struct ProofCommand {
    /// The folder that holds `content`
    #[arg(default_value = ".")]
    folio: PathBuf,
    /// How to tell the slips
    #[arg(long, value_enum, default_value_t = ProofFormat::Text)]
    format: ProofFormat,
    /// Explain every slip, not only the first three
    #[arg(long)]
    all: bool,
    /// Figures published with a mark count as slips too
    #[arg(long)]
    strict: bool,
    /// Judge this script (plain text or WebVTT) instead of the folio's pages
    #[arg(long, value_name = "FILE", requires = "engine")]
    script: Option<PathBuf>,
    /// Write the script as it is said, without bindings, unless something is wrong with it
    #[arg(long, requires = "script")]
    print: bool,
    /// Write the bindings that the proof is certain of into the pages, after showing them
    #[arg(long, conflicts_with_all = ["script", "why"])]
    accept: bool,
    /// Tell what was weighed for the figures of a line (`content/engines/rowan.md:120`)
    #[arg(long, value_name = "FILE:LINE", conflicts_with = "script")]
    why: Option<String>,
    /// The day for which the folio is judged: waivers whose `until` has come end
    #[arg(long, value_name = "DAY", value_parser = super::day)]
    date: Option<Date>,
    /// An engine that the script is about; of a comparison, name each
    #[arg(long, value_name = "NAME", requires = "script")]
    engine: Vec<String>,
}

/// How slips are told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum ProofFormat {
    /// For people
    Text,
    /// One JSON object
    Json,
    /// SARIF 2.1.0
    Sarif,
    /// No slips, but a JSON Schema of one in `json`
    Schema,
}

/// Runs the command.
pub(crate) fn run(arguments: &ProofCommand) -> CommandOutcome {
    if arguments.accept {
        let accepted = Folder::open(&arguments.folio).and_then(|folder| accept::run(&folder));
        return accepted.unwrap_or_else(|no| super::could_not_run(&no.message));
    }
    if let Some(place) = &arguments.why {
        return match Folder::open(&arguments.folio).and_then(|folder| accept::why(&folder, place)) {
            Ok(told) => terminal::told(CommandOutcome::Clean, |out| write!(out, "{told}")),
            Err(no) => super::could_not_run(&no.message),
        };
    }
    let standing = Folder::open(&arguments.folio).and_then(|mut folder| {
        folder.date = arguments.date;
        match &arguments.script {
            Some(script) => super::script::judge(&folder, script, &arguments.engine),
            None => {
                let progress = Progress::new("judging");
                let standing = proof(&folder, &|done, of| progress.show(done, of))?;
                Ok((standing, String::new()))
            }
        }
    });
    match standing {
        Ok((standing, said)) if arguments.print && standing.may_publish(arguments.strict) => {
            terminal::told(CommandOutcome::Clean, |out| write!(out, "{said}"))
        }
        Ok((standing, _)) => {
            let fit = standing.may_publish(arguments.strict);
            let ended = if fit { CommandOutcome::Clean } else { CommandOutcome::Slips };
            terminal::told(ended, |out| report(arguments, &standing, out))
        }
        Err(no) => super::could_not_run(&no.message),
    }
}

fn report(
    arguments: &ProofCommand,
    standing: &FolioStanding,
    out: &mut dyn Write,
) -> std::io::Result<()> {
    match arguments.format {
        ProofFormat::Json => writeln!(out, "{}", tell::json(standing)),
        ProofFormat::Sarif => writeln!(out, "{}", tell::sarif(standing)),
        ProofFormat::Schema => write!(out, "{SCHEMA}"),
        ProofFormat::Text => {
            tell::slips(
                &mut anstream::stdout(),
                &standing.slips,
                arguments.all,
                Paint::coloured(),
            )?;
            if !standing.slips.is_empty() {
                writeln!(out)?;
            }
            writeln!(out, "{}", tell::coverage(&standing.coverage))?;
            if arguments.script.is_some() {
                writeln!(out, "{}", tell::judged_share(&standing.coverage))?;
            }
            let stops = standing.slips.iter().any(|slip| slip.severity == Severity::Stop);
            let verdict = if stops { "not fit to publish" } else { "fit to publish" };
            writeln!(out, "{verdict}: {}", tell::count(standing))
        }
    }
}
