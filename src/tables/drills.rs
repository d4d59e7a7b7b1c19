//! Drills by name: number, letter, fraction of an inch, millimetres.
//!
//! Diameters of number and letter drills are the sizes of ANSI/ASME B94.11M, from memory; every one
//! agrees with a public table (numbers and letters) and the letters with a second one. The standard
//! itself was not read. A drill is a nominal size; the hole it
//! leaves is not judged here.

use super::DrillFault;
use crate::quantity::Rational;
use crate::quantity::exact::{decimal, parse_decimal};
use num_traits::Signed;

/// A drill by its name.
#[derive(Debug, Clone, PartialEq)]
pub struct Drill {
    /// Name in its usual spelling: `#60`, `letter F`, `1/16 in`, `1.5 mm`.
    pub(crate) name: String,
    /// Nominal diameter, in, exact.
    pub diameter: Rational,
}

/// Number drills 1 to 80, diameters in ten-thousandths of an inch.
const NUMBERS: [u16; 80] = [
    2280, 2210, 2130, 2090, 2055, 2040, 2010, 1990, 1960, 1935, // 1-10
    1910, 1890, 1850, 1820, 1800, 1770, 1730, 1695, 1660, 1610, // 11-20
    1590, 1570, 1540, 1520, 1495, 1470, 1440, 1405, 1360, 1285, // 21-30
    1200, 1160, 1130, 1110, 1100, 1065, 1040, 1015, 995, 980, // 31-40
    960, 935, 890, 860, 820, 810, 785, 760, 730, 700, // 41-50
    670, 635, 595, 550, 520, 465, 430, 420, 410, 400, // 51-60
    390, 380, 370, 360, 350, 330, 320, 310, 292, 280, // 61-70
    260, 250, 240, 225, 210, 200, 180, 160, 145, 135, // 71-80
];

/// Letter drills A to Z, diameters in thousandths of an inch.
const LETTERS: [u16; 26] = [
    234, 238, 242, 246, 250, 257, 261, 266, 272, 277, 281, 290, 295, // A-M
    302, 316, 323, 332, 339, 348, 358, 368, 377, 386, 397, 404, 413, // N-Z
];

/// The drill that a name stands for: `#60`, `No. 60`, `number 60`, `letter F`, `F`, `1/16 in`,
/// `1/16"`, `1.5 mm`. A leading word `drill` is passed over.
///
/// # Errors
/// When the text names no drill of the four series.
pub fn drill(text: &str) -> Result<Drill, DrillFault> {
    let name = text.trim();
    let name = name.strip_prefix("drill").map_or(name, str::trim_start);
    let name = name.strip_suffix("drill").map_or(name, str::trim_end);
    let found = numbered(name)
        .or_else(|| lettered(name))
        .or_else(|| fractional(name))
        .or_else(|| metric(name));
    found.unwrap_or_else(|| Err(fault(text, "write #60, letter F, 1/16 in or 1.5 mm")))
}

fn fault(text: &str, help: &str) -> DrillFault {
    DrillFault { message: format!("`{text}` is no drill"), help: Some(help.to_owned()) }
}

fn numbered(name: &str) -> Option<Result<Drill, DrillFault>> {
    let prefixes = ["#", "No.", "no.", "No", "no", "number", "Number"];
    let digits = prefixes.iter().find_map(|prefix| name.strip_prefix(prefix))?.trim();
    let number: usize = digits.parse().ok()?;
    let size = number.checked_sub(1).and_then(|at| NUMBERS.get(at));
    Some(match size {
        Some(size) => {
            Ok(Drill { name: format!("#{number}"), diameter: decimal(i64::from(*size), -4) })
        }
        None => Err(fault(name, "number drills run from #1 to #80")),
    })
}

fn lettered(name: &str) -> Option<Result<Drill, DrillFault>> {
    let letter = name.strip_prefix("letter").map_or(name, str::trim_start);
    let mut characters = letter.chars();
    let (first, None) = (characters.next()?, characters.next()) else { return None };
    let at = u32::from(first.to_ascii_uppercase()).checked_sub(u32::from('A'))?;
    let size = LETTERS.get(usize::try_from(at).ok()?)?;
    let name = format!("letter {}", first.to_ascii_uppercase());
    Some(Ok(Drill { name, diameter: decimal(i64::from(*size), -3) }))
}

fn fractional(name: &str) -> Option<Result<Drill, DrillFault>> {
    let units = ["inches", "inch", "in.", "in", "\"", "″", "”"];
    let number = units.iter().find_map(|unit| name.strip_suffix(unit)).unwrap_or(name).trim_end();
    let (numerator, denominator) = number.split_once(['/', '\u{2044}'])?;
    let (n, d): (u32, u32) = (numerator.parse().ok()?, denominator.parse().ok()?);
    let fits = d.is_power_of_two() && d <= 64 && 0 < n && n * 2 <= d;
    Some(if fits {
        let diameter = Rational::new(n.into(), d.into());
        Ok(Drill { name: format!("{}/{} in", diameter.numer(), diameter.denom()), diameter })
    } else {
        Err(fault(name, "drills by fraction run from 1/64 in to 1/2 in in steps of 1/64 in"))
    })
}

fn metric(name: &str) -> Option<Result<Drill, DrillFault>> {
    let number = name.strip_suffix("mm")?.trim_end();
    let plain = number.bytes().all(|b| b.is_ascii_digit() || b == b'.') && number.len() <= 8;
    let millimetres = parse_decimal(number).filter(|value| plain && value.is_positive())?;
    let diameter = &millimetres / decimal(254, -1);
    Some(Ok(Drill { name: format!("{number} mm"), diameter }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::exact::to_f64;

    fn inches(name: &str) -> f64 {
        drill(name).map_or(f64::NAN, |drill| to_f64(&drill.diameter))
    }

    #[test]
    fn known_sizes_of_each_series() {
        // ANSI/ASME B94.11M, from memory.
        for (name, size) in [
            ("#1", 0.2280),
            ("No. 7", 0.2010),
            ("drill #60", 0.0400),
            ("number 80", 0.0135),
            ("letter A", 0.234),
            ("F", 0.257),
            ("Z", 0.413),
            ("1/16 in", 0.0625),
            ("drill 1/16\"", 0.0625),
            ("32/64 in", 0.5),
        ] {
            assert_eq!(inches(name), size, "{name}");
        }
        assert_eq!(drill("1.5 mm").map(|d| d.diameter * decimal(254, -1)), Ok(decimal(15, -1)));
    }

    #[test]
    fn sizes_fall_with_the_number_and_rise_with_the_letter() {
        assert!(NUMBERS.windows(2).all(|pair| pair[1] < pair[0]));
        assert!(LETTERS.windows(2).all(|pair| pair[0] < pair[1]));
        // The letters go on where the numbers leave off.
        assert!(NUMBERS[0] < LETTERS[0] * 10);
    }

    #[test]
    fn drills_that_do_not_exist_are_refused() {
        for name in ["#0", "#81", "65/64 in", "1/3 in", "0/4 in", "-1 mm", "letter É", "", "1/0 in"]
        {
            assert!(drill(name).is_err(), "{name}");
        }
    }
}
