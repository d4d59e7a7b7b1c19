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
mod beside;
mod converted;
mod crossed;
mod digits;
mod direction;
mod elsewhere;
mod evidence;
mod mentions;
mod misfit;
mod near_miss;
mod near_result;
mod of_group;
mod plus_minus;
mod ratio;
mod reference;
mod remainder;
mod results;
mod sentence;
mod shares;
mod supposed;
mod understood;
pub(super) mod weights;
mod within;

pub(super) use assign::{assign, distance};
pub(super) use background::Background;
pub(crate) use evidence::Lexicon;
pub(super) use evidence::{Around, ring_of};
pub(super) use mentions::Owner;
pub(super) use near_result::NearTo;
pub(super) use reference::counted_from;

use super::checks::misspelt;
use super::figure::{JudgedFigure, PassageProof, Status};
use super::passage::Passage;
use super::prose::{Group, PageContext};
use crate::folio::cues::Cue;
use crate::folio::words::{TextWord, sentences, words};
use crate::sheet::Ledger;
use crate::slip::Slip;
use crate::text::{Span, SpanSet, holds_digit};
use background::StatedFigure;
use mentions::EngineMention;
use std::iter::Peekable;

/// Ties the groups of each sentence by its words; `ratios` are those in words. `taken` are spans
/// that are accounted for, in order; `settled` are figures of statements.
pub(super) fn judge(
    passage: &Passage<'_>,
    (groups, ratios): (Vec<Group>, Vec<Group>),
    (taken, settled): (&[Span], &SpanSet),
    context: &PageContext<'_>,
    proof: &mut PassageProof,
) {
    // Most passages state nothing.
    if groups.is_empty() && !context.has_words() && !holds_digit(passage.text) {
        return;
    }
    let mut rest = groups.into_iter().peekable();
    let mut ratios = ratios.into_iter().peekable();
    let mut taken = taken.iter().copied().peekable();
    let mut background = Background::new(passage.heading, passage.lead, context);
    let mut carried = None;
    let mut bound = stated(&proof.figures, context).into_iter().peekable();
    for (sentence, line) in lines(passage) {
        let line = line.hearing(&background, context);
        let mut here = before(&mut rest, sentence.end, |group| group.span);
        let ratios_here = before(&mut ratios, sentence.end, |ratio| ratio.span);
        let accounted = before(&mut taken, sentence.end, |span| *span);
        let suspects = misspelt::suspects(passage.text, sentence, &accounted);
        let numbers = || context.has_words() && line.words.iter().any(bare::is_number);
        let tolerances = plus_minus::find(passage.text, sentence, &accounted);
        let is_bare = here.is_empty() && ratios_here.is_empty() && tolerances.is_empty();
        let by_hand = before(&mut bound, sentence.end, |(span, _)| *span);
        let about = (background.engine, context);
        direction::judge(passage, &line, &by_hand, settled, about, proof);
        if is_bare && suspects.is_empty() && !numbers() {
            background.hear(line.own_words(), &line.own_engines());
            continue;
        }
        let cues = line.cues(context, background.engine);
        here.retain(|group| !tolerances.iter().any(|found| found.span.overlaps(group.span)));
        plus_minus::judge_all(
            passage,
            &line,
            tolerances,
            (&cues, background.stated_last()),
            context,
            proof,
        );
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
        let around = sentence::Neighbours {
            cues: &cues,
            stated_by_hand: by_hand,
            taken: &accounted,
            ratios: ratios_here,
        };
        let judged = proof.figures.len();
        sentence::tie(passage, &line, here, around, &background, context, proof);
        drop_unsaid(&mut proof.figures, judged, &understood);
        hear_stated(passage, &line, settled, (&mut background, context), (judged, proof));
    }
    direction::of_figures(passage, proof);
}

/// Judges the directions that go with the figures of a sentence, from the one `judged` on, and
/// keeps what they state for the sentences behind it.
fn hear_stated(
    passage: &Passage<'_>,
    line: &TiedLine<'_>,
    settled: &SpanSet,
    (background, context): (&mut Background, &PageContext<'_>),
    (judged, proof): (usize, &mut PassageProof),
) {
    let found = stated(&proof.figures[judged..], context);
    direction::judge(passage, line, &found, settled, (background.engine, context), proof);
    let likely = likely_differences(&proof.figures[judged..]);
    direction::judge(passage, line, &likely, settled, (None, context), proof);
    for (_, figure) in found {
        background.state(figure);
    }
    background.hear(line.own_words(), &line.own_engines());
}

/// What begins before `end`.
fn before<T>(
    rest: &mut Peekable<impl Iterator<Item = T>>,
    end: usize,
    span: impl Fn(&T) -> Span,
) -> Vec<T> {
    std::iter::from_fn(|| rest.next_if(|item| span(item).start < end)).collect()
}

/// A number whose unit is only understood is a figure where it states something, and is none where
/// no slip makes it what words name; `judged` is the first of the sentence.
fn drop_unsaid(figures: &mut Vec<JudgedFigure>, judged: usize, understood: &[Span]) {
    let unlike = |figure: &JudgedFigure| {
        let explained = |slip: &Slip| slip.code != "figure-disagrees" || slip.likely.is_some();
        figure.status == Status::Disagrees
            && figure.figure.tolerance.is_none()
            && !figure.slips.iter().any(explained)
    };
    let says = |figure: &JudgedFigure| {
        figure.status != Status::Untied
            || figure.proposals.first().is_some_and(|first| first.is_certain)
            || figure.slips.iter().any(|slip| !matches!(slip.code, "untied-figure" | "new-figure"))
    };
    let is_figure = |figure: &JudgedFigure| {
        !understood.contains(&figure.span) || says(figure) && !unlike(figure)
    };
    let mut told = figures.split_off(judged);
    told.retain(is_figure);
    figures.append(&mut told);
}

/// What figures most likely state, where nothing else comes near: enough to ask whether one was
/// meant to go the other way.
fn likely_differences(figures: &[JudgedFigure]) -> Vec<(Span, StatedFigure)> {
    let only = |figure: &JudgedFigure| match figure.proposals.as_slice() {
        [only] if !only.is_certain && figure.status == Status::Untied => {
            Some((figure.span, StatedFigure::Formula(only.formula.clone())))
        }
        _ => None,
    };
    figures.iter().filter_map(only).collect()
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
    /// The engines that it speaks of.
    mentions: Vec<EngineMention>,
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
        (sentence, TiedLine { text, shift, words: all, framing, mentions: Vec::new() })
    })
}

impl TiedLine<'_> {
    /// The same, with the engines that it speaks of.
    pub(super) fn hearing(mut self, background: &Background, context: &PageContext<'_>) -> Self {
        self.mentions = mentions::mentions(self.text, &self.words, background, context);
        self
    }

    fn span_of(&self, mention: &EngineMention) -> Span {
        let (first, last) = (&self.words[mention.first], &self.words[mention.last - 1]);
        Span::new(first.span.start, last.span.end)
    }

    /// Where the line speaks of engines.
    fn engines(&self) -> Vec<Span> {
        self.mentions.iter().map(|mention| self.span_of(mention)).collect()
    }

    /// Whether it names an engine that the page is not about.
    pub(super) fn names_another(&self, context: &PageContext<'_>) -> bool {
        self.mentions
            .iter()
            .filter_map(|mention| mention.sheet)
            .any(|sheet| !context.is_about(sheet))
    }

    /// The words without those of the frame.
    pub(super) fn own_words(&self) -> &[TextWord] {
        &self.words[self.framing..]
    }

    /// The engines of the sentence without its frame that are more than what another is set
    /// against.
    pub(super) fn own_engines(&self) -> Vec<Option<usize>> {
        let own = self.mentions.partition_point(|mention| mention.first < self.framing);
        mentions::spoken_of(&self.mentions[own..])
    }

    /// Whose a figure is, as far as the line says: one right behind it ("1.40 mm in Ash"), else
    /// the last that is spoken of before it, else one behind it in its clause.
    pub(super) fn owner_of(&self, figure: Span, context: &PageContext<'_>) -> Owner {
        let said = |mention: &EngineMention| mention.sheet.map_or(Owner::Untold, Owner::Engine);
        let gap_to = |mention: &EngineMention, farthest: usize| {
            let start = self.words[mention.first].span.start;
            let is_near = figure.end <= start && start - figure.end <= farthest;
            is_near.then(|| &self.text[figure.end..start])
        };
        let is_joined = |mention: &&EngineMention| {
            let is_close = gap_to(mention, CLOSE).is_some_and(|gap| !gap.contains([',', ';', '.']));
            // "15 L where the Larch" is of another one than the Larch.
            let mut before = self.words[..mention.first].iter().rev();
            let word = before.find(|word| word.stem != "the");
            is_close && word.is_some_and(|word| figure.end <= word.span.start && joins(&word.stem))
        };
        if let Some(mention) = self.mentions.iter().find(is_joined) {
            return said(mention);
        }
        if let Some(owner) = self.owner_before(figure, context) {
            return owner;
        }
        // "Four screws hold the Lantern's head, six the Fiddle's."
        let in_clause = self.mentions.first().filter(|mention| {
            gap_to(mention, SAME_CLAUSE).is_some_and(|gap| !gap.contains([',', ';', '.', ':']))
        });
        in_clause.map_or(Owner::Unsaid, said)
    }

    /// Whose a figure is by what is spoken of before it.
    fn owner_before(&self, figure: Span, context: &PageContext<'_>) -> Option<Owner> {
        let before =
            self.mentions.partition_point(|mention| self.span_of(mention).end <= figure.start);
        let mut standard = None;
        for (at, mention) in self.mentions[..before].iter().enumerate().rev() {
            let end = self.span_of(mention).end;
            if mention.is_standard {
                let gap = self.text[end..figure.start].trim_start_matches(['\'', '’', 's']);
                if gap.trim().is_empty() {
                    return Some(mention.sheet.map_or(Owner::Untold, Owner::Engine));
                }
                standard = standard.or(mention.sheet);
                continue;
            }
            let Some(sheet) = mention.sheet else { return Some(Owner::Untold) };
            let is_joined = at.checked_sub(1).is_some_and(|at| {
                let between = &self.words[self.mentions[at].last..mention.first];
                let joins = |word: &TextWord| matches!(word.stem.as_str(), "and" | "the" | "or");
                self.mentions[at].sheet != Some(sheet) && between.iter().all(joins)
            });
            if is_joined {
                return Some(Owner::Untold);
            }
            let words = self.words[mention.last..].iter();
            let between = words.take_while(|word| word.span.end <= figure.start);
            let turns = between.last().is_some_and(|word| TURNED.contains(&word.stem.as_str()));
            return Some(if turns { other_of_two(sheet, context) } else { Owner::Engine(sheet) });
        }
        standard.map(|sheet| other_of_two(sheet, context))
    }

    /// The figures that the line names. An engine in the row or column of a cell names the engine
    /// of the whole cell.
    /// `engine` is what the text before is about, where the page is about several.
    pub(super) fn cues(&self, context: &PageContext<'_>, engine: Option<usize>) -> Vec<Cue> {
        let framing = self.mentions.partition_point(|mention| mention.first < self.framing);
        let own = match mentions::spoken_of(&self.mentions[..framing]).as_slice() {
            [Some(sheet)] => Some(*sheet),
            _ => context.own.or(engine),
        };
        let engines = self.mentions.iter();
        let engines: Vec<(usize, usize, usize)> = engines
            .filter_map(|mention| Some((mention.first, mention.last, mention.sheet?)))
            .collect();
        context.folio.cues.cues_in(self.text, &self.words, engines, own, &context.folio.ledger)
    }
}

/// Bytes between a figure and the engine that a word behind joins to it.
const CLOSE: usize = 12;

/// Bytes between a figure and the engine behind it that its clause is about.
const SAME_CLAUSE: usize = 40;

/// Words right before a figure that turn from the engine that was spoken of to the other.
const TURNED: [&str; 5] = ["against", "versu", "versus", "vs", "not"];

fn other_of_two(sheet: usize, context: &PageContext<'_>) -> Owner {
    match context.compared() {
        [one, two] => Owner::Engine(if sheet == *one { *two } else { *one }),
        _ => Owner::Untold,
    }
}

/// The entry of another sheet that has an entry's name.
pub(super) fn namesake(
    ledger: &Ledger,
    (sheet, entry): (usize, usize),
    other: usize,
) -> Option<(usize, usize)> {
    let name = &ledger.sheets[sheet].entries[entry].name.text;
    let entries = &mut ledger.sheets[other].entries.iter();
    entries.position(|entry| entry.name.text == *name).map(|entry| (other, entry))
}

/// Whether a word joins a figure to the engine behind it.
fn joins(word: &str) -> bool {
    matches!(word, "in" | "on" | "for" | "of" | "with" | "from" | "beside" | "at")
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
