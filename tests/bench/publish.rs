//! How fast `publish` is, as ratios: against a floor, and of ten times the pages against once.
//!
//! ```sh
//! cargo bench --bench publish                        # 1,000 and 10,000 pages
//! cargo bench --bench publish -- --pages 200         # another size, and ten times of it
//! cargo bench --bench publish -- --program PATH      # another build of the program
//! ```
//!
//! The floor (`floor`) reads the same files, renders them with the same Markdown parser and one
//! fixed template, and writes the same number of bytes with the same syncing and as many threads.
//! Processor time, not time on the wall: the machine may have other things to do. Each is run three
//! times; the least counts. Prints, never fails: a slow machine is no fault.

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
        ["measure", program, rest @ ..] => measure::print_usage_of(program, rest),
        options => compare(&Options::read(options)),
    }
}

#[cfg(unix)]
struct Options {
    pages: usize,
    program: std::path::PathBuf,
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
            program: value("--program").unwrap_or(env!("CARGO_BIN_EXE_gaugebook")).into(),
        }
    }
}

#[cfg(unix)]
fn compare(options: &Options) {
    let once = round(options, options.pages);
    let tenfold = round(options, options.pages * 10);
    let (Some(once), Some(tenfold)) = (once, tenfold) else { return };
    let growth = tenfold.seconds / once.seconds;
    println!(
        "{} pages take {growth:.2} × the processor time of {} pages (goal: at most 10.5)",
        options.pages * 10,
        options.pages
    );
    let more = (tenfold.peak_megabytes - once.peak_megabytes) / (options.pages * 9) as f64 * 1e3;
    println!("peak memory grows by {more:.2} kB a page (goal: no more than the index)");
}

/// Measures program and floor on a folio of so many pages; `None` when the program cannot publish.
#[cfg(unix)]
fn round(options: &Options, pages: usize) -> Option<measure::Usage> {
    let place = tempfile::tempdir().unwrap();
    let (folio, site) = (place.path().join("folio"), place.path().join("site"));
    let read = folio::write(&folio, pages);
    let text = |path: &std::path::Path| path.to_str().unwrap().to_string();
    let publish = ["publish".to_string(), text(&folio), "--to".to_string(), text(&site)];
    let published = measure::least_of_three(&options.program, &publish);
    let (files, bytes) = published.as_ref().map_or((pages, read * 3), |_| folio::size(&site));
    println!("{pages} pages: {read} bytes read, {files} files and {bytes} bytes written");
    match &published {
        Ok(usage) => println!("  publish  {usage}"),
        Err(words) => println!("  publish  could not run: {words}"),
    }
    let own = std::env::current_exe().unwrap();
    let floor_site = text(&place.path().join("floor"));
    let floor = ["floor".to_string(), text(&folio), floor_site, bytes.to_string()];
    let floor = measure::least_of_three(&own, &floor).expect("the floor runs");
    println!("  floor    {floor}");
    let published = published.ok()?;
    println!("  ratio    {:.2} (goal: at most 3)", published.seconds / floor.seconds);
    Some(published)
}
