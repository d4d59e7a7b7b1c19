//! Sealing rings by dash number, sizes of AS568.
//!
//! `as568.csv` was put together from four independent copies (S1: inches with tolerances;
//! S2: inches and millimetres without; S3: the class A sizes of ISO 3601-1 with tolerance bands;
//! S4: the sizes of BS 1806) and every disagreement settled by majority and by the steps of the
//! series; the `note` column names them. The standard itself was not read. Confidence A: diameter,
//! section and tolerance each stand in two sources or more; B: the tolerance stands in one; X:
//! sizes of one vendor that are not in AS568, kept only to refuse them with a reason.

use super::RingFault;
use crate::quantity::Rational;
use crate::quantity::exact::{decimal, parse_decimal, to_f64};
use num_traits::Signed;
use std::sync::LazyLock;

/// How well a row of the table is attested.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Confidence {
    /// Sizes and tolerance in two independent sources or more.
    A,
    /// Sizes in two sources or more, tolerance in one.
    B,
}

/// A ring of AS568; inches, exact as tabulated.
#[derive(Debug, Clone, PartialEq)]
pub struct Ring {
    /// Three digits, `012`.
    pub dash: String,
    /// The dash number as a number.
    pub number: u16,
    /// Inside diameter, in.
    pub inside: Rational,
    /// ± of the inside diameter, in.
    pub inside_tolerance: Option<Rational>,
    /// Section, in.
    pub section: Rational,
    /// ± of the section, in.
    pub section_tolerance: Option<Rational>,
    /// How well the row is attested.
    pub confidence: Confidence,
    /// What a user should know: boss seals, sources that print otherwise.
    pub note: Option<String>,
}

/// Exact length in metres of a size in inches.
#[must_use]
pub fn inches_to_metres(inches: &Rational) -> Rational {
    inches * decimal(254, -4)
}

struct Table {
    rings: Vec<Ring>,
    /// Numbers that a vendor sells without their being in AS568.
    extensions: Vec<u16>,
}

static TABLE: LazyLock<Table> = LazyLock::new(|| read_table(include_str!("as568.csv")));

fn read_table(text: &str) -> Table {
    let mut table = Table { rings: Vec::new(), extensions: Vec::new() };
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    for record in reader.records().flatten() {
        let field = |at: usize| record.get(at).unwrap_or("");
        let number: u16 = field(0).parse().unwrap_or(0);
        let confidence = match field(6).chars().next() {
            Some('A') => Confidence::A,
            Some('B') => Confidence::B,
            _ => {
                table.extensions.push(number);
                continue;
            }
        };
        let (Some(inside), Some(section)) = (parse_decimal(field(1)), parse_decimal(field(3)))
        else {
            continue;
        };
        let boss = (900 <= number)
            .then(|| "straight-thread boss seal for fittings, not for pistons or rods".to_owned());
        let printed = (!field(7).is_empty()).then(|| field(7).to_owned());
        table.rings.push(Ring {
            dash: field(0).to_owned(),
            number,
            inside,
            inside_tolerance: parse_decimal(field(2)),
            section,
            section_tolerance: parse_decimal(field(4)),
            confidence,
            note: boss.into_iter().chain(printed).reduce(|a, b| format!("{a}; {b}")),
        });
    }
    table.rings.sort_by_key(|ring| ring.number);
    table
}

/// Every ring, by number.
#[must_use]
pub fn rings() -> &'static [Ring] {
    &TABLE.rings
}

/// The ring with this dash number.
#[must_use]
pub fn ring_by_number(number: u16) -> Option<&'static Ring> {
    let at = TABLE.rings.binary_search_by_key(&number, |ring| ring.number).ok()?;
    TABLE.rings.get(at)
}

/// The ring of a dash number as people write it: `-012`, `012`, `AS568-012`, `AS568A -012`,
/// `ring -012`.
///
/// # Errors
/// When the text is no dash number, or when no such ring exists; names the neighbours that do.
pub fn ring(dash: &str) -> Result<&'static Ring, RingFault> {
    let digits = dash_digits(dash).ok_or_else(|| unreadable(dash))?;
    let number: u16 = digits.parse().map_err(|_| unreadable(dash))?;
    ring_by_number(number).ok_or_else(|| missing(number))
}

/// The three digits of a dash number.
fn dash_digits(text: &str) -> Option<&str> {
    let mut rest = text.trim();
    for prefix in ["ring", "o-ring", "O-ring", "Ring", "AS568A", "AS568", "AS 568"] {
        rest = rest.strip_prefix(prefix).unwrap_or(rest).trim_start();
    }
    let digits =
        rest.strip_prefix(['-', '\u{2011}', '\u{2013}', '\u{2212}']).unwrap_or(rest).trim_start();
    (digits.len() == 3 && digits.bytes().all(|b| b.is_ascii_digit())).then_some(digits)
}

fn unreadable(text: &str) -> RingFault {
    let digits: String = text.chars().filter(char::is_ascii_digit).collect();
    let padded = digits.parse::<u16>().ok().filter(|n| *n < 1000 && ring_by_number(*n).is_some());
    RingFault {
        message: format!("`{text}` is no dash number"),
        help: Some(match padded {
            Some(number) => format!("write three digits: -{number:03}"),
            None => "write three digits, as in -012".to_owned(),
        }),
    }
}

fn missing(number: u16) -> RingFault {
    let rings = &TABLE.rings;
    let at = rings.partition_point(|ring| ring.number < number);
    let name = |ring: &Ring| format!("-{}", ring.dash);
    let below = at.checked_sub(1).and_then(|at| rings.get(at)).map(name);
    let above = rings.get(at).map(name);
    let help = match (below, above) {
        (Some(below), Some(above)) => format!("the nearest that exist are {below} and {above}"),
        (Some(only), None) | (None, Some(only)) => format!("the nearest that exists is {only}"),
        (None, None) => "write a dash number of AS568".to_owned(),
    };
    let message = if TABLE.extensions.contains(&number) {
        format!("-{number:03} is a size of one vendor and not in AS568; its tolerance is not known")
    } else {
        format!("there is no ring -{number:03} in AS568")
    };
    RingFault { message, help: Some(help) }
}

/// How two rings differ.
#[derive(Debug, Clone, PartialEq)]
pub struct RingComparison {
    /// Second section less the first, in.
    pub(crate) section: Rational,
    /// Second inside diameter less the first, in.
    pub(crate) inside: Rational,
}

impl RingComparison {
    /// "same section, 4.75 mm larger inside"
    #[must_use]
    pub fn sentence(&self) -> String {
        let millimetres = |inches: &Rational| {
            let value = to_f64(&(inches.abs() * decimal(254, -1)));
            format!("{value:.2}")
        };
        let part = |difference: &Rational, more: &str, less: &str| {
            let word = if difference.is_negative() { less } else { more };
            format!("{} mm {word}", millimetres(difference))
        };
        let zero = decimal(0, 0);
        let section = if self.section == zero {
            "same section".to_owned()
        } else {
            part(&self.section, "thicker in section", "thinner in section")
        };
        let inside = if self.inside == zero {
            "same inside diameter".to_owned()
        } else {
            part(&self.inside, "larger inside", "smaller inside")
        };
        format!("{section}, {inside}")
    }
}

/// What changes when ring `b` stands in for ring `a`.
#[must_use]
pub fn compare_rings(a: &Ring, b: &Ring) -> RingComparison {
    RingComparison { section: &b.section - &a.section, inside: &b.inside - &a.inside }
}
