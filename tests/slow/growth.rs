//! What a writer can make long is judged in proportion: the instructions of the program are
//! counted, which are the same on every machine, for so much of a thing and for four times as much.
//! Squares would make sixteen of one. Pieces of one text of a drawing are not here: they are laid
//! out in squares, and their number is bounded (`site/pictures/limits.rs`).

use std::path::Path;
use std::process::Command;

/// Most that four times as much may cost, as a multiple; a logarithm and some waste are allowed.
const MOST: f64 = 5.5;

/// A thing that can be made long: its name, where it stands, what stands before it and behind it,
/// one piece of it by number, and how many pieces are tried.
type Shape = (&'static str, &'static str, &'static str, &'static str, fn(usize) -> String, usize);

const PAGE: &str = "content/rowan.md";
const CUTAWAY: &str = "diagrams/rowan.cut";
const DRAWING: &str = "content/bolt.svg";

const TEXT: &str = "---\ntitle: Rowan\nengine: rowan\nsources: {b: {kind: measured}}\n\
                    readings_from: b\nreadings:\n  bore: 0.90 mm\n  bolt_mass: 21 g\n  \
                    switch_mass: 3 g\n  seal: AS568 -012\n---\n\n";
const READINGS: &str = "---\ntitle: Rowan\nengine: rowan\nsources: {b: {kind: measured}}\n\
                        readings_from: b\nreadings:\n";
const CLAIMS: &str = "---\ntitle: Rowan\nengine: rowan\nsources: {b: {kind: measured}}\n\
                      readings_from: b\nreadings:\n  bore: 0.90 mm\nclaims:\n";
const WAIVERS: &str = "---\ntitle: Rowan\nwaivers:\n";
const START: &str = "cutaway rowan\nsupply line\n";
const SVG: &str = "<svg xmlns='http://www.w3.org/2000/svg' width='60' height='40'>";

const SHAPES: [Shape; 26] = [
    ("figures on a line", PAGE, TEXT, "", |_| "1 mm ".into(), 1_500),
    ("figures in sentences", PAGE, TEXT, "", |_| "The bore is 0.90 mm. ".into(), 400),
    ("figures by bare words", PAGE, TEXT, "", |_| "It weighs 21 g, ".into(), 400),
    ("halves of a ±", PAGE, TEXT, "1 mm", |_| "1 ± ".into(), 1_500),
    ("open brackets", PAGE, TEXT, "", |_| "(1 mm ".into(), 1_000),
    ("numbers alone", PAGE, TEXT, "", |_| "90 and 3 ".into(), 1_000),
    ("ring sizes", PAGE, TEXT, "", |_| "The seal is a -012. ".into(), 400),
    ("ring sizes on a line", PAGE, TEXT, "", |_| "a -012 ".into(), 1_000),
    ("statements", PAGE, TEXT, "", |_| "The bolt is heavier than the switch. ".into(), 200),
    ("a statement without end", PAGE, TEXT, "", |_| "the bolt is heavier than it and ".into(), 500),
    ("bound figures", PAGE, TEXT, "", |_| "[0.90 mm](by:bore) ".into(), 400),
    ("wrong figures", PAGE, TEXT, "", |_| "The bore is 9.90 mm. ".into(), 300),
    ("units mistyped", PAGE, TEXT, "", |_| "The bore is 3 xm. ".into(), 300),
    ("equal headings", PAGE, TEXT, "", |_| "## a\n\n".into(), 1_000),
    ("links to headings", PAGE, TEXT, "", |at| format!("## b {at}\n\n[c](#b-{at})\n\n"), 500),
    (
        "rows of a table",
        PAGE,
        TEXT,
        "",
        |_| "\n\n| Part | Bore |\n|---|---|\n| a | 0.90 mm |\n".into(),
        200,
    ),
    ("footnotes", PAGE, TEXT, "", |at| format!("a[^{at}]\n\n[^{at}]: b\n\n"), 300),
    ("readings", PAGE, READINGS, "---\n\nIt is 3 mm.\n", |at| format!("  r_{at}: {at} mm\n"), 200),
    (
        "claims",
        PAGE,
        CLAIMS,
        "---\n\nApart.\n",
        |_| "  - {say: so, holds: bore < 1 mm}\n".into(),
        200,
    ),
    (
        "waivers",
        PAGE,
        WAIVERS,
        "---\n\nApart.\n",
        |at| format!("  - {{fault: untied-figure, at: a{at}, on: 2026-01-31, because: b}}\n"),
        200,
    ),
    (
        "chambers",
        CUTAWAY,
        START,
        "",
        |at| format!("chamber c{at}\nway w{at} from c{at} to line\n"),
        60,
    ),
    ("chambers twice", CUTAWAY, START, "", |_| "chamber c\n".into(), 200),
    ("axes", CUTAWAY, START, "", |at| format!("axis a{at}: line\n"), 200),
    ("words unknown", CUTAWAY, START, "", |_| "xyz\n".into(), 200),
    ("shapes", DRAWING, SVG, "</svg>", |_| "<path d='M0 0h1v1z'/>".into(), 1_000),
    ("pieces of text", DRAWING, SVG, "</svg>", |_| "<text><tspan>A</tspan></text>".into(), 200),
];

/// Instructions of a proof of a folio that holds this file, in millions.
fn instructions(file: &str, text: &str) -> f64 {
    let place = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| {
        let path = place.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    };
    write("content/imprint.yaml", "title: Bench\npressure: gauge\n");
    let shown = "![Bolt](bolt.svg \"credit: own drawing\")";
    write(PAGE, &format!("---\ntitle: Rowan\nengine: rowan\n---\n\n{shown}\n"));
    write(DRAWING, &format!("{SVG}<path d='M0 0h1v1z'/></svg>"));
    write(file, text);
    counted(place.path())
}

fn counted(folio: &Path) -> f64 {
    let output = Command::new("valgrind")
        .args(["--tool=cachegrind", "--cache-sim=no", "--cachegrind-out-file=/dev/null"])
        .args([env!("CARGO_BIN_EXE_gaugebook"), "proof"])
        .arg(folio)
        .env("RAYON_NUM_THREADS", "1")
        .output()
        .expect("valgrind is installed");
    assert!(matches!(output.status.code(), Some(0 | 1)), "{output:?}");
    let told = String::from_utf8_lossy(&output.stderr);
    let line = told.lines().find(|line| line.contains("I refs:") || line.contains("I   refs:"));
    let count = line.and_then(|line| line.rsplit(':').next()).unwrap_or_default();
    let digits: String = count.chars().filter(char::is_ascii_digit).collect();
    digits.parse::<f64>().expect("valgrind tells a number") / 1e6
}

#[test]
fn what_can_be_long_is_judged_in_proportion() {
    let mut wrong = Vec::new();
    for (name, file, before, behind, piece, many) in SHAPES {
        let [none, few, many] = [0, many, 4 * many].map(|count| {
            let pieces: String = (0..count).map(piece).collect();
            instructions(file, &format!("{before}{pieces}{behind}"))
        });
        let growth = (many - none) / (few - none).max(1.0);
        println!("{name}: {:.0} and {:.0} million, {growth:.1} times", few - none, many - none);
        if MOST < growth {
            wrong.push(format!("{name}: {growth:.1} times"));
        }
    }
    assert!(wrong.is_empty(), "four times as much takes\n{}", wrong.join("\n"));
}
