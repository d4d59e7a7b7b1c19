//! What happens when something is wrong with an engine: its variants, and the way back from what
//! one notices to what one should look at.

use super::Edition;
use crate::cutaway::event_words;
use crate::faults::{
    Noticed, SoundEngine, Surely, SymptomEntry, noticed, otherwise, symptoms, unsaid_of_less,
    what_is_wrong,
};
use crate::folio::routing::{Routed, Routing, Shot};
use crate::logic::{Ending, Exploration};
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
    /// The same as the cutaway says it, as sentences.
    pub(crate) wrong: Vec<String>,
    /// What one would notice first.
    pub(crate) first: String,
    /// How that comes, as a sentence; empty where nothing is noticed.
    pub(crate) run: String,
    /// What else one would notice.
    pub(crate) then: Vec<String>,
    /// Where the air goes; empty where none goes astray.
    pub(crate) air: String,
    /// Orders that were seen on the sound engine and are not taken over, as phrases.
    pub(crate) doubted: Vec<String>,
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
    /// What it hangs on that it shows; empty where it always does.
    pub(crate) hangs_on: &'static str,
    /// The run that speaks for it, as a sentence.
    pub(crate) run: String,
}

/// What is known of the faults of an engine; `None` where it has no cutaway without faults.
pub(super) fn faults(edition: &Edition, name: &str) -> Option<FaultsView> {
    let routing = &edition.folio.routing;
    let routed = routing.of(name)?;
    let shot = routed.shot.as_ref()?;
    let own = format!("{}.", routed.engine.name.id);
    let named = routing.engines.range(own.clone()..).take_while(|(id, _)| id.starts_with(&own));
    let sound = SoundEngine::new(&routed.engine, &shot.found);
    let rows = named.filter_map(|(id, _)| variant_beside(routing, id, (routed, &sound)));
    let table = symptoms(&sound);
    Some(FaultsView {
        variants: rows.collect(),
        symptoms: table.entries.into_iter().map(symptom_row).collect(),
        unseen: table.unseen,
        open: table.open,
    })
}

/// What is told of a variant by its name, `rowan.torn`; `None` for what is none.
pub(crate) fn variant(routing: &Routing, name: &str) -> Option<VariantRow> {
    let routed = routing.of(name.split_once('.')?.0)?;
    let sound = SoundEngine::new(&routed.engine, &routed.shot.as_ref()?.found);
    variant_beside(routing, name, (routed, &sound))
}

fn variant_beside(
    routing: &Routing,
    name: &str,
    (sound, beside): (&Routed, &SoundEngine<'_>),
) -> Option<VariantRow> {
    let variant = routing.of(name)?;
    let what = variant.engine.variant.as_deref()?;
    let shots = (variant.shot.as_ref()?, sound.shot.as_ref()?);
    Some(variant_row((name, what), (variant, shots.0), (sound, shots.1), beside))
}

fn variant_row(
    (name, what): (&str, &str),
    (variant, shot): (&Routed, &Shot),
    (sound, of_sound): (&Routed, &Shot),
    beside: &SoundEngine<'_>,
) -> VariantRow {
    let found = &shot.found;
    let wrong = what_is_wrong(&variant.engine, &sound.engine);
    let mut told = noticed((&variant.engine, found), beside);
    let need = found.endings.iter().find_map(|(_, ending)| match ending {
        Ending::Undecided(need) => Some(format!("not decided {}", need.what)),
        _ => None,
    });
    let open =
        need.or_else(|| found.is_cut_short.then(|| "not all orders were followed".to_owned()));
    let nothing = || match &open {
        None => {
            let nothing = "nothing that shows in the order of events or in where air goes";
            let other = otherwise((&variant.engine, found), (&sound.engine, &of_sound.found));
            let unsaid = || unsaid_of_less(&variant.engine, &sound.engine);
            match other {
                Some(told) => format!("nothing goes wrong, but {told}"),
                None => unsaid().map_or(nothing.to_owned(), |why| format!("{nothing}: {why}")),
            }
        }
        Some(open) => format!("not known: {open}"),
    };
    let beside_sound = |found: &Exploration| noticed((&variant.engine, found), beside);
    let ordered = shot.ordered.as_ref().map(beside_sound).unwrap_or_default();
    told.sort_by_key(|it| it.surely(&ordered));
    let phrase = |it: &Noticed| phrase(it, it.surely(&ordered));
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
        wrong: wrong.iter().map(|it| capitalised(it)).collect(),
        first: capitalised(&first.as_ref().map_or_else(nothing, &phrase)),
        run: first.map(|it| capitalised(&it.run)).unwrap_or_default(),
        then,
        air: air.map(|air| capitalised(&air)).unwrap_or_default(),
        doubted: found
            .void_orders
            .iter()
            .map(|order| {
                let words = |event| event_words(&variant.engine, event);
                let (first, then) = (words(order.first), words(order.then));
                format!("\u{201c}{first} before {then}\u{201d}")
            })
            .collect(),
    }
}

fn phrase(it: &Noticed, surely: Surely) -> String {
    let told = it.symptom.told(&it.place);
    match surely {
        Surely::Always => told,
        surely => format!("{told}, {}", hangs_on(surely)),
    }
}

fn hangs_on(surely: Surely) -> &'static str {
    match surely {
        Surely::Always => "",
        Surely::AsOrdered => "if the orders of the sound engine hold",
        Surely::Sometimes => "in some orders of events",
    }
}

fn symptom_row(entry: SymptomEntry) -> SymptomRow {
    let culprits = entry.culprits.into_iter().map(|culprit| CulpritRow {
        what: capitalised(&culprit.what),
        hangs_on: hangs_on(culprit.surely),
        run: capitalised(&culprit.run),
    });
    let symptom = capitalised(&entry.symptom.told(&entry.place));
    SymptomRow { symptom, culprits: culprits.collect() }
}
