//! What search is given of the example site.

use gaugebook::site::search::{SearchFigure, SearchUnit};
use scraper::{ElementRef, Selector};

/// The figures of a page, from its data sheet rows.
pub(crate) fn figures(main: ElementRef) -> Vec<SearchFigure> {
    let rows = Selector::parse("tr[id^='reading-'], tr[id^='derived-']").unwrap();
    let data = Selector::parse("data[value]").unwrap();
    let name = Selector::parse(".name").unwrap();
    let mut found = Vec::new();
    for row in main.select(&rows) {
        let Some(value) = row.select(&data).next() else { continue };
        let text: String = value.text().collect();
        let Some(dimension) = dimension_of(text.rsplit('\u{a0}').next().unwrap_or_default()) else {
            continue;
        };
        found.push(SearchFigure {
            dimension: dimension.into(),
            value: value.value().attr("value").and_then(|v| v.parse().ok()).unwrap_or(f64::NAN),
            anchor: row.value().id().unwrap_or_default().into(),
            label: row.select(&name).flat_map(|n| n.text()).collect(),
        });
    }
    found
}

fn dimension_of(unit: &str) -> Option<&'static str> {
    Some(match unit {
        "mm" => "length",
        "psi" => "pressure",
        "cm³" => "volume",
        "J" => "energy",
        _ => return None,
    })
}

/// A few units; factors as in NIST SP 811 appendix B.8 (memory).
pub(crate) fn units() -> Vec<SearchUnit> {
    let rows = [
        ("mm", "length", 0.001),
        ("cm", "length", 0.01),
        ("in", "length", 0.0254),
        ("\"", "length", 0.0254),
        ("bar", "pressure", 1e5),
        ("kPa", "pressure", 1e3),
        ("psi", "pressure", 6_894.757_293_168),
        ("cm³", "volume", 1e-6),
        ("cm3", "volume", 1e-6),
        ("J", "energy", 1.0),
    ];
    let unit = |(spelling, dimension, factor): (&str, &str, f64)| SearchUnit {
        spelling: spelling.into(),
        dimension: dimension.into(),
        factor,
        offset: 0.0,
    };
    rows.into_iter().map(unit).collect()
}

/// Words that mean the same.
pub(crate) fn synonyms() -> Vec<Vec<String>> {
    [
        &["pellet", "paint pellet", "marker pellet"][..],
        &["store", "rear chamber"],
        &["degas", "vent"],
    ]
    .iter()
    .map(|group| group.iter().map(ToString::to_string).collect())
    .collect()
}
