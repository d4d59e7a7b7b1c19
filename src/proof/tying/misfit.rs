//! A figure that is not what the words near it name: a slip of that, or another figure.

use super::namesake;
use super::sentence::{Meant, NamedWords, Weighing, group_verdict};
use super::supposed::{Supposed, supposed};
use super::weights::{BESIDE, NAMED, OUTRIGHT, PER_WORD};
use crate::folio::cues::Cue;
use crate::folio::words::TextWord;
use crate::proof::checks::tie::Tied;
use crate::quantity::{Amount, Figure, Judgement, Verdict, exact};

/// Words that set one engine against another.
const CONTRASTS: [&str; 14] = [
    "against", "than", "other", "first", "second", "former", "latter", "older", "newer", "both",
    "versu", "while", "wherea", "but",
];

/// Words before a figure that somebody else says, or that was true of something else.
const HEARSAY: [&str; 16] = [
    "say",
    "said",
    "claim",
    "claimed",
    "reckon",
    "according",
    "handbook",
    "catalogue",
    "label",
    "brochure",
    "advertised",
    "quoted",
    "originally",
    "formerly",
    "prototype",
    "elsewhere",
];
/// Words before a figure among which they are looked for.
const HEARD: usize = 8;

/// What a thing does rather than what it is: behind its name, a figure is of that.
const MOVES: [&str; 24] = [
    "travel", "move", "retire", "retreat", "slide", "lift", "rise", "fall", "drop", "jump", "fly",
    "throw", "go", "hit", "strike", "push", "pull", "advance", "return", "shift", "leave", "clear",
    "gain", "lose",
];

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
    /// the same thing: "the piston retires 6.5 mm" says nothing of the piston's diameter.
    pub(super) fn is_linked(&self, row: usize, cue: &Cue) -> bool {
        let figure = self.spans[row];
        let between = |word: &&TextWord| {
            cue.span.end <= word.span.start && word.span.end <= figure.start
                || figure.end <= word.span.start && word.span.end <= cue.span.start
        };
        self.line.words.iter().filter(between).all(|word| !MOVES.contains(&word.stem.as_str()))
    }

    /// Whether somebody else says the figure, or it was another's.
    pub(super) fn is_hearsay(&self, row: usize) -> bool {
        let words = &self.line.words;
        let middle = words.partition_point(|word| word.span.end <= self.spans[row].start);
        let before = &words[middle.saturating_sub(HEARD)..middle];
        before.iter().any(|word| HEARSAY.contains(&word.stem.as_str()))
    }

    /// A figure that is not what the words near it name: a slip of that, or another one.
    pub(super) fn misfit(
        &self,
        row: usize,
        tied: Tied,
        swapped: Option<usize>,
        (apart, is_new, is_linked): (f64, bool, bool),
    ) -> Meant {
        let is_crossed = tied.crossed.is_some();
        let is_near = tied.judgement.likely.is_some();
        match supposed(self.passage.text, self.groups[row].span) {
            Some(Supposed::Condition) if !is_crossed => return Meant::Supposed,
            Some(Supposed::Consequence) if !is_crossed && !is_near => return Meant::Supposed,
            // What would follow need not be what is, however near it comes.
            Some(Supposed::Consequence) if !is_crossed => {
                return Meant::Nearly(tied.named, tied.judgement, false);
            }
            _ => {}
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
        let is_outright = is_linked && !is_new && !is_hearsay;
        if is_crossed || BESIDE <= words && (is_near || is_outright) {
            return Meant::Entry(tied, swapped, Vec::new());
        }
        if is_near {
            return match is_hearsay {
                true => Meant::Nearly(tied.named, tied.judgement, false),
                false => Meant::Entry(tied, swapped, Vec::new()),
            };
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
        let contrasts = self.line.words.iter().any(|word| CONTRASTS.contains(&word.stem.as_str()));
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
