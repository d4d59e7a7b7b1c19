//! Whole pages, each figure beside what a reader takes it for: `pages/NAME.md`. A figure stands in
//! braces with the name or the formula behind it after a `|`; `-` is one that no reader could tie.

use super::support::{Texts, here, without_labels};
use gaugebook::folio::Folio;
use gaugebook::proof::accept::{edited, edits};
use gaugebook::proof::{JudgedFigure, PageProof, judge_and_explain};
use gaugebook::slip::Severity;
use gaugebook::text::Source;
use std::ops::Range;

/// A labelled page: its text without the labels, and each figure's place and meaning.
struct Labelled {
    name: String,
    text: String,
    figures: Vec<(Range<usize>, String)>,
}

fn labelled(name: &str, written: &str) -> Labelled {
    let mut text = String::new();
    let (front, body) = written.split_once("\n---\n").unwrap();
    text.push_str(front);
    text.push_str("\n---\n");
    let figures = without_labels(body, &mut text);
    Labelled { name: format!("content/{name}"), text, figures }
}

/// The folio of all pages, and the pages that have labels.
fn pages() -> (Texts, Vec<Labelled>) {
    let mut texts =
        Texts { imprint: "title: Test bench\npressure: gauge\n".to_owned(), ..Texts::default() };
    let mut names: Vec<_> = std::fs::read_dir(here().join("pages"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    let mut pages = Vec::new();
    for name in names {
        let written = std::fs::read_to_string(here().join("pages").join(&name)).unwrap();
        let page = labelled(&name, &written);
        texts.pages.insert(page.name.clone(), page.text.clone());
        pages.push(page);
    }
    pages.retain(|page| !page.figures.is_empty());
    (texts, pages)
}

/// What a figure is tied to, or is once its only certain proposal is accepted.
fn meaning(folio: &Folio, page: &str, figure: &JudgedFigure) -> String {
    let own = folio.pages.iter().find(|known| known.name == page).and_then(|page| page.sheet);
    match figure.tied {
        Some((sheet, entry)) => {
            let named = &folio.ledger.sheets[sheet];
            let name = named.entries[entry].name.text.clone();
            match &named.engine {
                Some(engine) if own != Some(sheet) => format!("{engine}.{name}"),
                _ => name,
            }
        }
        None => {
            let certain = figure.proposals.first().filter(|first| first.is_certain);
            certain.map_or("-".to_owned(), |first| first.formula.clone())
        }
    }
}

fn judged(texts: &Texts, name: &str) -> (std::sync::Arc<Folio>, PageProof) {
    let (folio, _) = texts.index();
    let at = folio.pages.iter().position(|page| page.name == name).unwrap();
    let proof = judge_and_explain(&folio, at, &Source::new(name, texts.pages[name].as_str()));
    (folio, proof)
}

fn at<'p>(proof: &'p PageProof, range: &Range<usize>) -> Option<&'p JudgedFigure> {
    let stands =
        |figure: &&JudgedFigure| figure.places().iter().any(|place| range.contains(&place.start));
    proof.figures.iter().map(|(_, figure)| figure).find(stands)
}

#[test]
fn a_page_means_what_a_reader_takes_it_for() {
    let (texts, pages) = pages();
    let (mut wrong, mut count) = (Vec::new(), 0);
    for page in &pages {
        let (folio, proof) = judged(&texts, &page.name);
        for slip in proof.slips.iter().filter(|slip| slip.severity == Severity::Stop) {
            wrong.push(format!("{} stops: {}", page.name, slip.message));
        }
        for (range, meant) in &page.figures {
            count += 1;
            let figure = at(&proof, range);
            let found = figure.map_or("unread".to_owned(), |f| meaning(&folio, &page.name, f));
            if found != *meant {
                let before = &page.text[range.start.saturating_sub(50)..range.start];
                let why = figure.map(|figure| (&figure.why, &figure.proposals));
                let written = &page.text[range.clone()];
                wrong.push(format!("{before}«{written}»: {found}, not {meant}\n    {why:?}"));
            }
        }
    }
    assert!(90 < count, "{count}");
    assert!(wrong.is_empty(), "{} of {count}:\n{}", wrong.len(), wrong.join("\n"));
}

/// Whether a slip stops or asks about a range of a page.
fn is_heard(proof: &PageProof, range: &Range<usize>) -> bool {
    let here = |slip: &&gaugebook::slip::Slip| {
        let span = slip.spot.span;
        span.start < range.end && range.start < span.end
    };
    let heard =
        |slip: &gaugebook::slip::Slip| slip.severity == Severity::Stop || slip.code == "near-miss";
    proof.slips.iter().filter(here).any(heard)
}

#[test]
fn most_wrong_digits_are_heard_before_anything_is_bound() {
    let (texts, pages) = pages();
    let (mut missed, mut count) = (Vec::new(), 0);
    for page in &pages {
        let named = page.figures.iter().filter(|(_, meant)| meant != "-" && !meant.contains(' '));
        for (at, (range, meant)) in named.enumerate() {
            let digit = |byte: &u8| byte.is_ascii_digit();
            let digits = page.text[range.clone()].bytes().filter(digit).count();
            let place = page.text[range.clone()].bytes().enumerate().filter(|(_, b)| digit(b));
            let Some((place, old)) = place.clone().nth(at % digits) else { continue };
            let new = char::from(b'0' + (old - b'0' + 3) % 10).to_string();
            let mut wrong = texts.clone();
            let text = wrong.pages.get_mut(&page.name).unwrap();
            text.replace_range(range.start + place..=range.start + place, &new);
            count += 1;
            if !is_heard(&judged(&wrong, &page.name).1, range) {
                let before = &page.text[range.start.saturating_sub(50)..range.end];
                missed.push(format!("{before} -> {new} at {place} ({meant})"));
            }
        }
    }
    assert!(missed.len() * 6 < count, "{} of {count}:\n{}", missed.len(), missed.join("\n"));
}

/// Every page here and of the demo, without the bindings that it has.
#[test]
fn accepting_twice_changes_no_page_more() {
    let (labelled, _) = pages();
    let demo = Texts::load(std::path::Path::new(env!("CARGO_MANIFEST_DIR")));
    let mut bound = 0;
    for texts in [labelled, demo] {
        let (folio, _) = texts.index();
        for name in texts.pages.keys() {
            let proof = texts.judge(&folio, name);
            let at = folio.pages.iter().position(|page| page.name == *name).unwrap();
            let source = Source::new(name.as_str(), texts.pages[name].as_str());
            let first = edits(&folio, at, &source, &proof);
            bound += first.len();
            if first.is_empty() {
                continue;
            }
            let mut accepted = texts.clone();
            accepted.pages.insert(name.clone(), edited(&source.text, &first));
            let (folio, proof) = judged(&accepted, name);
            let source = Source::new(name.as_str(), accepted.pages[name].as_str());
            let more = edits(&folio, at, &source, &proof);
            assert!(more.is_empty(), "{name}: {more:?}");
            let stops = proof.slips.iter().filter(|slip| slip.severity == Severity::Stop);
            let stops: Vec<&str> = stops.map(|slip| slip.message.as_str()).collect();
            assert!(stops.is_empty(), "{name}: {stops:?}");
        }
    }
    assert!(60 < bound, "{bound}");
}
