//! Slips for other tools. The member names are a promise (README, "For other tools").

use super::Slip;
use serde_json::{Value, json};

/// One slip as a JSON object: `code, severity, message, file, line, column, end_line, end_column,
/// text, works_out, likely, notes, labels, helps`. Lines and columns count from one, columns in
/// characters; the end is exclusive.
#[must_use]
pub fn to_json(slip: &Slip) -> Value {
    let source = &slip.spot.source;
    let (start, end) = (source.place(slip.spot.span.start), source.place(slip.spot.span.end));
    let labels = slip.labels.iter().map(|label| {
        let place = label.spot.source.place(label.spot.span.start);
        json!({
            "file": label.spot.source.name,
            "line": place.line,
            "column": place.column,
            "text": label.text,
        })
    });
    let helps =
        slip.helps.iter().map(|help| json!({ "text": help.text, "replacement": help.replacement }));
    json!({
        "code": slip.code,
        "severity": slip.severity.word(),
        "message": slip.message,
        "file": source.name,
        "line": start.line,
        "column": start.column,
        "end_line": end.line,
        "end_column": end.column,
        "text": slip.spot.text(),
        "works_out": slip.works_out,
        "likely": slip.likely,
        "notes": slip.notes,
        "labels": labels.collect::<Vec<_>>(),
        "helps": helps.collect::<Vec<_>>(),
    })
}
