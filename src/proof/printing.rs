//! Printed figures of page bodies, from the ledger.

use super::checks::unused::Named;
use crate::body::template::{Figures, Printed};
use crate::folio::Folio;
use crate::formula::{
    self, FormulaFault, Lookup, Outcome, Scope, Shift, Value, standard_uncertainty,
};
use crate::quantity::print::{Style, in_unit, kind_words};
use crate::quantity::units::parse_unit;
use crate::quantity::{Quantity, Unit};
use crate::sheet::print::valued;
use std::collections::BTreeSet;
use std::sync::{Arc, Mutex, PoisonError};

/// Prints the figures that one page asks for.
pub struct PagePrinter {
    folio: Arc<Folio>,
    sheet: Option<usize>,
    page: usize,
    used: Mutex<BTreeSet<Named>>,
}

impl PagePrinter {
    /// The printer of a page.
    #[must_use]
    pub fn new(folio: &Arc<Folio>, page: usize) -> PagePrinter {
        let sheet = folio.pages[page].sheet;
        PagePrinter { folio: Arc::clone(folio), sheet, page, used: Mutex::default() }
    }

    /// The named figures that were printed or reckoned with.
    pub(crate) fn used(&self) -> BTreeSet<Named> {
        self.used.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    fn uses(&self, named: impl IntoIterator<Item = Named>) {
        self.used.lock().unwrap_or_else(PoisonError::into_inner).extend(named);
    }

    fn in_asked(
        &self,
        quantity: &Quantity,
        style: &Style,
        unit: Option<&str>,
    ) -> Result<Printed, String> {
        let unit: Unit = match unit {
            None => style.unit.clone(),
            Some(text) => {
                let found = parse_unit(text).ok_or_else(|| format!("`{text}` is not a unit"))?;
                if found.unit.dimension != quantity.dimension {
                    return Err(format!(
                        "`{text}` measures {}, but this is {}",
                        found.unit.dimension, quantity.dimension
                    ));
                }
                let conventions = &self.folio.pages[self.page].conventions;
                let reference = found.reference.or(quantity.reference);
                let number =
                    crate::quantity::judge::convert(quantity, &found.unit, reference, conventions)?;
                let shifted =
                    Quantity { si: found.unit.to_si(&number), reference, ..quantity.clone() };
                return Ok(printed(&shifted, &Style { unit: found.unit, ..style.clone() }));
            }
        };
        Ok(printed(quantity, &Style { unit, ..style.clone() }))
    }
}

fn printed(quantity: &Quantity, style: &Style) -> Printed {
    Printed {
        text: in_unit(quantity, &style.unit, style.resolution),
        si: quantity.si.to_f64(),
        sort: format!("{} {}", quantity.dimension, kind_words(quantity)),
    }
}

impl Figures for PagePrinter {
    fn print(&self, path: &str, unit: Option<&str>) -> Option<Result<Printed, String>> {
        let parts: Vec<&str> = path.split('.').collect();
        let ledger = &self.folio.ledger;
        let (sheet, entry, rest) = ledger.resolve(self.sheet.unwrap_or(usize::MAX), &parts)?;
        self.uses([(sheet, entry)]);
        if !rest.is_empty() {
            let scope = ledger.scope(self.sheet.unwrap_or(sheet));
            return match scope.lookup(&parts, &Shift::nominal()) {
                Lookup::Value(value) => {
                    let stated =
                        ledger.sheets[sheet].entries[entry].reading()?.statements.first()?;
                    let style = Style { unit: stated.unit.clone(), resolution: 2.54e-5 };
                    Some(self.in_asked(&value.quantity, &style, unit))
                }
                _ => None,
            };
        }
        let item = &ledger.sheets[sheet].entries[entry];
        let stated = item.reading().and_then(|reading| reading.statements.first());
        // A ring is named by its dash number; its inside diameter is asked for by name or unit.
        if let Some(stated) = stated.filter(|s| !s.members.is_empty() && unit.is_none()) {
            let si = stated.quantity.si.to_f64();
            let sort = format!("{} {}", stated.quantity.dimension, stated.form);
            return Some(Ok(Printed { text: stated.written.clone(), si, sort }));
        }
        Some(match valued(ledger, sheet, entry) {
            Some((value, _, style)) => self.in_asked(&value.quantity, &style, unit),
            None => Err(format!("{} has no value to print", item.words())),
        })
    }

    fn is_engine(&self, path: &str) -> bool {
        self.folio.ledger.engine(path).is_some()
    }

    fn reckon(&self, formula: &str, unit: Option<&str>) -> Result<Printed, String> {
        // Figures put together by the template carry Markdown's backslashes.
        let plain = formula.replace('\\', "");
        let told = |fault: FormulaFault| match fault.help {
            Some(help) => format!("{}; {help}", fault.message),
            None => fault.message,
        };
        let parsed = formula::parse(&plain)
            .map_err(|faults| faults.into_iter().next().map(told).unwrap_or_default())?;
        let page = &self.folio.pages[self.page];
        let from = self.sheet.unwrap_or(usize::MAX);
        self.uses(self.folio.ledger.named_in(&parsed, from));
        let scope = self.folio.ledger.scope(from);
        let conventions = &page.conventions;
        let value: Value = match formula::evaluate(&parsed, &scope, conventions).map_err(told)? {
            Outcome::Value(value) => value,
            Outcome::Truth(_) => return Err("a comparison has no value to print".to_owned()),
        };
        let expanded = 2.0 * standard_uncertainty(&value, &scope);
        let style = Style::computed(&value.quantity, None, expanded, false);
        self.in_asked(&value.quantity, &style, unit)
    }

    fn names(&self) -> Vec<String> {
        let Some(sheet) = self.sheet else { return Vec::new() };
        let entries = &self.folio.ledger.sheets[sheet].entries;
        entries.iter().map(|entry| entry.name.text.clone()).collect()
    }
}
