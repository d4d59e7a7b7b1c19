//! How a page stands: coverage, sources, corrections, marks, statements, asides, waivers.

use super::Edition;
use super::marks::{Tally, tally, words};
use crate::folio::PageEntry;
use crate::page::front::{SourceDecl, SourceKind};
use crate::page::yaml::Text;
use crate::proof::{PageProof, Status};
use crate::sheet::statement::print_spaces;
use crate::site::shared::Link;
use crate::slip::{Severity, Slip};
use serde::Serialize;

/// How a page stands. Lists may be empty; a theme leaves out what is empty.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct Standing {
    /// Counts by how figures were checked.
    pub(crate) coverage: Tally,
    pub(crate) sources: Vec<SourceRow>,
    pub(crate) corrections: Vec<CorrectionRow>,
    /// Figures published with a visible mark.
    pub(crate) marks: Vec<MarkRow>,
    /// What sentences say of things, with how it came out.
    pub(crate) statements: Vec<StatementRow>,
    /// How many more nothing that is known decides.
    pub(crate) on_word: usize,
    pub(crate) asides: Vec<AsideRow>,
    pub(crate) waivers: Vec<WaiverRow>,
}

/// One source of a page.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct SourceRow {
    /// Anchor, without `#` (`source-bench`).
    pub(crate) anchor: String,
    /// Short name as the writer calls it.
    pub(crate) name: String,
    /// Kind in words ("measured", "maker says", "reported").
    pub(crate) kind: String,
    /// Everything else that is known: instrument, title, revision, who, when.
    pub(crate) details: String,
    /// How many figures of the page rest on it.
    pub(crate) figures: usize,
}

/// A correction that readers can see.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct CorrectionRow {
    pub(crate) on: String,
    /// What was corrected, in words.
    pub(crate) figure: String,
    /// Anchor of its row, without `#`; empty if it has none.
    pub(crate) anchor: String,
    /// What used to be stated.
    pub(crate) was: String,
    /// What is stated now.
    pub(crate) now: String,
    pub(crate) because: String,
    /// From which source; may be empty.
    pub(crate) source: String,
}

/// A slip that the writer lets pass.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct WaiverRow {
    /// Anchor, without `#` (`waiver-1`).
    pub(crate) anchor: String,
    /// The fault, with its page in the catalogue.
    pub(crate) fault: Link,
    /// The figure or words it is about.
    pub(crate) at: String,
    /// Why it is let pass.
    pub(crate) because: String,
    /// Date, ISO 8601; may be empty.
    pub(crate) on: String,
}

/// A sentence, or a clause of one, that says something of two things.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct StatementRow {
    /// Anchor, without `#`: where the mark in the text leads.
    pub(crate) anchor: String,
    /// As written.
    pub(crate) text: String,
    /// How it came out: "holds", "open"; in a draft also "does not hold".
    pub(crate) standing: &'static str,
    /// The numbers or the run behind it.
    pub(crate) reason: String,
}

/// A figure that is not the folio's to check.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct AsideRow {
    /// Anchor, without `#` (`aside-1`).
    pub(crate) anchor: String,
    /// The figure as written.
    pub(crate) text: String,
    /// Why it is not checked.
    pub(crate) because: String,
}

/// A figure that is published with a visible mark.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct MarkRow {
    /// Anchor, without `#` (`mark-1`).
    pub(crate) anchor: String,
    pub(crate) mark: Status,
    /// Its sign, as it stands after the figure.
    pub(crate) sign: &'static str,
    /// The fault, with its page in the catalogue.
    pub(crate) fault: Link,
    /// The figure as written.
    pub(crate) text: String,
    /// What is the matter, in a sentence.
    pub(crate) message: String,
}

pub(super) fn plain(text: &Option<Text>) -> String {
    text.as_ref().map(|text| text.text.clone()).unwrap_or_default()
}

/// The page of a fault in the catalogue.
pub(super) fn fault_link(code: &str) -> Link {
    Link::new(code, format!("faults/{code}.html"))
}

/// Everything about how a page stands. `texts` gives the text of a figure by its number.
pub(super) fn standing(
    edition: &Edition,
    page: &PageEntry,
    proof: &PageProof,
    texts: &[String],
) -> Standing {
    let front = &page.front;
    Standing {
        coverage: tally(&proof.coverage),
        sources: front.sources.iter().map(|source| source_row(edition, page, source)).collect(),
        corrections: corrections(page),
        marks: marks(edition, proof),
        statements: statements(proof),
        on_word: proof.statements.iter().filter(|(_, judged)| !judged.is_known()).count(),
        asides: asides(proof, texts),
        waivers: front
            .waivers
            .iter()
            .enumerate()
            .map(|(index, waiver)| WaiverRow {
                anchor: format!("_waiver-{}", index + 1),
                fault: fault_link(&waiver.fault.text),
                at: waiver.at.text.clone(),
                because: waiver.because.text.clone(),
                on: plain(&waiver.on),
            })
            .collect(),
    }
}

fn corrections(page: &PageEntry) -> Vec<CorrectionRow> {
    let mut rows: Vec<CorrectionRow> = page
        .front
        .corrections
        .iter()
        .map(|correction| CorrectionRow {
            on: plain(&correction.on),
            figure: correction.figure.text.replace(['_', '.'], " "),
            anchor: format!("_reading-{}", correction.figure.text),
            was: print_spaces(&correction.was.text),
            now: print_spaces(&correction.now.text),
            because: plain(&correction.because),
            source: plain(&correction.from),
        })
        .collect();
    rows.sort_by(|a, b| b.on.cmp(&a.on));
    rows
}

fn marks(edition: &Edition, proof: &PageProof) -> Vec<MarkRow> {
    let wanted = |slip: &&Slip| {
        slip.severity == Severity::Mark || edition.site.draft && slip.severity == Severity::Stop
    };
    let slips = proof.slips.iter().filter(wanted).enumerate();
    slips
        .map(|(index, slip)| {
            let mark = match slip.code {
                "untied-figure" => Status::Untied,
                _ if slip.severity == Severity::Stop => Status::Disagrees,
                _ => Status::Lenient,
            };
            MarkRow {
                anchor: format!("_mark-{}", index + 1),
                mark,
                sign: words(mark).sign,
                fault: fault_link(slip.code),
                text: slip.spot.text().lines().next().unwrap_or("").to_owned(),
                message: slip.message.clone(),
            }
        })
        .collect()
}

/// Anchor, without `#`, of a statement among those that something known speaks of.
pub(super) fn statement_anchor(index: usize) -> String {
    format!("_statement-{}", index + 1)
}

fn statements(proof: &PageProof) -> Vec<StatementRow> {
    let known = proof.statements.iter().filter(|(_, judged)| judged.is_known());
    let rows = known.enumerate().map(|(index, (_, judged))| StatementRow {
        anchor: statement_anchor(index),
        text: judged.spot.text().split_whitespace().collect::<Vec<_>>().join(" "),
        standing: judged.standing.word(),
        reason: judged.reason.clone(),
    });
    rows.collect()
}

/// Asides in the order in which they stand; their numbers are those of the figures' links.
fn asides(proof: &PageProof, texts: &[String]) -> Vec<AsideRow> {
    let figures = proof.figures.iter().zip(texts);
    let asides = figures.filter(|((_, figure), _)| figure.status == Status::Aside);
    asides
        .enumerate()
        .map(|(index, ((_, figure), text))| AsideRow {
            anchor: format!("_aside-{}", index + 1),
            text: text.clone(),
            because: figure.reason.clone(),
        })
        .collect()
}

/// The words for a source's kind.
pub(super) fn kind_words(kind: SourceKind) -> &'static str {
    match kind {
        SourceKind::Measured => "measured",
        SourceKind::Maker => "maker says",
        SourceKind::Reported => "reported",
        SourceKind::Inferred => "inferred",
        SourceKind::Estimated => "estimated",
        SourceKind::Assumed => "assumed",
        SourceKind::Hearsay => "hearsay",
        SourceKind::Opinion => "opinion",
    }
}

/// Anchor of a source on its page, without `#`.
pub(super) fn source_anchor(source: &SourceDecl) -> String {
    format!("_source-{}", source.id.text)
}

/// A source as a reader knows it: a document by its title, anything else by its kind.
pub(super) fn source_words(source: &SourceDecl) -> String {
    let rev = source.rev.as_ref().map(|rev| format!(", rev. {}", rev.text)).unwrap_or_default();
    match &source.title {
        Some(title) => format!("{}{rev}", title.text),
        None => format!("{} ({})", kind_words(source.kind), source.id.text),
    }
}

fn source_row(edition: &Edition, page: &PageEntry, source: &SourceDecl) -> SourceRow {
    let instruments = &edition.folio.imprint.instruments;
    let with = source.with.as_ref().map(|with| {
        let declared = instruments.iter().find(|instrument| instrument.id.text == with.text);
        match declared.and_then(|instrument| instrument.what.as_ref()) {
            Some(what) => {
                let limit = declared.and_then(|instrument| instrument.plus_minus.as_ref());
                match limit {
                    Some(limit) => format!("with {} (± {})", what.text, limit.text),
                    None => format!("with {}", what.text),
                }
            }
            None => format!("with {}", with.text),
        }
    });
    let mut details: Vec<String> = Vec::new();
    details.extend(source.title.as_ref().map(|title| title.text.clone()));
    details.extend(source.rev.as_ref().map(|rev| format!("rev. {}", rev.text)));
    details.extend(source.by.as_ref().map(|by| format!("by {}", by.text)));
    details.extend(with);
    details.extend(source.on.as_ref().map(|on| on.text.clone()));
    details.extend(source.standing.as_ref().map(|standing| standing.text.clone()));
    details.extend(source.note.as_ref().map(|note| note.text.clone()));
    let id = source.id.text.as_str();
    let default = page.front.readings_from.as_ref().map(|from| from.text.as_str());
    let statements = page.front.readings.iter().flat_map(|reading| &reading.statements);
    SourceRow {
        anchor: source_anchor(source),
        name: id.to_owned(),
        kind: kind_words(source.kind).to_owned(),
        details: details.join(", "),
        figures: statements
            .filter(|statement| {
                let own = statement.from.as_ref().map(|text| text.text.as_str());
                own.or(default) == Some(id)
            })
            .count(),
    }
}
