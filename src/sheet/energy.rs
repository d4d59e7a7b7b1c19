//! How much energy the air in an engine holds: what readers must know before they open it.

use super::ledger::Ledger;
use super::print::{Style, derived_style, valued};
use crate::formula::{self, Outcome, standard_uncertainty};
use crate::quantity::Quantity;

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

/// The energy of the air in an engine, from its own derived figure or from the readings that
/// usually give it.
pub(crate) fn stored(ledger: &Ledger, sheet: usize) -> Stored {
    let item = &ledger.sheets[sheet];
    let declared = item.entries.iter().position(|entry| {
        let formula = entry.derived().and_then(|derived| derived.formula.as_ref());
        formula.is_some_and(|formula| formula.function() == Some(FUNCTION))
    });
    if let Some(entry) = declared
        && let Some((value, _, style)) = valued(ledger, sheet, entry)
    {
        return Stored::Derived(entry, value.quantity, style);
    }
    for name in ["store_volume", "operating_pressure"] {
        if item.entry(name).is_none() {
            return Stored::Unknown(format!("no {} is stated", name.replace('_', " ")));
        }
    }
    let unknown = || Stored::Unknown("its figures cannot be worked out yet".to_owned());
    let usual = format!("{FUNCTION}(store_volume, operating_pressure)");
    let Ok(parsed) = formula::parse(&usual) else { return unknown() };
    let scope = ledger.scope(sheet);
    match formula::evaluate(&parsed, &scope, &item.conventions) {
        Ok(Outcome::Value(value)) => {
            let expanded = 2.0 * standard_uncertainty(&value, &scope);
            let style = derived_style(&value.quantity, None, expanded);
            Stored::Usual(value.quantity, style)
        }
        _ => unknown(),
    }
}
