//! What sentences say of figures in manners of their own: `said/sentences.txt`.

use super::support::{Texts, here};
use gaugebook::slip::{Severity, Slip};

const PAGE: &str = "content/quern.md";

/// What stops or is asked about in a sentence of the page.
fn heard(sentence: &str) -> Vec<Slip> {
    let front = std::fs::read_to_string(here().join("said/quern.md")).unwrap();
    let mut texts =
        Texts { imprint: "title: Test bench\npressure: gauge\n".to_owned(), ..Texts::default() };
    texts.pages.insert(PAGE.to_owned(), format!("{front}\n{sentence}\n"));
    let (folio, _) = texts.index();
    let slips = texts.judge(&folio, PAGE).slips.into_iter();
    let is_heard = |slip: &Slip| slip.severity == Severity::Stop || slip.code == "near-miss";
    slips.filter(|slip| front.len() <= slip.spot.span.start && is_heard(slip)).collect()
}

#[test]
fn slips_are_heard_and_nothing_else() {
    let sentences = std::fs::read_to_string(here().join("said/sentences.txt")).unwrap();
    let mut wrong = Vec::new();
    for line in sentences.lines().filter(|line| !line.is_empty() && !line.starts_with('#')) {
        let slip = line.split_once('{').and_then(|(before, rest)| {
            let (both, behind) = rest.split_once('}')?;
            let (right, typed) = both.split_once('|')?;
            Some([right, typed].map(|text| format!("{before}{text}{behind}")))
        });
        let (right, typed) = match slip {
            Some([right, typed]) => (right, Some(typed)),
            None => (line.to_owned(), None),
        };
        let idle = heard(&right);
        if !idle.is_empty() {
            let told: Vec<_> = idle.iter().map(|slip| slip.message.as_str()).collect();
            wrong.push(format!("{right}\n    {}", told.join("\n    ")));
        }
        wrong.extend(typed.filter(|typed| heard(typed).is_empty()));
    }
    assert!(wrong.is_empty(), "{} sentences:\n{}", wrong.len(), wrong.join("\n"));
}
