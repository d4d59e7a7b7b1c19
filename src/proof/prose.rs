//! Judging the figures of a passage: conversions, bindings, and ties by words.

use super::assign::{MOST, assign, distance, parallel};
use super::checks::tie::Tied;
use super::checks::{bound, misspelt, pair, tie, unread};
use super::cues::Cue;
use super::figure::{JudgedFigure, PassageProof, Status, stands, worse};
use super::folio::Folio;
use super::passage::Passage;
use super::words::{Word, sentences, words};
use super::worth::{agrees, judge_entry};
use crate::body::blocks::Setting;
use crate::quantity::judge::dual;
use crate::quantity::reader::{ReadOptions, read};
use crate::quantity::{Conventions, Figure, Judgement, Kind, Verdict};
use crate::slip::Slip;
use crate::text::Span;
use std::collections::BTreeMap;

/// The page from which a passage is judged.
pub struct Desk<'a> {
    /// The folio.
    pub folio: &'a Folio,
    /// Sheet of the page, for formulas; pages without one use an empty scope.
    pub sheet: Option<usize>,
    /// Sheet whose figures need no engine's name: that of an engine page.
    pub own: Option<usize>,
    /// The page's conventions.
    pub conventions: &'a Conventions,
    /// Whether the text is spoken: numbers may stand in words.
    pub spoken: bool,
}

/// Members of one statement: a figure and its conversions.
pub(super) struct Group {
    pub(super) members: Vec<Figure>,
    pub(super) span: Span,
    pub(super) pair: Option<Judgement>,
}

/// Judges a passage.
#[must_use]
pub fn judge(passage: &Passage<'_>, desk: &Desk<'_>, slips: &mut Vec<Slip>) -> PassageProof {
    let options = ReadOptions {
        decimal_comma: desk.conventions.decimal_comma,
        column_unit: passage.column_unit,
        spoken: desk.spoken,
    };
    let mut proof = PassageProof::default();
    let found = if passage.text.bytes().any(|b| b.is_ascii_alphanumeric()) {
        read(passage.text, &options)
    } else {
        return proof;
    };
    for fault in &found.faults {
        let excused = passage.bounds.iter().any(|bound| bound.text.overlaps(fault.span));
        if !excused && passage.printed_by(fault.span).is_none() {
            slips.push(unread::slip(passage, fault));
        }
    }
    for piece in passage.bounds {
        proof.figures.extend(bound::judge(passage, piece, desk, slips));
    }
    let mut taken: Vec<Span> = found.faults.iter().map(|fault| fault.span).collect();
    taken.extend(passage.bounds.iter().map(|bound| bound.text));
    taken.extend(found.figures.iter().map(|figure| figure.span));
    taken.sort();
    let inside_bound = |span: Span| passage.bounds.iter().any(|bound| bound.text.overlaps(span));
    let free: Vec<Figure> =
        found.figures.into_iter().filter(|figure| !inside_bound(figure.span)).collect();
    let mut groups: Vec<Group> = Vec::new();
    for group in grouped(free) {
        match passage.printed_by(group.span) {
            Some(expression) => proof.figures.push(printed(group, &expression, desk)),
            None => groups.push(pair::judge(passage, group, desk, slips)),
        }
    }
    if let Some(setting) = passage.setting {
        proof.figures.extend(groups.into_iter().map(|group| set_apart(group, setting)));
    } else {
        tie_groups(passage, groups, &taken, desk, &mut proof, slips);
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
            None => groups.push(Group { span: figure.span, members: vec![figure], pair: None }),
        }
    }
    groups
}

/// Judges the conversions of a group against its first member; the worst counts.
pub(super) fn conversions(
    text: &str,
    members: &[Figure],
    conventions: &Conventions,
) -> Vec<(usize, Judgement)> {
    let Some((first, rest)) = members.split_first() else { return Vec::new() };
    rest.iter()
        .enumerate()
        .map(|(index, later)| (index + 1, dual(text, first, later, conventions)))
        .collect()
}

fn printed(group: Group, expression: &str, desk: &Desk<'_>) -> JudgedFigure {
    let name = expression.split(['|', '(', ' ']).next().unwrap_or("").trim();
    let path: Vec<&str> = name.split('.').collect();
    let tied = desk
        .sheet
        .or(Some(usize::MAX))
        .and_then(|sheet| desk.folio.ledger.resolve(sheet, &path))
        .map(|(sheet, entry, _)| (sheet, entry));
    made(group, Status::Printed, tied, String::new())
}

fn set_apart(group: Group, setting: &Setting) -> JudgedFigure {
    let failed = group.pair.as_ref().is_some_and(|pair| !stands(pair));
    let status = if failed { Status::Disagrees } else { Status::SetApart };
    made(group, status, None, setting.word().to_lowercase())
}

pub(super) fn made(
    group: Group,
    status: Status,
    tied: Option<(usize, usize)>,
    reason: String,
) -> JudgedFigure {
    JudgedFigure {
        span: group.span,
        figure: group.members[0].clone(),
        members: group.members,
        status,
        tied,
        formula: None,
        reason,
    }
}

/// Ties the groups of each sentence by its words.
fn tie_groups(
    passage: &Passage<'_>,
    groups: Vec<Group>,
    taken: &[Span],
    desk: &Desk<'_>,
    proof: &mut PassageProof,
    slips: &mut Vec<Slip>,
) {
    // Most passages state nothing.
    if groups.is_empty() && !passage.text.bytes().any(|b| b.is_ascii_digit()) {
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
        let cues = line.cues(desk);
        misspelt::judge(passage, &suspects, &cues, desk, slips);
        tie_sentence(passage, &line, here, &cues, desk, proof, slips);
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
    /// The figures that the line names. An engine in the row or column of a cell names the engine
    /// of the whole cell.
    pub(super) fn cues(&self, desk: &Desk<'_>) -> Vec<Cue> {
        let index = &desk.folio.cues;
        let mut framing = index.engines_in(&self.words[..self.framing]);
        framing.dedup_by_key(|(_, _, sheet)| *sheet);
        let own = match framing.as_slice() {
            [(_, _, sheet)] => Some(*sheet),
            _ => desk.own,
        };
        index.cues_in(self.text, &self.words, own, &desk.folio.ledger)
    }
}

fn tie_sentence(
    passage: &Passage<'_>,
    line: &Line<'_>,
    groups: Vec<Group>,
    cues: &[Cue],
    desk: &Desk<'_>,
    proof: &mut PassageProof,
    slips: &mut Vec<Slip>,
) {
    let spans: Vec<Span> = groups.iter().map(|group| group.span.shifted(line.shift)).collect();
    let judged: Vec<Vec<Option<Judgement>>> = groups
        .iter()
        .take(MOST)
        .map(|group| against_all(passage.text, group, &cues[..cues.len().min(MOST)], desk))
        .collect();
    let cost = |row: usize, column: usize| -> Option<f64> {
        // What cannot be compared is another quantity of the same words, and never meant.
        let judgement = judged.get(row)?.get(column)?.as_ref()?;
        if judgement.verdict == Verdict::Incomparable
            && !same_dimension(&groups[row], &cues[column], desk)
        {
            return None;
        }
        let others: Vec<Span> = spans.iter().copied().filter(|s| *s != spans[row]).collect();
        distance(line.text, &line.words, spans[row], &others, &cues[column])
    };
    let agree = |row: usize, column: usize| {
        agrees(judged.get(row).and_then(|row| row.get(column)?.as_ref()))
    };
    let engines: Vec<Span> = desk
        .folio
        .cues
        .engines_in(&line.words)
        .into_iter()
        .map(|(first, last, _)| {
            Span::new(line.words[first].span.start, line.words[last - 1].span.end)
        })
        .collect();
    let fixed = parallel(line, &engines, &spans, cues, |row, column| cost(row, column).is_some());
    let cost = |row: usize, column: usize| match fixed.get(row).copied().flatten() {
        Some(meant) => (meant == column).then_some(0.0),
        None => cost(row, column).filter(|_| !fixed.contains(&Some(column))),
    };
    let chosen = assign(groups.len(), cues.len(), cost, agree);
    for (row, group) in groups.into_iter().enumerate() {
        let judged = |row: usize, column: usize| judged.get(row)?.get(column)?.clone();
        let Some((column, judgement)) =
            chosen[row].and_then(|column| Some((column, judged(row, column)?)))
        else {
            proof.figures.extend(tie::untied(passage, group, desk, slips));
            continue;
        };
        let crossed = (0..cues.len()).find(|other| *other != column && agree(row, *other));
        let swapped = swapped_with(row, &chosen, &agree);
        let tied = Tied {
            cue: &cues[column],
            judgement,
            crossed: crossed.map(|other| &cues[other]),
            is_swapped: swapped.is_some(),
        };
        // Two figures in each other's place are one slip, told at the first.
        let mut unheard = Vec::new();
        let told =
            if swapped.is_some_and(|other| other < row) { &mut unheard } else { &mut *slips };
        proof.figures.push(tie::judge(passage, group, tied, desk, told));
    }
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

/// A group against the entry of each cue; each entry is judged once.
fn against_all(
    text: &str,
    group: &Group,
    cues: &[Cue],
    desk: &Desk<'_>,
) -> Vec<Option<Judgement>> {
    let mut known: BTreeMap<(usize, usize), Option<Judgement>> = BTreeMap::new();
    let judged = cues.iter().map(|cue| {
        let entry = known.entry((cue.sheet, cue.entry));
        entry.or_insert_with(|| judge_group(text, group, cue, desk)).clone()
    });
    judged.collect()
}

fn same_dimension(group: &Group, cue: &Cue, desk: &Desk<'_>) -> bool {
    let value = desk.folio.ledger.nominal(cue.sheet, cue.entry);
    let figure = &group.members[0];
    value.is_some_and(|value| {
        let plain = value.quantity.dimension == crate::quantity::Dimension::NONE;
        value.quantity.dimension == figure.unit.dimension
            && (!plain || (figure.kind == Kind::Count) == (value.quantity.kind == Kind::Count))
    })
}

/// All members against the entry that a cue names; the worst counts.
fn judge_group(text: &str, group: &Group, cue: &Cue, desk: &Desk<'_>) -> Option<Judgement> {
    let ledger = &desk.folio.ledger;
    let conventions = desk.conventions;
    let judgements = group
        .members
        .iter()
        .map(|figure| judge_entry(text, figure, ledger, (cue.sheet, cue.entry), conventions));
    let mut all = judgements.collect::<Option<Vec<Judgement>>>()?.into_iter();
    let first = all.next()?;
    // Conversions are judged against the first member; only it is held against the reading, unless
    // the conversion itself failed.
    let pair_fails = group.pair.as_ref().is_some_and(|pair| !stands(pair));
    Some(if pair_fails { all.fold(first, worse) } else { first })
}
