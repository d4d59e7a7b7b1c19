//! Links: they lead somewhere, stay on the site or go to the open web, and run nothing.

use crate::body::blocks::{Document, NoteReference};
use crate::body::template::Rendered;
use crate::folio::{Folio, PageEntry, address_of};
use crate::slip::Slip;
use crate::text::{Source, Spot, nearest};
use std::sync::Arc;

/// Where a link leads.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum LinkTarget {
    /// A page of the folio, by name, and an anchor on it.
    Page {
        /// Path below the folio.
        name: String,
        /// Anchor without `#`; empty for the page.
        anchor: String,
    },
    /// A file beside the pages, by path below the folio.
    File(String),
    /// The open web or a mail address.
    Outside(String),
    /// Refused: it would run something or reach into the reader's disk.
    Dangerous,
}

/// Resolves a destination from a page.
pub(crate) fn target(destination: &str, page: &str) -> LinkTarget {
    let lower = destination.trim().to_lowercase();
    if ["http://", "https://", "mailto:"].iter().any(|scheme| lower.starts_with(scheme)) {
        return LinkTarget::Outside(destination.trim().to_owned());
    }
    let scheme = lower.split_once(':').map(|(scheme, _)| scheme);
    let has_scheme = scheme.is_some_and(|scheme| {
        !scheme.is_empty()
            && scheme.bytes().all(|b| b.is_ascii_alphanumeric() || b"+-.".contains(&b))
    });
    if has_scheme || lower.starts_with("//") || lower.starts_with('/') || lower.contains('\\') {
        return LinkTarget::Dangerous;
    }
    let (path, anchor) = destination.split_once('#').unwrap_or((destination, ""));
    let path = path.split('?').next().unwrap_or("");
    let anchor = anchor.to_owned();
    if path.is_empty() {
        return LinkTarget::Page { name: page.to_owned(), anchor };
    }
    let Some(path) = joined(page, path) else { return LinkTarget::Dangerous };
    if path.ends_with(".md") {
        LinkTarget::Page { name: path, anchor }
    } else {
        LinkTarget::File(path)
    }
}

/// `path` as seen from `page`; `None` when it leaves the folio's content.
fn joined(page: &str, path: &str) -> Option<String> {
    let mut parts: Vec<&str> = page.split('/').collect();
    parts.pop();
    for part in path.split('/') {
        // Browsers climb by `%2e%2e` as well, and some servers take `%2f` for a slash.
        let plain = part.to_lowercase().replace("%2e", ".");
        if plain.contains("%2f") || plain.contains("%5c") {
            return None;
        }
        match plain.as_str() {
            "" | "." => {}
            ".." => {
                parts.pop()?;
                if parts.is_empty() {
                    return None;
                }
            }
            _ => parts.push(part),
        }
    }
    Some(parts.join("/"))
}

/// An anchor that another page must have; told when all pages are known.
#[derive(Debug, Clone)]
pub struct AnchorWanted {
    pub(crate) page: usize,
    pub(crate) anchor: String,
    pub(crate) spot: Spot,
}

/// What the links of a page ask of the rest of the site.
#[derive(Debug, Clone, Default)]
pub(crate) struct Wanted {
    pub(crate) anchors: Vec<AnchorWanted>,
    /// Files beside the pages, by path below the folio, and the links that lead to them.
    pub(crate) files: Vec<(String, Spot)>,
}

/// Kinds of file that are published when a page links to them.
const KINDS: [&str; 8] = [".csv", ".txt", ".pdf", ".json", ".png", ".jpg", ".jpeg", ".svg"];

/// Judges the links of a page.
pub(crate) fn judge(
    folio: &Folio,
    page: &PageEntry,
    source: &Arc<Source>,
    rendered: &Rendered<'_>,
    document: &Document<'_>,
    slips: &mut Vec<Slip>,
) -> Wanted {
    let mut wanted = Wanted::default();
    for reference in document.references.iter().filter(|reference| !reference.is_picture) {
        let spot = Spot::new(source, rendered.origin(reference.span).span);
        match target(&reference.destination, &page.name) {
            LinkTarget::Dangerous => slips.push(dangerous(spot, reference)),
            LinkTarget::Outside(_) => {}
            LinkTarget::File(path) => {
                let lower = path.to_lowercase();
                if !folio.files.contains(&path) {
                    slips.push(broken(folio, spot, reference, &path));
                } else if KINDS.iter().any(|kind| lower.ends_with(kind)) {
                    wanted.files.push((path, spot));
                } else {
                    slips.push(unpublished(spot, reference));
                }
            }
            LinkTarget::Page { name, anchor } => match folio.by_name.get(&name) {
                None => slips.push(broken(folio, spot, reference, &name)),
                Some(_) if anchor.is_empty() => {}
                Some(page) => wanted.anchors.push(AnchorWanted { page: *page, anchor, spot }),
            },
        }
    }
    for span in &document.raw_html {
        let spot = Spot::new(source, rendered.origin(*span).span);
        let written = spot.text().lines().next().unwrap_or("").to_owned();
        let message = format!("raw HTML is not part of a page: {written}");
        let slip = Slip::stop("raw-html", spot, message);
        slips.push(slip.help("write Markdown; for a plain `<` write `\\<`"));
    }
    for span in &document.broken_bindings {
        let spot = Spot::new(source, rendered.origin(*span).span);
        let message = "this looks like a binding, but Markdown does not read it as one";
        let (why, write) = match spot.text().contains("](<claim:") {
            true => ("a formula with < or > stands in quotes", "[text](claim: \"formula\")"),
            false => (
                "a destination with blanks stands in < >",
                "[text](<by: formula with blanks>) or [text](by:name)",
            ),
        };
        let slip = Slip::stop("binding-unreadable", spot, message);
        slips.push(slip.noting(why).help(format!("write {write}")));
    }
    wanted
}

/// An anchor that its page does not have.
pub(crate) fn anchor_missing(wanted: &AnchorWanted, folio: &Folio, anchors: &[String]) -> Slip {
    let page = folio.pages[wanted.page].title();
    let message = format!("“{page}” has no place called #{}", wanted.anchor);
    let slip = Slip::stop("broken-link", wanted.spot.clone(), message);
    match nearest(&wanted.anchor, anchors.iter().map(String::as_str)) {
        Some(near) => slip.help(format!("did you mean #{near}?")),
        None => slip.help("anchors are the words of a heading joined by hyphens, or {#name}"),
    }
}

fn dangerous(spot: Spot, reference: &NoteReference) -> Slip {
    let message = format!("links like `{}` are refused", reference.destination);
    Slip::stop("dangerous-link", spot, message)
        .noting("links go to pages and files of the folio, to http(s) or mailto")
}

fn unpublished(spot: Spot, reference: &NoteReference) -> Slip {
    let message = format!("`{}` is not of a kind that is published", reference.destination);
    Slip::stop("broken-link", spot, message).noting(format!("kinds: {}", KINDS.join(", ")))
}

fn broken(folio: &Folio, spot: Spot, reference: &NoteReference, path: &str) -> Slip {
    let message = format!("`{}` leads nowhere: there is no {path}", reference.destination);
    let slip = Slip::stop("broken-link", spot, message);
    let pages = folio.pages.iter().map(|page| page.name.as_str());
    let files = folio.files.iter().map(String::as_str);
    match nearest(path, pages.chain(files)) {
        Some(near) => slip.help(format!("did you mean {near}?")),
        None => slip,
    }
}

/// Address of a target on the site, seen from the page at `from`; `None` where it is not linked.
pub(crate) fn site_address(target: &LinkTarget, from: &str) -> Option<String> {
    let root = "../".repeat(from.matches('/').count());
    match target {
        LinkTarget::Outside(address) => Some(address.clone()),
        LinkTarget::File(path) => {
            Some(format!("{root}{}", path.strip_prefix("content/").unwrap_or(path)))
        }
        LinkTarget::Page { name, anchor } => {
            let address = address_of(name);
            let anchor = if anchor.is_empty() { String::new() } else { format!("#{anchor}") };
            if address == from && !anchor.is_empty() {
                return Some(anchor);
            }
            Some(format!("{root}{address}{anchor}"))
        }
        LinkTarget::Dangerous => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A browser takes `%2e` for a dot where it resolves an address (WHATWG URL, "double-dot URL
    /// path segment"); `%2f` and `%5c` are taken for slashes by some servers only.
    #[test]
    fn climbing_is_seen_however_it_is_written() {
        for path in ["../../x", "%2e%2e/../x", "%2E./.%2e/x", "..%2f..%2Fx", "a%5c..%5Cx"] {
            assert_eq!(target(path, "content/rowan.md"), LinkTarget::Dangerous, "{path}");
        }
        let near = target("engines/%2e%2e/a%2eb.txt", "content/rowan.md");
        assert_eq!(near, LinkTarget::File("content/a%2eb.txt".to_owned()));
    }
}
