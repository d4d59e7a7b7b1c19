//! From front matter to sheets: statements read, formulas parsed, names collected, loops found.

use super::entry::{DerivedEntry, Entry, Origin, ReadingEntry};
use super::ledger::{Ledger, ReadingInput, Sheet};
use super::statement::{self, InstrumentLimit, Stated, StatementContext};
use crate::formula::{self, Formula, Input, InputId};
use crate::page::Page;
use crate::page::front::{DerivedDecl, Front, ReadingDecl, StatementDecl};
use crate::page::imprint::{Imprint, instrument_limit};
use crate::page::yaml::Text;
use crate::quantity::Conventions;
use crate::quantity::judge::quantity_of;
use crate::quantity::units::{table, two_meanings};
use crate::slip::Slip;
use crate::tables::{RingFault, TableFault};
use crate::text::{Source, Spot, nearest};
use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

/// A dash number that is no ring.
pub(crate) fn ring_unknown(spot: Spot, fault: &RingFault) -> Slip {
    table_slip("ring-unknown", spot, fault)
}

/// A name that stands in none of our tables.
pub(crate) fn table_slip(code: &'static str, spot: Spot, fault: &TableFault) -> Slip {
    let slip = Slip::stop(code, spot, fault.message.clone());
    match &fault.help {
        Some(help) => slip.help(help.clone()),
        None => slip,
    }
}

/// A page with what the site needs to know of it.
pub(crate) struct DeclaredPage<'a> {
    pub(crate) page: &'a Page,
    /// Its address on the site.
    pub(crate) address: String,
    /// How it reads what it leaves open.
    pub(crate) conventions: Conventions,
}

/// Builds the ledger. Sheets stand in the order of the pages.
pub(crate) fn ledger(pages: &[DeclaredPage<'_>], imprint: &Imprint) -> (Ledger, Vec<Slip>) {
    let mut slips = Vec::new();
    let mut ledger = Ledger::default();
    for declared in pages {
        let index = ledger.sheets.len();
        let sheet = sheet(declared, imprint, &mut ledger, &mut slips);
        if let Some(engine) = &sheet.engine {
            register(engine, index, &declared.page.front, &sheet, &mut ledger, &mut slips);
        }
        ledger.sheets.push(sheet);
    }
    for (index, declared) in pages.iter().enumerate() {
        correlate(&mut ledger, index, &declared.page.front);
    }
    (ledger, slips)
}

fn register(
    engine: &str,
    index: usize,
    front: &Front,
    sheet: &Sheet,
    ledger: &mut Ledger,
    slips: &mut Vec<Slip>,
) {
    let Some(name) = &front.engine else { return };
    match ledger.by_engine.get(engine) {
        None => {
            ledger.by_engine.insert(engine.to_owned(), index);
        }
        Some(first) => {
            let other = &ledger.sheets[*first];
            let message = format!("engine `{engine}` is described on two pages");
            let slip = Slip::stop("engine-duplicate", Spot::new(&sheet.source, name.span), message)
                .noting(format!("the other one is {}", other.source.name))
                .help("give one of them another name, or drop `engine:` there");
            slips.push(slip);
        }
    }
}

fn sheet(
    declared: &DeclaredPage<'_>,
    imprint: &Imprint,
    ledger: &mut Ledger,
    slips: &mut Vec<Slip>,
) -> Sheet {
    let page = declared.page;
    let front = &page.front;
    let plain = |text: &Option<Text>| text.as_ref().map(|t| t.text.clone());
    let mut sheet = Sheet {
        engine: plain(&front.engine),
        called: front.called.iter().map(|name| name.text.clone()).collect(),
        source: Arc::clone(&page.source),
        title: plain(&front.title).unwrap_or_else(|| page.source.name.clone()),
        address: declared.address.clone(),
        family: plain(&front.family).unwrap_or_default(),
        descends_from: plain(&front.descends_from),
        specimens: front.specimens.unwrap_or(1),
        conventions: declared.conventions.clone(),
        sources: front.sources.clone(),
        readings_from: plain(&front.readings_from),
        entries: Vec::with_capacity(front.readings.len() + front.derived.len()),
        by_name: BTreeMap::new(),
    };
    for decl in &front.readings {
        let entry = reading(decl, &sheet, imprint, ledger, slips);
        add(&mut sheet, entry, slips);
    }
    for decl in &front.derived {
        let entry = derived(decl, &page.source, slips);
        add(&mut sheet, entry, slips);
    }
    sheet
}

fn add(sheet: &mut Sheet, entry: Entry, slips: &mut Vec<Slip>) {
    if let Some(first) = sheet.by_name.get(&entry.name.text) {
        let first = &sheet.entries[*first].name;
        let message = format!("`{}` names two figures of this page", entry.name.text);
        let slip = Slip::stop("duplicate-key", Spot::new(&sheet.source, entry.name.span), message)
            .label(Spot::new(&sheet.source, first.span), "first written here; this one counts");
        slips.push(slip);
        return;
    }
    if table().longest_spelling(&entry.name.text).is_some_and(|(_, n)| n == entry.name.text.len()) {
        let message = format!("`{}` is the name of a unit", entry.name.text);
        let slip = Slip::stop("name-unusable", Spot::new(&sheet.source, entry.name.span), message);
        slips.push(slip.help("give the figure a longer name"));
    }
    sheet.by_name.insert(entry.name.text.clone(), sheet.entries.len());
    sheet.entries.push(entry);
}

/// Words of the name and aliases, in small letters, each once, the longest first.
fn cues(name: &Text, called: &[Text]) -> Vec<String> {
    let mut cues: Vec<String> = std::iter::once(name.text.replace('_', " "))
        .chain(called.iter().map(|alias| alias.text.to_lowercase()))
        .map(|cue| cue.split_whitespace().collect::<Vec<_>>().join(" "))
        .filter(|cue| !cue.is_empty())
        .collect();
    cues.sort_by_key(|cue| std::cmp::Reverse(cue.len()));
    cues.dedup();
    cues
}

fn reading(
    decl: &ReadingDecl,
    sheet: &Sheet,
    imprint: &Imprint,
    ledger: &mut Ledger,
    slips: &mut Vec<Slip>,
) -> Entry {
    let mut statements = Vec::with_capacity(decl.statements.len());
    let mut poisoned = false;
    for statement in &decl.statements {
        let context = StatementContext {
            source: &sheet.source,
            conventions: &sheet.conventions,
            instrument: instrument(statement, sheet, imprint),
        };
        let read = statement::read(statement, &context);
        let possible =
            |stated| statement::possible(&stated, &decl.name.text, &context).map(|()| stated);
        match read.and_then(possible) {
            Ok(stated) => statements.push(stated),
            Err(slip) => {
                slips.push(*slip);
                poisoned = true;
            }
        }
    }
    let input = u32::try_from(ledger.inputs.len()).unwrap_or(u32::MAX);
    let owner = (ledger.sheets.len(), sheet.entries.len());
    let mut add = |input, rounding| ledger.inputs.push(ReadingInput { input, rounding, owner });
    match statements.first() {
        Some(Stated { members, .. }) if !members.is_empty() => {
            members.iter().for_each(|member| add(member.input, 0.0));
        }
        Some(stated) => add(stated.input, crate::quantity::exact::to_f64(&stated.rounding)),
        None => add(Input::limits(0.0), 0.0),
    }
    Entry {
        name: decl.name.clone(),
        cues: cues(&decl.name, &decl.called),
        origin: Origin::Reading(Box::new(ReadingEntry {
            decl: decl.clone(),
            statements,
            input,
            poisoned,
        })),
    }
}

/// The limit of the instrument a statement was taken with: declared in the imprint by name, or
/// written behind a comma ("caliper, 0.02 mm") in the statement or its source.
fn instrument(
    statement: &StatementDecl,
    sheet: &Sheet,
    imprint: &Imprint,
) -> Option<InstrumentLimit> {
    let from = statement.from.as_ref().map(|text| text.text.as_str());
    let source = sheet.source(from.or(sheet.readings_from.as_deref()).unwrap_or(""));
    let with =
        statement.with.as_ref().or_else(|| source.and_then(|source| source.with.as_ref()))?;
    let declared = imprint.instruments.iter().find(|instrument| instrument.id.text == with.text);
    let (name, figure) = match declared {
        Some(instrument) => {
            let name = instrument.what.as_ref().unwrap_or(&instrument.id).text.clone();
            (name, instrument.limit.clone()?)
        }
        None => {
            let (name, limit) = with.text.rsplit_once(',')?;
            let decimal_comma = sheet.conventions.decimal_comma;
            (name.trim().to_owned(), instrument_limit(limit, decimal_comma)?)
        }
    };
    let quantity = quantity_of(&figure, &sheet.conventions);
    Some(InstrumentLimit { half_width: quantity.si.to_f64(), dimension: quantity.dimension, name })
}

fn derived(decl: &DerivedDecl, source: &Arc<Source>, slips: &mut Vec<Slip>) -> Entry {
    let formula = parse(&decl.formula, source, slips);
    if let Some(unit) = &decl.unit
        && crate::quantity::units::parse_unit(&unit.text).is_none()
    {
        let message = format!("`{}` is not a unit", unit.text);
        let slip = Slip::stop("unlisted-unit", Spot::new(source, unit.inside()), message);
        let known = || nearest(&unit.text, table().spellings());
        slips.push(match (two_meanings(&unit.text), known()) {
            (Some([one, other]), _) => slip.help(format!("write `{one}` or `{other}`")),
            (None, Some(known)) => slip.write(known),
            (None, None) => slip.help("see the list of units"),
        });
    }
    Entry {
        name: decl.name.clone(),
        cues: cues(&decl.name, &decl.called),
        origin: Origin::Derived(Box::new(DerivedEntry {
            decl: decl.clone(),
            formula,
            nominal: OnceLock::new(),
        })),
    }
}

/// Parses a formula of the front matter.
pub(crate) fn parse(text: &Text, source: &Arc<Source>, slips: &mut Vec<Slip>) -> Option<Formula> {
    match formula::parse(&text.text) {
        Ok(formula) => Some(formula),
        Err(faults) => {
            for fault in faults {
                slips.push(formula_slip(Spot::new(source, text.part(fault.span)), &fault));
            }
            None
        }
    }
}

/// A fault of a formula as a slip.
pub(crate) fn formula_slip(spot: Spot, fault: &formula::FormulaFault) -> Slip {
    let code = match fault.kind {
        formula::FaultKind::Name => "unknown-name",
        _ => "formula-fault",
    };
    let slip = Slip::stop(code, spot, fault.message.clone());
    match &fault.help {
        Some(help) => slip.help(help.clone()),
        None => slip,
    }
}

/// Correlations of readings taken together: from their paired repeats (GUM 5.2.3, equation 17).
fn correlate(ledger: &mut Ledger, sheet: usize, front: &Front) {
    for group in &front.taken_together {
        let taken: Vec<(InputId, Vec<f64>, f64)> = group
            .iter()
            .filter_map(|name| {
                let reading = ledger.sheets[sheet].entry(&name.text)?.reading()?;
                let stated = reading.statements.first()?;
                let u = stated.input.standard_uncertainty;
                (!stated.repeats.is_empty() && 0.0 < u)
                    .then(|| (InputId::Named(reading.input), stated.repeats.clone(), u))
            })
            .collect();
        for (index, (a, repeats_a, u_a)) in taken.iter().enumerate() {
            for (b, repeats_b, u_b) in &taken[index + 1..] {
                if repeats_a.len() != repeats_b.len() || repeats_a.len() < 2 {
                    continue;
                }
                let n = repeats_a.len() as f64;
                let mean = |values: &[f64]| values.iter().sum::<f64>() / n;
                let (mean_a, mean_b) = (mean(repeats_a), mean(repeats_b));
                let products = repeats_a.iter().zip(repeats_b);
                let covariance: f64 =
                    products.map(|(x, y)| (x - mean_a) * (y - mean_b)).sum::<f64>()
                        / (n * (n - 1.0));
                let key = if a <= b { (*a, *b) } else { (*b, *a) };
                let coefficient = (covariance / (u_a * u_b)).clamp(-1.0, 1.0);
                ledger.correlations.insert(key, coefficient);
            }
        }
    }
}
