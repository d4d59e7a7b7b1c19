//! Markdown taken apart: blocks of plain text with the way back to every character, and what the
//! writer bound, linked and pictured.

use super::anchors::Anchors;
use super::template::Rendered;
use crate::text::Span;
use pulldown_cmark::{CodeBlockKind, Event, HeadingLevel, Parser, Tag, TagEnd};
use std::collections::BTreeMap;
use std::ops::Range;

/// What a block of text is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum BlockKind {
    /// Running text, also in lists, quotes and footnotes.
    Prose,
    /// A heading.
    Heading,
    /// A cell of a table.
    Cell {
        /// Number of the table in the page.
        table: usize,
        /// Row, 0 for the head.
        row: usize,
        /// Column from 0.
        column: usize,
    },
    /// The description of a picture.
    PictureText,
}

/// Text that the writer set apart from fact.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Setting {
    /// `> opinion: …`
    Opinion,
    /// `> history: …`
    History,
    /// `> hearsay (who, when): …`; holds what stands in the parentheses.
    Hearsay(String),
    /// `> open question: …`
    OpenQuestion,
}

impl Setting {
    /// The word shown to readers.
    pub(crate) fn word(&self) -> &'static str {
        match self {
            Setting::Opinion => "Opinion",
            Setting::History => "History",
            Setting::Hearsay(_) => "Hearsay",
            Setting::OpenQuestion => "Open question",
        }
    }
}

/// What the writer says about a piece of text by a link of our own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Binding {
    /// `by:` a formula that the text must agree with.
    By(String),
    /// `aside:` not ours to check, and why.
    Aside(String),
    /// `suppose:` a supposition, and what it supposes.
    Suppose(String),
    /// `change:` a change, not a value.
    Change(String),
    /// `not:` a reading that the text denies.
    Not(String),
    /// `claim:` a formula or question that makes the sentence true.
    Claim(String),
}

impl Binding {
    /// The formula of a sentence that is claimed.
    pub(crate) fn claimed(&self) -> Option<&str> {
        match self {
            Binding::Claim(formula) => Some(formula),
            _ => None,
        }
    }
}

/// A bound piece of a block.
#[derive(Debug, Clone)]
pub(crate) struct BoundText {
    /// In the block's text.
    pub(crate) text: Span,
    /// What it is bound to.
    pub(crate) binding: Binding,
    /// The whole link in the rendered Markdown.
    pub(crate) link: Span,
}

/// A run of characters of a block and where they stand.
#[derive(Debug, Clone)]
struct TextRun {
    at: usize,
    length: usize,
    event: usize,
    rendered: Span,
}

/// Plain text of one block.
#[derive(Debug, Clone)]
pub struct Block {
    pub(crate) kind: BlockKind,
    /// The text as read; code stands as U+FFFC.
    pub text: String,
    pub(crate) bounds: Vec<BoundText>,
    /// Set apart from fact.
    pub(crate) setting: Option<Setting>,
    /// Length of the words that set it apart, at its start.
    pub(crate) setting_length: usize,
    runs: Vec<TextRun>,
}

impl Block {
    /// Where a span of the text stands in the rendered Markdown.
    #[must_use]
    pub fn rendered(&self, span: Span) -> Span {
        let at = |offset: usize, is_end: bool| {
            let probe = if is_end { offset.saturating_sub(1) } else { offset };
            let index = self.runs.partition_point(|run| run.at + run.length <= probe);
            let run = self.runs.get(index).or_else(|| self.runs.last())?;
            let literal = run.rendered.end - run.rendered.start == run.length;
            Some(match (literal, is_end) {
                (true, _) => run.rendered.start + (offset.max(run.at) - run.at).min(run.length),
                (false, false) => run.rendered.start,
                (false, true) => run.rendered.end,
            })
        };
        let start = at(span.start, false).unwrap_or(0);
        Span::new(start, at(span.end, true).unwrap_or(start))
    }
}

/// A heading of the page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Heading {
    /// 1 to 6.
    pub level: u8,
    /// Plain text.
    pub text: String,
    /// Anchor, unique in the page.
    pub(crate) id: String,
    /// In the rendered Markdown.
    pub(crate) span: Span,
}

/// A link or picture as written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct NoteReference {
    pub(crate) destination: String,
    pub(crate) title: String,
    /// Whether it is a picture.
    pub(crate) is_picture: bool,
    /// Description of a picture.
    pub(crate) alt: String,
    /// In the rendered Markdown.
    pub(crate) span: Span,
}

/// A page's Markdown, read.
#[derive(Debug)]
pub struct Document<'a> {
    pub(super) events: Vec<(Event<'a>, Range<usize>)>,
    /// Blocks in reading order.
    pub blocks: Vec<Block>,
    pub(crate) headings: Vec<Heading>,
    /// Links and pictures, bindings excepted.
    pub(crate) references: Vec<NoteReference>,
    /// Raw HTML, which pages may not hold.
    pub(crate) raw_html: Vec<Span>,
    /// Text that looks like a binding but is none, in the rendered Markdown.
    pub(crate) broken_bindings: Vec<Span>,
    /// Anchors of headings by event.
    pub(super) heading_ids: BTreeMap<usize, String>,
    /// Settings of block quotes by the event that opens them.
    pub(super) settings: BTreeMap<usize, Setting>,
}

/// Our own link words.
const BINDING_WORDS: [&str; 6] = ["by:", "aside:", "suppose:", "change:", "not:", "claim:"];

/// What a link of our own says; `None` where it is none.
pub(crate) fn binding_of(destination: &str, title: &str) -> Option<Binding> {
    let word = BINDING_WORDS.iter().find(|word| destination.starts_with(*word))?;
    let rest = destination[word.len()..].trim().to_owned();
    let reason = || if title.trim().is_empty() { rest.clone() } else { title.trim().to_owned() };
    Some(match *word {
        "by:" => Binding::By(rest),
        "aside:" => Binding::Aside(reason()),
        "suppose:" => Binding::Suppose(reason()),
        "change:" => Binding::Change(reason()),
        "claim:" => Binding::Claim(reason()),
        _ => Binding::Not(rest),
    })
}

/// Takes a rendered body apart.
#[must_use]
pub fn read<'a>(rendered: &'a Rendered<'_>) -> Document<'a> {
    let parser = Parser::new_ext(&rendered.text, super::OPTIONS);
    let events: Vec<(Event<'a>, Range<usize>)> = parser.into_offset_iter().collect();
    let mut reader = BlockReader::default();
    for (index, (event, range)) in events.iter().enumerate() {
        reader.event(index, event, Span::from(range.clone()));
    }
    reader.close_block();
    let BlockReader { blocks, headings, references, raw_html, heading_ids, settings, .. } = reader;
    let broken_bindings = broken_bindings(&blocks);
    Document {
        events,
        blocks,
        headings,
        references,
        raw_html,
        broken_bindings,
        heading_ids,
        settings,
    }
}

/// `](by:` left over in plain text: Markdown did not take it for a link. A blank before the round
/// bracket is one reason.
fn broken_bindings(blocks: &[Block]) -> Vec<Span> {
    let mut found = Vec::new();
    for block in blocks.iter().filter(|block| block.text.contains(']')) {
        for (at, _) in block.text.match_indices(']') {
            let Some(rest) = block.text[at + 1..].trim_start().strip_prefix('(') else { continue };
            let rest = rest.trim_start_matches('<');
            if BINDING_WORDS.iter().any(|word| rest.starts_with(word)) {
                let open = block.text[..at].rfind('[').unwrap_or(at);
                let close = block.text[at..].find(')').map_or(block.text.len(), |c| at + c + 1);
                found.push(block.rendered(Span::new(open, close)));
            }
        }
    }
    found
}

/// What most paragraphs need, so that their texts need not be moved while they grow.
const USUAL_BYTES: usize = 512;
const USUAL_RUNS: usize = 16;

#[derive(Default)]
struct BlockReader {
    blocks: Vec<Block>,
    current: Option<Block>,
    /// The block around a picture, while its description is read.
    outer: Option<Block>,
    headings: Vec<Heading>,
    anchors: Anchors,
    heading: Option<(usize, HeadingLevel, Option<String>, Span)>,
    references: Vec<NoteReference>,
    raw_html: Vec<Span>,
    heading_ids: BTreeMap<usize, String>,
    settings: BTreeMap<usize, Setting>,
    quotes: Vec<(usize, Option<Setting>, bool)>,
    bound: Option<(usize, Binding, Span)>,
    tables: usize,
    row: usize,
    column: usize,
    in_code_block: bool,
}

impl BlockReader {
    fn event(&mut self, index: usize, event: &Event<'_>, span: Span) {
        match event {
            Event::Start(tag) => self.start(index, tag, span),
            Event::End(tag) => self.end(*tag),
            Event::Text(text) if !self.in_code_block => self.text(index, text, span),
            Event::Code(_) => self.text(index, "\u{fffc}", span),
            Event::SoftBreak | Event::HardBreak => self.text(index, "\n", span),
            Event::Html(text) | Event::InlineHtml(text) => self.raw_html(text, span),
            _ => {}
        }
    }

    /// Lines of one block of HTML are one finding; closing tags only echo opening ones.
    fn raw_html(&mut self, text: &str, span: Span) {
        match self.raw_html.last_mut() {
            Some(last) if last.end == span.start => last.end = span.end,
            _ if text.starts_with("</") => {}
            _ => self.raw_html.push(span),
        }
    }

    fn start(&mut self, index: usize, tag: &Tag<'_>, span: Span) {
        match tag {
            Tag::Heading { level, id, .. } => {
                self.close_block();
                self.heading = Some((index, *level, id.as_ref().map(ToString::to_string), span));
                self.open(BlockKind::Heading);
            }
            Tag::Table(_) => {
                self.close_block();
                self.tables += 1;
                self.row = 0;
            }
            Tag::TableHead | Tag::TableRow => self.column = 0,
            Tag::TableCell => {
                let (table, row, column) = (self.tables, self.row, self.column);
                self.open(BlockKind::Cell { table, row, column });
            }
            Tag::BlockQuote(_) => {
                self.close_block();
                self.quotes.push((index, None, true));
            }
            Tag::CodeBlock(CodeBlockKind::Fenced(_) | CodeBlockKind::Indented) => {
                self.close_block();
                self.in_code_block = true;
            }
            Tag::Link { dest_url, title, .. } => match binding_of(dest_url, title) {
                Some(binding) => {
                    let at = self.current.as_ref().map_or(0, |block| block.text.len());
                    self.bound = Some((at, binding, span));
                }
                None => self.reference(dest_url, title, false, span),
            },
            Tag::Image { dest_url, title, .. } => {
                self.reference(dest_url, title, true, span);
                self.outer = self.current.take();
                self.open(BlockKind::PictureText);
            }
            Tag::Emphasis | Tag::Strong | Tag::Strikethrough => {}
            _ => self.close_block(),
        }
    }

    fn reference(&mut self, destination: &str, title: &str, is_picture: bool, span: Span) {
        self.references.push(NoteReference {
            destination: destination.to_owned(),
            title: title.to_owned(),
            is_picture,
            alt: String::new(),
            span,
        });
    }

    fn end(&mut self, tag: TagEnd) {
        match tag {
            TagEnd::Heading(_) => self.end_heading(),
            TagEnd::TableCell => {
                self.close_block();
                self.column += 1;
            }
            TagEnd::TableHead | TagEnd::TableRow => self.row += 1,
            TagEnd::BlockQuote(_) => {
                self.close_block();
                self.quotes.pop();
            }
            TagEnd::CodeBlock => self.in_code_block = false,
            TagEnd::Link => {
                if let (Some((at, binding, link)), Some(block)) =
                    (self.bound.take(), self.current.as_mut())
                {
                    let text = Span::new(at, block.text.len());
                    block.bounds.push(BoundText { text, binding, link });
                }
            }
            TagEnd::Image => {
                let alt = self.current.as_ref().map(|block| block.text.clone());
                let picture = self.references.iter_mut().rev().find(|r| r.is_picture);
                if let (Some(alt), Some(picture)) = (alt, picture) {
                    picture.alt = alt;
                }
                self.close_block();
                self.current = self.outer.take();
            }
            TagEnd::Emphasis | TagEnd::Strong | TagEnd::Strikethrough => {}
            _ => self.close_block(),
        }
    }

    fn end_heading(&mut self) {
        let Some((event, level, id, span)) = self.heading.take() else { return };
        let text = self.current.as_ref().map(|block| block.text.clone()).unwrap_or_default();
        // Letters, digits and hyphens only: what a theme puts on a page begins with `_`.
        let id = self.anchors.free(&anchor(id.as_deref().unwrap_or(&text)));
        self.heading_ids.insert(event, id.clone());
        self.headings.push(Heading { level: level as u8, text, id, span });
        self.close_block();
    }

    fn text(&mut self, event: usize, text: &str, span: Span) {
        if self.current.is_none() {
            self.open(BlockKind::Prose);
        }
        let Some(block) = self.current.as_mut() else { return };
        let run = TextRun { at: block.text.len(), length: text.len(), event, rendered: span };
        block.runs.push(run);
        block.text.push_str(text);
    }

    fn open(&mut self, kind: BlockKind) {
        if !matches!(kind, BlockKind::PictureText) {
            self.close_block();
        }
        self.current = Some(Block {
            kind,
            text: String::with_capacity(USUAL_BYTES),
            bounds: Vec::new(),
            setting: None,
            setting_length: 0,
            runs: Vec::with_capacity(USUAL_RUNS),
        });
    }

    fn close_block(&mut self) {
        let Some(mut block) = self.current.take() else { return };
        if let Some((event, setting, is_first)) = self.quotes.last_mut() {
            if *is_first && let Some((found, length)) = setting_of(&block.text) {
                self.settings.insert(*event, found.clone());
                *setting = Some(found);
                block.setting_length = length;
            }
            *is_first = false;
            block.setting.clone_from(setting);
        }
        if !block.text.is_empty() {
            self.blocks.push(block);
        }
    }
}

/// The words that set a quote apart, and their length with the colon and the blank after it.
fn setting_of(text: &str) -> Option<(Setting, usize)> {
    let colon = text.find(':')?;
    let (head, rest) = (&text[..colon], &text[colon + 1..]);
    let length = colon + 1 + (rest.len() - rest.trim_start().len());
    let lower = head.trim().to_lowercase();
    let setting = match lower.as_str() {
        "opinion" => Setting::Opinion,
        "history" => Setting::History,
        "open question" => Setting::OpenQuestion,
        "hearsay" => Setting::Hearsay(String::new()),
        _ => {
            lower.strip_prefix("hearsay")?.trim().strip_prefix('(')?.strip_suffix(')')?;
            let inner = head.trim().split_once('(')?.1.trim_end_matches(')');
            Setting::Hearsay(inner.trim().to_owned())
        }
    };
    Some((setting, length))
}

/// The anchor of a heading: its letters and digits in small, joined by hyphens.
pub(crate) fn anchor(text: &str) -> String {
    let words: Vec<String> = text
        .to_lowercase()
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect();
    if words.is_empty() { "section".to_owned() } else { words.join("-") }
}

/// A term that is explained.
#[derive(Debug, Clone)]
pub(crate) struct DefinedTerm {
    /// Anchor, unique in the page.
    pub(crate) anchor: String,
    pub(crate) text: String,
}

/// A piece of text to be replaced by HTML when the page is written.
#[derive(Debug, Clone)]
pub(crate) struct Replacement {
    pub(crate) block: usize,
    pub(crate) span: Span,
    /// What stands there instead.
    pub(crate) html: String,
}

impl Document<'_> {
    /// The part of a span that can be replaced as a whole: all of it, or the first run of plain
    /// text where emphasis starts or ends inside.
    pub(crate) fn replaceable(&self, block: usize, span: Span) -> Span {
        let runs = self.runs_in(block, span);
        let (Some(first), Some(last)) = (runs.first(), runs.last()) else { return span };
        let plain = self.events[first.event..=last.event]
            .iter()
            .all(|(event, _)| matches!(event, Event::Text(_) | Event::Code(_) | Event::SoftBreak));
        if plain { span } else { Span::new(span.start, span.end.min(first.at + first.length)) }
    }

    /// Terms that are explained, in the order in which they stand, with their anchors: those of
    /// headings behind a sign which no heading begins with.
    pub(crate) fn terms(&self) -> Vec<DefinedTerm> {
        let mut terms: Vec<DefinedTerm> = Vec::new();
        let mut taken: BTreeMap<String, usize> = BTreeMap::new();
        let mut inside = false;
        for (event, _) in &self.events {
            match event {
                Event::Start(Tag::DefinitionListTitle) => {
                    inside = true;
                    terms.push(DefinedTerm { anchor: String::new(), text: String::new() });
                }
                Event::End(TagEnd::DefinitionListTitle) => inside = false,
                Event::Text(text) | Event::Code(text) if inside => {
                    if let Some(term) = terms.last_mut() {
                        term.text.push_str(text);
                    }
                }
                _ => {}
            }
        }
        for term in &mut terms {
            let wanted = anchor(&term.text);
            let number = taken.entry(wanted.clone()).or_insert(0);
            *number += 1;
            term.anchor = match *number {
                1 => format!("_term-{wanted}"),
                number => format!("_term-{wanted}_{number}"),
            };
        }
        terms
    }

    fn runs_in(&self, block: usize, span: Span) -> Vec<TextRun> {
        let runs = self.blocks.get(block).map(|block| block.runs.as_slice()).unwrap_or_default();
        let overlaps = |run: &&TextRun| Span::new(run.at, run.at + run.length).overlaps(span);
        runs.iter().filter(overlaps).cloned().collect()
    }

    /// Cuts by event: which bytes of its text go, and what HTML stands at their start.
    pub(super) fn cuts(
        &self,
        replacements: &[Replacement],
    ) -> BTreeMap<usize, Vec<(Span, String)>> {
        let mut cuts: BTreeMap<usize, Vec<(Span, String)>> = BTreeMap::new();
        for replacement in replacements {
            let mut html = Some(replacement.html.clone());
            for run in self.runs_in(replacement.block, replacement.span) {
                let start = replacement.span.start.max(run.at) - run.at;
                let end = replacement.span.end.min(run.at + run.length) - run.at;
                let piece = (Span::new(start, end), html.take().unwrap_or_default());
                cuts.entry(run.event).or_default().push(piece);
            }
        }
        for pieces in cuts.values_mut() {
            pieces.sort_by_key(|(span, _)| *span);
        }
        cuts
    }
}
