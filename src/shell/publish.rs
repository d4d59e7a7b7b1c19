//! `gaugebook publish`: judge everything, then write the site, all or nothing.

use super::atomic_publish::{Landed, Landing};
use super::edition::{FolioStanding, Wish, make};
use super::folder::{Folder, NoFolio};
use super::progress::Progress;
use super::{CommandOutcome, tell, terminal};
use crate::slip::Paint;
use crate::text::Date;
use clap::Args;
use std::io::Write;
use std::path::PathBuf;

/// Judges a folio and, if nothing stops it, writes its site.
#[derive(Debug, Args)]
#[command(
    after_help = "The site is built beside the old one and takes its place in one step. Whatever goes wrong
before that leaves the old site as it was.

Examples:
  gaugebook publish                     the folio in this folder, to ./site
  gaugebook publish folio --to out      another folio, to another folder
  gaugebook publish --draft             whatever the proof says, watermarked, to ./draft

Exit code 0: published. 1: slips stopped it. 2: it could not run."
)]
pub(crate) struct Publish {
    /// The folder that holds `content`
    #[arg(default_value = ".")]
    folio: PathBuf,
    /// The folder of the site; `site` (or `draft`) beside `content` unless given
    #[arg(long, value_name = "DIR")]
    to: Option<PathBuf>,
    /// Stop for figures that would be published with a mark, too
    #[arg(long, conflicts_with = "draft")]
    strict: bool,
    /// Publish whatever the proof says, with a watermark on every page
    #[arg(long)]
    draft: bool,
    /// The day for which the folio is judged: waivers whose `until` has come end
    #[arg(long, value_name = "DAY", value_parser = super::day)]
    date: Option<Date>,
    /// Explain every slip, not only the first three
    #[arg(long)]
    all: bool,
}

/// Exit code of a run that was told to end, as shells have it: 128 and the number of SIGINT.
const INTERRUPTED: i32 = 130;

/// Runs the command.
pub(crate) fn run(arguments: &Publish) -> CommandOutcome {
    match publish(arguments) {
        Ok((standing, landed)) => {
            let ended =
                if landed.is_some() { CommandOutcome::Clean } else { CommandOutcome::Slips };
            terminal::told(ended, |out| report(arguments, &standing, landed.as_ref(), out))
        }
        Err(no) => super::could_not_run(&no.message),
    }
}

fn publish(arguments: &Publish) -> Result<(FolioStanding, Option<Landed>), NoFolio> {
    let no = |message: String| NoFolio { message };
    let mut folder = Folder::open(&arguments.folio)?;
    folder.date = arguments.date;
    let usual = if arguments.draft { "draft" } else { "site" };
    let target = arguments.to.clone().unwrap_or_else(|| arguments.folio.join(usual));
    let apart: Vec<PathBuf> =
        ["content", "diagrams", "themes"].iter().map(|name| arguments.folio.join(name)).collect();
    let apart: Vec<&std::path::Path> = apart.iter().map(PathBuf::as_path).collect();
    let landing = Landing::begin(&target, &apart).map_err(|fault| no(fault.to_string()))?;
    let abandon = landing.abandoner();
    // Without a thread to wait for signals the next run clears up, as after a kill.
    let _ = ctrlc::set_handler(move || {
        abandon();
        std::process::exit(INTERRUPTED);
    });
    let wish = Wish { draft: arguments.draft, strict: arguments.strict };
    let progress = Progress::new("publishing");
    let (standing, _) = make(&folder, wish, &landing, &|done, of| progress.show(done, of))?;
    drop(progress);
    let may_land = arguments.draft || standing.may_publish(arguments.strict);
    if !may_land || standing.cannot_be_made {
        // Dropping the landing takes back what was staged.
        return Ok((standing, None));
    }
    let landed = landing.finish().map_err(|fault| no(fault.to_string()))?;
    Ok((standing, Some(landed)))
}

fn report(
    arguments: &Publish,
    standing: &FolioStanding,
    landed: Option<&Landed>,
    out: &mut dyn Write,
) -> std::io::Result<()> {
    tell::slips(&mut anstream::stdout(), &standing.slips, arguments.all, Paint::coloured())?;
    if !standing.slips.is_empty() {
        writeln!(out)?;
    }
    writeln!(out, "{}", tell::coverage(&standing.coverage))?;
    match landed {
        None => {
            writeln!(out, "not published: {}", tell::count(standing))?;
            writeln!(
                out,
                "the site is as it was; `gaugebook publish --draft` shows how it would look"
            )
        }
        Some(landed) => {
            let what = if arguments.draft { "a draft of" } else { "published" };
            let pages = if standing.pages == 1 { "page" } else { "pages" };
            writeln!(
                out,
                "{what} {} {pages} in {} files to {} ({})",
                standing.pages,
                landed.files,
                landed.folder.display(),
                tell::count(standing)
            )?;
            for left in &landed.left_over {
                writeln!(out, "an old site could not be removed: {}", left.display())?;
            }
            Ok(())
        }
    }
}
