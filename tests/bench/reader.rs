//! Throughput of the figure reader beside that of a Markdown parser on the same text, one thread.
//!
//! `cargo bench --bench reader` prints one line for ordinary prose, one for a marked-up page and
//! one for text with nothing but figures. The aim is a ratio of at least 0.1 on prose and pages; on
//! the last, which the parser passes over as one plain paragraph, at least 20 MB/s.

use gaugebook::quantity::reader::{ReadOptions, read};
use std::hint::black_box;
use std::time::{Duration, Instant};

/// How long each side is run.
const LONG_ENOUGH: Duration = Duration::from_millis(800);

const DENSE: &str = "The store holds 128 psi ± 4 psi (8.83 bar), the metering bore is 0.90 mm and \
the vent 1.6 mm (0.063 in). Between 6 and 12 bar the switch moves in about 4 ms; above 300 bar \
nothing is promised. Two O-rings, 3 ports and a spring of 2.4 N/mm do the work. It weighs 85 g.\n\n";

/// A page as writers type it: headings, emphasis, links, a list, a table, code.
const PAGE: &str = "\
## Switch and shaft

The *operating pressure* is 128 psi (8.83 bar); the [service card](card.md) calls it **nominal**. \
With the trigger down the pilot vents within 4 ms and only the store acts on the switch, which \
then moves back until it meets the front stop. See `rowan.cut` for the section.

- the metering bore is [0.90 mm](by:metering_bore), a drill #65
- the return spring is *stiffer* than that of [Hazel](hazel.md), two coils fewer
- nothing else has changed since the first version

> opinion: the sound is softer than one expects, and nobody has measured why.

| Part | Bore (mm) | Stroke (mm) | Seal |
|---|---:|---:|---|
| switch | 12.00 | 4.5 | -012 |
| bolt | 17.30 | 22.0 | -015, [see below](#seals) |

";

fn main() {
    let prose: String =
        include_str!("../reader/clean.txt").chars().filter(|c| !matches!(c, '⟦' | '⟧')).collect();
    compare("prose", &prose.repeat(40));
    compare("page", &PAGE.repeat(500));
    compare("figures", &DENSE.repeat(2000));
}

fn compare(name: &str, text: &str) {
    let options = ReadOptions::default();
    let figures = read(text, &options).figures.len();
    let reader = throughput(text, || {
        black_box(read(black_box(text), &options));
    });
    let parser = throughput(text, || {
        black_box(pulldown_cmark::Parser::new(black_box(text)).count());
    });
    println!(
        "{name}: reader {reader:.0} MB/s, Markdown parser {parser:.0} MB/s, ratio {:.2} \
         ({figures} figures in {:.1} MB)",
        reader / parser,
        megabytes(text),
    );
}

fn megabytes(text: &str) -> f64 {
    text.len() as f64 / 1e6
}

/// Megabytes a second, best of the rounds that fit.
fn throughput(text: &str, mut run: impl FnMut()) -> f64 {
    let begun = Instant::now();
    let mut best = Duration::MAX;
    while begun.elapsed() < LONG_ENOUGH {
        let round = Instant::now();
        run();
        best = best.min(round.elapsed());
    }
    megabytes(text) / best.as_secs_f64()
}
