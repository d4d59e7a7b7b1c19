//! `gaugebook compare`: whether two engines are the same, by structure and by the order of events.

use super::folder::Folder;
use super::reckon::ReckonFormat;
use super::shot::routed;
use super::{CommandOutcome, terminal};
use crate::comparison::{
    Anatomy, LanePlace, Likeness, Milestone, Row, RowStanding, Side, Told, compare,
};
use clap::Args;
use serde_json::{Value, json};
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
    /// How to tell it
    #[arg(long, value_enum, default_value_t = ReckonFormat::Text)]
    format: ReckonFormat,
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
        let names = [&arguments.first, &arguments.second];
        Ok(terminal::told(ended, |out| match arguments.format {
            ReckonFormat::Text => tell(out, &likeness),
            ReckonFormat::Json => writeln!(out, "{}", to_json(names, &likeness)),
        }))
    });
    told.unwrap_or_else(|no| super::could_not_run(&no.message))
}

fn tell(out: &mut dyn Write, likeness: &Likeness) -> std::io::Result<()> {
    writeln!(out, "{}", likeness.answer())?;
    for row in likeness.rows.iter().filter(|row| row.standing != RowStanding::Same) {
        for sentence in row.says.iter().filter(|sentence| sentence.counts) {
            writeln!(out, "  {}", sentence.text)?;
        }
    }
    let beside = likeness.rows.iter().filter(|row| row.standing != RowStanding::Same);
    // What comes with a room of one engine alone is told with that.
    let is_folded =
        |row: &&Row| row.anatomy < Anatomy::Sizes && row.standing != RowStanding::Different;
    let beside = beside.filter(|row| !is_folded(row));
    let uncounted = beside.flat_map(|row| &row.says).filter(|sentence| !sentence.counts);
    for (at, sentence) in uncounted.enumerate() {
        if at == 0 {
            writeln!(out, "\nbeside structure")?;
        }
        writeln!(out, "  {}", sentence.text)?;
    }
    writeln!(out, "\norder of events")?;
    for text in &likeness.sequence.says {
        writeln!(out, "  {text}")?;
    }
    writeln!(out)?;
    let words = |told: &Option<Told>| told.as_ref().map(Told::lettered).unwrap_or_default();
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
    writeln!(out, "\n= same place   ~ at another place   + only here   ? not compared")?;
    let mut told = lanes.iter().flat_map(|lane| lane.told.iter().flatten());
    match told.any(|told| told.letter.is_some()) {
        true => writeln!(out, "(a) among events of one letter the order is not certain"),
        false => Ok(()),
    }
}

/// The same for other tools, as one JSON object.
fn to_json(names: [&String; 2], likeness: &Likeness) -> Value {
    let rows = likeness.rows.iter().map(|row| {
        let group = Anatomy::ALL.iter().find(|(anatomy, _)| *anatomy == row.anatomy);
        let says = row.says.iter();
        json!({
            "group": group.map(|(_, heading)| heading),
            "standing": match row.standing {
                RowStanding::Same => "same",
                RowStanding::Different => "different",
                RowStanding::OnlyFirst => "only first",
                RowStanding::OnlySecond => "only second",
            },
            "names": row.names,
            "says": says.map(|says| json!({ "text": says.text, "counts": says.counts })).collect::<Vec<_>>(),
        })
    });
    let sequence = &likeness.sequence;
    let told = |told: &Told| {
        json!({
            "event": told.words,
            "said": told.said,
            "milestone": told.milestone.map(Milestone::words),
            "open_with": told.letter.map(String::from),
        })
    };
    let lanes = sequence.lanes.iter().map(|lane| {
        json!({
            "place": match lane.place {
                LanePlace::Same => "same",
                LanePlace::ByOther => "by something else",
                LanePlace::Moved(_) => "elsewhere",
                LanePlace::OnlyHere => "only here",
                LanePlace::Beyond => "not compared",
            },
            "events": lane.told.each_ref().map(|event| event.as_ref().map(told)),
        })
    });
    json!({
        "engines": names,
        "titles": likeness.titles,
        "answer": likeness.answer(),
        "same_structure": likeness.is_same_structure(),
        "same_order": sequence.is_same(),
        "differences": likeness.differences,
        "structure": rows.collect::<Vec<Value>>(),
        "order": {
            "same": sequence.same,
            "all": sequence.all,
            "says": sequence.says,
            "lanes": lanes.collect::<Vec<Value>>(),
        },
    })
}
