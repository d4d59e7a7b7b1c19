//! The one form in which a figure stands in a published text.
//!
//! A figure is a `<data>` element that carries its value in SI base units and its reading in each
//! unit system, inside a link to the place where its origin is told: one click, with or without
//! JavaScript. How it was checked shows as the kind of line under it, as on a drawing, and as a
//! sign after it where the reader should be careful, so it never rests on colour. The form is
//! phrasing content, legal in paragraphs, headings and cells. This module escapes; it must not
//! decide what a figure's verdict is.

use super::marks::words;
use crate::proof::Status;
use crate::site::shared::UnitSystem;
use crate::site::theme::MarkWords;
use crate::text::escape_into;
use std::fmt::Write;

/// One figure as it stands in a text, ready to be shown.
///
/// A dual statement ("128 psi (8.83 bar)") is best given as one figure: `written` holds the whole
/// of it and `si` and `us` one value each, so that choosing a unit system does not print a value
/// twice.
#[derive(Debug, Clone)]
pub(super) struct FigureView {
    /// The text as the writer typed it, with a no-break space before the unit.
    pub(super) written: String,
    /// The same in SI units; `None` where there is nothing to switch (ratios, counts, words).
    pub(super) si: Option<String>,
    /// The same in US customary units; `None` as for `si`.
    pub(super) us: Option<String>,
    /// Value in coherent SI units, `None` leaves a figure without machine value.
    pub(super) value: Option<f64>,
    /// Where its origin is told, relative to the page (`#reading-bore`, `../hazel.html#reading-x`).
    pub(super) href: Option<String>,
    /// How far it has been checked.
    pub(super) mark: Status,
    /// Name, source, ± and verdict in one line; shown as the link's title. The same words stand at
    /// the place that `href` names.
    pub(super) title: String,
    /// Which unit system stands in the page before the reader chooses.
    pub(super) first: UnitSystem,
    /// True inside a link, where a second link would not be legal; the origin link is left out.
    pub(super) inside_link: bool,
}

/// The HTML of a figure. Every part is escaped.
pub(super) fn figure_html(figure: &FigureView) -> String {
    let mut out = String::with_capacity(256);
    let link = figure.href.as_deref().filter(|_| !figure.inside_link);
    out.push_str(if link.is_some() { "<a class=\"fig fig-" } else { "<span class=\"fig fig-" });
    let mark = words(figure.mark);
    out.push_str(mark.name);
    out.push('"');
    if let Some(href) = link {
        attribute(&mut out, "href", href);
    }
    if !figure.title.is_empty() {
        attribute(&mut out, "title", &figure.title);
    }
    out.push('>');
    push_data(&mut out, figure);
    push_sign(&mut out, mark);
    out.push_str(if link.is_some() { "</a>" } else { "</span>" });
    out
}

/// The mark behind a statement that holds: a link to where its reason stands.
pub(super) fn statement_mark(anchor: &str, reason: &str) -> String {
    let MarkWords { name, sign, words, .. } = words(Status::Computed);
    let mut out = format!("<a class=\"mark mark-{name}\"");
    attribute(&mut out, "href", &format!("#{anchor}"));
    attribute(&mut out, "title", &format!("this statement is {words}: {reason}"));
    let _ = write!(out, ">{sign}<span class=\"hush\"> (statement {words})</span></a>");
    out
}

/// The sign is plain inline text, so that no line breaks between a figure and its sign.
fn push_sign(out: &mut String, mark: MarkWords) {
    let MarkWords { name, sign, words, care, .. } = mark;
    if sign.is_empty() {
        return;
    }
    let _ = write!(out, "<span class=\"mark mark-{name}\"");
    if care {
        let _ = write!(out, ">{sign}<span class=\"hush\"> ({words})</span></span>");
    } else {
        let _ = write!(out, " aria-hidden=\"true\">{sign}</span>");
    }
}

fn push_data(out: &mut String, figure: &FigureView) {
    let shown = match figure.first {
        UnitSystem::Written => None,
        UnitSystem::Si => figure.si.as_deref(),
        UnitSystem::Us => figure.us.as_deref(),
    };
    // `<data>` must have a value, so a figure without one is a plain span.
    let element = if figure.value.is_some() { "data" } else { "span" };
    let _ = write!(out, "<{element} class=\"figure\"");
    if let Some(value) = figure.value {
        let _ = write!(out, " value=\"{value}\"");
    }
    if figure.si.is_some() || figure.us.is_some() {
        let systems = [
            (UnitSystem::Written, "data-written", None),
            (UnitSystem::Si, "data-si", figure.si.as_deref()),
            (UnitSystem::Us, "data-us", figure.us.as_deref()),
        ];
        // What stands in the text need not be said twice.
        for (_, name, text) in systems.into_iter().filter(|(system, ..)| *system != figure.first) {
            attribute(out, name, text.unwrap_or(&figure.written));
        }
    }
    out.push('>');
    escape_into(out, shown.unwrap_or(&figure.written));
    let _ = write!(out, "</{element}>");
}

fn attribute(out: &mut String, name: &str, value: &str) {
    let _ = write!(out, " {name}=\"");
    escape_into(out, value);
    out.push('"');
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain() -> FigureView {
        FigureView {
            written: String::new(),
            si: None,
            us: None,
            value: None,
            href: None,
            mark: Status::OwnReading,
            title: String::new(),
            first: UnitSystem::Written,
            inside_link: false,
        }
    }

    fn bore() -> FigureView {
        FigureView {
            written: "0.90\u{a0}mm".into(),
            si: Some("0.90\u{a0}mm".into()),
            us: Some("0.035\u{a0}in".into()),
            value: Some(0.0009),
            href: Some("#reading-metering_bore".into()),
            mark: Status::Computed,
            title: "metering bore: caliper".into(),
            ..plain()
        }
    }

    #[test]
    fn a_figure_carries_its_value_and_its_origin() {
        assert_eq!(
            figure_html(&bore()),
            "<a class=\"fig fig-computed\" href=\"#reading-metering_bore\" title=\"metering bore: \
             caliper\"><data class=\"figure\" value=\"0.0009\" \
             data-si=\"0.90\u{a0}mm\" data-us=\"0.035\u{a0}in\">\
             0.90\u{a0}mm</data><span class=\"mark mark-computed\" \
             aria-hidden=\"true\">✓</span></a>"
        );
    }

    #[test]
    fn the_first_unit_system_is_what_stands_in_the_text() {
        let html = figure_html(&FigureView { first: UnitSystem::Us, ..bore() });
        assert!(html.contains(">0.035\u{a0}in</data>"), "{html}");
        assert!(html.contains("data-written=\"0.90\u{a0}mm\""), "{html}");
    }

    #[test]
    fn no_link_stands_inside_a_link() {
        let html = figure_html(&FigureView { inside_link: true, ..bore() });
        assert!(!html.contains("<a"), "{html}");
        assert!(html.contains("title="), "{html}");
    }

    #[test]
    fn whatever_the_writer_typed_stays_text() {
        let hostile = "\"><script>x</script>&'";
        let html = figure_html(&FigureView {
            written: hostile.into(),
            si: Some(hostile.into()),
            us: None,
            href: Some(hostile.into()),
            title: hostile.into(),
            ..plain()
        });
        assert!(!html.contains("<script"), "{html}");
        assert!(!html.contains("\"\">"), "{html}");
        assert_eq!(html.matches("&lt;script&gt;").count(), 5, "{html}");
    }

    #[test]
    fn a_ratio_in_words_has_nothing_to_switch() {
        let html = figure_html(&FigureView {
            written: "nearly two and a half times".into(),
            href: Some("#derived-share".into()),
            mark: Status::Computed,
            ..plain()
        });
        assert!(!html.contains("data-"), "{html}");
    }
}
