//! Ratios in words that no statement has settled: "twice the relief setting", "an eighth of the
//! store". What they are of is proposed where it is certain, so that they can be bound; else they
//! are the writer's.

use super::evidence::Around;
use super::near_result::{self, NearTo};
use super::results::{self, Sought};
use super::sentence::{Meant, NamedWords, Weighing};
use super::shares::{self, RatioOf};
use super::supposed::supposed;
use crate::folio::meaning::plain;
use crate::folio::words::TextWord;
use crate::proof::checks::tie::{self, Doubt};
use crate::proof::figure::PassageProof;
use crate::proof::prose::Group;
use crate::quantity::{Dimension, Figure, Judgement};
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
            let sought = self.sought(&ratio.members[0], span, &around);
            let (proposals, words) = results::proposals(&sought);
            let mut slips = Vec::new();
            let found = if proposals.first().is_some_and(|first| first.is_certain) {
                let doubt = Doubt::Nameless;
                tie::untied(passage, ratio, doubt, proposals, context, &mut slips)
            } else if let Some((near, judgement)) = self.nearly(span, &sought, words, meant) {
                tie::nearly(passage, ratio, &near, (&judgement, false), context, &mut slips)
            } else {
                continue;
            };
            proof.take(found, slips);
        }
    }

    /// What a ratio is nearly, where the sentence says of which two it is; `words` are those for a
    /// formula that it equals.
    fn nearly(
        &self,
        span: Span,
        sought: &Sought<'_>,
        words: Option<f64>,
        meant: &[Meant],
    ) -> Option<(NearTo, Judgement)> {
        let text = self.passage.text;
        let is_set = sought.standard.is_some() || self.context.spoken;
        if !is_set && !self.is_of_these(span) {
            return None;
        }
        let near = near_result::nearly(text, sought, !is_set, words);
        // "A third of its length": whose that is nobody says.
        let owned = ["it", "its", "their"];
        let is_owned = sought.ratio_of.0.iter().any(|word| owned.contains(word));
        if near.is_some() || words.is_some() || is_owned {
            return near;
        }
        let left = self.set_against(span, sought.standard?, meant)?;
        shares::unlike(text, sought, left)
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

    /// Whether a ratio is of what its sentence states: behind it nothing else is named.
    fn is_of_these(&self, ratio: Span) -> bool {
        let words = &self.line.words;
        let behind = &words[words.partition_point(|word| word.span.start < ratio.end)..];
        let text = &self.line.text[ratio.end..];
        let clause = ratio.end + text.find([',', ';', ':', '.', '(']).unwrap_or(text.len());
        let in_clause = behind.iter().take_while(|word| word.span.end <= clause);
        let lexicon = self.context.lexicon();
        let is_known = |word: &TextWord| {
            let roles = [Role::Glue, Role::Plain, Role::Comparative, Role::Light];
            let measured = [Dimension::AREA, Dimension::MASS, Dimension::VOLUME];
            roles.iter().any(|role| may(&word.stem, *role))
                || measured.iter().any(|dimension| measures(&word.stem, *dimension).is_some())
                || lexicon.knows(plain(&word.stem))
        };
        in_clause.into_iter().all(is_known)
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
