//! Claims: sentences with a formula that must hold.

use super::bound::formula_spot;
use super::questions;
use super::relation::{JudgedStatement, StatementStanding};
use crate::folio::{Folio, PageEntry};
use crate::formula::{self, Margin, Truth};
use crate::page::front::ClaimDecl;
use crate::page::yaml::Text;
use crate::proof::figure::{JudgedFigure, Status};
use crate::proof::passage::Passage;
use crate::proof::prose::PageContext;
use crate::proof::reference_value::truth;
use crate::quantity::Verdict;
use crate::sheet::declare::{formula_slip, parse};
use crate::slip::Slip;
use crate::text::{Source, Span, Spot};
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

/// Judges the sentences of a passage that the writer binds to formulas, in order.
pub(in crate::proof) fn bound(
    passage: &Passage<'_>,
    context: &PageContext<'_>,
    slips: &mut Vec<Slip>,
) -> Vec<JudgedStatement> {
    let mut judged = Vec::new();
    for bound in passage.bounds {
        let Some(formula) = bound.binding.claimed() else { continue };
        let mut of_page = context.folio.pages.iter().filter(|page| page.sheet == context.sheet);
        let Some(page) = of_page.next() else { continue };
        let place = formula_spot(passage, bound, formula, Span::new(0, formula.len()));
        let mut holds = Text::detached(formula);
        holds.span = place.span;
        if place.text() == formula {
            holds = holds.placed();
        }
        let say = Text::detached(&passage.text[bound.text.start..bound.text.end]);
        let mut found = Vec::new();
        let claim = ClaimDecl { say, holds };
        let finding = one(context.folio, page, &place.source, &claim, &mut found);
        // What comes of it is told at the sentence, and faults of the formula at the formula.
        for slip in found.iter_mut().filter(|slip| slip.code.starts_with("claim-")) {
            slip.spot = passage.spot(bound.text);
        }
        slips.append(&mut found);
        let standing = match (finding.holds, finding.is_certain) {
            (Some(true), true) => StatementStanding::Holds,
            (Some(false), _) => StatementStanding::Fails,
            _ => StatementStanding::Open,
        };
        judged.push(JudgedStatement {
            spot: passage.spot(bound.text),
            place: bound.text,
            settled: Vec::new(),
            standing,
            reason: finding.told,
            question: formula.to_owned(),
        });
    }
    judged
}

/// Whether a figure that is tied to nothing is one of the formula that its sentence is bound to.
pub(in crate::proof) fn states(passage: &Passage<'_>, figure: &JudgedFigure) -> bool {
    let text = &passage.text[figure.span.start..figure.span.end];
    passage
        .bounds
        .iter()
        .filter(|bound| bound.text.contains(figure.span))
        .any(|bound| bound.binding.claimed().is_some_and(|formula| is_own(figure, text, formula)))
}

/// Whether a figure that is tied to nothing stands in a formula as it is written.
pub(in crate::proof) fn is_own(figure: &JudgedFigure, text: &str, formula: &str) -> bool {
    let is_whole = |(at, _): (usize, &str)| {
        !formula[..at].ends_with(|c: char| c.is_alphanumeric() || ".,_".contains(c))
    };
    figure.status == Status::Untied && formula.match_indices(text.trim()).any(is_whole)
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
