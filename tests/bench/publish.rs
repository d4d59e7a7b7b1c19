//! How fast `publish` is, as ratios: against a floor, and of ten times the pages against once.
//!
//! ```sh
//! cargo bench --bench publish                        # 1,000 and 10,000 pages
//! cargo bench --bench publish -- --pages 200         # another size, and ten times of it
//! cargo bench --bench publish -- --engines           # engine pages only, the dearest kind
//! cargo bench --bench publish -- --program PATH      # another build of the program
//! cargo bench --bench publish -- --in FOLDER         # where to work (the usual temporary folder)
//! cargo bench --bench publish -- folio FOLDER 1000   # only the folio, to look at or to profile
//! ```
//!
//! The floor (`floor`) reads the same files, renders them with the same Markdown parser and one
//! fixed template, and writes the same number of bytes with the same syncing and as many threads.
//! Where valgrind is installed the instructions of both are counted too: they do not depend on what
//! else the machine does, nor on where the files go.
//!
//! Processor time, not time on the wall: the machine may have other things to do. The two run in
//! turn, five times; the medians count. Prints, never fails: a slow machine is no fault.
//!
//! Time in the system counts as well, and the floor is little else: what is measured depends on
//! where the files go. An ext4 disk with a journal, as Debian makes it, is the usual case. One
//! without a journal hides everything else (it looks long for a file number that was not used
//! lately, and each run frees thousands); memory (`--in /dev/shm`) shows the program alone.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a measurement that fails is none")]

#[cfg(unix)]
mod floor;
#[cfg(unix)]
mod folio;
#[cfg(unix)]
mod measure;

#[cfg(not(unix))]
fn main() {
    println!("processor time of other processes is only measured on Unix");
}

#[cfg(unix)]
fn main() {
    let arguments: Vec<String> =
        std::env::args().skip(1).filter(|word| word != "--bench").collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    match words.as_slice() {
        ["floor", content, site, bytes] => {
            floor::publish(content.as_ref(), site.as_ref(), bytes.parse().unwrap());
        }
        ["folio", place, pages, rest @ ..] => {
            let kind = Options::read(rest).kind;
            folio::write(place.as_ref(), kind, pages.parse().expect("folio FOLDER PAGES"));
        }
        ["measure", program, rest @ ..] => measure::print_usage_of(program, rest),
        options => compare(&Options::read(options)),
    }
}

#[cfg(unix)]
struct Options {
    pages: usize,
    kind: folio::Kind,
    program: std::path::PathBuf,
    place: std::path::PathBuf,
}

#[cfg(unix)]
impl Options {
    fn read(words: &[&str]) -> Options {
        let value = |name: &str| {
            let at = words.iter().position(|word| *word == name)?;
            words.get(at + 1).copied()
        };
        Options {
            pages: value("--pages").map_or(1000, |pages| pages.parse().expect("--pages NUMBER")),
            kind: if words.contains(&"--engines") {
                folio::Kind::Engines
            } else {
                folio::Kind::Text
            },
            place: value("--in").map_or_else(std::env::temp_dir, Into::into),
            program: value("--program").unwrap_or(env!("CARGO_BIN_EXE_gaugebook")).into(),
        }
    }
}

#[cfg(unix)]
fn compare(options: &Options) {
    let once = round(options, options.pages);
    let tenfold = round(options, options.pages * 10);
    let (Some(once), Some(tenfold)) = (once, tenfold) else { return };
    let growth = tenfold.seconds() / once.seconds();
    println!(
        "{} pages take {growth:.2} × the processor time of {} pages (goal: at most 10.5)",
        options.pages * 10,
        options.pages
    );
    let more = (tenfold.peak_megabytes - once.peak_megabytes) / (options.pages * 9) as f64 * 1e3;
    println!("peak memory grows by {more:.2} kB a page (goal: no more than the index)");
}

/// Pages of the largest folio whose run is counted by valgrind, which takes fifty times as long.
#[cfg(unix)]
const MOST_COUNTED: usize = 1000;

/// Measures program and floor on a folio of so many pages; `None` when the program cannot publish.
#[cfg(unix)]
fn round(options: &Options, pages: usize) -> Option<measure::Usage> {
    let place = tempfile::tempdir_in(&options.place).unwrap();
    let (folio, site) = (place.path().join("folio"), place.path().join("site"));
    let read = folio::write(&folio, options.kind, pages);
    let text = |path: &std::path::Path| path.to_str().unwrap().to_string();
    let publish = ["publish".to_string(), text(&folio), "--to".to_string(), text(&site)];
    // Once before counting: the number of bytes must be known, and the files be in memory.
    let first = measure::in_turn(&[(&options.program, &publish)], 1).remove(0);
    if let Err(words) = first {
        println!("{pages} pages: could not publish: {words}");
        return None;
    }
    let (files, bytes) = folio::size(&site);
    println!("{pages} pages: {read} bytes read, {files} files and {bytes} bytes written");
    let own = std::env::current_exe().unwrap();
    let floor_site = place.path().join("floor");
    let floor = ["floor".to_string(), text(&folio), text(&floor_site), bytes.to_string()];
    let programs = [(options.program.as_path(), publish.as_slice()), (own.as_path(), &floor)];
    let mut used = measure::in_turn(&programs, 5).into_iter().map(Result::unwrap);
    let (published, floor) = (used.next()?, used.next()?);
    assert_eq!(folio::size(&floor_site).1, bytes, "the floor writes the same number of bytes");
    println!("  publish  {published}");
    println!("  floor    {floor}");
    println!("  ratio    {:.2} (goal: at most 3)", published.seconds() / floor.seconds());
    if pages <= MOST_COUNTED {
        let count = |(program, arguments): &(&std::path::Path, &[String])| {
            measure::instructions(program, arguments)
        };
        match (count(&programs[0]), count(&programs[1])) {
            (Some(publish), Some(floor)) => println!(
                "  instructions  {:.0} and {:.0} million, ratio {:.2} (goal: at most 3)",
                publish / 1e6,
                floor / 1e6,
                publish / floor
            ),
            _ => println!("  instructions  not counted: valgrind is not there or failed"),
        }
    }
    Some(published)
}
