//! Values of the data sheet as readers see them, in each system of units, with their ±.

use super::figures::view_shown;
use crate::quantity::Quantity;
use crate::sheet::print::{
    Shown, Style, System, derived_style, half_width_in, in_unit, shown, shown_half_width, style_of,
    system_of, unit_in,
};
use crate::sheet::statement::print_spaces;
use crate::sheet::{Entry, Stated};
use crate::site::figure::Mark;
use crate::site::view;

/// How far an entry itself is checked.
#[must_use]
pub(super) fn entry_mark(entry: &Entry) -> Mark {
    match entry.reading() {
        None => Mark::Computed,
        Some(reading) => {
            let dual = reading.statements.first().is_some_and(|stated| 1 < stated.figures.len());
            if 1 < reading.statements.len() || dual {
                Mark::SecondStatement
            } else {
                Mark::OwnReading
            }
        }
    }
}

/// A ± for readers; none where there is nothing to tell.
#[must_use]
pub(super) fn plus_minus(
    quantity: &Quantity,
    style: &Style,
    half_width: f64,
) -> Option<view::Shown> {
    if !(half_width.is_finite() && 0.0 < half_width) {
        return None;
    }
    let mut told = shown_half_width(quantity, style, half_width);
    // A ± that would read as nought is told with one more digit.
    let systems = [(System::Metric, &mut told.si), (System::Us, &mut told.us)];
    for (system, text) in systems {
        if is_nought(text) {
            let unit = unit_in(system, quantity, Some(&style.unit));
            *text = half_width_in(half_width, unit, half_width / 10.0);
        }
    }
    Some(view_shown(told))
}

fn is_nought(text: &str) -> bool {
    let number = text.split('\u{a0}').next().unwrap_or("");
    number.bytes().all(|b| matches!(b, b'0' | b'.'))
}

/// A reading's value: its first statement as typed, and what that comes to in each system.
#[must_use]
pub(super) fn stated_shown(
    quantity: &Quantity,
    style: &Style,
    half_width: f64,
    stated: Option<&Stated>,
) -> view::Shown {
    let Some(stated) = stated else { return view_shown(shown(quantity, style, None)) };
    let written = value_text(stated);
    let told = if is_indirect(stated) {
        // A ring, a drill, a list: the text is not the value.
        let style = derived_style(quantity, Some(style.unit.clone()), half_width);
        Shown { written, ..shown(quantity, &style, None) }
    } else if 1 < stated.figures.len() {
        let told = shown(quantity, style, None);
        let own = |system: System, otherwise: String| {
            let mut members = stated.figures.iter();
            let member = members.find(|figure| system_of(figure.unit) == Some(system));
            let text =
                member.and_then(|figure| stated.text.get(figure.span.start..figure.span.end));
            text.map_or(otherwise, print_spaces)
        };
        Shown {
            si: own(System::Metric, told.si),
            us: own(System::Us, told.us),
            written,
            value: told.value,
            kind: told.kind,
        }
    } else {
        shown(quantity, style, Some(written))
    };
    view_shown(told)
}

/// Whether a statement gives its value by way of something else.
fn is_indirect(stated: &Stated) -> bool {
    !stated.members.is_empty() || !stated.form.is_empty() && !stated.form.starts_with("by ")
}

/// A statement as typed, without its ±, which has a column of its own.
#[must_use]
pub(super) fn value_text(stated: &Stated) -> String {
    match stated.figures.first() {
        Some(figure) if figure.tolerance.is_some() && stated.figures.len() == 1 => {
            let style = style_of(stated);
            in_unit(&stated.quantity, &style.unit, style.resolution)
        }
        _ => stated.written.clone(),
    }
}
