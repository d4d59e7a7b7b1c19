//! Waivers: a writer's dated reason to let one slip pass, at one place.

use crate::folio::{Folio, PageEntry};
use crate::page::front::WaiverDecl;
use crate::proof::catalogue;
use crate::proof::figure::{JudgedFigure, Status};
use crate::proof::page::PageProof;
use crate::slip::{Severity, Slip};
use crate::text::{Date, Source, Span, Spot};
use std::cell::LazyCell;
use std::sync::Arc;

/// Lets the slips pass that waivers of the page name, and complains of waivers that name none,
/// several, or what no waiver can let pass.
pub(crate) fn apply(
    folio: &Folio,
    page: &PageEntry,
    source: &Arc<Source>,
    proof: &mut PageProof,
    slips: &mut Vec<Slip>,
) {
    let waivers = &page.front.waivers;
    let quoted: Vec<Span> = waivers.iter().map(|waiver| waiver.at.span).collect();
    let mut complaints = Vec::new();
    for (index, waiver) in waivers.iter().enumerate() {
        let stands = match standing(waiver, folio.imprint.date, source) {
            Ok(on) => on,
            Err(slip) => {
                complaints.push(*slip);
                continue;
            }
        };
        // Looked for only where there is such a slip: it takes a walk through the page.
        let places = LazyCell::new(|| places(&source.text, &waiver.at.text, &quoted));
        let matches = |slip: &Slip| {
            let is_it = slip.code == waiver.fault.text && slip.severity != Severity::Note;
            // Both say that nothing is known of a figure, and who let it pass had said why.
            let is_untied = slip.code == "new-figure" && waiver.fault.text == "untied-figure";
            (is_it || is_untied)
                && slip.spot.source.name == source.name
                && places
                    .iter()
                    .any(|place| place.contains(slip.spot.span) || slip.spot.span.contains(*place))
        };
        let figures = proof.figures.iter().map(|(_, figure)| figure);
        let told = figures.chain(&proof.stated_in_front).flat_map(|figure| &figure.slips);
        let mut found: Vec<Span> = told
            .chain(slips.iter())
            .filter(|slip| matches(slip))
            .map(|slip| slip.spot.span)
            .collect();
        found.sort();
        found.dedup();
        match found.as_slice() {
            [] => complaints.push(stale(waiver, source)),
            [_] => {
                slips.retain(|slip| !matches(slip));
                pass(proof, index, &matches);
                proof.waived.push(stands);
            }
            // One cause, one slip: none of them passes, and the waiver alone is told of.
            several => {
                complaints.push(ambiguous(waiver, source, several));
                slips.retain(|slip| !matches(slip));
                each_figure(proof).for_each(|figure| figure.slips.retain(|slip| !matches(slip)));
            }
        }
    }
    slips.append(&mut complaints);
}

fn each_figure(proof: &mut PageProof) -> impl Iterator<Item = &mut JudgedFigure> {
    let figures = proof.figures.iter_mut().map(|(_, figure)| figure);
    figures.chain(&mut proof.stated_in_front)
}

/// Takes the slip out of the record of its figure; one that has none left is let pass.
fn pass(proof: &mut PageProof, index: usize, matches: &impl Fn(&Slip) -> bool) {
    for figure in each_figure(proof) {
        let before = figure.slips.len();
        figure.slips.retain(|slip| !matches(slip));
        if figure.slips.len() < before && figure.slips.is_empty() {
            figure.status = Status::Waived;
            figure.waiver = Some(index);
        }
    }
}

/// The day of a waiver that may stand, or why it may not.
fn standing(
    waiver: &WaiverDecl,
    today: Option<Date>,
    source: &Arc<Source>,
) -> Result<Date, Box<Slip>> {
    let refused = |span: Span, message: &str| {
        Box::new(Slip::stop("waiver-incomplete", Spot::new(source, span), message))
    };
    if waiver.at.text.trim().is_empty() {
        return Err(refused(waiver.fault.span, "this waiver does not say where"));
    }
    if waiver.because.text.trim().is_empty() {
        return Err(refused(waiver.fault.span, "this waiver gives no reason"));
    }
    let known = catalogue::all().iter().find(|fault| fault.code == waiver.fault.text);
    if known.is_some_and(|fault| fault.is_structural) {
        let message = "a fault in how a page is built cannot be let pass";
        return Err(refused(waiver.fault.span, message));
    }
    let read = |text: &Option<crate::page::yaml::Text>| {
        text.as_ref().and_then(|text| Date::read(&text.text))
    };
    let Some(on) = read(&waiver.on) else {
        return Err(refused(waiver.fault.span, "this waiver does not say from which day it is"));
    };
    if let (Some(until), Some(today)) = (read(&waiver.until), today)
        && until <= today
    {
        let message = format!("this waiver ended on {until}");
        let spot = Spot::new(source, waiver.fault.span);
        return Err(Box::new(Slip::mark("waiver-ended", spot, message)));
    }
    Ok(on)
}

/// Where the quoted words stand in the file, blanks of any kind and number being one; the
/// quotations of waivers are no places.
fn places(text: &str, quoted: &str, waivers: &[Span]) -> Vec<Span> {
    let words: Vec<&str> = quoted.split_whitespace().collect();
    let Some(first) = words.first() else { return Vec::new() };
    let starts = text.match_indices(first).map(|(start, _)| start);
    let ends = starts.filter_map(|start| {
        let mut at = start;
        for (index, word) in words.iter().enumerate() {
            let rest = &text[at..];
            let trimmed = rest.trim_start();
            if 0 < index && trimmed.len() == rest.len() {
                return None;
            }
            at = text.len() - trimmed.strip_prefix(word)?.len();
        }
        Some(Span::new(start, at))
    });
    ends.filter(|place| !waivers.iter().any(|span| span.overlaps(*place))).collect()
}

fn stale(waiver: &WaiverDecl, source: &Arc<Source>) -> Slip {
    let message = format!(
        "this waiver lets nothing pass: no `{}` at “{}”",
        waiver.fault.text, waiver.at.text
    );
    Slip::mark("stale-waiver", Spot::new(source, waiver.fault.span), message)
        .help("delete it, or quote the figure as it stands in the page")
}

fn ambiguous(waiver: &WaiverDecl, source: &Arc<Source>, places: &[Span]) -> Slip {
    let (fault, at) = (&waiver.fault.text, &waiver.at.text);
    let message =
        format!("this waiver names {} places: `{fault}` at “{at}” is no single one", places.len());
    let slip = Slip::stop("waiver-ambiguous", Spot::new(source, waiver.at.inside()), message);
    let labelled = places
        .iter()
        .take(3)
        .fold(slip, |slip, place| slip.label(Spot::new(source, *place), "one of them"));
    labelled.help("quote more of the sentence, so that the words stand once; or waive each")
}
