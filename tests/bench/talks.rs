//! Talks: what of them was judged, and which planted slips were heard.

use super::{Asked, declared, index, json, line, list, meaning, slug, text};
use gaugebook::folio::Folio;
use gaugebook::proof::Coverage;
use gaugebook::proof::speech::{SpeechProof, judge};
use gaugebook::slip::{Severity, Slip};
use gaugebook::text::Source;
use serde_json::Value;
use std::collections::BTreeSet;
use std::sync::Arc;

/// Counts over all talks.
#[derive(Default)]
struct TalkTally {
    words: usize,
    stops: usize,
    marks: usize,
    figures: Coverage,
    caught: usize,
    stopped: usize,
    detectable: usize,
    raised: usize,
}

/// A talk, right and with its slips, and the folio that it is about.
struct Talk {
    folio: Arc<Folio>,
    engines: Vec<usize>,
    right: Arc<Source>,
    wrong: Arc<Source>,
}

impl Talk {
    fn read(asked: &Asked, name: &str, page: &str) -> Talk {
        let folder = &asked.folder;
        let formulas = json(&folder.join("formulas.json")).unwrap_or_default();
        let data = json(&folder.join(format!("{page}.json"))).expect("the data of the talk");
        let declared = declared(&data, &formulas[page]);
        let (folio, _) = index(&declared.front, &declared.others);
        let sheet_of = |engine: &Value| {
            let engine = slug(engine.as_str().unwrap_or_default());
            let mut sheets = folio.ledger.sheets.iter();
            sheets.position(|sheet| sheet.engine.as_deref() == Some(engine.as_str()))
        };
        let engines = match declared.others.len() {
            0 => vec![0],
            _ => list(&data, "engines").iter().filter_map(sheet_of).collect(),
        };
        let source = |end: &str| {
            let path = folder.join(format!("talks/{name}{end}.vtt"));
            Source::new(path.display().to_string(), std::fs::read_to_string(path).expect("a talk"))
        };
        Talk { right: source(""), wrong: source("-wrong"), folio, engines }
    }
}

/// Measures talks.
pub(super) fn measure(asked: &Asked, names: &[String]) {
    let expected = json(&asked.folder.join("talks/expected.json")).unwrap_or_default();
    let mut tally = TalkTally::default();
    for name in names {
        let talk = Talk::read(asked, name, text(&expected[name], "page"));
        let clean = judge(&talk.folio, &talk.engines, &talk.right);
        let heard = judge(&talk.folio, &talk.engines, &talk.wrong);
        let spoken = talk.right.text.split_whitespace().filter(|word| !word.contains(':'));
        tally.words += spoken.count();
        let of = |severity| clean.slips.iter().filter(|slip| slip.severity == severity).count();
        tally.stops += of(Severity::Stop);
        tally.marks += of(Severity::Mark);
        tally.figures.add(&clean.coverage);
        if asked.tell {
            tell(name, &talk.right, &talk.folio, &clean);
            tell(name, &talk.wrong, &talk.folio, &heard);
        }
        for planted in list(&expected[name], "slips") {
            slip(planted, &clean, &heard, asked.tell, &mut tally);
        }
    }
    let rate = |part: usize| 1000.0 * part as f64 / tally.words.max(1) as f64;
    println!(
        "{} words; {} stops ({:.1} per 1,000 words), {} marks",
        tally.words,
        tally.stops,
        rate(tally.stops),
        tally.marks
    );
    println!("{:?}", tally.figures);
    println!(
        "planted: {} caught of {} detectable, {} of them stopped; {} others raised",
        tally.caught, tally.detectable, tally.stopped, tally.raised
    );
}

fn slip(
    planted: &Value,
    clean: &SpeechProof,
    heard: &SpeechProof,
    tell: bool,
    tally: &mut TalkTally,
) {
    let known: BTreeSet<&str> = clean.slips.iter().map(|slip| slip.message.as_str()).collect();
    let at = format!("at {}", text(planted, "start"));
    let is_new =
        |slip: &&Slip| slip.message.starts_with(&at) && !known.contains(slip.message.as_str());
    let found: Vec<&Slip> = heard.slips.iter().filter(is_new).collect();
    let stops = found.iter().any(|slip| slip.severity == Severity::Stop);
    let asks = found.iter().any(|slip| slip.code == "near-miss");
    if planted["detectable"].as_bool().unwrap_or(true) {
        tally.detectable += 1;
        tally.caught += usize::from(stops || asks);
        tally.stopped += usize::from(stops);
    } else {
        tally.raised += usize::from(stops || asks);
    }
    if tell {
        let told = found.iter().map(|slip| line(slip)).collect::<Vec<_>>().join(" / ");
        println!("planted {}: stops {stops}, asks {asks} {told}", text(planted, "replacement"));
    }
}

fn tell(name: &str, source: &Source, folio: &Folio, proof: &SpeechProof) {
    for slip in &proof.slips {
        println!("{name}: {:?} {} | {}", slip.severity, slip.code, line(slip));
    }
    for figure in &proof.figures {
        let written = figure.places().first().map(|place| &source.text[place.start..place.end]);
        let first = figure.proposals.first().map(|first| first.formula.as_str());
        let meant = meaning(folio, figure);
        let unit = &figure.figure.unit.code;
        println!("{name}: FIGURE {written:?} in {unit}: {:?} {meant:?} {first:?}", figure.status);
    }
}
