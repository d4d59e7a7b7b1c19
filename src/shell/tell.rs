//! Slips and standings told on a terminal or to other tools.

use super::edition::FolioStanding;
use crate::proof::Coverage;
use crate::proof::checks::relation::JudgedStatement;
use crate::slip::{Paint, Severity, Slip, render, summary, to_json};
use crate::text::{Date, visible};
use serde_json::json;
use std::io::{self, Write};

/// Slips explained in full before the others get a line each.
const EXPLAINED: usize = 3;

/// Tells slips to people: the first ones in full, the rest one line each.
///
/// # Errors
/// Those of the stream.
pub(crate) fn slips(
    out: &mut dyn Write,
    slips: &[Slip],
    all: bool,
    paint: Paint,
) -> io::Result<()> {
    let mut ordered: Vec<&Slip> = slips.iter().collect();
    ordered.sort_by_key(|slip| std::cmp::Reverse(slip.severity));
    let explained = if all { ordered.len() } else { EXPLAINED };
    for slip in ordered.iter().take(explained) {
        writeln!(out, "{}", render(slip, paint))?;
    }
    for slip in ordered.iter().skip(explained) {
        let place = slip.spot.source.place(slip.spot.span.start);
        let (name, message) = (visible(&slip.spot.source.name), visible(&slip.message));
        writeln!(out, "{name}:{}:{}  {}: {message}", place.line, place.column, slip.code)?;
    }
    if explained < ordered.len() {
        writeln!(out, "\n(the first {explained} are explained; --all explains every one)")?;
    }
    Ok(())
}

/// One line about how many slips there are, how many are let pass, and since when.
pub(crate) fn count(standing: &FolioStanding) -> String {
    let told = summary(&standing.slips);
    let Some(oldest) = standing.waived.first() else { return told };
    let count = standing.waived.len();
    let first = if count == 1 { "" } else { "the oldest " };
    match standing.date.and_then(|today| oldest.days_to(&today)) {
        Some(days) => format!("{told}, {count} waived ({first}{days} days old)"),
        None => format!("{told}, {count} waived ({first}of {oldest})"),
    }
}

/// How the figures were checked, in a line.
pub(crate) fn coverage(coverage: &Coverage) -> String {
    let mut line = format!(
        "{} {}: {} checked by computation, {} by a second statement, {} by a conversion only, {} rest on their own \
         reading, {} are asides or set apart, {} are tied to nothing",
        coverage.total(),
        if coverage.total() == 1 { "figure" } else { "figures" },
        coverage.computed,
        coverage.second_statement,
        coverage.conversion_agrees,
        coverage.own_reading,
        coverage.aside,
        coverage.untied,
    );
    let (held, open) = (coverage.statements_held, coverage.statements_open);
    let unasked = coverage.statements_unasked;
    if 0 < held + open + unasked {
        line.push_str(&format!(
            "; {held} statements hold, {open} not decidable here, {unasked} not judged"
        ));
    }
    if 0 < coverage.waived {
        line.push_str(&format!(", {} let pass by waivers", coverage.waived));
    }
    if 0 < coverage.disagrees {
        line.push_str(&format!(", {} disagree", coverage.disagrees));
    }
    line
}

/// What share of a talk was judged, in a line.
pub(crate) fn judged_share(coverage: &Coverage) -> String {
    let judged = coverage.judged();
    let statements =
        coverage.statements_held + coverage.statements_open + coverage.statements_unasked;
    let all = coverage.total() + statements;
    let share = 100 * judged / all.max(1);
    format!("{judged} of {all} figures and statements of the talk were judged ({share} %)")
}

/// Everything for other tools.
pub(crate) fn json(standing: &FolioStanding) -> String {
    let coverage = &standing.coverage;
    let value = json!({
        "slips": standing.slips.iter().map(to_json).collect::<Vec<_>>(),
        "coverage": {
            "total": coverage.total(),
            "computed": coverage.computed,
            "second_statement": coverage.second_statement,
            "conversion_agrees": coverage.conversion_agrees,
            "own_reading": coverage.own_reading,
            "aside": coverage.aside,
            "untied": coverage.untied,
            "waived": coverage.waived,
            "disagrees": coverage.disagrees,
            "statements_held": coverage.statements_held,
            "statements_open": coverage.statements_open,
            "statements_not_judged": coverage.statements_unasked,
        },
        "statements": standing.statements.iter().map(statement).collect::<Vec<_>>(),
        "pages": standing.pages,
        "waived": standing.waived.iter().map(Date::to_string).collect::<Vec<_>>(),
    });
    serde_json::to_string_pretty(&value).unwrap_or_default()
}

/// A judged statement: what was said where, the question that it became, and the answer.
fn statement(judged: &JudgedStatement) -> serde_json::Value {
    let place = judged.spot.source.place(judged.spot.span.start);
    json!({
        "file": judged.spot.source.name,
        "line": place.line,
        "column": place.column,
        "text": judged.spot.text(),
        "standing": judged.standing.word(),
        "question": judged.question,
        "because": judged.reason,
    })
}

/// Slips in SARIF 2.1.0 (OASIS), for editors and hosts of code that show it.
pub(crate) fn sarif(standing: &FolioStanding) -> String {
    let results: Vec<serde_json::Value> = standing.slips.iter().map(sarif_result).collect();
    let value = json!({
        "version": "2.1.0",
        "runs": [{
            "tool": { "driver": { "name": "gaugebook", "version": env!("CARGO_PKG_VERSION") } },
            "results": results,
        }],
    });
    serde_json::to_string_pretty(&value).unwrap_or_default()
}

fn sarif_result(slip: &Slip) -> serde_json::Value {
    let source = &slip.spot.source;
    let (start, end) = (source.place(slip.spot.span.start), source.place(slip.spot.span.end));
    let level = match slip.severity {
        Severity::Stop => "error",
        Severity::Mark => "warning",
        Severity::Note => "note",
    };
    json!({
        "ruleId": slip.code,
        "level": level,
        "message": { "text": slip.message },
        "locations": [{
            "physicalLocation": {
                "artifactLocation": { "uri": source.name },
                "region": {
                    "startLine": start.line,
                    "startColumn": start.column,
                    "endLine": end.line,
                    "endColumn": end.column,
                },
            },
        }],
    })
}
