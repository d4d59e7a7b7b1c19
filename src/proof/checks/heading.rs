//! Headings: levels go down one at a time, and the title is the only heading of level 1.

use crate::body::blocks::{Document, Heading};
use crate::body::template::Rendered;
use crate::slip::Slip;
use crate::text::{Source, Span, Spot};
use std::sync::Arc;

/// Judges the order of a page's headings.
pub(crate) fn judge(
    source: &Arc<Source>,
    rendered: &Rendered<'_>,
    document: &Document<'_>,
    slips: &mut Vec<Slip>,
) {
    // The title of the front matter is the heading of level 1.
    let mut above = 1;
    for heading in &document.headings {
        let spot = || Spot::new(source, typed(source, rendered, heading));
        if heading.level == 1 {
            let message = "this is a second title: the page has one in its front matter";
            slips.push(Slip::mark("heading-order", spot(), message).help("write `##`"));
        } else if above + 1 < heading.level {
            let message =
                format!("a heading of level {} follows one of level {above}", heading.level);
            let slip = Slip::mark("heading-order", spot(), message);
            let marks = "#".repeat(usize::from(above) + 1);
            slips.push(slip.help(format!("go down one level at a time: write `{marks}`")));
        }
        above = heading.level;
    }
}

/// Place of a heading without the line break behind it.
fn typed(source: &Arc<Source>, rendered: &Rendered<'_>, heading: &Heading) -> Span {
    let span = rendered.origin(heading.span).span;
    let trimmed = source.slice(span).trim_end();
    Span::new(span.start, span.start + trimmed.len())
}
