//! Waivers: a writer's reason to let one slip pass, at one place.

use crate::page::front::WaiverDecl;
use crate::slip::{Severity, Slip};
use crate::text::{Source, Spot};
use std::sync::Arc;

/// Takes out the slips that a waiver of the page lets pass, and complains of waivers that match
/// nothing. Returns the slips let pass, each with the index of its waiver.
pub(crate) fn apply(
    waivers: &[WaiverDecl],
    source: &Arc<Source>,
    slips: &mut Vec<Slip>,
) -> Vec<(usize, Slip)> {
    let mut passed: Vec<(usize, Slip)> = Vec::new();
    let mut kept = Vec::with_capacity(slips.len());
    for slip in slips.drain(..) {
        let waiver = waivers.iter().position(|waiver| matches(waiver, source, &slip));
        match waiver {
            Some(index) => passed.push((index, slip)),
            None => kept.push(slip),
        }
    }
    for (index, waiver) in waivers.iter().enumerate() {
        if !passed.iter().any(|(used, _)| *used == index) {
            kept.push(stale(waiver, source));
        }
    }
    *slips = kept;
    passed
}

fn matches(waiver: &WaiverDecl, source: &Arc<Source>, slip: &Slip) -> bool {
    slip.code == waiver.fault.text
        && slip.severity != Severity::Note
        && slip.spot.source.name == source.name
        // A waiver quotes its figure; it must not match its own quotation.
        && !slip.spot.span.overlaps(waiver.at.span)
        && squeezed(slip.spot.text()).contains(&squeezed(&waiver.at.text))
}

/// Blanks of any kind and number as one.
fn squeezed(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn stale(waiver: &WaiverDecl, source: &Arc<Source>) -> Slip {
    let message = format!(
        "this waiver lets nothing pass: no `{}` at “{}”",
        waiver.fault.text, waiver.at.text
    );
    Slip::mark("stale-waiver", Spot::new(source, waiver.fault.span), message)
        .help("delete it, or quote the figure as it stands in the page")
}
