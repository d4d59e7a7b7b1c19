//! Typing errors in the demo folio: every figure that stands a second time somewhere is mistyped,
//! one digit at a time, and the folio judged again.
//!
//! The operators and their shares follow published studies of number entry (Verhoeff 1969, Lesar
//! 2002, Wiseman et al. 2011, read at second hand). A mutant that the writer could still defend is
//! counted apart by a rule of this file: the mistyped figure, with its rounding and hedge, still
//! holds the value that it restates.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test that meets an error has failed"
)]

use gaugebook::proof::{Folio, PageProof, Status, folio, judge};
use gaugebook::quantity::judge::{dual, interval_of};
use gaugebook::quantity::reader::{ReadOptions, read};
use gaugebook::quantity::{Amount, Verdict};
use gaugebook::slip::Severity;
use gaugebook::text::{Source, Span};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::path::Path;
use std::sync::Arc;
use walkdir::WalkDir;

struct Demo {
    texts: BTreeMap<String, String>,
    files: BTreeSet<String>,
}

impl Demo {
    fn load() -> Demo {
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        let mut demo = Demo { texts: BTreeMap::new(), files: BTreeSet::new() };
        for entry in WalkDir::new(root.join("content")).sort_by_file_name() {
            let entry = entry.unwrap();
            if !entry.file_type().is_file() {
                continue;
            }
            let below = entry.path().strip_prefix(root).unwrap();
            let parts: Vec<_> = below.iter().map(|part| part.to_string_lossy()).collect();
            let name = parts.join("/");
            match name.ends_with(".md") || name.ends_with(".yaml") {
                true => {
                    demo.texts.insert(name, std::fs::read_to_string(entry.path()).unwrap());
                }
                false => {
                    demo.files.insert(name);
                }
            }
        }
        demo
    }

    fn folio(&self) -> (Arc<Folio>, usize) {
        let names: Vec<String> =
            self.texts.keys().filter(|name| name.ends_with(".md")).cloned().collect();
        let imprint =
            Source::new("content/imprint.yaml", self.texts["content/imprint.yaml"].clone());
        let load = |name: &str| Ok(Source::new(name, self.texts[name].clone()));
        let (folio, slips) = folio::read(&names, self.files.clone(), Some(&imprint), &load);
        let stops = slips.iter().filter(|slip| slip.severity == Severity::Stop).count();
        (Arc::new(folio), stops)
    }
}

/// A plain generator with a fixed seed (splitmix64, public domain).
struct Dice(u64);

impl Dice {
    fn below(&mut self, limit: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        usize::try_from((z ^ (z >> 31)) % u64::try_from(limit).unwrap()).unwrap()
    }
}

#[derive(Default)]
struct Tally {
    mutants: usize,
    stopped: usize,
    misplaced: Vec<String>,
    proposed: usize,
    lenient: usize,
    still_true: usize,
    survivors: Vec<String>,
}

/// What becomes of one mistyped page.
enum Fate {
    Stopped { well_placed: bool, proposed: bool },
    Lenient,
    Silent,
}

fn fate(proof: &PageProof, group: Span, original: &str) -> Fate {
    let stops: Vec<_> = proof.slips.iter().filter(|slip| slip.severity == Severity::Stop).collect();
    if !stops.is_empty() {
        let well_placed = stops.iter().any(|slip| {
            slip.spot.span.overlaps(group)
                || slip.labels.iter().any(|label| label.spot.span.overlaps(group))
        });
        let proposed = stops.iter().any(|slip| {
            let told =
                slip.helps.iter().map(|help| help.text.as_str()).chain(slip.likely.as_deref());
            told.map(|text| text.replace('\u{a0}', " ")).any(|text| text.contains(original))
        });
        return Fate::Stopped { well_placed, proposed };
    }
    let marked = proof
        .slips
        .iter()
        .any(|slip| slip.severity == Severity::Mark && slip.spot.span.overlaps(group));
    if marked { Fate::Lenient } else { Fate::Silent }
}

fn all_digits(text: &str) -> Vec<usize> {
    text.bytes().enumerate().filter(|(_, b)| b.is_ascii_digit()).map(|(at, _)| at).collect()
}

/// Whether the mistyped statement, with its hedge and rounding, still holds the value it restates.
fn is_still_true(
    folio: &Folio,
    page: usize,
    mutated: &str,
    member: Span,
    context: Span,
    nominals: &[f64],
) -> bool {
    let conventions = folio.conventions_of(&folio.pages[page]);
    let line = &mutated[context.start..context.end];
    let figures = read(line, &ReadOptions::default()).figures;
    let at = |span: Span| span.shifted(context.start);
    let Some(index) = figures.iter().position(|figure| at(figure.span).overlaps(member)) else {
        return false;
    };
    let figure = &figures[index];
    let partners: Vec<_> =
        figures.iter().filter(|other| other.pair.is_some() && other.pair == figure.pair).collect();
    if let [first, later] = partners.as_slice()
        && dual(line, first, later, conventions).verdict != Verdict::Agree
    {
        return false;
    }
    let (low, high) = interval_of(figure, conventions);
    let to_f64 = gaugebook::quantity::exact::to_f64;
    // Trailing zeros of an integer may be place holders (ASTM E29 3.1): 210 stands for 205 to 215.
    let loose = match &figure.amount {
        Amount::Point(number) => {
            let half =
                number.loose_resolution() / gaugebook::quantity::Rational::from_integer(2.into());
            figure.unit.span_to_si(&half.into()).to_f64()
        }
        Amount::Range(..) => 0.0,
    };
    nominals.is_empty()
        || nominals.iter().any(|nominal| {
            let slack = 1e-9 * nominal.abs();
            let inside = to_f64(&low) - slack <= *nominal && *nominal <= to_f64(&high) + slack;
            let middle = (to_f64(&low) + to_f64(&high)) / 2.0;
            inside || (nominal - middle).abs() <= loose + slack
        })
}

/// The value of every statement of the figure that a text restates.
fn nominals(folio: &Folio, tied: Option<(usize, usize)>) -> Vec<f64> {
    let Some((sheet, entry)) = tied else { return Vec::new() };
    let reading = folio.ledger.sheets[sheet].entries[entry].reading();
    let stated = reading.map(|reading| reading.statements.as_slice()).unwrap_or_default();
    let values = stated.iter().map(|stated| stated.quantity.si.to_f64());
    values.chain(folio.ledger.nominal(sheet, entry).map(|v| v.quantity.si.to_f64())).collect()
}

/// Every digit of every figure that stands a second time, replaced by other digits. The text keeps
/// its length, so that the folio's index stays right and only the page is judged again.
#[test]
fn one_wrong_digit_in_the_text_of_a_page_stops_publishing() {
    let demo = Demo::load();
    let (folio, stops) = demo.folio();
    assert_eq!(stops, 0, "the demo itself has slips");
    let mut dice = Dice(20_260_302);
    let mut tally = Tally::default();
    for (page, entry) in folio.pages.iter().enumerate() {
        let text = &demo.texts[&entry.name];
        let source = Source::new(entry.name.clone(), text.clone());
        let proof = judge(&folio, page, &source);
        for (_, figure) in &proof.figures {
            let stands_twice = matches!(
                figure.status,
                Status::Computed | Status::SecondStatement | Status::OwnReading
            );
            if !stands_twice || figure.places.is_empty() {
                continue;
            }
            let group = Span::new(figure.places[0].start, figure.places.last().unwrap().end);
            let nominals = nominals(&folio, figure.tied);
            for place in &figure.places {
                let written = source.slice(*place);
                for digit in all_digits(written) {
                    // Every digit of every figure, two ways each.
                    for _ in 0..2 {
                        let old = written.as_bytes()[digit];
                        let new = b'0' + u8::try_from(dice.below(10)).unwrap();
                        if new == old {
                            continue;
                        }
                        let mut bytes = text.clone().into_bytes();
                        bytes[place.start + digit] = new;
                        let mutated = String::from_utf8(bytes).unwrap();
                        let what = format!(
                            "{}: {written} -> {}",
                            entry.name,
                            &mutated[place.start..place.end]
                        );
                        let line = source.line_span(place.start);
                        let still_true =
                            is_still_true(&folio, page, &mutated, *place, line, &nominals);
                        let proof = judge(&folio, page, &Source::new(entry.name.clone(), mutated));
                        tally.mutants += 1;
                        match fate(&proof, group, written) {
                            Fate::Stopped { well_placed, proposed } => {
                                tally.stopped += 1;
                                tally.proposed += usize::from(proposed);
                                if !well_placed {
                                    tally.misplaced.push(what);
                                }
                            }
                            Fate::Lenient => tally.lenient += 1,
                            Fate::Silent if still_true => tally.still_true += 1,
                            Fate::Silent => tally.survivors.push(what),
                        }
                    }
                }
            }
        }
    }
    let mut report = String::new();
    let _ = writeln!(
        report,
        "{} mutants: {} stopped ({} with the right proposal), {} marked as lenient, {} still true",
        tally.mutants, tally.stopped, tally.proposed, tally.lenient, tally.still_true
    );
    println!("{report}");
    assert!(tally.survivors.is_empty(), "{report}{:#?}", tally.survivors);
    assert!(tally.misplaced.is_empty(), "{report}{:#?}", tally.misplaced);
    assert!(900 < tally.mutants, "{report}");
    assert!(tally.lenient * 5 < tally.mutants, "{report}");
    assert!(tally.stopped * 9 < tally.proposed * 10, "{report}");
}

/// A reading mistyped in the data sheet is contradicted by the pages that state it.
#[test]
fn one_wrong_digit_in_a_reading_stops_publishing() {
    let mut demo = Demo::load();
    let (folio, _) = demo.folio();
    // Every statement in prose of every reading, with the range of values it stands for.
    let mut stated: BTreeMap<(usize, usize), Vec<(f64, f64)>> = BTreeMap::new();
    let to_f64 = gaugebook::quantity::exact::to_f64;
    for (page, entry) in folio.pages.iter().enumerate() {
        let source = Source::new(entry.name.clone(), demo.texts[&entry.name].clone());
        let proof = judge(&folio, page, &source);
        let conventions = folio.conventions_of(entry);
        for (_, figure) in proof.figures.iter().filter(|(_, f)| f.status != Status::Printed) {
            let Some(tied) = figure.tied else { continue };
            let (low, high) = interval_of(&figure.figure, conventions);
            stated.entry(tied).or_default().push((to_f64(&low), to_f64(&high)));
        }
    }
    let mut dice = Dice(7);
    let (mut mutants, mut stopped) = (0, 0);
    let mut survivors = Vec::new();
    for ((sheet, entry), ranges) in stated {
        let item = &folio.ledger.sheets[sheet];
        let Some(reading) = item.entries[entry].reading() else { continue };
        let Some(statement) = reading.statements.first().filter(|s| !s.figures.is_empty()) else {
            continue;
        };
        let name = item.source.name.clone();
        let original = demo.texts[&name].clone();
        // 300 mm restated as 301 mm is no slip: its zeros may be place holders.
        if statement
            .text
            .split(' ')
            .next()
            .is_some_and(|number| number.ends_with('0') && !number.contains('.'))
        {
            continue;
        }
        let at = original[statement.span.start..]
            .find(&statement.text)
            .map(|at| at + statement.span.start);
        let Some(at) = at else { continue };
        let figure = &statement.figures[0];
        let number_end = statement.text[figure.span.start..].find([' ', '\u{a0}']).unwrap_or(1);
        let number = &statement.text[figure.span.start..figure.span.start + number_end];
        let digits = all_digits(number);
        let digit = digits[dice.below(digits.len())];
        let old = number.as_bytes()[digit];
        let new = b'0' + (old - b'0' + 1 + u8::try_from(dice.below(9)).unwrap()) % 10;
        let mut bytes = original.clone().into_bytes();
        bytes[at + figure.span.start + digit] = new;
        demo.texts.insert(name.clone(), String::from_utf8(bytes).unwrap());
        let (mutated, mut stops) = demo.folio();
        let mut marks = 0;
        for (page, entry) in mutated.pages.iter().enumerate() {
            let source = Source::new(entry.name.clone(), demo.texts[&entry.name].clone());
            let proof = judge(&mutated, page, &source);
            stops += proof.slips.iter().filter(|s| s.severity == Severity::Stop).count();
            marks += proof.slips.iter().filter(|s| s.severity == Severity::Mark).count();
        }
        mutants += 1;
        stopped += usize::from(0 < stops);
        // "about 8 N" still holds when the reading says 7 N.
        let value = mutated.ledger.nominal(sheet, entry).unwrap().quantity.si.to_f64();
        let holds = ranges.iter().all(|(low, high)| *low <= value && value <= *high);
        if stops == 0 && marks == 0 && !holds {
            survivors.push(format!(
                "{name}: {} with digit {digit} as {}",
                statement.text,
                char::from(new)
            ));
        }
        demo.texts.insert(name, original);
    }
    println!("{mutants} readings mistyped, {stopped} stopped");
    assert!(survivors.is_empty(), "{survivors:#?}");
    assert!(50 < mutants && mutants * 9 < stopped * 10, "{stopped} of {mutants}");
}
