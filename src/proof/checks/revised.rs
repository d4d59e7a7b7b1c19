//! Revisions: they stand oldest first, and the last one is the page's.

use crate::folio::PageEntry;
use crate::page::front::RevisionDecl;
use crate::slip::Slip;
use crate::text::{Date, Source, Spot};
use std::sync::Arc;

/// Judges the dates of a page's revisions, each against the dated one above it.
pub(crate) fn judge(page: &PageEntry, source: &Arc<Source>, slips: &mut Vec<Slip>) {
    let mut above: Option<(&RevisionDecl, Date)> = None;
    for revision in &page.front.revisions {
        let on = revision.on.as_ref().and_then(|on| Date::read(&on.text));
        let Some(on) = on else { continue };
        if let Some((earlier, date)) = above
            && on.is_surely_before(&date)
        {
            slips.extend(slip(source, revision, earlier));
        }
        above = Some((revision, on));
    }
}

/// The slip of a revision that is older than the one above it.
fn slip(source: &Arc<Source>, revision: &RevisionDecl, above: &RevisionDecl) -> Option<Slip> {
    let (own, other) = (revision.on.as_ref()?, above.on.as_ref()?);
    let (name, above) = (&revision.name.text, &above.name.text);
    let message = format!(
        "revision {name} is of {}, before revision {above} above it, which is of {}",
        own.text, other.text
    );
    let slip = Slip::stop("revision-out-of-order", Spot::new(source, own.inside()), message)
        .label(Spot::new(source, other.inside()), format!("revision {above} is dated here"));
    Some(slip.help("correct a date, or put the oldest revision first: the last is the page's"))
}
