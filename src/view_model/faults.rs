//! What happens when something is wrong with an engine: its variants, and the way back from what
//! one notices to what one should look at.

use super::Edition;
use crate::faults::{Noticed, SymptomEntry, noticed, symptoms};
use crate::folio::routing::{Routed, Shot};
use crate::logic::Ending;
use crate::text::capitalised;
use serde::Serialize;

/// Faults of one engine.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct FaultsView {
    /// The writer's variants.
    pub(crate) variants: Vec<VariantRow>,
    /// What single faults show.
    pub(crate) symptoms: Vec<SymptomRow>,
    /// Single faults of which nothing would be noticed, as a phrase each.
    pub(crate) unseen: Vec<String>,
    /// Single faults whose runs are not decided, or were not all followed.
    pub(crate) open: Vec<String>,
}

/// One variant.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct VariantRow {
    /// By what claims and comparisons name it: `rowan.torn`.
    pub(crate) name: String,
    /// What is different, in the writer's words.
    pub(crate) what: String,
    /// What one would notice first.
    pub(crate) first: String,
    /// How that comes, as a sentence; empty where nothing is noticed.
    pub(crate) run: String,
    /// What else one would notice.
    pub(crate) then: Vec<String>,
    /// Where the air goes; empty where none goes astray.
    pub(crate) air: String,
}

/// One symptom.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct SymptomRow {
    pub(crate) symptom: String,
    pub(crate) culprits: Vec<CulpritRow>,
}

/// Something to look at.
#[derive(Debug, Clone, Default, Serialize)]
pub(crate) struct CulpritRow {
    /// What would be wrong.
    pub(crate) what: String,
    /// Whether it shows only in some orders of events.
    pub(crate) sometimes: bool,
    /// The run that speaks for it, as a sentence.
    pub(crate) run: String,
}

/// What is known of the faults of an engine; `None` where it has no cutaway without faults.
pub(super) fn faults(edition: &Edition, name: &str) -> Option<FaultsView> {
    let routing = &edition.folio.routing;
    let routed = routing.of(name)?;
    let shot = routed.shot.as_ref()?;
    let own = format!("{}.", routed.engine.name.id);
    let variants = routing.engines.range(own.clone()..).take_while(|(id, _)| id.starts_with(&own));
    let rows = variants.filter_map(|(id, variant)| {
        let what = variant.engine.variant.as_deref()?;
        Some(variant_row((id, what), (variant, variant.shot.as_ref()?), (routed, shot)))
    });
    let table = symptoms(&routed.engine, &shot.found);
    Some(FaultsView {
        variants: rows.collect(),
        symptoms: table.entries.into_iter().map(symptom_row).collect(),
        unseen: table.unseen,
        open: table.open,
    })
}

fn variant_row(
    (name, what): (&str, &str),
    (variant, found): (&Routed, &Shot),
    (sound, of_sound): (&Routed, &Shot),
) -> VariantRow {
    let found = &found.found;
    let told = noticed((&variant.engine, found), (&sound.engine, &of_sound.found));
    let need = found.endings.iter().find_map(|(_, ending)| match ending {
        Ending::Undecided(need) => Some(format!("not decided {}", need.what)),
        _ => None,
    });
    let open =
        need.or_else(|| found.is_cut_short.then(|| "not all orders were followed".to_owned()));
    let nothing = || match &open {
        None => "nothing that shows in the order of events or in where air goes".to_owned(),
        Some(open) => format!("not known: {open}"),
    };
    let air = told.iter().find_map(|it| it.air.clone());
    let mut told = told.into_iter();
    let first = told.next();
    let mut then: Vec<String> = told.map(|it| phrase(&it)).collect();
    if first.is_some() {
        then.extend(open.clone());
    }
    VariantRow {
        name: name.to_owned(),
        what: capitalised(what),
        first: capitalised(&first.as_ref().map_or_else(nothing, phrase)),
        run: first.map(|it| capitalised(&it.run)).unwrap_or_default(),
        then,
        air: air.map(|air| capitalised(&air)).unwrap_or_default(),
    }
}

fn phrase(it: &Noticed) -> String {
    let told = it.symptom.told(&it.place);
    if it.always { told } else { format!("{told}, in some orders of events") }
}

fn symptom_row(entry: SymptomEntry) -> SymptomRow {
    let culprits = entry.culprits.into_iter().map(|culprit| CulpritRow {
        what: capitalised(&culprit.what),
        sometimes: !culprit.always,
        run: capitalised(&culprit.run),
    });
    let symptom = capitalised(&entry.symptom.told(&entry.place));
    SymptomRow { symptom, culprits: culprits.collect() }
}
