//! A document written as HTML, with judged figures, resolved links and framed tables.

use super::blocks::{Document, Replacement, Setting};
use pulldown_cmark::{CowStr, Event, Tag, TagEnd, html};
use std::fmt::Write as _;

/// A picture as it goes to the site.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// Address relative to the page.
    pub address: String,
    /// Width in pixels.
    pub width: u32,
    /// Height in pixels.
    pub height: u32,
    /// Who made it.
    pub credit: String,
}

/// How links and pictures are resolved; the caller knows the folio.
pub trait Resolver {
    /// Address of a link on the site; `None` leaves only its text.
    fn link(&self, destination: &str) -> Option<String>;
    /// A picture on the site; `None` leaves only its description.
    fn picture(&self, destination: &str, title: &str) -> Option<Picture>;
}

/// Writes the document.
#[must_use]
pub fn write(
    document: &Document<'_>,
    replacements: &[Replacement],
    resolver: &dyn Resolver,
) -> String {
    let writer = Writer { document, resolver, cuts: document.cuts(replacements) };
    let mut out = Vec::with_capacity(document.events.len() + replacements.len() * 2);
    let mut state = State::default();
    for index in 0..document.events.len() {
        writer.event(index, &mut state, &mut out);
    }
    let mut text = String::with_capacity(4096);
    html::push_html(&mut text, out.into_iter());
    text
}

struct Writer<'d, 'a> {
    document: &'d Document<'a>,
    resolver: &'d dyn Resolver,
    cuts: std::collections::BTreeMap<usize, Vec<(crate::text::Span, String)>>,
}

#[derive(Default)]
struct State {
    tables: usize,
    in_head: bool,
    heading: String,
    headings: usize,
    links: Vec<bool>,
    quotes: Vec<bool>,
    picture_alt: Option<String>,
}

impl<'d, 'a: 'd> Writer<'d, 'a> {
    fn event(&self, index: usize, state: &mut State, out: &mut Vec<Event<'d>>) {
        let (event, _) = &self.document.events[index];
        if let Some(alt) = &mut state.picture_alt {
            match event {
                Event::Text(text) | Event::Code(text) => alt.push_str(text),
                Event::SoftBreak => alt.push(' '),
                Event::End(TagEnd::Image) => {
                    let alt = state.picture_alt.take().unwrap_or_default();
                    self.close_picture(&alt, out);
                }
                _ => {}
            }
            return;
        }
        match event {
            Event::Text(text) => self.text(index, text, out),
            Event::Html(_) | Event::InlineHtml(_) => {}
            Event::Start(tag) => self.start(index, tag, state, out),
            Event::End(tag) => end(*tag, state, out),
            other => out.push(other.clone()),
        }
    }

    fn start(&self, index: usize, tag: &Tag<'a>, state: &mut State, out: &mut Vec<Event<'d>>) {
        match tag {
            Tag::Heading { level, classes, attrs, .. } => {
                let id = self.document.heading_ids.get(&index).cloned();
                let heading = self.document.headings.get(state.headings);
                state.headings += 1;
                state.heading = heading.map(|heading| heading.text.clone()).unwrap_or_default();
                out.push(Event::Start(Tag::Heading {
                    level: *level,
                    id: id.map(CowStr::from),
                    classes: classes.clone(),
                    attrs: attrs.clone(),
                }));
            }
            Tag::Link { dest_url, .. } => {
                let address = self.resolver.link(dest_url);
                state.links.push(address.is_some());
                if let Some(address) = address {
                    let mut open = String::from("<a href=\"");
                    escape_into(&mut open, &address);
                    open.push_str("\">");
                    out.push(Event::InlineHtml(open.into()));
                }
            }
            Tag::Image { dest_url, title, .. } => {
                let picture = self.resolver.picture(dest_url, title);
                out.push(Event::InlineHtml(open_picture(picture.as_ref()).into()));
                state.picture_alt = Some(String::new());
            }
            Tag::BlockQuote(_) => {
                let setting = self.document.settings.get(&index);
                state.quotes.push(setting.is_some());
                match setting {
                    Some(setting) => out.push(Event::Html(open_setting(setting).into())),
                    None => out.push(Event::Start(tag.clone())),
                }
            }
            Tag::Table(_) => {
                state.tables += 1;
                out.push(Event::Html(open_table(state).into()));
            }
            Tag::TableHead => {
                state.in_head = true;
                out.push(Event::Html("<thead><tr>".into()));
            }
            Tag::TableRow => out.push(Event::Html("<tr>".into())),
            Tag::TableCell => {
                let open = if state.in_head {
                    "<th scope=\"col\">"
                } else if self.is_numeric_cell(index) {
                    "<td class=\"number\">"
                } else {
                    "<td>"
                };
                out.push(Event::InlineHtml(open.into()));
            }
            other => out.push(Event::Start(other.clone())),
        }
    }

    /// A cell that starts with a digit, sign or hedge sign is set to the right.
    fn is_numeric_cell(&self, index: usize) -> bool {
        let texts = self.document.events[index + 1..].iter();
        let first = texts
            .take_while(|(event, _)| !matches!(event, Event::End(TagEnd::TableCell)))
            .find_map(|(event, _)| match event {
                Event::Text(text) => text.trim_start().chars().next(),
                _ => None,
            });
        first.is_some_and(|c| c.is_ascii_digit() || matches!(c, '−' | '~' | '≈' | '±' | '<' | '>'))
    }

    /// A text with its cuts; everything between them stays text and is escaped by the writer.
    fn text(&self, index: usize, text: &CowStr<'a>, out: &mut Vec<Event<'d>>) {
        let Some(cuts) = self.cuts.get(&index) else {
            out.push(Event::Text(text.clone()));
            return;
        };
        let mut at = 0;
        for (span, html) in cuts {
            // Replacements never overlap; a caller's mistake must not duplicate text.
            if span.start < at {
                continue;
            }
            if at < span.start {
                out.push(Event::Text(text[at..span.start].to_owned().into()));
            }
            if !html.is_empty() {
                out.push(Event::InlineHtml(html.clone().into()));
            }
            at = span.end;
        }
        if at < text.len() {
            out.push(Event::Text(text[at..].to_owned().into()));
        }
    }

    fn close_picture(&self, alt: &str, out: &mut Vec<Event<'d>>) {
        let mut close = String::new();
        let open = out.pop();
        let opened = match &open {
            Some(Event::InlineHtml(html)) => html.to_string(),
            _ => String::new(),
        };
        if opened.contains("{alt}") {
            let mut escaped = String::new();
            escape_into(&mut escaped, alt);
            close.push_str(&opened.replace("{alt}", &escaped));
        } else {
            close.push_str("<em>");
            escape_into(&mut close, alt);
            close.push_str("</em>");
        }
        out.push(Event::InlineHtml(close.into()));
    }
}

fn end<'d>(tag: TagEnd, state: &mut State, out: &mut Vec<Event<'d>>) {
    match tag {
        TagEnd::Link => {
            if state.links.pop().unwrap_or(false) {
                out.push(Event::InlineHtml("</a>".into()));
            }
        }
        TagEnd::BlockQuote(_) => {
            if state.quotes.pop().unwrap_or(false) {
                out.push(Event::Html("</div>\n".into()));
            } else {
                out.push(Event::End(tag));
            }
        }
        TagEnd::TableHead => {
            state.in_head = false;
            out.push(Event::Html("</tr></thead><tbody>\n".into()));
        }
        TagEnd::TableRow => out.push(Event::Html("</tr>\n".into())),
        TagEnd::TableCell => {
            out.push(Event::InlineHtml(if state.in_head { "</th>" } else { "</td>" }.into()));
        }
        TagEnd::Table => out.push(Event::Html("</tbody></table></div>\n".into())),
        other => out.push(Event::End(other)),
    }
}

fn open_table(state: &State) -> String {
    let mut name = format!("Table {}", state.tables);
    if !state.heading.is_empty() {
        let _ = write!(name, ": {}", state.heading.replace('\u{fffc}', "…"));
    }
    let mut escaped = String::new();
    escape_into(&mut escaped, &name);
    format!(
        "<div class=\"scroll\" role=\"region\" tabindex=\"0\" aria-label=\"{escaped}\">\
         <table><caption>{escaped}</caption>"
    )
}

fn open_setting(setting: &Setting) -> String {
    let class = setting.word().to_lowercase().replace(' ', "-");
    format!("<div class=\"setting setting-{class}\" role=\"note\">\n")
}

fn open_picture(picture: Option<&Picture>) -> String {
    let Some(picture) = picture else { return String::new() };
    let mut html = String::from("<span class=\"picture\"><img src=\"");
    escape_into(&mut html, &picture.address);
    let _ = write!(
        html,
        "\" alt=\"{{alt}}\" width=\"{}\" height=\"{}\" loading=\"lazy\">",
        picture.width, picture.height
    );
    html.push_str("<span class=\"credit\">");
    escape_into(&mut html, &picture.credit);
    html.push_str("</span></span>");
    html
}

/// Escapes text for HTML content and double-quoted attributes.
pub fn escape_into(out: &mut String, text: &str) {
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            _ => out.push(c),
        }
    }
}
