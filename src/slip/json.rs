//! Slips for other tools. The member names are a promise (README, "For other tools").

use super::Slip;
use serde_json::{Value, json};

/// What [`to_json`] gives, as a JSON Schema.
pub const SCHEMA: &str = include_str!("slip.schema.json");

/// One slip as a JSON object, in the words of the text form; see [`SCHEMA`].
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
    let writes: Vec<&str> =
        slip.helps.iter().filter_map(|help| help.replacement.as_deref()).collect();
    let to_do = slip.helps.iter().filter(|help| help.replacement.is_none());
    let to_do: Vec<&str> = to_do.map(|help| help.text.as_str()).collect();
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
        "see_also": labels.collect::<Vec<_>>(),
        "because": slip.notes,
        "write": writes,
        "to_do": to_do,
    })
}
