//! `gaugebook start`: a new page that already passes, bare or from pasted prose.

use super::Outcome;
use crate::page::pasted;
use clap::Args;
use std::fs;
use std::io::{Read as _, Write as _};
use std::path::{Path, PathBuf};

/// Starts a page for an engine, and a folio around it where there is none.
#[derive(Debug, Args)]
#[command(after_help = "Examples:
  gaugebook start alder                 content/engines/alder.md, ready to fill in
  gaugebook start alder --from notes.txt
                                        the same from pasted prose: its figures become readings,
                                        its text gets the bindings
  gaugebook start alder --from -        from standard input")]
pub struct Start {
    /// The engine's name: small letters, digits and _
    engine: String,
    /// The folder that holds `content`, or will
    #[arg(default_value = ".")]
    folio: PathBuf,
    /// Make the page from this text; - for standard input
    #[arg(long, value_name = "TEXT")]
    from: Option<PathBuf>,
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
  - {say: the hole is smaller than one square millimetre, holds: metering_area < 1 mm²}
---

Replace this text with yours. Write figures as you would anywhere: the operating pressure is 8.0 bar
(116 psi), and the words in front of it say which reading it is. The metering bore is 0.90 mm, so the
metering area is 0.64 mm². `gaugebook proof` holds every figure against the readings above.
";

/// Runs the command.
#[must_use]
pub fn run(arguments: &Start) -> Outcome {
    match start(arguments) {
        Ok(told) => {
            let _ = std::io::stdout().lock().write_all(told.as_bytes());
            Outcome::Clean
        }
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
    let page = match &arguments.from {
        None => {
            let words = engine.replace('_', " ");
            let mut chars = words.chars();
            let first = chars.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
            let title = format!("{first}{}", chars.as_str());
            STARTER.replace("TITLE", &title).replace("ENGINE", engine)
        }
        Some(from) => pasted::page(&prose(from)?, engine, None).text,
    };
    let path = arguments.folio.join("content").join("engines").join(format!("{engine}.md"));
    let imprint = arguments.folio.join("content").join("imprint.yaml");
    create(&path, &page)?;
    let mut told = format!("wrote {}\n", path.display());
    if !imprint.exists() {
        create(&imprint, IMPRINT)?;
        told.push_str(&format!("wrote {}\n", imprint.display()));
    }
    let folio = arguments.folio.display();
    told.push_str(&format!(
        "next: edit the page, then `gaugebook proof {folio}`; `gaugebook desk {folio}` shows it while \
         you write\n"
    ));
    Ok(told)
}

fn prose(from: &Path) -> Result<String, String> {
    let mut bytes = Vec::new();
    if from == Path::new("-") {
        std::io::stdin()
            .lock()
            .read_to_end(&mut bytes)
            .map_err(|error| format!("cannot read standard input: {error}"))?;
    } else {
        bytes = fs::read(from)
            .map_err(|error| format!("{} cannot be read: {error}", from.display()))?;
    }
    String::from_utf8(bytes).map_err(|_| format!("{} is no UTF-8 text", from.display()))
}

/// Writes a file that must not be there yet.
fn create(path: &Path, text: &str) -> Result<(), String> {
    if let Some(folder) = path.parent() {
        fs::create_dir_all(folder)
            .map_err(|error| format!("cannot make the folder {}: {error}", folder.display()))?;
    }
    let file = fs::OpenOptions::new().write(true).create_new(true).open(path);
    let mut file = file.map_err(|error| match error.kind() {
        std::io::ErrorKind::AlreadyExists => {
            format!("{} is there already; it was left alone", path.display())
        }
        _ => format!("cannot write {}: {error}", path.display()),
    })?;
    file.write_all(text.as_bytes())
        .map_err(|error| format!("cannot write {}: {error}", path.display()))
}
