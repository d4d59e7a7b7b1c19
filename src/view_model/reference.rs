//! The pages that the site makes by itself: how figures are checked, the catalogue of faults,
//! asides, search.

use super::frame::{Frame, made};
use super::home::{IndexEntry, entry, total};
use super::marks::{Tally, tally};
use super::{Digest, Edition, View};
use crate::formula::functions;
use crate::proof::catalogue::{self, Fault};
use crate::quantity::units::table;
use crate::site::shared::Link;
use crate::text::escaped;
use serde::Serialize;

/// How figures are checked: for readers who want to know what a mark is worth. The rules are the
/// theme's text.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct ChecksPage {
    pub(crate) frame: Frame,
    /// How a bare pressure is read ("gauge") and at which ambient pressure, in a sentence.
    pub(crate) conventions: String,
    /// How the figures of the whole site were checked.
    pub(crate) coverage: Tally,
    pub(crate) faults: Vec<FaultRow>,
    pub(crate) functions: Vec<FunctionRow>,
    pub(crate) units: Vec<UnitGroup>,
}

/// One fault in the list of faults.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct FaultRow {
    pub(crate) name: String,
    /// Address of its page.
    pub(crate) address: String,
    /// What it is, in a sentence.
    pub(crate) what: String,
    /// "stops publishing" or "publishes with a mark".
    pub(crate) consequence: String,
}

/// One function that formulas may use.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct FunctionRow {
    /// Anchor, without `#` (`function-circle_area`).
    pub(crate) anchor: String,
    /// Name with arguments (`circle_area(d)`).
    pub(crate) signature: String,
    /// What it gives ("area").
    pub(crate) gives: String,
    pub(crate) doc: String,
    pub(crate) range: String,
    /// Where it comes from.
    pub(crate) source: String,
}

/// Units of one kind of quantity.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct UnitGroup {
    pub(crate) kind: String,
    pub(crate) units: Vec<UnitRow>,
}

/// One unit.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct UnitRow {
    /// Symbol as the site prints it.
    pub(crate) symbol: String,
    pub(crate) name: String,
    /// Other spellings that are understood, joined.
    pub(crate) spellings: String,
    /// Its size in SI, exact ("6894.757… Pa = 4.4482216152605 N / 645.16 mm²").
    pub(crate) size: String,
    /// UCUM code; may be empty.
    pub(crate) ucum: String,
}

/// One fault of the catalogue.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct FaultPage {
    pub(crate) frame: Frame,
    pub(crate) name: String,
    /// "stops publishing" or "publishes with a mark".
    pub(crate) consequence: String,
    /// The slip, in a paragraph (finished HTML).
    pub(crate) what_html: String,
    /// How it misleads a reader (finished HTML).
    pub(crate) misleads_html: String,
    /// A text that trips it, as typed (finished HTML).
    pub(crate) trips_html: String,
    /// What the program prints of such a text; may be empty.
    pub(crate) prints: String,
    /// The same text put right, as typed.
    pub(crate) put_right_html: String,
    /// When to let it pass (finished HTML).
    pub(crate) let_pass_html: String,
    /// The nearest in meaning.
    pub(crate) related: Vec<Link>,
}

/// All that the folio does not check, or lets pass.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct AsidesPage {
    pub(crate) frame: Frame,
    /// Asides of all pages.
    pub(crate) asides: Vec<PageAside>,
    /// Waivers of all pages.
    pub(crate) waivers: Vec<PageWaiver>,
}

/// An aside together with its page.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct PageAside {
    /// The page, with the anchor of the aside.
    pub(crate) page: Link,
    /// The figure as written.
    pub(crate) text: String,
    /// Why it is not checked.
    pub(crate) because: String,
}

/// A waiver together with its page.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct PageWaiver {
    /// The page, with the anchor of the waiver.
    pub(crate) page: Link,
    /// The fault, with its page in the catalogue.
    pub(crate) fault: Link,
    /// The figure or words it is about.
    pub(crate) at: String,
    /// Why it is let pass.
    pub(crate) because: String,
    /// Date, ISO 8601; may be empty.
    pub(crate) on: String,
}

/// Search. Without JavaScript it is the list of all pages.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct SearchPage {
    pub(crate) frame: Frame,
    /// All pages by title.
    pub(crate) pages: Vec<IndexEntry>,
}

/// How figures are checked.
pub(crate) fn checks_page(edition: &Edition, digests: &[Digest]) -> View {
    let conventions = &edition.folio.conventions;
    let reference = match conventions.bare_pressure {
        Some(reference) => format!("A pressure without a mark is {}", reference.word()),
        None => "A pressure without a mark is not tied to a reference".to_owned(),
    };
    let kilopascal = crate::quantity::Rational::from_integer(1000.into());
    let ambient = crate::quantity::Real::Exact(&conventions.ambient / kilopascal);
    let ambient = crate::quantity::print::digits(&ambient, 3);
    View::Checks(Box::new(ChecksPage {
        frame: made(
            edition,
            "checks.html",
            "How figures are checked",
            "Method",
            "What a mark on a figure is worth: the rules, the faults, the functions and the units.",
        ),
        conventions: format!("{reference}; ambient pressure is {ambient} kPa absolute."),
        coverage: tally(&total(digests)),
        faults: catalogue::all().iter().map(fault_row).collect(),
        functions: functions::all().map(function_row).collect(),
        units: unit_groups(),
    }))
}

fn fault_row(fault: &Fault) -> FaultRow {
    FaultRow {
        name: fault.code.to_owned(),
        address: format!("faults/{}.html", fault.code),
        what: fault.title.to_owned(),
        consequence: fault.consequence.to_owned(),
    }
}

fn function_row(function: &functions::Function) -> FunctionRow {
    FunctionRow {
        anchor: format!("_function-{}", function.name),
        signature: function.usage(),
        gives: function.result.words().to_owned(),
        doc: function.doc.to_owned(),
        range: function.range.to_owned(),
        source: function.source.to_owned(),
    }
}

fn unit_groups() -> Vec<UnitGroup> {
    let mut groups: Vec<UnitGroup> = Vec::new();
    for unit in table().units() {
        let kind = match unit.kind.word() {
            Some(word) if unit.dimension != crate::quantity::Dimension::TEMPERATURE => {
                word.to_owned()
            }
            _ => unit.dimension.name(),
        };
        let spellings: Vec<&str> = table().spellings_of(unit).collect();
        let row = UnitRow {
            symbol: unit.symbol.to_string(),
            name: spellings
                .iter()
                .find(|s| 3 < s.len() && s.is_ascii())
                .copied()
                .unwrap_or("")
                .to_owned(),
            spellings: spellings.join(", "),
            size: format!(
                "{} {}",
                crate::quantity::machine::digits(&unit.factor),
                unit.dimension.base_units()
            ),
            ucum: unit.code.to_string(),
        };
        if unit.code == "1" {
            continue;
        }
        match groups.iter_mut().find(|group| group.kind == kind) {
            Some(group) => group.units.push(row),
            None => groups.push(UnitGroup { kind, units: vec![row] }),
        }
    }
    groups
}

/// The catalogue: one page a fault.
pub(crate) fn fault_pages(edition: &Edition) -> Vec<View> {
    let link = |fault: &Fault| Link::new(fault.title, format!("faults/{}.html", fault.code));
    let page = |fault: &Fault| {
        let address = format!("faults/{}.html", fault.code);
        let related = catalogue::related(fault.code).iter().map(|fault| link(fault)).collect();
        View::Fault(Box::new(FaultPage {
            frame: made(
                edition,
                &address,
                fault.title,
                "Fault",
                &format!("{}: a fault that the proof finds ({}).", fault.title, fault.consequence),
            ),
            name: fault.code.to_owned(),
            consequence: fault.consequence.to_owned(),
            what_html: paragraphs(fault.slip),
            misleads_html: paragraphs(fault.misleads),
            trips_html: typed(fault.trips),
            prints: fault.prints.trim_end().to_owned(),
            put_right_html: typed(fault.put_right),
            let_pass_html: paragraphs(fault.let_pass),
            related,
        }))
    };
    catalogue::all().iter().map(page).collect()
}

/// Paragraphs, and lines indented by four blanks as they are typed.
fn typed(text: &str) -> String {
    let mut html = String::new();
    let lines: Vec<&str> = text.lines().collect();
    let is_code = |line: &&str| line.starts_with("    ");
    // Empty lines belong to what stands around them: within typed lines they stay.
    for run in lines.chunk_by(|a, b| is_code(a) == is_code(b) || a.is_empty() || b.is_empty()) {
        let words = run.iter().position(is_code).unwrap_or(run.len());
        let (words, code) = run.split_at(words);
        html.push_str(&paragraphs(&words.join("\n")));
        if !code.is_empty() {
            let code: Vec<&str> =
                code.iter().map(|line| line.strip_prefix("    ").unwrap_or(line)).collect();
            html.push_str("<pre tabindex=\"0\" role=\"group\" aria-label=\"As typed\"><code>");
            html.push_str(&escaped(code.join("\n").trim_end()));
            html.push_str("</code></pre>");
        }
    }
    html
}

/// Plain paragraphs with code between backticks.
pub(super) fn paragraphs(text: &str) -> String {
    let mut html = String::new();
    for paragraph in text.split("\n\n").filter(|paragraph| !paragraph.trim().is_empty()) {
        html.push_str("<p>");
        for (index, part) in paragraph.trim().split('`').enumerate() {
            if index % 2 == 0 {
                html.push_str(&escaped(part));
            } else {
                html.push_str(&format!("<code>{}</code>", escaped(part)));
            }
        }
        html.push_str("</p>");
    }
    html
}

/// Asides and waivers of the whole folio.
pub(crate) fn asides_page(edition: &Edition, digests: &[Digest]) -> View {
    let mut page = AsidesPage {
        frame: made(
            edition,
            "asides.html",
            "Asides and waivers",
            "List",
            "Every figure that is not ours to check, and every slip that is let pass, with the reason.",
        ),
        ..AsidesPage::default()
    };
    for digest in digests {
        let from = &edition.folio.pages[digest.page];
        let link = |anchor: &str| Link::new(from.title(), format!("{}#{anchor}", from.address));
        page.asides.extend(digest.asides.iter().map(|aside| PageAside {
            page: link(&aside.anchor),
            text: aside.text.clone(),
            because: aside.because.clone(),
        }));
        page.waivers.extend(digest.waivers.iter().map(|waiver| PageWaiver {
            page: link(&waiver.anchor),
            fault: waiver.fault.clone(),
            at: waiver.at.clone(),
            because: waiver.because.clone(),
            on: waiver.on.clone(),
        }));
    }
    View::Asides(Box::new(page))
}

/// Search; without JavaScript the list of all pages.
pub(crate) fn search_page(edition: &Edition) -> View {
    let mut pages: Vec<IndexEntry> = edition.folio.pages.iter().map(entry).collect();
    pages.sort_by_key(|page| page.title.to_lowercase());
    View::Search(Box::new(SearchPage {
        frame: made(
            edition,
            "search.html",
            "Search",
            "List",
            "Words, or a number with its unit, in all sheets; and the list of all of them.",
        ),
        pages,
    }))
}
