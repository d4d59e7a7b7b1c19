//! A folio of any number of pages, always the same: a few readings, the sentences that state them,
//! and a lot of plain prose.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use walkdir::WalkDir;

/// Words for prose without figures; none of them names a reading.
const WORDS: [&str; 48] = [
    "the",
    "workshop",
    "keeps",
    "a",
    "ledger",
    "of",
    "every",
    "tool",
    "that",
    "came",
    "back",
    "from",
    "forest",
    "with",
    "worn",
    "parts",
    "and",
    "each",
    "page",
    "tells",
    "what",
    "was",
    "seen",
    "when",
    "it",
    "lay",
    "open",
    "on",
    "bench",
    "under",
    "lamp",
    "where",
    "dust",
    "collects",
    "behind",
    "seals",
    "after",
    "long",
    "winter",
    "nobody",
    "had",
    "looked",
    "there",
    "before",
    "so",
    "drawing",
    "stayed",
    "unfinished",
];

/// Sentences of prose on a page: about 500 words.
const SENTENCES: usize = 42;
const WORDS_A_SENTENCE: usize = 12;

/// Writes a folio of `pages` pages to a new folder; gives the number of bytes.
pub fn write(folio: &Path, pages: usize) -> u64 {
    let content = folio.join("content");
    let imprint =
        "title: Ledger of trials\nnotice: Invented for measuring speed.\npressure: gauge\n";
    fs::create_dir_all(content.join("trials")).unwrap();
    fs::write(content.join("imprint.yaml"), imprint).unwrap();
    fs::write(content.join("index.md"), "---\ntitle: Ledger of trials\n---\n\nAll trials.\n")
        .unwrap();
    for number in 0..pages {
        let name = content.join(format!("trials/trial-{number:05}.md"));
        fs::write(name, page(number)).unwrap();
    }
    size(&content).1
}

/// Number of files below a folder, and of their bytes.
pub fn size(folder: &Path) -> (usize, u64) {
    let entries = WalkDir::new(folder).into_iter().map(Result::unwrap);
    let sizes = entries.filter(|entry| entry.file_type().is_file());
    sizes.fold((0, 0), |(files, bytes), entry| (files + 1, bytes + entry.metadata().unwrap().len()))
}

/// One page in so many describes an engine; the others are prose that states its figures.
const PAGES_AN_ENGINE: usize = 50;

/// The engine of a block of pages, as letters: numbers would be figures.
fn engine_of(number: usize) -> String {
    let mut rest = number / PAGES_AN_ENGINE;
    let mut name = String::from("tool_");
    for _ in 0..4 {
        name.push(char::from(b'a' + (rest % 26) as u8));
        rest /= 26;
    }
    name
}

fn page(number: usize) -> String {
    let engine = engine_of(number);
    // Differs from engine to engine, so that nothing can be remembered from the last one.
    let block = number / PAGES_AN_ENGINE;
    let (pressure, bore, mass) = (60 + block % 40, 800 + block % 200, 150 + block % 100);
    let pressure = format!("{}.{} bar", pressure / 10, pressure % 10);
    let bore = format!("0.{bore} mm");
    let mass = format!("{}.{} g", mass / 10, mass % 10);
    let mut text = format!("---\ntitle: Trial {number:05}\nsummary: One of many.\n");
    if number.is_multiple_of(PAGES_AN_ENGINE) {
        let _ = write!(
            text,
            "engine: {engine}\nsources:\n  bench: {{kind: measured, with: caliper, on: 2026-03-02}}\n\
             readings_from: bench\nreadings:\n  operating_pressure: {pressure}\n  \
             metering_bore: {bore}\n  bolt_mass: {mass}\n"
        );
    }
    let name = engine.replace('_', " ");
    let _ = write!(
        text,
        "---\n\nThe operating pressure of {name} is {pressure}. The metering bore of {name} is {bore}.\n\n\
         | Part | {name} |\n|---|---|\n| bolt mass | {mass} |\n\n"
    );
    let mut state = number as u64;
    for sentence in 0..SENTENCES {
        if sentence % 14 == 0 {
            let _ =
                write!(text, "## {}\n\n", ["On the bench", "Inside", "Afterwards"][sentence / 14]);
        }
        for word in 0..WORDS_A_SENTENCE {
            // Knuth's MMIX generator (memory): plain, and the same everywhere.
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            let next = WORDS[(state >> 33) as usize % WORDS.len()];
            let space = if word == 0 { "" } else { " " };
            let emphasis = if word == 5 { "*" } else { "" };
            let _ = write!(text, "{space}{emphasis}{next}{emphasis}");
        }
        text.push_str(if sentence % 7 == 6 { ".\n\n" } else { ". " });
    }
    text
}
