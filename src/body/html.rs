//! A document written as HTML, with judged figures, resolved links and framed tables.
//!
//! Pictures stand outside paragraphs, notes at the end, text set apart in boxes of its own; columns
//! of numbers are set to the right. It is told what stands for each figure and must not judge.

use super::blocks::{DefinedTerm, Document, Replacement};
use super::parts;
use crate::text::{Span, escaped};
use pulldown_cmark::{Alignment, CowStr, Event, Tag, TagEnd, html};
use std::collections::BTreeMap;

pub(crate) use super::parts::PictureMark;

/// How links and pictures are resolved; the caller knows the folio.
pub(crate) trait Resolver {
    /// Address of a link on the site; `None` leaves only its text.
    fn link(&self, destination: &str) -> Option<String>;
    /// A picture on the site; `None` leaves only its description.
    fn picture(&self, destination: &str, title: &str) -> Option<PictureMark>;
}

/// Writes the document. The words that set a quote apart ("opinion:") become the name of its box.
pub(crate) fn write(
    document: &Document<'_>,
    replacements: &[Replacement],
    resolver: &dyn Resolver,
) -> String {
    let mut replaced = replacements.to_vec();
    let blocks = document.blocks.iter().enumerate();
    let opening = blocks.filter(|(_, block)| 0 < block.setting_length);
    replaced.extend(opening.map(|(index, block)| Replacement {
        block: index,
        span: Span::new(0, block.setting_length),
        html: String::new(),
    }));
    let (cuts, terms) = (document.cuts(&replaced), document.terms());
    let writer = Writer { document, resolver, cuts, terms };
    let out = Vec::with_capacity(document.events.len() * 2);
    let mut state = WriterState { out, ..WriterState::default() };
    for index in 0..document.events.len() {
        writer.event(index, &mut state);
    }
    let mut text = String::with_capacity(4096);
    html::push_html(&mut text, state.out.into_iter());
    if !state.notes.is_empty() {
        text.push_str("<div class=\"footnotes\">\n");
        for (number, note) in state.notes {
            html::push_html(&mut text, note.into_iter());
            // A note that nobody asks for has nowhere to go back to.
            if state.numbers.values().any(|(known, asked)| *known == number && 0 < *asked) {
                text.push_str(&parts::note_back(number));
            }
            text.push_str("</div>\n");
        }
        text.push_str("</div>\n");
    }
    text
}

struct Writer<'d, 'a> {
    document: &'d Document<'a>,
    resolver: &'d dyn Resolver,
    cuts: BTreeMap<usize, Vec<(Span, String)>>,
    terms: Vec<DefinedTerm>,
}

/// A paragraph is opened by the first thing in it, so that none is left empty around a picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
enum Paragraph {
    #[default]
    None,
    Waiting,
    Open,
}

/// The columns of the table that is being written.
#[derive(Default)]
struct Columns {
    numeric: Vec<bool>,
    at: usize,
    in_head: bool,
    /// End tag of the open cell.
    close: &'static str,
}

/// A picture whose description is being read.
struct Waiting {
    picture: Option<PictureMark>,
    alternative: String,
}

#[derive(Default)]
struct WriterState<'d> {
    out: Vec<Event<'d>>,
    paragraph: Paragraph,
    /// Emphasis and links that are open.
    inline: usize,
    in_heading: bool,
    heading: String,
    headings: usize,
    terms: usize,
    tables: usize,
    listings: usize,
    columns: Columns,
    links: Vec<bool>,
    quotes: Vec<bool>,
    picture: Option<Waiting>,
    /// Numbers of notes in the order in which the text asks for them, and how often it does.
    numbers: BTreeMap<String, (usize, usize)>,
    notes: BTreeMap<usize, Vec<Event<'d>>>,
    /// The text around a note, while the note is written.
    outside: Option<(usize, Vec<Event<'d>>)>,
}

impl<'d> WriterState<'d> {
    /// Something that belongs into a paragraph, if one is waiting.
    fn inline(&mut self, event: Event<'d>) {
        if self.paragraph == Paragraph::Waiting {
            self.out.push(Event::Html("<p>".into()));
            self.paragraph = Paragraph::Open;
        }
        self.out.push(event);
    }

    fn html(&mut self, html: impl Into<CowStr<'d>>) {
        self.out.push(Event::Html(html.into()));
    }

    fn inline_html(&mut self, html: impl Into<CowStr<'d>>) {
        self.inline(Event::InlineHtml(html.into()));
    }

    fn close_paragraph(&mut self, then: Paragraph) {
        if self.paragraph == Paragraph::Open {
            self.html("</p>\n");
        }
        self.paragraph = then;
    }

    /// A note's number, and whether this is the first time that it is asked for.
    fn number(&mut self, name: &str) -> (usize, bool) {
        let next = self.numbers.len() + 1;
        let entry = self.numbers.entry(name.to_owned()).or_insert((next, 0));
        (entry.0, entry.1 == 0)
    }
}

impl<'d, 'a: 'd> Writer<'d, 'a> {
    fn event(&self, index: usize, state: &mut WriterState<'d>) {
        let (event, _) = &self.document.events[index];
        if let Some(waiting) = &mut state.picture {
            match event {
                Event::Text(text) | Event::Code(text) => waiting.alternative.push_str(text),
                Event::SoftBreak => waiting.alternative.push(' '),
                Event::End(TagEnd::Image) => close_picture(state),
                _ => {}
            }
            return;
        }
        match event {
            Event::Text(text) => self.text(index, text, state),
            Event::Html(_) | Event::InlineHtml(_) => {}
            Event::Start(tag) => self.start(index, tag, state),
            Event::End(tag) => end(*tag, state),
            Event::FootnoteReference(name) => {
                let (number, is_first) = state.number(name);
                if let Some(entry) = state.numbers.get_mut(&**name) {
                    entry.1 += 1;
                }
                state.inline_html(parts::note_sign(number, is_first));
            }
            Event::Rule => state.html("<hr>\n"),
            // A line break before anything else in a paragraph says nothing.
            Event::SoftBreak if state.paragraph == Paragraph::Waiting => {}
            other => state.inline(other.clone()),
        }
    }

    fn start(&self, index: usize, tag: &Tag<'a>, state: &mut WriterState<'d>) {
        match tag {
            Tag::Paragraph => state.paragraph = Paragraph::Waiting,
            Tag::Heading { level, .. } => {
                let heading = self.document.headings.get(state.headings);
                state.headings += 1;
                state.in_heading = true;
                state.heading = heading.map(|heading| heading.text.clone()).unwrap_or_default();
                let id = self.document.heading_ids.get(&index).cloned().unwrap_or_default();
                state.html(format!("<h{} id=\"{}\">", *level as u8, escaped(&id)));
            }
            Tag::DefinitionListTitle => {
                let anchor = self.terms.get(state.terms).map_or("", |term| &term.anchor);
                state.terms += 1;
                state.html(format!("<dt id=\"{}\">", escaped(anchor)));
            }
            Tag::Emphasis | Tag::Strong | Tag::Strikethrough => {
                state.inline += 1;
                state.inline(Event::Start(tag.clone()));
            }
            Tag::Link { dest_url, .. } => {
                state.inline += 1;
                let address = self.resolver.link(dest_url);
                state.links.push(address.is_some());
                if let Some(address) = address {
                    state.inline_html(format!("<a href=\"{}\">", escaped(&address)));
                }
            }
            Tag::Image { dest_url, title, .. } => {
                let picture = self.resolver.picture(dest_url, title);
                state.picture = Some(Waiting { picture, alternative: String::new() });
            }
            Tag::BlockQuote(_) => {
                let setting = self.document.settings.get(&index);
                state.quotes.push(setting.is_some());
                match setting {
                    Some(setting) => state.html(parts::open_apart(setting)),
                    None => state.html("<blockquote>\n"),
                }
            }
            Tag::CodeBlock(_) => {
                state.listings += 1;
                state.html(parts::open_listing(&format!("Listing {}", state.listings)));
                state.html("<code>");
            }
            Tag::FootnoteDefinition(name) => {
                let (number, _) = state.number(name);
                state.outside = Some((number, std::mem::take(&mut state.out)));
                state.html(parts::open_note(number));
            }
            Tag::Table(_) | Tag::TableHead | Tag::TableRow | Tag::TableCell => {
                self.start_table(index, tag, state);
            }
            other => state.inline(Event::Start(other.clone())),
        }
    }

    fn start_table(&self, index: usize, tag: &Tag<'a>, state: &mut WriterState<'d>) {
        match tag {
            Tag::Table(alignments) => {
                state.tables += 1;
                let numeric = self.numeric_columns(index, alignments);
                state.columns = Columns { numeric, ..Columns::default() };
                let mut name = format!("Table {}", state.tables);
                if !state.heading.is_empty() {
                    name.push_str(": ");
                    name.push_str(&state.heading.replace('\u{fffc}', "…"));
                }
                state.html(parts::open_box(&name));
                state.html(format!("<table><caption>{}</caption>", escaped(&name)));
            }
            Tag::TableHead => {
                state.columns.in_head = true;
                state.columns.at = 0;
                state.html("<thead><tr>");
            }
            Tag::TableRow => {
                state.columns.at = 0;
                state.html("<tr>");
            }
            _ => {
                let is_empty = self.cell_text(index).trim().is_empty();
                let (open, close) = open_cell(&state.columns, is_empty);
                state.columns.close = close;
                state.html(open);
            }
        }
    }

    /// Columns that the writer sets to the right, and those whose cells are all short numbers.
    fn numeric_columns(&self, table: usize, alignments: &[Alignment]) -> Vec<bool> {
        let mut numbers = vec![0_usize; alignments.len()];
        let mut words = vec![0_usize; alignments.len()];
        let (mut column, mut in_body) = (0, false);
        for index in table + 1..self.document.events.len() {
            match &self.document.events[index].0 {
                Event::Start(Tag::TableRow) => (column, in_body) = (0, true),
                Event::Start(Tag::TableCell) if in_body && column < alignments.len() => {
                    let text = self.cell_text(index);
                    match text.trim() {
                        "" => {}
                        text if is_number(text) => numbers[column] += 1,
                        _ => words[column] += 1,
                    }
                    column += 1;
                }
                Event::End(TagEnd::Table) => break,
                _ => {}
            }
        }
        let columns = alignments.iter().zip(numbers.iter().zip(&words));
        columns
            .map(|(alignment, (numbers, words))| {
                *alignment == Alignment::Right || 0 < *numbers && *words == 0
            })
            .collect()
    }

    /// The plain text of the cell that opens at an event.
    fn cell_text(&self, index: usize) -> String {
        let inside = self.document.events[index + 1..].iter();
        let inside =
            inside.take_while(|(event, _)| !matches!(event, Event::End(TagEnd::TableCell)));
        inside
            .filter_map(|(event, _)| match event {
                Event::Text(text) | Event::Code(text) => Some(text.as_ref()),
                _ => None,
            })
            .collect()
    }

    /// A text with its cuts; everything between them stays text and is escaped by the writer.
    fn text(&self, index: usize, text: &CowStr<'a>, state: &mut WriterState<'d>) {
        let Some(cuts) = self.cuts.get(&index) else {
            if state.paragraph != Paragraph::Waiting || !text.trim().is_empty() {
                state.inline(Event::Text(text.clone()));
            }
            return;
        };
        let mut at = 0;
        for (span, html) in cuts {
            // Replacements never overlap; a caller's mistake must not duplicate text.
            if span.start < at {
                continue;
            }
            if at < span.start {
                state.inline(Event::Text(text[at..span.start].to_owned().into()));
            }
            if !html.is_empty() {
                state.inline_html(html.clone());
            }
            at = span.end;
        }
        if at < text.len() {
            state.inline(Event::Text(text[at..].to_owned().into()));
        }
    }
}

/// A short text that starts as a number does.
fn is_number(text: &str) -> bool {
    const SIGNS: [char; 9] = ['−', '-', '+', '~', '≈', '±', '<', '>', '.'];
    let bare = text.trim_start_matches(SIGNS).trim_start();
    text.chars().count() <= 24 && bare.starts_with(|c: char| c.is_ascii_digit())
}

/// The opening of a cell and the end tag that fits it. A cell is never empty.
fn open_cell(columns: &Columns, is_empty: bool) -> (&'static str, &'static str) {
    let numeric = columns.numeric.get(columns.at).copied().unwrap_or(false);
    match (columns.in_head, numeric, is_empty) {
        (true, _, true) => ("<th scope=\"col\"><span class=\"hush\">Row</span>", "</th>"),
        (true, true, false) => ("<th scope=\"col\" class=\"num\">", "</th>"),
        (true, false, false) => ("<th scope=\"col\">", "</th>"),
        (false, _, true) => ("<td class=\"none\">–", "</td>"),
        (false, true, false) => ("<td class=\"num\">", "</td>"),
        (false, false, false) if columns.at == 0 => ("<th scope=\"row\">", "</th>"),
        (false, false, false) => ("<td>", "</td>"),
    }
}

fn end(tag: TagEnd, state: &mut WriterState<'_>) {
    match tag {
        TagEnd::Paragraph => state.close_paragraph(Paragraph::None),
        TagEnd::Heading(level) => {
            state.in_heading = false;
            state.html(format!("</h{}>\n", level as u8));
        }
        TagEnd::Emphasis | TagEnd::Strong | TagEnd::Strikethrough => {
            state.inline = state.inline.saturating_sub(1);
            state.inline(Event::End(tag));
        }
        TagEnd::Link => {
            state.inline = state.inline.saturating_sub(1);
            if state.links.pop().unwrap_or(false) {
                state.inline_html("</a>");
            }
        }
        TagEnd::BlockQuote(_) => {
            let is_apart = state.quotes.pop().unwrap_or(false);
            state.html(if is_apart { "</div>\n" } else { "</blockquote>\n" });
        }
        TagEnd::CodeBlock => state.html("</code></pre>\n"),
        TagEnd::FootnoteDefinition => end_note(state),
        TagEnd::TableHead => {
            state.columns.in_head = false;
            state.html("</tr></thead><tbody>\n");
        }
        TagEnd::TableRow => state.html("</tr>\n"),
        TagEnd::TableCell => {
            state.columns.at += 1;
            let close = state.columns.close;
            state.html(close);
        }
        TagEnd::Table => state.html("</tbody></table></div>\n"),
        other => state.out.push(Event::End(other)),
    }
}

/// A note goes to the end of the page.
fn end_note(state: &mut WriterState<'_>) {
    let Some((number, outside)) = state.outside.take() else { return };
    state.html("</div>");
    let note = std::mem::replace(&mut state.out, outside);
    state.notes.insert(number, note);
}

/// A picture ends the paragraph around it; inside emphasis, links and headings it stands alone.
fn close_picture(state: &mut WriterState<'_>) {
    let Some(Waiting { picture, alternative }) = state.picture.take() else { return };
    let Some(picture) = picture else {
        state.inline_html(format!("<em>{}</em>", escaped(&alternative)));
        return;
    };
    if 0 < state.inline || state.in_heading {
        state.inline_html(parts::image(&picture, &alternative));
        return;
    }
    let in_paragraph = state.paragraph != Paragraph::None;
    state.close_paragraph(Paragraph::Waiting);
    state.html(parts::figure(&picture, &alternative));
    if !in_paragraph {
        state.paragraph = Paragraph::None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::body::blocks::read;
    use crate::body::template::Rendered;

    struct NoteShelf;

    impl Resolver for NoteShelf {
        fn link(&self, destination: &str) -> Option<String> {
            Some(destination.to_owned())
        }

        fn picture(&self, destination: &str, title: &str) -> Option<PictureMark> {
            (destination != "gone.png").then(|| PictureMark {
                address: destination.to_owned(),
                width: 4,
                height: 3,
                credit: title.to_owned(),
            })
        }
    }

    fn written(markdown: &str) -> String {
        let rendered = Rendered::plain(markdown, 0);
        write(&read(&rendered), &[], &NoteShelf)
    }

    #[test]
    fn a_picture_stands_between_paragraphs_and_leaves_none_empty() {
        let figure = "<figure><img src=\"a.png\" alt=\"A bolt\" width=\"4\" height=\"3\">\
                      <figcaption>me</figcaption></figure>\n";
        assert_eq!(written("![A bolt](a.png \"me\")"), figure);
        assert_eq!(
            written("Before ![A bolt](a.png \"me\") after."),
            format!("<p>Before </p>\n{figure}<p> after.</p>\n")
        );
        assert_eq!(written("![A bolt](gone.png)"), "<p><em>A bolt</em></p>\n");
        assert!(!written("[![A bolt](a.png \"me\")](b.md)").contains("<figure"));
    }

    #[test]
    fn notes_stand_at_the_end_in_the_order_of_their_signs() {
        let html =
            written("One[^b], two[^a], one again[^b].\n\n[^a]: Of a.\n\n[^b]: Of b.\n\nEnd.");
        let at = |text: &str| html.find(text).unwrap_or_else(|| panic!("{text} in {html}"));
        assert!(at("End.") < at("id=\"_note-1\"") && at("id=\"_note-1\"") < at("id=\"_note-2\""));
        assert!(at("id=\"_note-1\"") < at("Of b.") && at("Of b.") < at("id=\"_note-2\""));
        assert_eq!(html.matches("id=\"_note-1-from\"").count(), 1, "{html}");
        assert_eq!(html.matches("href=\"#_note-1-from\"").count(), 1, "{html}");
    }

    #[test]
    fn columns_of_numbers_are_set_to_the_right_and_rows_have_heads() {
        let html = written(
            "| Part | Mass (g) | Why |\n|---|---|---|\n| Bolt | 21.5 | 2 tries |\n| Nose | | light |",
        );
        assert!(html.contains("<th scope=\"col\" class=\"num\">Mass (g)</th>"), "{html}");
        assert!(html.contains("<th scope=\"row\">Bolt</th><td class=\"num\">21.5</td>"), "{html}");
        assert!(html.contains("<td>2 tries</td>"), "{html}");
        assert!(html.contains("<td class=\"none\">–</td>"), "{html}");
        assert!(html.starts_with("<div class=\"scroll\" tabindex=\"0\" role=\"group\" "), "{html}");
    }

    #[test]
    fn text_set_apart_is_named_once() {
        let html = written("> hearsay (a reader, 2026-01-10): It *clicks*.");
        assert_eq!(
            html,
            "<div class=\"apart apart-hearsay\" role=\"note\">\n<p class=\"apart-name\">Hearsay \
             <span class=\"apart-from\">a reader, 2026-01-10</span></p>\n<p>It \
             <em>clicks</em>.</p>\n</div>\n"
        );
    }

    #[test]
    fn whatever_is_typed_stays_text() {
        let html = written("<b>x</b> `<i>` [a](<b\"c>)\n\n```\n<script>\n```");
        assert!(!html.contains("<b>") && !html.contains("<i>") && !html.contains("<script>"));
        assert!(html.contains("href=\"b&quot;c\""), "{html}");
    }
}
