//! One value told twice in a sentence, in two units and looser words than a pair of the figure
//! reader: "4.2 m off, 13.8 ft", "8.5 N, a bit less than two pounds".

use super::of_group::group_verdict;
use super::sentence::{Meant, NamedWords, Weighing};
use crate::proof::checks::bound::as_force;
use crate::proof::checks::tie::{Doubt, Tied};
use crate::quantity::judge::dual;
use crate::quantity::{Amount, Dimension, Figure, Judgement, Verdict};
use crate::text::Span;

/// Bytes between a value and the same in another unit.
const NEAR: usize = 50;
/// How far a bound stands from what it bounds, as a share of it.
const BOUNDED: f64 = 0.1;

impl Weighing<'_> {
    /// The figure right before one, as written, that it tells again in another unit.
    fn told_before(&self, row: usize) -> Option<(&Figure, Span)> {
        let own = self.spans[row];
        let before = row.checked_sub(1).map(|at| (&self.groups[at].members[0], self.spans[at]));
        let bound = self.bound.iter().map(|(figure, _)| (figure, figure.span));
        let all = before.into_iter().chain(bound).filter(|(_, span)| span.end <= own.start);
        let (figure, span) = all.max_by_key(|(_, span)| span.end)?;
        let gap = &self.line.text[span.end..own.start];
        let is_near = gap.len() <= NEAR && !gap.contains(['.', '|', '±', '–', '→']);
        (is_near && self.tells_again(figure, &self.groups[row].members[0]))
            .then_some((figure, span))
    }

    /// Whether two figures of different units are one value.
    fn tells_again(&self, first: &Figure, later: &Figure) -> bool {
        let measured = first.unit.dimension;
        let is_force = measured == Dimension::FORCE && later.unit.dimension == Dimension::MASS;
        let later = match is_force {
            true => as_force(later),
            false => Some(later.clone()),
        };
        let Some(later) = later.filter(|later| later.unit.dimension == measured) else {
            return false;
        };
        if measured == Dimension::NONE || first.unit.code == later.unit.code {
            return false;
        }
        match later.bound {
            Some(_) => is_beside(first, &later),
            None => {
                let judgement = dual(self.passage.text, first, &later, self.context.conventions);
                judgement.verdict == Verdict::Agree
            }
        }
    }

    /// Whether a figure tells one before it again, in another unit.
    pub(super) fn is_told_again(&self, row: usize) -> bool {
        self.told_before(row).is_some()
    }

    /// Figures that nothing names and that tell the one before them again state what it does.
    pub(super) fn told_again(&self, meant: &mut [Meant]) {
        if !self.is_own {
            return;
        }
        for row in 0..meant.len() {
            let is_open = match &meant[row] {
                Meant::Open(doubt) | Meant::Nothing(doubt, _) => {
                    !matches!(doubt, Doubt::Difference)
                }
                Meant::Supposed | Meant::New { .. } | Meant::Nearly(_, _, false) => true,
                _ => false,
            };
            let Some((_, before)) = self.told_before(row).filter(|_| is_open) else { continue };
            if let Some(named) = self.named_at(before, meant)
                && self.states(row, named)
            {
                let judgement = Judgement::agreed();
                let tied = Tied { named, judgement, crossed: None, is_swapped: false };
                meant[row] = Meant::Entry(tied, None, vec![self.proposal(named, true)]);
            }
        }
    }

    /// The entry that the figure at a span states.
    fn named_at(&self, span: Span, meant: &[Meant]) -> Option<NamedWords> {
        let row = self.spans.iter().position(|own| *own == span);
        row.and_then(|row| self.states_in_the_end(&meant[row])).or_else(|| {
            let by_hand = self.bound.iter().find(|(figure, _)| figure.span == span);
            by_hand.map(|(_, named)| *named)
        })
    }

    /// Whether the value of an entry is that of a figure.
    fn states(&self, row: usize, named: NamedWords) -> bool {
        let verdict = group_verdict(&self.groups[row], named, self.context);
        verdict.is_some_and(|verdict| verdict <= Verdict::Lenient)
    }
}

/// Whether a bound stands close to a value: "8.5 N, a bit less than two pounds".
fn is_beside(value: &Figure, bound: &Figure) -> bool {
    let si = |figure: &Figure| match &figure.amount {
        Amount::Point(number) => Some(figure.unit.span_to_si(&number.value().into()).to_f64()),
        Amount::Range(..) => None,
    };
    let (Some(value), Some(bound)) = (si(value), si(bound)) else { return false };
    value != 0.0 && (bound / value - 1.0).abs() <= BOUNDED
}
