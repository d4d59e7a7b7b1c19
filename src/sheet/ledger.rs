//! The sheets of the whole folio, and the scope in which their formulas are worked out.

use super::entry::{DerivedEntry, Entry, Origin, ReadingEntry};
use crate::formula::{
    self, FaultKind, Formula, FormulaFault, Input, InputId, Lookup, Outcome, Scope, Shift, Value,
};
use crate::page::front::SourceDecl;
use crate::quantity::{Conventions, Kind, Quantity, Real};
use crate::text::Source;
use std::collections::BTreeMap;
use std::sync::Arc;

/// The named figures of one page.
#[derive(Debug)]
pub struct Sheet {
    /// Name of the engine in formulas; `None` on pages that describe none.
    pub engine: Option<String>,
    /// The page's file, up to the end of its declarations.
    pub source: Arc<Source>,
    /// Title of the page.
    pub(crate) title: String,
    /// Address of the page on the site.
    pub(crate) address: String,
    /// Family, descent and other words the comparison shows.
    pub(crate) family: String,
    /// Engine it was developed from.
    pub(crate) descends_from: Option<String>,
    pub(crate) specimens: usize,
    /// How the page reads what it leaves open.
    pub(crate) conventions: Conventions,
    pub(crate) sources: Vec<SourceDecl>,
    /// Default source of readings.
    pub(crate) readings_from: Option<String>,
    /// Named figures in the order written.
    pub entries: Vec<Entry>,
    pub(super) by_name: BTreeMap<String, usize>,
}

impl Sheet {
    /// The entry of this name.
    pub(crate) fn entry(&self, name: &str) -> Option<&Entry> {
        self.by_name.get(name).map(|index| &self.entries[*index])
    }

    /// The declared source of this id.
    pub(crate) fn source(&self, id: &str) -> Option<&SourceDecl> {
        self.sources.iter().find(|source| source.id.text == id)
    }
}

/// All sheets.
#[derive(Debug, Default)]
pub struct Ledger {
    /// Sheets in the order of the pages.
    pub sheets: Vec<Sheet>,
    pub(super) by_engine: BTreeMap<String, usize>,
    pub(super) inputs: Vec<Input>,
    /// Sheet and entry of every input.
    pub(super) owners: Vec<(usize, usize)>,
    /// Half-widths of the rounding of readings' digits, SI.
    pub(super) roundings: BTreeMap<InputId, f64>,
    pub(super) correlations: BTreeMap<(InputId, InputId), f64>,
}

impl Ledger {
    /// Index of an engine's sheet.
    pub(crate) fn engine(&self, name: &str) -> Option<usize> {
        self.by_engine.get(name).copied()
    }

    /// Names of all engines, sorted.
    pub(crate) fn engines(&self) -> impl Iterator<Item = &str> {
        self.by_engine.keys().map(String::as_str)
    }

    /// Sheet and entry that an input belongs to; `None` for literals and tabulated sizes.
    pub(crate) fn owner(&self, id: InputId) -> Option<(usize, usize)> {
        self.owners.get(usize::try_from(id.0).ok()?).copied()
    }

    /// Half-width, in SI, of the rounding of an input's digits; nought for nominal sizes.
    pub(crate) fn rounding(&self, id: InputId) -> f64 {
        self.roundings.get(&id).copied().unwrap_or(0.0)
    }

    /// The scope of a page.
    #[must_use]
    pub fn scope(&self, sheet: usize) -> PageScope<'_> {
        PageScope { ledger: self, sheet }
    }

    /// Sheet and entry that a dotted path names from a page, and what is left of the path.
    pub(crate) fn resolve<'p>(
        &self,
        from: usize,
        path: &'p [&'p str],
    ) -> Option<(usize, usize, &'p [&'p str])> {
        let (first, rest) = path.split_first()?;
        let own = self.sheets.get(from).and_then(|sheet| sheet.by_name.get(*first));
        if let Some(entry) = own {
            return Some((from, *entry, rest));
        }
        let sheet = self.engine(first)?;
        let (name, rest) = rest.split_first()?;
        Some((sheet, *self.sheets[sheet].by_name.get(*name)?, rest))
    }

    /// Sheet and entry of every figure that a formula names, seen from a sheet.
    pub(crate) fn named_in(&self, formula: &Formula, from: usize) -> Vec<(usize, usize)> {
        let names = formula.names();
        let entries = names.iter().filter_map(|(path, _)| {
            let path: Vec<&str> = path.iter().map(String::as_str).collect();
            self.resolve(from, &path).map(|(sheet, entry, _)| (sheet, entry))
        });
        entries.collect()
    }

    /// Value of an entry at a shift; `None` when it has none.
    pub(crate) fn value(&self, sheet: usize, entry: usize, at: &Shift) -> Lookup {
        match &self.sheets[sheet].entries[entry].origin {
            Origin::Reading(reading) => self.reading(reading, &[], at),
            Origin::Derived(derived) => self.derived(sheet, derived, at),
        }
    }

    /// Value of an entry at the nominal inputs.
    #[must_use]
    pub fn nominal(&self, sheet: usize, entry: usize) -> Option<Value> {
        match self.value(sheet, entry, &Shift::nominal()) {
            Lookup::Value(value) => Some(value),
            _ => None,
        }
    }

    fn reading(&self, reading: &ReadingEntry, rest: &[&str], at: &Shift) -> Lookup {
        let name = &reading.decl.name.text;
        if let (Some(engine), true) = (&reading.decl.like, reading.statements.is_empty()) {
            let mut path = vec![engine.text.as_str(), name.as_str()];
            path.extend(rest);
            let Some(lender) = self.engine(&engine.text) else { return Lookup::Poisoned };
            let borrows_on = self.sheets[lender]
                .entry(name)
                .and_then(Entry::reading)
                .is_some_and(|lent| lent.decl.like.is_some());
            // A chain of borrowing ends at the second engine, so it cannot loop.
            return if borrows_on {
                Lookup::Poisoned
            } else {
                self.scope(lender).lookup(&path, at)
            };
        }
        if reading.poisoned {
            return Lookup::Poisoned;
        }
        let Some(stated) = reading.statements.first() else {
            return Lookup::Undecided(format!("needs {}, not measured", name.replace('_', " ")));
        };
        let (quantity, offset) = match rest {
            [] => (&stated.quantity, 0),
            [member] => match stated.members.iter().position(|m| m.name == *member) {
                Some(at) => (&stated.members[at].quantity, at),
                None => return Lookup::Unknown,
            },
            _ => return Lookup::Unknown,
        };
        // The first member of a ring is its inside diameter, which is also its plain value.
        let id = InputId(reading.input.0 + u32::try_from(offset).unwrap_or(0));
        Lookup::Value(Value::input(self.shifted(quantity, id, at), id))
    }

    fn shifted(&self, quantity: &Quantity, id: InputId, at: &Shift) -> Quantity {
        let offset = at.offset(id, self.input_of(id).limit);
        let mut quantity = quantity.clone();
        if offset != 0.0 {
            quantity.si = quantity.si.add(&Real::near(offset));
        }
        quantity
    }

    fn input_of(&self, id: InputId) -> Input {
        let index = usize::try_from(id.0).unwrap_or(usize::MAX);
        self.inputs.get(index).copied().unwrap_or_else(|| Input::limits(0.0))
    }

    fn derived(&self, sheet: usize, derived: &DerivedEntry, at: &Shift) -> Lookup {
        let Some(formula) = &derived.formula else { return Lookup::Poisoned };
        let work_out = || {
            let scope = self.scope(sheet);
            let conventions = &self.sheets[sheet].conventions;
            match formula::evaluate_at(formula, &scope, conventions, at) {
                Ok(Outcome::Value(value)) => Ok(value),
                Ok(Outcome::Truth(_)) => Err(Lookup::Poisoned),
                Err(FormulaFault { kind: FaultKind::Undecided, message, .. }) => {
                    Err(Lookup::Undecided(message))
                }
                Err(_) => Err(Lookup::Poisoned),
            }
        };
        if !at.is_nominal() {
            return work_out().map_or_else(|lookup| lookup, Lookup::Value);
        }
        match derived.nominal.get_or_init(|| work_out().ok()) {
            Some(value) => Lookup::Value(value.clone()),
            // Why it has none is asked rarely: then it is worked out again.
            None => work_out().map_or_else(|lookup| lookup, Lookup::Value),
        }
    }
}

/// Names as one page sees them: its own bare, those of engines behind a dot.
#[derive(Debug, Clone, Copy)]
pub struct PageScope<'a> {
    ledger: &'a Ledger,
    sheet: usize,
}

/// What only a cutaway and its cycle can tell.
const NOT_YET: [(&str, &str); 2] =
    [("cut", "a dimensioned cutaway"), ("cycle", "a simulated cycle")];

impl Scope for PageScope<'_> {
    fn lookup(&self, path: &[&str], at: &Shift) -> Lookup {
        if let Some((sheet, entry, rest)) = self.ledger.resolve(self.sheet, path) {
            return match (&self.ledger.sheets[sheet].entries[entry].origin, rest) {
                (_, []) => self.ledger.value(sheet, entry, at),
                (Origin::Reading(reading), rest) => self.ledger.reading(reading, rest, at),
                (Origin::Derived(_), _) => Lookup::Unknown,
            };
        }
        let names_model = |first: &str| NOT_YET.iter().find(|(name, _)| *name == first);
        let first = path.first().copied().unwrap_or("");
        let second = path.get(1).copied().unwrap_or("");
        let model = names_model(first)
            .or_else(|| self.ledger.engine(first).and_then(|_| names_model(second)));
        match model {
            Some((_, what)) if 1 < path.len() => Lookup::Undecided(format!("needs {what}")),
            _ => self.count(path),
        }
    }

    fn input(&self, id: InputId) -> Input {
        self.ledger.input_of(id)
    }

    fn correlation(&self, a: InputId, b: InputId) -> f64 {
        let key = if a <= b { (a, b) } else { (b, a) };
        self.ledger.correlations.get(&key).copied().unwrap_or(0.0)
    }

    fn names(&self) -> Vec<String> {
        let own = self.ledger.sheets.get(self.sheet).map(|sheet| sheet.entries.as_slice());
        let own = own.unwrap_or_default().iter();
        let mut names: Vec<String> = own.map(|entry| entry.name.text.clone()).collect();
        for sheet in &self.ledger.sheets {
            let Some(engine) = &sheet.engine else { continue };
            names.extend(sheet.entries.iter().map(|e| format!("{engine}.{}", e.name.text)));
        }
        names
    }
}

impl PageScope<'_> {
    /// `specimens`, `rowan.specimens`: counts that the front matter holds.
    fn count(&self, path: &[&str]) -> Lookup {
        let sheet = match path {
            ["specimens"] => self.sheet,
            [engine, "specimens"] => match self.ledger.engine(engine) {
                Some(sheet) => sheet,
                None => return Lookup::Unknown,
            },
            _ => return Lookup::Unknown,
        };
        let Some(sheet) = self.ledger.sheets.get(sheet) else { return Lookup::Unknown };
        let count = sheet.specimens;
        Lookup::Value(Value::certain(Quantity {
            si: Real::Exact(crate::quantity::Rational::from_integer(count.into())),
            dimension: crate::quantity::Dimension::NONE,
            kind: Kind::Count,
            reference: None,
        }))
    }
}
