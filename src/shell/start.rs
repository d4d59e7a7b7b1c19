//! `gaugebook start`: a new page that already passes, bare or from pasted prose, and on request a
//! first cutaway beside it.

use super::writers_file::{self, NewFile, there_already};
use super::{CommandOutcome, plain_file, terminal};
use crate::page::pasted;
use crate::publication::names::{NameFault, check_name};
use crate::text::capitalised;
use clap::Args;
use std::fs;
use std::path::{Path, PathBuf};

/// Starts a page for an engine, and a folio around it where there is none.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  gaugebook start alder                 content/engines/alder.md, ready to fill in
  gaugebook start alder --from notes.txt
                                        the same from pasted prose: its figures become readings,
                                        its text gets the bindings
  gaugebook start alder --from -        from standard input
  gaugebook start alder --cutaway       also diagrams/alder.cut, whose shot the page tells
  gaugebook start two_valves --compare alder,rowan
                                        content/compare/two_valves.md: engines side by side")]
pub(crate) struct Start {
    /// The engine's name, or the comparison's: small letters, digits and _
    engine: String,
    /// The folder that holds `content`, or will
    #[arg(default_value = ".")]
    folio: PathBuf,
    /// Make the page from this text; - for standard input
    #[arg(long, value_name = "TEXT")]
    from: Option<PathBuf>,
    /// Also write a first cutaway; a page that is there already is left alone
    #[arg(long)]
    cutaway: bool,
    /// A page that sets these engines side by side, the first being the reference
    #[arg(
        long, value_name = "ENGINES", value_delimiter = ',',
        conflicts_with_all = ["from", "cutaway"]
    )]
    compare: Vec<String>,
}

const IMPRINT: &str = "title: A workshop's engine teardowns
pressure: gauge            # what a bare bar or psi counts from here
ambient: 101.325 kPa
";

const STARTER: &str = "---
title: TITLE
engine: ENGINE
sources:
  bench: {kind: measured, with: \"caliper, 0.02 mm\", on: 2026-01-31}
readings_from: bench
readings:
  operating_pressure: {is: 8.0 bar ± 0.2 bar, called: [working pressure]}
  metering_bore: 0.90 mm
derived:
  metering_area: {is: circle_area(metering_bore), as: mm²}
claims:
  - {say: the metering area stays below 1 mm², holds: metering_area < 1 mm²}
---

Replace this text with yours. Write figures as you would anywhere: the operating pressure is 8.0 bar
(116 psi), and the words in front of it say which reading it is. The metering bore is 0.90 mm, so the
metering area is 0.64 mm². `gaugebook proof` holds every figure against the readings above.
";

const COMPARISON: &str = "---
title: TITLE
kind: comparison
compare: [ENGINES]
# rows: [operating_pressure, store_volume]    # these figures only; all of them without it
# claims:
#   - {say: both work in the same order, holds: \"same_sequence(TWO)\"}
---

Replace this text with yours. The table of figures comes from the engines' pages, and what is the same
in their routing from their cutaways.
";

/// A cutaway that reads without slips and ends at rest.
const CUTAWAY: &str = include_str!("starter.cut");

/// Its shot, for the front matter of the page.
const SEQUENCE: &str = "sequence:
  - trigger pulled
  - rear room fills
  - spool opens the store
  - pellet leaves
  - trigger released
  - spool reaches back
  - store is full again
";

/// Runs the command.
pub(crate) fn run(arguments: &Start) -> CommandOutcome {
    match start(arguments) {
        Ok(told) => terminal::told(CommandOutcome::Clean, |out| out.write_all(told.as_bytes())),
        Err(message) => super::could_not_run(&message),
    }
}

fn start(arguments: &Start) -> Result<String, String> {
    let engine = &arguments.engine;
    let proper = engine.starts_with(|c: char| c.is_ascii_lowercase())
        && engine.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_');
    if !proper {
        return Err(format!(
            "`{engine}` cannot be an engine's name: it begins with a small letter and has small \
             letters, digits and _ only"
        ));
    }
    if let Err(NameFault::Bad { why, .. }) = check_name(&format!("{engine}.html")) {
        return Err(format!("`{engine}` cannot be an engine's name: {why}"));
    }
    if !arguments.compare.is_empty() {
        return start_comparison(arguments);
    }
    let path = arguments.folio.join("content").join("engines").join(format!("{engine}.md"));
    let imprint = arguments.folio.join("content").join("imprint.yaml");
    let cutaway = arguments.folio.join("diagrams").join(format!("{engine}.cut"));
    let keeps_page = arguments.cutaway && arguments.from.is_none() && path.exists();
    // What the page rests on comes first, and the page last: whoever was killed can run again.
    let mut files = Vec::new();
    if !imprint.exists() {
        files.push(new_file(&imprint, IMPRINT));
    }
    if arguments.cutaway && keeps_page && cutaway.exists() {
        return Err(there_already(&cutaway));
    }
    let mut told = String::new();
    let text = if keeps_page {
        fs::read_to_string(&path).map_err(|fault| format!("{}: {fault}", path.display()))?
    } else {
        refuse_existing(&path)?;
        page(arguments, &mut told)?
    };
    if arguments.cutaway {
        files.push(new_file(&cutaway, &cutaway_for(&text, engine)));
    }
    if !keeps_page {
        files.push(new_file(&path, &text));
    }
    writers_file::create(&files)?;
    if keeps_page {
        told.push_str(&format!(
            "{}; to have its shot checked, add to its front matter:\n{SEQUENCE}",
            there_already(&path)
        ));
    }
    for file in files.iter().rev() {
        told.push_str(&format!("wrote {}\n", file.path.display()));
    }
    let folio = arguments.folio.display();
    if arguments.cutaway {
        told.push_str(&format!("`gaugebook shot {engine} {folio}` tells its shot\n"));
    }
    told.push_str(&format!(
        "next: edit the page, then `gaugebook proof {folio}`; `gaugebook desk {folio}` shows it while \
         you write\n"
    ));
    Ok(told)
}

/// A comparison page of at least two engines.
fn start_comparison(arguments: &Start) -> Result<String, String> {
    let [first, second, ..] = arguments.compare.as_slice() else {
        return Err("--compare takes two engines or more, as `--compare alder,rowan`".to_owned());
    };
    let name = format!("{}.md", arguments.engine);
    let path = arguments.folio.join("content").join("compare").join(name);
    let text = COMPARISON
        .replace("TITLE", &title(&arguments.engine))
        .replace("ENGINES", &arguments.compare.join(", "))
        .replace("TWO", &format!("{first}, {second}"));
    refuse_existing(&path)?;
    writers_file::create(&[new_file(&path, &text)])?;
    Ok(format!(
        "wrote {}\nnext: edit the page, then `gaugebook proof {}`\n",
        path.display(),
        arguments.folio.display()
    ))
}

/// `two_valves` as a title.
fn title(name: &str) -> String {
    capitalised(&name.replace('_', " "))
}

/// The first cutaway of an engine. Its supply is drawn at a reading where the page has it.
fn cutaway_for(page: &str, engine: &str) -> String {
    let text = CUTAWAY.replace("NAME", engine);
    let has_reading = page.lines().any(|line| line.trim_start().starts_with("operating_pressure:"));
    if has_reading { text } else { text.replace("  at operating_pressure", "") }
}

/// The page, with the sequence of the cutaway where there will be one. `told` gets what became of
/// the figures of pasted prose.
fn page(arguments: &Start, told: &mut String) -> Result<String, String> {
    let engine = &arguments.engine;
    let page = match &arguments.from {
        None => STARTER.replace("TITLE", &title(engine)).replace("ENGINE", engine),
        Some(from) => {
            let made = pasted::page(&prose(from)?, engine, None);
            told.push_str(&format!("{}\n", made.told()));
            made.text
        }
    };
    if !arguments.cutaway {
        return Ok(page);
    }
    Ok(page.replacen("\n---\n", &format!("\n{SEQUENCE}---\n"), 1))
}

/// Largest text that is pasted, in bytes.
const LARGEST_PROSE: u64 = 2 << 20;

fn prose(from: &Path) -> Result<String, String> {
    let (bytes, shown) = if from == Path::new("-") {
        let input = plain_file::bounded(std::io::stdin().lock(), LARGEST_PROSE, 0);
        (input, "standard input".to_owned())
    } else {
        (plain_file::read(from, LARGEST_PROSE), from.display().to_string())
    };
    let bytes = bytes.map_err(|fault| format!("{shown} cannot be read: {fault}"))?;
    String::from_utf8(bytes).map_err(|_| format!("{shown} is no UTF-8 text"))
}

fn refuse_existing(path: &Path) -> Result<(), String> {
    if fs::symlink_metadata(path).is_ok() { Err(there_already(path)) } else { Ok(()) }
}

fn new_file(path: &Path, text: &str) -> NewFile {
    NewFile { path: path.to_path_buf(), bytes: text.as_bytes().to_vec() }
}
