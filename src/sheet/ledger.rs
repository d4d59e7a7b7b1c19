//! The sheets of the whole folio, and the scope in which their formulas are worked out.

use super::entry::{DerivedEntry, Entry, Origin, ReadingEntry};
use crate::formula::{
    self, FaultKind, Formula, FormulaFault, Input, InputId, Lookup, Outcome, Scope, Shift, Value,
};
use crate::page::front::SourceDecl;
use crate::quantity::{Conventions, Dimension, Kind, Quantity, Rational, Real};
use crate::text::Source;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// The named figures of one page.
#[derive(Debug)]
pub struct Sheet {
    /// Name of the engine in formulas; `None` on pages that describe none.
    pub engine: Option<String>,
    /// Other names of the engine in prose.
    pub(crate) called: Vec<String>,
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
    pub(super) inputs: Vec<ReadingInput>,
    pub(super) correlations: BTreeMap<(InputId, InputId), f64>,
    /// What answers for the engines' models; nothing does before the folio has them.
    models: Option<Box<dyn Models>>,
    /// Results of models that have no value because they need themselves, which has been told.
    poisoned: BTreeSet<ModelResult>,
}

/// A value of a reading as an input of calculations.
#[derive(Debug)]
pub(super) struct ReadingInput {
    pub(super) input: Input,
    /// Half-width of the rounding of its digits, SI; nought for nominal sizes.
    pub(super) rounding: f64,
    /// Sheet and entry.
    pub(super) owner: (usize, usize),
}

/// Sheet and entry of a named figure.
pub(crate) type EntryId = (usize, usize);

/// What can tell more of an engine than its page states.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Model {
    /// Its cutaway.
    Cut,
    /// Its simulated cycle.
    Cycle,
}

impl Model {
    /// The word for it in names (`rowan.cut.seals.count`).
    pub(crate) fn word(self) -> &'static str {
        match self {
            Model::Cut => "cut",
            Model::Cycle => "cycle",
        }
    }

    fn named(word: &str) -> Option<Model> {
        [Model::Cut, Model::Cycle].into_iter().find(|model| model.word() == word)
    }
}

/// A result of an engine's model.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct ModelResult {
    /// Sheet of the engine.
    pub(crate) sheet: usize,
    pub(crate) model: Model,
    /// The words of its name behind the model's.
    pub(crate) path: Vec<String>,
}

/// What answers for the engines' models. A lower layer than theirs asks it, so that figures of
/// pages and results of models can rest on each other.
pub(crate) trait Models: std::fmt::Debug + Send + Sync {
    /// What a result is worth. A result that is costly to work out answers with
    /// [`Lookup::Linear`], whatever the shift.
    fn answer(&self, result: &ModelResult, ledger: &Ledger, at: &Shift) -> Lookup;
    /// The entries that a result rests on.
    fn rests_on(&self, result: &ModelResult, ledger: &Ledger) -> Vec<EntryId>;
    /// How uncertain a number is that stands in a drawing ([`InputId::Drawn`]).
    fn input(&self, number: u32) -> Input;
    /// Names of the results of an engine's models, as its own page writes them.
    fn names(&self, engine: &str) -> Vec<String>;
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
    pub(crate) fn owner(&self, id: InputId) -> Option<EntryId> {
        self.reading_input(id).map(|input| input.owner)
    }

    /// Half-width, in SI, of the rounding of an input's digits; nought for nominal sizes.
    pub(crate) fn rounding(&self, id: InputId) -> f64 {
        self.reading_input(id).map_or(0.0, |input| input.rounding)
    }

    fn reading_input(&self, id: InputId) -> Option<&ReadingInput> {
        match id {
            InputId::Named(number) => self.inputs.get(usize::try_from(number).ok()?),
            InputId::Ring(..) | InputId::Literal(_) | InputId::Drawn(_) | InputId::WallHeat => None,
        }
    }

    /// Lets the engines' models answer from now on.
    pub(crate) fn ask(&mut self, models: Box<dyn Models>) {
        self.models = Some(models);
    }

    /// Takes a figure's value away, because it needs itself.
    pub(crate) fn poison(&mut self, (sheet, entry): EntryId) {
        match &mut self.sheets[sheet].entries[entry].origin {
            Origin::Reading(reading) => reading.poisoned = true,
            Origin::Derived(derived) => derived.formula = None,
        }
    }

    /// Takes a result's value away, because it needs itself.
    pub(crate) fn poison_result(&mut self, result: ModelResult) {
        self.poisoned.insert(result);
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

    /// Sheet and entry of every figure that a formula names, seen from a sheet, and of those that
    /// the results named in it rest on.
    pub(crate) fn named_in(&self, formula: &Formula, from: usize) -> Vec<EntryId> {
        self.entries_in(formula, from, |result| self.rests_on(result))
    }

    /// The same, but of what a result could rest on only that by which it changes.
    pub(crate) fn inputs_of(&self, formula: &Formula, from: usize) -> Vec<EntryId> {
        self.entries_in(formula, from, |result| {
            let changes = match self.result(result, &Shift::nominal()) {
                Lookup::Value(value) | Lookup::Linear(value) => value.sensitivities,
                _ => Vec::new(),
            };
            match changes.is_empty() {
                true => self.rests_on(result),
                false => changes.iter().filter_map(|(id, _)| self.owner(*id)).collect(),
            }
        })
    }

    /// The entries that a formula names, and those of the results in it.
    fn entries_in(
        &self,
        formula: &Formula,
        from: usize,
        of_result: impl Fn(&ModelResult) -> Vec<EntryId>,
    ) -> Vec<EntryId> {
        let mut entries = Vec::new();
        for (path, _) in formula.names() {
            let path: Vec<&str> = path.iter().map(String::as_str).collect();
            if let Some((sheet, entry, _)) = self.resolve(from, &path) {
                entries.push((sheet, entry));
            } else if let Some(result) = self.result_named(from, &path) {
                entries.extend(of_result(&result));
            }
        }
        entries
    }

    /// The result of a model that a dotted path names from a page: `cut.…` for its own engine,
    /// `rowan.cut.…` for another.
    pub(crate) fn result_named(&self, from: usize, path: &[&str]) -> Option<ModelResult> {
        let (sheet, model, path) = match path {
            [model, path @ ..] if Model::named(model).is_some() => (from, *model, path),
            [engine, model, path @ ..] => (self.engine(engine)?, *model, path),
            _ => return None,
        };
        let path: Vec<String> = path.iter().map(|&part| part.to_owned()).collect();
        let model = Model::named(model)?;
        (!path.is_empty()).then_some(ModelResult { sheet, model, path })
    }

    /// The entries that a result rests on.
    pub(crate) fn rests_on(&self, result: &ModelResult) -> Vec<EntryId> {
        self.models.as_ref().map_or_else(Vec::new, |models| models.rests_on(result, self))
    }

    fn result(&self, result: &ModelResult, at: &Shift) -> Lookup {
        if self.poisoned.contains(result) {
            return Lookup::Poisoned;
        }
        match &self.models {
            Some(models) => models.answer(result, self, at),
            None => Lookup::Unknown,
        }
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
            Lookup::Value(value) | Lookup::Linear(value) => Some(value),
            Lookup::Unknown | Lookup::Poisoned | Lookup::Undecided(_) => None,
        }
    }

    fn reading(&self, reading: &ReadingEntry, rest: &[&str], at: &Shift) -> Lookup {
        let name = &reading.decl.name.text;
        if reading.poisoned {
            return Lookup::Poisoned;
        }
        if let (Some(engine), true) = (&reading.decl.like, reading.statements.is_empty()) {
            let mut path = vec![engine.text.as_str(), name.as_str()];
            path.extend(rest);
            let Some(lender) = self.engine(&engine.text) else { return Lookup::Poisoned };
            return self.scope(lender).lookup(&path, at);
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
        let id = InputId::Named(reading.input + u32::try_from(offset).unwrap_or(0));
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
        if let (InputId::Drawn(number), Some(models)) = (id, &self.models) {
            return models.input(number);
        }
        self.reading_input(id).map_or_else(|| Input::limits(0.0), |known| known.input)
    }

    fn derived(&self, sheet: usize, derived: &DerivedEntry, at: &Shift) -> Lookup {
        let Some(formula) = &derived.formula else { return Lookup::Poisoned };
        let work_out = || -> Result<Value, Box<Lookup>> {
            let scope = self.scope(sheet);
            let conventions = &self.sheets[sheet].conventions;
            match formula::evaluate_at(formula, &scope, conventions, at) {
                Ok(Outcome::Value(value)) => Ok(value),
                Ok(Outcome::Truth(_)) => Err(Box::new(Lookup::Poisoned)),
                Err(FormulaFault { kind: FaultKind::Undecided, message, .. }) => {
                    Err(Box::new(Lookup::Undecided(message)))
                }
                Err(_) => Err(Box::new(Lookup::Poisoned)),
            }
        };
        if !at.is_nominal() {
            return work_out().map_or_else(|lookup| *lookup, Lookup::Value);
        }
        match derived.nominal.get_or_init(|| work_out().ok()) {
            Some(value) => Lookup::Value(value.clone()),
            // Why it has none is asked rarely: then it is worked out again.
            None => work_out().map_or_else(|lookup| *lookup, Lookup::Value),
        }
    }
}

/// Names as one page sees them: its own bare, those of engines behind a dot.
#[derive(Debug, Clone, Copy)]
pub struct PageScope<'a> {
    ledger: &'a Ledger,
    sheet: usize,
}

impl Scope for PageScope<'_> {
    fn lookup(&self, path: &[&str], at: &Shift) -> Lookup {
        if let Some((sheet, entry, rest)) = self.ledger.resolve(self.sheet, path) {
            return match (&self.ledger.sheets[sheet].entries[entry].origin, rest) {
                (_, []) => self.ledger.value(sheet, entry, at),
                (Origin::Reading(reading), rest) => self.ledger.reading(reading, rest, at),
                (Origin::Derived(_), _) => Lookup::Unknown,
            };
        }
        match self.ledger.result_named(self.sheet, path) {
            Some(result) => self.ledger.result(&result, at),
            None => self.count(path),
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
            let results = self.ledger.models.iter().flat_map(|models| models.names(engine));
            for result in results {
                names.push(format!("{engine}.{result}"));
                if self.ledger.engine(engine) == Some(self.sheet) {
                    names.push(result);
                }
            }
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
        Lookup::Value(Value::certain(counted(sheet.specimens)))
    }
}

/// A count as a quantity.
pub(crate) fn counted(count: usize) -> Quantity {
    Quantity {
        si: Real::Exact(Rational::from_integer(count.into())),
        dimension: Dimension::NONE,
        kind: Kind::Count,
        reference: None,
    }
}
