//! `gaugebook proof --accept`: writes the bindings that the proof is certain of into the pages.
//! `gaugebook proof --why FILE:LINE`: what was weighed for the figures of a line.

use super::folder::{Folder, NoFolio};
use super::{plain_file, writers_file};
use crate::page::LARGEST_PAGE;
use crate::proof::accept::{Edit, edited, edits};
use crate::proof::{judge, judge_and_explain};
use crate::text::Source;
use std::io::{self, Write};
use std::sync::Arc;

/// What accepting does to a page.
pub(crate) struct Accepted {
    page: Arc<Source>,
    edits: Vec<Edit>,
    /// The file as it was, and as it will be.
    bytes: [Vec<u8>; 2],
}

/// What accepting would change, page by page. Nothing is written.
///
/// # Errors
/// When the folio or a page of it cannot be read.
pub(crate) fn find(folder: &Folder) -> Result<Vec<Accepted>, NoFolio> {
    let (folio, _) = folder.read()?;
    let mut found = Vec::new();
    for (index, page) in folio.pages.iter().enumerate() {
        let Ok(source) = folder.page_again(&page.name) else { continue };
        let edits = edits(&folio, index, &source, &judge(&folio, index, &source));
        if edits.is_empty() {
            continue;
        }
        let path = folder.root.join(&page.name);
        let no = |why: String| NoFolio { message: format!("{}: {why}", page.name) };
        let old = plain_file::read(&path, LARGEST_PAGE as u64).map_err(|f| no(f.to_string()))?;
        // A byte order mark is no part of the text, and stays.
        let Some(mark) = old.strip_suffix(source.text.as_bytes()) else {
            return Err(no("the page was changed while it was being judged; run again".to_owned()));
        };
        let new = [mark, edited(&source.text, &edits).as_bytes()].concat();
        found.push(Accepted { page: source, edits, bytes: [old, new] });
    }
    Ok(found)
}

/// Shows the changes, a line for each figure.
///
/// # Errors
/// Those of the stream.
pub(crate) fn show(found: &[Accepted], out: &mut dyn Write) -> io::Result<()> {
    for accepted in found {
        for edit in &accepted.edits {
            let place = accepted.page.place(edit.span.start);
            let old = accepted.page.slice(edit.span);
            let name = &accepted.page.name;
            writeln!(out, "{name}:{}:{}  {old}  →  {}", place.line, place.column, edit.text)?;
        }
    }
    let count: usize = found.iter().map(|accepted| accepted.edits.len()).sum();
    match count {
        0 => writeln!(out, "nothing to accept: no proposal is certain"),
        1 => writeln!(out, "1 figure bound"),
        _ => writeln!(out, "{count} figures bound"),
    }
}

/// Writes the pages, each whole or not at all.
///
/// # Errors
/// The first page that could not be written, with the reason.
pub(crate) fn write(folder: &Folder, found: &[Accepted]) -> Result<(), NoFolio> {
    for Accepted { page, bytes: [old, new], .. } in found {
        let path = folder.root.join(&page.name);
        writers_file::replace(&path, old, new).map_err(|message| NoFolio { message })?;
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
