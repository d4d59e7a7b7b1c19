//! Words choose: a value that fits ties nothing where they clearly say something else, be it of one
//! figure or of two that fit only in each other's place.

use super::background::StatedFigure;
use super::of_group::{group_verdict, judged};
use super::sentence::{Meant, NamedWords, Weighing};
use super::weights::{AHEAD, ANY_WORDS, FAR_BEHIND, SLIP};
use crate::proof::checks::tie::{Doubt, Tied};
use crate::proof::figure::Proposal;
use crate::quantity::Verdict;

/// A figure that words around tie, or would.
struct PlaceByWords {
    row: usize,
    named: NamedWords,
    /// Whether it is tied to that, and not only offered it.
    is_tied: bool,
}

impl Weighing<'_> {
    /// Whether words say clearly more for another entry, which the value is not, than for `best`,
    /// which it is. What another figure of the sentence states says nothing of this one.
    pub(super) fn is_outworded(
        &self,
        row: usize,
        best: (NamedWords, f64),
        weighed: &[(NamedWords, f64)],
    ) -> bool {
        let agrees = |row: usize, named: NamedWords| {
            group_verdict(&self.groups[row], named, self.context) <= Some(Verdict::Lenient)
        };
        let ahead = weighed.iter().take_while(|(_, words)| best.1 + FAR_BEHIND <= *words);
        ahead.filter(|(_, words)| SLIP <= *words).any(|(named, _)| {
            let is_said = self.stated.contains(&StatedFigure::Entry(*named))
                || (0..self.groups.len()).any(|other| other != row && agrees(other, *named));
            *named != best.0 && !is_said && !agrees(row, *named)
        })
    }

    /// "The front spring pushes with 9 N and the rear one with 4": where the words give two figures
    /// to each other's names, the values do not choose.
    pub(super) fn crossed_by_words(&self, meant: &mut [Meant]) {
        let places: Vec<PlaceByWords> = meant
            .iter()
            .enumerate()
            .filter_map(|(row, meant)| self.place_by_words(row, meant))
            .collect();
        for (at, one) in places.iter().enumerate() {
            for two in &places[at + 1..] {
                if one.named == two.named || !(one.is_tied || two.is_tied) {
                    continue;
                }
                let Some(lead) = self.lead_of_the_other_way(one, two) else { continue };
                // Where words say it less clearly, nothing is tied.
                let is_told = 2.0 * AHEAD <= lead;
                for (this, other) in [(one, two), (two, one)] {
                    let crossed = is_told.then(|| self.in_place_of(this, other)).flatten();
                    meant[this.row] = crossed.unwrap_or_else(|| {
                        let offered = [this.named, other.named];
                        let offered = offered.map(|named| self.proposal(named, false));
                        Meant::Nothing(Doubt::Nameless, offered.into())
                    });
                }
                return;
            }
        }
    }

    /// What words around a figure tie it to, where no name in full does.
    fn place_by_words(&self, row: usize, meant: &Meant) -> Option<PlaceByWords> {
        let named_first = |proposals: &[Proposal]| {
            let first = proposals.first()?;
            let entries = self.context.lexicon().entries();
            let mut named =
                entries.filter(|named| self.proposal(*named, false).formula == first.formula);
            named.next()
        };
        match meant {
            // A name in full has no proposal beside it.
            Meant::Entry(tied, None, proposals) if !proposals.is_empty() => {
                let is_right = tied.judgement.verdict <= Verdict::Lenient;
                is_right.then_some(PlaceByWords { row, named: tied.named, is_tied: true })
            }
            Meant::Nothing(_, proposals) => {
                Some(PlaceByWords { row, named: named_first(proposals)?, is_tied: false })
            }
            _ => None,
        }
    }

    /// By how much words speak for two figures in each other's place, where neither fits there.
    fn lead_of_the_other_way(&self, one: &PlaceByWords, two: &PlaceByWords) -> Option<f64> {
        let fits = |row: usize, named: NamedWords| {
            group_verdict(&self.groups[row], named, self.context) <= Some(Verdict::Lenient)
        };
        if fits(one.row, two.named) || fits(two.row, one.named) {
            return None;
        }
        let words = |row: usize, named: NamedWords| {
            let weighed = self.weighed(row, &self.around(row));
            weighed.into_iter().find(|(known, _)| *known == named).map(|(_, words)| words)
        };
        let there = [words(one.row, two.named)?, words(two.row, one.named)?];
        let here = [words(one.row, one.named)?, words(two.row, two.named)?];
        let lead = there[0] + there[1] - here[0] - here[1];
        let is_said = there.into_iter().all(|words| ANY_WORDS <= words);
        // Neither is clearly said to be what it fits.
        let is_even = there.into_iter().zip(here).all(|(there, here)| here < there + AHEAD);
        (is_said && is_even && AHEAD <= lead).then_some(lead)
    }

    fn in_place_of(&self, this: &PlaceByWords, other: &PlaceByWords) -> Option<Meant> {
        let text = self.passage.text;
        let judgement = judged(text, &self.groups[this.row], other.named, self.context)?;
        let crossed = Some(this.named);
        let tied = Tied { named: other.named, judgement, crossed, is_swapped: true };
        Some(Meant::Entry(tied, Some(other.row), Vec::new()))
    }
}
