//! Clean technical prose that was not written for the rules: what the reader finds in it beyond
//! what the text states is a false find.
//!
//! `clean.txt` holds the prose with every true figure marked as `⟦…⟧`; its head says where it comes
//! from.

use gaugebook::quantity::reader::{ReadOptions, read};

#[test]
fn clean_prose_has_at_most_two_false_finds_per_thousand_words() {
    check(include_str!("clean.txt"), 2000, 2);
}

/// Number words and bare numbers in every line; one false find in six hundred words.
#[test]
fn everyday_prose_with_many_number_words_has_hardly_a_false_find() {
    check(include_str!("clean_words.txt"), 600, 2);
}

/// Reads a text with its true figures marked; at most so many false finds in a thousand words.
fn check(marked: &str, least: usize, most: usize) {
    let body = marked.split_once("\n---\n").map_or(marked, |(_, body)| body);
    let (mut text, mut truths) = (String::new(), Vec::new());
    let mut open = 0;
    for c in body.chars() {
        match c {
            '⟦' => open = text.len(),
            '⟧' => truths.push((open, text.len())),
            c => text.push(c),
        }
    }
    let words = text.split_whitespace().count();
    assert!(least < words, "only {words} words");
    let found = read(&text, &ReadOptions::default());
    let mut wrong: Vec<String> = Vec::new();
    for figure in &found.figures {
        let span = (figure.span.start, figure.span.end);
        if !truths.contains(&span) {
            wrong.push(format!("false: {}", &text[span.0..span.1]));
        }
    }
    for fault in &found.faults {
        wrong.push(format!("fault: {}", fault.message));
    }
    assert!(wrong.len() * 1000 <= most * words, "{words} words: {wrong:#?}");
    let spans: Vec<_> = found.figures.iter().map(|f| (f.span.start, f.span.end)).collect();
    let missed: Vec<&str> =
        truths.iter().filter(|t| !spans.contains(t)).map(|t| &text[t.0..t.1]).collect();
    assert!(missed.len() * 20 <= truths.len(), "missed {missed:?} of {}", truths.len());
}
