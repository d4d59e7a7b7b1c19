//! Front matter: what a page declares before its text begins.

use super::conventions;
use super::fields::Fields;
use super::yaml::{Text, YamlNode, YamlValue};
use crate::slip::Slip;
use crate::text::{Source, Span, Spot};
use std::sync::Arc;

/// What a page is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum PageKind {
    /// Describes one engine.
    Engine,
    /// Sets several engines side by side.
    Comparison,
    /// Anything else.
    #[default]
    Article,
    /// Terms and their meanings.
    Glossary,
    /// The folio's safety page.
    Safety,
}

impl PageKind {
    const ALL: &'static [(&'static str, PageKind)] = &[
        ("engine", PageKind::Engine),
        ("comparison", PageKind::Comparison),
        ("article", PageKind::Article),
        ("glossary", PageKind::Glossary),
        ("safety", PageKind::Safety),
    ];
}

/// Where a figure comes from, by kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum SourceKind {
    /// Measured by the writer.
    Measured,
    /// Stated by the maker.
    Maker,
    /// Reported by somebody else.
    Reported,
    /// Concluded from other facts.
    Inferred,
    /// Estimated.
    Estimated,
    /// Taken over without a look.
    Assumed,
    /// Heard; needs who and when.
    Hearsay,
    /// An opinion.
    Opinion,
}

impl SourceKind {
    const ALL: &'static [(&'static str, SourceKind)] = &[
        ("measured", SourceKind::Measured),
        ("maker", SourceKind::Maker),
        ("reported", SourceKind::Reported),
        ("inferred", SourceKind::Inferred),
        ("estimated", SourceKind::Estimated),
        ("assumed", SourceKind::Assumed),
        ("hearsay", SourceKind::Hearsay),
        ("opinion", SourceKind::Opinion),
    ];
}

/// A declared source.
#[derive(Debug, Clone)]
pub(crate) struct SourceDecl {
    /// Name by which readings refer to it.
    pub(crate) id: Text,
    pub(crate) kind: SourceKind,
    /// Title of a document, or what was looked at.
    pub(crate) title: Option<Text>,
    /// Revision of a document.
    pub(crate) rev: Option<Text>,
    pub(crate) by: Option<Text>,
    pub(crate) on: Option<Text>,
    /// Instrument: a name from the imprint, or words.
    pub(crate) with: Option<Text>,
    /// How far it is to be trusted.
    pub(crate) standing: Option<Text>,
    pub(crate) note: Option<Text>,
}

impl SourceDecl {
    /// A source of which nothing but the kind is known: `bench: measured`.
    fn of_kind(id: Text, kind: SourceKind) -> SourceDecl {
        SourceDecl {
            id,
            kind,
            title: None,
            rev: None,
            by: None,
            on: None,
            with: None,
            standing: None,
            note: None,
        }
    }
}

/// How a reading states its value.
#[derive(Debug, Clone)]
pub(crate) enum Form {
    /// As text: a figure, a ring, a drill, go/no-go, repeats in brackets.
    Written(Text),
    /// Repeated measurements with a common unit.
    Repeats {
        /// Numbers as typed.
        values: Vec<Text>,
        /// Their unit.
        unit: Text,
    },
    /// A spring by force and length: `4.0 N at 32 mm`, two or more.
    Pairs(Vec<Text>),
}

/// One statement of a reading's value.
#[derive(Debug, Clone)]
pub(crate) struct StatementDecl {
    pub(crate) form: Form,
    pub(crate) from: Option<Text>,
    pub(crate) with: Option<Text>,
    /// Place of the statement.
    pub(crate) span: Span,
}

/// A named figure with its statements.
#[derive(Debug, Clone)]
pub(crate) struct ReadingDecl {
    /// Name in formulas, snake_case.
    pub(crate) name: Text,
    /// Aliases used in prose.
    pub(crate) called: Vec<Text>,
    /// Statements; several are judged against each other.
    pub(crate) statements: Vec<StatementDecl>,
    /// Why there is no value.
    pub(crate) not_measured: Option<Text>,
    /// Engine from which the value is borrowed.
    pub(crate) like: Option<Text>,
    /// Whether the user of the engine sets it (pressure, dwell).
    pub(crate) setting: bool,
    /// Revision of the engine it belongs to.
    pub(crate) revision: Option<Text>,
    /// Remark shown to readers.
    pub(crate) note: Option<Text>,
}

/// A named figure with a formula.
#[derive(Debug, Clone)]
pub(crate) struct DerivedDecl {
    pub(crate) name: Text,
    pub(crate) formula: Text,
    /// Aliases used in prose.
    pub(crate) called: Vec<Text>,
    /// Unit to print it in.
    pub(crate) unit: Option<Text>,
    /// Remark shown to readers.
    pub(crate) note: Option<Text>,
}

/// A sentence with a checkable formula.
#[derive(Debug, Clone)]
pub(crate) struct ClaimDecl {
    pub(crate) say: Text,
    pub(crate) holds: Text,
}

/// A corrected figure.
#[derive(Debug, Clone)]
pub(crate) struct CorrectionDecl {
    pub(crate) on: Option<Text>,
    /// Name of the reading or derived figure.
    pub(crate) figure: Text,
    pub(crate) was: Text,
    pub(crate) now: Text,
    pub(crate) because: Option<Text>,
    pub(crate) from: Option<Text>,
}

/// A reason to let one slip pass.
#[derive(Debug, Clone)]
pub(crate) struct WaiverDecl {
    pub(crate) fault: Text,
    /// The offending text it is about.
    pub(crate) at: Text,
    pub(crate) because: Text,
    pub(crate) on: Option<Text>,
    /// The day from which it holds no longer.
    pub(crate) until: Option<Text>,
}

/// An open question.
#[derive(Debug, Clone)]
pub(crate) struct QuestionDecl {
    pub(crate) ask: Text,
    /// What would settle it.
    pub(crate) settles: Option<Text>,
}

/// A revision of the engine.
#[derive(Debug, Clone)]
pub(crate) struct RevisionDecl {
    pub(crate) name: Text,
    pub(crate) on: Option<Text>,
    pub(crate) changed: Option<Text>,
}

/// What an event of a timeline was.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum EventKind {
    /// Something was made.
    Made,
    /// It was shown in public.
    Shown,
    /// It was published.
    Published,
    /// It was filed with an office.
    Filed,
    /// It was changed.
    Changed,
    /// Somebody said it.
    Said,
    /// It came, went, was taken apart, tested, or whatever else happened to it.
    Happened,
}

impl EventKind {
    const ALL: &'static [(&'static str, EventKind)] = &[
        ("made", EventKind::Made),
        ("shown", EventKind::Shown),
        ("published", EventKind::Published),
        ("filed", EventKind::Filed),
        ("changed", EventKind::Changed),
        ("said", EventKind::Said),
        ("happened", EventKind::Happened),
    ];

    /// The word for it.
    pub(crate) fn word(self) -> &'static str {
        let known = EventKind::ALL.iter().find(|(_, kind)| *kind == self);
        known.map_or("happened", |(word, _)| word)
    }
}

/// A dated event that has a source.
#[derive(Debug, Clone)]
pub(crate) struct EventDecl {
    pub(crate) on: Text,
    /// What happened, in the words of the prose.
    pub(crate) what: Text,
    pub(crate) kind: EventKind,
    /// Who made, showed, published, filed, changed or said it.
    pub(crate) by: Option<Text>,
    /// Source id.
    pub(crate) from: Option<Text>,
}

/// Everything a page declares.
#[derive(Debug, Clone, Default)]
pub(crate) struct Front {
    pub(crate) title: Option<Text>,
    /// One or two sentences.
    pub(crate) summary: Option<Text>,
    pub(crate) kind: PageKind,
    /// Engine name in formulas.
    pub(crate) engine: Option<Text>,
    /// Other names of the engine in prose.
    pub(crate) called: Vec<Text>,
    pub(crate) family: Option<Text>,
    /// Engine it was developed from.
    pub(crate) descends_from: Option<Text>,
    pub(crate) compare: Vec<Text>,
    /// Rows of the comparison; empty for all.
    pub(crate) rows: Vec<Text>,
    /// Conventions of its own, over those of the imprint.
    pub(crate) conventions: conventions::Declared,
    /// Date of the page.
    pub(crate) date: Option<Text>,
    pub(crate) author: Option<Text>,
    /// Number of specimens looked at.
    pub(crate) specimens: Option<usize>,
    /// Default source of readings.
    pub(crate) readings_from: Option<Text>,
    pub(crate) sources: Vec<SourceDecl>,
    pub(crate) readings: Vec<ReadingDecl>,
    pub(crate) derived: Vec<DerivedDecl>,
    /// Claims.
    pub(crate) claims: Vec<ClaimDecl>,
    /// Events in the writer's order.
    pub(crate) sequence: Vec<Text>,
    pub(crate) corrections: Vec<CorrectionDecl>,
    pub(crate) waivers: Vec<WaiverDecl>,
    pub(crate) questions: Vec<QuestionDecl>,
    pub(crate) revisions: Vec<RevisionDecl>,
    /// Dated events, in the writer's order.
    pub(crate) timeline: Vec<EventDecl>,
    /// Groups of readings taken together, so that their scatter is correlated.
    pub(crate) taken_together: Vec<Vec<Text>>,
}

/// Reads a page's front matter. What cannot be read is a slip and is left out.
pub(crate) fn read(source: &Arc<Source>, node: YamlNode, slips: &mut Vec<Slip>) -> Front {
    let Some(mut fields) = Fields::open(source, node, "the front matter", slips) else {
        return Front::default();
    };
    let mut front = Front {
        title: fields.text("title", slips),
        summary: fields.text("summary", slips),
        engine: fields.text("engine", slips).map(|name| usable(source, name, slips)),
        called: fields.texts("called", slips),
        family: fields.text("family", slips),
        descends_from: fields.text("descends_from", slips),
        compare: fields.texts("compare", slips),
        rows: fields.texts("rows", slips),
        conventions: conventions::Declared::read(&mut fields, slips),
        date: fields.date("date", slips),
        author: fields.text("author", slips),
        specimens: fields.count("specimens", slips),
        readings_from: fields.text("readings_from", slips),
        sequence: fields.texts("sequence", slips),
        ..Front::default()
    };
    front.kind = page_kind(&mut fields, &front, slips);
    for (id, node) in fields.entries("sources", "the sources", slips) {
        front.sources.extend(source_decl(source, id, node, slips));
    }
    for (name, node) in fields.entries("readings", "the readings", slips) {
        let name = usable(source, name, slips);
        front.readings.extend(reading_decl(source, name, node, slips));
    }
    for (name, node) in fields.entries("derived", "the derived figures", slips) {
        let name = usable(source, name, slips);
        front.derived.extend(derived_decl(source, name, node, slips));
    }
    records(source, &mut fields, &mut front, slips);
    fields.finish(slips);
    if let ([name, ..], None) = (front.called.as_slice(), &front.engine) {
        let message = "other names of an engine stand on a page that has no `engine`";
        let slip = Slip::stop("missing-key", Spot::new(source, name.span), message);
        slips.push(slip.help("add `engine: …`, or leave `called` out"));
    }
    front
}

/// What the page puts on record beside its figures: claims, corrections, waivers and the like.
fn records(
    source: &Arc<Source>,
    fields: &mut Fields<'_>,
    front: &mut Front,
    slips: &mut Vec<Slip>,
) {
    front.claims = each(source, fields, "claims", "a claim", slips, |fields, slips| {
        Some(ClaimDecl {
            say: fields.required("say", slips)?,
            holds: fields.required("holds", slips)?,
        })
    });
    front.corrections =
        each(source, fields, "corrections", "a correction", slips, |fields, slips| {
            Some(CorrectionDecl {
                on: fields.date("on", slips),
                figure: fields.required("figure", slips)?,
                was: fields.required("was", slips)?,
                now: fields.required("now", slips)?,
                because: fields.text("because", slips),
                from: fields.text("from", slips),
            })
        });
    front.waivers = each(source, fields, "waivers", "a waiver", slips, |fields, slips| {
        // One with a day that cannot be read is told of once, and lets nothing pass.
        let days = ["on", "until"].map(|key| (!fields.is_empty(key), fields.day(key, slips)));
        let waiver = WaiverDecl {
            fault: fields.required("fault", slips)?,
            at: fields.required("at", slips)?,
            because: fields.required("because", slips)?,
            on: days[0].1.clone(),
            until: days[1].1.clone(),
        };
        days.iter().all(|(stands, day)| day.is_some() || !stands).then_some(waiver)
    });
    front.questions = each(source, fields, "questions", "a question", slips, |fields, slips| {
        Some(QuestionDecl {
            ask: fields.required("ask", slips)?,
            settles: fields.text("settles", slips),
        })
    });
    front.revisions = each(source, fields, "revisions", "a revision", slips, |fields, slips| {
        Some(RevisionDecl {
            name: fields.required("name", slips)?,
            on: fields.date("on", slips),
            changed: fields.text("changed", slips),
        })
    });
    front.timeline = each(source, fields, "timeline", "an event", slips, |fields, slips| {
        let on = fields.date("on", slips);
        if on.is_none() && fields.is_empty("on") {
            fields.required("on", slips)?;
        }
        Some(EventDecl {
            on: on?,
            what: fields.required("what", slips)?,
            kind: fields
                .word("kind", "a kind of event", EventKind::ALL, slips)
                .unwrap_or(EventKind::Happened),
            by: fields.text("by", slips),
            from: fields.text("from", slips),
        })
    });
    front.taken_together = fields.groups("taken_together", slips);
}

/// Reads every map of a list; what lacks a required key is left out.
fn each<T>(
    source: &Arc<Source>,
    fields: &mut Fields<'_>,
    key: &'static str,
    what: &'static str,
    slips: &mut Vec<Slip>,
    read: impl Fn(&mut Fields<'_>, &mut Vec<Slip>) -> Option<T>,
) -> Vec<T> {
    let mut all = Vec::new();
    for node in fields.list(key) {
        let Some(mut inner) = Fields::open(source, node, what, slips) else { continue };
        let item = read(&mut inner, slips);
        // A missing key has been told; unknown ones beside it would only be its echo.
        if let Some(item) = item {
            inner.finish(slips);
            all.push(item);
        }
    }
    all
}

fn page_kind(fields: &mut Fields<'_>, front: &Front, slips: &mut Vec<Slip>) -> PageKind {
    let implied = match (&front.engine, front.compare.is_empty()) {
        (Some(_), _) => PageKind::Engine,
        (None, false) => PageKind::Comparison,
        (None, true) => PageKind::Article,
    };
    fields.word("kind", "a kind of page", PageKind::ALL, slips).unwrap_or(implied)
}

/// The name as formulas can use it; complains where that is not the one typed.
fn usable(source: &Arc<Source>, name: Text, slips: &mut Vec<Slip>) -> Text {
    let proper = name.text.starts_with(|c: char| c.is_ascii_lowercase())
        && name.text.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_');
    if proper {
        return name;
    }
    let words: Vec<String> = name
        .text
        .to_lowercase()
        .split(|c: char| !c.is_ascii_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect();
    let message = format!("`{}` cannot be used as a name in formulas", name.text);
    let slip = Slip::stop("name-unusable", Spot::new(source, name.inside()), message)
        .noting("names are small letters, digits and _; the words for prose go into `called`");
    if words.is_empty() {
        slips.push(slip);
        return name;
    }
    // One cause, one slip: everything else goes on with the name that is proposed.
    let proposed = words.join("_");
    slips.push(slip.write(proposed.clone()));
    name.replaced(proposed)
}

fn source_decl(
    source: &Arc<Source>,
    id: Text,
    node: YamlNode,
    slips: &mut Vec<Slip>,
) -> Option<SourceDecl> {
    let kind_of = |word: &str| SourceKind::ALL.iter().find(|(known, _)| *known == word);
    if let YamlValue::Text(word) = &node.value
        && let Some((_, kind)) = kind_of(&word.text)
    {
        return Some(SourceDecl::of_kind(id, *kind));
    }
    let mut fields = Fields::open(source, node, "a source", slips)?;
    if fields.is_empty("kind") {
        fields.required("kind", slips)?;
    }
    let kind = fields.word("kind", "a kind of source", SourceKind::ALL, slips)?;
    let decl = SourceDecl {
        title: fields.text("title", slips),
        rev: fields.text("rev", slips),
        by: fields.text("by", slips),
        on: fields.date("on", slips),
        with: fields.text("with", slips),
        standing: fields.text("standing", slips),
        note: fields.text("note", slips),
        ..SourceDecl::of_kind(id, kind)
    };
    fields.finish(slips);
    if decl.kind == SourceKind::Hearsay
        && (decl.on.is_none() || (decl.by.is_none() && decl.title.is_none()))
    {
        let message = format!("hearsay `{}` does not say who and when", decl.id.text);
        let slip = Slip::stop("hearsay-without-source", Spot::new(source, decl.id.span), message);
        slips.push(slip.help("add `by: …` (or `title: …`) and `on: 2026-01-31`"));
    }
    Some(decl)
}

fn reading_decl(
    source: &Arc<Source>,
    name: Text,
    node: YamlNode,
    slips: &mut Vec<Slip>,
) -> Option<ReadingDecl> {
    let mut decl = ReadingDecl {
        name,
        called: Vec::new(),
        statements: Vec::new(),
        not_measured: None,
        like: None,
        setting: false,
        revision: None,
        note: None,
    };
    let span = node.span;
    let node = match node.value {
        YamlValue::Text(text) => {
            let form = Form::Written(text);
            decl.statements.push(StatementDecl { form, from: None, with: None, span });
            return Some(decl);
        }
        YamlValue::List(items) => {
            slips.push(bare_list(source, &decl.name, span, items.len()));
            return None;
        }
        value => YamlNode { span, value },
    };
    let mut fields = Fields::open(source, node, "a reading", slips)?;
    decl.called = fields.texts("called", slips);
    decl.note = fields.text("note", slips);
    decl.revision = fields.text("revision", slips);
    decl.setting = fields.flag("setting", slips);
    decl.like = fields.text("like", slips);
    decl.not_measured = fields.text("not measured", slips);
    decl.statements.extend(statement(&mut fields, span, slips));
    for node in fields.list("also") {
        let span = node.span;
        if let YamlValue::Text(text) = node.value {
            let form = Form::Written(text);
            decl.statements.push(StatementDecl { form, from: None, with: None, span });
        } else if let Some(mut inner) = Fields::open(source, node, "a second statement", slips) {
            decl.statements.extend(statement(&mut inner, span, slips));
            inner.finish(slips);
        }
    }
    let has_value =
        !decl.statements.is_empty() || decl.like.is_some() || decl.not_measured.is_some();
    fields.finish(slips);
    if !has_value {
        let message = format!("reading `{}` has no value", decl.name.text);
        let slip = Slip::stop("missing-key", Spot::new(source, decl.name.span), message);
        slips.push(slip.help("add `is: …`, or `not measured: \"why\"`"));
        return None;
    }
    Some(decl)
}

fn bare_list(source: &Arc<Source>, name: &Text, span: Span, count: usize) -> Slip {
    let line = source.line_span(span.start);
    let spot = Spot::new(source, Span::new(span.start, span.end.max(span.start + 1).min(line.end)));
    let message = format!("reading `{}` is a list of {count} without a unit", name.text);
    Slip::stop("yaml-trap", spot, message)
        .help(format!("write `{}: {{repeats: […], unit: mm}}`", name.text))
}

fn statement(fields: &mut Fields<'_>, span: Span, slips: &mut Vec<Slip>) -> Option<StatementDecl> {
    let written = fields.text("is", slips);
    let repeats = fields.texts("repeats", slips);
    let unit = fields.text("unit", slips);
    let pairs = fields.texts("pairs", slips);
    let from = fields.text("from", slips);
    let with = fields.text("with", slips);
    let form = match (written, repeats.is_empty(), pairs.is_empty()) {
        (Some(text), _, _) => Form::Written(text),
        (None, false, _) => {
            Form::Repeats { values: repeats, unit: unit.unwrap_or_else(|| Text::detached("")) }
        }
        (None, true, false) => Form::Pairs(pairs),
        (None, true, true) => return None,
    };
    Some(StatementDecl { form, from, with, span })
}

fn derived_decl(
    source: &Arc<Source>,
    name: Text,
    node: YamlNode,
    slips: &mut Vec<Slip>,
) -> Option<DerivedDecl> {
    if let YamlValue::Text(formula) = node.value {
        return Some(DerivedDecl { name, formula, called: Vec::new(), unit: None, note: None });
    }
    let mut fields = Fields::open(source, node, "a derived figure", slips)?;
    let formula = fields.required("is", slips)?;
    let decl = DerivedDecl {
        name,
        formula,
        called: fields.texts("called", slips),
        unit: fields.text("as", slips),
        note: fields.text("note", slips),
    };
    fields.finish(slips);
    Some(decl)
}
