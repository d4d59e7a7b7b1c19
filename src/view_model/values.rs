//! Values of the data sheet as readers see them, in each system of units, with their ±.

use crate::quantity::{Figure, Quantity, Tolerance};
use crate::sheet::Stated;
use crate::sheet::print::{
    Shown, Style, System, derived_style, in_unit, shown, shown_half_width, style_of, system_of,
};
use crate::sheet::statement::print_spaces;

/// A ± for readers; none where there is nothing to tell.
pub(super) fn plus_minus(quantity: &Quantity, style: &Style, half_width: f64) -> Option<Shown> {
    let has_width = half_width.is_finite() && 0.0 < half_width;
    has_width.then(|| shown_half_width(quantity, style, half_width))
}

/// How a value is printed. Where its text is not the value (a ring, a drill, a list), no digit is
/// finer than its ± allows.
pub(super) fn value_style(
    quantity: &Quantity,
    style: &Style,
    half_width: f64,
    stated: Option<&Stated>,
) -> Style {
    if stated.is_some_and(Stated::is_indirect) {
        derived_style(quantity, Some(style.unit.clone()), half_width)
    } else {
        style.clone()
    }
}

/// A reading's value: its first statement as typed, and what that comes to in each system.
pub(super) fn stated_shown(quantity: &Quantity, style: &Style, stated: Option<&Stated>) -> Shown {
    let Some(stated) = stated else { return shown(quantity, style, None) };
    let written = value_text(stated);
    if stated.is_indirect() {
        return Shown { written, ..shown(quantity, style, None) };
    }
    if stated.figures.len() < 2 {
        return shown(quantity, style, Some(written));
    }
    let told = shown(quantity, style, None);
    let own = |system: System, otherwise: String| {
        let mut members = stated.figures.iter();
        let member = members.find(|figure| system_of(figure.unit) == Some(system));
        let text = member.and_then(|figure| stated.text.get(figure.span.start..figure.span.end));
        text.map_or(otherwise, print_spaces)
    };
    Shown {
        si: own(System::Metric, told.si),
        us: own(System::Us, told.us),
        written,
        value: told.value,
        kind: told.kind,
    }
}

/// A statement as typed, without its ±, which has a column of its own. Limits that differ do not
/// fit in there; narrow columns may break them between the two.
pub(super) fn value_text(stated: &Stated) -> String {
    match stated.figures.first() {
        Some(Figure { tolerance: Some(Tolerance { below: None, .. }), .. })
            if stated.figures.len() == 1 =>
        {
            let style = style_of(stated);
            in_unit(&stated.quantity, &style.unit, style.resolution)
        }
        Some(Figure { tolerance: Some(Tolerance { below: Some(_), .. }), .. }) => {
            stated.written.replace('/', "/\u{200b}")
        }
        _ => stated.written.clone(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::exact::decimal;
    use crate::quantity::{Dimension, Kind, Real};

    fn half_widths(half_width: f64) -> (String, String) {
        let unit = crate::quantity::units::table().by_code("mm").expect("mm").clone();
        let quantity = Quantity {
            si: Real::Exact(decimal(173, -4)),
            dimension: Dimension::LENGTH,
            kind: Kind::Plain,
            reference: None,
        };
        let style = Style { unit, resolution: 1e-4 };
        let told = plus_minus(&quantity, &style, half_width).expect("a ±");
        (told.written, told.us)
    }

    #[test]
    fn a_half_width_is_neither_doubled_nor_lost_by_rounding() {
        // 0.05 mm is 0.001969 in, 0.1 mm is 0.00394 in (1 in = 25.4 mm exactly).
        assert_eq!(half_widths(5e-5), ("0.05\u{a0}mm".into(), "0.002\u{a0}in".into()));
        assert_eq!(half_widths(1e-4), ("0.1\u{a0}mm".into(), "0.004\u{a0}in".into()));
    }
}
