//! Statements of one reading: conversions inside each, and several against each other.

use super::pair::loose_or_wrong;
use crate::folio::{Folio, PageEntry};
use crate::quantity::judge::{against, dual};
use crate::quantity::{Computed, Conventions, Judgement, Real, Verdict};
use crate::sheet::{ReadingEntry, Stated};
use crate::slip::Slip;
use crate::text::{Source, Spot};
use std::sync::Arc;

/// Judges every reading of a page.
pub(crate) fn judge(folio: &Folio, page: &PageEntry, source: &Arc<Source>, slips: &mut Vec<Slip>) {
    let Some(sheet) = page.sheet.map(|sheet| &folio.ledger.sheets[sheet]) else { return };
    for entry in &sheet.entries {
        let Some(reading) = entry.reading() else { continue };
        for stated in &reading.statements {
            conversions(stated, &sheet.conventions, source, slips);
        }
        let findings = compare(reading, &sheet.conventions);
        for (stated, judgement) in reading.statements.iter().skip(1).zip(findings) {
            slips.extend(slip(reading, stated, &judgement, source));
        }
    }
}

/// Further statements of a reading against its first one. Each is allowed its own ± where it
/// states one, and the rounding of its digits where it does not.
pub(crate) fn compare(reading: &ReadingEntry, conventions: &Conventions) -> Vec<Judgement> {
    let Some((first, rest)) = reading.statements.split_first() else { return Vec::new() };
    rest.iter()
        .map(|stated| {
            let half = Real::near(spread(first) + spread(stated));
            let computed = Computed {
                nominal: first.quantity.clone(),
                low: first.quantity.si.sub(&half),
                high: first.quantity.si.add(&half),
            };
            match stated.figures.first() {
                Some(figure) => against(&stated.text, figure, &computed, conventions),
                None => by_value(stated, &computed),
            }
        })
        .collect()
}

/// What a statement allows beyond the rounding of its digits: its stated ±.
fn spread(stated: &Stated) -> f64 {
    let says_so = stated.figures.first().is_some_and(|figure| figure.tolerance.is_some())
        || !stated.repeats.is_empty();
    let rounding = crate::quantity::exact::to_f64(&stated.rounding);
    if says_so || stated.figures.is_empty() { stated.input.limit } else { rounding }
}

/// Statements that are no written figure (rings, drills, repeats) by value alone.
fn by_value(stated: &Stated, computed: &Computed) -> Judgement {
    let value = stated.quantity.si.to_f64();
    let inside = computed.low.to_f64() <= value && value <= computed.high.to_f64();
    let same_sort = stated.quantity.dimension == computed.nominal.dimension;
    let verdict = match (same_sort, inside) {
        (false, _) => Verdict::Incomparable,
        (true, true) => Verdict::Agree,
        (true, false) => Verdict::Disagree,
    };
    Judgement {
        verdict,
        reason: "the two statements are held against each other with their ±".to_owned(),
        works_out: None,
        likely: None,
        proposal: None,
    }
}

fn conversions(
    stated: &Stated,
    conventions: &Conventions,
    source: &Arc<Source>,
    slips: &mut Vec<Slip>,
) {
    let Some((first, rest)) = stated.figures.split_first() else { return };
    for later in rest {
        let judgement = dual(&stated.text, first, later, conventions);
        let spot = Spot::new(source, stated.part(later.span));
        let (first, later) = (first.span, later.span);
        slips.extend(loose_or_wrong(&stated.text, first, later, spot, &judgement));
    }
}

fn slip(
    reading: &ReadingEntry,
    stated: &Stated,
    judgement: &Judgement,
    source: &Arc<Source>,
) -> Option<Slip> {
    let first = reading.statements.first()?;
    let name = reading.decl.name.text.replace('_', " ");
    if matches!(judgement.verdict, Verdict::Agree | Verdict::Lenient) {
        return None;
    }
    let message = format!("{name} is stated as {} and as {}", first.written, stated.written);
    let slip = Slip::stop("statements-disagree", Spot::new(source, stated.span), message)
        .label(Spot::new(source, first.span), format!("first stated here as {}", first.written));
    Some(super::explained(slip, judgement))
}
