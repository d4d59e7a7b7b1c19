//! A figure that equals no name: a result of some, one slip of the hand away from one, or new.

use super::digits::{differs_in_noughts, digits, same_digits, telling_digits};
use super::evidence::Around;
use super::near_result::{self, NearTo};
use super::of_group::{group_verdict, judged};
use super::results::{self, Sought};
use super::sentence::{BOUND, Meant, NamedWords, Weighing};
use super::weights::{ANY_WORDS, FULLY, SAME_DIGITS, SLIP, SOME_WORDS};
use super::within::share_beside;
use super::{Owner, namesake};
use crate::folio::meaning::plain;
use crate::proof::checks::tie::{Doubt, named_entry};
use crate::quantity::judge::TAKEN_OFF;
use crate::quantity::{Dimension, Figure, Judgement, Kind, Verdict};
use crate::statement::is_light;
use crate::text::Span;

/// An entry that a figure is one slip of the hand away from.
struct NearMiss {
    named: NamedWords,
    judgement: Judgement,
    words: f64,
    /// Whether it has the same digits.
    is_same: bool,
    /// Whether only noughts are too many or too few, and words speak for it or nothing else
    /// measures the same.
    is_only_noughts: bool,
}

impl NearMiss {
    /// Whether words weigh more than that some formula equals the figure.
    fn is_told(&self) -> bool {
        BOUND <= self.words || self.is_same && SOME_WORDS <= self.words
    }
}

impl Weighing<'_> {
    /// A figure that equals no name: a result of some, a slip of one, or nothing we know.
    pub(super) fn result(
        &self,
        row: usize,
        doubt: Doubt,
        instead_of: Option<(NamedWords, f64)>,
    ) -> Meant {
        let figure = &self.groups[row].members[0];
        let around = self.around(row);
        let (mut proposals, mut result) = (Vec::new(), None);
        if figure.kind != Kind::Count {
            let span = self.spans[row];
            let standard = self.standard_of(span).filter(|_| figure.kind == Kind::Ratio);
            let is_difference = matches!(doubt, Doubt::Difference);
            let share = self.share_of(row);
            let sought = self.sought(figure, span, &around);
            let sought = Sought { is_difference, standard, share, ..sought };
            let (found, words) = results::proposals(&sought);
            proposals = found;
            if proposals.first().is_some_and(|first| first.is_certain) {
                return Meant::Nothing(doubt, proposals);
            }
            let asks = figure.bound.is_none() && !self.is_hearsay(row) && !self.equals_another(row);
            let near = || near_result::nearly(self.passage.text, &sought, false, words);
            result = asks.then(near).flatten();
        }
        // A name that hardly anything speaks for stands in nothing's way.
        let is_named = instead_of.is_some_and(|(_, words)| SOME_WORDS <= words);
        let is_ours = !self.is_of_another_one();
        let asks = !is_named && figure.bound.is_none() && is_ours;
        let mut near = if asks { self.near(row, &around) } else { Vec::new() };
        // A difference is what the page works out from what was stated just now.
        let asks = asks && !matches!(doubt, Doubt::Difference);
        near.retain(|miss| asks || self.follows(miss.named));
        near.retain(|miss| {
            // Few numbers have another's digits, whatever stands beside them.
            let is_same = miss.is_same && 1 < telling_digits(figure);
            is_same
                || !self.is_of_another_thing(row, miss.named)
                    && !self.was_until_changed(row, miss.named)
                    && !self.is_said_of_another(row, miss.named)
        });
        if let Some(miss) = self.likeliest(row, &near)
            && (proposals.is_empty() && result.is_none()
                || miss.is_told()
                || near.len() == 1 && miss.is_same && result.is_none())
        {
            let NearMiss { named, judgement, words, .. } = miss;
            let is_slip = judgement.likely.is_some();
            let is_telling = miss.is_same || 1 < telling_digits(figure);
            // What no name says in full stops only where words say as much as one, or the digits.
            let enough = if miss.is_same { SLIP } else { FULLY };
            let stops = enough <= *words && is_slip && is_telling && !self.is_hearsay(row);
            return Meant::Nearly(NearTo::Entry(*named), judgement.clone(), stops);
        }
        if let Some((near, judgement)) = result {
            return Meant::Nearly(near, judgement, false);
        }
        if proposals.is_empty()
            && asks
            && let Some(near) = self.of_another_engine(row)
        {
            return near;
        }
        let is_named = || self.weighed(row, &around).iter().any(|(_, words)| SLIP <= *words);
        if proposals.is_empty() && asks && !is_named() {
            return Meant::New { is_near: !near.is_empty() };
        }
        Meant::Nothing(doubt, proposals)
    }

    /// What is known of a figure whose formula is looked for.
    pub(super) fn sought<'s>(
        &'s self,
        figure: &'s Figure,
        span: Span,
        around: &'s Around<'s>,
    ) -> Sought<'s> {
        let context = self.context;
        let owner = self.line.owner_of(span, context);
        let several = !context.compared().is_empty();
        Sought {
            figure,
            around,
            behind: &self.line.text[span.end..],
            stated: &self.stated,
            cues: self.cues,
            is_difference: false,
            ratio_of: self.ratio_of(span, figure),
            standard: self.standard_of(span),
            share: None,
            engine: owner.or(self.background.engine).filter(|_| several),
            context,
        }
    }

    /// Whether a figure is right to the last digit about something that the page knows, which a
    /// slip of another hardly is.
    fn equals_another(&self, row: usize) -> bool {
        let (group, context) = (&self.groups[row], self.context);
        let equals = |named| group_verdict(group, named, context) == Some(Verdict::Agree);
        1 < digits(&group.members[0]) && context.lexicon().entries().any(equals)
    }

    /// "The Larch takes 2.4 ms", which is what the other one takes: a figure of an engine that the
    /// sentence does not speak of.
    fn of_another_engine(&self, row: usize) -> Option<Meant> {
        let (group, context) = (&self.groups[row], self.context);
        let Owner::Engine(engine) = self.line.owner_of(self.spans[row], context) else {
            return None;
        };
        // Where two are set side by side, words say little of which is which.
        let is_alone = self.line.mentions.iter().all(|mention| mention.sheet == Some(engine));
        if digits(&group.members[0]) < 2 || self.is_hearsay(row) || !is_alone || self.contrasts() {
            return None;
        }
        let entries = context.lexicon().entries();
        let others = entries.filter(|(sheet, _)| *sheet != engine && context.is_about(*sheet));
        let mut found = others.filter_map(|other| {
            let own = namesake(&context.folio.ledger, other, engine)?;
            let agrees = |named| group_verdict(group, named, context) <= Some(Verdict::Lenient);
            (group_verdict(group, other, context) == Some(Verdict::Agree) && !agrees(own))
                .then_some((other, own))
        });
        let ((other, own), None) = (found.next()?, found.next()) else { return None };
        let mut judgement = judged(self.passage.text, group, own, context)?;
        judgement.likely = Some(format!("it is {}", named_entry(context, other)));
        Some(Meant::Nearly(NearTo::Entry(own), judgement, false))
    }

    /// The share of what is named that words beside a figure say it is.
    pub(super) fn share_of(&self, row: usize) -> Option<(NamedWords, &'static str)> {
        share_beside(self.line.text, &self.line.words, self.cues, self.spans[row])
    }

    /// Of the entries that a figure is one slip away from the one that it is asked about: the first
    /// that words speak for, or the only one. Few numbers have another's digits, while one slip
    /// turns a short number into any other.
    fn likeliest<'n>(&self, row: usize, near: &'n [NearMiss]) -> Option<&'n NearMiss> {
        let length = telling_digits(&self.groups[row].members[0]);
        let is_hedged = self.groups[row].members[0].hedge.is_some();
        let is_said = |miss: &&NearMiss| match (miss.is_same, length) {
            (false, _) if miss.is_only_noughts => !self.is_hearsay(row),
            // "About 3" is no 37 of which a digit is missing.
            (false, 0 | 1) if is_hedged => false,
            (true, _) => SOME_WORDS - SAME_DIGITS <= miss.words,
            (false, 0 | 1) => SLIP <= miss.words,
            (false, 2) => SOME_WORDS <= miss.words,
            (false, _) => ANY_WORDS <= miss.words,
        };
        // Shares are near each other everywhere.
        let is_share = self.groups[row].members[0].unit.dimension == Dimension::NONE;
        let is_long =
            |only: &NearMiss| 3 <= length || length == 2 && (!is_share || 0.0 < only.words);
        near.iter().find(is_said).or(match near {
            [only] if is_long(only) && !self.is_hearsay(row) => Some(only),
            _ => None,
        })
    }

    /// The entries that a figure is one slip away from, those with most words for them first.
    fn near(&self, row: usize, around: &Around<'_>) -> Vec<NearMiss> {
        let (group, context) = (&self.groups[row], self.context);
        let (subject, lexicon) = (self.subject(row), context.lexicon());
        let weighed = self.weighed(row, around);
        let is_only = weighed.len() == 1;
        let near = weighed.into_iter().filter_map(|(named, words)| {
            let is_same = same_digits(&group.members[0], named, context);
            let mut judgement = judged(self.passage.text, group, named, context)?;
            if judgement.verdict <= Verdict::Lenient {
                return None;
            }
            // Who moves the point as well as the unit has two slips to make.
            if is_same && judgement.likely.is_none() && words <= 0.0 {
                return None;
            }
            if is_same && judgement.likely.is_none() {
                judgement.likely = Some("another unit or another place of the point".to_owned());
            }
            let is_only_noughts = (is_only || ANY_WORDS <= words)
                && differs_in_noughts(&group.members[0], named, context);
            if is_only_noughts && judgement.likely.is_none() {
                judgement.likely = Some("the point is in another place".to_owned());
            }
            // Few numbers lie just there.
            let is_same = is_same || judgement.likely.as_deref() == Some(TAKEN_OFF);
            let is_slip = judgement.likely.is_some()
                || self.is_of_its_size(row, named)
                    && SLIP <= words
                    && subject.is_some_and(|word| lexicon.names(named, plain(word)));
            is_slip.then_some(NearMiss { named, judgement, words, is_same, is_only_noughts })
        });
        near.collect()
    }

    /// The word that a figure is said of: "**supply** is 6 bar", right before it or parted by such
    /// words only as say nothing.
    fn subject(&self, row: usize) -> Option<&str> {
        let (figure, words) = (self.spans[row], &self.line.words);
        let before = &words[..words.partition_point(|word| word.span.end <= figure.start)];
        let at = before.iter().rposition(|word| !is_light(&word.stem))?;
        let word = &before[at];
        // "Air weight" is no weight of what is named by itself.
        let is_told = at.checked_sub(1).is_some_and(|at| {
            let other = &before[at];
            let is_beside = &self.line.text[other.span.end..word.span.start] == " ";
            is_beside && !is_light(&other.stem) && !self.context.lexicon().knows(plain(&other.stem))
        });
        let gap = &self.line.text[word.span.end..figure.start];
        (!is_told && !gap.contains([',', ';', ':', '.', '('])).then_some(word.stem.as_str())
    }
}
