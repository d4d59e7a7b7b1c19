//! Headings: the title is the page's only heading of the first level, and no level is skipped.

use crate::body::blocks::Document;
use crate::body::template::Rendered;
use crate::slip::Slip;
use crate::text::{Source, Spot};
use std::sync::Arc;

/// Judges the headings of a page's text.
pub fn judge(
    source: &Arc<Source>,
    rendered: &Rendered<'_>,
    document: &Document<'_>,
    slips: &mut Vec<Slip>,
) {
    let mut above = 1;
    for heading in &document.headings {
        let spot = Spot::new(source, rendered.origin(heading.span).span);
        let marks = "#".repeat(usize::from(above) + 1);
        if heading.level == 1 {
            let message = "the page's title is its only heading of the first level";
            slips.push(Slip::mark("heading-order", spot, message).help("begin it with ##"));
        } else if above + 1 < heading.level {
            let message = format!("this heading skips a level: {} under {above}", heading.level);
            let slip = Slip::mark("heading-order", spot, message);
            slips.push(slip.help(format!("begin it with {marks}")));
        }
        above = heading.level;
    }
}
