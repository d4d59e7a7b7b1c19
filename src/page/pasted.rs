//! A page made from pasted prose: figures that state what something measures become readings, and
//! the text gets bindings to them.
//!
//! The names are guesses from the nouns around each figure, for the writer to better; the values
//! are the writer's own characters. Results and comparisons stay untied: they are to be worked out,
//! not to be their own witness. Nothing is judged here.

use crate::quantity::judge::quantity_of;
use crate::quantity::reader::{ReadOptions, read};
use crate::quantity::units::table;
use crate::quantity::{Amount, Conventions, Dimension, Figure, Kind, Quantity};
use crate::text::Span;
use crate::text::capitalised;
use std::fmt::Write as _;

/// A reading found in pasted prose.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PastedReading {
    pub(crate) name: String,
    /// The figure as typed, with its conversions.
    pub(crate) value: String,
    /// Other words that stood for it.
    pub(crate) called: Vec<String>,
    /// How often the text states it.
    pub(crate) stated: usize,
    quantity: Quantity,
    /// Whether its digits are telling enough that the same ones mean the same thing.
    is_telling: bool,
}

/// A page ready to be saved.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PastedPage {
    pub(crate) text: String,
    pub(crate) readings: Vec<PastedReading>,
    /// Results and comparisons, as typed.
    pub(crate) untied: Vec<String>,
}

impl PastedPage {
    /// What became of the figures, for the writer.
    pub(crate) fn told(&self) -> String {
        let once = self.readings.iter().filter(|reading| reading.stated == 1).count();
        format!(
            "{} readings from the text, {once} of them stated once: nothing checks these yet; \
             {} figures left untied (results, comparisons, estimates)",
            self.readings.len(),
            self.untied.len()
        )
    }
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
    let mut found = PastedFigure::default();
    let mut bound = String::with_capacity(body.len() * 2);
    for (index, paragraph) in body.split("\n\n").enumerate() {
        if 0 < index {
            bound.push_str("\n\n");
        }
        bound.push_str(&found.bind(paragraph));
    }
    let mut text = String::from("---\n");
    let _ = writeln!(text, "title: {}", quoted(&title));
    let _ = writeln!(text, "engine: {engine}");
    if let Some(date) = date {
        let _ = writeln!(text, "date: {date}");
    }
    let PastedFigure { readings, untied } = found;
    let mut page = PastedPage { text, readings, untied };
    let told = page.told();
    let text = &mut page.text;
    if !page.readings.is_empty() || !page.untied.is_empty() {
        let _ = writeln!(text, "# {}", told.replace(": ", ":\n# ").replace("; ", ";\n# "));
    }
    text.push_str("# where figures come from; then add `from: bench` to each reading, or\n");
    text.push_str("# `readings_from: bench` once for all\n");
    text.push_str(
        "# sources:\n#   bench: {kind: measured, with: \"caliper, 0.02 mm\", on: 2026-01-31}\n",
    );
    if !page.readings.is_empty() {
        text.push_str("readings:\n");
    }
    for reading in &page.readings {
        let value = quoted(&reading.value);
        let _ = match reading.called.as_slice() {
            [] => writeln!(text, "  {}: {value}", reading.name),
            called => {
                writeln!(
                    text,
                    "  {}: {{is: {value}, called: [{}]}}",
                    reading.name,
                    called.join(", ")
                )
            }
        };
    }
    let _ = write!(text, "---\n\n{}\n", bound.trim());
    page
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

/// What the text has told so far.
#[derive(Default)]
struct PastedFigure {
    readings: Vec<PastedReading>,
    untied: Vec<String>,
}

impl PastedFigure {
    /// Binds the figures of a paragraph, and takes its angle brackets for characters, not for
    /// HTML.
    fn bind(&mut self, paragraph: &str) -> String {
        let figures = read(paragraph, &ReadOptions::default()).figures;
        let mut bound = String::with_capacity(paragraph.len() + 64);
        let mut at = 0;
        for group in groups(&figures) {
            let span = group_span(paragraph, group);
            if group[0].kind == Kind::Count || is_inside_markup(paragraph, span) || span.start < at
            {
                continue;
            }
            let value = &paragraph[span.start..span.end];
            if is_result(paragraph, span, &group[0]) {
                self.untied.push(value.to_owned());
                continue;
            }
            let guess = guessed_name(paragraph, span, at, &group[0]);
            let name = self.settled(&guess, value, &group[0]);
            bound.push_str(&escaped(&paragraph[at..span.start]));
            let _ = write!(bound, "[{}](by:{name})", escaped(value));
            at = span.end;
        }
        bound.push_str(&escaped(&paragraph[at..]));
        bound
    }

    /// The name of the reading that a value is bound to: one that has this value already, where
    /// both are of one kind, or a new one.
    fn settled(&mut self, guess: &str, value: &str, figure: &Figure) -> String {
        let quantity = quantity_of(figure, &Conventions::default());
        let is_telling = digits(figure) >= 2;
        let noun = |name: &str| name.rsplit('_').next().unwrap_or(name).to_owned();
        let same = self.readings.iter_mut().find(|known| {
            let alike = is_telling && known.is_telling || noun(&known.name) == noun(guess);
            known.quantity == quantity && alike
        });
        if let Some(known) = same {
            known.stated += 1;
            let words = guess.replace('_', " ");
            if known.name != guess && !known.called.contains(&words) {
                known.called.push(words);
            }
            return known.name.clone();
        }
        let taken = |name: &str| self.readings.iter().any(|known| known.name == name);
        let numbered = (2..).map(|number| format!("{guess}_{number}"));
        let mut names = std::iter::once(guess.to_owned()).chain(numbered);
        let name = names.find(|name| !taken(name)).unwrap_or_default();
        self.readings.push(PastedReading {
            name: name.clone(),
            value: value.to_owned(),
            called: Vec::new(),
            stated: 1,
            quantity,
            is_telling,
        });
        name
    }
}

/// Significant digits of a figure, nought before the first one not counted.
fn digits(figure: &Figure) -> usize {
    let (Amount::Point(number) | Amount::Range(number, _)) = &figure.amount;
    let steps = number.value() / number.resolution();
    steps.to_integer().to_string().trim_start_matches('-').len()
}

/// Words before a figure that say that it was worked out.
const WORKED_OUT: [&str; 14] = [
    "so",
    "thus",
    "hence",
    "therefore",
    "makes",
    "gives",
    "leaves",
    "yields",
    "equals",
    "totals",
    "sums",
    "reckoned",
    "calculated",
    "estimated",
];
/// Words before a figure that set it against another.
const SET_AGAINST: [&str; 9] =
    ["than", "by", "another", "further", "extra", "twice", "half", "times", "difference"];
/// Words behind a figure that set it against another.
const COMPARED: [&str; 18] = [
    "more", "less", "larger", "smaller", "bigger", "wider", "narrower", "longer", "shorter",
    "higher", "lower", "heavier", "lighter", "faster", "slower", "above", "below", "apart",
];

/// Whether a figure is worked out from others, compared with another, or an estimate, so that it
/// would be wrong to take it for a reading.
fn is_result(text: &str, span: Span, figure: &Figure) -> bool {
    if figure.bound.is_some() || figure.hedge.is_some() || figure.kind == Kind::Ratio {
        return true;
    }
    let clause = text[..span.start].rfind(['.', ';', '!', '?', ':', '(']).map_or(0, |at| at + 1);
    let before: Vec<String> = text[clause..span.start].split_whitespace().map(cleaned).collect();
    let has = |words: &[&str]| before.iter().any(|word| words.contains(&word.as_str()));
    let near = before.iter().rev().take(3);
    let is_set_against = near.clone().any(|word| SET_AGAINST.contains(&word.as_str()));
    let comes_to = before.windows(2).any(|pair| {
        matches!(
            (pair[0].as_str(), pair[1].as_str()),
            ("comes", "to") | ("works", "out") | ("adds", "up") | ("amounts", "to")
        )
    });
    let behind = text[span.end..].split_whitespace().next().map(cleaned).unwrap_or_default();
    has(&WORKED_OUT) || is_set_against || comes_to || COMPARED.contains(&behind.as_str())
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

/// Up to three words that stand next to the figure and name something: the noun that it describes
/// ("a 0.90 mm hole"), else those before it, else what the figure measures.
fn guessed_name(text: &str, span: Span, from: usize, figure: &Figure) -> String {
    let sentence =
        text[from..span.start].rfind(['.', ';', '!', '?']).map_or(from, |stop| from + stop + 1);
    let before = &text[sentence..span.start];
    let last = before.split_whitespace().next_back().map(cleaned).unwrap_or_default();
    let describes = ["a", "an", "the", "its", "this", "that", "of"].contains(&last.as_str());
    let mut words = if describes { noun_behind(&text[span.end..]) } else { Vec::new() };
    if words.is_empty() {
        words = nouns_before(before);
    }
    if words.is_empty() {
        words = noun_behind(&text[span.end..]);
    }
    let name = with_noun(words, figure, before);
    let usable = name.starts_with(|c: char| c.is_ascii_lowercase())
        && table().longest_spelling(&name).is_none_or(|(_, length)| length != name.len());
    if usable { name } else { figure.unit.dimension.name().replace([' ', '·', '⁻'], "_") }
}

/// Whether a word can be part of a name: no little word, no adverb.
fn names_something(word: &str) -> bool {
    let is_adverb = 5 <= word.len() && word.ends_with("ly");
    !(word.is_empty() || is_adverb || EMPTY_WORDS.contains(&format!(" {word} ")))
}

/// The last run of words that name something, at most three.
fn nouns_before(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for piece in text.split_inclusive(|c: char| !(c.is_alphanumeric() || c == '\'')).rev() {
        let ends_clause = piece.ends_with([',', '(', ')', ':', '—', '–']);
        if ends_clause && !words.is_empty() {
            break;
        }
        let word = cleaned(piece);
        if names_something(&word) {
            words.push(word);
        } else if !word.is_empty() && !words.is_empty() {
            break;
        }
        if words.len() == 3 {
            break;
        }
    }
    words.reverse();
    words
}

/// Up to two words that follow at once and name something.
fn noun_behind(text: &str) -> Vec<String> {
    let behind = text.split(|c: char| !(c.is_alphanumeric() || c == ' ')).next().unwrap_or("");
    let words = behind.split_whitespace().map(cleaned);
    words.take_while(|word| names_something(word)).take(2).collect()
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

    fn made(prose: &str) -> (Vec<(String, String, usize)>, Vec<String>) {
        let page = page(prose, "alder", None);
        let readings = page.readings.into_iter();
        (readings.map(|r| (r.name, r.value, r.stated)).collect(), page.untied)
    }

    fn reading(name: &str, value: &str, stated: usize) -> (String, String, usize) {
        (name.to_owned(), value.to_owned(), stated)
    }

    #[test]
    fn equal_values_of_one_kind_are_one_reading() {
        let (readings, _) = made(
            "The metering hole is 0.90 mm. That 0.90 mm orifice fills the store slowly. The stem \
             is 3 mm and the seat 3 mm. The dwell is 0.9 ms.",
        );
        assert_eq!(
            readings,
            [
                reading("metering_hole", "0.90 mm", 2),
                reading("stem", "3 mm", 1),
                reading("seat", "3 mm", 1),
                reading("dwell", "0.9 ms", 1),
            ]
        );
    }

    #[test]
    fn results_and_comparisons_stay_untied() {
        let (readings, untied) = made(
            "The bore is 17.3 mm, so its area comes to 235 mm². It is 0.4 mm wider than Oak's and \
             weighs about 410 g. The store holds 28 % more. It opens at over 7 bar.",
        );
        assert_eq!(readings, [reading("bore", "17.3 mm", 1)]);
        assert_eq!(untied.len(), 5, "{untied:?}");
    }

    #[test]
    fn a_figure_takes_the_noun_that_it_describes() {
        let (readings, _) = made("Behind a 22 cm³ store, surprisingly, lies a spring of 1.7 N/mm.");
        let names: Vec<&str> = readings.iter().map(|(name, ..)| name.as_str()).collect();
        assert_eq!(names, ["store", "spring"]);
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
