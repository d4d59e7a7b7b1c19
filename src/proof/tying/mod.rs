//! Which entry each figure of a passage states: one assignment a sentence, judged by odds.
//!
//! Words say what may be meant. A name in full is the strongest of them (`assign.rs`); parts of
//! names, what the sentence before and the heading are about, and verbs of a quantity are weighed
//! where there is none (`evidence.rs`). The value is evidence beside words and never alone: it
//! confirms, or shows a slip of what the words say, or is proposed. What each is worth stands in
//! `weights.rs`.

mod assign;
mod background;
mod bare;
mod evidence;
mod misfit;
mod plus_minus;
mod results;
mod sentence;
mod supposed;
mod understood;
pub(super) mod weights;

pub(super) use assign::{assign, distance};
pub(super) use background::Background;
pub(crate) use evidence::Lexicon;
pub(super) use evidence::{Around, content_words, ring_of};

use super::checks::misspelt;
use super::figure::{JudgedFigure, PassageProof, Status};
use super::passage::Passage;
use super::prose::{Group, PageContext};
use crate::folio::cues::Cue;
use crate::folio::words::{TextWord, sentences, words};
use crate::text::{Span, holds_digit};
use background::StatedFigure;

/// Ties the groups of each sentence by its words. `taken` are spans that are accounted for, in
/// order.
pub(super) fn judge(
    passage: &Passage<'_>,
    groups: Vec<Group>,
    taken: &[Span],
    context: &PageContext<'_>,
    proof: &mut PassageProof,
) {
    // Most passages state nothing.
    if groups.is_empty() && !context.has_words() && !holds_digit(passage.text) {
        return;
    }
    let mut rest = groups.into_iter().peekable();
    let mut taken = taken.iter().copied().peekable();
    let mut background = Background::new(passage.heading, passage.lead, context);
    let mut carried = None;
    let mut bound = stated(&proof.figures, context).into_iter().peekable();
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
        let numbers = || context.has_words() && line.words.iter().any(bare::is_number);
        let tolerances = plus_minus::find(passage.text, sentence, &accounted);
        if here.is_empty() && tolerances.is_empty() && suspects.is_empty() && !numbers() {
            background.hear(line.own_words(), context);
            continue;
        }
        let cues = line.cues(context, background.engine);
        here.retain(|group| !tolerances.iter().any(|found| found.span.overlaps(group.span)));
        plus_minus::judge_all(passage, &line, tolerances, &cues, context, proof);
        misspelt::judge(passage, &suspects, &cues, context, &mut proof.slips);
        let mut understood = Vec::new();
        if context.spoken {
            (here, understood) = understood::with_units(
                passage.text,
                &line,
                here,
                &cues,
                &background,
                context,
                &mut carried,
            );
        }
        let mut stated_by_hand = Vec::new();
        while let Some((_, figure)) = bound.next_if(|(span, _)| span.start < sentence.end) {
            stated_by_hand.push(figure);
        }
        let around = sentence::Neighbours { cues: &cues, stated_by_hand, taken: &accounted };
        let judged = proof.figures.len();
        sentence::tie(passage, &line, here, around, &background, context, proof);
        drop_unsaid(&mut proof.figures, judged, &understood);
        for (_, figure) in stated(&proof.figures[judged..], context) {
            background.state(figure);
        }
        background.hear(line.own_words(), context);
    }
}

/// A number whose unit is only understood is a figure where it states something; `judged` is the
/// first of the sentence.
fn drop_unsaid(figures: &mut Vec<JudgedFigure>, judged: usize, understood: &[Span]) {
    let is_figure = |figure: &JudgedFigure| {
        figure.status != Status::Untied
            || !understood.contains(&figure.span)
            || figure.proposals.first().is_some_and(|first| first.is_certain)
            || figure.slips.iter().any(|slip| slip.code != "untied-figure")
    };
    let mut told = figures.split_off(judged);
    told.retain(is_figure);
    figures.append(&mut told);
}

/// What figures are known to state, or will once their proposal is accepted, in reading order.
fn stated(figures: &[JudgedFigure], context: &PageContext<'_>) -> Vec<(Span, StatedFigure)> {
    let meant = |figure: &JudgedFigure| {
        if let Some(named) = figure.tied {
            return Some(StatedFigure::Entry(named));
        }
        let proposed = figure.proposals.first().filter(|first| first.is_certain);
        let formula = figure.formula.clone().or(proposed.map(|first| first.formula.clone()))?;
        let path: Vec<&str> = formula.split('.').collect();
        let sheet = context.sheet.unwrap_or(usize::MAX);
        let named = context.folio.ledger.resolve(sheet, &path);
        Some(named.map_or(StatedFigure::Formula(formula.clone()), |(sheet, entry, _)| {
            StatedFigure::Entry((sheet, entry))
        }))
    };
    let found = figures.iter().filter_map(|figure| Some((figure.span, meant(figure)?)));
    let mut found: Vec<(Span, StatedFigure)> = found.collect();
    found.sort_by_key(|(span, _)| *span);
    found
}

/// A sentence with its frame before it; spans of figures are shifted by the frame's length.
pub(super) struct TiedLine<'a> {
    pub(super) text: &'a str,
    pub(super) shift: usize,
    pub(super) words: Vec<TextWord>,
    /// Number of words of the frame.
    framing: usize,
}

/// The sentences of a passage, each with the frame of the passage.
pub(super) fn lines<'a>(passage: &'a Passage<'_>) -> impl Iterator<Item = (Span, TiedLine<'a>)> {
    let text = passage.framed();
    let shift = text.len() - passage.text.len();
    let frame = words(text, Span::new(0, shift));
    sentences(passage.text).into_iter().map(move |sentence| {
        let framing = frame.len();
        let mut all = frame.clone();
        all.extend(words(text, sentence.shifted(shift)));
        (sentence, TiedLine { text, shift, words: all, framing })
    })
}

impl TiedLine<'_> {
    /// Where the line names engines.
    fn engines(&self, context: &PageContext<'_>) -> Vec<Span> {
        let named = context.folio.cues.engines_in(&self.words).into_iter();
        let span = |first: usize, last: usize| {
            Span::new(self.words[first].span.start, self.words[last - 1].span.end)
        };
        named.map(|(first, last, _)| span(first, last)).collect()
    }

    /// Whether it names an engine that the page is not about.
    pub(super) fn names_another(&self, context: &PageContext<'_>) -> bool {
        let mut engines = context.folio.cues.engines_in(&self.words).into_iter();
        engines.any(|(_, _, sheet)| !context.is_about(sheet))
    }

    /// The words without those of the frame.
    pub(super) fn own_words(&self) -> &[TextWord] {
        &self.words[self.framing..]
    }

    /// The one engine that a figure is about, as far as the line says so: the last that is named
    /// before it, or one right behind it ("1.40 mm in Ash").
    pub(super) fn engine_of(&self, figure: Span, context: &PageContext<'_>) -> Option<usize> {
        let engines = context.folio.cues.engines_in(&self.words);
        let behind = engines.iter().find(|(first, _, _)| {
            let word = &self.words[*first];
            let between = figure.end <= word.span.start
                && word.span.start - figure.end <= CLOSE
                && !self.text[figure.end..word.span.start].contains([',', ';', '.']);
            between && first.checked_sub(1).is_some_and(|at| joins(&self.words[at].stem))
        });
        let before =
            engines.iter().rposition(|(_, last, _)| self.words[last - 1].span.end <= figure.start);
        let before = match before {
            Some(at) if behind.is_none() => {
                return self.engine_before(&engines, at, figure, context);
            }
            before => before.and_then(|at| engines.get(at)),
        };
        let first = engines.first().filter(|(first, _, _)| {
            // "Four screws hold the Lantern's head, six the Fiddle's."
            let word = self.words[*first].span;
            figure.end <= word.start
                && word.start - figure.end <= SAME_CLAUSE
                && !self.text[figure.end..word.start].contains([',', ';', '.', ':'])
        });
        behind.or(before).or(first).map(|(_, _, sheet)| *sheet)
    }

    /// The engine named last before a figure, at `last` among `engines`; `None` where it was named
    /// together with another, or only set against what the figure is about.
    fn engine_before(
        &self,
        engines: &[(usize, usize, usize)],
        last: usize,
        figure: Span,
        context: &PageContext<'_>,
    ) -> Option<usize> {
        let (start, end, sheet) = *engines.get(last)?;
        let is_joined = last.checked_sub(1).is_some_and(|at| {
            let between = &self.words[engines[at].1..start];
            let joins = |word: &TextWord| matches!(word.stem.as_str(), "and" | "the" | "or");
            engines[at].2 != sheet && between.iter().all(joins)
        });
        let words = self.words[end..].iter().take_while(|word| word.span.end <= figure.start);
        let mut turned = false;
        for word in words {
            match word.stem.as_str() {
                "other" => match context.compared() {
                    [one, two] => return Some(if sheet == *one { *two } else { *one }),
                    _ => turned = true,
                },
                "against" | "than" | "versu" | "vs" => turned = true,
                _ => {}
            }
        }
        (!is_joined && !turned).then_some(sheet)
    }

    /// The figures that the line names. An engine in the row or column of a cell names the engine
    /// of the whole cell.
    /// `engine` is what the text before is about, where the page is about several.
    pub(super) fn cues(&self, context: &PageContext<'_>, engine: Option<usize>) -> Vec<Cue> {
        let index = &context.folio.cues;
        let mut framing = index.engines_in(&self.words[..self.framing]);
        framing.dedup_by_key(|(_, _, sheet)| *sheet);
        let own = match framing.as_slice() {
            [(_, _, sheet)] => Some(*sheet),
            _ => context.own.or(engine),
        };
        index.cues_in(self.text, &self.words, own, &context.folio.ledger)
    }
}

/// Bytes between a figure and the engine that a word behind joins to it.
const CLOSE: usize = 12;

/// Bytes between a figure and the engine behind it that its clause is about.
const SAME_CLAUSE: usize = 40;

/// Whether a word joins a figure to the engine behind it.
fn joins(word: &str) -> bool {
    matches!(word, "in" | "on" | "for" | "of" | "the" | "with")
}

/// What formulas of the page call an entry.
pub(super) fn name_in_formulas(
    context: &PageContext<'_>,
    (sheet, entry): (usize, usize),
) -> String {
    let sheets = &context.folio.ledger.sheets;
    let name = &sheets[sheet].entries[entry].name.text;
    match &sheets[sheet].engine {
        Some(engine) if context.sheet != Some(sheet) => format!("{engine}.{name}"),
        _ => name.clone(),
    }
}
