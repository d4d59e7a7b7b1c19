//! Judging a script or subtitles against an engine: `gaugebook proof --script take3.vtt --engine
//! rowan`. Spoken number words are read; slips in subtitles say at which time they are heard.

use super::edition::FolioStanding;
use super::folder::{Folder, NoFolio, engine_sheet};
use super::plain_file;
use crate::folio::Folio;
use crate::proof::Coverage;
use crate::proof::passage::{Passage, Piece};
use crate::proof::prose::{self, PageContext};
use crate::slip::{Slip, arrange};
use crate::text::Source;
use std::path::Path;
use std::sync::Arc;

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

/// Largest script, in bytes: that of a page.
const LARGEST_SCRIPT: u64 = crate::page::LARGEST_PAGE as u64;

/// Judges a script.
///
/// # Errors
/// When the folio or the script cannot be read, or the engine is not there.
pub fn judge(folder: &Folder, script: &Path, engine: &str) -> Result<FolioStanding, NoFolio> {
    let no = |message: String| NoFolio { message };
    let (folio, _) = folder.read()?;
    let sheet = engine_sheet(&folio, engine)?;
    let bytes = plain_file::read(script, LARGEST_SCRIPT)
        .map_err(|error| no(format!("{} cannot be read: {error}", script.display())))?;
    let text = String::from_utf8(bytes)
        .map_err(|_| no(format!("{} is no UTF-8 text", script.display())))?;
    let source = Source::new(script.display().to_string(), text);
    let speeches = if is_subtitles(&source.text) {
        vec![subtitles(&source.text)]
    } else {
        paragraphs(&source.text)
    };
    Ok(judge_speeches(&folio, sheet, &source, &speeches))
}

fn judge_speeches(
    folio: &Folio,
    sheet: usize,
    source: &Arc<Source>,
    speeches: &[Speech],
) -> FolioStanding {
    let conventions = &folio.ledger.sheets[sheet].conventions;
    let mut context = PageContext::new(folio, Some(sheet), Some(sheet), conventions);
    context.spoken = true;
    let mut standing = FolioStanding { pages: 1, ..FolioStanding::default() };
    let mut coverage = Coverage::default();
    for speech in speeches {
        let passage = Passage::of_pieces(source, &speech.text, &speech.pieces);
        let found = prose::judge(&passage, &context, &[]);
        let mut slips = found.slips;
        for figure in found.figures {
            coverage.count(figure.status);
            slips.extend(figure.slips);
        }
        standing.slips.extend(slips.into_iter().map(|slip| timed(slip, speech)));
    }
    standing.coverage = coverage;
    arrange(&mut standing.slips);
    standing
}

/// Adds the time code at which a slip is heard.
fn timed(mut slip: Slip, speech: &Speech) -> Slip {
    let start = slip.spot.span.start;
    let piece = speech.pieces.iter().rev().find(|piece| piece.source <= start);
    let offset = piece.map_or(0, |piece| piece.at + (start - piece.source).min(piece.length));
    if let Some(time) = speech.time_at(offset) {
        slip.message = format!("at {time}: {}", slip.message);
    }
    // A page's remedies have no place in a script.
    slip.helps.retain(|help| !help.text.contains("](by:") && !help.text.contains("](aside:"));
    slip
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
