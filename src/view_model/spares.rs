//! Which rings and which springs serve which engines: one table for the shelf of spares.

use super::engines::paged;
use super::frame::{Frame, made};
use super::{Edition, View};
use crate::cutaway::model::{Element, Engine, Name, PushKind};
use crate::folio::Folio;
use crate::sheet::print::{ShownWidth, shown_alone};
use crate::site::shared::Link;
use crate::text::proper_name;
use serde::Serialize;
use std::collections::BTreeMap;

/// Address of the page.
pub(super) const ADDRESS: &str = "spares.html";

/// Title of the page.
pub(super) const TITLE: &str = "Rings and springs";

/// Rings and springs of all engines.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct SparesPage {
    pub(crate) frame: Frame,
    pub(crate) rings: Vec<SpareRing>,
    pub(crate) springs: Vec<SpareSpring>,
}

/// A size of ring.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct SpareRing {
    /// "AS568 -014"; empty for rings whose size no page states.
    pub(crate) size: String,
    /// How many serve in all.
    pub(crate) count: usize,
    pub(crate) serves: Vec<ServedEngine>,
}

/// What it does in one engine.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct ServedEngine {
    pub(crate) engine: Link,
    /// The seals that it is.
    pub(crate) seals: Vec<String>,
}

/// A spring, and the engine that has it.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct SpareSpring {
    pub(crate) engine: Link,
    #[serde(flatten)]
    pub(crate) spring: SpringRow,
}

/// A spring of one engine.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct SpringRow {
    /// "return spring of the bolt".
    pub(crate) name: String,
    /// Rate, or the force that is stated instead.
    pub(crate) stated: Option<ShownWidth>,
    pub(crate) preload: Option<ShownWidth>,
}

/// The page.
pub(crate) fn spares_page(edition: &Edition) -> View {
    let folio = &edition.folio;
    let mut rings: BTreeMap<String, Vec<ServedEngine>> = BTreeMap::new();
    let mut springs = Vec::new();
    for own in paged(edition) {
        let page = &folio.pages[own.page];
        let Some(name) = page.front.engine.as_ref().map(|engine| engine.text.as_str()) else {
            continue;
        };
        let Some(routed) = folio.routing.of(name) else { continue };
        let engine = &routed.engine;
        let link = || Link::new(proper_name(name), page.address.clone());
        for seal in engine.seals.iter() {
            let size = seal.size.as_ref().map(|size| ring_size(folio, own.sheet, size));
            let served = rings.entry(size.unwrap_or_default()).or_default();
            match served.iter_mut().find(|served| served.engine.address == page.address) {
                Some(served) => served.seals.push(seal.name.spoken()),
                None => {
                    served.push(ServedEngine { engine: link(), seals: vec![seal.name.spoken()] });
                }
            }
        }
        let own_springs = springs_of(folio, own.sheet, engine);
        springs
            .extend(own_springs.into_iter().map(|spring| SpareSpring { engine: link(), spring }));
    }
    let all_rings = rings.into_iter().map(|(size, serves)| SpareRing {
        size,
        count: serves.iter().map(|served| served.seals.len()).sum(),
        serves,
    });
    // Those without a size come first in the order of texts, and are of the least use.
    let (mut all, unknown): (Vec<SpareRing>, Vec<SpareRing>) =
        all_rings.partition(|ring| !ring.size.is_empty());
    all.extend(unknown);
    let summary = "Which ring and which spring serves which engine.";
    let frame = made(edition, ADDRESS, TITLE, "List", summary);
    View::Spares(Box::new(SparesPage { frame, rings: all, springs }))
}

/// The size of a ring as one asks for it: a dash number, or as the page states it.
fn ring_size(folio: &Folio, sheet: usize, size: &Name) -> String {
    if size.id.starts_with('-') {
        return format!("AS568 {}", size.id);
    }
    let path = [size.id.as_str()];
    let found = folio.ledger.resolve(sheet, &path);
    let stated = found.and_then(|(sheet, entry, _)| {
        let reading = folio.ledger.sheets[sheet].entries[entry].reading()?;
        Some(reading.statements.first()?.written.clone())
    });
    stated.unwrap_or_default()
}

/// The springs of an engine.
pub(super) fn springs_of(folio: &Folio, sheet: usize, engine: &Engine) -> Vec<SpringRow> {
    let shown = |name: Option<&Name>| {
        let path = [name?.id.as_str()];
        let (sheet, entry, _) = folio.ledger.resolve(sheet, &path)?;
        shown_alone(&folio.ledger, sheet, entry)
    };
    let mut springs = Vec::new();
    for (part, own) in engine.parts.entries() {
        for (at, push) in own.pushes.entries().filter(|(_, it)| it.kind == PushKind::Spring) {
            let thing = Element::Push(part, at);
            springs.push(SpringRow {
                name: format!("{} of the {}", push.spring(), own.name.spoken()),
                stated: shown(engine.readings.get(&thing)),
                preload: shown(engine.preloads.get(&thing)),
            });
        }
    }
    springs
}
