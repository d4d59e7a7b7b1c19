//! Corrections: what is right now must be what the data sheet says.

use crate::folio::{Folio, PageEntry};
use crate::page::front::CorrectionDecl;
use crate::proof::reference_value::judge_entry;
use crate::quantity::judge::quantity_of;
use crate::quantity::reader::{ReadOptions, read_whole};
use crate::quantity::{Computed, Conventions, Figure, Verdict};
use crate::slip::Slip;
use crate::text::{Source, Spot, nearest};
use std::sync::Arc;

/// A stated figure as something to agree with, exactly.
pub(crate) fn as_computed(figure: &Figure, conventions: &Conventions) -> Computed {
    let nominal = quantity_of(figure, conventions);
    Computed { low: nominal.si.clone(), high: nominal.si.clone(), nominal }
}

/// Judges the corrections of a page.
pub(crate) fn judge(folio: &Folio, page: &PageEntry, source: &Arc<Source>, slips: &mut Vec<Slip>) {
    for correction in &page.front.corrections {
        slips.extend(one(folio, page, source, correction));
    }
}

fn one(
    folio: &Folio,
    page: &PageEntry,
    source: &Arc<Source>,
    correction: &CorrectionDecl,
) -> Option<Slip> {
    let path: Vec<&str> = correction.figure.text.split('.').collect();
    let resolved = page.sheet.and_then(|sheet| folio.ledger.resolve(sheet, &path));
    let Some((sheet, entry, _)) = resolved else {
        let message =
            format!("the correction is of `{}`, which names no figure", correction.figure.text);
        let slip =
            Slip::stop("unknown-name", Spot::new(source, correction.figure.inside()), message);
        let entries = page.sheet.map(|sheet| folio.ledger.sheets[sheet].entries.as_slice());
        let names = entries.unwrap_or_default().iter().map(|entry| entry.name.text.as_str());
        return Some(match nearest(&correction.figure.text, names) {
            Some(name) => slip.write(name),
            None => slip,
        });
    };
    let conventions = &page.conventions;
    for (text, must_be) in [(&correction.now, true), (&correction.was, false)] {
        let figure = match read_whole(&text.text, &ReadOptions::default()) {
            Ok(figures) => figures.into_iter().next()?,
            Err(fault) => {
                let spot = Spot::new(source, text.part(fault.span));
                return Some(Slip::stop("value-unreadable", spot, fault.message));
            }
        };
        let item = (sheet, entry);
        let judgement = judge_entry(&text.text, &figure, &folio.ledger, item, conventions)?;
        let agrees = matches!(judgement.verdict, Verdict::Agree | Verdict::Lenient);
        if agrees != must_be {
            let name = folio.ledger.sheets[sheet].entries[entry].words();
            let message = if must_be {
                format!("the correction says {} now, but {name} is something else", text.text)
            } else {
                format!("{name} is still {}, which the correction takes back", text.text)
            };
            let slip = Slip::stop("corrected-figure", Spot::new(source, text.inside()), message);
            return Some(super::explained(slip, &judgement));
        }
    }
    None
}
