//! Broken input: whatever bytes arrive, the answer is a value or a fault, never a panic, and it
//! comes before long. Shared by the short look of every test run and the long one of `.ci/slow`.
//!
//! To add a reader, add a line to [`READERS`]: a name, what it does with bytes, and good input to
//! break. Each case is repeatable by its number; one that was answered wrongly becomes a test of
//! its own beside what was mended.

use gaugebook::body::blocks;
use gaugebook::body::template::Rendered;
use gaugebook::cutaway;
use gaugebook::folio::{self, Files};
use gaugebook::page;
use gaugebook::proof::judge;
use gaugebook::shell::edition::{Shelf, Wish, make};
use gaugebook::shell::folder::Folder;
use gaugebook::shell::script;
use gaugebook::site::pictures;
use gaugebook::slip::{Paint, render, to_json};
use gaugebook::text::{Source, Span};
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, mpsc};
use std::time::Duration;

/// No reader takes longer for a small input, not even on a slow machine: this tells that it ends.
const LONGEST: Duration = Duration::from_secs(20);

/// Name, what is done, good input, and how many cases of the others one of its own is worth.
type Reader = (&'static str, fn(&[u8]), fn() -> Vec<Vec<u8>>, u64);

const READERS: [Reader; 8] = [
    ("pictures", |bytes| drop(pictures::prepare(bytes)), some_pictures, 1),
    ("pages", read_page, some_pages, 1),
    ("blocks", read_blocks, some_pages, 1),
    ("folios", judge_page, small_pages, 1),
    ("scripts", judge_script, some_scripts, 10),
    ("cutaways", read_cutaway, some_cutaways, 1),
    ("formulas", read_formula, some_formulas, 1),
    ("tables", write_tables, table_pages, 100),
];

fn text_of(bytes: &[u8]) -> String {
    // The shell refuses what is no text before any of these readers sees it.
    String::from_utf8_lossy(bytes).into_owned()
}

fn some_pages() -> Vec<Vec<u8>> {
    let content = Path::new(env!("CARGO_MANIFEST_DIR")).join("content");
    ["engines/rowan.md", "engines/sorrel.md", "compare/rowan-and-ash.md", "glossary.md"]
        .map(|name| std::fs::read(content.join(name)).unwrap())
        .to_vec()
}

/// Front matter, YAML and all.
fn read_page(bytes: &[u8]) {
    let source = Source::new("content/page.md", text_of(bytes));
    let (page, slips) = page::read(&source);
    drop((page, slips));
}

/// Markdown, and the way back from every block to its text.
fn read_blocks(bytes: &[u8]) {
    let text = text_of(bytes);
    let rendered = Rendered::plain(&text, 0);
    let document = blocks::read(&rendered);
    for block in &document.blocks {
        let place = block.rendered(Span::new(0, block.text.len()));
        assert!(place.end <= text.len());
    }
}

fn small_pages() -> Vec<Vec<u8>> {
    let page = "---\ntitle: Rowan\nengine: rowan\nsources: {b: {kind: measured}}\nreadings_from: b\n\
                readings:\n  bore: 0.90 mm ± 0.02 mm\n  pressure: {is: 128 psi (8.83 bar), also: \
                [8.8 bar ± 0.1 bar]}\n  seal: AS568 -012\n  hole: goes 1.0 mm, stops 1.1 mm\n  \
                lengths: {repeats: [41.2, 41.3], unit: mm}\n  spring: {pairs: [4 N at 32 mm, 13 N at \
                22 mm]}\nderived:\n  area: {is: circle_area(bore), as: mm²}\nclaims:\n  - {say: \"it is \
                small\", holds: area < 1 mm²}\n---\n\n## The hole\n\nThe bore is 0.90 mm (0.035 in), \
                about [0.64 mm²](by:area) at {{ pressure }}; the seal is a -012.\n\n> opinion: 8 bar do.\n\n\
                | Part | Size (mm) |\n|---|---|\n| Bore | 0.90 |\n{% for r in readings %}| {{ r.words }} \
                | {{ r }} |\n{% endfor %}\n\n![Hole of 0.90 mm](a.png \"credit: us\") [x](other.md#y)\n";
    vec![page.as_bytes().to_vec()]
}

/// A folio of one page, judged from end to end, and its slips printed.
fn judge_page(bytes: &[u8]) {
    let source = Source::new("content/page.md", text_of(bytes));
    let imprint = Source::new("content/imprint.yaml", "title: Bench\npressure: gauge\n");
    let names = [source.name.clone()];
    let load = |_: &str| Ok(Arc::clone(&source));
    let files = Files { imprint: Some(imprint), ..Files::default() };
    let (folio, mut slips) = folio::read(&names, files, &load);
    let folio = Arc::new(folio);
    slips.extend(judge(&folio, 0, &source).slips);
    for slip in &slips {
        drop(render(slip, Paint::plain()));
        drop(to_json(slip));
    }
}

fn some_scripts() -> Vec<Vec<u8>> {
    let spoken = "The bore is zero point nine millimetres, and one hundred and twenty eight psi.\n\n\
                  So a thirty-second of an inch it is, give or take.\n";
    let subtitles = "WEBVTT\n\n1\n00:00:01.000 --> 00:00:03.000\n<v Ada>The bore is\nzero point nine\n\n\
                     00:00:03.500 --> 00:00:05.000 align:start\nmillimetres. <i>Really.</i>\n";
    vec![spoken.as_bytes().to_vec(), subtitles.as_bytes().to_vec()]
}

fn judge_script(bytes: &[u8]) {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("content")).unwrap();
    std::fs::write(folder.path().join("content/rowan.md"), &small_pages()[0]).unwrap();
    std::fs::write(folder.path().join("script.txt"), bytes).unwrap();
    let folio = Folder::open(folder.path()).unwrap();
    let standing = script::judge(&folio, &folder.path().join("script.txt"), &["rowan".to_owned()]);
    for slip in standing.map(|(standing, _)| standing.slips).unwrap_or_default() {
        drop(render(&slip, Paint::plain()));
    }
}

/// The words' examples are good cutaways, one for every word.
fn some_cutaways() -> Vec<Vec<u8>> {
    let examples = cutaway::words().iter().map(|word| word.example.as_bytes().to_vec());
    let all = "tests/cutaway/clean/rowan.cut";
    let all = std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join(all)).unwrap();
    examples.chain([all]).collect()
}

/// Read as itself, as the base of another, with its events told and its columns aligned.
fn read_cutaway(bytes: &[u8]) {
    let source = Source::new("diagrams/hazel.cut", text_of(bytes));
    let others = |name: &str| (name == "hazel").then(|| Arc::clone(&source));
    let above = Source::new("diagrams/ash.cut", "cutaway ash based on hazel\nwithout way vent\n");
    for source in [&source, &above] {
        let (engine, slips) = cutaway::read(source, &others);
        for slip in &slips {
            drop(render(slip, Paint::plain()));
        }
        for order in &engine.orders {
            let words = cutaway::event_words(&engine, order.first);
            drop(cutaway::parse_event(&engine, &words));
        }
        drop(cutaway::revisions(source, &others));
    }
    let once = cutaway::aligned(&source.text);
    assert_eq!(cutaway::aligned(&once), once);
}

fn some_formulas() -> Vec<Vec<u8>> {
    let formulas = [
        "circle_area(bore) * 2 - 0.5 mm² / (1 + hazel.bore ^ 2 / 1 mm²)",
        "spring.force >= 12 N and not (pressure <= 128 psi) or ring_squeeze(\"-012\", 3 mm, 2 mm) < 1",
        "sqrt(-1.5e-3 m²) + min(1 in, 25.4 mm, 1/32 in) - abs(20 °C - 300 K) / 1 K * 1 mm",
    ];
    formulas.map(|formula| formula.as_bytes().to_vec()).to_vec()
}

/// Read alone, and worked out on a page: in a derived figure, a claim, a bound text and a template.
fn read_formula(bytes: &[u8]) {
    let text = text_of(bytes);
    drop(gaugebook::formula::parse(&text));
    let quoted = serde_json::to_string(&text).unwrap();
    let page = format!(
        "---\ntitle: Rowan\nengine: rowan\nsources: {{b: {{kind: measured}}}}\nreadings_from: b\n\
         readings:\n  bore: 0.90 mm ± 0.02 mm\n  pressure: 128 psi\nderived:\n  area: {quoted}\n\
         claims:\n  - {{say: \"so it is\", holds: {quoted}}}\n---\n\nIt is [1 mm](<by: {text}>), \
         {{{{ reckon({quoted}) }}}}.\n"
    );
    judge_page(page.as_bytes());
}

/// Words for the cells of a table.
fn table_pages() -> Vec<Vec<u8>> {
    [&b"bore"[..], b"\"quoted\", with, commas", b"=1+1", b"-012", b"a;b\tc"]
        .map(<[u8]>::to_vec)
        .to_vec()
}

/// A draft whose names, notes and sources hold the bytes. Its tables are read back: every row has
/// as many fields as the first, and none begins as a spreadsheet's formula does.
fn write_tables(bytes: &[u8]) {
    let quoted = serde_json::to_string(&text_of(bytes)).unwrap();
    let page = format!(
        "---\ntitle: {quoted}\nengine: rowan\nsources: {{b: {{kind: measured, by: {quoted}}}}}\n\
         readings_from: b\nreadings:\n  bore: {{is: 0.90 mm, note: {quoted}}}\n\
         not measured:\n  - {quoted}\n---\n\nThe bore is 0.90 mm.\n"
    );
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("content")).unwrap();
    let imprint = "title: Bench\npressure: gauge\n";
    std::fs::write(folder.path().join("content/imprint.yaml"), imprint).unwrap();
    std::fs::write(folder.path().join("content/rowan.md"), page).unwrap();
    let folio = Folder::open(folder.path()).unwrap();
    let shelf = Shelf::default();
    let wish = Wish { draft: true, strict: false };
    if make(&folio, wish, &shelf, &|_, _| {}).is_err() {
        return;
    }
    for (name, bytes) in shelf.into_files() {
        if !name.ends_with(".csv") {
            continue;
        }
        let mut rows = csv::ReaderBuilder::new().flexible(true).from_reader(&*bytes);
        for row in rows.records() {
            for field in &row.expect("a table is one") {
                let is_number = field.parse::<f64>().is_ok();
                assert!(is_number || !field.starts_with(['=', '+', '-', '@']), "{name}: {field:?}");
            }
        }
    }
}

fn some_pictures() -> Vec<Vec<u8>> {
    let svg = "<svg xmlns='http://www.w3.org/2000/svg' width='60' height='40'><defs>\
               <linearGradient id='g'><stop offset='0' stop-color='#369'/></linearGradient>\
               <mask id='m'><rect width='9' height='9' fill='url(#g)'/></mask></defs>\
               <g mask='url(#m)' transform='rotate(5)'><path d='M0 0 L9 9 A2 2 0 0 1 5 5 Z'/>\
               <circle cx='9' cy='9' r='4'/><rect x='1' y='2' width='9' height='9' rx='2'/>\
               <polyline points='1,1 5,5 9,1' stroke-dasharray='2 1' style='stroke-width:2'/>\
               <text x='2' y='30' font-size='4'>⌀ 0.9 mm</text></g></svg>";
    let png = pictures::png_of_svg(svg, 20).unwrap();
    vec![svg.as_bytes().to_vec(), png]
}

/// Knuth's MMIX generator (memory).
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, end: usize) -> usize {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % end.max(1)
    }
}

/// One to four random edits: bytes changed, pieces cut, doubled or moved.
fn broken(good: &[Vec<u8>], case: u64) -> Vec<u8> {
    let mut numbers = Numbers(case);
    let mut bytes = good[numbers.below(good.len())].clone();
    for _ in 0..=numbers.below(4) {
        let at = numbers.below(bytes.len());
        let end = (at + numbers.below(40)).min(bytes.len());
        let piece = bytes[at..end].to_vec();
        match numbers.below(5) {
            0 if at < bytes.len() => bytes[at] = numbers.below(256) as u8,
            1 => drop(bytes.drain(at..end)),
            2 => drop(bytes.splice(at..at, piece.repeat(1 + numbers.below(9)))),
            3 => {
                let other = numbers.below(bytes.len());
                bytes.splice(other..other, piece);
            }
            _ => {
                let odd = ["9999999999", "-1", "1e39", "'", "\"", "<", "&", "\0", "é", "{{", "|"];
                bytes.splice(at..at, odd[numbers.below(odd.len())].bytes());
            }
        }
    }
    bytes
}

/// Where cases are tried at once.
const LANES: usize = 2;

/// What a reader cost: the dearest of its cases, and all of them.
#[derive(Default, Clone, Copy)]
struct Cost {
    dearest: Duration,
    case: u64,
    all: Duration,
}

/// Processor time of this thread.
#[cfg(unix)]
fn processor_time() -> Duration {
    let time = nix::time::clock_gettime(nix::time::ClockId::CLOCK_THREAD_CPUTIME_ID);
    time.unwrap().into()
}

#[cfg(not(unix))]
fn processor_time() -> Duration {
    Duration::ZERO
}

/// Reads one case; gives its processor time, or what went wrong.
fn answer(reader: Reader, bytes: Vec<u8>, case: u64) -> Result<Duration, String> {
    let (name, read, ..) = reader;
    // In a thread of its own: a reader that never ends can be told, not stopped. One that exhausts
    // its stack ends everything, and the system then tells the name of the thread.
    let (done, answers) = mpsc::channel();
    let thread = std::thread::Builder::new().name(format!("{name} {case}"));
    let handle = thread.spawn(move || {
        // What is spread over threads stays in this one.
        let here = rayon::ThreadPoolBuilder::new().num_threads(1).use_current_thread();
        let pool = (name == "tables").then(|| here.build());
        let start = processor_time();
        read(&bytes);
        let _ = done.send(processor_time() - start);
        drop(pool);
    });
    let answer = answers.recv_timeout(LONGEST);
    if answer != Err(mpsc::RecvTimeoutError::Timeout) {
        drop(handle.unwrap().join());
    }
    answer.map_err(|error| match error {
        mpsc::RecvTimeoutError::Timeout => "no end".to_owned(),
        mpsc::RecvTimeoutError::Disconnected => "panic".to_owned(),
    })
}

/// One reader with so many broken inputs, and what they cost.
fn answer_some(reader: Reader, cases: u64) -> Result<Cost, String> {
    let (name, _, good, _) = reader;
    let good = good();
    let next = AtomicU64::new(0);
    let lane = || {
        let mut cost = Cost::default();
        loop {
            let case = next.fetch_add(1, Ordering::Relaxed);
            if cases <= case {
                return Ok(cost);
            }
            let time = answer(reader, broken(&good, case), case).map_err(|what| {
                // Nothing else has to be tried any more.
                next.store(cases, Ordering::Relaxed);
                let bytes = broken(&good, case);
                format!("{name}, case {case}: {what} for {:?}", String::from_utf8_lossy(&bytes))
            })?;
            cost.all += time;
            if cost.dearest < time {
                (cost.dearest, cost.case) = (time, case);
            }
        }
    };
    let lanes: Vec<Result<Cost, String>> = std::thread::scope(|scope| {
        let lanes: Vec<_> = (0..LANES).map(|_| scope.spawn(lane)).collect();
        lanes.into_iter().map(|lane| lane.join().unwrap()).collect()
    });
    let mut sum = Cost::default();
    for lane in lanes {
        let lane = lane?;
        let all = sum.all + lane.all;
        sum = Cost { all, ..if sum.dearest < lane.dearest { lane } else { sum } };
    }
    Ok(sum)
}

/// Every reader with so many broken inputs; those that make whole folios with fewer. Gives the
/// dearest case of each in processor time, which the short look does not judge.
pub(crate) fn answer_all(cases: u64) -> Vec<(String, Duration)> {
    let mut dearest = Vec::new();
    for reader in READERS {
        let cases = (cases / reader.3).max(5);
        let cost = answer_some(reader, cases).unwrap_or_else(|wrong| panic!("{wrong}"));
        println!(
            "{}: {cases} cases, {:.0?} of processor time; the dearest is {} with {:.1?}",
            reader.0, cost.all, cost.case, cost.dearest
        );
        dearest.push((format!("{} {}", reader.0, cost.case), cost.dearest));
    }
    dearest
}
