//! Frames and small pieces that all example pages share. All data are invented.

use gaugebook::site::figure::{FigureView, Mark, figure_html};
use gaugebook::site::view::{Coverage, Frame, Heading, Link, Navigation, Shown, Site};

/// What surrounds a page of the example site.
pub(crate) fn frame(kind: &str, address: &str, title: &str, summary: &str) -> Frame {
    Frame {
        site: site().into(),
        root: "../".repeat(address.matches('/').count()),
        author: "M. Alder".into(),
        date: "2026-04-02".into(),
        title: title.into(),
        summary: summary.into(),
        kind: kind.into(),
        address: address.into(),
        ..Frame::default()
    }
}

fn site() -> Site {
    Site {
        title: "Fernhollow Forest Workshop".into(),
        tagline: "Compressed-air tree-marking tools, taken apart".into(),
        notice: "Invented demonstration data: no such workshop and no such tools exist.".into(),
        data_version: "2026.1".into(),
        owner: "Fernhollow Forest Workshop".into(),
        language: "en".into(),
        navigation: navigation(),
        ..Site::default()
    }
}

fn navigation() -> Navigation {
    Navigation {
        home: Link::new("Home", "index.html"),
        engines: Link::new("Engines", "index.html#engines"),
        comparisons: Some(Link::new("Comparisons", "index.html#comparisons")),
        glossary: Some(Link::new("Glossary", "glossary.html")),
        checks: Link::new("How figures are checked", "checks.html"),
        cutaways: Link::new("How a cutaway is written", "cutaway.html"),
        asides: Link::new("Asides", "asides.html"),
        safety: Some(Link::new("Safety", "safety.html")),
        search: Link::new("Search", "search.html"),
    }
}

/// A quantity in three writings.
pub(crate) fn shown(written: &str, si: &str, us: &str, value: &str) -> Shown {
    let spaced = |text: &str| text.replace(' ', "\u{a0}");
    Shown {
        written: spaced(written),
        si: spaced(si),
        us: spaced(us),
        value: value.into(),
        kind: String::new(),
    }
}

/// A length in millimetres with `decimals` digits after the point.
pub(crate) fn millimetres(value: f64, decimals: usize) -> Shown {
    let si = format!("{value:.decimals$} mm");
    let us = format!("{:.*} in", decimals + 1, value / 25.4);
    Shown { kind: "length".into(), ..shown(&si, &si, &us, &format!("{}", value / 1000.0)) }
}

/// A figure in running text that leads to its row.
pub(crate) fn figure(shown: &Shown, anchor: &str, mark: Mark, title: &str) -> String {
    figure_html(&FigureView {
        written: shown.written.clone(),
        si: Some(shown.si.clone()),
        us: Some(shown.us.clone()),
        value: Some(shown.value.clone()),
        kind: shown.kind.clone(),
        href: Some(format!("#{anchor}")),
        mark,
        title: title.into(),
        ..FigureView::default()
    })
}

/// Headings of level two.
pub(crate) fn contents(headings: &[(&str, &str)]) -> Vec<Heading> {
    let heading = |(anchor, text): &(&str, &str)| Heading {
        level: 2,
        anchor: (*anchor).into(),
        text: (*text).into(),
    };
    headings.iter().map(heading).collect()
}

/// Counts by how figures were checked; the total is their sum.
pub(crate) fn coverage(counts: [usize; 5]) -> Coverage {
    let [computed, second_statement, own_reading, aside, untied] = counts;
    let total = counts.iter().sum();
    Coverage { computed, second_statement, own_reading, aside, untied, total }
}
