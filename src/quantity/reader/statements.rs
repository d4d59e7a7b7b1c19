//! Numbers become statements: ranges, ±, lists that share a unit.
//!
//! Works on the pieces alone, from right to left for the units (a list lends its last unit to the
//! members before it) and then from left to right for the amounts. Both passes are linear.

use super::after::After;
use super::glue::{self, Glue};
use super::pieces::{NumberPiece, plus_minus_before};
use super::words::{closes, one_of, phrase_before, word_before};
use super::{ReadOptions, cues, never};
use crate::quantity::{Amount, Dimension, Figure, Kind, Number, Reference, Tolerance, Unit, units};
use crate::text::Span;

/// A figure with what the later passes need to know of its surroundings.
#[derive(Debug, Clone)]
pub(super) struct ReadStatement {
    /// The figure; bound, hedge and pair are still to come.
    pub(super) figure: Figure,
    /// First byte, words of bound and hedge included.
    pub(super) lead: usize,
    /// One past the last byte, trailing words of bound and reference included.
    pub(super) tail: usize,
    /// Whether words, not a mark on the unit, told what a pressure counts from.
    pub(super) told: bool,
    /// Members of one list share a number.
    pub(super) list: usize,
}

/// A unit that a piece has or is lent.
#[derive(Debug, Clone, Copy)]
struct Lent {
    after: After,
    /// Whether it was lent by the next piece through this glue.
    through: Option<Glue>,
}

/// Units that are told one behind the other, and how many of the smaller make the larger.
const SUMS: [(&str, &str, i128); 4] =
    [("[lb_av]", "[oz_av]", 16), ("[ft_i]", "[in_i]", 12), ("h", "min", 60), ("min", "s", 60)];

/// Builds the statements of a text.
pub(super) fn statements(
    text: &str,
    pieces: &[NumberPiece],
    options: &ReadOptions,
) -> Vec<ReadStatement> {
    let glues: Vec<Glue> =
        pieces.windows(2).map(|pair| glue::between(text, &pair[0], &pair[1])).collect();
    let lent = lend(text, pieces, &glues, options);
    let Some(one) = units::table().by_code("1") else { return Vec::new() };
    let mut builder =
        Builder { text, pieces, glues: &glues, lent: &lent, one, list: 0, built: Vec::new() };
    let mut at = 0;
    while at < pieces.len() {
        at = builder.take(at);
    }
    builder.built
}

/// Gives every piece its unit: its own, or that of the piece to its right.
fn lend(text: &str, pieces: &[NumberPiece], glues: &[Glue], options: &ReadOptions) -> Vec<Lent> {
    let mut lent: Vec<Lent> =
        pieces.iter().map(|piece| Lent { after: piece.after, through: None }).collect();
    for at in (0..glues.len()).rev() {
        let glue = glues[at];
        let (piece, next) = (&pieces[at], &pieces[at + 1]);
        let lender = lent[at + 1];
        let open = matches!(piece.after, After::Nothing) && !piece.never && piece.doubt.is_none();
        if !open || matches!(lender.after, After::Nothing) {
            continue;
        }
        if takes(text, piece, next, glue, lender) {
            lent[at] = Lent { after: lender.after, through: Some(glue) };
        }
    }
    for at in 1..pieces.len() {
        // `0.875 in (7/8)`: a fraction alone in the bracket is of the unit before it.
        let (before, piece) = (&pieces[at - 1], &pieces[at]);
        if matches!(lent[at].after, After::Nothing)
            && piece.number.fraction.is_some()
            && text.get(before.end..piece.start) == Some(" (")
            && text.as_bytes().get(piece.end) == Some(&b')')
            && matches!(before.after, After::Unit(unit, _) if unit.dimension == Dimension::LENGTH)
        {
            lent[at].after = before.after;
        }
    }
    if let Some(unit) = options.carried {
        for (lent, piece) in lent.iter_mut().zip(pieces) {
            let fine = piece.number.exponent < 0 || 10 <= piece.number.mantissa;
            let open = matches!(lent.after, After::Nothing) && !piece.never;
            if open && fine && piece.number.spelled && closes(text, piece.end) {
                lent.after = After::Unit(unit, None);
            }
        }
    }
    if let Some(unit) = options.column_unit {
        for (lent, piece) in lent.iter_mut().zip(pieces) {
            if matches!(lent.after, After::Nothing) && !piece.never {
                lent.after = After::Unit(unit, None);
            }
        }
    }
    lent
}

/// Whether a piece without a unit takes that of the next one.
fn takes(text: &str, piece: &NumberPiece, next: &NumberPiece, glue: Glue, lender: Lent) -> bool {
    let whole = piece.number.exponent == 0 && piece.number.fraction.is_none();
    if never::year(text, piece.start, &piece.number)
        && next.number.value() < Number::integer(1000).value()
    {
        return false;
    }
    // `1/4-20` is a thread and `10-32` one too.
    let thread = piece.number.fraction.is_some() && next.number.fraction.is_none();
    match glue {
        Glue::Apart => false,
        Glue::PlusMinus => true,
        Glue::Range => {
            let hyphen = text.get(piece.end..next.start) == Some("-");
            lender.through.is_none_or(|through| through == Glue::PlusMinus)
                && !(hyphen && thread && next.number.exponent == 0)
        }
        Glue::And => !is_counted_apart(text, piece),
        Glue::Comma => {
            let goes_on = matches!(lender.through, Some(Glue::And | Glue::Comma));
            goes_on || (!whole && next.number.exponent == piece.number.exponent)
        }
        Glue::By => {
            lender.through == Some(Glue::By)
                || !whole
                || Number::integer(10).value() <= piece.number.value()
        }
    }
}

/// "both 2 and 5 mm" shares; "in step 2 and 5 mm" and "one of 3 and 5 mm" do not.
fn is_counted_apart(text: &str, piece: &NumberPiece) -> bool {
    let (word, _) = word_before(text, piece.start);
    one_of(word, &["the", "all", "these", "those"]) && piece.number.spelled
}

struct Builder<'a> {
    text: &'a str,
    pieces: &'a [NumberPiece],
    glues: &'a [Glue],
    lent: &'a [Lent],
    one: &'static Unit,
    list: usize,
    built: Vec<ReadStatement>,
}

impl Builder<'_> {
    /// Takes the statement that begins with piece `at`; returns the next piece.
    fn take(&mut self, at: usize) -> usize {
        let piece = &self.pieces[at];
        let after = self.lent[at].after;
        if matches!(after, After::Nothing) {
            return at + 1;
        }
        match self.glues.get(at) {
            Some(Glue::PlusMinus) => return self.toleranced(at),
            Some(Glue::Range) if self.is_range(at) => return self.range(at),
            _ => {}
        }
        if let Some(next) = self.sum(at) {
            return next;
        }
        let concise = piece.concise.clone().map(|half_width| Tolerance {
            half_width,
            below: None,
            unit: None,
            coverage: Some(Number::integer(1)),
        });
        let end = if self.lent[at].through.is_some() { piece.number_end } else { piece.end };
        let (amount, tolerance) = match piece.limits.clone() {
            Some(limits) => (limits.amount, limits.tolerance),
            None => (Amount::Point(piece.number.clone()), concise),
        };
        self.add(Span::new(piece.start, end), amount, tolerance, after);
        let continues = matches!(self.lent[at].through, Some(Glue::And | Glue::Comma | Glue::By));
        if !continues {
            self.list += 1;
        }
        at + 1
    }

    /// `2 lb 6 oz`, `4 ft 6 in`, `2 min 40 s`: one figure in the smaller unit.
    fn sum(&mut self, at: usize) -> Option<usize> {
        let (large, small) = (&self.pieces[at], self.pieces.get(at + 1)?);
        let gap = self.text.get(large.end..small.start)?;
        let (After::Unit(big, _), After::Unit(unit, _)) = (large.after, small.after) else {
            return None;
        };
        let known = |(a, b, times): &(&str, &str, i128)| {
            (*a == big.code && *b == unit.code).then_some(*times)
        };
        let times = SUMS.iter().find_map(known)?;
        let whole = |number: &Number| number.exponent == 0 && number.fraction.is_none();
        let fits = matches!(gap, " " | "\u{a0}" | " and " | ", ")
            && whole(&large.number)
            && !small.number.negative
            && small.number.value() < Number::integer(i64::try_from(times).ok()?).value()
            && !matches!(self.glues.get(at + 1), Some(Glue::PlusMinus | Glue::Range));
        if !fits {
            return None;
        }
        let places = u32::try_from(-small.number.exponent).ok()?;
        let scaled = large.number.mantissa.checked_mul(times)?;
        let scaled = scaled.checked_mul(10_i128.checked_pow(places)?)?;
        let mantissa = scaled.checked_add(small.number.mantissa)?;
        let digits = u32::try_from(mantissa.unsigned_abs().to_string().len()).ok()?;
        let number =
            Number { mantissa, significant: digits, integer_zeros: 0, ..small.number.clone() };
        let span = Span::new(large.start, small.end);
        self.add(span, Amount::Point(number), None, small.after);
        self.list += 1;
        Some(at + 2)
    }

    /// `v ± t`, perhaps with `(k=2)`.
    fn toleranced(&mut self, at: usize) -> usize {
        let (piece, width) = (&self.pieces[at], &self.pieces[at + 1]);
        let own = match (self.lent[at].after, width.after) {
            (After::Unit(mine, _), After::Unit(its, _)) if !std::ptr::eq(mine, its) => Some(its),
            _ => None,
        };
        let (coverage, end, next) = self.coverage(at + 2, width.end);
        let tolerance =
            Tolerance { half_width: width.number.clone(), below: None, unit: own, coverage };
        let amount = Amount::Point(piece.number.clone());
        self.add(Span::new(piece.start, end), amount, Some(tolerance), self.lent[at].after);
        self.list += 1;
        next
    }

    /// The `(k=2)` of which piece `at` is the number.
    fn coverage(&self, at: usize, end: usize) -> (Option<Number>, usize, usize) {
        let nothing = (None, end, at);
        let Some(piece) = self.pieces.get(at) else { return nothing };
        let Some(gap) = self.text.get(end..piece.start) else { return nothing };
        let squeezed: String = gap.chars().filter(|c| !c.is_whitespace()).take(8).collect();
        if squeezed != "(k=" || self.text.as_bytes().get(piece.number_end) != Some(&b')') {
            return nothing;
        }
        (Some(piece.number.clone()), piece.number_end + 1, at + 1)
    }

    /// Whether pieces `at` and `at + 1` are the ends of one range rather than two figures.
    fn is_range(&self, at: usize) -> bool {
        let (first, second) = (&self.pieces[at], &self.pieces[at + 1]);
        let is_whole = first.limits.is_some() || second.limits.is_some();
        if matches!(self.lent[at + 1].after, After::Nothing) || second.concise.is_some() || is_whole
        {
            return false;
        }
        match (first.after, self.lent[at + 1].after) {
            (After::Nothing, _) => {}
            (After::Unit(mine, _), After::Unit(its, _)) if std::ptr::eq(mine, its) => {}
            _ => return false,
        }
        let from = phrase_before(self.text, first.start, "from");
        // "From 68 N to 48 N" is a fall, whatever stands before.
        let falls = second.number.value() < first.number.value();
        !from.is_some_and(|from| falls || cues::changes_before(self.text, from))
    }

    fn range(&mut self, at: usize) -> usize {
        let (first, second) = (&self.pieces[at], &self.pieces[at + 1]);
        let lent = self.lent[at + 1].after;
        let after = match (first.after, lent) {
            (After::Unit(unit, Some(mark)), After::Unit(_, None)) => After::Unit(unit, Some(mark)),
            _ => lent,
        };
        let end = if self.lent[at + 1].through.is_some() { second.number_end } else { second.end };
        let amount = Amount::Range(first.number.clone(), second.number.clone());
        self.add(Span::new(first.start, end), amount, None, after);
        self.list += 1;
        at + 2
    }

    fn add(&mut self, span: Span, amount: Amount, tolerance: Option<Tolerance>, after: After) {
        let (unit, reference, kind, yields, noun) = match after {
            After::Nothing => return,
            After::Unit(unit, reference) => {
                // A bare number taken for a figure may turn out to be anything.
                let yields = unit.kind_yields || std::ptr::eq(unit, self.one);
                (unit, reference, unit.kind, yields, None)
            }
            After::Ratio => (self.one, None, Kind::Ratio, false, None),
            After::Count(noun) => (self.one, None, Kind::Count, false, Some(noun)),
        };
        let figure = Figure {
            span,
            amount,
            tolerance,
            bound: None,
            hedge: None,
            unit,
            kind,
            kind_yields: yields,
            reference,
            pair: None,
            comparison: None,
            noun,
        };
        let figure = alone_plus_minus(self.text, figure);
        let (lead, tail) = (figure.span.start, figure.span.end);
        self.built.push(ReadStatement { figure, lead, tail, told: false, list: self.list });
    }
}

/// A ± without a nominal ("held to ±2 °C") is a difference.
fn alone_plus_minus(text: &str, mut figure: Figure) -> Figure {
    if plus_minus_before(text, figure.span.start).is_none() {
        return figure;
    }
    if figure.unit.dimension == Dimension::TEMPERATURE && figure.unit.kind_yields {
        figure.kind = Kind::TemperatureDifference;
        figure.kind_yields = false;
    } else if figure.unit.is_pressure() {
        figure.reference = Some(Reference::Difference);
    }
    figure
}
