//! `gaugebook shot`: one shot of an engine, event by event, with why.

use super::folder::{Folder, NoFolio};
use super::{CommandOutcome, terminal};
use crate::cutaway::{Engine, event_words};
use crate::folio::Folio;
use crate::folio::routing::{Routed, trouble};
use crate::logic::{Ending, Exploration};
use crate::slip::{Paint, Severity, render};
use clap::Args;
use std::io::Write;
use std::path::PathBuf;

/// Tells one shot of an engine, event by event, from its cutaway.
#[derive(Debug, Args)]
#[command(after_help = "Example:
  gaugebook shot rowan")]
pub(crate) struct ShotCommand {
    /// The engine's name: that of its cutaway in diagrams/
    engine: String,
    /// The folder that holds `content` and `diagrams`
    #[arg(default_value = ".")]
    folio: PathBuf,
}

/// Runs the command.
pub(crate) fn run(arguments: &ShotCommand) -> CommandOutcome {
    let told = Folder::open(&arguments.folio).and_then(|folder| {
        let (folio, slips) = folder.read()?;
        let routed = routed(&folio, &arguments.engine)?;
        let own = slips.iter().filter(|slip| slip.spot.source.name == routed.source.name);
        let is_clean = own.clone().all(|slip| slip.severity == Severity::Note);
        let ended = if is_clean { CommandOutcome::Clean } else { CommandOutcome::Slips };
        Ok(terminal::told(ended, |out| {
            for slip in own {
                writeln!(out, "{}", render(slip, Paint::plain()))?;
            }
            routed.shot.as_ref().map_or(Ok(()), |shot| tell(out, &routed.engine, &shot.found))
        }))
    });
    told.unwrap_or_else(|no| super::could_not_run(&no.message))
}

/// The cutaway of an engine named by the user.
///
/// # Errors
/// When there is none; the ones that there are.
pub(super) fn routed<'a>(folio: &'a Folio, engine: &str) -> Result<&'a Routed, NoFolio> {
    folio.routing.of(engine).ok_or_else(|| {
        let known: Vec<&str> = folio.routing.engines.keys().map(String::as_str).collect();
        let known = if known.is_empty() { "none".to_owned() } else { known.join(", ") };
        let message = format!(
            "there is no cutaway diagrams/{engine}.cut that can be read; this folio has {known}"
        );
        NoFolio { message }
    })
}

fn tell(out: &mut dyn Write, engine: &Engine, found: &Exploration) -> std::io::Result<()> {
    for (number, step) in found.line.iter().enumerate() {
        let step = &found.steps[*step];
        let events: Vec<String> =
            step.events.iter().map(|event| event_words(engine, *event)).collect();
        writeln!(out, "{:>3}  {}", number + 1, events.join("; "))?;
        writeln!(out, "       {}", step.why)?;
    }
    match found.ending() {
        Some(Ending::AtRest) => writeln!(out, "\nafter one shot everything is at rest again")?,
        Some(ending) => {
            if let Some((_, what)) = trouble(engine, found, ending) {
                writeln!(out, "\n{what}")?;
            }
            if let Ending::Undecided(need) = ending {
                for fact in &need.facts {
                    writeln!(out, "  would be decided by: {fact}")?;
                }
            }
        }
        None => writeln!(out, "\nnot followed to its end")?,
    }
    for text in &found.assumptions {
        writeln!(out, "taken for granted: {text}")?;
    }
    let states = found.states.len();
    writeln!(out, "{states} states looked at")
}
