//! `gaugebook shot`: one shot of an engine, event by event, with why.

use super::folder::{Folder, NoFolio};
use super::reckon::ReckonFormat;
use super::{CommandOutcome, terminal};
use crate::cutaway::{Engine, event_words};
use crate::folio::Folio;
use crate::folio::routing::{Routed, trouble};
use crate::logic::{Ending, Exploration, Step, exchanges};
use crate::slip::{Paint, Severity, render};
use crate::view_model::order_words;
use clap::Args;
use serde_json::{Value, json};
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
    /// How to tell it
    #[arg(long, value_enum, default_value_t = ReckonFormat::Text)]
    format: ReckonFormat,
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
            if arguments.format == ReckonFormat::Json {
                let shot = routed.shot.as_ref().map(|shot| to_json(&routed.engine, &shot.found));
                return writeln!(out, "{}", shot.unwrap_or_default());
            }
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

/// What is taken for granted, once and above; the steps, with those that may come later.
fn tell(out: &mut dyn Write, engine: &Engine, found: &Exploration) -> std::io::Result<()> {
    for text in &found.assumptions {
        writeln!(out, "taken for granted: {text}")?;
    }
    let open = exchanges(engine, found);
    for (number, step) in found.line.iter().enumerate() {
        let step = &found.steps[*step];
        writeln!(out, "{:>3}  {}", number + 1, words(engine, step).join("; "))?;
        writeln!(out, "       {}", step.why)?;
        let mut open = open.iter().flatten().filter(|open| open.step == number);
        if let Some(open) = open.next() {
            writeln!(out, "       {}", order_words(open))?;
        }
    }
    if open.is_none() {
        writeln!(out, "which of these may come in another order was not looked at: too many runs")?;
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
    let states = found.states.len();
    writeln!(out, "{states} states looked at")
}

fn words(engine: &Engine, step: &Step) -> Vec<String> {
    step.events.iter().map(|event| event_words(engine, *event)).collect()
}

/// The same for other tools, as one JSON object.
fn to_json(engine: &Engine, found: &Exploration) -> Value {
    let open = exchanges(engine, found);
    let steps = found.line.iter().enumerate().map(|(number, step)| {
        let step = &found.steps[*step];
        let open = open.iter().flatten().find(|open| open.step == number);
        let after: Vec<usize> =
            open.iter().flat_map(|open| open.after.iter().map(|at| at + 1)).collect();
        json!({
            "number": number + 1,
            "events": words(engine, step),
            "why": step.why,
            "may_come_after": after,
            "hangs_on": open.map(|open| open.hangs_on.as_str()),
        })
    });
    let ending = found.ending().and_then(|ending| trouble(engine, found, ending));
    let needs = match found.ending() {
        Some(Ending::Undecided(need)) => need.facts.clone(),
        _ => Vec::new(),
    };
    json!({
        "engine": engine.name.id,
        "taken_for_granted": found.assumptions,
        "steps": steps.collect::<Vec<Value>>(),
        "orders_looked_at": open.is_some(),
        "comes_to_rest": found.ending() == Some(&Ending::AtRest),
        "ending": ending.map(|(_, what)| what),
        "would_be_decided_by": needs,
    })
}
