//! The pages around the engines: first page, articles, glossary, how figures are checked, fault
//! catalogue, asides, search.

use super::{Coverage, Frame, KeyFigure, Link, Standing};
use serde::Serialize;

/// Running text: an article, or the safety page.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct ArticlePage {
    /// What surrounds it.
    pub frame: Frame,
    /// The running text, finished HTML.
    pub body_html: String,
    /// How the page stands.
    pub standing: Standing,
}

/// A term of the glossary.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Term {
    /// Anchor, without `#` (`term-dwell`).
    pub anchor: String,
    /// The term.
    pub term: String,
}

/// Terms explained. The explanations stand in `body_html`; `terms` are for jumping to them.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct GlossaryPage {
    /// What surrounds it.
    pub frame: Frame,
    /// Terms in alphabetical order, each with an anchor in `body_html`.
    pub terms: Vec<Term>,
    /// The running text, finished HTML.
    pub body_html: String,
    /// How the page stands.
    pub standing: Standing,
}

/// One engine on the first page.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct EngineCard {
    /// Title of the engine's page.
    pub title: String,
    /// Name of the engine in words.
    pub name: String,
    /// Address of its page.
    pub address: String,
    /// Its summary; may be empty.
    pub summary: String,
    /// A few key figures. The first page lists the labels of the family's first engine as heads.
    pub key_figures: Vec<KeyFigure>,
    /// How its figures were checked.
    pub coverage: Coverage,
    /// Number of figures published with a visible mark.
    pub marks: usize,
}

/// Engines of one family.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Family {
    /// Anchor, without `#` (`family-rowan`).
    pub anchor: String,
    /// Name in words.
    pub name: String,
    /// Its engines.
    pub engines: Vec<EngineCard>,
}

/// A page in a list of pages.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct IndexEntry {
    /// Title.
    pub title: String,
    /// Address.
    pub address: String,
    /// Kind in words.
    pub kind: String,
    /// Summary; may be empty.
    pub summary: String,
}

/// The first page.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct HomePage {
    /// What surrounds it.
    pub frame: Frame,
    /// The writer's own first page, finished HTML; may be empty.
    pub body_html: String,
    /// Engines by family.
    pub families: Vec<Family>,
    /// Comparison pages.
    pub comparisons: Vec<IndexEntry>,
    /// Other pages.
    pub articles: Vec<IndexEntry>,
    /// How the figures of the whole site were checked.
    pub coverage: Coverage,
    /// How that page's own text stands.
    pub standing: Standing,
}

/// One fault in the list of faults.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct FaultRow {
    /// Name (`untied-figure`).
    pub name: String,
    /// Address of its page.
    pub address: String,
    /// What it is, in a sentence.
    pub what: String,
    /// "stops publishing" or "publishes with a mark".
    pub consequence: String,
}

/// One function that formulas may use.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct FunctionRow {
    /// Anchor, without `#` (`function-circle_area`).
    pub anchor: String,
    /// Name with arguments (`circle_area(d)`).
    pub signature: String,
    /// What it gives ("area").
    pub gives: String,
    /// What it does.
    pub doc: String,
    /// Where it holds.
    pub range: String,
    /// Where it comes from.
    pub source: String,
}

/// One unit.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct UnitRow {
    /// Symbol as the site prints it.
    pub symbol: String,
    /// Name in words.
    pub name: String,
    /// Other spellings that are understood, joined.
    pub spellings: String,
    /// Its size in SI, exact ("6894.757… Pa = 4.4482216152605 N / 645.16 mm²").
    pub size: String,
    /// UCUM code; may be empty.
    pub ucum: String,
}

/// Units of one kind of quantity.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct UnitGroup {
    /// The kind ("pressure").
    pub kind: String,
    /// Its units.
    pub units: Vec<UnitRow>,
}

/// How figures are checked: for readers who want to know what a mark is worth. The rules are the
/// theme's text.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct ChecksPage {
    /// What surrounds it.
    pub frame: Frame,
    /// How a bare pressure is read ("gauge") and at which ambient pressure, in a sentence.
    pub conventions: String,
    /// How the figures of the whole site were checked.
    pub coverage: Coverage,
    /// Fault catalogue.
    pub faults: Vec<FaultRow>,
    /// Functions.
    pub functions: Vec<FunctionRow>,
    /// Units.
    pub units: Vec<UnitGroup>,
}

/// One fault of the catalogue.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct FaultPage {
    /// What surrounds it.
    pub frame: Frame,
    /// Name (`untied-figure`).
    pub name: String,
    /// "stops publishing" or "publishes with a mark".
    pub consequence: String,
    /// The slip, in a paragraph (finished HTML).
    pub what_html: String,
    /// How it misleads a reader (finished HTML).
    pub misleads_html: String,
    /// A text that trips it, as typed.
    pub trips: String,
    /// The message it yields, as typed on a terminal.
    pub message: String,
    /// The same text put right, as typed.
    pub put_right: String,
    /// When to let it pass (finished HTML).
    pub let_pass_html: String,
    /// Previous and next in the catalogue, and neighbours in meaning.
    pub related: Vec<Link>,
}

/// An aside together with its page.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct PageAside {
    /// The page, with the anchor of the aside.
    pub page: Link,
    /// The figure as written.
    pub text: String,
    /// Why it is not checked.
    pub because: String,
}

/// A waiver together with its page.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct PageWaiver {
    /// The page, with the anchor of the waiver.
    pub page: Link,
    /// The fault, with its page in the catalogue.
    pub fault: Link,
    /// The figure or words it is about.
    pub at: String,
    /// Why it is let pass.
    pub because: String,
    /// Date, ISO 8601; may be empty.
    pub on: String,
}

/// All that the folio does not check, or lets pass.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct AsidesPage {
    /// What surrounds it.
    pub frame: Frame,
    /// Asides of all pages.
    pub asides: Vec<PageAside>,
    /// Waivers of all pages.
    pub waivers: Vec<PageWaiver>,
}

/// Search. Without JavaScript it is the list of all pages.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct SearchPage {
    /// What surrounds it.
    pub frame: Frame,
    /// All pages by title.
    pub pages: Vec<IndexEntry>,
}
