//! Sources: every reading says where it comes from.

use crate::folio::{Folio, PageEntry};
use crate::page::front::{ReadingDecl, SourceKind};
use crate::slip::Slip;
use crate::text::{Source, Spot, nearest};
use std::collections::BTreeSet;
use std::sync::Arc;

/// Judges the sources of a page's readings.
pub(crate) fn judge(folio: &Folio, page: &PageEntry, source: &Arc<Source>, slips: &mut Vec<Slip>) {
    let Some(sheet) = page.sheet.map(|sheet| &folio.ledger.sheets[sheet]) else { return };
    let mut used: BTreeSet<&str> = BTreeSet::new();
    if let Some(default) = &page.front.readings_from {
        used.insert(&default.text);
        if sheet.source(&default.text).is_none() {
            slips.push(unknown(source, default, sheet.sources.iter().map(|s| s.id.text.as_str())));
        }
    }
    let mut unsourced: Vec<&ReadingDecl> = Vec::new();
    for decl in &page.front.readings {
        for statement in &decl.statements {
            match &statement.from {
                Some(from) if sheet.source(&from.text).is_none() => {
                    let known = sheet.sources.iter().map(|s| s.id.text.as_str());
                    slips.push(unknown(source, from, known));
                }
                Some(from) => {
                    used.insert(&from.text);
                }
                None if page.front.readings_from.is_none() => {
                    unsourced.push(decl);
                }
                None => {}
            }
        }
        borrowed(folio, decl, source, slips);
    }
    for from in page.front.timeline.iter().filter_map(|event| event.from.as_ref()) {
        if sheet.source(&from.text).is_none() {
            slips.push(unknown(source, from, sheet.sources.iter().map(|s| s.id.text.as_str())));
        }
    }
    unsourced.dedup_by_key(|decl| decl.name.span);
    slips.extend(missing(source, &unsourced));
    for declared in &sheet.sources {
        if declared.kind == SourceKind::Maker && declared.title.is_none() && declared.by.is_none() {
            let message =
                format!("source `{}` does not say what the maker wrote", declared.id.text);
            let slip = Slip::mark("source-missing", Spot::new(source, declared.id.span), message);
            slips.push(slip.help("add `title: …` and, if there is one, `rev: …`"));
        }
    }
}

fn borrowed(folio: &Folio, decl: &ReadingDecl, source: &Arc<Source>, slips: &mut Vec<Slip>) {
    let Some(like) = &decl.like else { return };
    match folio.ledger.engine(&like.text) {
        None => slips.push(engine_unknown(folio, source, like)),
        Some(sheet) if folio.ledger.sheets[sheet].entry(&decl.name.text).is_none() => {
            let message = format!("{} has no `{}` to borrow", like.text, decl.name.text);
            slips.push(Slip::stop("unknown-name", Spot::new(source, like.inside()), message));
        }
        Some(_) => {}
    }
}

fn unknown<'a>(
    source: &Arc<Source>,
    from: &crate::page::yaml::Text,
    known: impl Iterator<Item = &'a str>,
) -> Slip {
    let known: Vec<&str> = known.collect();
    let message = format!("no source is called `{}`", from.text);
    let slip = Slip::stop("source-unknown", Spot::new(source, from.inside()), message);
    match nearest(&from.text, known.iter().copied()) {
        Some(name) => slip.write(name),
        None if known.is_empty() => slip.help("declare it under `sources:`"),
        None => slip.help(format!("declared sources: {}", known.join(", "))),
    }
}

/// One slip for all readings of a page that name no source.
fn missing(source: &Arc<Source>, unsourced: &[&ReadingDecl]) -> Option<Slip> {
    let (first, others) = unsourced.split_first()?;
    let words = |decl: &ReadingDecl| decl.name.text.replace('_', " ");
    let message = match others {
        [] => format!("{} does not say where it comes from", words(first)),
        [other] => {
            format!("{} and {} do not say where they come from", words(first), words(other))
        }
        others => format!(
            "{} and {} more readings do not say where they come from",
            words(first),
            others.len()
        ),
    };
    let mut slip = Slip::mark("source-missing", Spot::new(source, first.name.span), message);
    if 1 < others.len() {
        let names: Vec<String> = others.iter().take(6).map(|decl| words(decl)).collect();
        let more = if 6 < others.len() { ", …" } else { "" };
        slip = slip.noting(format!("also {}{more}", names.join(", ")));
    }
    Some(
        slip.help("add `from: …` to each, or `readings_from: …` once for all readings of the page"),
    )
}

/// An engine that no page describes.
pub(crate) fn engine_unknown(
    folio: &Folio,
    source: &Arc<Source>,
    name: &crate::page::yaml::Text,
) -> Slip {
    let message = format!("no page describes an engine `{}`", name.text);
    let slip = Slip::stop("engine-unknown", Spot::new(source, name.inside()), message);
    match nearest(&name.text, folio.ledger.engines()) {
        Some(known) => slip.write(known),
        None => slip.help("its page has `engine: …` in its front matter"),
    }
}
