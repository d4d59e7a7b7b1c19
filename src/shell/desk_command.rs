//! `gaugebook desk`: the draft of a folio in the browser, fresh after every save.

use super::CommandOutcome;
use super::desk::{self, DeskOptions, DeskState};
use super::edition::{FolioStanding, Shelf, Wish, make};
use super::folder::Folder;
use crate::slip::{Paint, render};
use crate::text::escaped;
use clap::Args;
use std::path::{Path, PathBuf};

/// Shows the folio in the browser while you write; the page follows every save.
#[derive(Debug, Args)]
#[command(
    after_help = "The desk answers on this machine only. It shows the draft whatever the proof says, and the
slips on a page of their own."
)]
pub(crate) struct DeskCommand {
    /// The folder that holds `content`
    #[arg(default_value = ".")]
    folio: PathBuf,
    /// Port; 0 for any free one
    #[arg(long)]
    port: Option<u16>,
}

/// Runs the command until Ctrl-C.
pub(crate) fn run(arguments: &DeskCommand) -> CommandOutcome {
    if let Err(no) = Folder::open(&arguments.folio) {
        return super::could_not_run(&no.message);
    }
    let options = DeskOptions {
        port: arguments.port,
        ignore: vec![arguments.folio.join("site"), arguments.folio.join("draft")],
    };
    let folio = arguments.folio.clone();
    let rebuild = move || state(&folio);
    let tell = |event: desk::DeskEvent| {
        use std::io::Write as _;
        let _ = writeln!(super::terminal::stdout(), "{event}");
    };
    match desk::run(&arguments.folio, &options, rebuild, tell) {
        Ok(()) => CommandOutcome::Clean,
        Err(fault) => super::could_not_run(&fault.to_string()),
    }
}

/// Builds the draft.
fn state(folio: &Path) -> DeskState {
    let shelf = Shelf::default();
    let wish = Wish { draft: true, strict: false };
    let made = Folder::open(folio).and_then(|folder| {
        let (standing, folio) = make(&folder, wish, &shelf, &|_, _| {})?;
        let box_html = super::next::desk_box(&folio);
        Ok((standing, box_html))
    });
    match made {
        Ok((standing, box_html)) => DeskState {
            files: shelf.into_files(),
            headline: super::tell::count(&standing),
            slips_html: slips_html(&standing, &box_html),
        },
        Err(no) => DeskState {
            files: shelf.into_files(),
            headline: "cannot be built".to_owned(),
            slips_html: format!("<p>{}</p>", escaped(&no.message)),
        },
    }
}

fn slips_html(standing: &FolioStanding, box_html: &str) -> String {
    let mut html = format!("<p>{}</p>", escaped(&super::tell::coverage(&standing.coverage)));
    for slip in &standing.slips {
        html.push_str("<pre>");
        html.push_str(&escaped(&render(slip, Paint::plain())));
        html.push_str("</pre>");
    }
    html.push_str(box_html);
    html
}
