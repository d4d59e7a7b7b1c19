//! Judging one page from end to end.

use super::checks::claim::{self, ClaimFinding};
use super::checks::link::{AnchorWanted, Wanted, anchor_missing};
use super::checks::sequence::SequenceFinding;
use super::checks::{
    choked, contradicted, correction, declared, drawn, heading, link, relation, revised, ring,
    sequence, source as sources, statement, stock, unused, waiver,
};
use super::figure::{Coverage, JudgedFigure, PassageProof};
use super::passage::{Passage, cell_frames};
use super::printing::PagePrinter;
use super::prose::{self, PageContext};
use crate::body::blocks::{self, Block, BlockKind, Document};
use crate::body::template::{self, Figures, Rendered};
use crate::folio::{Folio, PageEntry};
use crate::page::PageKind;
use crate::page::yaml::Text;
use crate::quantity::units::parse_unit;
use crate::slip::{Slip, arrange};
use crate::tables::find_dashes;
use crate::text::{Date, Source, Span, Spot};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// What the proof found out about a page.
#[derive(Debug, Default)]
pub struct PageProof {
    /// Slips, in order.
    pub slips: Vec<Slip>,
    /// Judged figures with the block they stand in.
    pub figures: Vec<(usize, JudgedFigure)>,
    /// Judged figures of front-matter texts.
    pub(crate) stated_in_front: Vec<JudgedFigure>,
    /// Counts of its figures.
    pub coverage: Coverage,
    /// Judged statements with the block they stand in.
    pub(crate) statements: Vec<(usize, relation::JudgedStatement)>,
    /// How the claims came out, in order.
    pub(crate) claims: Vec<ClaimFinding>,
    /// How the events of the sequence came out, in order; empty where there is no cutaway.
    pub(crate) sequence: Vec<SequenceFinding>,
    /// Waivers that let a slip pass, by their dates.
    pub(crate) waived: Vec<Date>,
    /// Anchors of the page.
    pub(crate) anchors: Vec<String>,
    /// What its links ask of the rest of the site.
    pub(crate) wanted: Wanted,
    /// Pictures that the page shows, by path below the folio, and where.
    pub(crate) pictures: Vec<(String, Spot)>,
    /// Named figures that the page uses.
    pub(crate) used: BTreeSet<unused::Named>,
}

impl PageProof {
    /// What sentences of the page say of things: the question that each statement became, how it
    /// came out, and why.
    pub fn stated(&self) -> impl Iterator<Item = (&str, &'static str, &str)> {
        let judged = self.statements.iter().map(|(_, judged)| judged);
        judged.map(|it| (it.question.as_str(), it.standing.word(), it.reason.as_str()))
    }
}

/// Judges a page whose file is `source`.
#[must_use]
pub fn judge(folio: &Arc<Folio>, page: usize, source: &Arc<Source>) -> PageProof {
    judge_with(folio, page, source, |_, proof| proof)
}

/// Judges a page, and keeps for every figure what was weighed.
#[must_use]
pub fn judge_and_explain(folio: &Arc<Folio>, page: usize, source: &Arc<Source>) -> PageProof {
    judged(folio, page, source, true, |_, proof| proof)
}

/// Judges a page and hands the document over with what was found, so that it need not be read
/// again to be written. Where the template failed the document lacks what it prints.
pub fn judge_with<T>(
    folio: &Arc<Folio>,
    page: usize,
    source: &Arc<Source>,
    then: impl FnOnce(&Document<'_>, PageProof) -> T,
) -> T {
    judged(folio, page, source, false, then)
}

fn judged<T>(
    folio: &Arc<Folio>,
    page: usize,
    source: &Arc<Source>,
    explains: bool,
    then: impl FnOnce(&Document<'_>, PageProof) -> T,
) -> T {
    let entry = &folio.pages[page];
    let mut proof = PageProof::default();
    let mut slips = Vec::new();
    let conventions = &entry.conventions;
    let own = (entry.front.kind != PageKind::Comparison).then_some(entry.sheet).flatten();
    let compared = entry.front.compare.iter().filter_map(|name| folio.ledger.engine(&name.text));
    let mut context = PageContext::new(folio, entry.sheet, own, conventions)
        .comparing(if own.is_none() { compared.collect() } else { Vec::new() });
    context.explains = explains;
    judge_front(entry, source, &context, &mut proof, &mut slips);
    let page_printer = Arc::new(PagePrinter::new(folio, page));
    let printer: Arc<dyn Figures> = Arc::<PagePrinter>::clone(&page_printer);
    let body =
        Span::new(entry.body.start.min(source.text.len()), entry.body.end.min(source.text.len()));
    let (rendered, failed) = match template::render(source, body, &printer) {
        Ok(rendered) => (rendered, false),
        Err(slip) => {
            slips.push(*slip);
            (template::without_expressions(source, body), true)
        }
    };
    let document = blocks::read(&rendered);
    judge_body(source, &rendered, &document, &context, &mut proof, &mut slips);
    proof.anchors = document.headings.iter().map(|heading| heading.id.clone()).collect();
    heading::judge(source, &rendered, &document, &mut slips);
    proof.wanted = link::judge(folio, entry, source, &rendered, &document, &mut slips);
    proof.pictures = drawn::judge(folio, entry, source, &rendered, &document, &mut slips);
    let stated = proof.figures.iter().map(|(_, figure)| figure).chain(&proof.stated_in_front);
    proof.used.extend(unused::on_page(folio, entry, &document, stated));
    proof.used.extend(page_printer.used());
    if let (true, Some(sheet)) = (failed, entry.sheet) {
        // What the template would have printed cannot be known.
        let entries = 0..folio.ledger.sheets[sheet].entries.len();
        proof.used.extend(entries.map(|entry| (sheet, entry)));
    }
    contradicted::judge(folio, entry, source, &mut proof, &mut slips);
    waiver::apply(folio, entry, source, &mut proof, &mut slips);
    let figures = proof.figures.iter().map(|(_, figure)| figure).chain(&proof.stated_in_front);
    for figure in figures {
        slips.extend(figure.slips.iter().cloned());
        proof.coverage.count(figure.status);
    }
    arrange(&mut slips);
    proof.slips = slips;
    then(&document, proof)
}

fn judge_front(
    entry: &PageEntry,
    source: &Arc<Source>,
    context: &PageContext<'_>,
    proof: &mut PageProof,
    slips: &mut Vec<Slip>,
) {
    let folio = context.folio;
    slips.extend(declared::judge(folio, entry, source));
    statement::judge(folio, entry, source, slips);
    sources::judge(folio, entry, source, slips);
    derived(folio, entry, source, slips);
    choked::judge(folio, entry, source, slips);
    correction::judge(folio, entry, source, slips);
    revised::judge(entry, source, slips);
    proof.claims = claim::judge(folio, entry, source, slips);
    proof.sequence = sequence::judge(folio, entry, source, slips);
    for engine in entry.front.compare.iter().chain(&entry.front.descends_from) {
        if folio.ledger.engine(&engine.text).is_none() {
            slips.push(sources::engine_unknown(folio, source, engine));
        }
    }
    for text in texts_of(entry) {
        let passage = Passage::of_text(source, text);
        let found = prose::judge(&passage, context, &[]);
        slips.extend(found.slips);
        proof.stated_in_front.extend(found.figures);
    }
    for claim in &entry.front.claims {
        said(source, &claim.say, &claim.holds, context, proof, slips);
    }
}

/// Texts of the front matter that readers see and that may hold figures.
fn texts_of(entry: &PageEntry) -> Vec<&Text> {
    let front = &entry.front;
    let mut texts: Vec<&Text> = front.title.iter().chain(&front.summary).collect();
    texts.extend(front.readings.iter().filter_map(|reading| reading.note.as_ref()));
    texts.extend(front.derived.iter().filter_map(|derived| derived.note.as_ref()));
    texts.extend(front.questions.iter().map(|question| &question.ask));
    texts.extend(front.sequence.iter());
    texts
}

/// A claim's sentence may state the figures of its own formula; others are judged as in prose.
fn said(
    source: &Arc<Source>,
    say: &Text,
    holds: &Text,
    context: &PageContext<'_>,
    proof: &mut PageProof,
    slips: &mut Vec<Slip>,
) {
    let passage = Passage::of_text(source, say);
    let found = prose::judge(&passage, context, &[]);
    slips.extend(found.slips);
    for mut figure in found.figures {
        let text = &say.text[figure.span.start..figure.span.end];
        if claim::is_own(&figure, text, &holds.text) {
            figure.settle();
        }
        proof.stated_in_front.push(figure);
    }
}

/// Faults of derived figures, each told once, at its own formula.
fn derived(folio: &Folio, entry: &PageEntry, source: &Arc<Source>, slips: &mut Vec<Slip>) {
    let Some(sheet) = entry.sheet else { return };
    let scope = folio.ledger.scope(sheet);
    let conventions = &folio.ledger.sheets[sheet].conventions;
    for item in &folio.ledger.sheets[sheet].entries {
        let Some(derived) = item.derived() else { continue };
        let Some(formula) = &derived.formula else { continue };
        let text = &derived.decl.formula;
        match crate::formula::evaluate(formula, &scope, conventions) {
            Ok(crate::formula::Outcome::Value(value)) => {
                slips.extend(wrong_unit(source, derived.decl.unit.as_ref(), &value, item));
            }
            Ok(crate::formula::Outcome::Truth(_)) => {
                let message = format!("{} is a comparison, not a value", item.words());
                let slip = Slip::stop("formula-fault", Spot::new(source, text.inside()), message);
                slips.push(slip.help("comparisons belong under `claims:`"));
            }
            Err(fault) => match fault.kind {
                crate::formula::FaultKind::Poisoned => {}
                crate::formula::FaultKind::Undecided => {
                    let message =
                        format!("{} cannot be worked out yet: {}", item.words(), fault.message);
                    let spot = Spot::new(source, text.inside());
                    slips.push(Slip::mark("claim-undecided", spot, message));
                }
                _ => {
                    let spot = Spot::new(source, text.part(fault.span));
                    slips.push(crate::sheet::declare::formula_slip(spot, &fault));
                }
            },
        }
    }
}

fn wrong_unit(
    source: &Arc<Source>,
    unit: Option<&Text>,
    value: &crate::formula::Value,
    item: &crate::sheet::Entry,
) -> Option<Slip> {
    let unit = unit?;
    let found = parse_unit(&unit.text)?;
    let dimension = value.quantity.dimension;
    if found.unit.dimension == dimension {
        return None;
    }
    let message =
        format!("{} is a {dimension}, which `{}` does not measure", item.words(), unit.text);
    Some(Slip::stop("formula-fault", Spot::new(source, unit.inside()), message))
}

fn judge_body(
    source: &Arc<Source>,
    rendered: &Rendered<'_>,
    document: &Document<'_>,
    context: &PageContext<'_>,
    proof: &mut PageProof,
    slips: &mut Vec<Slip>,
) {
    let frames = cell_frames(document);
    let (mut heading, mut lead) = ("", "");
    for (index, block) in document.blocks.iter().enumerate() {
        let mut passage = Passage::of_block(source, rendered, block);
        passage.heading = heading;
        passage.lead = lead;
        match block.kind {
            BlockKind::Heading => (heading, lead) = (block.text.as_str(), ""),
            BlockKind::Prose => lead = block.text.as_str(),
            _ => {}
        }
        if let Some(Some((frame, unit))) = frames.get(index) {
            passage = passage.within(frame);
            passage.column_unit = unit.as_deref().and_then(|unit| {
                let (unit, _, length) = crate::quantity::units::match_unit(unit)
                    .filter(|(_, _, length)| *length == unit.len())?;
                (0 < length).then_some(unit)
            });
        }
        hearsay(&passage, slips);
        let dashes = find_dashes(passage.text);
        let mut settled = ring::judge(&passage, &dashes, context, slips);
        let mut judged = claim::bound(&passage, context, slips);
        if block.kind == BlockKind::Prose {
            judged.extend(relation::judge(&passage, context, slips));
        }
        settled.extend(judged.iter().flat_map(|judged| judged.settled.iter().copied()));
        proof.coverage.count_statements(&judged);
        proof.statements.extend(judged.into_iter().map(|statement| (index, statement)));
        let mut found = prose::judge(&passage, context, &settled);
        proof.used.extend(stock::judge(&passage, &dashes, context, slips));
        if !document.broken_bindings.is_empty() {
            without_broken_bindings(&mut found, document, block, rendered);
        }
        slips.extend(found.slips);
        proof.figures.extend(found.figures.into_iter().map(|figure| (index, figure)));
    }
}

/// Figures inside a binding that Markdown did not read are not judged as prose: one cause, one
/// slip.
fn without_broken_bindings(
    found: &mut PassageProof,
    document: &Document<'_>,
    block: &Block,
    rendered: &Rendered<'_>,
) {
    let broken = &document.broken_bindings;
    found.figures.retain(|figure| {
        let place = block.rendered(figure.span);
        !broken.iter().any(|span| span.contains(place))
    });
    found.slips.retain(|slip| {
        let mut origins = broken.iter().map(|span| rendered.origin(*span).span);
        !origins.any(|span| span.contains(slip.spot.span))
    });
}

/// Hearsay in a page says who and when.
fn hearsay(passage: &Passage<'_>, slips: &mut Vec<Slip>) {
    let Some(crate::body::blocks::Setting::Hearsay(who)) = passage.setting else { return };
    if passage.setting_length == 0 {
        return;
    }
    let mut words = who.split(|c: char| !c.is_alphanumeric() && c != '-');
    let has_date = words.any(|word| Date::read(word).is_some());
    let has_name = who.chars().any(char::is_alphabetic);
    if has_date && has_name {
        return;
    }
    let words = passage.text[..passage.setting_length].trim_end();
    let spot = passage.spot(Span::new(0, words.len()));
    let message = "this hearsay does not say who and when";
    let slip = Slip::stop("hearsay-without-source", spot, message);
    slips.push(slip.help("write `> hearsay (who or where, 2026-01-31): …`"));
}

/// What can only be judged when all pages are: anchors on other pages, and readings that nobody
/// uses. `anchors` holds those of every page, by index; rows of data sheets count as anchors too.
/// `used` holds the named figures that some page uses.
#[must_use]
pub fn finish(
    folio: &Folio,
    wanted: &[AnchorWanted],
    anchors: &[Vec<String>],
    used: &BTreeSet<unused::Named>,
) -> Vec<Slip> {
    let mut slips = unused::judge(folio, used);
    let mut known: BTreeMap<usize, BTreeSet<String>> = BTreeMap::new();
    for want in wanted {
        let own = anchors.get(want.page).map(Vec::as_slice).unwrap_or_default();
        let known = known.entry(want.page).or_insert_with(|| {
            let sheet = folio.pages[want.page].sheet;
            let rows = sheet.map(|sheet| folio.ledger.sheets[sheet].entries.as_slice());
            let rows = rows.unwrap_or_default().iter().map(|entry| entry.anchor());
            rows.chain(own.iter().cloned()).collect()
        });
        if !known.contains(&want.anchor) {
            slips.push(anchor_missing(want, folio, own));
        }
    }
    slips
}
