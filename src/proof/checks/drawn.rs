//! Pictures: they exist, say what they show, and name who made them.

use super::link::{LinkTarget, target};
use crate::body::blocks::{Document, NoteReference};
use crate::body::template::Rendered;
use crate::folio::{Folio, PageEntry};
use crate::slip::Slip;
use crate::text::{Source, Spot, nearest};
use std::sync::Arc;

/// Kinds of picture that a page may show.
const KINDS: [&str; 4] = [".png", ".jpg", ".jpeg", ".svg"];

/// Judges the pictures of a page and returns the paths, below the folio, of those it shows.
pub(crate) fn judge(
    folio: &Folio,
    page: &PageEntry,
    source: &Arc<Source>,
    rendered: &Rendered<'_>,
    document: &Document<'_>,
    slips: &mut Vec<Slip>,
) -> Vec<(String, Spot)> {
    let mut shown = Vec::new();
    for picture in document.references.iter().filter(|reference| reference.is_picture) {
        let spot = Spot::new(source, rendered.origin(picture.span).span);
        if picture.alt.trim().is_empty() {
            let message = format!("`{}` has no description", picture.destination);
            let slip = Slip::stop("image-without-alt", spot.clone(), message);
            slips.push(slip.help("say in the brackets what the picture shows: ![…](…)"));
        }
        if credit(&picture.title).is_none() {
            let message = format!("`{}` does not say who made it", picture.destination);
            let slip = Slip::stop("image-without-credit", spot.clone(), message);
            let file = &picture.destination;
            slips.push(slip.help(format!("write ![…]({file} \"credit: name, year\")")));
        }
        match target(&picture.destination, &page.name) {
            LinkTarget::File(path) if folio.files.contains(&path) && is_picture(&path) => {
                shown.push((path, spot));
            }
            _ => slips.push(missing(folio, spot, picture)),
        }
    }
    shown
}

/// Whether a file is called like a picture that a page may show.
pub(crate) fn is_picture(path: &str) -> bool {
    let lower = path.to_lowercase();
    KINDS.iter().any(|kind| lower.ends_with(kind))
}

/// The credit in a picture's title.
pub(crate) fn credit(title: &str) -> Option<&str> {
    let rest = title.trim();
    let head = rest.get(.."credit:".len())?;
    let name = rest["credit:".len()..].trim();
    (head.eq_ignore_ascii_case("credit:") && !name.is_empty()).then_some(name)
}

fn missing(folio: &Folio, spot: Spot, picture: &NoteReference) -> Slip {
    let message = format!("there is no picture `{}` beside this page", picture.destination);
    let slip = Slip::stop("image-missing", spot, message)
        .noting("pictures are PNG, JPEG or SVG files in content/");
    let name = picture.destination.rsplit('/').next().unwrap_or("");
    let files = folio.files.iter().filter_map(|file| file.rsplit('/').next());
    match nearest(name, files) {
        Some(near) => slip.help(format!("did you mean {near}?")),
        None => slip,
    }
}
