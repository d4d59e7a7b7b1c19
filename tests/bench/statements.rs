//! How well the statements of sentences are found and judged, on sentences that somebody labelled.
//!
//! `cargo bench --bench statements -- DIR [--tell] [--ids even|odd]` reads a folder of
//!
//! * `folio/`: a folio as a writer would enter it, `content/*.md` of one engine each, perhaps
//!   `content/imprint.yaml`, and `diagrams/*.cut`;
//! * `sentences.jsonl`: a sentence a line, with `id` (a number), `context` (the engines it is said
//!   of, each by a beginning of its name or of its words that no other engine has), `text` and
//!   `truth`: `true`, `false`, `open` (a claim that what is known does not settle) or `none` (no
//!   claim at all), perhaps `kind` (a word, for the counts).
//!
//! An engine of a context may also be named by `engines` in `DIR/facts.json`: an object of objects
//! with a `name`.
//!
//! Each sentence is put alone on the page of its engine, or on a comparison of its engines, and
//! judged beside what the page says without it. It counts as `false` where it stops publishing, as
//! `open` where a statement is counted that nothing decides, as `true` where one holds or its
//! figures agree with what is known, else as `none`. What the record settles and the program leaves
//! open counts as wrong. With `--tell` it prints every sentence that came out otherwise; leave that
//! out for what is kept for measuring.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a measuring program that meets an error has failed"
)]

use gaugebook::folio::{self, Files};
use gaugebook::proof::{PageProof, judge};
use gaugebook::slip::Severity;
use gaugebook::text::Source;
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What is asked for on the command line.
struct Asked {
    folder: PathBuf,
    tell: bool,
    /// Remainder by two of the ids that are looked at.
    ids: Option<u64>,
}

fn asked() -> Option<Asked> {
    let mut words = std::env::args().skip(1).filter(|word| word != "--bench");
    let mut asked = Asked { folder: PathBuf::from(words.next()?), tell: false, ids: None };
    while let Some(word) = words.next() {
        match word.as_str() {
            "--tell" => asked.tell = true,
            "--ids" => asked.ids = Some(u64::from(words.next()? == "odd")),
            _ => return None,
        }
    }
    Some(asked)
}

/// Files of a folder with this ending, by name, with their texts.
fn files(folder: &Path, ending: &str) -> Vec<(String, String)> {
    let entries = std::fs::read_dir(folder).expect("a folder").filter_map(Result::ok);
    let paths = entries.map(|entry| entry.path());
    let paths = paths.filter(|path| path.extension().is_some_and(|end| end == ending));
    let mut found: Vec<(String, String)> = paths
        .map(|path| {
            let name = path.file_name().unwrap().to_str().unwrap().to_owned();
            (name, std::fs::read_to_string(path).expect("a text"))
        })
        .collect();
    found.sort();
    found
}

/// A folio as it was entered.
struct Entered {
    imprint: Arc<Source>,
    cutaways: Vec<Arc<Source>>,
    /// Pages by name; the one that sentences are put on, if it is a comparison, comes last.
    pages: Vec<(String, String)>,
    /// What contexts call the engine of each page.
    called: BTreeMap<String, usize>,
}

impl Entered {
    fn read(folder: &Path) -> Entered {
        let content = folder.join("folio/content");
        let imprint = std::fs::read_to_string(content.join("imprint.yaml")).unwrap_or_default();
        let cutaways = files(&folder.join("folio/diagrams"), "cut").into_iter();
        let pages: Vec<(String, String)> = files(&content, "md");
        let facts = std::fs::read_to_string(folder.join("facts.json")).unwrap_or_default();
        let facts: Value = serde_json::from_str(&facts).unwrap_or_default();
        let mut called = BTreeMap::new();
        for (at, (file, text)) in pages.iter().enumerate() {
            let title = text.lines().find_map(|line| line.strip_prefix("title: ")).unwrap_or(file);
            called.insert(title.trim_matches('"').to_owned(), at);
            for (short, engine) in facts["engines"].as_object().into_iter().flatten() {
                if engine["name"].as_str() == Some(title) {
                    called.insert(short.clone(), at);
                }
            }
        }
        Entered {
            imprint: Source::new("content/imprint.yaml", imprint),
            cutaways: cutaways
                .map(|(name, text)| Source::new(format!("diagrams/{name}"), text))
                .collect(),
            pages: pages.into_iter().map(|(n, text)| (format!("content/{n}"), text)).collect(),
            called,
        }
    }

    /// The page that a context means by a word.
    fn page(&self, word: &str) -> usize {
        let exact = self.called.get(word).copied();
        let begins = || self.called.iter().find(|(name, _)| name.starts_with(word));
        exact.or_else(|| begins().map(|(_, at)| *at)).expect("an engine of the folio")
    }

    /// A sentence judged on the page of its engine, or on a comparison of its engines; with it the
    /// place at which it starts.
    fn judged(&self, context: &[&str], sentence: &str) -> (PageProof, usize) {
        let mut pages = self.pages.clone();
        let engine = |at: usize| {
            let lines = self.pages[at].1.lines();
            lines.filter_map(|line| line.strip_prefix("engine: ")).next().unwrap_or_default()
        };
        let at = match context {
            [one] => self.page(one),
            several => {
                let names: Vec<&str> = several.iter().map(|word| engine(self.page(word))).collect();
                let names = names.join(", ");
                let front = format!("---\ntitle: Side by side\ncompare: [{names}]\n---\n\n");
                pages.push(("content/zz.md".to_owned(), front));
                pages.len() - 1
            }
        };
        let text = &mut pages[at].1;
        text.push('\n');
        let start = text.len();
        text.push_str(sentence);
        text.push('\n');
        let names: Vec<String> = pages.iter().map(|(name, _)| name.clone()).collect();
        let load = |name: &str| {
            let page = pages.iter().find(|(known, _)| known == name);
            Ok(Source::new(name, page.expect("a page of the folio").1.as_str()))
        };
        let (imprint, cutaways) = (Some(Arc::clone(&self.imprint)), self.cutaways.clone());
        let (folio, _) =
            folio::read(&names, Files { imprint, cutaways, ..Files::default() }, &load);
        let source = Source::new(&names[at], pages[at].1.as_str());
        (judge(&Arc::new(folio), at, &source), start)
    }
}

/// The faults of what stops publishing at a sentence.
fn stops((proof, start): &(PageProof, usize)) -> Vec<&'static str> {
    let stops = proof.slips.iter().filter(|slip| slip.severity == Severity::Stop);
    stops.filter(|slip| *start <= slip.spot.span.start).map(|slip| slip.code).collect()
}

/// What a sentence came to, and what was said of it, beside what its page says without it.
fn outcome(
    (proof, start): &(PageProof, usize),
    (bare, _): &(PageProof, usize),
) -> (&'static str, String) {
    let stops = proof.slips.iter().filter(|slip| slip.severity == Severity::Stop);
    let stops: Vec<String> = stops
        .filter(|slip| *start <= slip.spot.span.start)
        .map(|slip| format!("{}: {}", slip.code, slip.message))
        .collect();
    let known: Vec<(&str, &str, &str)> = bare.stated().collect();
    let told = proof.stated().filter(|it| !known.contains(it));
    let told = told.map(|(question, how, why)| format!("{how}: {question} ({why})"));
    let told: Vec<String> = told.collect();
    let agree = |of: &PageProof| {
        of.coverage.computed + of.coverage.second_statement + of.coverage.own_reading
    };
    let agree = agree(proof).saturating_sub(agree(bare));
    let open = |of: &PageProof| of.coverage.statements_open + of.coverage.statements_unasked;
    let open = open(proof).saturating_sub(open(bare));
    let held = proof.coverage.statements_held.saturating_sub(bare.coverage.statements_held);
    let found = match (stops.is_empty(), open, held) {
        (false, _, _) => "false",
        (true, 1.., _) => "open",
        (true, 0, 0) if agree == 0 => "none",
        _ => "true",
    };
    (found, stops.into_iter().chain(told).collect::<Vec<_>>().join("; "))
}

/// Counts of sentences by what they are and what they came to.
#[derive(Default)]
struct Tally {
    counts: BTreeMap<(String, &'static str), usize>,
    /// Faults by which sentences were stopped that are not false.
    wrongly: BTreeMap<String, usize>,
    /// Sentences of a kind: right, and all.
    kinds: BTreeMap<String, (usize, usize)>,
}

impl Tally {
    fn of(&self, is: impl Fn(&str, &str) -> bool) -> usize {
        let of = self.counts.iter().filter(|((truth, found), _)| is(truth, found));
        of.map(|(_, count)| count).sum()
    }

    fn print(&self) {
        let all = self.of(|_, _| true);
        let claims = self.of(|truth, _| truth != "none");
        let found = self.of(|_, found| found != "none");
        let found_claims = self.of(|truth, found| truth != "none" && found != "none");
        let settled = self.of(|truth, _| matches!(truth, "true" | "false"));
        let settled_right =
            self.of(|truth, found| matches!(truth, "true" | "false") && truth == found);
        let judged = self.of(|_, found| matches!(found, "true" | "false"));
        let share = |part: usize, of: usize| 100.0 * part as f64 / of.max(1) as f64;
        println!("{all} sentences, right {}", self.of(|truth, found| truth == found));
        println!(
            "found: precision {:.0} % ({found_claims} of {found}), recall {:.0} % ({found_claims} \
             of {claims})",
            share(found_claims, found),
            share(found_claims, claims)
        );
        println!(
            "judged: precision {:.0} % ({settled_right} of {judged}), recall {:.0} % \
             ({settled_right} of {settled})",
            share(settled_right, judged),
            share(settled_right, settled)
        );
        println!(
            "false stops: {} of true ones, {} of others; false ones that hold: {}",
            self.of(|truth, found| truth == "true" && found == "false"),
            self.of(|truth, found| matches!(truth, "open" | "none") && found == "false"),
            self.of(|truth, found| truth == "false" && found == "true")
        );
        println!("stopped wrongly by: {:?}", self.wrongly);
        let kinds = self.kinds.iter().map(|(kind, (right, of))| format!("{kind} {right}/{of}"));
        println!("by kind: {}", kinds.collect::<Vec<_>>().join(", "));
        println!("truth  ->   true  false   open   none");
        for truth in ["true", "false", "open", "none"] {
            let cells = ["true", "false", "open", "none"]
                .map(|to| format!("{:6}", self.of(|is, found| is == truth && found == to)));
            println!("{truth:9} {}", cells.join(" "));
        }
    }
}

fn main() {
    let Some(asked) = asked() else {
        println!("cargo bench --bench statements -- DIR [--tell] [--ids even|odd]");
        return;
    };
    let entered = Entered::read(&asked.folder);
    let lines = std::fs::read_to_string(asked.folder.join("sentences.jsonl")).expect("sentences");
    let mut tally = Tally::default();
    let mut bares = BTreeMap::new();
    for line in lines.lines().filter(|line| !line.trim().is_empty()) {
        let sentence: Value = serde_json::from_str(line).expect("a line of JSON");
        let id = sentence["id"].as_u64().expect("a number");
        if asked.ids.is_some_and(|ids| id % 2 != ids) {
            continue;
        }
        let context = sentence["context"].as_array().expect("engines").iter();
        let context: Vec<&str> = context.filter_map(Value::as_str).collect();
        let (text, truth) =
            (sentence["text"].as_str().unwrap(), sentence["truth"].as_str().unwrap());
        let kind = sentence["kind"].as_str().unwrap_or("any");
        let judged = entered.judged(&context, text);
        let bare = bares.entry(context.join("+")).or_insert_with(|| entered.judged(&context, ""));
        let (found, told) = outcome(&judged, bare);
        for code in stops(&judged).into_iter().filter(|_| truth != "false") {
            *tally.wrongly.entry(format!("{code} of {kind}")).or_default() += 1;
        }
        let of_kind = tally.kinds.entry(kind.to_owned()).or_default();
        *of_kind = (of_kind.0 + usize::from(found == truth), of_kind.1 + 1);
        *tally.counts.entry((truth.to_owned(), found)).or_default() += 1;
        if asked.tell && found != truth {
            println!("{id} {} {truth} -> {found}: {text}\n      {told}", context.join("+"));
        }
    }
    tally.print();
}
