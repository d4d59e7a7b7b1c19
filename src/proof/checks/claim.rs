//! Claims: sentences with a formula that must hold.

use super::questions;
use crate::folio::{Folio, PageEntry};
use crate::formula::{self, Margin, Truth};
use crate::page::front::ClaimDecl;
use crate::proof::reference_value::truth;
use crate::sheet::declare::{formula_slip, parse};
use crate::slip::Slip;
use crate::text::{Source, Spot};
use std::sync::Arc;

/// How a claim came out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct ClaimFinding {
    /// Whether it holds; `None` where that cannot be told.
    pub(crate) holds: Option<bool>,
    /// Whether it would still come out so within the uncertainty of its inputs.
    pub(crate) is_certain: bool,
    /// What was found, in words.
    pub(crate) reason: String,
}

/// Judges the claims of a page, in order.
#[must_use]
pub(crate) fn judge(
    folio: &Folio,
    page: &PageEntry,
    source: &Arc<Source>,
    slips: &mut Vec<Slip>,
) -> Vec<ClaimFinding> {
    let claims = page.front.claims.iter();
    claims.map(|claim| one(folio, page, source, claim, slips)).collect()
}

fn one(
    folio: &Folio,
    page: &PageEntry,
    source: &Arc<Source>,
    claim: &ClaimDecl,
    slips: &mut Vec<Slip>,
) -> ClaimFinding {
    if questions::is_question(&claim.holds.text) {
        return questions::judge(folio, page, source, claim, slips);
    }
    let unknown =
        |reason: &str| ClaimFinding { holds: None, is_certain: false, reason: reason.to_owned() };
    let Some(formula) = parse(&claim.holds, source, slips) else {
        return unknown("its formula cannot be read");
    };
    let Some(sheet) = page.sheet else { return unknown("the page has no figures") };
    let scope = folio.ledger.scope(sheet);
    let spot = || Spot::new(source, claim.holds.inside());
    match truth(&formula, &scope, &page.conventions) {
        Ok(None) => unknown("a figure it needs has a fault of its own"),
        Ok(Some(Truth::True(Margin::Certain))) => ClaimFinding {
            holds: Some(true),
            is_certain: true,
            reason: sides(&formula, folio, sheet),
        },
        Ok(Some(Truth::True(Margin::WithinUncertainty))) => {
            let reason = sides(&formula, folio, sheet);
            let message =
                "the claim holds, but not for certain: within the ± of its figures it could fail";
            slips.push(Slip::mark("claim-uncertain", spot(), message).noting(reason.clone()));
            ClaimFinding { holds: Some(true), is_certain: false, reason }
        }
        Ok(Some(Truth::False(margin))) => {
            let reason = sides(&formula, folio, sheet);
            let message = format!("the claim \u{201c}{}\u{201d} does not hold", claim.say.text);
            slips.push(Slip::stop("claim-false", spot(), message).works_out(reason.clone()));
            ClaimFinding { holds: Some(false), is_certain: margin == Margin::Certain, reason }
        }
        Ok(Some(Truth::Undecided(needs))) => {
            let message = format!("the claim cannot be decided here: {needs}");
            slips.push(Slip::mark("claim-undecided", spot(), message));
            unknown(&needs)
        }
        Err(fault) => {
            slips.push(formula_slip(Spot::new(source, claim.holds.part(fault.span)), &fault));
            unknown("its formula has a fault")
        }
    }
}

/// "left side is …, right side is …", as far as it can be told.
fn sides(formula: &formula::Formula, folio: &Folio, sheet: usize) -> String {
    let conventions = &folio.ledger.sheets[sheet].conventions;
    formula::account(formula, &folio.ledger.scope(sheet), conventions)
}
