//! How much energy the air in an engine holds: what readers must know before they open it.

use super::ledger::Ledger;
use super::print::valued;
use crate::formula::{self, Formula, Outcome, standard_uncertainty};
use crate::quantity::Quantity;
use crate::quantity::print::Style;

/// The function that gives it.
const FUNCTION: &str = "stored_energy";

/// Energy of the air in an engine.
pub(crate) enum Stored {
    /// As the page itself derives it: the entry, and how it is printed.
    Derived(usize, Quantity, Style),
    /// From the readings that usually give it.
    Usual(Quantity, Style),
    /// Why it is not known.
    Unknown(String),
}

/// The volume of the store as a formula: the reading of that name, else what a drawing gives.
fn volume_of<'a>(ledger: &Ledger, sheet: usize, drawn: Option<&'a str>) -> Option<&'a str> {
    const STATED: &str = "store_volume";
    ledger.sheets.get(sheet)?.entry(STATED).map(|_| STATED).or(drawn)
}

/// The energy of the air in an engine, from its own derived figure or from the figures that usually
/// give it; `drawn` is the formula of its store's volume where a drawing gives that.
pub(crate) fn stored(ledger: &Ledger, sheet: usize, drawn: Option<&str>) -> Stored {
    let item = &ledger.sheets[sheet];
    let declared = item.entries.iter().position(|entry| {
        let formula = entry.derived().and_then(|derived| derived.formula.as_ref());
        // Energies of the bottle, or of what a shot leaves, are not the energy of a full engine.
        let is_full = |formula: &Formula| {
            formula.names().iter().any(|(path, _)| path.as_slice() == ["operating_pressure"])
        };
        formula.is_some_and(|formula| formula.function() == Some(FUNCTION) && is_full(formula))
    });
    if let Some(entry) = declared
        && let Some((value, _, style)) = valued(ledger, sheet, entry)
    {
        return Stored::Derived(entry, value.quantity, style);
    }
    let Some(volume) = volume_of(ledger, sheet, drawn) else {
        return Stored::Unknown("no store volume is stated".to_owned());
    };
    if item.entry("operating_pressure").is_none() {
        return Stored::Unknown("no operating pressure is stated".to_owned());
    }
    let unknown = || Stored::Unknown("its figures cannot be worked out yet".to_owned());
    let usual = energy_of(ledger, sheet, volume, "operating_pressure");
    usual.map_or_else(unknown, |(quantity, style)| Stored::Usual(quantity, style))
}

/// Pressures at which an engine that shuts its own store stays loaded, the surest first.
const LEFT: [&str; 2] = ["stall_pressure", "lowest_store_pressure"];

/// The energy of the air that stays in the store when the engine no longer moves, and the reading
/// that tells the pressure of it.
pub(crate) fn left(
    ledger: &Ledger,
    sheet: usize,
    drawn: Option<&str>,
) -> Option<(&'static str, Quantity, Style)> {
    let volume = volume_of(ledger, sheet, drawn)?;
    LEFT.iter().find_map(|pressure| {
        let (quantity, style) = energy_of(ledger, sheet, volume, pressure)?;
        Some((*pressure, quantity, style))
    })
}

/// The energy of the air in a full bottle.
pub(crate) fn in_bottle(ledger: &Ledger, sheet: usize) -> Option<(Quantity, Style)> {
    energy_of(ledger, sheet, "bottle_volume", "bottle_pressure")
}

/// The stored energy of a volume, by its formula, at a pressure that is named on a sheet.
fn energy_of(
    ledger: &Ledger,
    sheet: usize,
    volume: &str,
    pressure: &str,
) -> Option<(Quantity, Style)> {
    let item = ledger.sheets.get(sheet)?;
    item.entry(pressure)?;
    let formula = formula::parse(&format!("{FUNCTION}({volume}, {pressure})")).ok()?;
    let scope = ledger.scope(sheet);
    let Ok(Outcome::Value(value)) = formula::evaluate(&formula, &scope, &item.conventions) else {
        return None;
    };
    let expanded = 2.0 * standard_uncertainty(&value, &scope);
    let style = Style::computed(&value.quantity, None, expanded, false);
    Some((value.quantity, style))
}
