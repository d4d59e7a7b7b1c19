//! Slips of the hand in the readings of the front matter: what texts, second statements and
//! formulas say of them must bring them to light.

use super::mutation::{Dice, demo, digits, is_true, put};
use super::support::Texts;
use gaugebook::folio::Folio;
use gaugebook::proof::{Status, judge};
use gaugebook::quantity::{Figure, Real};
use gaugebook::sheet::{Entry, Stated};
use gaugebook::slip::{Severity, Slip};
use gaugebook::text::{Source, Span};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::Arc;

type Named = (usize, usize);

/// The figures of all texts by the reading that they are tied to.
fn restated(texts: &Texts, folio: &Arc<Folio>) -> BTreeMap<Named, Vec<Figure>> {
    let mut found: BTreeMap<Named, Vec<Figure>> = BTreeMap::new();
    for (page, entry) in folio.pages.iter().enumerate() {
        let source = Source::new(entry.name.as_str(), texts.pages[&entry.name].as_str());
        for (_, figure) in judge(folio, page, &source).figures {
            let typed = !matches!(figure.status, Status::Printed | Status::Denied);
            if let Some(named) = figure.tied.filter(|_| typed) {
                found.entry(named).or_default().push(figure.figure);
            }
        }
    }
    found
}

/// A number of a reading that texts or a second statement bear out.
struct Declared {
    page: String,
    named: Named,
    /// The digits of the number, in the file.
    number: Span,
}

fn declared(folio: &Folio, restated: &BTreeMap<Named, Vec<Figure>>) -> Vec<Declared> {
    let mut found = Vec::new();
    for (index, sheet) in folio.ledger.sheets.iter().enumerate() {
        for (entry, item) in sheet.entries.iter().enumerate() {
            let statements = item.reading().map(|reading| reading.statements.as_slice());
            let statements = statements.unwrap_or_default();
            let named = (index, entry);
            if statements.len() < 2 && !restated.contains_key(&named) {
                continue;
            }
            for stated in statements {
                let Some(number) = number_of(stated) else { continue };
                let page = sheet.source.name.clone();
                found.push(Declared { page, named, number });
            }
        }
    }
    found
}

/// Place of the number of a statement; none where it is a list, a ring or a drill.
fn number_of(stated: &Stated) -> Option<Span> {
    let figure = stated.figures.first()?;
    let text = &stated.text[figure.span.start..figure.span.end];
    let length = text.bytes().take_while(|b| b.is_ascii_digit() || *b == b'.').count();
    Some(stated.part(Span::new(figure.span.start, figure.span.start + length)))
}

/// All slips of the folio with other digits in a reading, as far as the first one that stops and
/// points at the reading. What its times contradict is told first, and points at a time.
fn slips(texts: &Texts, declared: &Declared, digits: &str) -> (Arc<Folio>, Vec<Slip>) {
    let mut texts = texts.clone();
    let page = texts.pages.get_mut(&declared.page).unwrap();
    page.replace_range(declared.number.start..declared.number.end, digits);
    let (folio, mut slips) = texts.index();
    let own = folio.by_name[&declared.page];
    let others = (0..folio.pages.len()).filter(|page| *page != own);
    for page in std::iter::once(own).chain(others) {
        let (sheet, entry) = declared.named;
        let entry = &folio.ledger.sheets[sheet].entries[entry];
        let is_told = |slip: &Slip| slip.severity == Severity::Stop && names(slip, declared, entry);
        if slips.iter().any(is_told) {
            break;
        }
        let name = folio.pages[page].name.as_str();
        slips.extend(texts.judge(&folio, name).slips);
    }
    (folio, slips)
}

/// Whether every text and every other statement would still be true of the mistyped reading.
fn is_equivalent(entry: &Entry, restated: &[Figure]) -> bool {
    let statements = entry.reading().map(|reading| reading.statements.as_slice()).unwrap();
    let value = |stated: &Stated| stated.quantity.si.to_f64();
    let spread = |stated: &Stated| match stated.figures.first().map(|f| f.tolerance.is_some()) {
        Some(false) => gaugebook::quantity::exact::to_f64(&stated.rounding),
        _ => stated.input.limit,
    };
    let beside = statements.iter().skip(1).all(|other| {
        let apart = (value(&statements[0]) - value(other)).abs();
        apart <= (spread(&statements[0]) + 2.0 * spread(other)) * 1.000_001
    });
    let texts = restated.iter().all(|figure| {
        statements.iter().any(|stated| {
            let value = figure.unit.from_si(&Real::near(value(stated))).to_f64();
            is_true(figure, value)
        })
    });
    beside && texts
}

/// Whether a slip points at the reading, at its declaration or at a formula that needs it.
fn names(slip: &Slip, item: &Declared, entry: &Entry) -> bool {
    let spots = slip.labels.iter().map(|label| &label.spot).chain([&slip.spot]);
    let mut own = spots.filter(|spot| spot.source.name == item.page);
    own.any(|spot| spot.span.overlaps(entry.name.span) || spot.span.overlaps(item.number))
        || slip.spot.text().contains(&entry.name.text)
        || slip.labels.iter().any(|label| {
            let source = &label.spot.source;
            source.slice(source.line_span(label.spot.span.start)).contains(&entry.name.text)
        })
}

#[test]
fn one_wrong_digit_in_a_reading_stops_publishing() {
    let (texts, folio) = demo();
    let restated = restated(&texts, &folio);
    let declared = declared(&folio, &restated);
    assert!(80 < declared.len(), "{} readings", declared.len());
    let mut dice = Dice(1_414_213_562);
    let mut mutants = Vec::new();
    for (index, item) in declared.iter().enumerate() {
        let written = &texts.pages[&item.page][item.number.start..item.number.end];
        let places = digits(written);
        let at = places[dice.below(places.len())];
        let old = written.as_bytes()[at] - b'0';
        let step = 1 + u8::try_from(dice.below(9)).unwrap();
        mutants.push((index, put(written, at, b'0' + (old + step) % 10)));
    }
    let judged: Vec<(Arc<Folio>, Vec<Slip>)> =
        mutants.par_iter().map(|(at, digits)| slips(&texts, &declared[*at], digits)).collect();
    let (mut stopped, mut equivalent, mut marked) = (0, 0, 0);
    let (mut survived, mut elsewhere) = (Vec::new(), Vec::new());
    for ((index, digits), (folio, slips)) in mutants.iter().zip(judged) {
        let item = &declared[*index];
        let entry = &folio.ledger.sheets[item.named.0].entries[item.named.1];
        let name = format!("{}: {} is {digits}", item.page, entry.name.text);
        let stops: Vec<&Slip> =
            slips.iter().filter(|slip| slip.severity == Severity::Stop).collect();
        match stops.first() {
            Some(first) => {
                stopped += 1;
                if !stops.iter().any(|slip| names(slip, item, entry)) {
                    elsewhere.push(format!("{name}: {}: {}", first.code, first.message));
                }
            }
            None => {
                let figures = restated.get(&item.named).map(Vec::as_slice).unwrap_or_default();
                if is_equivalent(entry, figures) {
                    equivalent += 1;
                } else if slips.iter().any(|slip| slip.code.ends_with("-lenient")) {
                    marked += 1;
                } else {
                    survived.push(name);
                }
            }
        }
    }
    println!(
        "readings: {} mutants, {stopped} stopped, {marked} marked, {equivalent} still true, \
         {} survived",
        mutants.len(),
        survived.len()
    );
    assert!(survived.is_empty(), "{survived:#?}");
    assert!(elsewhere.is_empty(), "{elsewhere:#?}");
}
