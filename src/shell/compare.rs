//! `gaugebook compare`: whether two engines are the same, by structure and by the order of events.

use super::folder::Folder;
use super::shot::routed;
use super::{CommandOutcome, terminal};
use crate::comparison::{LanePlace, Likeness, RowStanding, Side, Told, compare};
use clap::Args;
use std::io::Write;
use std::path::PathBuf;

/// Compares two engines by their cutaways: structure, and the order of events.
#[derive(Debug, Args)]
#[command(after_help = "Example:
  gaugebook compare rowan ash

Ends with 0 when both are the same, with 1 when they differ.")]
pub(crate) struct CompareCommand {
    /// The engine to compare with
    first: String,
    /// The other engine
    second: String,
    /// The folder that holds `content` and `diagrams`
    #[arg(default_value = ".")]
    folio: PathBuf,
}

/// Runs the command.
pub(crate) fn run(arguments: &CompareCommand) -> CommandOutcome {
    let told = Folder::open(&arguments.folio).and_then(|folder| {
        let (folio, _) = folder.read()?;
        let first = routed(&folio, &arguments.first)?;
        let second = routed(&folio, &arguments.second)?;
        let (Some(one), Some(other)) = (&first.shot, &second.shot) else {
            return Ok(super::could_not_run(
                "a cutaway has slips of its own; `gaugebook proof` tells them",
            ));
        };
        let likeness = compare(
            Side { engine: &first.engine, run: &one.found },
            Side { engine: &second.engine, run: &other.found },
        );
        let is_same = likeness.is_same_structure() && likeness.sequence.is_same();
        let ended = if is_same { CommandOutcome::Clean } else { CommandOutcome::Slips };
        Ok(terminal::told(ended, |out| tell(out, &likeness)))
    });
    told.unwrap_or_else(|no| super::could_not_run(&no.message))
}

fn tell(out: &mut dyn Write, likeness: &Likeness) -> std::io::Result<()> {
    let [first, second] = &likeness.titles;
    writeln!(out, "{second} beside {first}: {}", likeness.verdict())?;
    for row in likeness.rows.iter().filter(|row| row.standing != RowStanding::Same) {
        for sentence in row.says.iter().filter(|sentence| sentence.counts) {
            writeln!(out, "  {}", sentence.text)?;
        }
    }
    writeln!(out, "\n{}", likeness.sequence.verdict())?;
    let words = |told: &Option<Told>| {
        told.as_ref().map(|told| told.spoken().to_owned()).unwrap_or_default()
    };
    let lanes = &likeness.sequence.lanes;
    let widest = lanes.iter().map(|lane| words(&lane.told[0]).chars().count()).max().unwrap_or(0);
    for lane in lanes {
        let sign = match lane.place {
            LanePlace::Same | LanePlace::ByOther => "=",
            LanePlace::Moved(_) => "~",
            LanePlace::OnlyHere => "+",
            LanePlace::Beyond => "?",
        };
        let (left, right) = (words(&lane.told[0]), words(&lane.told[1]));
        writeln!(out, "  {sign} {left:widest$}  {right}")?;
    }
    writeln!(out, "\n= same place   ~ at another place   + only here   ? not compared")
}
