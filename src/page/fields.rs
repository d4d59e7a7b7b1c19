//! Taking known keys out of a YAML map, and complaining of the others.

use super::keys::{key_of, keys_of};
use super::yaml::{Text, YamlNode, YamlValue};
use crate::slip::Slip;
use crate::text::{Date, Source, Span, Spot, nearest};
use std::sync::Arc;

/// The entries of one map, taken one key at a time.
pub(crate) struct Fields<'a> {
    source: &'a Arc<Source>,
    /// What the map describes, for messages: "a reading", "the front matter".
    what: &'static str,
    entries: Vec<(Text, Option<YamlNode>)>,
    /// Place of the whole map.
    pub(crate) span: Span,
}

impl<'a> Fields<'a> {
    /// Opens a map. Keys that stand twice are slips; the first one counts. Anything but a map is
    /// a slip and gives no fields.
    pub(crate) fn open(
        source: &'a Arc<Source>,
        node: YamlNode,
        what: &'static str,
        slips: &mut Vec<Slip>,
    ) -> Option<Fields<'a>> {
        let span = node.span;
        let entries = match node.value {
            YamlValue::Map(entries) => entries,
            YamlValue::Empty => Vec::new(),
            _ => {
                slips.push(wrong_shape(source, &node, what, "a map of `key: value` lines"));
                return None;
            }
        };
        let mut kept: Vec<(Text, Option<YamlNode>)> = Vec::with_capacity(entries.len());
        for (key, node) in entries {
            match kept.iter().find(|(known, _)| known.text == key.text) {
                None => kept.push((key, Some(node))),
                Some((first, _)) => slips.push(duplicate_key(source, &key, first, what)),
            }
        }
        Some(Fields { source, what, entries: kept, span })
    }

    /// The value under `key`, whatever its shape; an empty value counts as absent.
    pub(crate) fn node(&mut self, key: &'static str) -> Option<YamlNode> {
        debug_assert!(key_of(self.what, key).is_some(), "`{key}` is no key of {}", self.what);
        let slot = self.entries.iter_mut().find(|(known, _)| known.text == key)?;
        slot.1.take().filter(|node| node.value != YamlValue::Empty)
    }

    /// The scalar under `key`.
    pub(crate) fn text(&mut self, key: &'static str, slips: &mut Vec<Slip>) -> Option<Text> {
        let node = self.node(key)?;
        self.scalar(node, slips)
    }

    /// Whether nothing stands under `key`.
    pub(crate) fn is_empty(&self, key: &str) -> bool {
        !self.entries.iter().any(|(known, node)| {
            known.text == key && node.as_ref().is_some_and(|node| node.value != YamlValue::Empty)
        })
    }

    /// The scalar under a key that must be there.
    pub(crate) fn required(&mut self, key: &'static str, slips: &mut Vec<Slip>) -> Option<Text> {
        if let Some(node) = self.node(key) {
            return self.scalar(node, slips);
        }
        let empty = self.entries.iter().find(|(known, _)| known.text == key);
        let (span, message) = match empty {
            Some((known, _)) => (known.span, format!("`{key}` of {} is empty", self.what)),
            None => (self.first_line(), format!("{} has no `{key}`", self.what)),
        };
        let slip = Slip::stop("missing-key", Spot::new(self.source, span), message);
        slips.push(slip.help(format!("add `{key}: …`")));
        None
    }

    /// A date under `key`, as typed: a day, a month or a year.
    pub(crate) fn date(&mut self, key: &'static str, slips: &mut Vec<Slip>) -> Option<Text> {
        let text = self.text(key, slips)?;
        if Date::read(&text.text).is_some() {
            return Some(text);
        }
        slips.push(no_date(Spot::new(self.source, text.span), key, &text.text));
        None
    }

    /// The date of a day under `key`.
    pub(crate) fn day(&mut self, key: &'static str, slips: &mut Vec<Slip>) -> Option<Text> {
        let text = self.date(key, slips)?;
        if Date::read(&text.text).is_some_and(|date| date.is_whole()) {
            return Some(text);
        }
        let message = format!("`{key}` is {}, which is no single day", text.text);
        let slip = Slip::stop("date-unreadable", Spot::new(self.source, text.span), message);
        slips.push(slip.help("write year, month and day: 2026-01-31"));
        None
    }

    /// `true` or `false` under `key`; absent is false.
    pub(crate) fn flag(&mut self, key: &'static str, slips: &mut Vec<Slip>) -> bool {
        self.truth(key, slips).unwrap_or(false)
    }

    /// `true` or `false` under `key`.
    pub(crate) fn truth(&mut self, key: &'static str, slips: &mut Vec<Slip>) -> Option<bool> {
        let text = self.text(key, slips)?;
        match text.text.as_str() {
            "true" | "yes" => Some(true),
            "false" | "no" => Some(false),
            other => {
                let spot = Spot::new(self.source, text.span);
                let message = format!("`{key}` is `{other}`, which is neither true nor false");
                slips.push(Slip::stop("wrong-shape", spot, message).help("write true or false"));
                None
            }
        }
    }

    /// A count under `key`: a whole number from one up.
    pub(crate) fn count(&mut self, key: &'static str, slips: &mut Vec<Slip>) -> Option<usize> {
        let text = self.text(key, slips)?;
        match text.text.parse() {
            Ok(count) if 0 < count => Some(count),
            _ => {
                let spot = Spot::new(self.source, text.inside());
                let message = format!("`{key}` is `{}`, which is no whole number", text.text);
                let slip = Slip::stop("wrong-shape", spot, message);
                slips.push(slip.help("write how many there are in digits, from 1 up"));
                None
            }
        }
    }

    /// One of a closed list of words under `key`; `what` says what the word stands for.
    pub(crate) fn word<T: Copy>(
        &mut self,
        key: &'static str,
        what: &str,
        known: &[(&'static str, T)],
        slips: &mut Vec<Slip>,
    ) -> Option<T> {
        debug_assert!(
            key_of(self.what, key)
                .and_then(|doc| doc.words())
                .is_some_and(|words| { words.eq(known.iter().map(|(name, _)| *name)) }),
            "`{key}` of {} takes other words",
            self.what
        );
        let word = self.text(key, slips)?;
        let found = known.iter().find(|(name, _)| *name == word.text);
        if found.is_none() {
            let names: Vec<&str> = known.iter().map(|(name, _)| *name).collect();
            slips.push(unknown_word(self.source, &word, what, &names));
        }
        found.map(|(_, meaning)| *meaning)
    }

    /// The file it stands in.
    pub(crate) fn source(&self) -> &'a Arc<Source> {
        self.source
    }

    /// A list of scalars, or one scalar standing for a list of one.
    pub(crate) fn texts(&mut self, key: &'static str, slips: &mut Vec<Slip>) -> Vec<Text> {
        let Some(node) = self.node(key) else { return Vec::new() };
        let nodes = match node.value {
            YamlValue::List(items) => items,
            _ => vec![node],
        };
        nodes.into_iter().filter_map(|node| self.scalar(node, slips)).collect()
    }

    /// A list of lists of scalars; a list of scalars alone counts as a list of one.
    pub(crate) fn groups(&mut self, key: &'static str, slips: &mut Vec<Slip>) -> Vec<Vec<Text>> {
        let nodes = self.list(key);
        let is_group = |node: &YamlNode| matches!(node.value, YamlValue::List(_));
        let groups = match nodes.iter().any(is_group) {
            true => nodes,
            false if nodes.is_empty() => Vec::new(),
            false => vec![YamlNode { span: nodes[0].span, value: YamlValue::List(nodes) }],
        };
        let mut found = Vec::new();
        for group in groups {
            match group.value {
                YamlValue::List(items) => found
                    .push(items.into_iter().filter_map(|item| self.scalar(item, slips)).collect()),
                _ => slips.push(wrong_shape(self.source, &group, self.what, "a list of lists")),
            }
        }
        found
    }

    /// A list of any values; a single value counts as a list of one.
    pub(crate) fn list(&mut self, key: &'static str) -> Vec<YamlNode> {
        match self.node(key) {
            Some(YamlNode { value: YamlValue::List(items), .. }) => items,
            Some(node) => vec![node],
            None => Vec::new(),
        }
    }

    /// Entries of the map under `key`, with duplicate keys complained of.
    pub(crate) fn entries(
        &mut self,
        key: &'static str,
        what: &'static str,
        slips: &mut Vec<Slip>,
    ) -> Vec<(Text, YamlNode)> {
        let Some(node) = self.node(key) else { return Vec::new() };
        let Some(fields) = Fields::open(self.source, node, what, slips) else { return Vec::new() };
        fields.entries.into_iter().filter_map(|(key, node)| Some((key, node?))).collect()
    }

    /// Complains of every key that the map does not have.
    pub(crate) fn finish(self, slips: &mut Vec<Slip>) {
        let known: Vec<&str> = keys_of(self.what).collect();
        for (key, _) in &self.entries {
            if !known.contains(&key.text.as_str()) {
                slips.push(unknown_key(self.source, key, self.what, &known));
            }
        }
    }

    fn scalar(&self, node: YamlNode, slips: &mut Vec<Slip>) -> Option<Text> {
        match node.value {
            YamlValue::Text(text) => Some(text),
            _ => {
                slips.push(wrong_shape(self.source, &node, self.what, "a text"));
                None
            }
        }
    }

    fn first_line(&self) -> Span {
        let line = self.source.line_span(self.span.start);
        Span::new(self.span.start, line.end.max(self.span.start))
    }
}

/// A slip for a word outside a closed list.
fn unknown_word(source: &Arc<Source>, word: &Text, what: &str, known: &[&str]) -> Slip {
    let message = format!("`{}` is not {what}", word.text);
    let slip = Slip::stop("unknown-word", Spot::new(source, word.inside()), message);
    match nearest(&word.text, known.iter().copied()) {
        Some(name) => slip.write(name),
        None => slip.help(format!("one of: {}", known.join(", "))),
    }
}

fn wrong_shape(source: &Arc<Source>, node: &YamlNode, what: &str, wanted: &str) -> Slip {
    let line = source.line_span(node.span.start);
    let end = node.span.end.min(line.end);
    // A list or map in brackets is known to end with its last item; the bracket belongs to it.
    let rest = source.slice(Span::new(end, line.end));
    let close = match source.slice(node.span).chars().next() {
        Some('[') => rest.find(']'),
        Some('{') => rest.find('}'),
        _ => None,
    };
    let span = Span::new(node.span.start, end + close.map_or(0, |at| at + 1));
    let example = match (wanted, what_stands_in(what)) {
        ("a text", _) => Some("write it in one piece, in quotes if need be".to_owned()),
        (_, Some(line)) => Some(format!("write {line}")),
        _ => None,
    };
    let message = format!("{what} wants {wanted} here, but this is {}", node.shape());
    let slip = Slip::stop("wrong-shape", Spot::new(source, span), message);
    match example {
        Some(example) => slip.help(example),
        None => slip,
    }
}

/// The shortest map of that sort: `{say: …, holds: …}`.
fn what_stands_in(what: &str) -> Option<String> {
    let is_one_of_many = what.starts_with("a ") || what.starts_with("an ");
    let is_needed = |key: &&str| key_of(what, key).is_some_and(|doc| doc.is_needed);
    let needed: Vec<String> =
        keys_of(what).filter(is_needed).map(|key| format!("{key}: …")).collect();
    (is_one_of_many && !needed.is_empty()).then(|| format!("{{{}}}", needed.join(", ")))
}

fn duplicate_key(source: &Arc<Source>, key: &Text, first: &Text, what: &str) -> Slip {
    let message = format!("`{}` stands twice in {what}", key.text);
    Slip::stop("duplicate-key", Spot::new(source, key.span), message)
        .label(Spot::new(source, first.span), "first written here; this one counts")
        .help("keep one of the two")
}

fn no_date(spot: Spot, key: &str, text: &str) -> Slip {
    let message = format!("`{key}` is `{text}`, which is no date of the calendar");
    Slip::stop("date-unreadable", spot, message).help("write 2026-01-31, or 2026-01 or 2026")
}

fn unknown_key(source: &Arc<Source>, key: &Text, what: &str, known: &[&str]) -> Slip {
    let spot = Spot::new(source, key.span);
    let starts_like_figure = key.text.starts_with(|c: char| c.is_ascii_digit());
    if starts_like_figure {
        let message =
            format!("YAML cut this off at a comma: `{}` became a key of its own", key.text);
        return Slip::stop("yaml-trap", spot, message)
            .noting("inside { } a comma ends a value")
            .help("put the whole value in quotes");
    }
    let message = format!("`{}` is not a key of {what}", key.text);
    let slip = Slip::stop("unknown-key", spot, message);
    match nearest(&key.text, known.iter().copied()) {
        Some(name) => slip.write(name),
        None => slip.help(format!("known keys: {}", known.join(", "))),
    }
}
