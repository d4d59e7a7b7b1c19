//! The page of one engine: key figures, claims, relations, caution.

use super::Edition;
use super::data_sheet::{DerivedRow, ReadingGroup, derived, inputs, readings};
use super::faults::FaultsView;
use super::forces::{ForcedPart, forced_parts};
use super::frame::{Caution, ContentsHeading, Frame, written};
use super::history::{HistoryRow, history};
use super::shot::{SequenceRow, ShotView};
use super::spares::{SpringRow, springs_of};
use super::standing::{Standing, plain};
use crate::folio::PageEntry;
use crate::folio::roles::drawn_store_volume;
use crate::proof::figure::support;
use crate::proof::{PageProof, Status};
use crate::quantity::{Dimension, Verdict};
use crate::sheet::energy::{Stored, in_bottle, left, stored};
use crate::sheet::print::{Shown, shown, shown_half_width, valued};
use crate::site::shared::Link;
use crate::text::proper_name;
use serde::Serialize;

/// The page of one engine.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct EnginePage {
    pub(crate) frame: Frame,
    pub(crate) engine: String,
    pub(crate) family: String,
    /// The engine it comes from, if the writer says so.
    pub(crate) descends_from: Option<Link>,
    /// Engines that come from it.
    pub(crate) descendants: Vec<Link>,
    /// Comparison pages it stands on.
    pub(crate) compared_on: Vec<Link>,
    /// The engines before and behind it in its family.
    pub(crate) previous: Option<Link>,
    pub(crate) next: Option<Link>,
    /// Number of specimens measured.
    pub(crate) specimens: usize,
    /// The figures worth seeing first, six at most.
    pub(crate) key_figures: Vec<KeyFigure>,
    /// The running text, finished HTML.
    pub(crate) body_html: String,
    /// The data sheet's readings.
    pub(crate) readings: Vec<ReadingGroup>,
    pub(crate) derived: Vec<DerivedRow>,
    pub(crate) claims: Vec<ClaimRow>,
    /// The writer's order of events.
    pub(crate) sequence: Vec<SequenceRow>,
    /// One shot, where the engine has a cutaway.
    pub(crate) shot: Option<ShotView>,
    /// The springs of its cutaway.
    pub(crate) springs: Vec<SpringRow>,
    /// What happens when something is wrong, where the engine has a cutaway.
    pub(crate) faults: Option<FaultsView>,
    /// What pushes its parts, where its cutaway has sizes.
    pub(crate) forces: Vec<ForcedPart>,
    /// The page of what its sizes come to; none where it has none.
    pub(crate) sizes: Option<Link>,
    pub(crate) questions: Vec<QuestionRow>,
    /// What happened to the engine, and its revisions.
    pub(crate) history: Vec<HistoryRow>,
    /// How the page stands.
    pub(crate) standing: Standing,
    /// Machine-readable files of this engine ("Data sheet (CSV)").
    pub(crate) downloads: Vec<Link>,
}

/// A figure worth seeing first.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct KeyFigure {
    /// Name in words ("operating pressure").
    pub(crate) label: String,
    pub(crate) shown: Shown,
    /// Its ±, if it has one.
    pub(crate) plus_minus: Option<Shown>,
    /// Anchor of its row on the engine's page, without `#`.
    pub(crate) anchor: String,
    /// How far it has been checked.
    pub(crate) mark: Status,
}

/// A claim of the writer and how it was judged.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct ClaimRow {
    /// Anchor, without `#` (`claim-1`).
    pub(crate) anchor: String,
    /// What the writer says.
    pub(crate) say: String,
    /// The formula it rests on.
    pub(crate) holds: String,
    /// How it was judged.
    pub(crate) verdict: &'static str,
    /// What was worked out ("retained share works out as 61 % ± 2 %").
    pub(crate) reason: String,
}

/// Something the writer does not know yet.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct QuestionRow {
    pub(crate) ask: String,
    /// What would settle it; may be empty.
    pub(crate) settles: String,
}

/// Sets an engine's page.
pub(super) fn engine_page(
    edition: &Edition,
    page: &PageEntry,
    proof: &PageProof,
    body_html: String,
    contents: Vec<ContentsHeading>,
    standing: Standing,
) -> EnginePage {
    let folio = &edition.folio;
    let front = &page.front;
    let caution = page.sheet.map(|sheet| caution(edition, sheet));
    let routed = front.engine.as_ref().and_then(|engine| folio.routing.of(&engine.text));
    let mut view = EnginePage {
        frame: written(edition, page, contents, caution),
        engine: plain(&front.engine),
        family: proper_name(&plain(&front.family)),
        body_html,
        sequence: super::shot::sequence(&front.sequence, proof, routed),
        shot: super::shot::shot(edition, &plain(&front.engine)),
        faults: super::faults::faults(edition, &plain(&front.engine)),
        forces: forced_parts(folio, &plain(&front.engine)),
        sizes: super::sizes::sizes_address(folio, page)
            .map(|address| Link::new("forces on its parts", address)),
        questions: front
            .questions
            .iter()
            .map(|question| QuestionRow {
                ask: question.ask.text.clone(),
                settles: plain(&question.settles),
            })
            .collect(),
        history: history(front, &page.address),
        standing,
        ..EnginePage::default()
    };
    view.claims = claims(page, proof);
    relations(edition, page, &mut view);
    let Some(sheet) = page.sheet else { return view };
    let item = &folio.ledger.sheets[sheet];
    view.specimens = item.specimens;
    view.springs = routed.map(|it| springs_of(folio, sheet, &it.engine)).unwrap_or_default();
    view.key_figures = key_figures(edition, sheet, 6);
    view.readings = readings(edition, sheet, proof);
    view.derived = derived(edition, sheet);
    if let Some(engine) = &item.engine {
        view.downloads = vec![
            Link::new("CSV", format!("data/{engine}.csv")),
            Link::new("JSON", format!("data/{engine}.json")),
        ];
    }
    view
}

fn relations(edition: &Edition, page: &PageEntry, view: &mut EnginePage) {
    let folio = &edition.folio;
    let Some(own) = page.front.engine.as_ref().map(|engine| engine.text.as_str()) else { return };
    let link = |page: &PageEntry| Link::new(page.title(), page.address.clone());
    let ancestor = page.front.descends_from.as_ref();
    view.descends_from = ancestor.and_then(|from| folio.ledger.engine(&from.text)).map(|sheet| {
        let sheet = &folio.ledger.sheets[sheet];
        Link::new(&sheet.title, sheet.address.clone())
    });
    let links = |pages: Option<&Vec<usize>>| -> Vec<Link> {
        pages.into_iter().flatten().map(|page| link(&folio.pages[*page])).collect()
    };
    view.descendants = links(edition.descendants.get(own));
    view.compared_on = links(edition.comparisons.get(own));
    let family = page.front.family.as_ref().and_then(|family| edition.families.get(&family.text));
    let Some(family) = family else { return };
    let own = folio.by_name.get(&page.name);
    let at = own.and_then(|own| family.binary_search(own).ok());
    let neighbour = |at: Option<usize>| Some(link(&folio.pages[*family.get(at?)?]));
    view.previous = neighbour(at.and_then(|at| at.checked_sub(1)));
    view.next = neighbour(at.map(|at| at + 1));
}

/// The claims of a page with their verdicts.
pub(super) fn claims(page: &PageEntry, proof: &PageProof) -> Vec<ClaimRow> {
    let claims = page.front.claims.iter().zip(&proof.claims).enumerate();
    claims
        .map(|(index, (claim, finding))| ClaimRow {
            anchor: format!("_claim-{}", index + 1),
            say: claim.say.text.clone(),
            holds: claim.holds.text.clone(),
            verdict: finding.verdict().map_or("open", Verdict::word),
            reason: finding.told.clone(),
        })
        .collect()
}

/// The figures worth seeing first: one of each kind that readers look for.
#[must_use]
pub(super) fn key_figures(edition: &Edition, sheet: usize, most: usize) -> Vec<KeyFigure> {
    const WANTED: [Dimension; 7] = [
        Dimension::PRESSURE,
        Dimension::VOLUME,
        Dimension::LENGTH,
        Dimension::VELOCITY,
        Dimension::ENERGY,
        Dimension::TIME,
        Dimension::SPRING_RATE,
    ];
    let ledger = &edition.folio.ledger;
    let mut firsts: [Option<KeyFigure>; WANTED.len()] = Default::default();
    for (index, entry) in ledger.sheets[sheet].entries.iter().enumerate() {
        let Some((value, half_width, style)) = valued(ledger, sheet, index) else { continue };
        let quantity = &value.quantity;
        let Some(at) = WANTED.iter().position(|wanted| *wanted == quantity.dimension) else {
            continue;
        };
        firsts[at].get_or_insert_with(|| KeyFigure {
            label: entry.words(),
            shown: shown(quantity, &style, None),
            plus_minus: shown_half_width(quantity, &style, half_width),
            anchor: entry.anchor(),
            mark: support(&ledger.sheets[sheet], entry),
        });
    }
    firsts.into_iter().flatten().take(most).collect()
}

/// The caution with the energy of the air in the engine.
fn caution(edition: &Edition, sheet: usize) -> Caution {
    let ledger = &edition.folio.ledger;
    let item = &ledger.sheets[sheet];
    let mut caution =
        Caution { more: edition.site.navigation.safety.clone(), ..Caution::default() };
    let drawn = drawn_store_volume(&edition.folio, sheet);
    match stored(ledger, sheet, drawn.as_deref()) {
        Stored::Derived(entry, quantity, style) => {
            caution.stored_energy = Some(shown(&quantity, &style, None));
            caution.stored_energy_anchor = item.entries[entry].anchor();
            if let Some(derived) = item.entries[entry].derived() {
                let links = inputs(edition, sheet, derived);
                let titles: Vec<&str> = links.iter().map(|link| link.title.as_str()).collect();
                caution.stored_energy_inputs = titles.join(", ");
            }
        }
        Stored::Usual(quantity, style) => {
            caution.stored_energy = Some(shown(&quantity, &style, None));
            caution.stored_energy_inputs = "from store volume and operating pressure, as the most \
                that its expansion to ambient can give"
                .to_owned();
        }
        Stored::Unknown(why) => caution.not_known = why,
    }
    if let Some((at, quantity, style)) = left(ledger, sheet, drawn.as_deref()) {
        caution.left = Some(shown(&quantity, &style, None));
        caution.left_at = at.replace('_', " ");
    }
    caution.bottle =
        in_bottle(ledger, sheet).map(|(quantity, style)| shown(&quantity, &style, None));
    caution
}
