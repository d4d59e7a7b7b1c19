//! How well figures in prose are tied and judged, on prose that somebody labelled.
//!
//! `cargo bench --bench prose -- DIR [--pages a,b] [--tell] [--mutants]` reads a folder of
//!
//! * `NAME.md`: a page's text;
//! * `NAME.json`: `engines` (names), `readings` (`name`, `aliases`, `value` as typed, `source`) and
//!   `derived` (`name`, `value`, `from`), `timeline` (`date`, `event`);
//! * `formulas.json`: for a page, the formula of each derived figure, over names in small letters
//!   with `_` for blanks; `atm` is the ambient pressure;
//! * `figures.json`: `figures`, each with `page`, `start` and `end` (characters in the text),
//!   `refers_to` (`reading`, `derived`, `conversion`, `expression`, or what is not to be tied) and
//!   `of` (names);
//! * `planted.json`: `slips`, each with `page`, `original` (found once), `replacement` and
//!   `detectable`.
//!
//! Talks lie in `talks/NAME.vtt`, with slips in `talks/NAME-wrong.vtt`; `talks/expected.json` says
//! for each its `page` and its `slips`, with `replacement`, `detectable` and `start` (time code).
//! `--talks a,b` measures these instead of pages.
//!
//! It prints, before and after all certain proposals are accepted: stops and marks on the pages as
//! they are, planted slips that were stopped or asked about, and how many figures are tied to what
//! their label says (precision, recall). With `--tell` it also prints every single case; leave that
//! out for prose that is kept for measuring. With `--mutants` each figure that a label ties is
//! written wrong in one way, in turn: a digit, two digits in each other's place, the point.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a measuring program that meets an error has failed"
)]

#[path = "mutants.rs"]
mod mutants;
#[path = "talks.rs"]
mod talks;
#[path = "typed.rs"]
mod typed;

use gaugebook::folio::{self, Files, Folio};
use gaugebook::proof::{JudgedFigure, PageProof, accept, judge, judge_and_explain};
use gaugebook::slip::{Severity, Slip};
use gaugebook::text::{Source, Span};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use typed::{Edited, slipped};

/// What is asked for on the command line.
struct Asked {
    folder: PathBuf,
    pages: Option<BTreeSet<String>>,
    talks: Option<Vec<String>>,
    tell: bool,
    mutants: bool,
}

fn asked() -> Option<Asked> {
    let mut words = std::env::args().skip(1).filter(|word| word != "--bench").peekable();
    let folder = PathBuf::from(words.next()?);
    let mut asked = Asked { folder, pages: None, talks: None, tell: false, mutants: false };
    while let Some(word) = words.next() {
        match word.as_str() {
            "--tell" => asked.tell = true,
            "--mutants" => asked.mutants = true,
            "--talks" => asked.talks = Some(words.next()?.split(',').map(str::to_owned).collect()),
            "--pages" => asked.pages = Some(words.next()?.split(',').map(str::to_owned).collect()),
            _ => return None,
        }
    }
    Some(asked)
}

fn json(path: &Path) -> Option<Value> {
    serde_json::from_str(&std::fs::read_to_string(path).ok()?).ok()
}

fn text<'v>(value: &'v Value, key: &str) -> &'v str {
    value[key].as_str().unwrap_or_default()
}

fn list<'v>(value: &'v Value, key: &str) -> &'v [Value] {
    value[key].as_array().map(Vec::as_slice).unwrap_or_default()
}

/// A name as formulas know it.
fn slug(name: &str) -> String {
    let words = name.split(|c: char| !c.is_ascii_alphanumeric()).filter(|word| !word.is_empty());
    words.map(str::to_lowercase).collect::<Vec<_>>().join("_")
}

/// A labelled page.
struct Labelled {
    name: String,
    front: String,
    others: Vec<(String, String)>,
    declared: (usize, usize),
    body: String,
    figures: Vec<Label>,
    planted: Vec<Planted>,
}

struct Label {
    span: Span,
    refers_to: String,
    of: Vec<String>,
}

impl Label {
    /// Whether it says of something declared.
    fn is_tied(&self) -> bool {
        matches!(self.refers_to.as_str(), "reading" | "derived" | "expression" | "conversion")
    }
}

struct Planted {
    kind: String,
    at: Span,
    replacement: String,
    is_detectable: bool,
}

/// A value of the data as a page's front matter takes it.
fn value(typed: &str) -> String {
    let plain = typed.replace(" (gauge)", "").replace(" (absolute)", " absolute");
    match plain.strip_prefix("dash-") {
        Some(size) => format!("-{size}"),
        None => plain,
    }
}

/// What is declared for a page: its own front matter, and pages of the engines that it compares.
#[derive(Debug, Default, Clone)]
struct Declared {
    front: String,
    others: Vec<(String, String)>,
    /// Figures that were declared, and those of the data.
    figures: (usize, usize),
}

/// A figure of the data.
struct Item<'v> {
    name: String,
    called: Vec<String>,
    /// The value as typed, and for a derived figure its formula.
    value: &'v str,
    formula: Option<String>,
}

/// A name without that of its engine, all of it ("Bobbin A's spool") or the word that tells it from
/// the other at its front ("A's spool").
fn without_engine(name: &str, engine: &str) -> String {
    let own: Vec<String> = engine.split_whitespace().map(slug).collect();
    let words: Vec<&str> = name.split_whitespace().collect();
    let plain: Vec<String> = words.iter().map(|word| slug(word.trim_end_matches("'s"))).collect();
    let whole = plain.windows(own.len()).position(|words| words == own);
    let is_last = words[0].ends_with("'s") && own.last() == plain.first();
    let (from, upto) = match whole {
        Some(at) => (at, at + own.len()),
        None if is_last => (0, 1),
        None => return name.to_owned(),
    };
    let rest = words[..from].iter().chain(&words[upto..]);
    rest.copied().collect::<Vec<_>>().join(" ")
}

/// The figures of the data, the given engine's name taken out of their names.
fn items<'v>(page: &'v Value, formulas: &Value, engine: &str, others: &[&str]) -> Vec<Item<'v>> {
    let without = |name: &str| match others.is_empty() {
        true => name.to_owned(),
        false => without_engine(name, engine),
    };
    let holds = |name: &str, engine: &str| {
        format!("_{}_", slug(&name.replace("'s", ""))).contains(&format!("_{}_", slug(engine)))
    };
    let of = |item: &'v Value, is_derived: bool| {
        let name = text(item, "name");
        let is_own = others.is_empty()
            || holds(name, engine) && !others.iter().any(|other| holds(name, other));
        let mut called = vec![without(name).to_lowercase()];
        called.extend(list(item, "aliases").iter().filter_map(Value::as_str).map(without));
        let formula = is_derived.then(|| {
            let formula = formulas[name].as_str().unwrap_or_default();
            let formula = formula.replace("**", "^").replace("atm_psi", "14.7 psi absolute");
            let formula = formula.replace("atm", "101.3 kPa absolute");
            match others.is_empty() {
                true => formula,
                false => formula.replace(&format!("{}_", slug(engine)), ""),
            }
        });
        let name = slug(&without(name));
        is_own.then(|| Item { name, called, value: text(item, "value"), formula })
    };
    let readings = list(page, "readings").iter().filter_map(|item| of(item, false));
    let derived = list(page, "derived").iter().filter_map(|item| of(item, true));
    readings.chain(derived).collect()
}

/// Front matter with the readings that can be read and the derived figures that work out.
fn front(
    head: String,
    items: &[Item<'_>],
    others: &[(String, String)],
    timeline: &str,
) -> (String, usize) {
    let (mut head, mut declared) = (head, 0);
    let mut derived = String::from("derived:\n");
    let clean = |page: &str| is_clean(page, others);
    for item in items {
        let names: Vec<String> = item.called.iter().map(|name| format!("{name:?}")).collect();
        let (name, called) = (&item.name, names.join(", "));
        if let Some(formula) = &item.formula {
            let line = format!("  {name}: {{is: {formula:?}, called: [{called}]}}\n");
            if clean(&format!("{head}{derived}{line}---\n")) {
                derived.push_str(&line);
                declared += 1;
                continue;
            }
        }
        // What a page may count is a closed list; other counts are bare numbers.
        let value = value(item.value);
        let (number, noun) = value.split_once(' ').unwrap_or((&value, ""));
        let is_noun = 2 < noun.len() && noun.bytes().all(|b| b.is_ascii_alphabetic());
        let bare = if is_noun { number.to_owned() } else { String::new() };
        for value in [value.clone(), bare] {
            let line = format!("  {name}: {{is: {value:?}, called: [{called}]}}\n");
            if clean(&format!("{head}{line}{derived}---\n")) {
                head.push_str(&line);
                declared += 1;
                break;
            }
        }
    }
    (format!("{head}{derived}{timeline}---\n\n"), declared)
}

fn timeline(page: &Value) -> String {
    let events = list(page, "timeline").iter();
    let events = events.map(|event| {
        format!(
            "  - {{on: {}, what: {:?}, from: bench}}\n",
            text(event, "date"),
            text(event, "event")
        )
    });
    let events: String = events.collect();
    if events.is_empty() { events } else { format!("timeline:\n{events}") }
}

fn declared(page: &Value, formulas: &Value) -> Declared {
    let engines: Vec<&str> = list(page, "engines").iter().filter_map(Value::as_str).collect();
    let all = list(page, "readings").len() + list(page, "derived").len();
    let sources = "sources: {bench: {kind: measured}}\nreadings_from: bench\n";
    let head = |engine: &str| {
        format!("---\ntitle: {engine:?}\nengine: {}\n{sources}readings:\n", slug(engine))
    };
    if engines.len() < 2 {
        let engine = engines.first().copied().unwrap_or("engine");
        let (front, declared) =
            front(head(engine), &items(page, formulas, engine, &[]), &[], &timeline(page));
        return Declared { front, others: Vec::new(), figures: (declared, all) };
    }
    let mut found = Declared { figures: (0, all), ..Declared::default() };
    for engine in &engines {
        let others: Vec<&str> = engines.iter().copied().filter(|other| other != engine).collect();
        let (text, declared) =
            front(head(engine), &items(page, formulas, engine, &others), &[], "");
        found.figures.0 += declared;
        found.others.push((format!("content/{}.md", slug(engine)), text));
    }
    let names: Vec<String> = engines.iter().map(|engine| slug(engine)).collect();
    found.front = format!(
        "---\ntitle: Side by side\ncompare: [{}]\nsources: {{bench: {{kind: measured}}}}\n{}---\n\n",
        names.join(", "),
        timeline(page)
    );
    found
}

/// Whether a page of these declarations stops nowhere.
fn is_clean(page: &str, others: &[(String, String)]) -> bool {
    let (folio, mut slips) = index(page, others);
    slips.extend(judged(&folio, page).slips);
    !slips.iter().any(|slip| slip.severity == Severity::Stop)
}

/// The first page of the folio by its path.
const NAME: &str = "content/0.md";

fn index(page: &str, others: &[(String, String)]) -> (Arc<Folio>, Vec<Slip>) {
    let imprint = Source::new("content/imprint.yaml", "title: Prose\npressure: gauge\n");
    let files = Files { imprint: Some(imprint), ..Files::default() };
    let other = |name: &str| others.iter().find(|(known, _)| known == name);
    let load = |name: &str| Ok(Source::new(name, other(name).map_or(page, |(_, text)| text)));
    let mut names = vec![NAME.to_owned()];
    names.extend(others.iter().map(|(name, _)| name.clone()));
    let (folio, slips) = folio::read(&names, files, &load);
    (Arc::new(folio), slips)
}

fn judged(folio: &Arc<Folio>, page: &str) -> PageProof {
    judge(folio, 0, &Source::new(NAME, page))
}

fn labelled(asked: &Asked) -> Vec<Labelled> {
    let folder = &asked.folder;
    let figures = json(&folder.join("figures.json")).unwrap_or_default();
    let planted = json(&folder.join("planted.json")).unwrap_or_default();
    let formulas = json(&folder.join("formulas.json")).unwrap_or_default();
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .expect("a folder")
        .filter_map(|entry| Some(entry.ok()?.path().file_name()?.to_str()?.to_owned()))
        .filter_map(|name| name.strip_suffix(".md").map(str::to_owned))
        .collect();
    names.sort();
    names.retain(|name| asked.pages.as_ref().is_none_or(|pages| pages.contains(name)));
    let pages = names.into_iter().filter_map(|name| {
        let page = json(&folder.join(format!("{name}.json")))?;
        let body = std::fs::read_to_string(folder.join(format!("{name}.md"))).ok()?;
        let bytes: Vec<usize> = body.char_indices().map(|(at, _)| at).chain([body.len()]).collect();
        let own = |item: &&Value| text(item, "page") == name;
        let figures = list(&figures, "figures").iter().filter(own).map(|item| Label {
            span: Span::new(
                bytes[usize::try_from(item["start"].as_u64().unwrap()).unwrap()],
                bytes[usize::try_from(item["end"].as_u64().unwrap()).unwrap()],
            ),
            refers_to: text(item, "refers_to").to_owned(),
            of: list(item, "of").iter().filter_map(Value::as_str).map(slug).collect(),
        });
        let planted = list(&planted, "slips").iter().filter(own).filter_map(|item| {
            let at = body.find(text(item, "original"))?;
            Some(Planted {
                kind: text(item, "kind").to_owned(),
                at: Span::new(at, at + text(item, "original").len()),
                replacement: text(item, "replacement").to_owned(),
                is_detectable: item["detectable"].as_bool().unwrap_or(true),
            })
        });
        let figures: Vec<Label> = figures.collect();
        let planted = planted.collect();
        let planted = if asked.mutants { mutants::of(&body, &figures) } else { planted };
        let Declared { front, others, figures: declared } = declared(&page, &formulas[&name]);
        // The page's title is that of its front matter.
        let body = match body.strip_prefix("# ") {
            Some(_) => format!("  {}", &body[2..]),
            None => body,
        };
        Some(Labelled { name, front, others, declared, body, figures, planted })
    });
    pages.collect()
}

/// Counts of one round.
#[derive(Default)]
struct Tally {
    words: usize,
    figures: usize,
    stops: usize,
    marks: usize,
    tied: usize,
    tied_right: usize,
    to_tie: usize,
    proposed: usize,
    proposed_right: usize,
    stopped: usize,
    asked: usize,
    detectable: usize,
    raised: usize,
    undetectable: usize,
    /// Figures declared, and those of the data.
    declared: (usize, usize),
    /// "Did you mean" on the pages as they are.
    idle_asks: usize,
    /// Stops and marks on the pages as they are, by what they are called.
    codes: BTreeMap<&'static str, usize>,
    /// Detectable slips of a kind: caught, and all.
    kinds: BTreeMap<String, (usize, usize)>,
}

impl Tally {
    /// Counts a slip on a page as it is.
    fn count(&mut self, labelled: &Labelled, slip: &Slip, tell: bool) {
        match slip.severity {
            Severity::Stop => self.stops += 1,
            Severity::Mark => self.marks += 1,
            Severity::Note => return,
        }
        self.idle_asks += usize::from(slip.code == "near-miss");
        *self.codes.entry(slip.code).or_default() += 1;
        if tell {
            println!("{}: {:?} {} | {}", labelled.name, slip.severity, slip.code, line(slip));
        }
    }

    fn print(&self, when: &str) {
        let share = |part: usize, of: usize| 100.0 * part as f64 / of.max(1) as f64;
        let rate = |part: usize| 1000.0 * part as f64 / self.words.max(1) as f64;
        println!("{when}:");
        println!(
            "  {} words, {} labelled figures, {} of {} named figures declared",
            self.words, self.figures, self.declared.0, self.declared.1
        );
        println!(
            "  as written: {} stops ({:.1} per 1,000 words), {} marks ({:.1} per 1,000 words)",
            self.stops,
            rate(self.stops),
            self.marks,
            rate(self.marks)
        );
        let codes = self.codes.iter().map(|(code, count)| format!("{code} {count}"));
        println!("    {}", codes.collect::<Vec<_>>().join(", "));
        println!(
            "  ties: precision {:.0} % ({} of {}), recall {:.0} % ({} of {})",
            share(self.tied_right, self.tied),
            self.tied_right,
            self.tied,
            share(self.tied_right, self.to_tie),
            self.tied_right,
            self.to_tie
        );
        println!(
            "  first proposals: {:.0} % right ({} of {}); {} figures that are right asked about",
            share(self.proposed_right, self.proposed),
            self.proposed_right,
            self.proposed,
            self.idle_asks
        );
        println!(
            "  planted: {} stopped, {} asked about, {} missed of {} detectable ({:.0} %); {} of {} \
             others raised",
            self.stopped,
            self.asked,
            self.detectable - self.stopped - self.asked,
            self.detectable,
            share(self.stopped + self.asked, self.detectable),
            self.raised,
            self.undetectable
        );
        let kinds = self.kinds.iter().map(|(kind, (caught, of))| format!("{kind} {caught}/{of}"));
        println!("  by kind: {}", kinds.collect::<Vec<_>>().join(", "));
    }
}

/// Accepts all certain proposals of a page.
fn accepted(labelled: &Labelled) -> Edited {
    let page = format!("{}{}", labelled.front, labelled.body);
    let (folio, _) = index(&page, &labelled.others);
    let edits = accept::edits(&folio, 0, &Source::new(NAME, page.as_str()), &judged(&folio, &page));
    let shift = labelled.front.len();
    let mut edited = Edited { text: String::new(), pieces: Vec::new() };
    let mut at = 0;
    for edit in edits.iter().filter(|edit| shift <= edit.span.start) {
        let (start, end) = (edit.span.start - shift, edit.span.end - shift);
        let old = &labelled.body[start..end];
        let inside = edit.text.find(old).expect("an edit keeps the writer's words");
        edited.pieces.push((at, edited.text.len(), start - at));
        edited.text.push_str(&labelled.body[at..start]);
        edited.pieces.push((start, edited.text.len() + inside, old.len()));
        edited.text.push_str(&edit.text);
        at = end;
    }
    edited.pieces.push((at, edited.text.len(), labelled.body.len() - at));
    edited.text.push_str(&labelled.body[at..]);
    edited
}

/// The names in a formula.
fn names(formula: &str) -> BTreeSet<&str> {
    // What a bracket follows is a function.
    let words = formula.split_inclusive(|c: char| !c.is_ascii_alphanumeric() && c != '_');
    let words = words.filter(|word| !word.ends_with('('));
    let words = words.map(|word| word.trim_end_matches(|c: char| !c.is_ascii_alphanumeric()));
    words.filter(|word| word.contains('_') || word.len() > 4).collect()
}

/// What a figure says it is: the entries or the formula.
fn meaning(folio: &Folio, figure: &JudgedFigure) -> Option<String> {
    match figure.tied {
        Some((sheet, entry)) => {
            let own = &folio.ledger.sheets[sheet];
            let name = own.entries[entry].name.text.clone();
            // Where a page compares engines, the data names the engine first.
            Some(match (&own.engine, folio.pages.len()) {
                (Some(engine), 2..) => format!("{engine}_{name}"),
                _ => name,
            })
        }
        None => figure.formula.as_deref().map(joined),
    }
}

/// A formula's names of other engines' figures, as the data writes them.
fn joined(formula: &str) -> String {
    let is_name = |c: Option<char>| c.is_some_and(|c| c.is_ascii_alphabetic());
    let mut joined = String::new();
    for (at, c) in formula.char_indices() {
        let is_path = c == '.' && is_name(formula[at + 1..].chars().next());
        joined.push(if is_path { '_' } else { c });
    }
    joined
}

fn is_right(label: &Label, meant: &str) -> bool {
    let wanted: BTreeSet<&str> = label.of.iter().map(String::as_str).collect();
    let wanted: BTreeSet<&str> = wanted.into_iter().collect();
    let named = names(meant);
    label.of.iter().any(|of| of == meant) && label.of.len() == 1 || named == wanted
}

fn measure(labelled: &Labelled, edited: &Edited, tell: bool, tally: &mut Tally) {
    let shift = labelled.front.len();
    let page = format!("{}{}", labelled.front, edited.text);
    let (folio, _) = index(&page, &labelled.others);
    let proof = match tell {
        true => judge_and_explain(&folio, 0, &Source::new(NAME, page.as_str())),
        false => judged(&folio, &page),
    };
    tally.words += labelled.body.split_whitespace().count();
    tally.figures += labelled.figures.len();
    tally.declared.0 += labelled.declared.0;
    tally.declared.1 += labelled.declared.1;
    let body: Vec<&Slip> =
        proof.slips.iter().filter(|slip| shift <= slip.spot.span.start).collect();
    body.iter().for_each(|slip| tally.count(labelled, slip, tell));
    ties(labelled, edited, &folio, &proof, shift, tell, tally);
    for planted in &labelled.planted {
        let page = format!(
            "{}{}",
            labelled.front,
            slipped(edited, &labelled.body, planted.at, &planted.replacement)
        );
        let (folio, _) = index(&page, &labelled.others);
        let wrong = judged(&folio, &page);
        let known: BTreeSet<(&str, &str)> =
            proof.slips.iter().map(|slip| (slip.code, slip.spot.text())).collect();
        let new = wrong.slips.iter().filter(|slip| !known.contains(&(slip.code, slip.spot.text())));
        let new: Vec<&Slip> = new.collect();
        let stops = new.iter().any(|slip| slip.severity == Severity::Stop);
        let asks = new.iter().any(|slip| slip.code == "near-miss");
        match (planted.is_detectable, stops, asks) {
            (true, true, _) => tally.stopped += 1,
            (true, false, true) => tally.asked += 1,
            (false, _, _) => tally.raised += usize::from(stops || asks),
            _ => {}
        }
        if planted.is_detectable {
            let kind = tally.kinds.entry(planted.kind.clone()).or_default();
            kind.0 += usize::from(stops || asks);
            kind.1 += 1;
        }
        tally.detectable += usize::from(planted.is_detectable);
        tally.undetectable += usize::from(!planted.is_detectable);
        if tell {
            let told = new.iter().map(|slip| line(slip)).collect::<Vec<_>>().join(" / ");
            let how = match (stops, asks) {
                (true, _) => "stopped",
                (false, true) => "asked",
                _ => "MISSED",
            };
            println!(
                "{}: planted {} -> {}: {how}{} {told}",
                labelled.name,
                &labelled.body[planted.at.start..planted.at.end],
                planted.replacement,
                if planted.is_detectable { "" } else { " (undetectable)" }
            );
        }
    }
}

fn ties(
    labelled: &Labelled,
    edited: &Edited,
    folio: &Folio,
    proof: &PageProof,
    shift: usize,
    tell: bool,
    tally: &mut Tally,
) {
    let mut found: BTreeMap<usize, &JudgedFigure> = BTreeMap::new();
    for (_, figure) in &proof.figures {
        for place in figure.places() {
            found.insert(place.start, figure);
        }
    }
    for label in &labelled.figures {
        let wants = label.is_tied();
        tally.to_tie += usize::from(wants);
        let span = Span::new(
            edited.place(label.span.start) + shift,
            edited.place(label.span.end.saturating_sub(1)) + 1 + shift,
        );
        let mut figures = found.range(span.start.saturating_sub(12)..span.end).map(|(_, f)| f);
        let figure = figures.find(|figure| figure.places().iter().any(|p| p.overlaps(span)));
        let written = &labelled.body[label.span.start..label.span.end];
        let told = |what: String| {
            if tell {
                println!(
                    "{}: {written}: {what}; is {} {:?}",
                    labelled.name, label.refers_to, label.of
                );
            }
        };
        let Some(figure) = figure else {
            told("unread".to_owned());
            continue;
        };
        match meaning(folio, figure) {
            Some(meant) => {
                tally.tied += 1;
                let right = wants && is_right(label, &meant);
                tally.tied_right += usize::from(right);
                if !right {
                    told(format!("tied to {meant}"));
                }
            }
            None => match figure.proposals.first() {
                Some(first) => {
                    tally.proposed += 1;
                    let right = wants && is_right(label, &joined(&first.formula));
                    tally.proposed_right += usize::from(right);
                    told(format!(
                        "{} proposed {}",
                        if right { "right:" } else { "WRONG:" },
                        first.formula
                    ));
                }
                None => told(format!("{:?} {:?}", figure.status, figure.why)),
            },
        }
    }
}

fn line(slip: &Slip) -> String {
    let source = &slip.spot.source;
    let around = source.line_span(slip.spot.span.start);
    let start = slip.spot.span.start.saturating_sub(60).max(around.start);
    let start = (start..).find(|at| source.text.is_char_boundary(*at)).unwrap_or(around.start);
    format!(
        "{} [{}«{}»]",
        slip.message,
        &source.text[start..slip.spot.span.start],
        slip.spot.text()
    )
}

fn main() {
    let Some(asked) = asked() else {
        println!(
            "cargo bench --bench prose -- DIR [--pages a,b | --talks a,b] [--tell] [--mutants]"
        );
        return;
    };
    if let Some(names) = &asked.talks {
        talks::measure(&asked, names);
        return;
    }
    let pages = labelled(&asked);
    if asked.tell {
        for page in &pages {
            println!("{}", page.front);
            page.others.iter().for_each(|(_, front)| println!("{front}"));
        }
    }
    let (mut before, mut after) = (Tally::default(), Tally::default());
    for page in &pages {
        measure(page, &Edited::unchanged(&page.body), asked.tell, &mut before);
    }
    if asked.tell {
        println!("\n== after accepting\n");
    }
    for page in &pages {
        measure(page, &accepted(page), asked.tell, &mut after);
    }
    before.print("before any mark");
    after.print("after accepting all certain proposals");
}
