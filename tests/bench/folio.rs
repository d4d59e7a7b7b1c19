//! A folio of any number of pages, always the same.
//!
//! A text folio is mostly prose: pages of 500 words that state a few figures of an engine, and for
//! every ten of them one engine page that declares these. A folio of engines has nothing but engine
//! pages: the dearest kind, with a data sheet and two data files each.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use walkdir::WalkDir;

/// What the pages are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// Nine articles to one engine.
    Text,
    /// Engines only.
    Engines,
}

/// The commonest words of the prose; none of them names a reading.
const COMMON: [&str; 32] = [
    "the", "of", "and", "a", "to", "it", "was", "that", "with", "on", "from", "when", "where",
    "each", "every", "had", "under", "after", "before", "behind", "tool", "seal", "workshop",
    "forest", "bench", "ledger", "page", "lamp", "winter", "drawing", "parts", "dust",
];

/// Beginnings, middles and ends of rarer words: 4,096 of them.
const PARTS: [&str; 16] = [
    "ba", "che", "co", "du", "el", "fi", "gra", "ho", "ke", "lu", "mo", "pra", "re", "sti", "ta",
    "wo",
];

/// Digits of engine names; no rarer word can be one.
const DIGITS: [&str; 10] = ["zan", "bor", "dim", "fel", "gum", "hak", "jov", "kur", "lem", "nix"];

/// Sentences of prose on a page: about 500 words.
const SENTENCES: usize = 42;
const WORDS_A_SENTENCE: usize = 12;

/// Writes a folio of `pages` pages to a new folder; gives the number of bytes.
pub(crate) fn write(folio: &Path, kind: Kind, pages: usize) -> u64 {
    let content = folio.join("content");
    let imprint =
        "title: Ledger of trials\nnotice: Invented for measuring speed.\npressure: gauge\n";
    fs::create_dir_all(content.join("trials")).unwrap();
    fs::write(content.join("imprint.yaml"), imprint).unwrap();
    fs::write(content.join("index.md"), "---\ntitle: Ledger of trials\n---\n\nAll trials.\n")
        .unwrap();
    for number in 0..pages {
        let name = content.join(format!("trials/trial-{number:05}.md"));
        let head = match kind {
            Kind::Text if number % 10 != 0 => article(number),
            _ => engine(number),
        };
        fs::write(name, head + &prose(number)).unwrap();
    }
    size(&content).1
}

/// Number of files below a folder, and of their bytes.
pub(crate) fn size(folder: &Path) -> (usize, u64) {
    let entries = WalkDir::new(folder).into_iter().map(Result::unwrap);
    let sizes = entries.filter(|entry| entry.file_type().is_file());
    sizes.fold((0, 0), |(files, bytes), entry| (files + 1, bytes + entry.metadata().unwrap().len()))
}

/// Pressure, bore and mass of an engine; they differ from one to the next, so that nothing can be
/// remembered from the last page.
fn figures(number: usize) -> [String; 3] {
    let (pressure, mass) = (60 + number % 40, 150 + number % 100);
    [
        format!("{}.{} bar", pressure / 10, pressure % 10),
        format!("0.{} mm", 800 + number % 200),
        format!("{}.{} g", mass / 10, mass % 10),
    ]
}

fn name(number: usize) -> String {
    format!("{number:05}").bytes().map(|digit| DIGITS[usize::from(digit - b'0')]).collect()
}

fn engine(number: usize) -> String {
    let ([pressure, bore, mass], name) = (figures(number), name(number));
    format!(
        "---\ntitle: Trial of the {name}\nsummary: One of many.\nengine: {name}\n\
         sources:\n  bench: {{kind: measured, with: caliper, on: 2026-03-02}}\n\
         readings_from: bench\nreadings:\n  operating_pressure: {pressure}\n  \
         metering_bore: {bore}\n  bolt_mass: {mass}\n---\n\n\
         The operating pressure is {pressure}. The metering bore is {bore}.\n\n\
         | Part | Reading |\n|---|---|\n| bolt mass | {mass} |\n\n"
    )
}

/// A page about the engine that was declared last.
fn article(number: usize) -> String {
    let about = number - number % 10;
    let ([pressure, bore, mass], name) = (figures(about), name(about));
    format!(
        "---\ntitle: Notes on the {name}, {}\nsummary: Written on the bench.\n\
         author: A. Writer\ndate: 2026-03-02\n---\n\n\
         The operating pressure of the {name} is {pressure}. See [its page](trial-{about:05}.md).\n\n\
         | Engine | metering bore | bolt mass |\n|---|---|---|\n| {name} | {bore} | {mass} |\n\n",
        ["first", "second", "third"][number % 3]
    )
}

fn prose(number: usize) -> String {
    let mut text = String::new();
    let mut state = number as u64 + 1;
    // Knuth's MMIX generator (memory): plain, and the same everywhere.
    let mut draw = move |below: usize| {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize % below
    };
    for sentence in 0..SENTENCES {
        if sentence % 14 == 0 {
            let _ =
                write!(text, "## {}\n\n", ["On the bench", "Inside", "Afterwards"][sentence / 14]);
        }
        for word in 0..WORDS_A_SENTENCE {
            // Half of running text is a few short words; the rest is spread widely.
            let next = match draw(2) {
                0 => COMMON[draw(COMMON.len())].to_owned(),
                _ => [draw(16), draw(16), draw(16)].map(|part| PARTS[part]).concat(),
            };
            let _ = match word {
                0 => write!(text, "{}{}", next[..1].to_uppercase(), &next[1..]),
                5 if sentence % 5 == 0 => write!(text, " *{next}*"),
                _ => write!(text, " {next}"),
            };
        }
        text.push_str(if sentence % 7 == 6 { ".\n\n" } else { ". " });
    }
    text
}
