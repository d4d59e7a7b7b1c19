//! The right number with the wrong unit.

use super::LikelyEdit;
use super::spelling::SpelledNumber;
use crate::quantity::units::table;
use crate::quantity::{Amount, Figure, Kind, Unit};

/// Units that are taken for one another, by UCUM code.
const GROUPS: &[&[&str]] = &[
    &["mm", "[in_i]", "m", "[ft_i]", "[mil_i]", "um", "cm"],
    &["mm2", "cm2", "[sin_i]", "m2"],
    &["cm3", "[cin_i]", "L", "mL", "mm3", "[cft_i]"],
    &["[psi]", "bar", "kPa", "MPa", "mbar", "Pa"],
    &["N.m", "[in_i].[lbf_av]", "[lbf_av].[ft_i]", "N.cm", "N.mm"],
    &["J", "[ft_i].[lbf_av]", "mJ", "kJ"],
    &["N/mm", "N/m", "[lbf_av]/[in_i]", "N/cm"],
    &["N", "[lbf_av]", "kgf", "kN", "gf", "[ozf_av]"],
    &["g", "[gr]", "[oz_av]", "kg", "mg", "[lb_av]"],
    &["Cel", "[degF]", "K"],
    &["m/s", "[ft_i]/s", "km/h", "[mi_i]/h", "[in_i]/s"],
    &["s", "ms", "us", "min"],
    &["L/min", "[cft_i]/min", "L/s", "m3/h", "cm3/s"],
    &["L/min{ANR}", "[cft_i]/min{standard}", "L/s{ANR}", "L/min{normal}", "m3/h{normal}"],
    &["L{ANR}", "cm3{ANR}", "L{normal}", "[cft_i]{standard}"],
    &["g/s", "kg/s", "mg/s", "kg/h", "g/min", "[lb_av]/s", "[lb_av]/min"],
    &["{shot}/s", "{shot}/min", "{ball}/s"],
    &["{rev}/min", "{rev}/s", "Hz"],
    &["1", "%"],
    &["deg", "rad"],
    &["kJ/m2", "J/m2", "J/cm2"],
];

/// The figure with each other unit of its group.
pub(super) fn units(spelled: &SpelledNumber) -> Vec<LikelyEdit> {
    let own = spelled.figure.unit;
    let Some(group) = GROUPS.iter().find(|group| group.contains(&own.code.as_ref())) else {
        return Vec::new();
    };
    let (zero, digits) = match &spelled.figure.amount {
        Amount::Point(number) | Amount::Range(_, number) => {
            (number.mantissa == 0 && number.fraction.is_none(), number.significant)
        }
    };
    if zero {
        return Vec::new();
    }
    // One digit fits many a unit; it says something only where the units are far apart.
    let tells = |unit: &&Unit| {
        let ratio = own.factor.to_f64() / unit.factor.to_f64();
        2 <= digits || !(0.08..=12.0).contains(&ratio)
    };
    // Nobody types centimetres for inches; a fraction of an inch is misread far more often.
    let foreign = |code: &str| {
        matches!((own.code.as_ref(), code), ("[in_i]" | "[mil_i]", "cm") | ("cm", "[mil_i]"))
    };
    let others = group.iter().filter(|code| **code != own.code && !foreign(code));
    others
        .filter_map(|code| table().by_code(code))
        .filter(|unit| unit.dimension == own.dimension)
        .filter(tells)
        .map(|unit| LikelyEdit {
            figure: with_unit(spelled.figure, unit),
            text: spelled.with_unit(unit),
            words: if is_tenfold(own, unit) { TENFOLD } else { "wrong unit or prefix" },
        })
        .collect()
}

/// The slip of a unit that is ten times another.
pub(super) const TENFOLD: &str = "wrong prefix";

fn is_tenfold(a: &Unit, b: &Unit) -> bool {
    let ratio = a.factor.to_f64() / b.factor.to_f64();
    [0.1, 10.0].iter().any(|ten| (ratio / ten - 1.0).abs() < 1e-9)
}

fn with_unit(figure: &Figure, unit: &'static Unit) -> Figure {
    let settled = match figure.kind {
        Kind::TemperatureDifference | Kind::Ratio | Kind::Count => figure.kind,
        _ if unit.kind == Kind::Plain => figure.kind,
        _ => unit.kind,
    };
    Figure { unit, kind: settled, ..figure.clone() }
}
