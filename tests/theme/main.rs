//! The theme on a small invented site: every page kind, with everything on it that a page can have.
//!
//! The site is written to the build's folder for temporary files (`theme-site`), where the browser
//! checks can be pointed at it.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod engines;
mod frames;
mod pages;
mod words;

use gaugebook::site::search::{SearchDocument, SearchIndex};
use gaugebook::site::theme::Theme;
use gaugebook::site::view::View;
use scraper::{Html, Selector};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;

fn site() -> Vec<View> {
    let mut views = vec![pages::home(), pages::comparison(), pages::safety(), pages::glossary()];
    views.extend([pages::wide_comparison(), pages::notes()]);
    views.extend(engines::all());
    views.extend([pages::checks(), pages::cutaway(), pages::asides(), pages::search()]);
    views.extend(pages::faults());
    views
}

fn rendered() -> Vec<(String, String)> {
    let theme = Theme::new(&BTreeMap::new()).unwrap();
    site()
        .iter()
        .map(|view| {
            let html = theme.render(view).unwrap_or_else(|fault| panic!("{fault}"));
            (view.frame().address.clone(), html)
        })
        .collect()
}

fn index(pages: &[(String, String)]) -> String {
    let mut index = SearchIndex::new();
    for (view, (_, html)) in site().iter().zip(pages) {
        let frame = view.frame();
        let document = Html::parse_document(html);
        let main = document.select(&selector("main")).next().unwrap();
        let headings = main
            .select(&selector("h2[id], h3[id]"))
            .map(|h| (h.value().id().unwrap().to_string(), h.text().collect::<String>()))
            .collect();
        let taken = index.take(SearchDocument {
            title: frame.title.clone(),
            address: frame.address.clone(),
            kind: frame.kind.clone(),
            headings,
            text: main.text().collect::<Vec<_>>().join(" "),
            figures: words::figures(main),
        });
        index.add(taken);
    }
    index.finish(&words::units(), &words::synonyms())
}

fn selector(text: &str) -> Selector {
    Selector::parse(text).unwrap()
}

fn write(folder: &Path, name: &str, bytes: &[u8]) {
    let path = folder.join(name);
    std::fs::create_dir_all(path.parent().unwrap()).unwrap();
    std::fs::write(path, bytes).unwrap();
}

#[test]
fn the_example_site_is_written() {
    let folder = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join("theme-site");
    let pages = rendered();
    for (address, html) in &pages {
        write(&folder, address, html.as_bytes());
    }
    for asset in Theme::new(&BTreeMap::new()).unwrap().assets() {
        write(&folder, &asset.path, &asset.bytes);
    }
    let picture = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 640 200\">\
                   <rect width=\"640\" height=\"200\" fill=\"#999\"/></svg>";
    write(&folder, "notes/bolt.svg", picture.as_bytes());
    write(&folder, "search-index.js", index(&pages).as_bytes());
    for name in ["rowan", "hazel", "ash"] {
        write(&folder, &format!("data/{name}.json"), b"{}\n");
        write(&folder, &format!("data/{name}.csv"), b"reading\n");
    }
    assert!(folder.join("engines/rowan.html").is_file());
}

#[test]
fn the_same_pages_give_the_same_bytes() {
    let (first, second) = (rendered(), rendered());
    assert_eq!(first, second);
    assert_eq!(index(&first), index(&second));
}

#[test]
fn no_page_needs_a_server_or_an_inline_script_or_style() {
    for (address, html) in rendered() {
        let document = Html::parse_document(&html);
        for element in document.select(&selector("*")) {
            let value = element.value();
            assert!(value.attr("style").is_none(), "{address}: {}", element.html());
            assert_ne!(value.name(), "style", "{address}");
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
fn every_anchor_of_a_page_is_there_once_and_every_link_to_one_arrives() {
    let pages = rendered();
    let mut anchors: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    for (address, html) in &pages {
        let document = Html::parse_document(html);
        let mut known = BTreeSet::new();
        for element in document.select(&selector("[id]")) {
            let id = element.value().id().unwrap_or_default().to_string();
            assert!(known.insert(id.clone()), "{address}: {id} stands twice");
        }
        anchors.insert(address, known);
    }
    for (address, html) in &pages {
        let document = Html::parse_document(html);
        for link in document.select(&selector("a[href*='#']")) {
            let href = link.value().attr("href").unwrap_or_default();
            let (path, anchor) = href.split_once('#').unwrap();
            let target = if path.is_empty() { address.clone() } else { joined(address, path) };
            let known = anchors.get(target.as_str());
            let known = known.unwrap_or_else(|| panic!("{address}: no page {target}"));
            assert!(known.contains(anchor), "{address}: {href} leads nowhere");
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
fn whatever_stands_in_the_data_stays_text() {
    let theme = Theme::new(&BTreeMap::new()).unwrap();
    let hostile = "<i>\"'&</i>";
    for view in site() {
        let html = theme.render(&view_with(&view, hostile)).unwrap();
        assert!(!html.contains("<i>"), "{}", view.frame().address);
        assert!(html.contains("&lt;i&gt;&quot;"), "{}", view.frame().address);
    }
}

fn view_with(view: &View, title: &str) -> View {
    let mut view = view.clone();
    let frame = match &mut view {
        View::Engine(page) => &mut page.frame,
        View::Comparison(page) => &mut page.frame,
        View::Article(page) => &mut page.frame,
        View::Glossary(page) => &mut page.frame,
        View::Home(page) => &mut page.frame,
        View::Checks(page) => &mut page.frame,
        View::Cutaway(page) => &mut page.frame,
        View::Fault(page) => &mut page.frame,
        View::Asides(page) => &mut page.frame,
        View::Search(page) => &mut page.frame,
    };
    title.clone_into(&mut frame.title);
    title.clone_into(&mut frame.summary);
    title.clone_into(&mut Arc::make_mut(&mut frame.site).owner);
    view
}

#[test]
fn an_engine_page_shows_all_it_was_given() {
    let pages = rendered();
    let (_, html) = pages.iter().find(|(address, _)| address == "engines/rowan.html").unwrap();
    let document = Html::parse_document(html);
    let text = document.root_element().text().collect::<String>();
    // Formulas may break behind their signs.
    let text = text.replace('\u{200b}', "");
    for piece in [
        "not measured: not opened",
        "borrowed from Hazel",
        "stored_energy(store_volume, operating_pressure)",
        "agrees loosely",
        "Before you open it",
        "Degas it.",
    ] {
        assert!(text.contains(piece), "{piece}");
    }
    let figures = document.select(&selector("a.fig > data.figure[value][data-si]")).count();
    assert!(figures >= 8, "{figures}");
}

#[test]
fn a_draft_says_so() {
    let theme = Theme::new(&BTreeMap::new()).unwrap();
    let html = theme.render(&pages::draft()).unwrap();
    assert!(
        html.contains("<body class=\"draft upright\">") && html.contains("<strong>Draft.</strong>")
    );
    assert!(html.contains("draft, not proved"), "{html}");
}
