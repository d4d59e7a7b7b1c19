//! One figure of several engines side by side: in one unit, with what lies between them.
//!
//! A difference is that of the numbers printed, in each system of units, so that who subtracts them
//! finds it. What may be said of it rests on the values behind: two are told apart where their
//! difference exceeds its own ±, the expanded uncertainty with k = 2 and correlations kept. That is
//! the E_n score of ISO 13528 above 1, with the uncertainty of the difference by GUM 5.2.2.

use super::ledger::Ledger;
use super::print::{Shown, shown, shown_half_width, valued};
use crate::formula::{Scope, Value, standard_uncertainty_of_sum};
use crate::quantity::exact::{decimal, from_f64, scaled};
use crate::quantity::judge::{Likened, likened};
use crate::quantity::print::{Style, digits, kind_words, places, with_unit};
use crate::quantity::{Conventions, Kind, Quantity, Rational, Real, Reference, Unit, machine};
use num_traits::{Signed, Zero};
use serde::Serialize;
use std::borrow::Cow;

/// How a value stands to that of the first engine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum SideRelation {
    /// The same by construction: it rests on the same readings in the same way, or both are exact.
    Same,
    /// The ± of the difference covers nought.
    NotToldApart,
    /// They differ.
    Apart,
    /// They cannot be compared.
    Incomparable,
}

impl SideRelation {
    /// The same in words, for tables.
    pub(crate) fn words(self) -> &'static str {
        match self {
            SideRelation::Same => "same",
            SideRelation::NotToldApart => "not told apart",
            SideRelation::Apart => "apart",
            SideRelation::Incomparable => "cannot be compared",
        }
    }
}

/// One engine's value in a row.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Beside {
    pub(crate) shown: Shown,
    /// Half-width; none where there is nothing to tell.
    pub(crate) plus_minus: Option<Shown>,
    /// How it stands to the first engine; none for that engine, and where it has no value.
    pub(crate) relation: Option<SideRelation>,
    /// Why the two cannot be compared; else empty.
    pub(crate) why: String,
    /// What it has more than the first engine.
    pub(crate) difference: Option<Difference>,
    /// How many times the first engine's value it is.
    pub(crate) ratio: Option<Difference>,
}

/// A difference or a ratio with its ±.
#[derive(Debug, Clone, Serialize)]
pub(crate) struct Difference {
    pub(crate) shown: Shown,
    /// Half-width, expanded with k = 2.
    pub(crate) plus_minus: Option<Shown>,
}

/// A value of the row.
struct ComparedMember {
    value: Value,
    half_width: f64,
    /// Its own step of printing, and its own unit.
    style: Style,
    /// The value, told like the first value of the row.
    told: Result<ToldAlike, String>,
}

/// A value told like the first of its row.
struct ToldAlike {
    likened: Likened,
    /// The number that is printed in each unit of the row.
    printed: [Rounded; 3],
}

/// What all values of a row are told in.
struct Common<'a> {
    ledger: &'a Ledger,
    sheet: usize,
    /// What they count from and are.
    quantity: Quantity,
    /// The units: the first value's own, a metric and a US customary one.
    units: [Cow<'static, Unit>; 3],
    ambient: &'a Rational,
}

/// The values of a figure, engine by engine, in the units of the first that has one.
pub(crate) fn row(
    ledger: &Ledger,
    columns: &[Option<(usize, usize)>],
    conventions: &Conventions,
) -> Vec<Option<Beside>> {
    let found = |column: &Option<(usize, usize)>| {
        let (sheet, entry) = (*column)?;
        valued(ledger, sheet, entry)
    };
    let values: Vec<Option<(Value, f64, Style)>> = columns.iter().map(found).collect();
    let Some((first, _, style)) = values.iter().flatten().next() else {
        return columns.iter().map(|_| None).collect();
    };
    let common = Common {
        ledger,
        sheet: columns.iter().flatten().next().map_or(0, |(sheet, _)| *sheet),
        quantity: first.quantity.clone(),
        units: style.units(&first.quantity).map(|unit| Cow::Owned(unit.into_owned())),
        ambient: &conventions.ambient,
    };
    let members: Vec<Option<ComparedMember>> = values
        .into_iter()
        .map(|value| {
            let (value, half_width, style) = value?;
            let told = likened(&value.quantity, &common.quantity, conventions).map(|likened| {
                ToldAlike { printed: common.printed(&likened, style.resolution), likened }
            });
            Some(ComparedMember { value, half_width, style, told })
        })
        .collect();
    let reference = members.first().and_then(Option::as_ref);
    let beside = |(at, member): (usize, &Option<ComparedMember>)| {
        Some(common.beside(member.as_ref()?, reference.filter(|_| 0 < at)))
    };
    members.iter().enumerate().map(beside).collect()
}

/// Whether a ± of two values is told: digits alone have none that a reader is shown.
fn is_told(member: &ComparedMember, reference: &ComparedMember) -> bool {
    0.0 < member.half_width || 0.0 < reference.half_width
}

impl Common<'_> {
    fn beside(&self, member: &ComparedMember, reference: Option<&ComparedMember>) -> Beside {
        let told = match &member.told {
            Ok(told) => told,
            Err(why) => return alone(member, why, reference.is_some()),
        };
        let half_width = told.likened.slope.abs() * member.half_width;
        let text = |at: usize, unit: &Unit| with_unit(&told.printed[at].text(), unit, None);
        let mut beside = Beside {
            shown: Shown {
                value: machine::rounded(&told.likened.si),
                kind: kind_words(&self.quantity),
                ..Shown::in_each(&self.units, text)
            },
            plus_minus: Shown::half_width(&self.units, half_width, member.style.resolution),
            relation: None,
            why: String::new(),
            difference: None,
            ratio: None,
        };
        if let Some(reference) = reference
            && let Ok(base) = &reference.told
        {
            self.compare(&mut beside, (member, told), (reference, base));
        }
        beside
    }

    /// The number that is printed in each unit.
    fn printed(&self, likened: &Likened, resolution: f64) -> [Rounded; 3] {
        let quantity = Quantity { si: likened.si.clone(), ..self.quantity.clone() };
        let [own, si, us] = &self.units;
        let number =
            |unit: &Unit| Rounded::new(&unit.number_of(&quantity), places(resolution, unit));
        let first = number(own);
        let other = |unit: &Unit| if unit.code == own.code { first.clone() } else { number(unit) };
        let (si, us) = (other(si), other(us));
        [first, si, us]
    }

    fn compare(
        &self,
        beside: &mut Beside,
        (member, told): (&ComparedMember, &ToldAlike),
        (reference, base): (&ComparedMember, &ToldAlike),
    ) {
        let scope = self.ledger.scope(self.sheet);
        let parts = [(told.likened.slope, &member.value), (-base.likened.slope, &reference.value)];
        let expanded = 2.0 * standard_uncertainty_of_sum(&parts, &scope);
        let difference = told.likened.si.sub(&base.likened.si);
        let size = difference.to_f64().abs();
        beside.relation = Some(match size <= expanded {
            true if size == 0.0 && expanded == 0.0 => SideRelation::Same,
            true => SideRelation::NotToldApart,
            false => SideRelation::Apart,
        });
        let resolution = member.style.resolution.min(reference.style.resolution);
        let less = |at: usize, unit: &Unit| told.printed[at].less(&base.printed[at]).signed(unit);
        beside.difference = Some(Difference {
            shown: Shown {
                value: machine::rounded(&difference),
                ..Shown::in_each(&self.units, less)
            },
            plus_minus: Shown::half_width(&self.units, expanded, resolution)
                .filter(|_| is_told(member, reference))
                .map(|shown| {
                    let [written, si, us] = [shown.written, shown.si, shown.us].map(in_points);
                    Shown { written, si, us, ..shown }
                }),
        });
        beside.ratio = self.ratio((member, told), (reference, base), &scope);
    }

    /// A ratio makes sense for what has a true zero: of pressures, that of the absolute ones.
    fn ratio(
        &self,
        (member, told): (&ComparedMember, &ToldAlike),
        (reference, base): (&ComparedMember, &ToldAlike),
        scope: &dyn Scope,
    ) -> Option<Difference> {
        let is_pressure = self.units[0].is_pressure();
        let (zero, of) = match self.quantity.reference {
            _ if matches!(self.quantity.kind, Kind::TemperaturePoint | Kind::Mark(_)) => {
                return None;
            }
            Some(Reference::Gauge) => (self.ambient.clone(), "absolute\u{a0}"),
            Some(Reference::Vacuum) => return None,
            None if is_pressure => return None,
            _ => (Rational::zero(), ""),
        };
        let zero_si = Real::Exact(zero);
        let absolute = |told: &ToldAlike| told.likened.si.add(&zero_si).to_f64();
        let (own, other) = (absolute(told), absolute(base));
        if !(0.0 < own && 0.0 < other) {
            return None;
        }
        let parts = [
            (told.likened.slope / other, &member.value),
            (-base.likened.slope * own / (other * other), &reference.value),
        ];
        let expanded = 2.0 * standard_uncertainty_of_sum(&parts, scope);
        let quantity = Quantity {
            si: Real::near(own / other),
            dimension: crate::quantity::Dimension::NONE,
            kind: Kind::Ratio,
            reference: None,
        };
        let is_told = is_told(member, reference);
        let style = Style::computed(&quantity, None, expanded, is_told);
        let places = places(style.resolution, &style.unit);
        let from_zero = |told: &ToldAlike, at: usize| {
            let zero = self.units[at].span_from_si(&zero_si).exact().cloned();
            &told.printed[at].number + zero.unwrap_or_else(Rational::zero)
        };
        let text = |at: usize, _: &Unit| {
            let (own, other) = (from_zero(told, at), from_zero(base, at));
            // Only rounded, so not brought to lowest terms.
            let ratio = Rational::new_raw(own.numer() * other.denom(), own.denom() * other.numer());
            format!("{of}×\u{a0}{}", Rounded::new(&Real::Exact(ratio), places).text())
        };
        (0..3).all(|at| from_zero(base, at).is_positive()).then(|| Difference {
            shown: Shown {
                value: machine::rounded(&quantity.si),
                ..Shown::in_each(&self.units, text)
            },
            plus_minus: shown_half_width(&quantity, &style, expanded).filter(|_| is_told),
        })
    }
}

/// A value that cannot be told like the others of its row: in its own unit.
fn alone(member: &ComparedMember, why: &str, has_reference: bool) -> Beside {
    let quantity = &member.value.quantity;
    Beside {
        shown: shown(quantity, &member.style, None),
        plus_minus: shown_half_width(quantity, &member.style, member.half_width),
        relation: has_reference.then_some(SideRelation::Incomparable),
        why: why.to_owned(),
        difference: None,
        ratio: None,
    }
}

/// A number as it is printed.
#[derive(Debug, Clone)]
struct Rounded {
    number: Rational,
    places: i32,
}

impl Rounded {
    fn new(number: &Real, places: i32) -> Rounded {
        let exact = match number {
            Real::Exact(exact) => Some(exact.clone()),
            Real::Near { value, .. } => from_f64(*value),
        };
        let scaled = exact.map(|exact| scaled(&exact, places));
        Rounded {
            number: scaled.map_or_else(Rational::zero, |scaled| decimal(scaled, -places)),
            places,
        }
    }

    /// What is left when another printed number is taken away.
    fn less(&self, other: &Rounded) -> Rounded {
        Rounded { number: &self.number - &other.number, places: self.places.max(other.places) }
    }

    fn text(&self) -> String {
        digits(&Real::Exact(self.number.clone()), self.places)
    }

    /// As a difference: with its sign, and of shares in percentage points.
    fn signed(&self, unit: &Unit) -> String {
        let sign = if self.number.is_positive() { "+" } else { "" };
        in_points(with_unit(&format!("{sign}{}", self.text()), unit, None))
    }
}

/// What lies between two shares counts in percentage points.
fn in_points(text: String) -> String {
    text.replace('%', "points")
}
