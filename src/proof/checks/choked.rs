//! Flows that a formula takes for choked though its sheet says what lies behind the hole.

use crate::folio::derivable::CHOKED;
use crate::folio::{Folio, PageEntry};
use crate::formula::{self, Formula, Margin, Outcome, Truth};
use crate::sheet::ledger::Sheet;
use crate::slip::Slip;
use crate::text::{Source, Span, Spot};
use std::sync::Arc;

/// A hole between two pressures, as a formula of the sheet has it; all three as written.
struct Hole<'a> {
    area: &'a str,
    before: &'a str,
    behind: &'a str,
}

/// Complains of each `choked_flow` without a pressure behind its hole, where another formula fills
/// a room through that hole from a pressure at which the flow is not certainly choked.
pub(crate) fn judge(folio: &Folio, entry: &PageEntry, source: &Arc<Source>, slips: &mut Vec<Slip>) {
    let Some(at) = entry.sheet else { return };
    let sheet = &folio.ledger.sheets[at];
    let holes: Vec<Hole<'_>> = formulas(sheet)
        .flat_map(|(formula, text)| {
            let fills = formula.calls(|name| name.starts_with("fill_time"));
            fills.into_iter().filter_map(
                move |(_, arguments)| match written(text, &arguments)[..] {
                    [_, area, before, behind, ..] => Some(Hole { area, before, behind }),
                    _ => None,
                },
            )
        })
        .collect();
    for derived in sheet.entries.iter().filter_map(|entry| entry.derived()) {
        let Some(formula) = &derived.formula else { continue };
        let text = &derived.decl.formula;
        for (span, arguments) in formula.calls(|name| name == "choked_flow") {
            let arguments = written(&text.text, &arguments);
            let [area, before, rest @ ..] = arguments.as_slice() else { continue };
            let hole = holes.iter().find(|hole| {
                same(sheet, hole.area, area) && same(sheet, hole.before, before) && rest.len() < 3
            });
            let Some(hole) = hole else { continue };
            let certainty = match is_choked(folio, at, hole) {
                Some(Truth::False(Margin::Certain)) => "does not",
                Some(Truth::False(_) | Truth::True(Margin::WithinUncertainty)) => "may not",
                _ => continue,
            };
            let behind = hole.behind;
            let message = format!(
                "the air {certainty} reach the speed of sound: this page fills a room through this \
                 hole from `{behind}`"
            );
            let asked = [&[*area, before, behind], rest].concat().join(", ");
            let slip = Slip::stop("formula-fault", Spot::new(source, text.part(span)), message);
            slips.push(slip.help(format!("write `orifice_flow({asked})`")));
        }
    }
}

fn formulas(sheet: &Sheet) -> impl Iterator<Item = (&Formula, &str)> {
    let derived = sheet.entries.iter().filter_map(|entry| entry.derived());
    derived
        .filter_map(|derived| Some((derived.formula.as_ref()?, derived.decl.formula.text.as_str())))
}

fn written<'a>(text: &'a str, spans: &[Span]) -> Vec<&'a str> {
    spans.iter().filter_map(|span| text.get(span.start..span.end)).collect()
}

/// Whether two terms are the same as written, a name standing for its formula.
fn same(sheet: &Sheet, one: &str, other: &str) -> bool {
    let spelled = |term: &str| -> String {
        let named = sheet.entry(term.trim()).and_then(|entry| entry.derived());
        let text = named.map_or(term, |derived| &derived.decl.formula.text);
        text.split_whitespace().collect()
    };
    spelled(one) == spelled(other)
}

fn is_choked(folio: &Folio, sheet: usize, hole: &Hole<'_>) -> Option<Truth> {
    let text = CHOKED.replace("{after}", hole.behind).replace("{pressure}", hole.before);
    let conventions = &folio.ledger.sheets[sheet].conventions;
    let formula = formula::parse(&text).ok()?;
    match formula::evaluate(&formula, &folio.ledger.scope(sheet), conventions).ok()? {
        Outcome::Truth(truth) => Some(truth),
        Outcome::Value(_) => None,
    }
}
