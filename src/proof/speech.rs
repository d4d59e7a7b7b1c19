//! Judging what is spoken: a plain script, or subtitles (WebVTT and its numbered relative).
//!
//! Sentences run over cues, numbers stand in words, and units go without saying. A slip says at
//! which time it is heard and how to say it right.

use super::checks::{claim, relation, ring, stock};
use super::figure::{Coverage, JudgedFigure, Status};
use super::passage::{Passage, Piece};
use super::printing::PagePrinter;
use super::prose::{self, PageContext};
use super::spoken_text::SpokenText;
use crate::body::blocks::BoundText;
use crate::body::template::{self, Figures, Rendered};
use crate::folio::Folio;
use crate::quantity::reader::said;
use crate::slip::{Slip, arrange};
use crate::tables::{find_dashes, find_spoken_dashes};
use crate::text::{Source, Span};
use std::sync::Arc;

/// What was found out about a script.
#[derive(Debug, Default)]
pub struct SpeechProof {
    /// Slips, in order.
    pub slips: Vec<Slip>,
    /// Its figures.
    pub figures: Vec<JudgedFigure>,
    /// How they were checked.
    pub coverage: Coverage,
    /// The script as it is said: expressions printed, bindings taken out.
    pub said: String,
}

/// A stretch of spoken text: runs of the file's bytes, joined by blanks.
#[derive(Debug, Default)]
struct Speech {
    text: String,
    pieces: Vec<Piece>,
    /// Bindings of the text.
    bounds: Vec<BoundText>,
    /// Where each cue starts in the text, and its time code.
    times: Vec<(usize, String)>,
}

impl Speech {
    fn push(&mut self, line: &str, at: usize) {
        let apart =
            self.text.ends_with(char::is_whitespace) || line.starts_with(char::is_whitespace);
        if !self.text.is_empty() && !apart {
            self.text.push(' ');
        }
        self.pieces.push(Piece { at: self.text.len(), length: line.len(), source: at });
        self.text.push_str(line);
    }

    /// The speech of a text without its bindings, with these in their places.
    fn with_bindings(mut self, said: &SpokenText) -> Speech {
        let place = |offset: usize| {
            let piece = self.pieces.iter().rev().find(|piece| piece.source <= offset)?;
            Some(piece.at + (offset - piece.source).min(piece.length))
        };
        let within = |span: Span| {
            let first = self.pieces.first()?.source;
            let last = self.pieces.last().map(|piece| piece.source + piece.length)?;
            let is_within = first <= span.start && span.end <= last;
            is_within.then(|| Some(Span::new(place(span.start)?, place(span.end)?))).flatten()
        };
        let found = said.bindings.iter().filter_map(|bound| {
            let (binding, link) = (bound.binding.clone(), bound.link);
            Some(BoundText { text: within(bound.text)?, binding, link })
        });
        self.bounds = found.collect();
        self.pieces = said.through(&self.pieces);
        self
    }

    fn time_at(&self, offset: usize) -> Option<&str> {
        let index = self.times.partition_point(|(at, _)| *at <= offset);
        index.checked_sub(1).map(|index| self.times[index].1.as_str())
    }
}

/// Judges a script that is about the engines of some sheets: of one, or of several side by side.
/// Expressions are printed and bindings judged as on a page.
#[must_use]
pub fn judge(folio: &Arc<Folio>, engines: &[usize], source: &Arc<Source>) -> SpeechProof {
    let own = |sheet| folio.pages.iter().position(|page| page.sheet == sheet);
    let page = match engines {
        [sheet] => own(Some(*sheet)),
        _ => own(None).or(engines.first().and_then(|sheet| own(Some(*sheet)))),
    };
    let whole = Span::new(0, source.text.len());
    let printer: Arc<dyn Figures> = Arc::new(PagePrinter::new(folio, page.unwrap_or(0)));
    let mut proof = SpeechProof::default();
    let rendered = template::render(source, whole, &printer).unwrap_or_else(|slip| {
        proof.slips.push(*slip);
        template::without_expressions(source, whole)
    });
    let said = SpokenText::new(&rendered.text);
    judge_said(folio, engines, (source, &rendered, &said), &mut proof);
    arrange(&mut proof.slips);
    proof.said = said.text;
    proof
}

fn judge_said(
    folio: &Folio,
    engines: &[usize],
    (source, rendered, said): (&Arc<Source>, &Rendered<'_>, &SpokenText),
    proof: &mut SpeechProof,
) {
    let conventions = match engines.first() {
        Some(sheet) => &folio.ledger.sheets[*sheet].conventions,
        None => &folio.conventions,
    };
    let mut context = match engines {
        [sheet] => PageContext::new(folio, Some(*sheet), Some(*sheet), conventions),
        _ => PageContext::new(folio, None, None, conventions).comparing(engines.to_vec()),
    };
    context.spoken = true;
    let speeches = match is_subtitles(&said.text) {
        true => vec![subtitles(&said.text)],
        false => paragraphs(&said.text),
    };
    let speeches = speeches.into_iter().map(|speech| speech.with_bindings(said));
    let speeches: Vec<Speech> = speeches.collect();
    let mut lead = "";
    for speech in &speeches {
        let parts = (speech.text.as_str(), speech.pieces.as_slice(), speech.bounds.as_slice());
        let mut passage = Passage::of_pieces(source, rendered, parts);
        passage.lead = lead;
        lead = &speech.text;
        let mut slips = Vec::new();
        let mut dashes = find_dashes(passage.text);
        dashes.extend(find_spoken_dashes(passage.text));
        let mut settled = ring::judge(&passage, &dashes, &context, &mut slips);
        let mut judged = claim::bound(&passage, &context, &mut slips);
        judged.extend(relation::judge(&passage, &context, &mut slips));
        settled.extend(judged.iter().flat_map(|judged| judged.settled.iter().copied()));
        proof.coverage.count_statements(&judged);
        let found = prose::judge(&passage, &context, &settled);
        let sizes = stock::judge(&passage, &dashes, &context, &mut slips);
        for _ in sizes {
            proof.coverage.count(Status::OwnReading);
        }
        slips.extend(found.slips);
        let is_size = |figure: &JudgedFigure| dashes.iter().any(|d| d.0.overlaps(figure.span));
        for figure in found.figures.into_iter().filter(|figure| !is_size(figure)) {
            proof.coverage.count(figure.status);
            slips.extend(figure.slips.iter().cloned());
            proof.figures.push(figure);
        }
        proof.slips.extend(slips.into_iter().map(|slip| spoken(slip, speech, rendered)));
    }
}

/// A slip as a speaker needs it: with the time code at which it is heard, and with words to say.
fn spoken(mut slip: Slip, speech: &Speech, rendered: &Rendered<'_>) -> Slip {
    let start = slip.spot.span.start;
    let written =
        |piece: &Piece| rendered.origin(Span::new(piece.source, piece.source + 1)).span.start;
    let piece = speech.pieces.iter().rev().find(|piece| written(piece) <= start);
    let offset = piece.map_or(0, |piece| piece.at + (start - written(piece)).min(piece.length));
    if let Some(time) = speech.time_at(offset) {
        slip.message = format!("at {time}: {}", slip.message);
    }
    // A page's remedies have no place in a script.
    slip.helps.retain(|help| {
        let is_binding = |text: &str| text.contains("](");
        !is_binding(&help.text) && !help.replacement.as_deref().is_some_and(is_binding)
    });
    let say = slip.helps.iter().find_map(|help| said(help.replacement.as_deref()?));
    match say {
        Some(words) => slip.help(format!("say “{words}”")),
        None => slip,
    }
}

fn is_subtitles(text: &str) -> bool {
    let text = text.trim_start_matches('\u{feff}');
    text.starts_with("WEBVTT") || text.lines().take(4).any(|line| line.contains("-->"))
}

/// Spoken lines of WebVTT (or its numbered relative with comma seconds), as one text: sentences
/// run over cues.
fn subtitles(text: &str) -> Speech {
    let mut speech = Speech::default();
    let mut at = 0;
    let mut in_cue = false;
    for line in text.split_inclusive('\n') {
        let trimmed = line.trim_end();
        if trimmed.is_empty() {
            in_cue = false;
        } else if let Some((time, _)) = trimmed.split_once("-->") {
            in_cue = true;
            let next = speech.text.len() + usize::from(!speech.text.is_empty());
            speech.times.push((next, time.trim().to_owned()));
        } else if in_cue {
            for (start, spoken) in without_tags(trimmed) {
                speech.push(spoken, at + start);
            }
        }
        at += line.len();
    }
    speech
}

/// Pieces of a cue's line between its `<tags>`.
fn without_tags(line: &str) -> Vec<(usize, &str)> {
    let mut pieces = Vec::new();
    let mut start = 0;
    let mut rest = line;
    while let Some(open) = rest.find('<') {
        let Some(close) = rest[open..].find('>') else { break };
        if !rest[..open].trim().is_empty() {
            pieces.push((start, &rest[..open]));
        }
        start += open + close + 1;
        rest = &rest[open + close + 1..];
    }
    if !rest.trim().is_empty() {
        pieces.push((start, rest));
    }
    pieces
}

/// Paragraphs of a plain script.
fn paragraphs(text: &str) -> Vec<Speech> {
    let mut speeches = Vec::new();
    let mut current = Speech::default();
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        let trimmed = line.trim_end();
        if trimmed.trim().is_empty() {
            speeches.push(std::mem::take(&mut current));
        } else {
            current.push(trimmed, at);
        }
        at += line.len();
    }
    speeches.push(current);
    speeches.retain(|speech| !speech.text.is_empty());
    speeches
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn subtitles_keep_their_places_and_times() {
        let text = "WEBVTT\n\nNOTE not spoken\n\n1\n00:00:01.000 --> 00:00:03.000\n<v Ada>The bore\n\
                    is one\n\n00:00:03.500 --> 00:00:05.000\nmillimetre.\n";
        let speech = subtitles(text);
        assert_eq!(speech.text, "The bore is one millimetre.");
        assert_eq!(speech.time_at(20), Some("00:00:03.500"));
        for piece in &speech.pieces {
            let spoken = &speech.text[piece.at..piece.at + piece.length];
            assert_eq!(&text[piece.source..piece.source + piece.length], spoken);
        }
    }
}
