//! Which engines a line speaks of: by name, and on a page that sets two side by side also by words
//! that stand for one of them ("the former", "the lighter one", "the other").
//!
//! An engine that is only a standard of comparison ("than Ash's", "short of the Ash's") owns no
//! figure but the one right beside it.

use super::background::Background;
use super::bare::is_number;
use super::namesake;
use crate::folio::cues::is_standard;
use crate::folio::meaning::{content_words, plain};
use crate::folio::words::TextWord;
use crate::proof::prose::PageContext;
use crate::statement::{Degree, Sense, comparative, is_light};

/// Words that speak of an engine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct EngineMention {
    /// Index of the first word.
    pub(super) first: usize,
    /// One past the index of the last word.
    pub(super) last: usize,
    /// The engine's sheet; `None` for one of them that the words do not tell.
    pub(super) sheet: Option<usize>,
    /// Whether another is only set against it.
    pub(super) is_standard: bool,
}

/// Whose a figure is, as far as the line says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::proof) enum Owner {
    /// The line speaks of no engine.
    Unsaid,
    /// It speaks of one, and does not say which.
    Untold,
    /// The engine of this sheet.
    Engine(usize),
}

impl Owner {
    /// The engine; where the line is silent, that of the text before.
    pub(in crate::proof) fn or(self, before: Option<usize>) -> Option<usize> {
        match self {
            Owner::Engine(sheet) => Some(sheet),
            Owner::Unsaid => before,
            Owner::Untold => None,
        }
    }
}

/// The mentions of a line, in order.
pub(super) fn mentions(
    text: &str,
    words: &[TextWord],
    background: &Background,
    context: &PageContext<'_>,
) -> Vec<EngineMention> {
    let named = context.folio.cues.engines_in(words).into_iter();
    let mut found: Vec<EngineMention> = named
        .map(|(first, last, sheet)| EngineMention {
            first,
            last,
            sheet: Some(sheet),
            is_standard: is_standard(text, words, first, last),
        })
        .collect();
    let [one, two] = context.compared() else { return found };
    let line = HeardLine { text, words, background, context, two: [*one, *two] };
    let mut at = 0;
    while at < words.len() {
        if found.iter().any(|mention| (mention.first..mention.last).contains(&at)) {
            at += 1;
            continue;
        }
        // "The One" has the name of an engine in it.
        let is_free = |told: &EngineMention| {
            !found.iter().any(|named| told.first < named.last && named.first < told.last)
        };
        match line.description(at, &found).filter(is_free) {
            Some(mention) => {
                let place = found.partition_point(|known| known.first < mention.first);
                found.insert(place, mention);
                at = mention.last;
            }
            None => at += 1,
        }
    }
    found
}

/// The engines of a sentence that are more than a standard of comparison; those named twice in a
/// row once.
pub(super) fn spoken_of(mentions: &[EngineMention]) -> Vec<Option<usize>> {
    let own = mentions.iter().filter(|mention| !mention.is_standard);
    let mut found: Vec<Option<usize>> = own.map(|mention| mention.sheet).collect();
    found.dedup();
    found
}

/// A line of a page that sets two engines side by side.
struct HeardLine<'a> {
    text: &'a str,
    words: &'a [TextWord],
    background: &'a Background,
    context: &'a PageContext<'a>,
    two: [usize; 2],
}

impl HeardLine<'_> {
    fn stem(&self, at: usize) -> &str {
        self.words.get(at).map_or("", |word| word.stem.as_str())
    }

    fn other(&self, sheet: usize) -> usize {
        if sheet == self.two[0] { self.two[1] } else { self.two[0] }
    }

    /// Words at `at` that stand for an engine; `found` are the mentions so far.
    fn description(&self, at: usize, found: &[EngineMention]) -> Option<EngineMention> {
        let is_before = |mention: &&EngineMention| mention.last <= at && !mention.is_standard;
        let before = found.iter().rev().find(is_before);
        let whole = |last: usize, sheet: Option<usize>| {
            let is_standard = is_standard(self.text, self.words, at, last);
            EngineMention { first: at, last, sheet, is_standard }
        };
        match (self.stem(at), self.stem(at + 1)) {
            ("the", word) => {
                let last = at + 2 + usize::from(self.stem(at + 2) == "one");
                if !self.is_pronoun(last) {
                    return None;
                }
                let sheet = match word {
                    "former" => self.in_order(at, found).map(|pair| pair.0),
                    "latter" => self.in_order(at, found).map(|pair| pair.1),
                    "other" => match before {
                        Some(mention) => mention.sheet.map(|sheet| self.other(sheet)),
                        None => self.background.engine.map(|sheet| self.other(sheet)),
                    },
                    "one" => None,
                    word => return Some(whole(last, self.by_degree(comparative(word)?))),
                };
                Some(whole(last, sheet))
            }
            ("each" | "both" | "neither" | "either", _) if self.is_pronoun(at + 1) => {
                Some(whole(at + 1, None))
            }
            // "One spends more, the other less."
            ("one", _) if self.is_pronoun(at + 1) && self.has_other(at) => {
                Some(whole(at + 1, None))
            }
            _ => None,
        }
    }

    fn has_other(&self, at: usize) -> bool {
        (at + 1..self.words.len())
            .any(|next| self.stem(next) == "the" && self.stem(next + 1) == "other")
    }

    /// Whether what ends before `last` stands for an engine, and not beside a noun of its own:
    /// "the lighter of the two", "the other holds", not "the other hole".
    fn is_pronoun(&self, last: usize) -> bool {
        let Some(word) = last.checked_sub(1).and_then(|at| self.words.get(at)) else {
            return false;
        };
        let Some(next) = self.words.get(last) else { return true };
        if word.possessive || !self.text[word.span.end..next.span.start].trim().is_empty() {
            return true;
        }
        let is_spelled = is_number(next) && !next.stem.starts_with(|c: char| c.is_ascii_digit());
        let typed = &self.text[next.span.start..next.span.end];
        let is_verb = || typed.ends_with('s') && !self.context.lexicon().knows(plain(&next.stem));
        !is_spelled && (is_number(next) || is_light(&next.stem) || is_verb())
    }

    /// The two engines in the order in which they were named last.
    fn in_order(&self, at: usize, found: &[EngineMention]) -> Option<(usize, usize)> {
        let here: Vec<usize> = found
            .iter()
            .filter(|mention| mention.last <= at)
            .filter_map(|mention| mention.sheet)
            .collect();
        let last = here.last().copied();
        let pair = last.and_then(|last| {
            let first = here.iter().rev().find(|sheet| **sheet != last)?;
            Some((*first, last))
        });
        pair.or(self.background.named_in_order)
    }

    /// "The lighter one": which it is, by the figure of that quantity that both have.
    fn by_degree(&self, degree: &Degree) -> Option<usize> {
        if degree.is_general() {
            return None;
        }
        let ledger = &self.context.folio.ledger;
        let [one, two] = self.two;
        let mut best = None;
        for (at, entry) in ledger.sheets[one].entries.iter().enumerate() {
            let Some(mine) = ledger.nominal(one, at) else { continue };
            let Some(sense) = degree.sense(mine.quantity.dimension) else { continue };
            let theirs = namesake(ledger, (one, at), two)
                .and_then(|(sheet, entry)| ledger.nominal(sheet, entry));
            let Some(theirs) = theirs else { continue };
            let noun = plain(&degree.plain);
            let says = |cue: &String| {
                let words = content_words(cue);
                let rest = words.iter().filter(|word| !WHOLE.contains(&word.as_str()));
                words.iter().any(|word| word == noun) && rest.count() == 1
            };
            let (mine, theirs) = (mine.quantity.si.to_f64(), theirs.quantity.si.to_f64());
            if !entry.cues.iter().any(says) || mine == theirs {
                continue;
            }
            let is_one = (theirs < mine) == (sense == Sense::Up);
            let found = if is_one { one } else { two };
            // Two figures of the quantity that lean either way say nothing.
            if best.is_some_and(|known| known != found) {
                return None;
            }
            best = Some(found);
        }
        best
    }
}

/// Words that make a size that of the whole engine.
const WHOLE: [&str; 8] =
    ["overall", "total", "dry", "empty", "whole", "complete", "unladen", "unloaded"];
