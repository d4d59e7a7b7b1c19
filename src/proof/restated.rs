//! Figures that restate more of a reading than its value: its ±, or both ends of its range.
//!
//! Beside a computed value a ± or a range is a freedom, for there is nothing else to hold it
//! against. Beside a reading that states the same there is: value stands beside value, ± beside ±
//! and end beside end, or a slip in one of them would hide in the width that it makes.

use super::reference_value::{of_quantity, of_statement};
use crate::quantity::exact::Rational;
use crate::quantity::judge::{against, dual};
use crate::quantity::{Amount, Conventions, Figure, Judgement, Number, Quantity, Real, Verdict};
use crate::sheet::Stated;
use num_traits::{Signed, Zero};

/// Judges a figure that restates the ± or the range of a statement; `None` where it does not.
pub(super) fn restated(
    text: &str,
    stated: &Stated,
    figure: &Figure,
    conventions: &Conventions,
) -> Option<Judgement> {
    if let Some(own) = with_tolerance(stated, figure) {
        return Some(with_its_tolerance(text, stated, own, figure, conventions));
    }
    let (Amount::Range(first, second), Some(ends)) = (&figure.amount, stated.ends()) else {
        return None;
    };
    let is_plain = figure.bound.is_none() && figure.hedge.is_none() && figure.tolerance.is_none();
    is_plain.then(|| with_its_ends(text, stated, [first, second], &ends, figure, conventions))
}

/// The figure of a statement whose ± is restated, of the same unit where there is one.
fn with_tolerance<'a>(stated: &'a Stated, figure: &Figure) -> Option<&'a Figure> {
    figure.tolerance.as_ref()?;
    let mut own = stated.figures.iter().filter(|own| own.tolerance.is_some());
    let same = own.clone().find(|own| own.unit.code == figure.unit.code);
    // What a bare pressure counts from was settled where the reading stands.
    same.or_else(|| own.next()).filter(|own| own.reference == figure.reference)
}

fn with_its_tolerance(
    text: &str,
    stated: &Stated,
    own: &Figure,
    figure: &Figure,
    conventions: &Conventions,
) -> Judgement {
    let plain = Figure { tolerance: None, ..figure.clone() };
    let value = against(text, &plain, &of_statement(stated), conventions);
    if Verdict::Lenient < value.verdict {
        return value;
    }
    let mut both = dual(text, own, figure, conventions);
    if both.verdict == Verdict::Lenient && differs(own, figure) {
        both.verdict = Verdict::Disagree;
        both.reason = "a ± is restated as it is, not rounded".to_owned();
    }
    if both.verdict == Verdict::Disagree {
        both.likely = Some("the ± is not that of the reading".to_owned());
        both.proposal.clone_from(&both.works_out);
    }
    if both.verdict < value.verdict { value } else { both }
}

/// Whether two ± in one unit differ by more than the rounding of both; what only touches differs,
/// or ± 5 psi would be taken for ± 4 psi.
fn differs(own: &Figure, figure: &Figure) -> bool {
    let unit = |figure: &Figure| {
        let its = figure.tolerance.as_ref().and_then(|tolerance| tolerance.unit);
        its.unwrap_or(figure.unit)
    };
    let sides = |figure: &Figure| {
        let tolerance = figure.tolerance.clone()?;
        let lower = tolerance.below.unwrap_or_else(|| tolerance.half_width.clone());
        Some([tolerance.half_width, lower])
    };
    let apart = |(a, b): (Number, Number)| {
        let between = a.value() - b.value();
        let rounding = a.resolution() + b.resolution();
        rounding <= (&between + &between).abs()
    };
    let (Some(ours), Some(theirs)) = (sides(own), sides(figure)) else { return false };
    unit(own).code == unit(figure).code && ours.into_iter().zip(theirs).any(apart)
}

fn with_its_ends(
    text: &str,
    stated: &Stated,
    [first, second]: [&Number; 2],
    [low, high]: &[Rational; 2],
    figure: &Figure,
    conventions: &Conventions,
) -> Judgement {
    let judged = |number: &Number, end: &Rational| {
        let alone = Figure { amount: Amount::Point(number.clone()), ..figure.clone() };
        let end = Quantity { si: Real::Exact(end.clone()), ..stated.quantity.clone() };
        against(text, &alone, &of_quantity(&end, &Rational::zero()), conventions)
    };
    let stands = |judgement: &Judgement| judgement.verdict <= Verdict::Lenient;
    let whole = || against(text, figure, &of_statement(stated), conventions);
    let ends = [judged(first, low), judged(second, high)];
    if ends.iter().all(stands) || stands(&judged(first, high)) && stands(&judged(second, low)) {
        return whole();
    }
    // With one end right the other is a slip; another range around the reading is true.
    let is_another = !ends.iter().any(stands) && first.value() < second.value();
    if is_another {
        let around = whole();
        if stands(&around) {
            let reason = "another range than that of the reading".to_owned();
            return Judgement { verdict: Verdict::Lenient, reason, ..around };
        }
    }
    let mut wrong = ends.into_iter().find(|end| !stands(end)).unwrap_or_else(whole);
    wrong.works_out = wrong.proposal.clone().or(wrong.works_out);
    wrong
}
