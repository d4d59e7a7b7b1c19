//! The figures of one sentence: the assignment of names, and what the odds make of each figure.

use super::assign::{MOST, assign, distance, parallel};
use super::background::{Background, StatedFigure};
use super::bare::{self, Bare, NumberFit};
use super::digits::digits;
use super::evidence::Around;
use super::near_result::NearTo;
use super::of_group::{group_verdict, judged, slip_of};
use super::reference::{counted_from, told_in_pounds};
use super::supposed::{Supposed, supposed};
use super::weights::{
    AHEAD, ANY_WORDS, FAR_BEHIND, FOLLOWS, NAMED, ONLY_ONE, OTHER_ENGINE, OUTRIGHT, PER_WORD,
    SOME_WORDS, TIES, fits,
};
use super::within::{Definiteness, definiteness, is_of_another_part, names_another};
use super::{Owner, TiedLine, name_in_formulas};
use crate::folio::cues::Cue;
use crate::folio::words::TextWord;
use crate::proof::checks::tie::{self, Doubt, Tied};
use crate::proof::figure::{JudgedFigure, PassageProof, Proposal, Status};
use crate::proof::passage::Passage;
use crate::proof::prose::{Group, PageContext, by_itself};
use crate::proof::reference_value::verdict_on;
use crate::quantity::reader::{ReadOptions, read_whole};
use crate::quantity::{Dimension, Figure, Judgement, Kind, Verdict};
use crate::slip::Slip;
use crate::text::Span;
use std::cell::OnceCell;

/// What it costs to take a figure for one that has no value, in words of distance: any other that
/// fits is the likelier.
const VALUELESS: f64 = 6.0;
/// Words that a bound needs before it is taken for a figure's.
pub(super) const BOUND: f64 = 2.5;
/// Words between a name and its figure beyond which accepting binds the figure.
const LOOSELY_NAMED: f64 = 4.0;
/// As many entries are shown of those that words around may mean.
const SHOWN: usize = 5;
/// As many entries are proposed for a figure that equals them.
const PROPOSED: usize = 3;

pub(super) type NamedWords = (usize, usize);

/// What a figure of a sentence is found to be.
pub(super) enum Meant {
    /// An entry, and the figure that stands in its place while it stands in that one's.
    Entry(Tied, Option<usize>, Vec<Proposal>),
    /// Almost an entry or a result: how it was judged, and whether it stops.
    Nearly(NearTo, Judgement, bool),
    /// An entry that has no value.
    Valueless(NamedWords),
    /// A supposition.
    Supposed,
    /// Nothing that a name says; a result of names is still to be looked for.
    Open(Doubt),
    /// Nothing that the words name; whether it is near something that they do not.
    New { is_near: bool },
    /// Nothing for certain, why, and what it may be.
    Nothing(Doubt, Vec<Proposal>),
}

/// A sentence and everything that is weighed in it.
pub(super) struct Weighing<'a> {
    pub(super) passage: &'a Passage<'a>,
    pub(super) line: &'a TiedLine<'a>,
    pub(super) groups: &'a [Group],
    pub(super) spans: Vec<Span>,
    /// What is accounted for in the line, bound or not, in order: figures and bindings.
    pub(super) figures: Vec<Span>,
    pub(super) cues: &'a [Cue],
    pub(super) background: &'a Background,
    /// What other figures of the sentence state.
    pub(super) stated: Vec<StatedFigure>,
    /// The bound figures of the line, as they are written, and the entries that they state.
    pub(super) bound: Vec<(Figure, NamedWords)>,
    pub(super) context: &'a PageContext<'a>,
    /// Whether words alone may mean the page's own figures.
    pub(super) is_own: bool,
}

/// What stands around the figures of a sentence.
pub(super) struct Neighbours<'a> {
    /// Names of figures.
    pub(super) cues: &'a [Cue],
    /// What figures that are bound state, and where in the passage they stand.
    pub(super) stated_by_hand: Vec<(Span, StatedFigure)>,
    /// What is accounted for, bound or not.
    pub(super) taken: &'a [Span],
    /// Ratios in words that no statement has settled.
    pub(super) ratios: Vec<Group>,
}

/// Ties the figures of a sentence.
pub(super) fn tie(
    passage: &Passage<'_>,
    line: &TiedLine<'_>,
    groups: Vec<Group>,
    around: Neighbours<'_>,
    background: &Background,
    context: &PageContext<'_>,
    proof: &mut PassageProof,
) {
    let Neighbours { cues, stated_by_hand, taken, ratios } = around;
    let spans: Vec<Span> = groups.iter().map(|group| group.span.shifted(line.shift)).collect();
    let is_own = context.has_words() && !line.names_another(context);
    let mut figures: Vec<Span> = taken.iter().map(|span| span.shifted(line.shift)).collect();
    figures.extend(&spans);
    figures.sort_unstable();
    let known = |(group, span): (Group, &Span)| {
        let group = counted_from(passage.text, group);
        if !is_own || group.members[0].unit.dimension != Dimension::MASS {
            return group;
        }
        let around = Around::look(line.text, &line.words, *span, &figures, background);
        told_in_pounds(group, &around, context)
    };
    let groups: Vec<Group> = groups.into_iter().zip(&spans).map(known).collect();
    let bound = stated_by_hand.iter().take(MOST);
    let bound =
        bound.filter_map(|(span, stated)| as_written(passage, line, *span, stated, context));
    let bound = bound.collect();
    let mut weighing = Weighing {
        passage,
        line,
        groups: &groups,
        spans,
        figures,
        cues,
        background,
        stated: stated_by_hand.into_iter().map(|(_, figure)| figure).take(MOST).collect(),
        bound,
        context,
        is_own,
    };
    let mut meant = weighing.weigh();
    weighing.beside_namesakes(&mut meant);
    let numbers = weighing.bare(taken, &meant);
    // What the sentence states of names is a part of what it states of results.
    let stated = meant.iter().filter_map(|meant| weighing.states_in_the_end(meant));
    let stated: Vec<StatedFigure> = stated.map(StatedFigure::Entry).collect();
    weighing.stated.extend(stated);
    let numbers_stated = numbers.iter().filter(|bare| bare.fits != NumberFit::Not);
    weighing.stated.extend(numbers_stated.map(|bare| StatedFigure::Entry(bare.entry)));
    weighing.stated.truncate(MOST);
    for (row, meant) in meant.iter_mut().enumerate() {
        weighing.settle(row, meant);
    }
    weighing.told_again(&mut meant);
    weighing.crossed_by_words(&mut meant);
    weighing.under_another_condition(&mut meant);
    weighing.ratios(ratios, &meant, proof);
    let why: Vec<Vec<String>> = match context.explains {
        true => (0..groups.len()).map(|row| weighing.why(row)).collect(),
        false => vec![Vec::new(); groups.len()],
    };
    let told = meant.into_iter().zip(why).collect();
    tell(passage, groups, told, context, proof);
    tell_numbers(passage, numbers, context, proof);
}

/// The figure of a bound text that states an entry, in places of the line.
fn as_written(
    passage: &Passage<'_>,
    line: &TiedLine<'_>,
    span: Span,
    stated: &StatedFigure,
    context: &PageContext<'_>,
) -> Option<(Figure, NamedWords)> {
    let StatedFigure::Entry(named) = stated else { return None };
    let value = context.folio.ledger.nominal(named.0, named.1)?;
    let decimal_comma = context.conventions.decimal_comma;
    let options = ReadOptions { decimal_comma, ..ReadOptions::default() };
    let figures = read_whole(&passage.text[span.start..span.end], &options).ok()?;
    let figure = figures.into_iter().next()?;
    let is_whole = figure.unit.dimension == value.quantity.dimension;
    is_whole.then(|| (Figure { span: span.shifted(line.shift), ..figure }, *named))
}

/// Tells of the numbers without a unit that are figures.
fn tell_numbers(
    passage: &Passage<'_>,
    numbers: Vec<Bare>,
    context: &PageContext<'_>,
    proof: &mut PassageProof,
) {
    for bare in numbers {
        let mut slips: Vec<Slip> = Vec::new();
        let group = Group::new(bare.figure.span, vec![bare.figure]);
        let proposal =
            Proposal { formula: name_in_formulas(context, bare.entry), is_certain: true };
        let found = match bare.fits {
            NumberFit::Value => {
                tie::untied(passage, group, Doubt::Nameless, vec![proposal], context, &mut slips)
            }
            NumberFit::Words => {
                let judgement = Judgement::agreed();
                let tied = Tied { named: bare.entry, judgement, crossed: None, is_swapped: false };
                let found = tie::judge(passage, group, tied, context, &mut slips);
                Some(JudgedFigure { proposals: vec![proposal], ..found })
            }
            NumberFit::Not => {
                slip_of(passage.text, &group, bare.entry, context).and_then(|judgement| {
                    let near = NearTo::Entry(bare.entry);
                    tie::nearly(passage, group, &near, (&judgement, false), context, &mut slips)
                })
            }
        };
        proof.take(found, slips);
    }
}

/// Whether the first of some proposals may be accepted unseen.
fn is_certain(proposals: &[Proposal]) -> bool {
    proposals.first().is_some_and(|first| first.is_certain)
}

impl Weighing<'_> {
    /// What a figure is, now that it is known what others of the sentence state.
    fn settle(&self, row: usize, meant: &mut Meant) {
        // What the sentence states speaks for what follows from it.
        if matches!(meant, Meant::Open(_) | Meant::Nothing(..))
            && let found @ Meant::Entry(..) = self.by_words(row, None)
        {
            *meant = found;
        }
        match meant {
            Meant::Open(doubt) => *meant = self.result(row, *doubt, None),
            // What is worked out from what was just stated is surer than what has the same value.
            Meant::Nothing(doubt, proposals) if !proposals.is_empty() && !is_certain(proposals) => {
                let follows = self.result(row, *doubt, None);
                if matches!(&follows, Meant::Nothing(_, surer) if is_certain(surer)) {
                    *meant = follows;
                }
            }
            _ => {}
        }
    }

    /// What each figure is found to be.
    fn weigh(&self) -> Vec<Meant> {
        let (groups, cues, context) = (self.groups, self.cues, self.context);
        // Judging is exact and dear; most sentences hold one figure and one name.
        let width = cues.len().min(MOST);
        let memory: Vec<OnceCell<Option<Verdict>>> =
            (0..groups.len().min(MOST) * width).map(|_| OnceCell::new()).collect();
        let verdict = |row: usize, column: usize| {
            // Several cues may name one entry; it is judged once.
            let cue = cues[..width].get(column)?;
            let named = (cue.sheet, cue.entry);
            let first = cues.iter().position(|other| (other.sheet, other.entry) == named)?;
            let cell = memory.get(row * width + first)?;
            *cell.get_or_init(|| group_verdict(&groups[row], named, context))
        };
        let agree = |row: usize, column: usize| {
            same_dimension(&groups[row], &cues[column], context)
                && verdict(row, column) == Some(Verdict::Agree)
        };
        let fixed = parallel(self.line, &self.line.engines(), &self.spans, cues, |row, column| {
            self.cost(row, column).is_some()
        });
        let cost = |row: usize, column: usize| match fixed.get(row).copied().flatten() {
            Some(meant) => (meant == column).then_some(0.0),
            None => self.cost(row, column).filter(|_| !fixed.contains(&Some(column))),
        };
        let is_puzzle = 1 < groups.len() || 1 < cues.len();
        let chosen =
            assign(groups.len(), cues.len(), cost, |row, column| is_puzzle && agree(row, column));
        let meant = (0..groups.len()).map(|row| {
            if self.share_of(row).is_some() {
                return self.result(row, self.doubt(row), None);
            }
            let Some(column) = chosen[row] else { return self.by_words(row, None) };
            let named = (cues[column].sheet, cues[column].entry);
            let judged = verdict(row, column).and_then(|verdict| {
                in_words(verdict, self.passage.text, &groups[row], named, context)
            });
            let Some(judgement) = judged else { return Meant::Valueless(named) };
            let apart = cost(row, column).unwrap_or(0.0);
            if judgement.verdict <= Verdict::Lenient {
                let tied = Tied { named, judgement, crossed: None, is_swapped: false };
                let proposals = match LOOSELY_NAMED < apart {
                    true => vec![self.proposal(named, true)],
                    false => Vec::new(),
                };
                return Meant::Entry(tied, None, proposals);
            }
            let crossed = (0..cues.len()).find(|other| *other != column && agree(row, *other));
            let crossed = crossed.map(|other| (cues[other].sheet, cues[other].entry));
            let swapped = swapped_with(row, &chosen, &agree);
            let tied = Tied { named, judgement, crossed, is_swapped: swapped.is_some() };
            let said = match self.is_qualified(row, &cues[column]) {
                true => Definiteness::OfAnother,
                false => definiteness(&self.line.words, &cues[column]),
            };
            let link = self.is_linked(row, &cues[column]);
            let is_plain = self.is_plainly_said(row, &cues[column]);
            self.misfit(row, tied, swapped, (apart, said, link, is_plain))
        });
        meant.collect()
    }

    /// What it costs to take a figure for what a cue names.
    fn cost(&self, row: usize, column: usize) -> Option<f64> {
        // Another quantity of the same words is never meant.
        let cue = &self.cues[column];
        let has_value = self.context.folio.ledger.nominal(cue.sheet, cue.entry).is_some();
        let fits = !has_value || same_dimension(&self.groups[row], cue, self.context);
        let (text, spans) = (self.line.text, &self.spans);
        // What the writer has bound already is named for that.
        let is_spent = self.stated.contains(&StatedFigure::Entry((cue.sheet, cue.entry)));
        let is_out = MOST <= row || MOST <= column || is_spent;
        let is_within = || names_another(text, &self.line.words, cue, &self.figures);
        let named = (cue.sheet, cue.entry);
        let is_elsewhere = || {
            is_within()
                || is_of_another_part(text, &self.line.words, cue, self.context)
                || self.is_of_another_thing(row, named)
                || self.was_until_changed(row, named)
                || self.goes_to(row, cue)
        };
        if is_out || !fits || self.is_difference(row) || is_elsewhere() {
            return None;
        }
        let apart = distance(text, &self.line.words, spans[row], spans, cue)?;
        Some(if has_value { apart } else { apart + VALUELESS })
    }

    /// A figure that no name near it explains. `instead_of` is what the words name that it does not
    /// fit, and their weight.
    pub(super) fn by_words(&self, row: usize, instead_of: Option<(NamedWords, f64)>) -> Meant {
        let (group, context) = (&self.groups[row], self.context);
        let figure = &group.members[0];
        let how = supposed(self.passage.text, group.span);
        let doubt = self.doubt(row);
        if !self.is_own {
            let doubted = || Meant::Nothing(doubt, Vec::new());
            return if how.is_some() { Meant::Supposed } else { doubted() };
        }
        let around = self.around(row);
        let mut weighed = self.weighed(row, &around);
        weighed.retain(|(entry, _)| instead_of.is_none_or(|(named, _)| *entry != named));
        if let Some(whole) = self.parted(row) {
            weighed.retain(|(entry, _)| !self.is_whole(*entry, whole));
        }
        let verdict = |named: NamedWords| group_verdict(group, named, context);
        let is_bound = figure.bound.is_some();
        let fitting: Vec<(NamedWords, f64)> = weighed
            .iter()
            .copied()
            .filter(|(named, _)| verdict(*named).is_some_and(|v| v <= Verdict::Lenient))
            // A bound fits half of everything.
            .filter(|(_, words)| !is_bound || BOUND <= *words)
            .collect();
        if let Some((named, words)) = fitting.first().copied() {
            let next = fitting.get(1).map_or(f64::NEG_INFINITY, |(_, words)| *words);
            let odds = words + fits(digits(figure));
            // Beside a name in full other words weigh little.
            let is_far = instead_of.is_some_and(|(_, weight)| words + FAR_BEHIND < weight);
            let is_told = self.knows_engine(row);
            let is_outworded = self.is_outworded(row, (named, words), &weighed);
            let is_ahead = AHEAD <= words - next && !is_far && is_told && !is_outworded;
            if SOME_WORDS <= words && TIES <= odds && is_ahead {
                let judgement = in_words(
                    verdict(named).unwrap_or(Verdict::Agree),
                    self.passage.text,
                    group,
                    named,
                    context,
                );
                if let Some(judgement) = judgement {
                    let tied = Tied { named, judgement, crossed: None, is_swapped: false };
                    return Meant::Entry(tied, None, vec![self.proposal(named, true)]);
                }
            }
        }
        if how == Some(Supposed::Condition) {
            return Meant::Supposed;
        }
        // What a name in full says is not taken back by a number that happens to be the same.
        weighed.retain(|(_, words)| {
            instead_of.is_none_or(|(_, weight)| weight < OUTRIGHT || weight < words + FAR_BEHIND)
                && (how.is_none() || ANY_WORDS <= *words)
        });
        let proposals = self.equal(row, &weighed);
        match instead_of {
            _ if !proposals.is_empty() => Meant::Nothing(doubt, proposals),
            _ if how.is_some() => Meant::Supposed,
            Some(_) => self.result(row, doubt, instead_of),
            None => Meant::Open(doubt),
        }
    }

    /// Whether everything that a result is worked out from was stated just now.
    pub(super) fn follows(&self, named: NamedWords) -> bool {
        let parts = self.context.lexicon().worked_out_from(named);
        let lately = || self.background.figures().take_while(|(ago, _)| *ago < 3);
        let is_stated = |part: &NamedWords| {
            let is_it = |figure: &StatedFigure| *figure == StatedFigure::Entry(*part);
            self.stated.iter().any(is_it) || lately().any(|(_, figure)| is_it(figure))
        };
        !parts.is_empty() && parts.iter().all(is_stated)
    }

    /// Whether the text says which engine a figure is about.
    fn knows_engine(&self, row: usize) -> bool {
        let context = self.context;
        let owner = self.line.owner_of(self.spans[row], context);
        context.compared().is_empty() || owner.or(self.background.engine).is_some()
    }

    /// What the words say for the entries that measure what a figure does, best first. Where the
    /// page is about several engines, the one that the sentence names is meant, and the one that
    /// was named last is the likelier.
    pub(super) fn weighed(&self, row: usize, around: &Around<'_>) -> Vec<(NamedWords, f64)> {
        let context = self.context;
        let mut weighed = context.lexicon().weigh(&self.groups[row].members[0], around);
        for (named, words) in &mut weighed {
            *words += if self.follows(*named) { FOLLOWS } else { 0.0 };
        }
        weighed.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        if context.compared().is_empty() {
            return weighed;
        }
        let own = |sheet: usize, engine: usize| sheet == engine || context.sheet == Some(sheet);
        let owner = self.line.owner_of(self.spans[row], context);
        if let Owner::Engine(engine) = owner {
            weighed.retain(|((sheet, _), _)| own(*sheet, engine));
            // "85 ml in the Larch", which has one volume.
            if let [(_, words)] = weighed.as_mut_slice() {
                *words = words.max(0.0) + ONLY_ONE;
            }
        } else if let Some(engine) = owner.or(self.background.engine) {
            for ((sheet, _), words) in &mut weighed {
                *words -= if own(*sheet, engine) { 0.0 } else { OTHER_ENGINE };
            }
            weighed.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        }
        weighed
    }

    /// Numbers without a unit that are figures of the page, in places of the passage.
    fn bare(&self, taken: &[Span], meant: &[Meant]) -> Vec<Bare> {
        if !self.is_own {
            return Vec::new();
        }
        let shift = self.line.shift;
        let taken: Vec<Span> = taken.iter().map(|span| span.shifted(shift)).collect();
        let sentence: Vec<TextWord> =
            self.line.words.iter().filter(|word| shift <= word.span.start).cloned().collect();
        let around = |span: Span| self.around_of(span);
        let owner = |span: Span| match self.context.compared() {
            [] => Owner::Unsaid,
            _ => self.line.owner_of(span, self.context),
        };
        let measured = self.measured();
        let models = self.models(meant);
        let here: Vec<&Figure> = self.groups.iter().map(|group| &group.members[0]).collect();
        let looking = bare::Looking { around, owner, measured: &measured, here, models: &models };
        let mut found = bare::find(self.line.text, &sentence, &taken, looking, self.context);
        found.retain(|bare| bare.fits != NumberFit::Not || !self.line.is_hearsay(bare.figure.span));
        for bare in &mut found {
            let span = bare.figure.span;
            bare.figure.span = Span::new(span.start - shift, span.end - shift);
        }
        // What the page prints states nothing.
        found.retain(|bare| self.passage.printed_by(bare.figure.span).is_none());
        found
    }

    /// What the figures of the sentence and those stated right before measure.
    fn measured(&self) -> Vec<Dimension> {
        let ledger = &self.context.folio.ledger;
        let here = self.groups.iter().map(|group| group.members[0].unit.dimension);
        let before = self.background.figures().take_while(|(ago, _)| *ago < 2);
        let before = self.stated.iter().chain(before.map(|(_, figure)| figure));
        let before = before.filter_map(|figure| match figure {
            StatedFigure::Entry((sheet, entry)) => {
                Some(ledger.nominal(*sheet, *entry)?.quantity.dimension)
            }
            StatedFigure::Formula(_) => None,
        });
        let mut found: Vec<Dimension> = Vec::new();
        for dimension in here.chain(before).filter(|dimension| *dimension != Dimension::NONE) {
            if !found.contains(&dimension) {
                found.push(dimension);
            }
        }
        found
    }

    pub(super) fn around(&self, row: usize) -> Around<'_> {
        self.around_of(self.spans[row])
    }

    /// The words around a span of the line.
    pub(super) fn around_of(&self, span: Span) -> Around<'_> {
        Around::look(self.line.text, &self.line.words, span, &self.figures, self.background)
    }

    /// What was weighed for a figure, a line each.
    fn why(&self, row: usize) -> Vec<String> {
        let (group, context, text) = (&self.groups[row], self.context, self.passage.text);
        let value = |named: NamedWords| match judged(text, group, named, context) {
            Some(judgement) if judgement.verdict <= Verdict::Lenient => "the value fits".to_owned(),
            Some(Judgement { likely: Some(slip), .. }) => format!("one slip away: {slip}"),
            Some(_) => "the value does not fit".to_owned(),
            None => "it has no value".to_owned(),
        };
        let mut lines = Vec::new();
        for (column, cue) in self.cues.iter().enumerate().take(MOST) {
            let Some(apart) = self.cost(row, column) else { continue };
            let named = (cue.sheet, cue.entry);
            let name = name_in_formulas(context, named);
            let written = &self.line.text[cue.span.start..cue.span.end];
            let words = NAMED - PER_WORD * apart;
            lines.push(format!("{name}: named by “{written}”, {words:.1}; {}", value(named)));
        }
        if self.is_own {
            let weighed = self.weighed(row, &self.around(row));
            for (named, words) in weighed.into_iter().filter(|(_, words)| 0.0 < *words).take(SHOWN)
            {
                let name = name_in_formulas(context, named);
                lines.push(format!("{name}: words around say {words:.1}; {}", value(named)));
            }
        }
        if let Some(how) = supposed(text, group.span) {
            let how = match how {
                Supposed::Condition => "it is what is supposed",
                Supposed::Consequence => "it is what would follow",
            };
            lines.push(how.to_owned());
        }
        lines
    }

    /// The entries of those weighed that a figure equals, as proposals. A bound fits half of
    /// everything; what it equals it may well be.
    fn equal(&self, row: usize, weighed: &[(NamedWords, f64)]) -> Vec<Proposal> {
        let (group, context) = (&self.groups[row], self.context);
        let number = Figure { bound: None, ..group.members[0].clone() };
        let ledger = &context.folio.ledger;
        let equals = |named: NamedWords| match group.members[0].bound {
            Some(_) => verdict_on(&number, ledger, named, context.conventions),
            None => group_verdict(group, named, context),
        };
        let fitting = weighed.iter().filter(|(named, _)| equals(*named) == Some(Verdict::Agree));
        let fitting: Vec<(NamedWords, f64)> = fitting.copied().collect();
        let digits = digits(&number);
        let words = |at: usize| fitting.get(at).map_or(f64::NEG_INFINITY, |(_, words)| *words);
        let is_said = ANY_WORDS <= words(0);
        let is_outworded = |best: &(NamedWords, f64)| self.is_outworded(row, *best, weighed);
        let is_certain = match fitting.len() {
            _ if fitting.first().is_some_and(is_outworded) => false,
            // Nothing else in scope is measured in volts.
            1 => 2 <= digits || digits == 1 && (is_said || weighed.len() == 1),
            _ if 2 <= digits => is_said && AHEAD <= words(0) - words(1),
            _ => 1 <= digits && SOME_WORDS <= words(0) && 2.0 * AHEAD <= words(0) - words(1),
        };
        let first = fitting.iter().take(PROPOSED);
        first.map(|(named, _)| self.proposal(*named, is_certain)).collect()
    }

    pub(super) fn proposal(&self, named: NamedWords, is_certain: bool) -> Proposal {
        Proposal { formula: name_in_formulas(self.context, named), is_certain }
    }

    /// Why a figure is tied to none of the names of its sentence.
    pub(super) fn doubt(&self, row: usize) -> Doubt {
        if self.is_difference(row) {
            return Doubt::Difference;
        }
        let bare = self.cues.iter().find(|cue| is_bare(cue, self.context));
        bare.map_or(Doubt::Nameless, |cue| Doubt::Bare((cue.sheet, cue.entry)))
    }
}

/// Tells of every figure of a sentence, in order.
fn tell(
    passage: &Passage<'_>,
    groups: Vec<Group>,
    meant: Vec<(Meant, Vec<String>)>,
    context: &PageContext<'_>,
    proof: &mut PassageProof,
) {
    for ((row, group), (meant, why)) in groups.into_iter().enumerate().zip(meant) {
        let mut slips: Vec<Slip> = Vec::new();
        let found = match meant {
            Meant::Entry(tied, swapped, proposals) => {
                let found = tie::judge(passage, group, tied, context, &mut slips);
                // Two figures in each other's place are one slip, told at the first.
                if swapped.is_some_and(|other| other < row) {
                    slips.clear();
                }
                Some(JudgedFigure { proposals, ..found })
            }
            Meant::Nearly(near, judgement, stops) => {
                tie::nearly(passage, group, &near, (&judgement, stops), context, &mut slips)
            }
            Meant::Valueless(named) => tie::valueless(passage, group, named, context, &mut slips),
            Meant::Supposed if group.members[0].kind == Kind::Count => None,
            Meant::Supposed => {
                let figure = by_itself(group, Status::Supposition);
                slips.extend(figure.slips.iter().cloned());
                Some(figure)
            }
            Meant::Open(doubt) => {
                tie::untied(passage, group, doubt, Vec::new(), context, &mut slips)
            }
            Meant::New { is_near } => tie::new(passage, group, is_near, &mut slips),
            Meant::Nothing(doubt, proposals) => {
                tie::untied(passage, group, doubt, proposals, context, &mut slips)
            }
        };
        proof.take(found.map(|found| JudgedFigure { why, ..found }), slips);
    }
}

/// Whether the words name a reading of a bare number, which may have lost its unit.
fn is_bare(cue: &Cue, context: &PageContext<'_>) -> bool {
    let entry = &context.folio.ledger.sheets[cue.sheet].entries[cue.entry];
    let stated = entry.reading().and_then(|reading| reading.statements.first());
    let figure = stated.and_then(|stated| stated.figures.first());
    figure.is_some_and(|figure| figure.unit.code == "1" && figure.noun.is_none())
}

/// The figure that stands in the place of this one, while this one stands in its place.
fn swapped_with(
    row: usize,
    chosen: &[Option<usize>],
    agree: &impl Fn(usize, usize) -> bool,
) -> Option<usize> {
    let own = chosen[row]?;
    (0..chosen.len()).find(|other| {
        let crossed = |theirs: usize| agree(row, theirs) && agree(*other, own);
        let wrong = |theirs: usize| !agree(row, own) && !agree(*other, theirs);
        *other != row && chosen[*other].is_some_and(|theirs| crossed(theirs) && wrong(theirs))
    })
}

fn same_dimension(group: &Group, cue: &Cue, context: &PageContext<'_>) -> bool {
    let value = context.folio.ledger.nominal(cue.sheet, cue.entry);
    let figure = &group.members[0];
    value.is_some_and(|value| {
        let plain = value.quantity.dimension == Dimension::NONE;
        value.quantity.dimension == figure.unit.dimension
            && (!plain || (figure.kind == Kind::Count) == (value.quantity.kind == Kind::Count))
    })
}

/// The judgement behind a verdict on a group. Nobody asks why a figure agrees, and most do.
fn in_words(
    verdict: Verdict,
    text: &str,
    group: &Group,
    named: NamedWords,
    context: &PageContext<'_>,
) -> Option<Judgement> {
    match verdict {
        Verdict::Agree => Some(Judgement::agreed()),
        _ => judged(text, group, named, context),
    }
}
