//! `gaugebook proof --accept`: writes the bindings that the proof is certain of into the pages.
//! `gaugebook proof --why FILE:LINE`: what was weighed for the figures of a line.

use super::folder::{Folder, NoFolio};
use super::{CommandOutcome, plain_file, terminal, writers_file};
use crate::folio::Folio;
use crate::page::LARGEST_PAGE;
use crate::proof::accept::{Edit, edited, edits};
use crate::proof::{judge, judge_and_explain};
use crate::text::Source;
use std::io::{self, Write};
use std::sync::Arc;

/// Faults of a file that was not read. What it would have declared is missing everywhere else.
const UNREAD: [&str; 3] = ["file-unreadable", "not-utf8", "page-too-large"];

/// Writes what is certain into every page, and tells it, a line for each figure. A page that cannot
/// be written stays as it was, and does not stop the others.
///
/// # Errors
/// When the folio or a file of it cannot be read. Nothing is changed then.
pub(crate) fn run(folder: &Folder) -> Result<CommandOutcome, NoFolio> {
    let (folio, slips) = folder.read()?;
    if let Some(slip) = slips.iter().find(|slip| UNREAD.contains(&slip.code)) {
        let name = &slip.spot.source.name;
        let message = format!("{name}: {}; nothing was changed", slip.message);
        return Err(NoFolio { message });
    }
    let mut outcome = CommandOutcome::Clean;
    let mut bound = 0;
    for index in 0..folio.pages.len() {
        match accept(folder, &folio, index) {
            Ok((page, edits)) => {
                bound += edits.len();
                let told = |out: &mut dyn Write| show(&page, &edits, out);
                outcome = outcome.or(terminal::told(CommandOutcome::Clean, told));
            }
            Err(message) => outcome = super::could_not_run(&message),
        }
    }
    let told = terminal::told(CommandOutcome::Clean, |out| match bound {
        0 if outcome == CommandOutcome::Clean => {
            writeln!(out, "nothing to accept: no proposal is certain")
        }
        1 => writeln!(out, "1 figure bound"),
        _ => writeln!(out, "{bound} figures bound"),
    });
    Ok(outcome.or(told))
}

/// The page as it was, and the changes that its file has now: all of them or none.
fn accept(
    folder: &Folder,
    folio: &Arc<Folio>,
    index: usize,
) -> Result<(Arc<Source>, Vec<Edit>), String> {
    let name = &folio.pages[index].name;
    let no = |why: String| format!("{name}: {why}");
    let page = folder.page_again(name).map_err(|slip| no(slip.message))?;
    let edits = edits(folio, index, &page, &judge(folio, index, &page));
    if edits.is_empty() {
        return Ok((page, edits));
    }
    let path = folder.root.join(name);
    let old = plain_file::read(&path, LARGEST_PAGE as u64).map_err(|f| no(f.to_string()))?;
    // A byte order mark is no part of the text, and stays.
    let mark = old
        .strip_suffix(page.text.as_bytes())
        .ok_or_else(|| no("it was changed while it was being judged; run again".to_owned()))?;
    let new = [mark, edited(&page.text, &edits).as_bytes()].concat();
    writers_file::replace(&path, &old, &new)?;
    Ok((page, edits))
}

fn show(page: &Source, edits: &[Edit], out: &mut dyn Write) -> io::Result<()> {
    for edit in edits {
        let place = page.place(edit.span.start);
        let old = page.slice(edit.span);
        writeln!(out, "{}:{}:{}  {old}  →  {}", page.name, place.line, place.column, edit.text)?;
    }
    Ok(())
}

/// Tells what was weighed for the figures that begin on a line.
///
/// # Errors
/// When the folio cannot be read, or the place is none of a page's.
pub(crate) fn why(folder: &Folder, place: &str) -> Result<String, NoFolio> {
    let no = |message: String| NoFolio { message };
    let form = || no("write the page and the line: content/engines/rowan.md:120".to_owned());
    let (name, line) = place.rsplit_once(':').ok_or_else(form)?;
    let line: usize = line.parse().map_err(|_| form())?;
    let (folio, _) = folder.read()?;
    let known = folio.pages.iter().position(|page| page.name.ends_with(name));
    let page = known.ok_or_else(|| no(format!("no page is called {name}")))?;
    let source = folder.page(&folio.pages[page].name).map_err(|slip| no(slip.message))?;
    let proof = judge_and_explain(&folio, page, &source);
    let mut told = String::new();
    for (_, figure) in &proof.figures {
        let Some(first) = figure.places().first() else { continue };
        if source.place(first.start).line != line {
            continue;
        }
        told.push_str(&format!("{}: {}\n", source.slice(*first), figure.status.words()));
        for why in figure.why.iter().chain(figure.slips().map(|slip| &slip.message)) {
            told.push_str(&format!("  {why}\n"));
        }
        for proposal in &figure.proposals {
            let certain = if proposal.is_certain { ", certain" } else { "" };
            told.push_str(&format!("  proposed: {}{certain}\n", proposal.formula));
        }
    }
    if told.is_empty() {
        told.push_str("no figure begins on this line\n");
    }
    Ok(told)
}
