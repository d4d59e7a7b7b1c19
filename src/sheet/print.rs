//! Values of a data sheet as readers see them: as written, in metric and in US customary units.

use super::entry::{Entry, Origin};
use super::ledger::Ledger;
use super::statement::Stated;
use crate::formula::{Scope, Value, standard_uncertainty};
use crate::quantity::exact::to_f64;
use crate::quantity::print::{Style, half_width_in, in_unit, kind_words};
use crate::quantity::units::parse_unit;
use crate::quantity::{Kind, Quantity, Real, Unit, machine};
use serde::Serialize;
use std::borrow::Cow;

/// A quantity in the systems that a reader may choose from, ready for people and machines.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub(crate) struct Shown {
    /// As the writer typed it.
    pub(crate) written: String,
    /// In metric units.
    pub(crate) si: String,
    /// In US customary units.
    pub(crate) us: String,
    /// Value in coherent SI units; none where there is no single value.
    pub(crate) value: Option<f64>,
    /// Kind of quantity in words; may be empty.
    pub(crate) kind: String,
}

impl Shown {
    /// A text in the units of each system: the own one, the metric and the US customary one. The
    /// text is made of the place of a unit among them, and of the unit.
    pub(super) fn in_each(
        units: &[Cow<'_, Unit>; 3],
        text: impl Fn(usize, &Unit) -> String,
    ) -> Shown {
        let own = &units[0];
        let written = text(0, own);
        let other = |at: usize| match units[at].code == own.code {
            true => written.clone(),
            false => text(at, &units[at]),
        };
        Shown { si: other(1), us: other(2), written, ..Shown::default() }
    }

    /// A half-width (SI) in each system; none where there is nothing to tell.
    pub(super) fn half_width(
        units: &[Cow<'_, Unit>; 3],
        half_width: f64,
        resolution: f64,
    ) -> Option<Shown> {
        let told = || Shown::in_each(units, |_, unit| half_width_in(half_width, unit, resolution));
        let has_width = half_width.is_finite() && 0.0 < half_width;
        has_width.then(|| Shown { value: machine::rounded(&Real::near(half_width)), ..told() })
    }
}

/// A quantity with its ±.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub(crate) struct ShownWidth {
    pub(crate) shown: Shown,
    /// None where there is nothing to tell.
    pub(crate) plus_minus: Option<Shown>,
}

/// An entry's value with its ± and how it is printed; `None` where it has no value.
pub(crate) fn valued(ledger: &Ledger, sheet: usize, entry: usize) -> Option<(Value, f64, Style)> {
    let value = ledger.nominal(sheet, entry)?;
    let item = &ledger.sheets[sheet].entries[entry];
    let (half_width, style) = match &item.origin {
        Origin::Reading(reading) => {
            let lent = reading.statements.first().or_else(|| lender(ledger, item));
            let stated = lent?;
            (stated.told_half_width(), style_of(stated))
        }
        Origin::Derived(derived) => {
            let asked = derived.decl.unit.as_ref().and_then(|unit| parse_unit(&unit.text));
            computed(ledger, sheet, &value, asked.map(|found| found.unit))
        }
    };
    Some((value, half_width, style))
}

/// The ± that is told of a computed value, and how it is printed.
fn computed(ledger: &Ledger, sheet: usize, value: &Value, unit: Option<Unit>) -> (f64, Style) {
    // Expanded uncertainty with k = 2, about 95 % (GUM 6.2.1).
    let expanded = 2.0 * standard_uncertainty(value, &ledger.scope(sheet));
    let told = if rests_on_told(ledger, value) { expanded } else { 0.0 };
    (told, Style::computed(&value.quantity, unit, expanded, 0.0 < told))
}

/// A computed value of a sheet with its ±, in all systems.
pub(crate) fn worked_out(ledger: &Ledger, sheet: usize, value: &Value) -> ShownWidth {
    let is_ratio = value.quantity.kind == Kind::Ratio;
    let percent = parse_unit("%").filter(|_| is_ratio).map(|found| found.unit);
    let (half_width, style) = computed(ledger, sheet, value, percent);
    let plus_minus = shown_half_width(&value.quantity, &style, half_width);
    ShownWidth { shown: shown(&value.quantity, &style, None), plus_minus }
}

/// An entry's value with its ±, in all systems; `None` where it has no value.
pub(crate) fn shown_alone(ledger: &Ledger, sheet: usize, entry: usize) -> Option<ShownWidth> {
    let (value, half_width, style) = valued(ledger, sheet, entry)?;
    let plus_minus = shown_half_width(&value.quantity, &style, half_width);
    Some(ShownWidth { shown: shown(&value.quantity, &style, None), plus_minus })
}

/// Whether any input of a value has a ± of its own and not only digits that end somewhere.
fn rests_on_told(ledger: &Ledger, value: &Value) -> bool {
    value.sensitivities.iter().filter(|(_, slope)| *slope != 0.0).any(|(id, _)| {
        let Some((sheet, entry)) = ledger.owner(*id) else { return true };
        let entry = &ledger.sheets[sheet].entries[entry];
        let own = entry.reading().and_then(|reading| reading.statements.first());
        own.or_else(|| lender(ledger, entry)).is_none_or(|stated| 0.0 < stated.told_half_width())
    })
}

fn lender<'a>(ledger: &'a Ledger, entry: &Entry) -> Option<&'a Stated> {
    let engine = &entry.reading()?.decl.like.as_ref()?.text;
    let sheet = &ledger.sheets[ledger.engine(engine)?];
    sheet.entry(&entry.name.text)?.reading()?.statements.first()
}

/// Unit and step of a statement's own digits; where it has none (a ring, a drill, a list), those
/// that its ± allows.
pub(crate) fn style_of(stated: &Stated) -> Style {
    if stated.is_indirect() {
        return Style::computed(
            &stated.quantity,
            Some(stated.unit.clone()),
            stated.told_half_width(),
            true,
        );
    }
    Style::stated(&stated.quantity.si, stated.unit, 2.0 * to_f64(&stated.rounding))
}

/// A quantity in all systems; `written` where the writer's own text is known.
pub(crate) fn shown(quantity: &Quantity, style: &Style, written: Option<&str>) -> Shown {
    let text = |_: usize, unit: &Unit| match written {
        Some(written) if unit.code == style.unit.code => written.to_owned(),
        _ => in_unit(quantity, unit, style.resolution),
    };
    Shown {
        value: machine::rounded(&quantity.si),
        kind: kind_words(quantity),
        ..Shown::in_each(&style.units(quantity), text)
    }
}

/// A ± in all systems; none where there is nothing to tell.
pub(crate) fn shown_half_width(
    quantity: &Quantity,
    style: &Style,
    half_width: f64,
) -> Option<Shown> {
    Shown::half_width(&style.units(quantity), half_width, style.resolution)
}

/// Largest contribution to the ± of a derived value: the input's name and its share, 0 to 1.
pub(crate) fn largest_share(ledger: &Ledger, sheet: usize, value: &Value) -> Option<(String, f64)> {
    let scope = ledger.scope(sheet);
    let parts: Vec<(crate::formula::InputId, f64)> = value
        .sensitivities
        .iter()
        .map(|(id, slope)| (*id, slope * scope.input(*id).standard_uncertainty))
        .map(|(id, part)| (id, part * part))
        .collect();
    let total: f64 = parts.iter().map(|(_, part)| part).sum();
    let (id, part) = parts.into_iter().max_by(|a, b| a.1.total_cmp(&b.1))?;
    if total.is_nan() || total <= 0.0 {
        return None;
    }
    let (index, entry) = ledger.owner(id)?;
    let other = &ledger.sheets[index];
    let words = other.entries[entry].words();
    let owner = match other.engine.as_ref().filter(|_| index != sheet) {
        Some(engine) => format!("{engine}'s {words}"),
        None => words,
    };
    Some((owner, part / total))
}
