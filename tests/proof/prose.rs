//! Clean technical prose that was not written for the rules: what stops there is a false slip.
//!
//! Both texts were written with a fresh eye for tests: `article.txt` by somebody who knew the demo
//! folio and tells a tale from the same bench, `../reader/clean.txt` by somebody who did not. Each
//! is judged as an article and as the text of the page with the most readings, whose names then
//! lie in wait for any figure.

use super::support::{Texts, shown};
use gaugebook::slip::Severity;
use std::path::Path;

fn texts() -> [String; 2] {
    let marked = include_str!("../reader/clean.txt");
    let (_, clean) = marked.split_once("\n---\n").unwrap();
    [include_str!("article.txt").to_owned(), clean.replace(['⟦', '⟧'], "")]
}

#[test]
fn clean_prose_stops_at_most_twice_in_a_thousand_words() {
    let folio = Texts::load(Path::new(env!("CARGO_MANIFEST_DIR")));
    let rowan = "content/engines/rowan.md";
    let (front, _) = folio.pages[rowan][4..].split_once("\n---\n").unwrap();
    let (mut words, mut stops) = (0, Vec::new());
    for text in texts() {
        let engine = format!("---\n{front}\n---\n\n{text}");
        let article = format!("---\ntitle: A tale\n---\n\n{text}");
        for (name, page) in [(rowan, engine), ("content/tale.md", article)] {
            let mut folio = folio.clone();
            folio.pages.insert(name.to_owned(), page);
            let (index, _) = folio.index();
            let slips = folio.judge(&index, name).slips;
            stops.extend(slips.into_iter().filter(|slip| slip.severity == Severity::Stop));
            words += text.split_whitespace().count();
        }
    }
    assert!(6_000 < words, "{words} words");
    println!("{} false stops in {words} words", stops.len());
    assert!(stops.len() * 1000 <= 2 * words, "{}", shown(&stops));
}
