//! What a cutaway and the page of its engine say of the same thing: the readings at which things
//! are drawn, held against the page.

use super::routing::{Routed, Routing};
use crate::cutaway::Engine;
use crate::cutaway::model::Name;
use crate::formula::Value;
use crate::quantity::Dimension;
use crate::sheet::Ledger;
use crate::sheet::ledger::EntryId;
use crate::slip::Slip;
use crate::text::{Spot, nearest};

/// What of a thing a reading states.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Quality {
    /// Of a supply.
    Pressure,
}

impl Quality {
    /// Its name in formulas (`cut.line.pressure`).
    pub(crate) fn word(self) -> &'static str {
        match self {
            Quality::Pressure => "pressure",
        }
    }

    fn dimension(self) -> Dimension {
        match self {
            Quality::Pressure => Dimension::PRESSURE,
        }
    }
}

/// A thing drawn `at READING`.
pub(crate) struct DrawnAt<'a> {
    pub(crate) thing: &'a Name,
    pub(crate) quality: Quality,
    pub(crate) reading: &'a Name,
}

/// Everything that a cutaway draws at a reading.
pub(crate) fn drawn_at(engine: &Engine) -> Vec<DrawnAt<'_>> {
    let supplies = engine.chambers.iter().filter_map(|chamber| {
        let reading = chamber.at.as_ref()?;
        Some(DrawnAt { thing: &chamber.name, quality: Quality::Pressure, reading })
    });
    supplies.collect()
}

/// The figures of the page that describes an engine, as its cutaway names them.
#[derive(Clone, Copy)]
pub(crate) struct Readings<'a> {
    pub(crate) ledger: &'a Ledger,
    /// Sheet of the engine's page.
    pub(crate) sheet: usize,
}

impl<'a> Readings<'a> {
    /// Those of an engine; `None` where no page describes it.
    pub(crate) fn of(ledger: &'a Ledger, engine: &str) -> Option<Readings<'a>> {
        Some(Readings { ledger, sheet: ledger.engine(engine)? })
    }

    /// The entry of this name.
    pub(crate) fn entry(self, name: &str) -> Option<EntryId> {
        self.ledger.resolve(self.sheet, &[name]).map(|(sheet, entry, _)| (sheet, entry))
    }

    /// Its value, with what it rests on; `None` where it has none, which is told or told for.
    pub(crate) fn value(self, name: &str) -> Option<Value> {
        let (sheet, entry) = self.entry(name)?;
        self.ledger.nominal(sheet, entry)
    }
}

/// The entries that cutaways name.
pub(crate) fn named_by_cutaways(routing: &Routing, ledger: &Ledger) -> Vec<EntryId> {
    let engines = routing.engines.iter();
    let named = engines.filter_map(|(engine, routed)| {
        let readings = Readings::of(ledger, engine)?;
        let drawn = drawn_at(&routed.engine).into_iter();
        Some(drawn.filter_map(move |drawn| readings.entry(&drawn.reading.id)))
    });
    named.flatten().collect()
}

/// Holds every cutaway against the page of its engine.
pub(super) fn judge(routing: &Routing, ledger: &Ledger) -> Vec<Slip> {
    let mut slips = Vec::new();
    for (engine, routed) in &routing.engines {
        let Some(readings) = Readings::of(ledger, engine) else { continue };
        let drawn = drawn_at(&routed.engine);
        slips.extend(drawn.iter().filter_map(|drawn| misnamed(drawn, routed, readings)));
    }
    slips
}

/// A reading that is not there, or states something else.
fn misnamed(drawn: &DrawnAt<'_>, routed: &Routed, readings: Readings<'_>) -> Option<Slip> {
    let name = drawn.reading;
    // What another cutaway brings stands in another file.
    let is_own = routed.source.slice(name.span) == name.id;
    let spot = Spot::new(&routed.source, if is_own { name.span } else { routed.engine.name.span });
    let sheet = &readings.ledger.sheets[readings.sheet];
    if readings.entry(&name.id).is_none() {
        let message = format!("{} has no figure `{}`", sheet.source.name, name.id);
        let slip = Slip::stop("unknown-name", spot, message);
        let known = sheet.entries.iter().map(|entry| entry.name.text.as_str());
        return Some(match nearest(&name.id, known) {
            Some(near) => slip.help(format!("did you mean `{near}`?")),
            None => slip.help(format!("add the reading `{}` there, or drop `at` here", name.id)),
        });
    }
    let value = readings.value(&name.id)?;
    if value.quantity.dimension == drawn.quality.dimension() {
        return None;
    }
    let message = format!(
        "`{}` is a {}, and no {} of `{}`",
        name.id,
        value.quantity.dimension,
        drawn.quality.word(),
        drawn.thing.id
    );
    let slip = Slip::stop("other-kind-wanted", spot, message);
    Some(slip.help(format!("name the reading of its {}", drawn.quality.word())))
}
