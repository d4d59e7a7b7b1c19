//! A figure that is not what the words near it name: a slip of that, or another figure.

use super::background::StatedFigure;
use super::digits::{digits, same_digits, telling_digits};
use super::evidence::names_quantity;
use super::near_result::NearTo;
use super::of_group::group_verdict;
use super::sentence::{Meant, NamedWords, Weighing};
use super::supposed::supposed;
use super::weights::{AHEAD, BESIDE, NAMED, OUTRIGHT, PER_WORD};
use super::within::Definiteness;
use super::{TiedLine, namesake};
use crate::folio::cues::Cue;
use crate::folio::meaning::plain;
use crate::folio::words::TextWord;
use crate::proof::checks::tie::Tied;
use crate::proof::figure::Proposal;
use crate::quantity::{Amount, Dimension, Figure, Judgement, Verdict, exact};
use crate::statement::{Role, may};
use crate::text::Span;

/// Words before a figure among which hearsay is looked for.
const HEARD: usize = 8;

/// What is done to a thing so that it is another.
const CHANGED: [&str; 14] = [
    "doubled",
    "halved",
    "trebled",
    "tripled",
    "raised",
    "lowered",
    "increased",
    "decreased",
    "reduced",
    "lengthened",
    "shortened",
    "widened",
    "opened",
    "stretched",
];

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

/// Whether a clause of its own begins in what stands between a figure and a name behind it.
fn begins_clause(gap: &str) -> bool {
    [", and ", ", but ", ", so ", "; ", ": "].iter().any(|join| gap.contains(join))
}

impl TiedLine<'_> {
    /// Whether somebody else says what stands at `span`, or it was another's, by the words before.
    pub(in crate::proof) fn is_hearsay(&self, span: Span) -> bool {
        let says = |word: &TextWord| may(&word.stem, Role::Hearsay);
        self.just_before(span).iter().any(says) || self.was_until_then(span) || self.used_to(span)
    }

    /// "Till then a -011": it was so.
    pub(in crate::proof) fn was_until_then(&self, span: Span) -> bool {
        self.just_before(span).windows(2).any(|pair| {
            matches!(pair, [until, then] if matches!(until.stem.as_str(), "till" | "until")
                && then.stem == "then")
        })
    }

    /// "There used to be thirteen."
    fn used_to(&self, span: Span) -> bool {
        self.just_before(span)
            .windows(2)
            .any(|pair| matches!(pair, [used, to] if used.stem == "used" && to.stem == "to"))
    }

    fn just_before(&self, span: Span) -> &[TextWord] {
        let middle = self.words.partition_point(|word| word.span.end <= span.start);
        &self.words[middle.saturating_sub(HEARD)..middle]
    }
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
        // "13.8 ft, and the ball is there": a name in the next clause.
        // "85 m of line": so much of it, and not all that there is.
        let is_stuff = !cue.is_echo && cue.last == cue.first + 1 && !self.measures(cue);
        let is_apart = |gap: &str| gap.trim() == "of" && is_stuff || begins_clause(gap);
        if is_before && is_apart(&self.line.text[figure.end..cue.span.start]) {
            return false;
        }
        // "Stem and bolt travel are …": a name moves nothing.
        let is_name = |word: &&TextWord| self.cues.iter().any(|cue| cue.span.contains(word.span));
        self.line.words.iter().filter(between).filter(|word| !is_name(word)).all(|word| {
            !(may(&word.stem, Role::Moves) || is_before && may(&word.stem, Role::Bounds))
        })
    }

    /// Whether a name is the word for a quantity: "5 mm of lift".
    fn measures(&self, cue: &Cue) -> bool {
        let word = self.line.words.get(cue.first).map_or("", |word| word.stem.as_str());
        may(word, Role::Moves) || names_quantity(word)
    }

    /// Whether somebody else says the figure, or it was another's.
    pub(super) fn is_hearsay(&self, row: usize) -> bool {
        self.line.is_hearsay(self.spans[row])
    }

    /// A figure that is not what the words near it name: a slip of that, or another one.
    pub(super) fn misfit(
        &self,
        row: usize,
        tied: Tied,
        swapped: Option<usize>,
        (apart, said, is_linked, is_plain): (f64, Definiteness, bool, bool),
    ) -> Meant {
        if let Some(rather) = self.rather(row, &tied, swapped) {
            return rather;
        }
        if tied.crossed.is_none() && self.is_of_another_one() {
            return Meant::New { is_near: true };
        }
        let (is_crossed, is_near) = (tied.crossed.is_some(), tied.judgement.likely.is_some());
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
        if !is_crossed && let Some(other) = self.said_otherwise(row, tied.named, is_near) {
            return other;
        }
        if !is_near
            && !is_crossed
            && let Some(other) = self
                .of_other_quality(row, tied.named)
                .or_else(|| self.of_the_same_name(row, tied.named))
        {
            return other;
        }
        if !is_crossed && let Some(sum) = self.together(row, (tied.named, words)) {
            return sum;
        }
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
        let is_outright =
            is_near || is_linked && is_plain && said == Definiteness::Definite && !is_hearsay;
        if is_crossed || BESIDE <= words && is_outright && !is_doubted {
            return Meant::Entry(tied, swapped, Vec::new());
        }
        if is_near {
            let is_another = said == Definiteness::OfAnother;
            return self.slip_of_named(row, (tied, swapped), is_another, (is_doubted, is_hearsay));
        }
        // "A cork 46 m out" is no cork of 46 m.
        let is_comparable = tied.judgement.verdict < Verdict::Incomparable;
        if said != Definiteness::Definite && is_comparable {
            return self.by_words(row, None);
        }
        let is_doubtful = words < OUTRIGHT || is_hearsay || !is_linked || !is_plain;
        self.something_else(row, (tied, words), swapped, is_doubtful)
    }

    /// A figure that is another's by what stands before it or by its name.
    fn said_otherwise(&self, row: usize, named: NamedWords, is_near: bool) -> Option<Meant> {
        // "4.2 m off, 13.8 ft": what it tells again has a name of its own.
        if !is_near && self.is_told_again(row) {
            return Some(Meant::Open(self.doubt(row)));
        }
        let longer = self.of_a_longer_name(row, named);
        let is_changed = !is_near && self.is_changed_to(row);
        longer.or_else(|| is_changed.then_some(Meant::New { is_near: true }))
    }

    /// A figure one slip away from what is named, where that need not be what is meant.
    fn slip_of_named(
        &self,
        row: usize,
        (tied, swapped): (Tied, Option<usize>),
        is_another: bool,
        (is_doubted, is_hearsay): (bool, bool),
    ) -> Meant {
        // What is right to the last digit is no slip of what is only doubtfully named.
        if is_doubted && let Some(other) = self.right_elsewhere(row, tied.named) {
            return other;
        }
        // Another one of its name may have any size.
        if is_another && !same_digits(&self.groups[row].members[0], tied.named, self.context) {
            return Meant::New { is_near: true };
        }
        match is_doubted || is_hearsay {
            true => Meant::Nearly(NearTo::Entry(tied.named), tied.judgement, false),
            false => Meant::Entry(tied, swapped, Vec::new()),
        }
    }

    /// "Dwell and refill together take 92 ms": the sum of what is named, where it is that for
    /// certain.
    fn together(&self, row: usize, instead_of: (NamedWords, f64)) -> Option<Meant> {
        let adds = |word: &TextWord| matches!(word.stem.as_str(), "together" | "altogether");
        if !self.line.own_words().iter().any(adds) {
            return None;
        }
        let found = self.result(row, self.doubt(row), Some(instead_of));
        let is_sum = |it: &Proposal| it.is_certain && it.formula.contains(" + ");
        let Meant::Nothing(_, proposals) = &found else { return None };
        proposals.first().is_some_and(is_sum).then_some(found)
    }

    /// No slip of a hand explains a figure: then it is something else than what is named, unless it
    /// stands where only that name can be meant.
    fn something_else(
        &self,
        row: usize,
        (tied, words): (Tied, f64),
        swapped: Option<usize>,
        is_doubtful: bool,
    ) -> Meant {
        let other = self.by_words(row, Some((tied.named, words)));
        let is_other = match &other {
            Meant::Entry(..) => true,
            Meant::Nothing(_, proposals) => !proposals.is_empty(),
            _ => false,
        };
        match is_other || is_doubtful {
            true => other,
            false => Meant::Entry(tied, swapped, Vec::new()),
        }
    }

    /// Whether the line sets one engine against another.
    pub(super) fn contrasts(&self) -> bool {
        let is_figure = |word: &TextWord| self.figures.iter().any(|it| it.contains(word.span));
        let contrasts = |word: &TextWord| CONTRASTS.iter().any(|r| may(&word.stem, *r));
        self.line.words.iter().any(|word| contrasts(word) && !is_figure(word))
    }

    /// "A seat with a bore of 12.5 mm": what two names share is said of the one that both are.
    fn rather(&self, row: usize, tied: &Tied, swapped: Option<usize>) -> Option<Meant> {
        let named = tied.crossed.filter(|it| swapped.is_none() && it.0 == tied.named.0)?;
        let (around, lexicon) = (self.around(row), self.context.lexicon());
        let words = |named| lexicon.words_near(named, &around);
        if words(named) < words(tied.named) + AHEAD {
            return None;
        }
        let judgement = Judgement::agreed();
        let tied = Tied { named, judgement, crossed: None, is_swapped: false };
        Some(Meant::Entry(tied, None, vec![self.proposal(named, true)]))
    }

    /// "With the mass as 0.0028 kg", where a ball's was stated just now: what was named lately with
    /// a word more and has this value.
    fn of_the_same_name(&self, row: usize, named: NamedWords) -> Option<Meant> {
        let group = &self.groups[row];
        let lately = self.background.figures().take_while(|(ago, _)| *ago < 3);
        let mut lately = lately.filter_map(|(_, figure)| match figure {
            StatedFigure::Entry(other) if *other != named => Some(*other),
            _ => None,
        });
        let is_it = |other: &NamedWords| {
            self.context.lexicon().is_named_within(named, *other)
                && group_verdict(group, *other, self.context) == Some(Verdict::Agree)
        };
        let other = lately.find(is_it).filter(|_| 2 <= digits(&group.members[0]))?;
        let judgement = Judgement::agreed();
        let tied = Tied { named: other, judgement, crossed: None, is_swapped: false };
        Some(Meant::Entry(tied, None, vec![self.proposal(other, true)]))
    }

    /// "Bore × length: 9 × 240 mm": a figure right to the last digit about what has the named one's
    /// name with a word more.
    fn of_a_longer_name(&self, row: usize, named: NamedWords) -> Option<Meant> {
        let (group, context) = (&self.groups[row], self.context);
        if telling_digits(&group.members[0]) < 2 || same_digits(&group.members[0], named, context) {
            return None;
        }
        let lexicon = context.lexicon();
        let mut longer = lexicon.entries().filter(|other| {
            *other != named
                && other.0 == named.0
                && lexicon.is_named_within(named, *other)
                && group_verdict(group, *other, context) == Some(Verdict::Agree)
        });
        let (other, None) = (longer.next()?, longer.next()) else { return None };
        Some(Meant::Nothing(self.doubt(row), vec![self.proposal(other, true)]))
    }

    /// "The pulse doubled to 70 ms": what something was changed to is not what it is.
    fn is_changed_to(&self, row: usize) -> bool {
        let (figure, words) = (self.spans[row], &self.line.words);
        let before = &words[..words.partition_point(|word| word.span.end <= figure.start)];
        matches!(before, [.., changed, to] if to.stem == "to"
            && CHANGED.contains(&changed.stem.as_str()))
    }

    /// "The pipe is 31 cm long": what a figure is where the adjective behind it is of another
    /// quality than what is named, and what has that quality equals it.
    fn of_other_quality(&self, row: usize, named: NamedWords) -> Option<Meant> {
        let (figure, words) = (self.spans[row], &self.line.words);
        let behind = words.get(words.partition_point(|word| word.span.start < figure.end))?;
        let quality = plain(&behind.stem);
        let is_beside = self.line.text[figure.end..behind.span.start].trim().is_empty();
        let lexicon = self.context.lexicon();
        if !is_beside || quality == behind.stem || lexicon.names(named, quality) {
            return None;
        }
        self.right_elsewhere(row, named)
    }

    /// What a figure is by the words around it, where its value says so too and it is not what is
    /// named.
    fn right_elsewhere(&self, row: usize, named: NamedWords) -> Option<Meant> {
        let other = self.by_words(row, None);
        let is_it = match &other {
            Meant::Entry(tied, ..) => tied.named != named,
            Meant::Nothing(_, proposals) => !proposals.is_empty(),
            _ => false,
        };
        is_it.then_some(other)
    }

    /// "1.88 kg against 2.35": the same figure of another engine, where the sentence sets engines
    /// against each other or names none.
    fn counterpart(&self, row: usize, (sheet, entry): NamedWords) -> Option<Meant> {
        let context = self.context;
        let named: Vec<usize> =
            self.line.mentions.iter().filter_map(|mention| mention.sheet).collect();
        let contrasts = self.contrasts();
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
