//! The few pieces of HTML that Markdown has no words for: text set apart from fact, boxes for wide
//! things, pictures with their credit, notes.
//!
//! Every theme finds these class names in page bodies. Knows nothing of Markdown or of figures.

use super::blocks::Setting;
use crate::text::{escape_into, escaped};
use std::fmt::Write as _;

/// Opens text that is set apart from the page's own statements and names its kind. Close it with
/// `</div>`.
#[must_use]
pub fn open_apart(setting: &Setting) -> String {
    let (words, from) = match setting {
        Setting::Hearsay(from) => (setting.word(), from.as_str()),
        _ => (setting.word(), ""),
    };
    let class = words.to_lowercase().replace(' ', "-");
    let mut out = format!("<div class=\"apart apart-{class}\" role=\"note\">\n");
    let _ = write!(out, "<p class=\"apart-name\">{words}");
    if !from.is_empty() {
        out.push_str(" <span class=\"apart-from\">");
        escape_into(&mut out, from);
        out.push_str("</span>");
    }
    out.push_str("</p>\n");
    out
}

/// Opens a box that scrolls sideways by itself and can be reached by keyboard. `name` tells it
/// apart from the other boxes of the page. Close it with `</div>`.
#[must_use]
pub fn open_box(name: &str) -> String {
    format!("<div class=\"scroll\" tabindex=\"0\" role=\"group\" aria-label=\"{}\">", escaped(name))
}

/// Opens a listing, which may be wider than the page. Close it with `</pre>`.
#[must_use]
pub fn open_listing(name: &str) -> String {
    format!("<pre tabindex=\"0\" role=\"group\" aria-label=\"{}\">", escaped(name))
}

/// A picture as it goes to the site.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PictureMark {
    /// Address relative to the page.
    pub address: String,
    /// Width in pixels, so that nothing jumps while it loads.
    pub width: u32,
    /// Height in pixels.
    pub height: u32,
    /// Who made it; printed below.
    pub credit: String,
}

/// A picture alone; `alternative` says what it shows to those who cannot see it.
pub(crate) fn image(picture: &PictureMark, alternative: &str) -> String {
    format!(
        "<img src=\"{}\" alt=\"{}\" width=\"{}\" height=\"{}\">",
        escaped(&picture.address),
        escaped(alternative),
        picture.width,
        picture.height
    )
}

/// A picture with its credit. It is flow content: it must not stand inside a paragraph.
#[must_use]
pub fn figure(picture: &PictureMark, alternative: &str) -> String {
    let mut out = String::from("<figure>");
    out.push_str(&image(picture, alternative));
    if !picture.credit.is_empty() {
        out.push_str("<figcaption>");
        escape_into(&mut out, &picture.credit);
        out.push_str("</figcaption>");
    }
    out.push_str("</figure>\n");
    out
}

/// The sign of a note in the text. Only the first sign of a note has an anchor to come back to.
#[must_use]
pub fn note_sign(number: usize, is_first: bool) -> String {
    let back = if is_first { format!(" id=\"_note-{number}-from\"") } else { String::new() };
    format!(
        "<sup class=\"footnote-reference\"><a href=\"#_note-{number}\"{back} \
         aria-label=\"Note {number}\">{number}</a></sup>"
    )
}

/// Opens a note. Close it with `</div>`, after [`note_back`].
#[must_use]
pub fn open_note(number: usize) -> String {
    format!(
        "<div class=\"footnote\" id=\"_note-{number}\"><span \
         class=\"footnote-number\">{number}</span> <div>\n"
    )
}

/// The way back from a note to its sign.
#[must_use]
pub fn note_back(number: usize) -> String {
    format!(
        "<a class=\"footnote-back\" href=\"#_note-{number}-from\" aria-label=\"Back to note \
         {number} in the text\">↩</a>"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_picture_keeps_its_place_and_names_who_made_it() {
        let picture = PictureMark {
            address: "bolt.png".into(),
            credit: "M. Alder".into(),
            width: 640,
            height: 480,
        };
        assert_eq!(
            figure(&picture, "The \"bolt\""),
            "<figure><img src=\"bolt.png\" alt=\"The &quot;bolt&quot;\" width=\"640\" \
             height=\"480\"><figcaption>M. Alder</figcaption></figure>\n"
        );
    }

    #[test]
    fn hearsay_names_who_said_it() {
        assert_eq!(
            open_apart(&Setting::Hearsay("a reader <x>, 2026-01-10".into())),
            "<div class=\"apart apart-hearsay\" role=\"note\">\n<p class=\"apart-name\">Hearsay \
             <span class=\"apart-from\">a reader &lt;x&gt;, 2026-01-10</span></p>\n"
        );
    }

    #[test]
    fn a_box_is_named() {
        let html = open_box("Table: \"rings\"");
        assert!(html.contains("aria-label=\"Table: &quot;rings&quot;\""), "{html}");
    }
}
