//! `gaugebook next`: what an engine's readings say already, what they lack, what to measure first.

use super::folder::{Folder, engine_sheet};
use super::{CommandOutcome, terminal};
use crate::folio::Folio;
use crate::folio::derivable::{Follows, Next, next};
use crate::text::escaped;
use clap::Args;
use std::io::Write;
use std::path::PathBuf;

/// Lists what follows from an engine's readings, what is missing, and what to measure first.
#[derive(Debug, Args)]
#[command(after_help = "Example:
  gaugebook next rowan")]
pub(crate) struct NextCommand {
    /// The engine's name
    engine: String,
    /// The folder that holds `content`
    #[arg(default_value = ".")]
    folio: PathBuf,
}

/// Runs the command.
pub(crate) fn run(arguments: &NextCommand) -> CommandOutcome {
    let found = Folder::open(&arguments.folio).and_then(|folder| {
        let (folio, _) = folder.read()?;
        let sheet = engine_sheet(&folio, &arguments.engine)?;
        Ok((next(&folio, sheet), folio))
    });
    match found {
        Ok((next, folio)) => terminal::told(CommandOutcome::Clean, |out| {
            told(out, &arguments.engine, &next)?;
            writeln!(out, "\n{}", routing(&folio, &arguments.engine))
        }),
        Err(no) => super::could_not_run(&no.message),
    }
}

/// What the routing says already.
fn routing(folio: &Folio, engine: &str) -> String {
    match folio.routing.of(engine).map(|routed| &routed.shot) {
        Some(Some(shot)) => format!(
            "its cutaway tells one shot in {} steps: gaugebook shot {engine}",
            shot.found.line.len()
        ),
        Some(None) => format!("its cutaway has slips of its own: gaugebook shot {engine}"),
        None => format!(
            "which room leads where needs no caliper: write diagrams/{engine}.cut, or begin with \
             gaugebook start {engine} --cutaway"
        ),
    }
}

fn told(out: &mut dyn Write, engine: &str, next: &Next) -> std::io::Result<()> {
    writeln!(out, "{engine}: what can be said already\n")?;
    if next.follows.is_empty() {
        writeln!(out, "  nothing yet: one pressure and one hole are a good start")?;
    }
    // The lines can be pasted below `derived:` as they stand.
    for follows in &next.follows {
        let Follows { what, name, formula, value, stated } = follows;
        match stated {
            Some(words) => writeln!(out, "  # {what}: {value}  (on the sheet: {words})")?,
            None => writeln!(out, "  # {what}: {value}\n  {name}: {formula}")?,
        }
    }
    if !next.lacks.is_empty() {
        writeln!(out, "\none reading away\n")?;
    }
    for lacks in &next.lacks {
        writeln!(out, "  {}: needs {}", lacks.what, lacks.needs)?;
    }
    if let Some((first, rest)) = next.measure_first.split_first() {
        writeln!(out, "\nmeasure first: {} (unlocks {})", first.0, first.1)?;
        for (words, count) in rest {
            writeln!(out, "then: {words} (unlocks {count})")?;
        }
    }
    Ok(())
}

/// The same for every engine, as a piece of HTML for the desk.
pub(crate) fn desk_box(folio: &Folio) -> String {
    let mut html = String::new();
    for (sheet, item) in folio.ledger.sheets.iter().enumerate() {
        let Some(engine) = &item.engine else { continue };
        let mut text = Vec::new();
        // Writing to memory does not fail.
        let _ = told(&mut text, engine, &next(folio, sheet));
        html.push_str("<details><summary>What can I say already? ");
        html.push_str(&escaped(engine));
        html.push_str("</summary><pre>");
        html.push_str(&escaped(&String::from_utf8_lossy(&text)));
        html.push_str("</pre></details>");
    }
    html
}
