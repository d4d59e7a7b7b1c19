//! Ratios in words that no statement has settled: "twice the relief setting", "an eighth of the
//! store". What they are of is proposed where it is certain, so that they can be bound; else they
//! are the writer's.

use super::evidence::Around;
use super::results::{self, Sought};
use super::sentence::{Meant, NamedWords, Weighing};
use super::shares::{self, RatioOf};
use super::supposed::supposed;
use crate::folio::words::TextWord;
use crate::proof::checks::tie::{self, Doubt};
use crate::proof::figure::PassageProof;
use crate::proof::prose::Group;
use crate::quantity::{Dimension, Figure};
use crate::statement::{Role, may, measures};
use crate::text::Span;

/// Words behind a ratio among which is said what it is one of.
const OF_WHAT: usize = 3;

impl Weighing<'_> {
    /// Tells of the ratios whose parts are certain, and of those that are not the ratio of these.
    pub(super) fn ratios(&self, ratios: Vec<Group>, meant: &[Meant], proof: &mut PassageProof) {
        let (passage, context) = (self.passage, self.context);
        for ratio in ratios {
            let Some(around) = self.around_ratio(&ratio) else { continue };
            let span = ratio.span.shifted(self.line.shift);
            let owner = self.line.owner_of(span, context);
            let several = !context.compared().is_empty();
            let sought = Sought {
                figure: &ratio.members[0],
                around: &around,
                stated: &self.stated,
                is_difference: false,
                ratio_of: self.ratio_of(span, &ratio.members[0]),
                standard: self.standard_of(span),
                share: None,
                engine: owner.or(self.background.engine).filter(|_| several),
                context,
            };
            let proposals = results::proposals(&sought);
            let mut slips = Vec::new();
            let found = if proposals.first().is_some_and(|first| first.is_certain) {
                let doubt = Doubt::Nameless;
                tie::untied(passage, ratio, doubt, proposals, context, &mut slips)
            } else if proposals.is_empty()
                && (sought.standard.is_some() || context.spoken)
                && let Some((near, judgement)) =
                    results::nearly(passage.text, &sought).or_else(|| {
                        // "A third of its length": whose that is nobody says.
                        let owned = ["it", "its", "their"];
                        if sought.ratio_of.0.iter().any(|word| owned.contains(word)) {
                            return None;
                        }
                        let left = self.set_against(span, sought.standard?, meant)?;
                        shares::unlike(passage.text, &sought, left)
                    })
            {
                tie::nearly(passage, ratio, &near, (&judgement, false), context, &mut slips)
            } else {
                continue;
            };
            proof.take(found, slips);
        }
    }

    /// What stands around a ratio that says what is.
    fn around_ratio(&self, ratio: &Group) -> Option<Around<'_>> {
        let is_said = self.is_own
            && ratio.members[0].bound.is_none()
            && supposed(self.passage.text, ratio.span).is_none();
        is_said.then(|| self.around_of(ratio.span.shifted(self.line.shift)))
    }

    /// The one figure of the sentence that may be meant to be so many times what stands behind a
    /// ratio: the last that is stated before it, else the only one that is named.
    fn set_against(
        &self,
        ratio: Span,
        standard: NamedWords,
        meant: &[Meant],
    ) -> Option<NamedWords> {
        let ledger = &self.context.folio.ledger;
        let measure = |named: NamedWords| {
            let quantity = ledger.nominal(named.0, named.1)?.quantity;
            Some((quantity.dimension, quantity.kind, quantity.reference))
        };
        let alike = measure(standard)?;
        let here = self.groups.iter().zip(&self.spans).zip(meant).map(|((group, span), meant)| {
            (*span, group.members[0].unit.dimension, self.states_in_the_end(meant))
        });
        let by_hand = self
            .bound
            .iter()
            .map(|(figure, named)| (figure.span, figure.unit.dimension, Some(*named)));
        let before = here.chain(by_hand).filter(|(span, dimension, _)| {
            span.end <= ratio.start && *dimension == alike.0 && *dimension != Dimension::NONE
        });
        if let Some((_, _, stated)) = before.max_by_key(|(span, ..)| span.start) {
            return stated.filter(|named| *named != standard && measure(*named) == Some(alike));
        }
        let before = self.cues.iter().filter(|cue| cue.span.end <= ratio.start);
        let before = before.map(|cue| (cue.sheet, cue.entry));
        let mut found = before.filter(|it| *it != standard && measure(*it) == Some(alike));
        let first = found.next()?;
        found.all(|other| other == first).then_some(first)
    }

    /// What the words right behind a ratio say that it is one of.
    pub(super) fn ratio_of(&self, ratio: Span, figure: &Figure) -> RatioOf<'_> {
        let words = &self.line.words;
        if figure.unit.dimension != Dimension::NONE {
            return RatioOf::default();
        }
        let behind = &words[words.partition_point(|word| word.span.start < ratio.end)..];
        let is_whole = |word: &&TextWord| {
            !self.line.text[ratio.end..word.span.start].contains([',', ';', ':', '.', '('])
        };
        let said = behind.iter().take(OF_WHAT).take_while(is_whole);
        RatioOf(said.map(|word| word.stem.as_str()).take_while(|word| *word != "than").collect())
    }

    /// What is named right behind a ratio: "twice **the relief setting**", "half as wide as **the
    /// seat**".
    pub(super) fn standard_of(&self, ratio: Span) -> Option<(usize, usize)> {
        let words = &self.line.words;
        let behind = self.cues.iter().filter(|cue| ratio.end <= cue.span.start);
        let cue = behind.min_by_key(|cue| (cue.span.start, std::cmp::Reverse(cue.span.end)))?;
        let gap = Span::new(ratio.end, cue.span.start);
        let between = &words[words.partition_point(|word| word.span.start < gap.start)..];
        let between = between.iter().take_while(|word| word.span.end <= gap.end);
        let leads = |stem: &str| {
            let roles = [Role::Glue, Role::Plain, Role::Comparative];
            // "Twice the area of the seat" is set against the seat.
            measures(stem, Dimension::AREA).is_some() || roles.iter().any(|role| may(stem, *role))
        };
        let is_near = between.into_iter().all(|word| leads(&word.stem));
        let is_whole = !self.line.text[gap.start..gap.end].contains([',', ';', ':', '.', '(']);
        (is_near && is_whole).then_some((cue.sheet, cue.entry))
    }
}
