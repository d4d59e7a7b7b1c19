//! Values of the data sheet as readers see them, in each system of units, with their ±.

use crate::quantity::print::{Style, in_unit};
use crate::quantity::usual::{System, system_of};
use crate::quantity::{Figure, Quantity, Tolerance};
use crate::sheet::Stated;
use crate::sheet::print::{Shown, shown, style_of};
use crate::sheet::statement::print_spaces;

/// A reading's value: its first statement as typed, and what that comes to in each system.
pub(super) fn stated_shown(quantity: &Quantity, style: &Style, stated: Option<&Stated>) -> Shown {
    let Some(stated) = stated else { return shown(quantity, style, None) };
    let written = value_text(stated);
    let own = |system: System| {
        let mut members = stated.figures.iter();
        let member = members.find(|figure| system_of(figure.unit) == Some(system))?;
        stated.text.get(member.span.start..member.span.end).map(print_spaces)
    };
    match stated.figures.len() {
        0 => Shown { written, ..shown(quantity, style, None) },
        1 => shown(quantity, style, Some(&written)),
        _ => {
            let told = shown(quantity, style, None);
            let si = own(System::Metric).unwrap_or(told.si);
            Shown { si, us: own(System::Us).unwrap_or(told.us), written, ..told }
        }
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
    use crate::sheet::print::shown_half_width;

    fn half_widths(half_width: f64) -> (String, String) {
        let unit = crate::quantity::units::table().by_code("mm").expect("mm").clone();
        let quantity = Quantity {
            si: Real::Exact(decimal(173, -4)),
            dimension: Dimension::LENGTH,
            kind: Kind::Plain,
            reference: None,
        };
        let style = Style { unit, resolution: 1e-4 };
        let told = shown_half_width(&quantity, &style, half_width).expect("a ±");
        (told.written, told.us)
    }

    #[test]
    fn a_half_width_is_neither_doubled_nor_lost_by_rounding() {
        // 0.05 mm is 0.001969 in, 0.1 mm is 0.00394 in (1 in = 25.4 mm exactly).
        assert_eq!(half_widths(5e-5), ("0.05\u{a0}mm".into(), "0.002\u{a0}in".into()));
        assert_eq!(half_widths(1e-4), ("0.1\u{a0}mm".into(), "0.004\u{a0}in".into()));
    }
}
