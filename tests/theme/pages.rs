//! What holds for every page, whatever is on it.

use super::{everything, pages, published, selector, text};
use scraper::Html;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

#[test]
fn the_same_folio_gives_the_same_bytes() {
    let folio = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/theme/everything");
    assert_eq!(&published(&folio, false), everything());
}

#[test]
fn no_page_needs_a_server_or_an_inline_script_or_style() {
    for (address, document) in pages() {
        for element in document.select(&selector("*")) {
            let value = element.value();
            let in_picture = element.ancestors().any(|node| {
                node.value().as_element().is_some_and(|element| element.name() == "svg")
            });
            assert!(value.attr("style").is_none(), "{address}: {}", element.html());
            assert!(value.name() != "style" || in_picture, "{address}");
            for (name, text) in value.attrs() {
                assert!(!name.starts_with("on"), "{address}: {name}");
                let is_address = matches!(name, "src" | "href" | "action");
                assert!(!is_address || !text.contains("//"), "{address}: {text}");
                assert!(!is_address || !text.starts_with('/'), "{address}: {text}");
            }
        }
        for script in document.select(&selector("script")) {
            assert!(script.value().attr("src").is_some(), "{address}: inline script");
            assert!(script.value().attr("type").is_none(), "{address}: module script");
        }
    }
}

#[test]
fn every_anchor_of_a_page_is_there_once_and_every_link_arrives() {
    let mut anchors: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    for (address, document) in pages() {
        let known = anchors.entry(address).or_default();
        for element in document.select(&selector("[id]")) {
            let id = element.value().id().unwrap_or_default().to_string();
            assert!(known.insert(id.clone()), "{address}: {id} stands twice");
        }
    }
    for (address, document) in pages() {
        for link in document.select(&selector("a[href]")) {
            let href = link.value().attr("href").unwrap_or_default();
            let (path, anchor) = href.split_once('#').unwrap_or((href, ""));
            let target = if path.is_empty() { address.to_owned() } else { joined(address, path) };
            assert!(everything().contains_key(&target), "{address}: no {target}");
            let known =
                |anchor| anchors.get(target.as_str()).is_some_and(|all| all.contains(anchor));
            // What the bench shows is chosen behind the sign, as a name and a value.
            assert!(
                anchor.is_empty() || anchor.contains('=') || known(anchor),
                "{address}: {href} leads nowhere"
            );
        }
        for element in document.select(&selector("[aria-labelledby], [aria-describedby]")) {
            let value = element.value();
            let named = ["aria-labelledby", "aria-describedby"].map(|name| value.attr(name));
            for id in named.into_iter().flatten().flat_map(str::split_whitespace) {
                assert!(anchors[address].contains(id), "{address}: nothing is called {id}");
            }
        }
    }
}

/// `path` as seen from the page at `address`.
fn joined(address: &str, path: &str) -> String {
    let mut parts: Vec<&str> = address.split('/').collect();
    parts.pop();
    for part in path.split('/') {
        if part == ".." {
            parts.pop();
        } else {
            parts.push(part);
        }
    }
    parts.join("/")
}

#[test]
fn whatever_the_writer_typed_stays_text() {
    for (address, document) in pages() {
        // The title of one page and the summary of another are HTML to whoever takes them for it.
        let count = |what: &str| document.select(&selector(what)).count();
        assert_eq!(count("i") + count("main b"), 0, "{address}");
    }
    assert!(text("engines/birch.html").contains("<h1>Birch &lt;i&gt;&quot;"));
}

#[test]
fn an_engine_page_shows_all_that_its_writer_stated() {
    let document = Html::parse_document(text("engines/alder.html"));
    let text = document.root_element().text().collect::<String>();
    // Formulas may break behind their signs.
    let titled = selector("[title]");
    let titles = document.select(&titled).filter_map(|e| e.value().attr("title"));
    let text = titles.fold(text.replace('\u{200b}', ""), |text, title| text + "\n" + title);
    for piece in [
        "not measured: it was glued in",
        "stored_energy(store_volume, operating_pressure)",
        "9.04\u{a0}mm",
        "two digits were swapped",
        "What wears first?",
        "second run",
        "a weak line",
        "The first one had a wooden bumper.",
        "Degas it.",
        "Alder leaflet",
        "caliper, outside jaws",
        "spool opens the store",
    ] {
        assert!(text.contains(piece), "{piece}");
    }
    let figures = document.select(&selector("a.fig > data.figure[value][data-si]")).count();
    assert!(figures >= 3, "{figures}");
}

/// The work is stated as `12.6 J` and nothing more, the mass as `3.0 g ± 0.1 g`.
#[test]
fn no_plus_minus_comes_from_digits_alone() {
    let page = Html::parse_document(text("engines/alder.html"));
    let width = |anchor: &str| {
        let cell = selector(&format!("tr[id=\"{anchor}\"] .tolerance"));
        let cell = page.select(&cell).next().unwrap_or_else(|| panic!("no {anchor}"));
        cell.text().collect::<String>()
    };
    assert_eq!(width("_reading-work"), "none");
    assert_eq!(width("_derived-double_work"), "none");
    assert!(width("_derived-double_mass").contains('±'));
}

#[test]
fn a_draft_says_so() {
    let folio = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/theme/everything");
    let files = published(&folio, true);
    let html = std::str::from_utf8(&files["engines/cedar.html"]).unwrap();
    assert!(html.contains("<body class=\"draft") && html.contains("<strong>Draft.</strong>"));
    assert!(html.contains("draft, not proved"), "{html}");
}

#[test]
fn no_heading_can_take_an_id_of_the_theme() {
    // Each would be an id of the page, were it not for the sign in front of those.
    let page = Html::parse_document(text("engines/cedar.html"));
    for id in ["shot", "poses", "scrub", "data-sheet", "reading-store-volume", "sheet", "announce"]
    {
        let heading = page.select(&selector(&format!("h2#{id}"))).count();
        assert_eq!(heading, 1, "{id}");
    }
}

#[test]
fn the_notice_stands_in_the_head_and_on_every_printed_sheet() {
    for (address, document) in pages() {
        for place in ["header .brief-notice", ".print-foot .foot-notice"] {
            let notice = selector(place);
            let found = document.select(&notice).map(|e| e.text().collect::<String>());
            assert_eq!(found.collect::<Vec<_>>(), ["Made up to try out a theme."], "{address}");
        }
    }
}

#[test]
fn prose_of_the_fault_catalogue_is_no_code_and_code_is_whole() {
    // Words, then typed lines: `ambiguous-number` puts it right in both.
    let page = Html::parse_document(text("faults/ambiguous-number.html"));
    let right = selector("section[aria-labelledby=_right] > *");
    let names: Vec<&str> = page.select(&right).map(|element| element.value().name()).collect();
    assert_eq!(names, ["h2", "p", "pre"]);
    let code = page.select(&selector("section[aria-labelledby=_right] pre")).next().unwrap();
    assert_eq!(code.text().collect::<String>(), "The feed hole is 2.5 mm wide.");
}

#[test]
fn engines_of_a_family_lead_to_each_other() {
    let page = Html::parse_document(text("engines/alder.html"));
    let links = selector("nav[aria-label='Engines of the family'] a");
    let addresses: Vec<&str> =
        page.select(&links).filter_map(|link| link.value().attr("href")).collect();
    assert_eq!(addresses, ["../engines/birch.html"]);
}
