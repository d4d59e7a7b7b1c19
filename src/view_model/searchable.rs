//! What readers can find of each page: its words, headings, and figures by number and unit.

use super::Edition;
use super::engines::paged;
use super::frame::kind_word;
use super::measuring::{measuring_addresses, measuring_title};
use super::sizes::{sizes_address, sizes_title};
use super::standing::plain;
use crate::body::blocks::Document;
use crate::cutaway::event_words;
use crate::cutaway::model::Event;
use crate::folio::PageEntry;
use crate::folio::routing::Routed;
use crate::formula::functions;
use crate::page::front::PageKind;
use crate::proof::catalogue;
use crate::proof::{PageProof, Status};
use crate::quantity::Conventions;
use crate::quantity::judge::quantity_of;
use crate::quantity::machine;
use crate::quantity::units::table;
use crate::sheet::print::{shown, valued};
use crate::site::search::{SearchDocument, SearchFigure};

/// A writer's page. Headings that the theme puts on every page are left out: a search for them
/// would find all pages alike.
pub(super) fn written_document(
    edition: &Edition,
    page: &PageEntry,
    document: &Document<'_>,
    proof: &PageProof,
) -> SearchDocument {
    let headings = document.headings.iter();
    let headings = headings.map(|heading| (heading.id.clone(), heading.text.clone()));
    let routed = page.front.engine.as_ref().and_then(|own| edition.folio.routing.of(&own.text));
    let told = routed.map(told_shot).unwrap_or_default();
    let mut figures = sheet_figures(edition, page);
    figures.extend(text_figures(document, proof));
    SearchDocument {
        title: page.title().to_owned(),
        address: page.address.clone(),
        kind: kind_word(page.front.kind).to_owned(),
        engine: plain(&page.front.engine),
        headings: headings.chain(told.headings).collect(),
        text: text(edition, page, document) + &told.text,
        figures,
    }
}

fn text(edition: &Edition, page: &PageEntry, document: &Document<'_>) -> String {
    let front = &page.front;
    let mut text = plain(&front.summary);
    let mut add = |piece: &str| {
        text.push('\n');
        text.push_str(piece);
    };
    document.blocks.iter().for_each(|block| add(&block.text));
    front.sequence.iter().for_each(|step| add(&step.text));
    front.claims.iter().for_each(|claim| add(&claim.say.text));
    front.called.iter().for_each(|name| add(&name.text));
    front.questions.iter().for_each(|question| add(&question.ask.text));
    front.revisions.iter().for_each(|revision| add(&plain(&revision.changed)));
    front.corrections.iter().for_each(|correction| add(&plain(&correction.because)));
    if front.kind == PageKind::Comparison {
        add("comparison, compare, side by side");
    }
    if let Some(sheet) = page.sheet {
        for entry in &edition.folio.ledger.sheets[sheet].entries {
            add(&entry.words());
            entry.cues.iter().for_each(|cue| add(cue));
        }
    }
    text
}

/// What can be found of a shot.
#[derive(Default)]
struct ToldShot {
    /// Anchor and words of its events.
    headings: Vec<(String, String)>,
    /// Why they come, and the seals.
    text: String,
}

/// The events of a shot are places to go to; why they come, and what seals keep apart, are words
/// of the page.
fn told_shot(routed: &Routed) -> ToldShot {
    let mut told = ToldShot::default();
    let Some(shot) = &routed.shot else { return told };
    let words = super::shot::pose_words(&routed.engine, &shot.found);
    for (at, mut events) in words.into_iter().enumerate().skip(1) {
        let step = &shot.found.steps[shot.found.line[at - 1]];
        // Readers may look for the model's words where the writer has others.
        let plain = step.events.iter().filter(|event| !matches!(event, Event::Leaves(..)));
        for words in plain.map(|event| event_words(&routed.engine, *event)) {
            if !events.contains(&words) {
                events.push(words);
            }
        }
        told.headings.push((super::shot::pose_anchor(at), events.join("; ")));
        told.text.push('\n');
        told.text.push_str(&step.why);
    }
    for seal in &routed.engine.seals {
        let row = super::shot::seal_row(&routed.engine, &shot.found, seal);
        told.text.push_str(&format!("\n{} seal {} {}", row.name, row.keeps_apart, row.leak));
    }
    told
}

/// The rows of the data sheet.
fn sheet_figures(edition: &Edition, page: &PageEntry) -> Vec<SearchFigure> {
    let ledger = &edition.folio.ledger;
    let Some(sheet) = page.sheet.filter(|sheet| ledger.sheets[*sheet].engine.is_some()) else {
        return Vec::new();
    };
    let entries = ledger.sheets[sheet].entries.iter().enumerate();
    entries
        .filter_map(|(index, entry)| {
            let (value, _, style) = valued(ledger, sheet, index)?;
            Some(SearchFigure {
                dimension: value.quantity.dimension.name(),
                value: machine::rounded(&value.quantity.si)?,
                anchor: entry.anchor(),
                label: format!(
                    "{} {}",
                    entry.words(),
                    shown(&value.quantity, &style, None).written
                ),
            })
        })
        .collect()
}

/// Figures of the running text that no row of the page's own data sheet gives.
fn text_figures(document: &Document<'_>, proof: &PageProof) -> Vec<SearchFigure> {
    let stated = proof.figures.iter().filter(|(_, figure)| figure.status != Status::Printed);
    stated
        .filter_map(|(block, figure)| {
            let quantity = quantity_of(&figure.figure, &Conventions::default());
            let text = document.blocks.get(*block)?;
            let label = text.text.get(figure.span.start..figure.span.end)?;
            Some(SearchFigure {
                dimension: quantity.dimension.name(),
                value: machine::rounded(&quantity.si)?,
                anchor: String::new(),
                label: label.to_owned(),
            })
        })
        .collect()
}

/// The pages that the site makes by itself, for the same index: how figures are checked, asides,
/// sizes of engines, the catalogue of faults.
pub(crate) fn made_documents(edition: &Edition) -> Vec<SearchDocument> {
    let document = |title: &str, address: String, kind: &str, text: String| SearchDocument {
        title: title.to_owned(),
        address,
        kind: kind.to_owned(),
        text,
        ..SearchDocument::default()
    };
    let mut documents = vec![
        document("Engines", super::engines::ADDRESS.to_owned(), "List", String::new()),
        document(
            super::spares::TITLE,
            super::spares::ADDRESS.to_owned(),
            "List",
            "O-rings".to_owned(),
        ),
        document("Side by side", super::bench::ADDRESS.to_owned(), "Bench", "compare".to_owned()),
        document("How figures are checked", "checks.html".to_owned(), "Method", reference_text()),
        document("Asides and waivers", "asides.html".to_owned(), "List", String::new()),
    ];
    documents.push(super::language::cutaway_document());
    documents.push(super::keys::keys_document());
    for engine in paged(edition) {
        let page = &edition.folio.pages[engine.page];
        let Some(sizes) = sizes_address(&edition.folio, page) else { continue };
        let engine = plain(&page.front.engine);
        let [measuring, _] = measuring_addresses(&engine, &sizes);
        let about = "forces, openings, parts, rings".to_owned();
        documents.push(document(&sizes_title(&engine), sizes, "Sizes", about));
        let title = measuring_title(&engine);
        documents.push(document(&title, measuring, "Measuring sheet", String::new()));
    }
    documents.extend(catalogue::all().iter().map(|fault| {
        let address = format!("faults/{}.html", fault.code);
        document(fault.title, address, "Fault", format!("{}\n{}", fault.code, fault.slip))
    }));
    documents
}

fn reference_text() -> String {
    let mut texts: Vec<String> = Vec::new();
    for function in functions::all() {
        texts.push(format!("{} {}", function.name, function.doc));
    }
    for unit in table().units() {
        texts.extend(table().spellings_of(unit).map(str::to_owned));
    }
    texts.join("\n")
}
