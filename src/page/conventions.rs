//! How figures are to be read where their writer leaves it open: one reader for the imprint, for
//! pages and for commands.

use super::fields::Fields;
use super::yaml::Text;
use crate::quantity::judge::quantity_of;
use crate::quantity::reader::{ReadOptions, read_whole};
use crate::quantity::units::table;
use crate::quantity::{Amount, Conventions, Dimension, GasState, Rational, Reference};
use crate::slip::Slip;
use crate::text::Spot;

/// The conventions that an imprint or a page declares. What it leaves open, or what could not be
/// read and has been told, is `None`.
#[derive(Debug, Clone, Default)]
pub(crate) struct Declared {
    /// What a bare pressure counts from.
    pressure: Option<Reference>,
    /// Ambient pressure, Pa absolute.
    ambient: Option<Rational>,
    /// Whether a comma is a decimal sign.
    decimal_comma: Option<bool>,
    /// State meant by "standard" air.
    standard_air: Option<GasState>,
    /// What "mil" means.
    mil: Option<&'static str>,
}

/// What speakers mean by "mil": words, and codes of units.
const MIL: [(&str, &str); 3] = [("millimetre", "mm"), ("millilitre", "mL"), ("thou", "[mil_i]")];

impl Declared {
    /// Takes the keys of conventions.
    pub(crate) fn read(fields: &mut Fields<'_>, slips: &mut Vec<Slip>) -> Declared {
        let decimal_comma = fields.truth("decimal_comma", slips);
        let pressure = [("gauge", Reference::Gauge), ("absolute", Reference::Absolute)];
        let states = [("anr", GasState::Anr), ("ANR", GasState::Anr), ("normal", GasState::Normal)];
        Declared {
            pressure: fields.word("pressure", "what a pressure counts from", &pressure, slips),
            ambient: fields.text("ambient", slips).and_then(|text| {
                ambient(&text.text, decimal_comma.unwrap_or(false))
                    .map_err(|why| slips.push(no_ambient(fields, &text, &why)))
                    .ok()
            }),
            decimal_comma,
            standard_air: fields.word("standard_air", "a reference state of air", &states, slips),
            mil: fields.word("mil", "what “mil” means", &MIL, slips),
        }
    }

    /// Whether a comma is a decimal sign here.
    pub(crate) fn decimal_comma(&self) -> bool {
        self.decimal_comma.unwrap_or(false)
    }

    /// These conventions over those of whatever holds where they leave something open.
    pub(crate) fn over(&self, base: &Conventions) -> Conventions {
        Conventions {
            bare_pressure: self.pressure.or(base.bare_pressure),
            ambient: self.ambient.clone().unwrap_or_else(|| base.ambient.clone()),
            decimal_comma: self.decimal_comma.unwrap_or(base.decimal_comma),
            standard_air: self.standard_air.or(base.standard_air),
            mil: self.mil.and_then(|code| table().by_code(code)).or(base.mil),
        }
    }
}

fn no_ambient(fields: &Fields<'_>, text: &Text, why: &str) -> Slip {
    let message = format!("`{}` is no ambient pressure: {why}", text.text);
    let spot = Spot::new(fields.source(), text.inside());
    Slip::stop("value-unreadable", spot, message).help("write `101.325 kPa`")
}

/// Lowest and highest ambient pressure, kPa: some 16 km above the sea, and the deepest mines.
const AROUND_US: [i64; 2] = [10, 120];

/// Reads an ambient pressure, in Pa: one plain absolute pressure that air around us can have.
///
/// # Errors
/// Why it is none: one line, lower case, no full stop.
pub(crate) fn ambient(text: &str, decimal_comma: bool) -> Result<Rational, String> {
    let read = |decimal_comma| pressure(text, decimal_comma);
    // The imprint's comma holds for its pages, and is not known where one page is read.
    read(decimal_comma).or_else(|why| read(!decimal_comma).map_err(|_| why))
}

fn pressure(text: &str, decimal_comma: bool) -> Result<Rational, String> {
    let options = ReadOptions { decimal_comma, ..ReadOptions::default() };
    let figures = read_whole(text, &options).map_err(|fault| fault.message)?;
    let [figure] = figures.as_slice() else {
        return Err("one pressure is wanted".to_owned());
    };
    let is_plain = matches!(figure.amount, Amount::Point(_))
        && figure.bound.is_none()
        && figure.tolerance.is_none()
        && figure.hedge.is_none();
    if !is_plain {
        return Err("one plain value is wanted, without limits".to_owned());
    }
    let absolute =
        Conventions { bare_pressure: Some(Reference::Absolute), ..Conventions::default() };
    let quantity = quantity_of(figure, &absolute);
    if quantity.dimension != Dimension::PRESSURE {
        return Err(format!("this is a {}", quantity.dimension));
    }
    match quantity.reference {
        None | Some(Reference::Absolute) => {}
        Some(_) => return Err("it is wanted above vacuum, not above itself".to_owned()),
    }
    let [lowest, highest] =
        AROUND_US.map(|kilopascals| Rational::from_integer((kilopascals * 1000).into()));
    let si = quantity.si.exact().filter(|si| (lowest..=highest).contains(*si));
    si.cloned().ok_or_else(|| {
        let [lowest, highest] = AROUND_US;
        format!("air around us has {lowest} to {highest} kPa")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_ambient_pressure_is_one_plain_absolute_pressure_of_air() {
        let pascals = |text: &str, comma| ambient(text, comma).map(|si| si.to_string());
        assert_eq!(pascals("101.325 kPa", false), Ok("101325".to_owned()));
        assert_eq!(pascals("101,325 kPa", true), Ok("101325".to_owned()));
        assert_eq!(pascals("1013.25 mbar absolute", false), Ok("101325".to_owned()));
        for (text, why) in [
            ("1 Pa", "10 to 120 kPa"),
            ("0 bar", "10 to 120 kPa"),
            ("12 mm", "length"),
            ("1 bar gauge", "above vacuum"),
            ("90 kPa ± 5 kPa", "without limits"),
            ("about 1 bar", "without limits"),
            ("high", ""),
        ] {
            let told = ambient(text, false).expect_err(text);
            assert!(told.contains(why), "{text}: {told}");
        }
    }
}
