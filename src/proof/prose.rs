//! Judging the figures of a passage: conversions, bindings, and ties by words.

use super::assign::{MOST, assign, distance, parallel};
use super::checks::tie::{Doubt, Tied};
use super::checks::{bound, misspelt, pair, tie, unread};
use super::figure::{JudgedFigure, PassageProof, Status, stands, worse};
use super::passage::Passage;
use super::reference_value::{judge_entry, verdict_on};
use crate::folio::Folio;
use crate::folio::cues::Cue;
use crate::folio::words::{Word, is_difference, sentences, words};
use crate::quantity::reader::{ReadFault, ReadOptions, read};
use crate::quantity::{Conventions, Figure, Judgement, Kind, Verdict};
use crate::slip::Slip;
use crate::text::{Span, holds_digit};
use std::cell::OnceCell;

/// The page from which a passage is judged.
pub(crate) struct PageContext<'a> {
    pub(crate) folio: &'a Folio,
    /// Sheet of the page, for formulas; pages without one use an empty scope.
    pub(crate) sheet: Option<usize>,
    /// Sheet whose figures need no engine's name: that of an engine page.
    pub(crate) own: Option<usize>,
    pub(crate) conventions: &'a Conventions,
    /// Whether the text is spoken: numbers may stand in words.
    pub(crate) spoken: bool,
}

/// Members of one statement: a figure and its conversions.
pub(super) struct Group {
    pub(super) members: Vec<Figure>,
    pub(super) span: Span,
    pub(super) pair: Option<Judgement>,
    /// Complaints about the conversions, not told yet.
    pub(super) complaints: Vec<Slip>,
}

impl Group {
    pub(super) fn new(span: Span, members: Vec<Figure>) -> Group {
        Group { span, members, pair: None, complaints: Vec::new() }
    }

    /// Whether its conversions contradict each other.
    pub(super) fn is_torn(&self) -> bool {
        self.pair.as_ref().is_some_and(|pair| !stands(pair))
    }
}

/// What it costs to take a figure for one that has no value, in words of distance: any other that
/// fits is the likelier.
const VALUELESS: f64 = 6.0;

/// Judges a passage. `settled` are spans of figures that another check accounts for.
#[must_use]
pub(crate) fn judge(
    passage: &Passage<'_>,
    context: &PageContext<'_>,
    settled: &[Span],
) -> PassageProof {
    let options = ReadOptions {
        decimal_comma: context.conventions.decimal_comma,
        column_unit: passage.column_unit,
        spoken: context.spoken,
    };
    let mut proof = PassageProof::default();
    let found = if passage.text.bytes().any(|b| b.is_ascii_alphanumeric()) {
        read(passage.text, &options)
    } else {
        return proof;
    };
    let (unsure, faults): (Vec<ReadFault>, Vec<ReadFault>) =
        found.faults.into_iter().partition(|fault| fault.code == unread::UNIT);
    let is_excused = |fault: &ReadFault| {
        passage.bounds.iter().any(|bound| bound.text.overlaps(fault.span))
            || passage.printed_by(fault.span).is_some()
    };
    for fault in faults.iter().filter(|fault| !is_excused(fault)) {
        proof.slips.push(unread::slip(passage, fault));
    }
    for piece in passage.bounds {
        let mut slips = Vec::new();
        let found = bound::judge(passage, piece, context, &mut slips);
        proof.take(found, slips);
    }
    let mut taken: Vec<Span> = faults.iter().map(|fault| fault.span).collect();
    taken.extend(passage.bounds.iter().map(|bound| bound.text));
    taken.extend(found.figures.iter().map(|figure| figure.span));
    taken.sort();
    let inside_bound = |span: Span| passage.bounds.iter().any(|bound| bound.text.overlaps(span));
    let free: Vec<Figure> =
        found.figures.into_iter().filter(|figure| !inside_bound(figure.span)).collect();
    let mut groups: Vec<Group> = Vec::new();
    for mut group in grouped(free) {
        close_bracket(passage.text, &mut group.span);
        match passage.printed_by(group.span) {
            Some(expression) => proof.figures.push(printed(group, &expression, context)),
            None => groups.push(pair::judge(passage, group, context)),
        }
    }
    let is_settled = |group: &Group| settled.iter().any(|span| span.overlaps(group.span));
    let (settled, groups): (Vec<Group>, Vec<Group>) = groups.into_iter().partition(is_settled);
    for group in settled {
        proof.figures.push(by_itself(group, Status::Computed));
    }
    if passage.setting.is_some() {
        let apart = groups.into_iter().map(|group| by_itself(group, Status::SetApart));
        proof.figures.extend(apart);
    } else {
        tie_groups(passage, groups, &taken, context, &mut proof);
    }
    // Where the words name a figure of the unit that was meant, that is certain and told already.
    for fault in unsure.iter().filter(|fault| !is_excused(fault)) {
        let slip = unread::slip(passage, fault);
        let is_told = proof.slips.iter().any(|told| told.spot.span == slip.spot.span);
        if !is_told && passage.setting.is_none() {
            proof.slips.push(slip);
        }
    }
    for figure in &mut proof.figures {
        let places = figure.members.iter().map(|member| passage.spot(member.span).span);
        figure.places = places.collect();
    }
    proof.figures.sort_by_key(|figure| figure.span);
    proof
}

/// Figures that share a pair number become one group.
fn grouped(figures: Vec<Figure>) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for figure in figures {
        let joins = groups.last_mut().filter(|group| {
            figure.pair.is_some()
                && group.members.last().is_some_and(|last| last.pair == figure.pair)
        });
        match joins {
            Some(group) => {
                group.span.end = figure.span.end;
                group.members.push(figure);
            }
            None => groups.push(Group::new(figure.span, vec![figure])),
        }
    }
    groups
}

/// A conversion's bracket belongs to the statement: "128 psi (8.83 bar)".
fn close_bracket(text: &str, span: &mut Span) {
    let inside = &text[span.start..span.end];
    for (open, close) in [('(', ')'), ('[', ']')] {
        let is_open = inside.matches(close).count() < inside.matches(open).count();
        if is_open && text[span.end..].starts_with(close) {
            span.end += close.len_utf8();
            return;
        }
    }
}

fn printed(group: Group, expression: &str, context: &PageContext<'_>) -> JudgedFigure {
    let name = expression.split(['|', '(', ' ']).next().unwrap_or("").trim();
    let path: Vec<&str> = name.split('.').collect();
    let tied = context
        .sheet
        .or(Some(usize::MAX))
        .and_then(|sheet| context.folio.ledger.resolve(sheet, &path))
        .map(|(sheet, entry, _)| (sheet, entry));
    made(group, Status::Printed, tied)
}

/// A figure that is held against its own conversions only.
fn by_itself(mut group: Group, otherwise: Status) -> JudgedFigure {
    let status = if group.is_torn() { Status::Disagrees } else { otherwise };
    let slips = std::mem::take(&mut group.complaints);
    JudgedFigure { slips, ..made(group, status, None) }
}

pub(super) fn made(group: Group, status: Status, tied: Option<(usize, usize)>) -> JudgedFigure {
    JudgedFigure {
        span: group.span,
        figure: group.members[0].clone(),
        members: group.members,
        places: Vec::new(),
        status,
        tied,
        formula: None,
        reason: String::new(),
        slips: Vec::new(),
        waiver: None,
    }
}

/// Ties the groups of each sentence by its words.
fn tie_groups(
    passage: &Passage<'_>,
    groups: Vec<Group>,
    taken: &[Span],
    context: &PageContext<'_>,
    proof: &mut PassageProof,
) {
    // Most passages state nothing.
    if groups.is_empty() && !holds_digit(passage.text) {
        return;
    }
    let mut rest = groups.into_iter().peekable();
    let mut taken = taken.iter().copied().peekable();
    for (sentence, line) in lines(passage) {
        let mut here = Vec::new();
        while let Some(group) = rest.next_if(|group| group.span.start < sentence.end) {
            here.push(group);
        }
        let mut accounted = Vec::new();
        while let Some(span) = taken.next_if(|span| span.start < sentence.end) {
            accounted.push(span);
        }
        let suspects = misspelt::suspects(passage.text, sentence, &accounted);
        if here.is_empty() && suspects.is_empty() {
            continue;
        }
        let cues = line.cues(context);
        misspelt::judge(passage, &suspects, &cues, context, &mut proof.slips);
        tie_sentence(passage, &line, here, &cues, context, proof);
    }
}

/// A sentence with its frame before it; spans of figures are shifted by the frame's length.
pub(super) struct Line<'a> {
    pub(super) text: &'a str,
    pub(super) shift: usize,
    pub(super) words: Vec<Word>,
    /// Number of words of the frame.
    framing: usize,
}

/// The sentences of a passage, each with the frame of the passage.
pub(super) fn lines<'a>(passage: &'a Passage<'_>) -> impl Iterator<Item = (Span, Line<'a>)> {
    let text = passage.framed();
    let shift = text.len() - passage.text.len();
    let frame = words(text, Span::new(0, shift));
    sentences(passage.text).into_iter().map(move |sentence| {
        let framing = frame.len();
        let mut all = frame.clone();
        all.extend(words(text, sentence.shifted(shift)));
        (sentence, Line { text, shift, words: all, framing })
    })
}

impl Line<'_> {
    /// Where the line names engines.
    fn engines(&self, context: &PageContext<'_>) -> Vec<Span> {
        let named = context.folio.cues.engines_in(&self.words).into_iter();
        let span = |first: usize, last: usize| {
            Span::new(self.words[first].span.start, self.words[last - 1].span.end)
        };
        named.map(|(first, last, _)| span(first, last)).collect()
    }

    /// The figures that the line names. An engine in the row or column of a cell names the engine
    /// of the whole cell.
    pub(super) fn cues(&self, context: &PageContext<'_>) -> Vec<Cue> {
        let index = &context.folio.cues;
        let mut framing = index.engines_in(&self.words[..self.framing]);
        framing.dedup_by_key(|(_, _, sheet)| *sheet);
        let own = match framing.as_slice() {
            [(_, _, sheet)] => Some(*sheet),
            _ => context.own,
        };
        index.cues_in(self.text, &self.words, own, &context.folio.ledger)
    }
}

fn tie_sentence(
    passage: &Passage<'_>,
    line: &Line<'_>,
    groups: Vec<Group>,
    cues: &[Cue],
    context: &PageContext<'_>,
    proof: &mut PassageProof,
) {
    let spans: Vec<Span> = groups.iter().map(|group| group.span.shifted(line.shift)).collect();
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
    let cost = |row: usize, column: usize| -> Option<f64> {
        // Another quantity of the same words is never meant.
        let cue = &cues[column];
        let has_value = context.folio.ledger.nominal(cue.sheet, cue.entry).is_some();
        let fits = !has_value || same_dimension(&groups[row], cue, context);
        if MOST <= row || MOST <= column || !fits || is_difference(line.text, spans[row]) {
            return None;
        }
        let others: Vec<Span> = spans.iter().copied().filter(|s| *s != spans[row]).collect();
        let apart = distance(line.text, &line.words, spans[row], &others, cue)?;
        Some(if has_value { apart } else { apart + VALUELESS })
    };
    let agree = |row: usize, column: usize| {
        same_dimension(&groups[row], &cues[column], context)
            && verdict(row, column) == Some(Verdict::Agree)
    };
    let fixed = parallel(line, &line.engines(context), &spans, cues, |row, column| {
        cost(row, column).is_some()
    });
    let cost = |row: usize, column: usize| match fixed.get(row).copied().flatten() {
        Some(meant) => (meant == column).then_some(0.0),
        None => cost(row, column).filter(|_| !fixed.contains(&Some(column))),
    };
    let is_puzzle = 1 < groups.len() || 1 < cues.len();
    let chosen =
        assign(groups.len(), cues.len(), cost, |row, column| is_puzzle && agree(row, column));
    let ties: Vec<Tie<'_>> = (0..groups.len())
        .map(|row| {
            let Some(column) = chosen[row] else {
                return Tie::None(doubt(line.text, spans[row], cues, context));
            };
            let cue = &cues[column];
            let judged = verdict(row, column)
                .and_then(|verdict| in_words(verdict, passage.text, &groups[row], cue, context));
            let Some(judgement) = judged else { return Tie::Valueless(cue) };
            if judgement.verdict <= Verdict::Lenient {
                return Tie::To(Tied { cue, judgement, crossed: None, is_swapped: false }, None);
            }
            let crossed = (0..cues.len()).find(|other| *other != column && agree(row, *other));
            let swapped = swapped_with(row, &chosen, &agree);
            let crossed = crossed.map(|other| &cues[other]);
            Tie::To(Tied { cue, judgement, crossed, is_swapped: swapped.is_some() }, swapped)
        })
        .collect();
    tell_ties(passage, groups, ties, context, proof);
}

/// What a figure of a sentence is tied to.
enum Tie<'a> {
    /// An entry, and the figure that stands in its place while it stands in that one's.
    To(Tied<'a>, Option<usize>),
    /// An entry that has no value.
    Valueless(&'a Cue),
    /// Nothing, and why.
    None(Doubt<'a>),
}

/// Why a figure of a sentence is tied to none of its names.
fn doubt<'a>(text: &str, figure: Span, cues: &'a [Cue], context: &PageContext<'_>) -> Doubt<'a> {
    if is_difference(text, figure) {
        return Doubt::Difference;
    }
    cues.iter().find(|cue| is_bare(cue, context)).map_or(Doubt::Nameless, Doubt::Bare)
}

/// Tells of every figure of a sentence, in order.
fn tell_ties(
    passage: &Passage<'_>,
    groups: Vec<Group>,
    ties: Vec<Tie<'_>>,
    context: &PageContext<'_>,
    proof: &mut PassageProof,
) {
    for ((row, group), tie) in groups.into_iter().enumerate().zip(ties) {
        let mut slips = Vec::new();
        let found = match tie {
            Tie::To(tied, swapped) => {
                let found = tie::judge(passage, group, tied, context, &mut slips);
                // Two figures in each other's place are one slip, told at the first.
                if swapped.is_some_and(|other| other < row) {
                    slips.clear();
                }
                Some(found)
            }
            Tie::Valueless(cue) => tie::valueless(passage, group, cue, context, &mut slips),
            Tie::None(doubt) => tie::untied(passage, group, doubt, context, &mut slips),
        };
        proof.take(found, slips);
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
        let plain = value.quantity.dimension == crate::quantity::Dimension::NONE;
        value.quantity.dimension == figure.unit.dimension
            && (!plain || (figure.kind == Kind::Count) == (value.quantity.kind == Kind::Count))
    })
}

/// The judgement behind a verdict on a group. Nobody asks why a figure agrees, and most do.
fn in_words(
    verdict: Verdict,
    text: &str,
    group: &Group,
    cue: &Cue,
    context: &PageContext<'_>,
) -> Option<Judgement> {
    if verdict == Verdict::Agree {
        return Some(Judgement::agreed());
    }
    let ledger = &context.folio.ledger;
    let conventions = context.conventions;
    let judgements = held(group)
        .iter()
        .map(|figure| judge_entry(text, figure, ledger, (cue.sheet, cue.entry), conventions));
    judgements.collect::<Option<Vec<Judgement>>>()?.into_iter().reduce(worse)
}

/// The verdict on a group against the entry that a cue names: that of its worst member.
fn group_verdict(
    group: &Group,
    entry: (usize, usize),
    context: &PageContext<'_>,
) -> Option<Verdict> {
    let ledger = &context.folio.ledger;
    let verdicts =
        held(group).iter().map(|figure| verdict_on(figure, ledger, entry, context.conventions));
    verdicts.collect::<Option<Vec<Verdict>>>()?.into_iter().max()
}

/// The members of a group that are held against a reading: conversions are judged against the
/// first member, so the others count only where a conversion itself failed.
fn held(group: &Group) -> &[Figure] {
    if group.is_torn() { &group.members } else { &group.members[..1] }
}
