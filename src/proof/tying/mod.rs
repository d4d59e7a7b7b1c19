//! Which entry each figure of a passage states: one assignment a sentence, judged by odds.
//!
//! Words say what may be meant. A name in full is the strongest of them (`assign.rs`); parts of
//! names, what the sentence before and the heading are about, and verbs of a quantity are weighed
//! where there is none (`evidence.rs`). The value is evidence beside words and never alone: it
//! confirms, or shows a slip of what the words say, or is proposed. What each is worth stands in
//! `weights.rs`.

mod assign;
mod bare;
mod evidence;
mod results;
mod sentence;
mod supposed;
mod weights;

pub(super) use assign::{assign, distance};
pub(crate) use evidence::Lexicon;

use super::checks::misspelt;
use super::figure::PassageProof;
use super::passage::Passage;
use super::prose::{Group, PageContext};
use crate::folio::cues::Cue;
use crate::folio::words::{TextWord, sentences, words};
use crate::text::{Span, holds_digit};
use evidence::Before;

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
    if groups.is_empty() && context.own.is_none() && !holds_digit(passage.text) {
        return;
    }
    let mut rest = groups.into_iter().peekable();
    let mut taken = taken.iter().copied().peekable();
    let mut before = Before { sentence: "", heading: passage.heading };
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
        let numbers = || context.own.is_some() && line.words.iter().any(bare::is_number);
        if here.is_empty() && suspects.is_empty() && !numbers() {
            before.sentence = &passage.text[sentence.start..sentence.end];
            continue;
        }
        let cues = line.cues(context);
        misspelt::judge(passage, &suspects, &cues, context, &mut proof.slips);
        let around = sentence::Neighbours { cues: &cues, before, taken: &accounted };
        sentence::tie(passage, &line, here, around, context, proof);
        before.sentence = &passage.text[sentence.start..sentence.end];
    }
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

    /// Whether it names an engine that is not the page's.
    fn names_another(&self, context: &PageContext<'_>) -> bool {
        let mut engines = context.folio.cues.engines_in(&self.words).into_iter();
        engines.any(|(_, _, sheet)| context.own != Some(sheet))
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
