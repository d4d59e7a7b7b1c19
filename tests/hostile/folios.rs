//! Every hostile folio, judged and made as a draft.

use super::cases::{Case, all};
use gaugebook::shell::edition::{Shelf, Wish, make, proof};
use gaugebook::shell::folder::Folder;
use scraper::{Html, Selector};
use std::collections::BTreeSet;

/// The faults that a case trips, and its draft as one text.
fn judged(case: &Case) -> (BTreeSet<String>, String) {
    let folder = tempfile::tempdir().unwrap();
    case.write(folder.path());
    let folio = Folder::open(folder.path()).unwrap();
    let standing = proof(&folio, &|_, _| {}).unwrap();
    let codes = standing.slips.iter().map(|slip| slip.code.to_owned()).collect();
    let shelf = Shelf::default();
    make(&folio, Wish { draft: true, strict: false }, &shelf, &|_, _| {}).unwrap();
    let texts = shelf.into_files().into_iter().filter(|(name, _)| name.ends_with(".html"));
    let texts = texts.map(|(_, bytes)| String::from_utf8(bytes.to_vec()).unwrap());
    (codes, texts.collect())
}

/// What would act in a reader's browser.
fn acting(site: &str) -> Vec<String> {
    let mut found = Vec::new();
    let html = Html::parse_document(site);
    for element in html.select(&Selector::parse("*").unwrap()) {
        let element = element.value();
        let is_own = element.attr("src").is_some_and(|src| src.ends_with(".js"));
        if element.name() == "script" && !is_own {
            found.push("a script".to_owned());
        }
        for (name, value) in element.attrs() {
            if name.starts_with("on") || value.trim_start().starts_with("javascript:") {
                found.push(format!("{name}=\"{value}\""));
            }
        }
    }
    found.extend(site.contains('\u{1b}').then(|| "an escape".to_owned()));
    found
}

#[test]
fn each_has_its_slip_or_its_faithful_escape() {
    let mut wrong = Vec::new();
    for case in all() {
        let (codes, site) = judged(&case);
        if let Some(code) = case.slip
            && !codes.contains(code)
        {
            wrong.push(format!("{}: {code} is wanted, told are {codes:?}", case.name));
        }
        if let Some(text) = case.shows
            && !site.contains(text)
        {
            wrong.push(format!("{}: the site does not show {text}", case.name));
        }
        wrong.extend(acting(&site).into_iter().map(|it| format!("{}: {it}", case.name)));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
