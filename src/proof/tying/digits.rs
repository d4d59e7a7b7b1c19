//! The digits of a figure: how much they tell, and whose they are.

use super::sentence::NamedWords;
use crate::proof::prose::PageContext;
use crate::quantity::{Amount, Figure};

/// Significant digits of a figure; a bound fits half of everything, whatever its digits.
pub(super) fn digits(figure: &Figure) -> u32 {
    let (Amount::Point(number) | Amount::Range(number, _)) = &figure.amount;
    // The noughts of 0.00 are as written as any digits.
    let is_nought = number.mantissa == 0 && number.fraction.is_none();
    let decimals = u32::try_from(-number.exponent).unwrap_or(0);
    let written = if is_nought { 1 + decimals } else { number.significant };
    match (figure.bound, figure.hedge) {
        (Some(_), _) => 0,
        // "About" fits ten times as much as the digits alone.
        (None, Some(_)) => written.saturating_sub(1),
        (None, None) => written,
    }
}

/// Significant digits of a figure without the noughts at its end: round numbers are many.
pub(super) fn telling_digits(figure: &Figure) -> u32 {
    let (Amount::Point(number) | Amount::Range(number, _)) = &figure.amount;
    digits(figure).saturating_sub(number.integer_zeros)
}

/// Whether a figure has the digits of an entry, in another order, with the point elsewhere or in
/// another unit of those that the page's readings are stated in.
pub(super) fn same_digits(
    figure: &Figure,
    (sheet, entry): NamedWords,
    context: &PageContext<'_>,
) -> bool {
    let Some(value) = context.folio.ledger.nominal(sheet, entry) else { return false };
    let (Amount::Point(number) | Amount::Range(number, _)) = &figure.amount;
    let places = usize::try_from(number.significant.clamp(1, 9)).unwrap_or(9) - 1;
    let written = |value: f64| -> Vec<u8> {
        let written = format!("{:.places$e}", value.abs());
        let mantissa = written.split('e').next().unwrap_or_default();
        mantissa.bytes().filter(u8::is_ascii_digit).collect()
    };
    let sorted = |mut digits: Vec<u8>| {
        digits.sort_unstable();
        digits.retain(|digit| *digit != b'0');
        digits
    };
    let said = crate::quantity::exact::to_f64(&number.value());
    let own = written(said);
    let meant = figure.unit.from_si(&value.quantity.si).to_f64();
    let theirs = written(meant);
    // In another order, two digits with the point elsewhere are any number's.
    let is_sized = (0.1..10.0).contains(&(said / meant).abs()) || 2 < sorted(own.clone()).len();
    if 1 < sorted(own.clone()).len()
        && (own == theirs || is_sized && sorted(own.clone()) == sorted(theirs))
    {
        return true;
    }
    if is_teen(said, meant) {
        return true;
    }
    let units = context.lexicon().units(figure.unit.dimension);
    1 < sorted(own.clone()).len()
        && units.iter().any(|unit| {
            unit.code != figure.unit.code
                && written(unit.from_si(&value.quantity.si).to_f64()) == own
        })
}

/// Whether one number is heard for the other: eighteen for eighty, a hundred and eighty for a
/// hundred and eighteen.
fn is_teen(said: f64, meant: f64) -> bool {
    let is_ty = |teen: f64, ty: f64| {
        let (rest, ones) = (teen % 100.0, teen % 10.0);
        (13.0..=19.0).contains(&rest)
            && rest.fract() == 0.0
            && (ty - (teen - rest) - 10.0 * ones).abs() < 1e-9
    };
    // Worked-out values are no round numbers.
    let (said, meant) =
        (said.round(), if (meant - meant.round()).abs() < 1e-9 { meant.round() } else { meant });
    is_ty(said, meant) || is_ty(meant, said)
}

/// Whether a figure is an entry's with noughts put in or left out: 3,000 for 300, ninety for nine.
pub(super) fn differs_in_noughts(
    figure: &Figure,
    (sheet, entry): NamedWords,
    context: &PageContext<'_>,
) -> bool {
    let Some(value) = context.folio.ledger.nominal(sheet, entry) else { return false };
    let Amount::Point(number) = &figure.amount else { return false };
    let meant = figure.unit.from_si(&value.quantity.si).to_f64();
    let said = crate::quantity::exact::to_f64(&number.value());
    let times = if meant.abs() < said.abs() { said / meant } else { meant / said };
    [10.0, 100.0].iter().any(|tens| (times / tens - 1.0).abs() < 1e-9)
}
