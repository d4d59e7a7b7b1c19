//! A figure that is not what the words near it name: a slip of that, or another figure.

use super::namesake;
use super::results::NearTo;
use super::sentence::{Meant, NamedWords, Weighing, group_verdict};
use super::supposed::supposed;
use super::weights::{BESIDE, NAMED, OUTRIGHT, PER_WORD};
use super::within::Definiteness;
use crate::folio::cues::Cue;
use crate::folio::words::TextWord;
use crate::proof::checks::tie::Tied;
use crate::quantity::{Amount, Dimension, Figure, Judgement, Verdict, exact};
use crate::statement::{Role, may};

/// Words before a figure among which hearsay is looked for.
const HEARD: usize = 8;

/// Roles of words that set one engine against another.
const CONTRASTS: [Role; 4] = [Role::SetsAgainst, Role::Elder, Role::Heir, Role::Pair];

/// "Divided by one atmosphere": a pressure to reckon with and no reading.
fn is_air_outside(figure: &Figure) -> bool {
    let is_one = match &figure.amount {
        Amount::Point(number) => exact::to_f64(&number.value()) == 1.0,
        Amount::Range(..) => false,
    };
    figure.unit.code == "atm" && is_one
}

impl Weighing<'_> {
    /// Whether between a name and its figure stands nothing that might make it another quantity of
    /// the same thing: "the piston retires 6.5 mm" and "0.3 mm under the piston" say nothing of the
    /// piston's diameter.
    pub(super) fn is_linked(&self, row: usize, cue: &Cue) -> bool {
        let figure = self.spans[row];
        let between = |word: &&TextWord| {
            cue.span.end <= word.span.start && word.span.end <= figure.start
                || figure.end <= word.span.start && word.span.end <= cue.span.start
        };
        let is_before = figure.end <= cue.span.start;
        // "Stem and bolt travel are …": a name moves nothing.
        let is_name = |word: &&TextWord| self.cues.iter().any(|cue| cue.span.contains(word.span));
        self.line.words.iter().filter(between).filter(|word| !is_name(word)).all(|word| {
            !(may(&word.stem, Role::Moves) || is_before && may(&word.stem, Role::Bounds))
        })
    }

    /// Whether somebody else says the figure, or it was another's.
    pub(super) fn is_hearsay(&self, row: usize) -> bool {
        let words = &self.line.words;
        let middle = words.partition_point(|word| word.span.end <= self.spans[row].start);
        let before = &words[middle.saturating_sub(HEARD)..middle];
        // "Till then a -011": it was so.
        let until_then = |pair: &[TextWord]| {
            matches!(pair, [until, then] if matches!(until.stem.as_str(), "till" | "until")
                && then.stem == "then")
        };
        before.iter().any(|word| may(&word.stem, Role::Hearsay))
            || before.windows(2).any(until_then)
    }

    /// A figure that is not what the words near it name: a slip of that, or another one.
    pub(super) fn misfit(
        &self,
        row: usize,
        tied: Tied,
        swapped: Option<usize>,
        (apart, said, is_linked): (f64, Definiteness, bool),
    ) -> Meant {
        let is_crossed = tied.crossed.is_some();
        let is_near = tied.judgement.likely.is_some();
        // What would follow need not be what is, however near it comes.
        if !is_crossed && supposed(self.passage.text, self.groups[row].span).is_some() {
            return Meant::Supposed;
        }
        let words = NAMED - PER_WORD * apart;
        if !is_crossed && self.is_condition(row, apart) {
            return Meant::Supposed;
        }
        if let (false, Some(other)) = (is_crossed, self.counterpart(row, tied.named)) {
            return other;
        }
        if is_air_outside(&self.groups[row].members[0]) {
            return self.by_words(row, Some((tied.named, words)));
        }
        let is_hearsay = self.is_hearsay(row);
        // Who is right to the last digit about another figure was hardly wrong about this one.
        if is_near && !is_crossed && words < BESIDE {
            let other = self.by_words(row, Some((tied.named, words)));
            if matches!(other, Meant::Entry(..)) {
                return other;
            }
        }
        // "Has gone 19 mm": how far a thing moves is no size of it.
        let is_way = !is_linked && self.groups[row].members[0].unit.dimension == Dimension::LENGTH;
        let is_doubted = is_way || said == Definiteness::OfAnother;
        let is_outright = is_near || is_linked && said == Definiteness::Definite && !is_hearsay;
        if is_crossed || BESIDE <= words && is_outright && !is_doubted {
            return Meant::Entry(tied, swapped, Vec::new());
        }
        if is_near {
            return match is_doubted || is_hearsay {
                true => Meant::Nearly(NearTo::Entry(tied.named), tied.judgement, false),
                false => Meant::Entry(tied, swapped, Vec::new()),
            };
        }
        // "A cork 46 m out" is no cork of 46 m.
        let is_comparable = tied.judgement.verdict < Verdict::Incomparable;
        if said != Definiteness::Definite && is_comparable {
            return self.by_words(row, None);
        }
        // No slip of a hand explains it: then it is something else, unless it stands where only
        // that name can be meant.
        let other = self.by_words(row, Some((tied.named, words)));
        let is_other = match &other {
            Meant::Entry(..) => true,
            Meant::Nothing(_, proposals) => !proposals.is_empty(),
            _ => false,
        };
        match is_other || words < OUTRIGHT || is_hearsay || !is_linked {
            true => other,
            false => Meant::Entry(tied, swapped, Vec::new()),
        }
    }

    /// "1.88 kg against 2.35": the same figure of another engine, where the sentence sets engines
    /// against each other or names none.
    fn counterpart(&self, row: usize, (sheet, entry): NamedWords) -> Option<Meant> {
        let context = self.context;
        let named: Vec<usize> =
            self.line.mentions.iter().filter_map(|mention| mention.sheet).collect();
        let contrasts = |word: &TextWord| CONTRASTS.iter().any(|r| may(&word.stem, *r));
        let contrasts = self.line.words.iter().any(contrasts);
        let is_set_against = |other: usize| {
            named.contains(&other) || named.is_empty() || contrasts && context.compared().len() == 2
        };
        let others = context.compared().iter();
        let others = others.filter(|other| **other != sheet && is_set_against(**other));
        let mut agreeing = others.filter_map(|other| {
            let named = namesake(&context.folio.ledger, (sheet, entry), *other)?;
            let verdict = group_verdict(&self.groups[row], named, context);
            (verdict == Some(Verdict::Agree)).then_some(named)
        });
        let (named, None) = (agreeing.next()?, agreeing.next()) else { return None };
        let judgement = Judgement::agreed();
        let tied = Tied { named, judgement, crossed: None, is_swapped: false };
        Some(Meant::Entry(tied, None, vec![self.proposal(named, true)]))
    }

    /// "A pause under 20 ms begins to skip darts": a bound right behind its name, before the verb,
    /// says of which ones the sentence speaks.
    fn is_condition(&self, row: usize, apart: f64) -> bool {
        let group = &self.groups[row];
        let behind = self.passage.text[group.span.end..].trim_start_matches([')', ']']);
        let goes_on =
            behind.starts_with(' ') && behind.trim_start().starts_with(|c: char| c.is_alphabetic());
        group.members[0].bound.is_some() && apart <= 1.0 && goes_on
    }
}
