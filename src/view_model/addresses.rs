//! Addresses of what is made for every site and for every engine and comparison.

use super::{bench, comparison, engines, keys, language, measuring, routing, sizes, spares};
use crate::folio::Folio;
use crate::page::front::PageKind;
use crate::proof::catalogue;

/// Addresses of made files, each with the writer's file that it is made for; those of every site
/// with none. The first sheet is left out where the writer has one.
pub(crate) fn made_addresses(folio: &Folio) -> Vec<(String, Option<&str>)> {
    let fixed = [
        engines::ADDRESS,
        bench::ADDRESS,
        spares::ADDRESS,
        "checks.html",
        language::ADDRESS,
        keys::ADDRESS,
        "asides.html",
        "search.html",
        "search-index.js",
    ];
    let mut made: Vec<(String, Option<&str>)> =
        fixed.iter().map(|address| ((*address).to_owned(), None)).collect();
    if !folio.pages.iter().any(|page| page.address == "index.html") {
        made.push(("index.html".to_owned(), None));
    }
    let faults = catalogue::all().iter();
    made.extend(faults.map(|fault| (format!("faults/{}.html", fault.code), None)));
    for page in &folio.pages {
        let name = Some(page.name.as_str());
        let engine = page.sheet.and_then(|sheet| folio.ledger.sheets[sheet].engine.as_ref());
        // A second page of one engine is a slip of its own.
        if let Some(engine) = engine.filter(|engine| folio.ledger.engine(engine) == page.sheet) {
            made.extend(["csv", "json"].map(|kind| (format!("data/{engine}.{kind}"), name)));
            made.push((bench::data_address(engine), name));
            if let Some(address) = sizes::sizes_address(folio, page) {
                let sheet = measuring::measuring_addresses(engine, &address);
                made.extend(sheet.map(|address| (address, name)));
                made.push((address, name));
                made.push((sizes::forces_address(engine), name));
                made.push((sizes::openings_address(engine), name));
            }
        }
        if page.front.kind == PageKind::Comparison {
            let files = [
                comparison::csv_address,
                comparison::structure_address,
                comparison::events_address,
            ];
            made.extend(files.map(|address| (address(page), name)));
        }
    }
    for (engine, routed) in &folio.routing.engines {
        let name = Some(routed.source.name.as_str());
        if folio.ledger.engine(engine).is_some() && routed.shot.is_some() {
            made.push((routing::cutaway_address(engine), name));
            made.push((routing::circuit_address(engine), name));
            made.push((routing::stamp_address(engine), name));
        }
    }
    made
}
