//! Judging the figures of a passage: conversions, bindings, and ties by words.

use super::assign::{assign, distance};
use super::checks::{bound, pair, tie, unread};
use super::cues::Cue;
use super::figure::{JudgedFigure, PassageProof, Status, stands, worse};
use super::folio::Folio;
use super::passage::Passage;
use super::words::{Word, sentences, words};
use super::worth::{judge_worth, of_entry, verdict_on};
use crate::body::blocks::Setting;
use crate::quantity::judge::dual;
use crate::quantity::reader::{ReadOptions, read};
use crate::quantity::{Computed, Conventions, Figure, Judgement, Kind, Verdict};
use crate::slip::Slip;
use crate::text::Span;

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
        tie_groups(passage, groups, desk, &mut proof, slips);
    }
    proof.figures.sort_by_key(|figure| figure.span);
    proof
}

/// Figures that share a pair number become one group.
fn grouped(figures: Vec<Figure>) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    for figure in figures {
        let joins = groups.last_mut().filter(|group| {
            figure.pair.is_some() && group.members.last().is_some_and(|last| last.pair == figure.pair)
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
    desk: &Desk<'_>,
    proof: &mut PassageProof,
    slips: &mut Vec<Slip>,
) {
    if groups.is_empty() {
        return;
    }
    let framed = format!("{} {}", passage.frame, passage.text);
    let shift = framed.len() - passage.text.len();
    let mut rest = groups.into_iter().peekable();
    for sentence in sentences(passage.text) {
        let mut here = Vec::new();
        while let Some(group) = rest.next_if(|group| group.span.start < sentence.end) {
            here.push(group);
        }
        if here.is_empty() {
            continue;
        }
        let mut all_words = words(&framed, Span::new(0, passage.frame.len()));
        all_words.extend(words(&framed, sentence.shifted(shift)));
        let line = Line { text: &framed, shift, words: all_words };
        tie_sentence(passage, &line, here, desk, proof, slips);
    }
}

/// A sentence with its frame before it; spans of figures are shifted by the frame's length.
struct Line<'a> {
    text: &'a str,
    shift: usize,
    words: Vec<Word>,
}

fn tie_sentence(
    passage: &Passage<'_>,
    line: &Line<'_>,
    groups: Vec<Group>,
    desk: &Desk<'_>,
    proof: &mut PassageProof,
    slips: &mut Vec<Slip>,
) {
    let ledger = &desk.folio.ledger;
    let cues = desk.folio.cues.cues_in(&line.words, desk.own, ledger);
    let spans: Vec<Span> = groups.iter().map(|group| group.span.shifted(line.shift)).collect();
    let worths: Vec<Option<Vec<Computed>>> =
        cues.iter().map(|cue| of_entry(ledger, (cue.sheet, cue.entry))).collect();
    let verdicts: Vec<Vec<Option<Verdict>>> = groups
        .iter()
        .map(|group| {
            let worths = worths.iter().map(Option::as_deref);
            worths.map(|worth| Some(group_verdict(group, worth?, desk))).collect()
        })
        .collect();
    let cost = |row: usize, column: usize| -> Option<f64> {
        // What cannot be compared is another quantity of the same words, and never meant.
        let verdict = verdicts[row][column]?;
        if verdict == Verdict::Incomparable && !same_dimension(&groups[row], &cues[column], desk) {
            return None;
        }
        let others: Vec<Span> = spans.iter().copied().filter(|s| *s != spans[row]).collect();
        distance(line.text, &line.words, spans[row], &others, &cues[column])
    };
    let agree = |row: usize, column: usize| verdicts[row][column] == Some(Verdict::Agree);
    let chosen = assign(groups.len(), cues.len(), cost, agree);
    for (row, (group, column)) in groups.into_iter().zip(chosen).enumerate() {
        let tied = column.and_then(|column| {
            let judgement = match verdicts[row][column]? {
                // Nobody asks why a figure agrees, and most do.
                Verdict::Agree => Judgement::agreed(),
                _ => judge_group(passage.text, &group, worths[column].as_deref()?, desk)?,
            };
            Some((&cues[column], judgement))
        });
        let outcome = match tied {
            Some((cue, judgement)) => {
                let others: Vec<&Cue> = cues
                    .iter()
                    .enumerate()
                    .filter(|(other, _)| Some(*other) != column && agree(row, *other))
                    .map(|(_, cue)| cue)
                    .collect();
                tie::judge(passage, group, cue, judgement, &others, desk, slips)
            }
            None => tie::untied(passage, group, desk, slips),
        };
        proof.figures.extend(outcome);
    }
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

/// All members against what a cue names; the worst counts.
///
/// Conversions are judged against the first member; only it is held against the reading, unless
/// the conversion itself failed.
fn judge_group(
    text: &str,
    group: &Group,
    worth: &[Computed],
    desk: &Desk<'_>,
) -> Option<Judgement> {
    let held = held(group).iter();
    let judgements = held.map(|figure| judge_worth(text, figure, worth, desk.conventions));
    let mut all = judgements.collect::<Option<Vec<Judgement>>>()?.into_iter();
    let first = all.next()?;
    Some(all.fold(first, worse))
}

/// The verdict of [`judge_group`].
fn group_verdict(group: &Group, worth: &[Computed], desk: &Desk<'_>) -> Verdict {
    let held = held(group).iter();
    let verdicts = held.map(|figure| verdict_on(figure, worth, desk.conventions));
    verdicts.max().unwrap_or(Verdict::Incomparable)
}

/// The members of a group that are held against a reading.
fn held(group: &Group) -> &[Figure] {
    let pair_fails = group.pair.as_ref().is_some_and(|pair| !stands(pair));
    if pair_fails { &group.members } else { &group.members[..1] }
}
