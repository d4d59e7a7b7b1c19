//! Live quantities in page bodies, by MiniJinja.
//!
//! A page may ask (`{{ operating_pressure | as("kPa") }}`), it may not compute: quantities have no
//! arithmetic here, undefined names are errors, fuel is limited, and nothing can be included.
//! Code spans and fences are masked from templating, and `{#id}` stays a heading attribute.

use super::limits;
use crate::page::LARGEST_PAGE;
use crate::slip::Slip;
use crate::text::{Source, Span, Spot};
use minijinja::value::{DynObject, Enumerator, Object, ObjectRepr, Value};
use minijinja::{AutoEscape, Environment, Error, ErrorKind, OutputSpanKind, UndefinedBehavior};
use std::borrow::Cow;
use std::cmp::Ordering;
use std::fmt;
use std::sync::Arc;

/// Where printed figures come from.
pub trait Figures: Send + Sync {
    /// The figure under a path (`operating_pressure`, `hazel.operating_pressure`) as printed text
    /// with its SI value; in `unit` if one is given. `None` where the path names no figure.
    fn print(&self, path: &str, unit: Option<&str>) -> Option<Result<Printed, String>>;
    /// Whether the path names an engine.
    fn is_engine(&self, path: &str) -> bool;
    /// A formula's result as printed text.
    fn reckon(&self, formula: &str, unit: Option<&str>) -> Result<Printed, String>;
    /// Names of the readings and derived figures of the page's engine, in the order written.
    fn names(&self) -> Vec<String>;
}

/// A figure ready for the page.
#[derive(Debug, Clone, PartialEq)]
pub struct Printed {
    /// Number and unit, with a no-break space between them.
    pub(crate) text: String,
    /// Value in SI, for comparisons in templates.
    pub(crate) si: f64,
    /// Name of its dimension and kind: figures of different ones do not compare.
    pub(crate) sort: String,
}

/// A body after templating, with the way back to the writer's file.
#[derive(Debug)]
pub struct Rendered<'a> {
    pub(crate) text: Cow<'a, str>,
    /// Pieces in output order; empty where the text is the body itself.
    pieces: Vec<TemplatePiece>,
    /// Offset of the body in its file.
    base: usize,
}

#[derive(Debug)]
struct TemplatePiece {
    output: Span,
    source: Span,
    printed: bool,
}

/// Where a piece of rendered text comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TextOrigin {
    /// Span in the writer's file.
    pub span: Span,
    /// Whether an expression printed it: the span is then the expression.
    pub printed: bool,
}

impl<'a> Rendered<'a> {
    /// A text without expressions that starts at `base` of its file.
    #[must_use]
    pub fn plain(text: &'a str, base: usize) -> Rendered<'a> {
        Rendered { text: Cow::Borrowed(text), pieces: Vec::new(), base }
    }

    /// Where a span of the rendered text was written.
    #[must_use]
    pub fn origin(&self, span: Span) -> TextOrigin {
        if self.pieces.is_empty() {
            return TextOrigin { span: span.shifted(self.base), printed: false };
        }
        let first = self.piece_at(span.start);
        let last = self.piece_at(span.end.saturating_sub(1).max(span.start));
        let (Some(first), Some(last)) = (first, last) else {
            return TextOrigin { span: Span::new(self.base, self.base), printed: false };
        };
        let start = if first.printed {
            first.source.start
        } else {
            first.source.start + (span.start - first.output.start.min(span.start))
        };
        let end = if last.printed {
            last.source.end
        } else {
            last.source.start + (span.end - last.output.start.min(span.end))
        };
        TextOrigin {
            span: Span::new(start, end).shifted(self.base),
            printed: first.printed || last.printed,
        }
    }

    fn piece_at(&self, offset: usize) -> Option<&TemplatePiece> {
        let index = self.pieces.partition_point(|piece| piece.output.end <= offset);
        self.pieces.get(index).or_else(|| self.pieces.last())
    }
}

/// Stands for `{` in code and before `#` while the template runs. Pages hold no control
/// characters, so it cannot be confused with a writer's own.
const MASK: char = '\u{1}';

/// Prints the expressions of a body.
///
/// # Errors
/// One slip at the expression that failed; templating stops there.
pub fn render<'a>(
    source: &'a Arc<Source>,
    body: Span,
    figures: &Arc<dyn Figures>,
) -> Result<Rendered<'a>, Box<Slip>> {
    let text = source.slice(body);
    if !text.contains("{{") && !text.contains("{%") {
        return Ok(Rendered::plain(text, body.start));
    }
    let masked = mask(text);
    if let Some((span, message)) = limits::beyond(&masked) {
        let spot = Spot::new(source, span.shifted(body.start));
        let slip = Slip::stop("template-fault", spot, message);
        return Err(Box::new(
            slip.help("pages print figures, repeat with `for` and choose with `if`"),
        ));
    }
    let environment = environment(figures);
    let root = || Value::from_object(Root(Arc::clone(figures)));
    let outcome = environment.template_from_named_str("body", &masked).and_then(|template| {
        if may_grow(&masked) {
            template.render_captured_to(root(), &mut Bounded { left: LARGEST_PAGE })?;
        }
        template.render_with_spans(root())
    });
    match outcome {
        Ok((output, spans)) => Ok(Rendered {
            text: Cow::Owned(output.replace(MASK, "{")),
            pieces: spans
                .iter()
                .map(|span| TemplatePiece {
                    output: span.output_range().into(),
                    source: span.source_range().into(),
                    printed: span.kind() == OutputSpanKind::Expression,
                })
                .collect(),
            base: body.start,
        }),
        Err(error) => Err(Box::new(fault(source, body, figures, &error))),
    }
}

/// The body with a blank for every byte of its expressions, for a page whose template fails: the
/// rest of its text can still be judged.
pub(crate) fn without_expressions(source: &Arc<Source>, body: Span) -> Rendered<'_> {
    let mut text = source.slice(body).to_owned();
    for (open, close) in [("{{", "}}"), ("{%", "%}")] {
        let mut at = 0;
        while let Some(start) = text[at..].find(open).map(|found| at + found) {
            let end = text[start..].find(close).map_or(start + 2, |found| start + found + 2);
            let blank: String = text[start..end]
                .bytes()
                .map(|byte| if byte == b'\n' { '\n' } else { ' ' })
                .collect();
            text.replace_range(start..end, &blank);
            at = end;
        }
    }
    Rendered { text: Cow::Owned(text), pieces: Vec::new(), base: body.start }
}

/// Whether what is printed can be much longer than what was typed: in loops, and where texts are
/// put together.
fn may_grow(text: &str) -> bool {
    let mut pieces = text.split("{{").skip(1).map(|rest| rest.split("}}").next().unwrap_or(rest));
    text.contains("{%") || pieces.any(|piece| piece.contains(['*', '~']))
}

/// Takes what is printed and keeps nothing of it, up to a length.
struct Bounded {
    left: usize,
}

impl std::io::Write for Bounded {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        let left = self.left.checked_sub(bytes.len());
        self.left = left.ok_or_else(|| std::io::Error::other("more than a page may hold"))?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

/// Replaces `{` by the mask in code and in `{#`; same length, so offsets stay.
fn mask(text: &str) -> String {
    use pulldown_cmark::{Event, Parser, Tag};
    let mut bytes = text.as_bytes().to_vec();
    let mut cover = |range: std::ops::Range<usize>| {
        for byte in &mut bytes[range] {
            if *byte == b'{' {
                *byte = MASK as u8;
            }
        }
    };
    for (event, range) in Parser::new_ext(text, super::OPTIONS).into_offset_iter() {
        if matches!(event, Event::Code(_) | Event::Start(Tag::CodeBlock(_))) {
            cover(range);
        }
    }
    for (at, _) in text.match_indices("{#") {
        cover(at..at + 1);
    }
    String::from_utf8(bytes).unwrap_or_else(|_| text.to_owned())
}

fn environment(figures: &Arc<dyn Figures>) -> Environment<'static> {
    let mut environment = Environment::new();
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    environment.set_auto_escape_callback(|_| AutoEscape::None);
    environment.set_debug(true);
    environment.set_fuel(Some(200_000));
    environment.remove_global("debug");
    // Each can make a text a thousand times as long, as often as it is written.
    for filter in ["replace", "indent", "format"] {
        environment.remove_filter(filter);
    }
    environment.add_filter("as", as_unit);
    let for_reckon = Arc::clone(figures);
    environment.add_function(
        "reckon",
        move |formula: String, unit: Option<String>| -> Result<Value, Error> {
            let printed = for_reckon
                .reckon(&formula, unit.as_deref())
                .map_err(|message| Error::new(ErrorKind::InvalidOperation, message))?;
            Ok(Value::from_object(Live {
                figures: Arc::clone(&for_reckon),
                path: formula,
                is_formula: true,
                printed,
            }))
        },
    );
    environment
}

fn as_unit(value: &Value, unit: &str) -> Result<Value, Error> {
    let refused = |message: String| Error::new(ErrorKind::InvalidOperation, message);
    let Some(live) = value.downcast_object_ref::<Live>() else {
        return Err(refused("`as` converts a figure; this is none".to_owned()));
    };
    let printed = if live.is_formula {
        live.figures.reckon(&live.path, Some(unit))
    } else {
        live.figures.print(&live.path, Some(unit)).unwrap_or_else(|| Err("no figure".to_owned()))
    };
    let printed = printed.map_err(refused)?;
    Ok(Value::from_object(Live {
        figures: Arc::clone(&live.figures),
        path: live.path.clone(),
        is_formula: live.is_formula,
        printed,
    }))
}

/// The names a page sees.
struct Root(Arc<dyn Figures>);

impl fmt::Debug for Root {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("the figures of this folio")
    }
}

impl Object for Root {
    fn get_value(self: &Arc<Self>, key: &Value) -> Option<Value> {
        let name = key.as_str()?;
        if name == "readings" {
            let lives = self.0.names().into_iter().filter_map(|name| live(&self.0, &name));
            return Some(Value::from(lives.collect::<Vec<Value>>()));
        }
        live(&self.0, name).or_else(|| engine(&self.0, name))
    }
}

fn live(figures: &Arc<dyn Figures>, path: &str) -> Option<Value> {
    Some(match figures.print(path, None)? {
        Ok(printed) => Value::from_object(Live {
            figures: Arc::clone(figures),
            path: path.to_owned(),
            is_formula: false,
            printed,
        }),
        Err(message) => Value::from(Error::new(ErrorKind::InvalidOperation, message)),
    })
}

fn engine(figures: &Arc<dyn Figures>, name: &str) -> Option<Value> {
    let known = figures.is_engine(name);
    known.then(|| {
        Value::from_object(TemplateEngine { figures: Arc::clone(figures), name: name.to_owned() })
    })
}

/// Another engine, by name.
struct TemplateEngine {
    figures: Arc<dyn Figures>,
    name: String,
}

impl fmt::Debug for TemplateEngine {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "engine {}", self.name)
    }
}

impl Object for TemplateEngine {
    fn get_value(self: &Arc<Self>, key: &Value) -> Option<Value> {
        live(&self.figures, &format!("{}.{}", self.name, key.as_str()?))
    }
}

/// One figure. It prints, converts and compares; it does not add.
struct Live {
    figures: Arc<dyn Figures>,
    path: String,
    is_formula: bool,
    printed: Printed,
}

impl fmt::Debug for Live {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.printed.text)
    }
}

impl Object for Live {
    fn repr(self: &Arc<Self>) -> ObjectRepr {
        ObjectRepr::Plain
    }

    fn get_value(self: &Arc<Self>, key: &Value) -> Option<Value> {
        match key.as_str()? {
            "name" => Some(Value::from(self.path.as_str())),
            "words" => Some(Value::from(self.path.replace(['_', '.'], " "))),
            part => live(&self.figures, &format!("{}.{part}", self.path)),
        }
    }

    fn enumerate(self: &Arc<Self>) -> Enumerator {
        Enumerator::NonEnumerable
    }

    fn custom_cmp(self: &Arc<Self>, other: &DynObject) -> Option<Ordering> {
        let other = other.downcast_ref::<Live>()?;
        if self.printed.sort == other.printed.sort {
            return self.printed.si.partial_cmp(&other.printed.si);
        }
        Some(self.printed.sort.cmp(&other.printed.sort))
    }

    fn render(self: &Arc<Self>, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&escape_markdown(&self.printed.text))
    }
}

/// Puts a backslash before every character that Markdown could take for markup.
pub(crate) fn escape_markdown(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for c in text.chars() {
        if matches!(c, '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '#' | '|' | '~' | '!' | '&')
        {
            escaped.push('\\');
        }
        escaped.push(c);
    }
    escaped
}

/// How the library's own messages begin that say nothing to a writer.
const LIBRARY: [&str; 6] =
    ["unable to", "tried to", "cannot convert", "cannot get", "cannot perform", "invalid"];

fn fault(source: &Arc<Source>, body: Span, figures: &Arc<dyn Figures>, error: &Error) -> Slip {
    let text = source.slice(body);
    let range = error.range().filter(|range| range.end <= text.len()).unwrap_or_else(|| {
        let line = error.line().unwrap_or(1).saturating_sub(1);
        let start: usize = text.split_inclusive('\n').take(line).map(str::len).sum();
        let length = text[start..].find('\n').unwrap_or(text.len() - start);
        start..start + length
    });
    let spot = Spot::new(source, Span::from(range).shifted(body.start));
    let written = spot.text().trim().to_owned();
    let message = match error.kind() {
        ErrorKind::UndefinedError => format!("`{written}` names no figure and no engine"),
        ErrorKind::WriteFailure => "this template prints more than a page may hold".to_owned(),
        ErrorKind::OutOfFuel => "this page's template runs too long".to_owned(),
        _ => match error.detail() {
            Some(detail) if LIBRARY.iter().any(|start| detail.starts_with(start)) => {
                format!("`{written}` cannot be worked out")
            }
            Some(detail) => format!("the template cannot run: {detail}"),
            None => format!("the template cannot run: {}", error.kind()),
        },
    };
    let slip = Slip::stop("template-fault", spot, message);
    match error.kind() {
        ErrorKind::UndefinedError => {
            let names = figures.names();
            match crate::text::nearest(&written, names.iter().map(String::as_str)) {
                Some(name) => slip.write(name),
                None => slip.help("name a reading, a derived figure, or `engine.name`"),
            }
        }
        ErrorKind::InvalidOperation => {
            slip.noting("pages print and convert figures; formulas go into reckon(\"…\")")
        }
        _ => slip,
    }
}
