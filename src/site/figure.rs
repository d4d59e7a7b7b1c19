//! The one form in which a figure stands in a published text.
//!
//! A figure is a `<data>` element that carries its value in SI base units and its reading in each
//! unit system, inside a link to the place where its origin is told: one click, with or without
//! JavaScript. How it was checked shows as the kind of line under it, as on a drawing, and as a
//! sign after it where the reader should be careful, so it never rests on colour. The form is
//! phrasing content, legal in paragraphs, headings and cells. This module escapes; it must not
//! decide what a figure's verdict is.

use super::view::UnitSystem;
use crate::text::escape_into;
use serde::Serialize;
use std::fmt::Write;

/// How far a stated figure has been checked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mark {
    /// Recomputed from other figures, and it agrees.
    Computed,
    /// Stated a second time, from another source or taken in another way, and the two agree.
    SecondStatement,
    /// Stated once, in two units that agree.
    ConversionAgrees,
    /// Rests on its own reading only.
    #[default]
    OwnReading,
    /// Printed from the data sheet by the page itself; not a statement of its own.
    Printed,
    /// Not this folio's to check; the writer says why.
    Aside,
    /// A supposition ("if you drop to …").
    Supposition,
    /// A change ("0.5 mm more"), not a value.
    Change,
    /// Denied by the writer ("not 12 bar"), and indeed not so.
    Denied,
    /// Stands in opinion, hearsay, history or an open question: not tied to a reading.
    SetApart,
    /// Agrees only with loose rounding.
    Lenient,
    /// Tied to no reading.
    Untied,
    /// Let pass by a dated waiver.
    Waived,
    /// Disagrees, cannot be compared, or belongs to another reading: seen in drafts only.
    Disagrees,
}

impl Mark {
    /// Every mark, in the order of a legend.
    pub(crate) const ALL: [Mark; 14] = [
        Mark::Computed,
        Mark::SecondStatement,
        Mark::ConversionAgrees,
        Mark::OwnReading,
        Mark::Printed,
        Mark::Aside,
        Mark::Supposition,
        Mark::Change,
        Mark::Denied,
        Mark::SetApart,
        Mark::Lenient,
        Mark::Untied,
        Mark::Waived,
        Mark::Disagrees,
    ];

    /// Name used in class names and data files.
    pub(crate) fn name(self) -> &'static str {
        match self {
            Mark::Computed => "computed",
            Mark::SecondStatement => "second-statement",
            Mark::ConversionAgrees => "conversion-agrees",
            Mark::OwnReading => "own-reading",
            Mark::Printed => "printed",
            Mark::Aside => "aside",
            Mark::Supposition => "supposition",
            Mark::Change => "change",
            Mark::Denied => "denied",
            Mark::SetApart => "set-apart",
            Mark::Lenient => "lenient",
            Mark::Untied => "untied",
            Mark::Waived => "waived",
            Mark::Disagrees => "disagrees",
        }
    }

    /// The sign printed after the figure; empty where the line under it says enough.
    #[must_use]
    pub fn sign(self) -> &'static str {
        match self {
            Mark::Computed => "✓",
            Mark::SecondStatement => "=",
            Mark::ConversionAgrees => "↔",
            Mark::OwnReading | Mark::Printed | Mark::Change | Mark::Denied | Mark::SetApart => "",
            Mark::Aside => "*",
            Mark::Supposition => "if",
            Mark::Lenient => "≈",
            Mark::Untied => "?",
            Mark::Waived => "w",
            Mark::Disagrees => "≠",
        }
    }

    /// Whether a reader should think twice: then the sign is also told in words to those who hear
    /// the page.
    pub(crate) fn asks_for_care(self) -> bool {
        matches!(self, Mark::Lenient | Mark::Untied | Mark::Waived | Mark::Disagrees)
    }

    /// What the mark says in the fewest words, for tables.
    pub(crate) fn short(self) -> &'static str {
        match self {
            Mark::Computed => "by computation",
            Mark::SecondStatement => "second statement",
            Mark::ConversionAgrees => "conversion agrees",
            Mark::OwnReading => "own reading only",
            Mark::Printed => "printed",
            Mark::Aside => "aside",
            Mark::Supposition => "supposition",
            Mark::Change => "change",
            Mark::Denied => "denied",
            Mark::SetApart => "set apart",
            Mark::Lenient => "loose rounding",
            Mark::Untied => "untied",
            Mark::Waived => "waived",
            Mark::Disagrees => "disagrees",
        }
    }

    /// What the mark says, for titles and legends.
    pub(crate) fn words(self) -> &'static str {
        match self {
            Mark::Computed => "checked by computation",
            Mark::SecondStatement => "checked against a second, independent statement",
            Mark::ConversionAgrees => "stated once, in two units that agree",
            Mark::OwnReading => "rests on its own reading only",
            Mark::Printed => "printed from the data sheet",
            Mark::Aside => "aside: not ours to check",
            Mark::Supposition => "supposition",
            Mark::Change => "a change, not a value",
            Mark::Denied => "denied",
            Mark::SetApart => "opinion, hearsay, history or open question: not checked",
            Mark::Lenient => "agrees only with loose rounding",
            Mark::Untied => "tied to no reading",
            Mark::Waived => "let pass by a waiver",
            Mark::Disagrees => "disagrees",
        }
    }
}

/// One figure as it stands in a text, ready to be shown.
///
/// A dual statement ("128 psi (8.83 bar)") is best given as one figure: `written` holds the whole
/// of it and `si` and `us` one value each, so that choosing a unit system does not print a value
/// twice.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct FigureView {
    /// The text as the writer typed it, with a no-break space before the unit.
    pub written: String,
    /// The same in SI units; `None` where there is nothing to switch (ratios, counts, words).
    pub si: Option<String>,
    /// The same in US customary units; `None` as for `si`.
    pub us: Option<String>,
    /// Value in coherent SI units, as plain digits; `None` leaves a figure without machine value.
    pub value: Option<String>,
    /// Kind of quantity ("gauge pressure", "length"); empty when there is none to tell.
    pub kind: String,
    /// Where its origin is told, relative to the page (`#reading-bore`, `../hazel.html#reading-x`).
    pub href: Option<String>,
    /// How far it has been checked.
    pub mark: Mark,
    /// Name, source, ± and verdict in one line; shown as the link's title. The same words stand at
    /// the place that `href` names.
    pub title: String,
    /// Which unit system stands in the page before the reader chooses.
    pub first: UnitSystem,
    /// True inside a link, where a second link would not be legal; the origin link is left out.
    pub inside_link: bool,
}

/// The HTML of a figure. Every part is escaped.
#[must_use]
pub fn figure_html(figure: &FigureView) -> String {
    let mut out = String::with_capacity(256);
    let link = figure.href.as_deref().filter(|_| !figure.inside_link);
    out.push_str(if link.is_some() { "<a class=\"fig fig-" } else { "<span class=\"fig fig-" });
    out.push_str(figure.mark.name());
    out.push('"');
    if let Some(href) = link {
        attribute(&mut out, "href", href);
    }
    if !figure.title.is_empty() {
        attribute(&mut out, "title", &figure.title);
    }
    out.push('>');
    push_data(&mut out, figure);
    push_sign(&mut out, figure.mark);
    out.push_str(if link.is_some() { "</a>" } else { "</span>" });
    out
}

/// The sign is plain inline text, so that no line breaks between a figure and its sign.
fn push_sign(out: &mut String, mark: Mark) {
    let (name, sign) = (mark.name(), mark.sign());
    if sign.is_empty() {
        return;
    }
    let _ = write!(out, "<span class=\"mark mark-{name}\"");
    if mark.asks_for_care() {
        let _ = write!(out, ">{sign}<span class=\"hush\"> ({})</span></span>", mark.words());
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
    if let Some(value) = &figure.value {
        attribute(out, "value", value);
    }
    if !figure.kind.is_empty() {
        attribute(out, "data-kind", &figure.kind);
    }
    if figure.si.is_some() || figure.us.is_some() {
        attribute(out, "data-written", &figure.written);
        attribute(out, "data-si", figure.si.as_deref().unwrap_or(&figure.written));
        attribute(out, "data-us", figure.us.as_deref().unwrap_or(&figure.written));
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

    fn bore() -> FigureView {
        FigureView {
            written: "0.90\u{a0}mm".into(),
            si: Some("0.90\u{a0}mm".into()),
            us: Some("0.035\u{a0}in".into()),
            value: Some("0.0009".into()),
            kind: "length".into(),
            href: Some("#reading-metering_bore".into()),
            mark: Mark::Computed,
            title: "metering bore: caliper".into(),
            ..FigureView::default()
        }
    }

    #[test]
    fn a_figure_carries_its_value_and_its_origin() {
        assert_eq!(
            figure_html(&bore()),
            "<a class=\"fig fig-computed\" href=\"#reading-metering_bore\" title=\"metering bore: \
             caliper\"><data class=\"figure\" value=\"0.0009\" data-kind=\"length\" \
             data-written=\"0.90\u{a0}mm\" data-si=\"0.90\u{a0}mm\" data-us=\"0.035\u{a0}in\">\
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
            value: Some(hostile.into()),
            kind: hostile.into(),
            href: Some(hostile.into()),
            title: hostile.into(),
            ..FigureView::default()
        });
        assert!(!html.contains("<script"), "{html}");
        assert!(!html.contains("\"\">"), "{html}");
        assert_eq!(html.matches("&lt;script&gt;").count(), 8, "{html}");
    }

    #[test]
    fn a_ratio_in_words_has_nothing_to_switch() {
        let html = figure_html(&FigureView {
            written: "nearly two and a half times".into(),
            href: Some("#derived-share".into()),
            mark: Mark::Computed,
            ..FigureView::default()
        });
        assert!(!html.contains("data-"), "{html}");
    }

    #[test]
    fn the_marks_that_warn_have_a_sign() {
        for mark in [Mark::Lenient, Mark::Untied, Mark::Waived, Mark::Disagrees, Mark::Aside] {
            assert!(!mark.sign().is_empty(), "{mark:?}");
        }
    }
}
