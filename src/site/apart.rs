//! Text that is set apart from fact, and boxes for wide things in running text.
//!
//! The Markdown renderer asks for these so that every theme finds the same few class names in page
//! bodies. Knows nothing of Markdown.

use super::figure::{escape_into, escaped};
use std::fmt::Write;

/// Kinds of text that are not the page's own statements.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Apart {
    /// What the writer thinks.
    Opinion,
    /// What somebody said; needs source and date.
    Hearsay,
    /// How things came to be.
    History,
    /// What is not known yet.
    OpenQuestion,
    /// A figure or claim of the maker's that the page only quotes.
    Quoted,
}

impl Apart {
    /// Words printed above the text.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Apart::Opinion => "Opinion",
            Apart::Hearsay => "Hearsay",
            Apart::History => "History",
            Apart::OpenQuestion => "Open question",
            Apart::Quoted => "Quoted",
        }
    }

    fn class(self) -> &'static str {
        match self {
            Apart::Opinion => "opinion",
            Apart::Hearsay => "hearsay",
            Apart::History => "history",
            Apart::OpenQuestion => "open-question",
            Apart::Quoted => "quoted",
        }
    }
}

/// `inner_html` set apart from the page's own statements; `from` tells who and when, or is empty.
#[must_use]
pub fn apart_html(kind: Apart, from: &str, inner_html: &str) -> String {
    let mut out = String::with_capacity(inner_html.len() + 160);
    let (class, words) = (kind.class(), kind.words());
    let _ = write!(out, "<div class=\"apart apart-{class}\" role=\"note\">");
    let _ = write!(out, "<p class=\"apart-name\">{words}");
    if !from.is_empty() {
        out.push_str(" <span class=\"apart-from\">");
        escape_into(&mut out, from);
        out.push_str("</span>");
    }
    let _ = writeln!(out, "</p>{inner_html}</div>");
    out
}

/// A table of running text in a box that scrolls sideways by itself and can be reached by keyboard.
/// `caption` names it for those who cannot see it; every table on a page needs its own.
#[must_use]
pub fn table_box_html(caption: &str, table_html: &str) -> String {
    format!(
        "<div class=\"scroll\" tabindex=\"0\" role=\"group\" aria-label=\"{}\">{table_html}</div>\n",
        escaped(caption)
    )
}

/// A picture of running text.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Picture {
    /// Address relative to the page.
    pub address: String,
    /// What it shows, for those who cannot see it.
    pub alternative: String,
    /// Who made it; printed below.
    pub credit: String,
    /// Width and height in pixels, so that nothing jumps while it loads; `None` if not known.
    pub size: Option<(u32, u32)>,
}

/// A picture with its credit. It is flow content: it must not stand inside a paragraph.
#[must_use]
pub fn picture_html(picture: &Picture) -> String {
    let mut out = String::from("<figure><img src=\"");
    escape_into(&mut out, &picture.address);
    out.push_str("\" alt=\"");
    escape_into(&mut out, &picture.alternative);
    out.push('"');
    if let Some((width, height)) = picture.size {
        let _ = write!(out, " width=\"{width}\" height=\"{height}\"");
    }
    out.push('>');
    if !picture.credit.is_empty() {
        out.push_str("<figcaption>");
        escape_into(&mut out, &picture.credit);
        out.push_str("</figcaption>");
    }
    out.push_str("</figure>\n");
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_keeps_its_place_and_names_who_made_it() {
        let picture = Picture {
            address: "bolt.png".into(),
            alternative: "The \"bolt\"".into(),
            credit: "M. Alder".into(),
            size: Some((640, 480)),
        };
        assert_eq!(
            picture_html(&picture),
            "<figure><img src=\"bolt.png\" alt=\"The &quot;bolt&quot;\" width=\"640\" \
             height=\"480\"><figcaption>M. Alder</figcaption></figure>\n"
        );
    }

    #[test]
    fn hearsay_names_who_said_it() {
        assert_eq!(
            apart_html(Apart::Hearsay, "a reader <x>, 2026-01-10", "<p>It clicks.</p>"),
            "<div class=\"apart apart-hearsay\" role=\"note\"><p class=\"apart-name\">Hearsay \
             <span class=\"apart-from\">a reader &lt;x&gt;, 2026-01-10</span></p>\
             <p>It clicks.</p></div>\n"
        );
    }

    #[test]
    fn a_table_box_is_named() {
        let html = table_box_html("Table: \"rings\"", "<table></table>");
        assert!(html.contains("aria-label=\"Table: &quot;rings&quot;\""), "{html}");
    }
}
