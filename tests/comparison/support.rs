//! Engines from files, and a comparison as a reader would see it.

pub(crate) use super::kept::same_as;
use gaugebook::comparison::{Anatomy, LanePlace, Likeness, RowStanding, Side, compare};
use gaugebook::cutaway::{self, Engine};
use gaugebook::logic::{Exploration, explore};
use gaugebook::slip::{Paint, Severity, render};
use gaugebook::text::Source;
use std::fmt::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// An engine and what the logic finds of it.
pub(crate) struct Found {
    pub(crate) engine: Engine,
    pub(crate) run: Exploration,
}

impl Found {
    pub(crate) fn side(&self) -> Side<'_> {
        Side { engine: &self.engine, run: &self.run }
    }
}

pub(crate) fn here() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/comparison")
}

/// An engine of the folder `engines`.
pub(crate) fn engine(name: &str) -> Found {
    text(&std::fs::read_to_string(here().join(format!("engines/{name}.cut"))).unwrap())
}

/// An engine from its text; what it is based on lies in the folder `engines`.
pub(crate) fn text(text: &str) -> Found {
    text_beside(&here().join("engines"), text)
}

/// An engine from its text; what it is based on lies in a folder.
pub(crate) fn text_beside(folder: &Path, text: &str) -> Found {
    let others = |name: &str| -> Option<Arc<Source>> {
        let path = folder.join(format!("{name}.cut"));
        Some(Source::new(format!("{name}.cut"), std::fs::read_to_string(path).ok()?))
    };
    let (engine, slips) = cutaway::read(&Source::new("a.cut", text), &others);
    let stops = slips.iter().filter(|slip| slip.severity == Severity::Stop);
    let stops: Vec<String> = stops.map(|slip| render(slip, Paint::plain())).collect();
    assert!(stops.is_empty(), "{}", stops.join("\n"));
    let run = explore(&engine);
    Found { engine, run }
}

/// Compares two.
pub(crate) fn likeness(first: &Found, second: &Found) -> Likeness {
    compare(first.side(), second.side())
}

/// A comparison as a reader would see it: what is the same in short, what differs in full.
pub(crate) fn shown(likeness: &Likeness) -> String {
    let [first, second] = &likeness.titles;
    let mut out = format!("{first} and {second}: {}\n", likeness.verdict());
    for (group, heading) in Anatomy::ALL {
        let rows: Vec<_> = likeness.rows.iter().filter(|row| row.anatomy == group).collect();
        if rows.is_empty() {
            continue;
        }
        let same = rows.iter().filter(|row| row.standing == RowStanding::Same).count();
        writeln!(out, "\n{heading}: {same} of {} the same", rows.len()).unwrap();
        for row in rows {
            let names: Vec<&str> =
                row.names.iter().map(|name| name.as_deref().unwrap_or("–")).collect();
            let names = if names[0] == names[1] { names[0].into() } else { names.join(" | ") };
            let sure = row.sure.map_or(String::new(), |sure| format!("  [{}]", sure.words()));
            let sign = if row.standing == RowStanding::Same { '=' } else { '≠' };
            writeln!(out, "{sign} {names}{sure}").unwrap();
            for says in &row.says {
                let sign = if says.counts { '*' } else { ' ' };
                writeln!(out, "  {sign} {}", says.text).unwrap();
            }
        }
    }
    let sequence = &likeness.sequence;
    writeln!(out, "\nOrder of events: {}", sequence.verdict()).unwrap();
    for lane in &sequence.lanes {
        let [one, other] = lane.told.each_ref().map(|told| told.as_ref().map(|told| &*told.words));
        let sign = match lane.place {
            LanePlace::Same => '=',
            LanePlace::ByOther => ':',
            LanePlace::Moved(_) => '~',
            LanePlace::OnlyHere => '≠',
            LanePlace::Beyond => '?',
        };
        let milestones = lane.told.iter().flatten().filter_map(|told| told.milestone);
        let milestone = milestones.map(|milestone| milestone.words()).next().unwrap_or("");
        let (one, other) = (one.unwrap_or(""), other.unwrap_or(""));
        let line = format!("{sign} {milestone:<24}| {one:<24}| {other}");
        writeln!(out, "{}", line.trim_end()).unwrap();
    }
    for says in &sequence.says {
        writeln!(out, "  {says}").unwrap();
    }
    out
}
