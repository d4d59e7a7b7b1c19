//! The pages that the site makes by itself: first page, how figures are checked, the catalogue of
//! faults, asides, search.

use super::engine::key_figures;
use super::frame::{kind_word, made};
use super::standing::plain;
use super::{Digest, Edition};
use crate::folio::PageEntry;
use crate::formula::functions;
use crate::page::PageKind;
use crate::proof::Coverage;
use crate::proof::catalogue::{self, Fault};
use crate::proof::checks::tie::engine_title;
use crate::quantity::units::table;
use crate::site::view::{
    AsidesPage, ChecksPage, EngineCard, Family, FaultPage, FaultRow, FunctionRow, HomePage,
    IndexEntry, Link, PageAside, PageWaiver, SearchPage, UnitGroup, UnitRow, View,
};
use crate::text::escaped;
use std::collections::BTreeMap;

fn entry(page: &PageEntry) -> IndexEntry {
    IndexEntry {
        title: page.title().to_owned(),
        address: page.address.clone(),
        kind: kind_word(page.front.kind).to_owned(),
        summary: plain(&page.front.summary),
    }
}

/// Key figures of an engine that the first page shows.
pub(super) const ON_FIRST_PAGE: usize = 4;

/// The first page. `own` is what the writer put on it, if there is such a page. Takes the key
/// figures out of the digests.
pub(crate) fn home_page(edition: &Edition, digests: &mut [Digest], own: Option<HomePage>) -> View {
    let folio = &edition.folio;
    let mut page = own.unwrap_or_else(|| HomePage {
        frame: made(edition, "index.html", &folio.imprint.title, "First sheet"),
        ..HomePage::default()
    });
    page.frame.kind = "First sheet".to_owned();
    page.families = families(edition, digests);
    let other = |kind: PageKind| {
        folio
            .pages
            .iter()
            .filter(move |page| page.front.kind == kind && page.address != "index.html")
    };
    page.comparisons = other(PageKind::Comparison).map(entry).collect();
    page.articles = [PageKind::Safety, PageKind::Glossary, PageKind::Article]
        .into_iter()
        .flat_map(|kind| other(kind).map(entry))
        .take(MOST_LISTED)
        .collect();
    page.coverage = super::coverage(&total(digests));
    View::Home(Box::new(page))
}

/// Articles listed on the first page; all of them are on the search page.
const MOST_LISTED: usize = 60;

fn total(digests: &[Digest]) -> Coverage {
    let mut total = Coverage::default();
    for digest in digests {
        total.add(&digest.coverage);
    }
    total
}

fn families(edition: &Edition, digests: &mut [Digest]) -> Vec<Family> {
    let mut families: Vec<Family> = Vec::new();
    let mut places: BTreeMap<String, usize> = BTreeMap::new();
    for digest in digests {
        let page = &edition.folio.pages[digest.page];
        let (PageKind::Engine, Some(sheet)) = (page.front.kind, page.sheet) else { continue };
        let named = page.front.family.as_ref().or(page.front.engine.as_ref());
        let family = named.map(|name| name.text.clone()).unwrap_or_default();
        let shown = digest.key_figures.take();
        let card = EngineCard {
            title: page.title().to_owned(),
            name: engine_title(page.front.engine.as_ref().map_or("", |e| &e.text)),
            address: page.address.clone(),
            summary: plain(&page.front.summary),
            key_figures: shown.unwrap_or_else(|| key_figures(edition, sheet, ON_FIRST_PAGE)),
            coverage: super::coverage(&digest.coverage),
            marks: digest.marks,
        };
        // A folio may have as many families as engines, so they are not searched through.
        let place = *places.entry(family).or_insert_with_key(|family| {
            families.push(Family {
                anchor: format!("_family-{family}"),
                name: engine_title(family),
                engines: Vec::new(),
            });
            families.len() - 1
        });
        families[place].engines.push(card);
    }
    families
}

/// How figures are checked.
pub(crate) fn checks_page(edition: &Edition, digests: &[Digest]) -> View {
    let conventions = &edition.folio.conventions;
    let reference = match conventions.bare_pressure {
        Some(reference) => format!("A pressure without a mark is {}", reference.word()),
        None => "A pressure without a mark is not tied to a reference".to_owned(),
    };
    let kilopascal = crate::quantity::Rational::from_integer(1000.into());
    let ambient = crate::quantity::Real::Exact(&conventions.ambient / kilopascal);
    let ambient = crate::sheet::print::digits(&ambient, 3);
    View::Checks(Box::new(ChecksPage {
        frame: made(edition, "checks.html", "How figures are checked", "Method"),
        conventions: format!("{reference}; ambient pressure is {ambient} kPa absolute."),
        coverage: super::coverage(&total(digests)),
        faults: catalogue::all().iter().map(fault_row).collect(),
        functions: functions::all().map(function_row).collect(),
        units: unit_groups(),
    }))
}

fn fault_row(fault: &Fault) -> FaultRow {
    FaultRow {
        name: fault.code.to_owned(),
        address: format!("faults/{}.html", fault.code),
        what: fault.title.to_owned(),
        consequence: fault.consequence.to_owned(),
    }
}

fn function_row(function: &functions::Function) -> FunctionRow {
    FunctionRow {
        anchor: format!("_function-{}", function.name),
        signature: function.usage(),
        gives: function.result.words().to_owned(),
        doc: function.doc.to_owned(),
        range: function.range.to_owned(),
        source: function.source.to_owned(),
    }
}

fn unit_groups() -> Vec<UnitGroup> {
    let mut groups: Vec<UnitGroup> = Vec::new();
    for unit in table().units() {
        let kind = match unit.kind.word() {
            Some(word) if unit.dimension != crate::quantity::Dimension::TEMPERATURE => {
                word.to_owned()
            }
            _ => unit.dimension.name(),
        };
        let spellings: Vec<&str> = table().spellings_of(unit).collect();
        let row = UnitRow {
            symbol: unit.symbol.to_string(),
            name: spellings
                .iter()
                .find(|s| 3 < s.len() && s.is_ascii())
                .copied()
                .unwrap_or("")
                .to_owned(),
            spellings: spellings.join(", "),
            size: format!(
                "{} {}",
                crate::sheet::print::machine_value(&unit.factor),
                unit.dimension.base_units()
            ),
            ucum: unit.code.to_string(),
        };
        if unit.code == "1" {
            continue;
        }
        match groups.iter_mut().find(|group| group.kind == kind) {
            Some(group) => group.units.push(row),
            None => groups.push(UnitGroup { kind, units: vec![row] }),
        }
    }
    groups
}

/// The catalogue: one page a fault.
pub(crate) fn fault_pages(edition: &Edition) -> Vec<View> {
    let faults = catalogue::all();
    let link = |fault: &Fault| Link::new(fault.title, format!("faults/{}.html", fault.code));
    let page = |(index, fault): (usize, &Fault)| {
        let address = format!("faults/{}.html", fault.code);
        let before = index.checked_sub(1).and_then(|before| faults.get(before));
        let related = before.into_iter().chain(faults.get(index + 1)).map(link).collect();
        View::Fault(Box::new(FaultPage {
            frame: made(edition, &address, fault.title, "Fault"),
            name: fault.code.to_owned(),
            consequence: fault.consequence.to_owned(),
            what_html: paragraphs(fault.slip),
            misleads_html: paragraphs(fault.misleads),
            trips: fault.trips.clone(),
            message: String::new(),
            put_right: fault.put_right.clone(),
            let_pass_html: paragraphs(fault.let_pass),
            related,
        }))
    };
    faults.iter().enumerate().map(page).collect()
}

/// Plain paragraphs with code between backticks.
pub(super) fn paragraphs(text: &str) -> String {
    let mut html = String::new();
    for paragraph in text.split("\n\n").filter(|paragraph| !paragraph.trim().is_empty()) {
        html.push_str("<p>");
        for (index, part) in paragraph.trim().split('`').enumerate() {
            if index % 2 == 0 {
                html.push_str(&escaped(part));
            } else {
                html.push_str(&format!("<code>{}</code>", escaped(part)));
            }
        }
        html.push_str("</p>");
    }
    html
}

/// Asides and waivers of the whole folio.
pub(crate) fn asides_page(edition: &Edition, digests: &[Digest]) -> View {
    let mut page = AsidesPage {
        frame: made(edition, "asides.html", "Asides and waivers", "List"),
        ..AsidesPage::default()
    };
    for digest in digests {
        let from = &edition.folio.pages[digest.page];
        let link = |anchor: &str| Link::new(from.title(), format!("{}#{anchor}", from.address));
        page.asides.extend(digest.asides.iter().map(|aside| PageAside {
            page: link(&aside.anchor),
            text: aside.text.clone(),
            because: aside.because.clone(),
        }));
        page.waivers.extend(digest.waivers.iter().map(|waiver| PageWaiver {
            page: link(&waiver.anchor),
            fault: waiver.fault.clone(),
            at: waiver.at.clone(),
            because: waiver.because.clone(),
            on: waiver.on.clone(),
        }));
    }
    View::Asides(Box::new(page))
}

/// Search; without JavaScript the list of all pages.
pub(crate) fn search_page(edition: &Edition) -> View {
    let mut pages: Vec<IndexEntry> = edition.folio.pages.iter().map(entry).collect();
    pages.sort_by_key(|page| page.title.to_lowercase());
    View::Search(Box::new(SearchPage {
        frame: made(edition, "search.html", "Search", "List"),
        pages,
    }))
}
