//! Judging what is spoken: a plain script, or subtitles (WebVTT and its numbered relative).
//!
//! Sentences run over cues, numbers stand in words, and units go without saying. A slip says at
//! which time it is heard and how to say it right.

use super::checks::{relation, ring, stock};
use super::figure::{Coverage, JudgedFigure, Status};
use super::passage::{Passage, Piece};
use super::prose::{self, PageContext};
use crate::folio::Folio;
use crate::quantity::reader::said;
use crate::slip::{Slip, arrange};
use crate::tables::{find_dashes, find_spoken_dashes};
use crate::text::Source;
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
}

/// A stretch of spoken text: runs of the file's bytes, joined by blanks.
#[derive(Debug, Default)]
struct Speech {
    text: String,
    pieces: Vec<Piece>,
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

    fn time_at(&self, offset: usize) -> Option<&str> {
        let index = self.times.partition_point(|(at, _)| *at <= offset);
        index.checked_sub(1).map(|index| self.times[index].1.as_str())
    }
}

/// Judges a script that is about the engines of some sheets: of one, or of several side by side.
#[must_use]
pub fn judge(folio: &Folio, engines: &[usize], source: &Arc<Source>) -> SpeechProof {
    let conventions = match engines.first() {
        Some(sheet) => &folio.ledger.sheets[*sheet].conventions,
        None => &folio.conventions,
    };
    let mut context = match engines {
        [sheet] => PageContext::new(folio, Some(*sheet), Some(*sheet), conventions),
        _ => PageContext::new(folio, None, None, conventions).comparing(engines.to_vec()),
    };
    context.spoken = true;
    let speeches = match is_subtitles(&source.text) {
        true => vec![subtitles(&source.text)],
        false => paragraphs(&source.text),
    };
    let mut proof = SpeechProof::default();
    let mut lead = "";
    for speech in &speeches {
        let mut passage = Passage::of_pieces(source, &speech.text, &speech.pieces);
        passage.lead = lead;
        lead = &speech.text;
        let mut slips = Vec::new();
        let mut dashes = find_dashes(passage.text);
        dashes.extend(find_spoken_dashes(passage.text));
        let mut settled = ring::judge(&passage, &dashes, &context, &mut slips);
        let judged = relation::judge(&passage, &context, &mut slips);
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
        proof.slips.extend(slips.into_iter().map(|slip| spoken(slip, speech)));
    }
    arrange(&mut proof.slips);
    proof
}

/// A slip as a speaker needs it: with the time code at which it is heard, and with words to say.
fn spoken(mut slip: Slip, speech: &Speech) -> Slip {
    let start = slip.spot.span.start;
    let piece = speech.pieces.iter().rev().find(|piece| piece.source <= start);
    let offset = piece.map_or(0, |piece| piece.at + (start - piece.source).min(piece.length));
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
