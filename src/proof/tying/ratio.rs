//! Ratios in words that no statement has settled: "twice the relief setting", "an eighth of the
//! store". What they are of is proposed where it is certain, so that they can be bound; else they
//! are the writer's.

use super::evidence::Around;
use super::results::{self, Sought};
use super::sentence::Weighing;
use super::supposed::supposed;
use crate::proof::checks::tie::{self, Doubt};
use crate::proof::figure::PassageProof;
use crate::proof::prose::Group;
use crate::statement::{Role, may};
use crate::text::Span;

impl Weighing<'_> {
    /// Tells of the ratios whose parts are certain, and of those that are not the ratio of these.
    pub(super) fn ratios(&self, ratios: Vec<Group>, proof: &mut PassageProof) {
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
                && sought.standard.is_some()
                && let Some((near, judgement)) = results::nearly(passage.text, &sought)
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

    /// What is named right behind a ratio: "twice **the relief setting**", "half as wide as **the
    /// seat**".
    pub(super) fn standard_of(&self, ratio: Span) -> Option<(usize, usize)> {
        let words = &self.line.words;
        let behind = self.cues.iter().filter(|cue| ratio.end <= cue.span.start);
        let cue = behind.min_by_key(|cue| (cue.span.start, std::cmp::Reverse(cue.span.end)))?;
        let gap = Span::new(ratio.end, cue.span.start);
        let between = &words[words.partition_point(|word| word.span.start < gap.start)..];
        let between = between.iter().take_while(|word| word.span.end <= gap.end);
        let leads = |stem: &str| may(stem, Role::Glue) || may(stem, Role::Plain);
        let is_near = between.into_iter().all(|word| leads(&word.stem));
        let is_whole = !self.line.text[gap.start..gap.end].contains([',', ';', ':', '.', '(']);
        (is_near && is_whole).then_some((cue.sheet, cue.entry))
    }
}
