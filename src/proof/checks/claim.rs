//! Claims: sentences with a formula that must hold.

use super::questions;
use crate::folio::{Folio, PageEntry};
use crate::formula::{self, Margin, Truth};
use crate::page::front::ClaimDecl;
use crate::proof::reference_value::truth;
use crate::quantity::Verdict;
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
    /// What was found, in words, for the writer.
    pub(crate) reason: String,
    /// The same for readers, who know no names of formulas.
    pub(crate) told: String,
}

impl ClaimFinding {
    /// A finding that writers and readers are told in the same words.
    pub(crate) fn new(holds: Option<bool>, is_certain: bool, reason: String) -> ClaimFinding {
        ClaimFinding { holds, is_certain, told: reason.clone(), reason }
    }

    /// The same as a verdict; none where it is open.
    pub(crate) fn verdict(&self) -> Option<Verdict> {
        Some(match (self.holds?, self.is_certain) {
            (true, true) => Verdict::Agree,
            (true, false) => Verdict::Lenient,
            (false, _) => Verdict::Disagree,
        })
    }
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
    let unknown = |reason: &str| ClaimFinding::new(None, false, reason.to_owned());
    let Some(formula) = parse(&claim.holds, source, slips) else {
        return unknown("its formula cannot be read");
    };
    let Some(sheet) = page.sheet else { return unknown("the page has no figures") };
    let scope = folio.ledger.scope(sheet);
    let spot = || Spot::new(source, claim.holds.inside());
    let found = |holds: bool, is_certain: bool| {
        let conventions = &folio.ledger.sheets[sheet].conventions;
        ClaimFinding {
            holds: Some(holds),
            is_certain,
            reason: formula::account(&formula, &scope, conventions),
            told: formula::account_in_words(&formula, &scope, conventions),
        }
    };
    match truth(&formula, &scope, &page.conventions) {
        Ok(None) => unknown("a figure it needs has a fault of its own"),
        Ok(Some(Truth::True(Margin::Certain))) => found(true, true),
        Ok(Some(Truth::True(Margin::WithinUncertainty))) => {
            let finding = found(true, false);
            let message =
                "the claim holds, but not for certain: within the ± of its figures it could fail";
            slips.push(
                Slip::mark("claim-uncertain", spot(), message).noting(finding.reason.clone()),
            );
            finding
        }
        Ok(Some(Truth::False(margin))) => {
            let finding = found(false, margin == Margin::Certain);
            let message = format!("the claim \u{201c}{}\u{201d} does not hold", claim.say.text);
            slips
                .push(Slip::stop("claim-false", spot(), message).works_out(finding.reason.clone()));
            finding
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
