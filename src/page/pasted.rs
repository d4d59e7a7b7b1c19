//! A page made from pasted prose: its figures become readings, its text gets bindings.
//!
//! The names are guesses from the words around each figure, for the writer to better; the values
//! are the writer's own characters. Nothing is judged here.

use crate::quantity::reader::{ReadOptions, read};
use crate::quantity::units::table;
use crate::quantity::{Dimension, Figure, Kind};
use crate::text::Span;
use crate::text::capitalised;
use std::fmt::Write as _;

/// A reading found in pasted prose.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct PastedReading {
    pub(crate) name: String,
    /// The figure as typed, with its conversions.
    pub(crate) value: String,
}

/// A page ready to be saved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct PastedPage {
    pub(crate) text: String,
    pub(crate) readings: Vec<PastedReading>,
}

/// Words that never name a figure.
const EMPTY_WORDS: &str = " a an the this that these those is are was were be been being it its of at \
    to in on by with from for and or but so as than then about around roughly nearly almost some \
    over under up only just also have has had having measures measured measure set comes come came \
    holds hold held runs run stands stand gives give gave takes take took shows show showed reads \
    read we i you he she they our your his her their there here which who when where while if not \
    no more less most least each every both per into through out off down between within without \
    can could may might must shall should will would does do did said says say called named still \
    now later earlier before after until because since like very quite rather roughly approximately \
    circa lies lie lay sits sit uses use used needs need needed weighs weigh left stays stay stayed \
    goes go went makes make made equals equal reckon reckoned other same another one two three what \
    how why all any such own much many few bit little falls fell fall drops dropped drop travels \
    travel travelled moves moved move cycles cycle leaves leave opens opened closes closed pass passes \
    passed feels felt looks look works worked reaches reach reached keeps keep kept shot shots after \
    found see seen lets let rises rose rise climbs fires fired fire pushes pushed ";

/// Makes a page. The first short line without a full stop becomes the title.
pub(crate) fn page(prose: &str, engine: &str, date: Option<&str>) -> PastedPage {
    let prose = prose.trim_start_matches('\u{feff}').replace("\r\n", "\n");
    let (title, body) = split_title(&prose, engine);
    let mut readings: Vec<PastedReading> = Vec::new();
    let mut bound = String::with_capacity(body.len() * 2);
    for (index, paragraph) in body.split("\n\n").enumerate() {
        if 0 < index {
            bound.push_str("\n\n");
        }
        bound.push_str(&bind(paragraph, &mut readings));
    }
    let mut text = String::from("---\n");
    let _ = writeln!(text, "title: {}", quoted(&title));
    let _ = writeln!(text, "engine: {engine}");
    if let Some(date) = date {
        let _ = writeln!(text, "date: {date}");
    }
    text.push_str("# where figures come from; then add `from: bench` to each reading, or\n");
    text.push_str("# `readings_from: bench` once for all\n");
    text.push_str(
        "# sources:\n#   bench: {kind: measured, with: \"caliper, 0.02 mm\", on: 2026-01-31}\n",
    );
    if !readings.is_empty() {
        text.push_str("readings:\n");
        for reading in &readings {
            let _ = writeln!(text, "  {}: {}", reading.name, quoted(&reading.value));
        }
    }
    let _ = write!(text, "---\n\n{}\n", bound.trim());
    PastedPage { text, readings }
}

/// A text as a YAML double-quoted scalar.
fn quoted(text: &str) -> String {
    let escaped = text.replace('\\', "\\\\").replace('"', "\\\"").replace('\n', " ");
    format!("\"{escaped}\"")
}

fn split_title<'a>(prose: &'a str, engine: &str) -> (String, &'a str) {
    let trimmed = prose.trim();
    let (first, rest) = trimmed.split_once('\n').unwrap_or((trimmed, ""));
    let plain = first.trim().trim_start_matches('#').trim();
    let is_title = !plain.is_empty()
        && plain.chars().count() <= 80
        && !plain.ends_with(['.', '!', '?', ':', ','])
        && !rest.trim().is_empty();
    if is_title {
        return (plain.to_owned(), rest.trim_start());
    }
    (capitalised(&engine.replace('_', " ")), trimmed)
}

/// Binds the figures of a paragraph, and takes its angle brackets for characters, not for HTML.
fn bind(paragraph: &str, readings: &mut Vec<PastedReading>) -> String {
    let options = ReadOptions::default();
    let figures = read(paragraph, &options).figures;
    let mut bound = String::with_capacity(paragraph.len() + 64);
    let mut at = 0;
    for group in groups(&figures) {
        let span = group_span(paragraph, group);
        let inside_markup = is_inside_markup(paragraph, span);
        if group[0].kind == Kind::Count || inside_markup || span.start < at {
            continue;
        }
        let value = paragraph[span.start..span.end].to_owned();
        let guess = guessed_name(paragraph, span, at, &group[0]);
        let name = settled_name(guess, &value, readings);
        bound.push_str(&escaped(&paragraph[at..span.start]));
        let _ = write!(bound, "[{}](by:{name})", escaped(&value));
        at = span.end;
    }
    bound.push_str(&escaped(&paragraph[at..]));
    bound
}

/// Markdown that pasted prose must not turn into raw HTML.
fn escaped(text: &str) -> String {
    text.replace('<', "\\<")
}

/// Runs of figures that state one value in several units.
fn groups(figures: &[Figure]) -> Vec<&[Figure]> {
    figures.chunk_by(|a, b| a.pair.is_some() && a.pair == b.pair).collect()
}

/// From the first member to the bracket that closes the last.
fn group_span(text: &str, group: &[Figure]) -> Span {
    let start = group[0].span.start;
    let end = group.last().map_or(start, |last| last.span.end);
    let inside = &text[start..end];
    let opens = inside.matches('(').count() > inside.matches(')').count();
    let closes = text[end..].starts_with(')');
    Span::new(start, if opens && closes { end + 1 } else { end })
}

/// Whether a span lies in code or in a link of the pasted text.
fn is_inside_markup(text: &str, span: Span) -> bool {
    let before = &text[..span.start];
    let ticks = before.matches('`').count() % 2 == 1;
    let open = before.rfind('[').is_some_and(|open| !before[open..].contains(']'));
    let destination = before.rfind("](").is_some_and(|open| !before[open..].contains(')'));
    ticks || open || destination
}

/// Up to three words that stand next to the figure and name something: before it, else behind it,
/// else what the figure measures.
fn guessed_name(text: &str, span: Span, from: usize, figure: &Figure) -> String {
    let sentence =
        text[from..span.start].rfind(['.', ';', '!', '?']).map_or(from, |stop| from + stop + 1);
    let mut words: Vec<String> = Vec::new();
    for word in
        text[sentence..span.start].split(|c: char| !(c.is_alphanumeric() || c == '\'')).rev()
    {
        let word = cleaned(word);
        if word.is_empty() {
            continue;
        }
        let is_empty_word = EMPTY_WORDS.contains(&format!(" {word} "));
        if is_empty_word && !words.is_empty() {
            break;
        }
        if !is_empty_word {
            words.push(word);
        }
        if words.len() == 3 {
            break;
        }
    }
    words.reverse();
    if words.is_empty() {
        let behind = text[span.end..].split(|c: char| !(c.is_alphanumeric() || c == ' ')).next();
        let behind = behind.unwrap_or("").split_whitespace().map(cleaned);
        words =
            behind.take_while(|word| !EMPTY_WORDS.contains(&format!(" {word} "))).take(2).collect();
    }
    let name = with_noun(words, figure, &text[sentence..span.start]);
    let usable = name.starts_with(|c: char| c.is_ascii_lowercase())
        && table().longest_spelling(&name).is_none_or(|(_, length)| length != name.len());
    if usable { name } else { figure.unit.dimension.name().replace([' ', '·', '⁻'], "_") }
}

/// The words as a name that says what is measured: a pressure is called one.
fn with_noun(mut words: Vec<String>, figure: &Figure, before: &str) -> String {
    let dimension = figure.unit.dimension;
    let nouns: &[&str] = match dimension {
        _ if dimension == Dimension::PRESSURE => &["pressure", "drop"],
        _ if dimension == Dimension::VOLUME => &["volume", "store", "chamber", "bottle"],
        _ if dimension == Dimension::MASS => &["mass", "weight"],
        _ if dimension == Dimension::VELOCITY => &["speed", "velocity"],
        _ if dimension == Dimension::TIME => &["time", "dwell", "delay"],
        _ if dimension == Dimension::RATE => &["rate"],
        _ if dimension == Dimension::FORCE => &["force", "push", "load"],
        _ => &[],
    };
    let lower = before.to_lowercase();
    let after_a_shot = ["after", "falls", "fell", "drops", "left"];
    if dimension == Dimension::PRESSURE && after_a_shot.iter().any(|word| lower.contains(word)) {
        return "pressure_left".to_owned();
    }
    if let Some(noun) = nouns.first()
        && !words.iter().any(|word| nouns.contains(&word.as_str()))
    {
        words.push((*noun).to_owned());
    }
    words.join("_")
}

/// A word of a name: small plain letters and digits, without possessive.
fn cleaned(word: &str) -> String {
    let lower = word.to_lowercase();
    let base = lower.strip_suffix("'s").unwrap_or(&lower);
    base.chars().filter(|c| c.is_ascii_alphanumeric()).collect()
}

/// The name under which a value is kept: the same value under the same name is one reading.
fn settled_name(guess: String, value: &str, readings: &mut Vec<PastedReading>) -> String {
    let mut name = guess.clone();
    let mut number = 2;
    loop {
        match readings.iter().find(|reading| reading.name == name) {
            Some(known) if known.value == value => return name,
            Some(_) => {
                name = format!("{guess}_{number}");
                number += 1;
            }
            None => {
                readings.push(PastedReading { name: name.clone(), value: value.to_owned() });
                return name;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_become_readings_named_by_their_words() {
        let prose = "A first look\n\nThe operating pressure is 128 psi (8.83 bar). Behind it sits a \
                     metering hole of 0.90 mm. The operating pressure was 128 psi (8.83 bar) again.";
        let page = page(prose, "alder", None);
        let names: Vec<(&str, &str)> =
            page.readings.iter().map(|r| (r.name.as_str(), r.value.as_str())).collect();
        assert_eq!(
            names,
            [("operating_pressure", "128 psi (8.83 bar)"), ("metering_hole", "0.90 mm")]
        );
        assert!(page.text.contains("is [128 psi (8.83 bar)](by:operating_pressure). Behind"));
        assert!(page.text.contains("title: \"A first look\""));
    }

    #[test]
    fn a_page_made_from_prose_can_be_read() {
        let prose =
            "The bore, <b>really</b>, is 0.9 mm; the hole 1.2 mm and `x = 3 mm` stays code.";
        let made = page(prose, "alder", Some("2026-01-31"));
        let source = crate::text::Source::new("page.md", made.text);
        let (page, slips) = crate::page::read(&source);
        assert!(slips.is_empty(), "{slips:?}");
        assert_eq!(page.front.readings.len(), 2);
        assert!(!source.text.contains(" <b>"));
    }
}
