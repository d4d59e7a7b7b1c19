//! Numbers with their units, as they stand in a formula.
//!
//! A number, the unit right behind it and a pressure word are one literal: `2 N/mm`,
//! `1.5 dm3/(s.bar)`, `8 bar gauge`. Blanks around a slash end the unit, so `2 N / mm` is a
//! division. A comma between digits is a decimal or thousands comma only where it can be nothing
//! else.

use super::tree::Literal;
use super::{FaultKind, FormulaFault, Input, InputId, Syntax};
use crate::quantity::number::{NumberFault, scan};
use crate::quantity::units::{ReferencedUnit, Unit, match_unit, parse_unit, table};
use crate::quantity::{Dimension, Kind, Number, Quantity, Rational, Real, Reference};
use crate::text::Span;
use num_traits::{Signed, Zero};

const BLANKS: [char; 4] = [' ', '\u{a0}', '\u{202f}', '\u{2009}'];

/// Reads the literal that starts at byte `at`; its length, or the fault with its length.
pub(super) fn read(
    text: &str,
    at: usize,
    in_call: bool,
    syntax: Syntax,
) -> Result<(Literal, usize), (FormulaFault, usize)> {
    let rest = &text[at..];
    let (number, number_length) = read_number(rest, in_call, syntax)
        .map_err(|(fault, length)| (number_fault(fault, rest, at, length), length.max(1)))?;
    let mut length = number_length;
    let early = tolerance(&rest[length..], syntax);
    if let Some((_, covered)) = &early {
        length += covered;
    }
    let unit = read_unit(&rest[length..]);
    if let Some((_, covered)) = &unit {
        length += covered;
    }
    let unit = unit.map(|(unit, _)| unit);
    let late = if early.is_none() { tolerance(&rest[length..], syntax) } else { None };
    let mut tolerance_unit = None;
    if let Some((_, covered)) = &late {
        length += covered;
        if let Some((found, covered)) = read_unit(&rest[length..]) {
            tolerance_unit = Some(found.unit);
            length += covered;
        }
    }
    let mut literal =
        Literal { quantity: quantity(&number.value(), unit.as_ref()), unit, uncertainty: None };
    if let Some((half_width, _)) = early.or(late) {
        if !syntax.uncertain_literals {
            let span = Span::new(at + number_length, at + length);
            let fault =
                FormulaFault::new(FaultKind::Text, span, "a ± belongs to a reading, not a formula")
                    .helping("state the figure as a reading and use its name here");
            return Err((fault, length));
        }
        let (k, covered) = coverage(&rest[length..]);
        length += covered;
        let span = Span::new(at, at + length);
        let input = uncertainty(&literal, &half_width, tolerance_unit.as_ref(), k)
            .ok_or_else(|| (unlike_tolerance(span), length))?;
        literal.uncertainty = Some((InputId::literal(at), input));
    }
    Ok((literal, length))
}

/// The quantity that a number of a unit is.
pub(super) fn quantity(number: &Rational, unit: Option<&ReferencedUnit>) -> Quantity {
    let number = Real::Exact(number.clone());
    let Some(ReferencedUnit { unit, reference }) = unit else {
        return Quantity {
            si: number,
            dimension: Dimension::NONE,
            kind: Kind::Ratio,
            reference: None,
        };
    };
    let is_difference =
        unit.dimension == Dimension::TEMPERATURE && *reference == Some(Reference::Difference);
    let (si, kind) = if is_difference {
        (unit.span_to_si(&number), Kind::TemperatureDifference)
    } else if unit.kind_yields && unit.kind == Kind::Energy {
        (unit.to_si(&number), Kind::Plain)
    } else {
        (unit.to_si(&number), unit.kind)
    };
    let reference = reference.filter(|_| unit.is_pressure());
    Quantity { si, dimension: unit.dimension, kind, reference }
}

/// A number, with the forms refused or cut short that a formula would read otherwise.
fn read_number(
    rest: &str,
    in_call: bool,
    syntax: Syntax,
) -> Result<(Number, usize), (NumberFault, usize)> {
    let (outcome, length) =
        scan(rest, syntax.decimal_comma).ok_or((NumberFault::BadGrouping, 1))?;
    let covered = &rest[..length];
    if let Some(comma) = covered.find(',').filter(|_| in_call && !syntax.decimal_comma) {
        // In a call a comma parts arguments; three digits behind it could mean thousands.
        let digits = covered[comma + 1..].bytes().take_while(u8::is_ascii_digit).count();
        if digits == 3 && comma <= 3 {
            return Err((NumberFault::AmbiguousComma, length));
        }
        return read_number(&rest[..comma], in_call, syntax);
    }
    if let Some(slash) = covered.find(['/', '\u{2044}']) {
        let proper = outcome.as_ref().is_ok_and(is_workshop_fraction);
        let is_mixed = covered[..slash].contains(BLANKS);
        let has_unit = read_unit(&rest[length..]).is_some();
        if !(proper && (has_unit || is_mixed)) {
            let cut = if is_mixed {
                slash
            } else {
                covered.find(['-', '/', '\u{2044}']).unwrap_or(slash)
            };
            return read_number(&rest[..cut], in_call, syntax);
        }
    }
    outcome.map(|number| (number, length)).map_err(|fault| (fault, length))
}

fn is_workshop_fraction(number: &Number) -> bool {
    number.fraction.is_some_and(|(numerator, denominator)| {
        numerator < denominator && matches!(denominator, 2 | 4 | 8 | 16 | 32 | 64 | 128)
    })
}

fn number_fault(fault: NumberFault, rest: &str, at: usize, length: usize) -> FormulaFault {
    let span = Span::new(at, at + length.max(1));
    let written = rest.get(..length).unwrap_or("");
    let (message, help) = match fault {
        NumberFault::AmbiguousComma => (
            format!("the comma in `{written}` can be read in two ways"),
            "write a decimal point, no thousands comma, and a blank behind a comma between arguments",
        ),
        NumberFault::TooLong => (
            format!("the number `{}` is longer than any figure needs", shorten(written)),
            "write at most thirty digits and a power of ten up to 60",
        ),
        NumberFault::ZeroDenominator => {
            (format!("`{written}` divides by nought"), "write a fraction with a denominator")
        }
        NumberFault::BadGrouping => (
            format!("`{written}` is no number"),
            "write the digits with one decimal point and no grouping",
        ),
    };
    FormulaFault::new(FaultKind::Text, span, message).helping(help)
}

fn shorten(text: &str) -> String {
    if text.chars().count() <= 16 {
        text.to_owned()
    } else {
        text.chars().take(15).chain(['…']).collect()
    }
}

/// The unit behind a number, blanks before it included in the length.
pub(super) fn read_unit(rest: &str) -> Option<(ReferencedUnit, usize)> {
    let trimmed = rest.trim_start_matches(BLANKS);
    let blanks = rest.len() - trimmed.len();
    // An inch mark stands at the digit; after a blank a quotation mark opens a word. A slash at the
    // digit divides; after a blank `/s` is a code.
    let is_misplaced = match trimmed.chars().next() {
        Some('"' | '″' | '”') => 0 < blanks,
        Some('/') => blanks == 0,
        _ => false,
    };
    if is_misplaced {
        return None;
    }
    let simple = match_unit(trimmed).map(|(unit, reference, length)| {
        (ReferencedUnit { unit: unit.clone(), reference }, length)
    });
    let simple_length = simple.as_ref().map_or(0, |(_, length)| *length);
    let found = composed(trimmed, simple_length).or(simple)?;
    // A call of a function that is named like a unit: `2 min(a, b)`.
    if trimmed[found.1..].starts_with('(') {
        return None;
    }
    let (unit, length) = with_word(trimmed, found);
    Some((unit, blanks + length))
}

/// A unit code or a product of units that is longer than the simple match.
fn composed(text: &str, longer_than: usize) -> Option<(ReferencedUnit, usize)> {
    if text.starts_with(['/', '.', '·', '-', '^', '(']) && !text.starts_with("/s") {
        return None;
    }
    let fits = |c: char| c.is_alphanumeric() || "[]{}_'%°./·()^-⁻".contains(c);
    let end = text.find(|c| !fits(c)).unwrap_or(text.len());
    let mut ends: Vec<usize> =
        text[..end].char_indices().map(|(at, c)| at + c.len_utf8()).take(40).collect();
    ends.reverse();
    ends.into_iter().take_while(|end| longer_than < *end).find_map(|end| {
        let candidate = &text[..end];
        let next = text[end..].chars().next();
        let goes_on = next.is_some_and(|c| c.is_alphanumeric() || matches!(c, '_' | '.' | '('));
        // A listed code such as K-1 or /s is no arithmetic, whatever it looks like.
        let is_code = table().by_code(candidate).is_some();
        if goes_on || !(is_code || is_product(candidate)) {
            return None;
        }
        parse_unit(candidate).map(|unit| (unit, end))
    })
}

/// Whether a spelling can be a product of units and not arithmetic: `bar-2` is a difference,
/// `bar/2` a division.
fn is_product(candidate: &str) -> bool {
    let mut before = ' ';
    let mut is_joined = false;
    for c in candidate.chars() {
        match c {
            '0'..='9' if matches!(before, '/' | '.' | '·' | '(') => return false,
            '-' if before != '^' && !is_joined => return false,
            '/' | '.' | '·' => is_joined = true,
            _ => {}
        }
        before = c;
    }
    !matches!(before, '/' | '.' | '·' | '-' | '^' | '(')
}

/// Adds a pressure word, or `difference` behind a temperature.
fn with_word(text: &str, found: (ReferencedUnit, usize)) -> (ReferencedUnit, usize) {
    let (mut unit, length) = found;
    let rest = text[length..].trim_start_matches(BLANKS);
    let end = rest.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(rest.len());
    let word = Reference::from_word(&rest[..end]).filter(|_| unit.reference.is_none());
    let fits = word.filter(|word| {
        unit.unit.is_pressure()
            || (unit.unit.dimension == Dimension::TEMPERATURE && *word == Reference::Difference)
    });
    if fits.is_none() {
        return (unit, length);
    }
    unit.reference = fits;
    (unit, text.len() - rest.len() + end)
}

/// `± number`: the number and the bytes covered.
fn tolerance(rest: &str, syntax: Syntax) -> Option<(Number, usize)> {
    let trimmed = rest.trim_start_matches(BLANKS);
    let sign = ["±", "+/-"].into_iter().find(|sign| trimmed.starts_with(sign))?;
    let after = trimmed[sign.len()..].trim_start_matches(BLANKS);
    let (number, length) = scan(after, syntax.decimal_comma)?;
    let covered = rest.len() - after.len() + length;
    Some((number.ok()?, covered))
}

/// `(k=2)`: the coverage factor and the bytes covered.
fn coverage(rest: &str) -> (Option<Number>, usize) {
    let inner = || {
        let open = rest.trim_start_matches(BLANKS).strip_prefix('(')?;
        let equals = open.trim_start().strip_prefix(['k', 'K'])?.trim_start().strip_prefix('=')?;
        let digits = equals.trim_start();
        let (number, length) = scan(digits, false)?;
        let close = digits[length..].trim_start().strip_prefix(')')?;
        let number = number.ok().filter(|number| number.value().is_positive())?;
        Some((number, rest.len() - close.len()))
    };
    inner().map_or((None, 0), |(number, length)| (Some(number), length))
}

fn uncertainty(
    literal: &Literal,
    half_width: &Number,
    own: Option<&Unit>,
    k: Option<Number>,
) -> Option<Input> {
    let number = Real::Exact(half_width.value());
    let base = literal.unit.as_ref().map(|unit| &unit.unit);
    let is_share = |unit: &Unit| unit.dimension == Dimension::NONE && unit.kind == Kind::Ratio;
    let width = match (own, base) {
        (Some(share), base) if is_share(share) && !base.is_some_and(is_share) => {
            share.to_si(&number).mul(&literal.quantity.si).to_f64()
        }
        (Some(own), Some(base)) if own.dimension == base.dimension => {
            own.span_to_si(&number).to_f64()
        }
        (Some(_), _) => return None,
        (None, Some(base)) => base.span_to_si(&number).to_f64(),
        (None, None) => number.to_f64(),
    };
    Some(match k {
        Some(k) if !k.value().is_zero() => {
            Input::expanded(width, crate::quantity::exact::to_f64(&k.value()))
        }
        _ => Input::limits(width),
    })
}

fn unlike_tolerance(span: Span) -> FormulaFault {
    FormulaFault::new(FaultKind::Unlike, span, "the ± has a unit of another dimension")
        .helping("write the ± in the unit of the figure, or in %")
}
