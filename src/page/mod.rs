//! Pages as written: front matter and body, read but not yet judged.
//!
//! Reading never stops at the first fault: it gives a page and a list of slips. This layer knows
//! which keys there are, not what any figure is worth.

pub(crate) mod conventions;
pub(crate) mod fields;
pub(crate) mod front;
pub(crate) mod imprint;
pub mod keys;
pub(crate) mod pasted;
pub(crate) mod yaml;

pub(crate) use front::{Front, PageKind};

use crate::slip::Slip;
use crate::text::{Source, Span, Spot, Walkthrough};
use std::sync::{Arc, LazyLock};

/// A first page, written step by step.
pub static WALK: LazyLock<Walkthrough> =
    LazyLock::new(|| Walkthrough::read(include_str!("walk.txt")));

/// A page of the folio.
#[derive(Debug, Clone)]
pub struct Page {
    pub(crate) source: Arc<Source>,
    pub(crate) front: Front,
    /// Where the Markdown text stands in the file.
    pub(crate) body: Span,
}

/// Largest page read, in bytes. A page of this size prints to some 150 sheets; larger ones are
/// more likely a mistake than a page.
pub(crate) const LARGEST_PAGE: usize = 2 * 1024 * 1024;

/// Reads a page. Whatever could not be read is told in the slips and left out.
#[must_use]
pub fn read(source: &Arc<Source>) -> (Page, Vec<Slip>) {
    let mut slips = Vec::new();
    if LARGEST_PAGE < source.text.len() {
        let spot = Spot::new(source, Span::new(0, 0));
        let message = format!("the page is {} bytes long, over {LARGEST_PAGE}", source.text.len());
        slips.push(Slip::stop("page-too-large", spot, message).help("split it into several pages"));
        let page =
            Page { source: Arc::clone(source), front: Front::default(), body: Span::default() };
        return (page, slips);
    }
    let (front_span, body, is_closed) = split(&source.text);
    if !is_closed {
        let spot = Spot::new(source, source.line_span(0));
        let slip = Slip::stop("yaml-fault", spot, "the front matter is not closed");
        slips.push(slip.help("put a line `---` behind its last key"));
        return (Page { source: Arc::clone(source), front: Front::default(), body }, slips);
    }
    let front = match front_span {
        None => Front::default(),
        Some(span) => match yaml::read(source, span) {
            Ok(node) => {
                swallowed_comments(source, span, &mut slips);
                front::read(source, node, &mut slips)
            }
            Err(slip) => {
                slips.push(*slip);
                return (Page { source: Arc::clone(source), front: Front::default(), body }, slips);
            }
        },
    };
    // A title that could not be read has been told.
    if front.title.is_none() && !slips.iter().any(|slip| slip.code == "wrong-shape") {
        let spot = Spot::new(source, source.line_span(0));
        let slip = Slip::stop("missing-title", spot, "the page has no title");
        slips.push(slip.help("begin the file with `---`, `title: …`, `---`"));
    }
    (Page { source: Arc::clone(source), front, body }, slips)
}

/// Span of the YAML between the `---` lines, that of the text after them, and whether the second
/// of these lines is there.
fn split(text: &str) -> (Option<Span>, Span, bool) {
    let whole = Span::new(0, text.len());
    let bom = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
    let Some(first_end) = text[bom..].find('\n').map(|at| bom + at + 1) else {
        return (None, Span::new(bom, text.len()), true);
    };
    if text[bom..first_end].trim_end() != "---" {
        return (None, Span::new(bom, whole.end), true);
    }
    let mut at = first_end;
    for line in text[first_end..].split_inclusive('\n') {
        if matches!(line.trim_end(), "---" | "...") {
            let body = Span::new(at + line.len(), text.len());
            return (Some(Span::new(first_end, at)), body, true);
        }
        at += line.len();
    }
    (Some(Span::new(first_end, text.len())), Span::new(text.len(), text.len()), false)
}

/// `drill #60` and `#10-32`: YAML takes what follows ` #` for a comment and drops it silently.
fn swallowed_comments(source: &Arc<Source>, span: Span, slips: &mut Vec<Slip>) {
    let text = source.slice(span);
    let mut quote: Option<char> = None;
    let mut before = '\n';
    let mut comment = false;
    for (at, c) in text.char_indices() {
        match (c, quote) {
            ('\n', _) => {
                comment = false;
                // A quoted text rarely runs over lines; a lone apostrophe never does.
                quote = None;
            }
            _ if comment => {}
            ('"' | '\'', None) if !before.is_alphanumeric() => quote = Some(c),
            (c, Some(open)) if c == open => quote = None,
            ('#', None) if before.is_whitespace() => {
                comment = true;
                let rest = &text[at..];
                if rest[1..].starts_with(|next: char| next.is_ascii_digit()) {
                    let end = rest.find('\n').unwrap_or(rest.len());
                    let spot = Spot::new(source, Span::new(at, at + end).shifted(span.start));
                    let message = "YAML takes this for a comment and drops it";
                    let slip = Slip::stop("yaml-trap", spot, message);
                    slips.push(slip.help("put the whole value in quotes"));
                }
            }
            _ => {}
        }
        before = c;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn codes(text: &str) -> Vec<(&'static str, String)> {
        let source = Source::new("page.md", text);
        read(&source).1.iter().map(|slip| (slip.code, slip.spot.text().to_owned())).collect()
    }

    fn front(yaml: &str) -> Vec<(&'static str, String)> {
        codes(&format!("---\ntitle: A page\n{yaml}\n---\nText.\n"))
    }

    #[test]
    fn body_and_front_matter_are_told_apart() {
        let source = Source::new("page.md", "---\ntitle: Rowan\nengine: rowan\n---\nThe body.\n");
        let (page, slips) = read(&source);
        assert!(slips.is_empty(), "{slips:?}");
        assert_eq!(page.source.slice(page.body), "The body.\n");
        assert_eq!(page.front.kind, PageKind::Engine);
    }

    #[test]
    fn an_unknown_key_comes_with_a_suggestion() {
        let source = Source::new("page.md", "---\ntitle: A\nreadngs: {}\n---\n");
        let slip = &read(&source).1[0];
        assert_eq!(slip.code, "unknown-key");
        assert_eq!(slip.helps[0].replacement.as_deref(), Some("readings"));
        assert_eq!(slip.spot.text(), "readngs");
    }

    #[test]
    fn yaml_traps_are_told_as_such() {
        assert_eq!(front("readings:\n  bore: {is: 2,5 mm}"), [("yaml-trap", "5 mm".to_owned())]);
        assert_eq!(front("readings:\n  hole: drill #60"), [("yaml-trap", "#60".to_owned())]);
        assert_eq!(front("readings:\n  hole: \"drill #60\" # 60 thou? no"), []);
    }

    #[test]
    fn a_missing_title_and_a_duplicate_key_are_slips() {
        assert_eq!(codes("No front matter.\n")[0].0, "missing-title");
        assert_eq!(front("family: a\nfamily: b"), [("duplicate-key", "family".to_owned())]);
    }
}
