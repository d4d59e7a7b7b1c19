//! Ratios in words that no statement has settled: "twice the relief setting", "an eighth of the
//! store". What they are of is proposed where it is certain, so that they can be bound; else they
//! are the writer's.

use super::results::{self, Sought};
use super::sentence::Weighing;
use super::supposed::supposed;
use crate::proof::checks::tie::{self, Doubt};
use crate::proof::figure::{PassageProof, Proposal};
use crate::proof::prose::Group;
use crate::statement::{Role, may};
use crate::text::Span;

impl Weighing<'_> {
    /// Tells of the ratios whose parts are certain.
    pub(super) fn ratios(&self, ratios: Vec<Group>, proof: &mut PassageProof) {
        for ratio in ratios {
            let proposals = self.ratio(&ratio);
            if proposals.first().is_some_and(|first| first.is_certain) {
                let mut slips = Vec::new();
                let doubt = Doubt::Nameless;
                let found =
                    tie::untied(self.passage, ratio, doubt, proposals, self.context, &mut slips);
                proof.take(found, slips);
            }
        }
    }

    fn ratio(&self, ratio: &Group) -> Vec<Proposal> {
        let (figure, context) = (&ratio.members[0], self.context);
        let is_said = self.is_own
            && figure.bound.is_none()
            && supposed(self.passage.text, ratio.span).is_none();
        if !is_said {
            return Vec::new();
        }
        let span = ratio.span.shifted(self.line.shift);
        let owner = self.line.owner_of(span, context);
        let several = !context.compared().is_empty();
        results::proposals(&Sought {
            figure,
            around: &self.around_of(span),
            stated: &self.stated,
            is_difference: false,
            standard: self.standard_of(span),
            engine: owner.or(self.background.engine).filter(|_| several),
            context,
        })
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
