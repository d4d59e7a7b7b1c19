//! Readings that nothing uses: stated once and never again, they are where a typing error lives on.

use crate::body::blocks::{Binding, Document};
use crate::folio::measured::named_by_cutaways;
use crate::folio::{Folio, PageEntry};
use crate::formula;
use crate::page::PageKind;
use crate::proof::figure::JudgedFigure;
use crate::sheet::{Entry, Ledger, Sheet};
use crate::slip::Slip;
use crate::text::Spot;
use std::collections::BTreeSet;

/// Sheet and entry of a named figure.
pub(crate) type Named = (usize, usize);

/// The figures that a page's text, bindings, claims, corrections and comparison use. What its
/// template prints is added by whoever rendered it.
pub(in crate::proof) fn on_page<'f>(
    folio: &Folio,
    page: &PageEntry,
    document: &Document<'_>,
    figures: impl Iterator<Item = &'f JudgedFigure>,
) -> BTreeSet<Named> {
    let ledger = &folio.ledger;
    let sheet = page.sheet.unwrap_or(usize::MAX);
    let mut used: BTreeSet<Named> = figures.filter_map(|figure| figure.tied).collect();
    for bound in document.blocks.iter().flat_map(|block| &block.bounds) {
        if let Binding::By(text) | Binding::Not(text) | Binding::Claim(text) = &bound.binding {
            used.extend(in_text(text, ledger, sheet));
        }
    }
    for claim in &page.front.claims {
        used.extend(in_text(&claim.holds.text, ledger, sheet));
    }
    for correction in &page.front.corrections {
        used.extend(resolved(&correction.figure.text, ledger, sheet));
    }
    if page.front.kind == PageKind::Comparison {
        for engine in page.front.compare.iter().filter_map(|name| ledger.engine(&name.text)) {
            used.extend(rows(ledger, engine, page));
        }
    }
    used
}

/// Rows of a comparison that an engine fills.
fn rows(ledger: &Ledger, engine: usize, page: &PageEntry) -> Vec<Named> {
    let wanted = &page.front.rows;
    let entries = ledger.sheets[engine].entries.iter().enumerate();
    let shown = entries.filter(|(_, entry)| {
        wanted.is_empty() || wanted.iter().any(|row| row.text == entry.name.text)
    });
    shown.map(|(entry, _)| (engine, entry)).collect()
}

fn resolved(path: &str, ledger: &Ledger, sheet: usize) -> Option<Named> {
    let path: Vec<&str> = path.split('.').collect();
    ledger.resolve(sheet, &path).map(|(sheet, entry, _)| (sheet, entry))
}

/// Figures that a formula names, seen from a sheet.
fn in_text(text: &str, ledger: &Ledger, sheet: usize) -> Vec<Named> {
    formula::parse(text).map_or_else(|_| Vec::new(), |formula| ledger.named_in(&formula, sheet))
}

/// Notes about readings of engine pages that no page, cutaway or other figure uses. `on_pages`
/// holds what the pages of the whole folio use. Readings that are stated twice are checked by
/// that, and those without a value have nothing to check.
#[must_use]
pub(crate) fn judge(folio: &Folio, on_pages: &BTreeSet<Named>) -> Vec<Slip> {
    let ledger = &folio.ledger;
    let mut used = on_pages.clone();
    used.extend(named_by_cutaways(&folio.routing, ledger));
    for (index, sheet) in ledger.sheets.iter().enumerate() {
        for entry in &sheet.entries {
            if let Some(formula) = entry.derived().and_then(|derived| derived.formula.as_ref()) {
                used.extend(ledger.named_in(formula, index));
            }
            let lender = entry.reading().and_then(|reading| reading.decl.like.as_ref());
            let lent = lender.map(|engine| format!("{}.{}", engine.text, entry.name.text));
            used.extend(lent.and_then(|path| resolved(&path, ledger, usize::MAX)));
        }
    }
    let mut slips = Vec::new();
    for (index, sheet) in ledger.sheets.iter().enumerate().filter(|(_, s)| s.engine.is_some()) {
        let stated_once = sheet.entries.iter().enumerate().filter(|(at, entry)| {
            let reading = entry.reading();
            reading.is_some_and(|reading| reading.statements.len() == 1 && !reading.poisoned)
                && !used.contains(&(index, *at))
        });
        let unused: Vec<&Entry> = stated_once.map(|(_, entry)| entry).collect();
        slips.extend(notes(sheet, &unused));
    }
    slips
}

/// As many on one page are told one by one; more are one note, so that they bury nothing.
const TOLD_APART: usize = 5;

fn notes(sheet: &Sheet, unused: &[&Entry]) -> Vec<Slip> {
    let note = |entry: &Entry, message: String| {
        let slip = Slip::note("reading-unused", Spot::new(&sheet.source, entry.name.span), message);
        slip.help("say a sentence about it, or measure it a second time")
    };
    match unused {
        [first, others @ ..] if TOLD_APART < unused.len() => {
            let message = format!(
                "no text states {} and {} more readings of this page, and no formula uses them",
                first.words(),
                others.len()
            );
            vec![note(first, message)]
        }
        _ => {
            let said =
                |entry: &Entry| format!("no text states {} and no formula uses it", entry.words());
            unused.iter().map(|entry| note(entry, said(entry))).collect()
        }
    }
}
