//! YAML as a tree of texts with their places.
//!
//! Scalars are kept as the writer typed them: `1.10` stays `1.10`, `no` stays a word, `010` stays
//! three characters. What a text means is for the caller to decide.

use crate::slip::Slip;
use crate::text::{Source, Span, Spot, acts};
use serde::Deserialize;
use serde::de::{Deserializer, MapAccess, SeqAccess, Visitor};
use serde_yaml::budget::BudgetBreach;
use serde_yaml::{DuplicateKeyPolicy, MergeKeyPolicy, Spanned};
use std::sync::Arc;

/// A text with its place in the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Text {
    /// The value, as typed.
    pub text: String,
    /// Where it stands, quotes included.
    pub span: Span,
    /// Whether byte `i` of the text is byte `span.start + offset + i` of the file.
    offset: Option<usize>,
}

impl Text {
    /// A text that stands in no file of the writer (a default).
    pub(crate) fn detached(text: impl Into<String>) -> Text {
        Text { text: text.into(), span: Span::default(), offset: None }
    }

    /// The same text, known to stand letter by letter at its span.
    pub(crate) fn placed(self) -> Text {
        Text { offset: Some(0), ..self }
    }

    /// Another text in this one's place.
    pub(crate) fn replaced(self, text: String) -> Text {
        Text { text, offset: None, ..self }
    }

    /// Place of the text without its quotes.
    pub(crate) fn inside(&self) -> Span {
        self.part(Span::new(0, self.text.len()))
    }

    /// Place of a part of the text; the whole where YAML folded or unescaped it.
    pub(crate) fn part(&self, range: Span) -> Span {
        match self.offset {
            Some(offset) => range.shifted(self.span.start + offset),
            None => self.span,
        }
    }
}

/// A value with its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct YamlNode {
    pub(crate) span: Span,
    pub(crate) value: YamlValue,
}

/// What a node is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum YamlValue {
    /// Nothing after the colon.
    Empty,
    /// Any scalar.
    Text(Text),
    /// A list.
    List(Vec<YamlNode>),
    /// A map, in the order typed; keys may stand twice.
    Map(Vec<(Text, YamlNode)>),
}

impl YamlNode {
    /// "a text", "a list", "a map", "nothing".
    pub(crate) fn shape(&self) -> &'static str {
        match self.value {
            YamlValue::Empty => "nothing",
            YamlValue::Text(_) => "a text",
            YamlValue::List(_) => "a list",
            YamlValue::Map(_) => "a map",
        }
    }
}

/// Deepest nesting of lists and maps.
const DEEPEST: usize = 24;
/// Most values of one text.
const MOST_VALUES: usize = 20_000;

/// Reads the YAML in `span` of `source`.
///
/// # Errors
/// One slip at the place where reading stopped.
pub(crate) fn read(source: &Arc<Source>, span: Span) -> Result<YamlNode, Box<Slip>> {
    let text = source.slice(span);
    let options = serde_yaml::options! {
        strict_booleans: true,
        leading_zero_numbers_as_strings: true,
        underscored_numbers_as_strings: true,
        null_as_string: false,
        duplicate_keys: DuplicateKeyPolicy::PassThrough,
        merge_keys: MergeKeyPolicy::Error,
        with_snippet: false,
        budget: serde_yaml::budget! {
            max_depth: DEEPEST,
            max_nodes: MOST_VALUES,
            max_aliases: 0,
            max_anchors: 0,
        },
    };
    let parsed: Result<Spanned<Raw>, serde_yaml::Error> =
        serde_yaml::from_str_with_options(text, options);
    match parsed {
        Ok(raw) => {
            let node = place(raw, text, span.start);
            match acting(&node) {
                Some(text) => Err(Box::new(hidden(source, text))),
                None => Ok(node),
            }
        }
        Err(error) => Err(Box::new(fault(source, span, &error))),
    }
}

/// The first text in which an escape stands for a character that does something instead of being
/// seen; typed as itself, a page with one is not read at all.
fn acting(node: &YamlNode) -> Option<&Text> {
    let acts = |text: &Text| text.text.chars().any(acts);
    match &node.value {
        YamlValue::Empty => None,
        YamlValue::Text(text) => Some(text).filter(|text| acts(text)),
        YamlValue::List(nodes) => nodes.iter().find_map(acting),
        YamlValue::Map(pairs) => pairs
            .iter()
            .find_map(|(key, node)| Some(key).filter(|key| acts(key)).or_else(|| acting(node))),
    }
}

fn hidden(source: &Arc<Source>, text: &Text) -> Slip {
    let message = "this holds a character that is not seen and may do something";
    Slip::stop("yaml-fault", Spot::new(source, text.span), message).help("delete the escape")
}

fn fault(source: &Arc<Source>, span: Span, error: &serde_yaml::Error) -> Slip {
    let told = |span: Span, message: String| {
        Slip::stop("yaml-fault", Spot::new(source, span), format!("this is not YAML: {message}"))
    };
    let located = error.location().and_then(|location| {
        let line = usize::try_from(location.line()).ok()?.checked_sub(1)?;
        let column = usize::try_from(location.column()).ok()?.checked_sub(1)?;
        Some((line, column))
    });
    if let Some(tab) = located.and_then(|(line, _)| indenting_tab(source.slice(span), line)) {
        let slip = told(tab.shifted(span.start), "a tab stands where a line begins".to_owned());
        return slip.help("indent with blanks");
    }
    let start = located.map_or(span.start, |(line, column)| {
        let text = source.slice(span);
        let start: usize = text.split_inclusive('\n').take(line).map(str::len).sum();
        let rest = text.get(start..).unwrap_or("");
        let within = rest.char_indices().nth(column).map_or(rest.len(), |(at, _)| at);
        span.start + start + within
    });
    let start = start.min(span.end);
    let line_end = source.line_span(start).end;
    let place = Span::new(start, line_end.max(start + 1).min(source.text.len()));
    match error.without_snippet() {
        serde_yaml::Error::Budget { breach, .. } => exceeded(place, breach, &told),
        _ => {
            let message = error.to_string();
            let message = message.lines().next().unwrap_or("").trim_start_matches("error: ");
            let message = message.split(" at line ").next().unwrap_or(message).to_lowercase();
            told(place, message)
                .help("quote texts that hold `: `, ` #`, or start with one of [ { & * ! | > @ % \"")
        }
    }
}

/// More of something than front matter needs.
fn exceeded(place: Span, breach: &BudgetBreach, told: &dyn Fn(Span, String) -> Slip) -> Slip {
    match breach {
        BudgetBreach::Depth { .. } => {
            told(place, format!("it is nested more than {DEEPEST} deep")).help("nest less")
        }
        BudgetBreach::Aliases { .. } | BudgetBreach::Anchors { .. } => {
            told(place, "`&` and `*` stand for other places of the text here".to_owned())
                .help("write the value out where it is wanted; quote a text that begins so")
        }
        _ => told(place, format!("it is too large: at most {MOST_VALUES} values are read"))
            .help("split the page into several"),
    }
}

/// A tab in the blanks that begin a line, from the line before `from` on: it is noticed late.
fn indenting_tab(text: &str, from: usize) -> Option<Span> {
    let mut start = 0;
    for (number, line) in text.split_inclusive('\n').enumerate().take(from + 2) {
        let blank = line.len() - line.trim_start_matches([' ', '\t']).len();
        if from <= number + 1
            && let Some(at) = line[..blank].find('\t')
            && !line.trim().is_empty()
        {
            return Some(Span::new(start + at, start + blank));
        }
        start += line.len();
    }
    None
}

#[derive(Debug)]
enum Raw {
    Empty,
    /// Text of a scalar that YAML took for a text.
    Text(String),
    /// A number or truth value: the file's own characters count.
    AsTyped,
    List(Vec<Spanned<Raw>>),
    Map(Vec<(Spanned<String>, Spanned<Raw>)>),
}

impl<'de> Deserialize<'de> for Raw {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Raw, D::Error> {
        deserializer.deserialize_any(RawVisitor)
    }
}

struct RawVisitor;

impl<'de> Visitor<'de> for RawVisitor {
    type Value = Raw;

    fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("a text, a list or a map")
    }
    fn visit_unit<E>(self) -> Result<Raw, E> {
        Ok(Raw::Empty)
    }
    fn visit_none<E>(self) -> Result<Raw, E> {
        Ok(Raw::Empty)
    }
    fn visit_bool<E>(self, _: bool) -> Result<Raw, E> {
        Ok(Raw::AsTyped)
    }
    fn visit_i64<E>(self, _: i64) -> Result<Raw, E> {
        Ok(Raw::AsTyped)
    }
    fn visit_u64<E>(self, _: u64) -> Result<Raw, E> {
        Ok(Raw::AsTyped)
    }
    fn visit_i128<E>(self, _: i128) -> Result<Raw, E> {
        Ok(Raw::AsTyped)
    }
    fn visit_u128<E>(self, _: u128) -> Result<Raw, E> {
        Ok(Raw::AsTyped)
    }
    fn visit_f64<E>(self, _: f64) -> Result<Raw, E> {
        Ok(Raw::AsTyped)
    }
    fn visit_str<E>(self, text: &str) -> Result<Raw, E> {
        Ok(Raw::Text(text.to_owned()))
    }
    fn visit_string<E>(self, text: String) -> Result<Raw, E> {
        Ok(Raw::Text(text))
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<Raw, A::Error> {
        let mut list = Vec::new();
        while let Some(item) = items.next_element()? {
            list.push(item);
        }
        Ok(Raw::List(list))
    }
    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<Raw, A::Error> {
        let mut map = Vec::new();
        while let Some(entry) = entries.next_entry()? {
            map.push(entry);
        }
        Ok(Raw::Map(map))
    }
}

fn span_of<T>(spanned: &Spanned<T>) -> Span {
    let span = spanned.referenced.span();
    let to_usize = |value: Option<u64>| value.and_then(|v| usize::try_from(v).ok()).unwrap_or(0);
    let start = to_usize(span.byte_offset());
    Span::new(start, start + to_usize(span.byte_len()))
}

fn text_at(value: Option<String>, span: Span, whole: &str, base: usize) -> Text {
    let typed = whole.get(span.start..span.end).unwrap_or("");
    // A plain scalar at the end of a line may carry its trailing blanks.
    let trimmed = typed.trim_end();
    let span = Span::new(span.start, span.start + trimmed.len());
    let text = value.unwrap_or_else(|| trimmed.to_owned());
    let offset = if trimmed == text {
        Some(0)
    } else {
        let inner = trimmed.get(1..trimmed.len().saturating_sub(1)).unwrap_or("");
        let quoted = trimmed.starts_with(['"', '\'']);
        (quoted && inner == text).then_some(1)
    };
    Text { text, span: span.shifted(base), offset }
}

fn place(raw: Spanned<Raw>, whole: &str, base: usize) -> YamlNode {
    let own = span_of(&raw);
    let (value, end) = match raw.value {
        Raw::Empty => (YamlValue::Empty, base + own.end),
        Raw::Text(text) => {
            let text = text_at(Some(text), own, whole, base);
            let end = text.span.end;
            (YamlValue::Text(text), end)
        }
        Raw::AsTyped => {
            let text = text_at(None, own, whole, base);
            let end = text.span.end;
            (YamlValue::Text(text), end)
        }
        Raw::List(items) => {
            let items: Vec<YamlNode> = items.into_iter().map(|i| place(i, whole, base)).collect();
            let end = items.last().map_or(base + own.end, |item| item.span.end);
            (YamlValue::List(items), end)
        }
        Raw::Map(entries) => {
            let entries: Vec<(Text, YamlNode)> = entries
                .into_iter()
                .map(|(key, node)| {
                    let span = span_of(&key);
                    (text_at(Some(key.value), span, whole, base), place(node, whole, base))
                })
                .collect();
            let end = entries
                .last()
                .map_or(base + own.end, |(key, node)| node.span.end.max(key.span.end));
            (YamlValue::Map(entries), end)
        }
    };
    YamlNode { span: Span::new(base + own.start, end), value }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tree(text: &str) -> (Arc<Source>, YamlNode) {
        let source = Source::new("page.md", text);
        let node = read(&source, Span::new(0, text.len())).unwrap();
        (source, node)
    }

    #[test]
    fn scalars_stay_as_typed() {
        let (source, node) = tree("a: 1.10\nb: no\nc: 010\nd: \"x y\"\ne: [0x1F, true]\nf:\n");
        let YamlValue::Map(entries) = &node.value else { panic!("{node:?}") };
        let texts: Vec<&str> = entries
            .iter()
            .filter_map(|(_, node)| match &node.value {
                YamlValue::Text(text) => Some(text.text.as_str()),
                _ => None,
            })
            .collect();
        assert_eq!(texts, ["1.10", "no", "010", "x y"]);
        let YamlValue::Text(quoted) = &entries[3].1.value else { panic!() };
        assert_eq!(source.slice(quoted.part(Span::new(2, 3))), "y");
        let YamlValue::List(items) = &entries[4].1.value else { panic!() };
        assert_eq!(items.len(), 2);
        assert_eq!(entries[5].1.value, YamlValue::Empty);
    }

    #[test]
    fn a_key_that_stands_twice_is_kept_twice() {
        let (_, node) = tree("a: 1\na: 2\n");
        assert!(matches!(&node.value, YamlValue::Map(entries) if entries.len() == 2));
    }

    #[test]
    fn hostile_yaml_is_a_slip_not_a_crash() {
        for text in [
            "[".repeat(50_000),
            "{a: ".repeat(50_000),
            "- ".repeat(50_000),
            "a: &x 1\nb: *x\n".to_owned(),
        ] {
            let source = Source::new("page.md", text.as_str());
            let slip = read(&source, Span::new(0, text.len())).unwrap_err();
            assert_eq!(slip.code, "yaml-fault");
        }
    }
}
