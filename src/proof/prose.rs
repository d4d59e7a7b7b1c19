//! Judging the figures of a passage: conversions, bindings, and ties by words.

use super::checks::dated::{self, Timeline};
use super::checks::{bound, claim, pair, unread};
use super::figure::{JudgedFigure, PassageProof, Status, stands};
use super::passage::Passage;
use super::tying::{self, Lexicon};
use crate::folio::Folio;
use crate::quantity::reader::{Found, ReadFault, ReadOptions, read};
use crate::quantity::{Amount, Conventions, Dimension, Figure, Judgement, Kind, Unit};
use crate::slip::Slip;
use crate::text::{Span, SpanSet};
use std::cell::OnceCell;
use std::collections::BTreeSet;

/// The page from which a passage is judged.
pub(crate) struct PageContext<'a> {
    pub(crate) folio: &'a Folio,
    /// Sheet of the page, for formulas; pages without one use an empty scope.
    pub(crate) sheet: Option<usize>,
    /// Sheet whose figures need no engine's name: that of an engine page.
    pub(crate) own: Option<usize>,
    /// Sheets of the engines that the page sets side by side.
    compared: Vec<usize>,
    pub(crate) conventions: &'a Conventions,
    /// Whether the text is spoken: numbers may stand in words.
    pub(crate) spoken: bool,
    /// Whether to keep what was weighed.
    pub(crate) explains: bool,
    lexicon: OnceCell<Lexicon>,
    timeline: OnceCell<Timeline>,
}

impl<'a> PageContext<'a> {
    /// A page with a sheet of its own, or none.
    pub(crate) fn new(
        folio: &'a Folio,
        sheet: Option<usize>,
        own: Option<usize>,
        conventions: &'a Conventions,
    ) -> PageContext<'a> {
        let lexicon = OnceCell::new();
        PageContext {
            folio,
            sheet,
            own,
            compared: Vec::new(),
            conventions,
            spoken: false,
            explains: false,
            lexicon,
            timeline: OnceCell::new(),
        }
    }

    /// The same, about several engines side by side.
    pub(crate) fn comparing(self, engines: Vec<usize>) -> PageContext<'a> {
        PageContext { compared: engines, ..self }
    }

    /// Sheets of the engines that the page sets side by side; empty on the page of one engine.
    pub(super) fn compared(&self) -> &[usize] {
        &self.compared
    }

    /// Whether the page is about the engine of a sheet.
    pub(super) fn is_about(&self, sheet: usize) -> bool {
        self.own == Some(sheet) || self.compared.contains(&sheet)
    }

    /// Whether words alone may mean figures of the page.
    pub(super) fn has_words(&self) -> bool {
        self.own.is_some() || !self.compared.is_empty()
    }

    /// The dated events of the page and of the engines that it is about.
    pub(super) fn timeline(&self) -> &Timeline {
        self.timeline.get_or_init(|| {
            let is_about = |sheet| self.sheet == Some(sheet) || self.is_about(sheet);
            Timeline::new(self.folio, is_about)
        })
    }

    /// The words of the page's own figures.
    pub(super) fn lexicon(&self) -> &Lexicon {
        self.lexicon.get_or_init(|| {
            let page = self.sheet.filter(|_| !self.compared.is_empty());
            let mut sheets: Vec<usize> =
                self.own.into_iter().chain(page).chain(self.compared.iter().copied()).collect();
            sheets.sort_unstable();
            sheets.dedup();
            Lexicon::new(&self.folio.ledger, sheets)
        })
    }
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

/// Judges a passage. `settled` are spans of figures that another check accounts for.
#[must_use]
pub(crate) fn judge(
    passage: &Passage<'_>,
    context: &PageContext<'_>,
    settled: &[Span],
) -> PassageProof {
    let mut proof = PassageProof::default();
    let Some(found) = read_passage(passage, context) else { return proof };
    let (unsure, faults): (Vec<ReadFault>, Vec<ReadFault>) =
        found.faults.into_iter().partition(|fault| fault.code == unread::UNIT);
    let bounds = || passage.bounds.iter().filter(|bound| bound.binding.claimed().is_none());
    let bound: SpanSet = bounds().map(|bound| bound.text).collect();
    let settled: SpanSet = settled.iter().copied().collect();
    let is_excused =
        |fault: &ReadFault| bound.overlaps(fault.span) || passage.printed_by(fault.span).is_some();
    let is_read =
        |fault: &ReadFault| fault.code == "ambiguous-inch" && !has_inches(&found.figures, context);
    let told = faults.iter().filter(|fault| !is_excused(fault) && !is_read(fault));
    proof.slips.extend(told.map(|fault| unread::slip(passage, fault)));
    for piece in bounds() {
        let mut slips = Vec::new();
        let found = bound::judge(passage, piece, context, &mut slips);
        proof.take(found, slips);
    }
    let mut taken: Vec<Span> = faults.iter().map(|fault| fault.span).collect();
    taken.extend(bounds().map(|bound| bound.text));
    taken.extend(found.figures.iter().map(|figure| figure.span));
    taken.sort();
    let free = found.figures.into_iter().filter(|figure| !bound.overlaps(figure.span));
    let (ratios, figures): (Vec<Figure>, Vec<Figure>) =
        free.partition(|figure| is_ratio_in_words(figure, context.spoken));
    let (settled_ratios, ratios) =
        ratios.into_iter().partition(|figure| settled.overlaps(figure.span));
    let mut figures = [figures, settled_ratios].concat();
    figures.sort_by_key(|figure| figure.span);
    let mut groups: Vec<Group> = Vec::new();
    for mut group in grouped(figures) {
        close_bracket(passage.text, &mut group.span);
        match passage.printed_by(group.span) {
            Some(expression) => proof.figures.push(printed(group, &expression, context)),
            None => groups.push(pair::judge(passage, group, context)),
        }
    }
    let (told, groups): (Vec<Group>, Vec<Group>) =
        groups.into_iter().partition(|group| settled.overlaps(group.span));
    for group in told {
        proof.figures.push(by_itself(group, Status::Computed));
    }
    if passage.setting.is_some() {
        let apart = groups.into_iter().map(|group| by_itself(group, Status::SetApart));
        proof.figures.extend(apart);
    } else {
        let mut groups = groups;
        let times = dated::judge(passage, &mut groups, context, &mut proof.slips);
        proof.figures.extend(times);
        let figures = (groups, grouped(ratios));
        tying::judge(passage, figures, (&taken, &settled), context, &mut proof);
    }
    if passage.setting.is_none() {
        tell_unsure(passage, unsure.iter().filter(|fault| !is_excused(fault)), &mut proof);
    }
    let is_claimed = |it: &JudgedFigure| claim::states(passage, it);
    proof.figures.iter_mut().filter(|it| is_claimed(it)).for_each(JudgedFigure::settle);
    for figure in &mut proof.figures {
        let places = figure.members.iter().map(|member| passage.spot(member.span).span);
        figure.places = places.collect();
    }
    proof.figures.sort_by_key(|figure| figure.span);
    proof
}

/// Whether a page measures in inches; who never does means the preposition by "6 in grooves".
fn has_inches(figures: &[Figure], context: &PageContext<'_>) -> bool {
    let is_inch = |unit: &Unit| unit.code == "[in_i]";
    figures.iter().any(|figure| is_inch(figure.unit))
        || context.lexicon().units(Dimension::LENGTH).into_iter().any(is_inch)
}

/// What the reader finds in a passage; `None` where there is nothing to read.
fn read_passage(passage: &Passage<'_>, context: &PageContext<'_>) -> Option<Found> {
    let options = ReadOptions {
        decimal_comma: context.conventions.decimal_comma,
        column_unit: passage.column_unit,
        spoken: context.spoken,
        carried: crate::quantity::units::table().by_code("1").filter(|_| context.spoken),
        mil: context.conventions.mil,
    };
    let has_words = passage.text.bytes().any(|b| b.is_ascii_alphanumeric());
    has_words.then(|| read(passage.text, &options))
}

/// Tells of numbers whose unit is unsure. Where the words name a figure of the unit that was meant,
/// or the number is a figure without it, that is certain and told already.
fn tell_unsure<'f>(
    passage: &Passage<'_>,
    unsure: impl Iterator<Item = &'f ReadFault>,
    proof: &mut PassageProof,
) {
    let tied: SpanSet = proof.figures.iter().map(|figure| figure.span).collect();
    let unsure = unsure.filter(|fault| !tied.overlaps(fault.span));
    let unsure: Vec<Slip> = unsure.map(|fault| unread::slip(passage, fault)).collect();
    let told: BTreeSet<Span> = proof.slips.iter().map(|slip| slip.spot.span).collect();
    proof.slips.extend(unsure.into_iter().filter(|slip| !told.contains(&slip.spot.span)));
}

/// Whether a figure is a ratio in words ("twice the area"), which is the matter of statements; one
/// that none has settled may be bound.
fn is_ratio_in_words(figure: &Figure, is_spoken: bool) -> bool {
    let in_words = match &figure.amount {
        Amount::Point(number) => number.spelled,
        Amount::Range(low, high) => low.spelled || high.spelled,
    };
    // A spoken number may still wait for its unit.
    let is_settled = !is_spoken || !figure.kind_yields;
    in_words && is_settled && figure.kind == Kind::Ratio && figure.unit.code == "1"
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
pub(super) fn by_itself(mut group: Group, otherwise: Status) -> JudgedFigure {
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
        proposals: Vec::new(),
        why: Vec::new(),
    }
}
