//! What a written number stands for (R1), how far a hedge reaches (R7), and where a value lies.
//!
//! Everything here is in numbers of the unit that was written.

use super::print::{self, tame};
use super::scale::article;
use crate::quantity::small_terms::product;
use crate::quantity::{Amount, Dimension, Figure, Number, Rational, Real, Unit};
use num_traits::{Signed, Zero};

/// A written number with the interval it stands for.
#[derive(Debug, Clone)]
pub(super) struct Written {
    pub(crate) number: Number,
    pub(crate) value: Rational,
    /// Half the resolution: it stands for `value ± half`.
    pub(crate) half: Rational,
    /// The same with trailing zeros of an integer read as place holders.
    pub(crate) loose: Rational,
}

impl Written {
    pub(super) fn new(number: &Number, unit: &Unit) -> Written {
        let number = tame(number);
        let value = number.value();
        let half = Rational::new_raw(1.into(), 2.into());
        let halved = |size: Rational| product(&size, &half);
        let part = halved(number.resolution());
        let (half, loose) = match number.fraction {
            None => (part, halved(number.loose_resolution())),
            Some(_) => {
                let sharp = sharp(&value, unit);
                // Nobody calls two thirds three quarters.
                let loose = match unit.dimension == Dimension::LENGTH {
                    true => part.clone(),
                    false => part.clone().min(&sharp + &sharp),
                };
                (part.min(sharp), loose)
            }
        };
        Written { number, value, half, loose }
    }

    pub(super) fn is_fraction(&self) -> bool {
        self.number.fraction.is_some()
    }

    /// One unit of the last digit.
    pub(super) fn step(&self) -> Rational {
        &self.half * Rational::from_integer(2.into())
    }

    /// The interval it stands for, read strictly.
    pub(super) fn strict(&self) -> WrittenLimits {
        WrittenLimits::around(&self.value, &self.half)
    }

    /// The interval it stands for, read loosely.
    pub(super) fn widest(&self) -> WrittenLimits {
        WrittenLimits::around(&self.value, &self.loose)
    }

    /// As it was written, or worked out where it was written in another unit.
    pub(super) fn text(&self) -> String {
        if self.number.value() == self.value {
            print::as_written(&self.number)
        } else {
            print::number(&self.value, print::places_for(&self.step()))
        }
    }

    /// Decimals that show it as finely as it was written.
    pub(super) fn places(&self) -> i32 {
        if self.number.value() == self.value {
            print::places(&self.number)
        } else {
            print::places_for(&self.step())
        }
    }

    /// Half-width of a hedged number (R7): 10, 5 or 2 % for one, two or more certain digits, at
    /// least one unit of the last. No standard gives numbers for this; these are ours.
    pub(super) fn hedge_width(&self) -> Rational {
        let percent = match self.number.certain_digits() {
            _ if self.is_fraction() => 10,
            0 | 1 => 10,
            2 => 5,
            _ => 2,
        };
        let share = self.value.abs() * Rational::new(percent.into(), 100.into());
        share.max(self.step())
    }
}

/// A fraction of an inch is a trade size, sharp to half of the finest division of a common rule
/// (1/64); any other fraction to a twentieth of itself. Half of its own part is the loose reading.
fn sharp(value: &Rational, unit: &Unit) -> Rational {
    if unit.dimension == Dimension::LENGTH {
        Rational::new(1.into(), 128.into())
    } else {
        value.abs() / Rational::from_integer(20.into())
    }
}

/// The ends of an amount in the order of writing. In a range the finer end sets the resolution of
/// both, and trailing zeros count.
pub(super) fn ends(amount: &Amount, unit: &Unit) -> (Written, Option<Written>) {
    match amount {
        Amount::Point(number) => (Written::new(number, unit), None),
        Amount::Range(low, high) => {
            let (mut low, mut high) = (Written::new(low, unit), Written::new(high, unit));
            let finest = low.half.clone().min(high.half.clone());
            for end in [&mut low, &mut high] {
                end.half = finest.clone();
                end.loose = finest.clone();
            }
            (low, Some(high))
        }
    }
}

/// A closed interval; an end that is `None` lies at infinity.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct WrittenLimits {
    pub(crate) low: Option<Rational>,
    pub(crate) high: Option<Rational>,
}

/// Whether a value lies in an interval.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Inside {
    /// Certainly in it; the ends belong to it.
    Yes,
    /// Certainly not.
    No,
    /// Its error bound straddles an end.
    Open,
}

impl WrittenLimits {
    pub(super) fn new(low: Rational, high: Rational) -> WrittenLimits {
        WrittenLimits { low: Some(low), high: Some(high) }
    }

    pub(super) fn around(value: &Rational, half: &Rational) -> WrittenLimits {
        WrittenLimits::new(value - half, value + half)
    }

    /// The same with both ends moved outward.
    pub(super) fn widened(&self, by: &Rational) -> WrittenLimits {
        WrittenLimits {
            low: self.low.as_ref().map(|low| low - by),
            high: self.high.as_ref().map(|high| high + by),
        }
    }

    /// Where `value` lies; a value that is not finite is outside.
    pub(super) fn place(&self, value: &Real) -> Inside {
        let Some((low, high)) = value.bounds() else { return Inside::No };
        if self.meet(&low, &low) && self.meet(&high, &high) {
            Inside::Yes
        } else if self.meet(&low, &high) {
            Inside::Open
        } else {
            Inside::No
        }
    }

    /// Whether the span between two values, in any order, meets it.
    pub(super) fn meets(&self, a: &Real, b: &Real) -> bool {
        let (Some(a), Some(b)) = (a.bounds(), b.bounds()) else { return false };
        self.meet(&a.0.min(b.0), &a.1.max(b.1))
    }

    fn meet(&self, low: &Rational, high: &Rational) -> bool {
        self.high.as_ref().is_none_or(|end| low <= end)
            && self.low.as_ref().is_none_or(|end| end <= high)
    }
}

/// A stated ± in numbers of the figure's own unit.
#[derive(Debug, Clone)]
pub(super) struct HalfWidth {
    /// The ± itself, never negative; of limits that differ the upper one.
    pub(crate) size: Written,
    /// The lower one of limits that differ.
    pub(crate) below: Option<Written>,
    /// Whether it was written as a share of the value.
    pub(crate) relative: bool,
}

/// The ± of a figure, if it has one. The error says why its unit does not fit the figure's.
pub(super) fn half_width(figure: &Figure) -> Result<Option<HalfWidth>, String> {
    let Some(tolerance) = &figure.tolerance else { return Ok(None) };
    let unit = tolerance.unit.unwrap_or(figure.unit);
    let relative = unit.dimension == Dimension::NONE && figure.unit.dimension != Dimension::NONE;
    let ratio = figure.tolerance_scale().ok_or_else(|| {
        let (own, other) = (unit.dimension.name(), figure.unit.dimension.name());
        format!("the ± is {}, the figure {}", article(&own), article(&other))
    })?;
    let ratio = print::middle(&ratio).unwrap_or_else(Rational::zero);
    let in_unit = |number: &Number| {
        let written = Written::new(number, unit);
        Written {
            value: (&written.value * &ratio).abs(),
            half: (&written.half * &ratio).abs(),
            loose: (&written.loose * &ratio).abs(),
            number: written.number,
        }
    };
    let below = tolerance.below.as_ref().map(in_unit);
    Ok(Some(HalfWidth { size: in_unit(&tolerance.half_width), below, relative }))
}

impl HalfWidth {
    /// How far the value may lie below the nominal one.
    pub(crate) fn down(&self) -> &Written {
        self.below.as_ref().unwrap_or(&self.size)
    }
}
