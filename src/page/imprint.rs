//! The imprint: what holds for the whole folio (`content/imprint.yaml`).

use super::conventions;
use super::fields::Fields;
use super::yaml::{self, Text};
use crate::quantity::reader::{ReadOptions, read_whole};
use crate::quantity::{Dimension, Figure};
use crate::slip::Slip;
use crate::text::{Date, Source, Span, Spot};
use std::sync::Arc;

/// A measuring instrument, declared once.
#[derive(Debug, Clone)]
pub(crate) struct InstrumentDecl {
    /// Name used by `with:`.
    pub(crate) id: Text,
    pub(crate) what: Option<Text>,
    pub(crate) plus_minus: Option<Text>,
    /// `plus_minus` as a figure.
    pub(crate) limit: Option<Figure>,
}

/// Which units readers see first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum UnitsFirst {
    /// Those of the writer.
    #[default]
    AsWritten,
    /// SI.
    Si,
    /// US customary.
    Us,
}

/// The imprint as declared.
#[derive(Debug, Clone)]
pub(crate) struct Imprint {
    /// Title of the site.
    pub(crate) title: String,
    /// One line under the title.
    pub(crate) tagline: String,
    /// Printed on every page.
    pub(crate) notice: String,
    /// The same in one line, for the head of every page and of every printed sheet.
    pub(crate) notice_in_brief: String,
    pub(crate) author: String,
    /// Version of the data.
    pub(crate) version: String,
    pub(crate) language: String,
    /// The day for which the folio is judged: waivers end by it.
    pub(crate) date: Option<Date>,
    pub(crate) conventions: conventions::Declared,
    /// Units that readers see first.
    pub(crate) units_first: UnitsFirst,
    pub(crate) instruments: Vec<InstrumentDecl>,
}

impl Imprint {
    /// An imprint that declares nothing, for a folio without one.
    pub(crate) fn empty() -> Imprint {
        Imprint {
            title: "Engine teardowns".to_owned(),
            tagline: String::new(),
            notice: String::new(),
            notice_in_brief: String::new(),
            author: String::new(),
            version: String::new(),
            language: "en".to_owned(),
            date: None,
            conventions: conventions::Declared::default(),
            units_first: UnitsFirst::AsWritten,
            instruments: Vec::new(),
        }
    }
}

/// Reads the imprint.
pub(crate) fn read(source: &Arc<Source>) -> (Imprint, Vec<Slip>) {
    let mut slips = Vec::new();
    let mut imprint = Imprint::empty();
    let whole = Span::new(0, source.text.len());
    let node = match yaml::read(source, whole) {
        Ok(node) => node,
        Err(slip) => return (imprint, vec![*slip]),
    };
    super::swallowed_comments(source, whole, &mut slips);
    let Some(mut fields) = Fields::open(source, node, "the imprint", &mut slips) else {
        return (imprint, slips);
    };
    let plain = |key, fields: &mut Fields<'_>, slips: &mut Vec<Slip>| {
        fields.text(key, slips).map(|text| text.text).unwrap_or_default()
    };
    imprint.tagline = plain("tagline", &mut fields, &mut slips);
    imprint.notice = plain("notice", &mut fields, &mut slips);
    imprint.notice_in_brief = plain("notice_in_brief", &mut fields, &mut slips);
    imprint.author = plain("author", &mut fields, &mut slips);
    imprint.version = plain("version", &mut fields, &mut slips);
    imprint.date = fields.day("date", &mut slips).and_then(|day| Date::read(&day.text));
    if let Some(language) = fields.text("language", &mut slips) {
        if is_language_tag(&language.text) {
            imprint.language = language.text;
        } else {
            let message = format!("`{}` is no tag of a language", language.text);
            let slip = Slip::stop("wrong-shape", Spot::new(source, language.span), message);
            slips.push(slip.help("write `en`, `en-GB`, `de`"));
        }
    }
    if let Some(title) = fields.required("title", &mut slips) {
        imprint.title = title.text;
    }
    imprint.conventions = conventions::Declared::read(&mut fields, &mut slips);
    let units =
        [("as written", UnitsFirst::AsWritten), ("si", UnitsFirst::Si), ("us", UnitsFirst::Us)];
    imprint.units_first =
        fields.word("units_first", "a choice of units", &units, &mut slips).unwrap_or_default();
    for (id, node) in fields.entries("instruments", "the instruments", &mut slips) {
        let Some(mut inner) = Fields::open(source, node, "an instrument", &mut slips) else {
            continue;
        };
        let what = inner.text("what", &mut slips);
        let plus_minus = inner.text("plus_minus", &mut slips);
        inner.finish(&mut slips);
        let limit = plus_minus.as_ref().and_then(|text| {
            let limit = instrument_limit(&text.text, imprint.conventions.decimal_comma());
            if limit.is_none() {
                slips.push(no_limit(source, text));
            }
            limit
        });
        imprint.instruments.push(InstrumentDecl { id, what, plus_minus, limit });
    }
    fields.finish(&mut slips);
    (imprint, slips)
}

/// Whether a text has the form of a language tag (RFC 5646, 2.1): what it names is not looked up.
fn is_language_tag(text: &str) -> bool {
    let mut parts = text.split('-');
    let is_language =
        |part: &str| (2..=8).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_alphabetic());
    parts.next().is_some_and(is_language)
        && parts.all(|part| {
            (1..=8).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_alphanumeric())
        })
}

/// The limit of an instrument, `0.02 mm` or `± 0.02 mm`; `None` where it is no figure.
pub(crate) fn instrument_limit(text: &str, decimal_comma: bool) -> Option<Figure> {
    let options = ReadOptions { decimal_comma, ..ReadOptions::default() };
    let limit = text.trim().trim_start_matches('±');
    let figures = read_whole(limit.trim(), &options).ok()?;
    // Without a unit it says of what it is a limit no more than a bare word.
    figures.into_iter().next().filter(|figure| figure.unit.dimension != Dimension::NONE)
}

fn no_limit(source: &Arc<Source>, text: &Text) -> Slip {
    let message = format!("`{}` is no limit of an instrument", text.text);
    let slip = Slip::stop("value-unreadable", Spot::new(source, text.inside()), message);
    slip.help("write a figure with its unit, as in `0.02 mm`")
}

/// A note for a folio without an imprint.
pub(crate) fn missing(source: &Arc<Source>) -> Slip {
    let spot = Spot::new(source, Span::new(0, 0));
    Slip::note("imprint-missing", spot, "the folio has no content/imprint.yaml")
        .help("add one with `title:` and `pressure: gauge` (what a bare bar or psi means here)")
}
