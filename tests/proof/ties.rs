//! Which figure the words of a sentence mean.

use super::support::{Texts, without_labels};
use gaugebook::quantity::Figure;
use gaugebook::slip::{Severity, Slip};
use gaugebook::text::Span;
use std::collections::BTreeMap;

const READINGS: [(&str, &str, [&str; 3]); 8] = [
    ("bore", "metering bore", ["0.90 mm", "0.80 mm", "1.40 mm"]),
    ("pressure", "operating pressure", ["128 psi", "110 psi", "95 psi"]),
    ("store", "store volume", ["22.0 cm³", "18.0 cm³", "34.0 cm³"]),
    ("stem", "switch stem", ["9.50 mm", "9.10 mm", "10.50 mm"]),
    ("land", "switch bore", ["15.90 mm", "15.10 mm", "16.90 mm"]),
    ("mass", "bolt mass", ["21.5 g", "30.2 g", "25.4 g"]),
    ("travel", "bolt travel", ["24.0 mm", "20.0 mm", "28.0 mm"]),
    ("low", "lowest store pressure", ["67 psi", "55 psi", "52 psi"]),
];

/// A folio of three engines with the same readings, and a page that compares them.
fn folio() -> Texts {
    let mut texts =
        Texts { imprint: "title: Test bench\npressure: gauge\n".to_owned(), ..Texts::default() };
    for (at, engine) in ["rowan", "hazel", "ash"].iter().enumerate() {
        let mut page = format!(
            "---\ntitle: {engine}\nengine: {engine}\nsources: {{bench: {{kind: measured}}}}\n\
             readings_from: bench\nreadings:\n"
        );
        for (name, called, values) in READINGS {
            page.push_str(&format!("  {name}: {{is: {}, called: [{called}]}}\n", values[at]));
        }
        page.push_str("---\n");
        texts.pages.insert(format!("content/{engine}.md"), page);
    }
    let both = "---\ntitle: Both\ncompare: [rowan, hazel, ash]\n---\n".to_owned();
    texts.pages.insert("content/both.md".to_owned(), both);
    texts
}

/// A sentence with what its figures mean.
struct Case {
    page: String,
    text: String,
    /// Byte range of each figure in the text, and its name; `-` for none.
    figures: Vec<(std::ops::Range<usize>, String)>,
}

fn cases() -> Vec<Case> {
    let mut page = String::new();
    let mut cases = Vec::new();
    for line in include_str!("ties.txt").lines() {
        if let Some(name) = line.strip_prefix("= ") {
            page = format!("content/{name}.md");
        } else if !line.is_empty() && !line.starts_with('#') {
            let mut text = String::new();
            let figures = without_labels(line, &mut text);
            cases.push(Case { page: page.clone(), text, figures });
        }
    }
    cases
}

/// Ties and slips of a sentence on its page: name of the entry by the figure's start.
fn judged(texts: &Texts, page: &str, sentence: &str) -> (BTreeMap<usize, String>, Vec<Slip>) {
    let mut with = texts.clone();
    with.pages.get_mut(page).unwrap().push_str(sentence);
    let (folio, _) = with.index();
    let proof = with.judge(&folio, page);
    let named = |tied: Option<(usize, usize)>| match tied {
        Some((sheet, entry)) => {
            let sheet = &folio.ledger.sheets[sheet];
            let engine = sheet.engine.as_deref().unwrap_or("");
            format!("{engine}.{}", sheet.entries[entry].name.text)
        }
        None => "-".to_owned(),
    };
    let start = |figure: &Figure| figure.span.start;
    let ties = proof.figures.iter().map(|(_, f)| (start(&f.figure), named(f.tied))).collect();
    (ties, proof.slips)
}

#[test]
fn words_mean_what_a_reader_takes_them_for() {
    let texts = folio();
    let mut wrong = Vec::new();
    let mut count = 0;
    for case in cases() {
        let (ties, _) = judged(&texts, &case.page, &case.text);
        for (range, name) in &case.figures {
            count += 1;
            let found = ties.get(&range.start).map_or("unread", String::as_str);
            if found != name {
                let figure = &case.text[range.clone()];
                wrong.push(format!("{}\n    {figure}: {found}, not {name}", case.text));
            }
        }
    }
    assert!(60 < count);
    assert!(wrong.is_empty(), "{} of {count}:\n{}", wrong.len(), wrong.join("\n"));
}

/// Whether a slip that stops points into a range of the sentence, which ends the page.
fn stops_at(slips: &[Slip], sentence: &str, range: &std::ops::Range<usize>) -> bool {
    slips.iter().filter(|slip| slip.severity == Severity::Stop).any(|slip| {
        let shift = slip.spot.source.text.len() - sentence.len();
        slip.spot.span.overlaps(Span::new(range.start + shift, range.end + shift))
    })
}

#[test]
fn a_wrong_digit_stops_in_every_such_sentence() {
    let texts = folio();
    let mut survived = Vec::new();
    let mut count = 0;
    for case in cases() {
        for (range, name) in case.figures.iter().filter(|(_, name)| name != "-") {
            let digits = case.text[range.clone()].bytes().enumerate();
            for (at, old) in digits.take_while(|(_, b)| *b != b' ') {
                if !old.is_ascii_digit() {
                    continue;
                }
                for step in [1, 4, 9] {
                    let new = char::from(b'0' + (old - b'0' + step) % 10).to_string();
                    let mut text = case.text.clone();
                    text.replace_range(range.start + at..=range.start + at, &new);
                    let (_, slips) = judged(&texts, &case.page, &text);
                    count += 1;
                    if !stops_at(&slips, &text, range) {
                        survived.push(format!("{text} ({name})"));
                    }
                }
            }
        }
    }
    assert!(700 < count, "{count}");
    assert!(survived.is_empty(), "{} of {count}: {survived:#?}", survived.len());
}

#[test]
fn figures_in_each_others_place_stop() {
    let texts = folio();
    let mut survived = Vec::new();
    let mut count = 0;
    for case in cases() {
        for pair in case.figures.windows(2) {
            let [(a, first), (b, second)] = pair else { continue };
            let (one, other) = (&case.text[a.clone()], &case.text[b.clone()]);
            let unit = |figure: &str| figure.split_once(' ').map(|(_, unit)| unit.to_owned());
            if unit(one) != unit(other) || first == "-" || second == "-" {
                continue;
            }
            count += 1;
            let text = format!(
                "{}{other}{}{one}{}",
                &case.text[..a.start],
                &case.text[a.end..b.start],
                &case.text[b.end..]
            );
            let (_, slips) = judged(&texts, &case.page, &text);
            if !stops_at(&slips, &text, &(a.start..b.end)) {
                survived.push(text);
            }
        }
    }
    assert!(25 < count, "{count}");
    assert!(survived.is_empty(), "{} of {count}: {survived:#?}", survived.len());
}
