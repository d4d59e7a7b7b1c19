//! The published walk through a first cutaway: what it writes holds, and what it says that the
//! program says, the program says.

use super::support::{Texts, shown};
use gaugebook::cutaway::{self, WALK, aligned, walked};
use gaugebook::folio::routing;
use gaugebook::logic::{Ending, explore};
use gaugebook::page;
use gaugebook::text::{Source, WalkPiece};

const NAME: &str = "diagrams/maple.cut";
const PAGE: &str = "content/maple.md";

/// What the cutaway draws its supply at.
const READING: &str = "sources: {bench: {kind: measured}}\nreadings_from: bench\n\
                       readings: {operating_pressure: 8 bar}\n";

/// The slips of the page that has these lines in its front matter, with the whole cutaway.
fn slips_of_page(lines: &str) -> String {
    let page = format!("---\ntitle: Maple\n{READING}{lines}---\n\nMaple is apart.\n");
    let texts = Texts {
        pages: [(PAGE.to_owned(), page)].into(),
        imprint: "title: A folio\npressure: gauge\nambient: 101.325 kPa\n".to_owned(),
        cutaways: [(NAME.to_owned(), walked())].into(),
        ..Texts::default()
    };
    let (folio, slips) = texts.index();
    format!("{}{}", shown(&slips), shown(&texts.judge(&folio, PAGE).slips))
}

#[test]
fn the_walk_writes_a_cutaway_without_slips_that_ends_at_rest() {
    let (engine, slips) = cutaway::read(&Source::new(NAME, walked()), &|_| None);
    assert!(slips.is_empty(), "{}", shown(&slips));
    let found = explore(&engine);
    assert_eq!(found.ending(), Some(&Ending::AtRest));
    assert!(found.always_ends_at_rest(), "{:?}", found.endings);
    assert_eq!(aligned(&walked()), walked());
    let walked = walked();
    let engine = walked.lines().take_while(|line| !line.starts_with("variant "));
    let lines = engine.filter(|line| !line.is_empty()).count();
    assert!((25..=40).contains(&lines), "{lines} lines before what may be wrong with it");
}

#[test]
fn what_the_walk_lets_the_program_say_it_says() {
    let mut written = String::new();
    let mut page: Option<&str> = None;
    let mut said_in_all = 0;
    for piece in WALK.pieces() {
        match piece {
            WalkPiece::Text(_) => {}
            WalkPiece::Lines(lines) => written.push_str(lines),
            WalkPiece::Elsewhere(lines) => page = Some(lines),
            WalkPiece::Says(said) => {
                let told = match page {
                    None => {
                        let source = Source::new(NAME, written.as_str());
                        shown(&routing::read(&[source]).1)
                    }
                    Some(lines) => slips_of_page(&swapped(lines)),
                };
                for line in said.lines() {
                    assert!(told.contains(line), "{line}\n\n{told}");
                    said_in_all += 1;
                }
            }
        }
    }
    assert_ne!(said_in_all, 0);
}

/// The two events that the walk swaps.
fn swapped(lines: &str) -> String {
    let (first, then) = ("  - pellet leaves\n", "  - pilot returns\n");
    assert!(lines.contains(&format!("{first}{then}")), "{lines}");
    lines.replace(&format!("{first}{then}"), &format!("{then}{first}"))
}

#[test]
fn the_sequence_of_the_walk_is_that_of_its_shot() {
    let pages: Vec<&str> = WALK
        .pieces()
        .filter_map(|piece| match piece {
            WalkPiece::Elsewhere(lines) => Some(lines.as_str()),
            _ => None,
        })
        .collect();
    assert!(!pages.is_empty());
    for lines in pages {
        let told = slips_of_page(lines);
        assert!(told.is_empty(), "{told}");
    }
}

/// What the walk through a first page mistypes, in order: wrong and right.
const MISTYPED: [[&str; 2]; 2] = [["0.46 mm²", "0.64 mm²"], ["derivd", "derived"]];

/// The slips of the walk's page as typed here, with its imprint and its cutaway.
fn slips_of_first_page(page: &str) -> String {
    let others = || {
        page::WALK.pieces().filter_map(|piece| match piece {
            WalkPiece::Elsewhere(lines) => Some(lines.clone()),
            _ => None,
        })
    };
    let [imprint, cutaway] = [0, 1].map(|at| others().nth(at).unwrap());
    let texts = Texts {
        pages: [(PAGE.to_owned(), page.to_owned())].into(),
        imprint,
        cutaways: [(NAME.to_owned(), cutaway)].into(),
        ..Texts::default()
    };
    let (folio, slips) = texts.index();
    format!("{}{}", shown(&slips), shown(&texts.judge(&folio, PAGE).slips))
}

#[test]
fn the_walk_through_a_first_page_has_no_slip_and_its_slips_are_told() {
    let whole: String = page::WALK.lines().collect();
    let told = slips_of_first_page(&whole);
    assert!(told.is_empty(), "{told}");
    let mut mistyped = MISTYPED.iter();
    let mut before = "";
    for piece in page::WALK.pieces() {
        match piece {
            WalkPiece::Text(text) => before = text,
            WalkPiece::Says(said) => {
                let [wrong, right] = mistyped.next().unwrap();
                assert!(before.contains(&format!("`{wrong}` for `{right}`")), "{before}");
                let told = slips_of_first_page(&whole.replacen(right, wrong, 1));
                let told = told.replace(['\u{a0}', '\u{202f}'], " ");
                for line in said.lines() {
                    assert!(told.contains(line), "{line}\n\n{told}");
                }
            }
            WalkPiece::Lines(_) | WalkPiece::Elsewhere(_) => {}
        }
    }
    assert_eq!(mistyped.next(), None);
}
